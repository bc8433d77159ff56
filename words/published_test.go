package words_test

import (
	"bytes"
	"io/fs"
	"path"
	"regexp"
	"strings"
	"testing"
	"testing/fstest"

	"golang.org/x/net/html"

	"benchwright/edition"
	"benchwright/render/site"
	sampleproject "benchwright/sample-project"
	"benchwright/words"
)

// A German report says nothing in English but what its author wrote and what
// the checker found, which is marked as English. The sample is published
// twice, so that there are changes to tell.
func TestAGermanReportIsGerman(t *testing.T) {
	input := sample(t)
	replace(t, input, "report.yaml", "language: en-GB", "language: de")
	english := fragments(words.Default, input)
	german := fragments("de", input)
	if len(english) < 300 {
		t.Fatalf("only %d English texts to look for", len(english))
	}

	files := editions(t, input)
	found, spoken := 0, map[string]bool{}
	for _, f := range files {
		text, ok := readable(t, f)
		if !ok {
			continue
		}
		for key, fragment := range english {
			if strings.Contains(text, fragment) {
				t.Errorf("%s says %q (%s)", f.Path, fragment, key)
			}
		}
		for key, fragment := range german {
			spoken[key] = spoken[key] || strings.Contains(text, fragment)
		}
		if path.Ext(f.Path) == ".html" && !bytes.Contains(f.Data, []byte(`<html lang="de" dir="ltr">`)) {
			t.Errorf("%s does not say that it is German", f.Path)
		}
	}
	for _, yes := range spoken {
		if yes {
			found++
		}
	}
	if found < 250 {
		t.Errorf("only %d German texts were met", found)
	}

	// The same search finds English where a report is English.
	replace(t, input, "report.yaml", "language: de", "language: en-GB")
	met := map[string]bool{}
	for _, f := range editions(t, input) {
		if text, ok := readable(t, f); ok {
			for key, fragment := range english {
				met[key] = met[key] || strings.Contains(text, fragment)
			}
		}
	}
	found = 0
	for _, yes := range met {
		if yes {
			found++
		}
	}
	if found < 250 {
		t.Errorf("the search meets only %d English texts in an English report", found)
	}
}

// Numbers that the report writes have a decimal comma: after a point stand no
// digit, a blank and a unit.
func TestAGermanReportWritesDecimalCommas(t *testing.T) {
	input := sample(t)
	replace(t, input, "report.yaml", "language: en-GB", "language: de")
	pointed := regexp.MustCompile(`[0-9]\.[0-9]+[\x{00a0}\x{202f}][%A-Za-z°×]`)
	comma := 0
	for _, f := range publish(t, input, "") {
		if path.Ext(f.Path) != ".html" && path.Ext(f.Path) != ".svg" {
			continue
		}
		text, _ := readable(t, f)
		if at := pointed.FindString(text); at != "" {
			t.Errorf("%s writes %q", f.Path, at)
		}
		comma += strings.Count(text, ",")
	}
	if comma < 1000 {
		t.Errorf("only %d commas in all pages", comma)
	}
}

// A date in a sentence is written as the language writes it, the citation's
// too; what machines read keeps its year first.
func TestAGermanReportWritesGermanDates(t *testing.T) {
	input := sample(t)
	replace(t, input, "report.yaml", "language: en-GB", "language: de")
	yearFirst := regexp.MustCompile(`\b(vom|am|bis|seit|ab|zum) [0-9]{4}-[0-9]{2}-[0-9]{2}`)
	want := map[string]string{
		"data/CITATION.txt": "Datensatz, Ausgabe vom 1. März 2026.",
		"data/CITATION.cff": `date-released: "2026-03-01"`,
		"data.html":         "Datensatz, Ausgabe vom 1. März 2026.",
		"index.html":        "Vertrauensbereich",
	}
	for _, f := range publish(t, input, "") {
		text, _ := readable(t, f)
		if at := yearFirst.FindString(text); at != "" {
			t.Errorf("%s writes %q", f.Path, at)
		}
		if strings.Contains(text, "%-V") {
			t.Errorf("%s may break a line in front of Vertrauensbereich", f.Path)
		}
		if says, ok := want[f.Path]; ok {
			delete(want, f.Path)
			if !strings.Contains(text, says) {
				t.Errorf("%s does not say %q", f.Path, says)
			}
		}
	}
	for name := range want {
		t.Errorf("there is no %s", name)
	}
}

// Nothing is put into quotation marks twice, in no language.
func TestNothingIsQuotedTwice(t *testing.T) {
	for _, language := range []string{"de", "en-GB"} {
		input := sample(t)
		replace(t, input, "report.yaml", "language: en-GB", "language: "+language)
		quoted := 0
		for _, f := range publish(t, input, "") {
			text, ok := readable(t, f)
			if !ok || path.Ext(f.Path) != ".html" {
				continue
			}
			quoted += strings.Count(text, "„") + strings.Count(text, "“")
			for _, twice := range []string{"„„", "““"} {
				if at := strings.Index(text, twice); at >= 0 {
					t.Errorf("%s: %s writes %q", language, f.Path, text[at:min(len(text), at+60)])
				}
			}
		}
		if quoted < 100 {
			t.Errorf("%s: only %d quotation marks in all pages", language, quoted)
		}
	}
}

// fragments are the stretches of a language's phrases that are long enough to
// be told from chance, without gaps: what the default says in the same words,
// and what the author's own files say, is left out.
func fragments(language string, input fstest.MapFS) map[string]string {
	var authored strings.Builder
	for _, f := range input {
		authored.Write(f.Data)
	}
	other := "de"
	if language == other {
		other = words.Default
	}
	b, o := words.For(language), words.For(other)
	out := map[string]string{}
	for _, key := range b.Keys() {
		if b.Say(key) == o.Say(key) || strings.HasSuffix(key, ".source") {
			continue // titles of publications are in their own language
		}
		for _, fragment := range gap.Split(b.Say(key), -1) {
			fragment = strings.Trim(fragment, " .,;:()")
			if len(fragment) > 12 && len(fragment) > len(out[key]) && !strings.Contains(authored.String(), fragment) && !strings.Contains(o.Say(key), fragment) {
				out[key] = fragment
			}
		}
	}
	return out
}

// readable gives what people read of a file; of pages without what is marked
// as being in another language. Files in which the tool says nothing in the
// report's language are left out.
func readable(t *testing.T, f site.File) (string, bool) {
	t.Helper()
	switch {
	case strings.HasPrefix(f.Path, "data/folder/"), strings.HasSuffix(f.Path, ".schema.json"), f.Path == "data/findings.json",
		strings.HasPrefix(f.Path, "assets/") && f.Path != "assets/figures.data.js":
		return "", false
	case path.Ext(f.Path) == ".html":
	default:
		switch path.Ext(f.Path) {
		case ".svg", ".csv", ".json", ".js", ".atom", ".cff", ".txt":
			return string(f.Data), !strings.HasPrefix(f.Path, "media/")
		}
		return "", false
	}
	root, err := html.Parse(bytes.NewReader(f.Data))
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	var walk func(n *html.Node, own bool)
	walk = func(n *html.Node, own bool) {
		for _, a := range n.Attr {
			if a.Key == "lang" {
				own = a.Val != "en"
			}
		}
		if own {
			if n.Type == html.TextNode {
				b.WriteString(n.Data)
			}
			for _, a := range n.Attr {
				if a.Key != "class" && a.Key != "href" && a.Key != "src" {
					b.WriteString("\n" + a.Val + "\n")
				}
			}
		}
		for c := range n.ChildNodes() {
			walk(c, own)
		}
	}
	walk(root, true)
	return b.String(), true
}

func sample(t *testing.T) fstest.MapFS {
	t.Helper()
	out := fstest.MapFS{}
	all := sampleproject.Files()
	err := fs.WalkDir(all, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := fs.ReadFile(all, name)
		out[name] = &fstest.MapFile{Data: data}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func replace(t *testing.T, input fstest.MapFS, name, old, now string) {
	t.Helper()
	if input[name] == nil || strings.Count(string(input[name].Data), old) != 1 {
		t.Fatalf("%q does not stand once in %s", old, name)
	}
	input[name] = &fstest.MapFile{Data: []byte(strings.Replace(string(input[name].Data), old, now, 1))}
}

// editions publishes a folder, and again on top of it with readings added,
// changed and taken out.
func editions(t *testing.T, input fstest.MapFS) []site.File {
	t.Helper()
	second := fstest.MapFS{}
	for name, f := range input {
		second[name] = f
	}
	at := t.TempDir()
	if _, err := site.Write(at, publish(t, input, "")); err != nil {
		t.Fatal(err)
	}
	replace(t, second, "report.yaml", "date: 2026-03-01", "date: 2026-04-01")
	third := second["results/third-day.csv"].Data
	lines := bytes.SplitAfter(bytes.TrimRight(third, "\n"), []byte("\n"))
	added := bytes.Join(append(lines[:len(lines)-1], []byte("third-day,99,one-15-thin,9,ok,,102.3,206.0,17801,3188,415.9,34.4,22.9\n")), nil)
	second["results/third-day.csv"] = &fstest.MapFile{Data: added}
	return publish(t, second, at)
}

func publish(t *testing.T, input fs.FS, previous string) []site.File {
	t.Helper()
	e := edition.Open(input)
	if e.Unusable() {
		t.Fatalf("the folder cannot be used: %v", e.Findings)
	}
	p, err := e.Publish(edition.PublishOptions{Previous: previous})
	if err != nil {
		t.Fatal(err)
	}
	return p.Files
}
