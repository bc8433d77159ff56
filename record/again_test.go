package record

import (
	"strings"
	"testing"
)

// TestSourceTakenInTwice: what was taken in before is refused, as long as its
// readings stand in the folder.
func TestSourceTakenInTwice(t *testing.T) {
	rows := []Reading{
		{Configuration: "one-fan", Workload: "compile", Session: "evening", Value: "41.5"},
		{Configuration: "one-fan", Workload: "rise", Session: "evening", Value: "31.40"},
		{Configuration: "two-fans", Workload: "compile", Session: "evening", Outcome: "hung"},
	}
	o := Options{Source: "night.csv", SourceSum: Sum([]byte("the night")), When: "2031-04-09T20:00:00Z"}
	dir, root := base(t, nil)
	before := text(t, dir, "results/evening.csv")
	must(t, prepared(t, root, rows, o).Write(root))
	copied := o
	copied.Source = "copy.csv"
	other := o
	other.SourceSum = Sum([]byte("another night"))
	printed := o
	printed.Text = true
	evenSo := o
	evenSo.EvenSo = true
	for _, c := range []struct {
		name     string
		readings []Reading
		o        Options
		want     string // in the refusal; empty when there is none
	}{
		{"the same", rows, o, "taken in before, on 2031-04-09T20:00:00Z: 3 readings went into results/evening.csv"},
		{"under another name", rows, copied, `on 2031-04-09T20:00:00Z as "night.csv": 3 readings`},
		{"the text of one run", rows[:1], printed, "results/evening.csv → if the test was run anew and printed the same, record it with --even-so"},
		{"even so", rows, evenSo, ""},
		{"all of it in another source", rows, other, "all of its 3 readings are recorded already with the same values, as when a table is exported again → there is nothing to add; or record all of it with --even-so"},
		{"most of it and one more", append(rows[:3:3], Reading{Configuration: "two-fans", Workload: "rise", Session: "evening", Value: "24.1"}), other,
			"3 of its 4 readings are recorded already with the same values, as when a table is exported again; 1 is new → give the new rows alone"},
		{"half of it and as many more", append(rows[:2:2], Reading{Configuration: "two-fans", Workload: "rise", Session: "evening", Value: "24.1"}, Reading{Configuration: "two-fans", Workload: "compile", Session: "evening", Value: "40.3"}), other, ""},
		{"one reading that came out alike", rows[:1], other, ""},
		{"another part of it", []Reading{{Configuration: "two-fans", Workload: "rise", Session: "evening", Value: "24.1"}}, o, ""},
		{"another session", []Reading{{Configuration: "one-fan", Workload: "compile", Session: "later", Value: "41.5"}}, o, ""},
	} {
		a, bad := Prepare(root.FS(), c.readings, c.o)
		if (a == nil) != (c.want != "") || !strings.Contains(messages(bad), c.want) || c.want != "" && (len(bad) != 1 || bad[0].Rule != "already-recorded") {
			t.Errorf("%s: got %v and\n%swant %q", c.name, a, messages(bad), c.want)
		}
	}
	// Whoever takes the rows out may take the source in anew.
	put(t, dir, "results/evening.csv", before)
	prepared(t, root, rows, o)
}

// TestResultFileAsASource: the bytes of a result file are no new readings.
func TestResultFileAsASource(t *testing.T) {
	dir, root := base(t, nil)
	o := Options{Source: "copy.csv", SourceSum: Sum([]byte(text(t, dir, "results/later.csv")))}
	r := []Reading{{Configuration: "one-fan", Workload: "compile", Session: "later", Value: "41.3"}}
	if a, bad := Prepare(root.FS(), r, o); a != nil || !strings.Contains(messages(bad), "the same bytes as results/later.csv") {
		t.Errorf("got %v and\n%s", a, messages(bad))
	}
}
