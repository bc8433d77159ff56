package schema

import (
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"golang.org/x/text/encoding/unicode"

	"github.com/rogpeppe/go-internal/txtar"
)

var update = flag.Bool("update", false, "write the golden files anew")

// brokenFolder holds folders with one fault each, as archives that lay their
// files over base.txtar. A line "without: NAME" takes a file away.
const brokenFolder = "../testdata/broken"

func archive(t *testing.T, name string) *txtar.Archive {
	t.Helper()
	a, err := txtar.ParseFile(filepath.Join(brokenFolder, name+".txtar"))
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// baseFiles gives the folder that is right.
func baseFiles(t *testing.T) map[string][]byte {
	files := map[string][]byte{}
	for _, f := range archive(t, "base").Files {
		files[f.Name] = f.Data
	}
	return files
}

func caseFiles(t *testing.T, name string) map[string][]byte {
	files := baseFiles(t)
	a := archive(t, name)
	for line := range strings.Lines(string(a.Comment)) {
		if gone, ok := strings.CutPrefix(strings.TrimSpace(line), "without: "); ok {
			if _, there := files[gone]; !there {
				t.Fatalf("%q is not in the base", gone)
			}
			delete(files, gone)
		}
	}
	for _, f := range a.Files {
		files[f.Name] = f.Data
	}
	return files
}

func memory(files map[string][]byte) fstest.MapFS {
	fsys := fstest.MapFS{}
	for name, data := range files {
		fsys[name] = &fstest.MapFile{Data: data}
	}
	return fsys
}

// readAll reads a folder and the tables in it, as the model does.
func readAll(fsys fs.FS) []Finding {
	folder, all := Read(fsys)
	var declared *Dialect
	if folder.Report != nil {
		if csv := keyNode(folder.Report.Root, "csv"); csv != nil {
			declared = &Dialect{Separator: ';', Decimal: ','}
		}
	}
	for _, path := range folder.Results {
		table, found := OpenTable(fsys, path, declared)
		all = append(all, found...)
		if table == nil {
			continue
		}
		for {
			if _, ok := table.Next(); !ok {
				break
			}
		}
		all = append(all, table.Findings()...)
	}
	return folder.Excerpts(Sort(all))
}

// printed lays findings out as a terminal would.
func printed(all []Finding) string {
	var b strings.Builder
	for _, f := range all {
		fmt.Fprintf(&b, "%s: %s: %s (%s)\n", f.Place, f.Severity, f.Message, f.Rule)
		if f.Excerpt != "" {
			fmt.Fprintf(&b, "%5d | %s\n      | %s\n", f.Line, f.Excerpt, f.Marker())
		}
		if f.Remedy != "" {
			fmt.Fprintf(&b, "   %s\n", f.Remedy)
		}
		for _, r := range f.Related {
			fmt.Fprintf(&b, "   %s: %s\n", r.Place, r.Message)
		}
	}
	return b.String()
}

func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join(brokenFolder, name+".golden")
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("got:\n%s\nwant:\n%s", got, want)
	}
}

func TestTheBaseIsRight(t *testing.T) {
	if all := readAll(memory(baseFiles(t))); len(all) > 0 {
		t.Errorf("findings:\n%s", printed(all))
	}
}

func TestBrokenFolders(t *testing.T) {
	paths, err := filepath.Glob(filepath.Join(brokenFolder, "*.txtar"))
	if err != nil {
		t.Fatal(err)
	}
	if len(paths) < 50 {
		t.Fatalf("only %d archives", len(paths))
	}
	for _, path := range paths {
		name := strings.TrimSuffix(filepath.Base(path), ".txtar")
		if name == "base" {
			continue
		}
		t.Run(name, func(t *testing.T) {
			files := caseFiles(t, name)
			all := readAll(memory(files))
			if len(all) == 0 {
				t.Fatal("nothing was found")
			}
			for _, f := range all {
				if f.Remedy == "" && f.Severity == Error {
					t.Errorf("an error without a remedy: %+v", f)
				}
			}
			golden(t, name, printed(all))
			inside(t, &Folder{FS: memory(files)}, all, files)
		})
	}
}

// Faults that a text archive cannot hold. Each changes a folder on disk, which
// is read through an os.Root as the command does.
func TestBrokenFoldersOnDisk(t *testing.T) {
	write := func(name string, data []byte) func(t *testing.T, dir string) {
		return func(t *testing.T, dir string) {
			if err := os.WriteFile(filepath.Join(dir, name), data, 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
	change := func(name string, by func([]byte) []byte) func(t *testing.T, dir string) {
		return func(t *testing.T, dir string) {
			data, err := os.ReadFile(filepath.Join(dir, name))
			if err != nil {
				t.Fatal(err)
			}
			write(name, by(data))(t, dir)
		}
	}
	replace := func(old, new string) func([]byte) []byte {
		return func(b []byte) []byte {
			out := strings.Replace(string(b), old, new, 1)
			if out == string(b) {
				panic("nothing was replaced")
			}
			return []byte(out)
		}
	}
	crlf := func(b []byte) []byte { return []byte(strings.ReplaceAll(string(b), "\n", "\r\n")) }
	mark := func(b []byte) []byte { return append([]byte("\xef\xbb\xbf"), b...) }
	utf16 := func(b []byte) []byte {
		out, err := unicode.UTF16(unicode.LittleEndian, unicode.UseBOM).NewEncoder().Bytes(b)
		if err != nil {
			panic(err)
		}
		return out
	}
	link := func(target, name string) func(t *testing.T, dir string) {
		return func(t *testing.T, dir string) {
			os.Remove(filepath.Join(dir, name))
			if err := os.Symlink(target, filepath.Join(dir, name)); err != nil {
				t.Skipf("no links here: %v", err)
			}
		}
	}
	for name, c := range map[string]struct {
		spoil func(t *testing.T, dir string)
		fine  bool
	}{
		"disk-yaml-crlf":             {change("bench.yaml", crlf), true},
		"disk-yaml-byte-order-mark":  {change("bench.yaml", mark), true},
		"disk-csv-crlf":              {change("results/evening.csv", crlf), true},
		"disk-yaml-crlf-fault":       {change("bench.yaml", func(b []byte) []byte { return crlf(mark(replace("tolerance: 2 %", "tolerence: 2 %")(b))) }), false},
		"disk-csv-byte-order-mark":   {change("results/evening.csv", mark), false},
		"disk-csv-crlf-fault":        {change("results/evening.csv", func(b []byte) []byte { return crlf(replace("evening,2,19.2", "evening,19.2")(b)) }), false},
		"disk-csv-nul":               {change("results/evening.csv", replace("copy,evening,2", "co\x00py,evening,2")), false},
		"disk-yaml-nul":              {change("sessions.yaml", replace("evening", "eve\x00ning")), false},
		"disk-yaml-utf16":            {change("workloads.yaml", utf16), false},
		"disk-csv-utf16":             {change("results/evening.csv", utf16), false},
		"disk-yaml-latin1":           {change("sessions.yaml", replace("°", "\xb0")), false},
		"disk-csv-latin1":            {change("results/evening.csv", replace("reference,copy,evening,2", "r\xe9f\xe9rence,copy,evening,2")), false},
		"disk-note-latin1":           {change("notes/method.md", replace("minute", "min\xfcte")), false},
		"disk-yaml-large":            {write("sessions.yaml", []byte(strings.Repeat("# a long remark\n", LargestText/16+1))), false},
		"disk-yaml-long-line":        {write("sessions.yaml", []byte("sessions: {}\n# "+strings.Repeat("x", LongestLine)+"\n")), false},
		"disk-csv-long-line":         {change("results/evening.csv", replace("reference,copy,evening,2", "reference,copy,"+strings.Repeat("x", 100<<20)+",2")), false},
		"disk-csv-large":             {sparse("results/evening.csv", LargestTable+1), false},
		"disk-link-out":              {link("/etc/hostname", "configurations/reference.yaml"), false},
		"disk-link-out-csv":          {link("../../elsewhere.csv", "results/evening.csv"), false},
		"disk-link-nowhere":          {link("absent.yaml", "sessions.yaml"), false},
		"disk-link-loop":             {link("bench.yaml", "bench.yaml"), false},
		"disk-link-to-folder-inside": {link("notes", "media"), false},
		"disk-nested-folder-link": {func(t *testing.T, dir string) {
			must(t, os.Mkdir(filepath.Join(dir, "media"), 0o755))
			link("../notes", "media/more")(t, dir)
		}, false},
		"disk-folder-deep": {func(t *testing.T, dir string) {
			must(t, os.MkdirAll(filepath.Join(dir, "media"+strings.Repeat("/in", 20)), 0o755))
		}, false},
		"disk-link-to-folder": {link("../notes", "media"), false},
		"disk-folder-for-file": {func(t *testing.T, dir string) {
			must(t, os.Remove(filepath.Join(dir, "sessions.yaml")), os.Mkdir(filepath.Join(dir, "sessions.yaml"), 0o755))
		}, false},
		"disk-empty-folder": {func(t *testing.T, dir string) { must(t, os.RemoveAll(dir), os.Mkdir(dir, 0o755)) }, false},
		"disk-only-hidden": {func(t *testing.T, dir string) {
			must(t, os.RemoveAll(dir), os.Mkdir(dir, 0o755))
			write(".keep", nil)(t, dir)
			write("README.md", nil)(t, dir)
		}, false},
		"disk-csv-ends-in-quote":    {change("results/evening.csv", func(b []byte) []byte { return append(b, `two-channels,copy,evening,4,"`...) }), false},
		"disk-yaml-separator-u2028": {change("report.yaml", replace("title: A second memory channel\n", "title: A\u2028second\nauthors: x\n")), false},
		"disk-hidden-files-and-such": {func(t *testing.T, dir string) {
			write(".DS", []byte{0})(t, dir)
			write("LICENCE.txt", nil)(t, dir)
			write("results/.keep", nil)(t, dir)
		}, true},
	} {
		t.Run(name, func(t *testing.T) {
			dir := filepath.Join(t.TempDir(), "report")
			for file, data := range baseFiles(t) {
				path := filepath.Join(dir, file)
				must(t, os.MkdirAll(filepath.Dir(path), 0o755), os.WriteFile(path, data, 0o644))
			}
			c.spoil(t, dir)
			root, err := os.OpenRoot(dir)
			if err != nil {
				t.Fatal(err)
			}
			defer root.Close()
			all := readAll(root.FS())
			if c.fine {
				if len(all) > 0 {
					t.Errorf("findings:\n%s", printed(all))
				}
				return
			}
			if len(all) == 0 {
				t.Fatal("nothing was found")
			}
			golden(t, name, printed(all))
		})
	}
}

func must(t *testing.T, errs ...error) {
	t.Helper()
	if err := errors.Join(errs...); err != nil {
		t.Fatal(err)
	}
}

// sparse makes a file of the given size that takes no room on the disk.
func sparse(name string, size int64) func(t *testing.T, dir string) {
	return func(t *testing.T, dir string) { must(t, os.Truncate(filepath.Join(dir, name), size)) }
}

// refusing is a file system that does not let some files be opened, or breaks
// off while they are read. Permissions on disk would not stop an administrator,
// who runs tests too.
type refusing struct {
	fs.FS
	open, read string
}

func (r refusing) Open(name string) (fs.File, error) {
	if name == r.open {
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrPermission}
	}
	f, err := r.FS.Open(name)
	if name == r.read && err == nil {
		return brokenOff{f}, nil
	}
	return f, err
}

func (r refusing) Stat(name string) (fs.FileInfo, error)      { return fs.Stat(r.FS, name) }
func (r refusing) ReadDir(name string) ([]fs.DirEntry, error) { return fs.ReadDir(r.FS, name) }

type brokenOff struct{ fs.File }

func (b brokenOff) Read(p []byte) (int, error) {
	return 0, &fs.PathError{Op: "read", Path: "somewhere", Err: errors.New("input/output error")}
}

func TestFilesThatRefuseToBeRead(t *testing.T) {
	for name, fsys := range map[string]refusing{
		"refused-yaml":          {open: "bench.yaml"},
		"refused-csv":           {open: "results/evening.csv"},
		"refused-note":          {open: "notes/method.md"},
		"refused-folder":        {open: "."},
		"breaks-off-yaml":       {read: "workloads.yaml"},
		"breaks-off-csv":        {read: "results/evening.csv"},
		"refused-configuration": {open: "configurations/reference.yaml"},
	} {
		t.Run(name, func(t *testing.T) {
			fsys.FS = memory(baseFiles(t))
			var from fs.FS = fsys
			if fsys.open == "." {
				from = struct{ fs.FS }{fsys} // its ReadDir opens the folder
			}
			golden(t, name, printed(readAll(from)))
		})
	}
}
