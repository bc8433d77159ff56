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
