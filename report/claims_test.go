package report

import (
	"fmt"
	"strings"
	"testing"

	"benchwright/project"
)

// Near one another, the matched pairs and the model may claim different things:
// then they do not agree.
func TestModelThatClaimsSomethingElseDoesNotAgree(t *testing.T) {
	for _, c := range []struct {
		from, to string
		others   float64 // what the readings of the third configuration are apart by
		verdict  Verdict
		want     string
	}{
		{"100.0 100.8 101.6", "101.4 102.2 103.0", 0.1, NoDifferenceSeen, "does see a difference: +1.4"},
		{"100.0 100.1 100.2", "101.0 101.1 101.2", 8, Better, "sees no difference: +1"},
		{"100.0 100.8 101.6", "101.4 102.2 103.0", 2, NoDifferenceSeen, "agrees: +1"},
	} {
		m := make1()
		clock := m.factor("clock", project.Studied, "MHz", 100, 200)
		m.factor("pad", project.Studied, "", "thin", "thick")
		s := m.session("s")
		a, b, other := m.configuration("a", 100, "thin"), m.configuration("b", 200, "thin"), m.configuration("c", 100, "thick")
		w := m.workload("render", "fps", true)
		m.read(a, w, s, strings.Fields(c.from)...)
		m.read(b, w, s, strings.Fields(c.to)...)
		for i := range 9 {
			m.read(other, w, s, fmt.Sprintf("%.2f", 100+c.others*float64(i%3-1)))
		}
		m.question("clock", clock, 100, 200)
		m.overall()
		q := m.build(t).Questions[0]
		if q.Overall.Verdict != c.verdict || !strings.Contains(q.ModelText.Text, c.want) {
			t.Errorf("%s → %s: %s (%s), %q; want %q", c.from, c.to, q.Overall.Text, q.Overall.Range, q.ModelText.Text, c.want)
		}
	}
}

// Nothing is done for a workload on which no difference was seen.
func TestExtremesClaimWhatWasSeen(t *testing.T) {
	same, up, down := "10.0 10.1 10.2", "12.0 12.1 12.2", "8.0 8.1 8.2"
	for _, c := range []struct{ first, second, want string }{
		{same, down, "It costs w1 most: "},
		{same, down, "; on w0 no difference was seen: "},
		{up, same, "It does most for w0: "},
		{up, same, "; on w1 no difference was seen: "},
		{up, down, "; w1 is the worse for it: "},
		{"7.0 7.1 7.2", "9.0 9.1 9.2", "It costs w0 most: "},
	} {
		q := bench([3]string{same, same, same}, [3]string{c.first, c.second, c.second}).build(t).Questions[0]
		said := ""
		for _, s := range q.More {
			said += s.Text + "\n"
		}
		if !strings.Contains(said, c.want) || strings.Count(said, "It does most")+strings.Count(said, "It costs") != 1 {
			t.Errorf("%s and %s: %q is missing in\n%s", c.first, c.second, c.want, said)
		}
	}
}
