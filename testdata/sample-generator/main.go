// Command sample-generator writes the result files of the sample project from
// a model that is laid out in model.go, and the model's own answers beside it,
// so that tests can hold a report against what was planted.
//
// In: nothing but a fixed seed. Out: sample-project/results/*.csv, a viewer's
// filled-in template in sample-project/viewers, and
// testdata/sample-generator/truth.json, the same bytes every time. Run it from
// the top folder: go run ./testdata/sample-generator
package main

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"log"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
)

const (
	reasonFirmware = "firmware 1.05, see the note on the firmware update"
	reasonHung     = "hung during the warm-up before any workload was started"
)

func main() {
	log.SetFlags(0)
	results := flag.String("results", "sample-project/results", "folder for the result files")
	viewers := flag.String("viewers", "sample-project/viewers", "folder for the viewer's file")
	truth := flag.String("truth", "testdata/sample-generator/truth.json", "file for the planted effects")
	flag.Parse()

	for name, text := range resultFiles() {
		if err := os.WriteFile(filepath.Join(*results, name), text, 0o666); err != nil {
			log.Fatalf("sample-generator: writing results: %v", err)
		}
	}
	if err := os.WriteFile(filepath.Join(*viewers, viewerFile), viewerReadings(), 0o666); err != nil {
		log.Fatalf("sample-generator: writing the viewer's readings: %v", err)
	}
	text, err := json.MarshalIndent(plantedTruth(), "", "  ")
	if err != nil {
		log.Fatalf("sample-generator: encoding the planted effects: %v", err)
	}
	if err := os.WriteFile(*truth, append(text, '\n'), 0o666); err != nil {
		log.Fatalf("sample-generator: writing the planted effects: %v", err)
	}
}

// resultFiles gives the text of each result file by name: two long, one wide.
func resultFiles() map[string][]byte {
	vs := visits(rand.New(rand.NewPCG(15, 35)))
	values := readings(rand.New(rand.NewPCG(2, 4800)), vs)
	return map[string][]byte{
		"first-day.csv":  long(vs, values, "first-day"),
		"second-day.csv": long(vs, values, "second-day", "second-day-after-update"),
		"third-day.csv":  wide(vs, values, "third-day"),
	}
}

// readings gives what is written for each visit (first index) and workload
// (second). Noise is drawn cell by cell in the order of the model, so that a
// change to one workload leaves the others as they are.
func readings(r *rand.Rand, vs []visit) [][]float64 {
	out := make([][]float64, len(vs))
	for i := range out {
		out[i] = make([]float64, len(workloads))
	}
	for wi := range workloads {
		w := &workloads[wi]
		for ci := range configurations {
			c := &configurations[ci]
			for !fill(r, vs, out, wi, w, c) {
			}
		}
	}
	return out
}

// fill draws one cell; false when rounding to the resolution made so many
// readings equal that they would look copied, or the days between them moved
// one of them out of line.
func fill(r *rand.Rand, vs []visit, out [][]float64, wi int, w *workload, c *configuration) bool {
	e := cellNoise(r)
	distinct := map[float64]bool{}
	var counted []float64
	k := 0
	for i, v := range vs {
		if v.configuration != c.id {
			continue
		}
		var x float64
		if v.session == "second-day-after-update" {
			x = max(-2, min(2, r.NormFloat64()))
		} else {
			x = e[k]
			k++
		}
		out[i][wi] = w.reading(c, v.session, x)
		if v.session != "second-day-after-update" {
			distinct[out[i][wi]] = true
			counted = append(counted, out[i][wi])
		}
	}
	return len(distinct) >= 3 && farthest(counted) <= 1.65
}

// long writes a row per reading.
func long(vs []visit, values [][]float64, sessions ...string) []byte {
	var b bytes.Buffer
	b.WriteString("session,order,configuration,repeat,workload,value,unit,outcome,reason\n")
	for _, s := range sessions {
		for i, v := range vs {
			if v.session != s {
				continue
			}
			for wi := range workloads {
				w := &workloads[wi]
				value, outcome, reason := number(w, values[i][wi]), "ok", ""
				switch {
				case v.configuration == hung:
					value, outcome, reason = "", "hung", reasonHung
				case s == "second-day-after-update":
					outcome, reason = "excluded", reasonFirmware
				}
				fmt.Fprintf(&b, "%s,%d,%s,%d,%s,%s,%s,%s,%s\n", v.session, v.order, v.configuration, v.repeat,
					w.id, value, w.rawUnit(), outcome, quoted(reason))
			}
		}
	}
	return b.Bytes()
}

// wide writes a row per visit and a column per workload.
func wide(vs []visit, values [][]float64, session string) []byte {
	var b bytes.Buffer
	b.WriteString("session,order,configuration,repeat,outcome,reason")
	for wi := range workloads {
		fmt.Fprintf(&b, ",%s [%s]", workloads[wi].id, workloads[wi].rawUnit())
	}
	b.WriteString("\n")
	for i, v := range vs {
		if v.session != session {
			continue
		}
		outcome, reason := "ok", ""
		if v.configuration == hung {
			outcome, reason = "hung", reasonHung
		}
		fmt.Fprintf(&b, "%s,%d,%s,%d,%s,%s", v.session, v.order, v.configuration, v.repeat, outcome, quoted(reason))
		for wi := range workloads {
			b.WriteByte(',')
			if outcome == "ok" {
				b.WriteString(number(&workloads[wi], values[i][wi]))
			}
		}
		b.WriteString("\n")
	}
	return b.Bytes()
}

func number(w *workload, v float64) string { return strconv.FormatFloat(v, 'f', w.digits, 64) }

// quoted puts a text with a comma between quotation marks (RFC 4180).
func quoted(s string) string {
	if bytes.ContainsRune([]byte(s), ',') {
		return `"` + s + `"`
	}
	return s
}
