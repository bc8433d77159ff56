package design

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"
	"sync"

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
	// sittings says who was read in which session; surroundings marks the nuisance
	// factors of which sessions alone state the value.
	sittings     *Sittings
	surroundings []bool
	// parents lists the factors that a factor follows or is computed from.
	parents [][]int
	// loose marks factors whose equality is not that of their codes: there is
	// a tolerance, or a configuration whose value a session will decide.
	loose []bool
	// varies marks the factors of which sessions state the value and for which the
	// sessions that two configurations share count more than their codes: the
	// surroundings, and those of which some configuration had several values.
	varies []bool
	// override marks followers set against what their parts bring, laid out
	// like codes.
	override []bool

	// excesses lists, by configuration, what lies beyond a maker's limit; beyond
	// is the same without what sessions state of the surroundings, and nobody is
	// asked to run a configuration that has any.
	excesses, beyond [][]Excess

	answers []Answerability

	structure func() Structure
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
	s.structure = sync.OnceValue(func() Structure { return s.structureWith(StructureOptions{}) })
	s.findSessions()
	s.findParents()
	s.spreadSessional()
	s.surroundings = make([]bool, s.factors)
	for f, factor := range p.Factors {
		s.surroundings[f] = s.sessional[f] && factor.Role == project.Nuisance && !slices.ContainsFunc(p.Configurations, func(c *project.Configuration) bool {
			return f < len(c.Values) && c.Values[f].State == project.Known
		})
	}
	s.sittings = sittingsOf(s)
	s.assignCodes()
	s.findOverridden()
	s.findExcesses()
	s.answers = make([]Answerability, len(p.Questions))
	for q := range p.Questions {
		s.answers[q] = s.answer(q)
	}
	return s
}

// Sittings says in which sessions the configurations were read.
func (s *Space) Sittings() *Sittings { return s.sittings }

// Surroundings says that a factor is one of the surroundings, of which sessions
// alone state the value: between two configurations that are compared within
// sessions it does not differ, whatever it was in others.
func (s *Space) Surroundings(f int) bool { return s.surroundings[f] }

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
	s.varies = slices.Clone(s.surroundings)
	for f, factor := range s.p.Factors {
		classes := make(map[string]int32)
		s.loose[f] = s.comparing(f) != (project.Tolerance{}) || s.mixedOrigins(f)
		for c := range n {
			at := c*s.factors + f
			s.low[at], s.high[at] = math.NaN(), math.NaN()
			values := s.ValuesOf(c, f)
			s.varies[f] = s.varies[f] || len(values) > 1
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
