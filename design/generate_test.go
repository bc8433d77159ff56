package design

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"

	"benchwright/project"
)

// plan is a clean project made at random: nothing differs that should not.
type plan struct {
	*bench
	random *rand.Rand
	// studied, held and followers index factors; followers[i] follows studied[i] where ≥ 0.
	studied, held []int
	followers     []int
	levels        [][]string // of each studied factor
	factorial     bool
}

// clean makes a project of two to four studied factors, some with a follower,
// held factors, a room temperature within its tolerance, workloads of both
// directions, and readings in rounds of random order that begin and end with
// the baseline. One factor at a time, or every combination.
func clean(seed uint64) *plan {
	random := rand.New(rand.NewPCG(seed, 7))
	g := &plan{bench: newBench(), random: random, factorial: random.IntN(2) == 0}
	for i := range 2 + random.IntN(3) {
		id := fmt.Sprintf("part-%d", i)
		g.factor(id, project.Studied)
		g.studied = append(g.studied, g.index(id))
		n := 2
		if random.IntN(3) == 0 {
			n = 3
		}
		var levels []string
		for l := range n {
			levels = append(levels, fmt.Sprintf("p%d-%c", i, 'a'+l))
		}
		g.levels = append(g.levels, levels)
		g.followers = append(g.followers, -1)
		if random.IntN(2) == 0 {
			follower := fmt.Sprintf("follower-%d", i)
			g.factor(follower, project.Follows, id)
			g.followers[i] = g.index(follower)
		}
	}
	for i := range 1 + random.IntN(4) {
		id := fmt.Sprintf("held-%d", i)
		g.factor(id, project.Held)
		g.held = append(g.held, g.index(id))
	}
	room := g.factor("room", project.Nuisance)
	room.Numeric, room.Tolerance = true, project.Tolerance{Absolute: 2}
	for i := range g.studied {
		factor := g.p.Factors[g.studied[i]]
		g.question("is-"+factor.ID, factor.ID, g.levels[i][0], g.levels[i][len(g.levels[i])-1])
	}
	g.combinations()
	workloads := 1 + random.IntN(3)
	for w := range workloads {
		workload := g.workload(fmt.Sprintf("work-%d", w))
		workload.HigherBetter = random.IntN(2) == 0
	}
	g.readings(workloads)
	return g
}

func (g *plan) combinations() {
	var combinations [][]int
	base := make([]int, len(g.studied))
	if g.factorial {
		combinations = [][]int{{}}
		for i := range g.studied {
			var next [][]int
			for _, c := range combinations {
				for l := range g.levels[i] {
					next = append(next, append(append([]int(nil), c...), l))
				}
			}
			combinations = next
		}
	} else {
		combinations = append(combinations, base)
		for i := range g.studied {
			for l := 1; l < len(g.levels[i]); l++ {
				c := append([]int(nil), base...)
				c[i] = l
				combinations = append(combinations, c)
			}
		}
	}
	for n, combination := range combinations {
		var set []string
		for i, l := range combination {
			set = append(set, g.p.Factors[g.studied[i]].ID+"="+g.levels[i][l])
			if f := g.followers[i]; f >= 0 {
				set = append(set, fmt.Sprintf("%s=f%d-%c", g.p.Factors[f].ID, i, 'a'+l))
			}
		}
		for i, f := range g.held {
			set = append(set, fmt.Sprintf("%s=v%d", g.p.Factors[f].ID, i))
		}
		g.configuration(fmt.Sprintf("c%02d", n), set...)
	}
}

// readings come in rounds: every configuration once, in random order, between
// two visits to the baseline.
func (g *plan) readings(workloads int) {
	sessions := 1 + g.random.IntN(2)
	rounds := 3 + g.random.IntN(4)
	effect := make([]float64, len(g.p.Configurations))
	for c := range effect {
		effect[c] = 1 + 0.05*float64(c%7) + 0.013*float64(c)
	}
	repeat := make(map[[2]int]int32)
	for s := range sessions {
		g.session(fmt.Sprintf("day-%d", s+1), fmt.Sprintf("room=%.1f", 21+g.random.Float64()))
		order := int32(0)
		visit := func(c int) {
			order++
			for w := range workloads {
				value := effect[c] * float64(40+31*w) * math.Exp(0.008*g.random.NormFloat64())
				written := strconv.FormatFloat(value, 'f', 2, 64)
				value, _ = strconv.ParseFloat(written, 64)
				repeat[[2]int{c, w}]++
				r := project.Reading{Configuration: int32(c), Workload: int32(w), Session: int32(s), Repeat: repeat[[2]int{c, w}],
					Order: order, HasValue: true, Value: value, Raw: value, Line: int32(len(g.p.Readings) + 2), Column: 1}
				g.p.Write(&r, written, "", "")
				g.p.Readings = append(g.p.Readings, r)
			}
		}
		for range rounds {
			visit(0)
			for _, c := range g.random.Perm(len(effect) - 1) {
				visit(c + 1)
			}
		}
		visit(0)
	}
}

// set gives a configuration another value of a factor.
func (g *plan) set(c, f int, text string) {
	v := value(text)
	v.Place = g.p.Configurations[c].Place
	g.p.Configurations[c].Set[f] = v
	g.p.Configurations[c].Values[f] = project.Resolved{Value: v, Origin: project.FromOwn, From: g.p.Configurations[c].ID}
}
