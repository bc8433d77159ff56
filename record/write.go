package record

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"strconv"
)

// ErrChanged says that a file is no longer what it was when the addition was
// prepared.
var ErrChanged = errors.New("changed in the meantime")

// Write puts the addition into the folder, file by file, each in one step: the
// new file is written beside the old one and takes its place whole. A file
// that changed since Prepare is refused before anything is written.
func (a *Addition) Write(root *os.Root) error {
	for _, c := range a.Changes {
		now, err := root.ReadFile(c.Path)
		switch {
		case errors.Is(err, fs.ErrNotExist) && c.Old == nil:
		case err != nil:
			return fmt.Errorf("reading %s again: %w", c.Path, err)
		case string(now) != string(c.Old):
			return fmt.Errorf("%s %w", c.Path, ErrChanged)
		}
	}
	for _, c := range a.Changes {
		if err := put(root, c); err != nil {
			return fmt.Errorf("writing %s: %w", c.Path, err)
		}
	}
	return nil
}

// put replaces one file in one step, keeping its mode.
func put(root *os.Root, c Change) (err error) {
	dir := path.Dir(c.Path)
	if dir != "." {
		if err := root.Mkdir(dir, 0o755); err != nil && !errors.Is(err, fs.ErrExist) {
			return err
		}
	}
	mode := fs.FileMode(0o644)
	if info, err := root.Stat(c.Path); err == nil {
		mode = info.Mode().Perm()
	}
	// A dot file: the folder's reader passes it over if a crash leaves it.
	name := path.Join(dir, "."+path.Base(c.Path)+".benchwright-"+strconv.Itoa(os.Getpid()))
	f, err := root.OpenFile(name, os.O_CREATE|os.O_TRUNC|os.O_WRONLY, mode)
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			root.Remove(name)
		}
	}()
	_, werr := f.Write(c.New)
	// The rename must not reach the disk before the bytes: readings are typed
	// once.
	if err := errors.Join(werr, f.Chmod(mode), f.Sync(), f.Close()); err != nil {
		return err
	}
	return root.Rename(name, c.Path)
}
