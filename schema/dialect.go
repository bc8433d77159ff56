package schema

import (
	"fmt"
	"slices"
	"strings"
)

// Dialect is how a table separates columns and marks decimals. A zero mark
// stands for the usual one: comma, point.
type Dialect struct {
	Separator, Decimal byte
	// Declared: the folder says so itself; otherwise it was found out from the file.
	Declared bool
}

// separators that a table may have, the usual one first.
var separators = [...]byte{',', ';', '\t'}

func separatorName(s byte) string {
	switch s {
	case '\t':
		return "a tab"
	case ',':
		return "a comma"
	}
	return "a semicolon"
}

// declaration writes a dialect as a line of report.yaml.
func (d Dialect) declaration() string {
	s := string(d.Separator)
	if d.Separator == '\t' {
		s = "tab"
	}
	return fmt.Sprintf("csv: {separator: %q, decimal: %q}", s, string(d.Decimal))
}

// The columns by which a header is recognised when several characters could
// separate it.
func knownColumn(name string) bool {
	switch fold(strings.Trim(name, ` "`)) {
	case "configuration", "workload", "value", "session", "repeat", "order", "outcome", "viewer", "time", "frame":
		return true
	}
	return false
}

// wordColumn tells columns whose cells say nothing about decimal marks.
func wordColumn(name string) bool {
	switch fold(strings.Trim(name, ` "`)) {
	case "configuration", "workload", "session", "unit", "outcome", "reason", "note", "source", "viewer", "version":
		return true
	}
	return false
}

// countColumn tells columns whose numbers have no decimals.
func countColumn(name string) bool {
	name = fold(name)
	return name == "repeat" || name == "order"
}

// detect finds out the dialect from the beginning of a file: the separator from
// the header line, the decimal mark from the cells below it. The whole sample
// consists of complete lines unless it is the whole file.
func detect(path string, sample []byte) (Dialect, []Finding) {
	d := Dialect{Separator: ',', Decimal: '.'}
	end, next := lineEnd(sample, 0)
	header := sample[:end]
	var candidates []byte
	for _, s := range separators {
		if slices.Contains(unquoted(header), s) {
			candidates = append(candidates, s)
		}
	}
	switch len(candidates) {
	case 0: // one column
	case 1:
		d.Separator = candidates[0]
	default:
		fitting := slices.DeleteFunc(slices.Clone(candidates), func(s byte) bool { return !slices.ContainsFunc(splitPlain(string(header), s), knownColumn) })
		if len(fitting) != 1 {
			return d, []Finding{{Rule: "csv-ambiguous", Place: Place{File: path, Line: 1, Column: 1}, Width: 1,
				Message: fmt.Sprintf("it is not clear whether %s or %s separates the columns", separatorName(candidates[0]), separatorName(candidates[1])),
				Remedy:  "say it in report.yaml, for instance: " + Dialect{Separator: candidates[0], Decimal: '.'}.declaration()}}
		}
		d.Separator = fitting[0]
	}
	f, decided := d.decimals(path, sample, next)
	if !decided {
		return d, []Finding{f}
	}
	if d.Separator == ',' && d.Decimal == '.' {
		return d, nil
	}
	mark := "a point"
	if d.Decimal == ',' {
		mark = "a comma"
	}
	return d, []Finding{{Rule: "csv-detected", Severity: Notice, Place: Place{File: path, Line: 1, Column: 1}, Width: 1,
		Message: fmt.Sprintf("read with %s between columns and %s before decimals", separatorName(d.Separator), mark),
		Remedy:  "to be sure of it, say it in report.yaml: " + d.declaration()}}
}

// shape is what the cells of a sample look like as numbers.
type shape struct {
	certain, grouped int   // with the mark as decimal mark for sure; could be thousands
	at               Place // of the first
	text             string
}

// decimals settles the decimal mark from the cells below the header.
func (d *Dialect) decimals(path string, sample []byte, start int) (Finding, bool) {
	var comma, point shape
	end, _ := lineEnd(sample, 0)
	names := splitPlain(string(sample[:end]), d.Separator)
	line := 2
	for start < len(sample) {
		end, next := lineEnd(sample, start)
		text := string(sample[start:end])
		column := 1
		for i, cell := range splitPlain(text, d.Separator) {
			// No number beyond any sense makes a longer cell than this.
			if t := strings.Trim(cell, ` "`); len(t) <= 40 && i < len(names) && !wordColumn(names[i]) {
				lead := len(cell) - len(strings.TrimLeft(cell, ` "`))
				place := Place{File: path, Line: line, Column: column + lead}
				comma.see(t, ',', place)
				point.see(t, '.', place)
			}
			column += len([]rune(cell)) + 1
		}
		start = next
		line++
	}
	unclear := func(s shape, mark byte) Finding {
		meant := Dialect{Separator: d.Separator, Decimal: mark}
		return Finding{Rule: "csv-ambiguous", Place: s.at, Width: len(s.text),
			Message: fmt.Sprintf("%q could be a number with three decimals or one in the thousands", s.text),
			Remedy:  "say in report.yaml what marks decimals, for instance: " + meant.declaration()}
	}
	switch {
	case comma.certain > 0 && point.certain > 0:
		f := Finding{Rule: "csv-ambiguous", Place: comma.at, Width: len(comma.text),
			Message: fmt.Sprintf("decimals are marked by a comma here (%q) and by a point elsewhere (%q)", comma.text, point.text),
			Remedy:  "write all numbers of the file with the same decimal mark",
			Related: []Related{{Place: point.at, Message: "a point here"}}}
		return f, false
	case comma.certain > 0:
		d.Decimal = ','
	case point.certain > 0:
	case comma.grouped > 0:
		return unclear(comma, ','), false
	case point.grouped > 0 && d.Separator == ';':
		// A semicolon comes from where decimals are marked by a comma, and
		// there a point groups thousands.
		return unclear(point, '.'), false
	}
	return Finding{}, true
}

// see notes a cell that is a number with one mark in it.
func (s *shape) see(t string, mark byte, at Place) {
	whole, fraction, found := strings.Cut(t, string(mark))
	if !found || !digitsOnly(fraction) || fraction == "" {
		return
	}
	whole = strings.TrimLeft(whole, "+-\u2212")
	if whole == "" || !digitsOnly(whole) {
		return
	}
	certain := len(fraction) != 3 || len(whole) > 3 || whole[0] == '0'
	if certain && s.certain == 0 || !certain && s.certain+s.grouped == 0 {
		s.at, s.text = at, t
	}
	if certain {
		s.certain++
	} else {
		s.grouped++
	}
}

func digitsOnly(t string) bool {
	for i := 0; i < len(t); i++ {
		if t[i] < '0' || t[i] > '9' {
			return false
		}
	}
	return true
}

// unquoted gives the bytes of a line that stand outside quotes.
func unquoted(line []byte) []byte {
	var out []byte
	in := false
	for _, c := range line {
		if c == '"' {
			in = !in
		} else if !in {
			out = append(out, c)
		}
	}
	return out
}

// splitPlain splits a line at separators outside quotes; quotes stay.
func splitPlain(line string, separator byte) []string {
	var out []string
	in, start := false, 0
	for i := 0; i < len(line); i++ {
		switch {
		case line[i] == '"':
			in = !in
		case line[i] == separator && !in:
			out = append(out, line[start:i])
			start = i + 1
		}
	}
	return append(out, line[start:])
}
