package report

import (
	"cmp"
	"math"
	"slices"

	"benchwright/project"
	"benchwright/stats"
)

// fillEffects fits the model of all factors at once to every ratio-scale
// workload: ln performance = session + Σ effects + error, by least squares
// (readings need not be balanced). It stands beside the matched pairs.
func (r *Report) fillEffects() {
	k := r.work
	factors := r.modelFactors()
	if len(factors) == 0 {
		r.EffectsWhy = k.say.Say("effect.none-varies")
		return
	}
	var workloads []int
	work := 0
	columns := r.modelColumns(factors)
	for w, workload := range r.Project.Workloads {
		if workload.Scale != project.RatioScale {
			continue
		}
		workloads = append(workloads, w)
		rows := 0
		for c := range k.samples {
			rows += k.samples[c][w].n
		}
		work += rows * columns * columns
	}
	if work > mostWork {
		r.EffectsWhy = k.say.Say("effect.too-large")
		return
	}
	k.models = slices.DeleteFunc(r.fit(workloads, factors), func(m *fitted) bool { return m == nil })
	if len(k.models) == 0 {
		r.EffectsWhy = k.say.Say("effect.too-few")
		return
	}
	e := &Effects{Workloads: make([]ModelFit, len(k.models))}
	inFew(len(k.models), func(i int) { e.Workloads[i] = r.modelFit(k.models[i]) })
	r.Effects = e
	r.rankEffects()
}

// modelColumns is how many columns a model of the factors has.
func (r *Report) modelColumns(factors []int) int {
	columns := len(r.Project.Sessions)
	for _, f := range factors {
		seen := map[string]bool{}
		for c := range r.Project.Configurations {
			for _, v := range r.Space.ValuesOf(c, f) {
				seen[levelName(v.Value)] = true
			}
		}
		if r.Project.Factors[f].Numeric && len(seen) > mostSteps {
			columns++
		} else {
			columns += len(seen)
		}
	}
	return columns
}

// modelFit describes one fitted model.
func (r *Report) modelFit(m *fitted) ModelFit {
	k := r.work
	out := ModelFit{Workload: m.workload, N: m.design.Rows(), Parameters: m.model.Rank, DF: m.model.DF}
	if m.model.HasSpread {
		s := m.model.Sigma
		out.ResidualCV = Figure{State: Measured, Value: s, Low: s, High: s, N: out.N, Of: "readings", Text: k.num.share(s, significant(100*s, 2))}
		out.ResidualCV.Short = out.ResidualCV.Text
	}
	var list []*Figure
	for _, t := range m.terms {
		for _, step := range r.stepsOf(m, t) {
			f := r.Project.Factors[t.factor]
			c, ok := m.step(f.ID, t, step[0], step[1])
			if !ok {
				continue
			}
			e := ModelEffect{Factor: t.factor, From: r.level(f, step[0]), To: r.level(f, step[1]), Workload: m.workload}
			e.Label = k.say.Say("difference.step", "factor", f.Label, "from", e.From, "to", e.To)
			est, ok := m.estimate(c)
			if !ok {
				continue
			}
			e.Effect = k.modelFigure([]*fitted{m}, est)
			out.Effects = append(out.Effects, e)
		}
	}
	for i := range out.Effects {
		list = append(list, &out.Effects[i].Effect)
	}
	k.correct(list)
	out.Aliased = r.aliasWords(m)
	out.Checks = r.modelChecks(m)
	return out
}

// stepsOf lists the steps to show of a term: from the first level to each of
// the others, or from end to end of a factor that enters as a number.
func (r *Report) stepsOf(m *fitted, t modelTerm) [][2]project.Value {
	if t.number != nil {
		return [][2]project.Value{{t.low, t.high}}
	}
	values := map[string]project.Value{}
	for c := range r.Project.Configurations {
		for _, v := range r.Space.ValuesOf(c, t.factor) {
			values[levelName(v.Value)] = v.Value
		}
	}
	var out [][2]project.Value
	for _, level := range t.levels[1:] {
		out = append(out, [2]project.Value{values[t.levels[0]], values[level]})
	}
	return out
}

// modelFigure writes an effect of one or more models.
func (k *working) modelFigure(models []*fitted, e stats.Estimate) Figure {
	f := Figure{N: len(models), Of: "workloads", Method: k.say.Say("figure.method.model"), lessIsBetter: true}
	state, step := Measured, 0.0
	for _, m := range models {
		f.lessIsBetter = f.lessIsBetter && k.p.Workloads[m.workload].AsRead()
		if !m.model.HasSpread {
			state = SpreadUnknown
		}
		f.N = len(models)
		if len(models) == 1 {
			f.N, f.Of = m.design.Rows(), "readings"
		}
	}
	k.finishRatio(&f, e, state, step)
	return f
}

// overModels is the mean, over workloads, of a step in their models: the
// geometric mean of its ratios. Workloads without a model or in which the step
// cannot be told from others make it absent.
func (r *Report) overModels(workloads []int, contrast func(m *fitted) ([]float64, bool)) (e stats.Estimate, used []*fitted, ok bool) {
	var list []stats.Estimate
	var on []int
	share := 1 / float64(max(1, len(workloads)))
	asRead := r.work.allAsRead(workloads)
	for _, m := range r.work.models {
		if !slices.Contains(workloads, m.workload) {
			continue
		}
		c, ok := contrast(m)
		if !ok {
			return e, nil, false
		}
		one, ok := m.estimate(c)
		if !ok {
			return e, nil, false
		}
		one = r.work.turnedTo(one, m.workload, asRead)
		used = append(used, m)
		on = append(on, m.workload)
		list = append(list, stats.Estimate{Value: share * one.Value, SE: share * one.SE, DF: one.DF})
	}
	if len(used) == 0 || len(used) != len(workloads) {
		return e, nil, false
	}
	return r.work.sumOver(on, list), used, true
}

// compositeWorkloads are those of the default composite that have a model.
func (r *Report) compositeWorkloads() []int {
	var out []int
	for _, m := range r.work.models {
		w := r.Project.Workloads[m.workload]
		if w.Composite && w.Derived == nil {
			out = append(out, m.workload)
		}
	}
	return out
}

// rankEffects orders the studied factors by their largest step.
func (r *Report) rankEffects() {
	k := r.work
	workloads := r.compositeWorkloads()
	if len(workloads) == 0 {
		return
	}
	seen := map[int]bool{}
	for _, m := range k.models {
		for _, t := range m.terms {
			f := r.Project.Factors[t.factor]
			if seen[t.factor] || f.Role != project.Studied {
				continue
			}
			seen[t.factor] = true
			if best, ok := r.largestStep(m, t, workloads); ok {
				r.Effects.Ranking = append(r.Effects.Ranking, best)
			}
		}
	}
	size := func(e ModelEffect) float64 { return math.Abs(math.Log(e.Effect.Value)) }
	slices.SortStableFunc(r.Effects.Ranking, func(a, b ModelEffect) int { return cmp.Compare(size(b), size(a)) })
	var list []*Figure
	for i := range r.Effects.Ranking {
		list = append(list, &r.Effects.Ranking[i].Effect)
	}
	k.correct(list)
	r.Effects.Sentence = r.rankingSentence()
}

// largestStep is the step between any two levels of a factor that is worth
// most over the workloads, read upwards for numbers and otherwise so that it
// is a gain.
func (r *Report) largestStep(m *fitted, t modelTerm, workloads []int) (best ModelEffect, found bool) {
	f := r.Project.Factors[t.factor]
	steps := r.stepsOf(m, t)
	levels := []project.Value{steps[0][0]}
	for _, s := range steps {
		levels = append(levels, s[1])
	}
	for i := range levels {
		for j := i + 1; j < len(levels); j++ {
			from, to := levels[i], levels[j]
			if from.State != project.Known || to.State != project.Known {
				continue
			}
			contrast := func(m *fitted) ([]float64, bool) {
				for _, own := range m.terms {
					if own.factor == t.factor {
						return m.step(f.ID, own, from, to)
					}
				}
				return nil, false
			}
			e, used, ok := r.overModels(workloads, contrast)
			if !ok {
				continue
			}
			if e.Value < 0 && !f.Numeric {
				e.Value, from, to = -e.Value, to, from
			}
			if found && math.Abs(e.Value) <= math.Abs(math.Log(best.Effect.Value)) {
				continue
			}
			found = true
			best = ModelEffect{Factor: t.factor, From: r.level(f, from), To: r.level(f, to), Effect: r.work.modelFigure(used, e), Workload: -1}
			best.Label = r.work.say.Say("difference.step", "factor", f.Label, "from", best.From, "to", best.To)
		}
	}
	return best, found
}

// aliasWords says what the model leaves out and what it cannot tell apart.
func (r *Report) aliasWords(m *fitted) []string {
	k := r.work
	var out []string
	label := func(term string) string {
		if term == sessionTerm {
			return k.say.Say("effect.session")
		}
		for _, f := range r.Project.Factors {
			if f.ID == term {
				return f.Label
			}
		}
		return term
	}
	columns := m.design.Columns()
	for _, a := range m.aliases {
		name := label(columns[m.columns[a.Column]].Term)
		var with []string
		for _, other := range a.Of {
			if t := label(columns[m.columns[other.Column]].Term); t != name && !slices.Contains(with, t) {
				with = append(with, t)
			}
		}
		text := k.say.Say("effect.aliased-level", "factor", name)
		if len(with) > 0 {
			text = k.say.Say("effect.aliased", "factor", name, "others", joinWords(k.say, with))
		}
		if !slices.Contains(out, text) {
			out = append(out, text)
		}
	}
	var followers []string
	for _, f := range r.Project.Factors {
		if f.Role == project.Follows {
			followers = append(followers, f.Label)
		}
	}
	if len(followers) > 0 {
		out = append(out, k.say.Count("effect.followers", len(followers), "factors", joinWords(k.say, followers)))
	}
	return out
}

// modelChecks are the usual doubts about a model, in words.
func (r *Report) modelChecks(m *fitted) []ResidualCheck {
	k := r.work
	var out []ResidualCheck
	add := func(key string, p float64, gaps ...string) {
		passed := p > 1-k.level
		text := "effect.check." + key + ".fails"
		if passed {
			text = "effect.check." + key + ".passes"
		}
		out = append(out, ResidualCheck{
			Name: k.say.Say("effect.check." + key + ".name"), Passed: passed,
			Text: k.say.Say(text, append(gaps, "p", k.num.probability(p))...),
		})
	}
	if p, ok := m.lackOfFit(); ok {
		add("additive", p)
	}
	c, err := m.model.CheckResiduals()
	if err != nil {
		return out
	}
	if c.HasLargest {
		add("largest", c.LargestP, "configuration", r.Project.Configurations[m.configuration[c.LargestRow]].Label,
			"size", k.num.plain(math.Abs(c.Largest), 1))
	}
	if c.HasNormality {
		add("normal", c.NormalityP)
	}
	if c.HasSpreadTrend {
		add("spread", c.SpreadTrendP)
	}
	return out
}
