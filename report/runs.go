package report

import (
	"cmp"
	"slices"

	"benchwright/project"
	"benchwright/stats"
)

// runsOf lists, for every workload, those whose runs its readings come from, in
// order: its own; of one that shares another's frame-time files, that one; of one
// that is computed from others, theirs.
func runsOf(p *project.Project) [][]int {
	out := make([][]int, len(p.Workloads))
	byID := map[string]int{}
	for w, workload := range p.Workloads {
		byID[workload.ID] = w
	}
	var visit func(w, depth int) []int
	visit = func(w, depth int) []int {
		workload := p.Workloads[w]
		var of []int
		if at, ok := byID[workload.FramesOf]; ok && workload.FramesOf != "" {
			of = append(of, at)
		} else if workload.Derived != nil {
			for _, t := range slices.Concat(workload.Derived.Times, workload.Derived.Over) {
				if at, ok := byID[t.Name]; ok && t.Name != "" {
					of = append(of, at)
				}
			}
		}
		var runs []int
		for _, at := range of {
			if at != w && depth < len(p.Workloads) { // the loader refuses circles
				runs = append(runs, visit(at, depth+1)...)
			}
		}
		if len(runs) == 0 {
			runs = append(runs, w)
		}
		slices.Sort(runs)
		return slices.Compact(runs)
	}
	for w := range out {
		out[w] = visit(w, 0)
	}
	return out
}

// RunsOf lists the workloads (indices) whose runs a workload's readings come
// from: itself alone, unless it is computed from the files or readings of others.
func (r *Report) RunsOf(w int) []int { return r.work.runs[w] }

// families sorts workloads into those that share runs, directly or by way of
// another of the list: the numbers of the families, in order of first mention.
func (k *working) families(workloads []int) []int {
	family := make([]int, len(workloads))
	for i, w := range workloads {
		family[i] = i
		for j := range i {
			if family[j] == family[i] || !slices.ContainsFunc(k.runs[workloads[j]], func(run int) bool { return slices.Contains(k.runs[w], run) }) {
				continue
			}
			low, high := min(family[i], family[j]), max(family[i], family[j])
			for at := range i + 1 {
				if family[at] == high {
					family[at] = low
				}
			}
		}
	}
	return family
}

// shareRuns says whether two of the workloads come from the same runs.
func (k *working) shareRuns(workloads []int) bool {
	for i, f := range k.families(workloads) {
		if f != i {
			return true
		}
	}
	return false
}

// sumOver adds estimates on workloads, one for each, the errors of which are
// independent between runs. Within a family that shares its runs what happened in
// a run is in all of them, and the correlation is not known: the standard errors
// add, as for a correlation coefficient of 1 (JCGM 100:2008, 5.2.2, note 1), which
// the error of no sum exceeds, with the least of the degrees of freedom.
func (k *working) sumOver(workloads []int, list []stats.Estimate) stats.Estimate {
	family := k.families(workloads)
	var sums []stats.Estimate
	for i := range list {
		if family[i] != i {
			continue
		}
		members := list[i : i+1]
		for j := i + 1; j < len(list); j++ {
			if family[j] == i {
				members = append(slices.Clone(members), list[j])
			}
		}
		sums = append(sums, asOne(members))
	}
	sortEstimates(sums)
	return sumOf(sums)
}

// perWatt is the mean over workloads per power, which is read in runs of its own
// unless it is computed from theirs.
func (k *working) perWatt(workloads []int, power int, performance, drawn stats.Estimate) stats.Estimate {
	list := []stats.Estimate{performance, drawn}
	for _, w := range workloads {
		if k.shareRuns([]int{w, power}) {
			return asOne(list)
		}
	}
	return sumOf(list)
}

// asOne adds estimates whose errors may go together in full.
func asOne(list []stats.Estimate) stats.Estimate {
	list = slices.Clone(list)
	sortEstimates(list)
	var out stats.Estimate
	for _, e := range list {
		out.Value += e.Value
		out.SE += e.SE
		if e.SE > 0 && e.DF > 0 && (out.DF == 0 || e.DF < out.DF) {
			out.DF = e.DF
		}
	}
	if len(list) == 1 {
		return list[0]
	}
	return out
}

// sharedRuns says, for the workloads of a mean, which of them come from the same
// runs; empty where each has runs of its own.
func (r *Report) sharedRuns(workloads []int) []string {
	k := r.work
	var out []string
	family := k.families(workloads)
	for i := range workloads {
		if family[i] != i {
			continue
		}
		var names []string
		for j, w := range workloads {
			if family[j] == i {
				names = append(names, r.Project.Workloads[w].Label)
			}
		}
		if len(names) > 1 {
			out = append(out, joinWords(k.say, names))
		}
	}
	return out
}

// sortEstimates sorts by size, so that the order of the workloads does not show in
// the last bit.
func sortEstimates(list []stats.Estimate) {
	slices.SortFunc(list, func(a, b stats.Estimate) int {
		return cmp.Or(cmp.Compare(a.Value, b.Value), cmp.Compare(a.SE, b.SE), cmp.Compare(a.DF, b.DF))
	})
}

// sharedRunsSentences says which workloads of a composite come from the same runs,
// each set once.
func (r *Report) sharedRunsSentences() []string {
	var out []string
	for i := range r.Composites {
		for _, names := range r.sharedRuns(r.Composites[i].Workloads) {
			if text := r.work.say.Say("method.shared-runs", "workloads", names); !slices.Contains(out, text) {
				out = append(out, text)
			}
		}
	}
	return out
}
