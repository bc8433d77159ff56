package record

import (
	"bytes"
	"strings"
	"testing"
)

// A table of somebody's own may be sorted by name: its rows say nothing about
// the order of the runs, unless a column does or a person.
func TestOrderOfATableStaysOpen(t *testing.T) {
	const rows = "configuration,workload,value,session\ntwo-fans,compile,39.9,evening\none-fan,compile,41.1,evening\n"
	const ordered = "configuration,workload,value,session,order\ntwo-fans,compile,39.9,evening,7\none-fan,compile,41.1,evening,\n"
	for name, c := range map[string]struct {
		text    string
		inOrder bool
		want    string // what is appended
	}{
		"as it is":                  {rows, false, "evening,,two-fans,2,compile,39.9,s,ok,,\"\"\nevening,,one-fan,3,compile,41.1,s,ok,,\"\"\n"},
		"in order":                  {rows, true, "evening,4,two-fans,2,compile,39.9,s,ok,,\"\"\nevening,5,one-fan,3,compile,41.1,s,ok,,\"\"\n"},
		"with a column":             {ordered, false, "evening,7,two-fans,2,compile,39.9,s,ok,,\"\"\nevening,,one-fan,3,compile,41.1,s,ok,,\"\"\n"},
		"with a column, and filled": {ordered, true, "evening,7,two-fans,2,compile,39.9,s,ok,,\"\"\nevening,8,one-fan,3,compile,41.1,s,ok,,\"\"\n"},
	} {
		dir, root := base(t, nil)
		before := text(t, dir, "results/evening.csv")
		readings, bad := FromTable(loaded(t, root.FS()), []byte(c.text), "night.csv", Mapping{InOrder: c.inOrder})
		if len(bad) > 0 {
			t.Fatal(messages(bad))
		}
		a := prepared(t, root, readings, Options{Source: "night.csv", When: "2031-04-09T20:00:00Z"})
		must(t, a.Write(root))
		if got := strings.TrimPrefix(text(t, dir, "results/evening.csv"), before); got != c.want {
			t.Errorf("%s: appended\n%s", name, got)
		}
		// What is recorded by hand afterwards follows on what has an order.
		last := 3
		for _, r := range a.Added {
			last = max(last, r.Order)
		}
		b := prepared(t, root, []Reading{{Configuration: "two-fans", Workload: "compile", Session: "evening", Value: "40.0"}}, Options{When: "2031-04-09T21:00:00Z"})
		if b.Added[0].Order != last+1 {
			t.Errorf("%s: the next is number %d, not %d", name, b.Added[0].Order, last+1)
		}
	}
}

// So it is with a spreadsheet, whose rows are configurations.
func TestOrderOfAGridStaysOpen(t *testing.T) {
	_, root := base(t, nil)
	book := excelizeBook(t, [][]string{{"", "compile"}, {"one-fan", "41.1"}, {"two-fans", "39.9"}}, "", "")
	for _, inOrder := range []bool{false, true} {
		readings, bad := FromGrid(loaded(t, root.FS()), bytes.NewReader(book), "grid.xlsx", "", "evening", Mapping{InOrder: inOrder})
		if len(bad) > 0 || len(readings) != 2 {
			t.Fatal(messages(bad))
		}
		a := prepared(t, root, readings, Options{When: "2031-04-09T20:00:00Z"})
		for i, r := range a.Added {
			if want := map[bool]int{true: 4 + i}[inOrder]; r.Order != want {
				t.Errorf("in order %t: row %d has the order %d, not %d", inOrder, i, r.Order, want)
			}
		}
	}
}

// A file without a column order says an order of its rows: what has none goes
// into another one, or is refused.
func TestOpenOrderNeedsAColumn(t *testing.T) {
	without := map[string]string{"results/evening.csv": "configuration,workload,value,session\none-fan,compile,41.2,evening\ntwo-fans,compile,40.1,evening\n"}
	dir, root := base(t, without)
	open := []Reading{{Configuration: "one-fan", Workload: "compile", Session: "evening", Value: "41.0", OrderOpen: true}}
	a := prepared(t, root, open, Options{When: "2031-04-09T20:00:00Z"})
	must(t, a.Write(root))
	if a.Files[0] != "results/evening-2.csv" || !strings.HasSuffix(text(t, dir, a.Files[0]), "\nevening,,one-fan,2,compile,41.0,s,ok,,\n") {
		t.Errorf("%s:\n%s", a.Files[0], text(t, dir, a.Files[0]))
	}
	if text(t, dir, "results/evening.csv") != without["results/evening.csv"] {
		t.Error("the file without a column order changed")
	}
	_, root = base(t, without)
	if _, bad := Prepare(root.FS(), open, Options{File: "evening.csv"}); !strings.Contains(messages(bad), `results/evening.csv has no column "order" to leave empty`) || !strings.Contains(messages(bad), "--in-order") {
		t.Errorf("got %s", messages(bad))
	}
	open[0].OrderOpen = false
	if a := prepared(t, root, open, Options{File: "evening.csv", When: "2031-04-09T20:00:00Z"}); a.Added[0].Order != 3 {
		t.Errorf("with the order of the rows: %d", a.Added[0].Order)
	}
}

// record.yaml says it for every table of a kind.
func TestMappingSaysThatRowsAreInOrder(t *testing.T) {
	_, root := base(t, map[string]string{"record.yaml": "mappings:\n  timer: {in-order: true, columns: {Build: configuration}}\n  other: {columns: {Build: configuration}}\n"})
	if !mapping(t, root, "timer").InOrder || mapping(t, root, "other").InOrder {
		t.Error("in-order of record.yaml is not what was read")
	}
}
