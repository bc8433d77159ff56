package project

import (
	"fmt"
	"io/fs"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"benchwright/schema"
)

// mostAlike is how many findings of one rule a result file may have before the
// rest is only counted: a file with a wrong column has one in every row.
const mostAlike = 10

// rows reads the rows of one result file.
type rows struct {
	*loader
	file    int32
	table   *schema.Table
	header  *header
	texts   *texts
	alike   map[string]int
	how     map[conversionKey]conversion
	frames  map[string]frameFile
	row     *schema.Row
	session int32
	config  int32
}

// loadReadings reads every result file.
func (l *loader) loadReadings() {
	p := l.p
	p.ResultFiles = slices.Clone(l.folder.Results)
	if len(p.Configurations) == 0 || len(p.Workloads) == 0 {
		return
	}
	dialect := p.dialect()
	kept := &texts{known: map[string]string{}}
	frames := map[string]frameFile{}
	orders := newOrders(len(p.Sessions))
	for i, path := range p.ResultFiles {
		t, findings := schema.OpenTable(l.folder.FS, path, dialect)
		l.findings = append(l.findings, findings...)
		if t == nil {
			continue
		}
		h, ok := l.header(t)
		if !ok {
			continue
		}
		r := &rows{loader: l, file: int32(i), table: t, header: h, texts: kept, frames: frames,
			alike: map[string]int{}, how: map[conversionKey]conversion{}}
		r.read(orders)
	}
	orders.report(l)
	l.copiedReadings()
	l.plannedButRead()
}

func (r *rows) read(orders *orders) {
	h, p := r.header, r.p
	var size, bytes, count int64
	if info, err := fs.Stat(r.folder.FS, r.table.Path); err == nil {
		size = info.Size()
	}
	const sample = 256
	for {
		row, ok := r.table.Next()
		if !ok {
			break
		}
		r.row = row
		if count++; count <= sample {
			for i := range row.Cells {
				bytes += int64(len(row.Cells[i].Text)) + 1
			}
			if count == sample {
				// The rest of the file is about as dense as its beginning.
				perRow := max(len(h.readings), 1)
				p.Readings = slices.Grow(p.Readings, int(max(size/(bytes/sample+1), 0)+1)*perRow*21/20)
			}
		}
		if r.cell(h.configuration) == "" && r.blank() {
			continue
		}
		config, good := r.id(h.configuration, "configuration", "configurations", p.configAt, p.configurationIDs)
		r.config = config
		if !r.readSession() {
			good = false
		}
		repeat, okRepeat := r.count(h.repeat, "repeat")
		order, okOrder := r.count(h.order, "order")
		outcome, okOutcome := r.outcome()
		if h.order < 0 {
			order = orders.next(r.session, r.file)
		}
		if !good || !okRepeat || !okOrder || !okOutcome {
			continue
		}
		reading := Reading{Configuration: config, Session: r.session, Repeat: repeat, Order: order, Outcome: outcome,
			Reason: r.texts.keep(r.cell(h.reason)), Note: r.texts.keep(r.cell(h.note)), File: r.file}
		if outcome == Excluded && reading.Reason == "" {
			r.fault("missing-reason", schema.Error, h.outcome, "the reading is excluded without a reason", `say in the column "reason" why it does not count`)
			continue
		}
		if h.wide {
			r.wideRow(reading)
		} else {
			r.longRow(reading)
		}
	}
	r.findings = append(r.findings, r.table.Findings()...)
	for _, rule := range sortedKeys(r.alike) {
		if n := r.alike[rule]; n > mostAlike {
			r.reportAt(rule, schema.Error, schema.Place{File: r.table.Path}, 0, fmt.Sprintf("there are %d more findings like these in this file", n-mostAlike), "set the first ones right and check again")
		}
	}
}

// cell is the text of a column in the current row, empty when there is none.
func (r *rows) cell(column int) string {
	if column < 0 || column >= len(r.row.Cells) {
		return ""
	}
	return trim(r.row.Cells[column].Text)
}

// trim takes spaces off; most cells have none.
func trim(s string) string {
	if s == "" || s[0] > ' ' && s[0] < utf8.RuneSelf && s[len(s)-1] > ' ' && s[len(s)-1] < utf8.RuneSelf {
		return s
	}
	return strings.TrimSpace(s)
}

func (r *rows) blank() bool {
	for i := range r.row.Cells {
		if trim(r.row.Cells[i].Text) != "" {
			return false
		}
	}
	return true
}

// place is where a cell stands.
func (r *rows) place(column int) (schema.Place, int) {
	place := schema.Place{File: r.table.Path, Line: r.row.Line, Column: 1}
	if column < 0 || column >= len(r.row.Cells) {
		return place, 0
	}
	c := r.row.Cells[column]
	place.Column = c.Column
	if c.Line > 0 {
		place.Line = c.Line
	}
	return place, utf8.RuneCountInString(c.Text)
}

// fault reports on a cell, as long as the file has few findings like it.
func (r *rows) fault(rule string, severity schema.Severity, column int, message, remedy string, related ...schema.Related) {
	if !r.room(rule) {
		return
	}
	place, width := r.place(column)
	r.reportAt(rule, severity, place, width, message, remedy, related...)
}

// room counts a finding and tells whether it is to be made.
func (r *rows) room(rule string) bool {
	r.alike[rule]++
	return r.alike[rule] <= mostAlike
}

func (r *rows) id(column int, one, plural string, index map[string]int, ids func() []string) (int32, bool) {
	text := r.cell(column)
	if i, ok := index[text]; ok {
		return int32(i), true
	}
	if text == "" {
		r.fault("missing-value", schema.Error, column, fmt.Sprintf("the row names no %s", one), "name it, or take the row out")
		return -1, false
	}
	if r.alike["unknown-id"] < mostAlike {
		r.fault("unknown-id", schema.Error, column, fmt.Sprintf("there is no %s %q", one, text), didYouMean(text, ids(), plural))
	} else {
		r.alike["unknown-id"]++
	}
	return -1, false
}

// readSession finds the session of the row. In a project with one session,
// rows need not name it.
func (r *rows) readSession() bool {
	r.session = -1
	if r.cell(r.header.session) == "" {
		if len(r.p.Sessions) == 1 {
			r.session = 0
		}
		return true
	}
	var ok bool
	r.session, ok = r.id(r.header.session, "session", "sessions", r.p.sessionAt, r.p.sessionIDs)
	return ok
}

// count reads a number that counts from 1; 0 when the cell is empty.
func (r *rows) count(column int, name string) (int32, bool) {
	text := r.cell(column)
	if text == "" {
		return 0, true
	}
	n, err := strconv.ParseInt(text, 10, 32)
	if err != nil || n < 1 || n > 10_000_000 {
		r.fault("not-a-count", schema.Error, column, fmt.Sprintf("%q is not a whole number from 1 on, which %s must be", text, name), "write 1, 2, 3 …")
		return 0, false
	}
	return int32(n), true
}

func (r *rows) outcome() (Outcome, bool) {
	text := r.cell(r.header.outcome)
	if text == "" {
		return OK, true
	}
	for _, o := range outcomes {
		if o.String() == text {
			return o, true
		}
	}
	var words []string
	for _, o := range outcomes {
		words = append(words, o.String())
	}
	r.fault("unknown-outcome", schema.Error, r.header.outcome, fmt.Sprintf("there is no outcome %q", text), didYouMean(text, words, "outcomes"))
	return OK, false
}

func (r *rows) longRow(reading Reading) {
	h := r.header
	workload, ok := r.id(h.workload, "workload", "workloads", r.p.workloadAt, r.p.workloadIDs)
	if !ok {
		return
	}
	w := r.p.Workloads[workload]
	if w.Derived != nil || w.FramesOf != "" {
		if r.room("derived-and-read") {
			place, width := r.place(h.workload)
			r.readable(w, place, width)
		}
		return
	}
	reading.Workload = workload
	if r.cell(h.value) == "" {
		if reading.Outcome == OK || reading.Outcome == Excluded {
			r.fault("missing-value", schema.Error, h.value, fmt.Sprintf("the reading of %q has no value, and its outcome is %s", w.ID, reading.Outcome),
				"write the value, or what happened in the column outcome: did-not-start, hung, crashed, unstable")
			return
		}
		place, _ := r.place(h.value)
		reading.Line, reading.Column = int32(place.Line), int32(place.Column)
		r.p.Readings = append(r.p.Readings, reading)
		return
	}
	r.add(reading, w, h.value, r.cell(h.unit), h.unit, Unit{}, false)
}

// wideRow takes a reading from each workload's cell. The outcome of a row in
// which cells are empty is theirs: what was written was read before the run
// ended. When none is empty it holds for all, and an exclusion always does.
func (r *rows) wideRow(reading Reading) {
	outcome, empty, filled := reading.Outcome, 0, 0
	for _, column := range r.header.readings {
		if r.cell(column.at) == "" {
			empty++
		} else {
			filled++
		}
	}
	if filled == 0 && (outcome == OK || outcome == Excluded) {
		r.fault("missing-value", schema.Error, r.header.configuration, "the row holds no reading", "write the readings, or what happened in the column outcome")
		return
	}
	for _, column := range r.header.readings {
		one := reading
		one.Workload = int32(column.workload.Index)
		if r.cell(column.at) != "" {
			if empty > 0 && outcome != Excluded {
				one.Outcome, one.Reason = OK, ""
			}
			r.add(one, column.workload, column.at, "", column.at, column.unit, column.stated)
			continue
		}
		if outcome == OK || outcome == Excluded {
			continue
		}
		place, _ := r.place(column.at)
		one.Line, one.Column = int32(place.Line), int32(place.Column)
		r.p.Readings = append(r.p.Readings, one)
	}
}

// add converts a value and appends the reading. The unit is that of the cell
// (symbol, from unitColumn), of the column's head (stated), or the workload's.
func (r *rows) add(reading Reading, w *Workload, column int, symbol string, unitColumn int, head Unit, stated bool) {
	place, _ := r.place(column)
	reading.Line, reading.Column = int32(place.Line), int32(place.Column)
	text := r.cell(column)
	if w.FrameTimes != "" {
		r.addFrames(reading, w, column, text)
		return
	}
	raw, remedy, ok := schema.ParseNumber(text, r.table.Dialect)
	if !ok {
		r.fault("not-a-number", schema.Error, column, fmt.Sprintf("%q is not a number, which a reading of %q must be", text, w.ID), remedy)
		return
	}
	how, ok := r.how[conversionKey{int32(w.Index), symbol}]
	if !ok {
		how = r.conversion(w, symbol, unitColumn, head, stated)
		r.how[conversionKey{int32(w.Index), strings.Clone(symbol)}] = how
	} else if !how.usable {
		r.alike["wrong-dimension"]++
	}
	if !how.usable {
		return
	}
	v := raw
	if how.from.factor() != w.RawUnit.factor() || how.from.Offset != w.RawUnit.Offset {
		v, _ = how.from.Convert(raw, w.RawUnit)
	}
	if w.Reading != nil {
		if v, ok = r.compute(w, v, how); !ok {
			return
		}
	} else if w.RawUnit.factor() != w.Unit.factor() || w.RawUnit.Offset != w.Unit.Offset {
		v, _ = w.RawUnit.Convert(v, w.Unit)
	}
	if math.IsInf(v, 0) || math.IsNaN(v) {
		r.fault("not-a-number", schema.Error, column, fmt.Sprintf("%q is too large once it is converted into %s", text, w.Unit.name()), "check the number and its unit")
		return
	}
	reading.HasValue, reading.Value, reading.Raw = true, v, raw
	reading.Written = r.texts.keep(text)
	r.p.Readings = append(r.p.Readings, reading)
}

func (l *loader) plannedButRead() {
	said := make([]bool, len(l.p.Configurations))
	for i := range l.p.Readings {
		r := &l.p.Readings[i]
		c := l.p.Configurations[r.Configuration]
		if !c.Planned || said[c.Index] {
			continue
		}
		said[c.Index] = true
		l.reportAt("planned-but-read", schema.Warning, c.Place, 0, fmt.Sprintf("the configuration %q is marked as planned, but has readings", c.ID), "take out planned: true",
			schema.Related{Place: l.p.Place(*r), Message: "the first reading is here"}).Configurations = []string{c.ID}
	}
}

func sortedKeys(m map[string]int) []string {
	var keys []string
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}
