package shelf

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/fstest"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"benchwright/edition"
	"benchwright/project"
	"benchwright/render/site"
	"benchwright/schema"
	"benchwright/themes"
	"benchwright/words"
)

func publish(t testing.TB, fsys fs.FS, o PublishOptions) *Publication {
	t.Helper()
	s := Open(fsys)
	if s.Unusable() {
		t.Fatal(printed(s))
	}
	p, err := s.Publish(o)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// Files that are handed on one by one are those of the publication at once.
func TestHandedOnFilesAreTheSame(t *testing.T) {
	shelf := os.DirFS("../testdata/shelf")
	want := publish(t, shelf, PublishOptions{}).Files
	var mu sync.Mutex
	got := map[string][]byte{}
	p := publish(t, shelf, PublishOptions{Take: func(f site.File) error {
		mu.Lock()
		defer mu.Unlock()
		got[f.Path] = bytes.Clone(f.Data)
		return nil
	}})
	if len(p.Files) != 0 || len(got) != len(want) {
		t.Errorf("%d files are kept and %d handed on, want none and %d", len(p.Files), len(got), len(want))
	}
	for _, f := range want {
		if !bytes.Equal(got[f.Path], f.Data) {
			t.Errorf("%s is not the same", f.Path)
		}
	}
}

func asFS(files []site.File) fstest.MapFS {
	m := fstest.MapFS{}
	for _, f := range files {
		m[f.Path] = &fstest.MapFile{Data: f.Data}
	}
	return m
}

func mustVerify(t testing.TB, published fs.FS) *Verification {
	t.Helper()
	v, err := Verify(published, "v1")
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// text is one page of a publication.
func text(t testing.TB, p *Publication, path string) string {
	t.Helper()
	i := slices.IndexFunc(p.Files, func(f site.File) bool { return f.Path == path })
	if i < 0 {
		t.Fatalf("there is no %s", path)
	}
	return string(p.Files[i].Data)
}

func TestTheSameShelfGivesTheSameBytes(t *testing.T) {
	a, b := publish(t, whole(t), PublishOptions{}), publish(t, whole(t), PublishOptions{})
	if len(a.Files) != len(b.Files) {
		t.Fatalf("%d files, then %d", len(a.Files), len(b.Files))
	}
	for i, f := range a.Files {
		if f.Path != b.Files[i].Path || !bytes.Equal(f.Data, b.Files[i].Data) {
			t.Errorf("%s and %s differ", f.Path, b.Files[i].Path)
		}
	}
}

// A report stands in the shelf as it is published alone, but for the way back.
func TestAReportIsWhatItIsAlone(t *testing.T) {
	m := whole(t)
	p := publish(t, m, PublishOptions{Version: "v"})
	sub, err := fs.Sub(m, "marten-board")
	if err != nil {
		t.Fatal(err)
	}
	alone, err := edition.Open(sub).Publish(edition.PublishOptions{Version: "v", Shelf: true})
	if err != nil {
		t.Fatal(err)
	}
	within := asFS(p.Files)
	for name, back := range map[string]string{"index.html": "../index.html", "configurations/one-fan.html": "../../index.html"} {
		page := within["marten-board/"+name]
		if page == nil {
			continue
		}
		if !bytes.Contains(page.Data, []byte(`<li><a href="`+back+`">All reports</a></li>`)) {
			t.Errorf("%s does not lead back to the shelf", name)
		}
	}
	for _, f := range alone.Files {
		got := within["marten-board/"+f.Path]
		if got == nil || !bytes.Equal(got.Data, f.Data) {
			t.Errorf("%s is not what it is alone", f.Path)
		}
		delete(within, "marten-board/"+f.Path)
	}
	for name := range within {
		if strings.HasPrefix(name, "marten-board/") {
			t.Errorf("%s is more than there is alone", name)
		}
	}
}

// One reading more in one report changes that report and the shelf's own pages.
func TestAReadingTouchesItsReportAlone(t *testing.T) {
	at := filepath.Join(t.TempDir(), "site")
	m := whole(t)
	write := func() site.Result {
		t.Helper()
		result, err := site.Write(at, publish(t, m, PublishOptions{Previous: at}).Files)
		if err != nil {
			t.Fatal(err)
		}
		if v := mustVerify(t, os.DirFS(at)); !v.OK() || len(v.Reports) != 3 {
			t.Fatalf("the site does not verify: %+v", v)
		}
		return result
	}
	write()
	if again := write(); again.Written+again.Removed > 0 {
		t.Errorf("publishing again writes %v", again.Changed)
	}
	file := m["otter-board/results/readings.csv"]
	file.Data = append(bytes.Clone(file.Data), "8,two-fans,march-evening,9,301.5,41.2,24.1,22.4,ok\n"...)
	m["otter-board/report.yaml"].Data = bytes.Replace(m["otter-board/report.yaml"].Data, []byte("2031-03-09"), []byte("2031-05-02"), 1)
	result := write()
	own := map[string]bool{}
	for _, name := range result.Changed {
		switch top, _, nested := strings.Cut(name, "/"); {
		case top == "otter-board":
			own["otter-board"] = true
		case top == "marten-board" || top == "kestrel-board":
			t.Errorf("%s changed", name)
		case nested:
			own[top] = true
		default:
			own[name] = true
		}
	}
	for _, name := range []string{"otter-board", "index.html", "across.html", "feed.atom", "data", "SHA256SUMS"} {
		if !own[name] {
			t.Errorf("%s did not change; changed are %v", name, result.Changed)
		}
	}
	feed, err := os.ReadFile(filepath.Join(at, "feed.atom"))
	if err != nil {
		t.Fatal(err)
	}
	var atom struct {
		Entries []struct {
			ID    string `xml:"id"`
			Title string `xml:"title"`
		} `xml:"entry"`
	}
	if err := xml.Unmarshal(feed, &atom); err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	for _, e := range atom.Entries {
		if seen[e.ID] {
			t.Errorf("two entries have the id %s", e.ID)
		}
		seen[e.ID] = true
	}
	if len(atom.Entries) != 4 || !strings.Contains(atom.Entries[0].Title, "Otter") || !strings.Contains(atom.Entries[0].Title, "2 May 2031") {
		t.Errorf("the feed has %+v", atom.Entries)
	}
}

// Whatever is changed in the site is found, in a report or in the shelf's own
// files, also by somebody who writes the checksums anew.
func TestVerifyFindsWhatWasChanged(t *testing.T) {
	p := publish(t, whole(t), PublishOptions{BaseAddress: "https://example.org/boards", Theme: "job-card", Version: "v1"})
	if v := mustVerify(t, asFS(p.Files)); !v.OK() || v.Title != "Small boards on the bench" || v.MadeBy != "v1" || v.Recomputed < 200 {
		t.Fatalf("the site as it was published: %+v", v)
	}
	for _, c := range []struct{ file, was, is string }{
		{"across.html", "1.112", "1.212"},
		{"index.html", "41.7", "51.7"},
		{"data/across.csv", "kestrel-board", "kestrel-bored"},
		{"data/reports.json", "2031-04-20", "2031-04-21"},
		{"data/shelf/workloads.yaml", "unit: GB/s", "unit: MB/s"},
		{"marten-board/index.html", "41.7", "51.7"},
		{"otter-board/data/folder/results/readings.csv", "31", "13"},
		{"kestrel-board/SHA256SUMS", "0", "1"},
	} {
		for _, anew := range []bool{false, true} {
			m := asFS(p.Files)
			if !bytes.Contains(m[c.file].Data, []byte(c.was)) {
				t.Fatalf("%s does not hold %q", c.file, c.was)
			}
			m[c.file] = &fstest.MapFile{Data: bytes.Replace(m[c.file].Data, []byte(c.was), []byte(c.is), 1)}
			if anew {
				m = resummed(m)
			}
			v, err := Verify(m, "v1")
			if err != nil {
				continue // refused altogether
			}
			if v.OK() {
				t.Errorf("%s (checksums anew: %v): %q in place of %q is not found", c.file, anew, c.is, c.was)
			}
			if anew && len(v.Changed) > 0 && !strings.Contains(c.file, "/") {
				t.Errorf("%s: the checksums are right and called wrong: %v", c.file, v.Changed)
			}
		}
	}
}

// Of a shelf that another version published, the data are compared, in the
// reports and across them.
func TestVerifyComparesTheDataOfAnotherVersion(t *testing.T) {
	p := publish(t, whole(t), PublishOptions{Version: "v0"})
	for _, c := range []struct {
		file, was, is string
		ok            bool
	}{
		{"across.html", "1.112", "1.212", true}, // pages are not compared, and that is said
		{"data/across.csv", "kestrel-board", "kestrel-bored", false},
		{"data/shelf/workloads.yaml", "unit: GB/s", "unit: MB/s", false},
		{"marten-board/data/figures.csv", "41.7", "51.7", false},
	} {
		m := asFS(p.Files)
		if !bytes.Contains(m[c.file].Data, []byte(c.was)) {
			t.Fatalf("%s does not hold %q", c.file, c.was)
		}
		m[c.file] = &fstest.MapFile{Data: bytes.Replace(m[c.file].Data, []byte(c.was), []byte(c.is), 1)}
		top, _, _ := strings.Cut(c.file, "/")
		if sums := top + "/" + site.Sums; m[sums] != nil {
			var files []site.File
			for name, f := range m {
				if rest, of := strings.CutPrefix(name, top+"/"); of && rest != site.Sums {
					files = append(files, site.File{Path: rest, Data: f.Data})
				}
			}
			for _, f := range site.WithSums(files) {
				m[top+"/"+f.Path] = &fstest.MapFile{Data: f.Data}
			}
		}
		v, err := Verify(resummed(m), "v1")
		if err != nil {
			t.Fatal(err)
		}
		if v.OK() != c.ok || !v.OtherVersion {
			t.Errorf("%s: %v, other version %v: %v", c.file, v.OK(), v.OtherVersion, v.Differences)
		}
	}
}

// resummed writes the list of checksums at the top anew.
func resummed(m fstest.MapFS) fstest.MapFS {
	var files []site.File
	for name, f := range m {
		if name != site.Sums {
			files = append(files, site.File{Path: name, Data: f.Data})
		}
	}
	return asFS(site.WithSums(files))
}

// A report that was taken out of the site, or slipped in, is missed.
func TestVerifyKnowsWhichReportsThereAre(t *testing.T) {
	p := publish(t, whole(t), PublishOptions{})
	m := asFS(p.Files)
	var rec record
	if err := json.Unmarshal(m[RecordFile].Data, &rec); err != nil {
		t.Fatal(err)
	}
	rec.Reports = rec.Reports[:2]
	less, err := json.MarshalIndent(rec, "", "  ")
	if err != nil {
		t.Fatal(err)
	}
	m[RecordFile] = &fstest.MapFile{Data: append(less, '\n')}
	if v, err := Verify(resummed(m), "v1"); err == nil && v.OK() {
		t.Error("a report left out of the record is not missed")
	}
	m = asFS(p.Files)
	m["charts/stray.svg"] = &fstest.MapFile{Data: []byte("<svg/>\n")}
	if v := mustVerify(t, resummed(m)); v.OK() {
		t.Error("a file that was slipped in among the shelf's own is not found")
	}
	for _, bad := range []string{`{"reports":[{"folder":"../x"}]}`, `{"reports":[{"folder":"a"},{"folder":"a"}]}`, `{"reports":[]}`, `[`, `{"reports":[{"folder":""}]}`, `{"reports":[{"folder":"."}]}`} {
		m[RecordFile] = &fstest.MapFile{Data: []byte(bad)}
		if _, err := Verify(m, "v1"); err == nil {
			t.Errorf("the record %s is taken", bad)
		}
	}
}

func TestVerifyAgainstTheFolder(t *testing.T) {
	p := publish(t, whole(t), PublishOptions{})
	published := asFS(p.Files)
	against := func(m fstest.MapFS) *Verification {
		t.Helper()
		v, err := VerifyAgainst(published, m, "v1")
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	if v := against(whole(t)); !v.OK() {
		t.Errorf("against its own folder: %+v", v)
	}
	if v := against(edited(t, "shelf.yaml", "- title: Small boards on the bench\n+ title: Large boards on the bench\n")); v.OK() {
		t.Error("another title is not found")
	}
	if v := against(edited(t, "otter-board/sessions.yaml", "-   march-evening: {date: 2031-03-04, start: \"19:00\", who: M. Ostrander, values: {room: 21.5 °C}}\n+   march-evening: {date: 2031-03-04, start: \"19:00\", who: M. Ostrander, values: {room: 22.5 °C}}\n")); v.OK() {
		t.Error("another room temperature in a report is not found")
	}
	more := whole(t)
	for name, f := range whole(t) {
		if rest, ok := strings.CutPrefix(name, "otter-board/"); ok {
			more["stoat-board/"+rest] = f
		}
	}
	more["shelf.yaml"] = &fstest.MapFile{Data: bytes.Replace(more["shelf.yaml"].Data, []byte("[otter-board,"), []byte("[stoat-board, otter-board,"), 1)}
	if v := against(more); v.OK() || !slices.ContainsFunc(v.Differences, func(d edition.Difference) bool { return d.File == "stoat-board" }) {
		t.Errorf("a report that is not in the site is not missed: %+v", v.Differences)
	}
}

// The pages say what must not be concluded, and what is not matched.
func TestThePagesSayWhatIsNotMatched(t *testing.T) {
	across := text(t, publish(t, whole(t), PublishOptions{}), "across.html")
	for _, want := range []string{
		"No difference on this page is the effect of a factor.", "This is not one variable.", "Otter M2", "Marten 7", "not recorded on both sides",
		"1.112\u00a0×", "1.107 to 1.117\u00a0×", "no ratio on this scale",
	} {
		if !strings.Contains(across, want) {
			t.Errorf("across.html does not say %q", want)
		}
	}
	for _, never := range []string{"going from", "matched pair", `class="better"`, `class="worse"`} {
		if strings.Contains(across, never) {
			t.Errorf("across.html says %q, as if there were an effect", never)
		}
	}
	if n := strings.Count(across, "This is not one variable."); n != 3 {
		t.Errorf("%d of 3 pairs say that they are not one variable", n)
	}
}

// A report whose definition differs is left out of the readings and named.
func TestAnotherTestDoesNotStandBesideTheOthers(t *testing.T) {
	m := edited(t, "kestrel-board/workloads.yaml", "-     unit: GB/s\n+     unit: MB/s\n")
	p := publish(t, m, PublishOptions{})
	for row := range strings.Lines(text(t, p, FiguresFile)) {
		if strings.HasPrefix(row, "copy,kestrel-board") {
			t.Errorf("its readings stand beside the others: %s", row)
		}
	}
	if n := strings.Count(text(t, p, FiguresFile), "compile,kestrel-board"); n != 2 {
		t.Errorf("%d rows of the workload that is the same", n)
	}
	for _, page := range []string{"across.html", "workloads.html"} {
		if !strings.Contains(text(t, p, page), "Unit: MB/s, not GB/s") {
			t.Errorf("%s does not say in what it differs", page)
		}
	}
	if v := mustVerify(t, asFS(p.Files)); !v.OK() {
		t.Errorf("%+v", v)
	}
}

// Without a base address nothing names one; with one, everything does.
func TestBaseAddress(t *testing.T) {
	p := publish(t, whole(t), PublishOptions{})
	for _, f := range p.Files {
		if strings.HasSuffix(f.Path, "sitemap.xml") {
			t.Errorf("%s without an address", f.Path)
		}
	}
	p = publish(t, whole(t), PublishOptions{BaseAddress: "https://example.org/boards"})
	for file, want := range map[string]string{
		"sitemap.xml":             "<loc>https://example.org/boards/otter-board/sitemap.xml</loc>",
		"sitemap-pages.xml":       "<loc>https://example.org/boards/across.html</loc>",
		"across.html":             `<link rel="canonical" href="https://example.org/boards/across.html">`,
		"otter-board/method.html": `<link rel="canonical" href="https://example.org/boards/otter-board/method.html">`,
		"feed.atom":               `href="https://example.org/boards/otter-board/changes.html"`,
	} {
		if !strings.Contains(text(t, p, file), want) {
			t.Errorf("%s does not hold %s", file, want)
		}
	}
}

// The shelf's theme is that of every report without a theme of its own.
func TestTheme(t *testing.T) {
	m := edited(t, "shelf.yaml", "- language: en-GB\n+ theme: marking-blue\n")
	m["kestrel-board/theme/tokens.css"] = &fstest.MapFile{Data: []byte("@layer tokens { :root { --paper: white } }\n")}
	m["theme/emblem.svg"] = &fstest.MapFile{Data: []byte("<svg xmlns=\"http://www.w3.org/2000/svg\"/>\n")}
	p := publish(t, m, PublishOptions{})
	for i, want := range []string{"marking-blue", "marking-blue", themes.Default} {
		if got := p.Reports[i].Theme.Name; got != want {
			t.Errorf("report %d has the theme %q, not %q", i+1, got, want)
		}
	}
	if text(t, p, "assets/emblem.svg") == "" || text(t, p, Inputs+"theme/emblem.svg") == "" {
		t.Error("the shelf's own theme is not used")
	}
	if v := mustVerify(t, asFS(p.Files)); !v.OK() {
		t.Errorf("%+v", v)
	}
}

// The themes that shelf.yaml may name are those that there are.
func TestThemesOfTheSchema(t *testing.T) {
	data, err := fs.ReadFile(schema.Files(), "shelf.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	var s struct {
		Properties struct{ Theme struct{ Enum []string } }
	}
	if err := json.Unmarshal(data, &s); err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(s.Properties.Theme.Enum, themes.Names()) {
		t.Errorf("the schema knows %v, the themes are %v", s.Properties.Theme.Enum, themes.Names())
	}
}

func TestTheRecordFitsItsSchema(t *testing.T) {
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(RecordSchema()))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("record", doc); err != nil {
		t.Fatal(err)
	}
	compiled, err := c.Compile("record")
	if err != nil {
		t.Fatal(err)
	}
	p := publish(t, whole(t), PublishOptions{Theme: "job-card", BaseAddress: "https://example.org", Version: "v1"})
	value, err := jsonschema.UnmarshalJSON(strings.NewReader(text(t, p, RecordFile)))
	if err != nil {
		t.Fatal(err)
	}
	if err := compiled.Validate(value); err != nil {
		t.Error(err)
	}
	value.(map[string]any)["more"] = 1
	if compiled.Validate(value) == nil {
		t.Error("a key that nobody knows is taken")
	}
}

// In German nothing of the shelf's own pages is left in English, and numbers
// have the comma, also those of reports in English.
func TestAGermanShelf(t *testing.T) {
	m := edited(t, "shelf.yaml", "- language: en-GB\n+ language: de\n")
	p := publish(t, m, PublishOptions{})
	across := text(t, p, "across.html")
	en := words.For("en-GB")
	for _, key := range en.Keys() {
		phrase := en.Say(key)
		if !strings.HasPrefix(key, "across.") && !strings.HasPrefix(key, "shared.") || strings.Contains(phrase, "{") || len(phrase) < 12 {
			continue
		}
		for _, page := range []string{"across.html", "workloads.html"} {
			if strings.Contains(text(t, p, page), phrase) {
				t.Errorf("%s says %q in English", page, phrase)
			}
		}
	}
	for _, want := range []string{`<html lang="de"`, "1,112\u00a0×", "1,107 bis 1,117\u00a0×", "4. März 2031", ">311,8"} {
		if !strings.Contains(across, want) {
			t.Errorf("across.html does not hold %q", want)
		}
	}
	if !strings.Contains(text(t, p, "index.html"), `lang="en-GB"`) {
		t.Error("the reports in English are not marked as such")
	}
	if strings.Contains(across+text(t, p, "index.html")+text(t, p, "workloads.html"), "⟪") {
		t.Error("a phrase is missing")
	}
	if v := mustVerify(t, asFS(p.Files)); !v.OK() {
		t.Errorf("%+v", v)
	}
}

// Whoever names things oddly breaks no page.
func TestOddNames(t *testing.T) {
	m := edited(t, "shelf.yaml", "- title: Small boards on the bench\n+ title: \"=1+1 <script>alert('a')</script> & \\\"more\\\"\"\n")
	m["otter-board/configurations/one-fan.yaml"] = &fstest.MapFile{Data: []byte("label: \"<b>=SUM(A1)</b>\"\nset: {fans: 1}\n")}
	p := publish(t, m, PublishOptions{})
	for _, page := range []string{"index.html", "across.html", "workloads.html"} {
		if got := text(t, p, page); strings.Contains(got, "<script>alert") || strings.Contains(got, "<b>=") {
			t.Errorf("%s holds markup that somebody typed", page)
		}
	}
}

// A folder that is a report is one, whatever else lies in it.
func TestAReportIsNoShelf(t *testing.T) {
	m := whole(t)
	if !schema.IsShelf(m) {
		t.Error("a folder with shelf.yaml is no shelf")
	}
	m["report.yaml"] = &fstest.MapFile{Data: []byte("title: A\n")}
	if schema.IsShelf(m) {
		t.Error("a folder with report.yaml is a shelf")
	}
	delete(m, "shelf.yaml")
	delete(m, "report.yaml")
	if schema.IsShelf(m) {
		t.Error("a folder with neither is a shelf")
	}
	m["shelf.yml"] = &fstest.MapFile{}
	if !schema.IsShelf(m) {
		t.Error("a folder with a misnamed shelf.yaml is no shelf")
	}
}

// A file where the site of a report has to stand is said by name.
func TestAFileInTheWay(t *testing.T) {
	at := t.TempDir()
	if err := os.WriteFile(filepath.Join(at, "otter-board"), []byte("mine\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	_, err := Open(whole(t)).Publish(PublishOptions{Previous: at})
	if err == nil || !strings.Contains(err.Error(), "otter-board") {
		t.Errorf("publishing over a file: %v", err)
	}
}

// Whatever stands in shelf.yaml and in the record of a site, nothing panics, and
// what is published are reports that there are, each once, in folders that can
// be part of an address.
func FuzzShelf(f *testing.F) {
	f.Add("title: A\nauthor: B\nlicence: C\nreports: [a, b]\nunits: {u: {dimension: u}}\n", `{"reports":[{"folder":"a"}]}`)
	f.Add("reports: [a, a, {b: c}, x]\nworkloads: {w: {unit: 5}}\n", `{"reports":[{"folder":"../a"},{"folder":"a"}]}`)
	f.Add("title: [\n", "{}")
	f.Fuzz(func(t *testing.T, yaml, rec string) {
		m := fstest.MapFS{"shelf.yaml": {Data: []byte(yaml)}, "workloads.yaml": {Data: []byte(yaml)}, "a/report.yaml": {}, "b/bench.yaml": {}}
		folder, _ := schema.ReadShelf(m)
		s, found := project.LoadShelf(folder)
		folder.Excerpts(found)
		for i, name := range s.Reports {
			if !slices.Contains([]string{"a", "b"}, name) || slices.Contains(s.Reports[:i], name) {
				t.Errorf("%q is published", name)
			}
		}
		read, err := readRecord(fstest.MapFS{RecordFile: {Data: []byte(rec)}})
		for _, r := range read.Reports {
			if err == nil && (strings.Contains(r.Folder, "/") || r.Folder == "" || r.Folder == "." || r.Folder == "..") {
				t.Errorf("%q is taken for the folder of a report", r.Folder)
			}
		}
	})
}

func TestDifferentConfidenceIsBroughtTogether(t *testing.T) {
	m := edited(t, "otter-board/report.yaml", "- baseline: one-fan\n+ baseline: one-fan\n+ confidence: 0.8\n")
	at80 := text(t, publish(t, m, PublishOptions{}), FiguresFile)
	if want := text(t, publish(t, whole(t), PublishOptions{}), FiguresFile); at80 != want {
		t.Errorf("reports at 80 and at 95 %% do not stand beside one another at 95 %%:\n%s", firstLines(at80, want))
	}
}

func firstLines(a, b string) string {
	x, y := strings.Split(a, "\n"), strings.Split(b, "\n")
	for i := range min(len(x), len(y)) {
		if x[i] != y[i] {
			return fmt.Sprintf("%s\n%s", x[i], y[i])
		}
	}
	return ""
}
