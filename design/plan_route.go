package design

import (
	"math"
	"slices"
)

// mostExact is the largest number of stops, the start aside, for which every
// order is compared: 2^n · n² steps.
const mostExact = 16

// tour is a way round: the start, then every other stop once.
type tour struct {
	stops []int
	exact bool
}

// shortestTour finds the order of stops 1 … n−1 that makes the way from stop 0
// through all of them and back cheapest, for symmetric costs of at least 0. Up
// to mostExact stops it is the optimum (Held and Karp, Journal of the Society
// for Industrial and Applied Mathematics 10, 1962); beyond, the best that
// 2-opt (Croes, Operations Research 6, 1958) and Or-opt (Or, 1976) make of the
// nearest neighbour's way, of the stops as they come, and of the given guesses
// (orders of all stops, the start anywhere).
func shortestTour(cost [][]float64, guesses ...[]int) tour {
	n := len(cost)
	if n <= 2 {
		return tour{firstOf(n), true}
	}
	if n-1 <= mostExact {
		return tour{heldKarp(cost), true}
	}
	var best []int
	least := math.Inf(1)
	for _, start := range append([][]int{nearestNeighbour(cost), firstOf(n)}, guesses...) {
		stops := rotated(start)
		improve(cost, stops)
		if c := tourCost(cost, stops); c < least-slack {
			best, least = stops, c
		}
	}
	return tour{forwards(best), false}
}

// slack is what a change must gain: less is rounding.
const slack = 1e-9

func firstOf(n int) []int {
	list := make([]int, n)
	for i := range list {
		list[i] = i
	}
	return list
}

// rotated copies a way round so that it starts with stop 0.
func rotated(stops []int) []int {
	k := slices.Index(stops, 0)
	return slices.Concat(stops[k:], stops[:k])
}

// forwards chooses of a way round and its reverse the one whose first stop
// comes first.
func forwards(stops []int) []int {
	if len(stops) > 2 && stops[1] > stops[len(stops)-1] {
		slices.Reverse(stops[1:])
	}
	return stops
}

func tourCost(cost [][]float64, stops []int) float64 {
	sum := cost[stops[len(stops)-1]][stops[0]]
	for i := 1; i < len(stops); i++ {
		sum += cost[stops[i-1]][stops[i]]
	}
	return sum
}

// heldKarp is the exact optimum by dynamic programming over sets of stops.
func heldKarp(cost [][]float64) []int {
	m := len(cost) - 1 // stops 1 … m; stop j is bit j−1
	size := 1 << m
	least := make([]float64, size*m)
	before := make([]int8, size*m)
	for set := 1; set < size; set++ {
		for last := range m {
			if set>>last&1 == 0 {
				continue
			}
			rest := set &^ (1 << last)
			at := set*m + last
			if rest == 0 {
				least[at], before[at] = cost[0][last+1], -1
				continue
			}
			best, from := math.Inf(1), int8(-1)
			for k := range m {
				if rest>>k&1 == 0 {
					continue
				}
				if c := least[rest*m+k] + cost[k+1][last+1]; c < best-slack {
					best, from = c, int8(k)
				}
			}
			least[at], before[at] = best, from
		}
	}
	set, last, best := size-1, 0, math.Inf(1)
	for k := range m {
		if c := least[set*m+k] + cost[k+1][0]; c < best-slack {
			best, last = c, k
		}
	}
	stops := make([]int, len(cost))
	for i := m; i > 0; i-- {
		stops[i] = last + 1
		next := before[set*m+last]
		set &^= 1 << last
		last = int(next)
	}
	return forwards(stops)
}

func nearestNeighbour(cost [][]float64) []int {
	n := len(cost)
	stops, gone := []int{0}, make([]bool, n)
	gone[0] = true
	for len(stops) < n {
		here, next := stops[len(stops)-1], -1
		for k := range n {
			if !gone[k] && (next < 0 || cost[here][k] < cost[here][next]-slack) {
				next = k
			}
		}
		gone[next] = true
		stops = append(stops, next)
	}
	return stops
}

// mostSteps bounds the comparisons of one improvement, so that thousands of
// configurations still take some seconds at most; 300 come nowhere near.
const mostSteps = 20_000_000

// improve shortens a way round in place until neither turning a stretch round
// (2-opt) nor moving one of up to three stops (Or-opt) gains anything.
func improve(cost [][]float64, stops []int) {
	n := len(stops)
	steps := 0
	at := func(i int) int { return stops[(i+n)%n] }
	for gained := true; gained && steps < mostSteps; {
		gained = false
		for i := 1; i < n-1; i++ {
			a := at(i - 1)
			for j := i + 1; j < n; j++ {
				b, c, d := stops[i], stops[j], at(j+1)
				if cost[a][c]+cost[b][d] < cost[a][b]+cost[c][d]-slack {
					slices.Reverse(stops[i : j+1])
					gained = true
				}
			}
			steps += n - i
		}
		for length := 1; length <= 3 && length < n-2; length++ {
			for i := 1; i+length <= n; i++ {
				if move(cost, stops, i, length) {
					gained = true
				}
				steps += n
			}
		}
	}
}

// move puts the stretch of stops from i to where it costs least, either way
// round, if that gains anything.
func move(cost [][]float64, stops []int, i, length int) bool {
	n := len(stops)
	first, last := stops[i], stops[i+length-1]
	a, b := stops[i-1], stops[(i+length)%n]
	saved := cost[a][first] + cost[last][b] - cost[a][b]
	if saved <= slack {
		return false
	}
	best, to, turn := saved-slack, -1, false
	for k := range n {
		if k >= i-1 && k < i+length {
			continue
		}
		x, y := stops[k], stops[(k+1)%n]
		gap := cost[x][y]
		if c := cost[x][first] + cost[last][y] - gap; c < best {
			best, to, turn = c, k, false
		}
		if c := cost[x][last] + cost[first][y] - gap; c < best {
			best, to, turn = c, k, true
		}
	}
	if to < 0 {
		return false
	}
	piece := slices.Clone(stops[i : i+length])
	if turn {
		slices.Reverse(piece)
	}
	if to < i {
		copy(stops[to+1+length:], stops[to+1:i])
		copy(stops[to+1:], piece)
	} else {
		copy(stops[i:], stops[i+length:to+1])
		copy(stops[to+1-length:], piece)
	}
	return true
}

// reflected orders rows of levels as the reflected Gray code does, the first
// factor slowest: on a full factorial each step then changes one factor
// (Knuth, The Art of Computer Programming 4A, 7.2.1.1; from memory). levels
// gives the number of levels of each factor.
func reflected(rows [][]int, levels []int) []int {
	places := make([][]int, len(rows))
	for i, row := range rows {
		places[i] = make([]int, len(row))
		turned := false
		for k, level := range row {
			places[i][k] = level
			if turned {
				places[i][k] = levels[k] - 1 - level
			}
			turned = turned != (level%2 == 1)
		}
	}
	order := firstOf(len(rows))
	slices.SortStableFunc(order, func(a, b int) int { return slices.Compare(places[a], places[b]) })
	return order
}
