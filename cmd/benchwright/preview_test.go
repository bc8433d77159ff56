package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"benchwright/preview"
	"benchwright/render/site"
	"benchwright/starter"
)

// TestTheFormAsksAndTakesAnAnswer goes through what the form of the preview does
// with a folder: it asks about an odd value, and writes it when told that it was
// read so.
func TestTheFormAsksAndTakesAnAnswer(t *testing.T) {
	dir := t.TempDir()
	if _, err := starter.Write(dir, starter.Files()); err != nil {
		t.Fatal(err)
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		t.Fatal(err)
	}
	s := &source{FS: root.FS(), name: dir, root: root}
	defer s.Close()
	recorder := benchRecorder(s)
	written := func() string {
		var all strings.Builder
		files, err := filepath.Glob(filepath.Join(dir, "results", "*.csv"))
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range files {
			text, err := os.ReadFile(f)
			if err != nil {
				t.Fatal(err)
			}
			all.Write(text)
		}
		return all.String()
	}
	before := written()
	entry := preview.Entry{Configuration: "two-fans", Workload: "compile", Session: "first-evening"}

	for _, c := range []struct {
		value       string
		evenSo      bool
		doubt, done string // part of them; all empty for a fault
	}{
		{value: "3015", doubt: "decimal point out of place; is it 301.5?"},
		{value: "12,5", doubt: "12.5 "},
		{value: "301,500"},
		{value: "301,4", done: `"301,4" was read as 301.4`},
		{value: "0x1p4"},
		{value: "inf"},
		{value: "3015", evenSo: true, done: "Written to results/"},
		{value: "301500 ms", done: "Written to results/"},
	} {
		entry.Value, entry.EvenSo = c.value, c.evenSo
		got := recorder.Record(entry)
		switch {
		case c.done == "" && c.doubt == "" && len(got.Faults) == 0,
			c.doubt == "" && got.Doubt != "" || !strings.Contains(got.Doubt, c.doubt),
			c.done == "" && got.Done != "" || !strings.Contains(got.Done, c.done):
			t.Errorf("%q, even so %v: %+v", c.value, c.evenSo, got)
		}
		if strings.Contains(got.Doubt+strings.Join(got.Faults, " "), "--") {
			t.Errorf("%q: the form speaks of a flag: %+v", c.value, got)
		}
		if now := written(); (now != before) != (c.done != "") {
			t.Errorf("%q, even so %v: the files changed: %v", c.value, c.evenSo, now != before)
		} else {
			before = now
		}
	}
}

// TestFormsOfSeveralDevicesWaitForEachOther: what is sent at the same time is
// all written.
func TestFormsOfSeveralDevicesWaitForEachOther(t *testing.T) {
	dir := t.TempDir()
	if _, err := starter.Write(dir, starter.Files()); err != nil {
		t.Fatal(err)
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		t.Fatal(err)
	}
	s := &source{FS: root.FS(), name: dir, root: root}
	defer s.Close()
	recorder := benchRecorder(s)
	const devices = 8
	answers := make([]preview.Answer, devices)
	var all sync.WaitGroup
	for i := range devices {
		all.Add(1)
		go func() {
			defer all.Done()
			answers[i] = recorder.Record(preview.Entry{Configuration: "two-fans", Workload: "compile", Session: "first-evening", Value: fmt.Sprintf("301.%d", i)})
		}()
	}
	all.Wait()
	for i, a := range answers {
		if a.Done == "" {
			t.Errorf("device %d: %+v", i, a)
		}
	}
}

// A folder that was broken from the beginning has no last good site.
func TestPreviewSaysWhatIsServed(t *testing.T) {
	broken := true
	s := preview.New(func() (preview.Built, error) {
		if broken {
			return preview.Built{}, nil
		}
		return preview.Built{Files: []site.File{{Path: "index.html", Data: []byte("<p>good</p>")}}}, nil
	})
	state, _ := s.Rebuild()
	if said := whatIsServed(state); !state.Broken || !strings.Contains(said, "no site to serve yet") {
		t.Errorf("at first: %s", said)
	}
	broken = false
	s.Rebuild()
	broken = true
	state, _ = s.Rebuild()
	if said := whatIsServed(state); !state.Broken || !strings.Contains(said, "last good site") {
		t.Errorf("after a good one: %s", said)
	}
}
