package record

import (
	"fmt"
	"io/fs"
	"slices"
	"strings"

	"benchwright/project"
	"benchwright/schema"
)

// Reading is one reading to be added, as it was given. Value keeps its text,
// with a point before decimals, so that trailing noughts stay.
type Reading struct {
	Configuration, Workload, Session string
	// Repeat and Order count from 1; 0 takes the next free one.
	Repeat, Order int
	// OrderOpen leaves the order open, instead of taking the next, where nobody
	// knows when the run was made among the others.
	OrderOpen   bool
	Value, Unit string
	// Typed is the value as it was typed, when its comma was read as the decimal
	// point of Value; Prepare says so in Addition.Added.
	Typed string
	// Outcome is ok when empty.
	Outcome, Reason, Note string
	// Also holds further columns that the workload's conversion names, such as
	// the number of frames.
	Also map[string]string
	// At is where the reading came from, for messages: "grid.xlsx!C7".
	At schema.Place

	// Whether repeat and order were given, and have to be kept as they are,
	// rather than being the next free ones.
	repeatGiven, orderGiven bool

	// How the source writes numbers, for what a message advises.
	source source
	mark   byte // before decimals; the point when zero
	// misread: the table's decimal mark does not fit the value, which is no
	// number then, whatever it would be with a point.
	misread bool
	// unitInValue: the unit stood behind the number and was taken off it.
	unitInValue bool
}

// ReadAs says how a value was read that was typed with a comma; empty for
// others.
func (r *Reading) ReadAs() string {
	if r.Typed == "" {
		return ""
	}
	return fmt.Sprintf("%q was read as %s, with the comma before decimals", r.Typed, r.Value)
}

// source is the kind of thing that a reading came from.
type source uint8

const (
	byHand source = iota
	tableCell
	gridCell
)

// Options say where readings go and what is written down about them.
type Options struct {
	// File is the result file to append to, "results/night.csv"; empty chooses
	// one that holds the session's readings already and has the columns for the
	// new ones, or begins one named after the session.
	File string
	// Source names what the readings came from: a file, "command line", …;
	// SourceSum is its SHA-256 in hexadecimal, empty when there is no file.
	Source, SourceSum string
	// Text says that the source is what a test printed about its runs, which may
	// well print the same of two.
	Text bool
	// When is the time of recording as it shall stand in provenance.csv,
	// RFC 3339. The package reads no clock.
	When string
	// Session is a session to be added to sessions.yaml first; nil for none.
	Session *Session
	// EvenSo adds readings that are far from what was expected, which are still
	// listed as Doubts, and a source that was taken in before. Without it they are
	// refused.
	EvenSo bool
}

// Change is one file before and after.
type Change struct {
	Path     string
	Old, New []byte // Old is nil when the file is new
}

// Addition is what would be written.
type Addition struct {
	// Changes in the order in which they are written.
	Changes []Change
	// Added are the readings with repeat, order and session filled in; Rows
	// says where each stands.
	Added []Reading
	Rows  []schema.Place
	// Files lists, sorted, the result files that grow.
	Files []string
	// After is the folder as it will be.
	After *project.Project
	// Doubts lists readings that are far from what was expected.
	Doubts []Doubt
	// Warnings are those that the folder did not have before.
	Warnings []schema.Finding
}

// Prepare works out what adding the readings means, without writing anything.
// Findings say what is wrong with the folder, with the readings, or with the
// folder as it would be afterwards: then the addition is nil.
//
// A folder that another program changes meanwhile is read again.
func Prepare(fsys fs.FS, readings []Reading, o Options) (*Addition, []schema.Finding) {
	for range mostTries {
		before := stampsOf(fsys)
		a, bad := prepare(fsys, readings, o)
		if stampsOf(fsys) == before {
			return a, bad
		}
	}
	return nil, []schema.Finding{finding("changed", schema.Place{}, "wait until the other program is done", "the folder keeps changing while it is read")}
}

// mostTries bounds how often a folder is read again because it changed.
const mostTries = 50

// stampsOf tells one state of the files that grow from another. An addition
// changes at least a size.
func stampsOf(fsys fs.FS) string {
	files, err := fs.Glob(fsys, "results/*.csv")
	if err != nil { // the pattern is ours
		return err.Error()
	}
	var b strings.Builder
	for _, file := range append(files, sessionsFile, provenanceFile) {
		if info, err := fs.Stat(fsys, file); err == nil {
			fmt.Fprintf(&b, "%s %d %d\n", file, info.Size(), info.ModTime().UnixNano())
		}
	}
	return b.String()
}

func prepare(fsys fs.FS, readings []Reading, o Options) (*Addition, []schema.Finding) {
	a := &Addition{Added: slices.Clone(readings)}
	planned := &over{fsys, map[string][]byte{}}
	if o.Session != nil {
		c, bad := addSession(fsys, *o.Session)
		if len(bad) > 0 {
			return nil, bad
		}
		a.Changes = append(a.Changes, c)
		planned.files[c.Path] = c.New
	}
	p, before, bad := load(planned)
	if o.Session != nil {
		bad = o.Session.asGiven(bad, planned.files[sessionsFile])
	}
	if len(bad) > 0 {
		return nil, bad
	}
	if len(readings) == 0 && o.Session == nil {
		return nil, []schema.Finding{{Rule: "nothing-to-add", Message: "there is no reading to add", Remedy: "give a value, or a table or text that holds some"}}
	}
	if bad := understand(p, a.Added); len(bad) > 0 {
		return nil, folded(bad)
	}
	if bad := again(fsys, p, a.Added, o); len(bad) > 0 {
		return nil, bad
	}
	if bad := number(p, a.Added); len(bad) > 0 {
		return nil, folded(bad)
	}
	if bad := a.choose(planned, p, o); len(bad) > 0 {
		return nil, folded(bad)
	}
	after, later, bad := load(planned)
	if len(bad) > 0 {
		if o.Session != nil {
			bad = o.Session.asGiven(bad, planned.files[sessionsFile])
		}
		return nil, schema.Sort(a.asGiven(bad))
	}
	if bad := confirm(p, after, a.Added, a.Rows); len(bad) > 0 {
		return nil, folded(bad)
	}
	if bad := impossible(after, a.Added); len(bad) > 0 {
		return nil, folded(bad)
	}
	a.After = after
	a.Warnings = fresh(before, later)
	a.Doubts = doubts(p, after, a.Added)
	if len(a.Doubts) > 0 && !o.EvenSo {
		return nil, folded(refusals(after, a))
	}
	c, bad := provenance(fsys, a, o)
	if len(bad) > 0 {
		return nil, bad
	}
	a.Changes = append(a.Changes, c)
	return a, nil
}

// asGiven moves findings about rows that are not written yet, and what they
// refer to, to where their readings came from.
func (a *Addition) asGiven(found []schema.Finding) []schema.Finding {
	given := func(at schema.Place) (schema.Place, bool) {
		for k, row := range a.Rows {
			if at.File == row.File && at.Line == row.Line && a.Added[k].At.File != "" {
				return a.Added[k].At, true
			}
		}
		return at, false
	}
	for i := range found {
		f := &found[i]
		if at, ok := given(f.Place); ok {
			f.Place, f.Width, f.Excerpt, f.ExcerptColumn = at, 0, "", 0
		}
		for k := range f.Related {
			f.Related[k].Place, _ = given(f.Related[k].Place)
		}
	}
	return found
}

// load reads and types a folder; the errors in it, with excerpts, or its other
// findings.
func load(fsys fs.FS) (p *project.Project, others, bad []schema.Finding) {
	folder, found := schema.Read(fsys)
	p, more := project.Load(folder)
	found = schema.Sort(append(found, more...))
	if bad := errorsOf(found); len(bad) > 0 {
		return nil, nil, folder.Excerpts(bad)
	}
	if p == nil {
		return nil, nil, []schema.Finding{{Rule: "not-a-report", Message: "the folder cannot be used", Remedy: "benchwright check says why"}}
	}
	return p, found, nil
}

// fresh gives the warnings that are new.
func fresh(before, after []schema.Finding) []schema.Finding {
	type key struct{ rule, file, message string }
	had := map[key]bool{}
	for _, f := range before {
		had[key{f.Rule, f.File, f.Message}] = true
	}
	var out []schema.Finding
	for _, f := range after {
		if f.Severity == schema.Warning && !had[key{f.Rule, f.File, f.Message}] {
			out = append(out, f)
		}
	}
	return out
}

func errorsOf(fs []schema.Finding) []schema.Finding {
	var out []schema.Finding
	for _, f := range fs {
		if f.Severity == schema.Error {
			out = append(out, f)
		}
	}
	return out
}

// finding is one of severity error.
func finding(rule string, at schema.Place, remedy, format string, values ...any) schema.Finding {
	return schema.Finding{Rule: rule, Severity: schema.Error, Place: at, Message: fmt.Sprintf(format, values...), Remedy: remedy}
}
