package report

import (
	"fmt"
	"strings"
	"testing"

	"benchwright/project"
)

// What the pages say of a configuration and the baseline is what design says of
// the two: one change of a studied factor is a matched pair, and one of a factor
// that was to stay the same, that drifted or that nobody wrote down is none.
func TestOneVerdictOnTwoConfigurations(t *testing.T) {
	m := make1()
	m.factor("fan", project.Studied, "")
	m.factor("case", project.Held, "")
	room := m.factor("room", project.Nuisance, "")
	m.Factors[room].Numeric, m.Factors[room].Tolerance = true, project.Tolerance{Absolute: 2}
	m.factor("grille", project.Studied, "")
	m.factor("shroud", project.Follows, "", "s1", "s2")
	m.Factors[4].Of = []int{0}
	m.configuration("base", "one", "open", 21, "wire", "s1")
	m.configuration("fan", "two", "open", 21, "wire", "s2")
	m.configuration("held", "one", "shut", 21, "wire", "s1")
	m.configuration("warm", "one", "open", 26, "wire", "s1")
	m.configuration("unwritten", "one", "open", 21, nil, "s1")
	m.configuration("both", "two", "shut", 21, "wire", "s2")
	m.configuration("twin", "one", "open", 21, "wire", "s1")
	r := m.build(t)
	for i, want := range []struct {
		id          string
		matched     bool
		moved       int
		text, short string
	}{
		{"fan", true, 1, "A matched pair: one change and what follows it.", "yes"},
		{"held", false, 1, "Not a matched pair: one change and what follows it, but of a factor that was to stay the same.", "no"},
		{"warm", false, 1, "Not a matched pair: nothing was changed on purpose, and one factor drifted beyond its tolerance.", "no"},
		{"unwritten", false, 1, "Not a matched pair: one factor is not recorded on both sides, and unknown is not equal.", "no"},
		{"both", false, 2, "Not a matched pair: 2 changes at once. No single one of them explains the figures.", "no"},
		{"twin", false, 0, "The two have the same value of every factor.", "no"},
	} {
		c := r.Configurations[1+i]
		got := c.Comparison
		if got.Matched != want.matched || got.Clean != want.matched || got.Moved != want.moved || got.Text != want.text || got.Short != want.short {
			t.Errorf("%s: %+v", want.id, got)
		}
		explained := r.Space.Explain(r.Baseline, c.Index)[0]
		if got.Matched != strings.Contains(explained, "are a matched pair") || got.Matched != r.Space.Clean(r.Baseline, c.Index) {
			t.Errorf("%s: the page says %q, the checker %q", want.id, got.Text, explained)
		}
	}
}

// A matched pair whose sides were never read in one session is no clean
// comparison, and says on how many workloads that is so.
func TestComparisonAcrossSessionsSaysSo(t *testing.T) {
	m := make1()
	m.factor("fan", project.Studied, "")
	m.configuration("base", "one")
	m.configuration("fan", "two")
	m.session("monday")
	m.session("tuesday")
	m.workload("render", "s", false)
	m.workload("pack", "s", false)
	for w := range 2 {
		m.read(0, w, 0, "10.0", "10.1")
		m.read(1, w, 1, "9.0", "9.1")
	}
	got := m.build(t).Configurations[1].Comparison
	if !got.Matched || got.Clean || len(got.Apart) != 2 || got.Short != "no: not read in one session" ||
		got.Text != "A matched pair: one change and what follows it. They were not read in one session, so that what sessions differ by stands between them." {
		t.Errorf("in different sessions: %+v", got)
	}
	m.read(1, 1, 0, "9.2")
	got = m.build(t).Configurations[1].Comparison
	if !got.Matched || got.Clean || len(got.Apart) != 1 || got.Apart[0] != 0 || got.Short != "no: on 1 workload of 2 not read in one session" ||
		!strings.HasSuffix(got.Text, " On 1 workload of 2 they were not read in one session, so that what sessions differ by stands between them there."+
			" Where either was read in other sessions as well, the figure is within those that both share, while the values are over all readings.") {
		t.Errorf("in different sessions on one: %+v", got)
	}
	m.read(0, 0, 1, "10.2")
	if got = m.build(t).Configurations[1].Comparison; !got.Clean || len(got.Apart) != 0 || got.Short != "yes" {
		t.Errorf("in a common session on both: %+v", got)
	}
}

// The matched pairs of the pages are those of the checker, whatever moved.
func TestEveryComparisonAgreesWithDesign(t *testing.T) {
	m := large(60, 2, 2)
	m.session("s3")
	for i := range m.Readings {
		if c := m.Readings[i].Configuration; c%7 == 3 || c%7 == 5 && m.Readings[i].Workload == 1 {
			m.Readings[i].Session = 2
		}
	}
	r := m.build(t)
	for i := range r.Configurations {
		if c := r.Configurations[i].Comparison; c.Matched != r.Space.Clean(r.Baseline, i) {
			t.Errorf("%s: %+v", r.Configurations[i].ID, c)
		}
		if c := r.Configurations[i].Comparison; i != r.Baseline && (len(c.Apart) == 0) != r.Pair(r.Baseline, i).SameSession { // the baseline is no way to itself
			t.Errorf("%s: apart on %v, and yet read in the same session as a pair, or the other way round", r.Configurations[i].ID, c.Apart)
		}
	}
}

// One pair has one figure on a workload, wherever it stands: the question's
// table, the matched pairs, and the headline where there is no other workload.
func TestOnePairHasOneFigure(t *testing.T) {
	for _, workloads := range []int{1, 3} {
		m := make1()
		fan := m.factor("fan", project.Studied, "", "one", "two")
		m.configuration("base", "one")
		m.configuration("fan", "two")
		m.session("monday")
		for w := range workloads {
			m.workload("w"+string(rune('0'+w)), "s", false)
			m.read(0, w, 0, "10.0", "10.4", "9.9")
			m.read(1, w, 0, "9.7", "9.9", "9.75", "10.1")
		}
		m.question("fan", fan, "one", "two")
		m.overall()
		r := m.build(t)
		q := &r.Questions[0]
		if len(q.Pairs) != 1 || len(q.ByWorkload) != workloads {
			t.Fatalf("%d pairs, %d workloads", len(q.Pairs), len(q.ByWorkload))
		}
		same := func(what string, got, want Figure) {
			if got.Text != want.Text || got.Range != want.Range || got.Low != want.Low || got.High != want.High || got.Verdict != want.Verdict || got.Method != want.Method {
				t.Errorf("%d workloads: %s is %s (%s, %s), the pair's own %s (%s, %s)", workloads, what, got.Text, got.Range, got.Method, want.Text, want.Range, want.Method)
			}
		}
		for w := range workloads {
			own := q.Pairs[0].Workloads[w].Effect
			if e := q.ByWorkload[w]; e.Effect.N != 1 || e.Effect.Of != "pairs" || e.Smallest.Text == "" {
				t.Errorf("%d workloads: over %d %s, smallest %q", workloads, e.Effect.N, e.Effect.Of, e.Smallest.Text)
			}
			same("the question's on "+r.Workloads[w].ID, q.ByWorkload[w].Effect, own)
		}
		same("the pair's overall", q.Pairs[0].Overall, q.Overall)
		if workloads == 1 {
			same("the headline's", q.Overall, q.Pairs[0].Workloads[0].Effect)
			same("the composite", r.Composites[0].Rows[1].Figure, r.Cells[1][0].Relative)
		}
	}
}

// The sides of a pair are not called alike where the question sees a difference
// over all its pairs; where one pair has no effect because that depends on
// another factor, they are.
func TestSidesOfAnAnsweredPairAreNotAlike(t *testing.T) {
	build := func(worth []float64) *Report {
		m := make1()
		fan := m.factor("fan", project.Studied, "", "one", "two")
		m.factor("grille", project.Studied, "")
		s := m.session("s")
		m.workload("w", "fps", true)
		scatter := []float64{-0.011, 0.009, -0.004, 0.012, -0.006}
		read := func(c int, v float64) {
			for i, e := range scatter {
				m.read1(c, 0, s, i, v*(1+e))
			}
		}
		read(m.configuration("base", "one", "none"), 50)
		for i, x := range worth {
			grille := "g" + string(rune('0'+i))
			level := 100 * (1 + 0.2*float64(i))
			read(m.configuration("one-"+grille, "one", grille), level)
			read(m.configuration("two-"+grille, "two", grille), level*x)
		}
		m.question("fan", fan, "one", "two")
		m.overall()
		return m.build(t)
	}
	alike := func(r *Report) (n int) {
		for _, in := range r.Insights {
			if in.Kind == "look-alikes" {
				n += len(in.Rows)
			}
		}
		return n
	}
	r := build([]float64{1.011, 1.011, 1.011, 1.011, 1.011, 1.011})
	if q := r.Questions[0]; q.Overall.Verdict != Better || q.Pairs[0].Overall.Verdict != NoDifferenceSeen {
		t.Fatalf("overall %s (%s), one pair %s (%s)", q.Overall.Text, q.Overall.Range, q.Pairs[0].Overall.Text, q.Pairs[0].Overall.Range)
	}
	if n := alike(r); n > 0 {
		t.Errorf("%d pairs of a question that sees a difference come out alike", n)
	}
	r = build([]float64{1, 1, 1.2})
	if q := r.Questions[0]; q.Overall.Verdict != Better || len(q.Dependence) == 0 || !q.Dependence[0].Depends {
		t.Fatalf("overall %s (%s), %+v", q.Overall.Text, q.Overall.Range, q.Dependence)
	}
	if alike(r) == 0 {
		t.Error("two sides between which the change does nothing do not come out alike")
	}
}

// Which sessions the sides of a pair were read in, and how often.
func TestSidesOfAPairAndTheirSessions(t *testing.T) {
	for name, c := range map[string]struct {
		from, to     [2]int // readings in either session
		same, uneven bool
	}{
		"one session, unequally often":  {[2]int{5, 0}, [2]int{3, 0}, true, false},
		"both sessions, equally often":  {[2]int{2, 1}, [2]int{2, 1}, true, false},
		"both sessions, in proportion":  {[2]int{4, 2}, [2]int{2, 1}, true, false},
		"one side in a further session": {[2]int{3, 1}, [2]int{3, 0}, true, true},
		"both, unequally often":         {[2]int{3, 1}, [2]int{1, 3}, true, true},
		"never in one":                  {[2]int{3, 0}, [2]int{0, 3}, false, true},
	} {
		m := make1()
		drive := m.factor("drive", project.Studied, "", "old", "new")
		m.session("s1")
		m.session("s2")
		m.workload("w", "fps", true)
		for side, counts := range [][2]int{c.from, c.to} {
			at := m.configuration([]string{"old", "new"}[side], []string{"old", "new"}[side])
			for session, n := range counts {
				for i := range n {
					m.read(at, 0, session, fmt.Sprintf("%.1f", 100+float64(20*side+3*session)+0.1*float64(i)))
				}
			}
		}
		m.question("drive", drive, "old", "new")
		m.overall()
		pairs := m.build(t).Questions[0].Pairs
		if len(pairs) != 1 || pairs[0].SameSession != c.same || pairs[0].Uneven != c.uneven {
			t.Errorf("%s: %+v", name, pairs)
		}
	}
}
