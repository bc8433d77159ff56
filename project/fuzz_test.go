package project

import (
	"math"
	"strings"
	"testing"
	"testing/fstest"

	"benchwright/schema"
)

// FuzzLoad loads folders of any content: nothing panics, each place lies in
// its file, and no reading is infinite.
func FuzzLoad(f *testing.F) {
	folder := base(f)
	part := func(name string) string { return string(folder[name].Data) }
	f.Add(part("bench.yaml"), part("workloads.yaml"), part("configurations/many.yaml"), part("report.yaml"), part("sessions.yaml"), part("results/long.csv"), part("frames/a.csv"))
	f.Add("factors: {a: {role: follows, of: a, levels: [1, {value: 2, brings: {a: 1}}]}}", "workloads: {w: {derived: {times: [w]}}}", "based-on: many\nset: {a: 1}", "questions: [{id: x, factor: a, from: 1, to: 2}]", "sessions: {s: {values: {a: 1}}}", "configuration;workload;value\nmany;w;1,5\n", "x")
	f.Add("units: {a: {of: b}, b: {of: a}}\nderived: {x: {times: [x, 1 m²·s/kg]}}", "workloads: {w: {unit: °C, reading: {times: [reading, y], over: [0]}}, v: {unit: '1/', frame-times: p99-time, frames-of: v}}", "configurations: {b: {based-on: c}, c: {based-on: b}}", "csv: {separator: tab, decimal: ','}\nbaseline: b", "", "configuration,w [K],y [°F]\nb,1e308,1e308\n", "1\n0\n-1\nNaN\n")
	f.Add(part("bench.yaml"), strings.Replace(part("workloads.yaml"), "frame-times: mean-rate", "frame-times: mean-rate, frame-column: ms", 1), part("configurations/many.yaml"), part("report.yaml"), part("sessions.yaml"), part("results/long.csv"), "by: a\nn;ms\n±;16\n2;\"x\"\n3\n")
	f.Fuzz(func(t *testing.T, bench, workloads, configuration, report, sessions, rows, frames string) {
		folder := base(t)
		for name, text := range map[string]string{
			"bench.yaml": bench, "workloads.yaml": workloads, "configurations/many.yaml": configuration, "report.yaml": report,
			"sessions.yaml": sessions, "results/long.csv": rows, "frames/a.csv": frames,
		} {
			folder[name] = &fstest.MapFile{Data: []byte(text)}
		}
		read, _ := schema.Read(folder)
		p, findings := Load(read)
		for _, f := range findings {
			for _, place := range append([]schema.Place{f.Place}, places(f)...) {
				if file := folder[place.File]; file == nil || !within(string(file.Data), place) {
					t.Errorf("%s is not in the folder: %s", place, f.Message)
				}
			}
			if f.Rule == "" || f.Message == "" {
				t.Errorf("an empty finding: %+v", f)
			}
		}
		if p == nil {
			return
		}
		for i, r := range p.Readings {
			if math.IsInf(r.Value, 0) || math.IsNaN(r.Value) || r.Repeat < 1 {
				t.Errorf("reading %d: %+v", i, r)
			}
			if int(r.Configuration) >= len(p.Configurations) || int(r.Workload) >= len(p.Workloads) || int(r.Session) >= len(p.Sessions) {
				t.Errorf("reading %d points nowhere: %+v", i, r)
			}
		}
		for c := range p.Configurations {
			for factor := range p.Factors {
				for s := -1; s < len(p.Sessions); s++ {
					v := p.ValueIn(c, s, factor)
					if v.Numeric && (math.IsInf(v.Number, 0) || math.IsNaN(v.Number)) {
						t.Errorf("a value of %s: %+v", p.Factors[factor].ID, v)
					}
				}
			}
		}
	})
}
