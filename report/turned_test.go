package report

import "testing"

// TestSignsAreExplainedWhereTheyStand: with a workload of which less is better,
// and only then.
func TestSignsAreExplainedWhereTheyStand(t *testing.T) {
	m := make1()
	m.workload("rate", "fps", true)
	m.workload("time", "s", false)
	m.workload("hot", "K", false)
	m.workload("power", "W", false)
	m.aside("power")
	m.aside("hot")
	r := m.build(t)
	rate, time, hot, power := WorkloadEffect{Workload: 0}, WorkloadEffect{Workload: 1}, WorkloadEffect{Workload: 2, Difference: true}, WorkloadEffect{Workload: 3}
	const both = "Performance is turned so that more is better; the rest is as it was read, a plus for more of it."
	for _, c := range []struct {
		want string
		list []WorkloadEffect
	}{
		{"", []WorkloadEffect{rate}},
		{"Turned so that more is better.", []WorkloadEffect{rate, time}},
		{both, []WorkloadEffect{time, hot}},
		{both, []WorkloadEffect{rate, time, power}},
		{"As it was read, a plus for more of it.", []WorkloadEffect{hot}},
		{"As it was read, a plus for more of it.", []WorkloadEffect{rate, power}},
	} {
		if got := r.Turned(c.list); got != c.want {
			t.Errorf("%+v: %q, want %q", c.list, got, c.want)
		}
	}
}
