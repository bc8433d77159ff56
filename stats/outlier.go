package stats

import (
	"fmt"
	"math"
)

// Side says on which side of the others an outlier is looked for.
type Side int

const (
	// BothSides looks at the reading farthest from the mean.
	BothSides Side = iota
	// HighSide looks at the largest reading only.
	HighSide
	// LowSide looks at the smallest reading only.
	LowSide
)

// OutlierTest is the outcome of Grubbs' test.
type OutlierTest struct {
	Index    int     // of the suspect in the readings as given
	Value    float64 // the suspect
	G        float64 // its distance from the mean in standard deviations
	Critical float64 // G beyond this is an outlier at level alpha
	P        float64 // upper bound of the probability of such a G
	Outlier  bool
}

// Grubbs tests whether the farthest of n ≥ 3 normal readings is an outlier at
// significance alpha: F. E. Grubbs, "Procedures for detecting outlying
// observations in samples", Technometrics 11, 1969, 1–21; NIST/SEMATECH
// e-Handbook 1.3.5.17.1. It finds one outlier and can miss two that hide each
// other: see GeneralisedESD. Equal readings: ErrNoSpread.
func Grubbs(x []float64, alpha float64, side Side) (OutlierTest, error) {
	if err := checkLevel(1 - alpha); err != nil {
		return OutlierTest{}, fmt.Errorf("significance %v: %w", alpha, ErrDomain)
	}
	if err := checkFinite("outlier test", x, 3); err != nil {
		return OutlierTest{}, err
	}
	i, g, ok := farthest(rescaled(x), nil, side)
	if !ok {
		return OutlierTest{}, fmt.Errorf("outlier test: %w", ErrNoSpread)
	}
	sides := 2.0
	if side != BothSides {
		sides = 1
	}
	n := float64(len(x))
	t, err := studentUpperQuantile(alpha/(sides*n), n-2)
	if err != nil {
		return OutlierTest{}, err
	}
	r := OutlierTest{Index: i, Value: x[i], G: g}
	r.Critical = (n - 1) / math.Sqrt(n) * math.Sqrt(t*t/(n-2+t*t))
	r.P = grubbsP(g, n, sides)
	r.Outlier = g > r.Critical
	return r, nil
}

func grubbsP(g, n, sides float64) float64 {
	rest := (n-1)*(n-1) - n*g*g
	if rest <= 0 {
		return 0
	}
	if g <= 0 {
		return 1
	}
	return math.Min(1, sides*n*studentUpper(math.Sqrt(n*(n-2)*g*g/rest), n-2))
}

// rescaled gives x times a power of two that brings the largest near 1, for
// figures that do not depend on the unit.
func rescaled(x []float64) []float64 {
	high := 0.0
	for _, v := range x {
		high = math.Max(high, math.Abs(v))
	}
	_, e := math.Frexp(high)
	r := make([]float64, len(x))
	for i, v := range x {
		r[i] = math.Ldexp(v, -e)
	}
	return r
}

// farthest finds the reading farthest from the mean of those not yet gone. Of
// equals the first counts.
func farthest(x []float64, gone []bool, side Side) (index int, g float64, ok bool) {
	var a Accumulator
	for i, v := range x {
		if gone == nil || !gone[i] {
			a.Add(v)
		}
	}
	m, err := a.Mean()
	if err != nil {
		return 0, 0, false
	}
	sd, err := a.SD()
	if err != nil || sd == 0 {
		return 0, 0, false
	}
	best := math.Inf(-1)
	for i, v := range x {
		if gone != nil && gone[i] {
			continue
		}
		d := v - m
		switch side {
		case BothSides:
			d = math.Abs(d)
		case LowSide:
			d = -d
		}
		if d > best {
			index, best = i, d
		}
	}
	return index, best / sd, true
}

// ESDStep is one step of the generalised ESD test.
type ESDStep struct {
	Index  int     // of the reading taken away in this step
	Value  float64 // that reading
	R      float64 // its distance from the mean of those left, in their SDs
	Lambda float64 // critical value of the step
}

// GeneralisedESD looks for up to most outliers among n readings (n ≥ 3,
// 1 ≤ most ≤ n−2), normal but for them, at significance alpha, two-sided:
// B. Rosner, "Percentage points for a generalized ESD many-outlier procedure",
// Technometrics 25, 1983, 165–172; NIST/SEMATECH e-Handbook 1.3.5.17.3. The
// number of outliers is the last step whose R exceeds its Lambda, although
// earlier ones may not: so outliers cannot mask each other. Critical values
// are very accurate for n ≥ 25 and fair for n ≥ 15. outliers holds indices
// into x, most extreme first; all steps are given for the record. The steps
// stop where all readings left are equal.
func GeneralisedESD(x []float64, most int, alpha float64) (outliers []int, steps []ESDStep, err error) {
	if err := checkLevel(1 - alpha); err != nil {
		return nil, nil, fmt.Errorf("significance %v: %w", alpha, ErrDomain)
	}
	if err := checkFinite("outlier test", x, 3); err != nil {
		return nil, nil, err
	}
	if most < 1 || most > len(x)-2 {
		return nil, nil, fmt.Errorf("up to %d outliers among %d: %w", most, len(x), ErrDomain)
	}
	v := rescaled(x)
	gone := make([]bool, len(x))
	n := float64(len(x))
	found := 0
	for i := 1; i <= most; i++ {
		j, r, ok := farthest(v, gone, BothSides)
		if !ok {
			break
		}
		k := float64(i)
		t, err := studentUpperQuantile(alpha/(2*(n-k+1)), n-k-1)
		if err != nil {
			return nil, nil, err
		}
		lambda := t * (n - k) / math.Sqrt((n-k-1+t*t)*(n-k+1))
		steps = append(steps, ESDStep{j, x[j], r, lambda})
		gone[j] = true
		if r > lambda {
			found = i
		}
	}
	if len(steps) == 0 {
		return nil, nil, fmt.Errorf("outlier test: %w", ErrNoSpread)
	}
	for _, s := range steps[:found] {
		outliers = append(outliers, s.Index)
	}
	return outliers, steps, nil
}

// FirstOutOfLine tests whether the first reading of a series belongs with the
// rest (warm-up, cold cache): its distance from the mean of the rest (two at
// least) over s·√(1+1/n), Student's t with n−1 degrees of freedom. Interval is
// that of the difference first − mean(rest).
func FirstOutOfLine(first float64, rest []float64, level float64) (Difference, error) {
	if !finite(first) {
		return Difference{}, fmt.Errorf("first reading: %w", ErrNotFinite)
	}
	m, sd, err := meanSD(rest)
	if err != nil {
		return Difference{}, fmt.Errorf("first reading against the rest: %w", err)
	}
	n := float64(len(rest))
	e := Estimate{first - m, sd * math.Sqrt(1+1/n), n - 1}
	return difference(e, 0, level, "prediction t")
}
