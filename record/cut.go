package record

import (
	"bytes"
	"regexp"
	"strings"
	"unicode/utf8"

	"benchwright/project"
	"benchwright/schema"
)

// numberMarks are the characters that stand inside a number, before decimals or
// between thousands. A plain space is not among them: it mostly stands between
// two numbers.
const numberMarks = ".,'\u2019_\u00a0\u2009\u202f"

// cutNumber refuses what a pattern took when it is only a part of a number: of
// "12,101" the "12" is a reading that nobody made.
func cutNumber(workload string, pattern project.Pattern, text []byte, from, to int, at schema.Place) *schema.Finding {
	begin, end := wholeNumber(text, from, to)
	if begin == from && end == to {
		return nil
	}
	f := finding("cut-number", at, "write a pattern that takes all of it, marks included, such as (?P<value>[0-9.,]+)",
		"the pattern of %q takes %q out of %q", workload, text[from:to], text[begin:end])
	f.Workloads = []string{workload}
	if pattern.Place.File != "" {
		f.Related = []schema.Related{{Place: pattern.Place, Message: "the pattern stands here"}}
	}
	return &f
}

// exponent behind a number, as programs print it.
var exponent = regexp.MustCompile(`^[eE][+-]?[0-9]+`)

// wholeNumber widens text[from:to] to the number that it is a part of, and
// gives from and to themselves when it is no part.
func wholeNumber(text []byte, from, to int) (begin, end int) {
	begin, end = from, to
	if from == to {
		return
	}
	// What hangs together as digits with single marks between them, to both sides.
	runBegin, runEnd := from, to
	if numeric(text[from:to], false) {
		runBegin = from - len(runEnding(text[:from]))
	}
	if numeric(text[from:to], true) {
		runEnd = to + len(runAt(text[to:]))
	}
	if cut(text[runBegin:runEnd], from-runBegin) {
		begin = runBegin
	}
	if cut(text[runBegin:runEnd], to-runBegin) {
		end = runEnd
	}
	// ".5" without a digit before the point.
	if r := text[:begin]; begin == from && bytes.HasSuffix(r, []byte(".")) && isDigit(text[from]) && (len(r) == 1 || strings.IndexByte(" \t\n=:(", r[len(r)-2]) >= 0) {
		begin--
	}
	if end == to && isDigit(text[to-1]) {
		end += len(exponent.Find(text[to:]))
	}
	return
}

// numeric tells a text that begins, or ends, as a number does.
func numeric(text []byte, atEnd bool) bool {
	if atEnd {
		r, _ := utf8.DecodeLastRune(text)
		return r < utf8.RuneSelf && isDigit(byte(r)) || isMark(r)
	}
	r, _ := utf8.DecodeRune(text)
	return r < utf8.RuneSelf && isDigit(byte(r)) || isMark(r)
}

// runAt gives the digits, with single marks before some of them, that a text
// begins with; runEnding those that it ends with, the marks behind them.
func runAt(text []byte) []byte {
	end := 0
	for {
		size := 0
		if r, n := utf8.DecodeRune(text[end:]); isMark(r) {
			size = n
		}
		digits := len(text[end+size:]) - len(bytes.TrimLeft(text[end+size:], "0123456789"))
		if digits == 0 {
			return text[:end]
		}
		end += size + digits
	}
}

func runEnding(text []byte) []byte {
	begin := len(text)
	for {
		size := 0
		if r, n := utf8.DecodeLastRune(text[:begin]); isMark(r) {
			size = n
		}
		digits := begin - size - len(bytes.TrimRight(text[:begin-size], "0123456789"))
		if digits == 0 {
			return text[begin:]
		}
		begin -= size + digits
	}
}

var (
	groupsOfThree = regexp.MustCompile(`^[0-9]{1,3}(\.[0-9]{3})+$`)
	threeDigits   = regexp.MustCompile(`^[0-9]{3}($|[^0-9])`)
)

// cut tells whether a run of digits and marks is cut within a number at a
// place. A point always stands within one. A comma may stand between two
// numbers of a list, which is certain where no single number has such parts:
// "41.2,38.1". The other marks part thousands, and stand before three digits.
func cut(run []byte, at int) bool {
	if at == 0 || at == len(run) {
		return false
	}
	left, right := run[:at], run[at:]
	mark, size := utf8.DecodeRune(right)
	if isMark(mark) {
		right = right[size:]
	} else if mark, size = utf8.DecodeLastRune(left); isMark(mark) {
		left = left[:len(left)-size]
	} else {
		return true // between two digits
	}
	switch mark {
	case '.':
		return true
	case ',':
		thousands := threeDigits.Match(right) && !bytes.Contains(left, []byte("."))
		decimals := !bytes.ContainsAny(right, ".,") && !bytes.Contains(left, []byte(",")) && (!bytes.Contains(left, []byte(".")) || groupsOfThree.Match(left))
		return thousands || decimals
	}
	return threeDigits.Match(right)
}

func isMark(r rune) bool { return strings.ContainsRune(numberMarks, r) }

func isDigit(b byte) bool { return b >= '0' && b <= '9' }
