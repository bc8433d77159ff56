package design

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"benchwright/project"
	"benchwright/schema"
	"benchwright/stats"
)

// The chance that a rule of order or repeats speaks up over nothing at all, for
// the whole folder: it is shared among the tests that the rule makes
// (Bonferroni), so that a large folder is no noisier than a small one.
const falseAlarm = 0.001

// repeatsIn reports whether a session has two readings of one workload on one
// configuration.
func (in *inquiry) repeatsIn(session int) bool {
	seen := make(map[[2]int32]bool)
	for _, v := range in.visits[session] {
		for _, i := range v.readings {
			r := &in.p.Readings[i]
			key := [2]int32{r.Configuration, r.Workload}
			if seen[key] {
				return true
			}
			seen[key] = true
		}
	}
	return false
}

// configurationsIn lists the configurations of a session in order of their
// first visit.
func (in *inquiry) configurationsIn(session int) []int {
	var list []int
	seen := make([]bool, len(in.p.Configurations))
	for _, v := range in.visits[session] {
		if !seen[v.configuration] {
			seen[v.configuration] = true
			list = append(list, v.configuration)
		}
	}
	return list
}

// inBlocks reports whether every configuration of a session was on the bench
// in one stretch, with all its repeats.
func (in *inquiry) inBlocks(session int) bool {
	n := len(in.configurationsIn(session))
	return n > 1 && n == len(in.visits[session]) && in.repeatsIn(session)
}

// visitPlace is where the first reading of a visit stands.
func (in *inquiry) visitPlace(v visit) schema.Place {
	if len(v.readings) > 0 {
		return in.place(v.readings[0])
	}
	return in.p.Configurations[v.configuration].Place
}

func repeatsInOneBlock() Rule {
	return Rule{
		Name: "repeats-in-one-block", Group: Order, Severity: schema.Notice,
		Title: "All repeats of each configuration were read in one stretch",
		What:  "In a session, every configuration was on the bench once, with all its repeats in a row, so no configuration was returned to. The order is that of the column `order`, else of the rows.",
		Why: "Whatever changed while the session went on (warmth, wear, a background task) goes into the differences, and nothing in the readings can show it. " +
			"The spread of repeats in a row is also smaller than that of a part fitted anew.",
		Remedy: "Take turns: once round all configurations, then again, in another order. Where a swap is too costly, return to the first configuration at the end. " +
			"If the order was another one, write it in the column `order`.",
		Source: "NIST/SEMATECH e-Handbook of Statistical Methods, 5.3.3.2 (randomisation within blocks).",
		look: func(in *inquiry) {
			for session, visits := range in.visits {
				if !in.inBlocks(session) {
					continue
				}
				s := in.p.Sessions[session]
				list := in.configurationsIn(session)
				in.add(schema.Finding{Place: in.visitPlace(visits[0]), Sessions: []string{s.ID}, Configurations: in.s.configurationIDs(list),
					Questions: in.questionsWithin(session),
					Message:   fmt.Sprintf("in session %q each of %s was read in one stretch, and none was returned to", s.ID, countOf(len(list), "configuration")),
					Remedy:    "take turns, or return to the first one at the end; if the order was another, write it in the column order"})
			}
		},
	}
}

// questionsWithin lists the questions that have a pair with both sides in a session.
func (in *inquiry) questionsWithin(session int) []string {
	var ids []string
	for q, question := range in.p.Questions {
		if slices.ContainsFunc(in.s.answers[q].Pairs, func(p Pair) bool {
			return slices.Contains(in.s.sessions[p.From], session) && slices.Contains(in.s.sessions[p.To], session)
		}) {
			ids = append(ids, question.ID)
		}
	}
	return ids
}

func noReturnToBaseline() Rule {
	return Rule{
		Name: "no-return-to-baseline", Group: Order, Severity: schema.Notice,
		Title: "The baseline was not read again after others",
		What:  "In a session with the baseline and repeats, some configuration was read only after the baseline's last visit, and no finding of factor-with-time says so already.",
		Why:   "A second visit at the end is the cheapest test for drift: if the baseline reads the same, the session was steady.",
		Remedy: "End each session with a visit to the baseline. For this one, read the baseline and the late configurations once more, " +
			"in turns.",
		Source: "common practice, no source",
		look: func(in *inquiry) {
			read := 0
			for _, visits := range in.visits {
				if len(visits) > 0 {
					read++
				}
			}
			for session, visits := range in.visits {
				if in.inBlocks(session) || !in.repeatsIn(session) && (read > 1 || len(in.configurationsIn(session)) < 3) {
					continue
				}
				last := -1
				first := make(map[int]int)
				for i, v := range visits {
					if v.configuration == in.p.Baseline {
						last = i
					}
					if _, ok := first[v.configuration]; !ok {
						first[v.configuration] = i
					}
				}
				if last < 0 {
					continue
				}
				var late []int
				for _, c := range in.configurationsIn(session) {
					if first[c] > last {
						late = append(late, c)
					}
				}
				late = slices.DeleteFunc(late, func(c int) bool {
					return in.foundFor("factor-with-time", in.configurationID(c), in.p.Sessions[session].ID)
				})
				if len(late) == 0 {
					continue
				}
				s, base := in.p.Sessions[session], in.configurationID(in.p.Baseline)
				in.add(schema.Finding{Place: in.visitPlace(visits[first[late[0]]]), Sessions: []string{s.ID}, Configurations: append(in.s.configurationIDs(late), base),
					Questions: in.questionsWithin(session),
					Message:   fmt.Sprintf("in session %q %s %s read after the last visit to the baseline %q", s.ID, quoted(in.s.configurationIDs(late)), was(len(late)), base),
					Remedy:    "end the session with the baseline; its second visit shows whether anything drifted"})
			}
		},
	}
}

// foundFor reports whether a rule has a finding that names a configuration and a session.
func (in *inquiry) foundFor(rule, configuration, session string) bool {
	return slices.ContainsFunc(in.findings, func(f schema.Finding) bool {
		return f.Rule == rule && slices.Contains(f.Configurations, configuration) && slices.Contains(f.Sessions, session)
	})
}

func factorWithTime() Rule {
	return Rule{
		Name: "factor-with-time", Group: Order, Severity: schema.Warning,
		Title: "A factor is confounded with time",
		What: "In every session that has both sides of a question's matched pairs, all runs with the one level came before all runs with the other, " +
			"always in the same direction, and no configuration was visited both before and after them. Sessions read in blocks have a finding of their own.",
		Why:    "A machine that warms up, a drive that fills, a room that cools: with the one level always first, the drift becomes the factor's effect.",
		Remedy: "Take turns between the levels, or read in the reverse order on another day, or return to an earlier configuration at the end.",
		Source: "NIST/SEMATECH e-Handbook of Statistical Methods, 5.3.3.2 (randomise what cannot be blocked).",
		look: func(in *inquiry) {
			for q, question := range in.p.Questions {
				a := in.s.answers[q]
				var from, to []int
				for _, p := range a.Pairs {
					if p.State == Measured {
						from, to = append(from, p.From), append(to, p.To)
					}
				}
				direction, readings := 0, 0
				var sessions []int
				for session, visits := range in.visits {
					d, n := in.separation(visits, from, to)
					if n == 0 {
						continue
					}
					if d == 0 || direction != 0 && d != direction || in.inBlocks(session) {
						direction = 0
						sessions = nil
						break
					}
					direction = d
					readings += n
					sessions = append(sessions, session)
				}
				if direction == 0 || readings < 4 || len(sessions) == 0 {
					continue
				}
				factor := in.p.Factors[question.Factor].ID
				x, y := question.From, question.To
				if direction < 0 {
					x, y = y, x
				}
				slices.Sort(from)
				slices.Sort(to)
				names := append(in.s.configurationIDs(slices.Compact(from)), in.s.configurationIDs(slices.Compact(to))...)
				in.add(schema.Finding{Place: question.Place, Questions: []string{question.ID}, Factors: []string{factor}, Configurations: names, Sessions: in.sessionIDs(sessions),
					Message: fmt.Sprintf("every run with %s %s came before every run with %s, so its effect cannot be told from a drift",
						factor, in.s.valueText(question.Factor, x), in.s.valueText(question.Factor, y)),
					Remedy: "take turns between the two levels, or return to an earlier configuration at the end"})
			}
		},
	}
}

// separation says whether all visits to one list came before all visits to
// the other (1: from first, −1: to first, 0: mixed, or bracketed by visits to
// some configuration before and after), and how many readings there were of
// both; no readings when a list was not visited.
func (in *inquiry) separation(visits []visit, from, to []int) (direction, readings int) {
	const none = -1
	firstFrom, lastFrom, firstTo, lastTo := none, none, none, none
	side := make([]int8, len(in.p.Configurations)) // 1: from, 2: to, 3: both
	for _, c := range from {
		side[c] |= 1
	}
	for _, c := range to {
		side[c] |= 2
	}
	for i, v := range visits {
		if side[v.configuration]&1 != 0 {
			if firstFrom == none {
				firstFrom = i
			}
			lastFrom = i
			readings += len(v.readings)
		}
		if side[v.configuration]&2 != 0 {
			if firstTo == none {
				firstTo = i
			}
			lastTo = i
			readings += len(v.readings)
		}
	}
	if firstFrom == none || firstTo == none {
		return 0, 0
	}
	first, last := min(firstFrom, firstTo), max(lastFrom, lastTo)
	before := make(map[int]bool)
	for _, v := range visits[:first] {
		before[v.configuration] = true
	}
	if slices.ContainsFunc(visits[last+1:], func(v visit) bool { return before[v.configuration] }) {
		return 0, readings
	}
	switch {
	case lastFrom < firstTo:
		return 1, readings
	case lastTo < firstFrom:
		return -1, readings
	}
	return 0, readings
}

// inVisit gives the values of one workload in a visit.
func (in *inquiry) inVisit(v visit, w int) (values []float64, readings []int) {
	for _, i := range v.readings {
		if int(in.p.Readings[i].Workload) == w {
			values, readings = append(values, in.p.Readings[i].Value), append(readings, i)
		}
	}
	return values, readings
}

// spreadIn pools the spread of one workload in a session over the
// configurations other than one: within their visits, so that a drift between
// visits does not hide itself.
func (in *inquiry) spreadIn(session, w, except int) (stats.PooledSpread, bool) {
	var groups [][]float64
	for _, v := range in.visits[session] {
		if v.configuration == except {
			continue
		}
		if values, _ := in.inVisit(v, w); len(values) > 1 {
			groups = append(groups, values)
		}
	}
	p, err := stats.PooledSD(groups)
	return p, err == nil
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
		if _, unit := digits(r.Written); unit > 0 && (step == 0 || unit < step) {
			step = unit
			if r.Raw != 0 && r.Value != 0 {
				step *= math.Abs(r.Value / r.Raw)
			}
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
