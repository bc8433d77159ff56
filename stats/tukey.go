package stats

import (
	"fmt"
	"math"
)

// StudentizedRangeCDF is P(Q ≤ q) where Q is the range of k ≥ 2 standard
// normals over an independent estimate of their standard deviation with df > 0
// degrees of freedom (0 for a known one): Tukey's comparison of all pairs of k
// means. q ≥ 0. Both integrals are taken by the trapezoidal rule, which for
// such smooth and fast-decaying integrands converges exponentially; absolute
// error below 1e-11.
func StudentizedRangeCDF(q float64, k int, df float64) (float64, error) {
	if k < 2 || k > 10000 || !(df >= 0) || math.IsInf(df, 1) {
		return 0, fmt.Errorf("studentised range of %d with %v degrees of freedom: %w", k, df, ErrDomain)
	}
	if math.IsNaN(q) {
		return 0, fmt.Errorf("studentised range: %w", ErrNotFinite)
	}
	if q <= 0 {
		return 0, nil
	}
	if df == 0 || df > 1e9 {
		return rangeCDF(q, k), nil
	}
	return overScale(df, func(s float64) float64 { return rangeCDF(q*s, k) }), nil
}

// rangeCDF is P(range of k standard normals ≤ w):
// k·∫ φ(z)·(Φ(z) − Φ(z−w))^(k−1) dz. H. L. Harter, "Tables of range and
// studentized range", Ann. Math. Statist. 31, 1960, 1122–1147.
func rangeCDF(w float64, k int) float64 {
	if w <= 0 {
		return 0
	}
	if w > 80 {
		return 1
	}
	const h = 0.2
	// The largest of the k lies in [−8.5, 8.5] but for 1e-16.
	const steps = 85
	total := 0.0
	for i := 0; i <= steps; i++ {
		z := -8.5 + h*float64(i)
		// Φ(z) − Φ(z−w) from whichever tails are small.
		var d float64
		if z > 0 && z-w > 0 {
			d = 0.5 * (math.Erfc((z-w)/math.Sqrt2) - math.Erfc(z/math.Sqrt2))
		} else {
			d = 0.5 * (math.Erfc(-z/math.Sqrt2) - math.Erfc((w-z)/math.Sqrt2))
		}
		if d <= 0 {
			continue
		}
		total += math.Exp(-z*z/2) * math.Pow(d, float64(k-1))
	}
	return math.Min(1, float64(k)*total*h/math.Sqrt(2*math.Pi))
}

// overScale is the expectation of g(S) for S = √(χ²/df), g bounded and
// smooth: a trapezoidal rule in log S, normalised by the same rule so that
// the expectation of 1 is 1.
func overScale(df float64, g func(s float64) float64) float64 {
	logDensity := func(t float64) float64 { return df * (t - math.Expm1(2*t)/2) }
	width := 1 / math.Sqrt(2*df)
	h := width / 4
	if h > 0.05 {
		h = 0.05
	}
	var total, weight float64
	add := func(t float64) bool {
		l := logDensity(t)
		if l < -40 {
			return false
		}
		w := math.Exp(l)
		weight += w
		total += w * g(math.Exp(t))
		return true
	}
	add(0)
	for i := 1; add(h * float64(i)); i++ {
	}
	for i := 1; add(-h*float64(i)) && i < 200000; i++ {
	}
	return math.Max(0, math.Min(1, total/weight))
}

// StudentizedRangeQuantile is q with P(Q ≤ q) = p, for 0 < p < 1; relative
// error about 1e-9 for p up to 0.999.
func StudentizedRangeQuantile(p float64, k int, df float64) (float64, error) {
	if err := checkProbability(p); err != nil {
		return 0, fmt.Errorf("quantile of the studentised range: %w", err)
	}
	if _, err := StudentizedRangeCDF(1, k, df); err != nil {
		return 0, err
	}
	low, high := 0.0, 4.0
	at := func(q float64) float64 {
		v, _ := StudentizedRangeCDF(q, k, df)
		return v - p
	}
	gl, gh := -p, at(high)
	for gh < 0 {
		if high > 1e6 {
			return 0, fmt.Errorf("quantile of the studentised range: %w", ErrRange)
		}
		low, gl = high, gh
		high *= 2
		gh = at(high)
	}
	// Illinois variant of the false position: M. Dowell, P. Jarratt, BIT 11, 1971.
	side, last := 0, 0.0
	for i := 0; i < 100 && high-low > 1e-11*high; i++ {
		q := (low*gh - high*gl) / (gh - gl)
		if !(q > low && q < high) {
			q = low + (high-low)/2
		}
		if math.Abs(q-last) < 1e-11*q {
			return q, nil
		}
		last = q
		g := at(q)
		switch {
		case g < 0:
			low, gl = q, g
			if side == -1 {
				gh /= 2
			}
			side = -1
		default:
			high, gh = q, g
			if side == 1 {
				gl /= 2
			}
			side = 1
		}
	}
	return low + (high-low)/2, nil
}
