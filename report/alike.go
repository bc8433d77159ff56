package report

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"benchwright/project"
	"benchwright/stats"
)

const (
	// alikeWithin is how narrow the interval of a ratio must be for two
	// configurations to be called alike; a wider one only says that too little
	// is known.
	alikeWithin = 0.03
	// mostCompared bounds the configurations that are compared two by two.
	mostCompared = 40
)

// lookAlikes finds pairs of configurations that differ from the baseline, in
// different ways, and come out equal: this change is worth that one. Only
// neighbours in the order can be alike, so that the work grows with their
// number and not with its square. It needs r.Questions.
func (r *Report) lookAlikes() (Insight, bool) {
	k := r.work
	c := r.first()
	standing := r.standing()
	type pair struct {
		a, b   int // a costs less, where costs are known
		figure Figure
		saving float64
		priced bool
	}
	var list []pair
	apart := r.toldApart()
	changed := func(i int) bool {
		v := c.Rows[i].Figure.Verdict
		return v == Better || v == Worse
	}
	for i, a := range standing {
		if !changed(a) {
			continue
		}
		for _, b := range standing[i+1:] {
			if c.Rows[a].Figure.Value > c.Rows[b].Figure.Value*(1+alikeWithin) || len(list) > 20*mostRows {
				break
			}
			if !changed(b) || apart[[2]int{min(a, b), max(a, b)}] {
				continue
			}
			f := r.between(a, b)
			if f.Confidence == 0 || f.Verdict != NoDifferenceSeen || f.High/f.Low > (1+alikeWithin)*(1+alikeWithin) {
				continue
			}
			p := pair{a: a, b: b, figure: f}
			x, ok1 := r.cost(a)
			y, ok2 := r.cost(b)
			if p.priced = ok1 && ok2; p.priced {
				if p.saving = y - x; p.saving < 0 {
					p.a, p.b, p.saving = b, a, -p.saving
					p.figure = r.between(b, a)
				}
			}
			list = append(list, p)
		}
	}
	if len(list) == 0 {
		return Insight{}, false
	}
	slices.SortStableFunc(list, func(x, y pair) int {
		return cmp.Or(cmp.Compare(y.saving, x.saving), cmp.Compare(math.Abs(math.Log(x.figure.Value)), math.Abs(math.Log(y.figure.Value))))
	})
	best := list[0]
	key := "insight.look-alikes.equal"
	if best.priced && best.saving > 0 {
		key = "insight.look-alikes.cheaper"
	}
	i := r.insight("look-alikes", "index.html#relative", k.say.Say(key, "a", r.name(best.a), "b", r.name(best.b),
		"effect", k.ranged(best.figure), "saving", r.money(best.saving))+r.movedSentence(best.a, best.b), "configuration", "alike", "difference", "interval", "saving", "moved")
	i.Sentence.Text = joinSentences(r.withUnheld(i.Sentence.Text, best.b, best.a), r.failuresOf([]int{best.a, best.b}))
	for n, p := range list {
		if n == mostRows {
			break
		}
		saving := ""
		if p.priced {
			saving = r.money(p.saving)
		}
		i.beside = append(i.beside, p.b)
		i.row(p.a, r.labelAndFailure(p.a), r.labelAndFailure(p.b), p.figure.Text, p.figure.Range, saving, strings.Join(r.moved(p.a, p.b), ", "))
	}
	return i, true
}

// toldApart lists the matched pairs of the questions that see a difference
// overall, the lower index first: a mean over several pairs sees what one pair
// alone does not, and its two sides are not called alike beside it. Where the
// effect depends on another factor there may be none in one of the pairs, which
// is worth telling.
func (r *Report) toldApart() map[[2]int]bool {
	out := map[[2]int]bool{}
	for i := range r.Questions {
		q := &r.Questions[i]
		if q.Overall.Verdict != Better && q.Overall.Verdict != Worse ||
			slices.ContainsFunc(q.Dependence, func(d Dependence) bool { return d.Depends && d.Workload < 0 }) {
			continue
		}
		for _, p := range q.Pairs {
			if p.LeftOut == "" {
				out[[2]int{min(p.From, p.To), max(p.From, p.To)}] = true
			}
		}
	}
	return out
}

// crossovers finds pairs of which one wins on one workload and the other on
// another, both beyond the noise after correction over the pair's workloads
// (Holm) and over all the pairs that are looked through (Bonferroni), of which the
// foremost is shown. With many configurations only the foremost are compared.
func (r *Report) crossovers() (Insight, bool) {
	k := r.work
	standing := r.standing()
	standing = standing[:min(len(standing), mostCompared)]
	type cross struct {
		a, b, here, there int
		size              float64
	}
	var list []cross
	pairs := len(standing) * (len(standing) - 1) / 2
	for i, a := range standing {
		for _, b := range standing[i+1:] {
			here, there, size, ok := r.cross(a, b, pairs)
			if ok {
				list = append(list, cross{a, b, here, there, size})
			}
		}
	}
	if len(list) == 0 {
		return Insight{}, false
	}
	slices.SortStableFunc(list, func(x, y cross) int { return cmp.Compare(y.size, x.size) })
	best := list[0]
	name := func(w int) string { return r.Project.Workloads[w].Label }
	i := r.insight("crossover", "index.html#relative", k.say.Say("insight.crossover.best", "a", r.name(best.a), "b", r.name(best.b),
		"here", name(best.here), "here-effect", k.ranged(k.relative(best.b, best.a, best.here)),
		"there", name(best.there), "there-effect", k.ranged(k.relative(best.a, best.b, best.there)))+r.movedSentence(best.a, best.b),
		"configuration", "wins-on", "other", "wins-on", "moved")
	i.Sentence.Text = r.withUnheld(i.Sentence.Text, best.b, best.a)
	for n, x := range list {
		if n == mostRows {
			break
		}
		i.beside = append(i.beside, x.b)
		i.row(x.a, r.label(x.a), k.say.Say("answer.on-workload", "workload", name(x.here), "effect", k.relative(x.b, x.a, x.here).Text),
			r.label(x.b), k.say.Say("answer.on-workload", "workload", name(x.there), "effect", k.relative(x.a, x.b, x.there).Text), strings.Join(r.moved(x.a, x.b), ", "))
	}
	return i, true
}

// cross looks on which workload a beats b by most and on which b beats a, each
// as one of so many pairs that are searched; size is the smaller of the two.
func (r *Report) cross(a, b, pairs int) (here, there int, size float64, ok bool) {
	k := r.work
	type one struct {
		w int
		e stats.Estimate
	}
	var list []one
	gains, losses := false, false
	for w, workload := range r.Project.Workloads {
		if workload.Scale != project.RatioScale || !workload.Composite || workload.Derived != nil {
			continue
		}
		e, state, _, ok := k.logContrast(w, onePair(a, b))
		if !ok || state == SpreadUnknown || e.SE == 0 {
			continue
		}
		list = append(list, one{w, e})
		gains = gains || e.Value > 1.9*e.SE
		losses = losses || e.Value < -1.9*e.SE
	}
	if !gains || !losses {
		return 0, 0, 0, false
	}
	p := make([]float64, len(list))
	for i, o := range list {
		var ok bool
		if p[i], ok = pValue(o.e); !ok {
			p[i] = 1
		}
	}
	adjusted, err := stats.Holm(p)
	if err != nil {
		return 0, 0, 0, false
	}
	most, least := 0.0, 0.0
	for i, o := range list {
		if adjusted[i]*float64(pairs) > 1-k.level {
			continue
		}
		if o.e.Value > most {
			most, here = o.e.Value, o.w
		}
		if o.e.Value < least {
			least, there = o.e.Value, o.w
		}
	}
	return here, there, min(most, -least), most > 0 && least < 0
}
