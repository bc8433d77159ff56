package design

import (
	"cmp"
	"encoding/binary"
	"math"
	"math/rand/v2"
	"slices"

	"benchwright/project"
)

// contrast is a column over the configurations of a plan whose correlation
// with the position is watched.
type contrast struct {
	factor int
	value  []float64
}

// findContrasts makes the columns of the studied factors: −1 and +1 for two
// levels, polynomials for numbers, each level against all others for
// categories, so that the names of the levels play no part.
func (pl *planner) findContrasts() {
	t := pl.table
	asked := make([]bool, pl.s.factors)
	for q := range pl.s.p.Questions {
		for _, f := range pl.s.QuestionOf(q) {
			asked[f] = true
		}
	}
	for f, factor := range pl.s.p.Factors {
		if t.size[f] < 2 || factor.Role != project.Studied && !asked[f] {
			continue
		}
		var table [][]float64
		switch {
		case t.size[f] == 2:
			table = helmert(2)
		case factor.Numeric:
			table = polynomials(t.value[f])
		default:
			for level := range t.size[f] {
				one := make([]float64, t.size[f])
				one[level] = 1
				table = append(table, one)
			}
		}
		for _, column := range overRows(table, t.class[f]) {
			pl.contrasts = append(pl.contrasts, contrast{f, column})
		}
	}
}

// times are the position in a stretch of n visits, and its square, each
// centred and of unit length; nil for fewer than two and three visits.
func times(n int) (straight, bent []float64) {
	x, y := make([]float64, n), make([]float64, n)
	for i := range x {
		x[i] = float64(2*i - n + 1)
		y[i] = x[i] * x[i]
	}
	if n > 1 {
		straight = centred(x)
	}
	if n > 2 {
		bent = centred(y)
	}
	return straight, bent
}

// standardised centres each contrast over the visits of a list and scales it
// to unit length there; nil for what does not vary.
func (pl *planner) standardised(list []int) [][]float64 {
	count := make([]float64, len(pl.configurations))
	for _, c := range list {
		count[c]++
	}
	columns := make([][]float64, len(pl.contrasts))
	for k, x := range pl.contrasts {
		mean, square := 0.0, 0.0
		for c, n := range count {
			mean += n * x.value[c]
		}
		mean /= float64(len(list))
		for c, n := range count {
			square += n * (x.value[c] - mean) * (x.value[c] - mean)
		}
		if square <= 1e-12 {
			continue
		}
		columns[k] = make([]float64, len(count))
		for c := range count {
			columns[k][c] = (x.value[c] - mean) / math.Sqrt(square)
		}
	}
	return columns
}

// worst is the largest correlation of a standardised contrast with a time, and
// the contrast.
func worst(columns [][]float64, list []int, time []float64) (r float64, contrast int) {
	contrast = -1
	if time == nil {
		return 0, -1
	}
	for k, column := range columns {
		if column == nil {
			continue
		}
		sum := 0.0
		for i, c := range list {
			sum += column[c] * time[i]
		}
		if sum = min(math.Abs(sum), 1); sum > r+1e-12 {
			r, contrast = sum, k
		}
	}
	return r, contrast
}

// yardstick is what orders of the same visits are judged with: the contrasts,
// standardised over the session and over each round, and the times.
type yardstick struct {
	columns        [][]float64
	straight, bent []float64
	rounds         [][][]float64
	times          [][]float64
}

func (pl *planner) yardstick(list, ends []int) *yardstick {
	y := &yardstick{columns: pl.standardised(list)}
	y.straight, y.bent = times(len(list))
	for k := 1; k < len(ends); k++ {
		round := list[ends[k-1] : ends[k]+1]
		straight, _ := times(len(round))
		y.rounds, y.times = append(y.rounds, pl.standardised(round)), append(y.times, straight)
	}
	return y
}

// within is the worst correlation in any one round.
func (y *yardstick) within(list, ends []int) (r float64, contrast int) {
	contrast = -1
	for k := 1; k < len(ends); k++ {
		if x, c := worst(y.rounds[k-1], list[ends[k-1]:ends[k]+1], y.times[k-1]); x > r {
			r, contrast = x, c
		}
	}
	return r, contrast
}

// fairness judges a whole session.
func (pl *planner) fairness(list, ends []int) (f Fairness) {
	name := func(contrast int) string {
		if contrast < 0 {
			return ""
		}
		return pl.s.p.Factors[pl.contrasts[contrast].factor].ID
	}
	y := pl.yardstick(list, ends)
	r, k := worst(y.columns, list, y.straight)
	f.Drift, f.DriftFactor = thousandths(r), name(k)
	r, k = worst(y.columns, list, y.bent)
	f.Bend, f.BendFactor = thousandths(r), name(k)
	r, k = y.within(list, ends)
	f.Within, f.WithinFactor = thousandths(r), name(k)
	return f
}

// thousandths keeps three decimals: a correlation with position is no closer known.
func thousandths(r float64) float64 { return math.Round(1000*r) / 1000 }

// score orders schedules: first what confounds, in steps that are too small to
// matter, then the time for swaps.
type score [4]float64

func (a score) less(b score) bool { return slices.Compare(a[:], b[:]) < 0 }

// How much correlation is as good as none, and how many random orders are
// tried. Common practice, no source.
const (
	driftStep, bendStep, withinStep = 0.05, 0.1, 0.2
	leastTries, mostTries           = 30, 400
	tryBudget                       = 5_000_000 // products over all tries
)

// balanced chooses among random orders of the rounds the one in which the
// studied factors go least with the position. The second round of each two
// takes the order of the first backwards.
func (pl *planner) balanced(sets [][]int) [][]int {
	random := rand.New(rand.NewPCG(pl.random()))
	visits := 1
	for _, set := range sets {
		visits += len(set) + 1
	}
	tries := max(leastTries, min(mostTries, tryBudget/(visits*(len(pl.contrasts)+1))))
	var best [][]int
	var bestScore score
	var y *yardstick
	for try := range tries {
		c := &schedule{rounds: pl.shuffled(random, sets)}
		list, ends := c.sequence()
		if try == 0 {
			y = pl.yardstick(list, ends) // every order has the same visits in each round
		}
		var x score
		r, _ := worst(y.columns, list, y.straight)
		x[0] = math.Ceil(r/driftStep - slack)
		if best != nil && x[0] > bestScore[0] {
			continue
		}
		r, _ = worst(y.columns, list, y.bent)
		x[1] = math.Ceil(r/bendStep - slack)
		if best != nil && cmp.Or(cmp.Compare(x[0], bestScore[0]), cmp.Compare(x[1], bestScore[1])) > 0 {
			continue
		}
		r, _ = y.within(list, ends)
		x[2] = math.Ceil(r/withinStep - slack)
		for i := 1; i < len(list); i++ {
			x[3] += pl.cost[list[i-1]][list[i]]
		}
		if best == nil || x.less(bestScore) {
			best, bestScore = c.rounds, x
		}
	}
	return best
}

// shuffled puts each two rounds into a random order and its reverse.
func (pl *planner) shuffled(random *rand.Rand, sets [][]int) [][]int {
	rounds := make([][]int, len(sets))
	for r := 0; r < len(sets); r += 2 {
		all := slices.Clone(sets[r])
		second := []int(nil)
		if r+1 < len(sets) {
			second = sets[r+1]
			all = append(all, second...)
			slices.Sort(all)
			all = slices.Compact(all)
		}
		random.Shuffle(len(all), func(i, j int) { all[i], all[j] = all[j], all[i] })
		rounds[r] = among(all, sets[r])
		if r+1 < len(sets) {
			slices.Reverse(all)
			rounds[r+1] = among(all, second)
		}
	}
	return rounds
}

// among keeps what is in a set, which is in ascending order.
func among(list, set []int) []int {
	var kept []int
	for _, c := range list {
		if _, ok := slices.BinarySearch(set, c); ok {
			kept = append(kept, c)
		}
	}
	return kept
}

// shortest gives each round the cheapest way from the baseline and back, every
// second one backwards, which costs the same.
func (pl *planner) shortest(sets [][]int) (rounds [][]int, exact bool) {
	exact = true
	for r, set := range sets {
		t := pl.tourOf(set)
		round := make([]int, 0, len(set))
		for _, stop := range t.stops[1:] {
			round = append(round, set[stop-1])
		}
		if r%2 == 1 {
			slices.Reverse(round)
		}
		rounds = append(rounds, round)
		exact = exact && t.exact
	}
	return rounds, exact
}

// tourOf finds the cheapest way round the baseline and a set of
// configurations, once for each set.
func (pl *planner) tourOf(set []int) tour {
	key := make([]byte, 0, 4*len(set))
	for _, c := range set {
		key = binary.LittleEndian.AppendUint32(key, uint32(c))
	}
	if t, ok := pl.tours[string(key)]; ok {
		return t
	}
	stops := append([]int{0}, set...)
	cost := make([][]float64, len(stops))
	for i, a := range stops {
		cost[i] = make([]float64, len(stops))
		for j, b := range stops {
			cost[i][j] = pl.cost[a][b]
		}
	}
	t := shortestTour(cost, pl.reflected(stops))
	pl.tours[string(key)] = t
	return t
}

// reflected is the order of the reflected Gray code, the dearest factor slowest.
func (pl *planner) reflected(stops []int) []int {
	factors := slices.Clone(pl.byHand)
	slices.SortStableFunc(factors, func(f, g int) int {
		return cmp.Compare(pl.s.p.Factors[g].SwapMinutes, pl.s.p.Factors[f].SwapMinutes)
	})
	rows, levels := make([][]int, len(stops)), make([]int, len(factors))
	for k, f := range factors {
		levels[k] = pl.table.size[f]
	}
	for i, c := range stops {
		for _, f := range factors {
			rows[i] = append(rows[i], pl.table.class[f][c])
		}
	}
	return reflected(rows, levels)
}
