package report

import (
	"math"
	"slices"

	"benchwright/project"
	"benchwright/stats"
)

// carry computes the cells of derived workloads whose parts were not taken in
// the same run, from the centres of the parts with their spreads carried
// through (JCGM 100:2008, 5.1.6).
func (k *working) carry() {
	byID := map[string]int{}
	for w, workload := range k.p.Workloads {
		byID[workload.ID] = w
	}
	k.parts = make([][]factorOf, len(k.p.Workloads))
	for w, workload := range k.p.Workloads {
		if workload.Derived == nil || workload.Scale != project.RatioScale {
			continue
		}
		for i, t := range slices.Concat(workload.Derived.Times, workload.Derived.Over) {
			power := 1.0
			if i >= len(workload.Derived.Times) {
				power = -1
			}
			if at, ok := byID[t.Name]; ok && t.Name != "" {
				k.parts[w] = append(k.parts[w], factorOf{at, power})
			}
		}
		for c := range k.samples {
			if s := &k.samples[c][w]; s.n == 0 {
				k.carryCell(s, k.samples[c], w)
			}
		}
	}
}

// factorOf is a workload in the formula of another: multiplied with power 1,
// divided by with −1.
type factorOf struct {
	workload int
	power    float64
}

// carryCell computes a cell from those of its parts in a row of a configuration.
func (k *working) carryCell(s *sample, row []sample, of int) {
	workload, parts := k.p.Workloads[of], k.parts[of]
	value, known := 1.0, true
	n := 0
	take := func(t project.Term, over bool) bool {
		v := t.Number * unitFactor(t.Unit)
		if t.Name != "" {
			if len(parts) == 0 {
				return false
			}
			w := parts[0].workload
			parts = parts[1:]
			if !row[w].usable || k.p.Workloads[w].Scale != project.RatioScale {
				return false
			}
			part := &row[w]
			v = part.centre * unitFactor(k.p.Workloads[w].Unit)
			known = known && part.spread != noSpread
			if n == 0 || part.n < n {
				n = part.n
			}
		}
		if over {
			value /= v
		} else {
			value *= v
		}
		return true
	}
	for _, t := range workload.Derived.Times {
		if !take(t, false) {
			return
		}
	}
	for _, t := range workload.Derived.Over {
		if !take(t, true) {
			return
		}
	}
	value /= unitFactor(workload.Unit)
	if !isFinite(value) || value <= 0 || len(k.parts[of]) == 0 {
		return
	}
	// Of 0 readings of its own; n says how many the weakest part has.
	s.centre, s.logCentre, s.usable = value, math.Log(value), true
	s.Mean, s.Median, s.Min, s.Max = value, value, value, value
	s.Summary.N = n
	if known {
		var relative []stats.Estimate
		var on []int
		for _, f := range powers(k.parts[of]) {
			relative = append(relative, stats.Estimate{SE: math.Abs(f.power) * row[f.workload].se, DF: row[f.workload].df})
			on = append(on, f.workload)
		}
		e := k.sumOver(on, relative)
		s.se, s.df, s.spread = e.SE, e.DF, carriedSpread
	}
}
