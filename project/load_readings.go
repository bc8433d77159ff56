package project

import (
	"fmt"
	"io/fs"
	"math"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"benchwright/cores"
	"benchwright/schema"
)

// mostAlike is how many findings of one rule a result file may have before the
// rest is only counted: a file with a wrong column has one in every row.
const mostAlike = 10

// rows reads the rows of one result file, or of a part of it.
type rows struct {
	*loader
	file    int32
	table   *schema.Table
	header  *header
	texts   *texts
	orders  *orders
	alike   map[string]int
	how     map[conversionKey]*conversion
	lastHow []lastConversion // by workload
	frames  *frameFiles
	out     []Reading
	part    bool // of a file; alone: it needs what the other parts may not use too
	alone   bool
	row     *schema.Row
	session int32
	config  int32

	sessions, configurations, workloads idColumn
}

// idColumn finds what the cells of a column name. Rows mostly name what the row before
// them did.
type idColumn struct {
	one, plural string
	index       map[string]int
	all         func() []string
	id          func(int) string
	last        string
	at          int32
}

// find gives the index of an id.
func (x *idColumn) find(id string) (int32, bool) {
	if id == x.last && id != "" {
		return x.at, true
	}
	i, ok := x.index[id]
	if ok {
		x.last, x.at = x.id(i), int32(i)
	}
	return int32(i), ok
}

// lastConversion is the conversion that a workload needed last: rows of one
// workload nearly always have the same unit.
type lastConversion struct {
	unit string
	how  *conversion
}

// loadReadings reads every result file.
func (l *loader) loadReadings() {
	p := l.p
	p.ResultFiles = slices.Clone(l.folder.Results)
	if len(p.Configurations) == 0 || len(p.Workloads) == 0 {
		return
	}
	dialect := p.dialect()
	frames := newFrameFiles()
	p.frames = frames.read
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
		t.Borrow = true
		if !l.readSideBySide(int32(i), t, h, orders) {
			r := l.rows(int32(i), t, h)
			r.texts, r.orders, r.frames, r.out = &p.texts, orders, frames, p.Readings
			r.read()
			r.countAlike()
			p.Readings = r.out
		}
		t.Close()
	}
	orders.report(l)
	l.adviseOnMissing(frames)
	l.copiedReadings()
	l.plannedButRead()
}

func (l *loader) rows(file int32, t *schema.Table, h *header) *rows {
	p := l.p
	return &rows{loader: l, file: file, table: t, header: h,
		alike: map[string]int{}, how: map[conversionKey]*conversion{}, lastHow: make([]lastConversion, len(p.Workloads)),
		sessions:       idColumn{one: "session", plural: "sessions", index: p.sessionAt, all: p.sessionIDs, id: func(i int) string { return p.Sessions[i].ID }},
		configurations: idColumn{one: "configuration", plural: "configurations", index: p.configAt, all: p.configurationIDs, id: func(i int) string { return p.Configurations[i].ID }},
		workloads:      idColumn{one: "workload", plural: "workloads", index: p.workloadAt, all: p.workloadIDs, id: func(i int) string { return p.Workloads[i].ID }}}
}

// readSideBySide reads the parts of a long file, each by itself, and gives
// what one after the other would have given. It does so only as long as there
// is nothing to say about the file: at the first finding it reports false, with
// nothing done, and the file has to be read from its beginning. So too when it
// needs what may not be used from two places at once: files of frame times, and
// values of factors.
func (l *loader) readSideBySide(file int32, t *schema.Table, h *header, orders *orders) bool {
	parts, lines := t.Parts(runtime.GOMAXPROCS(0))
	if parts == nil {
		return false
	}
	p, perRow, most := l.p, max(len(h.readings), 1), 0
	for _, n := range lines {
		most += n * perRow
	}
	start := len(p.Readings)
	p.Readings = withRoom(p.Readings, most)
	read := make([]*rows, len(parts))
	var all cores.Group
	for k, from := 0, start; k < len(parts); k++ {
		to := from + lines[k]*perRow
		own := *l
		own.findings = nil
		r := own.rows(file, parts[k], h)
		r.part, r.texts, r.orders, r.out = true, &texts{}, newOrders(len(p.Sessions)), p.Readings[from:from:to]
		read[k] = r
		all.Go(r.read)
		from = to
	}
	all.Wait()
	if slices.ContainsFunc(read, (*rows).gaveUp) {
		return false
	}
	for _, r := range read {
		orders.count(r.orders)
		if h.order < 0 {
			orders.follow(r.orders, file, r.out)
		}
		p.texts.take(r.texts, r.out)
		p.Readings = append(p.Readings, r.out...) // in place but where rows were empty
	}
	l.inParts++
	return true
}

// withRoom makes room for n readings more. Unlike slices.Grow it does not write
// zeros over memory that comes fresh from the system, which for a long file
// takes longer than reading it: there every page is touched for the first time.
func withRoom(readings []Reading, n int) []Reading {
	if cap(readings)-len(readings) >= n {
		return readings
	}
	return append(make([]Reading, 0, len(readings)+n), readings...)
}

// gaveUp tells whether a part cannot be read by itself.
func (r *rows) gaveUp() bool {
	return r.alone || len(r.findings) > 0 || len(r.alike) > 0 || len(r.table.Findings()) > 0
}

// countAlike reports how many findings there are beyond those made.
func (r *rows) countAlike() {
	r.findings = append(r.findings, r.table.Findings()...)
	for _, rule := range sortedKeys(r.alike) {
		if n := r.alike[rule]; n > mostAlike {
			r.reportAt(rule, schema.Error, schema.Place{File: r.table.Path}, 0, fmt.Sprintf("there are %d more findings like these in this file", n-mostAlike), "set the first ones right and check again")
		}
	}
}

// read reads to the end of the table; a part only until there is something to
// say.
func (r *rows) read() {
	h := r.header
	var size, bytes, count int64
	if info, err := fs.Stat(r.folder.FS, r.table.Path); err == nil {
		size = info.Size()
	}
	const sample = 256
	for {
		row, ok := r.table.Next()
		if !ok || r.part && (r.alone || len(r.findings) > 0 || len(r.alike) > 0) {
			break
		}
		r.row = row
		if count++; count <= sample && !r.part {
			for i := range row.Cells {
				bytes += int64(len(row.Cells[i].Text)) + 1
			}
			if count == sample {
				// The rest of the file is about as dense as its beginning.
				perRow := max(len(h.readings), 1)
				r.out = withRoom(r.out, int(max(size/(bytes/sample+1), 0)+1)*perRow*21/20)
			}
		}
		if r.cell(h.configuration) == "" && r.blank() {
			continue
		}
		config, good := r.id(h.configuration, &r.configurations)
		r.config = config
		if !r.readSession() {
			good = false
		}
		repeat, okRepeat := r.count(h.repeat, "repeat")
		order, okOrder := r.count(h.order, "order")
		outcome, okOutcome := r.outcome()
		if h.order < 0 {
			order = r.orders.next(r.session, r.file)
		} else {
			r.orders.stated(r.session, order, outcome == Excluded)
		}
		if !good || !okRepeat || !okOrder || !okOutcome {
			continue
		}
		reason := r.cell(h.reason)
		reading := Reading{Configuration: config, Session: r.session, Repeat: repeat, Order: order, Outcome: outcome,
			remark: r.texts.keepRemark(reason, r.cell(h.note)), File: r.file}
		if outcome == Excluded && reason == "" {
			r.fault("missing-reason", schema.Error, h.outcome, "the reading is excluded without a reason", `say in the column "reason" why it does not count`)
			continue
		}
		if h.wide {
			r.wideRow(reading)
		} else {
			r.longRow(reading)
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
	line, at := r.position(column)
	place := schema.Place{File: r.table.Path, Line: int(line), Column: int(at)}
	if column < 0 || column >= len(r.row.Cells) {
		return place, 0
	}
	return place, utf8.RuneCountInString(r.row.Cells[column].Text)
}

// position is the line and column of a cell.
func (r *rows) position(column int) (line, at int32) {
	if column < 0 || column >= len(r.row.Cells) {
		return int32(r.row.Line), 1
	}
	c := &r.row.Cells[column]
	if c.Line > 0 {
		return int32(c.Line), int32(c.Column)
	}
	return int32(r.row.Line), int32(c.Column)
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

func (r *rows) id(column int, among *idColumn) (int32, bool) {
	text := r.cell(column)
	if i, ok := among.find(text); ok {
		return i, true
	}
	if text == "" {
		r.fault("missing-value", schema.Error, column, fmt.Sprintf("the row names no %s", among.one), "name it, or take the row out")
		return -1, false
	}
	if r.unread(among.plural) {
		return -1, false
	}
	if r.alike["unknown-id"] < mostAlike {
		r.fault("unknown-id", schema.Error, column, fmt.Sprintf("there is no %s %q", among.one, text), didYouMean(text, among.all(), among.plural))
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
	r.session, ok = r.id(r.header.session, &r.sessions)
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
	if i := slices.Index(outcomeWords[:], text); i >= 0 {
		return outcomes[i], true
	}
	r.fault("unknown-outcome", schema.Error, r.header.outcome, fmt.Sprintf("there is no outcome %q", text), didYouMean(text, OutcomeWords(), "outcomes"))
	return OK, false
}

func (r *rows) longRow(reading Reading) {
	h := r.header
	workload, ok := r.id(h.workload, &r.workloads)
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
		if h.outcomeMeant {
			return // what happened stands in a column that has to be renamed first
		}
		if reading.Outcome == OK || reading.Outcome == Excluded {
			r.fault("missing-value", schema.Error, h.value, fmt.Sprintf("the reading of %q has no value, and its outcome is %s", w.ID, reading.Outcome),
				"write the value, or what happened in the column outcome: did-not-start, hung, crashed, unstable")
			return
		}
		reading.Line, reading.Column = r.position(h.value)
		r.out = append(r.out, reading)
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
	if filled == 0 && r.header.outcomeMeant {
		return // as in longRow
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
				one.Outcome, one.remark = OK, r.texts.keepRemark("", r.cell(r.header.note))
			}
			r.add(one, column.workload, column.at, "", column.at, column.unit, column.stated)
			continue
		}
		if outcome == OK || outcome == Excluded {
			continue
		}
		one.Line, one.Column = r.position(column.at)
		r.out = append(r.out, one)
	}
}

// add converts a value and appends the reading. The unit is that of the cell
// (symbol, from unitColumn), of the column's head (stated), or the workload's.
func (r *rows) add(reading Reading, w *Workload, column int, symbol string, unitColumn int, head Unit, stated bool) {
	reading.Line, reading.Column = r.position(column)
	text := r.cell(column)
	if r.part && w.FrameTimes != "" {
		r.alone = true
		return
	}
	if w.FrameTimes != "" {
		r.addFrames(reading, w, column, text)
		return
	}
	raw, written, remedy, ok := r.texts.number(text, r.table.Dialect)
	if !ok && r.unitInCell(w, column, text) {
		return
	}
	if !ok {
		r.fault("not-a-number", schema.Error, column, notANumberFor(text, r.table.Dialect, fmt.Sprintf("a reading of %q", w.ID)), remedy)
		return
	}
	how := r.conversionOf(w, symbol, unitColumn, head, stated)
	if !how.usable {
		return
	}
	if r.part && how.factors {
		r.alone = true
		return
	}
	v := raw
	if how.convert {
		v, _ = how.from.Convert(raw, w.RawUnit)
	}
	if w.Reading != nil {
		if v, ok = r.compute(w, v, how); !ok {
			return
		}
	} else if how.further {
		v, _ = w.RawUnit.Convert(v, w.Unit)
	}
	if math.IsInf(v, 0) || math.IsNaN(v) {
		r.fault("not-a-number", schema.Error, column, fmt.Sprintf("%q is too large once it is converted into %s", text, w.Unit.name()), "check the number and its unit")
		return
	}
	reading.HasValue, reading.Value, reading.Raw = true, v, raw
	reading.written = written
	r.out = append(r.out, reading)
}

func (l *loader) plannedButRead() {
	if !slices.ContainsFunc(l.p.Configurations, func(c *Configuration) bool { return c.Planned }) {
		return
	}
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
