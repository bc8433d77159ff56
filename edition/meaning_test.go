package edition

import (
	"bytes"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	sampleproject "benchwright/sample-project"
)

// byAnotherVersion is the sample as a version before this one could have
// published it: pages, words and the last digits of figures are others, and a
// table and a record lack a column and a key.
func byAnotherVersion(t *testing.T) fstest.MapFS {
	t.Helper()
	m := asFS(publish(t, sampleproject.Files(), PublishOptions{Version: "1.2.3"}).Files)
	edit := func(name string, change func(text string) string) {
		t.Helper()
		text := string(m[name].Data)
		if changed := change(text); changed != text {
			m[name] = &fstest.MapFile{Data: []byte(changed)}
			return
		}
		t.Fatalf("nothing changed in %s", name)
	}
	edit("index.html", func(text string) string { return strings.ReplaceAll(text, "<small>", "<small class=\"x\">") })
	edit("data/figures.csv", func(text string) string { // without the last column
		return regexp.MustCompile(`(?m),("[^"]*"|[^",\r\n]*)(\r?)$`).ReplaceAllString(text, "$2")
	})
	edit("data/figures.csv", func(text string) string { return strings.ReplaceAll(text, "log ratio", "logarithm") })
	edit("data/report.json", func(text string) string { return strings.ReplaceAll(text, `, "lookAlike": false`, "") })
	edit("data/report.json", func(text string) string { // the 15th digit
		return regexp.MustCompile(`("low": \d\.\d{12})\d+`).ReplaceAllString(text, "${1}5")
	})
	edit("data/answers.json", func(text string) string { return strings.ReplaceAll(text, "is worth", "is good for") })
	delete(m, "data/CITATION.cff")
	delete(m, "data/findings.json")
	forge(m)
	return m
}

func TestTheDataOfAnotherVersionAreCompared(t *testing.T) {
	m := byAnotherVersion(t)
	v, err := Verify(m, "2.0.0")
	if err != nil {
		t.Fatal(err)
	}
	if !v.OK() || !v.OtherVersion || v.Recomputed < 10 {
		t.Errorf("%+v", v.Differences)
	}
	if v, err = Verify(m, "1.2.3"); err != nil || v.OK() || v.OtherVersion {
		t.Errorf("the same version lets the other bytes pass: %v", err)
	}
	if v, err = VerifyAgainst(m, sampleproject.Files(), "2.0.0"); err != nil || !v.OK() {
		t.Errorf("against its own folder: %v %+v", err, v)
	}
}

// Figures, identifiers, verdicts, rows and inputs that were changed are found.
func TestChangedDataOfAnotherVersionAreFound(t *testing.T) {
	whole := byAnotherVersion(t)
	for _, c := range []struct{ file, old, new, field string }{
		{"data/figures.csv", ",236.2", ",226.2", "centre"},
		{"data/figures.csv", ",better,", ",worse,", "relative_verdict"},
		{"data/figures.csv", "\none-25-thick,", "\none-15-thick,", "configuration"},
		{"data/readings.csv", ",235.1,", ",225.1,", "value"},
		{"data/report.json", `"lookAlike": true`, `"lookAlike": false`, "/lookAlike"},
		{"data/answers.json", `"ratio": 1.`, `"ratio": 2.`, "/ratio"},
		{"data/folder/results/first-day.csv", "photo-indexing,235.1,", "photo-indexing,225.1,", ""},
		{"data/folder/bench.yaml", "15 W", "16 W", ""},
	} {
		t.Run(c.file+c.field, func(t *testing.T) {
			m := fstest.MapFS{}
			for name, f := range whole {
				m[name] = f
			}
			text := m[c.file].Data
			changed := bytes.Replace(text, []byte(c.old), []byte(c.new), 1)
			if bytes.Equal(text, changed) {
				t.Fatalf("no %q in it", c.old)
			}
			m[c.file] = &fstest.MapFile{Data: changed}
			forge(m)
			v, err := Verify(m, "2.0.0")
			if err != nil {
				t.Fatal(err)
			}
			if v.OK() || c.field != "" && !slices.ContainsFunc(v.Differences, func(d Difference) bool { return d.File == c.file && strings.HasSuffix(d.Field, c.field) }) {
				t.Errorf("%v", v.Differences)
			}
		})
	}
}

// A table that was emptied or cut short is none that another version wrote.
func TestACutTableOfAnotherVersionIsFound(t *testing.T) {
	whole := "id,value,more\na,1,2\nb,3,4\n"
	for _, cut := range []string{"", "id,value,more\n", "id,value,more\na,1,2\n", "id,value,more\na,1,2\nb\n", "id,value,more\na,1,2\nb,3,4\nc,5,6\n", "id,value\n\"a,1"} {
		if found, _ := differences("data/x.csv", []byte(cut), []byte(whole), true); len(found) == 0 {
			t.Errorf("%q passes", cut)
		}
	}
	for _, other := range []string{"id,value\na,1\nb,3\n", "value,new,id\n1,x,a\n3,y,b\n"} {
		if found, _ := differences("data/x.csv", []byte(other), []byte(whole), true); len(found) != 0 {
			t.Errorf("%q: %v", other, found)
		}
	}
}

func TestSameMeaning(t *testing.T) {
	for _, c := range []struct {
		a, b string
		same bool
	}{
		{"1.5", "1.50", true}, {"1.5", "1.5000000000001", true}, {"1.5", "1.5000001", false}, {"0", "-0", true},
		{"", "0", false}, {"better", "worse", false}, {"better", "", false}, {"12", "better", false}, {"12", "12 fps", false},
		{"as good as", "no worse than", true}, {"+7\u00a0%", "+7.1\u00a0%", true}, {"a remark", "", true}, {"quick", "a remark", true},
	} {
		if got := sameMeaning(c.a, c.b); got != c.same {
			t.Errorf("%q and %q: %v", c.a, c.b, got)
		}
		if got := sameMeaning(c.b, c.a); got != c.same {
			t.Errorf("%q and %q: %v", c.b, c.a, got)
		}
	}
	for _, name := range []string{"index.html", "data/report.schema.json", "data/datapackage.json", "assets/page.js", "data/CITATION.txt"} {
		if ofMeaning(name) {
			t.Error(fmt.Sprint(name, " is compared"))
		}
	}
}

// A site that was computed where last digits differ is compared to nine digits,
// and so far only.
func TestOtherArithmeticIsNoForgery(t *testing.T) {
	m := asFS(publish(t, sampleproject.Files(), PublishOptions{Version: "1.2.3", Arithmetic: "elsewhere"}).Files)
	figures := m["data/figures.csv"].Data
	number := regexp.MustCompile(`\d\.\d{13,}`).Find(figures)
	if number == nil {
		t.Fatal("no figure has digits enough for this test")
	}
	change := func(at int) {
		changed := slices.Clone(number)
		changed[at] = '0' + (changed[at]-'0'+1)%10
		m["data/figures.csv"].Data = bytes.Replace(figures, number, changed, 1)
		forge(m)
	}
	change(len(number) - 1)
	v, err := Verify(m, "1.2.3")
	if err != nil || !v.OK() || !v.Partly() || v.OtherVersion || v.Recomputed < 10 {
		t.Errorf("a last digit: %+v %v", v, err)
	}
	change(4)
	if v, err = Verify(m, "1.2.3"); err != nil || v.OK() {
		t.Errorf("a fourth digit: %+v %v", v, err)
	}
	// On this machine the last digit is no other machine's.
	m = asFS(publish(t, sampleproject.Files(), PublishOptions{Version: "1.2.3"}).Files)
	figures = m["data/figures.csv"].Data
	change(len(number) - 1)
	if v, err = Verify(m, "1.2.3"); err != nil || v.OK() || v.Partly() {
		t.Errorf("a last digit of this machine: %+v %v", v, err)
	}
}

// Where one number is the beginning of the other, both are named as they are.
func TestAShortenedNumberIsFoundInItsOwnField(t *testing.T) {
	const short, long = `{"low": 1.23, "high": 2}`, `{"low": 1.234, "high": 2}`
	for _, c := range []struct{ published, recomputed, was, is string }{
		{short, long, "1.23", "1.234"},
		{long, short, "1.234", "1.23"},
		{`[true, 1]`, `[true, 12]`, "1", "12"},
	} {
		found, _ := differences("x.json", []byte(c.published), []byte(c.recomputed), false)
		if len(found) != 1 || found[0].Published != c.was || found[0].Recomputed != c.is || c.was == "1.23" && found[0].Field != "/low" {
			t.Errorf("%s against %s: %+v", c.published, c.recomputed, found)
		}
	}
}
