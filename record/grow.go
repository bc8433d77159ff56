package record

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"slices"
	"strconv"
	"strings"

	"benchwright/project"
	"benchwright/schema"
)

// newColumns is the header of a result file that record begins.
var newColumns = [...]string{"session", "order", "configuration", "repeat", "workload", "value", "unit", "outcome", "reason", "note"}

func isAbsent(err error) bool { return errors.Is(err, fs.ErrNotExist) }

// grown is a result file with rows appended.
type grown struct {
	text []byte
	rows []int // the line of each reading
}

// grow appends the readings to a result file. What stands in it already keeps
// every byte; only a last line without an end gets one.
func grow(fsys fs.FS, p *project.Project, file string, readings []Reading) (grown, []schema.Finding) {
	old, there, bad := readOptional(fsys, file)
	if len(bad) > 0 {
		return grown{}, bad
	}
	if !there {
		header := newHeader(p, readings)
		s := style{separator: ',', decimal: '.', end: "\n"}
		if d := p.Dialect(); d != nil {
			s.separator, s.decimal = d.Separator, d.Decimal
		}
		var b bytes.Buffer
		s.row(&b, header)
		return appendRows(b.Bytes(), p, file, s, header, readings)
	}
	table, bad := schema.OpenTable(fsys, file, p.Dialect())
	if table == nil {
		return grown{}, errorsOf(bad)
	}
	defer table.Close()
	var header []string
	for _, c := range table.Header {
		header = append(header, strings.TrimSpace(c.Text))
	}
	s := styleOf(table, old)
	return appendRows(ended(old, s.end), p, file, s, header, readings)
}

// newHeader has the further columns of the readings behind the usual ones.
func newHeader(p *project.Project, readings []Reading) []string {
	further := map[string]bool{}
	for _, r := range readings {
		for name := range r.Also {
			further[name] = true
		}
	}
	return append(slices.Clone(newColumns[:]), slices.Sorted(maps.Keys(further))...)
}

// appendRows writes the readings as rows of the header's shape: long when it
// has a workload column, otherwise wide, where the readings of one visit share
// a row.
func appendRows(text []byte, p *project.Project, file string, s style, header []string, readings []Reading) (grown, []schema.Finding) {
	w := rowWriter{p: p, file: file, style: s, header: header, long: slices.Contains(header, "workload"), line: lines(text, s.end)}
	w.b.Write(text)
	g := grown{rows: make([]int, len(readings))}
	for i := 0; i < len(readings); {
		n := 1
		for !w.long && i+n < len(readings) && sharesRow(readings[i:i+n], readings[i+n]) {
			n++
		}
		w.row(readings[i : i+n])
		for range n {
			g.rows[i] = w.line
			i++
		}
	}
	g.text = w.b.Bytes()
	return g, w.bad
}

// sharesRow says whether a reading may stand in the row of others: the same
// visit, the same remarks, and an outcome that a row can tell apart from
// theirs, which is that of the cells without a value.
func sharesRow(row []Reading, r Reading) bool {
	for _, x := range row {
		if x.Workload == r.Workload || x.Configuration != r.Configuration || x.Session != r.Session || x.Repeat != r.Repeat || x.Order != r.Order ||
			x.Note != r.Note || !maps.Equal(x.Also, r.Also) {
			return false
		}
		ofValue := func(x Reading) bool { return x.Value != "" && x.Outcome == project.OK.String() && x.Reason == "" }
		if (x.Outcome != r.Outcome || x.Reason != r.Reason) && ofValue(x) == ofValue(r) {
			return false
		}
		if x.Outcome != r.Outcome && (x.Outcome == project.Excluded.String() || r.Outcome == project.Excluded.String()) {
			return false
		}
	}
	return true
}

type rowWriter struct {
	b bytes.Buffer
	p *project.Project
	style
	file   string
	header []string
	long   bool
	line   int // of the last row
	bad    []schema.Finding
}

func (w *rowWriter) fault(r Reading, remedy, format string, values ...any) {
	at := r.At
	if at.File == "" {
		at = schema.Place{File: w.file, Line: 1, Column: 1}
	}
	w.bad = append(w.bad, finding("cannot-append", at, remedy, format, values...))
}

const addColumn = "add the column to its header and to every row, or name another file"

// countsItself says what a file without the column does.
var countsItself = map[string]string{
	"repeat": ": without one, repeats are counted in the order of the rows",
	"order":  ": without one, the rows are taken to stand in the order of the runs",
}

// row writes one row for readings of one visit. A reading that says something
// for which the file has no column is refused rather than cut.
func (w *rowWriter) row(readings []Reading) {
	r := readings[0]
	for _, x := range readings {
		if x.Outcome != project.OK.String() || x.Reason != "" {
			r = x // whose outcome the row carries
			break
		}
	}
	cells := make([]string, len(w.header))
	placed := map[string]bool{}
	empty := 0
	for i, column := range w.header {
		text, known := w.common(column, r)
		if !known && !w.long {
			var reading bool
			if text, reading = w.wideCell(column, readings, placed); reading && text == "" {
				empty++
			}
		}
		cells[i] = text
		placed[column] = true
	}
	for _, need := range []struct {
		column, text string
		needed       bool
	}{
		{"session", r.Session, len(w.p.Sessions) > 1},
		{"outcome", r.Outcome, r.Outcome != project.OK.String()},
		{"reason", r.Reason, r.Reason != ""},
		{"note", r.Note, r.Note != ""},
		{"repeat", strconv.Itoa(r.Repeat), slices.ContainsFunc(readings, func(x Reading) bool { return x.repeatGiven })},
		{"order", strconv.Itoa(r.Order), slices.ContainsFunc(readings, func(x Reading) bool { return x.orderGiven })},
		{"unit", r.Unit, w.long && r.Unit != "" && !w.sameUnit(r.Unit, w.unitOf(r.Workload))},
	} {
		if need.needed && !placed[need.column] {
			w.fault(r, addColumn, "%s has no column %q for %q%s", w.file, need.column, need.text, countsItself[need.column])
		}
	}
	if r.OrderOpen && !placed["order"] {
		w.fault(r, addColumn+"; or say that the rows stand in the order of the runs: --in-order",
			"%s has no column \"order\" to leave empty: its rows are taken to stand in the order of the runs, which is not known of these", w.file)
	}
	for name, text := range r.Also {
		if !placed[name] && text != "" {
			w.fault(r, addColumn, "%s has no column %q for %q", w.file, name, text)
		}
	}
	if !w.long {
		w.checkWide(r, readings, placed, empty)
	}
	w.style.row(&w.b, cells)
	w.line++
}

// common gives the cell of a column that is not a workload's.
func (w *rowWriter) common(column string, r Reading) (text string, known bool) {
	switch column {
	case "configuration":
		return r.Configuration, true
	case "session":
		return r.Session, true
	case "repeat":
		return strconv.Itoa(r.Repeat), true
	case "order":
		if r.Order == 0 {
			return "", true
		}
		return strconv.Itoa(r.Order), true
	case "outcome":
		return r.Outcome, true
	case "reason":
		return r.Reason, true
	case "note":
		return r.Note, true
	}
	if text, ok := r.Also[column]; ok {
		return w.number(text), true
	}
	if !w.long {
		return "", false
	}
	switch column {
	case "workload":
		return r.Workload, true
	case "value":
		return w.valueOf(r), true
	case "unit":
		if r.Unit == "" && r.Value != "" && !w.isFile(r.Workload) {
			return w.unitOf(r.Workload), true
		}
		return r.Unit, true
	}
	return "", true
}

// wideCell gives the cell of a workload's column; reading is false for a column
// that is none.
func (w *rowWriter) wideCell(column string, readings []Reading, placed map[string]bool) (text string, reading bool) {
	id, unit := columnUnit(column)
	if w.p.Workload(id) == nil {
		return "", false
	}
	for _, x := range readings {
		if x.Workload != id {
			continue
		}
		placed["reading of "+id] = true
		if unit == "" {
			unit = w.unitOf(id)
		}
		if x.Unit != "" && !w.sameUnit(x.Unit, unit) {
			w.fault(x, "give the value in "+unit, "the column %q holds %s, the reading is in %s", column, unit, x.Unit)
		}
		text = w.valueOf(x)
	}
	return text, true
}

// checkWide refuses what a wide row would say of more cells than those meant.
func (w *rowWriter) checkWide(r Reading, readings []Reading, placed map[string]bool, empty int) {
	missing := 0
	for _, x := range readings {
		if !placed["reading of "+x.Workload] {
			w.fault(x, addColumn, "%s has no column for workload %q", w.file, x.Workload)
		}
		if x.Value == "" {
			missing++
		}
	}
	if r.Outcome == project.OK.String() || r.Outcome == project.Excluded.String() {
		return
	}
	const remedy = "record the whole visit at once, or name a file with a row for each reading"
	switch {
	case empty == 0 && slices.ContainsFunc(readings, func(x Reading) bool { return x.Outcome != r.Outcome }):
		w.fault(r, remedy, "a row of %s without an empty cell would say %q of every workload", w.file, r.Outcome)
	case empty > missing:
		w.fault(r, remedy, "a row of %s would say %q of every workload", w.file, r.Outcome)
	case empty > 0 && r.Value != "":
		w.fault(r, remedy, "a row of %s cannot say %q of a workload with a value", w.file, r.Outcome)
	}
}

func (w *rowWriter) valueOf(r Reading) string {
	if w.isFile(r.Workload) {
		return r.Value
	}
	return w.number(r.Value)
}

// isFile says whether readings of a workload are names of files of frame times.
func (w *rowWriter) isFile(id string) bool {
	x := w.p.Workload(id)
	return x != nil && x.FrameTimes != ""
}

func (w *rowWriter) unitOf(id string) string {
	if x := w.p.Workload(id); x != nil {
		return givenIn(x).Symbol
	}
	return ""
}

func (w *rowWriter) sameUnit(a, b string) bool {
	if a == b {
		return true
	}
	x, okX := w.p.Unit(a)
	y, okY := w.p.Unit(b)
	return okX && okY && x.Dimension == y.Dimension && x.Factor == y.Factor && x.Offset == y.Offset
}

// columnUnit takes the header "backup [s]" of a wide file apart.
func columnUnit(header string) (id, unit string) {
	id, rest, ok := strings.Cut(header, "[")
	if !ok {
		return strings.TrimSpace(header), ""
	}
	return strings.TrimSpace(id), strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(rest), "]"))
}

// name of a result file that record begins: SESSION.csv, SESSION-2.csv, …
func newFile(session string, n int) string {
	if n == 1 {
		return "results/" + session + ".csv"
	}
	return fmt.Sprintf("results/%s-%d.csv", session, n)
}
