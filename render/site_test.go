package render

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"math"
	"reflect"
	"runtime"
	"strings"
	"testing"
	"testing/fstest"

	"golang.org/x/net/html"

	"benchwright/design"
	"benchwright/project"
	"benchwright/report"
	sampleproject "benchwright/sample-project"
	"benchwright/schema"
	"benchwright/themes"
	"benchwright/words"
)

// written makes a report of a folder given as files.
func written(t testing.TB, files map[string]string) *report.Report {
	t.Helper()
	fsys := fstest.MapFS{}
	for name, text := range files {
		fsys[name] = &fstest.MapFile{Data: []byte(text)}
	}
	folder, faults := schema.Read(fsys)
	p, more := project.Load(folder)
	for _, f := range append(faults, more...) {
		if f.Severity == schema.Error {
			t.Fatalf("the folder cannot be read: %s: %s", f.Place, f.Message)
		}
	}
	s := design.NewSpace(p)
	return report.Build(p, s, design.Check(p, s), report.Options{})
}

func laidOut(t testing.TB, r *report.Report, theme string) []File {
	t.Helper()
	th, err := themes.Load(theme, nil)
	if err != nil {
		t.Fatal(err)
	}
	files, err := Site(r, th, Options{})
	if err != nil {
		t.Fatal(err)
	}
	return files
}

// hostile is a folder whose every text tries to be markup.
func hostile(t testing.TB, text string) *report.Report {
	r := written(t, map[string]string{
		"report.yaml": "title: '" + text + "'\nsubtitle: '" + text + "'\nsummary: '" + text + "'\nnotice: '" + text + "'\nauthor: '" + text + "'\ndate: 2026-01-02\nlicence: CC0-1.0\nbaseline: a\n" +
			"questions:\n  - {id: q, ask: '" + text + "', factor: f, from: one, to: two, note: '" + text + "'}\n",
		"bench.yaml":            "bench: {label: '" + text + "', description: '" + text + "'}\nfactors:\n  f: {label: '" + text + "', role: studied, levels: [{value: one, label: '" + text + " 1'}, {value: two, label: '" + text + " 2'}], how: '" + text + "'}\n",
		"workloads.yaml":        "workloads:\n  w: {label: '" + text + "', metric: '" + text + "', unit: s, better: lower, how: '" + text + "', command: '" + text + "'}\n",
		"configurations/a.yaml": "label: '" + text + " A'\nset: {f: one}\nnote: '" + text + "'\n",
		"configurations/b.yaml": "label: '" + text + " B'\nset: {f: two}\nnote: '" + text + "'\n",
		"sessions.yaml":         "sessions:\n  s1: {date: 2026-01-01, place: '" + text + "', who: '" + text + "', note: '" + text + "'}\n",
		"results/r.csv": "configuration,workload,value,session,repeat,note\n" +
			"a,w,10.1,s1,1,\"" + strings.ReplaceAll(text, `"`, `""`) + "\"\na,w,10.2,s1,2,\na,w,10.3,s1,3,\nb,w,9.1,s1,1,\nb,w,9.0,s1,2,\nb,w,9.2,s1,3,\n",
		"notes/n.md": "# " + text + "\n\n" + text + "\n",
	})
	r.TakeOutside([]report.OutsideReading{{Viewer: text, Machine: text, Value: 9.5, Written: text, Unit: text, Date: "2026-01-03", Note: text}})
	return r
}

// No text of a folder becomes an element, an attribute or a script.
func TestTextStaysText(t *testing.T) {
	kinds := map[string]map[string]int{}
	for _, f := range laidOut(t, hostile(t, "harmless"), "") {
		if strings.HasSuffix(f.Path, ".html") {
			kinds[f.Path] = census(t, f)
		}
	}
	for _, text := range []string{
		`<script>alert(1)</script>`, `"><img src=x onerror=alert(1)>`, `</script><script>x</script>`, `</title></style><b onclick=x>`, `javascript:alert(1)`, `&lt;i&gt;`,
	} {
		r := hostile(t, text)
		for _, f := range laidOut(t, r, "") {
			if !strings.HasSuffix(f.Path, ".html") {
				continue
			}
			got := census(t, f)
			if strings.HasPrefix(f.Path, "notes/") {
				delete(got, "raw") // package notes has its own tests
				continue
			}
			for name, n := range got {
				if n != kinds[f.Path][name] && (strings.HasPrefix(name, "on") || name == "script" || name == "img" || name == "b" || name == "i" || name == "style") {
					t.Errorf("%q: %s has %d of %q, with harmless text %d", text, f.Path, n, name, kinds[f.Path][name])
				}
			}
		}
	}
}

// census counts elements, and attributes that run code.
func census(t *testing.T, f File) map[string]int {
	t.Helper()
	n, err := html.Parse(bytes.NewReader(f.Data))
	if err != nil {
		t.Fatalf("%s: %v", f.Path, err)
	}
	out := map[string]int{}
	for e := range n.Descendants() {
		if e.Type == html.ElementNode {
			out[e.Data]++
			for _, a := range e.Attr {
				if strings.HasPrefix(a.Key, "on") {
					out[a.Key]++
				}
				if a.Key == "href" && strings.HasPrefix(strings.TrimSpace(strings.ToLower(a.Val)), "javascript:") {
					t.Errorf("%s: a link runs code: %q", f.Path, a.Val)
				}
			}
		}
	}
	return out
}

func TestEveryPageIsWhole(t *testing.T) {
	for _, theme := range themes.Names() {
		for _, f := range sampleSite(t, theme) {
			if !strings.HasSuffix(f.Path, ".html") {
				continue
			}
			n, err := html.Parse(bytes.NewReader(f.Data))
			if err != nil {
				t.Fatal(err)
			}
			if h := len(all(n, func(e *html.Node) bool { return e.Data == "h1" })); h != 1 {
				t.Errorf("%s has %d first-level headings", f.Path, h)
			}
			ids := map[string]bool{}
			for _, e := range all(n, func(e *html.Node) bool { return e.Type == html.ElementNode }) {
				if id, ok := value(e, "id"); ok {
					if ids[id] {
						t.Errorf("%s: the id %q stands twice", f.Path, id)
					}
					ids[id] = true
				}
				if _, ok := value(e, "style"); ok {
					t.Errorf("%s: <%s> has a style attribute, which the policy forbids", f.Path, e.Data)
				}
				if src, ok := value(e, "src"); ok && strings.Contains(src, "//") {
					t.Errorf("%s asks another host for %q", f.Path, src)
				}
			}
			if i := bytes.Index(f.Data, []byte("⟪")); i >= 0 {
				t.Errorf("%s: no words for %s", f.Path, f.Data[i:min(i+40, len(f.Data))])
			}
			if bytes.Contains(f.Data, []byte("ZgotmplZ")) || bytes.Contains(f.Data, []byte("NaN")) {
				t.Errorf("%s holds a value that was not fit to print", f.Path)
			}
		}
	}
}

func TestSameBytesOnAnyNumberOfCores(t *testing.T) {
	r := sampleReport(t)
	before := runtime.GOMAXPROCS(1)
	one := laidOut(t, r, "")
	runtime.GOMAXPROCS(max(4, before))
	many := laidOut(t, r, "")
	runtime.GOMAXPROCS(before)
	if len(one) != len(many) {
		t.Fatalf("%d files and %d", len(one), len(many))
	}
	for i := range one {
		if one[i].Path != many[i].Path || !bytes.Equal(one[i].Data, many[i].Data) {
			t.Errorf("%s differs", one[i].Path)
		}
	}
}

// A report without sessions, readings or an answer is
// laid out too.
func TestTheSmallestReport(t *testing.T) {
	r := written(t, map[string]string{
		"report.yaml":           "title: Small\nauthor: me\ndate: 2026-01-02\nlicence: CC0-1.0\nbaseline: a\nquestions:\n  - {id: q, ask: 'What is it worth?', factor: f, from: one, to: two}\n",
		"bench.yaml":            "bench: {label: Bench}\nfactors:\n  f: {label: F, role: studied, kind: category}\n",
		"workloads.yaml":        "workloads:\n  w: {label: W, metric: m, unit: s, better: lower}\n",
		"configurations/a.yaml": "set: {f: one}\n",
	})
	for _, f := range laidOut(t, r, "") {
		if bytes.Contains(f.Data, []byte("⟪")) {
			t.Errorf("%s: a label is missing", f.Path)
		}
	}
}

// The form for a viewer's own readings has a line per workload that is read, and
// is whole without scripts: labels, the baseline's reading, the template.
func TestTheFormForOwnReadings(t *testing.T) {
	var page *html.Node
	for _, f := range sampleSite(t, "") {
		if f.Path == "yours.html" {
			n, err := html.Parse(bytes.NewReader(f.Data))
			if err != nil {
				t.Fatal(err)
			}
			page = n
		}
	}
	labelled := map[string]bool{}
	for _, e := range all(page, func(e *html.Node) bool { return e.Data == "label" }) {
		id, _ := value(e, "for")
		labelled[id] = true
	}
	lines := 0
	for _, e := range all(page, func(e *html.Node) bool { return e.Data == "input" || e.Data == "select" }) {
		id, _ := value(e, "id")
		if !labelled[id] {
			t.Errorf("the field %q has no label", id)
		}
		if _, off := value(e, "disabled"); !off {
			t.Errorf("the field %q takes something in without a script", id)
		}
		if strings.HasPrefix(id, "reading-") {
			lines++
		}
	}
	if lines != 7 { // of eight workloads one is computed
		t.Errorf("%d lines, want 7", lines)
	}
	text := func(class string) (out []string) {
		for _, e := range all(page, func(e *html.Node) bool { return e.Data == "span" && has(e, "class", class) }) {
			out = append(out, e.FirstChild.Data)
		}
		return out
	}
	if got := text("value beside-value"); len(got) != 7 || got[2] != "40.5\u00a0fps" {
		t.Errorf("the baseline's readings beside the form: %q", got)
	}
	// sampleSite publishes no template, so that there is no link to one.
	if n := len(all(page, func(e *html.Node) bool { return has(e, "href", "data/viewer-template.csv") })); n != 0 {
		t.Error("a link to a template that is not there")
	}
}

// Everything that a template may be asked for is written down.
func TestEveryValueIsDescribed(t *testing.T) {
	var look func(reflect.Type)
	look = func(of reflect.Type) {
		for f := range of.Fields() {
			if !f.IsExported() || f.Anonymous {
				continue
			}
			if f.Tag.Get("doc") == "" {
				t.Errorf("%s.%s has no description for theme authors", of.Name(), f.Name)
			}
			inner := f.Type
			if inner.Kind() == reflect.Slice {
				inner = inner.Elem()
			}
			if inner.Kind() == reflect.Struct && inner != of {
				look(inner)
			}
		}
	}
	look(reflect.TypeFor[Page]())
	for _, p := range pageStructs {
		look(reflect.TypeOf(p))
	}
	text, err := ThemeReference()
	if err != nil || !strings.Contains(text, "`--paper`") || !strings.Contains(text, "`.Questions`") {
		t.Errorf("the theme author's page is not complete (%v)", err)
	}
}

// Every template of every theme runs with every field filled and with none, so
// that no branch hides a misspelt name.
func TestEveryBranchOfEveryTemplate(t *testing.T) {
	for _, theme := range themes.Names() {
		th, err := themes.Load(theme, nil)
		if err != nil {
			t.Fatal(err)
		}
		set, err := parse(th)
		if err != nil {
			t.Fatal(err)
		}
		for i, p := range pageStructs {
			for _, full := range []bool{true, false} {
				v := reflect.New(reflect.TypeOf(p))
				if full {
					fill(v.Elem())
				}
				v.Elem().FieldByName("Page").Addr().Interface().(*Page).book = words.For("en-GB")
				var b bytes.Buffer
				if err := set.execute(&b, kinds[i].kind, v.Interface()); err != nil {
					t.Errorf("theme %q, page %q, filled %v: %v", theme, kinds[i].kind, full, err)
				}
				if s := b.String(); strings.Contains(s, "⟪") {
					t.Errorf("theme %q, page %q asks for a label that is not there: %s", theme, kinds[i].kind, s[strings.Index(s, "⟪"):][:40])
				}
			}
		}
	}
}

// fill sets every exported field to something that is there.
func fill(v reflect.Value) {
	switch v.Kind() {
	case reflect.String:
		v.SetString("x")
	case reflect.Bool:
		v.SetBool(true)
	case reflect.Int:
		v.SetInt(2)
	case reflect.Slice:
		v.Set(reflect.MakeSlice(v.Type(), 2, 2))
		for i := range v.Len() {
			fill(v.Index(i))
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				fill(v.Field(i))
			}
		}
	}
}

func TestFeedIsWellFormedAndDated(t *testing.T) {
	for _, f := range sampleSite(t, "") {
		if f.Path != "feed.atom" {
			continue
		}
		var feed atomFeed
		if err := xml.Unmarshal(f.Data, &feed); err != nil {
			t.Fatal(err)
		}
		if feed.ID == "" || feed.Updated != "2026-03-01T00:00:00Z" || len(feed.Entries) != 1 || feed.Entries[0].ID == feed.ID || len(feed.Authors) == 0 {
			t.Errorf("the feed is not what RFC 4287 wants: %+v", feed)
		}
		return
	}
	t.Error("there is no feed")
}

func TestOneFileIsClosed(t *testing.T) {
	one, err := SingleFile(sampleSite(t, ""))
	if err != nil {
		t.Fatal(err)
	}
	n, err := html.Parse(bytes.NewReader(one))
	if err != nil {
		t.Fatal(err)
	}
	ids := map[string]bool{}
	for _, e := range all(n, func(e *html.Node) bool { return e.Type == html.ElementNode }) {
		if id, ok := value(e, "id"); ok {
			if ids[id] {
				t.Errorf("the id %q stands twice", id)
			}
			ids[id] = true
		}
	}
	for _, e := range all(n, func(e *html.Node) bool { return e.Type == html.ElementNode }) {
		if href, ok := value(e, "href"); ok && strings.HasPrefix(href, "#") && !ids[href[1:]] {
			t.Errorf("a link leads to %q, which is not there", href)
		} else if ok && !strings.HasPrefix(href, "#") && !strings.Contains(href, "://") {
			t.Errorf("a link leads out of the file: %q", href)
		}
		if src, ok := value(e, "src"); ok && !strings.HasPrefix(src, "data:") {
			t.Errorf("the file needs %q", src)
		}
	}
	if h := len(all(n, func(e *html.Node) bool { return e.Data == "h1" })); h != 1 {
		t.Errorf("%d first-level headings", h)
	}
}

func TestMarkupEscapes(t *testing.T) {
	for in, want := range map[string]string{
		`a<b>&"c'`:       "a&lt;b&gt;&amp;&#34;c&#39;",
		"tab\tline\n":    "tab\tline\n",
		"nul\x00bad\xff": "nul\uFFFDbad\uFFFD",
		"\u0085\uFFFE é": "\uFFFD\uFFFD é",
	} {
		if got := string((&markup{}).text(in).b); got != want {
			t.Errorf("%q became %q, want %q", in, got, want)
		}
	}
}

func TestDecimalsLineUp(t *testing.T) {
	d := decimals{mark: "."}
	for _, s := range []string{"9.83", "14.7", "120", "−3.25", "hung"} {
		d.see(s)
	}
	for in, want := range map[string]string{
		"9.83": "", "14.7": figureSpace, "120": punctuationSpace + figureSpace + figureSpace, "−3.25": "", "hung": "",
	} {
		if got := d.pad(in); got != want {
			t.Errorf("%q is followed by %q, want %q", in, got, want)
		}
	}
}

func TestIntervalMarks(t *testing.T) {
	sp := span{log: true}
	sp.include(1)
	f := report.Figure{State: report.Measured, Value: 1.2, Low: 1.1, High: 1.3, Confidence: 0.95, Verdict: report.Better}
	sp.see(f)
	better := string((&markup{}).interval(f, &sp, 1, small).b)
	f.Verdict = report.Worse
	worse := string((&markup{}).interval(f, &sp, 1, small).b)
	if !strings.Contains(better, "circle") || strings.Contains(worse, "circle") {
		t.Error("better and worse have the same shape")
	}
	for _, v := range []float64{math.NaN(), math.Inf(1), 0, -1} {
		f.Value = v
		if got := (&markup{}).interval(f, &sp, 1, small).b; len(got) != 0 {
			t.Errorf("%v was drawn on a scale of ratios: %s", v, got)
		}
	}
	f.State = report.Failed
	if got := (&markup{}).interval(f, &sp, 1, small).b; len(got) != 0 {
		t.Errorf("a failure was drawn as a value: %s", got)
	}
}

func TestAddresses(t *testing.T) {
	for in, want := range map[string]string{"data/readings.csv": "data/readings.csv", "data/folder/a b#c?.csv": "data/folder/a%20b%23c%3F.csv", "ä": "%C3%A4"} {
		if got := address(in); got != want {
			t.Errorf("%q became %q, want %q", in, got, want)
		}
	}
}

// wide is a made project of n configurations × m workloads with three repeats.
func wide(t testing.TB, n, m int) *report.Report {
	t.Helper()
	var w, c, res strings.Builder
	w.WriteString("workloads:\n")
	for j := range m {
		fmt.Fprintf(&w, "  w%d: {label: Workload %d, metric: time, unit: s, better: lower, resolution: 0.01}\n", j, j)
	}
	c.WriteString("configurations:\n")
	res.WriteString("configuration,workload,value,session,repeat\n")
	for i := range n {
		fmt.Fprintf(&c, "  c%d: {label: Configuration %d, set: {size: %d, kind: k%d}}\n", i, i, i/7+1, i%7)
		for j := range m {
			for k := range 3 {
				noise := math.Sin(float64(i*7919+j*104729+k*1299709)) * 0.3
				fmt.Fprintf(&res, "c%d,w%d,%.2f,s1,%d\n", i, j, 50+float64((i*31+j*17)%40)+noise, k+1)
			}
		}
	}
	return written(t, map[string]string{
		"report.yaml":             "title: Large\nauthor: me\ndate: 2026-01-02\nlicence: CC0-1.0\nbaseline: c0\nquestions:\n  - {id: size, ask: 'What is a step in size worth?', factor: size, from: 1, to: 2}\n",
		"bench.yaml":              "bench: {label: Bench}\nfactors:\n  size: {label: Size, role: studied, kind: number}\n  kind: {label: Kind, role: studied, kind: category}\n",
		"workloads.yaml":          w.String(),
		"configurations/all.yaml": c.String(),
		"sessions.yaml":           "sessions:\n  s1: {date: 2026-01-01}\n",
		"results/r.csv":           res.String(),
	})
}

func BenchmarkSample(b *testing.B) {
	r := sampleReport(b)
	th, err := themes.Load("", nil)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := Site(r, th, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkConfigurations(b *testing.B) {
	th, err := themes.Load("", nil)
	if err != nil {
		b.Fatal(err)
	}
	for _, n := range []int{250, 500, 1000} {
		r := wide(b, n, 20)
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				if _, err := Site(r, th, Options{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func TestAnotherLanguage(t *testing.T) {
	folder, _ := schema.Read(sampleproject.Files())
	p, _ := project.Load(folder)
	s := design.NewSpace(p)
	r := report.Build(p, s, design.Check(p, s), report.Options{Language: "de"})
	for _, f := range laidOut(t, r, "") {
		if !strings.HasSuffix(f.Path, ".html") {
			continue
		}
		if !bytes.Contains(f.Data, []byte(`<html lang="de" dir="ltr">`)) || bytes.Contains(f.Data, []byte("⟪")) {
			t.Errorf("%s is not in German, or lacks a label", f.Path)
		}
		if bytes.Contains(f.Data, []byte(">Overview<")) || bytes.Contains(f.Data, []byte(">Configuration<")) {
			t.Errorf("%s has English labels", f.Path)
		}
	}
}

// A value well away from 100 can carry the sign for "cannot be told from the
// baseline", since the whole column is allowed for: the legend says so, and the
// compare page what it allows for instead.
func TestBothTablesSayWhatTheyAllowFor(t *testing.T) {
	for language, want := range map[string][2]string{
		"en-GB": {"allowing for all the comparisons in its column", "the workloads of this table"},
		"de":    {"wenn alle Vergleiche der Spalte bedacht sind", "die Arbeitslasten dieser Tabelle"},
	} {
		said := map[string]string{}
		r := report.Build(sampleReport(t).Project, sampleReport(t).Space, nil, report.Options{Language: language})
		th, err := themes.Load("", nil)
		if err != nil {
			t.Fatal(err)
		}
		files, err := Site(r, th, Options{})
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range files {
			said[f.Path] = string(f.Data)
		}
		if !strings.Contains(said["index.html"], want[0]) {
			t.Errorf("%s: the legend of the first page lacks %q", language, want[0])
		}
		if !strings.Contains(said["assets/figures.data.js"], want[1]) || !strings.Contains(said["assets/compare.js"], "compare.corrected.") {
			t.Errorf("%s: the compare page lacks %q", language, want[1])
		}
	}
}
