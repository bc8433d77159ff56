package design

import (
	"maps"
	"slices"

	"benchwright/project"
)

// Sittings says in which sessions every configuration was read under every
// workload.
type Sittings struct {
	workloads int
	// of lists sessions by configuration and workload, each once; −1 stands for
	// readings without a session.
	of [][]int32
	// tried lists, laid out like of, the sessions of runs that did not end well,
	// where a configuration has no reading under a workload.
	tried map[int][]int32
	// twice lists, by workload, the configurations that were read in two sessions
	// or more: those through which others can be compared.
	twice [][]int
	// states numbers, for the configurations whose own state was another one in
	// some session, the state that each session has.
	states map[int]map[int32]int
}

// sittingsOf collects the sessions of all readings that count, also of those
// that were computed from others of the same run, and of the runs that did not
// end well: they were on the bench as well.
func sittingsOf(space *Space) *Sittings {
	p := space.p
	s := &Sittings{workloads: len(p.Workloads)}
	if len(p.Sessions) == 0 {
		return s // with none stated there is nothing to tell apart
	}
	s.of = make([][]int32, len(p.Configurations)*len(p.Workloads))
	s.tried = make(map[int][]int32)
	for i := range p.Readings {
		r := &p.Readings[i]
		if r.Configuration < 0 || r.Workload < 0 {
			continue
		}
		at := int(r.Configuration)*s.workloads + int(r.Workload)
		switch {
		case r.Outcome == project.OK && r.HasValue:
			if !slices.Contains(s.of[at], r.Session) {
				s.of[at] = append(s.of[at], r.Session)
			}
		case r.Outcome != project.OK && r.Outcome != project.Excluded:
			if !slices.Contains(s.tried[at], r.Session) {
				s.tried[at] = append(s.tried[at], r.Session)
			}
		}
	}
	maps.DeleteFunc(s.tried, func(at int, _ []int32) bool { return len(s.of[at]) > 0 })
	s.twice = make([][]int, s.workloads)
	for c := range p.Configurations {
		for w := range s.workloads {
			if list := s.of[c*s.workloads+w]; len(list) > 1 && !slices.Contains(list, -1) {
				s.twice[w] = append(s.twice[w], c)
			}
		}
	}
	s.states = space.statesBySession()
	return s
}

// Apart lists the workloads under which two configurations were both read, but
// never in one session and not through another either, and says how many they
// have in common at all. What sessions differ by then stands between the two.
func (s *Sittings) Apart(a, b int) (apart []int, common int) {
	if s.of == nil || a == b {
		return nil, 0
	}
	for w := range s.workloads {
		if len(s.of[a*s.workloads+w]) == 0 || len(s.of[b*s.workloads+w]) == 0 {
			continue
		}
		common++
		if !s.Compared(a, b, w) {
			apart = append(apart, w)
		}
	}
	return apart, common
}

// Compared says whether what sessions differ by can be taken out between two
// configurations that were read under a workload: they share a session, or a
// third configuration was read in a session of each, in one and the same state.
// What each is against that one then says what they are against one another.
func (s *Sittings) Compared(a, b, w int) bool {
	if s.of == nil {
		return false
	}
	x, y := s.of[a*s.workloads+w], s.of[b*s.workloads+w]
	if meet(x, y) {
		return true
	}
	if slices.Contains(x, -1) || slices.Contains(y, -1) {
		return false
	}
	for _, c := range s.twice[w] {
		if third := s.of[c*s.workloads+w]; c != a && c != b && meet(third, x) && meet(third, y) && s.oneState(c, third, x, y) {
			return true
		}
	}
	return false
}

// Changed gives a configuration that was read beside either of two under a
// workload, but had changed between; −1 for none.
func (s *Sittings) Changed(a, b, w int) int {
	x, y := s.of[a*s.workloads+w], s.of[b*s.workloads+w]
	for _, c := range s.twice[w] {
		if third := s.of[c*s.workloads+w]; c != a && c != b && meet(third, x) && meet(third, y) && !s.oneState(c, third, x, y) {
			return c
		}
	}
	return -1
}

// oneState says that a configuration was in one state wherever it was read beside
// one of two others.
func (s *Sittings) oneState(c int, third, x, y []int32) bool {
	if s.states[c] == nil {
		return true
	}
	first := int32(-1)
	return !slices.ContainsFunc(third, func(session int32) bool {
		if session < 0 || !slices.Contains(x, session) && !slices.Contains(y, session) {
			return false
		}
		if first < 0 {
			first = session
		}
		return !s.SameState(c, first, session)
	})
}

// SameState says that a configuration had the same values of all factors but the
// nuisance ones in two sessions, as far as its sessions state any. One that was
// read under another firmware is no common measure of what was read beside it.
func (s *Sittings) SameState(c int, session, other int32) bool {
	return s.State(c, session) == s.State(c, other)
}

// State gives the number of a configuration's state in a session: 0 for the first
// that it had.
func (s *Sittings) State(c int, session int32) int { return s.states[c][session] }

// Together says that two configurations which have no reading under a common
// workload were tried in one session under one: there is no figure of the two,
// but what became of the run that did not end well was seen beside the other.
func (s *Sittings) Together(a, b int) bool {
	if len(s.tried) == 0 || a == b {
		return false
	}
	met := false
	for w := range s.workloads {
		x, y := a*s.workloads+w, b*s.workloads+w
		if len(s.of[x]) > 0 && len(s.of[y]) > 0 {
			return false
		}
		met = met || meet(s.onBench(x), s.onBench(y))
	}
	return met
}

// onBench lists the sessions in which a configuration was read under a workload
// or, if it never was, tried.
func (s *Sittings) onBench(at int) []int32 {
	if list := s.of[at]; len(list) > 0 {
		return list
	}
	return s.tried[at]
}

// shared lists the sessions in which two configurations were both read under some
// workload; ok is false where they share none under a workload that both have, or
// some reading of such a one has no session. Of two that have no workload in
// common it lists those in which they were tried under one.
func (s *Sittings) shared(a, b int) (sessions []int32, ok bool) {
	if s.of == nil || a == b {
		return nil, false
	}
	list, strict := func(at int) []int32 { return s.of[at] }, true
	if s.Together(a, b) {
		list, strict = s.onBench, false
	}
	for w := range s.workloads {
		x, y := list(a*s.workloads+w), list(b*s.workloads+w)
		if len(x) == 0 || len(y) == 0 {
			continue
		}
		if strict && (slices.Contains(x, -1) || slices.Contains(y, -1) || !meet(x, y)) {
			return nil, false
		}
		for _, session := range x {
			if session >= 0 && slices.Contains(y, session) && !slices.Contains(sessions, session) {
				sessions = append(sessions, session)
			}
		}
	}
	return sessions, len(sessions) > 0
}

// ApartOn says that two configurations were read under a workload in sessions
// that are all stated, and cannot be compared within any.
func (s *Sittings) ApartOn(a, b, w int) bool {
	if s.of == nil {
		return false
	}
	x, y := s.of[a*s.workloads+w], s.of[b*s.workloads+w]
	return len(x) > 0 && len(y) > 0 && !slices.Contains(x, -1) && !slices.Contains(y, -1) && !s.Compared(a, b, w)
}

// meet says whether a stated session is in both lists.
func meet(x, y []int32) bool {
	for _, session := range x {
		if session >= 0 && slices.Contains(y, session) {
			return true
		}
	}
	return false
}
