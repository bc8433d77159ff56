package report

import (
	"math"
	"slices"

	"benchwright/cores"
	"benchwright/project"
	"benchwright/stats"
)

// term is a configuration with its weight in a contrast: +1 and −1 for a pair,
// ±1/n for the mean of n pairs. Weights sum to nought.
type term struct {
	configuration int
	weight        float64
}

// gather joins terms of the same configuration, so that a configuration that
// stands in several pairs counts with its true weight and its error once, and
// orders them by configuration.
func gather(terms []term) []term {
	if len(terms) == 2 && terms[0].configuration < terms[1].configuration {
		return terms
	}
	sorted := slices.Clone(terms)
	slices.SortStableFunc(sorted, func(a, b term) int { return a.configuration - b.configuration })
	out := sorted[:0]
	for _, t := range sorted {
		if n := len(out); n > 0 && out[n-1].configuration == t.configuration {
			out[n-1].weight += t.weight
			continue
		}
		out = append(out, t)
	}
	return slices.DeleteFunc(out, func(t term) bool { return math.Abs(t.weight) < 1e-12 })
}

// logContrast is Σ weight · ln performance over cells of one ratio-scale
// workload: the logarithm of a ratio, or of a geometric mean of ratios. Errors
// of cells are independent and their variances add; where all cells were read
// in the same sessions in the same proportions, what the sessions differ by is
// taken out first. ok is false when a cell has no usable value.
func (k *working) logContrast(w int, terms []term) (e stats.Estimate, state FigureState, method string, ok bool) {
	terms = gather(terms)
	if k.p.Workloads[w].Scale != project.RatioScale {
		return e, NotComparable, "", false
	}
	var room [8]stats.Estimate
	var places [8]*sample
	list, samples := room[:0], places[:0]
	for _, t := range terms {
		s := &k.samples[t.configuration][w]
		if !s.usable {
			return e, Absent, "", false
		}
		weight := t.weight
		if !k.p.Workloads[w].HigherBetter {
			weight = -weight
		}
		list = append(list, stats.Estimate{Value: weight * s.logCentre, SE: math.Abs(weight) * s.se, DF: s.df})
		samples = append(samples, s)
	}
	e = sumOf(list)
	state = k.compareSpread(samples...)
	method = "figure.method.log-ratio"
	if state == SpreadUnknown {
		e.SE, e.DF = 0, 0
		return e, state, "", isFinite(e.Value)
	}
	if se, df, within := k.withinSessions(w, terms); within {
		e.SE, e.DF, method = se, df, "figure.method.sessions"
	}
	return e, state, method, isFinite(e.Value, e.SE, e.DF)
}

// relativeStep is what the instruments' steps amount to in a contrast,
// relative: it bounds the digits shown.
func (k *working) relativeStep(w int, terms []term) float64 {
	sum := 0.0
	for _, t := range terms {
		if s := &k.samples[t.configuration][w]; s.centre != 0 {
			x := t.weight * k.step[w] / s.centre
			sum += x * x
		}
	}
	if !isFinite(sum) {
		return 0
	}
	return math.Sqrt(sum)
}

// withinSessions is the standard error of a contrast when all its cells were
// read in the same two or more sessions in the same proportions. What sessions
// differ by then cancels in any contrast, and the spread that is left is that
// of the additive model cell + session (a randomised block: NIST/SEMATECH
// e-Handbook 5.3.3.2), with a common variance. With one reading per session it
// is the paired t interval.
func (k *working) withinSessions(w int, terms []term) (se, df float64, ok bool) {
	workload := k.p.Workloads[w]
	if workload.Centre == project.Median || len(terms) == 0 {
		return 0, 0, false
	}
	first := &k.samples[terms[0].configuration][w]
	sessions := first.blocks
	if len(sessions) < 2 {
		return 0, 0, false
	}
	total := first.n
	for _, t := range terms[1:] {
		s := &k.samples[t.configuration][w]
		if !proportional(first, s) {
			return 0, 0, false
		}
		total += s.n
	}
	df = float64(total - len(terms) - len(sessions) + 1)
	if df < 2 {
		return 0, 0, false
	}
	ss, ok := k.blockResiduals(w, terms, len(sessions))
	sd := math.Sqrt(ss / df)
	// Readings that differ by whole sessions alone leave nothing but rounding.
	if !ok || !(sd > 1e-12) {
		return 0, 0, false
	}
	weights := 0.0
	for _, t := range terms {
		s := &k.samples[t.configuration][w]
		step := k.step[w]
		if workload.Scale == project.RatioScale {
			step /= s.centre
		}
		if s.spread != ownSpread || sd < step/2 {
			return 0, 0, false
		}
		weights += t.weight * t.weight / float64(s.n)
	}
	return sd * math.Sqrt(weights), df, true
}

type sessionCount struct {
	session int32
	n       int
}

// countSessions adds a sample's readings by session to a list; nothing when
// some have no session and so belong to no block.
func countSessions(s *sample, into []sessionCount) []sessionCount {
	from := len(into)
	for _, o := range s.seen {
		if o.session < 0 {
			return into[:from]
		}
		if n := len(into); n > from && into[n-1].session == o.session {
			into[n-1].n++
			continue
		}
		into = append(into, sessionCount{o.session, 1})
	}
	return into
}

// proportional says whether two samples were read in the same sessions in the
// same proportions.
func proportional(a, b *sample) bool {
	if len(a.blocks) != len(b.blocks) {
		return false
	}
	for i, c := range a.blocks {
		if d := b.blocks[i]; c.session != d.session || c.n*b.n != d.n*a.n {
			return false
		}
	}
	return true
}

// blockResiduals is the residual sum of squares of cell + session, fitted by
// the means, which is least squares where the counts are proportional; of
// logarithms on a ratio scale. Two passes, in an order that the rows of the
// files do not decide.
func (k *working) blockResiduals(w int, terms []term, sessions int) (float64, bool) {
	logs := k.p.Workloads[w].Scale == project.RatioScale
	var room [16]float64
	block := room[:]
	if 2*sessions > len(room) {
		block = make([]float64, 2*sessions)
	}
	block, count := block[:sessions], block[sessions:2*sessions]
	grand, n := 0.0, 0.0
	for _, t := range terms {
		s := &k.samples[t.configuration][w]
		if logs && s.logs == nil {
			return 0, false
		}
		at := 0
		for b, c := range s.blocks {
			for range c.n {
				block[b] += s.value(at, logs)
				at++
			}
			count[b] += float64(c.n)
		}
		n += float64(s.n)
	}
	for b := range block {
		grand += block[b]
		block[b] /= count[b]
	}
	grand /= n
	ss := 0.0
	for _, t := range terms {
		s := &k.samples[t.configuration][w]
		mean := s.Mean
		if logs {
			mean = s.meanLog
		}
		at := 0
		for b, c := range s.blocks {
			for range c.n {
				e := s.value(at, logs) - mean - block[b] + grand
				ss += e * e
				at++
			}
		}
	}
	return ss, isFinite(ss)
}

// value is an observation as it is compared.
func (s *sample) value(i int, logs bool) float64 {
	if logs {
		return s.logs[i]
	}
	return s.seen[i].value
}

// sameSession says whether two samples share a session.
func sameSession(a, b *sample) bool {
	for _, o := range a.seen {
		if o.session >= 0 && slices.ContainsFunc(b.seen, func(p observation) bool { return p.session == o.session }) {
			return true
		}
	}
	return false
}

// inRows runs f for 0 … n−1, on all cores when there are enough rows to pay.
// Every row writes only what is its own, so the result is the same on any
// number of cores.
func inRows(n int, f func(i int)) { cores.InBlocks(n, 64, f) }
