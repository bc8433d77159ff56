package report

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"benchwright/project"
)

// gainPerCost holds performance against cost: the efficient front is the
// configurations that nothing cheaper or as cheap beats, and gain per cost is
// what the money beyond the baseline's buys. A gain that costs nothing beyond it
// comes before any that has to be paid for.
func (r *Report) gainPerCost() (Insight, bool) {
	k := r.work
	standing := r.standing()
	if len(standing) < 2 || !slices.Contains(standing, r.Baseline) {
		return Insight{}, false
	}
	base, ok := r.cost(r.Baseline)
	if !ok {
		return Insight{}, false
	}
	type offer struct {
		c     int
		cost  float64
		value float64
		front bool
	}
	var list []offer
	for _, c := range standing {
		if cost, ok := r.cost(c); ok {
			list = append(list, offer{c: c, cost: cost, value: r.first().Rows[c].Figure.Value})
		}
	}
	if len(list) < 2 || !slices.ContainsFunc(list, func(o offer) bool { return o.cost != base }) {
		return Insight{}, false
	}
	slices.SortStableFunc(list, func(a, b offer) int { return cmp.Or(cmp.Compare(a.cost, b.cost), cmp.Compare(b.value, a.value)) })
	best := -1
	var front []int
	for i := range list {
		if best >= 0 {
			e, state, ok := r.compare(list[i].c, list[best].c)
			if !ok || e.Value <= 0 || k.cannotTell(e, state) {
				continue
			}
		}
		best = i
		list[i].front = true
		front = append(front, list[i].c)
	}
	rate := func(o offer) float64 { return (o.value - 1) / (o.cost - base) }
	better := func(o offer) bool { return r.first().Rows[o.c].Figure.Verdict == Better }
	free, most := -1, -1
	for i, o := range list {
		if o.c != r.Baseline && o.cost <= base && better(o) && (free < 0 || o.value > list[free].value) {
			free = i
		}
	}
	for i, o := range list {
		if o.cost > base && better(o) && isFinite(rate(o)) && (free < 0 || o.value > list[free].value) && (most < 0 || rate(o) > rate(list[most])) {
			most = i
		}
	}
	key := "insight.value.costs.parts"
	if slices.ContainsFunc(list, func(o offer) bool { return r.Project.Configurations[o.c].HasCost }) {
		key = "insight.value.costs.own"
	}
	said := []string{k.say.Say(key)}
	if free >= 0 {
		key := "insight.value.free"
		if list[free].cost < base {
			key = "insight.value.cheaper"
		}
		said = append(said, k.say.Say(key, "configuration", r.name(list[free].c), "effect", k.ranged(r.first().Rows[list[free].c].Figure), "saving", r.money(base-list[free].cost)))
	}
	switch {
	case most >= 0:
		key := "insight.value.most"
		if free >= 0 {
			key = "insight.value.most-beyond"
		}
		o := list[most]
		said = append(said, k.say.Say(key, "configuration", r.name(o.c), "effect", k.ranged(r.first().Rows[o.c].Figure), "cost", r.money(o.cost-base),
			"rate", k.num.share(rate(o), significant(100*rate(o), 2)), "currency", r.Project.Currency))
	case free < 0:
		said = append(said, k.say.Say("insight.value.none"))
	}
	plain := strings.Join(said, " ")
	text := plain
	if len(front) <= 6 {
		text += " " + k.say.Say("insight.value.front", "front", joinWords(k.say, r.names(front)))
	}
	named := slices.Clone(front)
	for _, at := range []int{free, most} {
		if at >= 0 {
			named = append(named, list[at].c)
		}
	}
	text = r.withUnheld(text, r.Baseline, named...)
	text = joinSentences(text, r.failuresOf(named), r.withoutValue(standing))
	i := r.insight("value", "index.html#insights", text, "configuration", "cost", "performance", "gain-per-cost", "front")
	i.plain = plain
	for n, at := range []int{free, most} {
		if at >= 0 {
			i.lead[n] = r.Project.Configurations[list[at].c].ID
		}
	}
	if r.Project.Currency != "" {
		i.Header[3] = k.say.Say("insight.column.gain-per", "currency", r.Project.Currency)
	}
	for n, o := range list {
		if n == 3*mostRows {
			break
		}
		f := r.first().Rows[o.c].Figure
		gain, mark := "", ""
		switch {
		case o.cost <= base && o.c != r.Baseline && better(o):
			gain = k.say.Say("insight.value.no-cost")
		case o.cost > base && isFinite(rate(o)):
			gain = k.num.signed(100*rate(o), significant(100*rate(o), 2)) + nbsp + "%"
		}
		if o.front {
			mark = k.say.Say("insight.value.on-front")
		}
		i.row(o.c, r.labelAndFailure(o.c), r.money(o.cost), f.Short, gain, mark)
	}
	return i, true
}

// withoutValue names the configurations that were tried and are not held against
// their cost, with the reasons.
func (r *Report) withoutValue(standing []int) string {
	k, c := r.work, r.first()
	var reasons []string
	names := map[string][]string{}
	for i := range r.Configurations {
		_, priced := r.cost(i)
		why := ""
		switch f := c.Rows[i].Figure; {
		case r.Configurations[i].State == "failed":
			why = r.Configurations[i].Status
		case r.Configurations[i].Readings == 0:
			continue // nobody tried
		case !f.HasValue() && f.Remark != "":
			why = f.Remark
		case !f.HasValue():
			why = k.say.Say("insight.value.no-figure")
		case !slices.Contains(standing, i):
			why = k.say.Say("insight.value.apart")
		case !priced:
			why = k.say.Say("insight.value.no-cost-stated")
		default:
			continue
		}
		if names[why] == nil {
			reasons = append(reasons, why)
		}
		names[why] = append(names[why], r.name(i))
	}
	if len(reasons) == 0 {
		return ""
	}
	list := make([]string, len(reasons))
	for i, why := range reasons {
		list[i] = k.say.Say("insight.value.left-out-one", "configurations", joinWords(k.say, k.firstFew(names[why])), "why", why)
	}
	return k.say.Say("insight.value.left-out", "list", strings.Join(list, "; "))
}

// failuresOf says which of the configurations that a sentence names failed in some
// of their runs, each once.
func (r *Report) failuresOf(configurations []int) string {
	var said []string
	for i, c := range configurations {
		if status := r.failureOf(c); status != "" && !slices.Contains(configurations[:i], c) {
			said = append(said, r.work.say.Say("insight.failed", "configuration", r.name(c), "status", status))
		}
	}
	return strings.Join(said, " ")
}

// failureOf is how a configuration failed in some of its runs; empty for one that
// did not.
func (r *Report) failureOf(c int) string {
	if r.Configurations[c].State != "partly" {
		return ""
	}
	return r.Configurations[c].Status
}

// labelAndFailure is a configuration as a row of an insight names it.
func (r *Report) labelAndFailure(c int) string {
	if status := r.failureOf(c); status != "" {
		return r.work.say.Say("insight.failed-row", "configuration", r.label(c), "status", status)
	}
	return r.label(c)
}

func joinSentences(list ...string) string {
	return strings.Join(slices.DeleteFunc(list, func(s string) bool { return s == "" }), " ")
}

// powerUnit is the dimension of a power: kg·m²·s⁻³.
var powerUnit = project.Dimension{Mass: 1, Length: 2, Time: -3}

// energyUnit is the dimension of an energy.
var energyUnit = project.Dimension{Mass: 1, Length: 2, Time: -2}

// perWatt is the composite over every workload that is a power: performance
// for each watt against the baseline's. The two log ratios add, and so do
// their variances.
func (r *Report) perWatt() []Insight {
	k := r.work
	c := r.first()
	if c == nil {
		return nil
	}
	var out []Insight
	for w, workload := range r.Project.Workloads {
		if workload.Unit.Dimension != powerUnit || workload.Scale != project.RatioScale || workload.HigherBetter || slices.Contains(c.Workloads, w) {
			continue
		}
		type row struct {
			c      int
			figure Figure
		}
		var list []row
		for _, i := range r.standing() {
			if i == r.Baseline {
				continue
			}
			pair := onePair(i, r.Baseline)
			performance, s1, step, ok1 := k.meanEstimate(c.Workloads, c.Weights, pair)
			power, s2, _, ok2 := k.logContrast(w, pair)
			power = k.turnedTo(power, w, false)
			if !ok1 || !ok2 {
				continue
			}
			f := Figure{N: len(c.Workloads), Of: "workloads", Method: k.say.Say("figure.method.propagation")}
			k.finishRatio(&f, k.perWatt(c.Workloads, w, performance, power), weaker(s1, s2), math.Hypot(step, k.relativeStep(w, pair)))
			list = append(list, row{i, f})
		}
		if len(list) == 0 {
			continue
		}
		var figures []*Figure
		for i := range list {
			figures = append(figures, &list[i].figure)
		}
		k.correct(figures)
		slices.SortStableFunc(list, func(a, b row) int { return cmp.Compare(b.figure.Value, a.figure.Value) })
		best := list[0]
		key := "insight.per-watt.best"
		if best.figure.Value <= 1 || best.figure.Verdict == NoDifferenceSeen {
			key = "insight.per-watt.baseline"
		}
		text := k.say.Say(key, "workload", workload.Label, "configuration", r.name(best.c), "effect", k.ranged(best.figure), "baseline", r.name(r.Baseline))
		i := r.insight("per-watt", "index.html#insights", r.withUnheld(text, r.Baseline, best.c), "configuration", "per-watt", "interval")
		i.beside = append(i.beside, r.Baseline)
		for n, row := range list {
			if n == 2*mostRows {
				break
			}
			i.row(row.c, r.label(row.c), row.figure.Text, row.figure.Range)
		}
		out = append(out, i)
	}
	return out
}

// energy says who needs least energy for a job, for every workload that is an
// energy.
func (r *Report) energy() []Insight {
	k := r.work
	var out []Insight
	for w := range r.Workloads {
		workload := &r.Workloads[w]
		dimension := workload.Unit.Dimension
		dimension.Count = ""
		if dimension != energyUnit || workload.HigherBetter || len(workload.Order) < 2 || len(workload.Sentences) == 0 {
			continue
		}
		i := r.insight("energy", workload.Page+"#table", k.say.Say("insight.energy.best", "workload", workload.Label, "text", workload.Sentences[0].Text),
			"configuration", "value", "relative")
		for n, o := range workload.Order {
			if n == 2*mostRows {
				break
			}
			cell := &r.Cells[o.Configuration][w]
			i.row(o.Configuration, r.label(o.Configuration), k.ranged(cell.Centre), cell.Relative.Text)
		}
		out = append(out, i)
	}
	return out
}

// clockForClock divides the composite by a factor of numbers that is a
// frequency: what each configuration does with a clock, against the baseline.
func (r *Report) clockForClock() []Insight {
	k := r.work
	c := r.first()
	if c == nil || len(r.Configurations) < 2 {
		return nil
	}
	var out []Insight
	for f, factor := range r.Project.Factors {
		if factor.Unit.Dimension != (project.Dimension{Time: -1}) || factor.Role != project.Studied && factor.Role != project.Follows {
			continue
		}
		clock := func(i int) (float64, bool) {
			values := r.Space.ValuesOf(i, f)
			if len(values) != 1 || values[0].State != project.Known || !values[0].Numeric || !(values[0].Number > 0) {
				return 0, false
			}
			return values[0].Number, true
		}
		base, ok := clock(r.Baseline)
		if !ok {
			continue
		}
		type row struct {
			c      int
			figure Figure
		}
		var list []row
		varies := false
		for _, i := range r.standing() {
			x, ok := clock(i)
			if !ok || i == r.Baseline {
				continue
			}
			varies = varies || x != base
			e, state, step, ok := k.meanEstimate(c.Workloads, c.Weights, onePair(i, r.Baseline))
			if !ok {
				continue
			}
			e.Value -= math.Log(x / base)
			figure := Figure{N: len(c.Workloads), Of: "workloads", Method: k.say.Say("figure.method.propagation")}
			k.finishRatio(&figure, e, state, step)
			list = append(list, row{i, figure})
		}
		if !varies || len(list) == 0 {
			continue
		}
		slices.SortStableFunc(list, func(a, b row) int { return cmp.Compare(b.figure.Value, a.figure.Value) })
		best, worst := list[0], list[len(list)-1]
		text := k.say.Say("insight.clock-for-clock.best", "factor", factor.Label,
			"best", r.name(best.c), "best-effect", k.ranged(best.figure), "worst", r.name(worst.c), "worst-effect", k.ranged(worst.figure),
			"baseline", r.name(r.Baseline))
		i := r.insight("clock-for-clock", "index.html#insights", r.withUnheld(text, r.Baseline, best.c, worst.c), "configuration", "clock", "performance", "per-clock", "interval")
		i.beside = append(i.beside, r.Baseline)
		for n, row := range list {
			if n == 2*mostRows {
				break
			}
			i.row(row.c, r.label(row.c), r.levelOf(row.c, f), c.Rows[row.c].Figure.Short, row.figure.Text, row.figure.Range)
		}
		out = append(out, i)
	}
	return out
}
