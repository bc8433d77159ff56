package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"benchwright/render"
	"benchwright/render/data"
	"benchwright/render/site"
	"benchwright/schema"
	"benchwright/shelf"
)

// safeTargets refuses, before anything is written, to put a site, a single file or
// stills over what is something else: the author's own files, another kind of
// site, or each other.
func safeTargets(s *source, out, singleFile, stills string) error {
	for _, target := range []string{out, singleFile, stills} {
		if err := beside(s, target); err != nil {
			return err
		}
	}
	other, what := filepath.Join(out, filepath.FromSlash(shelf.RecordFile)), "a shelf"
	if s.shelf {
		other, what = filepath.Join(out, filepath.FromSlash(data.RecordFile)), "one report"
	}
	if (s.shelf || schema.IsReport(s.FS, ".")) && exists(other) {
		return hint(fmt.Errorf("%s holds the site of %s; nothing was written", out, what), "name another folder with --out, or remove that one first")
	}
	if singleFile != "" {
		if err := ownSingleFile(singleFile); err != nil {
			return err
		}
	}
	if stills == "" {
		return nil
	}
	site, err := wholePath(out)
	if err != nil {
		return err
	}
	frames, err := wholePath(stills)
	if err != nil {
		return err
	}
	if site == frames {
		return hint(fmt.Errorf("the site and the stills cannot both be written to %s; nothing was written", out), "name another folder with --stills")
	}
	return onlyStills(stills)
}

func exists(name string) bool {
	_, err := os.Lstat(name)
	return err == nil || !errors.Is(err, fs.ErrNotExist)
}

// ownSingleFile refuses to write over what is no report in one file.
func ownSingleFile(name string) error {
	if info, err := os.Stat(name); err == nil && info.IsDir() {
		return hint(fmt.Errorf("writing %s: it is a folder; nothing was written", name), "name a file, for example "+filepath.Join(name, "report.html"))
	}
	f, err := os.Open(name)
	if err != nil {
		return nil // there is none, or writing it will say why not
	}
	defer f.Close()
	start, err := io.ReadAll(io.LimitReader(f, 4096))
	if err != nil || len(start) == 0 || render.IsSingleFile(start) {
		return nil
	}
	return hint(fmt.Errorf("%s is no report that benchwright put into one file; nothing was written", name), "name another file with --single-file, or move that one away")
}

// onlyStills refuses to put stills into a folder that a site was published to.
func onlyStills(dir string) error {
	list, err := os.ReadFile(filepath.Join(dir, site.Sums))
	if err != nil {
		return nil // nothing was published there
	}
	sums, err := site.ReadSums(list)
	if err != nil {
		return nil // site.Write says what is wrong with the list
	}
	for name := range sums {
		if !render.IsStill(name) {
			return hint(fmt.Errorf("%s holds a published site; nothing was written", dir), "name another folder with --stills")
		}
	}
	return nil
}

// beside makes sure that a folder or file to write is none of the author's own:
// the report's folder, one around it, or what it is read from.
func beside(s *source, dir string) error {
	if s.root == nil || dir == "" {
		return nil
	}
	own, err := wholePath(s.name)
	if err != nil {
		return err
	}
	to, err := wholePath(dir)
	if err != nil {
		return err
	}
	remedy := "name a folder of its own, for example --out " + filepath.Join(s.name, "site")
	down, err := filepath.Rel(to, own)
	if err == nil && down == "." {
		return hint(fmt.Errorf("%s is the folder that is to be published; nothing was written", dir), remedy)
	}
	if err == nil && down != ".." && !strings.HasPrefix(down, ".."+string(filepath.Separator)) {
		return hint(fmt.Errorf("%s is around the folder that is to be published; nothing was written", dir), remedy)
	}
	up, err := filepath.Rel(own, to)
	if err != nil || up == ".." || strings.HasPrefix(up, ".."+string(filepath.Separator)) {
		return nil
	}
	first, _, _ := strings.Cut(filepath.ToSlash(up), "/")
	if schema.IsInput(first) || s.shelf && schema.IsReport(s.FS, first) {
		return hint(fmt.Errorf("%s is read for the report; nothing was written", dir), remedy)
	}
	return nil
}

// wholePath gives the absolute path of a folder without links, of which the last
// parts need not be there yet.
func wholePath(name string) (string, error) {
	abs, err := filepath.Abs(name)
	if err != nil {
		return "", fmt.Errorf("finding the folder %q: %w", name, err)
	}
	rest := ""
	for up := abs; ; up = filepath.Dir(up) {
		if real, err := filepath.EvalSymlinks(up); err == nil {
			return filepath.Join(real, rest), nil
		}
		if up == filepath.Dir(up) {
			return abs, nil
		}
		rest = filepath.Join(filepath.Base(up), rest)
	}
}
