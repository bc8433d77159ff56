package edition

import (
	"archive/tar"
	"archive/zip"
	"bytes"
	"compress/gzip"
	"io/fs"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"benchwright/render/data"
	"benchwright/render/site"
	sampleproject "benchwright/sample-project"
	"benchwright/schema"
)

// folder copies a file system, to be changed by a test.
func folder(t testing.TB, fsys fs.FS) fstest.MapFS {
	t.Helper()
	m := fstest.MapFS{}
	err := fs.WalkDir(fsys, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		text, err := fs.ReadFile(fsys, name)
		m[name] = &fstest.MapFile{Data: text}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func publish(t testing.TB, fsys fs.FS, o PublishOptions) *Publication {
	t.Helper()
	e := Open(fsys)
	if e.Unusable() {
		t.Fatalf("the folder cannot be used: %v", e.Findings)
	}
	p, err := e.Publish(o)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func asFS(files []site.File) fstest.MapFS {
	m := fstest.MapFS{}
	for _, f := range files {
		m[f.Path] = &fstest.MapFile{Data: slices.Clone(f.Data)}
	}
	return m
}

// forge writes the checksums anew, as an attacker would.
func forge(m fstest.MapFS) {
	var files []site.File
	for name, f := range m {
		if name != site.Sums {
			files = append(files, site.File{Path: name, Data: f.Data})
		}
	}
	for _, f := range site.WithSums(files) {
		m[f.Path] = &fstest.MapFile{Data: f.Data}
	}
}

func mustVerify(t testing.TB, m fs.FS) *Verification {
	t.Helper()
	v, err := Verify(m, "")
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func TestTheSampleVerifies(t *testing.T) {
	p := publish(t, sampleproject.Files(), PublishOptions{Version: "1.2.3", Theme: "job-card", BaseAddress: "https://other.example/x"})
	m := asFS(p.Files)
	v, err := Verify(m, "1.2.3")
	if err != nil {
		t.Fatal(err)
	}
	if !v.OK() || v.OtherVersion || v.Files != len(p.Files)-1 || v.Recomputed != v.Files || v.MadeBy != "1.2.3" || v.Title == "" {
		t.Errorf("%+v", v)
	}
	v, err = VerifyAgainst(m, sampleproject.Files(), "1.2.3")
	if err != nil || !v.OK() {
		t.Errorf("against its own folder: %+v %v", v, err)
	}
}

// changeDigit replaces one digit of a file by another one.
func changeDigit(random *rand.Rand, text []byte) (changed []byte, at int) {
	var digits []int
	for i, c := range text {
		if '0' <= c && c <= '9' {
			digits = append(digits, i)
		}
	}
	if len(digits) == 0 {
		return nil, 0
	}
	at = digits[random.IntN(len(digits))]
	changed = slices.Clone(text)
	changed[at] = '0' + (changed[at]-'0'+byte(1+random.IntN(9)))%10
	return changed, at
}

// Any one digit in any published CSV or JSON: the file is named, with its line,
// by the checksums and, these forged, by the recomputation.
func TestTwoHundredChangedDigits(t *testing.T) {
	first := publish(t, sampleproject.Files(), PublishOptions{})
	dir := t.TempDir()
	at := filepath.Join(dir, "site")
	if _, err := site.Write(at, first.Files); err != nil {
		t.Fatal(err)
	}
	next := folder(t, sampleproject.Files())
	replace(t, next, "report.yaml", "date: 2026-03-01", "date: 2026-04-01")
	next["results/third-day.csv"].Data = append(next["results/third-day.csv"].Data, "third-day,99,one-15-thin,9,ok,,112.3,236.0,17801,3188,415.9,34.4,22.9\n"...)
	p := publish(t, next, PublishOptions{Previous: at})
	good := asFS(p.Files)
	if v := mustVerify(t, good); !v.OK() {
		t.Fatalf("a second edition does not verify: %+v", v)
	}

	// The inputs stay the same, so what they give is made once.
	inputs, err := inputsOf(good)
	if err != nil {
		t.Fatal(err)
	}
	e := Open(inputs)
	past, err := data.ReadPast(good)
	if err != nil {
		t.Fatal(err)
	}
	made, _, err := (&Verification{}).remake(e, past)
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for name := range good {
		if (strings.HasSuffix(name, ".csv") || strings.HasSuffix(name, ".json")) && !strings.HasPrefix(name, data.Inputs) {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	random := rand.New(rand.NewPCG(20, 26))
	forgedAndFound := 0
	for range 200 {
		name := names[random.IntN(len(names))]
		changed, at := changeDigit(random, good[name].Data)
		if changed == nil {
			continue
		}
		m := fstest.MapFS{}
		for n, f := range good {
			m[n] = f
		}
		m[name] = &fstest.MapFile{Data: changed}

		same := made
		if name == data.RecordFile || name == data.PreviousFile || name == data.ChangesFile {
			same = nil // these say how it is to be made
		}
		v := check(t, m, e, same)
		if v.OK() || !slices.Equal(v.Changed, []string{name}) {
			t.Errorf("%s, byte %d: the checksums do not tell: %+v", name, at, v)
		}
		forge(m)
		v = check(t, m, e, same)
		line := 1 + bytes.Count(changed[:at], []byte("\n"))
		named := slices.ContainsFunc(v.Differences, func(d Difference) bool {
			// A record whose version or form is broken is named as a whole; the
			// record before has nothing to be compared with but its hash.
			return d.File == name && (d.Line == line || d.Line == 0) || name == data.PreviousFile && d.File == data.ChangesFile
		})
		if v.OK() || len(v.Changed) > 0 || !named {
			t.Errorf("%s:%d: with forged checksums the recomputation does not tell: %v", name, line, v.Differences)
		} else {
			forgedAndFound++
		}
	}
	if forgedAndFound < 190 {
		t.Errorf("only %d changes were tried", forgedAndFound)
	}
}

// check is verify with the edition already open, and what it gives already made
// unless it is nil.
func check(t testing.TB, m fs.FS, e *Edition, made []site.File) *Verification {
	t.Helper()
	v := &Verification{}
	listed, err := v.checksums(m)
	if err != nil {
		t.Fatal(err)
	}
	if made == nil {
		past, err := data.ReadPast(m)
		if err != nil {
			v.Differences = append(v.Differences, Difference{File: data.RecordFile, Note: err.Error()})
			past = nil
		}
		if made, _, err = v.remake(e, past); err != nil {
			t.Fatal(err)
		}
	}
	if err := v.Compare(m, listed, made, data.Inputs); err != nil {
		t.Fatal(err)
	}
	return v
}

func replace(t testing.TB, m fstest.MapFS, name, old, now string) {
	t.Helper()
	if m[name] == nil || strings.Count(string(m[name].Data), old) != 1 {
		t.Fatalf("%q does not stand once in %s", old, name)
	}
	m[name] = &fstest.MapFile{Data: []byte(strings.Replace(string(m[name].Data), old, now, 1))}
}

// The place is told as an editor follows it, with both values.
func TestPlacesAreNamed(t *testing.T) {
	good := asFS(publish(t, sampleproject.Files(), PublishOptions{}).Files)
	for name, c := range map[string]struct {
		file, old, now string
		want           string
	}{
		"a cell of a table": {"data/sessions.csv", "first-day,2026-02-07,08:50", "first-day,2026-02-08,08:50",
			`data/sessions.csv:2:11: date: published "2026-02-08", recomputed "2026-02-07"`},
		"a value in JSON": {"data/report.json", `"label": "Video transcode", "unit": "fps"`, `"label": "Video transcode", "unit": "fpm"`,
			`/workloads/2/unit: published "fpm", recomputed "fps"`},
		"a cell too many": {"data/sessions.csv", ",back room,the invented bench,168,", ",back room,the invented bench,168,,",
			`data/sessions.csv:2:`},
		"a quote that never ends": {"data/sessions.csv", "first-day,2026", `"first-day,2026`, `is no table any more`},
		"a page":                  {"method.html", "<h1", "<h2", `method.html:`},
	} {
		m := fstest.MapFS{}
		for n, f := range good {
			m[n] = f
		}
		replace(t, m, c.file, c.old, c.now)
		forge(m)
		v := mustVerify(t, m)
		if v.OK() || !slices.ContainsFunc(v.Differences, func(d Difference) bool { return strings.Contains(d.String(), c.want) }) {
			t.Errorf("%s: want %q in %v", name, c.want, v.Differences)
		}
	}
}

// What is cut off a long text is never the difference.
func TestAroundTheDifference(t *testing.T) {
	long := strings.Repeat("ä", 500)
	for _, c := range []struct{ a, b, wantA, wantB string }{
		{"12", "13", "12", "13"},
		{long + "1" + long, long + "2" + long, "…ää1äääää…", "…ää2äääää…"},
		{"1" + long, "2" + long, "1ääääääää…", "2ääääääää…"},
		{long + "1", long, "…ää1", "…ää"},
		{"", long, "", "äääääääää…"},
	} {
		if a, b := Around(c.a, c.b, 10); a != c.wantA || b != c.wantB {
			t.Errorf("%.20s and %.20s: %q and %q", c.a, c.b, a, b)
		}
	}
}

// Lines beyond the limit are counted, however many there are.
func TestEveryDifferingLineIsCounted(t *testing.T) {
	published, recomputed := strings.Repeat("a\n", 5000), strings.Repeat("b\n", 5000)
	for _, name := range []string{"a.html", "a.csv"} {
		found, further := differences(name, []byte(published), []byte(recomputed), false)
		if len(found) != LimitPerFile || further != 5000-LimitPerFile || found[len(found)-1].Further != further {
			t.Errorf("%s: %d and %d", name, len(found), further)
		}
	}
}

// A changed reading among the inputs changes what they give.
func TestAChangedInputShowsInTheFigures(t *testing.T) {
	m := asFS(publish(t, sampleproject.Files(), PublishOptions{}).Files)
	replace(t, m, "data/folder/results/first-day.csv", "first-day,1,one-15-thin,1,photo-indexing,235.1,", "first-day,1,one-15-thin,1,photo-indexing,225.1,")
	forge(m)
	v := mustVerify(t, m)
	if v.OK() || !slices.ContainsFunc(v.Differences, func(d Difference) bool {
		return d.File == "data/readings.csv" && d.Field == "value" && d.Published == "235.1" && d.Recomputed == "225.1"
	}) {
		t.Errorf("%v", v.Differences)
	}
	replace(t, m, "data/folder/workloads.yaml", "workloads:", "worloads:")
	forge(m)
	if v = mustVerify(t, m); v.OK() || len(v.Findings) == 0 {
		t.Errorf("inputs that cannot be read: %+v", v)
	}
}

func TestMissingExtraAndForeignFiles(t *testing.T) {
	m := asFS(publish(t, sampleproject.Files(), PublishOptions{}).Files)
	m["CNAME"] = &fstest.MapFile{Data: []byte("bench.example\n")}
	if v := mustVerify(t, m); !v.OK() || !slices.Equal(v.Extra, []string{"CNAME"}) {
		t.Errorf("a file beside the site: %+v", v)
	}
	m["data/more.csv"] = &fstest.MapFile{Data: []byte("a\r\n")}
	if v := mustVerify(t, m); v.OK() || !slices.Contains(v.Extra, "data/more.csv") {
		t.Errorf("a file that poses as data: %+v", v)
	}
	forge(m)
	if v := mustVerify(t, m); v.OK() || !slices.ContainsFunc(v.Differences, func(d Difference) bool { return d.File == "data/more.csv" }) {
		t.Errorf("the same with forged checksums: %+v", v)
	}
	m = asFS(publish(t, sampleproject.Files(), PublishOptions{}).Files)
	delete(m, "data/figures.csv")
	if v := mustVerify(t, m); v.OK() || !slices.Equal(v.Missing, []string{"data/figures.csv"}) {
		t.Errorf("a missing table: %+v", v)
	}
	delete(m, "data/report.json")
	if v := mustVerify(t, m); v.OK() || len(v.Missing) != 2 {
		t.Errorf("a missing record: %+v", v)
	}
	delete(m, site.Sums)
	if _, err := Verify(m, ""); err == nil || !strings.Contains(err.Error(), "no site") {
		t.Errorf("no site at all: %v", err)
	}
}

func TestAgainstAnotherFolder(t *testing.T) {
	m := asFS(publish(t, sampleproject.Files(), PublishOptions{}).Files)
	other := folder(t, sampleproject.Files())
	replace(t, other, "results/first-day.csv", "first-day,1,one-15-thin,1,photo-indexing,235.1,", "first-day,1,one-15-thin,1,photo-indexing,235.2,")
	v, err := VerifyAgainst(m, other, "")
	if err != nil || v.OK() {
		t.Fatalf("another folder passes: %v", err)
	}
	for _, file := range []string{"data/folder/results/first-day.csv", "data/readings.csv", "data/figures.csv"} {
		if !slices.ContainsFunc(v.Differences, func(d Difference) bool { return d.File == file }) {
			t.Errorf("nothing is said of %s: %v", file, v.Differences)
		}
	}
}

func TestArchives(t *testing.T) {
	files := publish(t, sampleproject.Files(), PublishOptions{}).Files
	for _, top := range []string{"", "home-server/"} {
		var z, g bytes.Buffer
		zw, gw := zip.NewWriter(&z), gzip.NewWriter(&g)
		tw := tar.NewWriter(gw)
		if err := tw.WriteHeader(&tar.Header{Name: "./" + top, Typeflag: tar.TypeDir, Mode: 0o755}); err != nil {
			t.Fatal(err)
		}
		for _, f := range files {
			w, err := zw.Create(top + f.Path)
			if err != nil {
				t.Fatal(err)
			}
			if _, err := w.Write(f.Data); err != nil {
				t.Fatal(err)
			}
			if err := tw.WriteHeader(&tar.Header{Name: "./" + top + f.Path, Size: int64(len(f.Data)), Mode: 0o644}); err != nil {
				t.Fatal(err)
			}
			if _, err := tw.Write(f.Data); err != nil {
				t.Fatal(err)
			}
		}
		for _, c := range []interface{ Close() error }{zw, tw, gw} {
			if err := c.Close(); err != nil {
				t.Fatal(err)
			}
		}
		for kind, archive := range map[string][]byte{"zip": z.Bytes(), "tar.gz": g.Bytes()} {
			fsys, err := OpenArchive(bytes.NewReader(archive), int64(len(archive)))
			if err != nil {
				t.Fatal(err)
			}
			if v := mustVerify(t, fsys); !v.OK() || v.Recomputed != len(files)-1 {
				t.Errorf("%s under %q: %+v", kind, top, v)
			}
			if _, err := OpenArchive(bytes.NewReader(archive[:len(archive)/2]), int64(len(archive)/2)); err == nil {
				t.Errorf("half a %s opens", kind)
			}
		}
	}
	if _, err := OpenArchive(strings.NewReader("hello"), 5); err == nil {
		t.Error("a text opens as an archive")
	}
	var g bytes.Buffer
	gw := gzip.NewWriter(&g)
	tw := tar.NewWriter(gw)
	if err := tw.WriteHeader(&tar.Header{Name: "../out.txt", Size: 0}); err != nil {
		t.Fatal(err)
	}
	tw.Close()
	gw.Close()
	if _, err := OpenArchive(bytes.NewReader(g.Bytes()), int64(g.Len())); err == nil || !strings.Contains(err.Error(), "leads out") {
		t.Errorf("a path out of the archive: %v", err)
	}
}

// data/folder is taken away by those who want to compute everything again: it has
// to be a whole folder, pictures included.
func TestThePublishedFolderCanBePublishedAgain(t *testing.T) {
	m := asFS(publish(t, sampleproject.Files(), PublishOptions{}).Files)
	folder, err := fs.Sub(m, strings.TrimSuffix(data.Inputs, "/"))
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range Open(folder).Findings {
		if f.Severity == schema.Error {
			t.Errorf("%s: %s: %s", f.Place, f.Rule, f.Message)
		}
	}
	again := asFS(publish(t, folder, PublishOptions{}).Files)
	for _, name := range []string{"media/open-case.svg", "data/figures.csv", "index.html"} {
		if a, b := string(m[name].Data), string(again[name].Data); a == "" || a != b {
			t.Errorf("%s is another one when it is published from the site's own folder", name)
		}
	}
}

// The inputs of a site look like the folder that it was made from.
func TestInputsAreAFileSystem(t *testing.T) {
	m := asFS(publish(t, sampleproject.Files(), PublishOptions{}).Files)
	inputs, err := inputsOf(m)
	if err != nil {
		t.Fatal(err)
	}
	if err := fstest.TestFS(inputs, "report.yaml", "results/first-day.csv", "media/open-case.svg"); err != nil {
		t.Error(err)
	}
}
