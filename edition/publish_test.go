package edition

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"testing/fstest"

	"benchwright/render/site"
	sampleproject "benchwright/sample-project"
)

// Publishing again writes nothing; one reading more writes what it touches, and
// the site says so, verifies, and keeps saying so.
func TestAnEditionOnTopOfAnother(t *testing.T) {
	at := filepath.Join(t.TempDir(), "site")
	write := func(fsys fstest.MapFS) (*Publication, site.Result) {
		t.Helper()
		p := publish(t, fsys, PublishOptions{Previous: at})
		result, err := site.Write(at, p.Files)
		if err != nil {
			t.Fatal(err)
		}
		if v := mustVerify(t, os.DirFS(at)); !v.OK() {
			t.Fatalf("the site does not verify: %+v", v)
		}
		return p, result
	}
	sample := folder(t, sampleproject.Files())
	if p, _ := write(sample); p.Report.Changes != nil {
		t.Error("a first edition has changes")
	}
	if _, result := write(sample); result.Written+result.Removed > 0 {
		t.Errorf("publishing again writes %v", result.Changed)
	}
	replace(t, sample, "report.yaml", "date: 2026-03-01", "date: 2026-04-01")
	sample["results/third-day.csv"].Data = append(bytes.Clone(sample["results/third-day.csv"].Data), "third-day,99,one-15-thin,9,ok,,112.3,236.0,17801,3188,415.9,34.4,22.9\n"...)
	p, _ := write(sample)
	if c := p.Report.Changes; c == nil || len(c.New) != 7 || c.Since != "2026-03-01" {
		t.Errorf("%+v", c)
	}
	if p, result := write(sample); result.Written > 0 || len(p.Report.Changes.New) != 7 {
		t.Errorf("publishing the second edition again writes %v", result.Changed)
	}
}

// What the folder says beside its readings is held against what it said, and a
// site that tells of it verifies.
func TestAnotherFirmwareIsSaid(t *testing.T) {
	at := filepath.Join(t.TempDir(), "site")
	sample := folder(t, sampleproject.Files())
	if _, err := site.Write(at, publish(t, sample, PublishOptions{}).Files); err != nil {
		t.Fatal(err)
	}
	replace(t, sample, "report.yaml", "date: 2026-03-01", "date: 2026-04-01")
	sample["bench.yaml"].Data = append(bytes.Clone(sample["bench.yaml"].Data), "# a remark\n"...)
	sample["notes/the-wrong-clock.md"].Data = append(bytes.Clone(sample["notes/the-wrong-clock.md"].Data), "\nOne more word.\n"...)
	p := publish(t, sample, PublishOptions{Previous: at})
	if c := p.Report.Changes; c.Nothing || len(c.Sentences) != 1 || !strings.HasPrefix(c.Sentences[0].Text, "What bench.yaml and notes/the-wrong-clock.md say has changed; no reading") {
		t.Errorf("%+v", c)
	}
	if _, err := site.Write(at, p.Files); err != nil {
		t.Fatal(err)
	}
	if v := mustVerify(t, os.DirFS(at)); !v.OK() {
		t.Errorf("%+v", v)
	}
}

// Files that are handed on one by one are those of the publication at once.
func TestHandedOnFilesAreTheSame(t *testing.T) {
	sample := folder(t, sampleproject.Files())
	want := publish(t, sample, PublishOptions{BaseAddress: "https://bench.example/"}).Files
	var mu sync.Mutex
	got := map[string][]byte{}
	last := ""
	p := publish(t, sample, PublishOptions{BaseAddress: "https://bench.example/", Take: func(f site.File) error {
		mu.Lock()
		defer mu.Unlock()
		if _, twice := got[f.Path]; twice {
			t.Errorf("%s is handed on twice", f.Path)
		}
		got[f.Path], last = bytes.Clone(f.Data), f.Path
		return nil
	}})
	if len(p.Files) != 0 || last != site.Sums {
		t.Errorf("%d files are kept, and the last one handed on is %q", len(p.Files), last)
	}
	if len(got) != len(want) {
		t.Errorf("%d files, want %d", len(got), len(want))
	}
	for _, f := range want {
		if !bytes.Equal(got[f.Path], f.Data) {
			t.Errorf("%s is not the same", f.Path)
		}
	}
}

// A taker that fails ends the publication, and its error comes back.
func TestTakerThatFails(t *testing.T) {
	full := errors.New("the disk is full")
	for after := range 12 {
		var n atomic.Int64
		e := Open(sampleproject.Files())
		_, err := e.Publish(PublishOptions{Take: func(site.File) error {
			if int(n.Add(1)) > after*12 {
				return full
			}
			return nil
		}})
		if !errors.Is(err, full) {
			t.Errorf("after %d files: %v", after*12, err)
		}
	}
}

// What the tool does not read is the author's business.
func TestUnreadFilesAreNotNamed(t *testing.T) {
	sample := folder(t, sampleproject.Files())
	sample["offer-for-the-sponsor.txt"] = &fstest.MapFile{Data: []byte("secret price\n")}
	p := publish(t, sample, PublishOptions{})
	for _, f := range p.Files {
		if bytes.Contains(f.Data, []byte("offer-for-the-sponsor")) || bytes.Contains(f.Data, []byte("secret price")) {
			t.Errorf("%s tells of a file that is not read", f.Path)
		}
	}
	if v := mustVerify(t, asFS(p.Files)); !v.OK() {
		t.Errorf("without that file the site does not verify: %+v", v)
	}
}

func TestAnOldSiteThatCannotBeReadStopsPublishing(t *testing.T) {
	dir := t.TempDir()
	if err := os.Mkdir(filepath.Join(dir, "data"), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "data", "report.json"), []byte("{"), 0o644); err != nil {
		t.Fatal(err)
	}
	_, err := Open(sampleproject.Files()).Publish(PublishOptions{Previous: dir})
	if err == nil || !strings.Contains(err.Error(), "old site") {
		t.Errorf("%v", err)
	}
	if _, err := Open(sampleproject.Files()).Publish(PublishOptions{Previous: filepath.Join(dir, "nowhere")}); err != nil {
		t.Errorf("a folder that is not there: %v", err)
	}
	if _, err := Open(sampleproject.Files()).Publish(PublishOptions{Theme: "tartan"}); err == nil {
		t.Error("a theme that is not there")
	}
}
