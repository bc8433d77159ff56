package record

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strconv"
	"strings"

	"benchwright/project"
	"benchwright/schema"
)

// newColumns is the header of a result file that record begins.
var newColumns = []string{"session", "order", "configuration", "repeat", "workload", "value", "unit", "outcome", "reason", "note"}

// grow gives a result file before and after the readings are appended. What
// stands in it already keeps every byte; only a last line without an end gets
// one.
func grow(fsys fs.FS, p *project.Project, file string, readings []Reading) (old, grown []byte, bad []schema.Finding) {
	old, err := fs.ReadFile(fsys, file)
	if errors.Is(err, fs.ErrNotExist) {
		var b bytes.Buffer
		b.WriteString(strings.Join(newColumns, ",") + "\n")
		bad = appendRows(&b, p, file, style{separator: ',', decimal: '.', end: "\n"}, newColumns, readings)
		return nil, b.Bytes(), bad
	}
	if err != nil {
		return nil, nil, []schema.Finding{{Rule: "cannot-read", Place: schema.Place{File: file}, Message: fmt.Sprintf("cannot be read: %v", err)}}
	}
	table, bad := schema.OpenTable(fsys, file, p.Dialect())
	if table == nil {
		return old, nil, errorsOf(bad)
	}
	defer table.Close()
	var header []string
	for _, c := range table.Header {
		header = append(header, strings.TrimSpace(c.Text))
	}
	s := style{separator: table.Dialect.Separator, decimal: table.Dialect.Decimal, end: lineEnd(old)}
	var b bytes.Buffer
	b.Write(old)
	if len(old) > 0 && old[len(old)-1] != '\n' {
		b.WriteString(s.end)
	}
	bad = appendRows(&b, p, file, s, header, readings)
	return old, b.Bytes(), bad
}

// style is how a file writes its rows.
type style struct {
	separator, decimal byte
	end                string
}

// lineEnd is the end of the file's first line.
func lineEnd(data []byte) string {
	if i := bytes.IndexByte(data, '\n'); i > 0 && data[i-1] == '\r' {
		return "\r\n"
	}
	return "\n"
}

// appendRows writes the readings as rows of the header's shape: long when it
// has a workload column, otherwise wide, where the readings of one visit share
// a row.
func appendRows(b *bytes.Buffer, p *project.Project, file string, s style, header []string, readings []Reading) []schema.Finding {
	w := rowWriter{b: b, p: p, file: file, style: s, header: header}
	if slices.Contains(header, "workload") {
		for _, r := range readings {
			w.row([]Reading{r}, true)
		}
		return w.bad
	}
	for len(readings) > 0 {
		n := 1
		for n < len(readings) && sameVisit(readings[0], readings[n]) && !holds(readings[:n], readings[n].Workload) {
			n++
		}
		w.row(readings[:n], false)
		readings = readings[n:]
	}
	return w.bad
}

func sameVisit(a, b Reading) bool {
	return a.Configuration == b.Configuration && a.Session == b.Session && a.Repeat == b.Repeat && a.Order == b.Order &&
		a.Outcome == b.Outcome && a.Reason == b.Reason && a.Note == b.Note
}

func holds(readings []Reading, workload string) bool {
	return slices.ContainsFunc(readings, func(r Reading) bool { return r.Workload == workload })
}

type rowWriter struct {
	b *bytes.Buffer
	p *project.Project
	style
	file   string
	header []string
	bad    []schema.Finding
}

func (w *rowWriter) fault(r Reading, message, remedy string) {
	at := r.At
	if at.File == "" {
		at = schema.Place{File: w.file, Line: 1, Column: 1}
	}
	w.bad = append(w.bad, schema.Finding{Rule: "cannot-append", Severity: schema.Error, Place: at, Message: message, Remedy: remedy})
}

// row writes one row for readings of one visit. A reading that says something
// for which the file has no column is refused rather than cut.
func (w *rowWriter) row(readings []Reading, long bool) {
	r := readings[0]
	placed := map[string]bool{}
	cells := make([]string, len(w.header))
	for i, column := range w.header {
		placed[column] = true
		switch column {
		case "configuration":
			cells[i] = r.Configuration
		case "session":
			cells[i] = r.Session
		case "repeat":
			cells[i] = strconv.Itoa(r.Repeat)
		case "order":
			cells[i] = strconv.Itoa(r.Order)
		case "outcome":
			cells[i] = r.Outcome
		case "reason":
			cells[i] = r.Reason
		case "note":
			cells[i] = r.Note
		case "workload":
			cells[i] = r.Workload
		case "value":
			if long {
				cells[i] = w.number(r.Value)
			}
		case "unit":
			cells[i] = r.Unit
			if r.Unit == "" && r.Value != "" {
				cells[i] = w.unitOf(r.Workload)
			}
		default:
			if long {
				continue
			}
			id, unit := columnUnit(column)
			for _, x := range readings {
				if x.Workload != id {
					continue
				}
				placed["reading of "+id] = true
				if x.Unit != "" && unit != "" && x.Unit != unit {
					w.fault(x, fmt.Sprintf("the column %q holds %s, the reading is in %s", column, unit, x.Unit), "give the value in "+unit)
				}
				cells[i] = w.number(x.Value)
			}
		}
	}
	for _, need := range []struct {
		column, text string
		needed       bool
	}{
		{"session", r.Session, r.Session != "" && len(w.p.Sessions) > 1},
		{"outcome", r.Outcome, r.Outcome != "ok"},
		{"reason", r.Reason, r.Reason != ""},
		{"note", r.Note, r.Note != ""},
		{"unit", r.Unit, long && r.Unit != "" && r.Unit != w.unitOf(r.Workload)},
	} {
		if need.needed && !placed[need.column] {
			w.fault(r, fmt.Sprintf("%s has no column %q for %q", w.file, need.column, need.text), "add the column to its header, or name another file")
		}
	}
	if !long {
		for _, x := range readings {
			if !placed["reading of "+x.Workload] {
				w.fault(x, fmt.Sprintf("%s has no column for workload %q", w.file, x.Workload), "add the column to its header, or name another file")
			}
		}
	}
	for i, c := range cells {
		if i > 0 {
			w.b.WriteByte(w.separator)
		}
		w.b.WriteString(quote(c, w.separator))
	}
	w.b.WriteString(w.end)
}

// unitOf is the unit in which readings of a workload are written down.
func (w *rowWriter) unitOf(id string) string {
	wl := w.p.Workload(id)
	if wl == nil {
		return ""
	}
	if wl.Reading != nil && wl.RawUnit.Symbol != "" {
		return wl.RawUnit.Symbol
	}
	return wl.Unit.Symbol
}

// number writes a value with the file's decimal mark.
func (w *rowWriter) number(s string) string {
	if w.decimal == ',' {
		return strings.Replace(s, ".", ",", 1)
	}
	return s
}

// columnUnit takes the header "backup [s]" of a wide file apart.
func columnUnit(header string) (id, unit string) {
	id, rest, ok := strings.Cut(header, "[")
	if !ok {
		return strings.TrimSpace(header), ""
	}
	return strings.TrimSpace(id), strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(rest), "]"))
}

// quote puts a cell in quotation marks where RFC 4180 asks for them.
func quote(s string, separator byte) string {
	if s == "" || !strings.ContainsAny(s, string(rune(separator))+"\"\r\n") && s == strings.TrimSpace(s) {
		return s
	}
	return `"` + strings.ReplaceAll(s, `"`, `""`) + `"`
}
