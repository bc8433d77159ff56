package report

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"benchwright/design"
	"benchwright/project"
	"benchwright/schema"
	"benchwright/stats"
)

// two is a project of two configurations, a and b, that differ in one factor,
// with one workload of which more is better.
func two(a, b []string) *made {
	m := make1()
	f := m.factor("pad", project.Studied, "", "thin", "thick")
	m.workload("rate", "fps", true)
	m.session("s")
	m.configuration("a", "thin")
	m.configuration("b", "thick")
	m.read(0, 0, 0, a...)
	m.read(1, 0, 0, b...)
	m.question("pad", f, "thin", "thick")
	m.overall()
	return m
}

func TestCellOfThreeReadings(t *testing.T) {
	r := two([]string{"14.5", "14.7", "14.9"}, []string{"16.1", "16.4", "16.2"}).build(t)
	c := r.Cells[0][0]
	// t(0.975; 2) = 4.302652729911275 (standard table of Student's t).
	half := 4.302652729911275 * 0.2 / math.Sqrt(3)
	if c.N != 3 || math.Abs(c.Mean-14.7) > 1e-12 || math.Abs(c.SD-0.2) > 1e-12 || math.Abs(c.CV-0.2/14.7) > 1e-12 || c.Min != 14.5 || c.Max != 14.9 {
		t.Errorf("%+v", c)
	}
	f := c.Centre
	if f.State != Measured || math.Abs(f.Low-(14.7-half)) > 1e-9 || math.Abs(f.High-(14.7+half)) > 1e-9 || f.Confidence != 0.95 {
		t.Errorf("%+v", f)
	}
	for got, want := range map[string]string{f.Text: "14.7_fps", f.Range: "14.2 to 15.2_fps", c.SDText: "0.20_fps", c.CVText: "1.4_%", c.RangeText: "14.5 to 14.9_fps"} {
		if readable(got) != want {
			t.Errorf("%q, want %q", readable(got), want)
		}
	}
	if len(c.Flags) != 0 || len(c.Readings) != 3 || readable(c.Readings[1].Text) != "14.7_fps" {
		t.Errorf("%+v %+v", c.Flags, c.Readings)
	}
}

func TestRatioIsFiellersWhereSessionsDoNotPair(t *testing.T) {
	x, y := []string{"16.1", "16.4", "16.2"}, []string{"14.5", "14.7", "14.9"}
	f := two(y, x).build(t).Relative(0, 1, 0)
	want, err := stats.FiellerWelch([]float64{16.1, 16.4, 16.2}, []float64{14.5, 14.7, 14.9}, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(f.Low-want.Interval.Low) > 1e-12 || math.Abs(f.High-want.Interval.High) > 1e-12 || math.Abs(f.P-want.P) > 1e-12 || f.Method != "Fieller" || f.Verdict != Better {
		t.Errorf("%+v, want %+v", f, want)
	}
}

func TestUnboundedFiellerGivesWayToTheLogRatio(t *testing.T) {
	f := two([]string{"1", "30"}, []string{"20", "24"}).build(t).Relative(0, 1, 0)
	if _, err := stats.FiellerWelch([]float64{20, 24}, []float64{1, 30}, 0.95); err == nil {
		t.Fatal("Fieller's set is bounded here, so this tests nothing")
	}
	if f.Method != "log ratio, Welch" || !(f.Low > 0 && f.Low < f.Value && f.Value < f.High) || f.Verdict != NoDifferenceSeen {
		t.Errorf("%+v", f)
	}
}

func TestOneReadingBorrowsOrSaysUnknown(t *testing.T) {
	alone := two([]string{"14.7"}, []string{"16.2"}).build(t)
	if f := alone.Relative(0, 1, 0); f.State != SpreadUnknown || f.Confidence != 0 || f.Verdict != NoVerdict || f.Remark != "one reading: spread unknown" || readable(f.Text) != "+10_%" {
		t.Errorf("%+v", f)
	}
	if c := alone.Cells[0][0]; c.Centre.State != SpreadUnknown || len(c.Flags) != 1 || c.Flags[0].Rule != "one-reading" || c.HasSD {
		t.Errorf("%+v", c)
	}
	m := two([]string{"14.7"}, []string{"16.2", "16.4", "16.3"})
	r := m.build(t)
	f := r.Relative(0, 1, 0)
	if f.State != SpreadBorrowed || f.Confidence != 0.95 || !strings.Contains(f.Remark, "assumed") {
		t.Errorf("%+v", f)
	}
	// The one reading has the other cell's relative spread of 0.1/16.3 with two
	// degrees of freedom, the other that over √3 with the same two.
	cv := 0.1 / 16.3
	if got := r.work.samples[0][0]; math.Abs(got.se-cv) > 1e-12 || got.df != 2 {
		t.Errorf("borrowed %v with %v degrees of freedom", got.se, got.df)
	}
}

func TestBelowTheResolutionIsNoDifference(t *testing.T) {
	m := two([]string{"14.70", "14.71", "14.70"}, []string{"14.90", "14.91", "14.90"})
	if f := m.build(t).Relative(0, 1, 0); f.Verdict != Better {
		t.Fatalf("without a resolution it is a difference: %+v", f)
	}
	m.Workloads[0].Resolution = 0.5
	r := m.build(t)
	if f := r.Relative(0, 1, 0); f.Verdict != NoDifferenceSeen || !strings.Contains(f.Remark, "resolution of 0.50") {
		t.Errorf("%+v", f)
	}
	if len(r.Workloads[0].Order) != 2 || !r.Workloads[0].Order[1].Tied {
		t.Errorf("%+v", r.Workloads[0].Order)
	}
}

func TestEqualReadingsAreAsGoodAsTheStep(t *testing.T) {
	r := two([]string{"86", "86", "86"}, []string{"89", "89", "89"}).build(t)
	f := r.Cells[0][0].Centre
	// The step is 1: standard error 1/√12, however many readings agree.
	if want := 1.959963984540054 / math.Sqrt(12); f.State != Measured || math.Abs(f.High-86-want) > 1e-9 {
		t.Errorf("%+v", f)
	}
	if r.Cells[0][0].Flags[0].Rule != "all-equal" {
		t.Errorf("%+v", r.Cells[0][0].Flags)
	}
	if g := r.Relative(0, 1, 0); g.Verdict != Better || g.State != Measured {
		t.Errorf("%+v", g)
	}
}

func TestIntervalScaleIsNeverARatio(t *testing.T) {
	m := two([]string{"40.1", "40.3", "40.2"}, []string{"38.0", "38.1", "38.3"})
	m.Workloads[0].Scale, m.Workloads[0].HigherBetter = project.IntervalScale, false
	m.Workloads[0].Unit.Symbol = "°C"
	m.Composites = nil
	m.overall()
	m.Composites = append(m.Composites, &project.Composite{ID: "wrong", Workloads: []int{0}, Weights: []float64{1}})
	r := m.build(t)
	if f := r.Relative(0, 1, 0); f.State != NotComparable || f.Text != "" || f.Remark == "" {
		t.Errorf("%+v", f)
	}
	f := r.Difference(0, 1, 0)
	want, err := stats.Welch([]float64{38.0, 38.1, 38.3}, []float64{40.1, 40.3, 40.2}, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(f.Value-want.Difference) > 1e-12 || math.Abs(f.Low-want.Interval.Low) > 1e-9 || f.Verdict != Better || readable(f.Text) != "~2.1_°C" {
		t.Errorf("%+v, want %+v", f, want)
	}
	// The tables show the same figure, and the next edition is held against it.
	from, own := r.Cells[1][0].Compared(), r.Cells[0][0].Compared()
	if *from != f || own.Value != 0 || own.Confidence != 0 || r.Cells[1][0].LookAlike {
		t.Errorf("%+v, %+v", from, own)
	}
	old := r.Publication()
	if d := old.Cells[1].Difference; d == nil || d.Text != f.Text {
		t.Errorf("%+v", d)
	}
	warmer := m.clone()
	warmer.Readings[len(warmer.Readings)-1].Value += 1.2
	if said := Compare(old, warmer.build(t)).said(); !strings.Contains(said, ", against the baseline") {
		t.Error(said)
	}
	for i := range old.Cells {
		old.Cells[i].Difference = nil // as editions before this figure left it
	}
	if said := Compare(old, warmer.build(t)).said(); strings.Contains(said, ", against the baseline") {
		t.Error(said)
	}
	if len(r.Composites[1].Workloads) != 0 || r.Composites[1].Rows[1].Figure.State != Absent {
		t.Errorf("%+v", r.Composites[1])
	}
	q := r.Questions[0]
	if q.Overall.State != Absent || !q.ByWorkload[0].Difference || !strings.Contains(readable(q.Headline.Text), "~2.1_°C") {
		t.Errorf("%q", q.Headline.Text)
	}
}

func TestMedianHasItsOwnInterval(t *testing.T) {
	m := two([]string{"10", "11", "12", "13", "50"}, []string{"20", "21", "22", "23", "24", "25", "26"})
	m.Workloads[0].Centre = project.Median
	r := m.build(t)
	few, many := r.Cells[0][0].Centre, r.Cells[1][0].Centre
	// Five readings: from least to most, 1 − 2/2⁵; seven: 1 − 2/2⁷.
	if few.Value != 12 || few.Low != 10 || few.High != 50 || math.Abs(few.Confidence-0.9375) > 1e-12 || !strings.Contains(few.Remark, "93.8") {
		t.Errorf("%+v", few)
	}
	if many.Value != 23 || many.Low != 20 || many.High != 26 || math.Abs(many.Confidence-(1-2.0/128)) > 1e-12 {
		t.Errorf("%+v", many)
	}
	if f := r.Relative(0, 1, 0); math.Abs(f.Value-23.0/12) > 1e-12 {
		t.Errorf("%+v", f)
	}
}

func TestFailuresAreKept(t *testing.T) {
	m := two([]string{"14.7", "14.8"}, []string{"16.2", "16.1"})
	m.workload("heavy", "s", false)
	m.overall()
	m.read(0, 1, 0, "10.0", "10.1")
	m.fail(1, 1, 0, project.Hung)
	m.fail(1, 0, 0, project.Crashed)
	left := project.Reading{Configuration: 1, Workload: 0, Repeat: 9, Outcome: project.Excluded, HasValue: true, Value: 99, Raw: 99}
	m.Write(&left, "99", "door open", "")
	m.Readings = append(m.Readings, left)
	r := m.build(t)
	c := r.Cells[1][0]
	if c.N != 2 || c.Outcome != project.OK || len(c.Readings) != 4 || len(c.Flags) != 2 || c.Flags[0].Text != "failed 1 of 4" {
		t.Errorf("%+v", c)
	}
	if c.Mean > 17 {
		t.Errorf("an excluded reading counts: %v", c.Mean)
	}
	if f := r.Cells[1][1].Centre; f.State != Failed || f.Text != "hung" {
		t.Errorf("%+v", f)
	}
	if f := r.Relative(0, 1, 1); f.State != Failed {
		t.Errorf("%+v", f)
	}
	if !slices.Equal(r.Workloads[1].Failures, []int{1}) {
		t.Errorf("%v", r.Workloads[1].Failures)
	}
	// A composite over different sets of workloads is not formed.
	row := r.Composites[len(r.Composites)-1].Rows[1]
	if row.Figure.State != NotComparable || !strings.Contains(row.Figure.Remark, "1 of the 2") || row.Used != 1 || !slices.Equal(row.Missing, []int{1}) {
		t.Errorf("%+v", row)
	}
	// The answer is over the workload that both have.
	if q := r.Questions[0]; !slices.Equal(q.OverallWorkloads, []int{0}) || !q.Overall.HasValue() {
		t.Errorf("%+v", q)
	}
}

func TestFailedPairIsListed(t *testing.T) {
	m := two([]string{"14.7", "14.8"}, nil)
	m.fail(1, 0, 0, project.DidNotStart)
	q := m.build(t).Questions[0]
	if q.Answerable || len(q.FailedPairs) != 1 || !strings.Contains(q.FailedPairs[0].Why, "did not start") || !strings.Contains(q.Headline.Text, "failed") {
		t.Errorf("%+v", q)
	}
}

func TestSessionsThatPairAreTakenOut(t *testing.T) {
	// Every session shifts both sides alike: 10 % from the first to the third.
	m := two(nil, nil)
	m.session("s2")
	m.session("s3")
	for s, shift := range []float64{1, 1.05, 1.10} {
		for _, noise := range []float64{0.999, 1.001} {
			m.read(0, 0, s, num(100*shift*noise))
			m.read(1, 0, s, num(103*shift/noise))
		}
	}
	r := m.build(t)
	f := r.Relative(0, 1, 0)
	if f.Verdict != Better || f.High-f.Low > 0.01 || !strings.Contains(f.Method, "within sessions") {
		t.Errorf("%+v", f)
	}
	// One reading in each session is the paired t interval of the log ratios.
	m = two(nil, nil)
	m.session("s2")
	m.session("s3")
	x, y := []float64{103.1, 108.4, 113.0}, []float64{100.2, 104.9, 110.1}
	for s := range 3 {
		m.read(0, 0, s, num(y[s]))
		m.read(1, 0, s, num(x[s]))
	}
	f = m.build(t).Relative(0, 1, 0)
	want, err := stats.LogRatioPaired(x, y, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(math.Log(f.High/f.Low)-math.Log(want.Interval.High/want.Interval.Low)) > 1e-12 {
		t.Errorf("%v to %v, want the width of %+v", f.Low, f.High, want)
	}
	// Readings of different sessions do not pair.
	m = two([]string{"100.0", "100.4", "99.8"}, nil)
	m.session("s2")
	m.read(1, 0, 1, "103.0", "103.3", "102.9")
	if f := m.build(t).Relative(0, 1, 0); f.Method != "Fieller" {
		t.Errorf("%+v", f)
	}
}

func num(v float64) string { return strconv.FormatFloat(v, 'f', 3, 64) }

func TestDerivedWorkloadCarriesTheSpreadOfItsParts(t *testing.T) {
	m := two([]string{"100.0", "101.0", "99.0"}, []string{"200.0", "202.0", "198.0"})
	m.Workloads[0].Unit, _ = project.ParseUnit("W")
	m.workload("time", "s", false)
	m.workload("energy", "Wh", false)
	m.Workloads[2].Derived = &project.Formula{Times: []project.Term{{Name: "rate"}, {Name: "time"}}}
	m.read(0, 1, 0, "36.0", "36.36", "35.64")
	r := m.build(t)
	c := r.Cells[0][2]
	if c.Centre.State != Measured || math.Abs(c.Centre.Value-1) > 1e-12 {
		t.Errorf("100 W for 36 s is 1 Wh, not %+v", c.Centre)
	}
	// Two relative errors of 1 %/√3, four degrees of freedom together:
	// t(0.975; 4) = 2.7764451051977987 (standard table).
	if want := 2.7764451051977987 * 0.01 / math.Sqrt(3) * math.Sqrt2; math.Abs(c.Centre.High-1-want) > 1e-9 {
		t.Errorf("half-width %v, want %v", c.Centre.High-1, want)
	}
	if r.Cells[1][2].Centre.State != Absent {
		t.Errorf("%+v", r.Cells[1][2].Centre)
	}
}

func TestManyClaimsAreCorrected(t *testing.T) {
	m := make1()
	f := m.factor("pad", project.Studied, "", "a", "b")
	m.session("s")
	m.configuration("a", "a")
	m.configuration("b", "b")
	for w := range 10 {
		m.workload("w"+strconv.Itoa(w), "fps", true)
		m.read(0, w, 0, "100.0", "101.0", "99.0")
		if w == 0 {
			m.read(1, w, 0, "103.0", "102.2", "103.4") // just beyond the noise
		} else {
			m.read(1, w, 0, "100.1", "101.2", "98.9")
		}
	}
	m.question("pad", f, "a", "b")
	m.overall()
	r := m.build(t)
	alone := r.Relative(0, 1, 0)
	if alone.Verdict != Better || alone.P > 0.05 {
		t.Fatalf("%+v", alone)
	}
	among := r.Questions[0].ByWorkload[0].Effect
	if among.Family != 10 || math.Abs(among.AdjustedP-10*among.P) > 1e-12 || among.Verdict != NoDifferenceSeen || !strings.Contains(among.Remark, "10 comparisons") {
		t.Errorf("%+v", among)
	}
}

func TestNoDifferenceComesWithWhatCouldHaveBeenSeen(t *testing.T) {
	r := two([]string{"100.0", "101.0", "99.0"}, []string{"100.3", "101.2", "98.9"}).build(t)
	q := r.Questions[0]
	if q.Overall.Verdict != NoDifferenceSeen || !(q.Smallest.Value > 1.02 && q.Smallest.Value < 1.08) {
		t.Errorf("%+v %+v", q.Overall, q.Smallest)
	}
	if !strings.Contains(q.Headline.Text, "no difference was seen") || !strings.Contains(q.Headline.Text, q.Smallest.Text) {
		t.Errorf("%q", q.Headline.Text)
	}
}

func TestUnanswerableQuestionSaysWhatToRun(t *testing.T) {
	m := make1()
	f := m.factor("kit", project.Studied, "", "old", "new")
	m.factor("firmware", project.Held, "", "1", "2")
	m.workload("rate", "fps", true)
	m.session("s")
	m.configuration("a", "old", "1")
	m.configuration("b", "new", "2")
	m.read(0, 0, 0, "10.0", "10.1", "10.2")
	m.read(1, 0, 0, "11.0", "11.1", "11.2")
	m.question("kit", f, "old", "new")
	m.overall()
	q := m.build(t).Questions[0]
	if q.Answerable || q.Overall.State != Absent || len(q.Nearest) != 1 || len(q.Missing) != 1 || q.Missing[0].Configuration != -1 {
		t.Fatalf("%+v", q)
	}
	if !strings.Contains(q.Nearest[0].Text, "firmware") || !strings.Contains(q.Missing[0].Text, "kit set to") {
		t.Errorf("%q %q", q.Nearest[0].Text, q.Missing[0].Text)
	}
	if !strings.Contains(q.ModelText.Text, "cannot tell") {
		t.Errorf("%q", q.ModelText.Text)
	}
}

func TestBundleIsCalledOne(t *testing.T) {
	m := make1()
	f := m.factor("kit", project.Studied, "", "old", "new")
	g := m.factor("clock", project.Held, "MHz", 100, 200)
	m.workload("rate", "fps", true)
	m.session("s")
	m.configuration("a", "old", 100)
	m.configuration("b", "new", 200)
	m.read(0, 0, 0, "10.0", "10.1", "10.2")
	m.read(1, 0, 0, "11.0", "11.1", "11.2")
	m.question("kit", f, "old", "new").With = []int{g}
	m.overall()
	q := m.build(t).Questions[0]
	if !q.Answerable || !q.Bundle || !strings.Contains(q.Headline.Text, "a bundle: kit and clock change together") {
		t.Errorf("%q", q.Headline.Text)
	}
}

func TestEmptyAndSmallProjectsBuild(t *testing.T) {
	empty := make1()
	sound(t, empty.build(t))
	alone := make1()
	alone.factor("pad", project.Studied, "", "thin", "thick")
	alone.configuration("a", "thin")
	sound(t, alone.build(t))
	alone.workload("rate", "fps", true)
	alone.overall()
	alone.question("pad", 0, "thin", "thick")
	sound(t, alone.build(t))
	alone.session("s")
	alone.read(0, 0, 0, "10.0")
	r := alone.build(t)
	sound(t, r)
	if q := r.Questions[0]; q.Answerable || q.Headline.Text == "" {
		t.Errorf("%+v", q)
	}
	plan := two(nil, nil)
	r = plan.build(t)
	sound(t, r)
	if q := r.Questions[0]; q.Answerable || !strings.Contains(q.Headline.Text, "neither side of it has been run") {
		t.Errorf("%q", q.Headline.Text)
	}
}

func TestUnrecordedValueIsNamed(t *testing.T) {
	m := make1()
	f := m.factor("kit", project.Studied, "", "old", "new")
	m.factor("firmware", project.Held, "", "1", "2")
	m.workload("rate", "fps", true)
	m.session("s")
	m.configuration("a", "old", "1")
	m.configuration("b", "new", "1")
	m.Configurations[1].Values[1] = project.Resolved{Value: project.Value{State: project.Unknown}}
	m.read(0, 0, 0, "10.0", "10.1")
	m.read(1, 0, 0, "11.0", "11.1")
	m.question("kit", f, "old", "new")
	q := m.build(t).Questions[0]
	text := ""
	for _, s := range q.More {
		text += s.Text + "\n"
	}
	if q.Answerable || !strings.Contains(text, "write down “firmware” for b") {
		t.Errorf("%q", text)
	}
}

func TestAnyPairCanBeCompared(t *testing.T) {
	r := sampleReport(t)
	for a := range r.Configurations {
		for b := range r.Configurations {
			p := r.Pair(a, b)
			if len(p.Workloads) != len(r.Workloads) {
				t.Fatalf("%d workloads", len(p.Workloads))
			}
			if c := r.CompositeOf(0, a, b).Figure; a != b && c.HasValue() && math.Abs(c.Value-p.Overall.Value) > 1e-12 {
				t.Errorf("%d, %d: composite %v, pair %v", a, b, c.Value, p.Overall.Value)
			}
		}
	}
}

func TestFindingOfOneCellIsFlaggedThere(t *testing.T) {
	m := two([]string{"14.7", "14.8"}, []string{"16.2", "19.9"})
	findings := []schema.Finding{
		{Rule: "outlier", Severity: schema.Warning, Message: "19.9 lies far out", Configurations: []string{"b"}, Workloads: []string{"rate"}, Questions: []string{"pad"}},
		{Rule: "drift", Severity: schema.Notice, Message: "both moved", Configurations: []string{"a", "b"}, Workloads: []string{"rate"}},
	}
	r := Build(m.Project, design.NewSpace(m.Project), findings, Options{})
	if f := r.Cells[1][0].Flags; len(f) != 1 || f[0] != (Flag{"outlier", "19.9 lies far out"}) {
		t.Errorf("%+v", f)
	}
	if f := r.Cells[0][0].Flags; len(f) != 0 {
		t.Errorf("%+v", f)
	}
	if r.Questions[0].Clean || len(r.Questions[0].Findings) != 1 {
		t.Errorf("%+v", r.Questions[0].Findings)
	}
}

// A finding about two configurations that are no pair is no reservation about
// those that are.
func TestPairThatIsNoneTakesNothingFromTheOthers(t *testing.T) {
	for rule, clean := range map[string]bool{"held-factor-differs": true, "recorded-on-one-side": true, "nuisance-beyond-tolerance": true, "uneven-sessions": false, "outlier": false} {
		m := two([]string{"14.7", "14.8"}, []string{"16.2", "19.9"})
		q := Build(m.Project, design.NewSpace(m.Project), []schema.Finding{{Rule: rule, Severity: schema.Warning, Message: "…", Questions: []string{"pad"}}}, Options{}).Questions[0]
		if !q.Answerable || q.Clean != clean || len(q.Findings) != 1 {
			t.Errorf("%s: answerable %v, clean %v, %d findings", rule, q.Answerable, q.Clean, len(q.Findings))
		}
	}
}
