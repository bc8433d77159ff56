package report

import (
	"strings"
	"testing"

	"benchwright/project"
)

// coolers is two boards with two coolers each, a question about the coolers,
// and readings on the configurations named.
func coolers(t *testing.T, read ...int) *Answer {
	t.Helper()
	m := make1()
	f := m.factor("cooler", project.Studied, "", "boxed", "tower")
	m.factor("board", project.Studied, "")
	w := m.workload("w", "fps", true)
	s := m.session("s")
	for c, label := range []string{"As it comes", "Tower", "88 W, boxed cooler", "88 W"} {
		m.configuration("c"+string(rune('0'+c)), []any{"boxed", "tower"}[c%2], []any{"old", "new"}[c/2])
		m.Configurations[c].Label = label
	}
	for _, c := range read {
		m.read(c, w, s, "100", "101")
	}
	m.question("q", f, "boxed", "tower")
	m.overall()
	return &m.build(t).Questions[0]
}

// TestPairsThatAreStillToBeRun: they are counted, the sides that lack readings
// are named, and the runs are listed once, quoted alike.
func TestPairsThatAreStillToBeRun(t *testing.T) {
	for _, c := range []struct {
		read       []int
		says, runs string
	}{
		{nil, "there are 2 matched pairs, but neither side of any of them has been run.", "To settle it, run “As it comes”, “Tower”, “88 W, boxed cooler” and “88 W”."},
		{[]int{0, 2}, "there are 2 matched pairs, but their sides with tower have still to be run.", "To settle it, run Tower and 88 W."},
		{[]int{1, 3}, "there are 2 matched pairs, but their sides with boxed have still to be run.", "To settle it, run “As it comes” and “88 W, boxed cooler”."},
		{[]int{0}, "there are 2 matched pairs, but no workload has been run on both sides of any of them.", "To settle it, run “Tower”, “88 W, boxed cooler” and “88 W”."},
	} {
		a := coolers(t, c.read...)
		if !strings.HasSuffix(a.Headline.Text, c.says) {
			t.Errorf("with %v: %s", c.read, a.Headline.Text)
		}
		n := 0
		for _, s := range a.More {
			if strings.HasPrefix(s.Text, "To settle it") {
				if n++; s.Text != c.runs {
					t.Errorf("with %v: %s", c.read, s.Text)
				}
			}
		}
		if n != 1 {
			t.Errorf("with %v: the runs are listed %d times", c.read, n)
		}
	}
}

// TestARunOfSeveralPairsIsListedOnce: one configuration may settle two pairs.
func TestARunOfSeveralPairsIsListedOnce(t *testing.T) {
	m := make1()
	f := m.factor("cooler", project.Studied, "", "boxed", "tower")
	w := m.workload("w", "fps", true)
	s := m.session("s")
	m.configuration("a", "boxed")
	m.configuration("b", "boxed")
	m.configuration("c", "tower")
	m.read(0, w, s, "100")
	m.read(1, w, s, "100")
	m.question("q", f, "boxed", "tower")
	m.overall()
	a := &m.build(t).Questions[0]
	if len(a.Missing) != 1 || !strings.Contains(a.Headline.Text, "there are 2 matched pairs, but their sides with tower") {
		t.Errorf("%d runs; %s", len(a.Missing), a.Headline.Text)
	}
}

// TestAPairThatWasReadAndDoesNotCount: while the matched pairs have still to be
// run, the answer names what was read, why it does not count, and the cheapest
// remedy first.
func TestAPairThatWasReadAndDoesNotCount(t *testing.T) {
	a := coolers(t, 0, 3)
	if !a.Awaiting || !a.Spoilt || !strings.HasSuffix(a.Headline.Text, "As it comes and 88 W were read (4 readings), but differ in board as well.") {
		t.Errorf("%s", a.Headline.Text)
	}
	if len(a.Nearest) != 1 || a.Nearest[0].From != 0 || a.Nearest[0].To != 3 || len(a.Nearest[0].Between) < 2 {
		t.Errorf("%+v", a.Nearest)
	}

	m := make1()
	f := m.factor("drive", project.Studied, "", "old", "new")
	m.factor("queue", project.Studied, "", 1, 64)
	m.factor("room", project.Nuisance, "°C")
	m.Factors[2].Numeric = true
	m.Factors[2].Tolerance.Absolute = 1.5
	w := m.workload("w", "MB/s", true)
	for i, drive := range []string{"old", "new"} {
		m.configuration(drive, drive, 1)
		s := m.session(drive)
		m.Sessions[s].Values = map[int]project.Value{2: level(21 + 3*i)}
		m.read(i, w, s, "100", "101")
	}
	m.configuration("old-64", "old", 64)
	m.configuration("new-64", "new", 64)
	for _, c := range m.Configurations {
		c.Values = append(c.Values, project.Resolved{})
	}
	m.question("q", f, "old", "new")
	m.overall()
	a = &m.build(t).Questions[0]
	if !strings.HasSuffix(a.Headline.Text, "old and new were read (4 readings), but differ in room as well.") {
		t.Errorf("%s", a.Headline.Text)
	}
	said := ""
	for _, s := range a.More {
		said += s.Text + "\n"
	}
	if !strings.Contains(said, "To settle it, read old and new in one session, in turns, on every workload that they are compared by; or run old-64 and new-64.") || strings.Contains(said, "nearest") {
		t.Errorf("%s", said)
	}
}
