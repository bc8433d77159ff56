package schema

import (
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"
)

// shelfFile stands at the top of a folder of reports.
const shelfFile = "shelf.yaml"

// Shelf is a folder of reports as it was read. The reports themselves are read
// one by one with Read.
type Shelf struct {
	// Folder has the files of the shelf itself: Workloads, the definitions that
	// the reports share, and Theme; the rest of it is empty.
	*Folder
	// Shelf is shelf.yaml; nil when it cannot be used.
	Shelf *Document
	// Reports are the names of the sub-folders that hold a report, sorted.
	Reports []string
}

// IsReport says whether a folder of this name, inside that of a shelf, holds a
// report.
func IsReport(shelf fs.FS, name string) bool {
	_, err := fs.Stat(shelf, path.Join(name, reportFile))
	return err == nil
}

// IsShelf tells a folder of reports from a report: it has shelf.yaml (or what
// was meant to be it) and no report.yaml.
func IsShelf(fsys fs.FS) bool {
	entries, err := fs.ReadDir(fsys, ".")
	if err != nil {
		return false
	}
	shelf := false
	for _, e := range entries {
		if e.Name() == reportFile {
			return false
		}
		shelf = shelf || e.Name() == shelfFile || !e.IsDir() && lookalike(e.Name(), shelfFile)
	}
	return shelf
}

// ReadShelf reads and validates what a shelf says of itself, and finds the
// reports in it. Everything that is wrong comes back as findings, in file order.
func ReadShelf(fsys fs.FS) (*Shelf, []Finding) {
	f := &Folder{FS: fsys, texts: map[string][]byte{}}
	s := &Shelf{Folder: f}
	r := &reader{Folder: f, files: map[string][]string{}, schemas: newSchemas()}
	present := map[string]bool{}
	var unknown []string
	for _, e := range r.list(".") {
		name := e.Name()
		switch {
		case name == shelfFile || name == workloadsFile:
			present[name] = true
		case !r.directory(name, e):
			unknown = append(unknown, name)
		case name == "theme":
			r.section(name, e)
		case holdsReport(fsys, name):
			if e.Type()&fs.ModeSymlink != 0 {
				r.add(Finding{Rule: "cannot-read", Place: Place{File: name}, Message: "is a link to another folder",
					Remedy: "put the report itself into a folder of that name"})
				continue
			}
			s.Reports = append(s.Reports, name)
		default:
			r.add(Finding{Rule: "unknown-file", Severity: Notice, Place: Place{File: name}, Message: "the folder is not read: there is no report in it"})
		}
	}
	f.Theme = r.files["theme"]
	if !present[shelfFile] {
		at := slices.IndexFunc(unknown, func(name string) bool { return lookalike(name, shelfFile) })
		if at >= 0 {
			r.add(Finding{Rule: "missing-file", Place: Place{File: unknown[at]}, Message: fmt.Sprintf("%q is missing; this file looks like it", shelfFile),
				Remedy: fmt.Sprintf("rename %q to %q", unknown[at], shelfFile)})
			s.Shelf = r.document(unknown[at], "shelf")
			unknown = slices.Delete(unknown, at, at+1)
		} else {
			r.add(Finding{Rule: "missing-file", Place: Place{File: shelfFile}, Message: "is missing", Remedy: "write it: title, author and licence of the whole site"})
		}
	} else {
		s.Shelf = r.document(shelfFile, "shelf")
	}
	if present[workloadsFile] {
		f.Workloads = r.document(workloadsFile, "workloads")
	}
	for _, name := range unknown {
		one := Finding{Rule: "unknown-file", Severity: Notice, Place: Place{File: name}, Message: "the file is not read: nothing of a shelf has that name"}
		if near := Nearest(strings.TrimSuffix(name, path.Ext(name)), []string{"shelf", "workloads"}); near != "" {
			one.Severity, one.Remedy = Warning, fmt.Sprintf("did you mean %q?", near+".yaml")
		}
		r.add(one)
	}
	return s, Sort(r.findings)
}

// holdsReport tells a folder that somebody meant to be a report.
func holdsReport(fsys fs.FS, name string) bool {
	return slices.ContainsFunc([]string{reportFile, benchFile, workloadsFile}, func(file string) bool {
		_, err := fs.Stat(fsys, path.Join(name, file))
		return err == nil
	})
}
