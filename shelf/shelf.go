// Package shelf carries several reports through the flow together: each as
// package edition carries one, then what can be said of all of them.
//
// In: the file system of a folder whose sub-folders are project folders and
// which has a shelf.yaml of its own. Out: a *Shelf with every finding, and on
// request the files of one site: the shelf's own pages at its top, and the site
// of each report, as it would be published alone, in the folder of its name. It
// may import every package but cmd.
//
//	s := shelf.Open(os.DirFS("my-reports"))
//	if !s.Unusable() {
//		p, err := s.Publish(shelf.PublishOptions{Previous: "site"})
//		…
//		result, err := site.Write("site", p.Files)
//	}
//
// A report stays whole: it takes nothing from the shelf, so that it is checked,
// published and recomputed alone as well as here. The shelf's workloads.yaml is
// what the reports' own definitions are held against.
package shelf

import (
	"io/fs"
	"slices"
	"strings"

	"benchwright/edition"
	"benchwright/project"
	"benchwright/schema"
)

// Shelf is one state of a folder of reports.
type Shelf struct {
	// Folder is the shelf's own files.
	Folder *schema.Shelf
	// Shelf is what they say.
	*project.Shelf
	// Reports are those to publish, in their order.
	Reports []Report
	// Findings are those of the shelf and of every report, in file order,
	// silenced ones included. Files are named from the shelf's folder on.
	Findings []schema.Finding
	// own says that the shelf's own files could not be read or understood.
	own bool
}

// Report is one report of a shelf.
type Report struct {
	// Folder is its name in the shelf.
	Folder string
	*edition.Edition
}

// Open reads and checks a shelf and all its reports. It never fails: whatever is
// wrong is a finding.
func Open(fsys fs.FS) *Shelf {
	s := &Shelf{}
	var found, meant []schema.Finding
	s.Folder, found = schema.ReadShelf(fsys)
	s.Shelf, meant = project.LoadShelf(s.Folder)
	found = append(found, meant...)
	for _, f := range found {
		s.own = s.own || f.Severity == schema.Error
	}
	for _, name := range s.Shelf.Reports {
		sub, err := fs.Sub(fsys, name)
		if err != nil {
			continue // the name came from the folder's own listing
		}
		s.Reports = append(s.Reports, Report{name, edition.Open(sub)})
	}
	found = append(found, s.rules()...)
	s.Findings = s.Folder.Excerpts(found)
	for _, r := range s.Reports {
		for _, f := range r.Findings {
			s.Findings = append(s.Findings, f.Under(r.Folder))
		}
	}
	s.Findings = schema.Sort(s.Findings)
	return s
}

// Unusable says that something in the shelf or in one of its reports could not
// be read or does not make sense, so that nothing should be published from it.
func (s *Shelf) Unusable() bool {
	return s.own || len(s.Reports) == 0 || slices.ContainsFunc(s.Reports, func(r Report) bool { return r.Unusable() })
}

// Unreadable says that a file of the shelf or a report could not be read at all,
// as against read and found wrong.
func (s *Shelf) Unreadable() bool {
	return s.Folder.Shelf == nil || slices.ContainsFunc(s.Reports, func(r Report) bool { return r.Unreadable() })
}

// Worst is the most severe finding that is not silenced; ok is false when
// there is none.
func (s *Shelf) Worst() (worst schema.Severity, ok bool) {
	for _, f := range s.Findings {
		if f.Silenced == "" && (!ok || f.Severity < worst) {
			worst, ok = f.Severity, true
		}
	}
	return worst, ok
}

// base gives an address a closing slash.
func base(address string) string {
	if address == "" || strings.HasSuffix(address, "/") {
		return address
	}
	return address + "/"
}
