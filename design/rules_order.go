package design

import (
	"fmt"
	"slices"

	"benchwright/schema"
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
			"always in the same direction, and no configuration was visited both before and after them. " +
			"A session in which every configuration was on the bench once counts only if the column `order` says so; the order of rows may be that of a sorted table. " +
			"Where that column leaves some readings open, the others are judged.",
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
				direction, readings, open := 0, 0, 0
				var sessions []int
				for session, visits := range in.visits {
					d, n := in.separation(visits, from, to)
					if n == 0 {
						continue
					}
					if d == 0 || direction != 0 && d != direction || in.inBlocks(session) && !in.p.Sessions[session].Ordered {
						direction = 0
						sessions = nil
						break
					}
					direction = d
					readings += n
					open += in.openIn(session, from, to)
					sessions = append(sessions, session)
				}
				if direction == 0 || readings+open < 4 || len(sessions) == 0 {
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
				known, unknown := "", ""
				if open > 0 {
					known = " of which the order is known"
					unknown = fmt.Sprintf("; the order of %s is not known", countOf(open, "reading"))
				}
				in.add(schema.Finding{Place: question.Place, Questions: []string{question.ID}, Factors: []string{factor}, Configurations: names, Sessions: in.sessionIDs(sessions),
					Message: fmt.Sprintf("every run with %s %s%s came before every run with %s, so its effect cannot be told from whatever changed meanwhile%s",
						factor, in.s.valueText(question.Factor, x), known, in.s.valueText(question.Factor, y), unknown),
					Remedy: "read both once more in one session, in turns, or return to an earlier configuration at the end"})
			}
		},
	}
}

// openIn counts the readings of two lists in a session whose place in it is not
// known. They clear no doubt: had it been written down, it might confirm it.
func (in *inquiry) openIn(session int, from, to []int) (n int) {
	for _, c := range in.unplaced[session] {
		if slices.Contains(from, int(c)) || slices.Contains(to, int(c)) {
			n++
		}
	}
	return n
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
