package report

import "testing"

// TestSignsAreExplainedWhereTheyStand: with a workload of which less is better,
// or with differences beside ratios, and only then.
func TestSignsAreExplainedWhereTheyStand(t *testing.T) {
	m := make1()
	m.workload("rate", "fps", true)
	m.workload("power", "W", false)
	m.workload("hot", "K", false)
	r := m.build(t)
	rate, power, hot := WorkloadEffect{Workload: 0}, WorkloadEffect{Workload: 1}, WorkloadEffect{Workload: 2, Difference: true}
	for want, list := range map[string][]WorkloadEffect{
		"":                               {rate},
		"Turned so that more is better.": {rate, power},
		"Turned so that more is better; differences in a unit are not turned.": {rate, hot},
		"Differences in a unit are not turned so that more is better.":         {hot},
	} {
		if got := r.Turned(list); got != want {
			t.Errorf("%+v: %q, want %q", list, got, want)
		}
	}
}
