package design

import (
	"fmt"
	"strings"
	"testing"
)

// A recording that was cut short, or ran on, stands out among its repeats; one
// of a faster configuration does not, whether the test ends by time or by frame.
func TestFrameFilesOfAnotherLengthAreFound(t *testing.T) {
	frames := func(n int, ms float64) string {
		var b strings.Builder
		for i := range n {
			fmt.Fprintf(&b, "%.2f\n", ms+float64(i%7)/100)
		}
		return b.String()
	}
	for name, c := range map[string]struct {
		a1, a2, a3, b1 string
		want           string
	}{
		"alike":                  {frames(340, 16), frames(350, 16.1), frames(330, 16.2), frames(335, 16.3), ""},
		"one is cut":             {frames(340, 16), frames(50, 16.1), frames(330, 16.2), frames(335, 16.3), `"frames/a2.csv" holds 50 frames in 0.8 s; the median of the 3 files of "flight" on "base" is 330 frames in 5.4 s`},
		"one runs on":            {frames(340, 16), frames(335, 16.1), frames(900, 16.2), frames(335, 16.3), `"frames/a3.csv" holds 900 frames in 14.6 s`},
		"just half":              {frames(340, 16), frames(170, 16.1), frames(340, 16), frames(335, 16.3), ""},
		"faster, for as long":    {frames(340, 16), frames(345, 16.1), frames(330, 16.2), frames(1400, 4), ""},
		"faster, as many frames": {frames(340, 16), frames(341, 16.1), frames(342, 16.2), frames(343, 4), ""},
		"cut, the only repeat":   {frames(340, 16), frames(335, 16.1), frames(330, 16.2), frames(50, 16.3), `"frames/b1.csv" holds 50 frames in 0.8 s; the median of the 4 files of "flight" is 332.5 frames in 5.4 s`},
	} {
		example := "-- workloads.yaml --\nworkloads:\n  flight: {label: Night flight, metric: mean frame rate, unit: fps, better: higher, frame-times: mean-rate}\n" +
			"-- results/readings.csv --\nconfiguration,workload,session,order,value\nbase,flight,first,1,a1.csv\nfast,flight,first,2,b1.csv\nbase,flight,first,3,a2.csv\nbase,flight,first,4,a3.csv\n" +
			"-- frames/a1.csv --\n" + c.a1 + "-- frames/a2.csv --\n" + c.a2 + "-- frames/a3.csv --\n" + c.a3 + "-- frames/b1.csv --\n" + c.b1
		found := of("frame-file-length", check(load(t, example)))
		if c.want == "" && len(found) > 0 || c.want != "" && (len(found) != 1 || !strings.HasPrefix(found[0].Message, c.want)) {
			t.Errorf("%s: %s", name, print(found))
		}
	}
}
