package schema

import (
	"os"
	"testing"
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
