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
	apart := slices.ContainsFunc(in.used, func(i int) bool { return !within(&out.Pairs[i]) })
	model, pairs := k.modelFigure(used, e), out.Overall
	alone := !out.Answerable || pairs.State == Absent
	// A model that its own readings refute has nothing to say of any one step,
	// neither alone nor in agreement: its figure is a mean over unlike settings.
	if lack := k.lacking(used); lack > 0 {
		key := "effect.lack"
		if !alone && !apart {
			key = "effect.lack-pairs"
			out.quotePairs = model.Text != pairs.Text
		}
		out.ModelText = Sentence{k.say.Say(key, "n", strconv.Itoa(lack), "of", strconv.Itoa(len(used))), link}
		return
	}
	out.Model = model
	if alone {
		out.ModelText = Sentence{k.say.Say("effect.alone", "effect", k.ranged(model)), link}
		return
	}
	if agree(model, pairs) {
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
	if apart {
		out.ModelText = Sentence{k.say.Say("effect.disagrees.apart", "effect", k.ranged(model)), link}
		return
	}
	why := "effect.why.weights"
	if len(in.out.Question.Where) > 0 {
		why = "effect.why.where"
	}
	out.quotePairs = true
	key := "effect.disagrees.less"
	if model.Value > pairs.Value {
		key = "effect.disagrees.more"
	}
	out.ModelText = Sentence{k.say.Say(key, "effect", k.ranged(model), "why", k.say.Say(why)), link}
}

// agree says that a model's figure lies within the interval of the pairs. That
// the pairs lie within the model's says nothing: the less a model knows, the
// wider that is. Only where the pairs have no interval is there nothing else.
func agree(model, pairs Figure) bool {
	inside := func(v float64, f Figure) bool { return f.Confidence > 0 && f.Low <= v && v <= f.High }
	if pairs.Confidence > 0 {
		return inside(model.Value, pairs) || model.Text == pairs.Text
	}
	return inside(pairs.Value, model) || model.Text == pairs.Text
}

// lacking counts the models whose effects do not add up: each by a test of its
// own, as the method page shows it, since doubt costs no more than an inference.
func (k *working) lacking(models []*fitted) (n int) {
	for _, m := range models {
		if p, ok := m.lackOfFit(); ok && p <= 1-k.level {
			n++
		}
	}
	return n
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
