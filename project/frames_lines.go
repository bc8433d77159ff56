package project

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"benchwright/schema"
)

// frameLines reads the lines of a file of frame times. A fault that stands in
// many of them is one finding with a number: it has one cause.
type frameLines struct {
	path    string
	dialect schema.Dialect
	times   []float64
	all     []float64 // zero and below too, as a clock may begin
	first   int       // the line of the first of them
	faults  []frameFault
	// Of a table: its text, and where the cell that is read begins in its line,
	// in bytes from 0.
	text   []byte
	before int
}

// frameFault is the first line of its kind.
type frameFault struct {
	schema.Finding
	lines int
}

// The kinds of fault, by the remedy that they have in common.
const (
	saveAsText     = "save the file again as plain text in UTF-8, or restore it from a copy"
	oneNumber      = "a frame file has one number per line, the milliseconds that each frame took; of a file with several columns, name that one with frame-column in workloads.yaml"
	noSuchFrame    = "leave the line out if the frame is missing; if the run failed, leave the file out and give the outcome in the result file"
	notRecorded    = "check how the file was recorded"
	shortLine      = "complete the line, or leave it out if the recording ended in it"
	inMilliseconds = "write one number of milliseconds a line"
)

func (f *frameLines) read(line int, row []byte) {
	trimmed := bytes.TrimSpace(row)
	if n := len(trimmed); n >= 2 && trimmed[0] == '"' && trimmed[n-1] == '"' {
		trimmed = trimmed[1 : n-1]
	}
	if len(trimmed) == 0 {
		return
	}
	text := string(trimmed)
	v, _, ok := schema.ParseNumber(text, f.dialect)
	width := min(utf8.RuneCount(trimmed), 40)
	if ok {
		if f.all = append(f.all, v); len(f.all) == 1 {
			f.first = line
		}
	}
	if ok && v > 0 {
		f.times = append(f.times, v)
		return
	}
	if at := bytes.IndexByte(row, 0); at >= 0 {
		f.fault(line, 1+utf8.RuneCount(row[:at]), 1, "a NUL character stands here: this is not a text file, or it was damaged", saveAsText)
		return
	}
	if at := invalidAt(row); at >= 0 {
		f.fault(line, 1+utf8.RuneCount(row[:at]), 1, fmt.Sprintf("the byte 0x%02X is not UTF-8", row[at]), saveAsText)
		return
	}
	switch {
	case ok:
		f.fault(line, 1, width, fmt.Sprintf("a frame time of %s ms is impossible", text), notRecorded)
	case line == 1 && !f.otherMark(text):
		// A heading.
	case schema.NoNumber(text):
		f.fault(line, 1, width, fmt.Sprintf("%q is not a frame time", text), noSuchFrame)
	case f.otherMark(text):
		has, write := "comma", "point"
		if f.dialect.Decimal == ',' {
			has, write = write, has
		}
		f.fault(line, 1, width, fmt.Sprintf("%q has a decimal %s", text, has), fmt.Sprintf("write a %s before decimals in this file", write))
	case numbersIn(text) > 1:
		f.fault(line, 1, width, fmt.Sprintf("%q holds %d numbers", cutText(text), numbersIn(text)), oneNumber)
	default:
		f.fault(line, 1, width, fmt.Sprintf("%q is not a frame time", cutText(text)), inMilliseconds)
	}
}

// readColumn reads the numbers below the heading of one column of a table, which
// may have lines of its own before its headings. The separator is the one that
// makes the heading a cell. It reports false, with the finding, where no line has
// such a cell.
func (f *frameLines) readColumn(text []byte, column string) (schema.Finding, bool) {
	f.text = text
	var headings []string // the most that a first line was cut into
	for _, separator := range [...]rune{',', ';', '\t'} {
		table := csv.NewReader(bytes.NewReader(text))
		table.Comma, table.FieldsPerRecord, table.LazyQuotes, table.ReuseRecord = separator, -1, true, true
		at := -1
		for {
			cells, err := table.Read()
			if err != nil {
				break // the end: no quotation mark is a fault
			}
			if at < 0 {
				at = slices.IndexFunc(cells, func(cell string) bool { return strings.TrimSpace(cell) == column })
				if line, _ := table.FieldPos(0); line == 1 && len(cells) > len(headings) {
					headings = slices.Clone(cells)
				}
				continue
			}
			if at >= len(cells) {
				line, _ := table.FieldPos(0)
				f.before = 0
				f.fault(line, 1, 1, fmt.Sprintf("the line has %s, and %q is number %d", countOf(len(cells), "cell"), column, at+1), shortLine)
				continue
			}
			line, position := table.FieldPos(at)
			f.before = position - 1
			f.read(line, []byte(cells[at]))
		}
		if at >= 0 {
			return schema.Finding{}, true
		}
	}
	found := schema.Finding{Rule: "frame-times", Place: schema.Place{File: f.path, Line: 1, Column: 1}, Width: 1,
		Message: fmt.Sprintf("no line of it has a column %q, which frame-column names", column), Remedy: "write its heading into frame-column in workloads.yaml as it stands in the file"}
	for i := range headings {
		headings[i] = cutText(strings.TrimSpace(headings[i]))
	}
	if near := schema.Nearest(column, headings); near != "" {
		found.Remedy = fmt.Sprintf("write frame-column: %q", near)
	} else if len(headings) > 1 {
		found.Message += "; its first line has " + strings.Join(headings, ", ")
	}
	return found, false
}

// fault notes a line, and keeps the first of its kind.
func (f *frameLines) fault(line, column, width int, message, remedy string) {
	for i := range f.faults {
		if f.faults[i].Remedy == remedy {
			f.faults[i].lines++
			return
		}
	}
	if f.before > 0 {
		column += f.charactersBefore(line)
	}
	f.faults = append(f.faults, frameFault{schema.Finding{Rule: "frame-times", Place: schema.Place{File: f.path, Line: line, Column: column}, Width: width, Message: message, Remedy: remedy}, 1})
}

// charactersBefore counts the characters before the cell in its line.
func (f *frameLines) charactersBefore(line int) int {
	text := f.text
	for ; line > 1; line-- {
		_, text, _ = bytes.Cut(text, []byte("\n"))
	}
	return utf8.RuneCount(text[:min(f.before, len(text))])
}

// report gives one finding for each kind of fault.
func (f *frameLines) report() []schema.Finding {
	if f.timeStamps() {
		last := f.all[len(f.all)-1]
		return []schema.Finding{f.whole(fmt.Sprintf("the numbers rise from %v to %v over the whole file: these are points in time, not frame times", f.all[0], last),
			"write how long each frame took: the difference between each number and the one before it, in milliseconds")}
	}
	var findings []schema.Finding
	for _, fault := range f.faults {
		if n := fault.lines - 1; n > 0 {
			fault.Message += ", and so it is in " + countOf(n, "more line")
		}
		findings = append(findings, fault.Finding)
	}
	if n := float64(len(f.times)); n > 0 && len(findings) == 0 && 1000*n/sum(f.times) > fastestRate {
		findings = append(findings, f.whole(fmt.Sprintf("a mean of %.3g ms is %.0f frames per second: these look like seconds", sum(f.times)/n, 1000*n/sum(f.times)),
			"write milliseconds: 1000 times each number"))
	}
	if len(f.times) == 0 && len(findings) == 0 {
		findings = append(findings, schema.Finding{Rule: "frame-times", Place: schema.Place{File: f.path}, Message: "holds no frame time", Remedy: inMilliseconds})
	}
	return findings
}

const (
	// No game shows so many frames per second, and nearly every one shows more
	// than ten, which in seconds would look like this.
	fastestRate = 10_000
	// No frame takes so long, in milliseconds, while all before it took less.
	longestFrame = 10_000
	// Numbers that do not fall in so many lines are no chance, and in many more
	// they need not be large either: in seconds, or since the start of a run.
	fewestRising, manyRising = 10, 100
)

// timeStamps tells points in time from frame times, which go up and down.
func (f *frameLines) timeStamps() bool {
	n := len(f.all)
	if n < fewestRising || f.all[0] == f.all[n-1] {
		return false
	}
	strictly := true
	for i := 1; i < n; i++ {
		if f.all[i] < f.all[i-1] {
			return false
		}
		strictly = strictly && f.all[i] > f.all[i-1]
	}
	return strictly && n >= manyRising || f.all[n-1] > longestFrame
}

// whole is a finding about all lines, at the first of them.
func (f *frameLines) whole(message, remedy string) schema.Finding {
	return schema.Finding{Rule: "frame-times", Place: schema.Place{File: f.path, Line: f.first, Column: 1}, Width: 1, Message: message, Remedy: remedy}
}

// otherMark tells a number with the decimal mark that the file should not have.
func (f *frameLines) otherMark(text string) bool {
	other := schema.Dialect{Decimal: ','}
	if f.dialect.Decimal == ',' {
		other.Decimal = '.'
	}
	_, _, ok := schema.ParseNumber(text, other)
	return ok
}

// numbersIn counts the numbers of a line that consists of them.
func numbersIn(text string) int {
	parts := strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(",; \t", r) })
	for _, part := range parts {
		if _, _, ok := schema.ParseNumber(strings.Trim(part, `"`), schema.Dialect{}); !ok {
			return 0
		}
	}
	return len(parts)
}

// invalidAt gives the first byte that is not UTF-8, -1 for none.
func invalidAt(row []byte) int {
	for i := 0; i < len(row); {
		r, size := utf8.DecodeRune(row[i:])
		if r == utf8.RuneError && size == 1 {
			return i
		}
		i += size
	}
	return -1
}

// cutText shortens what a message quotes.
func cutText(text string) string {
	const most = 40
	if r := []rune(text); len(r) > most {
		return string(r[:most-1]) + "…"
	}
	return text
}
