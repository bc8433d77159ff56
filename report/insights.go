package report

import (
	"cmp"
	"slices"
	"strings"

	"benchwright/design"
	"benchwright/project"
	"benchwright/stats"
)

// mostRows bounds the tables of insights: they point out, the tables of the
// report list.
const mostRows = 12

// fillInsights answers what testers ask beside the questions, most telling
// first. Each insight that the readings do not support is left out.
func (r *Report) fillInsights() {
	r.fillResponses()
	for _, find := range []func() (Insight, bool){
		r.largestEffect, r.bottlenecks, r.gainPerCost, r.lookAlikes, r.crossovers,
	} {
		if i, ok := find(); ok {
			r.Insights = append(r.Insights, i)
		}
	}
	r.Insights = append(r.Insights, r.targets()...)
	r.Insights = append(r.Insights, r.perWatt()...)
	r.Insights = append(r.Insights, r.energy()...)
	r.Insights = append(r.Insights, r.clockForClock()...)
	for n := range r.Insights {
		i := &r.Insights[n]
		i.Sentence.Text = r.withCautions(i.Sentence.Text, append(slices.Clone(i.RowConfigurations), i.beside...)...)
	}
}

func (r *Report) insight(kind, link, text string, header ...string) Insight {
	k := r.work
	i := Insight{Kind: kind, Title: k.say.Say("insight." + kind + ".title"), Sentence: Sentence{text, link}}
	for _, h := range header {
		i.Header = append(i.Header, k.say.Say("insight.column."+h))
	}
	return i
}

func (i *Insight) row(configuration int, cells ...string) {
	i.Rows = append(i.Rows, cells)
	i.RowConfigurations = append(i.RowConfigurations, configuration)
}

// label is a configuration as tables name it, name as sentences do.
func (r *Report) label(c int) string { return r.Project.Configurations[c].Label }

func (r *Report) name(c int) string { return r.work.quoted(r.label(c)) }

// names is the same for several beside each other.
func (r *Report) names(configurations []int) []string {
	labels := make([]string, len(configurations))
	for i, c := range configurations {
		labels[i] = r.label(c)
	}
	return r.work.quotedAlike(labels)
}

// moved lists what stands between two configurations, followers aside: a
// comparison with more than one difference is named as such wherever it
// appears.
func (r *Report) moved(a, b int) []string {
	var out []string
	for _, d := range r.Space.Between(a, b) {
		if d.Kind != design.Follower {
			out = append(out, r.Project.Factors[d.Factor].Label)
		}
	}
	return out
}

// movedSentence is empty for one difference, which needs no warning.
func (r *Report) movedSentence(a, b int) string {
	moved := r.moved(a, b)
	if len(moved) < 2 {
		return ""
	}
	return " " + r.work.say.Say("insight.moved", "factors", joinWords(r.work.say, moved))
}

// first is the report's first composite, over which insights look at
// performance as a whole; nil when there is none.
func (r *Report) first() *Composite {
	if len(r.Composites) == 0 || len(r.Composites[0].Workloads) == 0 {
		return nil
	}
	return &r.Composites[0]
}

// standing is the configurations with a composite figure, best first.
func (r *Report) standing() []int {
	c := r.first()
	if c == nil {
		return nil
	}
	var out []int
	for _, o := range c.Order {
		if !r.apartFromBaseline(o.Configuration, c.Workloads) {
			out = append(out, o.Configuration)
		}
	}
	return out
}

// apartFromBaseline says that on one of some workloads a configuration was not
// read in a session of the baseline, nor through another: what the sessions differ
// by is in its relative performance.
func (r *Report) apartFromBaseline(c int, workloads []int) bool {
	return slices.ContainsFunc(workloads, func(w int) bool { return r.Space.Sittings().ApartOn(r.Baseline, c, w) })
}

// withSessions adds to a sentence that names a configuration as the best that
// what its session differed by is in that.
func (r *Report) withSessions(text string, c int, workloads []int) string {
	if c == r.Baseline || !r.apartFromBaseline(c, workloads) {
		return text
	}
	return text + " " + r.work.say.Say("caution.apart", "configuration", r.name(c), "baseline", r.name(r.Baseline))
}

// compare is the composite's log ratio of two configurations.
func (r *Report) compare(a, b int) (stats.Estimate, FigureState, bool) {
	c := r.first()
	e, state, _, ok := r.work.meanEstimate(c.Workloads, c.Weights, onePair(a, b))
	return e, state, ok
}

// between is the same as a figure.
func (r *Report) between(a, b int) Figure {
	c := r.first()
	return r.work.meanOverWorkloads(c.Workloads, c.Weights, onePair(a, b))
}

// largestEffect orders the factors by what their largest step is worth in the
// model of all factors, and says where an answer has the figure to quote.
func (r *Report) largestEffect() (Insight, bool) {
	if r.Effects == nil || len(r.Effects.Ranking) < 2 {
		return Insight{}, false
	}
	text := r.rankingText()
	parts, sides := r.quotedPairs()
	if len(parts) > 0 {
		text += " " + r.work.say.Say("insight.largest-effect.pairs", "effects", strings.Join(parts, "; "))
	}
	i := r.insight("largest-effect", "method.html#model", text, "factor", "step", "effect", "interval")
	i.beside = append(r.beyondRanking(mostRows), sides...)
	for n, e := range r.Effects.Ranking {
		if n == mostRows {
			break
		}
		f := r.Project.Factors[e.Factor]
		i.row(-1, f.Label, r.work.say.Say("insight.step", "from", e.From, "to", e.To), e.Effect.Text, e.Effect.Range)
	}
	return i, true
}

// quotedPairs gives the answers whose own page says that the matched pairs are
// the figure to quote, where the ranking shows the same step with another, and
// the configurations of those pairs.
func (r *Report) quotedPairs() (parts []string, sides []int) {
	for n, e := range r.Effects.Ranking {
		if n == mostRows {
			break
		}
		for q := range r.Questions {
			a := &r.Questions[q]
			same := a.FromText == e.From && a.ToText == e.To || a.FromText == e.To && a.ToText == e.From
			if a.quotePairs && same && a.Factor == e.Factor && len(a.With) == 0 && a.Workloads == nil {
				parts = append(parts, r.work.say.Say("insight.largest-effect.answer", "ask", a.Ask, "effect", r.work.ranged(a.Overall)))
				for _, p := range a.Pairs {
					sides = append(sides, p.From, p.To)
				}
			}
		}
	}
	return parts, sides
}

// bottlenecks lists where a factor is not what limits a workload.
func (r *Report) bottlenecks() (Insight, bool) {
	k := r.work
	type found struct {
		w int
		p *Response
	}
	var list []found
	for w := range r.Workloads {
		for p := range r.Workloads[w].Responses {
			if response := &r.Workloads[w].Responses[p]; response.Bottleneck {
				list = append(list, found{w, response})
			}
		}
	}
	if len(list) == 0 {
		return Insight{}, false
	}
	slices.SortStableFunc(list, func(a, b found) int { return cmp.Compare(a.p.Elasticity.Value, b.p.Elasticity.Value) })
	columns := []string{"workload", "factor", "setting", "elasticity"}
	shares := slices.ContainsFunc(list[:min(mostRows, len(list))], func(f found) bool { return f.p.Untouched.Text != "" })
	if shares {
		columns = append(columns, "untouched")
	}
	i := r.insight("bottleneck", list[0].p.Sentence.Link, list[0].p.plain, columns...)
	for n, f := range list {
		if n == mostRows {
			break
		}
		i.beside = append(i.beside, f.p.configurations()...)
		cells := []string{r.Workloads[f.w].Label, r.Project.Factors[f.p.Factor].Label, f.p.Setting, k.ranged(f.p.Elasticity)}
		if shares {
			cells = append(cells, k.ranged(f.p.Untouched))
		}
		i.row(-1, cells...)
	}
	return i, true
}

// targets says, for each workload with a target, which of the configurations
// that reach it costs least, or without costs which reaches it most narrowly.
func (r *Report) targets() []Insight {
	k := r.work
	var out []Insight
	for w := range r.Workloads {
		workload := &r.Workloads[w]
		if !workload.HasTarget || len(workload.Order) == 0 {
			continue
		}
		link := workload.Page + "#table"
		reached := slices.Clone(workload.TargetReached)
		place := map[int]int{}
		for i, o := range workload.Order {
			place[o.Configuration] = i
		}
		priced := len(reached) > 0
		for _, c := range reached {
			_, ok := r.cost(c)
			priced = priced && ok
		}
		slices.SortStableFunc(reached, func(a, b int) int {
			x, _ := r.cost(a)
			y, _ := r.cost(b)
			if priced && x != y {
				return cmp.Compare(x, y)
			}
			return cmp.Compare(place[b], place[a])
		})
		text := k.say.Say("insight.target.none", "workload", workload.Label, "target", workload.TargetText)
		if len(reached) > 0 {
			key := "insight.target.least"
			switch {
			case len(reached) == 1:
				key = "insight.target.only"
			case priced:
				key = "insight.target.cheapest"
			}
			c := reached[0]
			cost, _ := r.cost(c)
			text = k.say.Say(key, "workload", workload.Label, "target", workload.TargetText, "configuration", r.name(c),
				"value", k.ranged(r.Cells[c][w].Centre), "cost", r.money(cost))
			if f := r.Cells[c][w].Centre; f.Confidence > 0 && f.Low <= workload.Target && workload.Target <= f.High {
				text += " " + k.say.Say("insight.target.narrow")
			}
			text = r.withUnheld(text, r.Baseline, c)
		} else if best := workload.Order[0].Configuration; true {
			text += " " + k.say.Say("insight.target.nearest", "configuration", r.name(best), "value", k.ranged(r.Cells[best][w].Centre))
			text = r.withCautions(r.withUnheld(text, r.Baseline, best), best)
		}
		i := r.insight("target", link, text, "configuration", "value", "cost")
		for n, c := range reached {
			if n == mostRows {
				break
			}
			cost := ""
			if v, ok := r.cost(c); ok {
				cost = r.money(v)
			}
			i.row(c, r.label(c), k.ranged(r.Cells[c][w].Centre), cost)
		}
		out = append(out, i)
	}
	return out
}

// cost is a configuration's own cost, else the sum of the costs of its levels
// where every studied factor that has costs gives one.
func (r *Report) cost(c int) (float64, bool) {
	configuration := r.Project.Configurations[c]
	if configuration.HasCost {
		return configuration.Cost, isFinite(configuration.Cost)
	}
	sum, found := 0.0, false
	for f, factor := range r.Project.Factors {
		priced := false
		for l := range factor.Levels {
			priced = priced || factor.Levels[l].HasCost
		}
		if !priced {
			continue
		}
		level := factor.Level(configuration.Values[f].Value)
		if configuration.Values[f].State != project.Known || level == nil || !level.HasCost {
			return 0, false
		}
		sum += level.Cost
		found = true
	}
	return sum, found && isFinite(sum)
}

// money writes an amount: whole where it is whole, else with two decimals.
func (r *Report) money(v float64) string {
	d := 2
	if v == float64(int64(v)) {
		d = 0
	}
	amount := r.work.num.plain(v, d)
	if r.Project.Currency == "" {
		return amount
	}
	return r.work.say.Say("cost.amount", "amount", amount, "currency", r.Project.Currency)
}
