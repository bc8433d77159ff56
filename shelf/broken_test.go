package shelf

import (
	"flag"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/rogpeppe/go-internal/txtar"
)

var update = flag.Bool("update", false, "write the golden files anew")

const (
	wholeShelf    = "../testdata/shelf"
	brokenShelves = "../testdata/broken/shelf"
)

// whole is the shelf of three invented boards that has no fault.
func whole(t testing.TB) fstest.MapFS {
	t.Helper()
	m := fstest.MapFS{}
	disk := os.DirFS(wholeShelf)
	err := fs.WalkDir(disk, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := fs.ReadFile(disk, name)
		m[name] = &fstest.MapFile{Data: data}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// change applies one file of a case: "remove NAME" and "rename OLD NEW" take a
// file or a folder, "edit NAME" has lines to take out (with "- " before them)
// and to put in their place ("+ "), any other name replaces or adds a file.
func change(m fstest.MapFS, f txtar.File) error {
	verb, rest, _ := strings.Cut(f.Name, " ")
	switch verb {
	case "remove", "rename":
		old, to, _ := strings.Cut(rest, " ")
		moved := 0
		for name, file := range m {
			if name != old && !strings.HasPrefix(name, old+"/") {
				continue
			}
			moved++
			delete(m, name)
			if verb == "rename" {
				m[to+strings.TrimPrefix(name, old)] = file
			}
		}
		if moved == 0 {
			return fmt.Errorf("there is no %q", old)
		}
	case "edit":
		if m[rest] == nil {
			return fmt.Errorf("there is no %q", rest)
		}
		text := "\n" + string(m[rest].Data)
		for _, block := range regexp.MustCompile(`(?m)(?:^- .*\n)+(?:^\+ .*\n)*`).FindAllString(string(f.Data), -1) {
			old, put := "\n", "\n"
			for line := range strings.Lines(block) {
				if line[0] == '-' {
					old += line[2:]
				} else {
					put += line[2:]
				}
			}
			if strings.Count(text, old) != 1 {
				return fmt.Errorf("%q stands in %s %d times, not once", old, rest, strings.Count(text, old))
			}
			text = strings.Replace(text, old, put, 1)
		}
		m[rest] = &fstest.MapFile{Data: []byte(text[1:])}
	default:
		m[f.Name] = &fstest.MapFile{Data: f.Data}
	}
	return nil
}

// edited is the whole shelf with one file changed.
func edited(t testing.TB, name, lines string) fstest.MapFS {
	t.Helper()
	m := whole(t)
	if err := change(m, txtar.File{Name: "edit " + name, Data: []byte(lines)}); err != nil {
		t.Fatal(err)
	}
	return m
}

// printed writes findings as the golden files have them.
func printed(s *Shelf) string {
	var b strings.Builder
	for _, f := range s.Findings {
		fmt.Fprintf(&b, "%s: %s: %s [%s]\n", f.Place, f.Severity, f.Message, f.Rule)
		if f.Excerpt != "" {
			fmt.Fprintf(&b, "%5d | %s\n      | %s\n", f.Line, f.Excerpt, f.Marker())
		}
		if f.Remedy != "" {
			fmt.Fprintf(&b, "    %s\n", f.Remedy)
		}
		for _, r := range f.Related {
			fmt.Fprintf(&b, "    %s: %s\n", r.Place, r.Message)
		}
	}
	fmt.Fprintf(&b, "unusable: %v, unreadable: %v\n", s.Unusable(), s.Unreadable())
	return b.String()
}

func TestTheWholeShelfHasNoFault(t *testing.T) {
	if s := Open(whole(t)); len(s.Findings) > 0 || s.Unusable() || s.Unreadable() {
		t.Error(printed(s))
	}
}

func TestBrokenShelves(t *testing.T) {
	paths, err := filepath.Glob(filepath.Join(brokenShelves, "*.txtar"))
	if err != nil {
		t.Fatal(err)
	}
	if len(paths) < 15 {
		t.Errorf("there are only %d cases", len(paths))
	}
	for _, path := range paths {
		t.Run(strings.TrimSuffix(filepath.Base(path), ".txtar"), func(t *testing.T) {
			a, err := txtar.ParseFile(path)
			if err != nil {
				t.Fatal(err)
			}
			m := whole(t)
			for _, f := range a.Files {
				if err := change(m, f); err != nil {
					t.Fatal(err)
				}
			}
			got := printed(Open(m))
			golden := strings.TrimSuffix(path, ".txtar") + ".golden"
			if *update {
				if err := os.WriteFile(golden, []byte(got), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(golden)
			if err != nil {
				t.Fatal(err)
			}
			if got != string(want) {
				t.Errorf("got:\n%s\nwant:\n%s", got, want)
			}
		})
	}
}

// Every rule about reports that stand together has a case that shows it.
func TestEveryRuleIsShown(t *testing.T) {
	paths, err := filepath.Glob(filepath.Join(brokenShelves, "*.golden"))
	if err != nil {
		t.Fatal(err)
	}
	var all strings.Builder
	for _, path := range paths {
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		all.Write(text)
	}
	for _, r := range Rules() {
		if !regexp.MustCompile(`(?m): ` + r.Severity.String() + `: .* \[` + r.Name + `\]$`).MatchString(all.String()) {
			t.Errorf("no case shows %q with severity %s", r.Name, r.Severity)
		}
	}
}
