package report

import (
	"strings"
	"testing"

	"benchwright/project"
)

// warmDay is a cooler that was read on a warm day, beside the baseline, and two
// that were read on a cool one; warmer is by how much.
func warmDay(warmer float64) *made {
	m := make1()
	m.factor("cooler", project.Studied, "")
	w := m.workload("temperature", "°C", false)
	m.Workloads[w].Scale = project.IntervalScale
	cool, warm := m.session("cool"), m.session("warm")
	for i, c := range []string{"box", "twin", "gale"} {
		m.configuration(c, c)
		for n := range 4 {
			v := []float64{90, 72, 68}[i] + 0.1*float64(n)
			if i != 2 {
				m.read1(i, w, cool, 2*n, v)
			}
			if i != 1 {
				m.read1(i, w, warm, 2*n, v+warmer)
			}
		}
	}
	m.overall()
	return m
}

// A value that was not read in the baseline's sessions is marked with what it
// would be there, and an order that the shown values are not in says so.
func TestAnOrderThatTheValuesAreNotInSaysSo(t *testing.T) {
	const said = "the order goes by what each would be in these"
	for _, c := range []struct {
		warmer       float64
		twin, gale   string
		gives, order bool
	}{
		{8, "76.2\u00a0°C", "72.2\u00a0°C", true, true}, // read as 72.2 and 76.2
		{1, "72.7\u00a0°C", "68.7\u00a0°C", true, false},
		{0, "", "", false, false},
	} {
		r := warmDay(c.warmer).build(t)
		order := r.Workloads[0].Order
		if order[0].Configuration != 2 || order[1].Configuration != 1 {
			t.Fatalf("%v warmer: %+v", c.warmer, order)
		}
		text := ""
		for _, s := range r.Workloads[0].Sentences {
			text += s.Text + "\n"
		}
		if strings.Contains(text, said) != c.order {
			t.Errorf("%v warmer: %s", c.warmer, text)
		}
		for i, want := range []string{"", c.twin, c.gale} {
			cell := &r.Cells[i][0]
			flagged := false
			for _, f := range cell.Flags {
				flagged = flagged || strings.Contains(f.Text, "; in the baseline’s sessions it would be "+want)
			}
			if cell.Beside != want || flagged != (c.gives && i > 0) {
				t.Errorf("%v warmer, %s: %q (%s), %+v", c.warmer, r.name(i), cell.Beside, cell.Centre.Text, cell.Flags)
			}
		}
	}
}
