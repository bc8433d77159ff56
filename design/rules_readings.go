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

func impossibleReading() Rule {
	return Rule{
		Name: "impossible-reading", Group: Readings, Severity: schema.Error,
		Title: "A reading is impossible",
		What:  "An ok reading lies outside the possible range that the workload declares (`least`, `most`), or is negative or zero on a ratio scale.",
		Why:   "One such reading spoils every mean and every ratio that it goes into; a ratio to zero does not exist.",
		Remedy: "Correct it from the raw file. If the run went wrong, give it an outcome other than ok. If negative numbers are meaningful, " +
			"the scale is interval.",
		Source: "S. S. Stevens, Science 103, 1946 (scales).",
		look: func(in *inquiry) {
			for _, g := range in.groups {
				w := in.p.Workloads[g.workload]
				for _, i := range g.ok {
					r := in.p.Readings[i]
					why := ""
					switch {
					case w.HasLeast && r.Value < w.Least:
						why = "below the least possible value of " + withUnit(w.Least, w.Unit)
					case w.HasMost && r.Value > w.Most:
						why = "above the largest possible value of " + withUnit(w.Most, w.Unit)
					case w.Scale == project.RatioScale && r.Value < 0:
						why = "negative, which a ratio scale cannot be"
					case w.Scale == project.RatioScale && r.Value == 0:
						why = "zero, and nothing can be compared with zero by a ratio"
					default:
						continue
					}
					in.add(schema.Finding{Place: in.place(i), Workloads: []string{w.ID}, Configurations: []string{in.configurationID(g.configuration)},
						Questions: in.questionsWith(g.configuration),
						Message:   fmt.Sprintf("%s for %q on %q is %s", withUnit(r.Value, w.Unit), w.ID, in.configurationID(g.configuration), why),
						Remedy:    "correct it from the raw file, or give the run an outcome other than ok"})
				}
			}
		},
	}
}

// misfit is readings that lie off their neighbours by a factor.
type misfit struct {
	group    group
	readings []int
	ratio    float64 // of the reading over its neighbours
	spread   float64 // of the neighbours, as the logarithm to base 10 of largest over smallest
	whole    bool    // all readings of the group are off, against other configurations
}

// misfits finds readings that lie off their neighbours by a factor of four or
// more, where the neighbours agree among themselves: the other repeats within
// a fifth, or three other configurations or more within a quarter.
func (in *inquiry) misfits() []misfit {
	var list []misfit
	for _, w := range in.readWorkloads() {
		if in.p.Workloads[w].Scale != project.RatioScale {
			continue
		}
		groups := in.ofWorkload(w)
		middle := make([]float64, len(groups))
		for k, g := range groups {
			values := in.values(g.ok)
			middle[k], _ = stats.Median(values)
			if len(values) < 3 || slices.Min(values) <= 0 || slices.Max(values) < 4*slices.Min(values) {
				continue
			}
			for j, i := range g.ok {
				m, spread, ok := without(values, values[j], 1.2)
				if ok && (values[j] > 4*m || 4*values[j] < m) {
					list = append(list, misfit{g, []int{i}, values[j] / m, spread, false})
				}
			}
		}
		positive := slices.DeleteFunc(slices.Clone(middle), func(m float64) bool { return m <= 0 })
		if len(positive) < 4 || slices.Max(positive) < 4*slices.Min(positive) {
			continue
		}
		// One that is four times off while all others agree is the least or the
		// largest of all.
		for _, extreme := range []float64{slices.Min(positive), slices.Max(positive)} {
			m, spread, ok := without(positive, extreme, 1.25)
			if !ok || extreme <= 4*m && 4*extreme >= m {
				continue
			}
			k := slices.Index(middle, extreme)
			list = append(list, misfit{groups[k], groups[k].ok, extreme / m, spread, true})
		}
	}
	return list
}

// without looks at values but for one of them: their median, the logarithm to
// base 10 of largest over smallest, and whether that ratio is within limit.
func without(values []float64, one, limit float64) (median, spread float64, tight bool) {
	rest := slices.Clone(values)
	k := slices.Index(rest, one)
	rest = slices.Delete(rest, k, k+1)
	low, high := slices.Min(rest), slices.Max(rest)
	median, err := stats.Median(rest)
	return median, math.Log10(high / low), err == nil && high <= limit*low
}

func (in *inquiry) misfitFinding(m misfit, what, remedy string) {
	w := in.p.Workloads[m.group.workload]
	c := in.configurationID(m.group.configuration)
	value, _ := stats.Median(in.values(m.readings))
	subject := fmt.Sprintf("%s for %q on %q is", withUnit(sigfigs(value, 5), w.Unit), w.ID, c)
	neighbours := "its other repeats"
	if m.whole {
		subject = fmt.Sprintf("the readings of %q on %q, around %s, are", w.ID, c, withUnit(sigfigs(value, 4), w.Unit))
		neighbours = "those of the other configurations"
	}
	in.add(schema.Finding{Place: in.place(m.readings[0]), Workloads: []string{w.ID}, Configurations: []string{c}, Questions: in.questionsWith(m.group.configuration),
		Message: fmt.Sprintf("%s %s %s", subject, what, neighbours), Remedy: remedy})
}

func powerOfTen() Rule {
	return Rule{
		Name: "power-of-ten", Group: Readings, Severity: schema.Warning,
		Title: "A reading is off by a power of ten",
		What: "A reading is 10, 100 or 1000 times as large or as small as its neighbours: the other repeats, which agree within a fifth, " +
			"or the other configurations, at least three that agree within a quarter. Against other configurations a factor of ten alone is not enough.",
		Why:    "A slipped decimal point, or milliseconds where seconds were meant.",
		Remedy: "Correct it from the raw file, or write its unit in the column `unit`.",
		Source: "common practice, no source",
		look: func(in *inquiry) {
			for _, m := range in.misfits() {
				if in.suspect(m.readings[0]) {
					continue
				}
				k, off, ok := m.powerOfTen()
				if !ok {
					continue
				}
				if _, nearer, ok := m.conversion(); ok && nearer < off {
					continue // 1024 is nearer than 1000: suspect-unit says so
				}
				times := number(math.Pow(10, math.Abs(k)))
				what := times + " times as large as"
				if k < 0 {
					what = times + " times smaller than"
				}
				in.misfitFinding(m, what, "correct it from the raw file, or write its unit beside it")
			}
		},
	}
}

// powerOfTen gives the power of ten that a misfit is off by, and how far it
// lies from it as a logarithm to base 10.
func (m *misfit) powerOfTen() (power, off float64, ok bool) {
	at := math.Log10(m.ratio)
	power = math.Round(at)
	off = math.Abs(at - power)
	return power, off, power != 0 && off <= 0.03+m.spread && (!m.whole || math.Abs(power) >= 2)
}

// conversion gives the factor between units that a misfit is off by, and how
// far it lies from it as a logarithm to base 10.
func (m *misfit) conversion() (c unitsMixed, off float64, ok bool) {
	for _, c := range conversions {
		off := math.Abs(math.Abs(math.Log10(m.ratio)) - math.Log10(c.factor))
		if off <= 0.013+min(m.spread, 0.03) && (!m.whole || c.factor >= 60) {
			return c, off, true
		}
	}
	return c, 0, false
}

// unitsMixed is a factor between two units.
type unitsMixed struct {
	factor float64
	units  string
}

// conversions are factors between units of one quantity that people mix up, apart from powers of ten.
var conversions = [...]unitsMixed{
	{60, "minutes and seconds"},
	{3600, "hours and seconds"},
	{8, "bytes and bits"},
	{1024, "binary and plain multiples"},
	{1024 * 1024, "binary and plain multiples"},
}

func suspectUnit() Rule {
	return Rule{
		Name: "suspect-unit", Group: Readings, Severity: schema.Warning,
		Title: "A reading looks as if it were in another unit",
		What: "A reading is 60, 3600, 8, 1024 or 1024² times as large or as small as its neighbours, within 3 % and the neighbours' own spread. " +
			"The neighbours are the other repeats, which agree within a fifth, or at least three other configurations that agree within a quarter.",
		Why:    "Minutes among seconds, bits among bytes.",
		Remedy: "Write the unit in the column `unit`; it is converted.",
		Source: "common practice, no source",
		look: func(in *inquiry) {
			for _, m := range in.misfits() {
				c, off, ok := m.conversion()
				if !ok {
					continue
				}
				if _, nearer, ok := m.powerOfTen(); ok && nearer <= off {
					continue // power-of-ten says so
				}
				what := number(c.factor) + " times as large as"
				if m.ratio < 1 {
					what = number(c.factor) + " times smaller than"
				}
				in.misfitFinding(m, what, fmt.Sprintf("check the unit (%s); write it in the column unit, and it is converted", c.units))
			}
		},
	}
}

func partialWorkload() Rule {
	return Rule{
		Name: "partial-workload", Group: Readings, Severity: schema.Warning,
		Title:  "A workload was run on a part of the configurations only",
		What:   "A workload has runs (failed and excluded ones count) on two configurations or more, and none on others that have readings.",
		Why:    "Leaving a workload out where it looks bad is the oldest trick; leaving it out by oversight looks the same. Composites cover common workloads only.",
		Remedy: "Run it on the others, or say in the workload's note, or with a silence and its reason, why it was left out there.",
		Source: "P. J. Fleming and J. J. Wallace, CACM 29(3), 1986 (compare over the same set).",
		look: func(in *inquiry) {
			for _, w := range in.readWorkloads() {
				groups := in.ofWorkload(w)
				if len(groups) < 2 {
					continue
				}
				with := make(map[int]bool)
				for _, g := range groups {
					with[g.configuration] = true
				}
				var without []int
				for c := range in.p.Configurations {
					if in.s.read[c] && !with[c] {
						without = append(without, c)
					}
				}
				if len(without) == 0 {
					continue
				}
				ids := in.s.configurationIDs(without)
				in.add(schema.Finding{Place: in.p.Workloads[w].Place, Workloads: []string{in.workloadID(w)}, Configurations: ids, Questions: in.questionsWith(without...),
					Message: fmt.Sprintf("%q was run on %s, but not on %s", in.workloadID(w), countOf(len(with), "configuration"), quoted(ids)),
					Remedy:  "run it there too, or silence this with the reason why not"})
			}
		},
	}
}

func failureLeftOut() Rule {
	return Rule{
		Name: "failure-left-out", Group: Readings, Severity: schema.Notice,
		Title: "A failure is left out of a comparison",
		What: "In a matched pair of a question, one side has nothing but failed runs of a workload that the other side completed, and neither the note of the question " +
			"nor that of the configuration says a word of it.",
		Why:    "The question is answered without that workload, as if nothing had happened there; and for many readers \"it crashed\" is the answer.",
		Remedy: "Say so in the note of the configuration or the question. The tables show the failure in any case.",
		Source: "common practice, no source",
		look: func(in *inquiry) {
			for c, configuration := range in.p.Configurations {
				if speaksOfFailure(configuration.Note) {
					continue
				}
				var workloads []string
				var questions []string
				var failed []int
				for q, question := range in.p.Questions {
					if speaksOfFailure(question.Note) {
						continue
					}
					for _, w := range in.s.workloadsOf(q) {
						bad := in.of(w, c)
						if len(bad.ok) > 0 || len(bad.failed) == 0 || !slices.ContainsFunc(in.s.answers[q].Pairs, func(p Pair) bool {
							return p.From == c && len(in.of(w, p.To).ok) > 0 || p.To == c && len(in.of(w, p.From).ok) > 0
						}) {
							continue
						}
						if id := in.workloadID(w); !slices.Contains(workloads, id) {
							workloads = append(workloads, id)
							failed = append(failed, bad.failed...)
						}
						questions = append(questions, question.ID)
					}
				}
				if len(workloads) == 0 {
					continue
				}
				questions = slices.Compact(questions)
				in.add(schema.Finding{Place: in.place(failed[0]), Workloads: workloads, Configurations: []string{configuration.ID}, Questions: questions,
					Message: fmt.Sprintf("%q %s on %s, so %s %s answered without it", configuration.ID, in.outcomeText(failed), quoted(workloads),
						quoted(questions), map[bool]string{true: "is", false: "are"}[len(questions) == 1]),
					Remedy: "say so in the note of the configuration or the question"})
			}
		},
	}
}

// speaksOfFailure reports whether a note mentions that something went wrong.
func speaksOfFailure(note string) bool {
	lower := strings.ToLower(note)
	return slices.ContainsFunc([]string{"hung", "hang", "crash", "unstable", "not start", "fail"}, func(word string) bool {
		return strings.Contains(lower, word)
	})
}

// outcomeText says how runs ended: "crashed", "did not start".
func (in *inquiry) outcomeText(readings []int) string {
	switch in.p.Readings[readings[0]].Outcome {
	case project.DidNotStart:
		return "did not start"
	case project.Unstable:
		return "was unstable"
	default:
		return in.p.Readings[readings[0]].Outcome.String()
	}
}

func failedAmongRepeats() Rule {
	return Rule{
		Name: "failed-among-repeats", Group: Readings, Severity: schema.Notice,
		Title:  "Some repeats failed and others did not",
		What:   "A workload has both ok readings and failed runs on one configuration. Workloads that lack the same runs are told together.",
		Why:    "The mean is that of the runs that survived. A machine that crashes every third time is not as fast as the other two runs say.",
		Remedy: "State the share of failures beside the figure, and find the cause if you can.",
		Source: "common practice, no source (survivorship)",
		look: func(in *inquiry) {
			// A run that hangs takes all its workloads along: that is one event.
			type loss struct {
				groups   []group // of one configuration
				sessions []int
			}
			var losses []loss
			at := make(map[string]int)
			for _, g := range in.groups {
				if len(g.ok) == 0 || len(g.failed) == 0 {
					continue
				}
				var runs []string
				var sessions []int
				for _, i := range g.failed {
					r := &in.p.Readings[i]
					runs = append(runs, fmt.Sprint(r.Session, "/", r.Repeat, "/", r.Outcome))
					sessions = append(sessions, int(r.Session))
				}
				slices.Sort(runs)
				key := fmt.Sprint(g.configuration, runs)
				k, ok := at[key]
				if !ok {
					k = len(losses)
					at[key] = k
					losses = append(losses, loss{sessions: sessions})
				}
				losses[k].groups = append(losses[k].groups, g)
			}
			for _, l := range losses {
				var ids, shares []string
				shared := make(map[string][]string) // "1 of 3" -> the workloads of which that is true
				first := l.groups[0].failed[0]
				for _, g := range l.groups {
					share := fmt.Sprintf("%d of %d", len(g.failed), len(g.failed)+len(g.ok))
					if shared[share] == nil {
						shares = append(shares, share)
					}
					shared[share] = append(shared[share], in.workloadID(g.workload))
					ids = append(ids, in.workloadID(g.workload))
					first = min(first, slices.Min(g.failed))
				}
				for k, share := range shares {
					shares[k] = fmt.Sprintf("%s runs of %s", share, quoted(shared[share]))
				}
				c := l.groups[0].configuration
				in.add(schema.Finding{Place: in.place(first), Workloads: ids, Configurations: []string{in.configurationID(c)},
					Sessions: in.sessionIDs(l.sessions), Questions: in.questionsWith(c),
					Message: fmt.Sprintf("%s on %q failed; the figures are those of the runs that did not", listOf(shares), in.configurationID(c)),
					Remedy:  "state the share of failures beside the figure"})
			}
		},
	}
}

func excludedOnOneSide() Rule {
	return Rule{
		Name: "excluded-on-one-side", Group: Readings, Severity: schema.Warning,
		Title:  "Many readings were excluded on one configuration",
		What:   "Two readings or more, and over a third of a workload's readings on a configuration, are excluded, while of the workload's readings on the others less than a tenth are.",
		Why:    "Whoever may throw out readings on one side can have any result. It may be quite right; then it deserves a sentence.",
		Remedy: "Say why this configuration needed it. Apply the same criterion to the others, or read the repeats again.",
		Source: "common practice, no source",
		look: func(in *inquiry) {
			for _, w := range in.readWorkloads() {
				groups := in.ofWorkload(w)
				ok, excluded := 0, 0
				for _, g := range groups {
					ok += len(g.ok)
					excluded += len(g.excluded)
				}
				for _, g := range groups {
					own := len(g.ok) + len(g.excluded)
					rest := ok + excluded - own
					if len(g.excluded) < 2 || 3*len(g.excluded) <= own || rest == 0 || 10*(excluded-len(g.excluded)) >= rest {
						continue
					}
					c := in.configurationID(g.configuration)
					in.add(schema.Finding{Place: in.place(g.excluded[0]), Workloads: []string{in.workloadID(w)}, Configurations: []string{c}, Questions: in.questionsWith(g.configuration),
						Message: fmt.Sprintf("%d of %d readings of %q on %q are excluded, and hardly any elsewhere", len(g.excluded), own, in.workloadID(w), c),
						Remedy:  "apply the same criterion to the other configurations, or read the repeats again"})
				}
			}
		},
	}
}

// atCap is how far from a limit a reading may lie and still be called at it: a
// thousandth, by which a mean of frames differs from it, or the last digit of the
// reading as it was written.
func (in *inquiry) atCap(r *project.Reading, rate float64) float64 {
	step := 0.0
	if r.Raw != 0 {
		step = in.lastDigit(r) * math.Abs(r.Value/r.Raw)
	}
	return max(0.001*rate, step) * (1 + 1e-9)
}

// refreshRates are those that displays are driven at.
var refreshRates = [...]float64{24, 25, 30, 50, 60, 72, 75, 85, 90, 100, 120, 144, 165, 180, 200, 240, 360}

func cappedReadings() Rule {
	return Rule{
		Name: "capped-readings", Group: Readings, Severity: schema.Notice,
		Title: "Frame rates stop at a refresh rate",
		What: "The three best configurations or more agree on a frame rate within half a per cent, it is a usual refresh rate, and others are slower by a tenth or more. " +
			"Their single readings pile up there: half of them or more lie within a thousandth of the rate or a digit of it, and none of any configuration lies further above.",
		Why:    "Probably the display or a limiter was measured. All that is known of these configurations is that they are at least as fast.",
		Remedy: "Turn off synchronisation with the display and any limiter, and read again; or say on the page that the figure is a bound.",
		Source: "common practice, no source",
		look: func(in *inquiry) {
			for _, w := range in.readWorkloads() {
				workload := in.p.Workloads[w]
				if symbol := strings.ToLower(workload.Unit.Symbol); !workload.HigherBetter || symbol != "fps" && symbol != "frames/s" && symbol != "hz" {
					continue
				}
				type centre struct {
					c     int
					value float64
					ok    []int
				}
				var all []centre
				top := -1 // the largest single reading
				for _, g := range in.ofWorkload(w) {
					if m, err := stats.Median(in.values(g.ok)); err == nil {
						all = append(all, centre{g.configuration, m, g.ok})
						for _, i := range g.ok {
							if top < 0 || in.p.Readings[i].Value > in.p.Readings[top].Value {
								top = i
							}
						}
					}
				}
				for _, rate := range refreshRates {
					var at []int
					first := -1
					slower, faster := 0, 0
					piled, readings := 0, 0
					for _, x := range all {
						switch {
						case math.Abs(x.value-rate) <= 0.005*rate:
							at = append(at, x.c)
							if first < 0 {
								first = x.ok[0]
							}
							for _, i := range x.ok {
								r := &in.p.Readings[i]
								readings++
								if math.Abs(r.Value-rate) <= in.atCap(r, rate) {
									piled++
								}
							}
						case x.value > rate:
							faster++
						case x.value < 0.9*rate:
							slower++
						}
					}
					if len(at) < 3 || faster > 0 || slower == 0 || 2*piled < readings {
						continue
					}
					most := in.p.Readings[top].Value
					if most > rate+in.atCap(&in.p.Readings[top], rate) {
						continue
					}
					ids := in.s.configurationIDs(at)
					in.add(schema.Finding{Place: in.place(first), Workloads: []string{workload.ID}, Configurations: ids, Questions: in.questionsWith(at...),
						Message: fmt.Sprintf("%q reads %s on %s, and no reading is above %s: a limit may have been measured", workload.ID,
							withUnit(rate, workload.Unit), quoted(ids), withUnit(max(most, rate), workload.Unit)),
						Remedy: "turn off synchronisation and limiters, and read again"})
				}
			}
		},
	}
}
