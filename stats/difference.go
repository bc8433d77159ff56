package stats

import (
	"fmt"
	"math"
)

// Difference is the outcome of comparing two means, or a mean with a value:
// what is left of x after y is taken away, in the unit of the readings.
type Difference struct {
	Difference float64
	SE, DF     float64
	T, P       float64 // test of no difference, two-sided
	Interval   Interval
	Method     string
}

// MeanInterval is mean ± t·SD/√n with n−1 degrees of freedom, for n ≥ 2
// (NIST/SEMATECH e-Handbook 1.3.5.2). Equal readings give ErrNoSpread and an
// interval of no width.
func MeanInterval(x []float64, level float64) (Interval, error) {
	e, err := MeanEstimate(x)
	if err != nil {
		return Interval{}, fmt.Errorf("interval of the mean: %w", err)
	}
	return e.Interval(level)
}

// MeanEstimate is the mean with its standard error SD/√n and n−1 degrees of
// freedom, for n ≥ 2. Equal readings give SE 0.
func MeanEstimate(x []float64) (Estimate, error) {
	m, sd, err := meanSD(x)
	if err != nil {
		return Estimate{}, err
	}
	n := float64(len(x))
	return Estimate{m, sd / math.Sqrt(n), n - 1}, nil
}

// Welch compares the means of x and y (two readings each at least) without
// assuming equal spreads: B. L. Welch, Biometrika 34, 1947, 28–35, degrees of
// freedom after F. E. Satterthwaite, Biometrics Bulletin 2, 1946, 110–114.
// No spread on either side: ErrNoSpread, with the difference.
func Welch(x, y []float64, level float64) (Difference, error) {
	a, err := MeanEstimate(x)
	if err != nil {
		return Difference{}, fmt.Errorf("comparing means: %w", err)
	}
	b, err := MeanEstimate(y)
	if err != nil {
		return Difference{}, fmt.Errorf("comparing means: %w", err)
	}
	e := Estimate{a.Value - b.Value, math.Hypot(a.SE, b.SE), satterthwaite([]float64{a.SE, b.SE}, []float64{a.DF, b.DF})}
	return difference(e, 0, level, "Welch's t")
}

// Pooled compares the means of x and y assuming equal spreads: Student's t
// with n_x+n_y−2 degrees of freedom (NIST/SEMATECH e-Handbook 1.3.5.3). One of
// the two may be a single reading.
func Pooled(x, y []float64, level float64) (Difference, error) {
	mx, my, sd, df, err := pooledMeans(x, y)
	if err != nil {
		return Difference{}, fmt.Errorf("comparing means: %w", err)
	}
	se := sd * math.Sqrt(1/float64(len(x))+1/float64(len(y)))
	return difference(Estimate{mx - my, se, df}, 0, level, "Student's t, pooled spread")
}

func pooledMeans(x, y []float64) (mx, my, sd, df float64, err error) {
	if mx, err = Mean(x); err != nil {
		return
	}
	if my, err = Mean(y); err != nil {
		return
	}
	p, err := PooledSD([][]float64{x, y})
	return mx, my, p.SD, p.DF, err
}

// PairedT compares x and y reading by reading (equal lengths, at least two
// pairs): the mean of x_i − y_i. Student, Biometrika 6, 1908, 1–25.
func PairedT(x, y []float64, level float64) (Difference, error) {
	if len(x) != len(y) {
		return Difference{}, fmt.Errorf("comparing pairs, %d and %d: %w", len(x), len(y), ErrLength)
	}
	d := make([]float64, len(x))
	for i := range x {
		d[i] = x[i] - y[i]
		if finite(x[i], y[i]) && !finite(d[i]) {
			return Difference{}, fmt.Errorf("comparing pairs: %w", ErrRange)
		}
	}
	e, err := MeanEstimate(d)
	if err != nil {
		return Difference{}, fmt.Errorf("comparing pairs: %w", err)
	}
	return difference(e, 0, level, "paired t")
}

// OneSample compares the mean of x (n ≥ 2) with a given value.
func OneSample(x []float64, value, level float64) (Difference, error) {
	if !finite(value) {
		return Difference{}, fmt.Errorf("comparing a mean with a value: %w", ErrNotFinite)
	}
	e, err := MeanEstimate(x)
	if err != nil {
		return Difference{}, fmt.Errorf("comparing a mean with a value: %w", err)
	}
	e.Value -= value
	return difference(e, 0, level, "one-sample t")
}

func difference(e Estimate, null, level float64, method string) (Difference, error) {
	d := Difference{Difference: e.Value, SE: e.SE, DF: e.DF, Method: method}
	if !finite(e.Value, e.SE) {
		return Difference{}, fmt.Errorf("difference: %w", ErrRange)
	}
	var err error
	if d.Interval, err = e.Interval(level); err != nil {
		d.Interval = Interval{}
		return d, err
	}
	if d.T, err = inRange("t of the difference", (e.Value-null)/e.SE); err != nil {
		return d, err
	}
	d.P = twoSidedP(d.T, d.DF)
	return d, nil
}

// satterthwaite is (Σ se²)²/Σ(se⁴/df); a df of 0 counts as infinite. If all
// are, the result is 0, which again means infinite.
func satterthwaite(se, df []float64) float64 {
	high := 0.0
	for _, s := range se {
		high = math.Max(high, s)
	}
	if high == 0 {
		low := 0.0
		for _, d := range df {
			if d > 0 && (low == 0 || d < low) {
				low = d
			}
		}
		return low
	}
	above := make([]float64, 0, len(se))
	below := make([]float64, 0, len(se))
	for i, s := range se {
		v := s / high * (s / high)
		above = append(above, v)
		if df[i] > 0 {
			below = append(below, v*v/df[i])
		}
	}
	b := sumOf(below...)
	if b == 0 {
		return 0
	}
	a := sumOf(above...)
	return a * a / b
}
