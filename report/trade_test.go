package report

import (
	"math"
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
