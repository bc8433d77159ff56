package design

import (
	"fmt"

	"benchwright/project"
)

// Doubt is a factor in which two configurations were something else than what
// was set, by what the machine displayed or by what was measured. Matching goes
// by what was set, so that whoever shows the pair has to say so.
type Doubt struct {
	Factor int
	// A and B are what the two sides were by that; of a side on which nobody
	// looked, what was set.
	A, B project.Value
	// Step: the factor is the one that the comparison is about, so that another
	// step was made than the one that was set. Otherwise it was set alike and
	// seems not to have been.
	Step bool
}

// Doubts lists what was displayed or measured of two configurations and belies
// the comparison of what was set, in the order of the factors. Two sides that
// deviate alike are equal in the factor, and a difference within its tolerance
// is none; of a measurement and a display the measurement counts. A value whose
// author explained it is believed as it was set. The studied factors are as in
// Between.
func (s *Space) Doubts(a, b int, studied ...int) []Doubt {
	if a == b {
		return nil
	}
	var list []Doubt
	inferred := false
	for f := range s.factors {
		x, y := s.found(a, f), s.found(b, f)
		if !x.otherwise && !y.otherwise && !(x.measured && y.measured && s.comparing(f) != (project.Tolerance{})) {
			continue
		}
		if len(studied) == 0 && !inferred {
			studied, inferred = s.inferStudied(a, b), true
		}
		d := Doubt{Factor: f, A: x.value, B: y.value}
		switch s.kind(f, a, b, studied) {
		case equal:
			if d.A.State != project.Known || d.B.State != project.Known || s.foundAlike(f, d.A, d.B) {
				continue
			}
		case UnderStudy:
			if !x.otherwise && !y.otherwise {
				continue
			}
			d.Step = true
		default:
			continue // it differs as set, which is said already, or follows what does
		}
		if !d.Step && s.followsMoved(f, a, b) {
			continue
		}
		list = append(list, d)
	}
	return list
}

// foundValue is what a factor was found to be in a configuration.
type foundValue struct {
	value     project.Value
	measured  bool // by an instrument, and not only set or displayed
	otherwise bool // than what was set
	looked    bool // it was displayed or measured
}

// found gives what was measured, else displayed, else set.
func (s *Space) found(c, f int) foundValue {
	configuration := s.p.Configurations[c]
	if f >= len(configuration.Values) {
		return foundValue{}
	}
	var out foundValue
	if values := s.ValuesOf(c, f); len(values) == 1 { // else its sessions differ in it
		out.value = values[0].Value
	}
	set, stated := s.stated(c, f)
	if !stated || configuration.Explained[f] != "" {
		return out
	}
	if d := identity(configuration.Measured, f); d != nil {
		out = foundValue{value: d.Value, looked: true, measured: true, otherwise: !s.conform(f, set.Value, d.Value, s.resolutionOf(d, f))}
	} else if d := identity(configuration.Displayed, f); d != nil {
		out = foundValue{value: d.Value, looked: true, otherwise: !s.conform(f, set.Value, d.Value, project.Tolerance{})}
	}
	return out
}

// Found gives what was measured of a factor, else what was displayed, where it
// was set and the two are not explained. Otherwise says that it is not what was
// set.
func (s *Space) Found(c, f int) (v project.Value, measured, otherwise, ok bool) {
	x := s.found(c, f)
	return x.value, x.measured, x.otherwise, x.looked
}

// foundAlike compares what two sides were found to be: as matching compares what was
// set, but with an allowance where no tolerance is declared.
func (s *Space) foundAlike(f int, x, y project.Value) bool {
	if !x.Numeric || !y.Numeric {
		return x.Text == y.Text && x.Numeric == y.Numeric
	}
	tolerance := s.comparing(f)
	if tolerance == (project.Tolerance{}) {
		tolerance = identityTolerance
	}
	return tolerance.Allows(x.Number, y.Number)
}

// followsMoved says that a factor follows one that differs: then it may differ too.
func (s *Space) followsMoved(f, a, b int) bool {
	for _, parent := range s.parents[f] {
		if s.status(parent, a, b) != same {
			return true
		}
	}
	return false
}

// doubtText is one doubt in words.
func (s *Space) doubtText(d Doubt) string {
	how := "set alike"
	if d.Step {
		how = "under study"
	}
	return fmt.Sprintf("%s: %s, but by what was displayed or measured %s against %s", s.p.Factors[d.Factor].ID, how,
		s.valueText(d.Factor, d.A), s.valueText(d.Factor, d.B))
}
