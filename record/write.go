package record

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"slices"
	"strconv"
	"strings"
)

// ErrChanged says that a file is no longer what it was when the addition was
// prepared: prepare it again.
var ErrChanged = errors.New("changed in the meantime")

// ErrLink says that a file is a link, through which nothing is written.
var ErrLink = errors.New("is a link; nothing is written through it")

// Write puts the addition into the folder, file by file, each in one step: the
// new file is written beside the old one, reaches the disk, and takes its place
// whole. A file that changed since Prepare is refused before anything is
// written. Two programs that record into one folder wait for each other.
func (a *Addition) Write(root *os.Root) error { return write(root, a.Changes) }

// Undo takes the addition back: every file is as it was before. It is refused,
// with ErrChanged, when one of them was changed since.
func (a *Addition) Undo(root *os.Root) error {
	back := make([]Change, 0, len(a.Changes))
	for _, c := range slices.Backward(a.Changes) {
		back = append(back, Change{Path: c.Path, Old: c.New, New: c.Old})
	}
	return write(root, back)
}

// write replaces files; one whose New is nil is removed.
func write(root *os.Root, changes []Change) error {
	unlock, err := lock(root)
	if err != nil {
		return fmt.Errorf("waiting for others that record: %w", err)
	}
	defer unlock()
	for _, c := range changes {
		now, err := root.ReadFile(c.Path)
		switch {
		case errors.Is(err, fs.ErrNotExist) && c.Old == nil:
		case errors.Is(err, fs.ErrNotExist):
			return fmt.Errorf("%s %w", c.Path, ErrChanged)
		case err != nil:
			return fmt.Errorf("reading %s again: %w", c.Path, err)
		case c.Old == nil || string(now) != string(c.Old):
			return fmt.Errorf("%s %w", c.Path, ErrChanged)
		}
		if info, err := root.Lstat(c.Path); err == nil && !info.Mode().IsRegular() {
			return fmt.Errorf("%s %w", c.Path, ErrLink)
		}
	}
	// All new files are written before the first takes its place, so that a
	// full disk is noticed while every old one still stands.
	staged := make([]string, len(changes))
	defer func() {
		for _, name := range staged {
			if name != "" {
				root.Remove(name)
			}
		}
	}()
	for i, c := range changes {
		sweep(root, c.Path)
		if c.New == nil {
			continue
		}
		if staged[i], err = stage(root, c); err != nil {
			return fmt.Errorf("writing %s: %w", c.Path, err)
		}
	}
	for i, c := range changes {
		move := func() error { return root.Rename(staged[i], c.Path) }
		if c.New == nil {
			move = func() error { return root.Remove(c.Path) }
		}
		if err := move(); err != nil {
			return fmt.Errorf("writing %s: %w", c.Path, err)
		}
		staged[i] = ""
		syncFolder(root, path.Dir(c.Path))
	}
	return nil
}

// stageMark stands in the name of a file that is not in its place yet. The
// leading point keeps the folder's reader from it.
const stageMark = ".benchwright-"

// stage writes the new file beside the old one, with its mode.
func stage(root *os.Root, c Change) (name string, err error) {
	dir := path.Dir(c.Path)
	if dir != "." {
		if err := root.Mkdir(dir, 0o755); err != nil && !errors.Is(err, fs.ErrExist) {
			return "", err
		}
	}
	mode := fs.FileMode(0o644)
	if info, err := root.Stat(c.Path); err == nil {
		mode = info.Mode().Perm()
	}
	name = path.Join(dir, "."+path.Base(c.Path)+stageMark+strconv.Itoa(os.Getpid()))
	f, err := root.OpenFile(name, os.O_CREATE|os.O_TRUNC|os.O_WRONLY, 0o600)
	if err != nil {
		return "", err
	}
	_, werr := f.Write(c.New)
	// The file must not take its place before its bytes are on the disk:
	// readings are typed once.
	if err := errors.Join(werr, f.Chmod(mode), f.Sync(), f.Close()); err != nil {
		root.Remove(name)
		return "", err
	}
	return name, nil
}

// sweep removes what a run that was killed left beside a file. Nobody else can
// be writing there while the folder is locked.
func sweep(root *os.Root, file string) {
	dir, err := root.Open(path.Dir(file))
	if err != nil {
		return
	}
	defer dir.Close()
	names, err := dir.Readdirnames(-1)
	if err != nil {
		return
	}
	for _, name := range names {
		if strings.HasPrefix(name, "."+path.Base(file)+stageMark) {
			root.Remove(path.Join(path.Dir(file), name))
		}
	}
}

// syncFolder makes a rename last over a loss of power, where the system can.
func syncFolder(root *os.Root, dir string) {
	if f, err := root.Open(dir); err == nil {
		f.Sync()
		f.Close()
	}
}
