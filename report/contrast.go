package report

import (
	"math"
	"slices"

	"benchwright/cores"
	"benchwright/project"
	"benchwright/stats"
)

// term is a configuration with its weight in a contrast. Weights sum to nought.
type term struct {
	configuration int
	weight        float64
}

// pairing is a comparison of two configurations with its weight in a contrast:
// 1 for a pair, 1/n in the mean of n pairs, less than nought where it is taken
// off.
type pairing struct {
	to, from int
	weight   float64
}

// onePair is the contrast of a pair.
func onePair(to, from int) []pairing { return []pairing{{to, from, 1}} }

// gather joins the sides of pairs by configuration, so that one that stands in
// several pairs counts with its true weight and its error once, in order of
// configuration.
func gather(pairs []pairing) []term {
	terms := make([]term, 0, 2*len(pairs))
	for _, p := range pairs {
		terms = append(terms, term{p.to, p.weight}, term{p.from, -p.weight})
	}
	slices.SortStableFunc(terms, func(a, b term) int { return a.configuration - b.configuration })
	out := terms[:0]
	for _, t := range terms {
		if n := len(out); n > 0 && out[n-1].configuration == t.configuration {
			out[n-1].weight += t.weight
			continue
		}
		out = append(out, t)
	}
	return slices.DeleteFunc(out, func(t term) bool { return math.Abs(t.weight) < 1e-12 })
}

// part is what one configuration adds to a contrast: a weight times its centre.
type part struct {
	*sample
	weight float64
}

// variance is what it adds to that of the contrast for a spread of 1.
func (p part) variance() float64 {
	if p.shares == nil {
		return p.weight * p.weight / float64(p.n)
	}
	total := 0.0
	for b, c := range p.blocks {
		x := p.weight * p.shares[b]
		total += x * x / float64(c.n)
	}
	return total
}

// logContrast is Σ weight · ln(performance of to / performance of from), or of the
// readings where they do not count as performance, over pairs on one ratio-scale
// workload: the logarithm of a ratio, or of a geometric
// mean of ratios. Each pair is compared as sides says. Errors of cells are
// independent and their variances add, unless what the sessions differ by
// cancels and is taken out (withinSessions). ok is false when a cell has no
// usable value.
func (k *working) logContrast(w int, pairs []pairing) (e stats.Estimate, state FigureState, method string, ok bool) {
	workload := k.p.Workloads[w]
	if workload.Scale != project.RatioScale {
		return e, NotComparable, "", false
	}
	if !k.allUsable(w, pairs) {
		return e, Absent, "", false
	}
	sum, composed := k.computed(w, pairs)
	if !composed && len(pairs) == 1 {
		if sum, composed = k.composed(w, pairs[0].to, pairs[0].from); composed {
			sum.Value, sum.SE = pairs[0].weight*sum.Value, math.Abs(pairs[0].weight)*sum.SE
		}
	}
	if !composed {
		var room [8]part
		value, parts, blocked := k.contrast(w, pairs, room[:0])
		sum = k.summed(w, value, parts, blocked)
	}
	e = sum.Estimate
	if workload.Turned {
		e.Value = -e.Value
	}
	return e, sum.state, sum.method, isFinite(e.Value, e.SE, e.DF)
}

// estimate is the estimate of a contrast on the scale on which its workload is
// compared, in the readings' own direction. The error is nought where nothing is
// known of the spread.
type estimate struct {
	stats.Estimate
	state  FigureState
	method string // key of its name
	n      int    // readings of the side that has fewest
}

// summed is the estimate of a contrast that contrast has taken apart.
func (k *working) summed(w int, value float64, parts []part, blocked bool) estimate {
	var places [8]stats.Estimate
	list := places[:0]
	out := estimate{state: compareSpread(parts)}
	borrowed := 0.0
	for i, p := range parts {
		if out.state == SpreadBorrowed && p.n > 0 {
			borrowed += k.lentVariance(w, p)
		} else {
			list = append(list, stats.Estimate{SE: math.Abs(p.weight) * p.se, DF: p.df})
		}
		if i == 0 || p.Summary.N < out.n {
			out.n = p.Summary.N
		}
	}
	if borrowed > 0 {
		// One spread for all, as is assumed of those that have none of their own:
		// it is known with its degrees of freedom, however many borrow it.
		list = append(list, stats.Estimate{SE: k.lent[w].sd * math.Sqrt(borrowed), DF: k.lent[w].df})
	}
	out.Estimate = sumOf(list)
	out.Value = value
	ratio := k.p.Workloads[w].Scale == project.RatioScale
	if out.state == SpreadUnknown {
		out.SE, out.DF = 0, 0
		return out
	}
	out.method = "figure.method.welch"
	if ratio {
		out.method = "figure.method.log-ratio"
	}
	if blocked {
		if se, df, within := k.withinSessions(w, parts); within {
			out.SE, out.DF, out.method, out.state = se, df, "figure.method.sessions-difference", Measured
			if ratio {
				out.method = "figure.method.sessions"
			}
		}
	}
	return out
}

// pairEstimate is to minus from.
func (k *working) pairEstimate(w, to, from int) estimate {
	if sum, ok := k.composed(w, to, from); ok {
		return sum
	}
	var room [2]part
	value, parts, blocked := k.contrast(w, onePair(to, from), room[:0])
	return k.summed(w, value, parts, blocked)
}

// composed is the estimate of a pair that is not made of its two cells alone: of
// cells that share no session, each against a third in the sessions that it
// shares with that, of which the difference is taken (an indirect comparison:
// H. C. Bucher and others, J. Clin. Epidemiol. 50, 1997, 683–691, from memory);
// of computed cells, their parts. ok is false for all others.
func (k *working) composed(w, to, from int) (out estimate, ok bool) {
	x, y := &k.samples[to][w], &k.samples[from][w]
	if to == from || !x.usable || !y.usable {
		return out, false
	}
	if x.n == 0 && y.n == 0 {
		return k.computed(w, onePair(to, from))
	}
	third := k.link(w, to, from)
	if third < 0 {
		return out, false
	}
	e := k.pairEstimate(w, from, third)
	e.Value = -e.Value
	out = together([]estimate{k.pairEstimate(w, to, third), e}, sumOf)
	if out.state != SpreadUnknown {
		out.method = "figure.method.linked"
	}
	return out, true
}

// computed is the estimate of a contrast of cells that were all computed from
// others: the sum of their parts' own, each times its power in the formula, so
// that a part is compared as it is anywhere else.
func (k *working) computed(w int, pairs []pairing) (out estimate, ok bool) {
	if len(k.parts[w]) == 0 {
		return out, false
	}
	for _, p := range pairs {
		if k.samples[p.to][w].n > 0 || k.samples[p.from][w].n > 0 {
			return out, false
		}
	}
	var terms []estimate
	var on []int
	for _, f := range powers(k.parts[w]) {
		var e estimate
		if len(pairs) == 1 {
			e = k.pairEstimate(f.workload, pairs[0].to, pairs[0].from)
			e.Value, e.SE = pairs[0].weight*e.Value, math.Abs(pairs[0].weight)*e.SE
		} else {
			value, parts, blocked := k.contrast(f.workload, pairs, nil)
			e = k.summed(f.workload, value, parts, blocked)
		}
		e.Value, e.SE = f.power*e.Value, math.Abs(f.power)*e.SE
		terms, on = append(terms, e), append(on, f.workload)
	}
	out = together(terms, func(list []stats.Estimate) stats.Estimate { return k.sumOver(on, list) })
	if out.state != SpreadUnknown {
		out.method = "figure.method.log-ratio"
	}
	return out, true
}

// powers joins the factors of a formula by workload.
func powers(parts []factorOf) []factorOf {
	var out []factorOf
	for _, f := range parts {
		if i := slices.IndexFunc(out, func(g factorOf) bool { return g.workload == f.workload }); i >= 0 {
			out[i].power += f.power
			continue
		}
		out = append(out, f)
	}
	return slices.DeleteFunc(out, func(f factorOf) bool { return f.power == 0 })
}

// together is the sum of estimates, added as sum does.
func together(terms []estimate, sum func([]stats.Estimate) stats.Estimate) estimate {
	out := estimate{state: Measured}
	list := make([]stats.Estimate, len(terms))
	for i, e := range terms {
		list[i] = e.Estimate
		if i == 0 || e.n < out.n {
			out.n = e.n
		}
		out.state = weaker(out.state, e.state)
	}
	if out.Estimate = sum(list); out.state == SpreadUnknown {
		out.SE, out.DF = 0, 0
	}
	return out
}

// link gives the configuration through which two cells that share no session are
// compared: of those that were read in a session of each, the one with the most
// readings to go by, the first of equals; −1 for none. It must have been in one
// state on either side: what it has become between is not what the sessions
// differ by. What its readings on the one side and on the other have in common is
// no session, so that their errors are independent.
func (k *working) link(w, to, from int) int {
	x, y := &k.samples[to][w], &k.samples[from][w]
	if to == from || len(x.blocks) == 0 || len(y.blocks) == 0 || len(k.twice[w]) == 0 || sameSession(x, y) {
		return -1
	}
	best, most := -1, 0.0
	for _, c := range k.twice[w] {
		if c == to || c == from {
			continue
		}
		third := &k.samples[c][w]
		a, b := weightOf(x, third), weightOf(y, third)
		if weight := a * b / (a + b); a > 0 && b > 0 && weight > most*(1+1e-9) && k.sameState(c, third, x, y) {
			best, most = c, weight
		}
	}
	return best
}

// sameState says that a configuration was in one state in all sessions in which it
// was read beside either of two others.
func (k *working) sameState(c int, third, x, y *sample) bool {
	first := int32(-1)
	for _, b := range third.blocks {
		switch {
		case !readIn(x, b.session) && !readIn(y, b.session):
		case first < 0:
			first = b.session
		case !k.sittings.SameState(c, first, b.session):
			return false
		}
	}
	return true
}

// weightOf is Σ n₁n₂/(n₁+n₂) over the sessions that two samples share: the
// inverse of their difference's variance for a spread of 1.
func weightOf(x, y *sample) float64 {
	total := 0.0
	for _, a := range x.blocks {
		for _, b := range y.blocks {
			if a.session == b.session {
				total += float64(a.n) * float64(b.n) / float64(a.n+b.n)
			}
		}
	}
	return total
}

// lentVariance is what a part adds for a spread that is lent to it: a median of
// several readings varies by more than their mean.
func (k *working) lentVariance(w int, p part) float64 {
	v := p.variance()
	if k.p.Workloads[w].Centre == project.Median && p.n > 1 {
		v *= medianInflation * medianInflation
	}
	return v
}

func (k *working) allUsable(w int, pairs []pairing) bool {
	for _, p := range pairs {
		if !k.samples[p.to][w].usable || !k.samples[p.from][w].usable {
			return false
		}
	}
	return true
}

// contrast takes a contrast apart into its cells, appended to into. value is in
// logarithms of the readings on a ratio scale, in their unit on an interval
// scale; blocked says that the sessions cancel in it.
func (k *working) contrast(w int, pairs []pairing, into []part) (value float64, parts []part, blocked bool) {
	if len(pairs) == 1 {
		p := pairs[0]
		to, from := k.sides(w, p.to, p.from)
		value = p.weight * (k.compared(w, to) - k.compared(w, from))
		return value, append(into, part{to, p.weight}, part{from, -p.weight}), sameBlocks(to, from)
	}
	if plain, alike := k.asRead(w, pairs); plain {
		for _, t := range gather(pairs) {
			s := &k.samples[t.configuration][w]
			value += t.weight * k.compared(w, s)
			into = append(into, part{s, t.weight})
		}
		return value, into, alike
	}
	return k.contrastBySessions(w, pairs, into)
}

// compared is a sample's centre on the scale on which it is compared.
func (k *working) compared(w int, s *sample) float64 {
	if k.p.Workloads[w].Scale == project.RatioScale {
		return s.logCentre
	}
	return s.centre
}

// relativeStep is what the instruments' steps amount to in a contrast,
// relative: it bounds the digits shown.
func (k *working) relativeStep(w int, pairs []pairing) float64 {
	sum := 0.0
	var room [2]term
	terms := room[:]
	if len(pairs) == 1 {
		terms[0], terms[1] = term{pairs[0].to, pairs[0].weight}, term{pairs[0].from, -pairs[0].weight}
	} else {
		terms = gather(pairs)
	}
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

// inRows runs f for 0 … n−1, on all cores when there are enough rows to pay.
// Every row writes only what is its own, so the result is the same on any
// number of cores.
func inRows(n int, f func(i int)) { cores.InBlocks(n, 64, f) }
