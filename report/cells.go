package report

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"benchwright/project"
	"benchwright/schema"
	"benchwright/stats"
)

// fillCells makes every cell with its readings, spread, flags and its relative
// performance against the report's baseline.
func (r *Report) fillCells() {
	k, p := r.work, r.Project
	readings := k.readingsByCell(r.Project)
	r.Cells = make([][]Cell, len(p.Configurations))
	inRows(len(p.Configurations), func(c int) {
		row := make([]Cell, len(p.Workloads))
		for w := range row {
			row[w] = k.cell(c, w, readings[c*len(p.Workloads)+w])
		}
		r.Cells[c] = row
	})
	inRows(len(p.Configurations), func(c int) {
		for w := range r.Cells[c] {
			cell := &r.Cells[c][w]
			cell.Relative = r.Relative(r.Baseline, c, w)
			if p.Workloads[w].Scale == project.IntervalScale {
				cell.Difference = r.fromBaseline(c, w)
			}
			if cell.Centre.HasValue() && c != r.Baseline && r.Space.Sittings().ApartOn(r.Baseline, c, w) {
				cell.Flags = append(cell.Flags, Flag{"other-sessions", k.say.Say("cell.other-sessions")})
			}
			if x, y := k.sides(w, c, r.Baseline); x != &k.samples[c][w] && cell.Compared().HasValue() {
				key := "cell.common-sessions.some"
				switch {
				case x.n == cell.N && y.n == k.samples[r.Baseline][w].n:
					key = "cell.common-sessions.weighed"
				case x.n == cell.N:
					key = "cell.common-sessions.all"
				}
				text := k.say.Say(key, "n", strconv.Itoa(x.n), "m", strconv.Itoa(y.n), "all", strconv.Itoa(k.samples[r.Baseline][w].n))
				level := k.num.plain(k.besideBaseline(w, c), k.centreDecimals(&k.samples[c][w], w))
				if c != r.Baseline && cell.Centre.HasValue() && level != cell.Centre.Short {
					cell.Beside = withUnit(level, p.Workloads[w].Unit.Symbol)
					text = k.say.Say("cell.beside", "text", text, "level", cell.Beside)
				}
				cell.Flags = append(cell.Flags, Flag{"common-sessions", text})
			}
		}
	})
	for w := range p.Workloads {
		var column []*Figure
		for c := range r.Cells {
			column = append(column, r.Cells[c][w].Compared())
		}
		k.correct(column)
		for c := range r.Cells {
			f := &r.Cells[c][w].Relative
			r.Cells[c][w].LookAlike = c != r.Baseline && f.Verdict == NoDifferenceSeen
		}
	}
}

// Compared is what a cell is against the report's baseline: the relative
// performance, or the difference where the scale has no ratios.
func (c *Cell) Compared() *Figure {
	if c.Difference != nil {
		return c.Difference
	}
	return &c.Relative
}

// fromBaseline is the difference from the report's baseline, which itself has none.
func (r *Report) fromBaseline(c, w int) *Figure {
	f := r.Difference(r.Baseline, c, w)
	if c == r.Baseline && f.HasValue() {
		f = Figure{State: Measured, N: f.N, Of: f.Of, Text: r.work.say.Say("figure.baseline"), Short: "0"}
	}
	return &f
}

// readingsByCell hands out all readings, in order of run within each cell.
func (k *working) readingsByCell(p *project.Project) [][]*project.Reading {
	n := len(p.Workloads)
	count := make([]int, len(p.Configurations)*n)
	for i := range p.Readings {
		count[int(p.Readings[i].Configuration)*n+int(p.Readings[i].Workload)]++
	}
	all := make([]*project.Reading, len(p.Readings))
	out := make([][]*project.Reading, len(count))
	at := 0
	for i, c := range count {
		out[i] = all[at:at:(at + c)]
		at += c
	}
	for i := range p.Readings {
		rd := &p.Readings[i]
		cell := int(rd.Configuration)*n + int(rd.Workload)
		out[cell] = append(out[cell], rd)
	}
	for _, cell := range out {
		slices.SortStableFunc(cell, func(a, b *project.Reading) int {
			return cmp.Or(cmp.Compare(a.Session, b.Session), cmp.Compare(a.Order, b.Order), cmp.Compare(a.Repeat, b.Repeat),
				cmp.Compare(a.Outcome, b.Outcome), cmp.Compare(a.Value, b.Value))
		})
	}
	return out
}

// cell makes one cell; readings are all of it, failed and excluded ones too.
func (k *working) cell(c, w int, readings []*project.Reading) Cell {
	s, workload := &k.samples[c][w], k.p.Workloads[w]
	cell := Cell{
		Configuration: c, Workload: w,
		N: s.n, Mean: s.Mean, Median: s.Median, Min: s.Min, Max: s.Max,
		SD: s.SD, HasSD: s.HasSD && s.n > 1,
	}
	if s.HasCV && workload.Scale == project.RatioScale {
		cell.CV = s.CV
	}
	failed, excluded := 0, 0
	var failure project.Outcome
	cell.Readings = make([]Reading, len(readings))
	for i, rd := range readings {
		cell.Readings[i] = k.reading(rd)
		switch rd.Outcome {
		case project.OK:
		case project.Excluded:
			excluded++
		default:
			failed++
			failure = max(failure, rd.Outcome)
		}
	}
	switch {
	case s.n > 0:
		cell.Outcome = project.OK
	case failed > 0:
		cell.Outcome = failure
	case excluded > 0:
		cell.Outcome = project.Excluded
	}
	cell.Centre = k.centre(s, w)
	unit := workload.Unit.Symbol
	if s.Summary.N == 0 {
		if failed > 0 || excluded > 0 {
			cell.Centre = k.failedFigure(cell.Outcome)
		}
	} else if s.n > 1 {
		d := k.centreDecimals(s, w)
		if sd, ok := decimals(s.SD); ok {
			cell.SDText = withUnit(k.num.plain(s.SD, sd+1), unit)
		} else {
			cell.SDText = withUnit("0", unit)
		}
		if s.HasCV && workload.Scale == project.RatioScale {
			cell.CVText = k.num.share(s.CV, significant(100*s.CV, 2))
		}
		cell.RangeText = k.span(k.num.plain(s.Min, d), withUnit(k.num.plain(s.Max, d), unit))
	}
	cell.Flags = k.cellFlags(s, workload, failed, excluded, len(readings))
	return cell
}

func (k *working) failedFigure(o project.Outcome) Figure {
	text := k.say.Say("outcome." + o.String())
	return Figure{State: Failed, Text: text, Short: text}
}

func (k *working) cellFlags(s *sample, w *project.Workload, failed, excluded, total int) []Flag {
	var flags []Flag
	if failed > 0 {
		flags = append(flags, Flag{"failed", k.say.Say("cell.failed", "k", strconv.Itoa(failed), "n", strconv.Itoa(total))})
	}
	if excluded > 0 {
		flags = append(flags, Flag{"excluded", k.say.Count("cell.excluded", excluded)})
	}
	switch {
	case s.n == 1:
		flags = append(flags, Flag{"one-reading", k.say.Say("cell.one-reading")})
	case s.n > 1 && s.Min == s.Max:
		flags = append(flags, Flag{"all-equal", k.say.Say("cell.all-equal")})
	case s.n == 0 && s.usable:
		flags = append(flags, Flag{"carried", k.say.Say("cell.carried")})
	}
	if w.Scale == project.RatioScale && s.n > 0 && !s.usable {
		flags = append(flags, Flag{"not-positive", k.say.Say("cell.not-positive")})
	}
	return flags
}

// reading is one reading as shown.
func (k *working) reading(rd *project.Reading) Reading {
	out := Reading{
		Session: int(rd.Session), Repeat: int(rd.Repeat), Order: int(rd.Order),
		HasValue: rd.HasValue && isFinite(rd.Value), Written: k.p.Written(rd),
		Outcome: rd.Outcome, Reason: k.p.Reason(rd), Note: k.p.Note(rd),
	}
	if rd.Outcome != project.OK {
		out.OutcomeText = k.say.Say("outcome." + rd.Outcome.String())
	}
	if out.HasValue {
		out.Value = rd.Value
		w := int(rd.Workload)
		d := significant(rd.Value, 4)
		if step, ok := stepDecimals(k.step[w]); ok {
			d = step
		}
		out.Text = withUnit(k.num.plain(rd.Value, d), k.p.Workloads[w].Unit.Symbol)
	}
	if f := int(rd.File); f >= 0 && f < len(k.p.ResultFiles) && rd.Line > 0 {
		out.Place = schema.Place{File: k.p.ResultFiles[f], Line: int(rd.Line), Column: int(rd.Column)}
	}
	for _, c := range k.p.Corrections {
		if c.Configuration == int(rd.Configuration) && c.Workload == int(rd.Workload) &&
			(c.Session < 0 || c.Session == int(rd.Session)) && (c.Repeat == 0 || c.Repeat == int(rd.Repeat)) {
			unit := k.p.Workloads[c.Workload].Unit.Symbol
			out.Corrected = k.say.Say("cell.corrected", "was", withUnit(k.num.plain(c.Was, stated(c.Was)), unit), "reason", c.Reason, "date", DateText(k.say, c.Date))
		}
	}
	return out
}

// centre is the mean or median of a cell with its interval.
func (k *working) centre(s *sample, w int) Figure {
	if s.Summary.N == 0 {
		return Figure{}
	}
	workload := k.p.Workloads[w]
	f := Figure{State: SpreadUnknown, Value: s.centre, Low: s.centre, High: s.centre, N: s.Summary.N, Of: "readings"}
	switch low, high, level, ok := k.centreInterval(s, w); {
	case !ok:
		f.Remark = k.say.Say("figure.spread-unknown")
		if s.n > 1 {
			f.Remark = k.say.Say("figure.no-spread")
		}
	default:
		f.State, f.Low, f.High, f.Confidence = Measured, low, high, level
		switch s.spread {
		case borrowedSpread:
			f.State, f.Method, f.Remark = SpreadBorrowed, k.say.Say("figure.method.borrowed"), k.say.Say("figure.borrowed")
		case stepSpread:
			f.Method, f.Remark = k.say.Say("figure.method.step"), k.say.Say("figure.step")
		case carriedSpread:
			f.Method, f.Remark = k.say.Say("figure.method.carried"), k.say.Say("cell.carried")
		default:
			f.Method = k.say.Say("figure.method." + workload.Centre.String())
			if level < k.level-1e-9 {
				f.Remark = k.say.Say("figure.median-few", "level", k.percentLevel(level))
			}
		}
	}
	d := k.centreDecimals(s, w)
	unit := workload.Unit.Symbol
	f.Short = k.num.plain(f.Value, d)
	f.Text = withUnit(f.Short, unit)
	if f.Confidence > 0 {
		f.Range = k.span(k.num.plain(f.Low, d), withUnit(k.num.plain(f.High, d), unit))
	}
	return f
}

// percentLevel writes a confidence level: "95 %".
func (k *working) percentLevel(level float64) string {
	d := 0
	if v := 100 * level; math.Abs(v-math.Round(v)) > 1e-9 {
		d = 1
	}
	return k.num.share(level, d)
}

// centreInterval is the interval of a cell's centre in the workload's unit. A
// median's runs between two readings and has a level of its own, which is less
// than the report's where there are few.
func (k *working) centreInterval(s *sample, w int) (low, high, level float64, ok bool) {
	workload := k.p.Workloads[w]
	if s.spread == ownSpread && workload.Centre == project.Median {
		i, _ := stats.MedianInterval(s.values, k.level)
		if i.Known() {
			return i.Low, i.High, min(i.Level, 0.9999), true
		}
	}
	if s.spread == noSpread {
		return 0, 0, 0, false
	}
	se := s.se
	if workload.Scale == project.RatioScale {
		se *= s.centre
	}
	half := k.quantile(s.df) * se
	low, high = s.centre-half, s.centre+half
	return low, high, k.level, half > 0 && isFinite(low, high)
}

// centreDecimals is the digits that a cell's values are written with.
func (k *working) centreDecimals(s *sample, w int) int {
	d := significant(s.centre, 3)
	step, stepped := stepDecimals(k.step[w])
	if stepped {
		d = step
	}
	if low, high, _, ok := k.centreInterval(s, w); ok {
		if byspread, ok := decimals((high - low) / 2); ok {
			d = byspread
			if stepped {
				d = min(d, step)
			}
		}
	}
	return d
}

// quantile is Student's two-sided critical value at the report's level; df 0
// is the normal one. An impossible df gives +Inf, which no figure survives.
func (k *working) quantile(df float64) float64 {
	if i := int(df); i < len(k.critical) && float64(i) == df {
		if bits := k.critical[i].Load(); bits != 0 {
			return math.Float64frombits(bits)
		}
		v := criticalValue(k.level, df)
		k.critical[i].Store(math.Float64bits(v))
		return v
	}
	return criticalValue(k.level, df)
}

func criticalValue(level, df float64) float64 {
	var v float64
	var err error
	if df == 0 {
		v, err = stats.NormalQuantile(0.5 + level/2)
	} else {
		v, err = stats.StudentQuantile(0.5+level/2, df)
	}
	if err != nil {
		return math.Inf(1)
	}
	return v
}
