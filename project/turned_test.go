package project

import (
	"testing"
	"testing/fstest"

	"benchwright/schema"
)

// What counts as performance is turned so that more is better, and nothing else,
// but for a composite in which there is nothing else.
func TestPerformanceIsTurned(t *testing.T) {
	const workloads = `workloads:
  rate: {label: Rate, metric: rate, unit: fps, better: higher}
  time: {label: Time, metric: time, unit: s, better: lower}
  power: {label: Power, metric: power, unit: W, better: lower, composite: false}
  level: {label: Level, metric: level, unit: dB, better: lower, scale: interval}
  energy: {label: Energy, metric: energy, unit: J, better: lower, derived: {times: [power, time]}}
`
	for name, c := range map[string]struct {
		composites string
		turned     map[string]bool
	}{
		"none":          {"", map[string]bool{"time": true}},
		"of both":       {"composites: [{id: c, label: C, workloads: [rate, power]}]\n", map[string]bool{"time": true}},
		"of power only": {"composites: [{id: c, label: C, workloads: [power]}]\n", map[string]bool{"time": true, "power": true}},
	} {
		folder, _ := schema.Read(fstest.MapFS{
			"report.yaml":               {Data: []byte("title: T\nauthor: {name: A}\nlicence: CC-BY-4.0\ndate: 2031-01-01\nbaseline: a\n" + c.composites)},
			"bench.yaml":                {Data: []byte("factors:\n  f: {label: F, role: studied}\n")},
			"workloads.yaml":            {Data: []byte(workloads)},
			"configurations/all.yaml":   {Data: []byte("configurations:\n  a: {label: A, set: {f: x}}\n")},
			"sessions.yaml":             {Data: []byte("sessions:\n  s: {date: 2031-01-01}\n")},
			"results/first-evening.csv": {Data: []byte("session,order,configuration,repeat,workload,value\ns,1,a,1,rate,1\n")},
		})
		p, findings := Load(folder)
		if p == nil || len(p.Workloads) != 5 {
			t.Fatalf("%s: %v", name, findings)
		}
		for _, w := range p.Workloads {
			if w.Turned != c.turned[w.ID] {
				t.Errorf("composite %s: %s turned: %v", name, w.ID, w.Turned)
			}
			if ratioOfLess := w.ID == "time" || w.ID == "power" || w.ID == "energy"; w.AsRead() != (ratioOfLess && !w.Turned) {
				t.Errorf("composite %s: %s as read: %v", name, w.ID, w.AsRead())
			}
		}
	}
}
