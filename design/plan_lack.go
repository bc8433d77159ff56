package design

import (
	"cmp"
	"slices"

	"benchwright/project"
)

// Want is what one question still lacks.
type Want struct {
	// Question by id; empty in a folder that asks none, where every
	// configuration counts.
	Question string `json:"question"`
	Ask      string `json:"ask"`
	// Answerable: there is a matched pair, with or without readings.
	Answerable bool `json:"answerable"`
	// Cells lack repeats; Failed are left out because their runs did not end
	// well and none did: to try again is a choice.
	Cells  []WantedCell `json:"cells"`
	Failed []WantedCell `json:"failed"`
	// Companions have their repeats, and are read again so that both sides of a
	// pair stand in one session.
	Companions []string `json:"companions"`
	// Configurations are those that would give a question its first pair.
	Configurations []MissingStatus `json:"configurations"`
	// Text says all of it in a few sentences.
	Text []string `json:"text"`

	// within: there is something to read within the makers' limits, now or once
	// it lacks repeats. leftOut are configurations that lack readings and lie
	// beyond, by what beyond says.
	within  bool
	leftOut []int
	beyond  []Excess
}

// WantedCell is a workload on a configuration, with the ok readings that it
// has and should have.
type WantedCell struct {
	Configuration string `json:"configuration"`
	Workload      string `json:"workload"`
	Have          int    `json:"have"`
	Want          int    `json:"want"`

	configuration, workload int
}

// demand is what one session would have to read.
type demand struct {
	wants []Want
	// configurations that have to be visited, the baseline first.
	configurations []int
	// need is the number of repeats, by place in configurations and workload.
	need [][]int
	// units are the most important first: pairs that have not been measured,
	// then the others, each in order of the questions.
	units  []unit
	failed func(configuration, workload int) bool
	// noBaseline: something is due, but the baseline lies beyond a limit.
	noBaseline bool
	// joined are, by configuration, the workloads that have to be read in one
	// visit, because another is computed from readings of one run.
	joined map[int][][]int
	// leftOut lists, by configuration, what lies beyond a maker's limit in those
	// that would have been read but for that.
	leftOut map[int][]Excess
	// needed is, by workload, how many repeats see a difference that was named.
	needed []Needed
	// uncounted says which readings are not counted, as they are of another state
	// of their configuration.
	uncounted string
	// alongside are the workloads that have their repeats and are read again
	// only so that a run is whole.
	alongside []int
}

// unit is configurations that belong together, most often the two sides of a
// pair, and what the question wants to be read on them.
type unit struct {
	configurations []int // places in demand.configurations
	workloads      []int
}

// demand finds what the questions lack: on either side of every matched pair,
// each workload that has fewer ok readings than wanted, which are repeats unless
// a difference that is to be seen needs more. A pair of which a side
// lies beyond a maker's limit in the session (−1: a new one) is not asked for:
// the other side alone would tell nothing.
func (s *Space) demand(o PlanOptions, repeats, session int) demand {
	d := demand{wants: []Want{}, leftOut: make(map[int][]Excess)}
	odd, text := s.moved()
	d.uncounted = text
	ok := make([]int, len(s.p.Configurations)*len(s.p.Workloads))
	for i := range s.p.Readings {
		r := &s.p.Readings[i]
		if r.Outcome == project.OK && r.HasValue && !r.Derived && r.Configuration >= 0 && r.Workload >= 0 && !odd(int(r.Configuration), int(r.Session)) {
			ok[int(r.Configuration)*len(s.p.Workloads)+int(r.Workload)]++
		}
	}
	have := func(c, w int) int { return ok[c*len(s.p.Workloads)+w] }
	wanted := make([]int, len(s.p.Workloads))
	for w := range wanted {
		wanted[w] = repeats
	}
	if o.Difference > 0 {
		d.needed = s.needed(o.Difference, repeats, o.Repeats > 0, have)
		for _, x := range d.needed {
			wanted[x.workload] = x.Wanted
		}
	}
	d.failed = func(c, w int) bool { return have(c, w) == 0 && s.failed[c][w] }

	need, scope := make(map[int][]int), make(map[int][]bool)
	raise := func(c, w, n int) {
		if need[c] == nil {
			need[c] = make([]int, len(s.p.Workloads))
		}
		need[c][w] = max(need[c][w], n)
	}
	again := func(c, w int) { raise(c, w, wanted[w]) }
	var units, later []unit
	// want collects one configuration into a question's list, and reports
	// whether it lacks anything beside another (−1: whatever it is held against).
	// Where no run of that one ended well, a reading of this one alone would tell
	// nothing.
	want := func(x *Want, seen map[[2]int]bool, c, other int, workloads []int) bool {
		lacks := false
		if scope[c] == nil {
			scope[c] = make([]bool, len(s.p.Workloads))
		}
		for _, w := range workloads {
			if other >= 0 && d.failed(other, w) && !d.failed(c, w) {
				continue
			}
			scope[c][w] = true
			cell := WantedCell{s.p.Configurations[c].ID, s.p.Workloads[w].ID, have(c, w), wanted[w], c, w}
			known := seen[[2]int{c, w}]
			seen[[2]int{c, w}] = true
			switch {
			case cell.Have >= cell.Want:
				continue
			case d.failed(c, w):
				if !known {
					x.Failed = append(x.Failed, cell)
				}
				continue
			}
			lacks = true
			raise(c, w, cell.Want-cell.Have)
			if !known {
				x.Cells = append(x.Cells, cell)
			}
		}
		return lacks
	}
	beyond := s.beyondIn(session)
	lacks := func(c int, workloads []int) bool {
		return slices.ContainsFunc(workloads, func(w int) bool { return have(c, w) < wanted[w] })
	}
	for q, question := range s.p.Questions {
		a := s.Answer(q)
		x := newWant(question.ID, question.Ask)
		x.Answerable = a.Answerable
		if !a.Answerable {
			x.Configurations = s.questionStatus(q).Missing
		}
		workloads, seen := s.readFor(q), make(map[[2]int]bool)
		var complete []Pair
		lacking := false
		for _, pair := range a.Pairs {
			if len(beyond[pair.From])+len(beyond[pair.To]) > 0 {
				if lacks(pair.From, workloads) || lacks(pair.To, workloads) {
					for _, c := range []int{pair.From, pair.To} {
						if len(beyond[c]) > 0 {
							d.leftOut[c] = beyond[c]
							x.leftOut = addInt(x.leftOut, c)
							x.beyond = addExcess(x.beyond, beyond[c]...)
						}
					}
				}
				continue
			}
			x.within = true
			from, to := want(&x, seen, pair.From, pair.To, workloads), want(&x, seen, pair.To, pair.From, workloads)
			switch {
			case from && !to:
				s.accompany(&x, pair.To, pair.From, workloads, d.failed, odd, again)
			case to && !from:
				s.accompany(&x, pair.From, pair.To, workloads, d.failed, odd, again)
			}
			lacking = lacking || from || to
			switch {
			case !from && !to:
				if pair.State == Measured {
					complete = append(complete, pair)
				}
			case pair.State == Measured:
				later = append(later, unit{[]int{pair.From, pair.To}, workloads})
			default: // what nobody has seen yet comes before one more repeat
				units = append(units, unit{[]int{pair.From, pair.To}, workloads})
			}
		}
		if a.Again != nil {
			// Within a session that both share, whatever sessions state is the same for
			// both: the way to a pair is the bench.
			pair := Pair{From: a.Again.From, To: a.Again.To}
			if len(beyond[pair.From])+len(beyond[pair.To]) == 0 {
				x.within = true
				if s.readAgain(&x, pair, workloads, d.failed, raise, have, wanted) {
					units = append(units, unit{[]int{pair.From, pair.To}, s.apartAnd(pair, workloads)})
				}
			}
		} else if !lacking {
			if pair := s.bringTogether(&x, complete, workloads, d.failed, again); pair != nil {
				units = append(units, unit{[]int{pair.From, pair.To}, workloads})
			}
		}
		together(x.Cells)
		together(x.Failed)
		x.Text = s.wantText(&x, a, wanted)
		d.wants = append(d.wants, x)
	}
	if len(s.p.Questions) == 0 {
		x, seen := newWant("", ""), make(map[[2]int]bool)
		workloads := s.readFor(-1)
		for c := range s.p.Configurations {
			if len(beyond[c]) > 0 {
				if lacks(c, workloads) {
					d.leftOut[c] = beyond[c]
					x.leftOut = addInt(x.leftOut, c)
				}
				continue
			}
			x.within = true
			if want(&x, seen, c, -1, workloads) {
				units = append(units, unit{[]int{c}, workloads})
			}
		}
		x.Text = s.wantText(&x, Answerability{}, wanted)
		d.wants = append(d.wants, x)
	}
	s.join(&d, need, scope)
	if len(need) > 0 && len(beyond[s.p.Baseline]) > 0 {
		// Every round returns to the baseline, so there is no round.
		d.leftOut[s.p.Baseline] = beyond[s.p.Baseline]
		d.noBaseline = true
		return d
	}
	s.gather(&d, need, append(units, later...))
	return d
}

// together puts the cells of one configuration beside each other, which several
// pairs may have asked for, in the order in which the configurations came.
func together(cells []WantedCell) {
	first := make(map[int]int)
	for _, cell := range cells {
		if _, ok := first[cell.configuration]; !ok {
			first[cell.configuration] = len(first)
		}
	}
	slices.SortStableFunc(cells, func(a, b WantedCell) int {
		return cmp.Or(cmp.Compare(first[a.configuration], first[b.configuration]), cmp.Compare(a.workload, b.workload))
	})
}

// join asks for the parts of a computed workload equally often wherever
// questions want all of them: a part that is read alone is of no use to what
// is computed from the readings of one run. A configuration on which a part
// does not run has nothing to compute.
func (s *Space) join(d *demand, need map[int][]int, scope map[int][]bool) {
	d.joined = make(map[int][][]int)
	var groups [][]int
	for w, x := range s.p.Workloads {
		if x.Derived == nil {
			continue
		}
		if parts := s.basesOf(w); len(parts) > 1 {
			groups = append(groups, parts)
		}
	}
	for c := range s.p.Configurations {
		var joined [][]int
		for _, group := range groups {
			if scope[c] == nil || slices.ContainsFunc(group, func(w int) bool { return !scope[c][w] || d.failed(c, w) }) {
				continue
			}
			// Two computed workloads that share a part have their runs in common.
			set := slices.Clone(group)
			joined = slices.DeleteFunc(joined, func(other []int) bool {
				shares := slices.ContainsFunc(other, func(w int) bool { return slices.Contains(set, w) })
				if shares {
					set = append(set, other...)
				}
				return shares
			})
			slices.Sort(set)
			joined = append(joined, slices.Compact(set))
		}
		if len(joined) == 0 {
			continue
		}
		d.joined[c] = joined
		if need[c] == nil {
			continue
		}
		for _, set := range joined {
			most := 0
			for _, w := range set {
				most = max(most, need[c][w])
			}
			for _, w := range set {
				if need[c][w] == 0 && most > 0 && !slices.Contains(d.alongside, w) {
					d.alongside = append(d.alongside, w)
				}
				need[c][w] = most
			}
		}
	}
	slices.Sort(d.alongside)
}

func newWant(id, ask string) Want {
	return Want{Question: id, Ask: ask, Cells: []WantedCell{}, Failed: []WantedCell{}, Companions: []string{}, Configurations: []MissingStatus{}}
}

// accompany asks for a side that lacks nothing to be read again beside the other,
// on the workloads on which what the sessions differ by could not be taken out
// otherwise: the two share none, and the baseline, which is on the bench in any
// case, was not read beside this one either, or was in another state there (odd).
func (s *Space) accompany(x *Want, c, other int, workloads []int, failed func(c, w int) bool, odd func(c, session int) bool, again func(c, w int)) {
	base := s.p.Baseline
	if c == base {
		return
	}
	some := false
	for _, w := range workloads {
		if failed(c, w) || failed(other, w) || s.sittings.Compared(c, other, w) || other != base && s.besideBaseline(c, w, odd) {
			continue
		}
		again(c, w)
		some = true
	}
	if id := s.p.Configurations[c].ID; some && !slices.Contains(x.Companions, id) {
		x.Companions = append(x.Companions, id)
	}
}

// besideBaseline says that a configuration was read in sessions of the baseline's,
// all stated, in each of which that was in the state in which it will be read again.
func (s *Space) besideBaseline(c, w int, odd func(c, session int) bool) bool {
	base := s.p.Baseline
	if s.sittings.of == nil {
		return false
	}
	own, beside := s.sittings.of[c*s.sittings.workloads+w], s.sittings.of[base*s.sittings.workloads+w]
	if slices.Contains(own, -1) || slices.Contains(beside, -1) || !meet(own, beside) {
		return false
	}
	return !slices.ContainsFunc(own, func(session int32) bool { return slices.Contains(beside, session) && odd(base, int(session)) })
}

// bringTogether asks for both sides of a question's first pair to be read again
// where nothing is lacking, but on some workload no pair can be held apart from
// its sessions.
func (s *Space) bringTogether(x *Want, pairs []Pair, workloads []int, failed func(c, w int) bool, again func(c, w int)) *Pair {
	var apart []int
	for _, w := range workloads {
		if !slices.ContainsFunc(pairs, func(p Pair) bool { return !s.sittings.ApartOn(p.From, p.To, w) }) {
			apart = append(apart, w)
		}
	}
	for i, pair := range pairs {
		some := false
		for _, w := range apart {
			if !failed(pair.From, w) && !failed(pair.To, w) {
				again(pair.From, w)
				again(pair.To, w)
				some = true
			}
		}
		if some {
			for _, c := range []int{pair.From, pair.To} {
				x.Companions = append(x.Companions, s.p.Configurations[c].ID)
			}
			return &pairs[i]
		}
	}
	return nil
}

// apartAnd lists workloads, and with them those that have to be read for two
// configurations to share a session wherever they are compared.
func (s *Space) apartAnd(pair Pair, workloads []int) []int {
	apart, _ := s.sittings.Apart(pair.From, pair.To)
	for _, w := range s.p.Workloads {
		x, y := s.sittings.of[pair.From*s.sittings.workloads+w.Index], s.sittings.of[pair.To*s.sittings.workloads+w.Index]
		if len(x) > 0 && len(y) > 0 && !meet(x, y) {
			apart = append(apart, w.Index) // compared through a third at most
		}
	}
	list := slices.Concat(workloads, s.basesOf(apart...))
	slices.Sort(list)
	return slices.Compact(list)
}

// readAgain asks for both sides of a pair that only its sessions stand against,
// on every workload of the question, and on every other under which the two do
// not share a session, since a comparison on any would hold what they state. It
// reports whether there is anything to read.
func (s *Space) readAgain(x *Want, pair Pair, workloads []int, failed func(c, w int) bool, raise func(c, w, n int), have func(c, w int) int, wanted []int) bool {
	some := false
	for _, w := range s.apartAnd(pair, workloads) {
		if failed(pair.From, w) || failed(pair.To, w) {
			continue
		}
		shared := meet(s.sittings.of[pair.From*s.sittings.workloads+w], s.sittings.of[pair.To*s.sittings.workloads+w])
		for _, c := range []int{pair.From, pair.To} {
			if n := have(c, w); !shared {
				raise(c, w, wanted[w])
				some = true
			} else if n < wanted[w] {
				raise(c, w, wanted[w]-n)
				some = true
			}
		}
	}
	if some {
		for _, c := range []int{pair.From, pair.To} {
			x.Companions = append(x.Companions, s.p.Configurations[c].ID)
		}
	}
	return some
}

// gather lists the configurations in need, the baseline first whether or not
// it is among them, and counts the units in that list.
func (s *Space) gather(d *demand, need map[int][]int, units []unit) {
	if len(need) == 0 || len(s.p.Configurations) == 0 {
		return
	}
	at := make(map[int]int)
	add := func(c int) {
		if need[c] == nil {
			need[c] = make([]int, len(s.p.Workloads))
		}
		at[c] = len(d.configurations)
		d.configurations = append(d.configurations, c)
		d.need = append(d.need, need[c])
	}
	add(s.p.Baseline)
	for c := range s.p.Configurations {
		if need[c] != nil && c != s.p.Baseline {
			add(c)
		}
	}
	for _, u := range units {
		var list []int
		for _, c := range u.configurations {
			if i, ok := at[c]; ok {
				list = append(list, i)
			}
		}
		d.units = append(d.units, unit{list, u.workloads})
	}
}

// readFor lists the workloads that have to be read for a question (−1: all):
// those that it asks about, and for computed ones what they are computed from.
func (s *Space) readFor(q int) []int {
	if q >= 0 {
		return s.basesOf(s.workloadsOf(q)...)
	}
	all := make([]int, len(s.p.Workloads))
	for w := range all {
		all[w] = w
	}
	return s.basesOf(all...)
}

// basesOf lists the workloads that have to be read for others: themselves, and
// for computed ones what they are computed from.
func (s *Space) basesOf(workloads ...int) []int {
	var list []int
	seen := make([]bool, len(s.p.Workloads))
	var add func(w int)
	add = func(w int) {
		if w < 0 || w >= len(seen) || seen[w] {
			return
		}
		seen[w] = true
		x := s.p.Workloads[w]
		switch {
		case x.Derived != nil:
			for _, term := range slices.Concat(x.Derived.Times, x.Derived.Over) {
				if term.Kind == project.WorkloadTerm {
					add(term.Index)
				}
			}
		case x.FramesOf != "":
			if of := s.p.Workload(x.FramesOf); of != nil {
				add(of.Index)
			}
		default:
			list = append(list, w)
		}
	}
	for _, w := range workloads {
		add(w)
	}
	slices.Sort(list)
	return list
}
