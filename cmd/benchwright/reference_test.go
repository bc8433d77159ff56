package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"benchwright/project"
	"benchwright/schema"
	"benchwright/starter"
)

// TestReferenceIsUpToDate holds docs/reference against the code.
func TestReferenceIsUpToDate(t *testing.T) {
	term := newTerminal(&bytes.Buffer{}, &bytes.Buffer{})
	pages, err := referencePages(rootCommand(term, strings.NewReader("")))
	if err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join("..", "..", "docs", "reference")
	if *update {
		if err := os.MkdirAll(dir, 0o755); err != nil {
			t.Fatal(err)
		}
	}
	for name, want := range pages {
		file := filepath.Join(dir, name)
		if *update {
			if err := os.WriteFile(file, want, 0o644); err != nil {
				t.Fatal(err)
			}
			continue
		}
		got, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got, want) {
			t.Errorf("docs/reference/%s is not what the code says; run with -update", name)
		}
	}
}

// The example tables of the reference are results of the folder that start
// writes, and hold what the text beside them says.
func TestReferenceTablesCanBeRead(t *testing.T) {
	for name, c := range map[string]struct {
		table    string
		readings int
	}{"long": {exampleLong, 5}, "wide": {exampleWide, 4}} {
		dir := filepath.Join(t.TempDir(), "bench")
		if _, err := starter.Write(dir, starter.Files()); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, "results", "first-evening.csv"), []byte(c.table), 0o644); err != nil {
			t.Fatal(err)
		}
		folder, findings := schema.Read(os.DirFS(dir))
		p, more := project.Load(folder)
		for _, f := range append(findings, more...) {
			if f.Severity == schema.Error {
				t.Errorf("%s: %s %s", name, f.Place, f.Message)
			}
		}
		if p == nil || len(p.Readings) != c.readings {
			t.Fatalf("%s: %+v", name, p)
		}
		hung := 0
		for _, r := range p.Readings {
			if r.Outcome == project.Hung {
				if hung++; r.HasValue || p.Workloads[r.Workload].ID != "case-temperature" {
					t.Errorf("%s: %+v hung", name, r)
				}
			}
		}
		if hung != 1 {
			t.Errorf("%s: %d readings hung", name, hung)
		}
	}
}

// TestHelpFitsAScreen: 80 columns for every command, 24 lines for the root.
func TestHelpFitsAScreen(t *testing.T) {
	var out bytes.Buffer
	term := newTerminal(&out, &out)
	root := rootCommand(term, strings.NewReader(""))
	var names []string
	for _, c := range root.Commands() {
		names = append(names, c.Name())
	}
	for _, name := range append(names, "") {
		out.Reset()
		args := []string{name, "--help"}
		if name == "" {
			args = args[1:]
		}
		if code := run(args, strings.NewReader(""), &out, &out); code != exitFine {
			t.Errorf("%v ended with %d", args, code)
		}
		lines := strings.Split(strings.TrimRight(out.String(), "\n"), "\n")
		for _, line := range lines {
			if n := len([]rune(line)); n > 80 {
				t.Errorf("%v: a line of %d characters: %s", args, n, line)
			}
		}
		if name != "completion" && len(lines) > 40 {
			t.Errorf("%v: %d lines", args, len(lines))
		}
	}
}
