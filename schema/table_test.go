package schema

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
)

func tableOf(t testing.TB, text string, declared *Dialect) (*Table, [][]string, []Finding) {
	t.Helper()
	tab, fs := OpenTable(fstest.MapFS{"results/a.csv": {Data: []byte(text)}}, "results/a.csv", declared)
	if tab == nil {
		return nil, nil, fs
	}
	var rows [][]string
	for {
		row, ok := tab.Next()
		if !ok {
			break
		}
		var cells []string
		for _, c := range row.Cells {
			cells = append(cells, c.Text)
		}
		rows = append(rows, cells)
	}
	return tab, rows, append(fs, tab.Findings()...)
}

func brief(fs []Finding) []string {
	var out []string
	for _, f := range fs {
		out = append(out, fmt.Sprintf("%d:%d %s %s", f.Line, f.Column, f.Severity, f.Rule))
	}
	return out
}

func TestTablesAreReadAsRFC4180Says(t *testing.T) {
	header := "configuration,workload,value,note\n"
	for name, c := range map[string]struct {
		text string
		want [][]string
	}{
		"plain":                     {header + "a,b,1,x\n", [][]string{{"a", "b", "1", "x"}}},
		"no line break at the end":  {header + "a,b,1,x", [][]string{{"a", "b", "1", "x"}}},
		"CRLF":                      {"configuration,workload,value,note\r\na,b,1,x\r\n", [][]string{{"a", "b", "1", "x"}}},
		"CR alone":                  {"configuration,workload,value,note\ra,b,1,x\r", [][]string{{"a", "b", "1", "x"}}},
		"quotes":                    {header + `a,b,1,"x, ""y"""` + "\n", [][]string{{"a", "b", "1", `x, "y"`}}},
		"line break in quotes":      {header + "a,b,1,\"x\r\ny\"\nc,d,2,z\n", [][]string{{"a", "b", "1", "x\ny"}, {"c", "d", "2", "z"}}},
		"empty last cell":           {header + "a,b,1,\n", [][]string{{"a", "b", "1", ""}}},
		"empty lines and rows":      {header + "\n,,,\na,b,1,x\n\n\n", [][]string{{"a", "b", "1", "x"}}},
		"spaces around cells":       {header + " a ,\tb , 1, \"x\" \n", [][]string{{"a", "b", "1", "x"}}},
		"empty lines first":         {"\n\r\n" + header + "a,b,1,x\n", [][]string{{"a", "b", "1", "x"}}},
		"header alone":              {header, nil},
		"beyond ASCII":              {header + "a,b,1,°C\n", [][]string{{"a", "b", "1", "°C"}}},
		"quoted and beyond ASCII":   {header + "a,b,1,\"21 °C\"\n", [][]string{{"a", "b", "1", "21 °C"}}},
		"an empty quoted cell ends": {header + `a,b,1,""`, [][]string{{"a", "b", "1", ""}}},
	} {
		t.Run(name, func(t *testing.T) {
			_, rows, fs := tableOf(t, c.text, nil)
			if len(fs) > 0 {
				t.Errorf("findings %v", fs)
			}
			if fmt.Sprint(rows) != fmt.Sprint(c.want) || len(rows) != len(c.want) {
				t.Errorf("got %q, want %q", rows, c.want)
			}
		})
	}
}

func TestCellsKnowTheirPlace(t *testing.T) {
	text := "configuration,workload,value\nä, \"b\n\u00e9\",3\n\"x\"\"y\",°,z\nüü,\t°C ,q\n"
	tab, _ := OpenTable(fstest.MapFS{"a.csv": {Data: []byte(text)}}, "a.csv", nil)
	var got []string
	for {
		row, ok := tab.Next()
		if !ok {
			break
		}
		for _, c := range row.Cells {
			got = append(got, fmt.Sprintf("%d:%d %q %v", c.Line, c.Column, c.Text, c.Quoted))
		}
	}
	want := []string{`2:1 "ä" false`, `2:4 "b\né" true`, `3:4 "3" false`, `4:1 "x\"y" true`, `4:8 "°" false`, `4:10 "z" false`,
		`5:1 "üü" false`, `5:5 "°C" false`, `5:9 "q" false`}
	if !slices.Equal(got, want) {
		t.Errorf("got  %v\nwant %v", got, want)
	}
}

// A table cut at every size of the buffer must come out the same: records that
// lie across the edge are the tokenizer's hard part.
func TestRecordsAcrossTheBuffer(t *testing.T) {
	for pad := chunk - 40; pad < chunk+8; pad++ {
		for _, ending := range []string{"\n", "\r\n", "\r"} {
			text := "configuration,workload,note" + ending + "a,b," + strings.Repeat("x", pad-32) + ending +
				`c,"d ""e""",ü` + ending + "f,g,h" + ending
			_, rows, fs := tableOf(t, text, nil)
			if got := linesOf(text); !slices.Equal(got, []int{2, 3, 4}) {
				t.Fatalf("padding %d, ending %q: lines %v", pad, ending, got)
			}
			if len(fs) > 0 || len(rows) != 3 || rows[1][1] != `d "e"` || rows[1][2] != "ü" || rows[2][2] != "h" {
				t.Fatalf("padding %d, ending %q: %d rows, findings %v", pad, ending, len(rows), fs)
			}
		}
	}
}

func linesOf(text string) (lines []int) {
	tab, _ := OpenTable(fstest.MapFS{"a.csv": {Data: []byte(text)}}, "a.csv", nil)
	for row, ok := tab.Next(); ok; row, ok = tab.Next() {
		lines = append(lines, row.Line)
	}
	return lines
}

func TestLongLinesArePassedOver(t *testing.T) {
	for _, ending := range []string{"\n", "\r\n", "\r"} {
		text := "configuration,workload,value" + ending + "a,b,1" + ending + strings.Repeat("x", 20*LongestLine) + ending + "a,b,2" + ending +
			"\"" + strings.Repeat("y", 2*LongestLine) + "\"" + ending + "a,b,3" + ending
		tab, rows, fs := tableOf(t, text, nil)
		if len(rows) != 3 || !slices.Equal(linesOf(text), []int{2, 4, 6}) {
			t.Errorf("ending %q: rows %v on lines %v", ending, rows, linesOf(text))
		}
		if got := brief(fs); !slices.Equal(got, []string{"3:1 error too-large", "5:1 error csv-quote"}) {
			t.Errorf("ending %q: findings %v", ending, got)
		}
		if len(tab.buffer) > 4*LongestLine {
			t.Errorf("ending %q: the buffer grew to %d bytes", ending, len(tab.buffer))
		}
	}
}

// What encoding/csv reads without complaint, this reads as the same cells.
func TestTablesAgreeWithTheStandardLibrary(t *testing.T) {
	random := rand.New(rand.NewPCG(4180, 2005))
	alphabet := []string{"a", "bc", "ü", "°C", `""`, ",", "\n", "1.5", "", "x y"}
	for range 3000 {
		var b strings.Builder
		b.WriteString("configuration,workload,value\n")
		for range 1 + random.IntN(4) {
			for i := range 3 {
				if i > 0 {
					b.WriteByte(',')
				}
				if random.IntN(2) == 0 {
					b.WriteByte('"')
					for range random.IntN(4) {
						b.WriteString(alphabet[random.IntN(len(alphabet))])
					}
					b.WriteByte('"')
				} else {
					b.WriteString([]string{"a", "ü1", "2.5", "z z"}[random.IntN(4)])
				}
			}
			b.WriteString([]string{"\n", "\r\n"}[random.IntN(2)])
		}
		r := csv.NewReader(strings.NewReader(b.String()))
		r.FieldsPerRecord = 3
		want, err := r.ReadAll()
		if err != nil {
			t.Fatalf("the generator made a table that is not one: %v\n%s", err, b.String())
		}
		_, rows, fs := tableOf(t, b.String(), &Dialect{Separator: ',', Decimal: '.'})
		want = slices.DeleteFunc(want[1:], func(row []string) bool { return strings.Join(row, "") == "" })
		if len(fs) > 0 || fmt.Sprint(rows) != fmt.Sprint(want) {
			t.Fatalf("%q\ngot  %q %v\nwant %q", b.String(), rows, fs, want)
		}
	}
}

func TestDialects(t *testing.T) {
	semicolon := &Dialect{Separator: ';', Decimal: ','}
	for name, c := range map[string]struct {
		text     string
		declared *Dialect
		want     Dialect
		findings []string
	}{
		"comma and point":              {"configuration,workload,value\na,b,1.5\n", nil, Dialect{',', '.', false}, nil},
		"semicolon and comma":          {"configuration;workload;value\na;b;1,5\n", nil, Dialect{';', ',', false}, []string{"1:1 notice csv-detected"}},
		"semicolon and point":          {"configuration;workload;value\na;b;1.5\n", nil, Dialect{';', '.', false}, []string{"1:1 notice csv-detected"}},
		"tab and point":                {"configuration\tworkload\tvalue\na\tb\t1.234\n", nil, Dialect{'\t', '.', false}, []string{"1:1 notice csv-detected"}},
		"semicolon, no decimals":       {"configuration;workload;value\na;b;15\n", nil, Dialect{';', '.', false}, []string{"1:1 notice csv-detected"}},
		"declared":                     {"configuration;workload;value\na;b;1,234\n", semicolon, Dialect{';', ',', true}, nil},
		"a leading zero settles it":    {"configuration;workload;value\na;b;1,234\na;b;0,234\n", nil, Dialect{';', ',', false}, []string{"1:1 notice csv-detected"}},
		"quoted decimal commas":        {"configuration,workload,value\na,b,\"14,7\"\n", nil, Dialect{',', ',', false}, []string{"1:1 notice csv-detected"}},
		"words with points in a note":  {"configuration;value;note\na;1,5;2.4\n", nil, Dialect{';', ',', false}, []string{"1:1 notice csv-detected"}},
		"two separators, one of sense": {"configuration;a [x,y];value\na;b;1,5\n", nil, Dialect{';', ',', false}, []string{"1:1 notice csv-detected"}},
	} {
		t.Run(name, func(t *testing.T) {
			tab, _, fs := tableOf(t, c.text, c.declared)
			if tab == nil {
				t.Fatalf("no table: %v", fs)
			}
			if tab.Dialect != c.want || !slices.Equal(brief(fs), c.findings) {
				t.Errorf("got %v %v, want %v %v", tab.Dialect, brief(fs), c.want, c.findings)
			}
		})
	}
	for name, c := range map[string]struct {
		text     string
		declared *Dialect
		finding  string
	}{
		"three digits after a comma":         {"configuration;workload;value\na;b;1,234\n", nil, "2:5 error csv-ambiguous"},
		"three digits after a point":         {"configuration;workload;value\na;b;1.234\n", nil, "2:5 error csv-ambiguous"},
		"both marks":                         {"configuration;workload;value\na;b;1,2\na;b;1.2\n", nil, "2:5 error csv-ambiguous"},
		"two separators that make no sense":  {"a;b,c\n1;2,3\n", nil, "1:1 error csv-ambiguous"},
		"declared and not what is there":     {"configuration,workload,value\na,b,1\n", semicolon, "1:1 error csv-columns"},
		"quoted three digits after a comma":  {"configuration,value\na,\"1,234\"\n", nil, "2:4 error csv-ambiguous"},
		"an empty file":                      {"\n\n", nil, "0:0 error empty-file"},
		"a file of nothing":                  {"", nil, "0:0 error empty-file"},
		"a file of many line breaks":         {strings.Repeat("\n", 3*chunk), nil, "0:0 error empty-file"},
		"UTF-16 without a byte-order mark":   {"c\x00o\x00n\x00f\x00i\x00g\x00,\x00v\x00", nil, "0:0 error not-utf8"},
		"a header with an unclosed quote":    {"\"configuration,value\na,1\n", nil, "1:1 error csv-quote"},
		"a header that is longer than a MiB": {strings.Repeat("a,", 1<<20), nil, "1:1 error too-large"},
	} {
		t.Run(name, func(t *testing.T) {
			tab, _, fs := tableOf(t, c.text, c.declared)
			if tab != nil || !slices.Equal(brief(fs), []string{c.finding}) {
				t.Errorf("got table %v, findings %v, want %s alone", tab != nil, fs, c.finding)
			}
		})
	}
}

func TestBrokenRowsDoNotHideTheOthers(t *testing.T) {
	text := "configuration,workload,value\n" +
		"a,b,1\n" + // 2
		"a,b\n" + // 3: short
		"a,b,14,7\n" + // 4: a decimal comma
		"a,b\"c,1\n" + // 5: a bare quote
		"a,\"b\"c,1\n" + // 6: text after a quote
		"a,\xb5,1\n" + // 7: not UTF-8
		"a,\x00,1\n" + // 8: NUL
		"a,\"open,1\n" + // 9: never closed
		"a,b,2\n" + // 10
		"a,\"also open,1\n" + // 11
		"a,\"b\",3\n" + // 12
		"a," + strings.Repeat("x", LongestLine) + ",1\n" + // 13: too long
		"a,b,4\n"
	_, rows, fs := tableOf(t, text, nil)
	var values []string
	for _, r := range rows {
		values = append(values, r[2])
	}
	if want := []string{"1", "2", "3", "4"}; !slices.Equal(values, want) {
		t.Errorf("values %v, want %v", values, want)
	}
	want := []string{"3:3 error csv-columns", "4:5 error csv-columns", "5:4 error csv-quote", "6:6 error csv-quote", "7:3 error not-utf8",
		"8:3 error nul-byte", "9:3 error csv-quote", "11:3 error csv-quote", "13:1 error too-large"}
	if got := brief(fs); !slices.Equal(got, want) {
		t.Errorf("got  %v\nwant %v", got, want)
	}
}

func TestManyFindingsAlikeAreCounted(t *testing.T) {
	text := "configuration,workload,value\n" + strings.Repeat("a,b\n", 1000)
	_, _, fs := tableOf(t, text, nil)
	if len(fs) != mostAlike || !strings.HasSuffix(fs[mostAlike-1].Message, "(and 990 more like this)") {
		t.Errorf("%d findings, the last: %v", len(fs), fs[len(fs)-1])
	}
}

func TestAnUnclosedQuoteCostsLittleMemory(t *testing.T) {
	text := "configuration,workload,value\na,\"b,1\n" + strings.Repeat("c,d,2\n", 400000)
	tab, rows, fs := tableOf(t, text, nil)
	if len(rows) != 400000 || !slices.Equal(brief(fs), []string{"2:3 error csv-quote"}) {
		t.Errorf("%d rows, findings %v", len(rows), fs)
	}
	if len(tab.buffer) > 4*LongestLine {
		t.Errorf("the buffer grew to %d bytes", len(tab.buffer))
	}
}

func bigTable(rows int) []byte {
	var b bytes.Buffer
	b.WriteString("configuration,workload,session,repeat,order,value,unit,note\n")
	for i := range rows {
		fmt.Fprintf(&b, "configuration-%02d,workload-%d,session-%d,%d,%d,%d.%02d,fps,\n", i%12, i%7, i%3, i%5, i, 40+i%60, i%100)
	}
	return b.Bytes()
}

func BenchmarkTable(b *testing.B) {
	text := bigTable(1000000)
	fsys := fstest.MapFS{"a.csv": {Data: text}}
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		t, _ := OpenTable(fsys, "a.csv", nil)
		n := 0
		for {
			row, ok := t.Next()
			if !ok {
				break
			}
			n += len(row.Cells)
		}
		if n != 8000000 {
			b.Fatal(n)
		}
	}
}

func BenchmarkStandardLibrary(b *testing.B) {
	text := bigTable(1000000)
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		r := csv.NewReader(bytes.NewReader(text))
		r.ReuseRecord = true
		n := 0
		for {
			row, err := r.Read()
			if errors.Is(err, io.EOF) {
				break
			}
			n += len(row)
		}
		if n != 8000008 {
			b.Fatal(n)
		}
	}
}
