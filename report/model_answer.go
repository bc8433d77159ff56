package report

import (
	"slices"
	"strconv"
)

// fillModel holds the answer of the matched pairs against the model of all
// factors.
func (in *inquiry) fillModel() {
	r, k, out := in.r, in.k, in.out
	workloads := out.OverallWorkloads
	if !out.Answerable {
		workloads = r.compositeWorkloads()
	}
	if len(k.models) == 0 || len(workloads) == 0 {
		return
	}
	link := out.Page + "#model"
	e, used, ok := r.overModels(workloads, in.modelContrast)
	if !ok {
		out.ModelText = Sentence{k.say.Say("effect.not-estimable"), link}
		return
	}
	out.Model = k.modelFigure(used, e)
	if !out.Answerable || out.Overall.State == Absent {
		out.ModelText = Sentence{k.say.Say("effect.alone", "effect", k.ranged(out.Model)), link}
		return
	}
	pairs, model := out.Overall, out.Model
	inside := func(v float64, f Figure) bool { return f.Confidence > 0 && f.Low <= v && v <= f.High }
	if inside(model.Value, pairs) || inside(pairs.Value, model) || model.Text == pairs.Text {
		// Near one another they may claim different things all the same.
		switch {
		case pairs.Verdict == NoDifferenceSeen && (model.Verdict == Better || model.Verdict == Worse):
			out.ModelText = Sentence{k.say.Say("effect.sees", "effect", k.ranged(model)), link}
			return
		case model.Verdict == NoDifferenceSeen && (pairs.Verdict == Better || pairs.Verdict == Worse):
			out.ModelText = Sentence{k.say.Say("effect.sees-none", "effect", k.ranged(model)), link}
			return
		}
		out.ModelText = Sentence{k.say.Say("effect.agrees", "effect", k.ranged(model)), link}
		return
	}
	if slices.ContainsFunc(in.used, func(i int) bool { return !within(&out.Pairs[i]) }) {
		out.ModelText = Sentence{k.say.Say("effect.disagrees.apart", "effect", k.ranged(model)), link}
		return
	}
	var why []string
	lack := 0
	for _, m := range used {
		if p, ok := m.lackOfFit(); ok && p <= 1-k.level {
			lack++
		}
	}
	switch {
	case lack > 0:
		why = append(why, k.say.Say("effect.why.additive", "n", strconv.Itoa(lack), "of", strconv.Itoa(len(used))))
	case len(in.out.Question.Where) > 0:
		why = append(why, k.say.Say("effect.why.where"))
	}
	if len(why) == 0 {
		why = append(why, k.say.Say("effect.why.weights"))
	}
	out.quotePairs = true
	key := "effect.disagrees.less"
	if model.Value > pairs.Value {
		key = "effect.disagrees.more"
	}
	out.ModelText = Sentence{k.say.Say(key, "effect", k.ranged(model), "why", joinWords(k.say, why)), link}
}

// within says that what sessions differ by does not stand between the sides of a
// pair.
func within(p *PairEffect) bool { return p.SameSession || len(p.Through) > 0 }

// modelContrast is the question's step in a model, with the second differences
// that it allows as the first pair has them.
func (in *inquiry) modelContrast(m *fitted) ([]float64, bool) {
	q := in.out.Question
	sum := make([]float64, len(m.design.Columns()))
	found := false
	for _, t := range m.terms {
		from, to := q.From, q.To
		switch {
		case t.factor == q.Factor:
			found = true
		case slices.Contains(q.With, t.factor) && len(in.found.Pairs) > 0:
			p := in.found.Pairs[0]
			from, to = in.r.Space.ValuesOf(p.From, t.factor)[0].Value, in.r.Space.ValuesOf(p.To, t.factor)[0].Value
		default:
			continue
		}
		c, ok := m.step(in.r.Project.Factors[t.factor].ID, t, from, to)
		if !ok {
			return nil, false
		}
		for j := range c {
			sum[j] += c[j]
		}
	}
	return sum, found
}
