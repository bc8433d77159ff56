package design

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"

	"benchwright/project"
)

// Space is the table of configurations × factors that every comparison is
// made in, computed once: a small code for every level, so that two
// configurations are compared by comparing integers, and the sessions in which
// each configuration was read, so that values stated for a session count.
//
// A Space does not change after NewSpace and may be shared by goroutines.
type Space struct {
	p *project.Project

	factors int
	// codes holds one code for each configuration and factor, a row of factors
	// for each configuration. Two positive codes are equal exactly when the
	// values are.
	codes []int32
	// low and high bound the numbers that a numeric factor took in a
	// configuration, over its sessions; NaN where there are none.
	low, high []float64

	// sessions lists the sessions, by index and ascending, in which a
	// configuration was read; −1 stands for readings without a session.
	sessions [][]int
	// read says which configurations have any reading, failed runs included.
	read []bool
	// succeeded says which workloads have an ok reading, by configuration.
	succeeded [][]bool
	// failed says which workloads have a run that did not end well, by configuration.
	failed [][]bool
	// anyRead: the folder holds at least one reading, so it is not a mere plan.
	anyRead bool

	// sessional marks the factors whose value may depend on the session.
	sessional []bool
	// parents lists the factors that a factor follows or is computed from.
	parents [][]int
	// loose marks factors whose equality is not that of their codes: there is
	// a tolerance, or a configuration whose value a session will decide.
	loose []bool
	// override marks followers set against what their parts bring, laid out
	// like codes.
	override []bool

	answers []Answerability
}

// Codes below one are states rather than levels.
const (
	codeUnset   int32 = 0  // the folder says nothing
	codeUnknown int32 = -1 // nobody wrote it down: equal to nothing
	codeOpen    int32 = -2 // a session will decide: the configuration has not been run
)

// NewSpace computes the space of a project. It takes time in proportion to
// configurations × factors + readings, and for each question to the pairs
// that it looks at.
func NewSpace(p *project.Project) *Space {
	s := &Space{p: p, factors: len(p.Factors)}
	s.findSessions()
	s.findParents()
	s.spreadSessional()
	s.assignCodes()
	s.findOverridden()
	s.answers = make([]Answerability, len(p.Questions))
	for q := range p.Questions {
		s.answers[q] = s.answer(q)
	}
	return s
}

// Project gives the project that the space was computed from.
func (s *Space) Project() *project.Project { return s.p }

func (s *Space) findSessions() {
	p := s.p
	n := len(p.Configurations)
	s.sessions = make([][]int, n)
	s.read = make([]bool, n)
	s.succeeded = make([][]bool, n)
	s.failed = make([][]bool, n)
	for c := range n {
		s.succeeded[c] = make([]bool, len(p.Workloads))
		s.failed[c] = make([]bool, len(p.Workloads))
	}
	for i := range p.Readings {
		r := &p.Readings[i]
		c, w, session := int(r.Configuration), int(r.Workload), int(r.Session)
		if c < 0 || c >= n || w < 0 || w >= len(p.Workloads) {
			continue
		}
		s.anyRead = true
		s.read[c] = true
		switch {
		case r.Outcome == project.OK && r.HasValue:
			s.succeeded[c][w] = true
		case r.Outcome != project.OK && r.Outcome != project.Excluded:
			s.failed[c][w] = true
		}
		if r.Outcome == project.Excluded {
			continue // what was thrown out does not say how the rest was read
		}
		if at, found := slices.BinarySearch(s.sessions[c], session); !found {
			s.sessions[c] = slices.Insert(s.sessions[c], at, session)
		}
	}
	s.sessional = make([]bool, s.factors)
	for _, session := range p.Sessions {
		for f := range session.Values {
			if f >= 0 && f < s.factors {
				s.sessional[f] = true
			}
		}
	}
}

// spreadSessional marks what is brought by, or computed from, a factor that a
// session states.
func (s *Space) spreadSessional() {
	for range s.factors {
		changed := false
		for f, parents := range s.parents {
			if !s.sessional[f] && slices.ContainsFunc(parents, func(g int) bool { return s.sessional[g] }) {
				s.sessional[f] = true
				changed = true
			}
		}
		if !changed {
			return
		}
	}
}

// findParents collects what each factor follows, leaving out any link that
// would close a circle: two factors that follow one another would explain each
// other's every change.
func (s *Space) findParents() {
	s.parents = make([][]int, s.factors)
	byID := make(map[string]int, s.factors)
	for f, factor := range s.p.Factors {
		byID[factor.ID] = f
	}
	add := func(child, parent int) {
		if parent < 0 || parent >= s.factors || parent == child ||
			slices.Contains(s.parents[child], parent) || s.descendsFrom(parent, child) {
			return
		}
		s.parents[child] = append(s.parents[child], parent)
	}
	for f, factor := range s.p.Factors {
		if factor.Role == project.Follows {
			for _, of := range factor.Of {
				add(f, of)
			}
		}
	}
	for f, factor := range s.p.Factors {
		if factor.Derived == nil {
			continue
		}
		for _, term := range slices.Concat(factor.Derived.Times, factor.Derived.Over) {
			if parent, ok := byID[term.Name]; ok && term.Name != "" {
				add(f, parent)
			}
		}
	}
}

// descendsFrom reports whether following parents from f leads to ancestor.
func (s *Space) descendsFrom(f, ancestor int) bool {
	for _, parent := range s.parents[f] {
		if parent == ancestor || s.descendsFrom(parent, ancestor) {
			return true
		}
	}
	return false
}

// assignCodes gives each distinct value of a factor, or set of values where
// sessions differ, a code from 1 in order of first appearance.
func (s *Space) assignCodes() {
	n := len(s.p.Configurations)
	s.codes = make([]int32, n*s.factors)
	s.low = make([]float64, n*s.factors)
	s.high = make([]float64, n*s.factors)
	s.loose = make([]bool, s.factors)
	for f, factor := range s.p.Factors {
		classes := make(map[string]int32)
		s.loose[f] = s.comparing(f) != (project.Tolerance{}) || s.mixedOrigins(f)
		for c := range n {
			at := c*s.factors + f
			s.low[at], s.high[at] = math.NaN(), math.NaN()
			values := s.ValuesOf(c, f)
			if factor.Role == project.Nuisance {
				values = recorded(values)
			}
			code := codeUnset
			known := 0
			for _, v := range values {
				switch v.State {
				case project.Unknown:
					code = codeUnknown
				case project.Known:
					known++
					if v.Numeric {
						s.low[at] = least(s.low[at], v.Number)
						s.high[at] = most(s.high[at], v.Number)
					}
				}
			}
			switch {
			case code == codeUnknown:
			case known == len(values):
				key := classKey(values)
				class, ok := classes[key]
				if !ok {
					class = int32(len(classes) + 1)
					classes[key] = class
				}
				code = class
			case known > 0:
				code = codeUnknown // written down in one session, not in another
			case s.sessional[f] && !s.read[c]:
				code = codeOpen
				s.loose[f] = true
			}
			s.codes[at] = code
		}
	}
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

func least(a, b float64) float64 {
	if math.IsNaN(a) || b < a {
		return b
	}
	return a
}

func most(a, b float64) float64 {
	if math.IsNaN(a) || b > a {
		return b
	}
	return a
}

// classKey names a set of known values: equal keys, equal levels.
func classKey(values []project.Resolved) string {
	if len(values) == 1 {
		return levelKey(values[0].Value)
	}
	keys := make([]string, len(values))
	for i, v := range values {
		keys[i] = strconv.Quote(levelKey(v.Value))
	}
	slices.Sort(keys)
	return strings.Join(keys, ",")
}

// levelKey names one known value.
func levelKey(v project.Value) string {
	if v.Numeric {
		if v.Number == 0 {
			return "0" // −0 too
		}
		// Ten digits: conversions of units leave their traces beyond.
		return strconv.FormatFloat(v.Number, 'g', 10, 64)
	}
	return v.Text
}

// ValuesOf gives the values that a factor had in a configuration over the
// sessions in which it was read, each different one once, in order of the
// sessions: one value for a factor that no session states. Indices are into
// Project.Configurations and Project.Factors.
func (s *Space) ValuesOf(configuration, factor int) []project.Resolved {
	c := s.p.Configurations[configuration]
	var base project.Resolved
	if factor < len(c.Values) {
		base = c.Values[factor]
	}
	if !s.sessional[factor] || len(s.sessions[configuration]) == 0 {
		return []project.Resolved{base}
	}
	var values []project.Resolved
	for _, session := range s.sessions[configuration] {
		v := base
		if session >= 0 {
			v = s.p.ValueIn(configuration, session, factor)
		}
		if !slices.ContainsFunc(values, func(w project.Resolved) bool { return sameValue(v.Value, w.Value) }) {
			values = append(values, v)
		}
	}
	return values
}

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
	case x <= 0 || y <= 0:
		return unclear
	case !s.loose[f] || math.IsNaN(s.low[i]) || math.IsNaN(s.low[j]):
		return differs
	}
	low, high := min(s.low[i], s.low[j]), max(s.high[i], s.high[j])
	if tolerance := s.comparing(f); tolerance.Allows(low, high) {
		return same
	} else if tolerance == (project.Tolerance{}) && identityTolerance.Allows(low, high) &&
		foundOut(s.p.Configurations[a].Values[f].Origin) != foundOut(s.p.Configurations[b].Values[f].Origin) {
		return same // 400 MHz on the screen of one, 66 MHz × 6 for the other
	}
	return differs
}

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

// counted lists the configurations that the design as a whole is judged by:
// those with readings, or in a plan all.
func (s *Space) counted() []int {
	var list []int
	for c := range s.p.Configurations {
		if s.read[c] || !s.anyRead {
			list = append(list, c)
		}
	}
	return list
}

// compareIDs orders configurations by id, whatever order the files had.
func (s *Space) compareIDs(a, b int) int {
	return cmp.Compare(s.p.Configurations[a].ID, s.p.Configurations[b].ID)
}
