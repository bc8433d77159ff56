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

func pairInDifferentSessions() Rule {
	return Rule{
		Name: "pair-in-different-sessions", Group: Order, Severity: schema.Warning,
		Title: "The two sides of a question were never read in the same session",
		What: "A question has matched pairs with readings, but on some workload in none of them were both sides read in one session, " +
			"over all pairs the sessions do not balance out either, and no third configuration was read in a session of each, in one state, through which they could be compared.",
		Why: "Between sessions more changes than is written down: warmth, dust, a background task, a reseated connector. " +
			"The effect of the factor and the effect of the day cannot be told apart.",
		Remedy: "Read both sides once more in one session, in turns. A baseline that is read in each session links them: what was read beside it can be compared through it.",
		Source: "NIST/SEMATECH e-Handbook of Statistical Methods, 5.3.3.2 (blocking).",
		look: func(in *inquiry) {
			for q, question := range in.p.Questions {
				var apart []int
				var worst *Pair
				read := 0
				for _, w := range in.asked(question) {
					pairs := in.pairsRead(in.s.answers[q].Pairs, w)
					if len(pairs) > 0 {
						read++
					}
					if pair := in.neverTogether(pairs); pair != nil {
						apart = append(apart, w)
						if worst == nil || len(in.s.BeyondPair(*worst)) > len(in.s.BeyondPair(*pair)) {
							worst = pair
						}
					}
				}
				if worst == nil {
					continue
				}
				from, to := in.configurationID(worst.From), in.configurationID(worst.To)
				x, y := in.sessionsOver(apart, worst.From), in.sessionsOver(apart, worst.To)
				where, there, onWhich := "", "", []string(nil)
				if len(apart) < read {
					onWhich = in.workloadIDs(apart)
					where, there = fmt.Sprintf("on %s, ", quoted(onWhich)), " there"
				}
				changed := ""
				if third := in.s.sittings.Changed(worst.From, worst.To, apart[0]); third >= 0 {
					changed = fmt.Sprintf("; %q was read beside each, but had changed between", in.configurationID(third))
				}
				remedy := "read both in one session, in turns"
				if e := in.s.BeyondPair(*worst); len(e) > 0 {
					remedy = in.s.notProposed(e)
				}
				in.add(schema.Finding{Place: question.Place, Questions: []string{question.ID}, Factors: []string{in.p.Factors[question.Factor].ID},
					Configurations: []string{from, to}, Sessions: slices.Concat(x, y), Workloads: onWhich,
					Message: fmt.Sprintf("%s%q was read in %s, %q in %s: the effect of %s cannot be told from that of the session%s%s",
						where, from, inSessions(x), to, inSessions(y), in.p.Factors[question.Factor].ID, there, changed),
					Remedy: remedy})
			}
		},
	}
}

// asked lists the workloads of a question that are read and not computed.
func (in *inquiry) asked(q *project.Question) []int {
	return slices.DeleteFunc(in.readWorkloads(), func(w int) bool { return len(q.Workloads) > 0 && !slices.Contains(q.Workloads, w) })
}

// pairRead is a pair with the values of its sides under a workload, as indices
// into Project.Readings.
type pairRead struct {
	*Pair
	from, to []int
}

// pairsRead gives the measured pairs of which both sides have a value under a
// workload.
func (in *inquiry) pairsRead(pairs []Pair, w int) (read []pairRead) {
	values := make([][]int, len(in.p.Configurations))
	for _, g := range in.ofWorkload(w) {
		values[g.configuration] = g.ok
	}
	for i := range pairs {
		p := &pairs[i]
		if x, y := values[p.From], values[p.To]; p.State == Measured && len(x) > 0 && len(y) > 0 {
			read = append(read, pairRead{p, x, y})
		}
	}
	return read
}

// inOneSession says whether all values of a pair were read in one session.
func (in *inquiry) inOneSession(p pairRead) bool {
	session := in.p.Readings[p.from[0]].Session
	elsewhere := func(i int) bool { return in.p.Readings[i].Session != session }
	return !slices.ContainsFunc(p.from, elsewhere) && !slices.ContainsFunc(p.to, elsewhere)
}

// neverTogether gives one of the pairs if of none both sides were read in one
// session, preferably one that may be read again; nil if one was, or if the
// sessions balance out.
func (in *inquiry) neverTogether(pairs []pairRead) *Pair {
	var apart *Pair
	share := make([]float64, len(in.p.Sessions))
	for _, p := range pairs {
		if in.inOneSession(p) {
			return nil
		}
		x, y := in.sessionsOf(p.from), in.sessionsOf(p.to)
		if slices.Contains(x, -1) || slices.Contains(y, -1) || in.s.sittings.Compared(p.From, p.To, int(in.p.Readings[p.from[0]].Workload)) {
			return nil
		}
		if apart == nil || len(in.s.BeyondPair(*apart)) > len(in.s.BeyondPair(*p.Pair)) {
			apart = p.Pair
		}
		for i, sessions := range [][]int{x, y} {
			for _, session := range sessions {
				share[session] += float64(1-2*i) / float64(len(sessions))
			}
		}
	}
	// Every session has the same share in the from-sides as in the to-sides, so
	// that its effect cancels, as in a factorial that is spread over blocks.
	if !slices.ContainsFunc(share, func(x float64) bool { return math.Abs(x) > 1e-9 }) {
		return nil
	}
	return apart
}

// sessionsOf lists the sessions of readings, ascending; −1 stands for readings
// without one.
func (in *inquiry) sessionsOf(readings []int) []int {
	var list []int
	for _, i := range readings {
		list = append(list, int(in.p.Readings[i].Session))
	}
	slices.Sort(list)
	return slices.Compact(list)
}

// sessionsOver names the sessions of a configuration under several workloads.
func (in *inquiry) sessionsOver(workloads []int, c int) []string {
	var list []int
	for _, w := range workloads {
		list = append(list, in.sessionsOf(in.of(w, c).ok)...)
	}
	slices.Sort(list)
	return in.sessionIDs(slices.Compact(list))
}

// inSessions names sessions in a sentence.
func inSessions(ids []string) string {
	if len(ids) == 1 {
		return "session " + quoted(ids)
	}
	return "sessions " + quoted(ids)
}

func (in *inquiry) workloadIDs(list []int) []string {
	ids := make([]string, len(list))
	for i, w := range list {
		ids[i] = in.p.Workloads[w].ID
	}
	return ids
}

func unevenSessions() Rule {
	return Rule{
		Name: "uneven-sessions", Group: Order, Severity: schema.Notice,
		Title: "The two sides of a pair were read unequally often in sessions that differ",
		What: "Both sides of a question's matched pair were read in a common session, but not in the same sessions equally often, and the sessions differ: " +
			"the difference of the plain means is another one than within the sessions that they share, by more than chance " +
			"(Student's t with the spread within configurations and sessions, significant at 0.001 shared among all pairs and workloads) and by more than the resolution.",
		Why: "They are compared within the sessions that they share, as it should be. The means in the tables are over all sessions, though, " +
			"with what lies between those (warmth, dust, another firmware of a drive) in the mean of the side that was read in more: whoever divides one by the other gets another figure.",
		Remedy: "Nothing need be done. To use every reading, read both sides in the same sessions, equally often; " +
			"to have means that go with the difference, exclude, with this reason, the readings of the session in which the other side was not read.",
		Source: "NIST/SEMATECH e-Handbook of Statistical Methods, 5.3.3.2 (blocking); within sessions: least squares for pair and session, each session weighed by n₁n₂/(n₁+n₂).",
		look: func(in *inquiry) {
			type test struct {
				question int
				shift    shift
				p        float64
			}
			var tests []test
			for q, question := range in.p.Questions {
				for _, w := range in.asked(question) {
					logs := in.inLogs(w)
					var spread stats.PooledSpread
					for _, pair := range in.pairsRead(in.s.answers[q].Pairs, w) {
						if in.inOneSession(pair) {
							continue // nearly always, and cheaper than to look closer
						}
						s, variance, ok := in.shiftOf(pair.Pair, w, logs)
						if !ok {
							continue
						}
						if spread.Groups == 0 {
							if spread, ok = in.withinSessions(w, logs); !ok {
								break
							}
						}
						if p, err := (stats.Estimate{Value: s.by, SE: spread.SD * math.Sqrt(variance), DF: spread.DF}).P(0); err == nil {
							tests = append(tests, test{q, s, p})
						}
					}
				}
			}
			// A baseline that is read again, as it should be, does this to every pair
			// with it: one notice says so.
			var worst *test
			var questions []string
			n := 0
			for i := range tests {
				t := &tests[i]
				if t.p > falseAlarm/float64(len(tests)) || math.Abs(in.inUnit(t.shift)) <= in.step(t.shift.w, in.of(t.shift.w, t.shift.pair.From).ok) {
					continue
				}
				if n++; worst == nil || t.p < worst.p {
					worst = t
				}
				if id := in.p.Questions[t.question].ID; !slices.Contains(questions, id) {
					questions = append(questions, id)
				}
			}
			if worst != nil {
				in.unevenFinding(in.p.Questions[worst.question], questions, worst.shift, n-1)
			}
		},
	}
}

// shift is by how much the difference of two means differs from that within the
// sessions that both sides share.
type shift struct {
	pair *Pair
	w    int
	// by, in logarithms or in the workload's unit; to minus from.
	by   float64
	logs bool
	// odd is a reading in a session of one side alone, −1 for none.
	odd int
}

// inLogs says whether readings of a workload are compared by their ratios.
func (in *inquiry) inLogs(w int) bool {
	return in.p.Workloads[w].Scale == project.RatioScale &&
		!slices.ContainsFunc(in.ofWorkload(w), func(g group) bool {
			return slices.ContainsFunc(g.ok, func(i int) bool { return !(in.p.Readings[i].Value > 0) })
		})
}

// bySession gives the values of a workload on a configuration, session by
// session; nil when some reading has none.
func (in *inquiry) valuesBySession(w, c int, logs bool) map[int][]float64 {
	out := make(map[int][]float64)
	for _, i := range in.of(w, c).ok {
		r := &in.p.Readings[i]
		if r.Session < 0 {
			return nil
		}
		x := r.Value
		if logs {
			x = math.Log(x)
		}
		out[int(r.Session)] = append(out[int(r.Session)], x)
	}
	return out
}

// withinSessions is the spread of a workload's readings about their means by
// configuration and session; ok is false when there are too few to judge by.
func (in *inquiry) withinSessions(w int, logs bool) (stats.PooledSpread, bool) {
	var groups [][]float64
	for _, g := range in.ofWorkload(w) {
		by := in.valuesBySession(w, g.configuration, logs)
		for session := range in.p.Sessions {
			if len(by[session]) > 1 {
				groups = append(groups, by[session])
			}
		}
	}
	spread, err := stats.PooledSD(groups)
	return spread, err == nil && spread.DF >= 3 && spread.SD > 0
}

// shiftOf gives the shift of a pair under a workload and its variance for a
// spread of 1; ok is false where there can be none: no common session, or the
// same sessions in the same proportions.
func (in *inquiry) shiftOf(pair *Pair, w int, logs bool) (s shift, variance float64, ok bool) {
	s = shift{pair: pair, w: w, logs: logs, odd: -1}
	a, b := in.valuesBySession(w, pair.From, logs), in.valuesBySession(w, pair.To, logs)
	na, nb := len(in.of(w, pair.From).ok), len(in.of(w, pair.To).ok)
	total := 0.0
	for session := range a {
		total += shared(len(a[session]), len(b[session]))
	}
	if total == 0 {
		return s, 0, false
	}
	for session := range in.p.Sessions {
		x, y := a[session], b[session]
		within := shared(len(x), len(y)) / total
		for _, side := range []struct {
			values []float64
			weight float64
		}{{x, within - float64(len(x))/float64(na)}, {y, float64(len(y))/float64(nb) - within}} {
			if len(side.values) == 0 || math.Abs(side.weight) < 1e-12 {
				continue
			}
			mean, _ := stats.Mean(side.values)
			s.by += side.weight * mean
			variance += side.weight * side.weight / float64(len(side.values))
			ok = true
		}
		if s.odd < 0 && (len(x) == 0) != (len(y) == 0) {
			s.odd = in.readingIn(w, pair, session)
		}
	}
	return s, variance, ok
}

// shared is the weight of a session with so many readings of either side.
func shared(x, y int) float64 {
	if x == 0 || y == 0 {
		return 0
	}
	return float64(x) * float64(y) / float64(x+y)
}

// readingIn gives the first reading of a pair under a workload in a session.
func (in *inquiry) readingIn(w int, pair *Pair, session int) int {
	for _, c := range []int{pair.From, pair.To} {
		for _, i := range in.of(w, c).ok {
			if int(in.p.Readings[i].Session) == session {
				return i
			}
		}
	}
	return -1
}

// inUnit gives a shift in the workload's unit.
func (in *inquiry) inUnit(s shift) float64 {
	if !s.logs {
		return s.by
	}
	mean, _ := stats.Mean(in.values(in.of(s.w, s.pair.From).ok))
	return math.Expm1(s.by) * mean
}

func (in *inquiry) unevenFinding(question *project.Question, questions []string, s shift, more int) {
	from, to, w := in.configurationID(s.pair.From), in.configurationID(s.pair.To), in.p.Workloads[s.w]
	by, direction := withUnit(sigfigs(math.Abs(in.inUnit(s)), 2), in.p.Workloads[s.w].Unit), "more"
	if s.logs {
		by = share(math.Abs(math.Expm1(s.by)))
	}
	if s.by < 0 {
		direction = "less"
	}
	others := ""
	if more > 0 {
		others = fmt.Sprintf("; the like goes for %d more pairs and workloads", more)
		if more == 1 {
			others = "; the like goes for one more pair and workload"
		}
	}
	f := schema.Finding{Place: question.Place, Questions: questions, Factors: []string{in.p.Factors[question.Factor].ID},
		Configurations: []string{from, to}, Workloads: []string{w.ID},
		Sessions: slices.Concat(in.sessionsOver([]int{s.w}, s.pair.From), in.sessionsOver([]int{s.w}, s.pair.To)),
		Message: fmt.Sprintf("on %q, %q was read %s, and %q %s: they are compared within the sessions that both share, and by the means over all sessions %q would read %s %s beside %q%s",
			w.ID, from, in.timesBySession(s.w, s.pair.From), to, in.timesBySession(s.w, s.pair.To), to, by, direction, from, others),
		Remedy: "nothing need be done; read both equally often in each session, and the means go with the difference"}
	if s.odd >= 0 {
		session := in.p.Sessions[in.p.Readings[s.odd].Session].ID
		f.Place = in.place(s.odd)
		f.Remedy = fmt.Sprintf("nothing need be done: what only one side has in session %q is in its mean, and in no comparison of the two", session)
	}
	in.add(f)
}

// timesBySession says how often a workload was read on a configuration in each
// session: `3 times in "first" and once in "second"`.
func (in *inquiry) timesBySession(w, c int) string {
	by := in.valuesBySession(w, c, false)
	var parts []string
	for session := range in.p.Sessions {
		switch n := len(by[session]); n {
		case 0:
		case 1:
			parts = append(parts, fmt.Sprintf("once in %q", in.p.Sessions[session].ID))
		default:
			parts = append(parts, fmt.Sprintf("%d times in %q", n, in.p.Sessions[session].ID))
		}
	}
	if n := len(parts); n > 1 {
		return strings.Join(parts[:n-1], ", ") + " and " + parts[n-1]
	}
	return strings.Join(parts, "")
}
