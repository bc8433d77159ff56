package data

import (
	"strconv"

	"benchwright/render/spreadsheet"
	"benchwright/report"
)

// Types of columns, as Table Schema names them.
const (
	text    = "string"
	integer = "integer"
	number  = "number"
	boolean = "boolean"
	date    = "date"
)

// column describes one column: what the descriptor says and what the rows hold.
type column struct {
	name, kind string
	// key of the description in words; by default data.column.NAME.
	key string
	// title for columns whose meaning comes from the project (factors).
	title, unit string
	// required: no cell is empty.
	required bool
	// among lists the words that may stand in it.
	among []string
}

// reference says that a column names a row of another table.
type reference struct{ column, table string }

// table is one CSV file: its columns and how its rows are written.
type table struct {
	name       string
	columns    []column
	key        []string
	references []reference
	rows       func(w *rowWriter)
	// size guesses the bytes of the whole, to grow once.
	size int
}

// write gives the file: RFC 4180, UTF-8, CR LF, a header line.
func (t *table) write() []byte {
	w := &rowWriter{b: make([]byte, 0, t.size+1024)}
	for _, c := range t.columns {
		w.text(c.name)
	}
	w.end()
	t.rows(w)
	return w.b
}

// rowWriter appends rows cell by cell.
type rowWriter struct {
	b       []byte
	started bool
}

func (w *rowWriter) next() {
	if w.started {
		w.b = append(w.b, ',')
	}
	w.started = true
}

// text writes what a person may have written, so that no spreadsheet runs it.
func (w *rowWriter) text(s string) *rowWriter {
	w.next()
	w.b = spreadsheet.AppendText(w.b, s)
	return w
}

func (w *rowWriter) empty() *rowWriter { w.next(); return w }

// number writes a number when there is one.
func (w *rowWriter) number(has bool, v float64) *rowWriter {
	w.next()
	if has {
		w.b = spreadsheet.AppendNumber(w.b, v)
	}
	return w
}

func (w *rowWriter) integer(n int) *rowWriter {
	w.next()
	w.b = strconv.AppendInt(w.b, int64(n), 10)
	return w
}

// counted writes a number that counts from 1, nothing for 0.
func (w *rowWriter) counted(n int) *rowWriter {
	if n <= 0 {
		return w.empty()
	}
	return w.integer(n)
}

func (w *rowWriter) boolean(v bool) *rowWriter {
	w.next()
	w.b = strconv.AppendBool(w.b, v)
	return w
}

// figure writes value, low, high and confidence.
func (w *rowWriter) figure(f *report.Figure) *rowWriter {
	has, ranged := f.HasValue(), f.HasValue() && f.Confidence > 0
	return w.number(has, f.Value).number(ranged, f.Low).number(ranged, f.High).number(ranged, f.Confidence)
}

func (w *rowWriter) end() {
	w.b = append(w.b, spreadsheet.EndOfRow...)
	w.started = false
}
