package site

import (
	"errors"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"
)

func files(pairs ...string) []File {
	var out []File
	for i := 0; i < len(pairs); i += 2 {
		out = append(out, File{pairs[i], []byte(pairs[i+1])})
	}
	return WithSums(out)
}

func mustWrite(t *testing.T, dir string, fs []File) Result {
	t.Helper()
	r, err := Write(dir, fs)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func read(t *testing.T, name string) string {
	t.Helper()
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

func TestUnchangedFilesKeepTimesAndStaleOnesGo(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "deep", "site")
	mustWrite(t, dir, files("index.html", "one", "a/b.html", "two", "gone/c.html", "three"))
	past := time.Date(2001, 2, 3, 4, 5, 6, 0, time.UTC)
	if err := os.Chtimes(filepath.Join(dir, "a/b.html"), past, past); err != nil {
		t.Fatal(err)
	}
	r := mustWrite(t, dir, files("index.html", "changed", "a/b.html", "two"))
	if want := []string{Sums, "index.html"}; strings.Join(r.Changed, " ") != strings.Join(want, " ") {
		t.Errorf("changed %v, want %v", r.Changed, want)
	}
	if r.Unchanged != 1 || r.Removed != 1 {
		t.Errorf("unchanged %d, removed %d; want 1 and 1", r.Unchanged, r.Removed)
	}
	info, err := os.Stat(filepath.Join(dir, "a/b.html"))
	if err != nil || !info.ModTime().Equal(past) {
		t.Errorf("the unchanged file has time %v (%v), want %v", info.ModTime(), err, past)
	}
	if _, err := os.Stat(filepath.Join(dir, "gone")); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("the folder of the stale file is still there: %v", err)
	}
	if got := read(t, filepath.Join(dir, "index.html")); got != "changed" {
		t.Errorf("index.html is %q", got)
	}
}

func TestForeignFilesStay(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "site")
	mustWrite(t, dir, files("index.html", "one"))
	for name, text := range map[string]string{"mine.txt": "mine", ".git/objects/ab": "blob"} {
		full := filepath.Join(dir, name)
		if err := os.MkdirAll(filepath.Dir(full), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(full, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Symlink("mine.txt", filepath.Join(dir, "link")); err != nil {
		t.Fatal(err)
	}
	if err := os.Mkdir(filepath.Join(dir, "empty"), 0o755); err != nil {
		t.Fatal(err)
	}
	before, _ := os.Stat(filepath.Join(dir, "mine.txt"))
	mustWrite(t, dir, files("index.html", "two"))
	after, err := os.Stat(filepath.Join(dir, "mine.txt"))
	if err != nil || !os.SameFile(before, after) || after.Mode() != before.Mode() {
		t.Errorf("the foreign file was touched: %v", err)
	}
	if got := read(t, filepath.Join(dir, ".git/objects/ab")); got != "blob" {
		t.Errorf("a file in a foreign folder is %q", got)
	}
	if target, err := os.Readlink(filepath.Join(dir, "link")); err != nil || target != "mine.txt" {
		t.Errorf("the foreign link points to %q (%v)", target, err)
	}
	if _, err := os.Stat(filepath.Join(dir, "empty")); err != nil {
		t.Errorf("the foreign empty folder is gone: %v", err)
	}
}

func TestForeignFileInTheWayIsRefused(t *testing.T) {
	for _, c := range []struct{ name, foreign, want string }{
		{"the same path", "index.html", "index.html"},
		{"a file where a folder must be", "a", "a/b.html"},
		{"a file inside a path that must be a file", "a/b.html/x", "a/b.html"},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir := filepath.Join(t.TempDir(), "site")
			full := filepath.Join(dir, c.foreign)
			if err := os.MkdirAll(filepath.Dir(full), 0o755); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(full, []byte("mine"), 0o644); err != nil {
				t.Fatal(err)
			}
			if _, err := Write(dir, files(c.want, "theirs")); !errors.Is(err, ErrForeign) {
				t.Fatalf("error is %v, want ErrForeign", err)
			}
			if got := read(t, full); got != "mine" {
				t.Errorf("the foreign file is now %q", got)
			}
		})
	}
}

func TestBadPathsAreRefused(t *testing.T) {
	for _, name := range []string{"../out", "/abs", "a//b", ".", ""} {
		if _, err := Write(filepath.Join(t.TempDir(), "s"), []File{{name, nil}}); err == nil {
			t.Errorf("path %q was accepted", name)
		}
	}
	if _, err := Write(filepath.Join(t.TempDir(), "s"), []File{{"a", nil}, {"a", nil}}); err == nil {
		t.Error("a path that stands twice was accepted")
	}
}

func TestFolderThatCannotBeWritten(t *testing.T) {
	if os.Getuid() == 0 {
		// Root may write anywhere; a file in the place of the parent refuses
		// root as well.
		parent := filepath.Join(t.TempDir(), "file")
		if err := os.WriteFile(parent, nil, 0o644); err != nil {
			t.Fatal(err)
		}
		if _, err := Write(filepath.Join(parent, "site"), files("index.html", "x")); err == nil {
			t.Fatal("no error")
		}
		return
	}
	parent := t.TempDir()
	if err := os.Chmod(parent, 0o555); err != nil {
		t.Fatal(err)
	}
	if _, err := Write(filepath.Join(parent, "site"), files("index.html", "x")); err == nil {
		t.Fatal("no error")
	}
}

func TestSumsRoundTrip(t *testing.T) {
	fs := files("b", "2", "a", "1")
	for _, f := range fs {
		if f.Path != Sums {
			continue
		}
		sums, err := ReadSums(f.Data)
		if err != nil || len(sums) != 2 {
			t.Fatalf("%v, %v", sums, err)
		}
	}
	for _, bad := range []string{"xyz  a\n", "deadbeef  a\n", strings.Repeat("0", 64) + "  ../a\n", strings.Repeat("0", 64) + " a\n"} {
		if _, err := ReadSums([]byte(bad)); err == nil {
			t.Errorf("%q was accepted", bad)
		}
	}
}

// begun starts a writer and adds files to it, from as many goroutines.
func begun(t *testing.T, dir string, fs []File) *Writer {
	t.Helper()
	w, err := Begin(dir)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(w.Close)
	var wait sync.WaitGroup
	for _, f := range fs {
		wait.Go(func() {
			if err := w.Add(f); err != nil {
				t.Error(err)
			}
		})
	}
	wait.Wait()
	return w
}

func TestFilesAddedOneByOneAreTheSite(t *testing.T) {
	dir, other := filepath.Join(t.TempDir(), "site"), filepath.Join(t.TempDir(), "site")
	mustWrite(t, dir, edition(1))
	mustWrite(t, other, edition(1))
	w := begun(t, dir, edition(0))
	if got := read(t, filepath.Join(dir, "p/7.html")); got != "1" {
		t.Errorf("before the site is finished a reader sees %q", got)
	}
	// Time goes by, and somebody puts a file of their own into the folder.
	if err := os.WriteFile(filepath.Join(dir, "mine.txt"), []byte("mine"), 0o644); err != nil {
		t.Fatal(err)
	}
	got, err := w.Commit()
	if err != nil {
		t.Fatal(err)
	}
	if want := mustWrite(t, other, edition(0)); !reflect.DeepEqual(got, want) {
		t.Errorf("file by file %+v, at once %+v", got, want)
	}
	whole(t, dir, 0)
	if read(t, filepath.Join(dir, "mine.txt")) != "mine" {
		t.Error("a file that came meanwhile is gone")
	}
}

func TestWhatIsNotFinishedLeavesNothing(t *testing.T) {
	top := t.TempDir()
	dir := filepath.Join(top, "deep", "deeper", "site")
	w := begun(t, dir, edition(0)[1:30]) // SHA256SUMS comes first
	if _, err := w.Commit(); err == nil {
		t.Error("a site without checksums is put in place")
	}
	w.Close()
	if left, err := os.ReadDir(top); err != nil || len(left) != 0 {
		t.Errorf("there is still %v (%v)", left, err)
	}
	if err := w.Add(File{"late.html", nil}); err == nil {
		t.Error("a file is taken after the end")
	}
	if left, err := os.ReadDir(top); err != nil || len(left) != 0 {
		t.Errorf("the late file left %v (%v)", left, err)
	}
}

// An end that comes while the site is put in place, as by Ctrl-C, comes before
// it or after it, never in between.
func TestEndedWhilePutInPlace(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "site")
	mustWrite(t, dir, edition(1))
	random := rand.New(rand.NewPCG(4, 4))
	before, after := 0, 0
	for k := range 100 {
		w := begun(t, dir, edition(k%2))
		var wait sync.WaitGroup
		wait.Go(func() {
			if _, err := w.Commit(); err != nil {
				before++
			} else {
				after++
			}
		})
		time.Sleep(time.Duration(random.IntN(1500)) * time.Microsecond)
		w.Close()
		wait.Wait()
		whole(t, dir, k)
		if left, err := os.ReadDir(filepath.Dir(dir)); err != nil || len(left) != 1 {
			t.Fatalf("after end %d there is %v beside the site (%v)", k, left, err)
		}
	}
	t.Logf("%d ends came first, %d sites", before, after)
	if after == 0 {
		t.Error("no site was put in place")
	}
}

func TestAddRefusesWhatWriteRefuses(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "site")
	mustWrite(t, dir, edition(0))
	foreign := filepath.Join(dir, "new.html")
	if err := os.WriteFile(foreign, []byte("mine"), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"p/3.html", "../x", ".", "", "new.html"} {
		w := begun(t, dir, edition(0))
		err := w.Add(File{name, []byte("x")})
		if err == nil {
			t.Errorf("%q is taken", name)
		}
		// It is the first fault that counts, and it stands in the way of the end.
		if w.Fault() != err || w.Add(File{"other.html", nil}) != err {
			t.Errorf("after %q the fault is %v", name, w.Fault())
		}
		if _, end := w.Commit(); end != err {
			t.Errorf("after %q the end says %v", name, end)
		}
		w.Close()
	}
	if read(t, foreign) != "mine" {
		t.Error("the foreign file was changed")
	}
	whole(t, dir, 0)
}

// A second writer of the same site is told so, and the first one goes on.
func TestTwoWritersAtOnce(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "site")
	w := begun(t, dir, edition(0))
	if second, err := Begin(dir); !errors.Is(err, ErrBusy) {
		if second != nil {
			second.Close()
		}
		t.Errorf("the second writer is told %v", err)
	}
	if _, err := w.Commit(); err != nil {
		t.Fatal(err)
	}
	whole(t, dir, 0)
}

// Of those that begin in the same moment one has the site, and nobody loses the
// folder that is being written.
func TestManyBeginAtOnce(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "site")
	for range 100 {
		var writers [3]*Writer
		var errs [3]error
		var begin sync.WaitGroup
		for i := range writers {
			begin.Go(func() { writers[i], errs[i] = Begin(dir) })
		}
		begin.Wait()
		began := 0
		for i, w := range writers {
			if errs[i] == nil {
				began++
				for _, f := range edition(0) {
					if err := w.Add(f); err != nil {
						t.Fatal(err)
					}
				}
				if _, err := w.Commit(); err != nil {
					t.Fatal(err)
				}
				w.Close()
			} else if !errors.Is(errs[i], ErrBusy) {
				t.Fatal(errs[i])
			}
		}
		if began != 1 {
			t.Fatalf("%d of %d began at once", began, len(writers))
		}
		whole(t, dir, 0)
	}
}

// writerEnv makes the test binary a writer that is meant to be killed.
const writerEnv = "BENCHWRIGHT_SITE_WRITER"

func TestMain(m *testing.M) {
	if dir := os.Getenv(writerEnv); dir != "" {
		for n := 0; ; n++ {
			if _, err := Write(dir, edition(n%2)); err != nil {
				os.Stderr.WriteString(err.Error())
				os.Exit(1)
			}
		}
	}
	os.Exit(m.Run())
}

// edition is one of two sites of which every file names which one it is of.
func edition(n int) []File {
	var pairs []string
	for i := range 60 {
		pairs = append(pairs, "p/"+strconv.Itoa(i)+".html", strconv.Itoa(n))
	}
	if n == 1 {
		pairs = append(pairs, "only/one.html", "1")
	}
	return files(pairs...)
}

func TestKilledAtAnyMomentLeavesAWholeSite(t *testing.T) {
	kills := 200
	if testing.Short() {
		kills = 5
	}
	dir := filepath.Join(t.TempDir(), "site")
	mustWrite(t, dir, edition(0))
	random := rand.New(rand.NewPCG(1, 2))
	for k := range kills {
		c := exec.Command(os.Args[0])
		c.Env = append(os.Environ(), writerEnv+"="+dir)
		if err := c.Start(); err != nil {
			t.Fatal(err)
		}
		time.Sleep(time.Duration(random.IntN(25_000)) * time.Microsecond)
		if err := c.Process.Kill(); err != nil {
			t.Fatal(err)
		}
		_ = c.Wait() // killed on purpose
		whole(t, dir, k)
	}
	mustWrite(t, dir, edition(1))
	whole(t, dir, kills)
	left, err := os.ReadDir(filepath.Dir(dir))
	if err != nil || len(left) != 1 {
		t.Errorf("beside the site there is still %v (%v)", left, err)
	}
}

// whole checks that every file listed is there and of one edition.
func whole(t *testing.T, dir string, k int) {
	t.Helper()
	sums, err := ReadSums([]byte(read(t, filepath.Join(dir, Sums))))
	if err != nil {
		t.Fatalf("after kill %d: %v", k, err)
	}
	first := read(t, filepath.Join(dir, "p/0.html"))
	for name := range sums {
		if got := read(t, filepath.Join(dir, name)); got != first {
			t.Fatalf("after kill %d: %s is of edition %s, the first page of %s", k, name, got, first)
		}
	}
	if len(sums) < 60 {
		t.Fatalf("after kill %d: only %d files", k, len(sums))
	}
}
