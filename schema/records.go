package schema

import (
	"bytes"
	"encoding/binary"
	"errors"
	"io"
	"strings"
	"unicode/utf8"
	"unsafe"
)

// What the fast way needs to know of a byte; a letter or digit is 0.
const (
	isSeparator = 1 << iota
	isBreak
	isHigh    // part of a character beyond ASCII
	isSpecial // a quote or a NUL: the careful way
	isEven    // of a line, not a byte: it has nothing but separators to look for
)

// fill reads more of the file behind what is in the buffer; false when there is
// no more. Offsets into the buffer change, those from t.from on do not.
func (t *Table) fill() bool {
	if t.atEnd || t.file == nil {
		return false
	}
	if t.from > 0 {
		copy(t.buffer, t.buffer[t.from:t.to])
		t.from, t.to = 0, t.to-t.from
	}
	if t.to == len(t.buffer) {
		t.buffer = append(t.buffer, make([]byte, len(t.buffer))...)
	}
	for tries := 0; ; tries++ {
		n, err := t.file.Read(t.buffer[t.to:])
		t.to += n
		t.total += int64(n)
		switch {
		case errors.Is(err, io.EOF):
			t.atEnd = true
		case err != nil:
			t.add(cannotRead(t.Path, err))
			t.atEnd = true
		case n == 0 && tries < 100:
			continue
		case n == 0:
			t.add(cannotRead(t.Path, io.ErrNoProgress))
			t.atEnd = true
		}
		if t.total > LargestTable { // it grew while it was read
			t.add(tooLarge(t.Path, LargestTable, "split it into several files"))
			t.atEnd = true
		}
		return n > 0
	}
}

// record reads one record. more is false at the end of the file; good is false
// for a record that cannot be used and has been reported. A row without cells
// is an empty line.
func (t *Table) record() (row *Row, good, more bool) {
	for {
		flags, end, complete := t.scan()
		switch {
		case flags&isSpecial != 0:
			return t.careful()
		case !complete && t.to-t.from > LongestLine:
			t.add(longLine(Place{File: t.Path, Line: t.line, Column: 1}))
			t.discard()
			return nil, false, true
		case !complete && t.fill():
			continue
		case !complete && t.from == t.to:
			return nil, false, false
		}
		return t.plain(flags, end)
	}
}

// scan looks for the end of the line at t.from and notes where its separators
// are; it stops at a byte that needs care.
func (t *Table) scan() (flags uint8, end int, complete bool) {
	t.cuts = t.cuts[:0]
	unread := t.buffer[t.from:t.to]
	// Most lines hold nothing that needs care. Looking for each byte that would
	// is several times faster than looking at each byte.
	if end := bytes.IndexByte(unread, '\n'); end >= 0 && !t.carriage {
		line := unread[:end]
		if end > 0 && line[end-1] == '\r' {
			line = line[:end-1]
		}
		if t.ascii {
			return isEven, len(line), true
		}
		if t.simple || bytes.IndexByte(line, '"') < 0 && bytes.IndexByte(line, '\r') < 0 && bytes.IndexByte(line, 0) < 0 {
			return isEven | high(line), len(line), true
		}
	}
	for i, c := range unread {
		k := t.class[c]
		if k == 0 {
			continue
		}
		switch k {
		case isSeparator:
			t.cuts = append(t.cuts, i)
			continue
		case isHigh:
			flags |= k
			continue
		case isSpecial:
			return flags | k, i, false
		}
		// The LF of a CRLF may not have been read yet.
		return flags, i, c == '\n' || i+1 < len(unread) || t.atEnd
	}
	return flags, len(unread), false
}

// high tells whether a line has bytes beyond ASCII.
func high(line []byte) uint8 {
	const tops = 0x8080808080808080
	for len(line) >= 8 {
		if binary.LittleEndian.Uint64(line)&tops != 0 {
			return isHigh
		}
		line = line[8:]
	}
	for _, c := range line {
		if c >= utf8.RuneSelf {
			return isHigh
		}
	}
	return 0
}

// plain cuts a line without quotes into cells.
func (t *Table) plain(flags uint8, end int) (row *Row, good, more bool) {
	bytes := t.buffer[t.from : t.from+end]
	t.row.Line, t.row.Cells = t.line, t.row.Cells[:0]
	if end > LongestLine {
		t.add(longLine(Place{File: t.Path, Line: t.line, Column: 1}))
		t.advance(end)
		return nil, false, true
	}
	if end == 0 {
		t.advance(0)
		return &t.row, true, true
	}
	if flags&isHigh != 0 && !utf8.Valid(bytes) {
		i := invalidAt(bytes)
		t.add(notUTF8(Place{File: t.Path, Line: t.line, Column: 1 + utf8.RuneCount(bytes[:i])}, bytes[i]))
		t.advance(end)
		return nil, false, true
	}
	text := ""
	if t.Borrow {
		text = unsafe.String(unsafe.SliceData(bytes), len(bytes))
	} else {
		text = string(bytes)
	}
	if flags == isEven {
		t.even(text)
		t.advance(end)
		return &t.row, true, true
	}
	if flags&isEven != 0 {
		for i := range len(text) {
			if text[i] == t.Dialect.Separator {
				t.cuts = append(t.cuts, i)
			}
		}
	}
	from, column := 0, 1
	for n := 0; n <= len(t.cuts); n++ {
		to := end
		if n < len(t.cuts) {
			to = t.cuts[n]
		}
		cell := text[from:to]
		lead := 0
		if to > from && (cell[0] <= ' ' || cell[len(cell)-1] <= ' ' || flags&isHigh != 0) {
			trimmed := strings.TrimLeft(cell, " \t")
			lead = len(cell) - len(trimmed)
			trimmed = strings.TrimRight(trimmed, " \t")
			t.row.Cells = append(t.row.Cells, Cell{Text: trimmed, Line: t.line, Column: column + lead})
		} else {
			t.row.Cells = append(t.row.Cells, Cell{Text: cell, Line: t.line, Column: column})
		}
		if flags&isHigh != 0 {
			column += utf8.RuneCountInString(cell) + 1
		} else {
			column = to + 2
		}
		from = to + 1
	}
	t.advance(end)
	return &t.row, true, true
}

// even cuts a line of ASCII without quotes.
func (t *Table) even(text string) {
	cells := t.row.Cells
	column := 1
	for {
		i := strings.IndexByte(text, t.Dialect.Separator)
		cell := text
		if i >= 0 {
			cell = text[:i]
		}
		at := column
		if len(cell) > 0 && (cell[0] <= ' ' || cell[len(cell)-1] <= ' ') {
			trimmed := strings.TrimLeft(cell, " \t")
			at += len(cell) - len(trimmed)
			cell = strings.TrimRight(trimmed, " \t")
		}
		cells = append(cells, Cell{Text: cell, Line: t.line, Column: at})
		if i < 0 {
			break
		}
		text = text[i+1:]
		column += i + 1
	}
	t.row.Cells = cells
}

// advance goes past the line of the given length and its line break.
func (t *Table) advance(end int) {
	t.from += end
	if t.from < t.to {
		c := t.buffer[t.from]
		t.from++
		if c == '\r' && t.from < t.to && t.buffer[t.from] == '\n' {
			t.from++
		}
	}
	t.line++
}

// discard goes past the rest of a line that is too long to be kept.
func (t *Table) discard() {
	for {
		if i := bytes.IndexAny(t.buffer[t.from:t.to], "\r\n"); i >= 0 {
			if t.from+i+1 == t.to {
				t.from += i
				i = 0
				t.fill()
			}
			t.advance(i)
			return
		}
		t.from = t.to
		if !t.fill() {
			return
		}
	}
}
