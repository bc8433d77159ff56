package record

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strconv"
	"strings"

	"benchwright/project"
	"benchwright/schema"
)

// Reading is one reading to be added, as it was given. Value keeps its text,
// so that trailing noughts stay; it has a point or the given file's own mark.
type Reading struct {
	Configuration, Workload, Session string
	// Repeat and Order count from 1; 0 takes the next free one.
	Repeat, Order int
	Value, Unit   string
	// Outcome is ok when empty.
	Outcome, Reason, Note string
	// At is where the reading came from, for messages: "grid.xlsx, C7".
	At schema.Place
}

// Options say where readings go and what is written down about them.
type Options struct {
	// File is the result file to append to; empty chooses the one that holds
	// the session's readings already, or results/SESSION.csv.
	File string
	// Source names what the readings came from: a file, "command line", …;
	// SourceSum is its SHA-256 in hexadecimal, empty when there is no file.
	Source, SourceSum string
	// When is the time of recording as it shall stand in provenance.csv,
	// RFC 3339. The package reads no clock.
	When string
}

// Change is one file before and after.
type Change struct {
	Path     string
	Old, New []byte // Old is nil when the file is new
}

// Addition is what would be written.
type Addition struct {
	Changes []Change
	// Added are the readings with repeat, order and session filled in.
	Added []Reading
	// Files lists, in order, the result files that grow.
	Files []string
}

// Prepare works out what adding the readings means, without writing anything.
// Findings say what is wrong with the readings, or with the folder as it would
// be afterwards: then the addition is nil.
func Prepare(fsys fs.FS, readings []Reading, o Options) (*Addition, []schema.Finding) {
	folder, found := schema.Read(fsys)
	p, more := project.Load(folder)
	found = append(found, more...)
	if bad := errorsOf(found); len(bad) > 0 || p == nil {
		return nil, schema.Sort(bad)
	}
	readings = slices.Clone(readings)
	if bad := understand(p, readings); len(bad) > 0 {
		return nil, schema.Sort(bad)
	}
	number(p, readings)

	a := &Addition{Added: readings}
	byFile := map[string][]Reading{}
	for _, r := range readings {
		file := o.File
		if file == "" {
			file = fileFor(p, r.Session)
		}
		if _, seen := byFile[file]; !seen {
			a.Files = append(a.Files, file)
		}
		byFile[file] = append(byFile[file], r)
	}
	slices.Sort(a.Files)
	overlay := map[string][]byte{}
	for _, file := range a.Files {
		old, grown, bad := grow(fsys, p, file, byFile[file])
		if len(bad) > 0 {
			return nil, schema.Sort(bad)
		}
		overlay[file] = grown
		a.Changes = append(a.Changes, Change{file, old, grown})
	}
	// The folder must still load with the new rows: duplicates, impossible
	// values and the like are the loader's to find.
	after, found := schema.Read(&over{fsys, overlay})
	_, more = project.Load(after)
	found = append(found, more...)
	if bad := errorsOf(found); len(bad) > 0 {
		return nil, after.Excerpts(schema.Sort(bad))
	}
	c, bad := provenance(fsys, a, byFile, o)
	if len(bad) > 0 {
		return nil, bad
	}
	a.Changes = append(a.Changes, c)
	return a, nil
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

// understand checks names, numbers and outcomes of the readings.
func understand(p *project.Project, readings []Reading) []schema.Finding {
	var bad []schema.Finding
	var configurations, workloads, sessions []string
	for _, c := range p.Configurations {
		configurations = append(configurations, c.ID)
	}
	for _, w := range p.Workloads {
		if w.Derived == nil {
			workloads = append(workloads, w.ID)
		}
	}
	for _, s := range p.Sessions {
		sessions = append(sessions, s.ID)
	}
	fault := func(r Reading, rule, message, remedy string) {
		bad = append(bad, schema.Finding{Rule: rule, Severity: schema.Error, Place: r.At, Message: message, Remedy: remedy})
	}
	name := func(r Reading, kind, id string, known []string) bool {
		if slices.Contains(known, id) {
			return true
		}
		remedy := ""
		if near := schema.Nearest(id, known); near != "" {
			remedy = fmt.Sprintf("did you mean %q?", near)
		} else if len(known) > 0 && len(known) <= 12 {
			remedy = fmt.Sprintf("the %ss are %s", kind, strings.Join(known, ", "))
		}
		message := fmt.Sprintf("there is no %s %q", kind, id)
		if id == "" {
			message = fmt.Sprintf("the reading names no %s", kind)
		}
		fault(r, "unknown-id", message, remedy)
		return false
	}
	for i := range readings {
		r := &readings[i]
		name(*r, "configuration", r.Configuration, configurations)
		if w := p.Workload(r.Workload); w != nil && w.Derived != nil {
			fault(*r, "derived-reading", fmt.Sprintf("%q is computed from other workloads and never read", r.Workload), "record the workloads that it is made of")
		} else {
			name(*r, "workload", r.Workload, workloads)
		}
		if r.Session == "" && len(sessions) == 1 {
			r.Session = sessions[0]
		}
		name(*r, "session", r.Session, sessions)
		if r.Outcome == "" {
			r.Outcome = "ok"
		}
		if !slices.Contains(project.OutcomeWords(), r.Outcome) {
			fault(*r, "not-allowed-value", fmt.Sprintf("%q is no outcome", r.Outcome), "one of "+strings.Join(project.OutcomeWords(), ", "))
		}
		if r.Outcome == "excluded" && r.Reason == "" {
			fault(*r, "missing-reason", "a reading is excluded without a reason", "say why it does not count")
		}
		r.Value = strings.TrimSpace(r.Value)
		if value, unit, ok := splitUnit(r.Value); ok && r.Unit == "" {
			r.Value, r.Unit = value, unit
		}
		if r.Value == "" {
			if r.Outcome == "ok" {
				fault(*r, "missing-value", "the reading has no value", "give a value, or the outcome of a run that failed")
			}
			continue
		}
		if w := p.Workload(r.Workload); w != nil && w.FrameTimes != "" {
			continue // the value is the name of a file
		}
		if _, remedy, ok := schema.ParseNumber(r.Value, schema.Dialect{Separator: ',', Decimal: '.'}); !ok {
			fault(*r, "not-a-number", fmt.Sprintf("%q is not a number", r.Value), remedy)
		}
	}
	return bad
}

// splitUnit takes "14.7 fps" apart.
func splitUnit(s string) (value, unit string, ok bool) {
	i := strings.IndexFunc(s, func(r rune) bool { return r == ' ' || r == '\u00a0' || r == '\u202f' })
	if i < 0 {
		return s, "", false
	}
	return s[:i], strings.TrimSpace(strings.TrimLeft(s[i:], "\u00a0\u202f ")), true
}

// number fills in repeats and places in the order of the session: the next
// ones that are free. Readings of one configuration and repeat that follow
// each other are one visit and share their place.
func number(p *project.Project, readings []Reading) {
	type cell struct{ configuration, workload, session string }
	repeats := map[cell]int{}
	orders := map[string]int{}
	for _, r := range p.Readings {
		if r.Derived || r.Session < 0 {
			continue
		}
		s := p.Sessions[r.Session].ID
		k := cell{p.Configurations[r.Configuration].ID, p.Workloads[r.Workload].ID, s}
		repeats[k] = max(repeats[k], int(r.Repeat))
		orders[s] = max(orders[s], int(r.Order))
	}
	var last Reading
	for i := range readings {
		r := &readings[i]
		k := cell{r.Configuration, r.Workload, r.Session}
		if r.Repeat == 0 {
			r.Repeat = repeats[k] + 1
		}
		repeats[k] = max(repeats[k], r.Repeat)
		if r.Order == 0 {
			if i == 0 || last.Configuration != r.Configuration || last.Session != r.Session || last.Repeat != r.Repeat {
				orders[r.Session]++
			}
			r.Order = orders[r.Session]
		}
		orders[r.Session] = max(orders[r.Session], r.Order)
		last = *r
	}
}

// fileFor chooses the result file of a session: the last one that has its
// readings, or one named after it.
func fileFor(p *project.Project, session string) string {
	for i := len(p.Readings) - 1; i >= 0; i-- {
		r := &p.Readings[i]
		if !r.Derived && r.Session >= 0 && p.Sessions[r.Session].ID == session {
			return p.ResultFiles[r.File]
		}
	}
	return path.Join("results", session+".csv")
}

// provenance grows provenance.csv by a row per result file: when, from what,
// its checksum, how many readings, where to, and that file's checksum.
func provenance(fsys fs.FS, a *Addition, byFile map[string][]Reading, o Options) (Change, []schema.Finding) {
	const name = "provenance.csv"
	old, err := fs.ReadFile(fsys, name)
	c := Change{Path: name}
	var b bytes.Buffer
	if err == nil {
		c.Old = old
		b.Write(old)
		if len(old) > 0 && old[len(old)-1] != '\n' {
			b.WriteByte('\n')
		}
	} else {
		b.WriteString("when,source,source-sha256,readings,file,file-sha256\n")
	}
	for i, file := range a.Files {
		sum := sha256.Sum256(a.Changes[i].New)
		row := []string{o.When, o.Source, o.SourceSum, strconv.Itoa(len(byFile[file])), file, hex.EncodeToString(sum[:])}
		for k := range row {
			row[k] = quote(row[k], ',')
		}
		b.WriteString(strings.Join(row, ",") + "\n")
	}
	c.New = b.Bytes()
	return c, nil
}

// over is a file system with some files replaced or added.
type over struct {
	fs.FS
	files map[string][]byte
}
