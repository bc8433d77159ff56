package report

import (
	"slices"
	"strconv"
	"strings"

	"benchwright/design"
	"benchwright/project"
)

// fillPairs lists every matched pair with its effect on every workload.
func (in *inquiry) fillPairs() {
	for _, p := range in.found.Pairs {
		if p.State == design.Awaiting {
			continue
		}
		row := PairEffect{From: p.From, To: p.To, Setting: in.setting(p)}
		for _, d := range in.r.differences(in.r.Space.Between(p.From, p.To, in.studied...)) {
			if d.Kind == "follower" {
				row.Followers = append(row.Followers, d)
			}
		}
		if p.State == design.Failed {
			row.Why = in.failure(p)
			in.out.FailedPairs = append(in.out.FailedPairs, row)
			continue
		}
		// Pairs that are summarised together are shown over the same workloads,
		// so that they can be held against one another.
		over := in.overall
		if slices.Contains(in.used, len(in.out.Pairs)) {
			over = in.out.OverallWorkloads
		}
		in.r.comparePair(&row, in.workloads, over)
		if !slices.Contains(in.used, len(in.out.Pairs)) && row.Overall.N > 0 {
			row.LeftOut = in.k.say.Count("answer.pair-left-out", row.Overall.N)
			if in.heldApart(p) {
				row.LeftOut = in.k.say.Say("answer.pair-apart")
			}
		}
		in.out.Pairs = append(in.out.Pairs, row)
	}
	var cells, overall []*Figure
	for i := range in.out.Pairs {
		overall = append(overall, &in.out.Pairs[i].Overall)
		for j := range in.out.Pairs[i].Workloads {
			cells = append(cells, &in.out.Pairs[i].Workloads[j].Effect)
		}
	}
	in.k.correct(overall)
	in.k.correct(cells)
}

// PairsText is the number of a question's matched pairs, and of how many its
// mean is taken where that leaves some out, as the headline counts them.
func (r *Report) PairsText(q *Answer) string {
	all := strconv.Itoa(len(q.Pairs))
	if q.Overall.State == Absent || q.OverallPairs == len(q.Pairs) {
		return all
	}
	return r.work.say.Say("answer.pairs-in-mean", "n", strconv.Itoa(q.OverallPairs), "of", all)
}

// Pair compares any two configurations (indices) on every workload, matched or
// not: Overall is the geometric mean over those that the default composite
// counts and both have, and the differences on single workloads are corrected
// for their number.
func (r *Report) Pair(from, to int) PairEffect {
	row := PairEffect{From: from, To: to}
	var all, overall []int
	for w, workload := range r.Project.Workloads {
		all = append(all, w)
		if workload.Scale == project.RatioScale && workload.Composite && workload.Derived == nil {
			overall = append(overall, w)
		}
	}
	r.comparePair(&row, all, overall)
	var list []*Figure
	for i := range row.Workloads {
		list = append(list, &row.Workloads[i].Effect)
	}
	r.work.correct(list)
	return row
}

// comparePair fills in a pair's effects, uncorrected.
func (r *Report) comparePair(row *PairEffect, workloads, overall []int) {
	k := r.work
	var common []int
	both := false
	row.SameSession = true
	linked := true
	for _, w := range workloads {
		a, b := &k.samples[row.From][w], &k.samples[row.To][w]
		if len(a.seen) > 0 && len(b.seen) > 0 {
			both = true
			if !sameSession(a, b) {
				row.SameSession = false
				third := k.link(w, row.To, row.From)
				linked = linked && third >= 0
				if third >= 0 && !slices.Contains(row.Through, third) {
					row.Through = append(row.Through, third)
				}
			}
			row.Uneven = row.Uneven || !proportional(a, b)
		}
		row.Workloads = append(row.Workloads, WorkloadEffect{
			Workload: w, Pairs: 1, Effect: r.pairEffect(row.From, row.To, w),
			Difference: r.Project.Workloads[w].Scale == project.IntervalScale,
		})
		if slices.Contains(overall, w) && a.usable && b.usable {
			common = append(common, w)
		}
	}
	if !linked {
		row.Through = nil
	}
	if len(row.Through) > 0 {
		ids := make([]string, len(row.Through))
		for i, c := range row.Through {
			ids[i] = r.Project.Configurations[c].ID
		}
		row.ThroughText = k.say.Say("answer.pair-through", "names", strings.Join(ids, ", "))
	}
	row.SameSession = row.SameSession && both
	if len(common) > 0 && row.From != row.To {
		row.Overall = k.meanOverWorkloads(common, nil, onePair(row.To, row.From))
		row.Overall.N, row.Overall.Of = len(common), "workloads"
	}
}

// pairEffect is one pair's effect on one workload, or why there is none.
func (r *Report) pairEffect(from, to, w int) Figure {
	for _, c := range []int{from, to} {
		if r.work.samples[c][w].Summary.N == 0 {
			return r.work.absent(c, w)
		}
	}
	if r.Project.Workloads[w].Scale == project.IntervalScale {
		return r.Difference(from, to, w)
	}
	return r.work.relative(from, to, w)
}

// failure says which side of a pair failed and how.
func (in *inquiry) failure(p design.Pair) string {
	var parts []string
	for _, c := range []int{p.From, p.To} {
		worst := project.OK
		any := false
		for _, w := range in.workloads {
			any = any || in.k.samples[c][w].n > 0
			if o := in.k.failure[c*len(in.r.Project.Workloads)+w]; worse(o, worst) {
				worst = o
			}
		}
		if !any && worst != project.OK {
			parts = append(parts, in.k.say.Say("answer.failed-side", "configuration", in.r.name(c), "outcome", in.k.say.Say("outcome."+worst.String())))
		}
	}
	if len(parts) == 0 {
		return in.k.say.Say("answer.failed-nothing-common")
	}
	return strings.Join(parts, "; ")
}
