package project

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"benchwright/schema"
)

// described writes a reading in one line, without its place.
func described(p *Project, r Reading) string {
	session := "-"
	if r.Session >= 0 {
		session = p.Sessions[r.Session].ID
	}
	w := p.Workloads[r.Workload]
	s := fmt.Sprintf("%s %s %s/%d #%d %s", p.Configurations[r.Configuration].ID, w.ID, session, r.Repeat, r.Order, r.Outcome)
	if r.HasValue {
		s += fmt.Sprintf(" %.6g %s (%q, %.6g)", r.Value, w.Unit.Symbol, p.Written(&r), r.Raw)
	}
	if r.Derived {
		s += " derived"
	}
	if p.Reason(&r) != "" {
		s += " because " + p.Reason(&r)
	}
	return s
}

func describedAll(p *Project) []string {
	var all []string
	for _, r := range p.Readings {
		all = append(all, described(p, r))
	}
	return all
}

func compare(t *testing.T, got, want []string) {
	t.Helper()
	if !slices.Equal(got, want) {
		t.Errorf("got:\n%s\nwant:\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

// Long and wide files, conversions, frame times, outcomes and derived
// workloads, with the figures worked out by hand: 2134 frames × 35 ticks/s over
// 1500 ticks is 49.7933 fps; 12 W for 50 s is 600 J, 1/6 Wh; frames of
// 10, 10 and 20 ms in turn are 75 fps, and their 99th percentile is 20 ms.
func TestReadings(t *testing.T) {
	p, findings := load(base(t))
	if len(findings) > 0 {
		t.Fatal(printed(findings))
	}
	compare(t, describedAll(p), []string{
		`single transcode monday/1 #1 ok 49.7933 fps ("1500", 1500)`,
		`single archive monday/1 #2 ok 50 s ("50", 50)`,
		`single archive monday/2 #3 ok 51 s ("51000", 51000)`,
		`single power monday/1 #2 ok 12 W ("12", 12)`,
		`single power monday/2 #3 ok 12 W ("12000", 12000)`,
		`single rise monday/1 #4 ok 30 K ("30", 30)`,
		`single draw monday/1 #5 ok 2000 block/s ("2", 2)`,
		`dual game monday/1 #6 ok 75 fps ("frames/a.csv", 75)`,
		`dual archive monday/1 #7 hung`,
		`dual-cool archive monday/1 #8 excluded 44 s ("44", 44) because the lid was open`,
		`dual-cool power monday/1 #8 ok 11 W ("11", 11)`,
		`single archive tuesday/1 #1 ok 48 s ("0.8", 0.8)`,
		`single power tuesday/1 #1 ok 12 W ("12", 12)`,
		`dual archive tuesday/1 #2 crashed`,
		`dual power tuesday/1 #2 ok 11 W ("11", 11)`,
		`dual game-slow monday/1 #6 ok 20 ms ("frames/a.csv", 20) derived`,
		`dual energy tuesday/1 #2 crashed derived`,
		`dual energy monday/1 #7 hung derived`,
		`dual-cool energy monday/1 #8 excluded 0.134444 Wh ("", 0.134444) derived because the lid was open`,
		`single energy monday/1 #2 ok 0.166667 Wh ("", 0.166667) derived`,
		`single energy monday/2 #3 ok 0.17 Wh ("", 0.17) derived`,
		`single energy tuesday/1 #1 ok 0.16 Wh ("", 0.16) derived`,
	})
	if got := p.Place(p.Readings[2]).String(); got != "results/long.csv:4:16" {
		t.Errorf("the place of a reading: %s", got)
	}
}

func TestReadingsOf(t *testing.T) {
	p, _ := load(base(t))
	seen := 0
	for c := range p.Configurations {
		for w := range p.Workloads {
			last := -1
			for _, i := range p.ReadingsOf(c, w) {
				if r := p.Readings[i]; int(r.Configuration) != c || int(r.Workload) != w || i <= last {
					t.Errorf("reading %d is not of %d, %d, or out of order", i, c, w)
				}
				last = i
				seen++
			}
		}
	}
	if seen != len(p.Readings) || seen == 0 {
		t.Errorf("%d of %d readings", seen, len(p.Readings))
	}
	if p.ReadingsOf(-1, 0) != nil || p.ReadingsOf(0, 99) != nil || p.ReadingsOf(99, 0) != nil {
		t.Error("readings of what is not there")
	}
}

// results loads the base with one result file of the given text in place of
// its own.
func results(t *testing.T, text string, edits map[string]string) (*Project, string) {
	t.Helper()
	if edits == nil {
		edits = map[string]string{}
	}
	edits["remove results/wide.csv"], edits["results/long.csv"] = "", text
	edits["edit report.yaml"] += "- corrections:\n-   - configuration: single\n-     workload: archive\n-     repeat: 1\n-     was: 52\n-     now: 50\n-     reason: a slip of the pen\n-     date: 2026-02-20\n"
	p, findings := loadEdited(t, edits)
	if p == nil {
		t.Fatal(printed(findings))
	}
	return p, printed(findings)
}

func TestRepeatsAreNumberedByAppearance(t *testing.T) {
	p, found := results(t, "configuration,workload,value,session\nsingle,rise,1,monday\ndual,rise,2,monday\nsingle,rise,3,monday\nsingle,rise,4,tuesday\nsingle,archive,5,monday\n", nil)
	if found != "" {
		t.Fatal(found)
	}
	compare(t, describedAll(p), []string{
		`single rise monday/1 #1 ok 1 K ("1", 1)`,
		`dual rise monday/1 #2 ok 2 K ("2", 2)`,
		`single rise monday/2 #3 ok 3 K ("3", 3)`,
		`single rise tuesday/1 #1 ok 4 K ("4", 4)`,
		`single archive monday/1 #4 ok 5 s ("5", 5)`,
	})
}

// The outcome of a wide row goes to its empty cells, or to all when none is
// empty; an exclusion goes to what was read.
func TestOutcomesOfWideRows(t *testing.T) {
	p, found := results(t, "configuration,session,repeat,order,archive,rise,outcome,reason\n"+
		"single,monday,1,1,50,30,,\n"+
		"single,monday,2,2,50,,hung,screen froze\n"+
		"single,monday,3,3,50,31,unstable,\n"+
		"single,monday,4,4,,,did-not-start,\n"+
		"single,monday,5,5,50,,excluded,lid open\n"+
		"single,monday,6,6,,32,,\n", nil)
	if found != "" {
		t.Fatal(found)
	}
	compare(t, describedAll(p), []string{
		`single archive monday/1 #1 ok 50 s ("50", 50)`,
		`single rise monday/1 #1 ok 30 K ("30", 30)`,
		`single archive monday/2 #2 ok 50 s ("50", 50)`,
		`single rise monday/2 #2 hung because screen froze`,
		`single archive monday/3 #3 unstable 50 s ("50", 50)`,
		`single rise monday/3 #3 unstable 31 K ("31", 31)`,
		`single archive monday/4 #4 did-not-start`,
		`single rise monday/4 #4 did-not-start`,
		`single archive monday/5 #5 excluded 50 s ("50", 50) because lid open`,
		`single rise monday/6 #6 ok 32 K ("32", 32)`,
		`single energy monday/4 #4 did-not-start derived`, // nothing to compute, and nothing to hide
	})
}

// A conversion with columns of its own, one with a unit in its head, and a
// factor of the configuration.
func TestConversionWithColumns(t *testing.T) {
	workloads := "edit workloads.yaml"
	line := "-     reading: {unit: ticks, times: [2134 frames, 35 ticks/s], over: [reading]}\n"
	p, found := results(t, "configuration,workload,value,frames,tick-rate [kticks/s],session\nsingle,transcode,1500,2134,0.035,monday\nsingle,rise,5,,,monday\n", map[string]string{
		"edit bench.yaml": "-   kiloblock: {dimension: block, factor: 1000, of: block}\n+   kiloblock: {dimension: block, factor: 1000, of: block}\n+   kticks: {dimension: tick, factor: 1000, of: tick}\n",
		workloads:         line + "+     reading: {unit: ticks, times: [frames, tick-rate], over: [reading]}\n"})
	if found != "" || len(p.Readings) != 2 || described(p, p.Readings[0]) != `single transcode monday/1 #1 ok 49.7933 fps ("1500", 1500)` {
		t.Errorf("%v\n%s", describedAll(p), found)
	}
	p, found = results(t, "configuration,workload,value,session\nsingle,transcode,3,monday\n", map[string]string{
		workloads: line + "+     reading: {unit: frames, times: [reading, bus]}\n"})
	if found != "" || len(p.Readings) != 1 || p.Readings[0].Value != 3e8 {
		t.Errorf("3 frames × 100 MHz: %v\n%s", describedAll(p), found)
	}
	_, found = results(t, "configuration,workload,value,session\nsingle,transcode,3,monday\n", map[string]string{
		workloads: line + "+     reading: {unit: ticks, times: [frames, 35 ticks/s], over: [reading]}\n"})
	if !strings.Contains(found, `with a column "frames", which this file does not have`) {
		t.Errorf("a missing column: %s", found)
	}
}

// A comma for decimals, declared or found out, gives the same readings.
func TestDecimalComma(t *testing.T) {
	text := "configuration;workload;value;session\nsingle;archive;50,25;monday\nsingle;rise;7;monday\n"
	want := `single archive monday/1 #1 ok 50.25 s ("50,25", 50.25)`
	p, found := results(t, text, map[string]string{"edit report.yaml": "- baseline: single\n+ baseline: single\n+ csv: {separator: \";\", decimal: \",\"}\n"})
	if found != "" || described(p, p.Readings[0]) != want {
		t.Errorf("declared: %v\n%s", describedAll(p), found)
	}
	p, found = results(t, text, nil)
	if !strings.Contains(found, "csv-detected") || described(p, p.Readings[0]) != want {
		t.Errorf("found out: %v\n%s", describedAll(p), found)
	}
}

// A project with one session need not name it in each row.
func TestOnlySession(t *testing.T) {
	p, found := results(t, "configuration,workload,value\nsingle,archive,50\n", map[string]string{
		"edit sessions.yaml": "-   tuesday: {date: 2026-02-24, values: {room: 70 °F}}\n"})
	if found != "" || described(p, p.Readings[0]) != `single archive monday/1 #1 ok 50 s ("50", 50)` {
		t.Errorf("%v\n%s", describedAll(p), found)
	}
}

// The first of two readings of the same repeat is kept.
func TestDuplicateKeepsTheFirst(t *testing.T) {
	p, found := results(t, "configuration,workload,value,session,repeat\nsingle,rise,1,monday,1\ndual,rise,9,monday,1\nsingle,rise,2,monday,1\nsingle,rise,3,monday,2\nsingle,rise,4,monday,1\n", nil)
	if n := strings.Count(found, "[duplicate-reading]"); n != 2 {
		t.Errorf("%d findings:\n%s", n, found)
	}
	var values []float64
	for _, i := range p.ReadingsOf(p.Configuration("single").Index, p.Workload("rise").Index) {
		values = append(values, p.Readings[i].Value)
	}
	if !slices.Equal(values, []float64{1, 3}) {
		t.Errorf("kept %v", values)
	}
}

// Nothing needs to know when a reading was made that does not count.
func TestTheOrderOfExcludedReadingsMayBeOpen(t *testing.T) {
	for rows, want := range map[string]int{
		"single,rise,31,tuesday,,excluded,the lid was open\ndual,rise,33,tuesday,,excluded,the lid was open\n": 0,
		"single,rise,31,tuesday,,,\ndual,rise,33,tuesday,,excluded,the lid was open\n":                         1,
	} {
		p, findings := loadEdited(t, map[string]string{"results/more.csv": "configuration,workload,value,session,order,outcome,reason\n" + rows})
		open := 0
		for _, f := range findings {
			if f.Rule == "order-open" {
				open++
			}
		}
		if p == nil || open != want {
			t.Errorf("%s: %s", rows, printed(findings))
		}
	}
}

// Rows in another order, in other files: the same readings, but for places.
func TestOrderOfRowsAndFilesDoesNotMatter(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	head := "configuration,workload,value,session,repeat,order,unit,outcome,reason\n"
	original, _ := load(base(t))
	want := describedAll(original)
	slices.Sort(want)
	rows := strings.Split(strings.TrimSpace(strings.TrimPrefix(string(base(t)["results/long.csv"].Data), head)), "\n")
	for range 50 {
		random.Shuffle(len(rows), func(i, j int) { rows[i], rows[j] = rows[j], rows[i] })
		folder := base(t)
		delete(folder, "results/long.csv")
		texts := make([]string, 1+random.IntN(3))
		for _, row := range rows {
			i := random.IntN(len(texts))
			texts[i] += row + "\n"
		}
		for i, text := range texts {
			folder[fmt.Sprintf("results/%c-%d.csv", "az"[random.IntN(2)], i)] = &fstest.MapFile{Data: []byte(head + text)}
		}
		p, findings := load(folder)
		got := describedAll(p)
		slices.Sort(got)
		if !slices.Equal(got, want) || slices.ContainsFunc(findings, func(f schema.Finding) bool {
			return f.Severity == schema.Error
		}) {
			t.Fatalf("got:\n%s\nwant:\n%s\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"), printed(findings))
		}
	}
}

// Two loads of one folder give the same, findings included.
func TestLoadTwice(t *testing.T) {
	folder := base(t)
	folder["results/long.csv"].Data = append(folder["results/long.csv"].Data, "x,y,z,monday,0,1,,,\nsingle,rise,,tuesday,9,,,,\n"...)
	first, a := load(folder)
	second, b := load(folder)
	if printed(a) != printed(b) || !slices.Equal(describedAll(first), describedAll(second)) {
		t.Errorf("%s\n%s", printed(a), printed(b))
	}
}

// A run of which a part was excluded is left out on purpose, whether or not
// its other parts were read; so is one whose other part never ended well.
func TestRunsThatAreIncompleteOnPurpose(t *testing.T) {
	head := "configuration,session,repeat,order,workload,value,outcome,reason\n" +
		"single,monday,1,1,archive,50,,\nsingle,monday,1,1,power,12,,\n"
	for rows, want := range map[string]bool{
		"single,monday,2,2,archive,80,excluded,lid open\n":                                    false,
		"single,monday,2,2,archive,,excluded,lid open\nsingle,monday,2,2,power,12,,\n":        false,
		"single,monday,2,2,archive,80,,\n":                                                    true,
		"dual,monday,1,2,archive,51,,\ndual,monday,2,3,power,,hung,screen froze\n":            false,
		"dual,monday,1,2,archive,51,,\ndual,monday,2,3,power,12,unstable,the needle swings\n": true,
	} {
		if _, found := results(t, head+rows, nil); strings.Contains(found, "incomplete-run") != want {
			t.Errorf("%sincomplete: %v\n%s", rows, !want, found)
		}
	}
}

// A file all of whose readings stand in another one is pointed out; what only
// looks like it is not.
func TestCopiedReadings(t *testing.T) {
	three := "single,rise,30.5,tuesday,\nsingle,rise,31,tuesday,\ndual,rise,,tuesday,hung\n"
	for _, c := range []struct {
		name, one, other string
		want             string // the place of the finding
	}{
		{"a copy", three, three, "results/b.csv:2:13"},
		{"a copy within a longer file", three, "dual,rise,33,tuesday,\n" + three + "dual,rise,34,tuesday,\n", "results/a.csv:2:13"},
		{"a copy that starts like the rows before", three, "single,rise,30.5,tuesday,\n" + three, "results/a.csv:2:13"},
		{"another value", three, strings.Replace(three, "31", "32", 1), ""},
		{"another order", three, "single,rise,31,tuesday,\nsingle,rise,30.5,tuesday,\ndual,rise,,tuesday,hung\n", ""},
		{"another session", three, strings.ReplaceAll(three, "tuesday", "monday"), ""},
		{"another outcome", three, strings.Replace(three, "hung", "crashed", 1), ""},
		{"two rows", "single,rise,30.5,tuesday,\nsingle,rise,31,tuesday,\n", "single,rise,30.5,tuesday,\nsingle,rise,31,tuesday,\n", ""},
		{"one number throughout", strings.Repeat("single,rise,30,tuesday,\n", 3), strings.Repeat("single,rise,30,tuesday,\n", 4), ""},
		{"other repeats", "single,rise,30.5,tuesday,,1\nsingle,rise,31,tuesday,,2\ndual,rise,33,tuesday,,1\n", "single,rise,30.5,tuesday,,3\nsingle,rise,31,tuesday,,4\ndual,rise,33,tuesday,,2\n", ""},
		{"repeats in one of the two", "single,rise,30.5,tuesday,,1\nsingle,rise,31,tuesday,,2\ndual,rise,33,tuesday,,1\n", "single,rise,30.5,tuesday,,\nsingle,rise,31,tuesday,,\ndual,rise,33,tuesday,,\n", "results/b.csv:2:13"},
		{"one more", three + "dual,rise,33,tuesday,\n", three + "dual,rise,34,tuesday,\n", ""},
	} {
		head := "configuration,workload,value,session,outcome\n"
		if strings.Contains(c.one, ",,1") {
			head = strings.Replace(head, "outcome\n", "outcome,repeat\n", 1)
		}
		_, findings := loadEdited(t, map[string]string{"results/a.csv": head + c.one, "results/b.csv": head + c.other})
		if got := copies(findings); got != c.want {
			t.Errorf("%s: found at %q, want %q", c.name, got, c.want)
		}
	}
	// Of two files that are the same, the one with the longer name is the copy.
	_, findings := loadEdited(t, map[string]string{"results/a.csv": "configuration,workload,value,session,outcome\n" + three,
		"results/a-copy.csv": "configuration,workload,value,session,outcome\n" + three})
	if got := copies(findings); got != "results/a-copy.csv:2:13" {
		t.Errorf("the copy of a.csv: found at %q", got)
	}
}

// copies gives the places at which copied readings were found.
func copies(findings []schema.Finding) (places string) {
	for _, f := range findings {
		if f.Rule == "copied-readings" {
			places += f.Place.String()
		}
	}
	return places
}

// A table of some other program is told so once; a slip or two is said by itself.
func TestForeignTable(t *testing.T) {
	for text, want := range map[string][]string{
		"configuration,Test,Remark,value,Rig,worklod\nsingle,archive,cold,3,A,b\n": {
			`results/x.csv:1:1: the column "workload" is missing`,
			`results/x.csv:1:15: 4 columns are not columns of result files: "Test", "Remark", "Rig", "worklod"; did you mean "workload" for "worklod"? Or take the file out of results`},
		"Build,Test,Rig\na,b,c\n": {
			`results/x.csv:1:1: the column "configuration" is missing`,
			`results/x.csv:1:1: 3 columns are neither workloads nor columns of result files: "Build", "Test", "Rig"; take the file out of results and read it in with benchwright record --from`},
		"configuration,workload,value,Rig,Remark\nsingle,archive,3,A,b\n": {
			`results/x.csv:1:30: "Rig" is not a column of result files; the columns are`,
			`results/x.csv:1:34: "Remark" is not a column of result files; the columns are`},
	} {
		_, findings := loadEdited(t, map[string]string{"results/x.csv": text})
		var got []string
		for _, f := range findings {
			if f.Rule == "unknown-column" || f.Rule == "missing-column" {
				got = append(got, f.Place.String()+": "+f.Message+"; "+f.Remedy)
			}
		}
		slices.Sort(got)
		slices.Sort(want)
		if !slices.EqualFunc(got, want, strings.HasPrefix) {
			t.Errorf("%q: got\n%s\nwant\n%s", text, strings.Join(got, "\n"), strings.Join(want, "\n"))
		}
	}
}

// Readings without a repeat take the numbers that no other reading of their
// session has, whichever of the two files is read first.
func TestRepeatsWithAndWithoutAColumn(t *testing.T) {
	without := "configuration,workload,value,session\nsingle,archive,52,tuesday\nsingle,archive,53,tuesday\n"
	with := "configuration,workload,value,session,repeat\nsingle,archive,54,tuesday,2\n"
	for _, names := range [][2]string{{"results/more.csv", "results/more-2.csv"}, {"results/more.csv", "results/zz.csv"}} {
		p, findings := loadEdited(t, map[string]string{names[0]: without, names[1]: with, "remove results/long.csv": "", "remove results/wide.csv": ""})
		for _, f := range findings {
			if f.Rule == "duplicate-reading" {
				t.Errorf("%v: %s", names, f.Message)
			}
		}
		var got []string
		for _, i := range p.ReadingsOf(p.Configuration("single").Index, p.Workload("archive").Index) {
			got = append(got, fmt.Sprintf("%s/%d", p.Written(&p.Readings[i]), p.Readings[i].Repeat))
		}
		slices.Sort(got)
		compare(t, got, []string{"52/1", "53/3", "54/2"})
	}
}
