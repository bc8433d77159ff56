package design

import (
	"encoding/csv"
	"fmt"
	"os"
	"strconv"
	"strings"
	"testing"

	"benchwright/project"
	"benchwright/schema"
)

// bench builds a project in Go, for tests of the comparison alone.
type bench struct {
	p *project.Project
}

func newBench() *bench {
	return &bench{&project.Project{
		Title: "A bench", Confidence: 0.95, MinimumRepeats: 3, LargestSpread: 0.05,
		Common: map[int]project.Value{}, ResultFiles: []string{"results/results.csv"},
		Places: map[string]schema.Place{},
	}}
}

// value reads a test's shorthand: "" unset, "?" unknown, a number, or a word.
func value(text string) project.Value {
	switch text {
	case "":
		return project.Value{}
	case "?":
		return project.Value{State: project.Unknown, Text: "unknown"}
	}
	if x, err := strconv.ParseFloat(text, 64); err == nil {
		return project.Value{State: project.Known, Numeric: true, Number: x, Text: text}
	}
	return project.Value{State: project.Known, Text: text}
}

func (b *bench) factor(id string, role project.Role, of ...string) *project.Factor {
	f := &project.Factor{ID: id, Index: len(b.p.Factors), Label: id, Role: role,
		Place: schema.Place{File: "bench.yaml", Line: 10 + len(b.p.Factors), Column: 3}}
	for _, name := range of {
		f.Of = append(f.Of, b.index(name))
	}
	b.p.Factors = append(b.p.Factors, f)
	return f
}

func (b *bench) index(factor string) int {
	for _, f := range b.p.Factors {
		if f.ID == factor {
			return f.Index
		}
	}
	panic("no factor " + factor)
}

// configuration takes "factor=value" words.
func (b *bench) configuration(id string, set ...string) *project.Configuration {
	c := &project.Configuration{ID: id, Label: id, Index: len(b.p.Configurations), Set: map[int]project.Value{},
		Values: make([]project.Resolved, len(b.p.Factors)), Place: schema.Place{File: "configurations/" + id + ".yaml", Line: 1, Column: 1}}
	for i, word := range set {
		name, text, _ := strings.Cut(word, "=")
		v := value(text)
		v.Place = schema.Place{File: c.Place.File, Line: 2 + i, Column: 3}
		f := b.index(name)
		c.Set[f] = v
		c.Values[f] = project.Resolved{Value: v, Origin: project.FromOwn, From: id}
	}
	b.p.Configurations = append(b.p.Configurations, c)
	return c
}

func (b *bench) session(id string, set ...string) *project.Session {
	s := &project.Session{ID: id, Index: len(b.p.Sessions), Date: "2026-03-02", Values: map[int]project.Value{}}
	for _, word := range set {
		name, text, _ := strings.Cut(word, "=")
		s.Values[b.index(name)] = value(text)
	}
	b.p.Sessions = append(b.p.Sessions, s)
	return s
}

func (b *bench) workload(id string) *project.Workload {
	w := &project.Workload{ID: id, Label: id, Index: len(b.p.Workloads), HigherBetter: true, Composite: true}
	b.p.Workloads = append(b.p.Workloads, w)
	return w
}

func (b *bench) question(id, factor, from, to string, with ...string) *project.Question {
	q := &project.Question{ID: id, Index: len(b.p.Questions), Factor: b.index(factor), From: value(from), To: value(to)}
	for _, name := range with {
		q.With = append(q.With, b.index(name))
	}
	b.p.Questions = append(b.p.Questions, q)
	return q
}

func (b *bench) config(id string) int {
	for _, c := range b.p.Configurations {
		if c.ID == id {
			return c.Index
		}
	}
	panic("no configuration " + id)
}

// read adds an ok reading; session −1 is none.
func (b *bench) read(configuration string, workload, session int, value float64) {
	r := project.Reading{Configuration: int32(b.config(configuration)),
		Workload: int32(workload), Session: int32(session), Repeat: 1, HasValue: true, Value: value, Raw: value, Line: int32(len(b.p.Readings) + 2)}
	b.p.Write(&r, fmt.Sprint(value), "", "")
	b.p.Readings = append(b.p.Readings, r)
}

// crash adds a run that did not end well.
func (b *bench) crash(configuration string, workload, session int) {
	b.p.Readings = append(b.p.Readings, project.Reading{Configuration: int32(b.config(configuration)), Workload: int32(workload),
		Session: int32(session), Repeat: 1, Outcome: project.Crashed, Line: int32(len(b.p.Readings) + 2)})
}

// readDesign reads a check file, leaving out its source lines.
func readDesign(t *testing.T, name string) (header []string, rows [][]string) {
	t.Helper()
	file, err := os.Open("../testdata/designs/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	r := csv.NewReader(file)
	r.Comment = '#'
	all, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return all[0], all[1:]
}

// factorial makes a plan of two-level factors from the rows of a design.
func factorial(names []string, rows [][]string) *bench {
	b := newBench()
	for _, name := range names {
		b.factor(name, project.Studied)
	}
	for i, row := range rows {
		var set []string
		for k, name := range names {
			set = append(set, name+"="+row[k])
		}
		b.configuration(fmt.Sprintf("run-%d", i+1), set...)
	}
	return b
}
