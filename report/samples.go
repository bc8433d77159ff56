package report

import (
	"cmp"
	"math"
	"slices"
	"strings"
	"sync"
	"sync/atomic"

	"benchwright/design"
	"benchwright/project"
	"benchwright/stats"
	"benchwright/words"
)

// spread says where the uncertainty of a sample's centre comes from.
type spread uint8

const (
	noSpread       spread = iota // one reading and nothing to borrow
	ownSpread                    // the cell's own repeats
	stepSpread                   // all readings equal: the instrument's step is all there is
	borrowedSpread               // one reading, spread of the workload's other cells
	carriedSpread                // propagated from the workloads that it is computed from
)

// observation is one ok reading.
type observation struct {
	session int32
	value   float64
}

// sample is one cell as the figures see it. Its observations are ordered by
// session and value, so that nothing depends on the order of rows.
type sample struct {
	seen   []observation
	values []float64 // the same, ascending
	// logs are the logarithms of seen on a ratio scale, with their mean; nil
	// when a value is not positive.
	logs    []float64
	meanLog float64
	// blocks counts seen by session; nil when some belong to none.
	blocks []sessionCount
	n      int
	stats.Summary
	centre    float64
	logCentre float64 // of a usable centre on a ratio scale
	// se is the standard error of the centre on the scale on which the workload
	// is compared: of ln centre for ratio scales, in the unit for interval
	// scales. df 0: taken as known.
	se, df float64
	// spread tells where se is from.
	spread spread
	// shares is what each of the blocks counts for in the centre; nil where it is
	// that of its readings.
	shares []float64
	// usable: there is a centre and, on a ratio scale, it is positive.
	usable bool
}

// pool is the spread that a workload's cells have in common.
type pool struct {
	sd, df float64 // relative on ratio scales, in the unit on interval scales
	groups int
}

// working is what figures are computed from; it is kept with the report so
// that any configuration can be the baseline later. It does not change after
// Build, so goroutines may share it.
type working struct {
	p *project.Project
	// sittings knows in which sessions a configuration was one and the same.
	sittings *design.Sittings
	say      *words.Book
	num      numbers
	level    float64
	// samples has a row per configuration and a column per workload.
	samples [][]sample
	pools   []pool
	// lent is the spread that cells of one reading borrow: that within cells and
	// sessions where enough is known of it, so that what sessions differ by is not
	// in it, else the pool.
	lent []pool
	// parts lists, of a computed workload, the workloads that it is computed
	// from, in the order of its formula.
	parts [][]factorOf
	// runs lists, by workload, those whose runs its readings come from.
	runs [][]int
	// twice lists, by workload, the configurations that were read in two sessions
	// or more: those through which others can be compared.
	twice [][]int
	// beside holds the sides of every cell and the baseline's, by configuration
	// and workload, since most comparisons ask for them; nil before they are made.
	beside [][]twoSides
	// step is the instrument's step per workload in its unit: the declared
	// resolution, else the last digit that anyone wrote; 0 if neither is known.
	step []float64
	// declared is the declared resolution alone, which decides verdicts.
	declared []float64
	// failure is the worst outcome of a cell's runs, a workload after another for
	// each configuration; OK where nothing failed or was excluded.
	failure []project.Outcome
	// models are those of all factors at once, one per ratio-scale workload
	// that allows one.
	models []*fitted
	// critical holds Student's quantile for small whole degrees of freedom, the
	// normal's at 0, as bits; 0 where nobody has asked yet. The one thing that
	// changes after Build, and safely so: whoever computes one gets the same.
	critical [129]atomic.Uint64
	// long are the long lists of the record, made when somebody first asks.
	long struct {
		sync.Once
		lists *longLists
	}
	// detectable holds, by degrees of freedom, the smallest effect to be seen in
	// standard errors; written by Build alone.
	detectable map[float64]float64
	// spanParts is the phrase of a range cut at its gaps.
	spanParts [3]string
}

func newWorking(p *project.Project, sittings *design.Sittings, b *words.Book, level float64) *working {
	k := &working{p: p, sittings: sittings, say: b, num: newNumbers(b), level: level, runs: runsOf(p), detectable: map[float64]float64{}}
	k.spanParts = cutSpan(b.Say("figure.range"))
	k.step = make([]float64, len(p.Workloads))
	k.pools = make([]pool, len(p.Workloads))
	k.lent = make([]pool, len(p.Workloads))
	k.declared = make([]float64, len(p.Workloads))
	for w, workload := range p.Workloads {
		k.declared[w] = declaredResolution(p, workload)
		k.step[w] = k.declared[w]
	}
	k.collect()
	inFew(len(p.Workloads), k.summarise)
	for w := range p.Workloads {
		k.pool(w)
	}
	k.carry()
	k.twice = make([][]int, len(p.Workloads))
	for c := range k.samples {
		for w := range k.samples[c] {
			if s := &k.samples[c][w]; len(s.blocks) > 1 && s.usable {
				k.twice[w] = append(k.twice[w], c)
			}
		}
	}
	k.fillBeside()
	return k
}

// Step is the smallest difference that readings of a workload show, in its
// unit: the declared resolution, its own or its instrument's, or where there is
// none the last digit that anyone wrote; 0 for neither. declared is the first.
func (r *Report) Step(workload int) (step, declared float64) {
	return r.work.step[workload], r.work.declared[workload]
}

// declaredResolution is the workload's own, else its instrument's where that
// measures in a unit of the same dimension.
func declaredResolution(p *project.Project, w *project.Workload) float64 {
	if w.Resolution > 0 && isFinite(w.Resolution) {
		return w.Resolution
	}
	if w.Reading != nil {
		return 0 // the instrument's step is in the raw unit
	}
	for _, i := range p.Instruments {
		if i.ID == w.Instrument && i.Resolution > 0 && i.Measures.Dimension == w.Unit.Dimension {
			if s := i.Resolution * unitFactor(i.Measures) / unitFactor(w.Unit); isFinite(s) {
				return s
			}
		}
	}
	return 0
}

// unitFactor is the unit's size in the coherent unit; a bare count has 1.
func unitFactor(u project.Unit) float64 {
	if u.Factor == 0 {
		return 1
	}
	return u.Factor
}

func isFinite(v ...float64) bool {
	for _, x := range v {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return false
		}
	}
	return true
}

// collect sorts the ok readings into cells, and finds the last written digit
// of workloads without a declared resolution.
func (k *working) collect() {
	p := k.p
	nw := len(p.Workloads)
	k.samples = make([][]sample, len(p.Configurations))
	cells := make([]sample, len(p.Configurations)*nw)
	for c := range k.samples {
		k.samples[c] = cells[c*nw : (c+1)*nw : (c+1)*nw]
	}
	count := make([]int, len(cells))
	k.failure = make([]project.Outcome, len(cells))
	good := func(rd *project.Reading) bool {
		return rd.Outcome == project.OK && rd.HasValue && isFinite(rd.Value)
	}
	total := 0
	for i := range p.Readings {
		if rd := &p.Readings[i]; good(rd) {
			count[int(rd.Configuration)*nw+int(rd.Workload)]++
			total++
		}
	}
	seen := make([]observation, total)
	values := make([]float64, total)
	at := 0
	for i := range cells {
		end := at + count[i]
		cells[i].seen = seen[at:at:end]
		cells[i].values = values[at:end:end]
		at = end
	}
	for i := range p.Readings {
		rd := &p.Readings[i]
		if !good(rd) {
			if f := &k.failure[int(rd.Configuration)*nw+int(rd.Workload)]; worse(rd.Outcome, *f) {
				*f = rd.Outcome
			}
			continue
		}
		s := &cells[int(rd.Configuration)*nw+int(rd.Workload)]
		s.seen = append(s.seen, observation{rd.Session, rd.Value + 0}) // −0 becomes 0
		if w := int(rd.Workload); k.declared[w] == 0 && !rd.Derived && p.Workloads[w].Reading == nil {
			if step := k.lastDigit(rd); step > 0 && (k.step[w] == 0 || step < k.step[w]) {
				k.step[w] = step
			}
		}
	}
	logs := make([]float64, total)
	blocks := make([]sessionCount, 0, min(total, 4*len(cells)))
	at = 0
	for i := range cells {
		s := &cells[i]
		s.n = len(s.seen)
		slices.SortFunc(s.seen, func(a, b observation) int {
			return cmp.Or(cmp.Compare(a.session, b.session), cmp.Compare(a.value, b.value))
		})
		for j, o := range s.seen {
			s.values[j] = o.value
		}
		slices.Sort(s.values)
		if p.Workloads[i%nw].Scale == project.RatioScale && s.n > 0 && s.values[0] > 0 {
			s.logs = logs[at : at+s.n : at+s.n]
			at += s.n
			for j, o := range s.seen {
				s.logs[j] = math.Log(o.value)
				s.meanLog += s.logs[j] / float64(s.n)
			}
		}
		from := len(blocks)
		blocks = countSessions(s, blocks)
		s.blocks = blocks[from:len(blocks):len(blocks)]
	}
}

// worse ranks outcomes for a cell without a value: a failure says more than an
// exclusion.
func worse(a, b project.Outcome) bool {
	if b == project.Excluded {
		return a != project.Excluded && a != project.OK
	}
	return b == project.OK || a != project.Excluded && a > b
}

// lastDigit is the size of the last digit of a reading as it was written, in
// the workload's unit.
func (k *working) lastDigit(rd *project.Reading) float64 {
	if decimals, ok := k.p.Decimals(rd); ok {
		return inUnit(math.Pow10(-decimals), rd.Raw, rd.Value)
	}
	return writtenStep(k.p.Written(rd), rd.Raw, rd.Value)
}

// writtenStep is the size of the last digit of a number as it was written: 1
// for "76", 0.1 for "12.9". 0 for what is written with an exponent. raw is the
// number, and value what it is in the workload's unit, in which the step comes.
func writtenStep(text string, raw, value float64) float64 {
	text = strings.TrimSpace(text)
	end := strings.IndexFunc(text, func(c rune) bool { return !strings.ContainsRune("+-−0123456789.,", c) })
	if end >= 0 {
		if c := text[end]; c == 'e' || c == 'E' {
			return 0
		}
		text = text[:end]
	}
	if text == "" {
		return 0
	}
	step := 1.0
	if mark := strings.LastIndexAny(text, ".,"); mark >= 0 {
		step = math.Pow10(-(len(text) - mark - 1))
	}
	return inUnit(step, raw, value)
}

// inUnit brings a step of raw into the unit of value; 0 when it has no size.
func inUnit(step, raw, value float64) float64 {
	if raw != 0 && raw != value {
		step *= math.Abs(value / raw) // a cell in a unit of its own
	}
	if !isFinite(step) {
		return 0
	}
	return step
}

// summarise describes every cell of a workload from its own readings.
func (k *working) summarise(w int) {
	for c := range k.samples {
		k.describe(&k.samples[c][w], w, k.step[w])
	}
}

// describe finds centre and spread of a sample of a workload from its readings,
// which were written in the given steps.
func (k *working) describe(s *sample, w int, step float64) {
	workload := k.p.Workloads[w]
	if s.n == 0 {
		return
	}
	var err error
	if s.Summary, err = stats.Summarise(s.values); err != nil {
		s.n, s.seen, s.values = 0, nil, nil // beyond what a double can hold: no figure
		return
	}
	s.centre = s.Mean
	if workload.Centre == project.Median {
		s.centre = s.Median
	}
	s.usable = workload.Scale == project.IntervalScale || s.centre > 0
	if s.usable && workload.Scale == project.RatioScale {
		s.logCentre = math.Log(s.centre)
	}
	if !s.usable || s.n < 2 {
		return
	}
	se, df, from := k.ownError(s, w, step)
	if workload.Scale == project.RatioScale {
		se /= s.centre
	}
	if from != noSpread && isFinite(se) && se > 0 {
		s.se, s.df, s.spread = se, df, from
	}
}

// medianInflation is the factor by which the standard error of a median
// exceeds that of a mean for normal readings, √(π/2): exact for many readings
// and a little too wide for few (M. G. Kendall, A. Stuart, "The Advanced Theory
// of Statistics", vol. 1, 14.10; from memory).
const medianInflation = 1.2533141373155001

// ownError is the standard error of the centre in the unit of the readings.
// Where repeats scatter by less than half the instrument's step, its rounding
// (step/√12, JCGM 100:2008, F.2.2.1) is what limits the mean, however many
// repeats agree.
func (k *working) ownError(s *sample, w int, step float64) (se, df float64, from spread) {
	se = s.SD / math.Sqrt(float64(s.n))
	if k.p.Workloads[w].Centre == project.Median {
		se *= medianInflation
	}
	df, from = float64(s.n-1), ownSpread
	if s.SD < step/2 {
		if rounding := step / math.Sqrt(12); rounding > se {
			return rounding, 0, stepSpread
		}
	}
	if se == 0 {
		return 0, 0, noSpread
	}
	return se, df, from
}

// pool finds the spread that a workload's repeated cells have in common and
// lends it to the cells with one reading.
func (k *working) pool(w int) {
	workload := k.p.Workloads[w]
	var sum stats.Accumulator
	var p pool
	for c := range k.samples {
		s := &k.samples[c][w]
		if s.n < 2 || !s.usable || !s.HasSD {
			continue
		}
		sd := s.SD
		if workload.Scale == project.RatioScale {
			sd /= s.centre
		}
		if v := float64(s.n-1) * sd * sd; isFinite(v) {
			sum.Add(v)
			p.df += float64(s.n - 1)
			p.groups++
		}
	}
	total, err := sum.Sum()
	if p.groups == 0 || err != nil {
		return
	}
	p.sd = math.Sqrt(total / p.df)
	k.pools[w] = p
	k.lent[w] = k.withinCells(w)
	if k.lent[w].df < enoughToLend {
		k.lent[w] = p
	}
	for c := range k.samples {
		k.borrow(&k.samples[c][w], w)
	}
}

// enoughToLend is the degrees of freedom from which the spread within sessions is
// known well enough: with fewer, Student's t widens an interval more than what the
// sessions differ by usually does.
const enoughToLend = 3

// withinCells is the spread of a workload's readings about their means by cell and
// session.
func (k *working) withinCells(w int) pool {
	var sum stats.Accumulator
	var p pool
	for c := range k.samples {
		s := &k.samples[c][w]
		if !s.usable {
			continue
		}
		at := 0
		for _, b := range s.blocks {
			mean := 0.0
			for _, o := range s.seen[at : at+b.n] {
				mean += o.value / float64(b.n)
			}
			for _, o := range s.seen[at : at+b.n] {
				d := o.value - mean
				if k.p.Workloads[w].Scale == project.RatioScale {
					d /= mean
				}
				if v := d * d; b.n > 1 && isFinite(v) {
					sum.Add(v)
				}
			}
			p.df += float64(b.n - 1)
			at += b.n
		}
	}
	if total, err := sum.Sum(); err == nil && p.df > 0 {
		p.sd = math.Sqrt(total / p.df)
	}
	if !(p.sd > 0) || !isFinite(p.sd) {
		return pool{}
	}
	return p
}

// borrow gives a sample of one reading the spread of its workload's pool.
func (k *working) borrow(s *sample, w int) {
	if p := k.lent[w]; s.n == 1 && s.usable && p.sd > 0 {
		s.se, s.df, s.spread = p.sd, p.df, borrowedSpread
	}
}

// sumOf adds independent estimates: variances add, degrees of freedom after
// Satterthwaite (Biometrics Bulletin 2, 1946).
func sumOf(list []stats.Estimate) stats.Estimate {
	var value, variance, lack, high float64
	for _, e := range list {
		high = math.Max(high, e.SE)
	}
	if high == 0 {
		high = 1
	}
	for _, e := range list {
		value += e.Value
		v := e.SE / high * (e.SE / high)
		variance += v
		if e.DF > 0 {
			lack += v * v / e.DF
		}
	}
	df := 0.0
	if lack > 0 {
		df = variance * variance / lack
	}
	return stats.Estimate{Value: value, SE: high * math.Sqrt(variance), DF: df}
}
