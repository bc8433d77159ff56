package render

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"benchwright/project"
	"benchwright/report"
	"benchwright/themes"
)

// scriptAnswer is what testdata/figures.cjs prints: every figure that the
// scripts can be asked for.
type scriptAnswer struct {
	Relative  [][][]scriptFigure // baseline, configuration, workload
	Composite [][][]scriptFigure // composite, baseline, configuration
	Column    [][]scriptFigure   // workload, configuration; against the report's baseline
	Between   [][][]struct {     // from, to
		Factor int
		Kind   string
	}
}

type scriptFigure struct {
	State, Text, Short, Range, Verdict string
	Value, Low, High                   float64
	Interval                           bool
}

// The figures that the page recomputes for another baseline are those that the
// report would have published: the same digits, the same interval, the same
// claim, and the same kinds of difference.
func TestScriptsComputeWhatTheReportDoes(t *testing.T) {
	node, err := exec.LookPath("node")
	if err != nil {
		t.Skip("node is not installed: the scripts cannot be run")
	}
	r := sampleReport(t)
	th, err := themes.Load("", nil)
	if err != nil {
		t.Fatal(err)
	}
	files, err := Site(r, th, Options{})
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	for _, f := range files {
		if f.Path == "assets/figures.js" || f.Path == "assets/figures.data.js" {
			if err := os.WriteFile(filepath.Join(dir, filepath.Base(f.Path)), f.Data, 0o600); err != nil {
				t.Fatal(err)
			}
		}
	}
	var out, errs bytes.Buffer
	cmd := exec.Command(node, "testdata/figures.cjs", dir)
	cmd.Stdout, cmd.Stderr = &out, &errs
	if err := cmd.Run(); err != nil {
		t.Fatalf("running the scripts: %v\n%s", err, errs.String())
	}
	var got scriptAnswer
	if err := json.Unmarshal(out.Bytes(), &got); err != nil {
		t.Fatal(err)
	}
	n, compared := len(r.Configurations), 0
	for b := range n {
		for c := range n {
			for w := range r.Workloads {
				want := r.Relative(b, c, w)
				if r.Workloads[w].Scale == project.IntervalScale {
					want = r.Difference(b, c, w)
				}
				sameFigure(t, want, got.Relative[b][c][w], r.Configurations[b].ID+" → "+r.Configurations[c].ID+" on "+r.Workloads[w].ID)
				compared++
			}
			for k := range r.Composites {
				if b == r.Baseline {
					continue // corrected for the family of the published table
				}
				sameFigure(t, r.CompositeOf(k, b, c).Figure, got.Composite[k][b][c], "composite of "+r.Configurations[b].ID+" → "+r.Configurations[c].ID)
				compared++
			}
			if b == c {
				continue
			}
			between := r.Space.Between(b, c)
			if len(between) != len(got.Between[b][c]) {
				t.Errorf("%s → %s: %d differences, the script finds %d", r.Configurations[b].ID, r.Configurations[c].ID, len(between), len(got.Between[b][c]))
				continue
			}
			for i, d := range between {
				kind, _ := d.Kind.MarshalText()
				names := map[string]string{"follower": "follows", "nuisance": "drift"}
				script := got.Between[b][c][i].Kind
				if name, ok := names[script]; ok {
					script = name
				}
				if d.Factor != got.Between[b][c][i].Factor || string(kind) != script {
					t.Errorf("%s → %s: factor %d is %s, the script says factor %d is %s", r.Configurations[b].ID, r.Configurations[c].ID, d.Factor, kind, got.Between[b][c][i].Factor, script)
				}
			}
		}
	}
	for w := range r.Workloads {
		for c := range n {
			if r.Workloads[w].Scale == project.RatioScale {
				sameFigure(t, r.Cells[c][w].Relative, got.Column[w][c], "published column "+r.Workloads[w].ID+" of "+r.Configurations[c].ID)
			}
		}
	}
	if compared < 1000 {
		t.Errorf("only %d figures were compared", compared)
	}
}

func sameFigure(t *testing.T, want report.Figure, got scriptFigure, what string) {
	t.Helper()
	states := map[report.FigureState]string{report.Absent: "absent", report.Measured: "measured", report.SpreadUnknown: "unknown",
		report.SpreadBorrowed: "borrowed", report.Failed: "failed", report.NotComparable: "not-comparable"}
	if states[want.State] != got.State {
		t.Errorf("%s: state %q, the script says %q", what, states[want.State], got.State)
		return
	}
	if !measured(want) {
		return
	}
	verdicts := map[report.Verdict]string{report.NoVerdict: "open", report.Better: "better", report.Worse: "worse", report.NoDifferenceSeen: "same"}
	// A difference of the last bits is nought to everybody but the writer of digits.
	if math.Abs(want.Value-1) < 1e-12 && math.Abs(got.Value-1) < 1e-12 {
		return
	}
	if want.Text != got.Text || want.Range != got.Range || want.Short != got.Short || verdicts[want.Verdict] != got.Verdict {
		t.Errorf("%s: %s (%s) %s %s, the script says %s (%s) %s %s", what, want.Text, want.Range, want.Short, verdicts[want.Verdict], got.Text, got.Range, got.Short, got.Verdict)
	}
	for _, v := range [][2]float64{{want.Value, got.Value}, {want.Low, got.Low}, {want.High, got.High}} {
		if math.Abs(v[0]-v[1]) > 1e-9*max(1, math.Abs(v[0])) {
			t.Errorf("%s: %v, the script says %v", what, v[0], v[1])
		}
	}
}
