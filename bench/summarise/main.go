// Command summarise reads a project folder as every command does (schema,
// project) and prints n, mean and standard deviation of each cell, for
// comparison with a general-purpose tool that computes plain group means.
//
//	go run ./bench/summarise DIR
package main

import (
	"bufio"
	"fmt"
	"os"
	"strconv"

	"benchwright/project"
	"benchwright/schema"
	"benchwright/stats"
)

func main() {
	if len(os.Args) != 2 {
		fmt.Fprintln(os.Stderr, "usage: summarise DIR")
		os.Exit(2)
	}
	folder, findings := schema.Read(os.DirFS(os.Args[1]))
	p, more := project.Load(folder)
	for _, f := range append(findings, more...) {
		if f.Severity == schema.Error {
			fmt.Fprintln(os.Stderr, f.Place, f.Message)
			os.Exit(1)
		}
	}
	w := bufio.NewWriter(os.Stdout)
	defer w.Flush()
	var x []float64
	for i := range len(p.Configurations) * len(p.Workloads) {
		x = x[:0]
		for _, k := range p.ReadingsOf(i/len(p.Workloads), i%len(p.Workloads)) {
			if r := &p.Readings[k]; r.HasValue && r.Outcome == project.OK {
				x = append(x, r.Value)
			}
		}
		if len(x) == 0 {
			continue
		}
		s, err := stats.Summarise(x)
		if err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		w.WriteString(p.Configurations[i/len(p.Workloads)].ID + "," + p.Workloads[i%len(p.Workloads)].ID + "," + strconv.Itoa(s.N) + ",")
		w.WriteString(strconv.FormatFloat(s.Mean, 'g', -1, 64) + "," + strconv.FormatFloat(s.SD, 'g', -1, 64) + "\n")
	}
}
