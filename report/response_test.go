package report

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"benchwright/project"
)

// Only what helps somewhere can be a bottleneck elsewhere.
func TestAFactorThatNeverHelpsIsNoBottleneck(t *testing.T) {
	same, more := []string{"50.0", "50.2", "49.9"}, []string{"60.1", "60.0", "60.2"}
	for _, helps := range []bool{false, true} {
		m := make1()
		m.factor("fill", project.Studied, "%", 10, 70)
		s := m.session("s")
		m.configuration("empty", 10)
		m.configuration("full", 70)
		for w, id := range []string{"latency", "write"} {
			m.workload(id, "fps", true)
			m.read(0, w, s, same...)
			if helps && w == 1 {
				m.read(1, w, s, more...)
			} else {
				m.read(1, w, s, same...)
			}
		}
		m.overall()
		r := m.build(t)
		p := r.Workloads[0].Responses[0]
		if p.Bottleneck != helps || strings.Contains(p.Sentence.Text, "something else is the bottleneck") != helps {
			t.Errorf("helps elsewhere: %v; bottleneck %v: %s", helps, p.Bottleneck, p.Sentence.Text)
		}
		if !strings.Contains(p.Sentence.Text, "(× 7)") {
			t.Errorf("%q", p.Sentence.Text)
		}
	}
}

// The elasticity is that of the comparison beside it, within the sessions that
// both share, and not of means that hold a slow session of one side.
func TestElasticityKeepsToSharedSessions(t *testing.T) {
	for _, levels := range [][]any{{600, 700}, {600, 700, 800}} {
		m := make1()
		m.factor("clock", project.Studied, "MHz", levels...)
		m.workload("w", "fps", true)
		shared, slow := m.session("shared"), m.session("slow")
		want := 0.35
		at := func(c, session int, by float64) {
			for i := range 3 {
				v := 100 * by * math.Pow(float64(levels[c].(int))/600, want) * (1 + 0.001*float64(i-1))
				m.read(c, 0, session, fmt.Sprintf("%.3f", v))
			}
		}
		for c := range levels {
			m.configuration(fmt.Sprint("c", c), levels[c])
			at(c, shared, 1)
		}
		at(0, slow, 0.8)
		m.overall()
		p := m.build(t).Workloads[0].Responses[0]
		if e := p.Elasticity; math.Abs(e.Value-want) > 0.001 || !(e.Low < want && want < e.High) || e.High-e.Low > 0.1 {
			t.Errorf("%d levels: elasticity %v (%v to %v), want %v", len(levels), e.Value, e.Low, e.High, want)
		}
		if p.Untouched.Text != "" || !strings.Contains(p.Sentence.Text, "not read equally often") {
			t.Errorf("%d levels: %q, %s", len(levels), p.Untouched.Text, p.Sentence.Text)
		}
		if len(levels) == 2 && !strings.Contains(p.Sentence.Text, "(× 1.17)") {
			t.Errorf("%q", p.Sentence.Text)
		}
	}
}

// TestBottlenecksHaveAColumnOfSharesWhereThereAreSome: it is not left empty.
func TestBottlenecksHaveAColumnOfSharesWhereThereAreSome(t *testing.T) {
	for _, c := range []struct {
		times   map[int]float64
		columns int
	}{
		{map[int]float64{100: 100, 200: 95, 400: 92.5}, 5},
		{map[int]float64{100: 100, 400: 92.5}, 4},
	} {
		r := alongClock(3, c.times).build(t)
		found := false
		for _, i := range r.Insights {
			if i.Kind != "bottleneck" {
				continue
			}
			found = true
			if len(i.Header) != c.columns || len(i.Rows) != 1 || len(i.Rows[0]) != c.columns {
				t.Errorf("%v: %v over %v", c.times, i.Header, i.Rows)
			}
		}
		if !found {
			t.Errorf("%v: no bottleneck is named", c.times)
		}
	}
}
