package render

import (
	"bytes"
	"encoding/json"
	"maps"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"benchwright/design"
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
	Outside   []struct {         // of the cases asked for
		Text, Standing string
		Relative       scriptFigure
	}
	Between [][][]struct { // from, to
		Factor int
		Kind   string
	}
	Pair [][]struct { // from, to
		Figures []struct {
			scriptFigure
			Among int // comparisons among which its claim was taken back
		}
		Family int
	}
	Unheld  [][][]int    // from, to: factors
	Verdict [][]struct { // from, to
		Matched, Clean bool
		Apart          []int
		Text           string
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
	r := inOtherSessions(sampleReport(t))
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
	cases := outsideCases(r)
	text, err := json.Marshal(cases)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "outside.json"), text, 0o600); err != nil {
		t.Fatal(err)
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
	taken := 0
	for b := range n {
		for c := range n {
			if b == c {
				continue
			}
			name, family := r.Configurations[b].ID+" → "+r.Configurations[c].ID, 0
			for w, x := range r.Pair(b, c).Workloads {
				if x.Effect.Confidence == 0 {
					continue // nothing is claimed
				}
				sameFigure(t, x.Effect, got.Pair[b][c].Figures[w].scriptFigure, name+" side by side on "+r.Workloads[w].ID)
				family = max(family, x.Effect.Family)
				if x.Effect.Family > 1 && x.Effect.AdjustedP > 1-r.Confidence && x.Effect.P < 1-r.Confidence {
					taken++
					if x.Effect.Remark != "" && got.Pair[b][c].Figures[w].Among != x.Effect.Family {
						t.Errorf("%s on %s: %s; the script takes it back among %d", name, r.Workloads[w].ID, x.Effect.Remark, got.Pair[b][c].Figures[w].Among)
					}
				}
			}
			if family > 1 && family != got.Pair[b][c].Family {
				t.Errorf("%s: corrected for %d comparisons, the script says %d", name, family, got.Pair[b][c].Family)
			}
		}
	}
	if taken == 0 {
		t.Error("no claim was taken back by the correction, so that it was not tested")
	}
	matched, belied, unheld := 0, 0, 0
	for b := range n {
		from := report.Build(r.Project, r.Space, nil, report.Options{Baseline: r.Configurations[b].ID})
		for c := range n {
			want, v := from.Configurations[c].Comparison, got.Verdict[b][c]
			if b != c && !slices.Equal(got.Unheld[b][c], want.Unheld) {
				t.Errorf("%s → %s: the report says that %v are not held, the script %v", r.Configurations[b].ID, r.Configurations[c].ID, want.Unheld, got.Unheld[b][c])
			}
			unheld += len(want.Unheld)
			for _, d := range r.Space.Doubts(b, c) {
				if want.Matched && !d.Step {
					matched++
				} else {
					belied++
				}
			}
			if b != c && (v.Matched != want.Matched || v.Clean != want.Clean || v.Text != want.Text || !slices.Equal(v.Apart, want.Apart)) {
				t.Errorf("%s → %s: the report says %+v, the script %+v", r.Configurations[b].ID, r.Configurations[c].ID, want, v)
			}
		}
	}
	if matched == 0 || belied == 0 || unheld == 0 {
		t.Errorf("%d doubts about matched pairs, %d others, %d factors that were not held: they were not tested", matched, belied, unheld)
	}
	compareOutside(t, r, cases, got)
	if compared < 1000 {
		t.Errorf("only %d figures were compared", compared)
	}
}

// inOtherSessions moves all readings of one configuration of the sample into
// a session more, and those of two others under the first workload, so that
// there are pairs that were not read in one session; reads the baseline again in
// that session, a little faster and once, and in a later one under another
// firmware, which stands between no pair and through which the one that was read
// there alone is not compared; lets another crash there, in all of its runs; and
// another configuration unequally often, so that there are pairs that share some sessions only, and share them
// unevenly; and adds a workload that is computed from two others, and a composite
// of a single one; and lets two workloads share runs, in a composite with the
// computed one.
func inOtherSessions(r *report.Report) *report.Report {
	p := r.Project
	more := *p.Sessions[len(p.Sessions)-1]
	more.ID, more.Index = "more", len(p.Sessions)
	// In a warmer room, which stands between what shares no session alone.
	more.Values = maps.Clone(more.Values)
	for f, v := range more.Values {
		if v.Numeric && p.Factors[f].Role == project.Nuisance {
			v.Number, v.Text = v.Number+20, ""
			more.Values[f] = v
		}
	}
	later := *p.Sessions[0]
	later.ID, later.Index = "later", more.Index+1
	later.Values = maps.Clone(later.Values)
	firmware := slices.IndexFunc(p.Factors, func(f *project.Factor) bool { return f.ID == "firmware" })
	later.Values[firmware] = project.Value{State: project.Known, Text: "1.06"}
	p.Sessions = append(p.Sessions, &more, &later)
	for i := range p.Readings {
		rd := &p.Readings[i]
		if c := int(rd.Configuration); c == r.Baseline+1 || (c == r.Baseline+2 || c == r.Baseline+3) && rd.Workload == 0 {
			rd.Session = int32(more.Index)
		} else if c == r.Baseline+5 {
			rd.Session = int32(later.Index)
		} else if c == r.Baseline+6 {
			rd.Session, rd.Outcome, rd.HasValue, rd.Value = int32(more.Index), project.Crashed, false, 0
		}
	}
	for _, rd := range slices.Clone(p.Readings) {
		switch c := int(rd.Configuration); {
		case c == r.Baseline && rd.Repeat == 1 && rd.Session == 0:
			rd.Session = int32(more.Index)
			again := rd
			again.Session = int32(later.Index)
			again.Value *= 1.04
			p.Readings = append(p.Readings, again)
		case c == r.Baseline+4 && rd.Session == 0:
			rd.Repeat += 10
		default:
			continue
		}
		rd.Value *= 1.02
		p.Readings = append(p.Readings, rd)
	}
	product := *p.Workloads[0]
	product.ID, product.Index, product.Composite = "product", len(p.Workloads), false
	product.Derived = &project.Formula{Times: []project.Term{{Name: p.Workloads[0].ID}, {Name: p.Workloads[1].ID}}}
	p.Workloads = append(p.Workloads, &product)
	p.Composites = append(p.Composites, &project.Composite{ID: "single", Label: "Single", Workloads: []int{1}, Weights: []float64{1}})
	shared := *p.Workloads[1]
	shared.ID, shared.Index, shared.FramesOf = "shared", len(p.Workloads), p.Workloads[1].ID
	p.Workloads = append(p.Workloads, &shared)
	for _, rd := range slices.Clone(p.Readings) {
		if rd.Workload == 1 {
			rd.Workload, rd.Value = int32(shared.Index), rd.Value*1.1
			p.Readings = append(p.Readings, rd)
		}
	}
	foundOtherwise(p)
	p.Composites = append(p.Composites, &project.Composite{ID: "family", Label: "Family", Workloads: []int{0, 1, 2, shared.Index, product.Index}, Weights: []float64{1, 2, 1, 1, 3}})
	return report.Build(p, design.NewSpace(p), nil, report.Options{})
}

// foundOtherwise displays and measures every factor that was set of some
// configurations otherwise: of one a number a little beside what was set, of
// others one far from it or another word, of two of them the same.
func foundOtherwise(p *project.Project) {
	for n, shift := range []float64{0.01, 0.3, 0.3, -0.2} {
		c := p.Configurations[n*len(p.Configurations)/4]
		for f := range p.Factors {
			v := c.Values[f].Value
			if v.State != project.Known {
				continue
			}
			v.Number *= 1 + shift
			v.Text += "x"
			if v.Numeric {
				v.Text = strconv.FormatFloat(v.Number, 'g', -1, 64)
			}
			if (f+n)%2 == 0 {
				c.Displayed = append(c.Displayed, project.Identity{Factor: f, Value: v})
			} else {
				c.Measured = append(c.Measured, project.Identity{Factor: f, Value: v})
			}
		}
	}
}

// outsideCase is what a viewer read under a workload.
type outsideCase struct {
	W       int       `json:"w"`
	Values  []float64 `json:"values"`
	Step    float64   `json:"step"`
	Written []string  `json:"-"`
}

// outsideCases asks for single readings, repeats, equal repeats, readings
// beyond both ends and exactly those of a configuration.
func outsideCases(r *report.Report) []outsideCase {
	var out []outsideCase
	for w := range r.Workloads {
		if r.Workloads[w].Derived != nil {
			continue
		}
		base := r.Cells[r.Baseline][w].Centre.Value
		for _, of := range [][]float64{{1}, {0.97}, {1.31, 1.33, 1.335}, {1.02, 1.02, 1.02}, {0.01}, {40, 41}, {0.5, 0.9}} {
			c := outsideCase{W: w, Step: 0.1}
			for _, share := range of {
				written := strconv.FormatFloat(base*share, 'f', 1, 64)
				v, _ := strconv.ParseFloat(written, 64)
				c.Values, c.Written = append(c.Values, v), append(c.Written, written)
			}
			out = append(out, c)
		}
	}
	return out
}

// compareOutside holds what the script says of readings from elsewhere against
// what the report says of the same ones.
func compareOutside(t *testing.T, r *report.Report, cases []outsideCase, got scriptAnswer) {
	t.Helper()
	var given []report.OutsideReading
	for i, c := range cases {
		for k := range c.Values {
			given = append(given, report.OutsideReading{Viewer: strconv.Itoa(i), Machine: "another", Workload: c.W,
				Value: c.Values[k], Written: c.Written[k], Unit: r.Workloads[c.W].Unit.Symbol})
		}
	}
	r.TakeOutside(given)
	if len(r.Outside) != len(cases) || len(got.Outside) != len(cases) || len(cases) < 30 {
		t.Fatalf("%d cases, %d entries, %d answers of the script", len(cases), len(r.Outside), len(got.Outside))
	}
	for i := range r.Outside {
		want, said := &r.Outside[i], &got.Outside[i]
		what := "outside " + strings.Join(cases[i].Written, " ") + " on " + r.Workloads[want.Workload].ID
		if want.Centre.Text != said.Text || want.Standing != said.Standing {
			t.Errorf("%s: %s, %s; the script says %s, %s", what, want.Centre.Text, want.Standing, said.Text, said.Standing)
		}
		sameFigure(t, want.Relative, said.Relative, what)
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
