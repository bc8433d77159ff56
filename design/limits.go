package design

import (
	"fmt"
	"slices"
	"strings"

	"benchwright/project"
	"benchwright/schema"
)

// Excess is a value that lies outside the limit that its factor's maker gives.
type Excess struct {
	Factor int
	Value  project.Value
	// Above: over the upper limit; otherwise below the lower one.
	Above bool
	// Limit is the side that is passed, in the factor's unit.
	Limit float64
}

// excessOf holds a value against the limit of its factor.
func excessOf(factor *project.Factor, f int, v project.Value) (Excess, bool) {
	limit := factor.Limit
	switch {
	case v.State != project.Known || !v.Numeric:
		return Excess{}, false
	case limit.HasMost && v.Number > limit.Most && !(project.Tolerance{}).Allows(v.Number, limit.Most):
		return Excess{f, v, true, limit.Most}, true
	case limit.HasLeast && v.Number < limit.Least && !(project.Tolerance{}).Allows(v.Number, limit.Least):
		return Excess{f, v, false, limit.Least}, true
	}
	return Excess{}, false
}

func limited(f *project.Factor) bool { return f.Limit.HasLeast || f.Limit.HasMost }

// Excesses lists where a configuration lies beyond a maker's limit: as set, as
// a session states it, or as measured; each value once.
func (s *Space) Excesses(c int) []Excess { return s.excesses[c] }

// findExcesses holds every configuration against the limits. The second list
// leaves out what a session states of the surroundings: a room that was too
// warm one evening belongs to that evening and not to the configuration.
func (s *Space) findExcesses() {
	n := len(s.p.Configurations)
	s.excesses, s.beyond = make([][]Excess, n), make([][]Excess, n)
	for f, factor := range s.p.Factors {
		if !limited(factor) {
			continue
		}
		for c, configuration := range s.p.Configurations {
			var values []project.Value
			own := 0
			if f < len(configuration.Values) {
				values, own = append(values, configuration.Values[f].Value), 1
			}
			if d := identity(configuration.Measured, f); d != nil {
				values, own = append(values, d.Value), own+1
			}
			for _, v := range s.ValuesOf(c, f) {
				values = append(values, v.Value)
			}
			for i, v := range values {
				e, ok := excessOf(factor, f, v)
				if !ok {
					continue
				}
				s.excesses[c] = addExcess(s.excesses[c], e)
				if i < own || factor.Role != project.Nuisance {
					s.beyond[c] = addExcess(s.beyond[c], e)
				}
			}
		}
	}
}

func addExcess(list []Excess, more ...Excess) []Excess {
	for _, e := range more {
		if !slices.ContainsFunc(list, func(o Excess) bool { return o.Factor == e.Factor && sameValue(o.Value, e.Value) }) {
			list = append(list, e)
		}
	}
	return list
}

// BeyondPair lists what lies beyond a limit on either side of a pair. Nobody
// is asked to run such a pair.
func (s *Space) BeyondPair(p Pair) []Excess {
	return addExcess(slices.Clone(s.beyond[p.From]), s.beyond[p.To]...)
}

// beyondIn lists, by configuration, what lies beyond a limit in a session (−1:
// a new one), what the session states of the surroundings included.
func (s *Space) beyondIn(session int) [][]Excess {
	list := slices.Clone(s.beyond)
	for f, factor := range s.p.Factors {
		if session < 0 || !limited(factor) {
			continue
		}
		for c := range list {
			if e, ok := excessOf(factor, f, s.p.ValueIn(c, session, f).Value); ok {
				list[c] = addExcess(slices.Clone(list[c]), e)
			}
		}
	}
	return list
}

func addInt(list []int, x int) []int {
	if !slices.Contains(list, x) {
		list = append(list, x)
	}
	return list
}

// levelExcess lists what lies beyond a limit when a factor is set to a level:
// the level, and what it brings along, at any remove. A follower of several
// factors is left to jointExcess, unless the level says what it brings.
func (s *Space) levelExcess(f int, level project.Value) []Excess {
	if !s.anyLimit() {
		return nil
	}
	return s.levelExcessWithin(f, level, s.factors)
}

func (s *Space) levelExcessWithin(f int, level project.Value, depth int) (list []Excess) {
	if e, ok := excessOf(s.p.Factors[f], f, level); ok {
		list = append(list, e)
	}
	for g := range s.factors {
		if depth == 0 || !slices.Contains(s.parents[g], f) {
			continue
		}
		for _, v := range s.cameWith(g, f, level) {
			list = addExcess(list, s.levelExcessWithin(g, v, depth-1)...)
		}
	}
	return list
}

// cameWith gives what a follower is known to take with a level: what the level
// brings, else every value seen with it. One of several is enough for a limit:
// where people may come to harm, the doubt counts against the run.
func (s *Space) cameWith(follower, f int, level project.Value) (values []project.Value) {
	for _, l := range s.p.Factors[f].Levels {
		if v, ok := l.Brings[follower]; ok && v.State == project.Known && sameValue(l.Value, level) {
			return []project.Value{v}
		}
	}
	if len(s.parents[follower]) > 1 {
		return nil
	}
	for c := range s.p.Configurations {
		if !s.hasLevel(c, f, level) {
			continue
		}
		for _, v := range s.ValuesOf(c, follower) {
			if v.State == project.Known && !slices.ContainsFunc(values, func(w project.Value) bool { return sameValue(v.Value, w) }) {
				values = append(values, v.Value)
			}
		}
	}
	return values
}

// jointExcess lists what lies beyond a limit in a configuration that is based
// on another: values that it keeps, and followers of several factors as they
// were wherever those factors stood like this.
func (s *Space) jointExcess(base int, changes []Change) (list []Excess) {
	if !s.anyLimit() {
		return nil
	}
	to := make(map[int]project.Value)
	var changed []int
	for _, c := range changes {
		to[c.Factor] = c.To
		changed = append(changed, c.Factor)
		if e, ok := excessOf(s.p.Factors[c.Factor], c.Factor, c.To); ok {
			list = addExcess(list, e)
		}
	}
	for _, e := range s.beyond[base] {
		// What follows a change is not kept; it was looked at with the level,
		// but for a follower of which nothing is known. That one may well stay.
		if _, ok := to[e.Factor]; !ok && !s.settled(e.Factor, changes) {
			list = addExcess(list, e)
		}
	}
	for f, factor := range s.p.Factors {
		if _, ok := to[f]; ok || !limited(factor) || len(s.parents[f]) < 2 || !s.mayFollow(f, changed) {
			continue
		}
		for c := range s.p.Configurations {
			alike := !slices.ContainsFunc(s.parents[f], func(parent int) bool {
				if level, ok := to[parent]; ok {
					return !s.hasLevel(c, parent, level)
				}
				return s.status(parent, base, c) != same
			})
			if alike {
				list = addExcess(list, slices.DeleteFunc(slices.Clone(s.beyond[c]), func(e Excess) bool { return e.Factor != f })...)
			}
		}
	}
	return list
}

// settled reports whether it is known what a follower takes when these changes
// are made.
func (s *Space) settled(f int, changes []Change) bool {
	return slices.ContainsFunc(changes, func(c Change) bool {
		return slices.Contains(s.parents[f], c.Factor) && len(s.cameWith(f, c.Factor, c.To)) > 0
	})
}

func (s *Space) anyLimit() bool { return slices.ContainsFunc(s.p.Factors, limited) }

// excessText names values beyond their limits: "core-voltage 1.38 V, limit
// 1.35 V".
func (s *Space) excessText(list []Excess) string {
	var parts []string
	for _, e := range list {
		factor := s.p.Factors[e.Factor]
		parts = append(parts, fmt.Sprintf("%s %s, limit %s", factor.ID, s.valueText(e.Factor, e.Value), withUnit(e.Limit, factor.Unit)))
	}
	return listWith(parts, "; ")
}

// notProposed says why nothing is proposed for a question.
func (s *Space) notProposed(list []Excess) string {
	return fmt.Sprintf("what it would take lies beyond the maker's limit (%s), so it is not proposed; "+
		"choose a level within the limit for the question, or leave it unanswered", s.excessText(list))
}

// barred lists what keeps a question from being settled within the makers'
// limits; empty when something within them would do, or nothing is to be done.
func (s *Space) barred(a Answerability) (list []Excess) {
	if !a.Answerable {
		if len(a.Unrecorded) > 0 {
			return nil // to write something down may be enough
		}
		return a.Beyond
	}
	if a.Measured {
		return nil
	}
	for _, p := range a.Pairs {
		e := s.BeyondPair(p)
		if len(e) == 0 {
			return nil
		}
		list = addExcess(list, e...)
	}
	return list
}

// Barred is what keeps a question, an index into Project.Questions, from being
// settled by any run within the makers' limits.
func (s *Space) Barred(q int) []Excess { return s.barred(s.answers[q]) }

// holdBack keeps a remedy from being read as asking for another run of a
// configuration beyond a limit: a finding may name it for what is known of it.
func (in *inquiry) holdBack(f *schema.Finding) {
	// A question without a pair gets its remedy from missing, which has looked.
	if in.rule.Group == Safety || in.rule.Name == "question-without-pair" || !in.s.anyLimit() || strings.Contains(f.Remedy, "the maker's limit (") {
		return
	}
	var names []string
	for c, list := range in.s.beyond {
		if id := in.configurationID(c); len(list) > 0 && slices.Contains(f.Configurations, id) {
			names = append(names, id)
		}
	}
	if n := len(names); n > 0 {
		f.Remedy += fmt.Sprintf("; no further run of %s is asked for, which %s beyond a maker's limit", quoted(names), verb(n, "lies", "lie"))
	}
}

// withinLimits is what a remedy adds that asks for some other level of a
// factor, when not every level may be asked for.
func (in *inquiry) withinLimits(f int) string {
	levels := func(yield func(project.Value) bool) {
		for _, l := range in.p.Factors[f].Levels {
			if !yield(l.Value) {
				return
			}
		}
		for c := range in.p.Configurations {
			for _, v := range in.s.ValuesOf(c, f) {
				if !yield(v.Value) {
					return
				}
			}
		}
	}
	if in.s.anyLimit() {
		for level := range levels {
			if level.State == project.Known && len(in.s.levelExcess(f, level)) > 0 {
				return ", within the maker's limits"
			}
		}
	}
	return ""
}
