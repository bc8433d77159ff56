package project

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"benchwright/schema"
)

// texts are those of the readings, equal ones kept once.
type texts struct {
	cells   []string
	remarks []remark

	cellAt   map[string]writtenAs
	remarkAt map[remark]uint32
}

// remark is what a person wrote beside a reading.
type remark struct{ reason, note string }

// mostKnown is how many texts are looked up before a new one is made. Beyond
// it they hardly repeat.
const mostKnown = 1 << 14

// writtenAs is a cell as it stands in its file: 0 for none; for a plain number,
// which Raw gives back, plainNumber with the number of its decimals and its
// mark; for any other text its number, from 1.
type writtenAs uint32

const (
	plainNumber     writtenAs = 1 << 31
	commaAsMark     writtenAs = 1 << 30
	decimalsOnly    writtenAs = 1<<8 - 1
	mostPlainDigits           = 15 // that every float64 gives back: DBL_DIG of C, ISO/IEC 9899:2018, 5.2.4.2.2
)

// number reads a cell that is to be a number, as schema.ParseNumber does, and
// keeps how it is written.
func (t *texts) number(cell string, d schema.Dialect) (v float64, w writtenAs, remedy string, ok bool) {
	mark := d.Decimal
	if mark == 0 {
		mark = '.'
	}
	if v, decimals, ok := parsePlain(cell, mark); ok {
		w := plainNumber | writtenAs(decimals)
		if mark == ',' {
			w |= commaAsMark
		}
		return v, w, "", true
	}
	if v, remedy, ok = schema.ParseNumber(cell, d); ok {
		w = t.keep(cell)
	}
	return v, w, remedy, ok
}

// parsePlain reads a number that formatting gives back as it was written, and counts
// the digits behind its mark: −0.50, but not +1, .5, 007, 1e3 or a number of
// more than fifteen digits. Digits and power of ten are whole numbers that a
// float64 holds, so that their quotient is the number rounded once: W. D.
// Clinger, "How to read floating point numbers accurately", PLDI 1990.
func parsePlain(cell string, mark byte) (v float64, decimals int, ok bool) {
	digits := strings.TrimPrefix(cell, "-")
	if len(digits) == 0 || len(digits) > mostPlainDigits+1 {
		return 0, 0, false
	}
	at, number := -1, uint64(0)
	for i := range len(digits) {
		switch c := digits[i]; {
		case c >= '0' && c <= '9':
			number = number*10 + uint64(c-'0')
		case c == mark && at < 0 && i > 0 && i+1 < len(digits):
			at = i
		default:
			return 0, 0, false
		}
	}
	whole := len(digits)
	if at >= 0 {
		whole, decimals = at, len(digits)-at-1
	}
	if whole > 1 && digits[0] == '0' || whole+decimals > mostPlainDigits {
		return 0, 0, false
	}
	v = float64(number) / powersOfTen[decimals]
	if len(digits) < len(cell) {
		v = -v
	}
	return v, decimals, true
}

var powersOfTen = [mostPlainDigits + 1]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15}

// keep copies a text out of the row, which is about to be used again.
func (t *texts) keep(cell string) writtenAs {
	if cell == "" {
		return 0
	}
	if w, ok := t.cellAt[cell]; ok {
		return w
	}
	cell = strings.Clone(cell)
	t.cells = append(t.cells, cell)
	w := writtenAs(len(t.cells))
	if len(t.cellAt) < mostKnown {
		if t.cellAt == nil {
			t.cellAt = map[string]writtenAs{}
		}
		t.cellAt[cell] = w
	}
	return w
}

func (t *texts) keepRemark(reason, note string) uint32 {
	if reason == "" && note == "" {
		return 0
	}
	if n, ok := t.remarkAt[remark{reason, note}]; ok {
		return n
	}
	r := remark{strings.Clone(reason), strings.Clone(note)}
	t.remarks = append(t.remarks, r)
	n := uint32(len(t.remarks))
	if len(t.remarkAt) < mostKnown {
		if t.remarkAt == nil {
			t.remarkAt = map[remark]uint32{}
		}
		t.remarkAt[r] = n
	}
	return n
}

// take adds the texts of another and makes its readings point to them.
func (t *texts) take(other *texts, readings []Reading) {
	cells, remarks := writtenAs(len(t.cells)), uint32(len(t.remarks))
	t.cells = append(t.cells, other.cells...)
	t.remarks = append(t.remarks, other.remarks...)
	if cells == 0 && remarks == 0 || len(other.cells) == 0 && len(other.remarks) == 0 {
		return
	}
	for i := range readings {
		r := &readings[i]
		if r.written != 0 && r.written&plainNumber == 0 {
			r.written += cells
		}
		if r.remark != 0 {
			r.remark += remarks
		}
	}
}

// Written is the cell of a reading as it stands in its file; for frame times
// the path of their file. It is empty for what was computed and what failed.
func (p *Project) Written(r *Reading) string {
	switch w := r.written; {
	case w == 0:
		return ""
	case w&plainNumber == 0:
		return p.texts.cells[w-1]
	default:
		cell := strconv.AppendFloat(make([]byte, 0, 24), r.Raw, 'f', int(w&decimalsOnly), 64)
		if w&commaAsMark != 0 {
			if i := slices.Index(cell, '.'); i >= 0 {
				cell[i] = ','
			}
		}
		return string(cell)
	}
}

// Decimals counts the digits behind the decimal mark of a reading as it was
// written; false for what is no plain number, of which Written tells more.
func (p *Project) Decimals(r *Reading) (n int, ok bool) {
	return int(r.written & decimalsOnly), r.written&plainNumber != 0
}

// Reason is why a reading failed or does not count, as its row says; mostly
// empty.
func (p *Project) Reason(r *Reading) string {
	if r.remark == 0 {
		return ""
	}
	return p.texts.remarks[r.remark-1].reason
}

// Note is the remark in the row of a reading; mostly empty.
func (p *Project) Note(r *Reading) string {
	if r.remark == 0 {
		return ""
	}
	return p.texts.remarks[r.remark-1].note
}

// Write gives a reading its texts, for a project that is put together by hand:
// the cell (a number stands for r.Raw), the reason and the note.
func (p *Project) Write(r *Reading, cell, reason, note string) {
	r.written, r.remark = 0, p.texts.keepRemark(reason, note)
	if v, w, _, ok := p.texts.number(cell, schema.Dialect{}); ok && math.Float64bits(v) == math.Float64bits(r.Raw) {
		r.written = w
		return
	}
	r.written = p.texts.keep(cell)
}
