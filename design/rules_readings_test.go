package design

import (
	"fmt"
	"testing"
)

// A factor of 1000 and one of 1024 are a power of ten and two units mixed up;
// a reading that fits both, within their tolerance, is reported as the nearer.
func TestAReadingIsOffByOneFactor(t *testing.T) {
	for value, want := range map[float64]string{
		98.4 * 1000: "power-of-ten", 98.4 * 1024: "suspect-unit", 98.4 / 1000: "power-of-ten", 98.4 / 1024: "suspect-unit",
		98.4 * 100: "power-of-ten", 98.4 / 60: "suspect-unit",
	} {
		rows := "-- results/readings.csv --\nconfiguration,workload,session,order,value\nbase,encode,first,1,102.1\nfast,encode,first,2,84.3\n" +
			"wide,encode,first,3,98.4\nbase,encode,first,4,101.6\nwide,encode,first,5,%v\nfast,encode,first,6,83.8\nwide,encode,first,8,98.4\nbase,encode,first,9,102.4\n"
		findings := check(load(t, fmt.Sprintf(rows, value)))
		found := append(of("power-of-ten", findings), of("suspect-unit", findings)...)
		if len(found) != 1 || found[0].Rule != want {
			t.Errorf("%v among 98.4: %s, not one of %s", value, print(found), want)
		}
	}
}
