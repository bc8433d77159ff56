package report

import (
	"slices"
	"strings"
	"testing"

	"benchwright/project"
)

// offers is a baseline at 100 fps and 300 EUR and others of given costs and
// rates, four readings each.
func offers(t *testing.T, costs, rates []float64) Insight {
	t.Helper()
	m := make1()
	m.Currency = "EUR"
	m.factor("kind", project.Studied, "")
	w := m.workload("w", "fps", true)
	s := m.session("s")
	for c, cost := range append([]float64{300}, costs...) {
		m.configuration("c"+string(rune('0'+c)), "k"+string(rune('0'+c)))
		m.Configurations[c].HasCost, m.Configurations[c].Cost = true, cost
		for i := range 4 {
			m.read(c, w, s, num(append([]float64{100}, rates...)[c]*(1+0.001*float64(i))))
		}
	}
	m.overall()
	for _, i := range m.build(t).Insights {
		if i.Kind == "value" {
			return i
		}
	}
	t.Fatal("nothing is said of the money")
	return Insight{}
}

// TestAGainAtNoExtraCostComesFirst: it beats every gain for each unit of money,
// and only what gains more is held against it.
func TestAGainAtNoExtraCostComesFirst(t *testing.T) {
	for _, c := range []struct {
		costs, rates []float64
		has, lacks   []string
	}{
		{[]float64{300, 340}, []float64{109.2, 105}, []string{"c1 costs no more than the baseline and gains +9.2"}, []string{"most for the money"}},
		{[]float64{280, 340}, []float64{109.2, 120}, []string{"c1 costs 20 EUR less than the baseline and gains +9.2", "Of those that gain more, this one gains most for its money: c2, "}, nil},
		{[]float64{310, 340}, []float64{109.2, 120}, []string{"The most for the money: c1, "}, []string{"costs no more"}},
		{[]float64{300, 340}, []float64{90, 120}, []string{"The most for the money: c2, "}, []string{"costs no more"}},
	} {
		i := offers(t, c.costs, c.rates)
		for _, s := range c.has {
			if !strings.Contains(strings.ReplaceAll(i.Sentence.Text, "\u00a0", " "), s) {
				t.Errorf("%v at %v: %q is not in %s", c.rates, c.costs, s, i.Sentence.Text)
			}
		}
		for _, s := range c.lacks {
			if strings.Contains(i.Sentence.Text, s) {
				t.Errorf("%v at %v: %q is in %s", c.rates, c.costs, s, i.Sentence.Text)
			}
		}
		free := slices.ContainsFunc(i.Rows, func(row []string) bool { return slices.Contains(row, "no extra cost") })
		if free != strings.Contains(i.Sentence.Text, "than the baseline and gains") {
			t.Errorf("%v at %v: the table says %q", c.rates, c.costs, i.Rows)
		}
	}
}

// What is not held against its cost is named with the reason, and what crashed is
// named with its crash.
func TestTheMoneyNamesWhatItLeavesOut(t *testing.T) {
	m := make1()
	m.Currency = "EUR"
	m.factor("kind", project.Studied, "")
	w, v := m.workload("w", "fps", true), m.workload("v", "fps", true)
	s, other := m.session("s"), m.session("other")
	for c := range 7 {
		name := "c" + string(rune('0'+c))
		m.configuration(name, name)
		m.Configurations[c].HasCost, m.Configurations[c].Cost = c != 4, 300+10*float64(c)
	}
	read := func(c, w, s int, by float64) {
		for i := range 4 {
			m.read(c, w, s, num(by*(1+0.001*float64(i))))
		}
	}
	for c, by := range []float64{100, 120, 121, 110, 115} {
		at := s
		if c == 3 {
			at = other
		}
		read(c, w, at, by)
		if c != 2 {
			read(c, v, at, by)
		}
	}
	m.fail(1, w, s, project.Crashed)
	m.fail(5, w, s, project.Hung)
	m.overall()
	for _, i := range m.build(t).Insights {
		if i.Kind != "value" {
			continue
		}
		want := "c1: crashed in 1 of 4 runs. Not held against their cost: c2 (has 1 of the 2 workloads); c3 (never read in a session of the baseline); c4 (no cost stated); c5 (hung in every run, 1 of 1)."
		if !strings.HasSuffix(i.Sentence.Text, want) {
			t.Errorf("%s; want %s", i.Sentence.Text, want)
		}
		if !slices.ContainsFunc(i.Rows, func(row []string) bool { return row[0] == "c1 (crashed in 1 of 4 runs)" }) {
			t.Errorf("%q", i.Rows)
		}
		return
	}
	t.Fatal("nothing is said of the money")
}
