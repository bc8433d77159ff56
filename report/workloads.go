package report

import (
	"cmp"
	"math"
	"slices"

	"benchwright/project"
	"benchwright/stats"
)

// fillWorkloads makes the column head and the page of every workload: its
// definition, order with ties, failures, target and pooled spread.
func (r *Report) fillWorkloads() {
	k := r.work
	for w, workload := range r.Project.Workloads {
		out := Workload{Workload: workload, Page: "workloads/" + workload.ID + ".html"}
		out.Better = k.say.Say("workload.lower")
		if workload.HigherBetter {
			out.Better = k.say.Say("workload.higher")
		}
		out.Order = k.order(w)
		for c := range k.samples {
			if s := r.Cells[c][w].Centre.State; s == Failed {
				out.Failures = append(out.Failures, c)
			}
		}
		r.fillTarget(&out)
		out.Pooled = k.pooledFigure(w)
		out.Definition = r.definition(workload)
		out.Sentences = r.workloadSentences(&out)
		r.Workloads = append(r.Workloads, out)
	}
}

// order ranks every configuration with a value, best first: by centre, and where
// it was not read in the baseline's sessions equally often by the centre that it
// has if the baseline has its own, so that a bad day of either is not in the order.
func (k *working) order(w int) []Ranked {
	workload := k.p.Workloads[w]
	var list []int
	level := make([]float64, len(k.samples))
	for c := range k.samples {
		if s := &k.samples[c][w]; s.Summary.N > 0 && s.usable {
			list = append(list, c)
			level[c] = k.besideBaseline(w, c)
		}
	}
	slices.SortStableFunc(list, func(a, b int) int {
		x, y := level[a], level[b]
		if workload.HigherBetter {
			x, y = y, x
		}
		return cmp.Compare(x, y)
	})
	return ranked(list, func(best, other int) bool {
		pair := onePair(best, other)
		if k.declared[w] > 0 && math.Abs(level[best]-level[other]) < k.declared[w]*(1-1e-9) {
			return true
		}
		if workload.Scale == project.IntervalScale {
			f, e := k.differenceEstimate(w, pair, 1, "readings")
			return f.Verdict == NoDifferenceSeen || k.cannotTellAmong(len(list)-1, e, f.State)
		}
		e, state, _, ok := k.logContrast(w, pair)
		return !ok || k.cannotTellAmong(len(list)-1, e, state)
	})
}

// besideBaseline is a cell's centre as it would be if it had been read in the
// baseline's sessions.
func (k *working) besideBaseline(w, c int) float64 {
	s, base := &k.samples[c][w], k.p.Baseline
	if base < 0 || base >= len(k.samples) || !k.samples[base][w].usable {
		return s.centre
	}
	b := &k.samples[base][w]
	_, composed := k.composed(w, c, base)
	if x, _ := k.sides(w, c, base); !composed && x == s {
		return s.centre
	}
	e := k.pairEstimate(w, c, base)
	level := b.centre + e.Value
	if k.p.Workloads[w].Scale == project.RatioScale {
		level = b.centre * math.Exp(e.Value)
	}
	if !isFinite(level) {
		return s.centre
	}
	return level
}

func (r *Report) fillTarget(out *Workload) {
	w := out.Workload
	if !w.HasTarget || !isFinite(w.Target) {
		return
	}
	k := r.work
	d := significant(w.Target, 3)
	if w.Target == math.Trunc(w.Target) {
		d = 0
	}
	out.TargetText = withUnit(k.num.plain(w.Target, d), w.Unit.Symbol)
	for c := range k.samples {
		s := &k.samples[c][w.Index]
		if s.Summary.N > 0 && reaches(w, s.centre) {
			out.TargetReached = append(out.TargetReached, c)
		}
	}
}

func reaches(w *project.Workload, v float64) bool {
	if w.HigherBetter {
		return v >= w.Target
	}
	return v <= w.Target
}

// pooledFigure is the spread that the workload's repeated cells share.
func (k *working) pooledFigure(w int) Figure {
	p := k.pools[w]
	if p.groups == 0 {
		return Figure{}
	}
	f := Figure{State: Measured, Value: p.sd, Low: p.sd, High: p.sd, N: p.groups, Of: "cells", Method: k.say.Say("figure.method.pooled")}
	// σ lies between s·√(df/χ²) at the two tails.
	low, err1 := stats.ChiSquareQuantile(0.5+k.level/2, p.df)
	high, err2 := stats.ChiSquareQuantile(0.5-k.level/2, p.df)
	if err1 == nil && err2 == nil && high > 0 && p.sd > 0 {
		a, b := p.sd*math.Sqrt(p.df/low), p.sd*math.Sqrt(p.df/high)
		if isFinite(a, b) {
			f.Low, f.High, f.Confidence = a, b, k.level
		}
	}
	if k.p.Workloads[w].Scale == project.RatioScale {
		f.Text = k.num.share(p.sd, significant(100*p.sd, 2))
	} else {
		f.Text = withUnit(k.num.plain(p.sd, significant(p.sd, 2)), k.p.Workloads[w].Unit.Symbol)
	}
	f.Short = f.Text
	return f
}

// definition lists what the workload is, for its page.
func (r *Report) definition(w *project.Workload) []Pair {
	k := r.work
	var out []Pair
	add := func(key, text string) {
		if text != "" {
			out = append(out, Pair{k.say.Say("workload.label." + key), text})
		}
	}
	add("metric", w.Metric)
	unit := w.Unit.Symbol
	if unit == "" {
		unit = k.say.Say("unit.none")
	}
	add("unit", unit)
	if w.HigherBetter {
		add("direction", k.say.Say("workload.higher"))
	} else {
		add("direction", k.say.Say("workload.lower"))
	}
	add("scale", k.say.Say("workload.scale."+w.Scale.String()))
	add("centre", k.say.Say("workload.centre."+w.Centre.String()))
	if w.Resolution > 0 {
		add("resolution", withUnit(k.num.plain(w.Resolution, significant(w.Resolution, 2)), unit))
	}
	add("version", w.Version)
	add("command", w.Command)
	add("how", w.How)
	add("source", w.Source)
	for _, i := range r.Project.Instruments {
		if i.ID == w.Instrument {
			add("instrument", i.Label)
		}
	}
	if w.Reading != nil {
		add("reading", r.FormulaText(w.Reading))
	}
	if w.Derived != nil {
		add("derived", r.FormulaText(w.Derived))
	}
	if w.FrameTimes != "" {
		add("frame-times", k.say.Say("workload.frames."+w.FrameTimes))
	}
	return out
}

// FormulaText writes a product over a product with labels: "power × time".
func (r *Report) FormulaText(f *project.Formula) string {
	side := func(terms []project.Term) string {
		text := ""
		for i, t := range terms {
			name := t.Text
			if t.Name == "reading" {
				name = r.work.say.Say("workload.reading")
			} else if t.Name != "" {
				name = t.Name
				for _, w := range r.Project.Workloads {
					if w.ID == t.Name {
						name = w.Label
					}
				}
			}
			if name == "" {
				name = withUnit(r.work.num.plain(t.Number, significant(t.Number, 6)), t.Unit.Symbol)
			}
			if i > 0 {
				text += nbsp + times + nbsp
			}
			text += name
		}
		return text
	}
	text := side(f.Times)
	if len(f.Over) > 0 {
		over := side(f.Over)
		if len(f.Over) > 1 {
			over = "(" + over + ")"
		}
		text += nbsp + "÷" + nbsp + over
	}
	return text
}
