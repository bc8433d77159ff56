package report

import (
	"math"
	"strings"
	"testing"

	"benchwright/project"
)

// tradeProject is three workloads and two configurations, one reading each.
func tradeProject(t *testing.T, factor string, from, to any, a, b [3]string) *Report {
	m := make1()
	f := m.factor(factor, project.Studied, "", from, to)
	for _, w := range []string{"w1", "w2", "w3"} {
		m.workload(w, "fps", true)
	}
	m.configuration("before", from)
	m.configuration("after", to)
	s := m.session("s")
	for w := range 3 {
		m.read(0, w, s, a[w])
		m.read(1, w, s, b[w])
	}
	m.question("q", f, from, to)
	m.overall()
	return m.build(t)
}

// Facts of the trade (common practice, no source; readings of three workloads).
func TestTradeFacts(t *testing.T) {
	for _, c := range []struct {
		said      string
		to        [3]string
		low, high float64 // what the words allow
		text      string
	}{
		{"about six per cent", [3]string{"81", "13.6", "35.9"}, 1.055, 1.07, "+6\u00a0%"},
		{"eight to ten per cent", [3]string{"81", "13.9", "37.2"}, 1.08, 1.10, "+9\u00a0%"},
		{"twice as fast", [3]string{"120", "36.4", "66.6"}, 1.9, 2.15, "2.1\u00a0×"},
	} {
		r := tradeProject(t, "cache", "small", "large", [3]string{"76", "12.9", "33.4"}, c.to)
		f := r.Questions[0].Overall
		if f.Value < c.low || f.Value > c.high || f.State != SpreadUnknown || f.Verdict != NoVerdict {
			t.Errorf("%s: overall is %+v", c.said, f)
		}
		if f.Text != c.text {
			t.Errorf("%s: written %q, want %q", c.said, f.Text, c.text)
		}
		row := r.Composites[0].Rows[1].Figure
		if math.Abs(row.Value-f.Value) > 1e-12 {
			t.Errorf("%s: the composite %v and the answer %v differ", c.said, row.Value, f.Value)
		}
	}
}

// Fact of the trade (common practice, no source): doubling the clock from 200
// to 400 MHz and moving 86 to 89 is a bottleneck, not a scaling.
func TestDoubledClockThatHardlyHelpsIsABottleneck(t *testing.T) {
	for _, c := range []struct {
		readings [2][]string
		known    bool
	}{
		{[2][]string{{"86"}, {"89"}}, false},
		{[2][]string{{"86.1", "85.9", "86.0"}, {"89.0", "88.9", "89.1"}}, true},
	} {
		m := make1()
		m.factor("clock", project.Studied, "MHz", 200, 400)
		m.workload("w1", "fps", true)
		s := m.session("s")
		for i, clock := range []int{200, 400} {
			m.configuration([]string{"before", "after"}[i], clock)
			m.read(i, 0, s, c.readings[i]...)
		}
		m.overall()
		r := m.build(t)
		if len(r.Workloads[0].Responses) != 1 {
			t.Fatalf("%d responses", len(r.Workloads[0].Responses))
		}
		p := r.Workloads[0].Responses[0]
		// log(89/86)/log 2; no more is known of two levels.
		if want := math.Log(89.0/86) / math.Log(2); math.Abs(p.Elasticity.Value-want) > 1e-6 {
			t.Errorf("elasticity %v, want %v", p.Elasticity.Value, want)
		}
		// Two levels cannot refute time = a + b/f: they bear out no share of it.
		if p.Untouched.HasValue() || p.Untouched.Remark != "" || p.Curve != nil {
			t.Errorf("untouched share %+v with a curve of %d points", p.Untouched, len(p.Curve))
		}
		if !p.Bottleneck || p.Elasticity.HasValue() == false || (p.Elasticity.Confidence > 0) != c.known {
			t.Errorf("%+v", p)
		}
		if !strings.Contains(p.Sentence.Text, "bottleneck") {
			t.Errorf("%q", p.Sentence.Text)
		}
	}
	// The same clock with a reading that follows it.
	m := make1()
	m.factor("clock", project.Studied, "MHz", 200, 400)
	m.workload("w1", "fps", true)
	s := m.session("s")
	m.configuration("before", 200)
	m.configuration("after", 400)
	m.read(0, 0, s, "86.1", "85.9", "86.0")
	m.read(1, 0, s, "165.1", "164.8", "165.3")
	m.overall()
	if p := m.build(t).Workloads[0].Responses[0]; p.Bottleneck || p.Elasticity.Value < 0.9 {
		t.Errorf("%+v", p)
	}
}
