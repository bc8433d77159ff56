package record

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode/utf16"

	"github.com/xuri/excelize/v2"

	"benchwright/project"
	"benchwright/schema"
)

// told writes readings in a short form for comparing.
func told(readings []Reading) []string {
	var out []string
	for _, r := range readings {
		text := r.Configuration + " " + r.Workload + " " + r.Value
		for _, x := range []string{r.Unit, r.Outcome, r.Session, r.Reason, r.Note} {
			if x != "" {
				text += " " + x
			}
		}
		out = append(out, text)
	}
	return out
}

func TestFromText(t *testing.T) {
	_, root := base(t, nil)
	p := loaded(t, root.FS())
	const output = "warm-up\ndone in 41.2 s\nclip: 14400 ticks, fine\ndone in 41.5 s\r\n"
	readings, bad := FromText(p, []byte(output), "run.txt", "one-fan", "", "later")
	want := []string{"one-fan compile 41.2 later", "one-fan clip 14400 later", "one-fan compile 41.5 later"}
	if got := told(readings); !slices.Equal(got, want) || len(bad) > 0 {
		t.Errorf("got %q %s, want %q", got, messages(bad), want)
	}
	if at := readings[1].At.String(); at != "run.txt:3:7" {
		t.Errorf("the second reading is at %s", at)
	}
	// The same as some consoles write it.
	wide := []byte{0xff, 0xfe}
	for _, u := range utf16.Encode([]rune(output)) {
		wide = append(wide, byte(u), byte(u>>8))
	}
	again, _ := FromText(p, wide, "run.txt", "one-fan", "", "later")
	if got := told(again); !slices.Equal(got, want) {
		t.Errorf("in UTF-16: %q", got)
	}
	if only, _ := FromText(p, []byte(output), "run.txt", "one-fan", "clip", ""); len(only) != 1 {
		t.Errorf("one workload: %q", told(only))
	}
	for _, c := range []struct{ workload, text, want string }{
		{"", "nothing here", "hold the patterns in workloads.yaml against a line"},
		{"rise", "31 K", `give workload "rise" patterns`},
	} {
		if got, bad := FromText(p, []byte(c.text), "run.txt", "one-fan", c.workload, ""); len(got) > 0 || !strings.Contains(messages(bad), c.want) {
			t.Errorf("%q: %s", c.text, messages(bad))
		}
	}
}

// What a pattern takes out of the middle of a number is no reading.
func TestFromTextTakesWholeNumbers(t *testing.T) {
	for _, c := range []struct{ pattern, text, whole string }{
		{`Score: (?P<value>\d+)`, "Score: 12,101 points", "12,101"},
		{`Score: (?P<value>\d+)`, "Score: 12.5", "12.5"},
		{`Score: (?P<value>\d+)`, "Score: 1,234,567.8", "1,234,567.8"},
		{`Score: (?P<value>\d+)`, "Score: 12'101", "12'101"},
		{`Score: (?P<value>\d+)`, "Score: 12\u202f101", "12\u202f101"},
		{`(?P<value>\d+) points`, "12,101 points", "12,101"},
		{`(?P<value>\d+) points`, "in .5 points", ".5"},
		{`Score: (?P<value>\d{2})`, "Score: 12101", "12101"},
		{`Score: (?P<value>[0-9.]+)`, "Score: 1.2e5", "1.2e5"},
		{`Score: (?P<value>[0-9]+\.)`, "Score: 12.5", "12.5"},
		{`Score: (?P<value>[0-9.]+)`, "Score: 1.234,5", "1.234,5"},

		{`Score: (?P<value>\d+)`, "Score: 12, 101", ""},
		{`Score: (?P<value>\d+)`, "Score: 12.", ""},
		{`Score: (?P<value>\d+)`, "Score: 12,", ""},
		{`Score: (?P<value>[0-9.]+)`, "Score: 41.2,38.1", ""}, // no single number
		{`,(?P<value>[0-9.]+)`, "41.2,38.1", ""},
		{`^(?P<value>[0-9]+),`, "12,13,14", ""},
		{`(?P<value>\d+) points`, "job_3_12 points", ""},
		{`(?P<value>\d+)s`, "12s", ""},
		{`run1: (?P<value>\d+)`, "run1: 12", ""},
		{`Score: (?P<value>\d+ points)`, "Score: 12 points.5", ""},
	} {
		text := []byte("warm-up\n" + c.text + "\n")
		m := regexp.MustCompile("(?m)" + c.pattern).FindSubmatchIndex(text)
		if m == nil {
			t.Fatalf("%s does not match %q", c.pattern, c.text)
		}
		f := cutNumber("score", project.Pattern{Match: c.pattern}, text, m[2], m[3], schema.Place{})
		switch {
		case c.whole == "" && f != nil:
			t.Errorf("%s in %q: %s", c.pattern, c.text, f.Message)
		case c.whole != "" && (f == nil || !strings.HasSuffix(f.Message, fmt.Sprintf("out of %q", c.whole))):
			t.Errorf("%s in %q: %+v", c.pattern, c.text, f)
		}
	}
	_, root := base(t, nil)
	p := loaded(t, root.FS())
	p.Workload("clip").Patterns[0].Match = `clip: (?P<value>\d+)`
	readings, bad := FromText(p, []byte("warm-up\n\nclip: 14,400 ticks\n"), "run.txt", "one-fan", "clip", "later")
	if len(readings) > 0 || len(bad) != 1 || bad[0].Place.String() != "run.txt:3:7" || len(bad[0].Related) != 1 {
		t.Errorf("%q\n%s", told(readings), messages(bad))
	}
}

// A test that prints the unit of each number is taken at its word.
func TestFromTextTakesTheUnit(t *testing.T) {
	_, root := base(t, nil)
	p := loaded(t, root.FS())
	compile := p.Workload("compile")
	compile.Patterns[0].Match = `^job: (?P<value>[\d.]+) ?(?P<unit>[a-zA-Z/]*)`
	const at = "run.txt:1:6"
	for _, c := range []struct{ text, unit, want string }{
		{"job: 0.687 min\n", "min", ""},
		{"job: 41300ms\n", "ms", ""},
		{"job: 41.3\n", "", ""},
		{"job: 41.3 parsecs\n", "parsecs", `there is no unit "parsecs"`},
		{"job: 41.3 GB/s\n", "GB/s", `GB/s cannot be converted into s, the unit of "compile"`},
	} {
		readings, bad := FromText(p, []byte(c.text), "run.txt", "one-fan", "compile", "later")
		if len(bad) > 0 || len(readings) != 1 || readings[0].Unit != c.unit {
			t.Errorf("%q: %q %s", c.text, told(readings), messages(bad))
			continue
		}
		bad = understand(p, readings)
		switch {
		case c.want == "" && len(bad) > 0:
			t.Errorf("%q: %s", c.text, messages(bad))
		case c.want != "" && (len(bad) != 1 || bad[0].Message != c.want || bad[0].Place.String() != at):
			t.Errorf("%q: %s at %s, want %q", c.text, messages(bad), bad[0].Place, c.want)
		}
	}
	// Written down, it is converted as the cells of a column unit are.
	readings, _ := FromText(p, []byte("job: 0.687 min\n"), "run.txt", "one-fan", "compile", "later")
	a, bad := Prepare(root.FS(), readings, Options{When: "2031-04-09T20:00:00Z"})
	if len(bad) > 0 {
		t.Fatal(messages(bad))
	}
	found := 0
	for _, r := range a.After.Readings {
		if r.Workload == int32(compile.Index) && a.After.Place(r).File == a.Rows[0].File && a.After.Place(r).Line == a.Rows[0].Line {
			if found++; math.Abs(r.Value-41.22) > 1e-9 {
				t.Errorf("0.687 min is recorded as %v s", r.Value)
			}
		}
	}
	if found != 1 {
		t.Errorf("%d readings stand where 0.687 min was written", found)
	}
	// Of two patterns that find one number, the one that knows its unit counts.
	compile.Patterns = append([]project.Pattern{{Match: `^job: (?P<value>[\d.]+)`}}, compile.Patterns...)
	if both, _ := FromText(p, []byte("job: 0.687 min\n"), "run.txt", "one-fan", "compile", "later"); len(both) != 1 || both[0].Unit != "min" {
		t.Errorf("two patterns: %q", told(both))
	}
}

func TestLooksLikeTable(t *testing.T) {
	_, root := base(t, nil)
	p := loaded(t, root.FS())
	for text, want := range map[string]bool{
		"configuration,workload,value\n":         true,
		"\"configuration\";\"compile [s]\"\r\n1": true,
		"configuration: two-fans\nvalue 3\n":     false,
		"done in 41.2 s\n":                       false,
		"":                                       false,
	} {
		if got := LooksLikeTable(p, []byte(text)); got != want {
			t.Errorf("%q: %v", text, got)
		}
	}
}

const mappingFile = `mappings:
  timer:
    columns: {Build: configuration, Test: workload, Result: value, How: outcome, N: repeat}
    configurations: {Build A: one-fan, Build B: two-fans}
    workloads: {CC: compile}
    session: later
    csv: {separator: ";", decimal: ","}
  across:
    columns: {Build: configuration, "CC (min)": compile, Rise: rise}
    configurations: {Build A: one-fan}
`

func mapping(t *testing.T, root *os.Root, name string) Mapping {
	t.Helper()
	folder, _ := schema.Read(root.FS())
	all, bad := Mappings(loaded(t, root.FS()), folder)
	m, ok := all[name]
	if len(bad) > 0 || !ok {
		t.Fatalf("no mapping %s: %s", name, messages(bad))
	}
	return m
}

func TestFromTable(t *testing.T) {
	_, root := base(t, map[string]string{"record.yaml": mappingFile})
	p := loaded(t, root.FS())
	for _, c := range []struct {
		name, mapping, text string
		want                []string
		wrong               string
	}{
		{"long", "", "configuration,workload,value,session\none-fan,compile,41.2,later\nTwo fans,Compile job,40.0,later\n",
			[]string{"one-fan compile 41.2 later", "two-fans compile 40.0 later"}, ""},
		{"wide", "", "configuration,compile [min],rise,outcome\none-fan,0.69,31.1,\ntwo-fans,,,hung\ntwo-fans,0.67,,\n",
			[]string{"one-fan compile 0.69 min", "one-fan rise 31.1", "two-fans compile  min hung", "two-fans rise  hung", "two-fans compile 0.67 min"}, ""},
		{"mapped", "timer", "Build;Test;Result;How;N;Remark\nBuild A;CC;41,25;;3;x\nbuild b;compile;;Hung;1;y\n",
			[]string{"one-fan compile 41.25 later", "two-fans compile  hung later"}, ""},
		{"mapped across", "across", "Build,CC (min),Rise\nBuild A,0.69,crashed\n", []string{"one-fan compile 0.69 min", "one-fan rise  crashed"}, ""},
		{"unknown column", "", "configuration,workload,vale\n", nil, `did you mean "value"?`},
		{"mapped column that is not there", "timer", "Build;Tset;Result;How;N\na;b;1;;1\n", nil, `no column "Test"`},
		{"no configuration", "", "workload,value\ncompile,3\n", nil, "no column is the configuration"},
		{"repeat that is no count", "timer", "Build;Test;Result;How;N\nBuild A;CC;41,25;;two\n", nil, "not a whole number"},
		{"short row", "", "configuration,workload,value\none-fan,compile\n", nil, "csv-columns"},
		{"nothing in it", "", "configuration,workload,value\n", nil, "no reading was found"},
	} {
		t.Run(c.name, func(t *testing.T) {
			m := Mapping{}
			if c.mapping != "" {
				m = mapping(t, root, c.mapping)
			}
			got, bad := FromTable(p, []byte(c.text), "night.csv", m)
			if c.wrong != "" {
				if !strings.Contains(messages(bad), c.wrong) {
					t.Errorf("got %q and %s", told(got), messages(bad))
				}
				return
			}
			if len(bad) > 0 || !slices.Equal(told(got), c.want) {
				t.Errorf("got %q %s, want %q", told(got), messages(bad), c.want)
			}
		})
	}
}

func TestMappingsNameWhatIsThere(t *testing.T) {
	_, root := base(t, map[string]string{"record.yaml": `mappings:
  timer:
    columns: {Build: confguration, Test: workload, Probe: workload}
    configurations: {Build A: one-fann}
    workloads: {CC: energy}
    session: ever
`})
	folder, _ := schema.Read(root.FS())
	_, bad := Mappings(loaded(t, root.FS()), folder)
	want := `bad-mapping record.yaml:3:22: "confguration" is not what a column can be → did you mean "configuration"?
bad-mapping record.yaml:3:52: both "Test" and "Probe" are the workload → take one of them out
bad-mapping record.yaml:4:31: "one-fann" is not a configuration → did you mean "one-fan"?
bad-mapping record.yaml:5:21: "energy" is not a workload → one of compile, clip, pages, rise
bad-mapping record.yaml:6:14: "ever" is not a session → one of evening, later
`
	if got := messages(bad); got != want {
		t.Errorf("got\n%swant\n%s", got, want)
	}
}

// sheet makes a spreadsheet: rows of cells, merged ranges, formulas by cell.
func sheet(t testing.TB, rows [][]any, merged []string, formulas map[string]string, format map[string]string) []byte {
	t.Helper()
	f := excelize.NewFile()
	defer f.Close()
	for y, row := range rows {
		for x, v := range row {
			if v == nil {
				continue
			}
			cell, err := excelize.CoordinatesToCellName(x+1, y+1)
			must(t, err)
			must(t, f.SetCellValue("Sheet1", cell, v))
		}
	}
	for _, m := range merged {
		from, to, _ := strings.Cut(m, ":")
		must(t, f.MergeCell("Sheet1", from, to))
	}
	for cell, formula := range formulas {
		must(t, f.SetCellFormula("Sheet1", cell, formula))
	}
	for cell, number := range format {
		style, err := f.NewStyle(&excelize.Style{CustomNumFmt: &number})
		must(t, err)
		must(t, f.SetCellStyle("Sheet1", cell, cell, style))
	}
	var b bytes.Buffer
	must(t, f.Write(&b))
	return b.Bytes()
}

// TestCellsThatAreShownAsSomethingElse: a spreadsheet that makes a date or a per
// cent of a number has changed it.
func TestCellsThatAreShownAsSomethingElse(t *testing.T) {
	_, root := base(t, nil)
	p := loaded(t, root.FS())
	for _, c := range []struct {
		title, format string
		value         float64
		want          string
	}{
		{"compile", "yyyy-mm-dd", 45690, `not-a-number grid.xlsx!B2: the spreadsheet made a date of the cell (2025-02-02)`},
		{"compile", "d/m", 45690, "made a date of the cell (2/2)"},
		{"compile", "[h]:mm", 1.5, "made a date of the cell"},
		{"compile", "0.0%", 0.412, "not-a-number grid.xlsx!B2: the cell is shown as 41.2%, and its workload is in s"},
		{"compile", `0.0" sd"`, 41.2, ""},
		{"compile", "[Red]0.00", 41.2, ""},
	} {
		data := sheet(t, [][]any{{"", c.title}, {"one-fan", c.value}}, nil, nil, map[string]string{"B2": c.format})
		got, bad := FromGrid(p, bytes.NewReader(data), "grid.xlsx", "", "evening", Mapping{})
		if c.want == "" && (len(bad) > 0 || len(got) != 1) || !strings.Contains(messages(bad), c.want) {
			t.Errorf("%s: got %q %s", c.format, told(got), messages(bad))
		}
	}
	data := sheet(t, [][]any{{"", "compile [%]"}, {"one-fan", 0.412}}, nil, nil, map[string]string{"B2": "0.0%"})
	if got, bad := FromGrid(p, bytes.NewReader(data), "grid.xlsx", "", "evening", Mapping{}); len(bad) > 0 || len(got) != 1 || got[0].Value != "41.2" {
		t.Errorf("a per cent in per cent: got %q %s", told(got), messages(bad))
	}
}

func TestFromGrid(t *testing.T) {
	_, root := base(t, map[string]string{"record.yaml": mappingFile})
	p := loaded(t, root.FS())
	for _, c := range []struct {
		name     string
		rows     [][]any
		merged   []string
		formulas map[string]string
		format   map[string]string
		mapping  string
		want     []string
		wrong    string
	}{
		{name: "plain", rows: [][]any{
			{"Build", "compile", nil, "Temperature rise"},
			{"one-fan", 41.2, 41.5, 31},
			{"Two fans", 40.1, nil, "hung"},
		}, want: []string{"one-fan compile 41.2", "one-fan compile 41.5", "one-fan rise 31", "two-fans compile 40.1", "two-fans rise  hung"}},
		{name: "merged header, repeat numbers, a column of means", rows: [][]any{
			{"Last night's runs"},
			{nil, "Compile job (min)", nil, nil, "rise"},
			{"Build", "run 1", "run 2", "mean", "K"},
			{"one-fan", 0.69, 0.7, 0.695, 31.4},
		}, merged: []string{"B2:D2"}, formulas: map[string]string{"D4": "AVERAGE(B4:C4)"},
			want: []string{"one-fan compile 0.69 min", "one-fan compile 0.7 min", "one-fan rise 31.4 K"}},
		{name: "rows below one another", rows: [][]any{
			{"Build", "run", "compile", "rise"},
			{"one-fan", 1, 41.2, 31.1},
			{nil, 2, 41.3, 31.2},
			{"two-fans", 1, 40, 24},
		}, merged: []string{"A2:A3"}, want: []string{"one-fan compile 41.2", "one-fan rise 31.1", "one-fan compile 41.3", "one-fan rise 31.2", "two-fans compile 40", "two-fans rise 24"}},
		{name: "noughts as shown, sums of floats as typed", rows: [][]any{
			{"", "compile"}, {"one-fan", 41.0, 0.1 + 0.2},
		}, format: map[string]string{"B2": "0.00"}, want: []string{"one-fan compile 41.00", "one-fan compile 0.3"}},
		{name: "a merged header ends where it ends", rows: [][]any{
			{"", "compile", nil, nil, "rise"}, {"one-fan", 41, 42, "cold start", 31},
		}, merged: []string{"B1:C1"}, want: []string{"one-fan compile 41", "one-fan compile 42", "one-fan rise 31"}},
		{name: "names from the mapping", mapping: "timer", rows: [][]any{
			{"", "CC"}, {"Build A", "41,5"},
		}, want: []string{"one-fan compile 41.5 later"}},
		{name: "a column that names no workload", rows: [][]any{{"Build", "compile", "Heat", "rise"}, {"one-fan", 41, 81, 31}},
			wrong: `unknown-column grid.xlsx!C1: the column "Heat" holds readings (C2: 81) but names no workload that is known → name its workload there (compile, clip, pages, rise), or in record.yaml: mappings: {grid: {workloads: {Heat: clip}}}; to leave the column out, list there those to be read: mappings: {grid: {columns: {compile: compile}}}`},
		{name: "a misspelt workload", rows: [][]any{{"Build", "compile", "Rize (K)"}, {"one-fan", 41, "31 K"}}, wrong: `grid.xlsx!C1: the column "Rize (K)" holds readings (C2: 31 K) but names no workload that is known → did you mean "rise"?`},
		{name: "an unknown column before the others", rows: [][]any{{"Build", "Heat", "compile"}, {"one-fan", 81, 41}}, wrong: `grid.xlsx!B1: the column "Heat"`},
		{name: "an unknown column with a decimal comma", rows: [][]any{{"Build", "compile", "Heat"}, {"one-fan", 41, "81,5"}}, wrong: `the column "Heat" holds readings (C2: 81,5)`},
		{name: "an unknown column with an outcome", rows: [][]any{{"Build", "compile", "Heat"}, {"one-fan", 41, "hung"}}, wrong: `the column "Heat" holds readings (C2: hung)`},
		{name: "an unknown column over several", rows: [][]any{{"Build", "compile", "Heat", nil}, {"one-fan", 41, nil, 81}}, wrong: `grid.xlsx!C1: the column "Heat" holds readings (D2: 81)`},
		{name: "an unknown title in the second row", rows: [][]any{{nil, "compile", nil}, {"Build", "s", "Heat"}, {"one-fan", 41, 81}}, wrong: `grid.xlsx!C2: the column "Heat" holds readings (C3: 81)`},
		{name: "a mapping of another table", mapping: "timer", rows: [][]any{{"Build", "CC", "Heat"}, {"Build A", 41, 81}}, wrong: `the column "Heat"`},
		{name: "columns that hold no readings", rows: [][]any{
			{"Build", "Fans", "Run", "compile", "Mean", "Twice", "Remarks", "Heat", "Made by", nil, "rise"},
			{"one-fan", 1, 1, 41, 41, nil, "2 windows open", nil, "A. Tester", nil, 31},
		}, formulas: map[string]string{"F2": "2*D2"}, want: []string{"one-fan compile 41", "one-fan rise 31"}},
		{name: "mapped columns, and one left out", mapping: "across", rows: [][]any{
			{"Build", "CC (min)", "Heat", "Rise"}, {"Build A", 0.69, 81, 31},
		}, want: []string{"one-fan compile 0.69 min", "one-fan rise 31"}},
		{name: "a formula", rows: [][]any{{"", "compile"}, {"one-fan", nil}}, formulas: map[string]string{"B2": "60*0.7"}, wrong: "grid.xlsx!B2: the cell holds a formula"},
		{name: "unknown configuration", rows: [][]any{{"", "compile"}, {"one-fann", 41}}, wrong: `grid.xlsx!A2: there is no configuration "one-fann" → did you mean "one-fan"?`},
		{name: "unknown configuration with small values", rows: [][]any{{"", "compile", nil, "rise"}, {"Case C", 1, 3, 1}}, wrong: `there is no configuration "Case C"`},
		{name: "no configuration", rows: [][]any{{"", "compile"}, {"one-fan", 41}, {nil, 42}}, wrong: "grid.xlsx!B3: row 3 holds a reading but names no configuration"},
		{name: "no header", rows: [][]any{{"", "compiling"}, {"one-fan", 41}}, wrong: "names a workload"},
		{name: "empty", rows: nil, wrong: "names a workload"},
		{name: "nothing filled in", rows: [][]any{{"", "compile"}, {"one-fan"}}, wrong: "no reading was found"},
	} {
		t.Run(c.name, func(t *testing.T) {
			m := Mapping{}
			if c.mapping != "" {
				m = mapping(t, root, c.mapping)
			}
			data := sheet(t, c.rows, c.merged, c.formulas, c.format)
			got, bad := FromGrid(p, bytes.NewReader(data), "grid.xlsx", "", "", m)
			if c.wrong != "" {
				if !strings.Contains(messages(bad), c.wrong) {
					t.Errorf("got %q and %s", told(got), messages(bad))
				}
				return
			}
			if len(bad) > 0 || !slices.Equal(told(got), c.want) {
				t.Errorf("got %q %s, want %q", told(got), messages(bad), c.want)
			}
		})
	}
	var many []string
	for y := range mostMerged {
		many = append(many, fmt.Sprintf("A%d:B%d", y+1, y+1))
	}
	far := func(row int, column string) string {
		data := sheet(t, [][]any{{"", "compile"}, {"one-fan", 41}}, nil, nil, nil)
		f, err := excelize.OpenReader(bytes.NewReader(data))
		must(t, err)
		defer f.Close()
		must(t, f.SetCellValue("Sheet1", fmt.Sprintf("%s%d", column, row), 1))
		var b bytes.Buffer
		must(t, f.Write(&b))
		return b.String()
	}
	for _, c := range []struct{ data, sheet, want string }{
		{string(sheet(t, [][]any{{"", "compile"}}, many, nil, nil)), "", "more than 2000 merged ranges"},
		{far(200_000, "A"), "", "more than 10000 rows"},
		{far(3, "XFD"), "", "row 3 has more than 1000 columns"},
		{"no spreadsheet", "", "is not a spreadsheet"},
		{string(sheet(t, [][]any{{"", "compile"}}, nil, nil, nil)), "Runs", `there is no sheet "Runs"`},
	} {
		if _, bad := FromGrid(p, strings.NewReader(c.data), "grid.xlsx", c.sheet, "", Mapping{}); !strings.Contains(messages(bad), c.want) {
			t.Errorf("got %s, want %q", messages(bad), c.want)
		}
	}
}

// TestGridGoesThroughTheFolder: a cell that is no number is refused with its
// place when the readings are prepared.
func TestGridGoesThroughTheFolder(t *testing.T) {
	_, root := base(t, nil)
	p := loaded(t, root.FS())
	data := sheet(t, [][]any{{"", "compile"}, {"one-fan", 41.4, "fast"}}, nil, nil, nil)
	readings, bad := FromGrid(p, bytes.NewReader(data), "grid.xlsx", "", "evening", Mapping{})
	if len(bad) > 0 {
		t.Fatal(messages(bad))
	}
	if _, bad = Prepare(root.FS(), readings, Options{}); len(bad) != 1 || !strings.Contains(messages(bad), `grid.xlsx!C2: "fast" is not a number`) {
		t.Errorf("got %s", messages(bad))
	}
}

// TestNumbersAreAdvisedForTheirPlace: what to write instead is right where the
// value stands, be it a sheet, a table with a decimal comma or the command line.
func TestNumbersAreAdvisedForTheirPlace(t *testing.T) {
	_, root := base(t, map[string]string{"record.yaml": mappingFile})
	p := loaded(t, root.FS())
	inGrid := func(value string) ([]Reading, []schema.Finding) {
		data := sheet(t, [][]any{{"", "compile"}, {"one-fan", value}}, nil, nil, nil)
		return FromGrid(p, bytes.NewReader(data), "grid.xlsx", "", "evening", Mapping{})
	}
	inTable := func(value string) ([]Reading, []schema.Finding) {
		return FromTable(p, []byte("Build;Test;Result;How;N\nBuild A;CC;"+value+";;9\n"), "night.csv", mapping(t, root, "timer"))
	}
	for _, c := range []struct {
		read        func(string) ([]Reading, []schema.Finding)
		value, want string
	}{
		{inGrid, "41,5", `grid.xlsx!B2: "41,5" is not a number → the cell holds a text: enter it as a number, or write "41.5"` + "\n"},
		{inGrid, "n/a", "→ leave the cell empty, or write in it how the run ended (did-not-start, hung"},
		{inGrid, "1,234.5", `→ write "1234.5", without thousands separators`},
		{inTable, "285.1,6", `night.csv:2:12: "285.1,6" is not a number → write digits with "," as decimal mark, such as "14,7"`},
		{inGrid, "1.234,5", `→ write "1234.5", with "." before decimals and without thousands separators`},
		{inTable, "1,285.6", `→ write "1285,6", with "," before decimals and without thousands separators`},
		{inGrid, "12,101", "→ write 12101 if the comma stands between thousands, or 12.101 if it stands before decimals"},
		{inTable, "1.285,6", `→ write "1285,6", without thousands separators`},
	} {
		readings, bad := c.read(c.value)
		if len(bad) > 0 {
			t.Fatal(messages(bad))
		}
		if _, bad = Prepare(root.FS(), readings, Options{}); len(bad) != 1 || !strings.Contains(messages(bad), c.want) || strings.Contains(messages(bad), "report.yaml") {
			t.Errorf("%s: got %s, want %s", c.value, messages(bad), c.want)
		}
	}
}

// TestAPointBetweenDecimalCommasIsNoDecimalMark: in a table whose decimals are
// marked by a comma, 12.345 may be twelve thousand; it is refused, with a unit
// behind it or in a further column as well.
func TestAPointBetweenDecimalCommasIsNoDecimalMark(t *testing.T) {
	_, root := base(t, map[string]string{"record.yaml": mappingFile})
	p := loaded(t, root.FS())
	declared := Mapping{Dialect: &schema.Dialect{Separator: ';', Decimal: ',', Declared: true}}
	for _, c := range []struct {
		mapping    Mapping
		rows, want string
	}{
		{Mapping{}, "one-fan;compile;12.345;evening;\none-fan;compile;12,5;evening;\n",
			`night.csv:2:17: "12.345" is not a number → write 12345 if the point stands between thousands, or 12,345 if it stands before decimals` + "\n"},
		{declared, "one-fan;compile;41.3;evening;\n", `night.csv:2:17: "41.3" is not a number → write "41,3"` + "\n"},
		{Mapping{}, "one-fan;compile;12,5;evening;\none-fan;compile;12.345 s;evening;\n", `night.csv:3:17: "12.345 s" is not a number`},
		{Mapping{}, "one-fan;compile;12,5;evening;\none-fan;pages;60,5;evening;7.200\n", `night.csv:3:1: page-count "7.200" is not a number → write 7200 if the point`},
	} {
		readings, bad := FromTable(p, []byte("configuration;workload;value;session;page-count\n"+c.rows), "night.csv", c.mapping)
		if len(bad) == 0 {
			_, bad = Prepare(root.FS(), readings, Options{})
		}
		if len(bad) != 1 || !strings.Contains(messages(bad), c.want) {
			t.Errorf("%s: got %s, want %s", c.rows, messages(bad), c.want)
		}
	}
}

func TestNewSession(t *testing.T) {
	s := Session{ID: "third", Date: "2031-04-11", Start: "19:30", Who: "A. Tester", Values: [][2]string{{"room", "21.5 °C"}}, Note: `it's "open": no`}
	for _, c := range []struct{ name, before, added, wrong string }{
		{"none yet", "", "# yaml-language-server: $schema=.schema/sessions.schema.json\n\nsessions:\n  third:\n    date: 2031-04-11\n    start: \"19:30\"\n    who: A. Tester\n    values:\n      room: 21.5 °C\n    note: \"it's \\\"open\\\": no\"\n", ""},
		{"two spaces", "sessions:\n  evening:\n    date: 2031-04-09\n  later:\n    date: 2031-04-10\n", "  third:\n    date: 2031-04-11\n    start: \"19:30\"\n    who: A. Tester\n    values:\n      room: 21.5 °C\n    note: \"it's \\\"open\\\": no\"\n", ""},
		{"four spaces, CRLF, empty lines, no last end", "sessions:\r\n    evening: {date: 2031-04-09}\r\n\r\n    # the second\r\n    later:\r\n        date: 2031-04-10", "\r\n\r\n    third:\r\n        date: 2031-04-11\r\n        start: \"19:30\"\r\n        who: A. Tester\r\n        values:\r\n            room: 21.5 °C\r\n        note: \"it's \\\"open\\\": no\"\r\n", ""},
		{"a comment at the end", "sessions:\n  evening:\n    date: 2031-04-09\n  later:\n    date: 2031-04-10\n# the end\n", "  third:\n    date: 2031-04-11\n    start: \"19:30\"\n    who: A. Tester\n    values:\n      room: 21.5 °C\n    note: \"it's \\\"open\\\": no\"\n", ""},
		{"in braces", "sessions: {evening: {date: 2031-04-09}, later: {date: 2031-04-10}}\n", "", "in braces"},
		{"ended", "sessions:\n  evening:\n    date: 2031-04-09\n  later:\n    date: 2031-04-10\n...\n", "", "without touching"},
		{"there already", "sessions:\n  third:\n    date: 2031-04-09\n  evening:\n    date: 2031-04-09\n  later:\n    date: 2031-04-09\n", "", `sessions.yaml:2:3: there is a session "third" already`},
	} {
		t.Run(c.name, func(t *testing.T) {
			changes := map[string]string{"sessions.yaml": c.before}
			if c.before == "" {
				changes["results/evening.csv"], changes["results/later.csv"] = "", ""
			}
			dir, root := base(t, changes)
			a, bad := Prepare(root.FS(), []Reading{{Configuration: "one-fan", Workload: "compile", Session: "third", Value: "41.5"}}, Options{Session: &s})
			if c.wrong != "" {
				if !strings.Contains(messages(bad), c.wrong) {
					t.Errorf("got %s", messages(bad))
				}
				return
			}
			if len(bad) > 0 {
				t.Fatal(messages(bad))
			}
			must(t, a.Write(root))
			if got := text(t, dir, "sessions.yaml"); got != c.before+c.added {
				t.Errorf("got\n%q\nwant\n%q", got, c.before+c.added)
			}
			got := loaded(t, root.FS()).Session("third")
			if got == nil || got.Date != s.Date || got.Start != s.Start || got.Who != s.Who || got.Note != s.Note || len(got.Values) != 1 {
				t.Errorf("read as %+v", got)
			}
			if file := text(t, dir, "results/third.csv"); !strings.HasSuffix(file, "\nthird,1,one-fan,1,compile,41.5,s,ok,,\n") {
				t.Errorf("results/third.csv is %q", file)
			}
		})
	}
	for _, c := range []struct {
		s    Session
		want string
	}{
		{Session{ID: "Third", Date: "2031-04-11"}, `"Third" cannot be an id`},
		{Session{ID: "third", Date: "11.4.2031"}, "write it year first"},
		{Session{ID: "third", Date: "2031-02-30"}, "not a day of the calendar"},
		{Session{ID: "third", Date: "2031-04-11", Start: "7pm"}, "not a time of day"},
		{Session{ID: "third", Date: "2031-04-11", Who: "a\nb: c"}, "line break"},
		{Session{ID: "third", Date: "2031-04-11", Values: [][2]string{{"rooom", "21"}}}, `did you mean "room"?`},
		{Session{ID: "third", Date: "2031-04-11", Instruments: []string{"meter"}}, "meter"},
	} {
		_, root := base(t, nil)
		if a, bad := Prepare(root.FS(), nil, Options{Session: &c.s}); a != nil || !strings.Contains(messages(bad), c.want) {
			t.Errorf("%+v: got %s", c.s, messages(bad))
		}
	}
}

func TestProvenanceKeepsItsStyle(t *testing.T) {
	r := []Reading{{Configuration: "one-fan", Workload: "compile", Session: "evening", Value: "41.5"}}
	o := Options{Source: "night, one.csv", SourceSum: "aa", When: "2031-04-09T20:00:00Z"}
	old := "file;source;when;who;file-sha256;source-sha256;readings\r\nresults/x.csv;by hand;;me;;;3"
	dir, root := base(t, map[string]string{"provenance.csv": old})
	a := prepared(t, root, r, o)
	must(t, a.Write(root))
	want := old + "\r\nresults/evening.csv;night, one.csv;2031-04-09T20:00:00Z;;" + Sum([]byte(text(t, dir, "results/evening.csv"))) + ";aa;1\r\n"
	if got := text(t, dir, "provenance.csv"); got != want {
		t.Errorf("got\n%q\nwant\n%q", got, want)
	}
	_, root = base(t, map[string]string{"provenance.csv": "when,what\n"})
	if _, bad := Prepare(root.FS(), r, o); len(bad) != 5 {
		t.Errorf("got %s", messages(bad))
	}
}

func TestViewers(t *testing.T) {
	dir, root := base(t, nil)
	p := loaded(t, root.FS())
	template := string(ViewerTemplate(p))
	want := "viewer,machine,workload,value,unit,date,note\n,,compile,,s,,\n,,clip,,fps,,\n,,pages,,1/s,,\n,,rise,,K,,\n"
	if template != want {
		t.Errorf("the template is\n%s", template)
	}
	filled := "viewer;machine;workload;value;unit;date;note\r\nMarsh;Case of my own, one fan;compile;0,70;min;2031-05-01;windows open\r\n;;clip;48,5;fps;;\r\n;;rise;;K;;\r\n"
	a, bad := PrepareViewer(root.FS(), []byte(filled), "Marsh's run.csv", Options{Source: "Marsh's run.csv", When: "2031-05-02T08:00:00Z"})
	if len(bad) > 0 {
		t.Fatal(messages(bad))
	}
	before := text(t, dir, "results/evening.csv")
	must(t, a.Write(root))
	if got := text(t, dir, "viewers/marsh-s-run.csv"); got != "viewer,machine,workload,value,unit,date,note\nMarsh,\"Case of my own, one fan\",compile,0.70,min,2031-05-01,windows open\nMarsh,\"Case of my own, one fan\",clip,48.5,fps,2031-05-01,\n" {
		t.Errorf("kept as\n%s", got)
	}
	if text(t, dir, "results/evening.csv") != before || len(loaded(t, root.FS()).Readings) != len(p.Readings) {
		t.Error("the results changed")
	}
	readings, bad := Viewers(root.FS(), []string{"viewers/marsh-s-run.csv"}, p)
	var got []string
	for _, r := range readings {
		got = append(got, fmt.Sprintf("%s %s %.4g", r.Viewer, p.Workloads[r.Workload].ID, r.Value))
	}
	if want := []string{"Marsh compile 42", "Marsh clip 48.5"}; !slices.Equal(got, want) || len(bad) > 0 {
		t.Errorf("got %q %s", got, messages(bad))
	}
	if _, bad := PrepareViewer(root.FS(), []byte(filled), "marsh-s-run.csv", Options{}); !strings.Contains(messages(bad), "is there already") {
		t.Errorf("a second time: %s", messages(bad))
	}
	// The same readings under another name count once, however they are written;
	// another day, value, machine or viewer makes a reading of its own.
	const head = "viewer,machine,workload,value,unit,date,note\n"
	for _, c := range []struct{ rows, want string }{
		{filled, `already-recorded copy.csv: its 2 readings are in viewers/marsh-s-run.csv already → there is nothing to add`},
		{head + "marsh,Case of my own,clip,48.5,fps,2031-05-01,\nMarsh,\"Case of  my own, one fan\",compile,42.0,s,2031-05-01,shut\n",
			`already-recorded copy.csv:3:1: the reading 42.0 s for "compile" by "Marsh" on 2031-05-01 is here already → take the row out; if it was read another time, give the day of that`},
		{head + "Marsh,\"Case of my own, one fan\",compile,0.70,min,2031-05-02,\n", ""},
		{head + "Marsh,\"Case of my own, one fan\",compile,0.70,min,,\n", ""},
		{head + "Marsh,\"Case of my own, one fan\",compile,0.71,min,2031-05-01,\n", ""},
		{head + "Marsh,another case,compile,0.70,min,2031-05-01,\n", ""},
		{head + "Tarn,\"Case of my own, one fan\",compile,0.70,min,2031-05-01,\n", ""},
	} {
		a, bad := PrepareViewer(root.FS(), []byte(c.rows), "copy.csv", Options{})
		if (a == nil) != (c.want != "") || len(bad) > 1 || !strings.Contains(messages(bad), c.want) {
			t.Errorf("%s: got %s, want %s", c.rows, messages(bad), c.want)
		}
	}
	for _, c := range []struct{ row, want string }{
		{"Marsh,mine,compile,n/a,s,,", "→ leave the cell empty: a template has no outcomes"},
		{"Marsh,mine,compiel,41,s,,", `did you mean "compile"?`},
		{"Marsh,mine,energy,41,s,,", `there is no workload "energy"`},
		{"Marsh,mine,compile,41,K,,", "cannot be converted into s"},
		{"Marsh,mine,compile,fast,s,,", "is not a number"},
		{"Marsh,mine,compile,-3,s,,", "it is below 0\u00a0s, the least that it can be"},
		{"Marsh,mine,compile,0,s,,", `0 s is not possible for "compile": it is zero`},
		{"Marsh,mine,clip,-48.5,fps,,", `-48.5 fps is not possible for "clip": it is negative`},
		{"Marsh,mine,compile,0.05,min,,", "unexpected-value x.csv:2:1: expected 5 to 330\u00a0s for compile on any machine; 0.05\u00a0min, which is 3.00\u00a0s, lies outside → write it all the same with --even-so"},
		{"Marsh,mine,compile,48.5,min,,", "48.5\u00a0min, which is 2910\u00a0s, looks like a number in s → give it the unit s if it was read in that, or write it all the same"},
		{"Marsh,mine,clip,1e9,fps,,", "expected 6 to 400\u00a0fps for clip on any machine; 1e9 lies outside → write"},
		{",mine,compile,41,s,,", "has no viewer"},
		{"Marsh,,compile,41,s,,", "has no machine"},
		{"Marsh,mine,compile,41,s,1.5.2031,", "not a day of the calendar"},
		{"Marsh,=1+1,compile,41,s,,", "take the machine for a formula"},
		{"Marsh,＝1+1,compile,41,s,,", "take the machine for a formula"},
		{"Marsh,\"a\nb\",compile,41,s,,", "line break"},
		{"Marsh,mine,compile,,s,,", "no reading was found"},
		{"Marsh,mine,compile,41,s", "csv-columns"},
	} {
		_, root := base(t, nil)
		a, bad := PrepareViewer(root.FS(), []byte("viewer,machine,workload,value,unit,date,note\n"+c.row+"\n"), "x.csv", Options{})
		if a != nil || !strings.Contains(messages(bad), c.want) {
			t.Errorf("%s: got %s", c.row, messages(bad))
		}
	}
	if _, bad := PrepareViewer(root.FS(), []byte("viewer,workload,valeu\n"), "x.csv", Options{}); !strings.Contains(messages(bad), `did you mean "value"?`) {
		t.Errorf("got %s", messages(bad))
	}
}

// A viewer's odd reading is taken with a word, and so are others like it then;
// a slow machine is nothing odd.
func TestAViewersOddReadingIsTakenEvenSo(t *testing.T) {
	const head = "viewer,machine,workload,value,unit,date,note\n"
	_, root := base(t, nil)
	odd := []byte(head + "Marsh,mine,compile,3,s,,\n")
	if _, bad := PrepareViewer(root.FS(), odd, "marsh.csv", Options{}); len(bad) != 1 || bad[0].Rule != "unexpected-value" {
		t.Fatalf("got %s", messages(bad))
	}
	a, bad := PrepareViewer(root.FS(), odd, "marsh.csv", Options{EvenSo: true, When: "2031-05-02T08:00:00Z"})
	if len(bad) > 0 || len(a.Doubts) != 1 {
		t.Fatalf("got %v %s", a, messages(bad))
	}
	must(t, a.Write(root))
	for _, row := range []string{"Tarn,fast,compile,2.9,s,,\n", "Fell,slow,compile,300,s,,\n", "Fell,warm,rise,49,K,,\nFell,slow,clip,12,fps,,\n"} {
		if a, bad := PrepareViewer(root.FS(), []byte(head+row), "other.csv", Options{}); len(bad) > 0 || len(a.Doubts) > 0 {
			t.Errorf("%s: %s", row, messages(bad))
		}
	}
}

// What a viewer sent counts once, however many files it stands in: the loader
// finds a copy that was put into the folder by hand, and leaves it out.
func TestAViewersFileCopiedByHandIsFound(t *testing.T) {
	const head = "viewer,machine,workload,value,unit,date,note\n"
	const first = head + "Marsh,mine,compile,42,s,2031-05-01,\nMarsh,mine,clip,48.5,fps,2031-05-01,\nMarsh,mine,clip,48.5,fps,2031-05-01,\n"
	for _, c := range []struct {
		name, second string
		count        int
		want         []string
	}{
		{"marsh-copy.csv", first, 3, []string{"error duplicate-reading viewers/marsh-copy.csv: its 3 readings are in viewers/marsh.csv already → take one of the two files out of viewers; if they were read another time, give the day of that in the column date"}},
		{"a.csv", first, 3, []string{"error duplicate-reading viewers/marsh.csv: its 3 readings are in viewers/a.csv already → take one of the two files out"}},
		{"marsh-2.csv", head + "marsh,Mine,compile,0.7,min,2031-05-01,\nMarsh,mine,clip,48.6,fps,2031-05-01,\n", 4,
			[]string{`error duplicate-reading viewers/marsh-2.csv:2:1: the reading 0.7 min for "compile" by "marsh" on 2031-05-01 is here already → take the row out of one file, or put all rows of that viewer into one file`}},
		{"marsh-2.csv", head + "Marsh,mine,compile,42,s,2031-05-02,\nMarsh,mine,clip,48.5,fps,2031-05-02,\n", 5, nil},
		{"tarn.csv", head + "Tarn,mine,compile,42,s,2031-05-01,\n", 4, nil},
	} {
		_, root := base(t, map[string]string{"viewers/marsh.csv": first, "viewers/" + c.name: c.second})
		folder, _ := schema.Read(root.FS())
		readings, bad := Viewers(root.FS(), folder.Viewers, loaded(t, root.FS()))
		if len(readings) != c.count || len(bad) != len(c.want) {
			t.Errorf("%s: %d readings, %s", c.name, len(readings), messages(bad))
			continue
		}
		for i, want := range c.want {
			if got := bad[i].Severity.String() + " " + messages(bad[i:i+1]); !strings.HasPrefix(got, want) {
				t.Errorf("%s: got %s, want %s", c.name, got, want)
			}
		}
		for i := 1; i < len(readings); i++ {
			if readings[i].Place.File < readings[i-1].Place.File {
				t.Errorf("%s: the readings do not stand in the order of the files", c.name)
			}
		}
	}
}

// excelizeBook makes a spreadsheet of texts; nil when the library refuses them.
func excelizeBook(t *testing.T, rows [][]string, merged, formula string) []byte {
	f := excelize.NewFile()
	defer f.Close()
	for y, row := range rows {
		for x, v := range row {
			cell, err := excelize.CoordinatesToCellName(x+1, y+1)
			must(t, err)
			if f.SetCellValue("Sheet1", cell, v) != nil {
				return nil
			}
		}
	}
	if from, to, ok := strings.Cut(merged, ":"); ok && f.MergeCell("Sheet1", from, to) != nil {
		return nil
	}
	if formula != "" && f.SetCellFormula("Sheet1", "C3", formula) != nil {
		return nil
	}
	var b bytes.Buffer
	if f.Write(&b) != nil {
		return nil
	}
	return b.Bytes()
}
