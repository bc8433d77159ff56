package report

import (
	"math"
	"slices"

	"benchwright/project"
	"benchwright/schema"
	"benchwright/stats"
)

// OutsideReading is one value that somebody else read on another machine. It is
// shown apart and is part of no figure, order or count of the report.
type OutsideReading struct {
	Viewer, Machine string
	Workload        int // in Project.Workloads
	// Value is in the workload's unit; Written is the text, in Unit.
	Value         float64
	Written, Unit string
	Date, Note    string // Date is YYYY-MM-DD or empty
	Place         schema.Place
}

// Outside is what one viewer read under one workload on one machine and day,
// beside the baseline's reading. It claims nothing: another machine is never a
// matched comparison, so that no verdict is given and no test made.
type Outside struct {
	Viewer, Machine, Date string
	Workload              int
	// Readings are those behind it, in the order of the file.
	Readings []OutsideReading
	// Centre is the mean or median of the readings, as the workload has it.
	Centre Figure
	// Given is the one reading in the unit in which it was given, where that is
	// not the workload's; empty otherwise.
	Given string
	// Relative is the ratio to the baseline, turned like those of the report; on an
	// interval scale the difference in the unit. Its interval holds the spread of
	// repeats on both sides, and nothing of what sets the machines apart.
	Relative Figure
	// Standing says between which configurations it would stand.
	Standing string
	// Notes are what the viewer wrote, each once.
	Notes []string
}

// TakeOutside hands outside readings to a report, in the order in which they
// are shown; those of one viewer, machine, day and workload are summed up
// together. It must be called once. Nothing else of the report depends on them.
func (r *Report) TakeOutside(list []OutsideReading) {
	type sameBench struct {
		viewer, machine, date string
		workload              int
	}
	at := map[sameBench]int{}
	for _, rd := range list {
		if rd.Workload < 0 || rd.Workload >= len(r.Workloads) || !isFinite(rd.Value) {
			continue
		}
		key := sameBench{rd.Viewer, rd.Machine, rd.Date, rd.Workload}
		i, there := at[key]
		if !there {
			i = len(r.Outside)
			at[key] = i
			r.Outside = append(r.Outside, Outside{Viewer: rd.Viewer, Machine: rd.Machine, Date: rd.Date, Workload: rd.Workload})
		}
		o := &r.Outside[i]
		o.Readings = append(o.Readings, rd)
		if rd.Note != "" && !slices.Contains(o.Notes, rd.Note) {
			o.Notes = append(o.Notes, rd.Note)
		}
	}
	for i := range r.Outside {
		r.standBeside(&r.Outside[i])
	}
}

// OutsideReadings counts the outside readings, which no other count includes.
func (r *Report) OutsideReadings() int {
	n := 0
	for i := range r.Outside {
		n += len(r.Outside[i].Readings)
	}
	return n
}

// standBeside computes the figures of an entry.
func (r *Report) standBeside(o *Outside) {
	k, w := r.work, o.Workload
	workload := k.p.Workloads[w]
	var values []float64
	step := 0.0
	for i := range o.Readings {
		rd := &o.Readings[i]
		values = append(values, rd.Value+0) // −0 becomes 0
		if one := rd.step(); one > 0 && (step == 0 || one < step) {
			step = one
		}
	}
	slices.Sort(values)
	x := &sample{values: values, n: len(values)}
	k.describe(x, w, step)
	o.Centre = k.outsideCentre(x, w, step)
	if rd := &o.Readings[0]; len(o.Readings) == 1 && rd.Unit != workload.Unit.Symbol {
		o.Given = k.given(rd)
	}
	b := &k.samples[r.Baseline][w]
	switch {
	case x.n == 0:
		o.Relative = Figure{State: NotComparable, Remark: k.say.Say("figure.out-of-range")}
		return
	case b.Summary.N == 0:
		o.Relative = Figure{State: NotComparable, Remark: k.say.Say("figure.no-baseline", "baseline", r.name(r.Baseline))}
	case workload.Scale == project.IntervalScale:
		o.Relative = k.outsideDifference(x, b, w, step)
	default:
		o.Relative = k.outsideRatio(x, b, w, step)
	}
	o.Standing = r.standingOf(x, w)
}

// asWritten is the number in the unit in which it was given.
func (rd *OutsideReading) asWritten() (float64, bool) {
	v, _, ok := schema.ParseNumber(rd.Written, schema.Dialect{})
	if !ok {
		v, _, ok = schema.ParseNumber(rd.Written, schema.Dialect{Decimal: ','})
	}
	return v, ok
}

// step is the last digit that the viewer wrote, in the workload's unit; 0 if it
// says nothing.
func (rd *OutsideReading) step() float64 {
	raw, _ := rd.asWritten()
	return writtenStep(rd.Written, raw, rd.Value)
}

// given writes a reading in the unit and with the digits in which it was given.
func (k *working) given(rd *OutsideReading) string {
	v, ok := rd.asWritten()
	if !ok {
		return ""
	}
	d, ok := stepDecimals(writtenStep(rd.Written, 0, 0))
	if !ok {
		d = significant(v, 3)
	}
	return withUnit(k.num.plain(v, d), rd.Unit)
}

// outsideHalf is the half-width of the interval of a sample's centre.
func (k *working) outsideHalf(x *sample, w int) float64 {
	se := x.se
	if k.p.Workloads[w].Scale == project.RatioScale {
		se *= x.centre
	}
	if x.spread == noSpread {
		return 0
	}
	return k.quantile(x.df) * se
}

// outsideCentre writes the centre with the digits that its repeats support, at
// most those in which they were written.
func (k *working) outsideCentre(x *sample, w int, step float64) Figure {
	if x.n == 0 {
		return Figure{}
	}
	f := Figure{State: SpreadUnknown, Value: x.centre, Low: x.Min, High: x.Max, N: x.n, Of: "readings"}
	d := significant(x.centre, 3)
	bystep, stepped := stepDecimals(step)
	if stepped {
		d = bystep
	}
	if byspread, ok := decimals(k.outsideHalf(x, w)); ok {
		f.State = Measured
		d = byspread
		if stepped {
			d = min(d, bystep)
		}
	}
	f.Short = k.num.plain(x.centre, d)
	f.Text = withUnit(f.Short, k.p.Workloads[w].Unit.Symbol)
	return f
}

// outsideRatio is a sample's ratio to the baseline's, with Fieller's interval
// where both have a spread, and no claim.
func (k *working) outsideRatio(x, b *sample, w int, step float64) Figure {
	if !x.usable || !b.usable {
		return Figure{State: NotComparable, Remark: k.say.Say("cell.not-positive")}
	}
	num, den := x, b
	if k.p.Workloads[w].Turned {
		num, den = b, x
	}
	f := Figure{Value: num.centre / den.centre, N: x.n, Of: "readings"}
	if !isFinite(f.Value) || f.Value == 0 {
		return Figure{State: NotComparable, Remark: k.say.Say("figure.out-of-range")}
	}
	e := stats.Estimate{Value: math.Log(f.Value)}
	state := compareSpread([]part{{x, 1}, {b, -1}})
	if state != SpreadUnknown {
		e = sumOf([]stats.Estimate{{Value: e.Value, SE: num.se, DF: num.df}, {SE: den.se, DF: den.df}})
		k.fieller(&f, num.centre, den.centre, num.se, den.se, e.DF)
	}
	k.finishRatio(&f, e, state, math.Hypot(step/x.centre, k.step[w]/b.centre))
	return unclaimed(f)
}

// outsideDifference is a sample's difference from the baseline's in the unit.
func (k *working) outsideDifference(x, b *sample, w int, step float64) Figure {
	unit := k.p.Workloads[w].Unit.Symbol
	f := Figure{State: compareSpread([]part{{x, 1}, {b, -1}}), Value: x.centre - b.centre, N: x.n, Of: "readings"}
	if !isFinite(f.Value) {
		return Figure{State: NotComparable, Remark: k.say.Say("figure.out-of-range")}
	}
	f.Low, f.High = f.Value, f.Value
	d := significant(f.Value, 2)
	if f.State != SpreadUnknown {
		e := sumOf([]stats.Estimate{{SE: x.se, DF: x.df}, {SE: b.se, DF: b.df}})
		half := k.quantile(e.DF) * e.SE
		if low, high := f.Value-half, f.Value+half; half > 0 && isFinite(low, high) {
			f.Low, f.High, f.Confidence = low, high, k.level
			if byspread, ok := decimals(half); ok {
				d = byspread
			}
		} else {
			f.State = SpreadUnknown
		}
	}
	if f.State == SpreadUnknown {
		f.Remark = k.say.Say("figure.spread-unknown")
	}
	if bystep, ok := stepDecimals(max(step, k.step[w])); ok {
		d = min(d, bystep)
	}
	f.Short = k.num.signed(f.Value, d)
	f.Text = withUnit(f.Short, unit)
	if f.Confidence > 0 {
		ends := apartFromNought(f.Low, f.High, d)
		f.Range = k.span(k.num.signed(f.Low, ends), withUnit(k.num.signed(f.High, ends), unit))
	}
	return f
}

// unclaimed takes back whatever a figure would claim between matched sides.
func unclaimed(f Figure) Figure {
	f.Verdict, f.P, f.HasP = NoVerdict, 0, false
	return f
}

// standingOf says where a sample would stand among the configurations: level
// with one that the instrument cannot tell it from, or between its neighbours.
func (r *Report) standingOf(x *sample, w int) string {
	k := r.work
	if !x.usable {
		return ""
	}
	level := max(k.declared[w]*(1-1e-9), 1e-12*math.Abs(x.centre))
	same, better, worse := -1, -1, -1
	for c := range k.samples {
		s := &k.samples[c][w]
		if s.Summary.N == 0 || !s.usable {
			continue
		}
		apart := math.Abs(x.centre - s.centre)
		side := &worse
		switch {
		case apart <= level:
			side = &same
		case (s.centre > x.centre) == k.p.Workloads[w].HigherBetter:
			side = &better
		}
		// Of two as near, rounding aside, the first is named.
		if *side < 0 || apart < math.Abs(x.centre-k.samples[*side][w].centre)*(1-1e-12) {
			*side = c
		}
	}
	switch {
	case same >= 0:
		return k.say.Say("outside.level", "name", r.label(same))
	case better < 0 && worse < 0:
		return ""
	case better < 0:
		return k.say.Say("outside.first", "name", r.label(worse))
	case worse < 0:
		return k.say.Say("outside.last", "name", r.label(better))
	}
	return k.say.Say("outside.between", "better", r.label(better), "worse", r.label(worse))
}
