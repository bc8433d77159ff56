// Package site puts the files of a published site into a folder, safely.
//
// In: a folder's path and the files that the site shall have. Out: the folder
// with exactly these files and whatever else was in it that this package did
// not make. It imports no other package of this module.
//
// What it promises:
//
//   - A reader, and a crash at any moment, sees the old site or the new one
//     whole: the new tree is built beside the folder and the two are exchanged
//     in one step (renameat2 on Linux; elsewhere two renames, with a moment
//     between them in which the folder is not there).
//   - A file whose bytes did not change keeps its inode and its times.
//   - A file that is not in the folder's SHA256SUMS was made by somebody else
//     and stays; when the site needs that very path, Write refuses with
//     ErrForeign before it changes anything.
//   - A file in SHA256SUMS that the site has no more is removed.
//
// What it does not promise: durability through a loss of power. The exchange is
// atomic for other processes; when it reaches the disk is the file system's
// choice.
package site

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
)

// Sums is the name of the list of checksums, in the format that sha256sum -c
// reads. It doubles as the list of what the tool made.
const Sums = "SHA256SUMS"

// File is one file of a site: a slash-separated path inside it, and its bytes.
type File struct {
	Path string
	Data []byte
}

// Result counts what a Write did.
type Result struct {
	Written, Unchanged, Removed int
	// Changed lists the paths written, sorted.
	Changed []string
}

// ErrForeign says that a path of the site is taken by a file that the tool did
// not make.
var ErrForeign = errors.New("is not a file that benchwright made")

// WithSums adds SHA256SUMS over all files to them and sorts the whole by path.
func WithSums(files []File) []File {
	out := slices.Clone(files)
	slices.SortFunc(out, func(a, b File) int { return strings.Compare(a.Path, b.Path) })
	sums := make([][sha256.Size]byte, len(out))
	onEveryCore(len(out), func(i int) { sums[i] = sha256.Sum256(out[i].Data) })
	var b bytes.Buffer
	for i, f := range out {
		b.WriteString(hex.EncodeToString(sums[i][:]))
		b.WriteString("  ")
		b.WriteString(f.Path)
		b.WriteByte('\n')
	}
	out = append(out, File{Sums, b.Bytes()})
	slices.SortFunc(out, func(a, b File) int { return strings.Compare(a.Path, b.Path) })
	return out
}

// ReadSums parses a list of checksums into path → hexadecimal sum. Lines that
// are not of the form are errors that name their number.
func ReadSums(data []byte) (map[string]string, error) {
	sums := map[string]string{}
	for n, line := range strings.Split(strings.TrimSuffix(string(data), "\n"), "\n") {
		sum, name, ok := strings.Cut(strings.TrimSuffix(line, "\r"), "  ")
		if _, err := hex.DecodeString(sum); !ok || err != nil || len(sum) != 2*sha256.Size || !fs.ValidPath(name) {
			return nil, fmt.Errorf("%s: line %d is not a checksum, two spaces and a path", Sums, n+1)
		}
		sums[name] = sum
	}
	return sums, nil
}

// Write makes dir hold the given files, which must be unique, valid paths
// (fs.ValidPath) and include SHA256SUMS (see WithSums). The parent of dir must
// exist or be creatable.
func Write(dir string, files []File) (Result, error) {
	want := make(map[string][]byte, len(files))
	for _, f := range files {
		if !fs.ValidPath(f.Path) || f.Path == "." {
			return Result{}, fmt.Errorf("%q is not a path inside a site", f.Path)
		}
		if _, twice := want[f.Path]; twice {
			return Result{}, fmt.Errorf("%q stands twice among the files", f.Path)
		}
		want[f.Path] = f.Data
	}
	dir, err := resolve(dir)
	if err != nil {
		return Result{}, err
	}
	parent := filepath.Dir(dir)
	if err := os.MkdirAll(parent, 0o755); err != nil {
		return Result{}, fmt.Errorf("making the folder above the site: %w", err)
	}
	if err := clearLeftovers(parent, dir); err != nil {
		return Result{}, err
	}
	old, err := scan(dir)
	if err != nil {
		return Result{}, err
	}
	for name := range want {
		if err := old.free(name); err != nil {
			return Result{}, err
		}
	}
	// The name starts with a dot and ends in digits, so that a server that
	// hides dot files never lists it and the next run knows it as a leftover.
	next, err := os.MkdirTemp(parent, leftoverPrefix(filepath.Base(dir)))
	if err != nil {
		return Result{}, fmt.Errorf("making a folder beside the site: %w", err)
	}
	defer os.RemoveAll(next)
	unlock, err := lock(next)
	if err != nil {
		return Result{}, err
	}
	defer unlock()
	result, err := build(dir, next, old, files)
	if err != nil {
		return Result{}, err
	}
	if result.Written == 0 && result.Removed == 0 && old.exists {
		return result, nil
	}
	mode := fs.FileMode(0o755)
	if old.exists {
		mode = old.mode
	}
	if err := os.Chmod(next, mode); err != nil {
		return Result{}, err
	}
	if err := swap(dir, next, old.exists); err != nil {
		return Result{}, fmt.Errorf("putting the new site in place: %w", err)
	}
	return result, nil
}

// resolve follows a link to the folder itself, so that the folder is exchanged
// and not the link.
func resolve(dir string) (string, error) {
	abs, err := filepath.Abs(dir)
	if err != nil {
		return "", err
	}
	real, err := filepath.EvalSymlinks(abs)
	if errors.Is(err, fs.ErrNotExist) {
		return abs, nil
	}
	return real, err
}

func leftoverPrefix(base string) string { return "." + base + ".benchwright-" }

// asideSuffix marks an old site that was moved away by the first of two
// renames.
const asideSuffix = ".old"

// ErrBusy says that another run is writing the same site.
var ErrBusy = errors.New("another benchwright is writing this site")

// clearLeftovers removes what a killed run left beside the folder, and brings
// back an old site that such a run had moved away.
func clearLeftovers(parent, dir string) error {
	entries, err := os.ReadDir(parent)
	if err != nil {
		return fmt.Errorf("looking beside the site: %w", err)
	}
	for _, e := range entries {
		rest, ok := strings.CutPrefix(e.Name(), leftoverPrefix(filepath.Base(dir)))
		digits, aside := strings.CutSuffix(rest, asideSuffix)
		if !ok || digits == "" || strings.Trim(digits, "0123456789") != "" || !e.IsDir() {
			continue
		}
		full := filepath.Join(parent, e.Name())
		unlock, err := lock(full)
		if err != nil {
			return err
		}
		if aside {
			if _, err := os.Lstat(dir); errors.Is(err, fs.ErrNotExist) {
				err := os.Rename(full, dir)
				unlock()
				if err != nil {
					return fmt.Errorf("bringing back the old site: %w", err)
				}
				continue
			}
		}
		err = os.RemoveAll(full)
		unlock()
		if err != nil {
			return fmt.Errorf("removing what an earlier run left: %w", err)
		}
	}
	return nil
}

// tree is what a folder holds before a write.
type tree struct {
	exists bool
	mode   fs.FileMode
	// made has the paths listed in SHA256SUMS, foreign the others.
	made    map[string]fs.FileInfo
	foreign []string
	dirs    map[string]bool
}

// scan looks through the old folder. A folder without SHA256SUMS holds foreign
// files only.
func scan(dir string) (*tree, error) {
	t := &tree{made: map[string]fs.FileInfo{}, dirs: map[string]bool{}}
	info, err := os.Stat(dir)
	if errors.Is(err, fs.ErrNotExist) {
		return t, nil
	}
	if err != nil {
		return nil, err
	}
	if !info.IsDir() {
		return nil, fmt.Errorf("%s: %w: a file is in the way of the site's folder", filepath.Base(dir), ErrForeign)
	}
	t.exists, t.mode = true, info.Mode().Perm()
	var sums map[string]string
	if data, err := os.ReadFile(filepath.Join(dir, Sums)); err == nil {
		if sums, err = ReadSums(data); err != nil {
			return nil, err
		}
		sums[Sums] = ""
	} else if !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	err = filepath.WalkDir(dir, func(full string, d fs.DirEntry, err error) error {
		if err != nil || full == dir {
			return err
		}
		rel, err := filepath.Rel(dir, full)
		if err != nil {
			return err
		}
		rel = filepath.ToSlash(rel)
		if d.IsDir() {
			t.dirs[rel] = true
			return nil
		}
		if _, ok := sums[rel]; ok && d.Type().IsRegular() {
			info, err := d.Info()
			if err != nil {
				return err
			}
			t.made[rel] = info
			return nil
		}
		t.foreign = append(t.foreign, rel)
		return nil
	})
	if err != nil {
		return nil, fmt.Errorf("looking through the old site: %w", err)
	}
	slices.Sort(t.foreign)
	return t, nil
}

// free says whether the site may use a path.
func (t *tree) free(name string) error {
	if _, taken := slices.BinarySearch(t.foreign, name); taken {
		return fmt.Errorf("%s %w", name, ErrForeign)
	}
	for up := path.Dir(name); up != "."; up = path.Dir(up) {
		if _, taken := slices.BinarySearch(t.foreign, up); taken {
			return fmt.Errorf("%s %w", up, ErrForeign)
		}
	}
	if t.dirs[name] {
		for _, f := range t.foreign {
			if strings.HasPrefix(f, name+"/") {
				return fmt.Errorf("%s %w", f, ErrForeign)
			}
		}
	}
	return nil
}

// emptyDirs lists folders in which nothing of the site was: somebody made them.
func (t *tree) emptyDirs() []string {
	ours := map[string]bool{}
	for name := range t.made {
		for up := path.Dir(name); up != "."; up = path.Dir(up) {
			ours[up] = true
		}
	}
	var out []string
	for name := range t.dirs {
		if !ours[name] {
			out = append(out, name)
		}
	}
	slices.Sort(out)
	return out
}

// build fills the new tree: unchanged and foreign files as links to the old
// ones, the rest written.
func build(dir, next string, old *tree, files []File) (Result, error) {
	var result Result
	made := map[string]bool{}
	ensure := func(name string) error {
		up := path.Dir(name)
		if up == "." || made[up] {
			return nil
		}
		if err := os.MkdirAll(filepath.Join(next, filepath.FromSlash(up)), 0o755); err != nil {
			return err
		}
		made[up] = true
		return nil
	}
	for _, f := range files {
		if err := ensure(f.Path); err != nil {
			return result, err
		}
	}
	written, errs := make([]bool, len(files)), make([]error, len(files))
	onEveryCore(len(files), func(i int) { written[i], errs[i] = put(dir, next, old, files[i]) })
	for i, f := range files {
		switch {
		case errs[i] != nil:
			return result, errs[i]
		case written[i]:
			result.Written++
			result.Changed = append(result.Changed, f.Path)
		default:
			result.Unchanged++
		}
	}
	slices.Sort(result.Changed)
	for _, name := range old.foreign {
		if err := ensure(name); err != nil {
			return result, err
		}
		if err := carry(filepath.Join(dir, filepath.FromSlash(name)), filepath.Join(next, filepath.FromSlash(name))); err != nil {
			return result, fmt.Errorf("keeping %s: %w", name, err)
		}
	}
	for _, name := range old.emptyDirs() {
		if err := os.MkdirAll(filepath.Join(next, filepath.FromSlash(name)), 0o755); err != nil {
			return result, err
		}
	}
	want := make(map[string]bool, len(files))
	for _, f := range files {
		want[f.Path] = true
	}
	for name := range old.made {
		if !want[name] {
			result.Removed++
		}
	}
	return result, nil
}

// put brings one file of the site into the new tree: the old one if its bytes
// are the same.
func put(dir, next string, old *tree, f File) (written bool, err error) {
	to := filepath.Join(next, filepath.FromSlash(f.Path))
	if info, ok := old.made[f.Path]; ok && info.Size() == int64(len(f.Data)) {
		from := filepath.Join(dir, filepath.FromSlash(f.Path))
		if same(from, f.Data) {
			return false, carry(from, to)
		}
	}
	if err := os.WriteFile(to, f.Data, 0o644); err != nil {
		return false, fmt.Errorf("writing %s: %w", f.Path, err)
	}
	return true, nil
}

// onEveryCore runs f for 0 … n−1; each call writes only what is its own.
func onEveryCore(n int, f func(i int)) {
	var next atomic.Int64
	var wait sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), n) {
		wait.Go(func() {
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				f(i)
			}
		})
	}
	wait.Wait()
}

// same compares a file with bytes, without holding both in memory.
func same(name string, data []byte) bool {
	f, err := os.Open(name)
	if err != nil {
		return false
	}
	defer f.Close()
	buffer := make([]byte, 64<<10)
	for {
		n, err := f.Read(buffer)
		if n > len(data) || !bytes.Equal(buffer[:n], data[:n]) {
			return false
		}
		data = data[n:]
		if err == io.EOF {
			return len(data) == 0
		}
		if err != nil {
			return false
		}
	}
}

// carry brings a file of the old tree into the new one: the same inode where
// the file system can, a copy with the same times and mode where it cannot.
func carry(from, to string) error {
	if err := os.Link(from, to); err == nil {
		return nil
	}
	info, err := os.Lstat(from)
	if err != nil {
		return err
	}
	if info.Mode()&fs.ModeSymlink != 0 {
		target, err := os.Readlink(from)
		if err != nil {
			return err
		}
		return os.Symlink(target, to)
	}
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	out, err := os.OpenFile(to, os.O_CREATE|os.O_EXCL|os.O_WRONLY, info.Mode().Perm())
	if err != nil {
		return err
	}
	_, err = io.Copy(out, in)
	if err = errors.Join(err, out.Close()); err != nil {
		return err
	}
	return os.Chtimes(to, info.ModTime(), info.ModTime())
}
