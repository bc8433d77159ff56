package record

import (
	"bytes"
	"io/fs"
	"path"
	"slices"
	"strings"
	"time"
)

// over is a file system with some files replaced or added.
type over struct {
	fs.FS
	files map[string][]byte
}

// alone is a file system of one file.
func alone(name string, text []byte) fs.FS { return &over{noFiles{}, map[string][]byte{name: text}} }

type noFiles struct{}

func (noFiles) Open(name string) (fs.File, error) {
	return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
}

// Open gives the replaced file where there is one.
func (o *over) Open(name string) (fs.File, error) {
	if data, ok := o.files[name]; ok {
		return &memory{*bytes.NewReader(data), info{path.Base(name), int64(len(data))}}, nil
	}
	f, err := o.FS.Open(name)
	if err == nil {
		return f, nil
	}
	// A folder that only the new files are in.
	for n := range o.files {
		if strings.HasPrefix(n, name+"/") {
			return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrInvalid}
		}
	}
	return nil, err
}

// ReadFile avoids a copy through Open.
func (o *over) ReadFile(name string) ([]byte, error) {
	if data, ok := o.files[name]; ok {
		return slices.Clone(data), nil
	}
	return fs.ReadFile(o.FS, name)
}

// Stat knows the replaced files.
func (o *over) Stat(name string) (fs.FileInfo, error) {
	if data, ok := o.files[name]; ok {
		return info{path.Base(name), int64(len(data))}, nil
	}
	return fs.Stat(o.FS, name)
}

// ReadDir lists a folder with the added files in it.
func (o *over) ReadDir(name string) ([]fs.DirEntry, error) {
	entries, err := fs.ReadDir(o.FS, name)
	have := map[string]bool{}
	for _, e := range entries {
		have[e.Name()] = true
	}
	added := false
	for n, data := range o.files {
		rest, inside := n, name == "."
		if !inside {
			rest, inside = strings.CutPrefix(n, name+"/")
		}
		if !inside {
			continue
		}
		first, _, nested := strings.Cut(rest, "/")
		if have[first] {
			continue
		}
		have[first], added = true, true
		if nested {
			entries = append(entries, fs.FileInfoToDirEntry(folderInfo(first)))
		} else {
			entries = append(entries, fs.FileInfoToDirEntry(info{first, int64(len(data))}))
		}
	}
	if err != nil && !added {
		return nil, err
	}
	slices.SortFunc(entries, func(a, b fs.DirEntry) int { return strings.Compare(a.Name(), b.Name()) })
	return entries, nil
}

// memory is an open replaced file.
type memory struct {
	bytes.Reader
	info info
}

func (m *memory) Stat() (fs.FileInfo, error) { return m.info, nil }
func (m *memory) Close() error               { return nil }

type info struct {
	name string
	size int64
}

func (i info) Name() string       { return i.name }
func (i info) Size() int64        { return i.size }
func (i info) Mode() fs.FileMode  { return 0o644 }
func (i info) ModTime() time.Time { return time.Time{} }
func (i info) IsDir() bool        { return false }
func (i info) Sys() any           { return nil }

type folderInfo string

func (f folderInfo) Name() string       { return string(f) }
func (f folderInfo) Size() int64        { return 0 }
func (f folderInfo) Mode() fs.FileMode  { return fs.ModeDir | 0o755 }
func (f folderInfo) ModTime() time.Time { return time.Time{} }
func (f folderInfo) IsDir() bool        { return true }
func (f folderInfo) Sys() any           { return nil }
