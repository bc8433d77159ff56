package record

import (
	"math"
	"slices"

	"benchwright/project"
	"benchwright/schema"
	"benchwright/stats"
)

// viewerDoubts holds a viewer's readings against everything that was read of
// their workloads, by the report and by other viewers. A machine of which
// nothing is known may lie far outside of that, so that only what a slip of the
// decimal point or the unit would do is asked about.
func viewerDoubts(p *project.Project, others, readings []ViewerReading) []Doubt {
	known := map[int]Expectation{}
	j := newJudge(p)
	var out []Doubt
	for i, r := range readings {
		e, ok := known[r.Workload]
		if !ok {
			e = j.anywhere(r.Workload, others)
			known[r.Workload] = e
		}
		if d, fine := Judge(e, r.Value); !fine {
			d.Index = i
			d.Slip = 0 // a point moved by any place would hit so wide a range
			out = append(out, d)
		}
	}
	return out
}

// anywhere is what a reading of a workload should be near, whatever it was
// taken on.
func (j *judge) anywhere(workload int, others []ViewerReading) Expectation {
	w := j.p.Workloads[workload]
	var all []float64
	for _, m := range j.of(workload) {
		if m.has {
			all = append(all, m.value)
		}
	}
	for _, r := range others {
		if r.Workload == workload {
			all = append(all, r.Value)
		}
	}
	m, err := stats.Median(all)
	if err != nil {
		return Expectation{}
	}
	low, high := slices.Min(all), slices.Max(all)
	e := Expectation{Known: true, Middle: m}
	if w.Scale == project.RatioScale && low > 0 {
		e.Low, e.High = low/slipBound, high*slipBound
	} else {
		half := 2 * max(high-low, 0.5*math.Abs(m), 10*w.Resolution)
		e.Low, e.High = low-half, high+half
	}
	return e
}

// viewerRefusals turns doubts about a viewer's readings into findings.
func viewerRefusals(p *project.Project, a *Addition) []schema.Finding {
	var out []schema.Finding
	for _, d := range a.Doubts {
		r := a.Added[d.Index]
		w := asShown(p.Workload(r.Workload))
		f := finding("unexpected-value", r.At, d.remedy(w, r), "%s", d.WordsOfViewer(w, r))
		f.Workloads = []string{r.Workload}
		out = append(out, f)
	}
	return out
}

// WordsOfViewer says what is odd about a viewer's reading.
func (d Doubt) WordsOfViewer(w *project.Workload, r Reading) string {
	return d.words(asShown(w), r, "on any machine")
}

// asShown is a workload whose readings are written as they are shown, which is
// how viewers give them.
func asShown(w *project.Workload) *project.Workload {
	shown := *w
	shown.Reading = nil
	return &shown
}
