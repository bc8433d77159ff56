package edition

import (
	"io"
	"io/fs"
	"path"
	"slices"
	"strings"
	"time"

	"benchwright/render/site"
)

// mapped is a file system whose files stand elsewhere in another one.
type mapped struct {
	under fs.FS
	files map[string]string   // path here → path there
	dirs  map[string][]string // folder → names in it
}

// add puts a file in, and the folders above it; the first of a path stays.
func (m *mapped) add(name, there string) {
	if _, taken := m.files[name]; taken {
		return
	}
	m.files[name] = there
	for at := name; at != "."; at = path.Dir(at) {
		up := path.Dir(at)
		m.dirs[up] = append(m.dirs[up], path.Base(at))
	}
}

func (m *mapped) sort() {
	for dir, names := range m.dirs {
		slices.Sort(names)
		m.dirs[dir] = slices.Compact(names)
	}
}

// Open opens a file there or lists a folder here.
func (m *mapped) Open(name string) (fs.File, error) {
	if !fs.ValidPath(name) {
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrInvalid}
	}
	if there, ok := m.files[name]; ok {
		return m.under.Open(there)
	}
	if names, ok := m.dirs[name]; ok || name == "." {
		return &mappedDir{m: m, name: name, names: names}, nil
	}
	return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
}

// mappedDir is a folder that exists only here.
type mappedDir struct {
	m     *mapped
	name  string
	names []string
	at    int
}

func (d *mappedDir) Stat() (fs.FileInfo, error) { return folderInfo(path.Base(d.name)), nil }
func (d *mappedDir) Close() error               { return nil }
func (d *mappedDir) Read([]byte) (int, error) {
	return 0, &fs.PathError{Op: "read", Path: d.name, Err: fs.ErrInvalid}
}

// ReadDir gives the next n entries, or all that are left.
func (d *mappedDir) ReadDir(n int) ([]fs.DirEntry, error) {
	var out []fs.DirEntry
	for ; d.at < len(d.names) && (n <= 0 || len(out) < n); d.at++ {
		full := path.Join(d.name, d.names[d.at])
		there, ok := d.m.files[full]
		if !ok {
			out = append(out, fs.FileInfoToDirEntry(folderInfo(d.names[d.at])))
			continue
		}
		info, err := fs.Stat(d.m.under, there)
		if err != nil {
			return out, err
		}
		out = append(out, fs.FileInfoToDirEntry(info))
	}
	if n > 0 && len(out) == 0 {
		return nil, io.EOF
	}
	return out, nil
}

// folderInfo is the name of a folder without a time of its own.
type folderInfo string

func (i folderInfo) Name() string       { return string(i) }
func (i folderInfo) Size() int64        { return 0 }
func (i folderInfo) Mode() fs.FileMode  { return fs.ModeDir | 0o555 }
func (i folderInfo) ModTime() time.Time { return time.Time{} }
func (i folderInfo) IsDir() bool        { return true }
func (i folderInfo) Sys() any           { return nil }

// Root finds the site inside an unpacked archive: the folder itself, or the one
// folder in it, as archives of a folder have it.
func Root(fsys fs.FS) (fs.FS, error) {
	if _, err := fs.Stat(fsys, site.Sums); err == nil {
		return fsys, nil
	}
	entries, err := fs.ReadDir(fsys, ".")
	if err != nil {
		return nil, err
	}
	entries = slices.DeleteFunc(entries, func(e fs.DirEntry) bool { return strings.HasPrefix(e.Name(), ".") })
	if len(entries) == 1 && entries[0].IsDir() {
		return fs.Sub(fsys, entries[0].Name())
	}
	return fsys, nil
}
