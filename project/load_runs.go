package project

import (
	"crypto/sha256"
	"fmt"
	"strings"

	"benchwright/schema"
)

// orders numbers the rows of files that have no column order, session by
// session.
type orders struct {
	last  []int32 // by session: the number given last
	file  []int32 // by session: the file of that row, −1 for none
	mixed []bool  // by session: rows come from more than one file
	rows  []int32 // by session: of files with a column order, that are not excluded
	open  []int32 // by session: those of them whose order is empty
}

func newOrders(sessions int) *orders {
	o := &orders{make([]int32, sessions), make([]int32, sessions), make([]bool, sessions), make([]int32, sessions), make([]int32, sessions)}
	for i := range o.file {
		o.file[i] = -1
	}
	return o
}

// next gives the place of a row in its session; 0, not known, outside any.
func (o *orders) next(session, file int32) int32 {
	if session < 0 {
		return 0
	}
	if o.file[session] >= 0 && o.file[session] != file {
		o.mixed[session] = true
	}
	o.file[session] = file
	o.last[session]++
	return o.last[session]
}

// stated notes a row of a file that has a column order. When an excluded one was
// made, nothing needs to know.
func (o *orders) stated(session, order int32, excluded bool) {
	if session < 0 || excluded {
		return
	}
	o.rows[session]++
	if order == 0 {
		o.open[session]++
	}
}

// count takes over what was noted of a part of a file.
func (o *orders) count(part *orders) {
	for session := range part.rows {
		o.rows[session] += part.rows[session]
		o.open[session] += part.open[session]
	}
}

// follow takes the rows of one file that were counted by themselves, behind
// those counted so far.
func (o *orders) follow(part *orders, file int32, readings []Reading) {
	for i := range readings {
		if r := &readings[i]; r.Session >= 0 {
			r.Order += o.last[r.Session]
		}
	}
	for session, n := range part.last {
		if n == 0 {
			continue
		}
		if o.file[session] >= 0 && o.file[session] != file {
			o.mixed[session] = true
		}
		o.file[session] = file
		o.last[session] += n
	}
}

// report says where the order is only assumed, or not known, and marks the
// sessions of which it is stated.
func (o *orders) report(l *loader) {
	for i, s := range l.p.Sessions {
		s.Ordered = o.rows[i] > o.open[i] && o.last[i] == 0
	}
	for i, mixed := range o.mixed {
		if mixed {
			s := l.p.Sessions[i]
			l.reportAt("order-assumed", schema.Notice, s.Place, 0, fmt.Sprintf("the readings of the session %q stand in several files without a column order; they are taken to follow one another file by file", s.ID),
				`add a column "order": 1, 2, 3 … as the runs were made`).Sessions = []string{s.ID}
		}
	}
	for i, n := range o.open {
		if n > 0 {
			s := l.p.Sessions[i]
			l.reportAt("order-open", schema.Notice, s.Place, 0, fmt.Sprintf("nothing says when %d of %s of the session %q were read, so that no drift is looked for in them", n, countOf(int(o.rows[i]), "row"), s.ID),
				`write 1, 2, 3 … in the column "order", as the runs were made`).Sessions = []string{s.ID}
		}
	}
}

// frameFile holds what is taken from a file of frame times.
type frameFile struct {
	values [len(frameStatistics)]float64
	good   bool
	column string // that was read; empty for a file without columns
	frames int
	// milliseconds that all frames took.
	milliseconds float64
	sum          [sha256.Size]byte // of the times; nothing when they are all the same
}

// statistic finds a figure of a file that was read.
func (f frameFile) statistic(name string) (float64, bool) {
	for i, s := range frameStatistics {
		if s == name {
			return f.values[i], f.good
		}
	}
	return 0, false
}

// frameFileOf reads a file of frame times once, by the column that the first
// workload names; wrongName is asked to report what is wrong with the name.
func (l *loader) frameFileOf(path, column string, read map[string]frameFile, wrongName func(message, remedy string)) (frameFile, bool) {
	if f, ok := read[path]; ok {
		return f, f.good
	}
	f := frameFile{column: column}
	times, findings := l.p.FrameTimes(path, column)
	switch {
	case len(findings) == 1 && findings[0].Rule == "missing-file":
		wrongName(fmt.Sprintf("there is no file of frame times %q", path), findings[0].Remedy)
		return f, false
	case len(findings) > 0:
		l.findings = append(l.findings, findings...)
	default:
		f.good, f.frames, f.milliseconds, f.sum = true, len(times), sum(times), sumOfTimes(times)
		for i, name := range frameStatistics {
			v, ok := FrameStatistic(name, times)
			f.values[i] = v
			f.good = f.good && ok
		}
	}
	read[path] = f
	return f, f.good
}

// addFrames appends a reading whose cell names a file of frame times.
func (r *rows) addFrames(reading Reading, w *Workload, column int, text string) {
	path := strings.TrimPrefix(strings.Clone(text), "./") // the row is about to be used again
	if !strings.HasPrefix(path, "frames/") {
		path = "frames/" + path
	}
	r.frames.named[path] = true
	f, ok := r.frameFileOf(path, w.FrameColumn, r.frames.read, func(message, remedy string) {
		before := len(r.findings)
		if r.fault("missing-file", schema.Error, column, message, remedy); len(r.findings) > before {
			r.frames.missing = append(r.frames.missing, missingFrames{before, path})
		}
	})
	if !ok {
		return
	}
	if f.column != w.FrameColumn {
		r.fault("frame-column-twice", schema.Error, column, fmt.Sprintf("%s was read by another column already, and one file gives the times of one", path), "give this workload frames-of and no frame-column, or files of its own")
		return
	}
	r.frames.few(r.loader, path, f, w)
	raw, _ := f.statistic(w.FrameTimes)
	v, ok := w.RawUnit.Convert(raw, w.Unit)
	if !ok {
		return
	}
	reading.HasValue, reading.Value, reading.Raw = true, v, raw
	reading.written = r.texts.keep(path)
	r.out = append(r.out, reading)
}

// worse ranks outcomes: a run is as good as its worst part. An exclusion
// outranks an unstable run, whose value would still count.
func worse(a, b Outcome) bool {
	rank := [...]int{OK: 0, Unstable: 1, Excluded: 2, Crashed: 3, Hung: 4, DidNotStart: 5}
	return rank[a] > rank[b]
}

// failed tells a run that gave nothing to compute with.
func (o Outcome) failed() bool { return o == DidNotStart || o == Hung || o == Crashed }
