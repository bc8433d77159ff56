package stats

import (
	"fmt"
	"math"
	"slices"
)

func checkFinite(what string, x []float64, need int) error {
	if len(x) < need {
		return fmt.Errorf("%s of %d: %w", what, len(x), ErrTooFew)
	}
	if !finite(x...) {
		return fmt.Errorf("%s: %w", what, ErrNotFinite)
	}
	return nil
}

func sorted(x []float64) []float64 {
	s := append([]float64(nil), x...)
	slices.Sort(s)
	return s
}

// Median is the middle reading, or the mean of the two middle ones (n ≥ 1).
func Median(x []float64) (float64, error) {
	if err := checkFinite("median", x, 1); err != nil {
		return 0, err
	}
	return medianInPlace(append([]float64(nil), x...)), nil
}

// medianInPlace reorders x, which must hold at least one finite number.
func medianInPlace(x []float64) float64 {
	n := len(x)
	selectNth(x, n/2)
	high := x[n/2]
	if n%2 == 1 {
		return high + 0 // −0 becomes 0, so that order cannot show
	}
	low := slices.Max(x[:n/2])
	return between(low, high, 0.5) + 0
}

// selectNth partitions x so that x[k] is what sorting would put there.
// C. A. R. Hoare, "Algorithm 65: find", CACM 4(7), 1961, 321–322, with the
// median of three; narrow or stubborn ranges are sorted.
func selectNth(x []float64, k int) {
	low, high := 0, len(x)-1
	for rounds := 0; high-low > 32; rounds++ {
		if rounds > 64 {
			break
		}
		mid := low + (high-low)/2
		a, b, c := x[low], x[mid], x[high]
		pivot := math.Max(math.Min(a, b), math.Min(math.Max(a, b), c))
		i, j := low, high
		for i <= j {
			for x[i] < pivot {
				i++
			}
			for pivot < x[j] {
				j--
			}
			if i <= j {
				x[i], x[j] = x[j], x[i]
				i++
				j--
			}
		}
		switch {
		case k <= j:
			high = j
		case k >= i:
			low = i
		default:
			return
		}
	}
	slices.Sort(x[low : high+1])
}

// between is low + f·(high−low) for 0 ≤ f ≤ 1, without overflow and never
// outside the two.
func between(low, high, f float64) float64 {
	if low == high || f == 0 {
		return low
	}
	v := low + f*(high-low)
	if !finite(high - low) {
		v = low*(1-f) + high*f
	}
	return math.Max(low, math.Min(high, v))
}

// Quantile is the p-quantile (0 ≤ p ≤ 1) by linear interpolation of order
// statistics at 1+(n−1)p: type 7 of R. J. Hyndman, Y. Fan, "Sample quantiles
// in statistical packages", American Statistician 50(4), 1996, 361–365.
func Quantile(x []float64, p float64) (float64, error) {
	if err := checkFinite("quantile", x, 1); err != nil {
		return 0, err
	}
	if !(p >= 0 && p <= 1) {
		return 0, fmt.Errorf("quantile at %v: %w", p, ErrDomain)
	}
	return quantileSorted(sorted(x), p), nil
}

func quantileSorted(s []float64, p float64) float64 {
	h := float64(len(s)-1) * p
	i := int(math.Floor(h))
	if i >= len(s)-1 {
		return s[len(s)-1] + 0
	}
	return between(s[i], s[i+1], h-float64(i)) + 0
}

// MAD is the median of |x − median|, times 1.4826 so that it estimates the
// standard deviation of normal readings (n ≥ 1). F. R. Hampel, "The influence
// curve and its role in robust estimation", JASA 69, 1974, 383–393.
func MAD(x []float64) (float64, error) {
	m, err := Median(x)
	if err != nil {
		return 0, fmt.Errorf("median absolute deviation: %w", err)
	}
	d := make([]float64, len(x))
	for i, v := range x {
		d[i] = math.Abs(v - m)
		if !finite(d[i]) {
			return 0, fmt.Errorf("median absolute deviation: %w", ErrRange)
		}
	}
	// 1/Φ⁻¹(3/4)
	return inRange("median absolute deviation", 1.482602218505602*medianInPlace(d))
}

// MedianInterval is the narrowest symmetric pair of order statistics that
// covers the median of a continuous distribution, whatever its shape, with at
// least the level asked for. The Level of the result is the coverage reached,
// 1 − 2·P(B < rank) with B binomial(n, ½). If even the smallest and the
// largest reading reach less (n < 6 for 95 %), they are returned with their
// coverage and ErrTooFew. W. J. Conover, "Practical Nonparametric Statistics",
// 3rd ed. 1999, section 3.2 (from memory).
func MedianInterval(x []float64, level float64) (Interval, error) {
	if err := checkLevel(level); err != nil {
		return Interval{}, err
	}
	if err := checkFinite("interval of the median", x, 2); err != nil {
		return Interval{}, err
	}
	s := sorted(x)
	n := len(s)
	// tail is P(B ≤ k−1); the pair of ranks (k, n+1−k) covers 1 − 2·tail.
	coverage := func(k int) float64 { return 1 - 2*binomialHalfCDF(k-1, n) }
	k := 1
	if coverage(1) < level {
		return Interval{s[0] + 0, s[n-1] + 0, coverage(1)},
			fmt.Errorf("interval of the median of %d: %w", n, ErrTooFew)
	}
	low, high := 1, n/2
	for low <= high {
		mid := (low + high) / 2
		if coverage(mid) >= level {
			k, low = mid, mid+1
		} else {
			high = mid - 1
		}
	}
	return Interval{s[k-1] + 0, s[n-k] + 0, coverage(k)}, nil
}

// binomialHalfCDF is P(B ≤ k) for B binomial(n, ½): a regularised incomplete
// beta function.
func binomialHalfCDF(k, n int) float64 {
	if k < 0 {
		return 0
	}
	if k >= n {
		return 1
	}
	return betaInc(float64(n-k), float64(k+1), 0.5, 0.5)
}
