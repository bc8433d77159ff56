package schema

import (
	"bytes"
	"math"
	"strings"
	"testing"
	"testing/fstest"
	"unicode/utf8"
)

// inside fails the test when a finding's place lies outside its file, or when
// the excerpt does not fit the place.
func inside(t *testing.T, f *Folder, fs []Finding, texts map[string][]byte) {
	t.Helper()
	for _, one := range f.Excerpts(fs) {
		if one.Message == "" || one.Rule == "" {
			t.Errorf("a finding without rule or message: %+v", one)
		}
		if !utf8.ValidString(one.Excerpt) {
			t.Errorf("an excerpt that is not UTF-8: %q", one.Excerpt)
		}
		places := []Place{one.Place}
		for _, r := range one.Related {
			places = append(places, r.Place)
		}
		for _, p := range places {
			text, ok := texts[p.File]
			if !ok || p.Line == 0 {
				continue
			}
			text = bytes.TrimPrefix(text, byteOrderMark)
			start, line := 0, 1
			for ; line < p.Line; line++ {
				end, next := lineEnd(text, start)
				if end == next {
					t.Fatalf("%s lies outside the file of %d lines: %+v", p, line, one)
				}
				start = next
			}
			end, _ := lineEnd(text, start)
			if p.Column < 1 || p.Column > utf8.RuneCount(text[start:end])+1 {
				t.Fatalf("%s lies outside its line of %d characters: %+v", p, utf8.RuneCount(text[start:end]), one)
			}
		}
		if one.Column > 0 && one.Excerpt != "" && (one.ExcerptColumn < 1 || one.ExcerptColumn > utf8.RuneCountInString(one.Excerpt)+1) {
			t.Errorf("the mark lies outside the excerpt: %+v", one)
		}
		one.Marker()
	}
}

func FuzzYAML(f *testing.F) {
	for _, s := range []string{
		"title: A\n", "bench: {label: x}\nfactors:\n  a: {label: a, levels: [1, {value: 2}]}\n", "a: &a [*a]\n", "a: &a [1]\nb: [*a, *a]\n",
		"\ta: 1\n", "a: 'x\n", "a: \"\\q\"\n", "- a\n- b\n", "a: 1\na: 2\n", "? [a]\n: b\n", "<<: {a: 1}\n", "a: |\n  x\n  y\n", "a: !t b\n",
		"---\na: 1\n---\nb: 2\n", "\xef\xbb\xbftitle: x\r\nauthor: y\r\n", "title: \u0085 x\n\u2028author: 5\n", "questions:\n  - {id: A, from: 1}\n",
		"a: {{{{", "title: [unclosed\nauthor: x\n", "*a : b\n", "&a a: *a\n", "tolerence: 2 %\n", "%YAML 1.2\n---\na: b\n", "a:\n  - b\n c: d\n", "\x00", "title: \x07\n",
		"a: 1e999\n", "confidence: 95\nminimum-repeats: 1.5\n", "a: b: c\n", "# only a comment\n", "...\n", "a: >-\n\n  x\n",
	} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		files := map[string][]byte{"report.yaml": text, "bench.yaml": text}
		fsys := fstest.MapFS{}
		for name, b := range files {
			fsys[name] = &fstest.MapFile{Data: b}
		}
		folder, fs := Read(fsys)
		inside(t, folder, fs, files)
		again, fs2 := Read(fsys)
		if len(fs) != len(fs2) {
			t.Fatalf("%d findings, then %d", len(fs), len(fs2))
		}
		for i := range fs {
			if fs[i].Place != fs2[i].Place || fs[i].Message != fs2[i].Message || fs[i].Remedy != fs2[i].Remedy {
				t.Fatalf("two readings differ: %+v and %+v", fs[i], fs2[i])
			}
		}
		_ = again
	})
}

func FuzzTable(f *testing.F) {
	for _, s := range []string{
		"configuration,workload,value\na,b,1\n", "configuration;workload;value\na;b;1,5\n", "\xef\xbb\xbfa\tb\r\n1\t2\r\n", "a,b\n\"x\"\"y\",\"z\nw\"\n",
		"a,b\n\"open\n1,2\n", "a,b\n1,2,3\n", "a\r1\r2", "\"a", "a,b\nx\"y,1\n", "a,b\n\"x\"y,1\n", "é,ü\n\"é\nü\" x,1\n", "a,b\n\x00,1\n", "a,a,\n1,2,3\n",
	} {
		f.Add([]byte(s), byte(0))
		f.Add([]byte(s), byte(';'))
	}
	f.Fuzz(func(t *testing.T, text []byte, separator byte) {
		var declared *Dialect
		switch separator {
		case ',', ';', '\t':
			declared = &Dialect{Separator: separator, Decimal: ','}
		}
		fsys := fstest.MapFS{"a.csv": {Data: text}}
		table, fs := OpenTable(fsys, "a.csv", declared)
		folder := &Folder{FS: fsys}
		files := map[string][]byte{"a.csv": text}
		if table == nil {
			if len(fs) == 0 {
				t.Fatal("no table, and nothing said about it")
			}
			inside(t, folder, fs, files)
			return
		}
		last := 0
		for {
			row, ok := table.Next()
			if !ok {
				break
			}
			if len(row.Cells) != len(table.Header) {
				t.Fatalf("a row of %d cells under a header of %d", len(row.Cells), len(table.Header))
			}
			if row.Line <= last {
				t.Fatalf("line %d after line %d", row.Line, last)
			}
			last = row.Line
			var places []Finding
			for _, c := range row.Cells {
				if !utf8.ValidString(c.Text) {
					t.Fatalf("a cell that is not UTF-8: %q", c.Text)
				}
				places = append(places, Finding{Rule: "cell", Message: c.Text + ".", Place: Place{File: "a.csv", Line: c.Line, Column: c.Column}})
			}
			inside(t, folder, places, files)
		}
		inside(t, folder, append(fs, table.Findings()...), files)
	})
}

func FuzzParseNumber(f *testing.F) {
	for _, s := range []string{"14.7", "14,7", "-3", "\u22123,5", "1e5", "0x1F", "1,234.5", "inf", "NaN", "15 W", "", ".", "1 234", "1e999", "n/a", "+.5", "5.", "1_000"} {
		f.Add(s, true)
		f.Add(s, false)
	}
	f.Fuzz(func(t *testing.T, text string, comma bool) {
		d := Dialect{Separator: ',', Decimal: '.'}
		if comma {
			d = Dialect{Separator: ';', Decimal: ','}
		}
		v, remedy, ok := ParseNumber(text, d)
		switch {
		case ok && (math.IsInf(v, 0) || math.IsNaN(v)):
			t.Errorf("%q gives %v", text, v)
		case ok && remedy != "":
			t.Errorf("%q is a number and has a remedy: %s", text, remedy)
		case !ok && remedy == "":
			t.Errorf("%q is no number and has no remedy", text)
		}
		if ok && strings.ContainsAny(text, "xXnNpP_") {
			t.Errorf("%q was read as %v", text, v)
		}
	})
}
