// Command summarise reads a project folder as every command does (schema,
// project) and prints n, mean and standard deviation of each cell, for
// comparison with a general-purpose tool that computes plain group means.
//
//	go run ./bench/summarise DIR
package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"sync"

	"benchwright/memory"
	"benchwright/project"
	"benchwright/schema"
	"benchwright/stats"
)

func main() {
	if len(os.Args) != 2 {
		fmt.Fprintln(os.Stderr, "usage: summarise DIR")
		os.Exit(2)
	}
	memory.Tune()
	if info, err := os.Stat(filepath.Join(os.Args[1], "results", "all.csv")); err == nil {
		memory.Expect(info.Size()) // as a command does
	}
	folder, findings := schema.Read(os.DirFS(os.Args[1]))
	p, more := project.Load(folder)
	for _, f := range append(findings, more...) {
		if f.Severity == schema.Error {
			fmt.Fprintln(os.Stderr, f.Place, f.Message)
			os.Exit(1)
		}
	}
	n := runtime.GOMAXPROCS(0)
	lines := make([][]byte, n)
	failed := make([]error, n)
	var all sync.WaitGroup
	for k := range n {
		all.Go(func() {
			for c := len(p.Configurations) * k / n; c < len(p.Configurations)*(k+1)/n && failed[k] == nil; c++ {
				lines[k], failed[k] = appendCells(lines[k], p, c)
			}
		})
	}
	all.Wait()
	if err := errors.Join(failed...); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	for _, l := range lines {
		if _, err := os.Stdout.Write(l); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
	}
}

// appendCells adds a line for each workload of a configuration.
func appendCells(lines []byte, p *project.Project, c int) ([]byte, error) {
	var x []float64
	for w, workload := range p.Workloads {
		x = x[:0]
		for _, k := range p.ReadingsOf(c, w) {
			if r := &p.Readings[k]; r.HasValue && r.Outcome == project.OK {
				x = append(x, r.Value)
			}
		}
		if len(x) == 0 {
			continue
		}
		s, err := stats.Summarise(x)
		if err != nil {
			return nil, err
		}
		lines = append(lines, p.Configurations[c].ID+","+workload.ID+","...)
		lines = append(strconv.AppendInt(lines, int64(s.N), 10), ',')
		lines = append(strconv.AppendFloat(lines, s.Mean, 'g', -1, 64), ',')
		lines = append(strconv.AppendFloat(lines, s.SD, 'g', -1, 64), '\n')
	}
	return lines, nil
}
