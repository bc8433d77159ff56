package report

import (
	"math"
	"strings"
	"testing"

	"benchwright/project"
)

// alongClock is one workload along a clock; the time at each is as said, and
// read so many times with a spread of about 0.2 %.
func alongClock(repeats int, times map[int]float64) *made {
	m := make1()
	m.factor("clock", project.Studied, "MHz", 100, 200, 400)
	m.workload("job", "s", false)
	m.session("s")
	for _, clock := range []int{100, 200, 400} {
		if v, ok := times[clock]; ok {
			c := m.configuration("c"+num(float64(clock)), clock)
			for i := range repeats {
				m.read(c, 0, 0, num(v*(1+0.002*float64(i%3-1))))
			}
		}
	}
	m.overall()
	return m
}

// TestShareOfTheTimeNeedsALawThatHolds: a share that the factor does not touch,
// and the curve of its law, are given where the readings could have refuted the
// law and did not.
func TestShareOfTheTimeNeedsALawThatHolds(t *testing.T) {
	for _, c := range []struct {
		name    string
		repeats int
		times   map[int]float64
		share   float64 // at the first level; NaN for none
		remark  bool
		curve   int
	}{
		{"time = 60 + 4000/f", 3, map[int]float64{100: 100, 200: 80, 400: 70}, 0.6, false, curvePoints + 1},
		{"held up from 200 MHz on", 3, map[int]float64{100: 100, 200: 60, 400: 60}, math.NaN(), true, 3},
		{"two levels", 3, map[int]float64{100: 100, 400: 70}, math.NaN(), false, 0},
		{"no repeats", 1, map[int]float64{100: 100, 200: 80, 400: 70}, math.NaN(), false, 3},
	} {
		r := alongClock(c.repeats, c.times).build(t)
		p := r.Workloads[0].Responses[0]
		if math.IsNaN(c.share) {
			if p.Untouched.HasValue() || strings.Contains(p.Sentence.Text, "not touched") {
				t.Errorf("%s: %+v: %s", c.name, p.Untouched, p.Sentence.Text)
			}
		} else if math.Abs(p.Untouched.Value-c.share) > 0.01 || !strings.Contains(p.Sentence.Text, "is not touched by it") {
			t.Errorf("%s: %+v: %s", c.name, p.Untouched, p.Sentence.Text)
		}
		if said := strings.Contains(p.Sentence.Text, "The readings do not follow time = a + b/f"); said != c.remark {
			t.Errorf("%s: %s", c.name, p.Sentence.Text)
		}
		if len(p.Curve) != c.curve {
			t.Errorf("%s: a curve of %d points, want %d", c.name, len(p.Curve), c.curve)
		}
		for i, at := range p.Curve {
			if len(p.Curve) == len(p.Points) && (at.X != p.Points[i].X || at.Y != p.Points[i].Y.Value) {
				t.Errorf("%s: the line misses %+v: %+v", c.name, p.Points[i], at)
			}
		}
	}
}
