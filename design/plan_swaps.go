package design

import (
	"math"

	"benchwright/project"
)

// classify finds the level that each configuration has of each factor in the
// session, and which factors are set by hand: followers come with what they
// follow, what is computed comes of itself, and a nuisance is only recorded.
func (pl *planner) classify() {
	n := len(pl.configurations)
	t := &runs{configuration: pl.configurations, session: make([]int, n), class: make([][]int, pl.s.factors),
		size: make([]int, pl.s.factors), value: make([][]project.Value, pl.s.factors)}
	for i := range t.session {
		t.session[i] = pl.session
	}
	for f, factor := range pl.s.p.Factors {
		pl.s.classify(t, f)
		if t.size[f] > 1 && factor.Role != project.Nuisance && factor.Derived == nil {
			pl.byHand = append(pl.byHand, f)
		}
	}
	pl.table = t
}

// changed lists the factors that a person changes between two configurations. What
// stays with a part is left out where that is swapped: how it was left there
// depends on all that went before (see walk).
func (pl *planner) changed(a, b int) []int {
	var list []int
	for _, f := range pl.byHand {
		if pl.differs(f, a, b) && !pl.comesAlong(f, a, b) && !pl.swappedUnder(f, a, b) {
			list = append(list, f)
		}
	}
	return list
}

// swappedUnder reports whether the part that keeps a factor's value is swapped.
func (pl *planner) swappedUnder(f, a, b int) bool {
	with := pl.s.p.Factors[f].StaysWith
	return with != nil && pl.differs(with.Index, a, b)
}

// change is what a person does to one factor before a visit: from the class of its
// levels that it has to another. from is −1 on a part that comes into the session:
// how it was left before is not known.
type change struct{ factor, from, to int }

// walk lists what a person changes before each of some configurations, one after
// another. A part that comes back is as it was left.
func (pl *planner) walk(list []int) [][]change {
	class := pl.table.class
	left := map[[2]int]int{} // by factor and class of the part: the factor's class
	steps := make([][]change, len(list))
	for v, i := range list {
		if v > 0 {
			for _, f := range pl.changed(list[v-1], i) {
				if pl.s.p.Factors[f].StaysWith == nil {
					steps[v] = append(steps[v], change{f, class[f][list[v-1]], class[f][i]})
				}
			}
		}
		for _, f := range pl.byHand {
			with := pl.s.p.Factors[f].StaysWith
			if with == nil {
				continue
			}
			part := [2]int{f, class[with.Index][i]}
			was, known := left[part]
			switch {
			case v == 0:
			case !known:
				steps[v] = append(steps[v], change{f, -1, class[f][i]})
			case was != class[f][i]:
				steps[v] = append(steps[v], change{f, was, class[f][i]})
			}
			left[part] = class[f][i]
		}
	}
	return steps
}

// minutesOf is how long some changes take.
func (pl *planner) minutesOf(changes []change) (sum float64) {
	for _, c := range changes {
		sum += math.Max(pl.s.p.Factors[c.factor].SwapMinutes, 0)
	}
	return sum
}

func (pl *planner) differs(f, a, b int) bool { return pl.table.class[f][a] != pl.table.class[f][b] }

// comesAlong reports whether something that a factor follows changes too.
func (pl *planner) comesAlong(f, a, b int) bool {
	for _, parent := range pl.s.parents[f] {
		if pl.differs(parent, a, b) || pl.comesAlong(parent, a, b) {
			return true
		}
	}
	return false
}

// perChange decides between orders of equal minutes, and where no minutes are
// stated at all: far less than any minutes that a person would write.
const perChange = 1e-6

func (pl *planner) findCosts() {
	n := len(pl.configurations)
	pl.cost, pl.minutes = make([][]float64, n), make([][]float64, n)
	for a := range n {
		pl.cost[a], pl.minutes[a] = make([]float64, n), make([]float64, n)
		for b := range a {
			for _, f := range pl.changed(a, b) {
				pl.minutes[a][b] += math.Max(pl.s.p.Factors[f].SwapMinutes, 0)
				pl.cost[a][b] += perChange
			}
			pl.cost[a][b] += pl.minutes[a][b]
			pl.cost[b][a], pl.minutes[b][a] = pl.cost[a][b], pl.minutes[a][b]
		}
	}
}

// swaps puts changes into words.
func (pl *planner) swaps(changes []change) []Swap {
	list := []Swap{}
	for _, c := range changes {
		factor := pl.s.p.Factors[c.factor]
		swap := Swap{Factor: factor.ID, To: pl.s.valueText(c.factor, pl.table.value[c.factor][c.to]), Minutes: factor.SwapMinutes}
		if c.from >= 0 {
			swap.From = pl.s.valueText(c.factor, pl.table.value[c.factor][c.from])
		}
		list = append(list, swap)
	}
	return list
}
