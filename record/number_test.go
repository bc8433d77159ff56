package record

import (
	"fmt"
	"slices"
	"strings"
	"testing"
)

// TestFileWithoutTheColumns: what a session's file has no column for goes into
// a second one. The rows of the first keep their numbers, and so do those that
// are added to either afterwards.
func TestFileWithoutTheColumns(t *testing.T) {
	long := "configuration,session,workload,value\none-fan,evening,compile,41.2\ntwo-fans,evening,compile,40.1\none-fan,evening,compile,41.9\n"
	wide := "configuration,session,compile\none-fan,evening,41.2\ntwo-fans,evening,40.1\none-fan,evening,41.9\n"
	r := func(change func(r *Reading)) Reading {
		r := Reading{Configuration: "two-fans", Workload: "compile", Session: "evening", Value: "40.4"}
		change(&r)
		return r
	}
	for _, c := range []struct {
		name string
		r    Reading
		want string // file, repeat, order
	}{
		{"a value", r(func(r *Reading) {}), "results/evening.csv 2 4"},
		{"an outcome", r(func(r *Reading) { r.Value, r.Outcome = "", "hung" }), "results/evening-2.csv 2 4"},
		{"a note", r(func(r *Reading) { r.Note = "fan hummed" }), "results/evening-2.csv 2 4"},
		{"an order", r(func(r *Reading) { r.Order = 1 }), "results/evening-2.csv 2 1"},
		{"a repeat", r(func(r *Reading) { r.Repeat = 2 }), "results/evening-2.csv 2 4"},
		{"a repeat further on", r(func(r *Reading) { r.Repeat = 5 }), "results/evening-2.csv 5 4"},
	} {
		for form, file := range map[string]string{"long": long, "wide": wide} {
			t.Run(c.name+", "+form, func(t *testing.T) {
				_, root := base(t, map[string]string{"results/evening.csv": file, "results/later.csv": ""})
				a := prepared(t, root, []Reading{c.r}, Options{})
				must(t, a.Write(root))
				if got := fmt.Sprintf("%s %d %d", a.Files[0], a.Added[0].Repeat, a.Added[0].Order); got != c.want {
					t.Errorf("recorded as %s, want %s", got, c.want)
				}
				further := []Reading{r(func(r *Reading) {}), r(func(r *Reading) { r.Configuration, r.Value = "one-fan", "41.5" })}
				for _, o := range []Options{{}, {File: "evening.csv"}} {
					for _, x := range further {
						must(t, prepared(t, root, []Reading{x}, o).Write(root))
					}
				}
				p := loaded(t, root.FS())
				var repeats []int
				for _, i := range p.ReadingsOf(p.Configuration("one-fan").Index, p.Workload("compile").Index) {
					repeats = append(repeats, int(p.Readings[i].Repeat))
				}
				if slices.Sort(repeats); !slices.Equal(repeats, []int{1, 2, 3, 4}) {
					t.Errorf("the repeats of one-fan are %v", repeats)
				}
			})
		}
	}
}

// TestOrderOfASessionInTwoFiles: a row goes to the file that says where in the
// session it stands, not to one in which its place is only counted.
func TestOrderOfASessionInTwoFiles(t *testing.T) {
	_, root := base(t, map[string]string{"results/later.csv": "", "results/evening.csv": "configuration,session,workload,value\none-fan,evening,compile,41.2\n"})
	must(t, prepared(t, root, []Reading{{Configuration: "two-fans", Workload: "compile", Session: "evening", Outcome: "hung"}}, Options{}).Write(root))
	a := prepared(t, root, []Reading{{Configuration: "one-fan", Workload: "compile", Session: "evening", Value: "41.4"}}, Options{})
	if a.Files[0] != "results/evening-2.csv" || a.Added[0].Order != 3 {
		t.Errorf("recorded in %s at place %d", a.Files[0], a.Added[0].Order)
	}
}

// TestNumberThatCannotBeKept: a repeat or an order that was given is refused
// with words where it is taken or has no column.
func TestNumberThatCannotBeKept(t *testing.T) {
	r := Reading{Configuration: "two-fans", Workload: "compile", Session: "evening", Value: "40.4"}
	for _, c := range []struct {
		repeat, order int
		o             Options
		want          string
	}{
		{0, 4, Options{File: "evening.csv"}, `results/evening.csv has no column "order" for "4": without one, the rows are taken to stand in the order of the runs`},
		{2, 0, Options{File: "evening.csv"}, `results/evening.csv has no column "repeat" for "2": without one, repeats are counted`},
		{1, 0, Options{}, `repeat 1 of "compile" on "two-fans" in session "evening" is here already → give it another number`},
	} {
		_, root := base(t, map[string]string{"results/later.csv": "", "results/evening.csv": "configuration,session,workload,value\ntwo-fans,evening,compile,40.1\n"})
		r.Repeat, r.Order = c.repeat, c.order
		if a, bad := Prepare(root.FS(), []Reading{r}, c.o); a != nil || len(bad) != 1 || !strings.Contains(messages(bad), c.want) {
			t.Errorf("repeat %d, order %d: got %v and\n%swant %q", c.repeat, c.order, a, messages(bad), c.want)
		}
	}
	_, root := base(t, nil)
	twice := []Reading{r, r}
	for i := range twice {
		twice[i].Repeat, twice[i].Order = 4, 0
		twice[i].At.File, twice[i].At.Line = "night.csv", 2+i
	}
	if _, bad := Prepare(root.FS(), twice, Options{}); len(bad) != 1 || bad[0].Place != twice[1].At || bad[0].Related[0].Place != twice[0].At {
		t.Errorf("one repeat twice: %s", messages(bad))
	}
}
