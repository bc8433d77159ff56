package project

import (
	"cmp"
	"fmt"
	"runtime"
	"slices"

	"benchwright/cores"
	"benchwright/schema"
)

// run is one pass over a configuration: readings of it belong together.
type run struct{ session, repeat int32 }

// indexReadings groups the readings by configuration and workload, in linear
// time and without a map.
func (p *Project) indexReadings() {
	cells := len(p.Configurations) * len(p.Workloads)
	start := make([]int, cells+1)
	for i := range p.Readings {
		start[p.cell(&p.Readings[i])+1]++
	}
	for c := range cells {
		start[c+1] += start[c]
	}
	list := make([]int, len(p.Readings))
	next := slices.Clone(start[:cells])
	for i := range p.Readings {
		c := p.cell(&p.Readings[i])
		list[next[c]] = i
		next[c]++
	}
	p.cellStart, p.cellReadings = start, list
}

func (p *Project) cell(r *Reading) int {
	return int(r.Configuration)*len(p.Workloads) + int(r.Workload)
}

// Index makes the look-ups by id and ReadingsOf work for a project that was
// put together by hand. Load has done it already.
func (p *Project) Index() {
	p.factorAt = indexBy(p.Factors, func(x *Factor) string { return x.ID })
	p.workloadAt = indexBy(p.Workloads, func(x *Workload) string { return x.ID })
	p.configAt = indexBy(p.Configurations, func(x *Configuration) string { return x.ID })
	p.sessionAt = indexBy(p.Sessions, func(x *Session) string { return x.ID })
	p.questionAt = indexBy(p.Questions, func(x *Question) string { return x.ID })
	p.instrumentAt = indexBy(p.Instruments, func(x *Instrument) string { return x.ID })
	if p.units == nil {
		p.units = standard()
	}
	p.indexReadings()
}

func indexBy[T any](list []*T, id func(*T) string) map[string]int {
	index := make(map[string]int, len(list))
	for i, x := range list {
		if _, taken := index[id(x)]; !taken {
			index[id(x)] = i
		}
	}
	return index
}

// finishReadings numbers repeats, and drops readings that are there twice.
func (l *loader) finishReadings() {
	p := l.p
	p.indexReadings()
	var drop []int
	alike := map[string]int{}
	for _, d := range p.numberAll() {
		drop = append(drop, d.again)
		first, again := &p.Readings[d.first], &p.Readings[d.again]
		path := p.ResultFiles[again.File]
		if alike[path]++; alike[path] <= mostAlike {
			l.duplicateReading(*first, *again)
		}
	}
	for _, path := range sortedKeys(alike) {
		if n := alike[path]; n > mostAlike {
			l.reportAt("duplicate-reading", schema.Error, schema.Place{File: path}, 0, fmt.Sprintf("there are %d more findings like these in this file", n-mostAlike), "set the first ones right and check again")
		}
	}
	if len(drop) == 0 {
		return
	}
	slices.Sort(drop)
	kept, d := p.Readings[:0], 0
	for i, r := range p.Readings {
		if d < len(drop) && drop[d] == i {
			d++
			continue
		}
		kept = append(kept, r)
	}
	p.Readings = kept
	p.indexReadings()
}

// duplicate is a reading that is there a second time.
type duplicate struct{ first, again int }

// numberAll numbers the repeats of every configuration and workload and gives
// the readings that are there twice, in the order of the configurations and
// workloads. The cells have nothing to do with each other, so that many are
// worked on side by side.
func (p *Project) numberAll() []duplicate {
	cells := len(p.cellStart) - 1
	n := max(1, min(runtime.GOMAXPROCS(0), len(p.Readings)/10_000))
	found := make([][]duplicate, n)
	var all cores.Group
	for k := range n {
		all.Go(func() {
			var keys []runKey
			for c := cells * k / n; c < cells*(k+1)/n; c++ {
				list := p.cellReadings[p.cellStart[c]:p.cellStart[c+1]]
				p.numberRepeats(list)
				keys = keys[:0]
				for _, i := range list {
					r := &p.Readings[i]
					keys = append(keys, runKey{uint64(uint32(r.Session))<<32 | uint64(uint32(r.Repeat)), i})
				}
				found[k] = append(found[k], duplicates(keys)...)
			}
		})
	}
	all.Wait()
	return slices.Concat(found...)
}

// runKey is the run of a reading, session and repeat in one number.
type runKey struct {
	run     uint64
	reading int
}

// duplicates finds the keys of one cell that are there before; it sorts them.
func duplicates(keys []runKey) (found []duplicate) {
	byRun := func(a, b runKey) int { return cmp.Or(cmp.Compare(a.run, b.run), cmp.Compare(a.reading, b.reading)) }
	if !slices.IsSortedFunc(keys, byRun) {
		slices.SortFunc(keys, byRun)
	}
	for k, first := 1, 0; k < len(keys); k++ {
		if keys[k].run != keys[first].run {
			first = k
			continue
		}
		found = append(found, duplicate{keys[first].reading, keys[k].reading})
	}
	return found
}

// numberRepeats numbers the readings of a configuration and workload that have
// no repeat: within each session, in the order in which they appear, with the
// numbers that no other reading has. So it makes no difference which of two
// files is read first, one with a column repeat and one without.
func (p *Project) numberRepeats(list []int) {
	if !slices.ContainsFunc(list, func(i int) bool { return p.Readings[i].Repeat == 0 }) {
		return
	}
	given := map[run]bool{}
	for _, i := range list {
		if r := &p.Readings[i]; r.Repeat > 0 {
			given[run{r.Session, r.Repeat}] = true
		}
	}
	last := map[int32]int32{} // by session
	for _, i := range list {
		r := &p.Readings[i]
		if r.Repeat > 0 {
			continue
		}
		n := last[r.Session] + 1
		for given[run{r.Session, n}] {
			n++
		}
		r.Repeat, last[r.Session] = n, n
	}
}

func (l *loader) duplicateReading(first, second Reading) {
	p := l.p
	c, w := p.Configurations[second.Configuration].ID, p.Workloads[second.Workload].ID
	where := ""
	if second.Session >= 0 {
		where = fmt.Sprintf(" in session %q", p.Sessions[second.Session].ID)
	}
	f := l.reportAt("duplicate-reading", schema.Error, p.Place(second), 0, fmt.Sprintf("repeat %d of %q on %q%s is here a second time", second.Repeat, w, c, where),
		"number the repeats, or take one of the two out", schema.Related{Place: p.Place(first), Message: "first read here"})
	f.Configurations, f.Workloads = []string{c}, []string{w}
}

// deriveReadings computes the readings of workloads that are never read: from
// the frame times of another workload, or from the readings of the same run.
func (l *loader) deriveReadings() {
	p := l.p
	l.finishReadings()
	read, before := map[string]frameFile{}, len(p.Readings)
	for _, w := range p.Workloads {
		if w.FramesOf != "" {
			l.shareFrames(w, read)
		}
	}
	if len(p.Readings) > before {
		p.indexReadings()
	}
	for _, i := range l.derivedOrder() {
		l.derive(p.Workloads[i])
		p.indexReadings()
	}
}

// shareFrames takes another figure from the files that another workload names.
func (l *loader) shareFrames(w *Workload, read map[string]frameFile) {
	p := l.p
	of := p.Workload(w.FramesOf)
	for c := range p.Configurations {
		for _, i := range p.ReadingsOf(c, of.Index) {
			r := p.Readings[i]
			r.Workload, r.Derived = int32(w.Index), true
			if r.HasValue {
				f, ok := l.frameFileOf(p.Written(&r), of.FrameColumn, read, func(string, string) {})
				if !ok {
					continue
				}
				raw, _ := f.statistic(w.FrameTimes)
				if r.Value, ok = w.RawUnit.Convert(raw, w.Unit); !ok {
					continue
				}
				r.Raw = raw
			}
			p.Readings = append(p.Readings, r)
		}
	}
}

// derivedOrder lists the derived workloads, parts before what they are part of.
func (l *loader) derivedOrder() []int {
	var order []int
	done := make([]bool, len(l.p.Workloads))
	var visit func(i int)
	visit = func(i int) {
		if done[i] {
			return
		}
		done[i] = true
		for _, part := range l.p.partsOf(i) {
			visit(part)
		}
		if f := l.p.Workloads[i].Derived; f != nil && len(f.Times)+len(f.Over) > 0 {
			order = append(order, i)
		}
	}
	for i := range l.p.Workloads {
		visit(i)
	}
	return order
}

// derive computes a workload for every run in which its parts were read.
func (l *loader) derive(w *Workload) {
	p := l.p
	parts := p.partsOf(w.Index)
	incomplete := 0
	var example Reading
	missing := -1
	for c := range p.Configurations {
		// A part that was never read on the configuration, or that never ended
		// well there, is not missing by mistake.
		expected := !slices.ContainsFunc(parts, func(part int) bool {
			return !slices.ContainsFunc(p.ReadingsOf(c, part), func(i int) bool { return p.Readings[i].HasValue })
		})
		var runs []run
		found := map[run][]int{} // by run: a reading of each part, −1 for none
		for k, part := range parts {
			for _, i := range p.ReadingsOf(c, part) {
				key := run{p.Readings[i].Session, p.Readings[i].Repeat}
				list := found[key]
				if list == nil {
					list = slices.Repeat([]int{-1}, len(parts))
					found[key] = list
					runs = append(runs, key)
				}
				list[k] = i
			}
		}
		for _, key := range runs {
			reading, lacks := l.deriveRun(w, parts, found[key])
			if lacks == nothing {
				continue
			}
			if lacks >= 0 {
				if expected {
					if incomplete++; incomplete == 1 {
						example, missing = reading, lacks
					}
				}
				continue
			}
			p.Readings = append(p.Readings, reading)
		}
	}
	if incomplete > 0 && !l.faultyResults() {
		l.reportAt("incomplete-run", schema.Notice, w.Place, len(w.ID), fmt.Sprintf("%q cannot be computed for %s, because other parts of the run were not read: the first is on %q, where %q is missing",
			w.ID, countOf(incomplete, "run"), p.Configurations[example.Configuration].ID, p.Workloads[missing].ID),
			"give readings of one run the same session and repeat", schema.Related{Place: p.Place(example), Message: "read in that run"}).Workloads = []string{w.ID}
	}
}

// faultyResults tells whether rows were left out because of errors: what is
// missing from runs is then no news.
func (l *loader) faultyResults() bool {
	return slices.ContainsFunc(l.findings, func(f schema.Finding) bool {
		return f.Severity == schema.Error && slices.Contains(l.p.ResultFiles, f.File)
	})
}

func countOf(n int, one string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %ss", n, one)
}

// nothing says that a run gives no reading, for a reason that was reported or
// that a person has given.
const nothing = -2

// deriveRun computes one reading; lacks is the workload that the run does not
// have, −1 when the reading can stand.
func (l *loader) deriveRun(w *Workload, parts, readings []int) (reading Reading, lacks int) {
	p := l.p
	lacks = -1
	worst := -1
	values := map[int]float64{}
	complete := true
	for k, i := range readings {
		if i < 0 {
			lacks = parts[k]
			complete = false
			continue
		}
		r := &p.Readings[i]
		if worst < 0 || worse(r.Outcome, p.Readings[worst].Outcome) {
			worst = i
		}
		complete = complete && r.HasValue
		values[parts[k]] = r.Value
	}
	reading = p.Readings[worst]
	reading.Workload, reading.Derived = int32(w.Index), true
	reading.HasValue, reading.Value, reading.Raw, reading.written = false, 0, 0, 0
	if !complete {
		switch {
		case reading.Outcome.failed():
			lacks = -1
		case reading.Outcome == Excluded && lacks >= 0:
			lacks = nothing // left out on purpose, and somebody has said why
		}
		return reading, lacks
	}
	bad := ""
	v, ok := w.Derived.evaluate(w.Unit, func(t *Term) (float64, Unit, bool) {
		if t.Kind == WorkloadTerm {
			return values[t.Index], t.Unit, true
		}
		value := l.valueIn(int(reading.Configuration), int(reading.Session), t.Index)
		if value.State != Known || !value.Numeric {
			bad = t.Name
			return 0, Unit{}, false
		}
		return value.Number, t.Unit, true
	})
	if !ok {
		message, remedy := fmt.Sprintf("%q cannot be computed for this run: it comes out infinite", w.ID), "check for a reading of zero that something is divided by"
		if bad != "" {
			message, remedy = fmt.Sprintf("%q cannot be computed for this run: the factor %q is not known in %q", w.ID, bad, p.Configurations[reading.Configuration].ID), "state the factor's value"
		}
		l.reportAt("not-a-number", schema.Error, p.Place(reading), 0, message, remedy).Workloads = []string{w.ID}
		return reading, nothing
	}
	reading.HasValue, reading.Value, reading.Raw = true, v, v
	return reading, -1
}
