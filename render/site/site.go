// Package site puts the files of a published site into a folder, safely.
//
// In: a folder's path and the files that the site shall have, all at once (Write)
// or one by one as they are made (Begin). Out: the folder with exactly these
// files and whatever else was in it that this package did not make. Of this
// module it imports cores alone.
//
// What it promises:
//
//   - A reader, and a crash at any moment, sees the old site or the new one
//     whole: the new tree is built beside the folder and the two are exchanged
//     in one step (renameat2 on Linux; elsewhere two renames, with a moment
//     between them in which the folder is not there).
//   - A file whose bytes did not change keeps its inode and its times.
//   - A file that is not in the folder's SHA256SUMS was made by somebody else
//     and stays; when the site needs that very path, it is refused with
//     ErrForeign and nothing changes.
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
	"maps"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"benchwright/cores"
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

// Checksums collects the checksums of files as they are made; the zero value is
// ready, and Add may be called from any goroutine.
type Checksums struct {
	mu   sync.Mutex
	sums map[string][sha256.Size]byte
}

// Add sums up one file.
func (c *Checksums) Add(f File) {
	sum := sha256.Sum256(f.Data)
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.sums == nil {
		c.sums = map[string][sha256.Size]byte{}
	}
	c.sums[f.Path] = sum
}

// File is SHA256SUMS over what was added.
func (c *Checksums) File() File {
	c.mu.Lock()
	defer c.mu.Unlock()
	var b bytes.Buffer
	for _, name := range slices.Sorted(maps.Keys(c.sums)) {
		sum := c.sums[name]
		b.WriteString(hex.EncodeToString(sum[:]))
		b.WriteString("  ")
		b.WriteString(name)
		b.WriteByte('\n')
	}
	return File{Sums, b.Bytes()}
}

// WithSums adds SHA256SUMS over all files to them and sorts the whole by path.
func WithSums(files []File) []File {
	var sums Checksums
	cores.Each(len(files), func(i int) { sums.Add(files[i]) })
	out := append(slices.Clone(files), sums.File())
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
	w, err := Begin(dir)
	if err != nil {
		return Result{}, err
	}
	defer w.Close()
	// What is refused for its path is refused before anything is written.
	for _, f := range files {
		if err := w.take(f.Path); err != nil {
			return Result{}, err
		}
	}
	errs := make([]error, len(files))
	cores.Each(len(files), func(i int) { errs[i] = w.put(files[i]) })
	for _, err := range errs {
		if err != nil {
			return Result{}, err
		}
	}
	return w.Commit()
}

// Writer puts a site into a folder file by file, so that a large one need not be
// in memory as a whole. What it is given stands beside the folder until Commit,
// and nowhere after Close.
type Writer struct {
	dir, next string
	above     []string // folders that had to be made for dir, the deepest first
	old       *tree
	unlock    func()
	fault     atomic.Pointer[error]
	adding    sync.RWMutex // held for reading while a file is put, for writing to end it all

	mu     sync.Mutex
	files  map[string]bool // path → written, and not the old one
	folder map[string]bool // made below next
}

// Begin starts to write the site in dir, whose parent must exist or be
// creatable. It refuses with ErrBusy while another run writes there. Whoever
// begins must Close.
func Begin(dir string) (*Writer, error) {
	dir, err := resolve(dir)
	if err != nil {
		return nil, err
	}
	w := &Writer{dir: dir, files: map[string]bool{}, folder: map[string]bool{".": true}}
	if err := w.begin(); err != nil {
		w.Close()
		return nil, err
	}
	return w, nil
}

func (w *Writer) begin() (err error) {
	parent := filepath.Dir(w.dir)
	for up := parent; !exists(up); up = filepath.Dir(up) {
		w.above = append(w.above, up)
	}
	if err := os.MkdirAll(parent, 0o755); err != nil {
		return fmt.Errorf("making the folder above the site: %w", err)
	}
	if err := w.claim(parent); err != nil {
		return err
	}
	w.old, err = scan(w.dir)
	return err
}

// claim makes the folder beside the site and locks it. It waits for others that
// begin in the same moment, since what they have made and not locked yet would
// look like a leftover, and the other way round.
func (w *Writer) claim(parent string) (err error) {
	release, err := wait(parent)
	if err != nil {
		return fmt.Errorf("locking the folder above the site: %w", err)
	}
	defer release()
	if err := clearLeftovers(parent, w.dir); err != nil {
		return err
	}
	// The name starts with a dot and ends in digits, so that a server that
	// hides dot files never lists it and the next run knows it as a leftover.
	if w.next, err = os.MkdirTemp(parent, leftoverPrefix(filepath.Base(w.dir))); err != nil {
		return fmt.Errorf("making a folder beside the site: %w", err)
	}
	w.unlock, err = lock(w.next)
	return err
}

func exists(name string) bool {
	_, err := os.Lstat(name)
	return err == nil || !errors.Is(err, fs.ErrNotExist)
}

// Add puts one file, from any goroutine; its bytes may be used again afterwards.
// The error is the first that any Add met: a path that is not valid, comes a
// second time or is a foreign file's, or a fault in writing.
func (w *Writer) Add(f File) error {
	w.adding.RLock()
	defer w.adding.RUnlock()
	if first := w.fault.Load(); first != nil {
		return *first
	}
	err := w.take(f.Path)
	if err == nil {
		err = w.put(f)
	}
	if err != nil {
		w.fault.CompareAndSwap(nil, &err)
		return *w.fault.Load()
	}
	return nil
}

// Fault is the error that Add met first, nil for none: whoever handed Add to
// somebody else tells by it whose error came back.
func (w *Writer) Fault() error {
	if first := w.fault.Load(); first != nil {
		return *first
	}
	return nil
}

// take says whether the site may use a path, and keeps it for the file.
func (w *Writer) take(name string) error {
	if !fs.ValidPath(name) || name == "." {
		return fmt.Errorf("%q is not a path inside a site", name)
	}
	if err := w.old.free(name); err != nil {
		return err
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	if _, twice := w.files[name]; twice {
		return fmt.Errorf("%q stands twice among the files", name)
	}
	w.files[name] = false
	return nil
}

// ensure makes the folder that a file stands in.
func (w *Writer) ensure(name string) error {
	up := path.Dir(name)
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.folder[up] {
		return nil
	}
	if err := os.MkdirAll(w.below(w.next, up), 0o755); err != nil {
		return err
	}
	w.folder[up] = true
	return nil
}

func (w *Writer) below(root, name string) string {
	return filepath.Join(root, filepath.FromSlash(name))
}

// put brings one file of the site into the new tree: the old one if its bytes
// are the same.
func (w *Writer) put(f File) error {
	if err := w.ensure(f.Path); err != nil {
		return err
	}
	to := w.below(w.next, f.Path)
	if info, ok := w.old.made[f.Path]; ok && info.Size() == int64(len(f.Data)) {
		if from := w.below(w.dir, f.Path); same(from, f.Data) {
			return carry(from, to)
		}
	}
	if err := os.WriteFile(to, f.Data, 0o644); err != nil {
		return fmt.Errorf("writing %s: %w", f.Path, err)
	}
	w.mu.Lock()
	w.files[f.Path] = true
	w.mu.Unlock()
	return nil
}

// Commit puts what was added in the place of the old site. SHA256SUMS must be
// among it.
func (w *Writer) Commit() (Result, error) {
	// Close may come from elsewhere at any moment, as at Ctrl-C, and removes the
	// new tree: it waits until that is in its place, or is seen here.
	w.adding.Lock()
	defer w.adding.Unlock()
	if err := w.Fault(); err != nil {
		return Result{}, err
	}
	if _, there := w.files[Sums]; !there {
		return Result{}, fmt.Errorf("a site without %s cannot be put in place", Sums)
	}
	var result Result
	for name, written := range w.files {
		if written {
			result.Written++
			result.Changed = append(result.Changed, name)
		} else {
			result.Unchanged++
		}
	}
	slices.Sort(result.Changed)
	for name := range w.old.made {
		if _, kept := w.files[name]; !kept {
			result.Removed++
		}
	}
	if result.Written == 0 && result.Removed == 0 && w.old.exists && exists(w.dir) {
		return result, nil
	}
	mode, existed, err := w.keepForeign()
	if err != nil {
		return Result{}, err
	}
	if err := os.Chmod(w.next, mode); err != nil {
		return Result{}, err
	}
	if err := swap(w.dir, w.next, existed); err != nil {
		return Result{}, fmt.Errorf("putting the new site in place: %w", err)
	}
	return result, nil
}

// keepForeign brings what somebody else put into the folder into the new tree.
// It looks again: time has gone by since the beginning. It gives the folder's
// mode, and whether there is a folder.
func (w *Writer) keepForeign() (fs.FileMode, bool, error) {
	now, err := scan(w.dir)
	if err != nil {
		return 0, false, err
	}
	if !now.exists {
		return 0o755, false, nil
	}
	for name := range w.files {
		if err := now.free(name); err != nil {
			return 0, false, err
		}
	}
	for _, name := range now.foreign {
		if err := w.ensure(name); err != nil {
			return 0, false, err
		}
		if err := carry(w.below(w.dir, name), w.below(w.next, name)); err != nil {
			return 0, false, fmt.Errorf("keeping %s: %w", name, err)
		}
	}
	for _, name := range now.emptyDirs() {
		if err := os.MkdirAll(w.below(w.next, name), 0o755); err != nil {
			return 0, false, err
		}
	}
	return now.mode, true, nil
}

// errClosed is what comes after Close.
var errClosed = errors.New("the writing of the site was ended")

// Close ends the writing: what was added and not committed is gone, and so is
// the old site after a Commit. It may be called at any moment, and again.
func (w *Writer) Close() {
	w.fault.CompareAndSwap(nil, &errClosed)
	w.adding.Lock() // what is being put comes to its end, and no more comes after it
	defer w.adding.Unlock()
	if w.next != "" {
		_ = os.RemoveAll(w.next) // the next run removes what this one could not
	}
	for _, dir := range w.above {
		_ = os.Remove(dir) // which an empty one is for
	}
	if w.unlock != nil {
		w.unlock()
	}
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
		if info, err := e.Info(); err == nil && !aside && time.Since(info.ModTime()) < leftoverAge {
			continue
		}
		unlock, err := lock(full)
		if errors.Is(err, fs.ErrNotExist) {
			continue // whoever made it removed it just now
		}
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
