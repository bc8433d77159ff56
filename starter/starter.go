// Package starter holds the commented folder that a new report begins with.
//
// In: a directory. Out: the folder's files in it, none of them overwriting
// anything. It imports no package of this module but schema.
package starter

import (
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
)

//go:embed all:folder all:theme
var files embed.FS

// Files is the folder as it will be written.
func Files() fs.FS {
	sub, err := fs.Sub(files, "folder")
	if err != nil {
		panic(err) // the folder is embedded: a failure is ours
	}
	return sub
}

// Theme is the folder theme/ that shows how the looks of a report are changed.
func Theme() fs.FS {
	sub, err := fs.Sub(files, "theme")
	if err != nil {
		panic(err) // the folder is embedded: a failure is ours
	}
	return sub
}

// ErrNotEmpty says that the directory already holds one of the files.
var ErrNotEmpty = errors.New("the folder is not empty")

// Write puts the files of the given file system into dir, which is made when
// it is not there, and returns their paths in order. When any of them is there
// already it writes nothing and returns ErrNotEmpty with the path.
func Write(dir string, fsys fs.FS) ([]string, error) {
	var names []string
	err := fs.WalkDir(fsys, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		if _, err := os.Lstat(filepath.Join(dir, filepath.FromSlash(name))); err == nil {
			return fmt.Errorf("%w: %s is there already", ErrNotEmpty, name)
		} else if !errors.Is(err, fs.ErrNotExist) {
			return err
		}
		names = append(names, name)
		return nil
	})
	if err != nil {
		return nil, err
	}
	for _, name := range names {
		data, err := fs.ReadFile(fsys, name)
		if err != nil {
			return nil, fmt.Errorf("reading %s: %w", name, err)
		}
		if err := os.MkdirAll(filepath.Join(dir, filepath.FromSlash(path.Dir(name))), 0o755); err != nil {
			return nil, err
		}
		f, err := os.OpenFile(filepath.Join(dir, filepath.FromSlash(name)), os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o644)
		if err != nil {
			return nil, err
		}
		_, werr := f.Write(data)
		if err := errors.Join(werr, f.Close()); err != nil {
			return nil, err
		}
	}
	return names, nil
}
