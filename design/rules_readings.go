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
			middle[k], _ = stats.Median(in.values(g.ok))
			values := in.values(g.ok)
			if len(values) < 3 || slices.Min(values) <= 0 {
				continue
			}
			for j, i := range g.ok {
				rest := slices.Delete(slices.Clone(values), j, j+1)
				low, high := slices.Min(rest), slices.Max(rest)
				m, _ := stats.Median(rest)
				if high <= 1.2*low && (values[j] > 4*m || 4*values[j] < m) {
					list = append(list, misfit{g, []int{i}, values[j] / m, math.Log10(high / low), false})
				}
			}
		}
		for k, g := range groups {
			var rest []float64
			for j, m := range middle {
				if j != k && m > 0 {
					rest = append(rest, m)
				}
			}
			if len(rest) < 3 || middle[k] <= 0 || len(g.ok) == 0 {
				continue
			}
			low, high := slices.Min(rest), slices.Max(rest)
			m, _ := stats.Median(rest)
			if high <= 1.25*low && (middle[k] > 4*m || 4*middle[k] < m) {
				list = append(list, misfit{g, g.ok, middle[k] / m, math.Log10(high / low), true})
			}
		}
	}
	return list
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
				power := math.Log10(m.ratio)
				k := math.Round(power)
				if k == 0 || math.Abs(power-k) > 0.03+m.spread || m.whole && math.Abs(k) < 2 {
					continue
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

// conversions are factors between units of one quantity that people mix up, apart from powers of ten.
var conversions = [...]struct {
	factor float64
	units  string
}{
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
				for _, c := range conversions {
					off := math.Abs(math.Abs(math.Log10(m.ratio)) - math.Log10(c.factor))
					if off > 0.013+min(m.spread, 0.03) || m.whole && c.factor < 60 {
						continue
					}
					what := number(c.factor) + " times as large as"
					if m.ratio < 1 {
						what = number(c.factor) + " times smaller than"
					}
					in.misfitFinding(m, what, fmt.Sprintf("check the unit (%s); write it in the column unit, and it is converted", c.units))
					break
				}
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
		Title:  "A failure is left out of a comparison",
		What:   "In a matched pair of a question, one side has nothing but failed runs of a workload that the other side completed.",
		Why:    "The question is answered without that workload, as if nothing had happened there; and for many readers \"it crashed\" is the answer.",
		Remedy: "Say so in the question's note. The tables and the configuration's page show the failure in any case.",
		Source: "common practice, no source",
		look: func(in *inquiry) {
			for q, question := range in.p.Questions {
				var said []string
				f := schema.Finding{Place: question.Place, Questions: []string{question.ID}, Factors: []string{in.p.Factors[question.Factor].ID}}
				for _, w := range in.s.workloadsOf(q) {
					if in.p.Workloads[w].Derived != nil {
						continue
					}
					for _, p := range in.s.answers[q].Pairs {
						for _, c := range [][2]int{{p.From, p.To}, {p.To, p.From}} {
							bad, good := in.of(w, c[0]), in.of(w, c[1])
							if len(bad.ok) > 0 || len(bad.failed) == 0 || len(good.ok) == 0 {
								continue
							}
							text := fmt.Sprintf("%q %s on %q", in.configurationID(c[0]), in.outcomeText(bad.failed), in.workloadID(w))
							if slices.Contains(said, text) {
								continue
							}
							said = append(said, text)
							f.Workloads = append(f.Workloads, in.workloadID(w))
							f.Configurations = append(f.Configurations, in.configurationID(c[0]), in.configurationID(c[1]))
							f.Related = append(f.Related, schema.Related{Place: in.place(bad.failed[0]), Message: text})
						}
					}
				}
				if len(said) == 0 || len(question.Note) > 0 && in.noteSpeaksOf(question.Note, f.Configurations) {
					continue
				}
				f.Message = fmt.Sprintf("%s, so %q is answered without it", listOf(said), question.ID)
				f.Remedy = "say so in the question's note"
				in.add(f)
			}
		},
	}
}

// noteSpeaksOf reports whether a note mentions a failure or one of the names.
func (in *inquiry) noteSpeaksOf(note string, ids []string) bool {
	lower := strings.ToLower(note)
	for _, word := range []string{"hung", "crash", "unstable", "did not start", "failed", "failure"} {
		if strings.Contains(lower, word) {
			return true
		}
	}
	return slices.ContainsFunc(ids, func(id string) bool { return strings.Contains(note, id) })
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
		What:   "A workload has both ok readings and failed runs on one configuration.",
		Why:    "The mean is that of the runs that survived. A machine that crashes every third time is not as fast as the other two runs say.",
		Remedy: "State the share of failures beside the figure, and find the cause if you can.",
		Source: "common practice, no source (survivorship)",
		look: func(in *inquiry) {
			for _, g := range in.groups {
				if len(g.ok) == 0 || len(g.failed) == 0 {
					continue
				}
				w, c := in.workloadID(g.workload), in.configurationID(g.configuration)
				in.add(schema.Finding{Place: in.place(g.failed[0]), Workloads: []string{w}, Configurations: []string{c}, Questions: in.questionsWith(g.configuration),
					Message: fmt.Sprintf("%d of %d runs of %q on %q failed; the figures are those of the runs that did not", len(g.failed), len(g.failed)+len(g.ok), w, c),
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

// refreshRates are those that displays are driven at.
var refreshRates = [...]float64{24, 25, 30, 50, 60, 72, 75, 85, 90, 100, 120, 144, 165, 180, 200, 240, 360}

func cappedReadings() Rule {
	return Rule{
		Name: "capped-readings", Group: Readings, Severity: schema.Notice,
		Title:  "Frame rates stop at a refresh rate",
		What:   "The three best configurations or more agree on a frame rate within half a per cent, it is a usual refresh rate, and others are slower by a tenth or more.",
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
					at    int
				}
				var all []centre
				for _, g := range in.ofWorkload(w) {
					if m, err := stats.Median(in.values(g.ok)); err == nil {
						all = append(all, centre{g.configuration, m, g.ok[0]})
					}
				}
				for _, rate := range refreshRates {
					var at []int
					first := -1
					slower, faster := 0, 0
					for _, x := range all {
						switch {
						case math.Abs(x.value-rate) <= 0.005*rate:
							at = append(at, x.c)
							if first < 0 {
								first = x.at
							}
						case x.value > rate:
							faster++
						case x.value < 0.9*rate:
							slower++
						}
					}
					if len(at) < 3 || faster > 0 || slower == 0 {
						continue
					}
					ids := in.s.configurationIDs(at)
					in.add(schema.Finding{Place: in.place(first), Workloads: []string{workload.ID}, Configurations: ids, Questions: in.questionsWith(at...),
						Message: fmt.Sprintf("%q reads %s on %s and nowhere more: a limit may have been measured", workload.ID, withUnit(rate, workload.Unit), quoted(ids)),
						Remedy:  "turn off synchronisation and limiters, and read again"})
				}
			}
		},
	}
}
