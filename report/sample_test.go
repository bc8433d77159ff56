package report

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"benchwright/design"
	"benchwright/project"
	sampleproject "benchwright/sample-project"
	"benchwright/schema"
)

func sampleReport(t testing.TB) *Report {
	t.Helper()
	folder, f1 := schema.Read(sampleproject.Files())
	p, f2 := project.Load(folder)
	for _, f := range append(f1, f2...) {
		if f.Severity == schema.Error {
			t.Fatalf("%v: %s", f.Place, f.Message)
		}
	}
	return Build(p, design.NewSpace(p), nil, Options{})
}

// planted is the truth behind the sample's readings, written by
// testdata/sample-generator.
type planted struct {
	Cells []struct {
		Configuration, Workload string
		Value                   float64
	}
	Overall []struct {
		Configuration string
		Gain          float64
	}
	Questions []struct {
		ID         string
		Answerable bool
		Overall    float64
		Pairs      [][2]string
		Workloads  []struct {
			Workload         string
			Gain, Difference float64
			Each             []float64
		}
	}
}

func sampleTruth(t *testing.T) planted {
	t.Helper()
	data, err := os.ReadFile("../testdata/sample-generator/truth.json")
	if err != nil {
		t.Fatal(err)
	}
	var p planted
	if err := json.Unmarshal(data, &p); err != nil {
		t.Fatal(err)
	}
	return p
}

// covered counts how many intervals hold the truth.
type covered struct{ in, of int }

func (c *covered) add(f Figure, truth float64) bool {
	c.of++
	ok := f.Confidence > 0 && f.Low <= truth && truth <= f.High
	if ok {
		c.in++
	}
	return ok
}

func TestPlantedTruthsLieInsideTheIntervals(t *testing.T) {
	r, truth := sampleReport(t), sampleTruth(t)
	configuration, workload := map[string]int{}, map[string]int{}
	for i, c := range r.Configurations {
		configuration[c.ID] = i
	}
	for i, w := range r.Workloads {
		workload[w.ID] = i
	}
	var overall, effects, pairs, cells, composites covered
	for i, q := range truth.Questions {
		a := r.Questions[i]
		if a.ID != q.ID || a.Answerable != q.Answerable || len(a.Pairs) != len(q.Pairs) {
			t.Errorf("%s: answerable %v with %d pairs, want %s, %v, %d", a.ID, a.Answerable, len(a.Pairs), q.ID, q.Answerable, len(q.Pairs))
			continue
		}
		if !q.Answerable {
			if a.Overall.State != Absent || a.Headline.Text == "" || len(a.Missing) == 0 {
				t.Errorf("%s: %+v", q.ID, a.Headline)
			}
			continue
		}
		// The answers that are read first hold the truth, every one.
		if !overall.add(a.Overall, q.Overall) {
			t.Errorf("%s: %v to %v does not hold %v", q.ID, a.Overall.Low, a.Overall.High, q.Overall)
		}
		index := map[[2]string]int{}
		for p, pair := range a.Pairs {
			index[[2]string{r.Configurations[pair.From].ID, r.Configurations[pair.To].ID}] = p
		}
		for _, w := range q.Workloads {
			for j := range a.ByWorkload {
				if a.ByWorkload[j].Workload != workload[w.Workload] {
					continue
				}
				v := w.Gain
				if a.ByWorkload[j].Difference {
					v = w.Difference
				}
				effects.add(a.ByWorkload[j].Effect, v)
				for p, pair := range q.Pairs {
					at, ok := index[pair]
					if !ok {
						t.Fatalf("%s: the pair %v is missing", q.ID, pair)
					}
					pairs.add(a.Pairs[at].Workloads[j].Effect, w.Each[p])
				}
			}
		}
	}
	for _, c := range truth.Cells {
		cells.add(r.Cells[configuration[c.Configuration]][workload[c.Workload]].Centre, c.Value)
	}
	for _, c := range truth.Overall {
		if c.Configuration != r.Configurations[r.Baseline].ID {
			composites.add(r.Composites[0].Rows[configuration[c.Configuration]].Figure, c.Gain)
		}
	}
	t.Logf("hold the truth: overall %v, by workload %v, by pair %v, cells %v, composites %v", overall, effects, pairs, cells, composites)
	// Of many 95 % intervals some must miss; far too few or none of very many
	// missing would both be wrong. The bounds leave less than one chance in a
	// thousand for a sound method (binomial).
	for name, c := range map[string]covered{"by workload": effects, "by pair": pairs, "cells": cells, "composites": composites} {
		if mean, sd := 0.95*float64(c.of), math.Sqrt(0.95*0.05*float64(c.of)); float64(c.in) < mean-3.3*sd {
			t.Errorf("%s: %d of %d intervals hold the truth", name, c.in, c.of)
		}
	}
}

func TestPropagationAndBootstrapAgreeOnTheSample(t *testing.T) {
	r := sampleReport(t)
	n := 0
	for _, c := range r.Composites {
		for i, row := range c.Rows {
			if i == r.Baseline || !row.Figure.HasValue() {
				continue
			}
			n++
			f, b := row.Figure, row.Bootstrap
			if math.Abs(f.Value/b.Value-1) > 1e-12 {
				t.Errorf("%s: %v by propagation, %v by resampling", r.Configurations[i].ID, f.Value, b.Value)
			}
			// Without what sessions differ by, propagation is a little narrower.
			if width := (b.High - b.Low) / (f.High - f.Low); width < 0.75 || width > 1.35 {
				t.Errorf("%s: %v to %v by propagation, %v to %v by resampling", r.Configurations[i].ID, f.Low, f.High, b.Low, b.High)
			}
		}
	}
	if n < 8 {
		t.Errorf("only %d rows", n)
	}
}

func TestSampleAnswersMatchTheirSchema(t *testing.T) {
	r := sampleReport(t)
	validate(t, r)
	for seed := range uint64(6) {
		validate(t, hostile(rand.New(rand.NewPCG(seed, 7))).build(t))
	}
}

func validate(t *testing.T, r *Report) {
	t.Helper()
	data := r.AnswersJSON()
	schema, err := jsonschema.UnmarshalJSON(bytes.NewReader(AnswersSchema()))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("answers.schema.json", schema); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("answers.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	value, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Validate(value); err != nil {
		t.Errorf("%v", err)
	}
}

var update = flag.Bool("update", false, "write the golden files anew")

// The sentences and digits of the sample, as they stand on its pages. After a
// change that is meant: cd report && go test -run Sentences . -update
func TestSentencesOfTheSample(t *testing.T) {
	r := sampleReport(t)
	var b strings.Builder
	for _, q := range r.Questions {
		fmt.Fprintf(&b, "# %s\n%s [%s]\n", q.Ask, q.Headline.Text, q.Headline.Link)
		for _, s := range q.More {
			fmt.Fprintf(&b, "- %s [%s]\n", s.Text, s.Link)
		}
	}
	for _, c := range r.Composites {
		fmt.Fprintf(&b, "# %s\n%s [%s]\n", c.Label, c.Sentence.Text, c.Sentence.Link)
	}
	for _, w := range r.Workloads {
		fmt.Fprintf(&b, "# %s, %s\n", w.Label, w.Better)
		for _, s := range w.Sentences {
			fmt.Fprintf(&b, "- %s [%s]\n", s.Text, s.Link)
		}
		for _, p := range w.Responses {
			fmt.Fprintf(&b, "- %s [%s]\n", p.Sentence.Text, p.Sentence.Link)
		}
	}
	for _, i := range r.Insights {
		fmt.Fprintf(&b, "# %s (%s)\n%s [%s]\n", i.Title, i.Kind, i.Sentence.Text, i.Sentence.Link)
		fmt.Fprintln(&b, strings.Join(i.Header, " | "))
		for _, row := range i.Rows {
			fmt.Fprintln(&b, strings.Join(row, " | "))
		}
	}
	const golden = "testdata/sample-sentences.txt"
	if *update {
		if err := os.MkdirAll("testdata", 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(golden, []byte(b.String()), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	if got := b.String(); got != string(want) {
		t.Errorf("the sample speaks otherwise: %s", firstDifference(got, string(want)))
	}
}
