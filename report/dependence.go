package report

import (
	"cmp"
	"iter"
	"math"
	"slices"
	"strings"

	"benchwright/design"
	"benchwright/project"
	"benchwright/stats"
)

// mostLevels is how many levels of another factor are compared two by two;
// with more, the first and the last stand for the rest.
const mostLevels = 6

// strand is the pairs at one level of another factor.
type strand struct {
	level  string
	number float64
	place  int
	pairs  []int // indices into inquiry.pairs
	rest   []string
}

// fillDependence looks whether the effect depends on another factor: the
// effects at two of its levels are compared, over pairs that agree in
// everything else, by a contrast of their log ratios; p-values corrected over
// all such tests of the question (Holm).
func (in *inquiry) fillDependence() {
	if len(in.counted()) < 2 {
		return
	}
	var overall, single []dependenceTest
	for _, f := range in.settings {
		strands := in.strands(f)
		if len(strands) < 2 {
			continue
		}
		if len(in.used) > 0 {
			overall = append(overall, in.test(f, -1, in.out.OverallWorkloads, strands)...)
			in.out.Dependence = append(in.out.Dependence, in.describe(f, -1, in.out.OverallWorkloads, strands))
		}
		for _, e := range in.out.ByWorkload {
			w := e.Workload
			if in.allHave(strands, w) && (e.Difference || len(in.overall) > 1 && slices.Contains(in.overall, w)) {
				single = append(single, in.test(f, w, []int{w}, strands)...)
			}
		}
	}
	in.judge(overall, in.out.Dependence)
	// Of the single workloads only those are listed on which it does depend.
	adjust(single)
	done := map[[2]int]bool{}
	for _, t := range single {
		key := [2]int{t.factor, t.workload}
		if t.adjusted > 1-in.k.level || done[key] {
			continue
		}
		done[key] = true
		d := in.describe(t.factor, t.workload, []int{t.workload}, in.strands(t.factor))
		in.judge(onlyOf(single, t.factor, t.workload), []Dependence{d})
		d.Tested, d.Depends, d.P, d.Family = true, true, leastOf(single, t.factor, t.workload), len(single)
		in.out.Dependence = append(in.out.Dependence, d)
	}
	for i := range in.out.Dependence {
		d := &in.out.Dependence[i]
		d.Sentence = in.dependenceSentence(d)
		if d.Tested {
			d.Chance = in.k.chanceShare(d.P)
		}
	}
}

// counted are the pairs that the overall effect is taken over; without one, on
// interval scales alone, all that are not held apart by their sessions.
func (in *inquiry) counted() []int {
	if len(in.used) > 0 {
		return in.used
	}
	var all []int
	for i, p := range in.pairs {
		if !in.heldApart(p) {
			all = append(all, i)
		}
	}
	return all
}

// dependenceTest compares the effects at two levels.
type dependenceTest struct {
	factor, workload int
	p, adjusted      float64
}

func onlyOf(tests []dependenceTest, factor, workload int) []dependenceTest {
	var out []dependenceTest
	for _, t := range tests {
		if t.factor == factor && t.workload == workload {
			out = append(out, t)
		}
	}
	return out
}

func leastOf(tests []dependenceTest, factor, workload int) float64 {
	least := 1.0
	for _, t := range onlyOf(tests, factor, workload) {
		least = min(least, t.adjusted)
	}
	return least
}

func adjust(tests []dependenceTest) {
	p := make([]float64, len(tests))
	for i, t := range tests {
		p[i] = t.p
	}
	adjusted, err := stats.Holm(p)
	for i := range tests {
		tests[i].adjusted = 1
		if err == nil {
			tests[i].adjusted = adjusted[i]
		}
	}
}

// judge writes what the tests say into the dependences that they are about.
func (in *inquiry) judge(tests []dependenceTest, list []Dependence) {
	adjust(tests)
	for i := range list {
		d := &list[i]
		if own := onlyOf(tests, d.Factor, d.Workload); len(own) > 0 {
			d.Tested, d.Family = true, len(tests)
			d.P = leastOf(tests, d.Factor, d.Workload)
			d.Depends = d.P <= 1-in.k.level
		}
	}
}

// strands groups the counted pairs by their level of a factor, numbers rising,
// else in the order of bench.yaml.
func (in *inquiry) strands(f int) []strand {
	factor := in.r.Project.Factors[f]
	var out []strand
	for _, i := range in.counted() {
		p := in.pairs[i]
		v := in.r.Space.ValuesOf(p.From, f)[0].Value
		if v.State != project.Known {
			continue
		}
		level := in.r.level(factor, v)
		at := slices.IndexFunc(out, func(s strand) bool { return s.level == level })
		if at < 0 {
			s := strand{level: level, number: v.Number, place: len(factor.Levels)}
			for l := range factor.Levels {
				if factor.Levels[l].Value.Text == v.Text {
					s.place = l
				}
			}
			at = len(out)
			out = append(out, s)
		}
		out[at].pairs = append(out[at].pairs, i)
		out[at].rest = append(out[at].rest, in.restOf(p, f))
	}
	slices.SortStableFunc(out, func(a, b strand) int {
		if factor.Numeric {
			return cmp.Compare(a.number, b.number)
		}
		return cmp.Compare(a.place, b.place)
	})
	return out
}

// restOf names a pair's setting in all other respects.
func (in *inquiry) restOf(p design.Pair, except int) string {
	var b strings.Builder
	for _, f := range in.settings {
		if f != except && !in.r.followsAny(f, []int{except}) {
			b.WriteString(in.r.levelOf(p.From, f))
			b.WriteByte(0)
		}
	}
	return b.String()
}

func (in *inquiry) allHave(strands []strand, w int) bool {
	for _, s := range strands {
		for _, i := range s.pairs {
			if !in.has(in.pairs[i], w) {
				return false
			}
		}
	}
	return true
}

// comparable gives, for every two levels that are held against each other, the
// pairs of both at the settings that both have; of many levels the outermost two.
func comparable(strands []strand) iter.Seq2[[]int, []int] {
	return func(yield func(a, b []int) bool) {
		for i := range strands {
			for j := i + 1; j < len(strands); j++ {
				if len(strands) > mostLevels && (i != 0 || j != len(strands)-1) {
					continue
				}
				if a, b := alike(strands[i], strands[j]); len(a) > 0 && !yield(a, b) {
					return
				}
			}
		}
	}
}

// test compares the effect at every two levels, over settings that both have.
func (in *inquiry) test(f, workload int, workloads []int, strands []strand) []dependenceTest {
	var out []dependenceTest
	for a, b := range comparable(strands) {
		contrast := meanOf(in.pairs, b)
		for _, p := range meanOf(in.pairs, a) {
			contrast = append(contrast, pairing{p.to, p.from, -p.weight})
		}
		e, state, ok := in.meanOn(workloads, contrast)
		if !ok || state == SpreadUnknown {
			continue
		}
		if p, ok := pValue(e); ok {
			out = append(out, dependenceTest{factor: f, workload: workload, p: p})
		}
	}
	return out
}

// meanOn is the contrast over workloads, or on one with an interval scale the
// difference in its unit.
func (in *inquiry) meanOn(workloads []int, contrast []pairing) (e stats.Estimate, state FigureState, ok bool) {
	if w, interval := in.differenceOn(workloads); interval {
		f, e := in.k.differenceEstimate(w, contrast, len(contrast), "pairs")
		return e, f.State, f.HasValue()
	}
	e, state, _, ok = in.k.meanEstimate(workloads, nil, contrast)
	return e, state, ok
}

// differenceOn says that there is one workload, with an interval scale.
func (in *inquiry) differenceOn(workloads []int) (w int, interval bool) {
	if len(workloads) != 1 {
		return 0, false
	}
	w = workloads[0]
	return w, in.r.Project.Workloads[w].Scale == project.IntervalScale
}

// untested says why no two levels of a factor could be held against each
// other: the pairs differ in more than the factor, or nothing is known of the
// spread.
func (in *inquiry) untested(f int, workloads []int) string {
	k, strands := in.k, in.strands(f)
	together, unknown := true, false
	for a, b := range comparable(strands) {
		together = false
		_, state, _ := in.meanOn(workloads, meanOf(in.pairs, slices.Concat(a, b)))
		unknown = unknown || state == SpreadUnknown
	}
	switch {
	case together:
		var others []string
		for _, g := range in.settings {
			if g != f && !in.r.followsAny(g, []int{f}) && in.differsAcross(strands, g) {
				others = append(others, k.say.Say("answer.quoted", "text", in.r.Project.Factors[g].Label))
			}
		}
		return k.say.Say("answer.depends.why.together", "factor", in.r.Project.Factors[f].Label, "others", joinWords(k.say, others))
	case unknown:
		return k.say.Say("answer.depends.why.repeats")
	}
	return k.say.Say("answer.depends.why.readings")
}

// differsAcross says whether pairs of different strands have different levels
// of a factor.
func (in *inquiry) differsAcross(strands []strand, g int) bool {
	for i := range strands {
		for j := i + 1; j < len(strands); j++ {
			for _, x := range strands[i].pairs {
				for _, y := range strands[j].pairs {
					if in.r.levelOf(in.pairs[x].From, g) != in.r.levelOf(in.pairs[y].From, g) {
						return true
					}
				}
			}
		}
	}
	return false
}

// alike picks, of two strands, the pairs whose setting occurs in the other.
func alike(a, b strand) (fromA, fromB []int) {
	for i, rest := range a.rest {
		if slices.Contains(b.rest, rest) {
			fromA = append(fromA, a.pairs[i])
		}
	}
	for i, rest := range b.rest {
		if slices.Contains(a.rest, rest) {
			fromB = append(fromB, b.pairs[i])
		}
	}
	return fromA, fromB
}

// describe gives the effect at each level, over the settings that all levels
// have where there are such.
func (in *inquiry) describe(f, workload int, workloads []int, strands []strand) Dependence {
	d := Dependence{Factor: f, Workload: workload}
	shared := slices.Clone(strands[0].rest)
	for _, s := range strands[1:] {
		shared = slices.DeleteFunc(shared, func(rest string) bool { return !slices.Contains(s.rest, rest) })
	}
	for _, s := range strands {
		which := s.pairs
		if len(shared) > 0 {
			which = nil
			for i, rest := range s.rest {
				if slices.Contains(shared, rest) {
					which = append(which, s.pairs[i])
				}
			}
		}
		step := DependenceStep{Level: s.level, Number: s.number}
		if w, interval := in.differenceOn(workloads); interval {
			step.Effect = in.k.difference(w, meanOf(in.pairs, which), len(which), "pairs")
		} else {
			step.Effect = in.k.meanOverWorkloads(workloads, nil, meanOf(in.pairs, which))
		}
		step.Effect.N, step.Effect.Of = len(which), "pairs"
		d.Steps = append(d.Steps, step)
	}
	return d
}

// widen replaces the interval of the overall effect where the pairs disagree
// by more than their readings explain and by more than the factors on which
// the effect depends explain: what is left is then the error of the mean, with
// a degree of freedom for each pair beyond the explained groups. With too few
// pairs for that the interval speaks of these very settings, and the sentence
// says how far the pairs lie apart.
func (in *inquiry) widen() {
	if len(in.used) < 2 || in.out.Overall.State == SpreadUnknown || in.out.Overall.Confidence == 0 {
		return
	}
	var explains []int
	for _, d := range in.out.Dependence {
		if d.Depends && d.Workload < 0 {
			explains = append(explains, d.Factor)
		}
	}
	type group struct{ values, variances []float64 }
	groups := map[string]*group{}
	var order []string
	for _, i := range in.used {
		p := in.pairs[i]
		e, _, _, ok := in.k.meanEstimate(in.out.OverallWorkloads, nil, onePair(p.To, p.From))
		if !ok {
			return
		}
		key := ""
		for _, f := range explains {
			key += in.r.levelOf(p.From, f) + "\x00"
		}
		if groups[key] == nil {
			groups[key] = &group{}
			order = append(order, key)
		}
		groups[key].values = append(groups[key].values, e.Value)
		groups[key].variances = append(groups[key].variances, e.SE*e.SE)
	}
	n := float64(len(in.used))
	df := n - float64(len(order))
	if df < 2 {
		return
	}
	between, within := 0.0, 0.0
	for _, key := range order {
		g := groups[key]
		mean := 0.0
		for i, v := range g.values {
			mean += v / float64(len(g.values))
			within += g.variances[i] / n
		}
		for _, v := range g.values {
			between += (v - mean) * (v - mean)
		}
	}
	if !(within > 0) || !(between > 0) {
		return
	}
	e, state, step, ok := in.k.meanEstimate(in.out.OverallWorkloads, nil, meanOf(in.pairs, in.used))
	p, err := stats.ChiSquareUpper(between/within, df)
	if e.DF > 0 {
		p, err = stats.FUpper(between/df/within, df, e.DF)
	}
	if err != nil || p > 1-in.k.level {
		return
	}
	se := math.Sqrt(between / df / n)
	if !ok || in.k.quantile(df)*se <= in.k.quantile(e.DF)*e.SE {
		return
	}
	e.SE, e.DF = se, df
	f := Figure{N: len(in.used), Of: "pairs", Method: in.k.say.Say("figure.method.between-pairs"), lessIsBetter: in.out.Overall.lessIsBetter}
	in.k.finishRatio(&f, e, state, step)
	f.Remark = in.k.say.Say("answer.pairs-disagree")
	in.out.Overall = f
	in.widened = true
}
