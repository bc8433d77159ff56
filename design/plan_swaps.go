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

// changed lists the factors that a person changes between two configurations.
func (pl *planner) changed(a, b int) []int {
	var list []int
	for _, f := range pl.byHand {
		if pl.differs(f, a, b) && !pl.comesAlong(f, a, b) {
			list = append(list, f)
		}
	}
	return list
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

// swaps puts the changes between two configurations into words.
func (pl *planner) swaps(a, b int) []Swap {
	list := []Swap{}
	for _, f := range pl.changed(a, b) {
		at := func(i int) string {
			return pl.s.valueText(f, pl.table.value[f][pl.table.class[f][i]])
		}
		list = append(list, Swap{pl.s.p.Factors[f].ID, at(a), at(b), pl.s.p.Factors[f].SwapMinutes})
	}
	return list
}
