//go:build unix

package record

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"benchwright/schema"
)

// The test binary records into the folder named by this variable when it is
// set, and says each value on a line of its own once it is written.
const childFolder = "BENCHWRIGHT_RECORD_INTO"

// childLimit bounds the size of the files that the child may write, in bytes.
const childLimit = "BENCHWRIGHT_RECORD_LIMIT"

func TestMain(m *testing.M) {
	if dir := os.Getenv(childFolder); dir != "" {
		if err := recordForever(dir); err != nil {
			fmt.Println("error:", err)
			os.Exit(3)
		}
		return
	}
	os.Exit(m.Run())
}

func recordForever(dir string) error {
	if limit := os.Getenv(childLimit); limit != "" {
		n, err := strconv.ParseUint(limit, 10, 64)
		if err != nil {
			return err
		}
		if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &syscall.Rlimit{Cur: n, Max: n}); err != nil {
			return err
		}
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		return err
	}
	fmt.Println("ready")
	for n := 0; ; n++ {
		value := fmt.Sprintf("41.%04d", n)
		r := []Reading{{Configuration: "one-fan", Workload: "compile", Session: "evening", Value: value}}
		for {
			a, bad := Prepare(root.FS(), r, Options{Source: "loop", EvenSo: true})
			if len(bad) > 0 {
				return errors.New(messages(bad))
			}
			if err := a.Write(root); err == nil {
				break
			} else if !errors.Is(err, ErrChanged) {
				return err
			}
		}
		fmt.Println(value)
	}
}

func child(dir string, more ...string) *exec.Cmd {
	c := exec.Command(os.Args[0], "-test.run=^$")
	c.Env = append(append(os.Environ(), childFolder+"="+dir), more...)
	return c
}

// TestKilledAtAnyMoment: whatever the moment, every line is whole, everything
// that was acknowledged is there, provenance.csv is behind by one addition at
// most, and the next run succeeds and leaves nothing of the killed one.
func TestKilledAtAnyMoment(t *testing.T) {
	moments := 200
	if testing.Short() {
		moments = 20
	}
	random := rand.New(rand.NewPCG(6, 2))
	between := 0 // kills that left the provenance one behind
	left := 0    // kills that left a file not yet in its place
	recorded := 0
	for n := range moments {
		dir, root := base(t, nil)
		before := len(loaded(t, root.FS()).Readings)
		c := child(dir)
		out, err := c.StdoutPipe()
		must(t, err)
		must(t, c.Start())
		lines := bufio.NewScanner(out)
		if !lines.Scan() || lines.Text() != "ready" {
			t.Fatalf("the child said %q", lines.Text())
		}
		time.AfterFunc(time.Duration(random.IntN(250_000))*time.Microsecond, func() { c.Process.Kill() })
		var said []string
		for lines.Scan() {
			said = append(said, lines.Text())
		}
		if err := c.Wait(); err == nil || strings.Contains(strings.Join(said, "\n"), "error") {
			t.Fatalf("%d: the child ended by itself: %v %q", n, err, said)
		}
		text := text(t, dir, "results/evening.csv")
		if !strings.HasSuffix(text, "\n") {
			t.Fatalf("%d: the last line is cut off", n)
		}
		added := 0
		for _, line := range strings.Split(strings.TrimSuffix(text, "\n"), "\n") {
			if strings.Count(line, ",") < 9 {
				t.Fatalf("%d: the line %q is cut off", n, line)
			}
			if strings.Contains(line, ",compile,41.0") {
				added++
			}
		}
		if added != len(said) && added != len(said)+1 {
			t.Fatalf("%d: %d readings are there, %d were acknowledged", n, added, len(said))
		}
		recorded += added
		entered := entries(t, root.FS())
		if entered != added && entered != added-1 {
			t.Fatalf("%d: provenance.csv tells of %d readings, %d are there", n, entered, added)
		}
		if entered == added-1 {
			between++
		}
		left += stages(t, dir)
		// One reading more than derived ones come of it.
		p := loaded(t, root.FS())
		if got := len(p.Readings) - before; got != 2*added {
			t.Fatalf("%d: %d readings came of %d lines", n, got, added)
		}
		a := prepared(t, root, []Reading{{Configuration: "one-fan", Workload: "compile", Session: "evening", Value: "41.5"}}, Options{EvenSo: true})
		must(t, a.Write(root))
		if s := stages(t, dir); s != 0 {
			t.Fatalf("%d: the next run left %d files of the killed one", n, s)
		}
	}
	t.Logf("%d kills over %d readings; %d fell between a file and its provenance, %d while a file was being written", moments, recorded, between, left)
	if recorded == 0 {
		t.Error("nothing was ever recorded: the moments came too early")
	}
}

// TestKilledBetweenFiles: the result file has grown, provenance.csv has not.
func TestKilledBetweenFiles(t *testing.T) {
	dir, root := base(t, nil)
	r := []Reading{{Configuration: "one-fan", Workload: "compile", Session: "evening", Value: "41.5"}}
	must(t, prepared(t, root, r, Options{}).Write(root))
	a := prepared(t, root, r, Options{})
	must(t, write(root, a.Changes[:1]))
	put(t, dir, "results/.evening.csv"+stageMark+"1", "session,ord")
	if adrift, err := Adrift(root.FS()); err != nil || !slices.Equal(adrift, a.Files) {
		t.Errorf("adrift: %v, %v", adrift, err)
	}
	must(t, prepared(t, root, r, Options{}).Write(root))
	if adrift, err := Adrift(root.FS()); err != nil || len(adrift) > 0 {
		t.Errorf("after the next run, adrift: %v, %v", adrift, err)
	}
	if n := strings.Count(text(t, dir, "results/evening.csv"), "41.5"); n != 3 || stages(t, dir) > 0 {
		t.Errorf("%d readings, %d files left over", n, stages(t, dir))
	}
}

// entries counts the readings that provenance.csv tells of.
func entries(t *testing.T, fsys fs.FS) (n int) {
	t.Helper()
	old, err := fs.ReadFile(fsys, provenanceFile)
	if errors.Is(err, fs.ErrNotExist) {
		return 0
	}
	must(t, err)
	lines := strings.Split(string(old), "\n")
	if lines[len(lines)-1] != "" {
		t.Fatalf("provenance.csv ends in %q", lines[len(lines)-1])
	}
	for _, line := range lines[1 : len(lines)-1] {
		cells := strings.Split(line, ",")
		if len(cells) != len(provenanceColumns) || len(cells[5]) != 64 {
			t.Fatalf("provenance.csv holds the line %q", line)
		}
		count, err := strconv.Atoi(cells[3])
		must(t, err)
		n += count
	}
	return n
}

// stages counts files that are not in their place yet.
func stages(t *testing.T, dir string) (n int) {
	t.Helper()
	must(t, filepath.WalkDir(dir, func(p string, d fs.DirEntry, err error) error {
		if err == nil && strings.Contains(d.Name(), stageMark) {
			n++
		}
		return err
	}))
	return n
}

// TestTwoAtOnce: programs that record into one folder at the same time lose
// nothing of each other.
func TestTwoAtOnce(t *testing.T) {
	dir, root := base(t, nil)
	var children []*exec.Cmd
	var outputs []*bufio.Scanner
	for range 2 {
		c := child(dir)
		out, err := c.StdoutPipe()
		must(t, err)
		must(t, c.Start())
		children, outputs = append(children, c), append(outputs, bufio.NewScanner(out))
	}
	said := 0
	for _, out := range outputs {
		for range 12 {
			if !out.Scan() || strings.Contains(out.Text(), "error") {
				t.Fatalf("a child said %q", out.Text())
			}
			if out.Text() != "ready" {
				said++
			}
		}
	}
	for i, c := range children {
		c.Process.Kill()
		for outputs[i].Scan() {
			said++
		}
		c.Wait()
	}
	loaded(t, root.FS())
	there := strings.Count(text(t, dir, "results/evening.csv"), ",compile,41.0")
	if there < said || there > said+2 {
		t.Errorf("%d readings are there, %d were acknowledged", there, said)
	}
}

// TestDiskFull: a disk without room is a clear error, and nothing is lost. A
// limit on the size of a file stands for it; where a small file system can be
// mounted, it is tried on one as well.
func TestDiskFull(t *testing.T) {
	t.Run("limit on the size of a file", func(t *testing.T) {
		dir, root := base(t, nil)
		c := child(dir, childLimit+"=1500")
		out, err := c.Output()
		var end *exec.ExitError
		if !errors.As(err, &end) || end.ExitCode() != 3 || !strings.Contains(string(out), "error: writing ") || !strings.Contains(string(out), "file too large") {
			t.Fatalf("the child ended with %v and said\n%s", err, out)
		}
		whole(t, dir, root, strings.Count(string(out), "\n41.0"))
	})
	t.Run("file system", func(t *testing.T) {
		dir, _ := base(t, nil)
		mount := t.TempDir()
		if err := tmpfs(mount); err != nil {
			t.Skipf("no small file system can be mounted here: %v", err)
		}
		defer syscall.Unmount(mount, 0)
		must(t, os.CopyFS(mount, os.DirFS(dir)))
		root, err := os.OpenRoot(mount)
		must(t, err)
		defer root.Close()
		a := prepared(t, root, []Reading{{Configuration: "one-fan", Workload: "compile", Session: "evening", Value: "41.0"}}, Options{})
		fill(t, filepath.Join(mount, ".fill"))
		before := snapshotWithout(t, mount, ".fill")
		if err := a.Write(root); !errors.Is(err, syscall.ENOSPC) {
			t.Fatalf("on a full disk: %v", err)
		}
		if after := snapshotWithout(t, mount, ".fill"); after != before {
			t.Errorf("something changed:\n%s", after)
		}
		must(t, os.Remove(filepath.Join(mount, ".fill")))
		must(t, a.Write(root))
		loaded(t, root.FS())
	})
}

func fill(t *testing.T, file string) {
	t.Helper()
	f, err := os.Create(file)
	must(t, err)
	defer f.Close()
	for {
		if _, err := f.Write(make([]byte, 4096)); err != nil {
			return
		}
	}
}

func snapshotWithout(t *testing.T, dir, name string) string {
	var kept []string
	for _, part := range strings.SplitAfter(snapshot(t, dir), "== ") {
		if !strings.HasPrefix(part, "/"+name) {
			kept = append(kept, part)
		}
	}
	return strings.Join(kept, "")
}

func whole(t *testing.T, dir string, root *os.Root, said int) {
	t.Helper()
	loaded(t, root.FS())
	if there := strings.Count(text(t, dir, "results/evening.csv"), ",compile,41.0"); there != said {
		t.Errorf("%d readings are there, %d were acknowledged", there, said)
	}
	if entered := entries(t, root.FS()); entered != said {
		t.Errorf("provenance.csv tells of %d readings, %d are there", entered, said)
	}
	if n := stages(t, dir); n != 0 {
		t.Errorf("%d files are left over", n)
	}
}

// TestNoPermission: a folder that may not be written to is a clear error. The
// child runs as nobody when the tests run as root.
func TestNoPermission(t *testing.T) {
	dir, root := base(t, nil)
	for _, d := range []string{dir, filepath.Join(dir, "results")} {
		must(t, os.Chmod(d, 0o555))
		defer os.Chmod(d, 0o755)
	}
	for d := dir; len(d) > len(os.TempDir()); d = filepath.Dir(d) {
		if info, err := os.Stat(d); err == nil && d != dir {
			must(t, os.Chmod(d, info.Mode().Perm()|0o055))
		}
	}
	before := snapshot(t, dir)
	c := child(dir)
	if os.Geteuid() == 0 {
		// The test binary itself lies where nobody may not look.
		binary := filepath.Join(t.TempDir(), "record.test")
		must(t, copyFile(os.Args[0], binary))
		for d := filepath.Dir(binary); len(d) > len(os.TempDir()); d = filepath.Dir(d) {
			must(t, os.Chmod(d, 0o755))
		}
		c.Path, c.Args[0] = binary, binary
		c.Dir = "/"
		c.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: 65534, Gid: 65534}}
	}
	out, err := c.Output()
	var end *exec.ExitError
	if !errors.As(err, &end) || end.ExitCode() != 3 || !strings.Contains(string(out), "permission denied") {
		t.Fatalf("the child ended with %v and said\n%s", err, out)
	}
	if after := snapshot(t, dir); after != before {
		t.Error("something was written")
	}
	loaded(t, root.FS())
}

func copyFile(from, to string) error {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	out, err := os.OpenFile(to, os.O_CREATE|os.O_WRONLY, 0o755)
	if err != nil {
		return err
	}
	_, err = io.Copy(out, in)
	return errors.Join(err, out.Close())
}

func TestLinksAreNotWrittenThrough(t *testing.T) {
	dir, root := base(t, nil)
	must(t, os.Rename(filepath.Join(dir, "results", "evening.csv"), filepath.Join(dir, "media.csv")))
	must(t, os.Symlink("../media.csv", filepath.Join(dir, "results", "evening.csv")))
	a := prepared(t, root, []Reading{{Configuration: "one-fan", Workload: "compile", Session: "evening", Value: "41.5"}}, Options{})
	before := snapshot(t, dir)
	if err := a.Write(root); !errors.Is(err, ErrLink) {
		t.Errorf("through a link: %v", err)
	}
	if snapshot(t, dir) != before {
		t.Error("something was written")
	}
}

func TestModeIsKept(t *testing.T) {
	dir, root := base(t, nil)
	file := filepath.Join(dir, "results", "evening.csv")
	must(t, os.Chmod(file, 0o640))
	must(t, prepared(t, root, []Reading{{Configuration: "one-fan", Workload: "compile", Session: "evening", Value: "41.5"}}, Options{}).Write(root))
	info, err := os.Stat(file)
	must(t, err)
	if info.Mode().Perm() != 0o640 {
		t.Errorf("the mode is %v", info.Mode())
	}
}

// TestAdditionWithoutAFolder: the folder results is made when there is none.
func TestAdditionWithoutAFolder(t *testing.T) {
	dir, root := base(t, map[string]string{"results/evening.csv": "", "results/later.csv": ""})
	a := prepared(t, root, []Reading{{Configuration: "one-fan", Workload: "compile", Session: "evening", Value: "41.5"}}, Options{})
	must(t, a.Write(root))
	if got := text(t, dir, "results/evening.csv"); !strings.HasPrefix(got, strings.Join(newColumns[:], ",")) {
		t.Errorf("the file is %q", got)
	}
	_, found := schema.Read(root.FS())
	if slices.ContainsFunc(found, func(f schema.Finding) bool { return f.Severity == schema.Error }) {
		t.Error(messages(found))
	}
}
