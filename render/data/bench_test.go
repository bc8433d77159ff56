package data

import (
	"fmt"
	"strings"
	"testing"
	"testing/fstest"

	"benchwright/design"
	"benchwright/project"
	"benchwright/report"
	"benchwright/schema"
)

// wide is a folder of configurations × 20 workloads × 5 repeats.
func wide(configurations int) fstest.MapFS {
	m := small()
	delete(m, "notes/first.md")
	m["report.yaml"] = &fstest.MapFile{Data: []byte("title: wide\nauthor: nobody\ndate: 2026-02-03\nlicence: CC0-1.0\nbaseline: c0\nquestions:\n  - {id: fan, ask: \"What is it worth?\", factor: fan, from: none, to: quiet}\n")}
	var w, c, r strings.Builder
	w.WriteString("workloads:\n")
	for i := range 20 {
		fmt.Fprintf(&w, "  w%d: {label: Workload %d, metric: time, unit: s, better: lower}\n", i, i)
	}
	c.WriteString("configurations:\n")
	r.WriteString("session,configuration,workload,value\n")
	for i := range configurations {
		fmt.Fprintf(&c, "  c%d: {label: Configuration %d, set: {fan: %s, cost: %d}}\n", i, i, []string{"none", "quiet"}[i%2], i/2)
		for x := range 20 {
			for k := range 5 {
				fmt.Fprintf(&r, "one,c%d,w%d,%d.%02d\n", i, x, 50+i%7+x, (i*31+x*17+k*k*13)%100)
			}
		}
	}
	delete(m, "configurations/plain.yaml")
	delete(m, "configurations/quiet.yaml")
	m["workloads.yaml"] = &fstest.MapFile{Data: []byte(w.String())}
	m["configurations/all.yaml"] = &fstest.MapFile{Data: []byte(c.String())}
	m["results/one.csv"] = &fstest.MapFile{Data: []byte(r.String())}
	return m
}

// unchecked is built without the checker, whose time is not measured here.
func unchecked(b *testing.B, fsys fstest.MapFS) (*report.Report, *schema.Folder) {
	b.Helper()
	folder, _ := schema.Read(fsys)
	p, _ := project.Load(folder)
	if p == nil {
		b.Fatal("the folder cannot be used")
	}
	return report.Build(p, design.NewSpace(p), nil, report.Options{}), folder
}

// BenchmarkReadings appends a table of 20,000 readings.
func BenchmarkReadings(b *testing.B) {
	r, _ := unchecked(b, wide(200))
	m := &maker{r: r}
	b.ReportAllocs()
	for b.Loop() {
		t := m.readings()
		b.SetBytes(int64(len(t.write())))
	}
}

func BenchmarkFiles(b *testing.B) {
	r, folder := unchecked(b, wide(200))
	b.ReportAllocs()
	for b.Loop() {
		if _, _, err := Files(r, folder, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkSettle reads the record of 20,000 readings and compares with it.
func BenchmarkSettle(b *testing.B) {
	r, folder := unchecked(b, wide(200))
	record := r.Publication()
	record.Date = "2020-01-01"
	past := &Past{record: record.JSON(), site: fstest.MapFS{}}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Settle(past, r, folder); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkRecord(b *testing.B) {
	r, _ := unchecked(b, wide(200))
	b.ReportAllocs()
	for b.Loop() {
		p := r.Publication()
		b.SetBytes(int64(len(p.JSON())))
	}
}

func BenchmarkReadPublication(b *testing.B) {
	r, _ := unchecked(b, wide(200))
	p := r.Publication()
	text := p.JSON()
	b.SetBytes(int64(len(text)))
	for b.Loop() {
		if _, err := report.ReadPublication(text); err != nil {
			b.Fatal(err)
		}
	}
}
