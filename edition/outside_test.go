package edition

import (
	"bytes"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"benchwright/render/site"
	sampleproject "benchwright/sample-project"
	"benchwright/schema"
)

const sent = "viewers/ottilie.csv"

// With a viewer's file and without: every figure, answer, chart, page and table
// has the same bytes but those that show outside readings, or list files.
func TestAViewersFileChangesNoFigure(t *testing.T) {
	with := folder(t, sampleproject.Files())
	without := maps.Clone(with)
	delete(without, sent)
	a, b := asFS(publish(t, with, PublishOptions{}).Files), asFS(publish(t, without, PublishOptions{}).Files)
	own := map[string]bool{ // what may differ
		"yours.html": true, "data.html": true, "data/datapackage.json": true, site.Sums: true,
		"data/outside-readings.csv": true, "data/folder/" + sent: true,
	}
	same := 0
	for name := range a {
		if own[name] {
			continue
		}
		got, want := string(a[name].Data), ""
		if b[name] != nil {
			want = string(b[name].Data)
		}
		switch {
		case name == "data/report.json": // tells how many there are
			got = strings.Replace(got, "\"outsideReadings\": 8,\n", "", 1)
		case strings.HasPrefix(name, "workloads/"): // points to them
			for _, more := range []string{" · 1 reading from another machine", " · 3 readings from other machines"} {
				got = strings.Replace(got, more, "", 1)
			}
		}
		if got != want {
			t.Errorf("%s is another with a viewer's file", name)
		}
		same++
	}
	for name := range b {
		if a[name] == nil {
			t.Errorf("%s is gone with a viewer's file", name)
		}
	}
	for _, name := range []string{"data/answers.json", "data/figures.csv", "data/readings.csv", "data/composites.csv", "data/comparisons.csv", "data/findings.json", "index.html", "feed.atom", "assets/figures.data.js"} {
		if a[name] == nil {
			t.Errorf("there is no %s", name)
		}
	}
	if same < 130 {
		t.Errorf("only %d files were compared", same)
	}
	for _, name := range []string{"yours.html", "data/outside-readings.csv"} {
		if !bytes.Contains(a[name].Data, []byte("Ottilie")) {
			t.Errorf("%s does not name the viewer", name)
		}
	}
	if b["data/outside-readings.csv"] != nil || bytes.Contains(b["yours.html"].Data, []byte("outside-table")) {
		t.Error("a report without outside readings shows a table of them")
	}
	if b["data/viewer-template.csv"] == nil || !bytes.HasPrefix(b["data/viewer-template.csv"].Data, []byte("viewer,machine,workload,value,unit,date,note\n,,file-serving,,MB/s,,\n")) {
		t.Error("the site offers no template")
	}
}

// What is wrong in a viewer's file is a finding with its place, and stops a
// publication as any file does that cannot be understood.
func TestAWrongViewersFileIsAFinding(t *testing.T) {
	for name, c := range map[string]struct{ text, place, message string }{
		"a workload that is not there": {"viewer,machine,workload,value\nMarsh,mine,transcoed,50\n", "viewers/marsh.csv:2:12", `there is no workload "transcoed"`},
		"a word for a number":          {"viewer,machine,workload,value\nMarsh,mine,transcode,fast\n", "viewers/marsh.csv:2:22", `"fast" is not a number`},
		"a formula for a name":         {"viewer,machine,workload,value\n=1+1,mine,transcode,50\n", "viewers/marsh.csv:2:1", "for a formula"},
		"a column too few":             {"viewer,machine,workload\nMarsh,mine,transcode\n", "viewers/marsh.csv:1:1", `the column "value" is missing`},
		"a unit of another dimension":  {"viewer,machine,workload,value,unit\nMarsh,mine,transcode,50,K\n", "viewers/marsh.csv:2:25", "cannot be converted"},
	} {
		m := folder(t, sampleproject.Files())
		m["viewers/marsh.csv"] = &fstest.MapFile{Data: []byte(c.text)}
		e := Open(m)
		if !e.Unusable() || !slices.ContainsFunc(e.Findings, func(f schema.Finding) bool {
			return f.Severity == schema.Error && f.Place.String() == c.place && strings.Contains(f.Message, c.message)
		}) {
			t.Errorf("%s: %v", name, e.Findings)
		}
	}
	// The same file once more, under another name, would count twice.
	twice := folder(t, sampleproject.Files())
	twice["viewers/ottilie-copy.csv"] = twice[sent]
	e := Open(twice)
	if !e.Unusable() || len(e.outside) != 8 || !slices.ContainsFunc(e.Findings, func(f schema.Finding) bool {
		return f.Rule == "duplicate-reading" && f.File == "viewers/ottilie-copy.csv" && strings.Contains(f.Message, sent)
	}) {
		t.Errorf("a copy: %d readings, %v", len(e.outside), e.Findings)
	}
	// A file whose name is that of a licence is nobody's reading.
	m := folder(t, sampleproject.Files())
	m["viewers/NOTICE.csv"] = &fstest.MapFile{Data: []byte("all rights\n")}
	if e := Open(m); e.Unusable() {
		t.Errorf("%v", e.Findings)
	}
}

// A digit changed in what a viewer sent, or in the table made of it, shows.
func TestOutsideReadingsAreVerified(t *testing.T) {
	good := asFS(publish(t, sampleproject.Files(), PublishOptions{}).Files)
	for _, c := range []struct{ file, old, now, says string }{
		{"data/folder/" + sent, ",photo-indexing,2.94,", ",photo-indexing,1.94,", "data/outside-readings.csv"},
		{"data/folder/" + sent, ",photo-indexing,2.94,", ",photo-indexing,1.94,", "yours.html"},
		{"data/outside-readings.csv", ",database,2026-02-21,3907,", ",database,2026-02-21,3908,", "data/outside-readings.csv"},
		{"yours.html", "3870\u00a0tx/s", "3970\u00a0tx/s", "yours.html"},
		{"data/report.json", `"outsideReadings": 8`, `"outsideReadings": 9`, "data/report.json"},
		{"data/viewer-template.csv", "fps", "fpm", "data/viewer-template.csv"},
	} {
		m := maps.Clone(good)
		replace(t, m, c.file, c.old, c.now)
		forge(m)
		if v := mustVerify(t, m); v.OK() || !slices.ContainsFunc(v.Differences, func(d Difference) bool { return d.File == c.says }) {
			t.Errorf("%s for %s in %s: %v", c.now, c.old, c.file, v.Differences)
		}
	}
}

// A viewer's readings on top of an edition are news, and no new reading.
func TestAnEditionWithOneViewerMore(t *testing.T) {
	at := filepath.Join(t.TempDir(), "site")
	sample := folder(t, sampleproject.Files())
	if _, err := site.Write(at, publish(t, sample, PublishOptions{}).Files); err != nil {
		t.Fatal(err)
	}
	replace(t, sample, "report.yaml", "date: 2026-03-01", "date: 2026-04-01")
	sample["viewers/marsh.csv"] = &fstest.MapFile{Data: []byte("viewer;machine;workload;value;unit\nMarsh;mine;transcode;50,5;fps\n")}
	p := publish(t, sample, PublishOptions{Previous: at})
	c := p.Report.Changes
	if c == nil || len(c.New)+len(c.Figures) > 0 || len(c.Sentences) != 1 || !strings.HasPrefix(c.Sentences[0].Text, "1 outside reading was added") {
		t.Fatalf("%+v", c)
	}
	if _, err := site.Write(at, p.Files); err != nil {
		t.Fatal(err)
	}
	if v := mustVerify(t, os.DirFS(at)); !v.OK() {
		t.Errorf("%+v", v)
	}
}
