package schema

import (
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"
)

// careful reads one record character by character: the way for records with
// quotes, which may run over several lines.
func (t *Table) careful() (row *Row, good, more bool) {
	c := cursor{t: t, line: t.line, column: 1}
	t.row.Line, t.row.Cells = t.line, t.row.Cells[:0]
	good = true
	for {
		c.spaces()
		if c.peek() == '"' {
			good = c.quotedCell() && good
			if c.unclosed {
				return t.afterUnclosed()
			}
		} else {
			good = c.bareCell() && good
		}
		if c.offset > LongestLine {
			t.add(longLine(Place{File: t.Path, Line: t.line, Column: 1}))
			t.from += c.offset
			t.line = c.line
			t.discard()
			return nil, false, true
		}
		switch c.peek() {
		case int(t.Dialect.Separator):
			c.step()
			continue
		case '\n', '\r':
			c.lineBreak()
		}
		t.from += c.offset
		t.line = c.line
		return &t.row, good, true
	}
}

// afterUnclosed goes on behind the line on which a quote was opened and never
// closed.
func (t *Table) afterUnclosed() (*Row, bool, bool) {
	t.alone = true
	t.discard()
	return nil, false, true
}

// cursor walks over one record.
type cursor struct {
	t            *Table
	offset       int // from t.from
	line, column int
	unclosed     bool
}

// peek gives the byte at the cursor, or -1 at the end of the file.
func (c *cursor) peek() int { return c.look(0) }

func (c *cursor) look(ahead int) int {
	for c.t.from+c.offset+ahead >= c.t.to {
		if !c.t.fill() {
			return -1
		}
	}
	return int(c.t.buffer[c.t.from+c.offset+ahead])
}

// step goes one byte on; the first byte of a character counts as its column.
func (c *cursor) step() {
	b := c.t.buffer[c.t.from+c.offset]
	c.offset++
	// A continuation byte belongs to the character before it.
	if next := c.peek(); b < utf8.RuneSelf || next < 0x80 || next >= 0xc0 {
		c.column++
	}
}

// lineBreak goes past LF, CRLF or CR.
func (c *cursor) lineBreak() {
	if c.peek() == '\r' && c.look(1) == '\n' {
		c.offset++
	}
	c.offset++
	c.line++
	c.column = 1
}

func (c *cursor) spaces() {
	for b := c.peek(); b == ' ' || b == '\t' && c.t.Dialect.Separator != '\t'; b = c.peek() {
		c.step()
	}
}

// cellEnds tells whether the cursor stands behind a cell.
func (c *cursor) cellEnds() bool {
	b := c.peek()
	return b < 0 || b == '\n' || b == '\r' || b == int(c.t.Dialect.Separator)
}

func (c *cursor) place() Place { return Place{File: c.t.Path, Line: c.line, Column: c.column} }

// bareCell reads a cell without quotes.
func (c *cursor) bareCell() (good bool) {
	cell := Cell{Line: c.line, Column: c.column}
	from := c.offset
	good = true
	for !c.cellEnds() && c.offset <= LongestLine {
		switch b := c.peek(); {
		case b == 0:
			good = c.complain(good, nulByte(c.place()))
		case b == '"':
			good = c.complain(good, Finding{Rule: "csv-quote", Place: c.place(), Width: 1, Message: "a quote stands inside a cell that does not begin with one",
				Remedy: `put the whole cell in quotes and write each quote in it twice: "3.5"" drive"`})
		}
		c.step()
	}
	raw := c.t.buffer[c.t.from+from : c.t.from+c.offset]
	if good && !utf8.Valid(raw) {
		i := invalidAt(raw)
		good = c.complain(good, notUTF8(Place{File: c.t.Path, Line: cell.Line, Column: cell.Column + utf8.RuneCount(raw[:i])}, raw[i]))
	}
	cell.Text = strings.TrimRight(string(raw), " \t")
	c.t.row.Cells = append(c.t.row.Cells, cell)
	return good
}

// complain reports the first fault of a cell; the others follow from it.
func (c *cursor) complain(first bool, f Finding) bool {
	if first {
		c.t.add(f)
	}
	return false
}

// quotedCell reads a cell in quotes.
func (c *cursor) quotedCell() (good bool) {
	cell := Cell{Line: c.line, Column: c.column, Quoted: true}
	opened := c.place()
	c.step()
	var text []byte
	good = true
	for closed := false; !closed; {
		switch b := c.peek(); {
		case b < 0, c.offset > LongestLine, c.t.alone && (b == '\n' || b == '\r'):
			message := "the quote that opens this cell is never closed"
			if b >= 0 && !c.t.alone {
				message = "the quote that opens this cell is not closed within " + megabytes(LongestLine)
			}
			c.t.add(Finding{Rule: "csv-quote", Place: opened, Width: 1, Message: message,
				Remedy: `close it at the end of the cell, and write a quote inside a quoted cell twice: ""`})
			c.unclosed = true
			return false
		case b == '"' && c.look(1) == '"':
			text = append(text, '"')
			c.step()
			c.step()
		case b == '"':
			c.step()
			closed = true
		case b == '\n' || b == '\r':
			text = append(text, '\n')
			c.lineBreak()
		case b == 0:
			good = c.complain(good, nulByte(c.place()))
			c.step()
		default:
			text = append(text, byte(b))
			c.step()
		}
	}
	c.spaces()
	if !c.cellEnds() && c.line > opened.Line {
		// Text behind a quote that closes lines further down: it is the quote of
		// another cell, and this one was forgotten.
		c.t.add(Finding{Rule: "csv-quote", Place: opened, Width: 1, Message: "the quote that opens this cell is not closed on its line, and the next quote does not end a cell",
			Remedy:  `close it at the end of the cell, and write a quote inside a quoted cell twice: ""`,
			Related: []Related{{Place: c.place(), Message: "the next quote ends before this"}}})
		c.unclosed = true
		return false
	}
	if !c.cellEnds() {
		good = c.complain(good, Finding{Rule: "csv-quote", Place: c.place(), Width: 1, Message: "text follows the quote that closes the cell",
			Remedy: `write a quote inside a quoted cell twice: ""`})
		for !c.cellEnds() && c.offset <= LongestLine {
			c.step()
		}
	}
	if !utf8.Valid(text) {
		good = c.complain(good, notUTF8(opened, text[invalidAt(text)]))
	}
	cell.Text = string(text)
	c.t.row.Cells = append(c.t.row.Cells, cell)
	return good
}

// ragged reports a row with more or fewer cells than the header.
func (t *Table) ragged(row *Row) {
	have, want := len(row.Cells), len(t.Header)
	if t.nameless > 0 && have == want-t.nameless {
		return // the header has separators too many, and that has been said
	}
	f := Finding{Rule: "csv-columns", Width: 1, Message: fmt.Sprintf("the row has %s where the header has %d", cells(have), want)}
	at := row.Cells[have-1]
	separator := string(t.Dialect.Separator)
	switch {
	case have < want:
		var missing []string
		for _, h := range t.Header[have:] {
			missing = append(missing, strconv.Quote(short(h.Text)))
		}
		if len(missing) > 5 {
			missing = append(missing[:4], fmt.Sprintf("%d more", len(missing)-4))
		}
		f.Message += ": " + strings.Join(missing, ", ") + " missing"
		f.Remedy = fmt.Sprintf("write the separators of empty cells too: %q at the end of the row", strings.Repeat(separator, want-have))
		if have == 1 {
			for _, s := range separators {
				if s != t.Dialect.Separator && strings.Count(at.Text, string(s))+1 >= want {
					f.Remedy = fmt.Sprintf("separate the cells as the header does, with %s", separatorName(t.Dialect.Separator))
				}
			}
		}
	default:
		at = row.Cells[want]
		f.Remedy = fmt.Sprintf("put a cell that holds %s in quotes", separatorName(t.Dialect.Separator))
		comma := t.decimalComma(row)
		switch blank := blankTail(row, want); {
		case blank && (comma < 0 || t.fits(row)):
			// Every cell stands where it belongs: joining two would lose one.
			f.Message = fmt.Sprintf("the row has %s too many: %d where the header has %d", emptyCells(have-want), have, want)
			f.Remedy = "remove the last separator of the row"
			if have-want > 1 { // and no more: other cells at its end may be empty too
				f.Remedy = fmt.Sprintf("remove the last %d separators of the row", have-want)
			}
			if comma >= 0 && !t.pinned(row, comma) {
				a, b := row.Cells[comma].Text, row.Cells[comma+1].Text
				f.Remedy += fmt.Sprintf("; or, if %q is one number with a decimal comma, write %s.%s", a+","+b, a, b)
			}
		case comma >= 0:
			a, b := row.Cells[comma], row.Cells[comma+1]
			f.Message += fmt.Sprintf("; a decimal comma (%q) would do that", a.Text+","+b.Text)
			f.Remedy = fmt.Sprintf(`write %s.%s; or separate columns by semicolons, and say so in report.yaml: csv: {separator: ";", decimal: ","}`, a.Text, b.Text)
			at = a
		}
	}
	f.Place = Place{File: t.Path, Line: at.Line, Column: at.Column}
	f.Width = max(1, utf8.RuneCountInString(at.Text))
	if strings.Contains(at.Text, "\n") || at.Quoted {
		f.Width = 1
	}
	t.add(f)
}

// decimalComma gives the first of two cells of a row with cells too many that
// may be one number with a decimal comma; -1 when there are none.
func (t *Table) decimalComma(row *Row) int {
	if t.Dialect.Separator != ',' {
		return -1
	}
	for i := 0; i+1 < len(row.Cells); i++ {
		if i < len(t.Header) && (wordColumn(t.Header[i].Text) || countColumn(t.Header[i].Text)) {
			continue
		}
		a, b := row.Cells[i], row.Cells[i+1]
		whole := strings.TrimLeft(a.Text, "+-\u2212")
		if whole != "" && b.Text != "" && digitsOnly(whole) && digitsOnly(b.Text) && !a.Quoted && !b.Quoted {
			return i
		}
	}
	return -1
}

// fits says whether the cells below the header could each stand in their
// column, so that those beyond it are what is too much: no number where a word
// belongs, and no word where a number does.
func (t *Table) fits(row *Row) bool {
	for i, h := range t.Header {
		text := row.Cells[i].Text
		_, isNumber := decimal(text, '.')
		switch name := fold(strings.Trim(h.Text, ` "`)); {
		case text == "":
		case countColumn(name):
			if !digitsOnly(text) {
				return false
			}
		case name == "workload" || name == "unit" || name == "outcome":
			if isNumber {
				return false
			}
		case !wordColumn(name) && !strings.ContainsAny(text, "0123456789"):
			return false
		}
	}
	return true
}

// pinned says whether a word behind two cells stands in the column that it
// belongs to, and would not if they were one.
func (t *Table) pinned(row *Row, comma int) bool {
	for i := comma + 2; i < len(t.Header); i++ {
		if name := fold(strings.Trim(t.Header[i].Text, ` "`)); (name == "unit" || name == "outcome") && row.Cells[i].Text != "" {
			return true
		}
	}
	return false
}

func emptyCells(n int) string {
	if n == 1 {
		return "1 empty cell"
	}
	return fmt.Sprintf("%d empty cells", n)
}

func blankTail(row *Row, from int) bool {
	for _, c := range row.Cells[from:] {
		if c.Text != "" {
			return false
		}
	}
	return true
}

func cells(n int) string {
	if n == 1 {
		return "1 cell"
	}
	return fmt.Sprintf("%d cells", n)
}
