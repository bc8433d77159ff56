package record

import (
	"math"
	"slices"

	"benchwright/project"
	"benchwright/stats"
)

// Expectation is what a reading should be near, judging by the others.
type Expectation struct {
	// Known is false when there is nothing to judge by.
	Known bool
	// Low to High holds what would surprise nobody, Middle is in the middle;
	// in the unit in which the workload is shown.
	Low, Middle, High float64
	// Repeats counts readings of the cell itself; 0 when the expectation comes
	// from other configurations and workloads.
	Repeats int
}

// Expect says what a reading of a workload on a configuration should be near:
// its own repeats when there are any, otherwise the workload's middle moved by
// how the configuration did on other workloads.
func Expect(p *project.Project, configuration, workload int) Expectation {
	own := values(p, configuration, workload)
	if len(own) > 0 {
		m, err := stats.Median(own)
		if err != nil {
			return Expectation{}
		}
		half := 0.1 * math.Abs(m)
		if s, err := stats.SD(own); err == nil && len(own) > 2 {
			half = max(half, 5*s)
		}
		return Expectation{true, m - half, m, m + half, len(own)}
	}
	var all []float64
	for c := range p.Configurations {
		if x := values(p, c, workload); len(x) > 0 {
			if m, err := stats.Median(x); err == nil {
				all = append(all, m)
			}
		}
	}
	if len(all) == 0 {
		return Expectation{}
	}
	m, err := stats.Median(all)
	if err != nil {
		return Expectation{}
	}
	low, high := slices.Min(all), slices.Max(all)
	// Another configuration may lie outside what was seen, but seldom by more
	// than the span again, or by half of the value.
	half := max(high-low, 0.5*math.Abs(m))
	return Expectation{true, low - half, m, high + half, 0}
}

// values are the ok readings of a cell.
func values(p *project.Project, configuration, workload int) []float64 {
	var out []float64
	for _, i := range p.ReadingsOf(configuration, workload) {
		if r := &p.Readings[i]; r.Outcome == project.OK && r.HasValue {
			out = append(out, r.Value)
		}
	}
	return out
}

// Doubt is why a value is asked about before it is written down.
type Doubt struct {
	Expected Expectation
	// Slip is the factor, a power of ten, by which the decimal point seems to
	// be out of place; 0 when it does not look like that.
	Slip float64
}

// Judge holds a value, in the unit in which the workload is shown, against
// what is expected; ok is true when nothing is odd about it.
func Judge(e Expectation, value float64) (d Doubt, ok bool) {
	if !e.Known || value >= e.Low && value <= e.High {
		return Doubt{}, true
	}
	d.Expected = e
	for _, power := range []float64{10, 0.1, 100, 0.01, 1000, 0.001} {
		if v := value * power; v >= e.Low && v <= e.High {
			d.Slip = power
			break
		}
	}
	return d, false
}

// Lacking is a cell that the questions still want.
type Lacking struct {
	Configuration, Workload int
	// Have and Want count readings that are ok.
	Have, Want int
}

// Lack lists what the questions still lack, in the order of the questions and
// their pairs: cells of configurations that carry one of a question's levels
// with fewer readings than the project asks for. Cells whose runs fail are
// left out, since repeating a failure is a choice.
func Lack(p *project.Project) []Lacking {
	var out []Lacking
	seen := map[[2]int]bool{}
	for _, q := range p.Questions {
		for c, configuration := range p.Configurations {
			v := configuration.Values[q.Factor]
			if v.State != project.Known || v.Text != q.From.Text && v.Text != q.To.Text {
				continue
			}
			for w, workload := range p.Workloads {
				if workload.Derived != nil || len(q.Workloads) > 0 && !slices.Contains(q.Workloads, w) || seen[[2]int{c, w}] {
					continue
				}
				seen[[2]int{c, w}] = true
				have := len(values(p, c, w))
				failed := have == 0 && len(p.ReadingsOf(c, w)) > 0
				if have < p.MinimumRepeats && !failed {
					out = append(out, Lacking{c, w, have, p.MinimumRepeats})
				}
			}
		}
	}
	return out
}
