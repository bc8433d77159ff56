package report

import (
	"math"

	"benchwright/project"
	"benchwright/stats"
)

// Relative is what a configuration is worth under a workload against any
// baseline, all indices: the ratio of the centres, turned so that more is better
// where the workload counts as performance, within the sessions in which both were read where they share any, and
// through a third configuration that was read beside each where they share none.
// The interval is Fieller's (J. R. Statist. Soc. B 16, 1954, 175–185); where that
// is unbounded, the log ratio's with Welch's degrees of freedom; where they share
// two or more sessions, the log ratio's with what the sessions differ by taken out.
func (r *Report) Relative(baseline, configuration, workload int) Figure {
	return r.work.relative(baseline, configuration, workload)
}

func (k *working) relative(baseline, configuration, w int) Figure {
	b, c := &k.samples[baseline][w], &k.samples[configuration][w]
	workload := k.p.Workloads[w]
	if c.Summary.N == 0 {
		return k.absent(configuration, w)
	}
	if workload.Scale == project.IntervalScale {
		return Figure{State: NotComparable, Remark: k.say.Say("figure.interval-scale")}
	}
	if !c.usable {
		return Figure{State: NotComparable, Remark: k.say.Say("cell.not-positive")}
	}
	if !b.usable {
		return Figure{State: NotComparable, Remark: k.say.Say("figure.no-baseline", "baseline", k.p.Configurations[baseline].Label)}
	}
	if baseline == configuration {
		return Figure{State: Measured, Value: 1, Low: 1, High: 1, N: c.Summary.N, Of: "readings", Text: k.say.Say("figure.baseline"), Short: "100"}
	}
	if sum, ok := k.composed(w, configuration, baseline); ok {
		return k.composedRatio(sum, w, configuration, baseline)
	}
	c, b = k.sides(w, configuration, baseline)
	num, den := c, b
	if workload.Turned {
		num, den = b, c
	}
	f := Figure{Value: num.centre / den.centre, N: min(b.Summary.N, c.Summary.N), Of: "readings", lessIsBetter: workload.AsRead()}
	if !isFinite(f.Value) || f.Value == 0 {
		return Figure{State: NotComparable, Remark: k.say.Say("figure.out-of-range")}
	}
	e := stats.Estimate{Value: math.Log(f.Value)}
	state := compareSpread([]part{{c, 1}, {b, -1}})
	if state == Measured || state == SpreadBorrowed {
		if se, df, ok := k.blockError(w, c, b); ok {
			e.SE, e.DF = se, df
			f.Method = k.say.Say("figure.method.sessions")
		} else {
			x, y := stats.Estimate{SE: num.se, DF: num.df}, stats.Estimate{SE: den.se, DF: den.df}
			e.SE, e.DF = sumOf([]stats.Estimate{x, y}).SE, sumOf([]stats.Estimate{x, y}).DF
			if state == SpreadBorrowed && num.n > 0 && den.n > 0 {
				// One spread for both, as summed has it.
				x.SE, y.SE = k.lent[w].sd*math.Sqrt(k.lentVariance(w, part{num, 1})), k.lent[w].sd*math.Sqrt(k.lentVariance(w, part{den, 1}))
				e.SE, e.DF = math.Hypot(x.SE, y.SE), k.lent[w].df
			}
			k.fieller(&f, num.centre, den.centre, x.SE, y.SE, e.DF)
		}
	}
	k.finishRatio(&f, e, state, k.relativeStep(w, onePair(configuration, baseline)))
	k.belowResolution(&f, w, c.centre-b.centre)
	return f
}

// composedRatio is relative for a pair that composed knows.
func (k *working) composedRatio(sum estimate, w, configuration, baseline int) Figure {
	size := math.Exp(sum.Value)
	workload := k.p.Workloads[w]
	if workload.Turned {
		sum.Value = -sum.Value
	}
	f := Figure{N: sum.n, Of: "readings", Method: k.sayIf(sum.method), lessIsBetter: workload.AsRead()}
	k.finishRatio(&f, sum.Estimate, sum.state, k.relativeStep(w, onePair(configuration, baseline)))
	if f.HasValue() {
		k.belowResolution(&f, w, (size-1)*k.samples[baseline][w].centre)
	}
	return f
}

// belowResolution takes back a claim to a difference that the instrument cannot
// show; difference is in the workload's unit.
func (k *working) belowResolution(f *Figure, w int, difference float64) {
	if k.declared[w] > 0 && math.Abs(difference) < k.declared[w]*(1-1e-9) {
		f.Verdict = NoDifferenceSeen
		f.Remark = k.say.Say("figure.below-resolution", "resolution",
			withUnit(k.num.plain(k.declared[w], significant(k.declared[w], 2)), k.p.Workloads[w].Unit.Symbol))
	}
}

// absent is the figure of a cell without a value.
func (k *working) absent(configuration, w int) Figure {
	if o := k.failure[configuration*len(k.p.Workloads)+w]; o != project.OK {
		return k.failedFigure(o)
	}
	return Figure{}
}

// compareSpread says what can be claimed of a comparison of two samples.
func compareSpread(list []part) FigureState {
	state := Measured
	for _, s := range list {
		switch s.spread {
		case noSpread:
			return SpreadUnknown
		case borrowedSpread:
			state = SpreadBorrowed
		}
	}
	return state
}

// fieller sets the interval of num over den, of relative errors, if it is bounded
// and positive.
func (k *working) fieller(f *Figure, num, den, numSE, denSE, df float64) {
	res, err := stats.Fieller(num, den, numSE*num, denSE*den, 0, df, k.level)
	if err == nil && res.Set == stats.Bounded && res.Interval.Low > 0 && res.Interval.Contains(f.Value) {
		f.Low, f.High, f.Confidence, f.Method = res.Interval.Low, res.Interval.High, k.level, k.say.Say("figure.method.fieller")
		if res.P >= 0 && res.P <= 1 {
			f.P, f.HasP = res.P, true
		}
		return
	}
	f.Method = k.say.Say("figure.method.log-ratio")
}

// finishRatio turns a log estimate into a figure: interval, p-value, verdict
// and digits. An interval that the figure has already is kept. step is the
// relative step of the instruments, 0 if unknown.
func (k *working) finishRatio(f *Figure, e stats.Estimate, state FigureState, step float64) {
	f.State = state
	if state == SpreadUnknown {
		f.Remark = k.say.Say("figure.spread-unknown")
	}
	if state == SpreadBorrowed {
		f.Remark = k.say.Say("figure.borrowed")
	}
	if f.Value == 0 {
		f.Value = math.Exp(e.Value)
	}
	if !isFinite(f.Value) || f.Value == 0 {
		*f = Figure{State: NotComparable, Remark: k.say.Say("figure.out-of-range")}
		return
	}
	if f.Confidence == 0 && state != SpreadUnknown {
		half := k.quantile(e.DF) * e.SE
		low, high := math.Exp(e.Value-half), math.Exp(e.Value+half)
		if half > 0 && isFinite(low, high) && low > 0 {
			f.Low, f.High, f.Confidence = low, high, k.level
			if p, ok := pValue(e); ok {
				f.P, f.HasP = p, true
			}
		} else {
			f.State, f.Remark = SpreadUnknown, k.say.Say("figure.spread-too-large")
		}
	}
	if f.Confidence == 0 {
		f.Low, f.High, f.Method = f.Value, f.Value, ""
	}
	f.Verdict = verdict(*f)
	k.writeRatio(f, step)
}

// pValue tests an estimate against nought; ok is false when the numbers are too
// far apart for a test.
func pValue(e stats.Estimate) (p float64, ok bool) {
	p, err := e.P(0)
	return p, err == nil && p >= 0 && p <= 1
}

// verdict is what the interval alone allows to claim.
func verdict(f Figure) Verdict {
	v := NoDifferenceSeen
	switch {
	case f.Confidence == 0:
		return NoVerdict
	case f.Low > 1:
		v = Better
	case f.High < 1:
		v = Worse
	}
	if f.lessIsBetter && v != NoDifferenceSeen {
		v = Better + Worse - v
	}
	return v
}

// writeRatio writes a ratio figure. Without a spread nothing supports tenths
// of a per cent; with one, the instrument's step still bounds the digits.
func (k *working) writeRatio(f *Figure, step float64) {
	d := 0
	if asMultiple(f.Value) {
		d = significant(f.Value, 2) - 2
	}
	if byspread, ok := percentDecimals(f.Low, f.High); ok && f.Confidence > 0 {
		d = byspread
	}
	if bystep, ok := stepDecimals(100 * step); ok {
		d = min(d, bystep)
	}
	f.decimals = int8(max(-127, min(d, 127)))
	f.Text = k.num.effect(f.Value, d)
	f.Short = k.num.plain(100*f.Value, max(0, d))
	if f.Confidence > 0 {
		f.Range = k.effectRange(f.Value, f.Low, f.High, d)
	}
}

// Difference is what a configuration differs by from a baseline under a
// workload, in the workload's unit, configuration minus baseline: the figure
// for interval scales, of which a ratio means nothing (S. S. Stevens, Science
// 103, 1946). The verdict follows the workload's direction.
func (r *Report) Difference(baseline, configuration, workload int) Figure {
	k := r.work
	if k.samples[configuration][workload].Summary.N == 0 {
		return k.absent(configuration, workload)
	}
	if k.samples[baseline][workload].Summary.N == 0 {
		return Figure{State: NotComparable, Remark: k.say.Say("figure.no-baseline", "baseline", k.p.Configurations[baseline].Label)}
	}
	return k.difference(workload, onePair(configuration, baseline), 1, "readings")
}

// difference is a contrast of centres in the workload's unit.
func (k *working) difference(w int, pairs []pairing, n int, of string) Figure {
	f, _ := k.differenceEstimate(w, pairs, n, of)
	return f
}

// differenceEstimate gives the estimate behind the figure too; its standard
// error is nought where nothing is known of the spread.
func (k *working) differenceEstimate(w int, pairs []pairing, n int, of string) (Figure, stats.Estimate) {
	workload := k.p.Workloads[w]
	f := Figure{N: n, Of: of}
	var sum estimate
	if len(pairs) == 1 {
		sum = k.pairEstimate(w, pairs[0].to, pairs[0].from)
		sum.Value, sum.SE = pairs[0].weight*sum.Value, math.Abs(pairs[0].weight)*sum.SE
	} else {
		value, parts, blocked := k.contrast(w, pairs, nil)
		sum = k.summed(w, value, parts, blocked)
	}
	if of == "readings" {
		f.N = sum.n
	}
	e := sum.Estimate
	if !isFinite(e.Value) {
		return Figure{State: NotComparable, Remark: k.say.Say("figure.out-of-range")}, stats.Estimate{}
	}
	f.State, f.Value, f.Low, f.High = sum.state, e.Value+0, e.Value+0, e.Value+0
	switch f.State {
	case SpreadUnknown:
		f.Remark = k.say.Say("figure.spread-unknown")
	case SpreadBorrowed:
		f.Remark = k.say.Say("figure.borrowed")
	}
	if f.State != SpreadUnknown {
		f.Method = k.sayIf(sum.method)
		half := k.quantile(e.DF) * e.SE
		if low, high := e.Value-half, e.Value+half; half > 0 && isFinite(low, high) {
			f.Low, f.High, f.Confidence = low, high, k.level
			if p, ok := pValue(e); ok {
				f.P, f.HasP = p, true
			}
		} else {
			f.State, f.Remark, f.Method = SpreadUnknown, k.say.Say("figure.spread-too-large"), ""
		}
	}
	if f.State == SpreadUnknown {
		e.SE, e.DF = 0, 0
	}
	f.Verdict = k.differenceVerdict(f, w)
	d := significant(f.Value, 2)
	if byspread, ok := decimals((f.High - f.Low) / 2); ok && f.Confidence > 0 {
		d = byspread
	}
	if bystep, ok := stepDecimals(k.step[w]); ok {
		d = min(d, bystep)
	}
	f.Short = k.num.signed(f.Value, d)
	f.Text = withUnit(f.Short, workload.Unit.Symbol)
	if f.Confidence > 0 {
		ends := apartFromNought(f.Low, f.High, d)
		f.Range = k.span(k.num.signed(f.Low, ends), withUnit(k.num.signed(f.High, ends), workload.Unit.Symbol))
	}
	return f, e
}

// differenceVerdict reads a difference by the workload's direction.
func (k *working) differenceVerdict(f Figure, w int) Verdict {
	v := NoVerdict
	switch {
	case f.Confidence == 0:
		return v
	case f.Low > 0:
		v = Better
	case f.High < 0:
		v = Worse
	default:
		return NoDifferenceSeen
	}
	if k.declared[w] > 0 && math.Abs(f.Value) < k.declared[w]*(1-1e-9) {
		return NoDifferenceSeen
	}
	if !k.p.Workloads[w].HigherBetter {
		v = Better + Worse - v
	}
	return v
}

// correct applies Holm's correction to the differences that a page claims side
// by side, and takes back the claims that do not survive it.
func (k *working) correct(figures []*Figure) {
	var family []*Figure
	for _, f := range figures {
		if f.HasP {
			family = append(family, f)
		}
	}
	if len(family) < 2 {
		return
	}
	p := make([]float64, len(family))
	for i, f := range family {
		p[i] = f.P
	}
	adjusted, err := stats.Holm(p)
	if err != nil {
		return // no p-value lies outside 0 to 1
	}
	for i, f := range family {
		f.AdjustedP, f.Family = adjusted[i], len(family)
		if (f.Verdict == Better || f.Verdict == Worse) && f.AdjustedP > 1-k.level {
			f.Verdict = NoDifferenceSeen
			f.Remark = k.say.Count("figure.holm", len(family))
		}
	}
}
