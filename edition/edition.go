// Package edition carries a project folder through the whole flow: read,
// typed, checked, computed. It holds no method of its own; it is the one place
// that knows the order.
//
// In: a file system. Out: an *Edition with findings, and on request its report
// value and the files of its site. The other way round, Verify takes a published
// site and says whether it is what its own data give. It may import every
// package but cmd.
//
//	e := edition.Open(os.DirFS("my-report"))
//	if !e.Unusable() {
//		w, err := site.Begin("site")
//		…
//		defer w.Close()
//		p, err := e.Publish(edition.PublishOptions{Previous: "site", Take: w.Add})
//		…
//		result, err := w.Commit()
//	}
package edition

import (
	"io/fs"
	"slices"
	"sync"

	"benchwright/design"
	"benchwright/project"
	"benchwright/record"
	"benchwright/report"
	"benchwright/schema"
)

// Edition is one state of a project folder.
type Edition struct {
	Folder *schema.Folder
	// Project and Space are nil when the folder's essentials cannot be read.
	Project *project.Project
	Space   *design.Space
	// Findings are all of them in file order, silenced ones included.
	Findings []schema.Finding
	// bare computes a report without findings, once; the first to ask for the
	// report gets it. nil when it has been given away, or nobody needed it.
	bare func() *report.Report
	// outside is what viewers read on other machines.
	outside []report.OutsideReading
	// unread says that some file could not be read or understood.
	unread bool
}

// Open reads and checks a folder. It never fails: whatever is wrong is a
// finding.
func Open(fsys fs.FS) *Edition { return open(fsys, false) }

// OpenToReport is Open for who will ask for the report: it is computed while
// the rules look for faults.
func OpenToReport(fsys fs.FS) *Edition { return open(fsys, true) }

func open(fsys fs.FS, ahead bool) *Edition {
	e := &Edition{}
	var found []schema.Finding
	e.Folder, found = schema.Read(fsys)
	e.Project, e.Findings = project.Load(e.Folder)
	e.Findings = append(e.Findings, found...)
	if e.Project != nil {
		e.Findings = append(e.Findings, e.readOutside(fsys)...)
	}
	for _, f := range e.Findings {
		e.unread = e.unread || f.Severity == schema.Error
	}
	if e.Project != nil {
		e.Space = design.NewSpace(e.Project)
		// A folder that is not what its author meant would only produce
		// findings about the misunderstanding.
		if !e.unread {
			e.Findings = append(e.Findings, record.Lost(fsys, e.Project)...)
			if ahead {
				build := e.compute()
				go func() {
					// A fault comes again to whoever takes the report, where
					// it is told properly.
					defer func() { _ = recover() }()
					build()
				}()
			}
			rules := slices.Concat(design.Rules(), report.NoteRules())
			found := append(design.Find(e.Space), e.noteFindings()...)
			e.Findings = append(e.Findings, design.Apply(e.Project, rules, found)...)
		}
	}
	e.Findings = e.Folder.Excerpts(schema.Sort(e.Findings))
	return e
}

// compute prepares the report without findings.
func (e *Edition) compute() func() *report.Report {
	if e.bare == nil {
		e.bare = sync.OnceValue(func() *report.Report { return report.Build(e.Project, e.Space, nil, report.Options{}) })
	}
	return e.bare
}

// Unreadable says that the folder or one of its files could not be read at
// all, as against read and found wrong.
func (e *Edition) Unreadable() bool {
	return e.Project == nil || slices.ContainsFunc(e.Findings, func(f schema.Finding) bool {
		return f.Severity == schema.Error && slices.Contains(unreadable[:], f.Rule)
	})
}

// unreadable are the rules of files of which nothing could be understood.
var unreadable = [...]string{"cannot-read", "empty-folder", "not-a-report", "not-utf8", "not-yaml", "nul-byte", "too-deep", "too-large"}

// Unusable says that something in the folder could not be read or does not
// make sense, so that nothing should be published from it.
func (e *Edition) Unusable() bool { return e.unread || e.Project == nil }

// Worst is the most severe finding that is not silenced; ok is false when
// there is none.
func (e *Edition) Worst() (s schema.Severity, ok bool) {
	for _, f := range e.Findings {
		if f.Silenced != "" {
			continue
		}
		if !ok || f.Severity < s {
			s, ok = f.Severity, true
		}
	}
	return s, ok
}

// publishable leaves out findings about files that are not read. They are the
// author's business: the report is made without those files, is recomputed
// without them, and should not name them to the world.
func publishable(all []schema.Finding) []schema.Finding {
	return slices.DeleteFunc(slices.Clone(all), func(f schema.Finding) bool { return f.Rule == "unknown-file" })
}

// Report computes every figure. It must not be called on an unusable edition.
func (e *Edition) Report(o report.Options) *report.Report {
	if e.bare != nil && o == (report.Options{}) {
		r := e.bare()
		e.bare = nil // it has its findings now, and goes to one caller
		r.Take(publishable(e.Findings))
		r.TakeOutside(e.outside)
		return r
	}
	r := report.Build(e.Project, e.Space, publishable(e.Findings), o)
	r.TakeOutside(e.outside)
	return r
}

// readOutside reads what viewers sent in and the author took into the folder.
func (e *Edition) readOutside(fsys fs.FS) []schema.Finding {
	readings, found := record.Viewers(fsys, e.Folder.Viewers, e.Project)
	for _, v := range readings {
		e.outside = append(e.outside, report.OutsideReading(v))
	}
	return found
}
