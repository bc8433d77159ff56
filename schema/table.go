package schema

import (
	"bytes"
	"fmt"
	"io"
	"io/fs"
	"unicode/utf8"
)

// Cell is one cell of a table. Line and Column say where it starts in the file
// (Column in characters); Text is without quotes, and without the spaces around
// an unquoted cell. Line breaks inside quotes are "\n".
type Cell struct {
	Text         string
	Line, Column int
	Quoted       bool
}

// Row is one row of a table; Line is the line on which it starts.
type Row struct {
	Line  int
	Cells []Cell
}

// Table reads a CSV file (RFC 4180) row by row, in memory that does not grow
// with the file. Header is the first row.
type Table struct {
	Path    string
	Dialect Dialect
	Header  []Cell
	// Borrow makes the texts of a row last until the next one only, which
	// spares a copy of each.
	Borrow bool

	file     io.ReadCloser
	buffer   []byte
	from, to int   // the unread part of buffer
	total    int64 // bytes read of the file
	atEnd    bool  // the file has no more bytes
	line     int   // of buffer[from]
	class    [256]uint8
	cuts     []int
	row      Row
	findings []Finding
	counts   map[string]int
	// alone: a quote was never closed, so that from there on a quoted cell has
	// to end on its line. One slip shall not swallow the rest of the file.
	alone bool
	// carriage: the lines end in CR alone, so that looking for LF is in vain.
	carriage bool
	// simple: no line has a quote, a NUL or a CR that is not before LF; ascii:
	// nor anything beyond ASCII.
	simple, ascii bool
	nameless      int // columns of the header without a name
}

// chunk is how much is read at once; more than the longest sensible header.
const chunk = 64 << 10

// mostAlike is how many findings of one rule a table gives before it only counts.
const mostAlike = 10

// OpenTable opens a CSV file and reads its header. declared is what report.yaml
// says of the result files, nil when it says nothing: then the dialect is found
// out from the file, with a notice (csv-detected) when it is not the usual one,
// and an error (csv-ambiguous) when it cannot be told. The table is nil when
// nothing can be read of it; findings come in any case. A table reads until
// Next reports false; one that is left earlier needs Close.
func OpenTable(fsys fs.FS, path string, declared *Dialect) (*Table, []Finding) {
	const remedy = "split it into several files: every CSV file in the folder is read"
	if f, ok := regular(fsys, path, LargestTable, remedy); !ok {
		return nil, []Finding{f}
	}
	file, err := fsys.Open(path)
	if err != nil {
		return nil, []Finding{cannotRead(path, err)}
	}
	t := &Table{Path: path, file: file, line: 1, buffer: make([]byte, chunk), counts: map[string]int{}}
	if !t.open(declared) {
		t.Close()
		return nil, t.Findings()
	}
	// The findings so far are given now, and not again at the end.
	opening := Sort(t.findings)
	t.findings = nil
	return t, opening
}

// open settles encoding, dialect and header.
func (t *Table) open(declared *Dialect) bool {
	for t.to < len(t.buffer) && t.fill() {
	}
	if t.counts["cannot-read"] > 0 {
		return false
	}
	if f, ok := wide(t.Path, t.buffer[:t.to]); !ok {
		t.findings = append(t.findings, f)
		return false
	}
	if bytes.HasPrefix(t.buffer[:t.to], byteOrderMark) {
		t.from = len(byteOrderMark)
		t.add(Finding{Rule: "byte-order-mark", Severity: Notice, Place: Place{File: t.Path, Line: 1, Column: 1},
			Message: "the file begins with a byte-order mark, which is left out",
			Remedy:  `save it as "UTF-8" rather than "UTF-8 with BOM"`})
	}
	for t.from < t.to && (t.buffer[t.from] == '\n' || t.buffer[t.from] == '\r') { // empty lines first
		_, next := lineEnd(t.buffer[:t.to], t.from)
		t.from = next
		t.line++
	}
	if len(bytes.TrimSpace(t.buffer[t.from:t.to])) == 0 && t.atEnd {
		t.add(emptyTable(t.Path))
		return false
	}
	if i := bytes.IndexAny(t.buffer[t.from:t.to], "\r\n"); i >= 0 {
		end, next := lineEnd(t.buffer[:t.to], t.from)
		t.carriage = t.buffer[end] == '\r' && next == end+1
	}
	if !t.settle(declared) {
		return false
	}
	for i := range t.class {
		if i >= utf8.RuneSelf {
			t.class[i] = isHigh
		}
	}
	t.class['\n'], t.class['\r'] = isBreak, isBreak
	t.class['"'], t.class[0] = isSpecial, isSpecial
	t.class[t.Dialect.Separator] = isSeparator
	for {
		row, good, more := t.record()
		if !more {
			t.add(emptyTable(t.Path)) // line breaks alone, more than the buffer holds
			return false
		}
		if good && len(row.Cells) > 0 {
			t.Header = append([]Cell(nil), row.Cells...)
			break
		}
		if !good {
			return false
		}
	}
	t.checkHeader()
	return true
}

func emptyTable(path string) Finding {
	return Finding{Rule: "empty-file", Place: Place{File: path}, Message: "the file is empty",
		Remedy: "write a header line such as configuration,workload,session,value and a row for each reading, or remove the file"}
}

// settle takes the declared dialect, or finds it out.
func (t *Table) settle(declared *Dialect) bool {
	sample := t.buffer[t.from:t.to]
	if !t.atEnd {
		if i := bytes.LastIndexAny(sample, "\r\n"); i > 0 {
			sample = sample[:i]
		}
	}
	if declared == nil {
		d, fs := detect(t.Path, sample)
		t.Dialect = d
		for _, f := range fs {
			f.Line += t.line - 1
			for i := range f.Related {
				f.Related[i].Line += t.line - 1
			}
			t.add(f)
			if f.Severity == Error {
				return false
			}
		}
		return true
	}
	d := Dialect{Separator: declared.Separator, Decimal: declared.Decimal, Declared: true}
	if d.Separator == 0 {
		d.Separator = ','
	}
	if d.Decimal == 0 {
		d.Decimal = '.'
	}
	t.Dialect = d
	end, _ := lineEnd(sample, 0)
	outside := unquoted(sample[:end])
	for _, s := range separators {
		if s != d.Separator && bytes.IndexByte(outside, s) >= 0 && bytes.IndexByte(outside, d.Separator) < 0 {
			t.add(Finding{Rule: "csv-columns", Place: Place{File: t.Path, Line: t.line, Column: 1}, Width: 1,
				Message: fmt.Sprintf("%s separates the columns here, but report.yaml declares %s", separatorName(s), separatorName(d.Separator)),
				Remedy:  "save the file again with the declared separator, or change csv in report.yaml"})
			return false
		}
	}
	return true
}

func (t *Table) checkHeader() {
	first := map[string]Cell{}
	for i, c := range t.Header {
		place := Place{File: t.Path, Line: c.Line, Column: c.Column}
		if c.Text == "" {
			t.nameless++
			t.add(Finding{Rule: "csv-columns", Place: place, Width: 1, Message: fmt.Sprintf("column %d has no name", i+1),
				Remedy: "name the column, or remove it from every row"})
			continue
		}
		if before, ok := first[c.Text]; ok {
			t.add(Finding{Rule: "csv-columns", Place: place, Width: utf8.RuneCountInString(c.Text),
				Message: fmt.Sprintf("two columns are named %q", short(c.Text)), Remedy: "rename or remove one of them",
				Related: []Related{{Place: Place{File: t.Path, Line: before.Line, Column: before.Column}, Message: "the first one"}}})
		}
		first[c.Text] = c
	}
}

// Next gives the next row that has as many cells as the header; false after the
// last. Empty lines, and rows of nothing but empty cells, are passed over; rows
// that are broken are passed over with a finding. The row and its slice are used
// again by the next call; the texts are not, but for Borrow.
func (t *Table) Next() (row *Row, ok bool) {
	for {
		row, good, more := t.record()
		if !more {
			t.Close()
			return nil, false
		}
		if !good || blank(row) {
			continue
		}
		if len(row.Cells) != len(t.Header) {
			t.ragged(row)
			continue
		}
		return row, true
	}
}

func blank(row *Row) bool {
	for i := range row.Cells {
		if row.Cells[i].Text != "" {
			return false
		}
	}
	return true
}

// Close gives the file back. It does no harm to call it twice.
func (t *Table) Close() {
	if t.file != nil {
		t.file.Close()
		t.file = nil
	}
	t.atEnd, t.from, t.to = true, 0, 0
}

// Findings gives what was wrong with the rows read so far, in file order. Of
// many findings alike, the first ones and how many more there are.
func (t *Table) Findings() []Finding {
	out := append([]Finding(nil), t.findings...)
	for i := range out {
		if n := t.counts[out[i].Rule]; n > mostAlike && t.counts[out[i].Rule+" last"] == i+1 {
			out[i].Message += fmt.Sprintf(" (and %d more like this)", n-mostAlike)
		}
	}
	return Sort(out)
}

func (t *Table) add(f Finding) {
	t.counts[f.Rule]++
	if t.counts[f.Rule] > mostAlike {
		return
	}
	t.findings = append(t.findings, f)
	t.counts[f.Rule+" last"] = len(t.findings)
}
