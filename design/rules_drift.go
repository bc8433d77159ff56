package design

import (
	"fmt"
	"math"
	"strings"

	"benchwright/project"
	"benchwright/schema"
	"benchwright/stats"
)

// inVisit gives the values of one workload in a visit.
func (in *inquiry) inVisit(v visit, w int) (values []float64, readings []int) {
	for _, i := range v.readings {
		if int(in.p.Readings[i].Workload) == w {
			values, readings = append(values, in.p.Readings[i].Value), append(readings, i)
		}
	}
	return values, readings
}

// step is the smallest difference that a workload's readings can show: its
// declared resolution, its instrument's, or the last digit written.
func (in *inquiry) step(w int, readings []int) float64 {
	if declared := in.resolution(w); declared > 0 {
		return declared
	}
	step := 0.0
	for _, i := range readings {
		r := &in.p.Readings[i]
		digit := in.lastDigit(r)
		if r.Raw != 0 && r.Value != 0 { // a reading may be in a unit of its own
			digit *= math.Abs(r.Value / r.Raw)
		}
		if digit > 0 && (step == 0 || digit < step) {
			step = digit
		}
	}
	return step
}

// resolution is the declared one, of the workload or its instrument, in the
// workload's unit; 0 when there is none.
func (in *inquiry) resolution(w int) float64 {
	workload := in.p.Workloads[w]
	if workload.Resolution > 0 {
		return workload.Resolution
	}
	if instrument := in.p.Instrument(workload.Instrument); instrument != nil && instrument.Resolution > 0 && workload.Reading == nil {
		if r, ok := instrument.Measures.ConvertDifference(instrument.Resolution, workload.Unit); ok {
			return r
		}
	}
	return 0
}

func baselineDrift() Rule {
	return Rule{
		Name: "baseline-drift", Group: Order, Severity: schema.Warning,
		Title: "The baseline drifted between its first and its last visit",
		What: "In a session the baseline was visited twice or more, and the last visit differs from the first by more than chance: Student's t with a spread pooled " +
			"over the visits, significant at 0.001 shared among all sessions and workloads, and larger than the resolution.",
		Why:    "What moved the baseline moved everything read in between. The differences carry that drift, each with its share.",
		Remedy: "Find the cause (warmth, a background task, a full cache), remove it, and repeat the session; or compare neighbours in time only.",
		Source: "Student, Biometrika 6, 1908; the shared level is Bonferroni's.",
		look: func(in *inquiry) {
			type test struct {
				session, w  int
				first, last []float64
				readings    []int
			}
			var tests []test
			for session, visits := range in.visits {
				for _, w := range in.readWorkloads() {
					var with []visit
					for _, v := range visits {
						if values, _ := in.inVisit(v, w); v.configuration == in.p.Baseline && len(values) > 0 {
							with = append(with, v)
						}
					}
					if len(with) < 2 {
						continue
					}
					first, _ := in.inVisit(with[0], w)
					last, readings := in.inVisit(with[len(with)-1], w)
					tests = append(tests, test{session, w, first, last, readings})
				}
			}
			for _, t := range tests {
				difference, p, ok := in.compareVisits(t.session, t.w, t.first, t.last)
				if !ok || p > falseAlarm/float64(len(tests)) || math.Abs(difference) <= in.step(t.w, t.readings) {
					continue
				}
				s, w, base := in.p.Sessions[t.session], in.p.Workloads[t.w], in.configurationID(in.p.Baseline)
				mean, _ := stats.Mean(t.first)
				in.add(schema.Finding{Place: in.place(t.readings[0]), Sessions: []string{s.ID}, Workloads: []string{w.ID}, Configurations: []string{base},
					Questions: in.questionsWithin(t.session),
					Message: fmt.Sprintf("the baseline %q moved by %s (%s) on %q between its first and last visit in session %q", base,
						in.readingText(t.w, difference), in.relativeText(t.w, difference, mean), w.ID, s.ID),
					Remedy: "find the cause and repeat the session, or compare neighbours in time only"})
			}
		},
	}
}

// compareVisits tests two visits of one configuration, with their own spread
// where they have one, and that of the others.
func (in *inquiry) compareVisits(session, w int, first, last []float64) (difference, p float64, ok bool) {
	groups := [][]float64{first, last}
	for _, v := range in.visits[session] {
		if v.configuration == in.p.Baseline {
			continue
		}
		if values, _ := in.inVisit(v, w); len(values) > 1 {
			groups = append(groups, values)
		}
	}
	spread, err := stats.PooledSD(groups)
	if err != nil || spread.DF < 3 || spread.SD == 0 {
		return 0, 1, false
	}
	x, _ := stats.Mean(first)
	y, _ := stats.Mean(last)
	se := spread.SD * math.Sqrt(1/float64(len(first))+1/float64(len(last)))
	p, err = stats.Estimate{Value: y - x, SE: se, DF: spread.DF}.P(0)
	return y - x, p, err == nil
}

// readingText writes a difference of readings with its sign.
func (in *inquiry) readingText(w int, x float64) string {
	return signed(withUnit(sigfigs(x, 3), in.p.Workloads[w].Unit))
}

// relativeText writes a difference as a share where ratios mean something.
func (in *inquiry) relativeText(w int, difference, of float64) string {
	if in.p.Workloads[w].Scale != project.RatioScale || of == 0 {
		return "interval scale"
	}
	return signed(share(difference / math.Abs(of)))
}

// signed puts a plus before a text that has no sign.
func signed(text string) string {
	if strings.HasPrefix(text, "−") {
		return text
	}
	return "+" + text
}

// sigfigs rounds to n significant digits.
func sigfigs(x float64, n int) float64 {
	if x == 0 || math.IsNaN(x) || math.IsInf(x, 0) {
		return x
	}
	scale := math.Pow(10, float64(n-1)-math.Floor(math.Log10(math.Abs(x))))
	return math.Round(x*scale) / scale
}

func sessionDrift() Rule {
	return Rule{
		Name: "session-drift", Group: Order, Severity: schema.Warning,
		Title: "Readings drifted through a session",
		What: "Within a session, the readings of a workload rise or fall with the order in which they were made, each configuration taken against its own mean: " +
			"a straight line through all of them has a slope significant at 0.001, shared among all sessions and workloads. Eight readings at least.",
		Why:    "A drift is a factor that nobody named. Where configurations were read in turns it averages out of the differences, but it widens their intervals; otherwise it is part of them.",
		Remedy: "Let the machine reach a steady state before the first reading, and take turns in random order.",
		Source: "least squares with configurations as blocks; common practice.",
		look: func(in *inquiry) {
			type test struct {
				session, w, first int
				slope, p, span    float64
				mean              float64
			}
			var tests []test
			for session, visits := range in.visits {
				for _, w := range in.readWorkloads() {
					by := make(map[int][]int)
					first := -1
					for _, v := range visits {
						_, readings := in.inVisit(v, w)
						by[v.configuration] = append(by[v.configuration], readings...)
						if first < 0 && len(readings) > 0 {
							first = readings[0]
						}
					}
					if slope, span, mean, p, ok := in.trendWithin(by, in.configurationsIn(session)); ok {
						tests = append(tests, test{session, w, first, slope, p, span, mean})
					}
				}
			}
			drifted := in.alreadyDrifted()
			for _, t := range tests {
				move := t.slope * t.span
				if t.p > falseAlarm/float64(len(tests)) || math.Abs(move) <= in.resolution(t.w) {
					continue
				}
				s, w := in.p.Sessions[t.session], in.p.Workloads[t.w]
				if drifted[s.ID+" "+w.ID] {
					continue
				}
				in.add(schema.Finding{Place: in.place(t.first), Sessions: []string{s.ID}, Workloads: []string{w.ID}, Questions: in.questionsWithin(t.session),
					Message: fmt.Sprintf("readings of %q moved by some %s (%s) from the start to the end of session %q, whatever the configuration", w.ID,
						in.readingText(t.w, sigfigs(move, 2)), in.relativeText(t.w, move, t.mean), s.ID),
					Remedy: "let the machine reach a steady state first, and take turns in random order"})
			}
		},
	}
}

// alreadyDrifted lists the sessions and workloads that baseline-drift has found.
func (in *inquiry) alreadyDrifted() map[string]bool {
	found := make(map[string]bool)
	for _, f := range in.findings {
		if f.Rule == "baseline-drift" {
			found[f.Sessions[0]+" "+f.Workloads[0]] = true
		}
	}
	return found
}

// trendWithin fits one slope over order to readings, each configuration with
// a level of its own.
func (in *inquiry) trendWithin(by map[int][]int, configurations []int) (slope, span, mean, p float64, ok bool) {
	var sxx, sxy, syy, sum float64
	n, blocks := 0, 0
	low, high := math.Inf(1), math.Inf(-1)
	for _, c := range configurations {
		readings := by[c]
		if len(readings) < 2 {
			continue
		}
		tm, ym := 0.0, 0.0
		for _, i := range readings {
			tm += float64(in.p.Readings[i].Order)
			ym += in.p.Readings[i].Value
		}
		tm /= float64(len(readings))
		ym /= float64(len(readings))
		for _, i := range readings {
			t, y := float64(in.p.Readings[i].Order), in.p.Readings[i].Value
			sxx += (t - tm) * (t - tm)
			sxy += (t - tm) * (y - ym)
			syy += (y - ym) * (y - ym)
			sum += y
			low, high = min(low, t), max(high, t)
		}
		n += len(readings)
		blocks++
	}
	df := float64(n - blocks - 1)
	if n < 8 || df < 4 || sxx == 0 {
		return 0, 0, 0, 1, false
	}
	slope = sxy / sxx
	rest := syy - slope*sxy
	if rest <= 1e-12*syy {
		rest = 1e-12 * syy // a line without noise is a line
	}
	if rest <= 0 {
		return 0, 0, 0, 1, false
	}
	p, err := stats.Estimate{Value: slope, SE: math.Sqrt(rest / df / sxx), DF: df}.P(0)
	return slope, high - low, sum / float64(n), p, err == nil
}

func firstRepeatOutOfLine() Rule {
	return Rule{
		Name: "first-repeat-out-of-line", Group: Order, Severity: schema.Warning,
		Title: "The first repeat is out of line",
		What: "On a workload, the first reading of each configuration in a session lies off the mean of those that follow it, always to the same side: " +
			"Student's t over four groups of three readings or more, significant at 0.001 shared among the workloads; " +
			"with fewer groups, each one of five readings or more is tested for itself.",
		Why:    "A cold cache, a cold machine or a first start: the first run measures something else than the others, and pulls the mean.",
		Remedy: "Warm up before the first reading, or exclude the first ones with that reason, on all configurations alike. If the first run is what users see, make it a workload of its own.",
		Source: "Student, Biometrika 6, 1908; the shared level is Bonferroni's.",
		look: func(in *inquiry) {
			workloads := in.readWorkloads()
			for _, w := range workloads {
				in.firstRepeats(w, falseAlarm/float64(len(workloads)))
			}
		},
	}
}

func (in *inquiry) firstRepeats(w int, alpha float64) {
	relative := in.p.Workloads[w].Scale == project.RatioScale
	type series struct {
		c        int
		readings []int
	}
	var all []series
	for _, g := range in.ofWorkload(w) {
		var at []int
		flush := func() {
			if len(at) >= 3 {
				all = append(all, series{g.configuration, at})
			}
			at = nil
		}
		for k, i := range g.ok {
			r := &in.p.Readings[i]
			if r.Order == 0 && r.Session >= 0 {
				continue
			}
			if k > 0 && in.p.Readings[g.ok[k-1]].Session != r.Session {
				flush()
			}
			at = append(at, i)
		}
		flush()
	}
	report := func(s series, message string) {
		ids := []string{in.configurationID(s.c)}
		in.add(schema.Finding{Place: in.place(s.readings[0]), Workloads: []string{in.workloadID(w)}, Configurations: ids, Questions: in.questionsWith(s.c),
			Message: message, Remedy: "warm up first, or exclude the first ones with that reason on all configurations alike"})
	}
	if len(all) < 4 {
		for _, s := range all {
			values := in.values(s.readings)
			if len(values) < 5 {
				continue
			}
			d, err := stats.FirstOutOfLine(values[0], values[1:], 0.95)
			if err != nil || d.P > alpha/float64(len(all)) || math.Abs(d.Difference) <= in.step(w, s.readings) {
				continue
			}
			mean, _ := stats.Mean(values[1:])
			report(s, fmt.Sprintf("the first reading of %q on %q is off the others by %s (%s)", in.workloadID(w), in.configurationID(s.c),
				in.readingText(w, d.Difference), in.relativeText(w, d.Difference, mean)))
		}
		return
	}
	deviations := make([]float64, len(all))
	up, large := 0, 0
	for k, s := range all {
		values := in.values(s.readings)
		mean, err := stats.Mean(values[1:])
		if err != nil || relative && mean == 0 {
			return
		}
		deviations[k] = values[0] - mean
		if math.Abs(deviations[k]) > in.step(w, s.readings) {
			large++
		}
		if relative {
			deviations[k] /= math.Abs(mean)
		}
		if deviations[k] > 0 {
			up++
		}
	}
	d, err := stats.OneSample(deviations, 0, 0.95)
	consistent := max(up, len(all)-up)*10 >= len(all)*9
	if err != nil || d.P > alpha || !consistent || 2*large < len(all) {
		return
	}
	text := signed(share(d.Difference))
	if !relative {
		text = in.readingText(w, d.Difference)
	}
	report(all[0], fmt.Sprintf("the first reading of %q is off those that follow by %s on average, in %d of %d series", in.workloadID(w), text, max(up, len(all)-up), len(all)))
}
