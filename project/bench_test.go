package project

import (
	"fmt"
	"runtime"
	"strings"
	"testing"
	"testing/fstest"

	"benchwright/schema"
)

// manyReadings is the base folder with n readings of 10 workloads on 100
// configurations in one file.
func manyReadings(t testing.TB, n int) fstest.MapFS {
	folder := base(t)
	var b strings.Builder
	b.WriteString("configurations:\n")
	for i := range 100 {
		fmt.Fprintf(&b, "  machine-%03d: {set: {channels: %d, memory-latency: 80}}\n", i, 1+i%2)
	}
	folder["configurations/hundred.yaml"] = &fstest.MapFile{Data: []byte(b.String())}
	b.Reset()
	b.WriteString("workloads:\n")
	for i := range 10 {
		fmt.Fprintf(&b, "  job-%d: {label: Job %d, metric: time, unit: s, better: lower}\n", i, i)
	}
	text := string(folder["workloads.yaml"].Data)
	folder["workloads.yaml"] = &fstest.MapFile{Data: []byte(strings.Replace(text, "workloads:\n", b.String(), 1))}
	b.Reset()
	b.WriteString("configuration,workload,value,session,repeat,order,unit,outcome\n")
	for i := range n {
		fmt.Fprintf(&b, "machine-%03d,job-%d,%d.%02d,monday,%d,%d,ms,ok\n", i%100, i/100%10, 900+i%211, i%97, 1+i/1000, 1+i)
	}
	folder["results/many.csv"] = &fstest.MapFile{Data: []byte(b.String())}
	return folder
}

// BenchmarkLoad loads long rows with a unit to convert; MB is what the project
// keeps in memory, without the text of the folder.
func BenchmarkLoad(b *testing.B) {
	for _, n := range []int{1000, 1000000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			read, _ := schema.Read(manyReadings(b, n))
			var before, after runtime.MemStats
			runtime.GC()
			runtime.ReadMemStats(&before)
			b.ReportAllocs()
			var p *Project
			for b.Loop() {
				p, _ = Load(read)
			}
			b.StopTimer()
			runtime.GC()
			runtime.ReadMemStats(&after)
			b.ReportMetric(float64(after.HeapAlloc-before.HeapAlloc)/1e6, "MB")
			if len(p.Readings) < n {
				b.Fatalf("%d readings of %d", len(p.Readings), n)
			}
		})
	}
}
