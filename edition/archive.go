package edition

import (
	"archive/tar"
	"archive/zip"
	"bytes"
	"compress/gzip"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"strings"
)

// Bounds on an archive, which anybody may have made.
const (
	mostUnpacked = 2 << 30
	mostEntries  = 200_000
)

// OpenArchive gives the files of a zip or tar.gz archive of a published site,
// found by its first bytes whatever its name. Links and devices in it are left
// out, paths that lead out of it refused.
func OpenArchive(archive io.ReaderAt, size int64) (fs.FS, error) {
	head := make([]byte, 4)
	n, err := archive.ReadAt(head, 0)
	if err != nil && !errors.Is(err, io.EOF) {
		return nil, fmt.Errorf("reading the archive: %w", err)
	}
	switch head = head[:n]; {
	case bytes.HasPrefix(head, []byte("PK")):
		z, err := zip.NewReader(archive, size)
		if err != nil {
			return nil, fmt.Errorf("reading the archive: %w", err)
		}
		return bounded(z)
	case bytes.HasPrefix(head, []byte{0x1f, 0x8b}):
		return unpack(io.NewSectionReader(archive, 0, size), mostUnpacked)
	}
	return nil, errors.New("it is neither a folder nor a zip or tar.gz archive")
}

// bounded refuses a zip archive that would unpack to more than is reasonable.
// Its reader never gives more of a file than the directory promises.
func bounded(z *zip.Reader) (fs.FS, error) {
	var total uint64
	if len(z.File) > mostEntries {
		return nil, fmt.Errorf("the archive holds more than %d files", mostEntries)
	}
	for _, f := range z.File {
		if total += f.UncompressedSize64; total > mostUnpacked || f.UncompressedSize64 > mostUnpacked {
			return nil, errors.New("the archive unpacks to more than 2 GiB")
		}
	}
	return Root(z)
}

// unpack reads a tar.gz archive into memory, as a zip archive without
// compression, whose reader is a file system. most bounds what is read, and what
// the files come to: a sparse one is longer than what stands in the archive.
func unpack(r io.Reader, most int64) (fs.FS, error) {
	g, err := gzip.NewReader(r)
	if err != nil {
		return nil, fmt.Errorf("reading the archive: %w", err)
	}
	limited, left := &io.LimitedReader{R: g, N: most + 1}, most
	t := tar.NewReader(limited)
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for entries := 0; ; entries++ {
		h, err := t.Next()
		if errors.Is(err, io.EOF) {
			break
		}
		if limited.N <= 0 {
			return nil, errors.New("the archive unpacks to more than 2 GiB")
		}
		if err != nil {
			return nil, fmt.Errorf("reading the archive: %w", err)
		}
		if entries > mostEntries {
			return nil, fmt.Errorf("the archive holds more than %d files", mostEntries)
		}
		if h.Typeflag != tar.TypeReg {
			continue
		}
		name := path.Clean(strings.TrimPrefix(h.Name, "./"))
		if !fs.ValidPath(name) {
			return nil, fmt.Errorf("the archive holds a file %q, whose path leads out of it", h.Name)
		}
		if left -= h.Size; left < 0 {
			return nil, errors.New("the archive unpacks to more than 2 GiB")
		}
		w, err := z.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Store})
		if err == nil {
			_, err = io.Copy(w, t)
		}
		if limited.N <= 0 {
			return nil, errors.New("the archive unpacks to more than 2 GiB")
		}
		if err != nil {
			return nil, fmt.Errorf("reading %q of the archive: %w", name, err)
		}
	}
	if err := z.Close(); err != nil {
		return nil, fmt.Errorf("reading the archive: %w", err)
	}
	opened, err := zip.NewReader(bytes.NewReader(b.Bytes()), int64(b.Len()))
	if err != nil {
		return nil, fmt.Errorf("reading the archive: %w", err)
	}
	return Root(opened)
}
