package design

import (
	"fmt"
	"slices"

	"benchwright/project"
)

// moved says which readings are of another state of their configuration: those
// of sessions that state another value of a factor that should have stayed than
// the configuration has by itself or, where it was never read so, than most of
// its readings. held-factor-moves asks to exclude them or to make a configuration
// of its own of them, so that a plan counts on neither.
func (s *Space) moved() (odd func(c, session int) bool, text string) {
	type key struct{ c, session int }
	left := make(map[key]bool)
	var texts []string
	var factors []int
	for f, factor := range s.p.Factors {
		if s.Varies(f) && factor.Role != project.Nuisance && !slices.ContainsFunc(s.parents[f], s.Varies) {
			factors = append(factors, f)
		}
	}
	if len(factors) == 0 {
		return func(int, int) bool { return false }, ""
	}
	read := make(map[key]int)
	for i := range s.p.Readings {
		if r := &s.p.Readings[i]; r.Outcome == project.OK && r.HasValue && !r.Derived {
			read[key{int(r.Configuration), int(r.Session)}]++
		}
	}
	for _, f := range factors {
		for c := range s.p.Configurations {
			if len(s.ValuesOf(c, f)) < 2 {
				continue
			}
			usual, most := s.usualValue(f, c, func(session int) int { return read[key{c, session}] })
			if most == 0 {
				continue
			}
			for _, session := range s.sessions[c] {
				v := s.p.ValueIn(c, session, f)
				if v.State != project.Known || project.Same(s.p.Factors[f], v.Value, usual) || read[key{c, session}] == 0 {
					continue
				}
				left[key{c, session}] = true
				name := fmt.Sprintf("%s %s", s.p.Factors[f].ID, s.valueText(f, v.Value))
				if session >= 0 {
					name += fmt.Sprintf(" in session %q", s.p.Sessions[session].ID)
				}
				if !slices.Contains(texts, name) {
					texts = append(texts, name)
				}
			}
		}
	}
	if len(texts) > 0 {
		text = fmt.Sprintf("what was read with %s is not counted where the configuration was also read with another value: it is to be excluded, or is a configuration of its own", listOf(texts))
	}
	return func(c, session int) bool { return left[key{c, session}] }, text
}

// usualValue is the value that a configuration has by itself if any reading has
// it, else that of most of its readings, of equals the one of the first session.
func (s *Space) usualValue(f, c int, readings func(session int) int) (usual project.Value, most int) {
	own := s.p.Configurations[c].Values[f]
	for _, session := range s.sessions[c] {
		v, n := s.p.ValueIn(c, session, f), 0
		if v.State != project.Known {
			continue
		}
		for _, other := range s.sessions[c] {
			if w := s.p.ValueIn(c, other, f); w.State == project.Known && project.Same(s.p.Factors[f], w.Value, v.Value) {
				n += readings(other)
			}
		}
		if n > 0 && own.State == project.Known && project.Same(s.p.Factors[f], own.Value, v.Value) {
			return v.Value, n
		}
		if n > most {
			usual, most = v.Value, n
		}
	}
	return usual, most
}
