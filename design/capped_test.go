package design

import (
	"strings"
	"testing"

	"benchwright/project"
)

// A limit is where single readings pile up with none above: medians that happen
// to lie at a refresh rate, with readings on either side, are none.
func TestALimitIsWhereReadingsPileUp(t *testing.T) {
	for name, c := range map[string]struct {
		at   [][]float64
		says string
	}{
		"all at it":                              {[][]float64{{60, 60, 60}, {60, 60, 60}, {60, 60, 60}}, `"draw" reads 60 fps on "c0", "c1" and "c2", and no reading is above 60 fps`},
		"some below, none above":                 {[][]float64{{60, 60, 59.8}, {60, 59.9, 60}, {60, 60, 59.1}}, "no reading is above 60 fps"},
		"a digit above":                          {[][]float64{{60, 60.1, 60}, {60, 60, 60}, {60, 59.9, 60}}, "no reading is above 60.1 fps"},
		"whole numbers, and one of tenths above": {[][]float64{{60, 60, 60}, {60, 60, 60.6}, {60, 60, 60}}, ""},
		"on either side":                         {[][]float64{{59.4, 60, 60.6}, {59.7, 60.2, 60.3}, {60, 60.5, 59.6}}, ""},
		"below, and not piled up":                {[][]float64{{59.8, 59.8, 59.7}, {59.7, 59.8, 59.8}, {59.8, 59.7, 59.8}}, ""},
		"one far above, its median below":        {[][]float64{{60, 60, 60}, {60, 60, 60}, {60, 60, 71}}, ""},
	} {
		b := newBench()
		b.factor("cooler", project.Studied)
		b.workload("draw").Unit, _ = project.ParseUnit("fps")
		b.p.Workloads[0].HigherBetter = true
		b.session("s")
		b.configuration("slow", "cooler=slow")
		for _, v := range []float64{48, 48.1, 47.9} {
			b.read("slow", 0, 0, v)
		}
		for i, values := range c.at {
			id := "c" + string(rune('0'+i))
			b.configuration(id, "cooler="+id)
			for _, v := range values {
				b.read(id, 0, 0, v)
			}
		}
		got := ""
		for _, f := range Check(b.p, NewSpace(b.p)) {
			if f.Rule == "capped-readings" {
				got += f.Message
			}
		}
		if c.says == "" && got != "" || !strings.Contains(got, c.says) {
			t.Errorf("%s: %q, want %q", name, got, c.says)
		}
	}
}
