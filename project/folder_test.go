package project

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"benchwright/schema"

	"github.com/rogpeppe/go-internal/txtar"
)

var update = flag.Bool("update", false, "write the golden files anew")

const brokenFolder = "../testdata/broken/project"

// base is the small folder without a fault that the tests start from.
func base(t testing.TB) fstest.MapFS {
	t.Helper()
	archive, err := txtar.ParseFile(filepath.Join(brokenFolder, "base.txtar"))
	if err != nil {
		t.Fatal(err)
	}
	folder := fstest.MapFS{}
	for _, f := range archive.Files {
		folder[f.Name] = &fstest.MapFile{Data: f.Data}
	}
	return folder
}

// overlay changes a folder as a case says: a file of the archive replaces or
// adds one; a file "edit NAME" holds lines to take out (with "- " before them)
// and lines to put in the place of the first of them (with "+ "); "remove NAME"
// takes a file away.
func overlay(folder fstest.MapFS, archive *txtar.Archive) error {
	for _, f := range archive.Files {
		switch name, edit := strings.CutPrefix(f.Name, "edit "); {
		case edit:
			if folder[name] == nil {
				return fmt.Errorf("there is no file %s to edit", name)
			}
			text, err := edited(string(folder[name].Data), string(f.Data))
			if err != nil {
				return fmt.Errorf("editing %s: %w", name, err)
			}
			folder[name] = &fstest.MapFile{Data: []byte(text)}
		case strings.HasPrefix(f.Name, "remove "):
			delete(folder, strings.TrimPrefix(f.Name, "remove "))
		default:
			folder[f.Name] = &fstest.MapFile{Data: f.Data}
		}
	}
	return nil
}

// edited applies the blocks of an edit: one or more "- " lines, which must
// stand in the text one after the other, and the "+ " lines that replace them.
func edited(text, edit string) (string, error) {
	var out, in []string
	apply := func() error {
		if len(out) == 0 {
			return nil
		}
		old := "\n" + strings.Join(out, "\n") + "\n"
		if strings.Count("\n"+text, old) != 1 {
			return fmt.Errorf("the lines %q stand in it %d times, not once", out, strings.Count("\n"+text, old))
		}
		replacement := "\n"
		if len(in) > 0 {
			replacement = "\n" + strings.Join(in, "\n") + "\n"
		}
		text = strings.TrimPrefix(strings.Replace("\n"+text, old, replacement, 1), "\n")
		out, in = nil, nil
		return nil
	}
	for line := range strings.Lines(edit) {
		line = strings.TrimSuffix(line, "\n")
		switch {
		case strings.HasPrefix(line, "- "):
			if len(in) > 0 {
				if err := apply(); err != nil {
					return "", err
				}
			}
			out = append(out, line[2:])
		case strings.HasPrefix(line, "+ "):
			in = append(in, line[2:])
		case line != "":
			return "", fmt.Errorf("the line %q starts with neither - nor +", line)
		}
	}
	return text, apply()
}

// load reads and loads a folder; findings of both steps come back.
func load(folder fstest.MapFS) (*Project, []schema.Finding) {
	read, findings := schema.Read(folder)
	p, more := Load(read)
	return p, schema.Sort(append(findings, more...))
}

// loadEdited loads the base with lines of one file changed.
func loadEdited(t *testing.T, edits map[string]string) (*Project, []schema.Finding) {
	t.Helper()
	folder := base(t)
	archive := &txtar.Archive{}
	for name, edit := range edits {
		archive.Files = append(archive.Files, txtar.File{Name: name, Data: []byte(edit)})
	}
	if err := overlay(folder, archive); err != nil {
		t.Fatal(err)
	}
	return load(folder)
}

// printed writes findings as the golden files have them.
func printed(findings []schema.Finding) string {
	var b strings.Builder
	for _, f := range findings {
		fmt.Fprintf(&b, "%s: %s: %s [%s]\n", f.Place, f.Severity, f.Message, f.Rule)
		if f.Remedy != "" {
			fmt.Fprintf(&b, "    %s\n", f.Remedy)
		}
		for _, r := range f.Related {
			fmt.Fprintf(&b, "    %s: %s\n", r.Place, r.Message)
		}
	}
	return b.String()
}

// golden compares with a file, or writes it.
func golden(t *testing.T, path, got string) {
	t.Helper()
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatalf("no golden file (make it with -update): %v", err)
	}
	if got != string(want) {
		t.Errorf("%s differs\ngot:\n%s\nwant:\n%s", path, got, want)
	}
}
