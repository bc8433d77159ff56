package stats

import (
	"fmt"
	"math"
)

// Combination is a weighted mean of independent estimates.
type Combination struct {
	Estimate
	Interval Interval
	P        float64 // test of a true value of 0
	N        int
}

// Ratio reads a combination of log ratios as their geometric mean.
func (c Combination) Ratio() (float64, Interval, error) {
	r, err := inRange("geometric mean of ratios", math.Exp(c.Value))
	if err != nil {
		return 0, Interval{}, err
	}
	i, err := c.Interval.Exp()
	return r, i, err
}

// Combine is Σ w·value / Σ w of independent estimates, with standard error
// √Σ(w·se)²/Σ w and Satterthwaite's degrees of freedom (Biometrics Bulletin 2,
// 1946). Applied to log ratios, its Ratio is the geometric mean. The interval
// speaks of these very workloads or pairs; it says nothing of others that
// might have been chosen (MeanInterval of the log ratios does, if they are a
// sample). weights nil: equal. No spread anywhere: ErrNoSpread with the value.
func Combine(estimates []Estimate, weights []float64, level float64) (Combination, error) {
	if err := checkLevel(level); err != nil {
		return Combination{}, err
	}
	w, err := normalWeights(weights, len(estimates))
	if err != nil {
		return Combination{}, fmt.Errorf("combining %d estimates: %w", len(estimates), err)
	}
	se := make([]float64, len(w))
	df := make([]float64, len(w))
	value := make([]float64, len(w))
	high := 0.0
	for i, e := range estimates {
		if !finite(e.Value, e.SE, e.DF) {
			return Combination{}, fmt.Errorf("combining estimates: %w", ErrNotFinite)
		}
		if e.SE < 0 || e.DF < 0 {
			return Combination{}, fmt.Errorf("combining estimates: %w", ErrDomain)
		}
		value[i], se[i], df[i] = w[i]*e.Value, w[i]*e.SE, e.DF
		high = math.Max(high, se[i])
	}
	c := Combination{N: len(w)}
	if weights == nil {
		for i, e := range estimates {
			value[i] = e.Value
		}
		c.Value, err = Mean(value)
	} else {
		c.Value, err = inRange("combined value", sumOf(value...))
	}
	if err != nil {
		return Combination{}, err
	}
	if high > 0 {
		squares := make([]float64, len(se))
		for i, s := range se {
			squares[i] = s / high * (s / high)
		}
		c.SE = high * math.Sqrt(sumOf(squares...))
	}
	c.DF = satterthwaite(se, df)
	if c.Interval, err = c.Estimate.Interval(level); err != nil {
		c.Interval = Interval{}
		return c, err
	}
	c.P, err = c.Estimate.P(0)
	return c, err
}

// Homogeneity tests whether independent estimates share one true value.
type Homogeneity struct {
	F, DF1, DF2, P float64
}

// SameEffect is Welch's test of equal means for unequal variances, applied to
// any independent estimates with standard errors and degrees of freedom (0:
// known): B. L. Welch, "On the comparison of several mean values", Biometrika
// 38, 1951, 330–336. On log ratios of matched pairs it asks whether the effect
// depends on what distinguishes the pairs. At least two estimates, each with a
// spread (else ErrNoSpread).
func SameEffect(estimates []Estimate) (Homogeneity, error) {
	k := float64(len(estimates))
	if k < 2 {
		return Homogeneity{}, fmt.Errorf("comparing %d effects: %w", len(estimates), ErrTooFew)
	}
	least := math.Inf(1)
	for _, e := range estimates {
		if !finite(e.Value, e.SE, e.DF) {
			return Homogeneity{}, fmt.Errorf("comparing effects: %w", ErrNotFinite)
		}
		if e.SE < 0 || e.DF < 0 {
			return Homogeneity{}, fmt.Errorf("comparing effects: %w", ErrDomain)
		}
		if e.SE == 0 {
			return Homogeneity{}, fmt.Errorf("comparing effects: %w", ErrNoSpread)
		}
		least = math.Min(least, e.SE)
	}
	w := make([]float64, len(estimates))
	wv := make([]float64, len(estimates))
	for i, e := range estimates {
		w[i] = least / e.SE * (least / e.SE)
		wv[i] = w[i] * (e.Value / least)
	}
	total := sumOf(w...)
	mean := sumOf(wv...) / total // in units of the least standard error
	between := make([]float64, len(estimates))
	lack := make([]float64, 0, len(estimates))
	for i, e := range estimates {
		d := e.Value/least - mean
		between[i] = w[i] * d * d
		if e.DF > 0 {
			s := 1 - w[i]/total
			lack = append(lack, s*s/e.DF)
		}
	}
	l := sumOf(lack...)
	h := Homogeneity{DF1: k - 1}
	h.F = sumOf(between...) / (k - 1) / (1 + 2*(k-2)/(k*k-1)*l)
	if !finite(h.F) {
		return Homogeneity{}, fmt.Errorf("comparing effects: %w", ErrRange)
	}
	var err error
	if l == 0 {
		h.P, err = ChiSquareUpper(h.F*(k-1), k-1)
		return h, err
	}
	h.DF2 = (k*k - 1) / (3 * l)
	h.P, err = FUpper(h.F, h.DF1, h.DF2)
	return h, err
}
