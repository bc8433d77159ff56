package stats

import (
	"fmt"
	"math"
)

// Summary describes one cell: the readings of one workload on one
// configuration, in the unit of the readings.
type Summary struct {
	N                      int
	Mean, Median, Min, Max float64
	// SD is the standard deviation (n−1); HasSD is false for one reading,
	// whose spread is unknown, not zero.
	SD    float64
	HasSD bool
	// CV is SD over |Mean|, a share; it exists where SD does, the mean is not
	// zero and all readings have one sign.
	CV    float64
	HasCV bool
}

// Summarise describes x (n ≥ 1).
func Summarise(x []float64) (Summary, error) {
	// A report has tens of thousands of cells of a few readings each: room for
	// theirs is made once.
	var sums [8]int64
	var squares [14]int64
	var few [64]float64
	a := Accumulator{sum: exactSum{chunks: sums[:0]}, squares: exactSum{chunks: squares[:0]}}
	a.AddAll(x)
	s, err := a.summary()
	if err != nil {
		return Summary{}, fmt.Errorf("summarising %d readings: %w", len(x), err)
	}
	s.Median = medianInPlace(append(few[:0], x...))
	return s, nil
}

func (a *Accumulator) summary() (Summary, error) {
	s := Summary{N: a.n, Min: a.min, Max: a.max}
	var err error
	if s.Mean, err = a.Mean(); err != nil {
		return Summary{}, err
	}
	if a.n < 2 {
		return s, nil
	}
	if s.SD, err = a.SD(); err != nil {
		return Summary{}, err
	}
	s.HasSD = true
	if s.Mean != 0 && (s.Min > 0 || s.Max < 0) {
		if cv := s.SD / math.Abs(s.Mean); finite(cv) {
			s.CV, s.HasCV = cv, true
		}
	}
	return s, nil
}

// Sum is the correctly rounded sum of x (0 for none), whatever the order.
func Sum(x []float64) (float64, error) {
	s, err := exactOf(x)
	if err != nil {
		return 0, err
	}
	return inRange("sum", s.rounded(sumUnit))
}

// Mean is the arithmetic mean (n ≥ 1), rounded once.
func Mean(x []float64) (float64, error) {
	if len(x) == 0 {
		return 0, fmt.Errorf("mean of none: %w", ErrTooFew)
	}
	s, err := exactOf(x)
	if err != nil {
		return 0, err
	}
	return s.dividedBy(len(x), sumUnit), nil
}

func exactOf(x []float64) (exactSum, error) {
	var s exactSum
	for _, v := range x {
		m, place, negative, ok := decompose(v)
		if !ok {
			return s, fmt.Errorf("sum: %w", ErrNotFinite)
		}
		if m != 0 {
			s.add(m, place, negative)
		}
	}
	return s, nil
}

// Variance is Σ(x−mean)²/(n−1) for n ≥ 2, in squared units, rounded once.
func Variance(x []float64) (float64, error) {
	var a Accumulator
	a.AddAll(x)
	return a.Variance()
}

// SD is the standard deviation (n−1) for n ≥ 2. The certified values of the
// NIST StRD univariate sets are met as far as their data can be held in
// doubles.
func SD(x []float64) (float64, error) {
	var a Accumulator
	a.AddAll(x)
	return a.SD()
}

// meanSD gives both, of at least two readings.
func meanSD(x []float64) (mean, sd float64, err error) {
	var a Accumulator
	a.AddAll(x)
	if sd, err = a.SD(); err != nil {
		return 0, 0, err
	}
	mean, err = a.Mean()
	return mean, sd, err
}

// Lag1Autocorrelation is Σ(x_i−m)(x_{i+1}−m)/Σ(x_i−m)² over readings in the
// order in which they were taken (n ≥ 2), between −1 and 1. All equal:
// ErrNoSpread. Definition as in the NIST StRD univariate sets.
func Lag1Autocorrelation(x []float64) (float64, error) {
	if err := checkFinite("autocorrelation", x, 2); err != nil {
		return 0, err
	}
	d, _, _, ok := centred(x)
	if !ok {
		return 0, fmt.Errorf("autocorrelation: %w", ErrNoSpread)
	}
	return math.Max(-1, math.Min(1, sumOfProducts(d[1:], d[:len(d)-1])/sumOfProducts(d, d))), nil
}

// addTo adds a finite v to a grid of sums.
func addTo(s *exactSum, v float64) {
	if m, place, negative, ok := decompose(v); ok && m != 0 {
		s.add(m, place, negative)
	}
}

// sumOf is the correctly rounded sum of finite numbers.
func sumOf(x ...float64) float64 {
	var s exactSum
	for _, v := range x {
		addTo(&s, v)
	}
	return s.rounded(sumUnit)
}

// logs gives natural logarithms; a value that is not positive is ErrDomain.
func logs(x []float64) ([]float64, error) {
	l := make([]float64, len(x))
	for i, v := range x {
		if !finite(v) {
			return nil, fmt.Errorf("logarithm of a reading: %w", ErrNotFinite)
		}
		if v <= 0 {
			return nil, fmt.Errorf("logarithm of a reading that is not positive: %w", ErrDomain)
		}
		l[i] = math.Log(v)
	}
	return l, nil
}

// GeometricMean is exp(Σ w·log x / Σ w) for positive x (n ≥ 1). weights is nil
// for equal ones, else one per value, none negative, not all zero. The one
// mean of ratios that does not depend on the choice of baseline: P. J. Fleming,
// J. J. Wallace, CACM 29(3), 1986, 218–221.
func GeometricMean(x, weights []float64) (float64, error) {
	l, err := logs(x)
	if err != nil {
		return 0, fmt.Errorf("geometric mean: %w", err)
	}
	m, err := weightedMean(l, weights)
	if err != nil {
		return 0, fmt.Errorf("geometric mean: %w", err)
	}
	// exp(log x) is off by some units in the last place: the mean lies between
	// the extremes all the same.
	low, high := x[0], x[0]
	for _, v := range x {
		low, high = math.Min(low, v), math.Max(high, v)
	}
	return math.Max(low, math.Min(high, math.Exp(m))), nil
}

// weightedMean of finite numbers; nil weights are equal ones.
func weightedMean(x, weights []float64) (float64, error) {
	if weights == nil {
		return Mean(x)
	}
	w, err := normalWeights(weights, len(x))
	if err != nil {
		return 0, err
	}
	var s exactSum
	for i, v := range x {
		addTo(&s, v*w[i])
	}
	return inRange("weighted mean", s.rounded(sumUnit))
}

// normalWeights checks weights and scales them to a sum of 1. nil gives n
// equal ones.
func normalWeights(weights []float64, n int) ([]float64, error) {
	if n == 0 {
		return nil, fmt.Errorf("weights: %w", ErrTooFew)
	}
	w := make([]float64, n)
	if weights == nil {
		for i := range w {
			w[i] = 1 / float64(n)
		}
		return w, nil
	}
	if len(weights) != n {
		return nil, fmt.Errorf("%d weights for %d values: %w", len(weights), n, ErrLength)
	}
	high := 0.0
	for _, v := range weights {
		if !finite(v) {
			return nil, fmt.Errorf("weight: %w", ErrNotFinite)
		}
		if v < 0 {
			return nil, fmt.Errorf("negative weight: %w", ErrDomain)
		}
		high = math.Max(high, v)
	}
	if high == 0 {
		return nil, fmt.Errorf("all weights are zero: %w", ErrDomain)
	}
	for i, v := range weights {
		w[i] = v / high
	}
	total := sumOf(w...)
	for i := range w {
		w[i] /= total
	}
	return w, nil
}

// LogSD is the standard deviation of log x for positive x (n ≥ 2): about the
// coefficient of variation when that is small, and what adds up in ratios.
func LogSD(x []float64) (float64, error) {
	l, err := logs(x)
	if err != nil {
		return 0, fmt.Errorf("spread of logarithms: %w", err)
	}
	return SD(l)
}
