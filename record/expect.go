package record

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"benchwright/project"
	"benchwright/schema"
	"benchwright/stats"
)

// Expectation is what a reading should be near, judging by the others. It is a
// rule of thumb for asking back, not a test: nothing is refused for good, and
// nothing published depends on it.
type Expectation struct {
	// Known is false when there is nothing to judge by.
	Known bool
	// Low to High holds what would surprise nobody, Middle is in the middle;
	// in the unit in which the workload is shown.
	Low, Middle, High float64
	// Repeats counts readings of the cell itself; 0 when the expectation comes
	// from other configurations.
	Repeats int
	// From lists those configurations.
	From []int
}

// What surprises nobody. Common practice, no source.
const (
	usualShare  = 0.1 // of the middle, either way, for repeats of one cell
	usualSpread = 5   // standard deviations
	usualStep   = 2   // a factor, beyond what the nearest configurations gave
	slipBound   = 8   // a factor: a decimal point out of place is always beyond it
)

// Expect says what a reading of a workload on a configuration should be near:
// its own repeats when there are any, otherwise the readings of the
// configurations that differ from it in the fewest factors.
func Expect(p *project.Project, configuration, workload int) Expectation {
	return newJudge(p).expect(configuration, workload, nil)
}

// judge remembers what several expectations need.
type judge struct {
	p       *project.Project
	middles map[int][]middle
}

// middle is the median of a cell; has is false when there are no readings.
type middle struct {
	value float64
	has   bool
}

func newJudge(p *project.Project) *judge { return &judge{p, map[int][]middle{}} }

// of gives the middle of every configuration under a workload.
func (j *judge) of(workload int) []middle {
	if all, ok := j.middles[workload]; ok {
		return all
	}
	all := make([]middle, len(j.p.Configurations))
	for c := range all {
		m, err := stats.Median(values(j.p, c, workload))
		all[c] = middle{m, err == nil}
	}
	j.middles[workload] = all
	return all
}

// expect takes further readings of the cell into account.
func (j *judge) expect(configuration, workload int, more []float64) Expectation {
	w := j.p.Workloads[workload]
	e := j.unbounded(w, configuration, workload, more)
	if w.HasLeast {
		e.Low = max(e.Low, w.Least)
	}
	if w.HasMost {
		e.High = min(e.High, w.Most)
	}
	e.Known = e.Known && e.Low < e.High
	return e
}

// unbounded leaves out of account what is possible at all.
func (j *judge) unbounded(w *project.Workload, configuration, workload int, more []float64) Expectation {
	if own := append(values(j.p, configuration, workload), more...); len(own) > 0 {
		return around(own, w)
	}
	near := j.nearest(configuration, workload)
	var all []float64
	for _, c := range near {
		all = append(all, j.of(workload)[c].value)
	}
	m, err := stats.Median(all)
	if err != nil {
		return Expectation{}
	}
	low, high := slices.Min(all), slices.Max(all)
	e := Expectation{Known: true, Middle: m, From: near}
	if w.Scale == project.RatioScale && low > 0 {
		e.Low, e.High = low/usualStep, high*usualStep
	} else {
		half := max(j.span(workload), 0.5*math.Abs(m), 10*w.Resolution)
		e.Low, e.High = low-half, high+half
	}
	return e
}

// around is what repeats of one cell make expected.
func around(own []float64, w *project.Workload) Expectation {
	m, err := stats.Median(own)
	if err != nil {
		return Expectation{}
	}
	half := max(usualShare*math.Abs(m), 3*w.Resolution)
	if s, err := stats.SD(own); err == nil && len(own) > 2 {
		half = max(half, usualSpread*s)
	}
	e := Expectation{Known: half > 0, Low: m - half, Middle: m, High: m + half, Repeats: len(own)}
	if w.Scale == project.RatioScale && m > 0 {
		e.Low, e.High = max(e.Low, m/slipBound), min(e.High, m*slipBound)
	}
	return e
}

// span is how far the configurations lie apart under a workload.
func (j *judge) span(workload int) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for _, m := range j.of(workload) {
		if m.has {
			low, high = min(low, m.value), max(high, m.value)
		}
	}
	if low > high {
		return 0
	}
	return high - low
}

// nearest lists the configurations with readings of a workload that differ from
// one in the fewest factors that are studied or held.
func (j *judge) nearest(configuration, workload int) []int {
	var out []int
	least := math.MaxInt
	own := j.p.Configurations[configuration].Values
	for c, m := range j.of(workload) {
		if c == configuration || !m.has {
			continue
		}
		n := 0
		for f, factor := range j.p.Factors {
			if factor.Role == project.Studied || factor.Role == project.Held {
				if !sameLevel(own[f].Value, j.p.Configurations[c].Values[f].Value) {
					n++
				}
			}
		}
		if n < least {
			least, out = n, nil
		}
		if n == least {
			out = append(out, c)
		}
	}
	return out
}

func sameLevel(a, b project.Value) bool {
	switch {
	case a.State != b.State || a.Numeric != b.Numeric:
		return false
	case a.State != project.Known:
		return true
	case a.Numeric:
		return a.Number == b.Number
	}
	return a.Text == b.Text
}

// values are the ok readings of a cell.
func values(p *project.Project, configuration, workload int) []float64 {
	var out []float64
	for _, i := range p.ReadingsOf(configuration, workload) {
		if r := &p.Readings[i]; r.Outcome == project.OK && r.HasValue {
			out = append(out, r.Value)
		}
	}
	return out
}

// Doubt is a reading that is asked about before it is written down.
type Doubt struct {
	// Index in Addition.Added.
	Index int
	// Value is the reading in the unit in which the workload is shown.
	Value    float64
	Expected Expectation
	// Slip is the factor, a power of ten, by which the decimal point seems to
	// be out of place; 0 when it does not look like that.
	Slip float64
}

// Judge holds a value, in the unit in which the workload is shown, against
// what is expected; ok is true when nothing is odd about it.
func Judge(e Expectation, value float64) (d Doubt, ok bool) {
	if !e.Known || value >= e.Low && value <= e.High {
		return Doubt{}, true
	}
	d.Expected, d.Value = e, value
	for _, power := range [...]float64{10, 0.1, 100, 0.01, 1000, 0.001} {
		if v := value * power; v >= e.Low && v <= e.High {
			d.Slip = power
			break
		}
	}
	return d, false
}

// doubts judges the readings added one after another: each by those before the
// addition and by the ones of it that have passed.
func doubts(before, after *project.Project, added []Reading) []Doubt {
	at := map[cellKey]*project.Reading{}
	for i := range after.Readings {
		if r := &after.Readings[i]; !r.Derived {
			at[keyOf(r)] = r
		}
	}
	passed := map[[2]int32][]float64{}
	j := newJudge(before)
	var out []Doubt
	for i, r := range added {
		found, ok := at[keyIn(after, r)]
		if !ok || !found.HasValue || found.Outcome != project.OK && found.Outcome != project.Unstable {
			continue
		}
		// A new session changes no index of configurations and workloads.
		cell := [2]int32{found.Configuration, found.Workload}
		d, fine := Judge(j.expect(int(cell[0]), int(cell[1]), passed[cell]), found.Value)
		if fine {
			passed[cell] = append(passed[cell], found.Value)
			continue
		}
		d.Index = i
		out = append(out, d)
	}
	return out
}

// refusals turns doubts into findings.
func refusals(p *project.Project, a *Addition) []schema.Finding {
	var out []schema.Finding
	for _, d := range a.Doubts {
		r := a.Added[d.Index]
		w := p.Workload(r.Workload)
		f := finding("unexpected-value", r.At, "", "%s", d.Words(w, r))
		if f.File == "" {
			f.Place = a.Rows[d.Index]
		}
		f.Configurations, f.Workloads = []string{r.Configuration}, []string{r.Workload}
		f.Remedy = d.remedy(w, r)
		out = append(out, f)
	}
	return out
}

// remedy says what to do about a doubt.
func (d Doubt) remedy(w *project.Workload, r Reading) string {
	const evenSo = "write it all the same with --even-so"
	better, ok := d.Better(w, r)
	switch {
	case ok && d.otherUnit(w, r) && r.unitInValue:
		return fmt.Sprintf("write %q if it was read in %s, or %s", better, w.Unit.Symbol, evenSo)
	case d.otherUnit(w, r):
		return fmt.Sprintf("give it the unit %s if it was read in that, or %s", w.Unit.Symbol, evenSo)
	case ok && r.unitInValue:
		return fmt.Sprintf("write %q if the decimal point is out of place, or %s", better, evenSo)
	case ok:
		return "write " + better + " if the decimal point is out of place, or " + evenSo
	}
	return evenSo
}

// Words says what is odd: "expected 41 to 43 fps for game on one-fan; 4.2 looks
// like a decimal point out of place".
func (d Doubt) Words(w *project.Workload, r Reading) string {
	return d.words(w, r, "on "+r.Configuration)
}

func (d Doubt) words(w *project.Workload, r Reading, where string) string {
	given := r.Value
	if w.Reading != nil || r.Unit != "" && r.Unit != w.Unit.Symbol {
		given = strings.TrimSpace(r.Value+"\u00a0"+r.Unit) + ", which is " + figure(d.Value, d.Value/100, w.Unit.Symbol) + ","
	}
	looks := "lies outside"
	if d.otherUnit(w, r) {
		looks = "looks like a number in " + w.Unit.Symbol
	} else if d.Slip != 0 {
		looks = "looks like a decimal point out of place"
	}
	return fmt.Sprintf("expected %s for %s %s; %s %s", d.Expected.Range(w), w.ID, where, given, looks)
}

// otherUnit says whether the number is what is expected once it is taken in the
// unit of the workload rather than in the one that it was given in. That is told
// apart from a decimal point out of place, as the number itself is right.
func (d Doubt) otherUnit(w *project.Workload, r Reading) bool {
	if w.Reading != nil || r.Unit == "" || r.Unit == w.Unit.Symbol || w.Unit.Symbol == "" {
		return false
	}
	v, _, ok := schema.ParseNumber(r.Value, schema.Dialect{})
	return ok && v >= d.Expected.Low && v <= d.Expected.High
}

// Better gives what to write instead of the value of r, which Prepare has
// understood: with the unit of the workload, or with its decimal point moved to
// where it seems to belong. A unit stands behind it where one stood behind the
// value. ok is false when there is no telling.
func (d Doubt) Better(w *project.Workload, r Reading) (text string, ok bool) {
	written, unit := r.Value, ""
	if r.unitInValue {
		unit = " " + r.Unit
	}
	if d.otherUnit(w, r) {
		return written + " " + w.Unit.Symbol, r.unitInValue
	}
	v, _, ok := schema.ParseNumber(written, schema.Dialect{})
	if d.Slip == 0 || w.Reading != nil || !ok {
		return "", false
	}
	digits := strings.Trim(strings.ReplaceAll(written, ".", ""), "+-\u2212")
	if strings.ContainsAny(digits, "eE") {
		return "", false
	}
	rounded, err := strconv.ParseFloat(strconv.FormatFloat(v*d.Slip, 'g', max(len(strings.TrimLeft(digits, "0")), 1), 64), 64)
	return strconv.FormatFloat(rounded, 'f', -1, 64) + unit, err == nil
}

// Range is what is expected, in words: "41 to 43 fps".
func (e Expectation) Range(w *project.Workload) string {
	step := (e.High - e.Low) / 10
	low := step
	if e.Low > 0 { // which shall not be rounded to nothing
		low = min(step, e.Low)
	}
	return figure(e.Low, low, "") + " to " + figure(e.High, step, w.Unit.Symbol)
}

// figure writes a number with as many decimals as a step of the given size
// needs, a minus sign and the unit.
func figure(v, step float64, unit string) string {
	decimals := 0
	if step = math.Abs(step); step > 0 {
		decimals = int(math.Ceil(-math.Log10(step)))
	}
	if decimals < 0 {
		tens := math.Pow(10, float64(-decimals))
		v, decimals = math.Round(v/tens)*tens, 0
	}
	s := strconv.FormatFloat(v, 'f', min(decimals, 9), 64)
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-")
	}
	s = strings.Replace(s, "-", "\u2212", 1)
	if unit != "" {
		s += "\u00a0" + unit
	}
	return s
}

// Asked is what is expected in the unit in which a reading is written down,
// with the unit in which it is shown behind it when that is another: "12800 to
// 14300 ticks (50 to 56 fps)".
func (e Expectation) Asked(p *project.Project, workload int) string {
	w := p.Workloads[workload]
	shown := e.Range(w)
	if w.Reading == nil || w.RawUnit.Symbol == w.Unit.Symbol {
		return shown
	}
	power := 0
	for _, t := range w.Reading.Times {
		power += readingPower(t)
	}
	for _, t := range w.Reading.Over {
		power -= readingPower(t)
	}
	k := 0.0
	for i := range p.Readings {
		r := &p.Readings[i]
		if int(r.Workload) != workload || !r.HasValue || r.Derived || r.Raw <= 0 || r.Value <= 0 {
			continue
		}
		x := r.Value / math.Pow(r.Raw, float64(power))
		if k != 0 && math.Abs(x/k-1) > 1e-6 {
			return shown // other columns or units come in: no one factor
		}
		k = x
	}
	if k == 0 || e.Low <= 0 || power != 1 && power != -1 {
		return shown
	}
	raw := [2]float64{math.Pow(e.Low/k, float64(power)), math.Pow(e.High/k, float64(power))}
	slices.Sort(raw[:])
	step := (raw[1] - raw[0]) / 10
	return figure(raw[0], step, "") + " to " + figure(raw[1], step, w.RawUnit.Symbol) + " (" + shown + ")"
}

func readingPower(t project.Term) int {
	if t.Kind == project.ReadingTerm {
		return 1
	}
	return 0
}
