// Command generate writes a large project folder for the benches: a full
// factorial of configurations, some workloads, some repeats, readings with
// seeded noise. The same arguments give the same bytes.
//
//	go run ./bench/generate -configurations 1000 -workloads 20 -repeats 5 DIR
package main

import (
	"bufio"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
)

func main() {
	configurations := flag.Int("configurations", 1000, "how many configurations")
	workloads := flag.Int("workloads", 20, "how many workloads")
	repeats := flag.Int("repeats", 5, "readings in each cell")
	flag.Parse()
	if flag.NArg() != 1 || *configurations < 2 || *workloads < 1 || *repeats < 1 {
		fmt.Fprintln(os.Stderr, "usage: generate [-configurations N] [-workloads N] [-repeats N] DIR")
		os.Exit(2)
	}
	if err := write(flag.Arg(0), *configurations, *workloads, *repeats); err != nil {
		fmt.Fprintln(os.Stderr, "generate:", err)
		os.Exit(1)
	}
}

// levels of the three studied factors, so that their product reaches n.
func levels(n int) (a, b, c int) {
	a = 2
	b = max(2, int(math.Ceil(math.Sqrt(float64(n)/2))))
	c = (n + a*b - 1) / (a * b)
	return a, b, max(c, 1)
}

func write(dir string, n, workloads, repeats int) error {
	files := map[string]func(*bufio.Writer){}
	a, b, c := levels(n)
	files["report.yaml"] = func(w *bufio.Writer) {
		fmt.Fprint(w, "title: A large bench\nauthor: the generator\ndate: 2026-03-01\nlicence: CC0-1.0\nbaseline: c0000\nnotice: Every value is generated.\nquestions:\n")
		fmt.Fprint(w, "  - {id: channels, ask: \"What is a second channel worth?\", factor: channels, from: 1, to: 2}\n")
		fmt.Fprintf(w, "  - {id: limit, ask: \"What is the highest limit worth?\", factor: limit, from: %d, to: %d}\n", 10, 10+5*(b-1))
	}
	files["bench.yaml"] = func(w *bufio.Writer) {
		fmt.Fprint(w, "bench: {label: A generated bench}\nfactors:\n  channels: {label: Channels, role: studied, levels: [1, 2]}\n  limit: {label: Limit, role: studied, unit: W}\n  pad: {label: Pad, role: studied, kind: category}\n  firmware: {label: Firmware, role: held, kind: category}\n  room: {label: Room, role: nuisance, unit: °C, tolerance: 3}\ncommon: {firmware: \"1.0\"}\n")
	}
	files["workloads.yaml"] = func(w *bufio.Writer) {
		fmt.Fprint(w, "workloads:\n")
		for i := range workloads {
			better, unit := "higher", "fps"
			if i%2 == 1 {
				better, unit = "lower", "s"
			}
			fmt.Fprintf(w, "  w%02d: {label: Workload %d, metric: rate, unit: %s, better: %s, resolution: 0.01}\n", i, i, unit, better)
		}
	}
	sessions := 3
	files["sessions.yaml"] = func(w *bufio.Writer) {
		fmt.Fprint(w, "sessions:\n")
		for s := range sessions {
			fmt.Fprintf(w, "  s%d: {date: 2026-02-%02d, values: {room: 21.%d °C}}\n", s, s+1, s)
		}
	}
	files["configurations/all.yaml"] = func(w *bufio.Writer) {
		fmt.Fprint(w, "configurations:\n")
		for i := range n {
			fmt.Fprintf(w, "  c%04d: {label: Configuration %d, set: {channels: %d, limit: %d W, pad: p%d}}\n", i, i, i%a+1, 10+5*(i/a%b), i/(a*b)%c)
		}
	}
	random := rand.New(rand.NewPCG(20260301, 7))
	files["results/all.csv"] = func(w *bufio.Writer) {
		fmt.Fprint(w, "session,order,configuration,repeat,workload,value,unit,outcome\n")
		order := make([]int, sessions)
		for r := range repeats {
			for k := range n {
				i := (k*7919 + r*104729) % n // another order each round
				s := r % sessions
				for wl := range workloads {
					order[s]++
					x := 100 * (1 + 0.04*float64(i%a)) * math.Pow(float64(10+5*(i/a%b))/10, 0.3+0.02*float64(wl))
					unit := "fps"
					if wl%2 == 1 {
						x, unit = 50000/x, "s"
					}
					x *= 1 + 0.01*random.NormFloat64()
					fmt.Fprintf(w, "s%d,%d,c%04d,%d,w%02d,%.2f,%s,ok\n", s, order[s], i, r/sessions+1, wl, x, unit)
				}
			}
		}
	}
	for name, fill := range files {
		full := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(full), 0o755); err != nil {
			return err
		}
		f, err := os.Create(full)
		if err != nil {
			return err
		}
		w := bufio.NewWriterSize(f, 1<<20)
		fill(w)
		if err := w.Flush(); err != nil {
			return err
		}
		if err := f.Close(); err != nil {
			return err
		}
	}
	return nil
}
