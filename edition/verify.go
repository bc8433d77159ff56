package edition

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"slices"
	"strings"

	"benchwright/render/data"
	"benchwright/render/site"
	"benchwright/report"
	"benchwright/schema"
	"benchwright/stats"
)

// Verification is what came out of checking a published site.
type Verification struct {
	// Title and Date are the report's own words about itself; MadeBy is the
	// version that published it, empty when it did not say.
	Title, Date, MadeBy string
	// OtherVersion: it is another version than the one that verifies, so that only
	// what the data say was compared, and not how files and pages are written.
	OtherVersion bool
	// OtherArithmetic: it was computed where numbers are rounded in another way
	// (stats.Arithmetic), so that last digits differ and only what the data say was
	// compared.
	OtherArithmetic bool
	// Report is the report as it was computed again; nil when it could not be.
	Report *report.Report
	// Files counts those in the list of checksums.
	Files int
	// Missing are listed but not there, Changed have other bytes than listed,
	// Extra are there and not listed. Sorted paths from the site's root.
	Missing, Changed, Extra []string
	// Findings are the errors for which the published folder cannot be computed
	// again; empty when it could.
	Findings []schema.Finding
	// Recomputed counts the published files that were made again and compared.
	Recomputed int
	// Differences are where the published files and the recomputed ones
	// disagree, in order of file and place, at most LimitPerFile of each file.
	Differences []Difference
	// Further counts the differences beyond the limit.
	Further int
}

// LimitPerFile is how many differences of one file are listed.
const LimitPerFile = 20

// Difference is one place at which a published file is not what its own data
// give.
type Difference struct {
	// File is a path from the site's root.
	File string
	// Line and Column count from 1, columns in characters; 0 when the file as a
	// whole is meant.
	Line, Column int
	// Field is the column's name in a table, and the path to the value in JSON
	// (RFC 6901); empty elsewhere.
	Field string
	// Published and Recomputed are the two values as written; either is empty
	// where there is none.
	Published, Recomputed string
	// Note says what the values cannot: "is not there", "goes on after its end".
	Note string
	// Further counts the differences of the file beyond LimitPerFile; it stands
	// with one of those that are listed.
	Further int
}

// String gives file:line:column, the field and both values.
func (d Difference) String() string {
	var b strings.Builder
	b.WriteString(schema.Place{File: d.File, Line: d.Line, Column: d.Column}.String())
	b.WriteString(": ")
	if d.Field != "" {
		b.WriteString(d.Field + ": ")
	}
	if d.Note != "" {
		b.WriteString(d.Note)
		if d.Published == "" && d.Recomputed == "" {
			return b.String()
		}
		b.WriteString(": ")
	}
	fmt.Fprintf(&b, "published %q, recomputed %q", d.Published, d.Recomputed)
	return b.String()
}

// OK says that the site is whole and is what its own data give. A file that
// somebody put beside the site is allowed, unless it poses as data.
func (v *Verification) OK() bool {
	return len(v.Missing)+len(v.Changed)+len(v.Findings)+len(v.Differences) == 0 &&
		!slices.ContainsFunc(v.Extra, func(p string) bool { return strings.HasPrefix(p, data.Folder) })
}

// Partly says that only what the data say was compared, since last digits or the
// writing may differ without anybody having changed them.
func (v *Verification) Partly() bool { return v.OtherVersion || v.OtherArithmetic }

// Verify checks a published site against itself: the checksums, and every file
// against what this benchwright, of the given version, makes of the inputs in
// data/folder. It does not trust the checksums: whoever changed a figure may have
// changed those too. Of a site that another version made, only the tables and
// records of data are compared, in the columns and keys that both versions have,
// and there numbers (to nine digits) and identifiers: words, pages and drawings
// may be written in another way. So it is with a site that was computed on a kind
// of processor whose last digits differ.
//
// What it cannot know: what an earlier edition said (it holds previous.json and
// the list of editions to be what they claim, and checks that they agree with
// one another), and whether the readings were ever taken. An error means that
// the folder is no site, or that the machine could not read it.
func Verify(published fs.FS, version string) (*Verification, error) {
	inputs, err := inputsOf(published)
	if err != nil {
		return nil, err
	}
	return verify(published, inputs, version)
}

// VerifyAgainst is Verify with the inputs taken from a project folder: whether
// the site is what that folder gives. An input that differs is among the
// differences.
func VerifyAgainst(published, project fs.FS, version string) (*Verification, error) {
	return verify(published, project, version)
}

func verify(published, inputs fs.FS, version string) (*Verification, error) {
	v := &Verification{}
	listed, err := v.checksums(published)
	if err != nil {
		return nil, err
	}
	past, err := data.ReadPast(published)
	if err != nil {
		// The records cannot be read: that is a difference, and the figures are
		// recomputed without them.
		v.Differences = append(v.Differences, Difference{File: data.RecordFile, Note: err.Error()})
		past = nil
	} else if _, listed := listed[data.RecordFile]; past == nil && !listed {
		return nil, fmt.Errorf("there is no %s in it: it is no site that benchwright published", data.RecordFile)
	}
	e := Open(inputs)
	if e.Unusable() {
		for _, f := range e.Findings {
			if f.Severity == schema.Error {
				v.Findings = append(v.Findings, f)
			}
		}
		return v, nil
	}
	made, arithmetic, err := v.remake(e, past)
	if err != nil {
		return nil, err
	}
	v.OtherVersion = v.MadeBy != "" && v.MadeBy != version
	v.OtherArithmetic = arithmetic != "" && arithmetic != stats.Arithmetic()
	return v, v.Compare(published, listed, made, data.Inputs)
}

// Checksums begins a verification of a tree that was written with a list of
// checksums: it holds the tree against the list and gives that, path to sum. An
// error means that there is no list, or that the tree cannot be read.
func Checksums(published fs.FS) (*Verification, map[string]string, error) {
	v := &Verification{}
	listed, err := v.checksums(published)
	if err != nil {
		return nil, nil, err
	}
	return v, listed, nil
}

// checksums holds the site against its list.
func (v *Verification) checksums(published fs.FS) (map[string]string, error) {
	text, err := fs.ReadFile(published, site.Sums)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("there is no %s in it: it is no site that benchwright published", site.Sums)
	}
	if err != nil {
		return nil, fmt.Errorf("reading %s: %w", site.Sums, err)
	}
	sums, err := site.ReadSums(text)
	if err != nil {
		return nil, err
	}
	v.Files = len(sums)
	seen := map[string]bool{}
	err = fs.WalkDir(published, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || name == site.Sums {
			return err
		}
		want, listed := sums[name]
		if !listed {
			v.Extra = append(v.Extra, name)
			return nil
		}
		seen[name] = true
		if !d.Type().IsRegular() {
			v.Changed = append(v.Changed, name)
			return nil
		}
		got, err := hashOf(published, name)
		if err != nil {
			return err
		}
		if got != want {
			v.Changed = append(v.Changed, name)
		}
		return nil
	})
	if err != nil {
		return nil, fmt.Errorf("reading the site: %w", err)
	}
	for name := range sums {
		if !seen[name] {
			v.Missing = append(v.Missing, name)
		}
	}
	slices.Sort(v.Missing)
	slices.Sort(v.Changed)
	slices.Sort(v.Extra)
	return sums, nil
}

func hashOf(fsys fs.FS, name string) (string, error) {
	f, err := fsys.Open(name)
	if err != nil {
		return "", err
	}
	defer f.Close()
	h := sha256.New()
	if _, err := io.Copy(h, f); err != nil {
		return "", fmt.Errorf("reading %s: %w", name, err)
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}

// remake lays the site out again with the choices that the record names, and
// gives the arithmetic that it names.
func (v *Verification) remake(e *Edition, past *data.Past) (files []site.File, arithmetic string, err error) {
	var record report.Publication
	if past != nil {
		var err error
		if record, err = past.Record(); err != nil {
			v.Differences = append(v.Differences, Difference{File: data.RecordFile, Note: err.Error()})
			record = report.Publication{}
		}
	}
	v.Title, v.Date, v.MadeBy = record.Title, record.Date, record.MadeBy
	o := PublishOptions{Theme: record.Theme, BaseAddress: record.BaseAddress, Version: record.MadeBy, Arithmetic: record.Arithmetic, Shelf: record.Shelf,
		Report: report.Options{Baseline: record.Baseline, Language: record.Language}}
	r := e.Report(o.Report)
	v.Report = r
	var history data.History
	if past != nil {
		if err := past.Sealed(); err != nil {
			v.Differences = append(v.Differences, Difference{File: data.ChangesFile, Note: err.Error()})
		}
		var err error
		if history, err = data.Restore(past, r, e.Folder); err != nil {
			v.Differences = append(v.Differences, Difference{File: data.PreviousFile, Note: err.Error()})
		}
	}
	files, _, err = e.layOut(r, history, o)
	if err != nil && o.Theme != "" { // a theme that this version does not have
		o.Theme = ""
		files, _, err = e.layOut(r, history, o)
	}
	return files, record.Arithmetic, err
}

// Compare holds every file that was made again against the published one, and
// names those that are listed and were not made. inputs is the folder of the site
// that holds what it was made from, with a slash at its end.
func (v *Verification) Compare(published fs.FS, listed map[string]string, made []site.File, inputs string) error {
	have := map[string]bool{}
	for _, f := range made {
		have[f.Path] = true
		if v.Partly() && !strings.HasPrefix(f.Path, inputs) && !ofMeaning(f.Path) {
			continue
		}
		text, err := fs.ReadFile(published, f.Path)
		if errors.Is(err, fs.ErrNotExist) {
			if v.OtherVersion && !strings.HasPrefix(f.Path, inputs) {
				continue // a file that the other version does not write
			}
			v.Differences = append(v.Differences, Difference{File: f.Path, Note: "is not there"})
			continue
		}
		if err != nil {
			return fmt.Errorf("reading the site: %w", err)
		}
		v.Recomputed++
		found, further := differences(f.Path, text, f.Data, v.Partly() && !strings.HasPrefix(f.Path, inputs))
		v.Differences = append(v.Differences, found...)
		v.Further += further
	}
	for name := range listed {
		if !have[name] && (!v.OtherVersion || strings.HasPrefix(name, inputs)) {
			v.Differences = append(v.Differences, Difference{File: name, Note: "is nothing that these inputs give"})
		}
	}
	slices.SortStableFunc(v.Differences, func(a, b Difference) int {
		return schema.Place{File: a.File, Line: a.Line, Column: a.Column}.Compare(schema.Place{File: b.File, Line: b.Line, Column: b.Column})
	})
	return nil
}

// inputsOf gives the project folder as it was published: the files in
// data/folder, and pictures that older sites have where the pages show them alone.
func inputsOf(published fs.FS) (fs.FS, error) {
	m := &mapped{under: published, files: map[string]string{}, dirs: map[string][]string{}}
	for _, from := range []struct{ at, to string }{{strings.TrimSuffix(data.Inputs, "/"), "."}, {"media", "media"}} {
		err := fs.WalkDir(published, from.at, func(name string, d fs.DirEntry, err error) error {
			if errors.Is(err, fs.ErrNotExist) && name == from.at {
				return fs.SkipAll
			}
			if err != nil || d.IsDir() {
				return err
			}
			m.add(path.Join(from.to, strings.TrimPrefix(strings.TrimPrefix(name, from.at), "/")), name)
			return nil
		})
		if err != nil {
			return nil, fmt.Errorf("reading the site: %w", err)
		}
	}
	m.sort()
	return m, nil
}
