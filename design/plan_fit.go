package design

import (
	"fmt"
	"slices"
)

// mostFillers bounds how many pairs are tried one by one for the rest of the time.
const mostFillers = 20

// fit finds the most that the time allows: all rounds, then fewer rounds of
// everything and one more of the first questions' pairs, then one round of the
// first pairs and as many more of the same, then the first pair that fits by
// itself; what time is left goes to single pairs. It is false when not even one
// pair fits.
func (pl *planner) fit() (*schedule, bool) {
	whole := pl.schedule(pl.need, pl.o.Order)
	enough := func(c *schedule) bool {
		swaps, work := pl.time(c)
		return pl.o.Minutes <= 0 || swaps+work <= pl.o.Minutes+1e-9
	}
	if enough(whole) {
		return whole, true
	}
	// largest finds the largest step that fits, taking a larger one to need more time.
	largest := func(low, high int, at func(int) [][]int) (best *schedule, n int) {
		for low <= high {
			middle := (low + high) / 2
			if c := pl.schedule(at(middle), pl.o.Order); enough(c) {
				best, n, low = c, middle, middle+1
			} else {
				high = middle - 1
			}
		}
		return best, n
	}
	all := pl.units
	best, rounds := largest(1, len(whole.rounds)-1, func(n int) [][]int { return capped(pl.need, n) })
	if best != nil {
		if c, _ := largest(1, len(all)-1, func(n int) [][]int { return larger(best.need, pl.pairs(all[:n], rounds+1)) }); c != nil {
			best = c
		}
	} else {
		first := all
		c, n := largest(1, len(all), func(n int) [][]int { return pl.pairs(all[:n], 1) })
		if best, first = c, all[:n]; best == nil {
			i := slices.IndexFunc(all, func(u unit) bool { return pl.alone(u) <= pl.o.Minutes+1e-9 })
			if i < 0 {
				return whole, false
			}
			first = all[i : i+1]
			best = pl.schedule(pl.pairs(first, 1), pl.o.Order)
		}
		if c, _ := largest(2, len(whole.rounds), func(n int) [][]int { return pl.pairs(first, n) }); c != nil {
			best = c
		}
	}
	for _, u := range all[:min(len(all), mostFillers)] {
		for n := 1; n <= len(whole.rounds); n++ {
			more := larger(best.need, pl.pairs([]unit{u}, n))
			if slices.EqualFunc(more, best.need, slices.Equal[[]int]) {
				continue // it has as many
			}
			c := pl.schedule(more, pl.o.Order)
			if !enough(c) {
				break
			}
			best = c
		}
	}
	return best, true
}

// larger takes the larger of two needs in every place.
func larger(a, b [][]int) [][]int {
	list := make([][]int, len(a))
	for c := range a {
		list[c] = slices.Clone(a[c])
		for w, n := range b[c] {
			list[c][w] = max(list[c][w], n)
		}
	}
	return list
}

// alone gives the minutes that a session of one pair takes. Either order of
// two sides between two visits to the baseline takes the same time, so the
// order that is found faster will do.
func (pl *planner) alone(u unit) float64 {
	swaps, work := pl.time(pl.schedule(pl.pairs([]unit{u}, 1), Shortest))
	return swaps + work
}

// pairs needs each of some pairs so many times at most: the workloads that its own question asks
// about, with what has to be read in the same run, and not what another
// question wants of the same configuration.
func (pl *planner) pairs(units []unit, most int) [][]int {
	some := capped(pl.need, most)
	part := make([][]int, len(some))
	for c := range part {
		part[c] = make([]int, len(some[c]))
	}
	for _, u := range units {
		for _, c := range u.configurations {
			for _, w := range u.workloads {
				part[c][w] = some[c][w]
			}
			for _, set := range pl.joined[pl.configurations[c]] {
				if slices.ContainsFunc(set, func(w int) bool { return part[c][w] > 0 }) {
					for _, w := range set {
						part[c][w] = some[c][w]
					}
				}
			}
		}
	}
	return part
}

func capped(need [][]int, most int) [][]int {
	list := make([][]int, len(need))
	for c := range need {
		list[c] = make([]int, len(need[c]))
		for w, n := range need[c] {
			list[c][w] = min(n, most)
		}
	}
	return list
}

// leave lists what the schedule does not read although it is wanted.
func (pl *planner) leave(p *Plan, fits bool) {
	planned := make(map[[2]int]int)
	for _, v := range p.Visits {
		for _, w := range v.workloads {
			planned[[2]int{v.configuration, w}]++
		}
	}
	for i, cells := range pl.need {
		id := pl.configurations[i]
		short, some := 0, false
		for w, n := range cells {
			short = max(short, n-planned[[2]int{id, w}])
			some = some || planned[[2]int{id, w}] > 0
		}
		if short > 0 {
			p.Left = append(p.Left, Left{pl.s.p.Configurations[id].ID, short, !some})
		}
	}
	if !fits {
		p.Remarks = append(p.Remarks, pl.nothingFits())
	}
}

// nothingFits says how much time the least session needs.
func (pl *planner) nothingFits() string {
	least := 0
	minutes := make([]float64, len(pl.units))
	for i := range pl.units {
		if minutes[i] = pl.alone(pl.units[i]); minutes[i] < minutes[least] {
			least = i
		}
	}
	what := "pair"
	if len(pl.s.p.Questions) == 0 {
		what = "configuration"
	}
	which := "the first " + what + " alone"
	if least > 0 {
		which = "even the shortest " + what + " alone"
	}
	return fmt.Sprintf("nothing fits into %s: %s takes %s", available(pl.o.Minutes), which, duration(minutes[least]))
}
