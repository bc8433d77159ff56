package report

import (
	"strconv"
	"testing"

	"benchwright/design"
)

// BenchmarkBuild builds reports of generated projects, the design space
// included in none of them.
func BenchmarkBuild(b *testing.B) {
	for _, size := range []struct{ configurations, workloads, repeats int }{{12, 6, 5}, {100, 10, 5}, {1000, 20, 5}} {
		m := large(size.configurations, size.workloads, size.repeats)
		s := design.NewSpace(m.Project)
		b.Run(strconv.Itoa(size.configurations)+"x"+strconv.Itoa(size.workloads)+"x"+strconv.Itoa(size.repeats), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				Build(m.Project, s, nil, Options{})
			}
		})
	}
}

// BenchmarkAnswersJSON encodes the answers of the sample.
func BenchmarkAnswersJSON(b *testing.B) {
	r := sampleReport(b)
	b.ReportAllocs()
	for b.Loop() {
		r.AnswersJSON()
	}
}
