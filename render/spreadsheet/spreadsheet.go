// Package spreadsheet writes the cells of published CSV files (RFC 4180) so
// that no spreadsheet runs what a person wrote as a formula.
//
// In: numbers and texts. Out: bytes appended to a buffer. It imports no other
// package of this module, so that charts and data files alike can use it.
//
//	b = spreadsheet.AppendText(b, reason)
//	b = append(b, ',')
//	b = spreadsheet.AppendNumber(b, 112.5)
//	b = append(b, spreadsheet.EndOfRow...)
package spreadsheet

import (
	"math"
	"strconv"
	"strings"
	"unicode/utf8"
)

// EndOfRow ends a record, as RFC 4180 has it.
const EndOfRow = "\r\n"

// Defuse keeps a spreadsheet from running a text as a formula: a text that
// begins, white space aside, with =, +, −, @ or one of their full-width forms,
// or with a tab or line break, gets an apostrophe in front. A text that is a
// plain number, per cent or not, is left alone. Numbers of this tool need not pass through it.
//
// The list is that of the OWASP page "CSV Injection" (from memory); leading
// white space is common practice, no source.
func Defuse(s string) string {
	if dangerous(s) {
		return "'" + s
	}
	return s
}

func dangerous(s string) bool {
	if s == "" {
		return false
	}
	switch s[0] {
	case '\t', '\r', '\n', 0:
		return true
	}
	if 'a' <= s[0] && s[0] <= 'z' || '0' <= s[0] && s[0] <= '9' { // most texts
		return false
	}
	rest := strings.TrimLeft(s, " \t\r\n\u00a0\ufeff")
	if rest == "" {
		return false
	}
	r, _ := utf8.DecodeRuneInString(rest)
	switch r {
	case '=', '@', '＝', '＋', '－', '＠':
		return true
	case '+', '-':
		return !plainNumber(rest)
	}
	return false
}

// plainNumber knows −12, +1.5, -3,25, 1e-6 and +1.5 % with either decimal mark;
// nothing with a second operator in it.
func plainNumber(s string) bool {
	s = s[1:] // the sign
	digits := func() int {
		n := 0
		for n < len(s) && '0' <= s[n] && s[n] <= '9' {
			n++
		}
		s = s[n:]
		return n
	}
	n := digits()
	if s != "" && (s[0] == '.' || s[0] == ',') {
		s = s[1:]
		n += digits()
	}
	if n == 0 {
		return false
	}
	if s != "" && (s[0] == 'e' || s[0] == 'E') {
		s = s[1:]
		if s != "" && (s[0] == '+' || s[0] == '-') {
			s = s[1:]
		}
		if digits() == 0 {
			return false
		}
	}
	s = strings.TrimLeft(s, " \u00a0")
	return s == "" || s == "%"
}

// AppendText appends a cell of text: defused, made valid UTF-8, and quoted
// where RFC 4180 wants it.
func AppendText(b []byte, s string) []byte {
	if s == "" {
		return b
	}
	s = Defuse(s)
	if !utf8.ValidString(s) {
		s = strings.ToValidUTF8(s, "\uFFFD")
	}
	// Leading and trailing spaces are quoted too: some readers drop them.
	if !strings.ContainsAny(s, "\",\r\n") && s[0] != ' ' && s[len(s)-1] != ' ' {
		return append(b, s...)
	}
	b = append(b, '"')
	for {
		i := strings.IndexByte(s, '"')
		if i < 0 {
			break
		}
		b = append(append(b, s[:i]...), `""`...)
		s = s[i+1:]
	}
	return append(append(b, s...), '"')
}

// AppendNumber appends a cell with the shortest decimal that reads back as the
// same double; what is no finite number gives an empty cell.
func AppendNumber(b []byte, v float64) []byte {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return b
	}
	if v == 0 { // a negative nought would be a riddle
		return append(b, '0')
	}
	format := byte('f')
	if a := math.Abs(v); a < 1e-6 || a >= 1e21 {
		format = 'e'
	}
	return strconv.AppendFloat(b, v, format, -1, 64)
}
