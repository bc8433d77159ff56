package schema

import (
	"fmt"
	"os"
	"testing"
	"testing/fstest"
)

func BenchmarkSchemas(b *testing.B) {
	for b.Loop() {
		for _, k := range kinds() {
			compile(k)
		}
	}
}

func BenchmarkReadSampleProject(b *testing.B) {
	fsys := os.DirFS("../sample-project")
	b.ReportAllocs()
	for b.Loop() {
		if f, _ := Read(fsys); f.Report == nil {
			b.Fatal("no report")
		}
	}
}

func BenchmarkReadManyConfigurations(b *testing.B) {
	fsys := fstest.MapFS{}
	for name, text := range map[string]string{
		"report.yaml":    "title: A\nauthor: B\ndate: 2031-04-12\nlicence: CC0-1.0\nbaseline: c-0\nquestions: [{id: q, ask: Why, factor: a, from: 1, to: 2}]\n",
		"bench.yaml":     "bench: {label: x}\nfactors: {a: {label: a}}\n",
		"workloads.yaml": "workloads: {w: {label: w, metric: m, unit: s, better: lower}}\n",
	} {
		fsys[name] = &fstest.MapFile{Data: []byte(text)}
	}
	for i := range 2000 {
		fsys[fmt.Sprintf("configurations/c-%d.yaml", i)] = &fstest.MapFile{Data: []byte("label: a configuration\nbased-on: c-0\nset:\n  a: 1\n  b: 15 W\n  c: thick pad\n  d: unknown\ndisplayed:\n  b: {value: 15 W, where: firmware screen}\nnote: >\n  A line or two about what was seen.\n")}
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, fs := Read(fsys); len(fs) > 0 {
			b.Fatal(fs)
		}
	}
}
