package design

import (
	"fmt"
	"math"
	"slices"

	"benchwright/schema"
	"benchwright/stats"
)

func compositeOverDifferentSets() Rule {
	return Rule{
		Name: "composite-over-different-sets", Group: Claims, Severity: schema.Notice,
		Title:  "A composite does not cover all its workloads everywhere",
		What:   "Some configuration has no ok reading of a workload that a composite covers and other configurations have. Configurations without any are left out, and so is what partial-workload or failure-left-out has said.",
		Why:    "A mean over five workloads and one over four are two different figures. Comparisons are therefore made over the workloads that both sides have, and the page says how many.",
		Remedy: "Read what is missing; or define the composite over the workloads that all have.",
		Source: "P. J. Fleming and J. J. Wallace, CACM 29(3), 1986.",
		look: func(in *inquiry) {
			for _, composite := range in.p.Composites {
				var lacking []int
				var workloads []string
				complete := false
				for c := range in.p.Configurations {
					var missing []string
					for _, w := range composite.Workloads {
						if !in.s.succeeded[c][w] && !in.told(c, w) {
							missing = append(missing, in.workloadID(w))
						}
					}
					switch {
					case !in.anyOf(c, composite.Workloads):
					case len(missing) == 0:
						complete = true
					default:
						lacking = append(lacking, c)
						workloads = append(workloads, missing...)
					}
				}
				if len(lacking) == 0 || !complete && !in.unequal(lacking, composite.Workloads) {
					continue
				}
				slices.Sort(workloads)
				workloads = slices.Compact(workloads)
				place := composite.Place
				if place.File == "" {
					place = schema.Place{File: "report.yaml"}
				}
				ids := in.s.configurationIDs(lacking)
				in.add(schema.Finding{Place: place, Workloads: workloads, Configurations: ids, Questions: in.questionsWith(lacking...),
					Message: fmt.Sprintf("the composite %q covers %s, but %s %s no ok reading of %s", composite.ID, countOf(len(composite.Workloads), "workload"),
						quoted(ids), has(len(ids)), quoted(workloads)),
					Remedy: "read what is missing, or define the composite over the workloads that all have"})
			}
		},
	}
}

// told reports whether partial-workload or failure-left-out has spoken of a
// workload on a configuration.
func (in *inquiry) told(c, w int) bool {
	return slices.ContainsFunc(in.findings, func(f schema.Finding) bool {
		return (f.Rule == "partial-workload" || f.Rule == "failure-left-out") && slices.Contains(f.Configurations, in.configurationID(c)) &&
			slices.Contains(f.Workloads, in.workloadID(w))
	})
}

// anyOf reports whether a configuration has an ok reading of some workload.
func (in *inquiry) anyOf(c int, workloads []int) bool {
	return slices.ContainsFunc(workloads, func(w int) bool { return in.s.succeeded[c][w] })
}

// unequal reports whether some configurations have readings of different sets
// of workloads.
func (in *inquiry) unequal(configurations, workloads []int) bool {
	return slices.ContainsFunc(configurations, func(c int) bool {
		return slices.ContainsFunc(workloads, func(w int) bool { return in.s.succeeded[c][w] != in.s.succeeded[configurations[0]][w] })
	})
}

func baselineReadsOdd() Rule {
	return Rule{
		Name: "baseline-reads-odd", Group: Claims, Severity: schema.Notice,
		Title: "Only the baseline's readings are unlike the others",
		What: "On a workload, four other configurations or more cannot be told from one another (all of them lie within two standard deviations of a single reading), " +
			"while the baseline differs from their mean by Student's t at 0.001, shared among the workloads, and by three such standard deviations.",
		Why:    "Then every relative figure shows the same gain or loss, and it is the baseline that makes it. The first configuration on a bench is often the one with a mistake in it.",
		Remedy: "Read the baseline again, last. If it stands, choose another configuration to compare with and say what is special about this one.",
		Source: "common practice, no source",
		look: func(in *inquiry) {
			workloads := in.readWorkloads()
			base := in.p.Baseline
			for _, w := range workloads {
				own := in.values(in.of(w, base).ok)
				var groups [][]float64
				var means []float64
				for _, g := range in.ofWorkload(w) {
					if g.configuration == base || len(g.ok) < 2 {
						continue
					}
					values := in.values(g.ok)
					mean, _ := stats.Mean(values)
					groups, means = append(groups, values), append(means, mean)
				}
				if len(own) < 2 || len(groups) < 4 {
					continue
				}
				apart := slices.Max(means) - slices.Min(means)
				// Mostly they are far apart, and the exact spread is dear.
				if rough, df := in.pooled(w, -1, func(x spread) float64 { return x.plain }); df > 0 && apart > 2.02*rough {
					continue
				}
				spread, err := stats.PooledSD(append(groups, own))
				if err != nil || spread.SD == 0 || apart > 2*spread.SD {
					continue
				}
				x, _ := stats.Mean(own)
				y, _ := stats.Mean(means)
				n := 0
				for _, g := range groups {
					n += len(g)
				}
				p, err := stats.Estimate{Value: x - y, SE: spread.SD * math.Sqrt(1/float64(len(own))+1/float64(n)), DF: spread.DF}.P(0)
				if err != nil || p > falseAlarm/float64(len(workloads)) || math.Abs(x-y) < 3*spread.SD {
					continue
				}
				id := in.configurationID(base)
				in.add(schema.Finding{Place: in.place(in.of(w, base).ok[0]), Workloads: []string{in.workloadID(w)}, Configurations: []string{id}, Questions: in.questionsWith(base),
					Message: fmt.Sprintf("on %q the %d other configurations read alike, and only the baseline %q is off, by %s (%s)", in.workloadID(w), len(groups), id,
						in.readingText(w, x-y), in.relativeText(w, x-y, y)),
					Remedy: "read the baseline again, last; if it stands, compare with another configuration"})
			}
		},
	}
}

func targetNeverReached() Rule {
	return Rule{
		Name: "target-never-reached", Group: Claims, Severity: schema.Notice,
		Title:  "No configuration reaches a workload's target",
		What:   "A workload declares a target, and no ok reading meets it in the workload's direction.",
		Why:    "Often the unit or the direction (`better`) is the wrong way round. If neither is, the page will say that nothing is good enough.",
		Remedy: "Check target, unit and direction.",
		Source: "common practice, no source",
		look: func(in *inquiry) {
			for _, w := range in.readWorkloads() {
				workload := in.p.Workloads[w]
				if !workload.HasTarget {
					continue
				}
				n, best := 0, math.NaN()
				for _, g := range in.ofWorkload(w) {
					for _, v := range in.values(g.ok) {
						if n++; n == 1 || (v > best) == workload.HigherBetter {
							best = v
						}
					}
				}
				if n == 0 || best == workload.Target || (best > workload.Target) == workload.HigherBetter {
					continue
				}
				in.add(schema.Finding{Place: workload.Place, Workloads: []string{workload.ID},
					Message: fmt.Sprintf("no reading of %q reaches its target of %s; the best is %s", workload.ID, withUnit(workload.Target, workload.Unit), withUnit(sigfigs(best, 4), workload.Unit)),
					Remedy:  "check the target, its unit and the direction"})
			}
		},
	}
}
