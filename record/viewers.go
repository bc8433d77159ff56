package record

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"benchwright/project"
	"benchwright/schema"
)

// ViewerReading is a reading that somebody else took on another machine. It is
// shown apart and never part of the results.
type ViewerReading struct {
	Viewer, Machine string
	Workload        int // in Project.Workloads
	// Value is in the workload's unit; Written is the text, in Unit.
	Value         float64
	Written, Unit string
	Date, Note    string // Date is YYYY-MM-DD or empty
	Place         schema.Place
}

// viewerColumns of a template and of the files in viewers.
var viewerColumns = [...]string{"viewer", "machine", "workload", "value", "unit", "date", "note"}

// Bounds on what a viewer writes, in characters, and on the rows of one file.
const (
	longestName   = 100
	longestRemark = 1000
	mostViewer    = 10_000
)

// ViewerTemplate is the CSV file that a viewer fills in: a row for each workload
// that is read, with its unit, and nothing else.
func ViewerTemplate(p *project.Project) []byte {
	rows := [][]string{viewerColumns[:]}
	for _, w := range p.Workloads {
		if isRead(w) {
			rows = append(rows, []string{"", "", w.ID, "", w.Unit.Symbol, "", ""})
		}
	}
	return csvText(rows)
}

// csvText writes rows with commas and LF (RFC 4180 but for its line ends).
func csvText(rows [][]string) []byte {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	w.WriteAll(rows) // a buffer takes everything
	return b.Bytes()
}

// Viewers reads the files of the folder viewers, which schema.Folder lists. What
// is wrong in one is a finding, and that row is left out; so is a reading that
// stands in another of the files.
func Viewers(fsys fs.FS, files []string, p *project.Project) ([]ViewerReading, []schema.Finding) {
	read := make([][]ViewerReading, len(files))
	var bad []schema.Finding
	for i, file := range files {
		var found []schema.Finding
		read[i], found = viewerFile(fsys, p, file)
		bad = append(bad, found...)
	}
	bad = append(bad, viewersTwice(p, files, read)...)
	return slices.Concat(read...), schema.Sort(bad)
}

// viewerFile reads one filled-in template.
func viewerFile(fsys fs.FS, p *project.Project, file string) ([]ViewerReading, []schema.Finding) {
	t, found := schema.OpenTable(fsys, file, nil)
	if t == nil {
		return nil, errorsOf(found)
	}
	defer t.Close()
	v := viewerReader{p: p, t: t, at: map[string]int{}, bad: errorsOf(found)}
	for i, c := range t.Header {
		title := strings.TrimSpace(c.Text)
		if !slices.Contains(viewerColumns[:], title) {
			f := finding("unknown-column", schema.Place{File: file, Line: 1, Column: c.Column}, "the columns are "+strings.Join(viewerColumns[:], ", "), "%q is not a column of a template", title)
			if near := schema.Nearest(title, viewerColumns[:]); near != "" {
				f.Remedy = fmt.Sprintf("did you mean %q?", near)
			}
			v.bad = append(v.bad, f)
			continue
		}
		v.at[title] = i
	}
	for _, need := range viewerColumns[:4] {
		if _, ok := v.at[need]; !ok {
			v.bad = append(v.bad, finding("missing-column", schema.Place{File: file, Line: 1, Column: 1}, "use the template of the report", "the column %q is missing", need))
		}
	}
	if len(v.bad) > 0 {
		return nil, v.bad
	}
	var out []ViewerReading
	for row, ok := t.Next(); ok; row, ok = t.Next() {
		if one, ok := v.row(row); ok {
			out = append(out, one)
		}
		if len(out) > mostViewer || len(v.bad) > 10*mostViewer {
			v.bad = append(v.bad, finding("too-large", schema.Place{File: file}, "", "the file holds more than %d readings", mostViewer))
			break
		}
	}
	return out, append(v.bad, errorsOf(t.Findings())...)
}

type viewerReader struct {
	p   *project.Project
	t   *schema.Table
	at  map[string]int
	bad []schema.Finding
	// What stands in a row holds for those below it that leave it empty.
	viewer, machine, date string
}

func (v *viewerReader) row(row *schema.Row) (one ViewerReading, ok bool) {
	place := schema.Place{File: v.t.Path, Line: row.Line, Column: 1}
	before := len(v.bad)
	get := func(name string) string {
		i, ok := v.at[name]
		if !ok {
			return ""
		}
		return strings.Clone(strings.TrimSpace(row.Cells[i].Text))
	}
	fault := func(column, rule, remedy, format string, values ...any) {
		at := place
		if i, ok := v.at[column]; ok {
			at.Line, at.Column = row.Cells[i].Line, row.Cells[i].Column
		}
		v.bad = append(v.bad, finding(rule, at, remedy, format, values...))
	}
	text := func(column string, longest int) string {
		s := get(column)
		switch {
		case strings.ContainsFunc(s, unicode.IsControl):
			fault(column, "control-character", "write it in one line", "the %s holds a line break or another control character", column)
		case utf8.RuneCountInString(s) > longest:
			fault(column, "too-large", fmt.Sprintf("use at most %d characters", longest), "the %s is too long", column)
		case s != "" && strings.ContainsRune("=+-@＝＋－＠", []rune(s)[0]):
			fault(column, "formula", "begin it with a letter or digit", "a spreadsheet would take the %s for a formula: %q", column, short(s))
		}
		return s
	}
	inherit := func(last *string, s string) string {
		if s != "" {
			*last = s
		}
		return *last
	}
	one = ViewerReading{Workload: -1, Place: place}
	one.Viewer = inherit(&v.viewer, text("viewer", longestName))
	one.Machine = inherit(&v.machine, text("machine", longestRemark))
	one.Date = inherit(&v.date, get("date"))
	one.Note = text("note", longestRemark)
	one.Written = get("value")
	if one.Written == "" {
		return one, false // not filled in
	}
	if one.Viewer == "" {
		fault("viewer", "missing-value", "write the name or nickname that shall be shown", "the reading has no viewer")
	}
	if one.Machine == "" {
		fault("machine", "missing-value", "write what it was taken on, in a few words", "the reading has no machine")
	}
	if _, err := time.Parse(time.DateOnly, one.Date); one.Date != "" && err != nil {
		fault("date", "bad-date", "write it year first: 2031-04-09", "%q is not a day of the calendar", one.Date)
	}
	v.value(&one, get("workload"), get("unit"), fault)
	return one, len(v.bad) == before
}

// value reads the number of a row and holds it against what is possible.
func (v *viewerReader) value(one *ViewerReading, workload, symbol string, fault func(column, rule, remedy, format string, values ...any)) {
	w := v.p.Workload(workload)
	if w == nil || !isRead(w) {
		var known []string
		for _, w := range v.p.Workloads {
			if isRead(w) {
				known = append(known, w.ID)
			}
		}
		remedy := "the workloads are " + strings.Join(known, ", ")
		if near := schema.Nearest(workload, known); near != "" {
			remedy = fmt.Sprintf("did you mean %q?", near)
		}
		fault("workload", "unknown-id", remedy, "there is no workload %q", workload)
		return
	}
	one.Workload, one.Unit = w.Index, symbol
	if symbol == "" {
		one.Unit = w.Unit.Symbol
	}
	number, _, ok := schema.ParseNumber(one.Written, v.t.Dialect)
	if !ok {
		remedy := schema.NumberRemedy(one.Written, v.t.Dialect)
		if schema.NoNumber(one.Written) {
			remedy = "leave the cell empty: a template has no outcomes"
		}
		fault("value", "not-a-number", remedy, "%s", schema.NumberFault(short(one.Written), v.t.Dialect))
		return
	}
	unit, ok := v.p.Unit(one.Unit)
	if !ok {
		fault("unit", "unknown-unit", "give the value in "+w.Unit.Symbol, "there is no unit %q", short(one.Unit))
		return
	}
	value, ok := unit.Convert(number, w.Unit)
	if !ok {
		fault("unit", "wrong-dimension", "give the value in "+w.Unit.Symbol, "%s cannot be converted into %s, the unit of %q", one.Unit, w.Unit.Symbol, w.ID)
		return
	}
	one.Value = value
	if why := impossibleFor(w, value); why != "" {
		fault("value", "impossible-value", "check the number and its unit", "%s %s is not possible for %q: it is %s", one.Written, one.Unit, w.ID, why)
	}
}

// PrepareViewer works out what bringing in a filled-in template means: a file of
// its own under viewers, with the rows that hold a value, in one style whatever
// the viewer's. name is the file as it was given, o.File the name to keep it
// under; results stay as they are.
func PrepareViewer(fsys fs.FS, text []byte, name string, o Options) (*Addition, []schema.Finding) {
	p, _, bad := load(fsys)
	if len(bad) > 0 {
		return nil, bad
	}
	file, bad := viewerName(name, o.File)
	if len(bad) > 0 {
		return nil, bad
	}
	if _, there, bad := readOptional(fsys, file); there || len(bad) > 0 {
		return nil, append(bad, finding("duplicate-file", schema.Place{File: file}, "if it is another viewer's, keep it under another name with --file", "is there already"))
	}
	given := &over{fsys, map[string][]byte{name: text}}
	readings, bad := viewerFile(given, p, name)
	if len(bad) > 0 {
		return nil, schema.Sort(bad)
	}
	if len(readings) == 0 {
		return nil, []schema.Finding{finding("no-match", schema.Place{File: name}, "fill in the column value", "no reading was found in the template")}
	}
	folder, _ := schema.Read(fsys)
	// What is wrong with those files is check's matter; their other rows count.
	others, _ := Viewers(fsys, folder.Viewers, p)
	if bad := viewerAgain(p, others, name, readings); len(bad) > 0 {
		return nil, bad
	}
	rows := [][]string{viewerColumns[:]}
	a := &Addition{Files: []string{file}}
	for i, r := range readings {
		id := p.Workloads[r.Workload].ID
		v, _ := p.Unit(r.Unit)
		written := pointed(r, v, p.Workloads[r.Workload].Unit)
		rows = append(rows, []string{r.Viewer, r.Machine, id, written, r.Unit, r.Date, r.Note})
		a.Added = append(a.Added, Reading{Workload: id, Value: written, Unit: r.Unit, Note: r.Note, At: r.Place})
		a.Rows = append(a.Rows, schema.Place{File: file, Line: i + 2})
	}
	a.Doubts = viewerDoubts(p, others, readings)
	if len(a.Doubts) > 0 && !o.EvenSo {
		return nil, folded(viewerRefusals(p, a))
	}
	kept := csvText(rows)
	again, bad := viewerFile(&over{fsys, map[string][]byte{file: kept}}, p, file)
	if len(bad) > 0 || !slices.EqualFunc(again, readings, sameViewerReading) {
		return nil, append(bad, finding("cannot-append", schema.Place{File: name}, "write the numbers without thousands separators", "the readings would not be read back as they were given"))
	}
	a.Changes = []Change{{Path: file, New: kept}}
	a.After = p
	c, bad := provenance(fsys, a, o)
	if len(bad) > 0 {
		return nil, bad
	}
	a.Changes = append(a.Changes, c)
	return a, nil
}

// pointed writes the number with a point before decimals.
func pointed(r ViewerReading, given, shown project.Unit) string {
	if strings.Contains(r.Written, ",") {
		point := strings.Replace(r.Written, ",", ".", 1)
		if v, _, ok := schema.ParseNumber(point, schema.Dialect{}); ok {
			if c, _ := given.Convert(v, shown); c == r.Value {
				return point
			}
		}
	}
	return r.Written
}

func sameViewerReading(a, b ViewerReading) bool {
	return a.Viewer == b.Viewer && a.Machine == b.Machine && a.Workload == b.Workload && a.Value == b.Value && a.Unit == b.Unit && a.Date == b.Date && a.Note == b.Note
}

// viewerName makes a plain file name of the given one.
func viewerName(name, wanted string) (string, []schema.Finding) {
	if wanted == "" {
		wanted = name
	}
	base := path.Base(strings.ReplaceAll(wanted, `\`, "/"))
	base = strings.TrimSuffix(strings.ToLower(base), ".csv")
	var b strings.Builder
	for _, r := range base {
		switch {
		case r >= 'a' && r <= 'z' || r >= '0' && r <= '9':
			b.WriteRune(r)
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
	}
	slug := strings.Trim(b.String(), "-")
	if slug == "" || len(slug) > longestName {
		return "", []schema.Finding{finding("file-name", schema.Place{}, "name one with --file", "no file name can be made of %q", short(wanted))}
	}
	for _, kept := range [...]string{"readme", "license", "licence", "copying", "notice"} {
		if strings.HasPrefix(slug, kept) {
			slug = "viewer-" + slug // files of such names are not read
			break
		}
	}
	return "viewers/" + slug + ".csv", nil
}
