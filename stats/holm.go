package stats

import (
	"fmt"
	"slices"
)

// Holm adjusts p values for the number of claims that a page makes, so that
// the chance of even one false claim stays below the level: S. Holm, "A simple
// sequentially rejective multiple test procedure", Scand. J. Statist. 6, 1979,
// 65–70. The result is in the order of p; each entry is at least p and at
// most 1.
func Holm(p []float64) ([]float64, error) {
	order := make([]int, len(p))
	for i, v := range p {
		if !(v >= 0 && v <= 1) {
			return nil, fmt.Errorf("p value %v: %w", v, ErrDomain)
		}
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		switch {
		case p[a] < p[b]:
			return -1
		case p[a] > p[b]:
			return 1
		}
		return 0
	})
	adjusted := make([]float64, len(p))
	high := 0.0
	for rank, i := range order {
		high = max(high, min(1, p[i]*float64(len(p)-rank)))
		adjusted[i] = high
	}
	return adjusted, nil
}
