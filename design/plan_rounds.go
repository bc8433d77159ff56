package design

import "slices"

// schedule is the repeats that a session reads and their order.
type schedule struct {
	need [][]int // repeats by configuration and workload
	// rounds list configurations without the baseline, reads their workloads
	// in the same places; opening is what the baseline reads at each of its visits.
	rounds   [][]int
	reads    [][][]int
	baseline [][]int
	exact    bool
}

// sequence is every visit in order, and the rounds' ends in it: round r is
// sequence[ends[r]:ends[r+1]+1], a baseline at both ends.
func (c *schedule) sequence() (list, ends []int) {
	list, ends = []int{0}, []int{0}
	for _, round := range c.rounds {
		list = append(list, round...)
		list = append(list, 0)
		ends = append(ends, len(list)-1)
	}
	return list, ends
}

// schedule spreads repeats over rounds and puts each round in order.
func (pl *planner) schedule(need [][]int, order RunOrder) *schedule {
	c := &schedule{need: need}
	rounds := 1
	for i, cells := range need {
		for _, n := range cells {
			if i == 0 {
				n-- // the opening visit is one more
			}
			rounds = max(rounds, n)
		}
	}
	sets := make([][]int, rounds)
	reads := make([]map[int][]int, rounds)
	for r := range reads {
		reads[r] = map[int][]int{}
	}
	for i := 1; i < len(need); i++ {
		most := slices.Max(need[i])
		if most == 0 {
			continue
		}
		visits := spreadOver(most, rounds)
		for _, r := range visits {
			sets[r] = append(sets[r], i)
		}
		for w, n := range need[i] {
			for _, k := range spreadOver(n, most) {
				reads[visits[k]][i] = append(reads[visits[k]][i], w)
			}
		}
	}
	pl.fill(need, sets, reads)
	switch order {
	case Shortest:
		c.rounds, c.exact = pl.shortest(sets)
	default:
		c.rounds = pl.balanced(sets)
	}
	c.reads = make([][][]int, rounds)
	for r, round := range c.rounds {
		c.reads[r] = make([][]int, len(round))
		for k, i := range round {
			c.reads[r][k] = reads[r][i]
		}
	}
	c.baseline = pl.baselineReads(need[0], c.reads)
	return c
}

// spreadOver gives n of the numbers below of, evenly: the middle one for n = 1.
func spreadOver(n, of int) []int {
	list := make([]int, n)
	for i := range list {
		list[i] = (2*i + 1) * of / (2 * n)
	}
	return list
}

// fill gives rounds in which nothing but the baseline is due the cheapest
// other configuration: two visits in a row would be one, with nothing fitted anew.
func (pl *planner) fill(need [][]int, sets [][]int, reads []map[int][]int) {
	cheapest := 0
	for i := 1; i < len(need); i++ {
		if slices.Max(need[i]) > 0 && (cheapest == 0 || pl.cost[0][i] < pl.cost[0][cheapest]) {
			cheapest = i
		}
	}
	if cheapest == 0 {
		return // there is no other
	}
	for r := range sets {
		if len(sets[r]) > 0 {
			continue
		}
		sets[r] = []int{cheapest}
		for w, n := range need[cheapest] {
			if n > 0 {
				reads[r][cheapest] = append(reads[r][cheapest], w)
			}
		}
	}
}

// baselineReads says what is read at each visit to the baseline: what it needs
// itself, and what the rounds before and after it read, so that every reading
// lies between two of the baseline; with each, what is read in the same run.
func (pl *planner) baselineReads(need []int, reads [][][]int) [][]int {
	visits := len(reads) + 1
	list := make([][]int, visits)
	if !slices.ContainsFunc(reads, func(round [][]int) bool { return len(round) > 0 }) {
		visits = slices.Max(need) // the baseline alone, one visit for each repeat
		list = make([][]int, max(visits, 1))
	}
	add := func(v, w int) {
		if v < len(list) && !slices.Contains(list[v], w) && !pl.failed(pl.configurations[0], w) {
			list[v] = append(list[v], w)
		}
	}
	for w, n := range need {
		for _, v := range spreadOver(n, visits) {
			add(v, w)
		}
	}
	for r, round := range reads {
		for _, workloads := range round {
			for _, w := range workloads {
				add(r, w)
				add(r+1, w)
			}
		}
	}
	for v := range list {
		for _, set := range pl.joined[pl.configurations[0]] {
			if slices.ContainsFunc(set, func(w int) bool { return slices.Contains(list[v], w) }) {
				for _, w := range set {
					add(v, w)
				}
			}
		}
		slices.Sort(list[v])
	}
	return list
}

// time gives the minutes of a schedule.
func (pl *planner) time(c *schedule) (swaps, work float64) {
	list, _ := c.sequence()
	for _, changes := range pl.walk(list) {
		swaps += pl.minutesOf(changes)
	}
	for _, workloads := range c.baseline {
		work += pl.workMinutes(workloads)
	}
	for _, round := range c.reads {
		for _, workloads := range round {
			work += pl.workMinutes(workloads)
		}
	}
	return swaps, work
}

func (pl *planner) workMinutes(workloads []int) (sum float64) {
	for _, w := range workloads {
		sum += pl.s.p.Workloads[w].Minutes
	}
	return sum
}
