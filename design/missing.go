package design

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"

	"benchwright/project"
)

// Change sets one factor of a configuration that is still to be run.
type Change struct {
	Factor   int
	From, To project.Value
	// Follows: not set by hand but expected to come with another change.
	Follows bool
}

// Missing is a configuration that would give a question a matched pair.
type Missing struct {
	// Based is the configuration to start from, an index into
	// Project.Configurations.
	Based   int
	Changes []Change
	// Pairs says that the new configuration forms a matched pair with Based
	// itself; otherwise it does so with the other missing configuration.
	Pairs bool
	// Record lists factors to write down on both sides, because Based has no
	// value for them.
	Record []int
}

// missing finds the smallest set of further configurations. One is enough
// when a side of the question exists: take a configuration that has one level,
// set the other level, leave all else. Otherwise two are needed. Where either
// side of the pair would lie beyond a maker's limit it is not proposed; when
// that leaves nothing, beyond says what stood in the way.
func (s *Space) missing(q *project.Question, a Answerability, studied []int) (list []Missing, beyond []Excess) {
	type start struct {
		c        int
		from, to project.Value
	}
	var starts []start
	fromExcess, toExcess := s.levelExcess(q.Factor, q.From), s.levelExcess(q.Factor, q.To)
	consider := func(c int, from, to project.Value, other []Excess) {
		if len(other) == 0 && len(s.beyond[c]) == 0 {
			starts = append(starts, start{c, from, to})
		} else {
			beyond = addExcess(addExcess(beyond, other...), s.beyond[c]...)
		}
	}
	for _, c := range a.From {
		consider(c, q.From, q.To, toExcess)
	}
	for _, c := range a.To {
		consider(c, q.To, q.From, fromExcess)
	}
	for len(starts) > 0 {
		best := slices.MinFunc(starts, func(x, y start) int {
			return s.compareStarts(x.c, y.c, studied)
		})
		m := Missing{Based: best.c, Pairs: true, Record: s.toRecord(best.c, studied)}
		m.Changes = append(m.Changes, Change{Factor: q.Factor, From: best.from, To: best.to})
		m.Changes = append(m.Changes, s.followUp(best.c, q.Factor, best.to)...)
		if e := s.jointExcess(best.c, m.Changes); len(e) > 0 {
			beyond = addExcess(beyond, e...)
			starts = slices.DeleteFunc(starts, func(x start) bool { return x.c == best.c })
			continue
		}
		return []Missing{m}, nil
	}
	if levels := addExcess(slices.Clone(fromExcess), toExcess...); len(levels) > 0 {
		return nil, levels // no new pair can have them within the limits
	}
	all := make([]int, len(s.p.Configurations))
	for c := range all {
		all[c] = c
	}
	unmet := func(c int) int {
		n := 0
		for _, condition := range q.Where {
			if !s.hasLevel(c, condition.Factor, condition.Value) {
				n++
			}
		}
		return n
	}
	// A base that brings its own excess along is given up for the next; past a
	// few, what they have in common is what stands in the way.
	const tries = 50
	for n := 0; len(all) > 0 && n < tries; n++ {
		base := slices.MinFunc(all, func(x, y int) int {
			return cmp.Or(cmp.Compare(unmet(x), unmet(y)), s.compareStarts(x, y, studied))
		})
		list, excess := s.missingFrom(base, q, studied)
		if len(excess) == 0 {
			return list, nil
		}
		beyond = addExcess(beyond, excess...)
		all = slices.DeleteFunc(all, func(c int) bool { return c == base })
	}
	return nil, beyond
}

// again gives the nearest pair if all that spoils it is stated by the sessions,
// so that a common one would have it the same, and reading it again is no matter of
// a maker's limit.
func (s *Space) again(nearest []Near) *Again {
	if len(nearest) == 0 {
		return nil
	}
	near := nearest[0]
	stated, surroundings, several := false, true, false
	for _, d := range near.Between {
		if !d.Kind.Spoils() {
			continue
		}
		if !s.sessional[d.Factor] || s.status(d.Factor, near.From, near.To) != differs || s.differInOneSession(d.Factor, near.From, near.To) {
			return nil
		}
		stated = true
		surroundings = surroundings && s.surroundings[d.Factor]
		several = several || !s.surroundings[d.Factor] && (len(s.ValuesOf(near.From, d.Factor)) > 1 || len(s.ValuesOf(near.To, d.Factor)) > 1)
	}
	if !stated || len(s.BeyondPair(Pair{From: near.From, To: near.To})) > 0 {
		return nil
	}
	loose := slices.Contains(s.sessions[near.From], -1) || slices.Contains(s.sessions[near.To], -1)
	return &Again{near.From, near.To, loose && !surroundings, several && s.meet(near.From, near.To)}
}

// differInOneSession says that two configurations have different values of a
// factor by themselves, and had so in a session that both were read in, or share
// none: to read them together does not make them the same.
func (s *Space) differInOneSession(f, a, b int) bool {
	x, y := s.p.Configurations[a].Values[f], s.p.Configurations[b].Values[f]
	if x.State != project.Known || y.State != project.Known || s.alike(f, x, y) {
		return false
	}
	return !s.meet(a, b) || slices.ContainsFunc(s.sessions[a], func(session int) bool {
		return session >= 0 && slices.Contains(s.sessions[b], session) && !s.alike(f, s.p.ValueIn(a, session, f), s.p.ValueIn(b, session, f))
	})
}

// meet says whether two configurations were read in a common session.
func (s *Space) meet(a, b int) bool {
	return slices.ContainsFunc(s.sessions[a], func(session int) bool {
		return session >= 0 && slices.Contains(s.sessions[b], session)
	})
}

// againText says what to do for it: within a session that both share, whatever
// sessions state is the same for both.
func (s *Space) againText(a *Again) string {
	pair := listOf([]string{strconv.Quote(s.p.Configurations[a.From].ID), strconv.Quote(s.p.Configurations[a.To].ID)})
	if a.Loose {
		return fmt.Sprintf("read %s in one session, and exclude, with this reason, what they have in others", pair)
	}
	text := fmt.Sprintf("read %s in one session, in turns, on every workload that they are compared by", pair)
	if a.Common {
		text += "; or make two configurations of the one that was read in several states, one for each"
	}
	return text
}

// missingFrom makes both sides of a pair out of one configuration, and says
// what lies beyond a limit in them.
func (s *Space) missingFrom(base int, q *project.Question, studied []int) (list []Missing, beyond []Excess) {
	for _, level := range []project.Value{q.From, q.To} {
		m := Missing{Based: base, Record: s.toRecord(base, studied)}
		for _, condition := range q.Where {
			if condition.Factor == q.Factor || s.hasLevel(base, condition.Factor, condition.Value) {
				continue
			}
			m.Changes = append(m.Changes, Change{Factor: condition.Factor,
				From: s.ValuesOf(base, condition.Factor)[0].Value, To: condition.Value})
			m.Changes = append(m.Changes, s.followUp(base, condition.Factor, condition.Value)...)
			beyond = addExcess(beyond, s.levelExcess(condition.Factor, condition.Value)...)
		}
		m.Changes = append(m.Changes, Change{Factor: q.Factor, From: s.ValuesOf(base, q.Factor)[0].Value, To: level})
		m.Changes = append(m.Changes, s.followUp(base, q.Factor, level)...)
		beyond = addExcess(beyond, s.jointExcess(base, m.Changes)...)
		list = append(list, m)
	}
	return list, beyond
}

// compareStarts prefers the configuration that leaves least to do: few values
// unrecorded, many workloads read, the baseline, then the id.
func (s *Space) compareStarts(x, y int, studied []int) int {
	workloads := func(c int) int {
		n := 0
		for _, ok := range s.succeeded[c] {
			if ok {
				n++
			}
		}
		return n
	}
	baseline := func(c int) int {
		if c == s.p.Baseline {
			return 0
		}
		return 1
	}
	return cmp.Or(
		cmp.Compare(len(s.toRecord(x, studied)), len(s.toRecord(y, studied))),
		cmp.Compare(workloads(y), workloads(x)),
		cmp.Compare(baseline(x), baseline(y)),
		s.compareIDs(x, y))
}

// toRecord lists the factors that a configuration has no value of although
// some configuration has one, those under study and their followers aside.
func (s *Space) toRecord(c int, studied []int) []int {
	var list []int
	for f := range s.factors {
		if slices.Contains(studied, f) || s.mayFollow(f, studied) {
			continue
		}
		switch s.codes[c*s.factors+f] {
		case codeUnknown:
			list = append(list, f)
		case codeUnset:
			if s.recordedSomewhere(f) {
				list = append(list, f)
			}
		}
	}
	return list
}

func (s *Space) recordedSomewhere(f int) bool {
	for c := range s.p.Configurations {
		if s.codes[c*s.factors+f] > 0 {
			return true
		}
	}
	return false
}

// followUp names the followers that are expected to change with a factor, as
// far as the level's parts or a tested configuration tell.
func (s *Space) followUp(base, factor int, level project.Value) []Change {
	var list []Change
	for f := range s.factors {
		if !slices.Contains(s.parents[f], factor) || s.p.Factors[f].Role != project.Follows {
			continue
		}
		to, ok := s.expected(f, factor, level)
		if !ok || s.hasLevel(base, f, to) {
			continue
		}
		list = append(list, Change{Factor: f, From: s.ValuesOf(base, f)[0].Value, To: to, Follows: true})
	}
	return list
}

// expected gives the value that a follower has with a level of what it
// follows: what the level brings, else the one value seen with it.
func (s *Space) expected(follower, factor int, level project.Value) (project.Value, bool) {
	for _, l := range s.p.Factors[factor].Levels {
		if v, ok := l.Brings[follower]; ok && v.State == project.Known && sameValue(l.Value, level) {
			return v, true
		}
	}
	var seen project.Value
	code := int32(0)
	for c := range s.p.Configurations {
		at := c*s.factors + follower
		if s.codes[at] <= 0 || !s.hasLevel(c, factor, level) {
			continue
		}
		if code > 0 && s.codes[at] != code {
			return project.Value{}, false
		}
		code, seen = s.codes[at], s.ValuesOf(c, follower)[0].Value
	}
	return seen, code > 0
}
