package record

import (
	"strings"
	"testing"
)

// TestLostRowsAreNoticed: an old copy that is saved over recorded rows is told
// from a file that was edited.
func TestLostRowsAreNoticed(t *testing.T) {
	dir, root := base(t, nil)
	const file = "results/evening.csv"
	begun := text(t, dir, file)
	add := func(value string) {
		t.Helper()
		r := []Reading{{Configuration: "one-fan", Workload: "compile", Session: "evening", Value: value}}
		must(t, prepared(t, root, r, Options{Source: "command line", When: "2031-04-09T20:00:00Z"}).Write(root))
	}
	add("41.5")
	between := text(t, dir, file)
	add("41.6")
	add("41.7")
	all := text(t, dir, file)
	header, rows, _ := strings.Cut(begun, "\n")
	first, _, _ := strings.Cut(rows, "\n")
	for name, c := range map[string]struct{ now, want string }{
		"as recorded":           {all, ""},
		"edited":                {strings.Replace(all, "41.7", "41.8", 1), ""},
		"an old copy":           {between, "it is as it was before the last 2 of its readings were recorded"},
		"a very old copy":       {header + "\n" + first + "\n", "3 readings were recorded in it, and it holds 1"},
		"one row more by hand":  {all + strings.Replace(first, "41.2", "41.9", 1) + "\n", ""},
		"rows of others edited": {strings.Replace(all, "41.2", "41.25", 1), ""},
	} {
		put(t, dir, file, strings.Replace(c.now, ",one-fan,1,compile,41.9", ",one-fan,9,compile,41.9", 1))
		found := Lost(root.FS(), loaded(t, root.FS()))
		if (len(found) > 0) != (c.want != "") || !strings.Contains(messages(found), c.want) {
			t.Errorf("%s: got %s, want %q", name, messages(found), c.want)
		}
	}
}

// TestASourceTakenInAnewLosesNothing: whoever takes rows out and the source in
// again has them all.
func TestASourceTakenInAnewLosesNothing(t *testing.T) {
	dir, root := base(t, nil)
	begun := text(t, dir, "results/evening.csv")
	r := []Reading{}
	for _, v := range []string{"41.1", "41.2", "41.3", "41.4", "41.5", "41.6", "41.7"} {
		r = append(r, Reading{Configuration: "one-fan", Workload: "compile", Session: "evening", Value: v})
	}
	for range 2 {
		put(t, dir, "results/evening.csv", begun)
		must(t, prepared(t, root, r, Options{Source: "night.csv", SourceSum: Sum([]byte("the night")), When: "2031-04-09T20:00:00Z"}).Write(root))
	}
	put(t, dir, "results/evening.csv", strings.Replace(text(t, dir, "results/evening.csv"), "41.7", "41.8", 1))
	if found := Lost(root.FS(), loaded(t, root.FS())); len(found) > 0 {
		t.Errorf("got %s", messages(found))
	}
}
