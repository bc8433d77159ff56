package design

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"

	"benchwright/project"
)

// openWay gives the cheapest way through all configurations of a project with
// free ends: a way round from a place that is as near to all.
func openWay(b *bench) (least, standard float64, exact bool) {
	s := NewSpace(b.p)
	pl := s.newPlanner(demand{configurations: firstOf(len(b.p.Configurations))}, PlanOptions{})
	n := len(pl.configurations)
	cost := make([][]float64, n+1)
	cost[0] = make([]float64, n+1)
	for i := range n {
		cost[i+1] = append([]float64{0}, pl.minutes[i]...)
	}
	guess := []int{0}
	for _, i := range pl.reflected(firstOf(n)) {
		guess = append(guess, i+1)
	}
	t := shortestTour(cost, guess)
	return tourCost(cost, t.stops), tourCost(cost, firstOf(n+1)), t.exact
}

// counted makes every combination of so many levels, the first factor fastest
// (standard order), with a time for changing each.
func counted(levels []int, minutes []float64) *bench {
	b := newBench()
	for f := range levels {
		b.factor(fmt.Sprintf("f%d", f), project.Studied).SwapMinutes = minutes[f]
	}
	total := 1
	for _, n := range levels {
		total *= n
	}
	for run := range total {
		var set []string
		rest := run
		for f, n := range levels {
			set = append(set, fmt.Sprintf("f%d=l%d", f, rest%n))
			rest /= n
		}
		b.configuration(fmt.Sprintf("run-%d", run), set...)
	}
	return b
}

func ones(n int) []float64 { return slices.Repeat([]float64{1}, n) }

// designOf builds the design that a row of plan_min_change_orders.csv names.
func designOf(t *testing.T, name string) *bench {
	t.Helper()
	twos := func(k int) []int { return slices.Repeat([]int{2}, k) }
	var k, j int
	var x, y, z float64
	switch {
	case strings.HasPrefix(name, "2^3 full, change costs"):
		fmt.Sscanf(name, "2^3 full, change costs (%g, %g, %g)", &x, &y, &z)
		return counted(twos(3), []float64{x, y, z})
	case strings.Contains(name, "full") && strings.HasPrefix(name, "2^"), strings.Contains(name, "standard"):
		fmt.Sscanf(name, "2^%d", &k)
		return counted(twos(k), ones(k))
	case strings.HasPrefix(name, "full "):
		var levels []int
		for _, text := range strings.Split(strings.TrimPrefix(name, "full "), "x") {
			n, err := strconv.Atoi(text)
			if err != nil {
				t.Fatal(err)
			}
			levels = append(levels, n)
		}
		return counted(levels, ones(len(levels)))
	case strings.HasPrefix(name, "5 chosen runs"):
		b := newBench()
		for f := range 3 {
			b.factor(fmt.Sprintf("f%d", f), project.Studied).SwapMinutes = 1
		}
		for _, run := range strings.Split(strings.TrimPrefix(name, "5 chosen runs "), ",") {
			b.configuration("run-"+run, "f0="+run[:1], "f1="+run[1:2], "f2="+run[2:])
		}
		return b
	case name == "Plackett-Burman 12":
		header, rows := readDesign(t, "pb12_runs.csv")
		b := factorial(header, rows)
		for _, f := range b.p.Factors {
			f.SwapMinutes = 1
		}
		return b
	}
	if _, err := fmt.Sscanf(name, "2^(%d-%d)", &k, &j); err != nil {
		t.Fatalf("what is %q?", name)
	}
	// The runs from the generators, such as D=AB E=AC.
	b := newBench()
	for f := range k {
		b.factor(string(rune('A'+f)), project.Studied).SwapMinutes = 1
	}
	for run := range 1 << (k - j) {
		level := map[rune]int{}
		var set []string
		for f := range k - j {
			level[rune('A'+f)] = 1 - 2*(run>>f&1)
		}
		for _, generator := range strings.Fields(name)[1:] {
			product := 1
			for _, letter := range generator[2:] {
				product *= level[letter]
			}
			level[rune(generator[0])] = product
		}
		for f := range k {
			set = append(set, fmt.Sprintf("%c=%d", 'A'+f, level[rune('A'+f)]))
		}
		b.configuration(fmt.Sprintf("run-%d", run), set...)
	}
	return b
}

// TestFewestChangesOfKnownDesigns holds the order of runs against published
// bounds and exact searches; the sources stand in the file.
func TestFewestChangesOfKnownDesigns(t *testing.T) {
	_, rows := readDesign(t, "plan_min_change_orders.csv")
	if len(rows) < 20 {
		t.Fatalf("%d designs only", len(rows))
	}
	for _, row := range rows {
		name := row[0]
		t.Run(name, func(t *testing.T) {
			b := designOf(t, name)
			runs, _ := strconv.Atoi(row[1])
			want, _ := strconv.ParseFloat(row[2], 64)
			if len(b.p.Configurations) != runs {
				t.Fatalf("%d runs, want %d", len(b.p.Configurations), runs)
			}
			least, standard, exact := openWay(b)
			if strings.Contains(name, "standard") {
				least = standard
			}
			if math.Abs(least-want) > 1e-9 {
				t.Errorf("%v changes, want %v", least, want)
			}
			if exact != (runs <= mostExact) {
				t.Errorf("exact is %v for %d runs", exact, runs)
			}
		})
	}
}

// TestReflectedOrderIsTheGrayCode: the binary Gray code, bit for bit.
func TestReflectedOrderIsTheGrayCode(t *testing.T) {
	_, rows := readDesign(t, "plan_gray_codes.csv")
	codes := map[int][]string{}
	for _, row := range rows {
		k, _ := strconv.Atoi(row[0])
		codes[k] = append(codes[k], row[1])
	}
	for k := 2; k <= 4; k++ {
		var all [][]int
		for run := range 1 << k {
			var levels []int
			for f := k - 1; f >= 0; f-- {
				levels = append(levels, run>>f&1)
			}
			all = append(all, levels)
		}
		var got []string
		for _, i := range reflected(all, slices.Repeat([]int{2}, k)) {
			got = append(got, fmt.Sprintf("%0*b", k, i))
		}
		if !slices.Equal(got, codes[k]) {
			t.Errorf("%d bits: %v, want %v", k, got, codes[k])
		}
	}
}

func randomCosts(random *rand.Rand, n int) [][]float64 {
	cost := make([][]float64, n)
	for i := range cost {
		cost[i] = make([]float64, n)
		for j := range i {
			cost[i][j] = float64(random.IntN(40))
			cost[j][i] = cost[i][j]
		}
	}
	return cost
}

// TestExactWayIsTheCheapest compares with every order there is.
func TestExactWayIsTheCheapest(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	for n := 1; n <= 8; n++ {
		for range 20 {
			cost := randomCosts(random, n)
			least := math.Inf(1)
			stops := firstOf(n)
			var every func(k int)
			every = func(k int) {
				if k >= n {
					least = min(least, tourCost(cost, stops))
					return
				}
				for i := k; i < n; i++ {
					stops[k], stops[i] = stops[i], stops[k]
					every(k + 1)
					stops[k], stops[i] = stops[i], stops[k]
				}
			}
			every(1)
			got := shortestTour(cost)
			checkStops(t, got.stops, n)
			if c := tourCost(cost, got.stops); math.Abs(c-least) > 1e-9 || !got.exact {
				t.Fatalf("%d stops: %v, least is %v", n, c, least)
			}
		}
	}
}

// TestImprovedWayIsAWay: whatever 2-opt and Or-opt do, each stop stays in once,
// the way gets no longer, and on up to 12 stops it comes near the optimum.
func TestImprovedWayIsAWay(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	sum, least := 0.0, 0.0
	for range 300 {
		n := 3 + random.IntN(10)
		cost := randomCosts(random, n)
		stops := append([]int{0}, random.Perm(n-1)...)
		for i := range stops[1:] {
			stops[i+1]++
		}
		before := tourCost(cost, stops)
		improve(cost, stops)
		checkStops(t, stops, n)
		after := tourCost(cost, stops)
		if after > before+1e-9 {
			t.Fatalf("from %v to %v", before, after)
		}
		best := tourCost(cost, heldKarp(cost))
		if after < best-1e-9 {
			t.Fatalf("%v is below the optimum %v", after, best)
		}
		sum, least = sum+after, least+best
	}
	// Costs without any geometry are the hardest; 1.01 when this was written.
	if sum > 1.05*least {
		t.Errorf("%.2f times the optimum", sum/least)
	}
}

func checkStops(t *testing.T, stops []int, n int) {
	t.Helper()
	if sorted := slices.Sorted(slices.Values(stops)); !slices.Equal(sorted, firstOf(n)) || stops[0] != 0 {
		t.Fatalf("%v is no way through %d stops", stops, n)
	}
}
