package design

import (
	"strings"
	"testing"
)

// One recording given for two runs is found, under whatever name; one that
// several workloads of a run share is not, nor what only looks alike.
func TestFrameTimesBelongToOneRun(t *testing.T) {
	const workloads = "-- workloads.yaml --\nworkloads:\n" +
		"  flight: {label: Night flight, metric: mean frame rate, unit: fps, better: higher, frame-times: mean-rate}\n" +
		"  slow: {label: Slow frames, metric: slowest frames, unit: fps, better: higher, frame-times: rate-at-p99}\n" +
		"-- results/readings.csv --\nconfiguration,workload,session,order,value\n"
	const one, other = "16.71\n16.64\n17.02\n", "16.71\n16.64\n17.03\n"
	for name, c := range map[string]struct {
		rows, a, b string
		want       string
	}{
		"two runs of their own":     {"base,flight,first,1,a.csv\nfast,flight,first,2,b.csv\n", one, other, ""},
		"two workloads of one run":  {"base,flight,first,1,a.csv\nbase,slow,first,1,a.csv\nfast,flight,first,2,b.csv\n", one, other, ""},
		"two figures, two runs":     {"base,flight,first,1,a.csv\nfast,slow,first,2,a.csv\nfast,flight,first,2,b.csv\n", one, other, `"frames/a.csv" are given for repeat 1 of "slow" on "fast" of "first", and before that for repeat 1 of "flight" on "base" of "first"`},
		"another heading":           {"base,flight,first,1,a.csv\nfast,flight,first,2,b.csv\n", one, "ms\r\n" + strings.ReplaceAll(one, "\n", "\r\n"), `"frames/b.csv", given for repeat 1 of "flight" on "fast" of "first", holds the same frame times as "frames/a.csv"`},
		"a copy for a next repeat":  {"base,flight,first,1,a.csv\nbase,flight,first,2,b.csv\n", one, one, `"frames/b.csv", given for repeat 2 of "flight" on "base"`},
		"a cap":                     {"base,flight,first,1,a.csv\nfast,flight,first,2,b.csv\n", "16\n16\n16\n", "16\n16\n16\n", ""},
		"a cap, named twice":        {"base,flight,first,1,a.csv\nfast,flight,first,2,a.csv\nwide,flight,first,3,b.csv\n", "16\n16\n16\n", "16\n16\n16\n", `"frames/a.csv" are given for`},
		"an order of frames anew":   {"base,flight,first,1,a.csv\nfast,flight,first,2,b.csv\n", one, "16.64\n16.71\n17.02\n", ""},
		"with and without a folder": {"base,flight,first,1,a.csv\nfast,flight,first,2,frames/a.csv\nwide,flight,first,3,b.csv\n", one, other, `"frames/a.csv" are given for`},
	} {
		example := workloads + c.rows + "-- frames/a.csv --\n" + c.a + "-- frames/b.csv --\n" + c.b
		found := of("copied-frame-times", check(load(t, example, "few-frames", "order-assumed")))
		if c.want == "" && len(found) > 0 || c.want != "" && (len(found) != 1 || !strings.Contains(found[0].Message, c.want) || len(found[0].Related) != 1) {
			t.Errorf("%s: %s", name, print(found))
		}
	}
	// Whoever names one file everywhere is told once, with all the places.
	example := workloads + "base,flight,first,1,a.csv\nfast,flight,first,2,a.csv\nwide,flight,first,3,a.csv\n-- frames/a.csv --\n" + one
	if found := of("copied-frame-times", check(load(t, example))); len(found) != 1 || len(found[0].Related) != 2 || len(found[0].Configurations) != 3 {
		t.Error(print(found))
	}
}
