package shelf

import (
	_ "embed"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"

	"benchwright/edition"
	"benchwright/project"
	"benchwright/render/data"
	"benchwright/report"
	"benchwright/schema"
)

//go:embed reports.schema.json
var recordSchema []byte

// RecordSchema is the JSON Schema (2020-12) of RecordFile.
func RecordSchema() []byte { return slices.Clone(recordSchema) }

// largestRecord is the most bytes of a record that a site may make us read.
const largestRecord = 16 << 20

// Verification is what came out of checking a published shelf.
type Verification struct {
	// The site as one: the checksums at its top, and the shelf's own files, which
	// were made again from what it publishes. Files, findings and differences
	// are those of the reports too, from the site's root on.
	edition.Verification
	// Reports are the reports by themselves, in their order.
	Reports []ReportVerification
}

// ReportVerification is one report of a published shelf.
type ReportVerification struct {
	Folder string
	*edition.Verification
}

// IsSite says whether a published site is that of a shelf.
func IsSite(published fs.FS) bool {
	_, err := fs.Stat(published, RecordFile)
	return err == nil
}

// Verify checks a published shelf: the checksums of the whole, then every report
// as edition.Verify does, then the shelf's own pages against what this
// benchwright makes of data/shelf and of the recomputed reports. An error means
// that the folder is no such site, or that the machine could not read it.
func Verify(published fs.FS, version string) (*Verification, error) {
	inputs, err := fs.Sub(published, strings.TrimSuffix(Inputs, "/"))
	if err != nil {
		return nil, fmt.Errorf("reading the site: %w", err)
	}
	return verify(published, inputs, false, version, func(_ string, report fs.FS) (*edition.Verification, error) {
		return edition.Verify(report, version)
	})
}

// VerifyAgainst is Verify with the inputs taken from a shelf's folder: whether
// the site is what that folder gives.
func VerifyAgainst(published, folder fs.FS, version string) (*Verification, error) {
	return verify(published, folder, true, version, func(name string, report fs.FS) (*edition.Verification, error) {
		project, err := fs.Sub(folder, name)
		if err != nil {
			return nil, err
		}
		return edition.VerifyAgainst(report, project, version)
	})
}

// verify takes the shelf's own files from inputs, and which reports there are
// too when these are a whole folder; one verifies a report.
func verify(published, inputs fs.FS, folder bool, version string, one func(name string, report fs.FS) (*edition.Verification, error)) (*Verification, error) {
	rec, err := readRecord(published)
	if err != nil {
		return nil, err
	}
	whole, listed, err := edition.Checksums(published)
	if err != nil {
		return nil, err
	}
	v := &Verification{Verification: *whole}
	v.Title, v.Date, v.MadeBy = rec.Title, rec.Date, rec.MadeBy
	v.OtherVersion = v.MadeBy != "" && v.MadeBy != version
	var folders []string
	var reports []*report.Report
	for _, r := range rec.Reports {
		sub, err := fs.Sub(published, r.Folder)
		if err != nil {
			return nil, fmt.Errorf("reading the site of %q: %w", r.Folder, err)
		}
		w, err := one(r.Folder, sub)
		if err != nil {
			v.Differences = append(v.Differences, edition.Difference{File: r.Folder, Note: err.Error()})
			continue
		}
		v.Reports = append(v.Reports, ReportVerification{r.Folder, w})
		v.take(r.Folder, w)
		v.OtherArithmetic = v.OtherArithmetic || w.OtherArithmetic
		if w.Report != nil {
			folders = append(folders, r.Folder)
			reports = append(reports, w.Report)
		}
	}
	if len(reports) == len(rec.Reports) {
		if err := v.ownFiles(published, inputs, folder, listed, rec, folders, reports); err != nil {
			return nil, err
		}
	}
	for _, list := range []*[]string{&v.Missing, &v.Changed, &v.Extra} {
		slices.Sort(*list)
		*list = slices.Compact(*list)
	}
	return v, nil
}

// take adds what came out of one report.
func (v *Verification) take(folder string, w *edition.Verification) {
	under := func(into *[]string, names []string) {
		for _, name := range names {
			*into = append(*into, folder+"/"+name)
		}
	}
	under(&v.Missing, w.Missing)
	under(&v.Changed, w.Changed)
	for _, f := range w.Findings {
		v.Findings = append(v.Findings, f.Under(folder))
	}
	for _, d := range w.Differences {
		d.File = folder + "/" + d.File
		v.Differences = append(v.Differences, d)
	}
	v.Recomputed += w.Recomputed
	v.Further += w.Further
	// What lies in a report and is not of it must not pose as its data.
	for _, name := range w.Extra {
		if strings.HasPrefix(name, data.Folder) {
			v.Differences = append(v.Differences, edition.Difference{File: folder + "/" + name, Note: "is nothing that the report published"})
		}
	}
}

// ownFiles makes the shelf's own files again and compares them.
func (v *Verification) ownFiles(published, inputs fs.FS, folder bool, listed map[string]string, rec record, folders []string, reports []*report.Report) error {
	s := &Shelf{}
	var found, meant []schema.Finding
	s.Folder, found = schema.ReadShelf(inputs)
	if !folder {
		s.Folder.Reports = slices.Sorted(slices.Values(folders)) // which reports there are, the record says
	}
	s.Shelf, meant = project.LoadShelf(s.Folder)
	bad := false
	for _, f := range append(found, meant...) {
		if f.Severity == schema.Error {
			bad = true
			if !folder {
				f = f.Under(strings.TrimSuffix(Inputs, "/"))
			}
			v.Findings = append(v.Findings, f)
		}
	}
	if bad {
		return nil
	}
	var ordered []*report.Report
	for _, name := range s.Shelf.Reports {
		if !slices.Contains(folders, name) {
			v.Differences = append(v.Differences, edition.Difference{File: name, Note: "is a report of the shelf and is not there"})
			continue
		}
		s.Reports = append(s.Reports, Report{Folder: name})
		ordered = append(ordered, reports[slices.Index(folders, name)])
	}
	made, err := s.layOut(ordered, record{Theme: rec.Theme, BaseAddress: rec.BaseAddress, MadeBy: rec.MadeBy})
	if err != nil && rec.Theme != "" { // a theme that this version does not have
		made, err = s.layOut(ordered, record{BaseAddress: rec.BaseAddress, MadeBy: rec.MadeBy})
	}
	if err != nil {
		return err
	}
	own := map[string]string{}
	for name, sum := range listed {
		if top, _, nested := strings.Cut(name, "/"); nested && slices.Contains(folders, top) {
			continue
		}
		own[name] = sum
	}
	return v.Compare(published, own, made, Inputs)
}

// readRecord reads what the site says that it holds.
func readRecord(published fs.FS) (record, error) {
	var rec record
	info, err := fs.Stat(published, RecordFile)
	if errors.Is(err, fs.ErrNotExist) {
		return rec, fmt.Errorf("there is no %s in it: it is no shelf that benchwright published", RecordFile)
	}
	if err != nil {
		return rec, fmt.Errorf("reading %s: %w", RecordFile, err)
	}
	if info.Size() > largestRecord {
		return rec, fmt.Errorf("reading %s: it is larger than 16 MiB", RecordFile)
	}
	text, err := fs.ReadFile(published, RecordFile)
	if err != nil {
		return rec, fmt.Errorf("reading %s: %w", RecordFile, err)
	}
	if err := json.Unmarshal(text, &rec); err != nil {
		return rec, fmt.Errorf("%s is not what benchwright writes: %w", RecordFile, err)
	}
	if len(rec.Reports) == 0 {
		return rec, fmt.Errorf("%s names no report", RecordFile)
	}
	seen := map[string]bool{}
	for _, r := range rec.Reports {
		if !fs.ValidPath(r.Folder) || r.Folder == "." || strings.Contains(r.Folder, "/") || seen[r.Folder] {
			return rec, fmt.Errorf("%s: %q is not the name of a report, or stands there twice", RecordFile, r.Folder)
		}
		seen[r.Folder] = true
	}
	return rec, nil
}
