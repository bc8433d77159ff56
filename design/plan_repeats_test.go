package design

import (
	"slices"
	"strings"
	"testing"

	"benchwright/schema"
)

// reasonsOf gives the remarks of a plan that hold a text.
func reasonsOf(p *Plan, about string) (list []string) {
	for _, text := range p.Remarks {
		if strings.Contains(text, about) {
			list = append(list, strings.ReplaceAll(text, nbsp, " "))
		}
	}
	return list
}

// A plan says once where its number of repeats comes from, and what fewer would
// cost. By hand, with Student's quantiles from a table (0.975 at 2, 4, 10 and
// 12 degrees of freedom: 4.303, 2.776, 2.228, 2.179): 2 readings against 3,
// 4.303·√(2/2) ÷ 2.776·√(2/3) = 1.90; 6 against 7, 2.228·√(2/6) ÷ 2.179·√(2/7)
// = 1.10.
func TestAPlanSaysWhereItsRepeatsComeFrom(t *testing.T) {
	const pair, single = " of each workload are wanted on each side of a pair", "a single one would leave its own spread unknown"
	declared := func(n int) *bench {
		b := twoQuestions()
		b.p.MinimumRepeats = n
		b.p.Places["report.minimum-repeats"] = schema.Place{File: "report.yaml", Line: 6, Column: 1}
		return b
	}
	open := twoQuestions()
	open.p.Questions = nil
	for _, c := range []struct {
		bench *bench
		asked int
		from  string
		want  string
	}{
		{twoQuestions(), 0, "default", "3 readings" + pair + ", the default, as report.yaml has no minimum-repeats; with 2 the interval of a difference would be about 1.9 times as wide on one workload, and " + single},
		{declared(3), 0, "report", "3 readings" + pair + ", as minimum-repeats in report.yaml says; with 2 the interval of a difference would be about 1.9 times as wide on one workload, and " + single},
		{declared(2), 0, "report", "2 readings" + pair + ", as minimum-repeats in report.yaml says; " + single},
		{declared(1), 0, "report", "one reading of each workload is wanted on each side of a pair, as minimum-repeats in report.yaml says; a single one leaves its own spread unknown"},
		{declared(2), 7, "asked", "7 readings" + pair + ", as --rounds says; the report by itself wants 2; with 6 the interval of a difference would be about 10 % wider on one workload, and " + single},
		{declared(2), 2, "asked", "2 readings" + pair + ", as --rounds says and the report by itself; " + single},
		{open, 2, "asked", "2 readings of each workload are wanted on each configuration, as --rounds says; the report by itself wants 3; " + single},
	} {
		p := NewSpace(c.bench.p).Plan(PlanOptions{Repeats: c.asked})
		if got := reasonsOf(&p, "wanted on each"); !slices.Equal(got, []string{c.want}) || p.RepeatsFrom.String() != c.from {
			t.Errorf("from %s: %q\nwant %s: %q", p.RepeatsFrom, got, c.from, c.want)
		}
	}

	// Where nothing lacks readings there is no number to explain.
	b := twoQuestions()
	b.session("first")
	for c := range b.p.Configurations {
		for w := range b.p.Workloads {
			for range 3 {
				b.read(b.p.Configurations[c].ID, w, 0, 10)
			}
		}
	}
	if p := NewSpace(b.p).Plan(PlanOptions{}); len(reasonsOf(&p, "wanted on each")) > 0 {
		t.Errorf("nothing lacks readings: %q", p.Remarks)
	}
}
