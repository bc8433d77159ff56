package design

import (
	"math"
	"slices"

	"benchwright/project"
)

// sameValue reports whether two values are written the same, states included.
func sameValue(v, w project.Value) bool {
	if v.State != w.State || v.State != project.Known {
		return v.State == w.State
	}
	return levelKey(v) == levelKey(w)
}

// status says how two values stand to each other.
type status uint8

const (
	same    status = iota
	differs        // both known, and not the same
	unclear        // recorded on one side only, or on neither as "unknown"
)

// status compares one factor in two configurations. Both unset counts as the
// same: the folder speaks of the factor in neither.
func (s *Space) status(f, a, b int) status {
	i, j := a*s.factors+f, b*s.factors+f
	x, y := s.codes[i], s.codes[j]
	switch {
	case x == y && x >= 0, x == codeOpen, y == codeOpen:
		return same
	case s.surroundings[f] && s.compared(a, b), s.varies[f] && s.agree(f, a, b):
		return same
	case x <= 0 || y <= 0:
		return unclear
	case s.tolerated(f, a, b):
		return same
	}
	return differs
}

// tolerated says whether two known values that are not written alike lie within
// what is allowed between them.
func (s *Space) tolerated(f, a, b int) bool {
	i, j := a*s.factors+f, b*s.factors+f
	if s.codes[i] <= 0 || s.codes[j] <= 0 || !s.loose[f] || math.IsNaN(s.low[i]) || math.IsNaN(s.low[j]) {
		return false
	}
	low, high := min(s.low[i], s.low[j]), max(s.high[i], s.high[j])
	tolerance := s.comparing(f)
	// 400 MHz on the screen of one, 66 MHz × 6 for the other.
	return tolerance.Allows(low, high) || tolerance == (project.Tolerance{}) && identityTolerance.Allows(low, high) &&
		foundOut(s.p.Configurations[a].Values[f].Origin) != foundOut(s.p.Configurations[b].Values[f].Origin)
}

// compared says whether two configurations were read within common sessions, or
// through a third, under every workload that both have, or tried in one session
// where they have none.
func (s *Space) compared(a, b int) bool {
	apart, common := s.sittings.Apart(a, b)
	return common > 0 && len(apart) == 0 || common == 0 && s.sittings.Together(a, b)
}

// agree says whether a factor that sessions state had the same value on both
// sides wherever two configurations are compared: under every workload that both
// have they share a session, and in none that they share does it differ. What
// either was read with in other sessions is then in no comparison of the two.
// Readings without a session are in no block, and are compared as they are.
func (s *Space) agree(f, a, b int) bool {
	sessions, ok := s.sittings.shared(a, b)
	if !ok {
		return false
	}
	return !slices.ContainsFunc(sessions, func(session int32) bool {
		return !s.alike(f, s.p.ValueIn(a, int(session), f), s.p.ValueIn(b, int(session), f))
	})
}

// alike says that two values of a factor are the same within what is allowed
// between them; what nobody wrote down is equal to nothing.
func (s *Space) alike(f int, x, y project.Resolved) bool {
	switch {
	case x.State == project.Unknown || y.State == project.Unknown || x.State != y.State:
		return false
	case sameValue(x.Value, y.Value):
		return true
	}
	return x.Numeric && y.Numeric && s.comparing(f).Allows(x.Number, y.Number)
}

// statesBySession numbers the states that configurations had over their
// sessions; those that were in one state throughout are left out. What drifts
// with the surroundings makes no other state: a session has it for whatever is
// read in it. Values that may differ by a tolerance are those of the state that
// was first seen with them.
func (s *Space) statesBySession() map[int]map[int32]int {
	var factors []int
	for f := range s.factors {
		if s.sessional[f] && !s.drifts(f, s.factors) {
			factors = append(factors, f)
		}
	}
	if len(factors) == 0 {
		return nil
	}
	all := make(map[int]map[int32]int)
	for c, sessions := range s.sessions {
		var first []int // session of each state
		states := make(map[int32]int)
		for _, session := range sessions {
			if session < 0 {
				continue // in no session, and so no measure of any
			}
			at := slices.IndexFunc(first, func(other int) bool {
				return !slices.ContainsFunc(factors, func(f int) bool {
					x, y := s.p.ValueIn(c, session, f), s.p.ValueIn(c, other, f)
					own := x.Origin != project.FromSession && y.Origin != project.FromSession && x.State == y.State
					return !s.alike(f, x, y) && !(own && x.State == project.Unknown)
				})
			})
			if at < 0 {
				at = len(first)
				first = append(first, session)
			}
			states[int32(session)] = at
		}
		if len(first) > 1 {
			all[c] = states
		}
	}
	return all
}

// drifts says that a factor is a nuisance, or changes because one does.
func (s *Space) drifts(f, depth int) bool {
	return s.p.Factors[f].Role == project.Nuisance ||
		depth > 0 && slices.ContainsFunc(s.parents[f], func(g int) bool { return s.drifts(g, depth-1) })
}

// Elsewhere says that a factor is the same wherever two configurations are
// compared, though one of them was read with another value in a session that the
// other does not share.
func (s *Space) Elsewhere(f, a, b int) bool {
	x, y := s.codes[a*s.factors+f], s.codes[b*s.factors+f]
	return s.varies[f] && !s.surroundings[f] && (x != y || x < 0) && x != codeOpen && y != codeOpen && !s.tolerated(f, a, b) && s.agree(f, a, b)
}

// Varies says that a factor that is none of the surroundings had several values
// in the sessions of some configuration.
func (s *Space) Varies(f int) bool { return s.varies[f] && !s.surroundings[f] }

// hasLevel reports whether a factor had exactly this level, within its
// tolerance, in every session of a configuration.
func (s *Space) hasLevel(c, f int, level project.Value) bool {
	at := c*s.factors + f
	if s.codes[at] <= 0 || level.State != project.Known {
		return false
	}
	tolerance := s.p.Factors[f].Tolerance
	for _, v := range s.ValuesOf(c, f) {
		switch {
		case v.Numeric != level.Numeric:
			return false
		case v.Numeric && !tolerance.Allows(v.Number, level.Number):
			return false
		case !v.Numeric && v.Text != level.Text:
			return false
		}
	}
	return true
}

// recorded leaves out the sessions in which a nuisance factor was not written
// down, if it was in any: a gap in the log is worth a notice, not the pair.
func recorded(values []project.Resolved) []project.Resolved {
	isKnown := func(v project.Resolved) bool { return v.State == project.Known }
	if !slices.ContainsFunc(values, isKnown) {
		return values
	}
	return slices.DeleteFunc(slices.Clone(values), func(v project.Resolved) bool { return !isKnown(v) })
}

// comparing is the tolerance for the values of a factor in two
// configurations: its own, or the wider one of its formula.
func (s *Space) comparing(f int) project.Tolerance {
	t := s.p.Factors[f].Tolerance
	if formula := s.p.Factors[f].Derived; formula != nil {
		t.Absolute = max(t.Absolute, formula.Tolerance.Absolute)
		t.Relative = max(t.Relative, formula.Tolerance.Relative)
	}
	return t
}

// mixedOrigins reports whether a number was set in some configurations and
// only measured, displayed or computed in others.
func (s *Space) mixedOrigins(f int) bool {
	if !s.p.Factors[f].Numeric {
		return false
	}
	var first project.OriginKind
	for _, c := range s.p.Configurations {
		if f >= len(c.Values) || c.Values[f].State != project.Known {
			continue
		}
		switch kind := foundOut(c.Values[f].Origin); {
		case first == 0:
			first = kind
		case kind != first:
			return true
		}
	}
	return false
}

// foundOut sorts origins by how a value was come by: stated, measured,
// displayed or computed.
func foundOut(o project.OriginKind) project.OriginKind {
	switch o {
	case project.FromMeasured, project.FromDisplayed, project.FromDerived:
		return o
	}
	return project.FromOwn
}
