package report

import (
	"slices"

	"benchwright/design"
	"benchwright/project"
)

// mostSpoilt bounds the pairs that are looked at for the nearest one that was read.
const mostSpoilt = 20_000

// spoilt is a pair that was read on both sides and does not count.
type spoilt struct {
	from, to int
	between  []design.Difference
	// surroundings: nothing but what sessions state of them stands between.
	surroundings bool
	// unrecorded: nothing but what nobody wrote down does.
	unrecorded bool
}

// findSpoilt looks, where the matched pairs have still to be run, for the pair with
// readings on both sides that has least between them: whoever read it wants to know
// why it does not count. Of equals the one with the baseline, then the first.
func (in *inquiry) findSpoilt() *spoilt {
	r := in.r
	if in.out.Answerable || len(in.found.Pairs) == 0 || len(in.found.From)*len(in.found.To) > mostSpoilt ||
		slices.ContainsFunc(in.found.Pairs, func(p design.Pair) bool { return p.State != design.Awaiting }) {
		return nil
	}
	best, from, to := len(r.Project.Factors)+1, -1, -1
	for _, a := range in.found.From {
		for _, b := range in.found.To {
			p := design.Pair{From: a, To: b}
			if !slices.ContainsFunc(in.workloads, func(w int) bool { return in.read(p, w) }) {
				continue
			}
			n := r.Space.Independents(a, b, in.studied...)
			if n < 1 {
				continue
			}
			if n < best || n == best && from != r.Baseline && to != r.Baseline && (a == r.Baseline || b == r.Baseline) {
				best, from, to = n, a, b
			}
		}
	}
	if from < 0 {
		return nil
	}
	out := &spoilt{from: from, to: to, between: r.Space.Between(from, to, in.studied...), surroundings: true, unrecorded: true}
	for _, d := range out.between {
		if d.Kind.Spoils() {
			out.surroundings = out.surroundings && d.Kind != design.UnknownSide && r.Space.Surroundings(d.Factor)
			out.unrecorded = out.unrecorded && d.Kind == design.UnknownSide
		}
	}
	return out
}

// fillSpoilt shows the pair as the nearest there is, with what it would take first
// where that is less than to run another.
func (in *inquiry) fillSpoilt() {
	x := in.spoilt
	if x == nil {
		return
	}
	in.out.Nearest = append([]Nearest{in.nearest(x.from, x.to, x.between)}, in.out.Nearest...)
	in.out.Spoilt = true
	if x.surroundings && len(in.r.Space.BeyondPair(design.Pair{From: x.from, To: x.to})) == 0 {
		again := Missing{Based: x.from, Configuration: -1, Text: in.k.say.Say("answer.again-turns", "from", in.r.name(x.from), "to", in.r.name(x.to))}
		in.out.Missing = append([]Missing{again}, in.out.Missing...)
	}
}

// unrecordedOf lists what nobody wrote down of a pair that nothing else spoils.
func (in *inquiry) unrecordedOf(x *spoilt) (list []design.Unrecorded) {
	if x == nil || !x.unrecorded {
		return nil
	}
	for _, d := range x.between {
		for c, v := range map[int]project.Resolved{x.from: d.A, x.to: d.B} {
			if d.Kind.Spoils() && v.State != project.Known {
				list = append(list, design.Unrecorded{Configuration: c, Factor: d.Factor})
			}
		}
	}
	slices.SortFunc(list, func(a, b design.Unrecorded) int {
		if a.Configuration != b.Configuration {
			return a.Configuration - b.Configuration
		}
		return a.Factor - b.Factor
	})
	return list
}
