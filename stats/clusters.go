package stats

import (
	"fmt"
	"math"
)

// Clusters is the outcome of TwoClusters.
type Clusters struct {
	Found bool
	// Split lies midway between the clusters; LowN readings are below it,
	// HighN above, with these means.
	Split             float64
	LowN, HighN       int
	LowMean, HighMean float64
	// Ratio is the sum of squares within the two clusters over the total: 0.36
	// on average for many normal readings, near 0 for two tight clusters.
	Ratio float64
	// P bounds the probability of so small a ratio from one normal cluster:
	// 0.001, 0.01, 0.05 or 1.
	P float64
}

// TwoClusters asks whether n ≥ 6 readings fall apart into two clusters of two
// or more each (a machine with two states, two test versions in one file). The
// best split of the sorted readings is found; its sum of squares within
// clusters over the total is compared with what one normal population gives:
// L. Engelman, J. A. Hartigan, "Percentage points of a test for clusters",
// JASA 64, 1969, 1647–1648, with critical values simulated for splits that
// leave no cluster of one. Clusters are Found if that has P ≤ alpha (0.05,
// 0.01 or 0.001; 0.01 is advised) and the gap between them is the largest gap
// of all.
//
// resolution is the step of the instrument, 0 for unknown: readings that
// merely sit on two neighbouring steps are not two clusters. If unknown it is
// taken as the least difference between distinct readings.
func TwoClusters(x []float64, alpha, resolution float64) (Clusters, error) {
	column := -1
	for i, a := range clusterAlphas {
		if alpha == a {
			column = i
		}
	}
	if column < 0 {
		return Clusters{}, fmt.Errorf("significance %v is not tabulated: %w", alpha, ErrDomain)
	}
	if !(resolution >= 0) || math.IsInf(resolution, 1) {
		return Clusters{}, fmt.Errorf("resolution %v: %w", resolution, ErrDomain)
	}
	if err := checkFinite("search for clusters", x, 6); err != nil {
		return Clusters{}, err
	}
	given := sorted(x)
	s := rescaled(given)
	if s[0] == s[len(s)-1] {
		return Clusters{}, fmt.Errorf("search for clusters: %w", ErrNoSpread)
	}
	step := math.Inf(1)
	for i := 1; i < len(s); i++ {
		if d := s[i] - s[i-1]; d > 0 {
			step = math.Min(step, d)
		}
	}
	if resolution > 0 {
		high := math.Max(math.Abs(given[0]), math.Abs(given[len(given)-1]))
		_, e := math.Frexp(high)
		step = math.Ldexp(resolution, -e)
	}
	// A reading stands for its whole step: variance step²/12 (W. F. Sheppard 1898).
	n := len(s)
	blur := float64(n) * step * step / 12
	split, ratio := bestSplit(s, 2, blur)
	c := Clusters{LowN: split, HighN: n - split, Ratio: ratio, P: 1}
	c.Split = between(given[split-1], given[split], 0.5)
	c.LowMean, _ = Mean(given[:split])
	c.HighMean, _ = Mean(given[split:])
	for i, a := range clusterAlphas {
		if ratio <= clusterCritical(n, i) {
			c.P = a
		}
	}
	gap := s[split] - s[split-1]
	largest := true
	for i := 1; i < n; i++ {
		if i != split && s[i]-s[i-1] >= gap {
			largest = false
		}
	}
	c.Found = c.P <= alpha && largest
	return c, nil
}

// bestSplit finds where to cut sorted s, leaving least readings on each side,
// so that the sum of squares within (blurred) is the smallest share of the
// total.
func bestSplit(s []float64, least int, blur float64) (split int, ratio float64) {
	n := len(s)
	mean := plainMean(s)
	total := 0.0
	prefix := make([]float64, n+1)
	for i, v := range s {
		d := v - mean
		total += d * d
		prefix[i+1] = prefix[i] + d
	}
	ratio = math.Inf(1)
	for k := least; k <= n-least; k++ {
		a, b := float64(k), float64(n-k)
		low, high := prefix[k]/a, (prefix[n]-prefix[k])/b
		between := a * b / float64(n) * (high - low) * (high - low)
		if r := math.Max(0, total-between+blur) / (total + blur); r < ratio {
			split, ratio = k, r
		}
	}
	return split, ratio
}
