package sampleproject_test

import (
	"encoding/json"
	"io/fs"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"

	"benchwright/project"
	sampleproject "benchwright/sample-project"
	"benchwright/schema"
)

// load reads the sample as a command would and fails on anything wrong in it.
func load(t *testing.T) *project.Project {
	t.Helper()
	folder, found := schema.Read(sampleproject.Files())
	p, more := project.Load(folder)
	for _, f := range folder.Excerpts(append(found, more...)) {
		t.Errorf("%s: %s: %s: %s\n%s\n%s", f.Place, f.Severity, f.Rule, f.Message, f.Excerpt, f.Remedy)
	}
	if p == nil {
		t.Fatal("no project")
	}
	return p
}

func TestTheSampleIsRead(t *testing.T) {
	p := load(t)
	if n := len(p.Configurations); n != 13 {
		t.Errorf("%d configurations, want 13", n)
	}
	if n := len(p.Workloads); n != 8 {
		t.Errorf("%d workloads, want 8", n)
	}
	if n := len(p.Questions); n != 7 {
		t.Errorf("%d questions, want 7", n)
	}
	if n := len(p.Sessions); n != 4 {
		t.Errorf("%d sessions, want 4", n)
	}
	if got := p.Configurations[p.Baseline].ID; got != "one-15-thin" {
		t.Errorf("baseline %q, want one-15-thin", got)
	}
	for _, c := range p.Configurations {
		if want := c.ID == "new-system-same-drive"; c.Planned != want {
			t.Errorf("%s: planned is %v, want %v", c.ID, c.Planned, want)
		}
	}
}

// What the scenario shows on purpose is there, and nothing by accident.
func TestOutcomesAreThoseOfTheStory(t *testing.T) {
	p := load(t)
	ok := map[[2]string]int{}
	hung, excluded := 0, 0
	for _, r := range p.Readings {
		c, w := p.Configurations[r.Configuration].ID, p.Workloads[r.Workload].ID
		session := p.Sessions[r.Session].ID
		switch {
		case r.Derived:
		case c == "two-35-thin":
			if r.Outcome != project.Hung || r.HasValue {
				t.Errorf("%s:%d: the configuration that hangs has outcome %s, value %v", p.ResultFiles[r.File], r.Line, r.Outcome, r.HasValue)
			}
			hung++
		case session == "second-day-after-update":
			if r.Outcome != project.Excluded || p.Reason(&r) == "" {
				t.Errorf("%s:%d: after the update, outcome %s, reason %q", p.ResultFiles[r.File], r.Line, r.Outcome, p.Reason(&r))
			}
			excluded++
		case r.Outcome != project.OK:
			t.Errorf("%s:%d: outcome %s", p.ResultFiles[r.File], r.Line, r.Outcome)
		default:
			ok[[2]string{c, w}]++
		}
	}
	// Three attempts and nine configurations, seven workloads that are read.
	if hung != 3*7 || excluded != 9*7 {
		t.Errorf("%d hung and %d excluded readings, want 21 and 63", hung, excluded)
	}
	if len(ok) != 11*7 {
		t.Errorf("%d cells with readings, want 77", len(ok))
	}
	for cell, n := range ok {
		if n != 5 {
			t.Errorf("%s: %d readings that count, want 5", cell, n)
		}
	}
}

// truth is the part of the planted effects that these tests need.
type truth struct {
	Cells []struct {
		Configuration, Workload, Unit string
		Value, Spread                 float64
	}
	Firmware struct {
		Session, Workload string
		Gain              float64
	}
}

func planted(t *testing.T) truth {
	t.Helper()
	text, err := os.ReadFile("../testdata/sample-generator/truth.json")
	if err != nil {
		t.Fatal(err)
	}
	var v truth
	if err := json.Unmarshal(text, &v); err != nil {
		t.Fatal(err)
	}
	return v
}

// values of one cell, in the workload's unit.
func values(p *project.Project, configuration, workload string, want project.Outcome) []float64 {
	var out []float64
	for _, r := range p.Readings {
		if p.Configurations[r.Configuration].ID == configuration && p.Workloads[r.Workload].ID == workload && r.Outcome == want {
			out = append(out, r.Value)
		}
	}
	return out
}

func mean(x []float64) float64 {
	var s float64
	for _, v := range x {
		s += v
	}
	return s / float64(len(x))
}

// Each mean lies within four standard errors of what was planted: a wrong
// conversion, a swapped column or a lost digit does not.
func TestReadingsScatterAroundWhatWasPlanted(t *testing.T) {
	p := load(t)
	cells := planted(t).Cells
	if len(cells) != 11*8 {
		t.Fatalf("%d planted cells, want 88", len(cells))
	}
	for _, c := range cells {
		x := values(p, c.Configuration, c.Workload, project.OK)
		if len(x) != 5 {
			t.Errorf("%s, %s: %d readings, want 5", c.Configuration, c.Workload, len(x))
			continue
		}
		if off := math.Abs(mean(x) - c.Value); off > 4*c.Spread/math.Sqrt(5) {
			t.Errorf("%s, %s: mean %g, planted %g %s, nominal spread %g", c.Configuration, c.Workload, mean(x), c.Value, c.Unit, c.Spread)
		}
		if slices.Min(x) == slices.Max(x) {
			t.Errorf("%s, %s: all readings alike", c.Configuration, c.Workload)
		}
	}
}

// The update moved the backup and left the rest, as the note tells.
func TestTheUpdateMovedOneWorkload(t *testing.T) {
	p := load(t)
	f := planted(t).Firmware
	for _, w := range p.Workloads {
		if w.Derived != nil || w.Scale == project.IntervalScale {
			continue
		}
		var logs, n float64
		for _, c := range p.Configurations {
			before, after := values(p, c.ID, w.ID, project.OK), values(p, c.ID, w.ID, project.Excluded)
			if len(before) > 0 && len(after) > 0 {
				logs += math.Log(mean(before) / mean(after))
				n++
			}
		}
		want := 1.0
		if w.ID == f.Workload {
			want = f.Gain
		}
		if got := math.Exp(logs / n); math.Abs(got-want) > 0.015 {
			t.Errorf("%s: %g of the performance before the update, planted %g", w.ID, got, want)
		}
	}
}

// The files in the folder are those that the generator writes.
func TestTheGeneratorWritesTheSameBytes(t *testing.T) {
	dir := t.TempDir()
	cmd := exec.Command("go", "run", "./testdata/sample-generator", "-results", dir, "-viewers", dir, "-truth", filepath.Join(dir, "truth.json"))
	cmd.Dir = ".."
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("running the generator: %v\n%s", err, out)
	}
	names, err := fs.Glob(sampleproject.Files(), "results/*.csv")
	if err != nil || len(names) != 3 {
		t.Fatalf("result files %v, %v", names, err)
	}
	sent, err := fs.Glob(sampleproject.Files(), "viewers/*.csv")
	if err != nil || len(sent) != 1 {
		t.Fatalf("viewers' files %v, %v", sent, err)
	}
	for _, name := range append(names, sent...) {
		want, err := fs.ReadFile(sampleproject.Files(), name)
		if err != nil {
			t.Fatal(err)
		}
		same(t, filepath.Join(dir, filepath.Base(name)), want)
	}
	want, err := os.ReadFile("../testdata/sample-generator/truth.json")
	if err != nil {
		t.Fatal(err)
	}
	same(t, filepath.Join(dir, "truth.json"), want)
}

func same(t *testing.T, file string, want []byte) {
	t.Helper()
	got, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if string(got) != string(want) {
		t.Errorf("%s differs from what the generator writes", filepath.Base(file))
	}
}

// Everything in the folder is embedded, so that a file that is added is not
// forgotten.
func TestEverythingIsEmbedded(t *testing.T) {
	err := fs.WalkDir(os.DirFS("."), ".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || filepath.Ext(path) == ".go" {
			return err
		}
		if _, err := fs.Stat(sampleproject.Files(), path); err != nil {
			t.Errorf("%s is not embedded", path)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}
