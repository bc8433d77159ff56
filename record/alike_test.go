package record

import (
	"fmt"
	"strings"
	"testing"

	"benchwright/schema"
)

// TestAlikeIsSaidOnce: what is wrong with many readings in the same way is one
// finding, with the places; of many others of one rule the first ten are said.
func TestAlikeIsSaidOnce(t *testing.T) {
	_, root := base(t, nil)
	line := func(n int) schema.Place { return schema.Place{File: "night.csv", Line: n, Column: 1} }
	cell := func(n int) schema.Place { return schema.Place{File: fmt.Sprintf("night.xlsx!C%d", n)} }
	value := func(n int) schema.Place { return schema.Place{File: fmt.Sprintf("--value %d", n)} }
	good := Reading{Configuration: "one-fan", Workload: "compile", Session: "evening", Value: "41.5"}
	for _, c := range []struct {
		name  string
		n     int
		at    func(int) schema.Place
		spoil func(r *Reading, n int)
		want  []string
	}{
		{"empty rows", 12, line, func(r *Reading, _ int) { r.Value = "" }, []string{
			"missing-value night.csv:2:1: the row holds neither a value nor an outcome (12 times, in lines 2, 3, 4, 5, 6, 7 and 6 more) " +
				"→ write the value; or the outcome of a run that failed (did-not-start, hung, crashed, unstable); or take the row out"}},
		{"three of them", 3, line, func(r *Reading, _ int) { r.Value = "" }, []string{"(3 times, in lines 2, 3, 4)"}},
		{"two of them", 2, line, func(r *Reading, _ int) { r.Value = "" }, []string{"night.csv:2:1: the row holds neither a value nor an outcome →", "night.csv:3:1: the row holds"}},
		{"no session", 7, line, func(r *Reading, _ int) { r.Session = "" }, []string{"names no session (7 times, in lines 2, 3, 4, 5, 6, 7, 8) → the sessions are evening, later"}},
		{"cells of a sheet", 4, cell, func(r *Reading, _ int) { r.Configuration = "nobody" }, []string{`night.xlsx!C2: there is no configuration "nobody" (4 times, in cells C2, C3, C4, C5)`}},
		{"values", 3, value, func(r *Reading, _ int) { r.Workload = "nothing" }, []string{`there is no workload "nothing" (3 times, for values 2, 3, 4)`}},
		{"ten that differ", 10, line, func(r *Reading, n int) { r.Value = fmt.Sprint("x", n) }, append(make([]string, 9), `"x11" is not a number`)},
		{"twelve that differ", 12, line, func(r *Reading, n int) { r.Value = fmt.Sprint("x", n) },
			append(make([]string, 10), "there are 2 more findings like these in night.csv → set the first ones right and record again")},
		{"repeats that are there", 12, line, func(r *Reading, n int) { r.Repeat = 1 + n%2 }, []string{
			`repeat 1 of "compile" on "one-fan" in session "evening" is here already (6 times, in lines 2, 4,`, `repeat 2 of "compile" on "one-fan" in session "evening" is here already (6 times, in lines 3, 5,`}},
	} {
		var readings []Reading
		for n := 2; n < c.n+2; n++ {
			r := good
			r.At = c.at(n)
			c.spoil(&r, n)
			readings = append(readings, r)
		}
		a, bad := Prepare(root.FS(), readings, Options{})
		if a != nil || len(bad) != len(c.want) {
			t.Errorf("%s: %d findings, want %d:\n%s", c.name, len(bad), len(c.want), messages(bad))
			continue
		}
		said := messages(bad)
		for _, want := range c.want {
			if !strings.Contains(said, want) {
				t.Errorf("%s: got\n%swant %q", c.name, said, want)
			}
		}
	}
}

// TestUnknownColumnsAreSaidOnce: a table of somebody else's needs one mapping.
func TestUnknownColumnsAreSaidOnce(t *testing.T) {
	_, root := base(t, nil)
	p := loaded(t, root.FS())
	for text, want := range map[string]string{
		"Build,Test,Result,N\na,b,3,1\n": `unknown-column night.csv:1:1: 4 columns have names that are not known: "Build", "Test", "Result", "N" ` +
			`→ say in record.yaml what the columns are, as in mappings: {timer: {columns: {Build: configuration}}}, and name that with --mapping timer; ` +
			`the names known are configuration, workload, session, repeat, order, value, unit, outcome, reason, note, page-count, compile, clip, pages, rise`,
		"configuration,worklod,Speed\na,b,3\n": `2 columns have names that are not known: "worklod", "Speed" → did you mean "workload" for "worklod"? Or say`,
		"configuration,workload,Speed: s\n":    `night.csv:1:24: the column "Speed: s" has a name that is not known → say in record.yaml what the columns are, as in mappings: {timer: {columns: {"Speed: s": configuration}}}`,
	} {
		_, bad := FromTable(p, []byte(text), "night.csv", Mapping{})
		if n := strings.Count(messages(bad), "unknown-column"); n != 1 || !strings.Contains(messages(bad), want) {
			t.Errorf("%q: got\n%swant %q", text, messages(bad), want)
		}
	}
	var many []string
	for n := range 20 {
		many = append(many, fmt.Sprint("Q", n))
	}
	_, bad := FromTable(p, []byte(strings.Join(many, ",")+"\n"), "night.csv", Mapping{})
	if len(bad) != 1 || !strings.Contains(bad[0].Message, `20 columns have names that are not known: "Q0", `) || !strings.Contains(bad[0].Message, `"Q11" and 8 more`) {
		t.Errorf("got\n%s", messages(bad))
	}
}
