package design

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"benchwright/project"
)

// Kind says what a difference is to a comparison.
type Kind uint8

const (
	// Independent: nothing explains it but somebody's hand. It is the zero
	// value, so that a difference without a kind is the damaging one.
	Independent Kind = iota
	// UnderStudy: what the comparison is about.
	UnderStudy
	// Follower: it differs because a factor that it follows does.
	Follower
	// NuisanceDrift: a nuisance factor differs by more than its tolerance.
	NuisanceDrift
	// UnknownSide: recorded on one side only; unknown is not equal.
	UnknownSide
)

// String gives the words for people: "under study", "follows", …
func (k Kind) String() string {
	return [...]string{"independent", "under study", "follows", "drift", "unknown"}[k]
}

// MarshalText writes a word for programs.
func (k Kind) MarshalText() ([]byte, error) {
	return []byte([...]string{"independent", "under-study", "follows", "drift", "unknown"}[k]), nil
}

// Spoils reports whether a difference of this kind keeps a comparison from
// being clean.
func (k Kind) Spoils() bool { return k != UnderStudy && k != Follower }

// Difference is one factor in which two configurations differ.
type Difference struct {
	Factor int // in Project.Factors
	Kind   Kind
	// A and B are the two sides. Where a side had several values in its
	// sessions, it is one that the other side did not have.
	A, B project.Resolved
	// Because explains the kind: "follows processor",
	// "set to 450 MHz, although k-500 brings 500 MHz".
	Because string
}

// Between lists every factor in which configurations a and b differ, in the
// order of the factors. The studied factors are those that the comparison is
// about (a question's factor and the ones it allows beside it). With none
// given, a factor of role studied counts as under study when it is the only
// one of that role that differs of itself.
func (s *Space) Between(a, b int, studied ...int) []Difference {
	if len(studied) == 0 {
		studied = s.inferStudied(a, b)
	}
	var list []Difference
	for f := range s.factors {
		kind, because := s.judge(f, a, b, studied)
		if kind == equal {
			continue
		}
		d := Difference{Factor: f, Kind: kind, Because: because}
		d.A, d.B = s.sides(f, a, b)
		list = append(list, d)
	}
	return list
}

// Clean reports whether a and b differ in studied factors and their followers
// alone, and in at least one of them.
func (s *Space) Clean(a, b int, studied ...int) bool {
	if len(studied) == 0 {
		studied = s.inferStudied(a, b)
	}
	return s.cleanBut(a, b, studied, -1)
}

// cleanBut is Clean without a look at factor ignored.
func (s *Space) cleanBut(a, b int, studied []int, ignored int) bool {
	varied := false
	for f := range s.factors {
		if f == ignored {
			continue
		}
		switch kind := s.kind(f, a, b, studied); {
		case kind == UnderStudy:
			varied = true
		case kind != equal && kind.Spoils():
			return false
		}
	}
	return varied
}

// Independents counts the changes between a and b that a comparison would
// have to answer for: everything but the studied factors and their followers.
func (s *Space) Independents(a, b int, studied ...int) int {
	return s.obstacles(a, b, studied, s.factors+1)
}

// equal is no kind of difference.
const equal Kind = 255

// kind classifies one factor without putting it in words.
func (s *Space) kind(f, a, b int, studied []int) Kind {
	st := s.status(f, a, b)
	if st == same {
		return equal
	}
	if slices.Contains(studied, f) {
		if st == unclear {
			return UnknownSide
		}
		return UnderStudy
	}
	for _, parent := range s.parents[f] {
		if s.status(parent, a, b) == same {
			continue
		}
		if st == differs && (s.overridden(f, a) || s.overridden(f, b)) {
			return Independent
		}
		return Follower
	}
	switch {
	case st == unclear:
		return UnknownSide
	case s.p.Factors[f].Role == project.Nuisance:
		return NuisanceDrift
	}
	return Independent
}

// judge is kind, with the reason in words.
func (s *Space) judge(f, a, b int, studied []int) (Kind, string) {
	kind := s.kind(f, a, b, studied)
	factor := s.p.Factors[f]
	switch kind {
	case Follower:
		var moved []string
		for _, parent := range s.parents[f] {
			if s.status(parent, a, b) != same {
				moved = append(moved, s.p.Factors[parent].ID)
			}
		}
		if factor.Role != project.Follows {
			return kind, "computed from " + listOf(moved)
		}
		return kind, "follows " + listOf(moved)
	case Independent:
		for _, c := range []int{a, b} {
			if brought, part, ok := s.brought(f, c); ok && s.overridden(f, c) {
				return kind, fmt.Sprintf("%s in %q, although %s brings %s",
					s.valueText(f, s.ValuesOf(c, f)[0].Value), s.p.Configurations[c].ID, part, s.valueText(f, brought))
			}
		}
		if factor.Role == project.Follows && len(s.parents[f]) > 0 {
			return kind, "follows " + listOf(s.factorIDs(s.parents[f])) + ", which is the same on both sides"
		}
	case NuisanceDrift:
		if factor.Tolerance == (project.Tolerance{}) {
			return kind, "no tolerance is declared"
		}
		return kind, "beyond the tolerance of " + s.toleranceText(f)
	case UnknownSide:
		x, y := s.codes[a*s.factors+f], s.codes[b*s.factors+f]
		switch {
		case x <= 0 && y <= 0:
			return kind, "recorded on neither side"
		case x <= 0:
			return kind, fmt.Sprintf("not recorded for %q", s.p.Configurations[a].ID)
		default:
			return kind, fmt.Sprintf("not recorded for %q", s.p.Configurations[b].ID)
		}
	}
	return kind, ""
}

// brought gives the value of a follower that the parts of a configuration
// declare to bring, and the level that brings it.
func (s *Space) brought(f, c int) (value project.Value, part string, ok bool) {
	for _, parent := range s.parents[f] {
		for _, level := range s.p.Factors[parent].Levels {
			v, brings := level.Brings[f]
			if brings && v.State == project.Known && s.hasLevel(c, parent, level.Value) {
				return v, s.valueText(parent, level.Value), true
			}
		}
	}
	return project.Value{}, "", false
}

// findOverridden marks the followers that have another value in a
// configuration than its parts bring. A follower of several factors is never
// marked: what the one brings, the others may change.
func (s *Space) findOverridden() {
	s.override = make([]bool, len(s.codes))
	for f := range s.factors {
		if len(s.parents[f]) != 1 || !slices.ContainsFunc(s.parents[f], func(parent int) bool {
			return slices.ContainsFunc(s.p.Factors[parent].Levels, func(l project.Level) bool {
				_, brings := l.Brings[f]
				return brings
			})
		}) {
			continue
		}
		for c := range s.p.Configurations {
			if v, _, ok := s.brought(f, c); ok && s.codes[c*s.factors+f] > 0 {
				s.override[c*s.factors+f] = !s.hasLevel(c, f, v)
			}
		}
	}
}

func (s *Space) overridden(f, c int) bool { return s.override[c*s.factors+f] }

// inferStudied finds what a comparison is about when nobody said.
func (s *Space) inferStudied(a, b int) []int {
	var found []int
	for f, factor := range s.p.Factors {
		if factor.Role == project.Studied && s.kind(f, a, b, nil) == Independent {
			found = append(found, f)
		}
	}
	if len(found) != 1 {
		return nil
	}
	return found
}

// sides picks the two values to show for a factor that differs.
func (s *Space) sides(f, a, b int) (x, y project.Resolved) {
	va, vb := s.ValuesOf(a, f), s.ValuesOf(b, f)
	if s.p.Factors[f].Role == project.Nuisance {
		va, vb = recorded(va), recorded(vb)
	}
	x, y = va[0], vb[0]
	if (len(va) > 1 || len(vb) > 1) && s.p.Factors[f].Numeric {
		// What lies furthest apart is what stands between them.
		most := -1.0
		for _, v := range va {
			for _, w := range vb {
				if apart := math.Abs(v.Number - w.Number); v.State == project.Known && w.State == project.Known && apart > most {
					x, y, most = v, w, apart
				}
			}
		}
		if most > 0 {
			return x, y
		}
	}
	if len(va) > 1 {
		if i := slices.IndexFunc(va, func(v project.Resolved) bool { return !sameValue(v.Value, y.Value) }); i >= 0 {
			x = va[i]
		}
	}
	if len(vb) > 1 {
		if i := slices.IndexFunc(vb, func(v project.Resolved) bool { return !sameValue(v.Value, x.Value) }); i >= 0 {
			y = vb[i]
		}
	}
	return x, y
}

// obstacles counts what spoils a comparison, giving up at limit.
func (s *Space) obstacles(a, b int, studied []int, limit int) int {
	n := 0
	ra, rb := s.codes[a*s.factors:(a+1)*s.factors], s.codes[b*s.factors:(b+1)*s.factors]
	for f := range ra {
		if ra[f] == rb[f] && ra[f] >= 0 {
			continue
		}
		if kind := s.kind(f, a, b, studied); kind != equal && kind.Spoils() {
			if n++; n >= limit {
				return n
			}
		}
	}
	return n
}

// Explain puts one comparison into sentences, the verdict first, then what was
// displayed or measured otherwise than it was set, and last whether the two were read in one session.
func (s *Space) Explain(a, b int, studied ...int) []string {
	doubts := s.Doubts(a, b, studied...)
	lines := s.explain(a, b, studied, slices.ContainsFunc(doubts, func(d Doubt) bool { return !d.Step }))
	for _, d := range doubts {
		lines = append(lines, s.doubtText(d))
	}
	if text := s.apartText(a, b); text != "" {
		lines = append(lines, text)
	}
	return lines
}

// apartText says on which workloads two configurations were never read in one
// session; nothing when there is none.
func (s *Space) apartText(a, b int) string {
	apart, common := s.sittings.Apart(a, b)
	if len(apart) == 0 {
		return ""
	}
	where := "the two"
	if len(apart) < common {
		ids := make([]string, len(apart))
		for i, w := range apart {
			ids[i] = s.p.Workloads[w].ID
		}
		where = "on " + listOf(ids) + ", the two"
	}
	return where + " were not read in one session, so that what sessions differ by stands between them"
}

// explain is that for what was set; belied says that something which was set
// alike seems not to have been.
func (s *Space) explain(a, b int, studied []int, belied bool) []string {
	differences := s.Between(a, b, studied...)
	names := fmt.Sprintf("%q and %q", s.p.Configurations[a].ID, s.p.Configurations[b].ID)
	switch {
	case len(differences) == 0 && belied:
		return []string{names + " were set to the same value of every factor"}
	case len(differences) == 0:
		return []string{names + " have the same value of every factor"}
	}
	by := make(map[Kind][]Difference)
	spoiling := 0
	for _, d := range differences {
		by[d.Kind] = append(by[d.Kind], d)
		if d.Kind.Spoils() {
			spoiling++
		}
	}
	var verdict string
	switch under := by[UnderStudy]; {
	case spoiling == 0 && len(under) == 1:
		verdict = fmt.Sprintf("%s are a matched pair: they differ in %s alone", names, s.p.Factors[under[0].Factor].ID)
		if belied {
			verdict = fmt.Sprintf("%s are a matched pair by what was set: %s alone was set to another level", names, s.p.Factors[under[0].Factor].ID)
		}
		if len(by[Follower]) > 0 {
			verdict += ", followers aside"
		}
	case spoiling == 0 && len(under) > 1:
		verdict = fmt.Sprintf("%s are a bundle: %s differ together", names, listOf(s.differing(under)))
	case len(under) > 0:
		verdict = fmt.Sprintf("%s are not a matched pair: besides %s, %s differ%s", names, listOf(s.differing(under)),
			countOf(spoiling, "other factor"), singular(spoiling, "s"))
	default:
		verdict = fmt.Sprintf("%s are not a matched pair: %s differ%s", names, countOf(spoiling, "factor"), singular(spoiling, "s"))
	}
	lines := []string{verdict}
	for _, kind := range []Kind{UnderStudy, Independent, UnknownSide, NuisanceDrift, Follower} {
		for _, d := range by[kind] {
			lines = append(lines, s.differenceText(d))
		}
	}
	return lines
}

// differenceText is one difference in words: "memory: 64 MB against 128 MB (independent)".
func (s *Space) differenceText(d Difference) string {
	why := d.Kind.String()
	if d.Because != "" {
		if why = d.Because; !strings.HasPrefix(why, "follows ") || d.Kind != Follower {
			why = d.Kind.String() + ": " + d.Because
		}
	}
	return fmt.Sprintf("%s: %s against %s (%s)", s.p.Factors[d.Factor].ID,
		s.valueText(d.Factor, d.A.Value), s.valueText(d.Factor, d.B.Value), why)
}

func (s *Space) differing(list []Difference) []string {
	ids := make([]string, len(list))
	for i, d := range list {
		ids[i] = s.p.Factors[d.Factor].ID
	}
	return ids
}
