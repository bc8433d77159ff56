package stats

import (
	"fmt"
	"math"
)

// PooledSpread is a standard deviation estimated from several groups, with
// its degrees of freedom Σ(n−1).
type PooledSpread struct {
	SD, DF float64
	Groups int // groups that contributed, that is, of two readings or more
}

// PooledSD is √(Σ(n−1)s²/Σ(n−1)) over groups of readings that may differ in
// mean but share a spread. Groups of one reading contribute nothing; if there
// is no other, ErrTooFew.
func PooledSD(groups [][]float64) (PooledSpread, error) {
	var p PooledSpread
	var sds, dfs []float64
	high := 0.0
	for _, g := range groups {
		if !finite(g...) {
			return PooledSpread{}, fmt.Errorf("pooled spread: %w", ErrNotFinite)
		}
		if len(g) < 2 {
			continue
		}
		sd, err := SD(g)
		if err != nil {
			return PooledSpread{}, fmt.Errorf("pooled spread: %w", err)
		}
		p.Groups++
		p.DF += float64(len(g) - 1)
		sds, dfs = append(sds, sd), append(dfs, float64(len(g)-1))
		high = math.Max(high, sd)
	}
	if p.Groups == 0 {
		return PooledSpread{}, fmt.Errorf("pooled spread of %d groups without repeats: %w", len(groups), ErrTooFew)
	}
	if high == 0 {
		return p, nil
	}
	for i, s := range sds {
		sds[i] = s / high * (s / high) * dfs[i]
	}
	p.SD = high * math.Sqrt(sumOf(sds...)/p.DF)
	if !finite(p.SD) {
		return PooledSpread{}, fmt.Errorf("pooled spread: %w", ErrRange)
	}
	return p, nil
}

// PooledLogSD pools the spread of log readings (positive ones): a common
// relative spread for configurations of different speed.
func PooledLogSD(groups [][]float64) (PooledSpread, error) {
	l := make([][]float64, len(groups))
	for i, g := range groups {
		var err error
		if l[i], err = logs(g); err != nil {
			return PooledSpread{}, fmt.Errorf("pooled relative spread: %w", err)
		}
	}
	return PooledSD(l)
}

// MinimumDetectable is the smallest true difference between two means, of nx
// and ny readings with standard deviation sd known to df degrees of freedom
// (0: exactly), that a two-sided test at the given level finds with
// probability power (0.8 is usual). On the log scale, exp of it is a ratio.
// Solved from the noncentral t distribution: J. Cohen, "Statistical Power
// Analysis", 2nd ed. 1988, chapter 2 (from memory).
func MinimumDetectable(nx, ny int, sd, df, level, power float64) (float64, error) {
	if err := checkLevel(level); err != nil {
		return 0, err
	}
	if !(power > 0 && power < 1) || power <= 1-level {
		return 0, fmt.Errorf("power %v: %w", power, ErrDomain)
	}
	if nx < 1 || ny < 1 {
		return 0, fmt.Errorf("smallest difference to be seen: %w", ErrTooFew)
	}
	if !finite(sd, df) {
		return 0, fmt.Errorf("smallest difference to be seen: %w", ErrNotFinite)
	}
	if sd < 0 || df < 0 {
		return 0, fmt.Errorf("smallest difference to be seen: %w", ErrDomain)
	}
	if sd == 0 {
		return 0, fmt.Errorf("smallest difference to be seen: %w", ErrNoSpread)
	}
	t, err := criticalT(level, df)
	if err != nil {
		return 0, err
	}
	low, high := 0.0, t+10
	for powerOf(high, t, df) < power {
		low = high
		high *= 2
		if high > 1e12 {
			return 0, fmt.Errorf("smallest difference to be seen: %w", ErrRange)
		}
	}
	for i := 0; i < 200 && high-low > 1e-13*high; i++ {
		mid := low + (high-low)/2
		if powerOf(mid, t, df) < power {
			low = mid
		} else {
			high = mid
		}
	}
	return inRange("smallest difference to be seen", (low+(high-low)/2)*sd*math.Sqrt(1/float64(nx)+1/float64(ny)))
}

// RepeatsNeeded is the least number of readings on each side with which a
// two-sided test at the given level finds a true difference delta between two
// means with probability power, for readings of standard deviation sd that is
// estimated from the two sides: the noncentral t distribution with 2(n−1) degrees
// of freedom, both tails (J. Cohen, "Statistical Power Analysis", 2nd ed. 1988,
// chapter 2, from memory; power.t.test of R's package stats with strict = TRUE).
// It is most+1 where so many are not enough.
func RepeatsNeeded(delta, sd, level, power float64, most int) (int, error) {
	if err := checkLevel(level); err != nil {
		return 0, err
	}
	if !finite(delta, sd) {
		return 0, fmt.Errorf("repeats needed: %w", ErrNotFinite)
	}
	if !(power > 0 && power < 1) || power <= 1-level || delta <= 0 || sd < 0 || most < 2 {
		return 0, fmt.Errorf("repeats needed: %w", ErrDomain)
	}
	if sd == 0 {
		return 0, fmt.Errorf("repeats needed: %w", ErrNoSpread)
	}
	low, high := 2, most+1
	for low < high {
		n := (low + high) / 2
		df := float64(2 * (n - 1))
		t, err := criticalT(level, df)
		if err != nil {
			return 0, err
		}
		if powerOf(delta/sd*math.Sqrt(float64(n)/2), t, df) >= power {
			high = n
		} else {
			low = n + 1
		}
	}
	return low, nil
}

// powerOf is P(|T| ≥ t) for T noncentral with df degrees of freedom and the
// true difference delta in standard errors.
func powerOf(delta, t, df float64) float64 {
	given := func(s float64) float64 {
		return 0.5 * (math.Erfc((t*s-delta)/math.Sqrt2) + math.Erfc((t*s+delta)/math.Sqrt2))
	}
	if df == 0 || df > 1e9 {
		return given(1)
	}
	return overScale(df, given)
}
