package main

import (
	"bytes"
	"fmt"
	"math/rand/v2"
)

// A viewer with a board of another maker, two channels and 25 W: faster at the
// photographs, slower over the network, warmer.
const (
	viewerFile    = "ottilie.csv"
	viewerName    = "Ottilie"
	viewerMachine = "Larkfield N2 board, two modules, power limit at 25 W, fan at the rear"
	viewerDate    = "2026-02-21"
)

// viewerRuns are what the viewer read: the workload, its true value there and
// the spread of one reading in its unit.
var viewerRuns = []struct {
	workload, unit string
	value, spread  float64
	digits, n      int
	note           string
}{
	{workload: "file-serving", unit: "MB/s", value: 109.4, spread: 0.3, digits: 1, n: 1, note: "through a switch"},
	{workload: "photo-indexing", unit: "min", value: 2.93, spread: 0.02, digits: 2, n: 1},
	{workload: "database", unit: "tx/s", value: 3870, spread: 45, digits: 0, n: 3},
	{workload: "temperature-rise", unit: "K", value: 44.1, spread: 0.5, digits: 1, n: 3},
}

// viewerReadings is the filled-in template as benchwright record keeps it.
func viewerReadings() []byte {
	r := rand.New(rand.NewPCG(8, 2))
	var b bytes.Buffer
	b.WriteString("viewer,machine,workload,value,unit,date,note\n")
	for _, run := range viewerRuns {
		for range run.n {
			v := run.value + run.spread*max(-2, min(2, r.NormFloat64()))
			fmt.Fprintf(&b, "%s,%s,%s,%.*f,%s,%s,%s\n", viewerName, quoted(viewerMachine), run.workload, run.digits, v, run.unit, viewerDate, quoted(run.note))
		}
	}
	return b.Bytes()
}
