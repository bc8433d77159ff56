package design

import (
	"slices"

	"benchwright/project"
)

// Sittings says in which sessions every configuration was read under every
// workload.
type Sittings struct {
	workloads int
	baseline  int
	// of lists sessions by configuration and workload, each once; −1 stands for
	// readings without a session.
	of [][]int32
}

// SittingsOf collects the sessions of all readings that count, also of those
// that were computed from others of the same run.
func SittingsOf(p *project.Project) *Sittings {
	s := &Sittings{workloads: len(p.Workloads), baseline: p.Baseline}
	if len(p.Sessions) == 0 {
		return s // with none stated there is nothing to tell apart
	}
	s.of = make([][]int32, len(p.Configurations)*len(p.Workloads))
	for i := range p.Readings {
		r := &p.Readings[i]
		if r.Outcome != project.OK || !r.HasValue {
			continue
		}
		at := &s.of[int(r.Configuration)*s.workloads+int(r.Workload)]
		if !slices.Contains(*at, r.Session) {
			*at = append(*at, r.Session)
		}
	}
	return s
}

// Apart lists the workloads under which two configurations were both read, but
// never in one session and not through the baseline either, and says how many
// they have in common at all. What sessions differ by then stands between the two.
func (s *Sittings) Apart(a, b int) (apart []int, common int) {
	if s.of == nil || a == b {
		return nil, 0
	}
	for w := range s.workloads {
		x, y := s.of[a*s.workloads+w], s.of[b*s.workloads+w]
		if len(x) == 0 || len(y) == 0 {
			continue
		}
		common++
		if !meet(x, y) && !s.throughBaseline(a, b, w) {
			apart = append(apart, w)
		}
	}
	return apart, common
}

// throughBaseline says whether the baseline was read in a session of either: what
// each is against it then says what they are against one another, and what the
// sessions differ by is taken out.
func (s *Sittings) throughBaseline(a, b, w int) bool {
	if s.baseline < 0 || a == s.baseline || b == s.baseline {
		return false
	}
	base, x, y := s.of[s.baseline*s.workloads+w], s.of[a*s.workloads+w], s.of[b*s.workloads+w]
	return meet(base, x) && meet(base, y) && !slices.Contains(slices.Concat(base, x, y), -1)
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
