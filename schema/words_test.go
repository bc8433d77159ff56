package schema

import (
	"math"
	"strings"
	"testing"
	"testing/fstest"
	"unicode/utf8"
)

func TestNearest(t *testing.T) {
	keys := []string{"title", "subtitle", "licence", "language", "base-address", "minimum-repeats", "tolerance", "role", "of", "unit", "workloads", "id", "ask"}
	for word, want := range map[string]string{
		"titel": "title", "Title": "title", "license": "licence", "base_address": "base-address", "BaseAddress": "base-address", "base address": "base-address",
		"tolerence": "tolerance", "toleranc": "tolerance", "workload": "workloads", "minimum-repeat": "minimum-repeats", "minimum": "minimum-repeats",
		"lang": "language", "rol": "role", "units": "unit", "fo": "of", "idd": "id",
		"wheels": "", "x": "", "": "", "colour": "", "abcdefgh": "", strings.Repeat("title", 50): "",
	} {
		if got := Nearest(word, keys); got != want {
			t.Errorf("%q is nearest to %q, want %q", word, got, want)
		}
	}
	if got := Nearest("abd", []string{"abz", "abc"}); got != "abc" {
		t.Errorf("of two that are as near, %q was chosen", got)
	}
	if got := Nearest("mem", []string{"memory-clock", "memory-channels"}); got != "" {
		t.Errorf("a beginning of two gave %q", got)
	}
	if Nearest("a", nil) != "" {
		t.Error("no candidates, and yet a word")
	}
}

func TestParseNumber(t *testing.T) {
	point, comma := Dialect{Separator: ',', Decimal: '.'}, Dialect{Separator: ';', Decimal: ','}
	for _, c := range []struct {
		text string
		d    Dialect
		want float64
	}{
		{"14.7", point, 14.7}, {"14,7", comma, 14.7}, {" 3 ", point, 3}, {"-3", point, -3}, {"\u22123,5", comma, -3.5}, {"+3", point, 3},
		{"1e3", point, 1000}, {"1.5E-3", point, 0.0015}, {".5", point, 0.5}, {"5.", point, 5}, {"007", point, 7}, {"\u00a05\u00a0", point, 5},
		{"1,234", comma, 1.234}, {"2.5", Dialect{}, 2.5}, {"1e-400", point, 0},
	} {
		got, remedy, ok := ParseNumber(c.text, c.d)
		if !ok || got != c.want || math.IsNaN(got) {
			t.Errorf("%q gives %v, %v (%s), want %v", c.text, got, ok, remedy, c.want)
		}
	}
	for _, c := range []struct {
		text   string
		d      Dialect
		remedy string // part of it
	}{
		{"14,7", point, `write "14.7"`}, {"14.7", comma, `write "14,7"`}, {"1,234.5", point, `write "1234.5", without thousands`},
		{"1.234,5", comma, `write "1234,5", without thousands`}, {"1 234", point, `write "1234", without thousands`}, {"12'345.6", point, `write "12345.6"`},
		{"inf", point, "leave the cell empty"}, {"-Inf", point, "leave the cell empty"}, {"NaN", point, "leave the cell empty"}, {"n/a", point, "leave the cell empty"},
		{"-", point, "leave the cell empty"}, {"#DIV/0!", point, "leave the cell empty"}, {"0x1F", point, `in decimal: "31"`}, {"15 W", point, `"15" here and the unit "W"`},
		{"12 %", point, `give the unit "%"`}, {"1e999", point, "at most"}, {"", point, "write a number"}, {"abc", point, `such as "14.7"`}, {"abc", comma, `such as "14,7"`},
		{"1_000", point, `write "1000"`}, {"1.2.3", point, "decimal mark"}, {"0x1p4", point, "decimal mark"}, {"--5", point, "decimal mark"},
		{"٣", point, "decimal mark"},
	} {
		v, remedy, ok := ParseNumber(c.text, c.d)
		if ok || !strings.Contains(remedy, c.remedy) {
			t.Errorf("%q: %v, %v, %q, want a remedy with %q", c.text, v, ok, remedy, c.remedy)
		}
		// Elsewhere than in a result file, report.yaml declares nothing.
		if elsewhere := NumberRemedy(c.text, c.d); strings.Contains(elsewhere, "report.yaml") || !strings.HasPrefix(remedy, "write a number of at most") && !strings.HasPrefix(remedy, elsewhere) {
			t.Errorf("%q elsewhere: %q", c.text, elsewhere)
		}
	}
}

func TestExcerpts(t *testing.T) {
	long := strings.Repeat("abcdefghi ", 30)
	wide := "温度 温度 x: 21"
	text := "short\n\tkey: value\n" + long + "\n" + wide + "\r\nlast"
	f := &Folder{FS: fstest.MapFS{"a.csv": {Data: []byte("\xef\xbb\xbf" + text)}}}
	one := func(line, column, width int) Finding {
		return f.Excerpts([]Finding{{Place: Place{File: "a.csv", Line: line, Column: column}, Width: width}})[0]
	}
	for _, c := range []struct {
		line, column, width int
		excerpt, marker     string
	}{
		{1, 1, 5, "short", "^^^^^"},
		{2, 2, 3, " key: value", " ^^^"},
		{4, 7, 1, wide, strings.Repeat(" ", 10) + "^"},
		{4, 1, 2, wide, "^^^^"},
		{5, 5, 1, "last", "    ^"},
		{1, 4, 99, "short", "   ^^"},
	} {
		got := one(c.line, c.column, c.width)
		if got.Excerpt != c.excerpt || got.Marker() != c.marker {
			t.Errorf("%d:%d gives\n%q\n%q, want\n%q\n%q", c.line, c.column, got.Excerpt, got.Marker(), c.excerpt, c.marker)
		}
	}
	for _, column := range []int{1, 40, 41, 150, 299, 300} {
		got := one(3, column, 1)
		shown := []rune(got.Excerpt)
		if n := utf8.RuneCountInString(got.Excerpt); n > excerptWidth+2 {
			t.Errorf("an excerpt of %d characters", n)
		}
		if want := []rune(long)[column-1]; shown[got.ExcerptColumn-1] != want {
			t.Errorf("column %d: the mark is at %q, want %q", column, shown[got.ExcerptColumn-1], want)
		}
	}
	if got := one(9, 1, 1); got.Excerpt != "" {
		t.Errorf("a line that is not there gives %q", got.Excerpt)
	}
	if got := (Finding{}).Marker(); got != "" {
		t.Errorf("a finding without an excerpt has the marker %q", got)
	}
}
