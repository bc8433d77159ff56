package report

import (
	"math"
	"strings"
	"testing"

	"benchwright/project"
	"benchwright/stats"
)

// warmth is a pair with four readings a side on a scale of differences.
func warmth(t *testing.T, by, resolution float64) (*Report, *WorkloadEffect) {
	t.Helper()
	m := make1()
	f := m.factor("pad", project.Studied, "", "thin", "thick")
	w := m.workload("hot", "K", false)
	m.Workloads[w].Scale, m.Workloads[w].Resolution = project.IntervalScale, resolution
	s := m.session("s")
	for c, pad := range []string{"thin", "thick"} {
		m.configuration(pad, pad)
		for _, v := range []float64{-0.6, -0.2, 0.2, 0.6} {
			m.read(c, w, s, num(40+by*float64(c)+v))
		}
	}
	m.question("pad", f, "thin", "thick")
	r := m.build(t)
	return r, &r.Questions[0].ByWorkload[0]
}

// TestSmallestDifferenceOnAScaleOfDifferences: where no difference is seen the
// smallest that would have been is said in the unit; a declared resolution
// that is coarser than the interval raises it, and a seen difference has none.
func TestSmallestDifferenceOnAScaleOfDifferences(t *testing.T) {
	r, e := warmth(t, 0.1, 0)
	sd := math.Sqrt(4 * (0.36 + 0.04) / 2 / 3)
	want, err := stats.MinimumDetectable(4, 4, sd, 6, 0.95, 0.8)
	if err != nil {
		t.Fatal(err)
	}
	if e.Effect.Verdict != NoDifferenceSeen || math.Abs(e.Smallest.Value-want) > 1e-9 || e.Smallest.Text != "1.2\u00a0K" {
		t.Errorf("smallest %+v, want %g K", e.Smallest, want)
	}
	if text := r.Questions[0].Headline.Text; !strings.Contains(text, "not counted as a difference (one of 1.2\u00a0K would have been seen four times in five)") {
		t.Errorf("the answer does not say it: %s", text)
	}
	if _, coarse := warmth(t, 0.1, 5); !(coarse.Smallest.Value > 5) {
		t.Errorf("with a step of 5 K, a difference of %s would have been seen", coarse.Smallest.Text)
	}
	if _, seen := warmth(t, 3, 0); seen.Effect.Verdict != Worse || seen.Smallest.HasValue() {
		t.Errorf("%+v", seen)
	}
}
