package design

import (
	"fmt"
	"slices"
	"strconv"

	"benchwright/project"
)

// unneeded lists the configurations that are on no side of any question's
// pairs. The baseline is read in every round in any case, and what a question
// without a pair is to get one from is needed for that.
func (s *Space) unneeded() []int {
	if len(s.p.Questions) == 0 {
		return nil
	}
	needed := make([]bool, len(s.p.Configurations))
	for q := range s.p.Questions {
		a := &s.answers[q]
		for _, pair := range a.Pairs {
			needed[pair.From], needed[pair.To] = true, true
		}
		for _, m := range a.Missing {
			needed[m.Based] = true
		}
		if a.Again != nil {
			needed[a.Again.From], needed[a.Again.To] = true, true
		}
		for _, u := range a.Unrecorded {
			needed[u.Configuration] = true
		}
	}
	var list []int
	for c := range s.p.Configurations {
		if !needed[c] && c != s.p.Baseline {
			list = append(list, c)
		}
	}
	return list
}

// unneededText names the configurations that no question needs, with a question
// that would need one of them.
func (s *Space) unneededText(list []int) string {
	n := len(list)
	if n == 0 {
		return ""
	}
	text := fmt.Sprintf("no question needs %s, so %s not planned", quoted(s.configurationIDs(list)), verb(n, "it is", "they are"))
	within := slices.DeleteFunc(slices.Clone(list), func(c int) bool { return len(s.beyond[c]) > 0 })
	if len(within) == 0 {
		return text + fmt.Sprintf("; no question is proposed, as %s beyond a maker's limit", verb(n, "it lies", "they lie"))
	}
	// As many as are looked at are named.
	for _, c := range within[:min(len(within), 7)] {
		if f, other, ok := s.wouldPair(c); ok {
			return text + fmt.Sprintf("; a question about %s, from %s to %s, would need %q beside %q", s.p.Factors[f].ID,
				s.valueText(f, s.ValuesOf(other, f)[0].Value), s.valueText(f, s.ValuesOf(c, f)[0].Value), s.p.Configurations[c].ID, s.p.Configurations[other].ID)
		}
	}
	it := "it"
	if n > 1 {
		it = strconv.Quote(s.p.Configurations[within[0]].ID)
	}
	return text + "; name a question that has " + it + " in a matched pair"
}

// wouldPair finds a configuration that differs from another in one factor that
// a question could be about, the baseline and studied factors first.
func (s *Space) wouldPair(c int) (factor, other int, ok bool) {
	others := []int{s.p.Baseline}
	for o := range s.p.Configurations {
		if o != s.p.Baseline {
			others = append(others, o)
		}
	}
	for _, role := range []project.Role{project.Studied, project.Held} {
		for _, o := range others {
			if o == c || len(s.beyond[o]) > 0 {
				continue
			}
			for f, x := range s.p.Factors {
				if x.Role == role && x.Derived == nil && s.status(f, o, c) == differs && s.Clean(o, c, f) {
					return f, o, true
				}
			}
		}
	}
	return 0, 0, false
}
