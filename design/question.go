package design

import (
	"cmp"
	"encoding/binary"
	"slices"

	"benchwright/project"
)

// PairState says how far a matched pair has come.
type PairState uint8

const (
	// Measured: both sides have ok readings of a common workload.
	Measured PairState = iota
	// Awaiting: readings are still missing on a side.
	Awaiting
	// Failed: a side has nothing but runs that did not end well, on every
	// workload of the question that the other side completed.
	Failed
)

// String gives the word for people and programs.
func (s PairState) String() string { return [...]string{"measured", "awaiting", "failed"}[s] }

// MarshalText writes the word.
func (s PairState) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// Pair is two configurations that answer a question. From and To index
// Project.Configurations; From has the question's from-level.
type Pair struct {
	From, To int
	// Bundle: a factor that the question allows beside its own differs too.
	Bundle bool
	State  PairState
	// Workloads of the question with ok readings on both sides, ascending.
	Workloads []int
}

// Near is two configurations that come close to a matched pair.
type Near struct {
	From, To int
	// Between lists everything that differs; what spoils the pair is what
	// Kind.Spoils says.
	Between []Difference
}

// Answerability says whether and by what a question can be answered.
type Answerability struct {
	Question int // in Project.Questions
	// Pairs lists every matched pair, by the ids of From and To.
	Pairs []Pair
	// Answerable: there is a matched pair, with readings or (in a plan)
	// without. Measured: at least one pair has readings on both sides.
	Answerable, Measured bool
	// Bundle: in some pair, more than the question's own factor differs.
	Bundle bool
	// From and To list the configurations that have the question's levels and
	// meet its conditions, matched or not.
	From, To []int
	// Nearest lists, when there is no pair, the candidates with the fewest
	// obstacles between them, five at most.
	Nearest []Near
	// Unrecorded lists what to write down so that the nearest candidates might
	// match without a further run; only when nothing else stands between them.
	Unrecorded []Unrecorded
	// Missing is the smallest set of further configurations that would give a
	// matched pair; empty when there is one.
	Missing []Missing
	// Again is a pair that only its sessions stand against; Missing is then empty.
	Again *Again
	// Beyond lists what lies beyond a maker's limit in what it would take, when
	// Missing is empty for that reason.
	Beyond []Excess
}

// Again is two configurations that would be a matched pair but for what their
// sessions state of the surroundings.
type Again struct {
	From, To int
	// Loose: some reading of theirs has no session, so that they are not compared
	// within any.
	Loose bool
	// Common: they share a session, though not under every workload, and one of
	// them was read with several values of a factor that is none of the surroundings.
	Common bool
}

// Unrecorded is a value that nobody wrote down.
type Unrecorded struct{ Configuration, Factor int }

// mostNearest is how many nearest candidates are kept.
const mostNearest = 5

// Answer says what answers a question, an index into Project.Questions. It
// was computed by NewSpace.
func (s *Space) Answer(q int) Answerability { return s.answers[q] }

// QuestionOf gives the factors that a question is about: its own first, then
// those it allows beside it.
func (s *Space) QuestionOf(q int) []int {
	question := s.p.Questions[q]
	return append([]int{question.Factor}, question.With...)
}

// workloadsOf gives the workloads that a question asks about.
func (s *Space) workloadsOf(q int) []int {
	if list := s.p.Questions[q].Workloads; list != nil {
		return list
	}
	all := make([]int, len(s.p.Workloads))
	for w := range all {
		all[w] = w
	}
	return all
}

func (s *Space) answer(q int) Answerability {
	question := s.p.Questions[q]
	studied := s.QuestionOf(q)
	a := Answerability{Question: q}
	for c := range s.p.Configurations {
		if !s.meets(c, question) {
			continue
		}
		if s.hasLevel(c, question.Factor, question.From) {
			a.From = append(a.From, c)
		} else if s.hasLevel(c, question.Factor, question.To) {
			a.To = append(a.To, c)
		}
	}
	a.Pairs = s.match(a.From, a.To, studied)
	slices.SortFunc(a.Pairs, func(x, y Pair) int {
		return cmp.Or(s.compareIDs(x.From, y.From), s.compareIDs(x.To, y.To))
	})
	workloads := s.workloadsOf(q)
	for i := range a.Pairs {
		pair := &a.Pairs[i]
		for _, other := range question.With {
			if s.status(other, pair.From, pair.To) == differs {
				pair.Bundle = true
				a.Bundle = true
			}
		}
		s.setState(pair, workloads)
		a.Measured = a.Measured || pair.State == Measured
	}
	a.Answerable = len(a.Pairs) > 0
	if !a.Answerable {
		a.Nearest = s.nearest(a.From, a.To, studied)
		a.Unrecorded = s.unrecorded(a.Nearest)
		if a.Again = s.again(a.Nearest); a.Again == nil {
			a.Missing, a.Beyond = s.missing(question, a, studied)
		}
	}
	return a
}

// meets reports whether a configuration meets a question's conditions.
func (s *Space) meets(c int, q *project.Question) bool {
	for _, condition := range q.Where {
		if !s.hasLevel(c, condition.Factor, condition.Value) {
			return false
		}
	}
	return true
}

// match finds the matched pairs between two lists.
func (s *Space) match(from, to, studied []int) []Pair {
	return s.matchBut(from, to, studied, -1, 0)
}

// matchBut finds the pairs between two lists that are clean when factor
// ignored is not looked at (−1: all are). Configurations are put into buckets
// by the levels of every factor that must not differ and whose equality is
// that of its codes, whichever sessions the two share; within a bucket each pair is looked at whole. With most
// above zero, only about that many pairs in which the ignored factor is not
// the same are wanted.
func (s *Space) matchBut(from, to, studied []int, ignored, most int) []Pair {
	var exact []int
	for f := range s.factors {
		if f != ignored && !s.loose[f] && !s.varies[f] && !slices.Contains(studied, f) && !s.mayFollow(f, studied) &&
			(ignored < 0 || !s.mayFollow(f, []int{ignored})) {
			exact = append(exact, f)
		}
	}
	key := make([]byte, 4*len(exact))
	keyOf := func(c int) (string, bool) {
		row := s.codes[c*s.factors : (c+1)*s.factors]
		for i, f := range exact {
			if row[f] == codeUnknown {
				return "", false
			}
			binary.LittleEndian.PutUint32(key[4*i:], uint32(row[f]))
		}
		return string(key), true
	}
	buckets := make(map[string][]int)
	for _, c := range to {
		if k, ok := keyOf(c); ok {
			buckets[k] = append(buckets[k], c)
		}
	}
	var pairs []Pair
	for _, a := range from {
		k, ok := keyOf(a)
		if !ok {
			continue
		}
		for _, b := range buckets[k] {
			if ignored >= 0 && s.status(ignored, a, b) == same {
				continue
			}
			if !s.cleanBut(a, b, studied, ignored) {
				continue
			}
			pairs = append(pairs, Pair{From: a, To: b})
			if most > 0 && len(pairs) == most {
				return pairs
			}
		}
	}
	return pairs
}

// mayFollow reports whether a factor follows one of the studied ones, at any
// remove.
func (s *Space) mayFollow(f int, studied []int) bool {
	for _, parent := range s.parents[f] {
		if slices.Contains(studied, parent) || s.mayFollow(parent, studied) {
			return true
		}
	}
	return false
}

func (s *Space) setState(pair *Pair, workloads []int) {
	failed := false
	for _, w := range workloads {
		a, b := s.succeeded[pair.From][w], s.succeeded[pair.To][w]
		if a && b {
			pair.Workloads = append(pair.Workloads, w)
		}
		if (a || s.failed[pair.From][w]) && (b || s.failed[pair.To][w]) && !(a && b) {
			failed = true
		}
	}
	switch {
	case len(pair.Workloads) > 0:
		pair.State = Measured
	case failed:
		pair.State = Failed
	default:
		pair.State = Awaiting
	}
}

// nearest finds the candidates with the fewest obstacles between them. Ties go
// to the pair with the fewest differences of any kind, then by id.
func (s *Space) nearest(from, to, studied []int) []Near {
	type candidate struct{ a, b, obstacles int }
	compare := func(x, y candidate) int {
		return cmp.Or(cmp.Compare(x.obstacles, y.obstacles), s.compareIDs(x.a, y.a), s.compareIDs(x.b, y.b))
	}
	var best []candidate // in order, all with the same number of obstacles
	limit := s.factors + 2
	for _, a := range from {
		for _, b := range to {
			n := s.obstacles(a, b, studied, limit)
			if n >= limit || n == 0 {
				continue // nothing that can be named stands between them
			}
			limit = n + 1
			found := candidate{a, b, n}
			if len(best) > 0 && n < best[0].obstacles {
				best = best[:0]
			}
			at, _ := slices.BinarySearchFunc(best, found, compare)
			if at == mostNearest {
				continue
			}
			best = slices.Insert(best, at, found)
			best = best[:min(len(best), mostNearest)]
		}
	}
	list := make([]Near, len(best))
	for i, c := range best {
		list[i] = Near{From: c.a, To: c.b, Between: s.Between(c.a, c.b, studied...)}
	}
	slices.SortStableFunc(list, func(x, y Near) int { return cmp.Compare(len(x.Between), len(y.Between)) })
	return list
}

// unrecorded lists the unknown sides of those nearest candidates that nothing
// else keeps apart.
func (s *Space) unrecorded(nearest []Near) []Unrecorded {
	var list []Unrecorded
	for _, near := range nearest {
		var found []Unrecorded
		for _, d := range near.Between {
			if !d.Kind.Spoils() {
				continue
			}
			if d.Kind != UnknownSide {
				found = nil
				break
			}
			for _, c := range []int{near.From, near.To} {
				if s.codes[c*s.factors+d.Factor] <= 0 {
					found = append(found, Unrecorded{c, d.Factor})
				}
			}
		}
		for _, u := range found {
			if !slices.Contains(list, u) {
				list = append(list, u)
			}
		}
	}
	return list
}
