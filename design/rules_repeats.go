package design

import (
	"encoding/binary"
	"fmt"
	"math"
	"slices"
	"strings"

	"benchwright/project"
	"benchwright/schema"
	"benchwright/stats"
)

// digits counts the significant digits of a number as written, and the unit of
// its last digit; 0 digits for what is no plain number.
func digits(written string) (significant int, unit float64) {
	text := strings.TrimLeft(strings.TrimSpace(written), "+-−")
	text = strings.Replace(text, ",", ".", 1)
	if i := strings.IndexFunc(text, func(r rune) bool { return r != '.' && (r < '0' || r > '9') }); i >= 0 {
		if text[i] == 'e' || text[i] == 'E' {
			return 0, 0
		}
		text = text[:i] // a unit follows
	}
	whole, fraction, _ := strings.Cut(text, ".")
	significant = len(strings.TrimLeft(whole, "0"))
	if significant == 0 {
		significant = len(strings.TrimLeft(fraction, "0"))
	} else {
		significant += len(fraction)
	}
	if significant == 0 {
		return 0, 0
	}
	return significant, math.Pow10(-len(fraction))
}

// lastDigit is the unit of the last digit of a reading as it was written; 0 for
// what is no plain number, and for zero.
func (in *inquiry) lastDigit(r *project.Reading) float64 {
	if decimals, ok := in.p.Decimals(r); ok && r.Raw != 0 {
		return math.Pow10(-decimals)
	}
	_, unit := digits(in.p.Written(r))
	return unit
}

// suspect reports whether an earlier rule has something to say about a reading
// itself, so that what follows from it need not be said.
func (in *inquiry) suspect(reading int) bool {
	place := in.place(reading)
	return slices.ContainsFunc(in.findings, func(f schema.Finding) bool {
		return f.Place == place && slices.Contains([]string{"impossible-reading", "power-of-ten", "suspect-unit", "outlier"}, f.Rule)
	})
}

func tooFewRepeats() Rule {
	return Rule{
		Name: "too-few-repeats", Group: Repeats, Severity: schema.Warning,
		Title:  "Too few repeats",
		What:   "A workload has fewer ok readings on a configuration than `minimum-repeats` in report.yaml asks for (3 when it says nothing).",
		Why:    "With one reading the spread is unknown, and with two hardly less so: nobody can tell a difference from chance.",
		Remedy: "Read more repeats; or set minimum-repeats lower and say why; or silence the rule for a workload whose result cannot vary.",
		Source: "common practice, no source",
		look: func(in *inquiry) {
			// Workloads that lack the same readings are told together.
			type lack struct {
				workloads []string
				groups    []group
				key       string
			}
			var lacks []lack
			for _, w := range in.readWorkloads() {
				var few []group
				key := ""
				for _, g := range in.ofWorkload(w) {
					if len(g.ok) > 0 && len(g.ok) < in.p.MinimumRepeats {
						few = append(few, g)
						key += fmt.Sprint(g.configuration, "=", len(g.ok), " ")
					}
				}
				if len(few) == 0 {
					continue
				}
				if i := slices.IndexFunc(lacks, func(l lack) bool { return l.key == key }); i >= 0 {
					lacks[i].workloads = append(lacks[i].workloads, in.workloadID(w))
				} else {
					lacks = append(lacks, lack{[]string{in.workloadID(w)}, few, key})
				}
			}
			for _, l := range lacks {
				var names []string
				var list []int
				alone := true
				for _, g := range l.groups {
					list = append(list, g.configuration)
					names = append(names, in.configurationID(g.configuration))
					alone = alone && len(g.ok) == 1
				}
				has := fmt.Sprintf("fewer than %d readings", in.p.MinimumRepeats)
				if alone {
					has = "one reading only, so its own spread is unknown,"
				}
				in.add(schema.Finding{Place: in.place(l.groups[0].ok[0]), Workloads: l.workloads, Configurations: names, Questions: in.questionsWith(list...),
					Message: fmt.Sprintf("%s %s %s on %s", quoted(l.workloads), map[bool]string{true: "has", false: "have"}[len(l.workloads) == 1], has, quoted(names)),
					Remedy:  fmt.Sprintf("read at least %d repeats of each", in.p.MinimumRepeats)})
			}
		},
	}
}

func largeSpread() Rule {
	return Rule{
		Name: "large-spread", Group: Repeats, Severity: schema.Warning,
		Title: "Repeats spread widely",
		What: "The coefficient of variation (standard deviation over mean) of three readings or more exceeds `largest-spread` in report.yaml " +
			"(5 % when it says nothing). Interval scales have no such coefficient and are left out, and so are readings with a finding of their own.",
		Why:    "Something moves between the repeats that is not held. Until it is known, small differences cannot be seen, and large ones may be luck.",
		Remedy: "Look for the cause: background tasks, boost clocks, warmth, a part that was moved. More repeats narrow the interval, but do not remove the cause.",
		Source: "common practice, no source for the limit",
		look: func(in *inquiry) {
			limit := in.p.LargestSpread
			for _, w := range in.readWorkloads() {
				if in.p.Workloads[w].Scale != project.RatioScale || limit <= 0 {
					continue
				}
				var wide []string
				var ids []string
				var list []int
				first := -1
				from, _ := in.rangeOf(w)
				for k, g := range in.ofWorkload(w) {
					if len(g.ok) < 3 {
						continue
					}
					// Most are far from the limit, and the exact spread is dear.
					if rough := in.spreads[from+k].relative / in.spreads[from+k].df; rough < 0.99*limit*limit {
						continue
					}
					values := in.values(g.ok)
					mean, err := stats.Mean(values)
					sd, err2 := stats.SD(values)
					if err != nil || err2 != nil || mean <= 0 || sd/mean <= limit*(1+1e-9) || slices.ContainsFunc(g.ok, in.suspect) {
						continue
					}
					if first < 0 {
						first = g.ok[0]
					}
					list = append(list, g.configuration)
					ids = append(ids, in.configurationID(g.configuration))
					wide = append(wide, fmt.Sprintf("%s on %q", share(sd/mean), in.configurationID(g.configuration)))
				}
				if len(wide) == 0 {
					continue
				}
				shown := wide
				if len(wide) > 7 {
					shown = append(slices.Clone(wide[:6]), fmt.Sprintf("%d more", len(wide)-6))
				}
				in.add(schema.Finding{Place: in.place(first), Workloads: []string{in.workloadID(w)}, Configurations: ids, Questions: in.questionsWith(list...),
					Message: fmt.Sprintf("readings of %q spread by %s; up to %s was to be expected", in.workloadID(w), listOf(shown), share(limit)),
					Remedy:  "look for what moved between the repeats"})
			}
		},
	}
}

func outlier() Rule {
	return Rule{
		Name: "outlier", Group: Repeats, Severity: schema.Warning,
		Title: "A reading lies far from its repeats",
		What: "Seven repeats or more are held against Rosner's generalised test. Of three to six, the farthest is held against the spread that the workload has on the " +
			"other configurations and must also lie far outside the other repeats. Both at 0.001, shared among all that is tested, and beyond three steps of the resolution.",
		Why:    "One reading in five that is wrong moves the mean by a fifth of its error, and the interval by more.",
		Remedy: "Look at the bench's log for that run. Exclude the reading with a reason if there is one; if there is none, leave it in and read more repeats. The tool removes nothing.",
		Source: "B. Rosner, Technometrics 25, 1983; NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.17.3.",
		look: func(in *inquiry) {
			groups, readings := 0, 0
			for _, g := range in.groups {
				if len(g.ok) >= 7 {
					groups++
				} else if len(g.ok) >= 3 {
					readings += len(g.ok)
				}
			}
			for _, g := range in.groups {
				switch n := len(g.ok); {
				case n >= 7:
					found, _, err := stats.GeneralisedESD(in.values(g.ok), max(1, n/5), falseAlarm/float64(groups))
					if err != nil {
						continue
					}
					slices.Sort(found)
					for _, k := range found {
						in.outlier(g, k)
					}
				case n >= 3:
					if k, ok := in.farFromOthers(g, falseAlarm/float64(readings)); ok {
						in.outlier(g, k)
					}
				}
			}
		},
	}
}

// outlier reports the k-th ok reading of a group, unless a rule on readings
// already has something better to say about it.
func (in *inquiry) outlier(g group, k int) {
	rest := slices.Delete(in.values(g.ok), k, k+1)
	mean, err := stats.Median(rest)
	r := in.p.Readings[g.ok[k]]
	place := in.place(g.ok[k])
	if err != nil || math.Abs(r.Value-mean) <= 3*in.step(g.workload, g.ok) {
		return
	}
	if in.suspect(g.ok[k]) {
		return
	}
	unit := in.p.Workloads[g.workload].Unit
	in.add(schema.Finding{Place: place, Workloads: []string{in.workloadID(g.workload)}, Configurations: []string{in.configurationID(g.configuration)},
		Sessions: in.sessionIDs([]int{int(r.Session)}), Questions: in.questionsWith(g.configuration),
		Message: fmt.Sprintf("%s for %q on %q lies far from its %s, which lie around %s", withUnit(r.Value, unit), in.workloadID(g.workload),
			in.configurationID(g.configuration), countOf(len(rest), "repeat"), withUnit(sigfigs(mean, 4), unit)),
		Remedy: "look for the cause in the session's log; exclude it only with a reason, else read more repeats"})
}

// farFromOthers tests the reading of a small group that is farthest from the
// median with the workload's spread on other configurations.
func (in *inquiry) farFromOthers(g group, alpha float64) (k int, ok bool) {
	relative := in.p.Workloads[g.workload].Scale == project.RatioScale
	values := in.values(g.ok)
	middle, _ := stats.Median(values)
	for i := range values {
		if math.Abs(values[i]-middle) > math.Abs(values[k]-middle) {
			k = i
		}
	}
	rest := slices.Delete(slices.Clone(values), k, k+1)
	mean, _ := stats.Mean(rest)
	size := 1.0
	if relative {
		if size = math.Abs(mean); size == 0 {
			return 0, false
		}
	}
	away := math.Abs(values[k] - mean)
	within := slices.Max(rest) - slices.Min(rest)
	if away <= 3*within {
		return 0, false
	}
	sd, df := in.pooled(g.workload, g.configuration, func(s spread) float64 {
		if relative {
			return s.relative
		}
		return s.plain
	})
	if df < 6 || sd == 0 {
		return 0, false
	}
	p, err := stats.Estimate{Value: away / size, SE: sd * math.Sqrt(1+1/float64(len(rest))), DF: df}.P(0)
	return k, err == nil && p <= alpha
}

func twoClusters() Rule {
	return Rule{
		Name: "two-clusters", Group: Repeats, Severity: schema.Warning,
		Title:  "Repeats fall into two clusters",
		What:   "Eight readings or more of a workload on one configuration split into two tight clusters, by the test of Engelman and Hartigan at 0.001, with at most a twentieth of the variation left inside them.",
		Why:    "Such readings come from two states of the machine: with and without a background task, before and after an update, two memory layouts. Their mean describes neither.",
		Remedy: "Find what tells the two apart and make it a factor or a session; or exclude one of the two with the reason.",
		Source: "L. Engelman and J. A. Hartigan, Journal of the American Statistical Association 64, 1969.",
		look: func(in *inquiry) {
			for _, g := range in.groups {
				if len(g.ok) < 8 {
					continue
				}
				c, err := stats.TwoClusters(in.values(g.ok), 0.001, in.step(g.workload, g.ok))
				if err != nil || !c.Found || c.Ratio > 0.05 {
					continue
				}
				unit := in.p.Workloads[g.workload].Unit
				f := schema.Finding{Place: in.place(g.ok[0]), Workloads: []string{in.workloadID(g.workload)}, Configurations: []string{in.configurationID(g.configuration)},
					Questions: in.questionsWith(g.configuration),
					Message: fmt.Sprintf("readings of %q on %q fall into two clusters: %d around %s and %d around %s", in.workloadID(g.workload),
						in.configurationID(g.configuration), c.LowN, withUnit(sigfigs(c.LowMean, 4), unit), c.HighN, withUnit(sigfigs(c.HighMean, 4), unit)),
					Remedy: "find what tells the two apart, and make it a factor or a session"}
				if apart := in.bySession(g, c.Split); apart {
					f.Message += "; each session is in one of them"
				}
				in.add(f)
			}
		},
	}
}

// bySession reports whether every session of a group lies on one side of a
// split, and there are several.
func (in *inquiry) bySession(g group, split float64) bool {
	side := make(map[int32]bool)
	for _, i := range g.ok {
		r := &in.p.Readings[i]
		high := r.Value > split
		if before, ok := side[r.Session]; ok && before != high {
			return false
		}
		side[r.Session] = high
	}
	return len(side) > 1
}

func identicalRepeats() Rule {
	return Rule{
		Name: "identical-repeats", Group: Repeats, Severity: schema.Warning,
		Title: "Repeats are identical to every digit",
		What: "Three readings or more of a workload on one configuration are the same to the last digit, although the workload varies on the other configurations " +
			"so much that this would happen by chance less than once in a thousand folders.",
		Why:    "It looks copied. If it was not, the workload met a limit (a frame cap, a full scale) or did not run anew (a cached result).",
		Remedy: "Look at the raw files. Read the repeats again, making sure that each is a run of its own.",
		Source: "common practice, no source",
		look: func(in *inquiry) {
			tests := 0
			for _, g := range in.groups {
				if len(g.ok) >= 3 {
					tests++
				}
			}
			for _, g := range in.groups {
				n := len(g.ok)
				if n < 3 {
					continue
				}
				first := in.p.Readings[g.ok[0]]
				if slices.ContainsFunc(g.ok, func(i int) bool { return in.p.Readings[i].Raw != first.Raw }) {
					continue
				}
				sd, _ := in.pooled(g.workload, g.configuration, func(s spread) float64 { return s.raw })
				unit := in.lastDigit(&first)
				if sd == 0 || unit == 0 {
					continue
				}
				// Two normal readings share a step with this chance when sd is not small against it.
				chance := math.Min(1, math.Pow(unit/(2*math.Sqrt(math.Pi)*sd), float64(n-1)))
				if chance > falseAlarm/float64(tests) {
					continue
				}
				in.add(schema.Finding{Place: in.place(g.ok[0]), Workloads: []string{in.workloadID(g.workload)}, Configurations: []string{in.configurationID(g.configuration)},
					Questions: in.questionsWith(g.configuration),
					Message: fmt.Sprintf("all %d readings of %q on %q are %s, to the last digit, although other configurations vary", n, in.workloadID(g.workload),
						in.configurationID(g.configuration), strings.TrimSpace(in.p.Written(&first))),
					Remedy: "look at the raw files, and read the repeats again"})
			}
		},
	}
}

func copiedReadings() Rule {
	return Rule{
		Name: "copied-readings", Group: Repeats, Severity: schema.Warning,
		Title: "Readings stand there twice",
		What: "The readings of a workload on two configurations are the same, one after the other: three or more that vary, with four digits, or four or more with three. " +
			"Or two runs of one configuration (a session and repeat) are the same to the last digit in every workload that both have: four or more with three digits, " +
			"half of which vary from repeat to repeat so much that chance would do this less than once in a thousand folders. " +
			"A workload that was hardly ever read twice is taken to spread by half a per cent; one that mostly repeats its number is no evidence. " +
			"Or rows of a file stand there again further down: two or more in a row of each workload, with four readings or more in all that have three digits, vary, and would agree by chance as rarely.\n\n" +
			"Or on half of the configurations that were read twice, two at least, every run is the same as another one to the last digit, as when one run of each was pasted in whole once more. " +
			"Then nothing varies. Six readings or more with three digits have to agree, of workloads in a physical unit (a time, a rate, a power, a temperature) whose numbers differ between configurations; " +
			"they are taken to spread by a fifth of a per cent, and by no less than the step in which all of them go.\n\n" +
			"A workload with `deterministic: true` says nothing as long as its readings bear that out. Not found: a run of fewer than four workloads, or a block of one run; " +
			"copies of counts, sizes and scores that never vary, and of readings of two digits; a pasted run in which one digit was changed.",
		Why: "A block of rows was probably copied and not overwritten, or pasted in twice. Then one of the two configurations was never read; " +
			"or one run counts twice, and its intervals are narrower than they should be.",
		Remedy: "Look at the raw files. Put the right readings in, or take out those that stand there twice. If a test always gives the same number, write `deterministic: true` at its workload, or silence the rule and say so.",
		Source: "common practice, no source",
		look: func(in *inquiry) {
			in.copies()
			for _, w := range in.readWorkloads() {
				first := make(map[string]group)
				var key []byte
				for _, g := range in.ofWorkload(w) {
					key = key[:0]
					varied := false
					for _, i := range g.ok {
						r := &in.p.Readings[i]
						key = binary.LittleEndian.AppendUint64(key, math.Float64bits(r.Raw))
						varied = varied || r.Raw != in.p.Readings[g.ok[0]].Raw
					}
					if n := len(g.ok); !varied || n < 3 {
						continue
					}
					fewest := 99
					for _, i := range g.ok {
						n, _ := digits(in.p.Written(&in.p.Readings[i]))
						fewest = min(fewest, n)
					}
					if n := len(g.ok); fewest < 3 || n < 4 && fewest < 4 {
						continue
					}
					other, ok := first[string(key)]
					if !ok {
						first[string(key)] = g
						continue
					}
					x, y := in.configurationID(other.configuration), in.configurationID(g.configuration)
					in.add(schema.Finding{Place: in.place(g.ok[0]), Workloads: []string{in.workloadID(w)}, Configurations: []string{x, y},
						Questions: in.questionsWith(other.configuration, g.configuration),
						Message:   fmt.Sprintf("%q has the same %d readings on %q as on %q, in the same order", in.workloadID(w), len(g.ok), y, x),
						Remedy:    "look at the raw files: a block of rows was probably copied",
						Related:   []schema.Related{{Place: in.place(other.ok[0]), Message: fmt.Sprintf("%q", x)}}})
				}
			}
		},
	}
}

func coarseResolution() Rule {
	return Rule{
		Name: "coarse-resolution", Group: Repeats, Severity: schema.Notice,
		Title:  "The resolution is coarser than the difference",
		What:   "On a workload, all matched pairs of a question differ by less than the declared resolution of the workload or its instrument.",
		Why:    "A clock that counts whole seconds cannot show half of one. Such a difference is called \"no difference seen\" on the page, whatever its sign.",
		Remedy: "Use a finer instrument or a longer run; or leave the workload out of the question.",
		Source: "common practice, no source",
		look: func(in *inquiry) {
			for q, question := range in.p.Questions {
				for _, w := range in.s.workloadsOf(q) {
					step := in.resolution(w)
					if step <= 0 {
						continue
					}
					largest, pairs := 0.0, 0
					var at Pair
					for _, p := range in.s.answers[q].Pairs {
						x, err := stats.Mean(in.values(in.of(w, p.From).ok))
						y, err2 := stats.Mean(in.values(in.of(w, p.To).ok))
						if err != nil || err2 != nil {
							continue
						}
						if pairs++; math.Abs(x-y) > largest || pairs == 1 {
							largest, at = math.Abs(x-y), p
						}
					}
					if pairs == 0 || largest == 0 || largest >= step*(1-1e-9) {
						continue
					}
					unit := in.p.Workloads[w].Unit
					in.add(schema.Finding{Place: question.Place, Questions: []string{question.ID}, Workloads: []string{in.workloadID(w)},
						Factors: []string{in.p.Factors[question.Factor].ID}, Configurations: []string{in.configurationID(at.From), in.configurationID(at.To)},
						Message: fmt.Sprintf("on %q the two sides of %q differ by %s at most, less than the resolution of %s", in.workloadID(w), question.ID,
							withUnit(sigfigs(largest, 2), unit), withUnit(step, unit)),
						Remedy: "use a finer instrument or a longer run, or leave the workload out of the question"})
				}
			}
		},
	}
}
