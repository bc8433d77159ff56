package design

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"benchwright/project"
	"benchwright/schema"
)

// shares splits configurations by their value of a factor: the usual ones (of
// the most common value; of equals, the baseline's, else the first), the odd
// ones by value, and those without a record. Configurations whose value a
// session will decide, or that had several, are in none.
func (in *inquiry) shares(f int) (usual []int, odd [][]int, unrecorded []int) {
	var groups [][]int
	for c := range in.p.Configurations {
		switch code := in.s.codes[c*in.s.factors+f]; {
		case code == codeOpen, len(in.s.ValuesOf(c, f)) > 1:
		case code <= 0:
			unrecorded = append(unrecorded, c)
		default:
			g := slices.IndexFunc(groups, func(g []int) bool { return in.s.status(f, g[0], c) == same })
			if g < 0 {
				groups = append(groups, nil)
				g = len(groups) - 1
			}
			groups[g] = append(groups[g], c)
		}
	}
	if len(groups) == 0 {
		return nil, nil, unrecorded
	}
	first := func(g []int) int {
		if slices.Contains(g, in.p.Baseline) {
			return 0
		}
		return 1
	}
	slices.SortStableFunc(groups, func(a, b []int) int {
		return cmp.Or(cmp.Compare(len(b), len(a)), cmp.Compare(first(a), first(b)), in.s.compareIDs(a[0], b[0]))
	})
	return groups[0], groups[1:], unrecorded
}

func heldFactorDiffers() Rule {
	return Rule{
		Name: "held-factor-differs", Group: Comparisons, Severity: schema.Warning,
		Title: "A held factor is not the same everywhere",
		What: "A factor of role held (a version of firmware or driver, a setting, a test version) has another value in some configuration, " +
			"unless a question allows that difference by name (`with`). " +
			"The finding names the configurations that are out of line, those they would otherwise pair with, and the questions this spoils.",
		Why: "It is the classic hidden second difference: the part was changed, and on the way the firmware was too. " +
			"Whatever the readings show is the sum of both.",
		Remedy: "Run the odd configuration again with the common value. If the factor was varied on purpose, give it the role studied; " +
			"if it changes because a part does, declare it: role follows, of the part.",
		Source: "NIST/SEMATECH e-Handbook of Statistical Methods, 5.3.1 (factors held constant).",
		look: func(in *inquiry) {
			for f, factor := range in.p.Factors {
				if factor.Role != project.Held || len(in.s.parents[f]) > 0 {
					continue
				}
				usual, odd, _ := in.shares(f)
				if len(odd) == 0 {
					continue
				}
				if len(odd) > mostOdd {
					in.add(schema.Finding{Place: factor.Place, Factors: []string{factor.ID}, Configurations: in.s.configurationIDs(slices.Concat(append(odd, usual)...)),
						Questions: in.allQuestions(),
						Message:   fmt.Sprintf("%s has %d different values, though it is to be held", factor.ID, len(odd)+1),
						Remedy:    "hold it, or give it the role it has: studied, follows, or nuisance with a tolerance"})
					continue
				}
				spoilt := in.spoiltBy(f)
				for _, group := range odd {
					group = slices.DeleteFunc(slices.Clone(group), func(c int) bool { return in.allowed(c, f) })
					if len(group) > 0 {
						in.oddFinding(f, usual, group, spoilt)
					}
				}
			}
		},
	}
}

// mostOdd is how many odd values of a held factor are told one by one.
const mostOdd = 8

func (in *inquiry) allQuestions() []string {
	var ids []string
	for _, q := range in.p.Questions {
		ids = append(ids, q.ID)
	}
	return ids
}

// allowed reports whether a configuration is one side of a bundle in which a
// question allows factor f to differ: then it differs on purpose.
func (in *inquiry) allowed(c, f int) bool {
	for q, question := range in.p.Questions {
		if slices.Contains(question.With, f) && slices.ContainsFunc(in.s.answers[q].Pairs, func(p Pair) bool {
			return (p.From == c || p.To == c) && in.s.status(f, p.From, p.To) == differs
		}) {
			return true
		}
	}
	return false
}

// mostWouldAnswer is of how many questions a pair is named.
const mostWouldAnswer = 6

// wouldAnswer names a pair of each question that is spoilt, since the finding is
// shown at each: `"a" and "b" would answer "x", and "a" and "c" "y"`.
func (in *inquiry) wouldAnswer(list []spoilt) string {
	var parts []string
	last, more := -1, 0
	for _, s := range list {
		if s.question == last {
			continue
		}
		last = s.question
		verb := ""
		switch {
		case len(parts) == mostWouldAnswer:
			more++
			continue
		case len(parts) == 0:
			verb = "would answer "
		}
		parts = append(parts, fmt.Sprintf("%q and %q %s%q", in.configurationID(s.pair.From), in.configurationID(s.pair.To), verb, in.p.Questions[s.question].ID))
	}
	if more > 0 {
		return strings.Join(parts, ", ") + ", and so on for " + countOf(more, "more question")
	}
	if n := len(parts); n > 1 {
		return strings.Join(parts[:n-1], ", ") + ", and " + parts[n-1]
	}
	return parts[0]
}

// oddFinding reports configurations that have another value than the usual one.
func (in *inquiry) oddFinding(f int, usual, odd []int, all []spoilt) {
	factor := in.p.Factors[f]
	finding := schema.Finding{Place: in.valuePlace(odd[0], f), Factors: []string{factor.ID}, Configurations: in.s.configurationIDs(odd)}
	spoilt := slices.DeleteFunc(slices.Clone(all), func(s spoilt) bool {
		return !slices.Contains(odd, s.pair.From) && !slices.Contains(odd, s.pair.To)
	})
	in.nameSpoilt(&finding, spoilt)
	finding.Message = fmt.Sprintf("%s is %s in %s, and %s in %s", factor.ID,
		in.s.valueText(f, in.s.ValuesOf(odd[0], f)[0].Value), quoted(in.s.configurationIDs(odd)),
		in.s.valueText(f, in.s.ValuesOf(usual[0], f)[0].Value), others(in.s.configurationIDs(usual)))
	if len(spoilt) > 0 {
		finding.Message += "; without that, " + in.wouldAnswer(spoilt)
	}
	finding.Remedy = fmt.Sprintf("run %s with %s %s", quoted(in.s.configurationIDs(odd)), factor.ID, in.s.valueText(f, in.s.ValuesOf(usual[0], f)[0].Value))
	if part := in.carrier(f); part >= 0 {
		finding.Remedy += fmt.Sprintf("; if it comes with %s, declare it: role: follows, of: %s", in.p.Factors[part].ID, in.p.Factors[part].ID)
	} else {
		finding.Remedy += ", or give the factor the role studied"
	}
	var beyond []Excess
	for _, c := range odd {
		usualValue := in.s.ValuesOf(usual[0], f)[0].Value
		beyond = addExcess(addExcess(beyond, in.s.levelExcess(f, usualValue)...), in.s.jointExcess(c, []Change{{Factor: f, To: usualValue}})...)
	}
	if len(beyond) > 0 {
		finding.Remedy = fmt.Sprintf("to run %s with the common value would go beyond the maker's limit (%s), so it is not proposed; give the factor the role studied, or leave these out of the comparison",
			quoted(in.s.configurationIDs(odd)), in.s.excessText(beyond))
	}
	in.relate(&finding, usual[0], f)
	in.add(finding)
}

// others names one configuration, or counts several.
func others(ids []string) string {
	if len(ids) == 1 {
		return fmt.Sprintf("%q", ids[0])
	}
	return fmt.Sprintf("%d others", len(ids))
}

// carrier finds the one studied factor whose every level goes with one value
// of f, where at least two configurations share such a level; −1 when there is
// none or more than one.
func (in *inquiry) carrier(f int) int {
	found := -1
	for g, factor := range in.p.Factors {
		if factor.Role != project.Studied || g == f {
			continue
		}
		with := make(map[int32]int32)
		settles, shared := true, false
		for c := range in.p.Configurations {
			level, value := in.s.codes[c*in.s.factors+g], in.s.codes[c*in.s.factors+f]
			if level <= 0 || value <= 0 {
				continue
			}
			if before, ok := with[level]; !ok {
				with[level] = value
			} else if before != value {
				settles = false
			} else {
				shared = true
			}
		}
		if settles && shared {
			if found >= 0 {
				return -1
			}
			found = g
		}
	}
	return found
}

func heldFactorMoves() Rule {
	return Rule{
		Name: "held-factor-moves", Group: Comparisons, Severity: schema.Warning,
		Title: "A held factor changed between readings of one configuration",
		What:  "Sessions state different values of a factor that should have stayed, and the same configuration was read in both.",
		Why: "Its readings are then of two machines under one name. The mean of both is the mean of neither. Against a configuration " +
			"that was read in one of the sessions only it is compared within the session that both share, and the finding does not name such questions; where they share none it is no fair comparison.",
		Remedy: "Make two configurations of it, one for each value; or exclude the readings of one session with that reason and read them again.",
		Source: "common practice, no source",
		look: func(in *inquiry) {
			for f, factor := range in.p.Factors {
				if !in.s.sessional[f] || factor.Role == project.Nuisance || (len(in.s.parents[f]) > 0 && in.parentMoves(f)) {
					continue
				}
				var moved []int
				var x, y project.Resolved
				for c := range in.p.Configurations {
					values := in.s.ValuesOf(c, f)
					for _, v := range values[1:] {
						if v.State == project.Known && values[0].State == project.Known && !project.Same(factor, v.Value, values[0].Value) {
							if len(moved) == 0 {
								x, y = values[0], v
							}
							moved = append(moved, c)
							break
						}
					}
				}
				if len(moved) == 0 {
					continue
				}
				finding := schema.Finding{Place: y.Place, Factors: []string{factor.ID}, Configurations: in.s.configurationIDs(moved),
					Questions: in.questionsMoved(f, moved),
					Message: fmt.Sprintf("%s %s read with %s %s%s and %s%s", quoted(in.s.configurationIDs(moved)), was(len(moved)), factor.ID,
						in.s.valueText(f, x.Value), in.during(x), in.s.valueText(f, y.Value), in.during(y)),
					Remedy: "make two configurations of it, one for each value; or exclude the readings of one of the sessions, with the reason, and read them again"}
				for _, v := range []project.Resolved{x, y} {
					if v.Origin == project.FromSession {
						finding.Sessions = append(finding.Sessions, v.From)
						finding.Related = append(finding.Related, schema.Related{Place: v.Place, Message: fmt.Sprintf("session %q states %s", v.From, in.s.valueText(f, v.Value))})
					}
				}
				in.add(finding)
			}
		},
	}
}

// questionsMoved lists the questions of which some matched pair has one of the
// configurations, and is not kept clear of what moved by the sessions that its
// two sides share.
func (in *inquiry) questionsMoved(f int, moved []int) []string {
	var ids []string
	for q, question := range in.p.Questions {
		if slices.ContainsFunc(in.s.answers[q].Pairs, func(p Pair) bool {
			return (slices.Contains(moved, p.From) || slices.Contains(moved, p.To)) && !in.s.Elsewhere(f, p.From, p.To)
		}) {
			ids = append(ids, question.ID)
		}
	}
	return ids
}

func heldFactorElsewhere() Rule {
	return Rule{
		Name: "held-factor-elsewhere", Group: Comparisons, Severity: schema.Notice,
		Title: "A side of a pair was also read with another value of a held factor",
		What: "Both sides of a question's matched pair were read in common sessions with the same value of a factor that sessions state, " +
			"and one of them in a further session with another: a baseline that is read again after an update of a driver, for instance.",
		Why: "The two are compared within the sessions that both share, so that the further session takes no part in the comparison. " +
			"It is in the mean of the side that has it, though, which is of two machines.",
		Remedy: "Nothing need be done for the comparison. To compare under the other value too, make a configuration of its own of what was read with it, and read the other side there.",
		Source: "NIST/SEMATECH e-Handbook of Statistical Methods, 5.3.3.2 (blocking).",
		look: func(in *inquiry) {
			for f, factor := range in.p.Factors {
				if !in.s.Varies(f) || (len(in.s.parents[f]) > 0 && in.parentMoves(f)) {
					continue
				}
				var finding schema.Finding
				others := 0
				for q, question := range in.p.Questions {
					for _, p := range in.s.answers[q].Pairs {
						if !in.s.Elsewhere(f, p.From, p.To) {
							continue
						}
						c, v := in.oddSession(f, p)
						if c < 0 {
							continue
						}
						finding.Questions = append(finding.Questions, question.ID)
						finding.Configurations = append(finding.Configurations, in.configurationID(p.From), in.configurationID(p.To))
						if v.Origin == project.FromSession {
							finding.Sessions = append(finding.Sessions, v.From)
						}
						if finding.Message != "" {
							others++
							continue
						}
						finding.Place = cmp.Or(v.Place, question.Place)
						finding.Message = fmt.Sprintf("%q was also read with %s %s%s; that takes no part in its comparison with %q, which is made within the sessions that both share",
							in.configurationID(c), factor.ID, in.s.valueText(f, v.Value), in.during(v), in.configurationID(p.From+p.To-c))
					}
				}
				if finding.Message == "" {
					continue
				}
				if others > 0 {
					finding.Message += fmt.Sprintf("; the like goes for %s", countOf(others, "more pair"))
				}
				finding.Factors = []string{factor.ID}
				finding.Remedy = "nothing need be done; to compare under that value too, make a configuration of its own of what was read with it, and read the other side there"
				in.add(finding)
			}
		},
	}
}

// oddSession finds the side of a pair that was read with another value of a
// factor in a session that the other does not share, and that value; −1 for none.
func (in *inquiry) oddSession(f int, p Pair) (configuration int, v project.Resolved) {
	common, _ := in.s.sittings.shared(p.From, p.To)
	if len(common) == 0 {
		return -1, v
	}
	for _, c := range []int{p.From, p.To} {
		usual := in.p.ValueIn(c, int(common[0]), f)
		for _, session := range in.s.sessions[c] {
			if session < 0 || slices.Contains(common, int32(session)) {
				continue
			}
			if v := in.p.ValueIn(c, session, f); !sameValue(v.Value, usual.Value) {
				return c, v
			}
		}
	}
	return -1, v
}

func was(n int) string {
	if n == 1 {
		return "was"
	}
	return "were"
}

// during names the session that stated a value.
func (in *inquiry) during(v project.Resolved) string {
	if v.Origin != project.FromSession {
		return ""
	}
	return fmt.Sprintf(" in session %q", v.From)
}

// parentMoves reports whether a parent of f changes between sessions too, so
// that it is the one to report.
func (in *inquiry) parentMoves(f int) bool {
	return slices.ContainsFunc(in.s.parents[f], func(g int) bool {
		for c := range in.p.Configurations {
			if len(in.s.ValuesOf(c, g)) > 1 {
				return true
			}
		}
		return false
	})
}
