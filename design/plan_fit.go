package design

import (
	"fmt"
	"slices"
)

// fit finds the most that the time allows: all rounds, then fewer rounds of
// everything, then one round of the first questions' pairs, then the first pair
// that fits by itself. It is false when not even one pair fits.
func (pl *planner) fit() (*schedule, bool) {
	whole := pl.schedule(pl.need, pl.o.Order)
	enough := func(c *schedule) bool {
		swaps, work := pl.time(c)
		return pl.o.Minutes <= 0 || swaps+work <= pl.o.Minutes+1e-9
	}
	if enough(whole) {
		return whole, true
	}
	var best *schedule
	// largest finds the largest step that fits, taking a larger one to need more time.
	largest := func(low, high int, at func(int) [][]int) {
		for low <= high {
			middle := (low + high) / 2
			if c := pl.schedule(at(middle), pl.o.Order); enough(c) {
				best, low = c, middle+1
			} else {
				high = middle - 1
			}
		}
	}
	largest(1, len(whole.rounds)-1, func(rounds int) [][]int { return capped(pl.need, rounds) })
	if best != nil {
		return best, true
	}
	largest(1, len(pl.units), func(n int) [][]int { return pl.pairs(pl.units[:n]) })
	if best != nil {
		return best, true
	}
	for i := range pl.units {
		if pl.alone(i) <= pl.o.Minutes+1e-9 {
			return pl.schedule(pl.pairs(pl.units[i:i+1]), pl.o.Order), true
		}
	}
	return whole, false
}

// alone gives the minutes that a session of one pair takes. Either order of
// two sides between two visits to the baseline takes the same time, so the
// order that is found faster will do.
func (pl *planner) alone(i int) float64 {
	swaps, work := pl.time(pl.schedule(pl.pairs(pl.units[i:i+1]), Shortest))
	return swaps + work
}

// pairs needs each of some pairs once: the workloads that its own question asks
// about, with what has to be read in the same run, and not what another
// question wants of the same configuration.
func (pl *planner) pairs(units []unit) [][]int {
	once := capped(pl.need, 1)
	part := make([][]int, len(once))
	for c := range part {
		part[c] = make([]int, len(once[c]))
	}
	for _, u := range units {
		for _, c := range u.configurations {
			for _, w := range u.workloads {
				part[c][w] = once[c][w]
			}
			for _, set := range pl.joined[pl.configurations[c]] {
				if slices.ContainsFunc(set, func(w int) bool { return part[c][w] > 0 }) {
					for _, w := range set {
						part[c][w] = once[c][w]
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
		if minutes[i] = pl.alone(i); minutes[i] < minutes[least] {
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
