package report

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"strconv"
	"strings"
	"testing"

	"benchwright/design"
	"benchwright/project"
)

// eachFigure calls f for every figure, number and text that a report holds.
func eachFigure(r *Report, figure func(path string, f Figure), number func(path string, v float64), text func(path, s string)) {
	skip := map[string]bool{"Project": true, "Space": true, "work": true, "Configuration.Configuration": true}
	var walk func(path string, v reflect.Value)
	walk = func(path string, v reflect.Value) {
		switch v.Kind() {
		case reflect.Pointer, reflect.Interface:
			if !v.IsNil() && !strings.HasPrefix(v.Type().String(), "*project.") && !strings.HasPrefix(v.Type().String(), "*design.") {
				walk(path, v.Elem())
			}
		case reflect.Struct:
			if f, ok := v.Interface().(Figure); ok {
				figure(path, f)
			}
			for i := range v.NumField() {
				if name := v.Type().Field(i).Name; !skip[name] && v.Type().Field(i).IsExported() {
					walk(path+"."+name, v.Field(i))
				}
			}
		case reflect.Slice, reflect.Array:
			for i := range v.Len() {
				walk(fmt.Sprintf("%s[%d]", path, i), v.Index(i))
			}
		case reflect.Float64:
			number(path, v.Float())
		case reflect.String:
			text(path, v.String())
		}
	}
	walk("report", reflect.ValueOf(*r))
}

// sound fails for whatever must never reach a page.
func sound(t *testing.T, r *Report) {
	t.Helper()
	bad := func(path, what string) { t.Errorf("%s: %s", path, what) }
	eachFigure(r, func(path string, f Figure) {
		if f.Confidence != 0 && !(f.Confidence > 0 && f.Confidence < 1) {
			bad(path, fmt.Sprint("confidence ", f.Confidence))
		}
		if f.Confidence > 0 && (f.Low > f.High || f.Range == "") && f.Of != "cells" {
			bad(path, fmt.Sprintf("interval %v to %v written %q", f.Low, f.High, f.Range))
		}
		if f.Confidence > 0 && (f.Value < f.Low*(1-1e-12)-1e-12 && f.Low > 0 || f.Value > f.High*(1+1e-12) && f.High > 0) && f.Of != "cells" {
			bad(path, fmt.Sprintf("%v outside its interval %v to %v", f.Value, f.Low, f.High))
		}
		if f.HasP && !(f.P >= 0 && f.P <= 1) {
			bad(path, fmt.Sprint("p ", f.P))
		}
		if f.HasValue() && f.Text == "" {
			bad(path, "a figure without text")
		}
		if (f.Verdict == Better || f.Verdict == Worse) && f.Confidence == 0 {
			bad(path, "a claim without an interval")
		}
	}, func(path string, v float64) {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			bad(path, fmt.Sprint("is ", v))
		}
	}, func(path, s string) {
		for _, wrong := range []string{"NaN", "Inf", "⟪", "{", "}", "%!"} {
			if strings.Contains(s, wrong) && !strings.Contains(path, "Note") {
				bad(path, fmt.Sprintf("the text %q holds %q", s, wrong))
			}
		}
	})
}

func TestSampleIsSound(t *testing.T) { sound(t, sampleReport(t)) }

// hostile is a project whose numbers were chosen to break arithmetic.
func hostile(random *rand.Rand) *made {
	m := make1()
	f := m.factor("clock", project.Studied, "MHz", 100, 200, 400)
	g := m.factor("pad", project.Studied, "", "thin", "thick")
	m.session("s1")
	m.session("s2")
	nasty := []string{"0", "-0", "1e308", "-1e308", "1.7976931348623157e308", "5e-324", "1e-300", "1", "1", "1.0000000000000002", "-3", "1e150", "1e-150", "33", "34.5", "0.001", "100000000000000000"}
	nice := []string{"10.1", "10.2", "10.3", "10.2", "10.15", "9.9"}
	for w := range 5 {
		i := m.workload("w"+strconv.Itoa(w), []string{"s", "fps", "W", "J", "°C"}[w], w%2 == 1)
		if w == 4 {
			m.Workloads[i].Scale = project.IntervalScale
		}
		if random.IntN(3) == 0 {
			m.Workloads[i].Resolution = []float64{0.1, 1e300, 1e-320, 5}[random.IntN(4)]
		}
		if random.IntN(4) == 0 {
			m.Workloads[i].Centre = project.Median
		}
		if random.IntN(2) == 0 {
			m.Workloads[i].HasTarget, m.Workloads[i].Target = true, []float64{10, 0, -1e308, 5e-324}[random.IntN(4)]
		}
	}
	for c := range 6 {
		m.configuration("c"+strconv.Itoa(c), 100*(1<<(c%3)), []string{"thin", "thick"}[c/3])
		if random.IntN(2) == 0 {
			m.Configurations[c].HasCost, m.Configurations[c].Cost = true, []float64{0, 1, 1e308, -5, 20}[random.IntN(5)]
		}
		for w := range m.Workloads {
			pool := nasty
			if random.IntN(2) == 0 {
				pool = nice
			}
			for range random.IntN(5) {
				m.read(c, w, random.IntN(3)-1, pool[random.IntN(len(pool))])
			}
			if random.IntN(6) == 0 {
				m.fail(c, w, 0, project.Outcome(1+random.IntN(4)))
			}
		}
	}
	m.question("clock", f, 100, 400)
	m.question("pad", g, "thin", "thick").Workloads = []int{0, 4}
	bundle := m.question("bundle", f, 100, 200)
	bundle.With = []int{g}
	m.question("nothing", g, "thin", "none")
	m.overall()
	m.Composites = append(m.Composites, &project.Composite{ID: "odd", Label: "Odd", Workloads: []int{0, 1, 4}, Weights: []float64{1e308, 1e-308, 1}})
	return m
}

func TestHostileNumbersStayOffThePage(t *testing.T) {
	for seed := range uint64(60) {
		m := hostile(rand.New(rand.NewPCG(seed, 7)))
		r := m.build(t)
		sound(t, r)
		for b := range m.Configurations {
			for c := range m.Configurations {
				for w := range m.Workloads {
					for _, f := range []Figure{r.Relative(b, c, w), r.Difference(b, c, w), r.CompositeOf(0, b, c).Figure} {
						if math.IsNaN(f.Value+f.Low+f.High) || math.IsInf(f.Value, 0) || math.IsInf(f.Low, 0) || math.IsInf(f.High, 0) {
							t.Errorf("seed %d: %+v", seed, f)
						}
					}
				}
			}
		}
		if !json.Valid(r.AnswersJSON()) {
			t.Errorf("seed %d: the answers are no JSON", seed)
		}
		if t.Failed() {
			t.Fatalf("seed %d", seed)
		}
	}
}

// shuffled is the same readings in another order of rows.
func shuffled(p *project.Project, random *rand.Rand) {
	random.Shuffle(len(p.Readings), func(i, j int) { p.Readings[i], p.Readings[j] = p.Readings[j], p.Readings[i] })
}

func figuresText(t *testing.T, r *Report) string {
	t.Helper()
	var b strings.Builder
	b.Write(r.AnswersJSON())
	eachFigure(r, func(path string, f Figure) { fmt.Fprintf(&b, "%s %x %x %x\n", path, f.Value, f.Low, f.High) },
		func(path string, v float64) { fmt.Fprintf(&b, "%s %x\n", path, v) }, func(path, s string) { fmt.Fprintln(&b, path, s) })
	return b.String()
}

func TestRowOrderDoesNotMatterToTheLastBit(t *testing.T) {
	for seed := range uint64(12) {
		m := large(12, 4, 4)
		if seed > 5 {
			m = hostile(rand.New(rand.NewPCG(seed, 9)))
		}
		before := figuresText(t, m.build(t))
		shuffled(m.Project, rand.New(rand.NewPCG(seed, 3)))
		after := figuresText(t, m.build(t))
		if before != after {
			t.Fatalf("seed %d: another order of rows gives another report: %s", seed, firstDifference(before, after))
		}
	}
}

func firstDifference(a, b string) string {
	x, y := strings.Split(a, "\n"), strings.Split(b, "\n")
	for i := range min(len(x), len(y)) {
		if x[i] != y[i] {
			return x[i] + " / " + y[i]
		}
	}
	return "in length"
}

func TestSameInputGivesSameBytes(t *testing.T) {
	a, b := sampleReport(t).AnswersJSON(), sampleReport(t).AnswersJSON()
	if !bytes.Equal(a, b) {
		t.Error("two reports of one folder differ")
	}
}

func TestBaselineIsAChoice(t *testing.T) {
	r := sampleReport(t)
	n := len(r.Configurations)
	near := func(a, b float64) bool { return math.Abs(a-b) <= 1e-12*math.Abs(a) }
	compared := 0
	for a := range n {
		for b := range n {
			for w := range r.Workloads {
				f, g := r.Relative(a, b, w), r.Relative(b, a, w)
				if !f.HasValue() || !g.HasValue() || a == b {
					continue
				}
				compared++
				if !near(f.Value, 1/g.Value) || !near(f.Low, 1/g.High) || !near(f.High, 1/g.Low) || math.Abs(f.P-g.P) > 1e-9 {
					t.Errorf("%d against %d and back: %v (%v to %v) and %v (%v to %v)", a, b, f.Value, f.Low, f.High, g.Value, g.Low, g.High)
				}
			}
			for c := range n {
				x, y, z := r.CompositeOf(0, a, b).Figure, r.CompositeOf(0, b, c).Figure, r.CompositeOf(0, a, c).Figure
				if x.HasValue() && y.HasValue() && z.HasValue() && !near(x.Value*y.Value, z.Value) {
					t.Errorf("composite %d to %d to %d: %v · %v is not %v", a, b, c, x.Value, y.Value, z.Value)
				}
			}
		}
	}
	if compared < 500 {
		t.Errorf("only %d comparisons", compared)
	}
}

func TestAnotherBaselineByOption(t *testing.T) {
	r := sampleReport(t)
	other := Build(r.Project, r.Space, nil, Options{Baseline: "two-25-thick"})
	if other.Project.Configurations[other.Baseline].ID != "two-25-thick" {
		t.Fatalf("baseline is %d", other.Baseline)
	}
	for c := range other.Cells {
		for w := range other.Cells[c] {
			if a, b := other.Cells[c][w].Relative, r.Relative(other.Baseline, c, w); a.Value != b.Value || a.Low != b.Low {
				t.Errorf("%d, %d: %v and %v", c, w, a, b)
			}
		}
	}
	for q := range r.Questions {
		if r.Questions[q].Headline != other.Questions[q].Headline {
			t.Errorf("the answer to %q depends on the baseline", r.Questions[q].Ask)
		}
	}
}

func TestDirectionFlipTurnsTheRatioOver(t *testing.T) {
	random := rand.New(rand.NewPCG(4, 4))
	for range 200 {
		m := make1()
		m.factor("pad", project.Studied, "", "a", "b")
		m.workload("up", "fps", true)
		m.workload("down", "s", false)
		m.configuration("a", "a")
		m.configuration("b", "b")
		sessions := random.IntN(2) // with one session Fieller's, with two the blocks
		m.session("s1")
		m.session("s2")
		n := 2 + random.IntN(4)
		for c := range 2 {
			for i := range n {
				v := strconv.FormatFloat((20+5*float64(c))*(1+0.05*random.NormFloat64()), 'f', 3, 64)
				for w := range 2 {
					m.read(c, w, i%(1+sessions), v)
				}
			}
		}
		r := m.build(t)
		up, down := r.Relative(0, 1, 0), r.Relative(0, 1, 1)
		if math.Abs(up.Value*down.Value-1) > 1e-12 || math.Abs(up.Low*down.High-1) > 1e-9 || math.Abs(up.High*down.Low-1) > 1e-9 || up.Method != down.Method {
			t.Fatalf("%v (%v to %v, %s) turned over is %v (%v to %v, %s)", up.Value, up.Low, up.High, up.Method, down.Value, down.Low, down.High, down.Method)
		}
	}
}

func TestBuildOnManyCoresIsTheSame(t *testing.T) {
	m := large(200, 3, 3)
	s := design.NewSpace(m.Project)
	a := figuresText(t, Build(m.Project, s, nil, Options{}))
	b := figuresText(t, Build(m.Project, s, nil, Options{}))
	if a != b {
		t.Error(firstDifference(a, b))
	}
}
