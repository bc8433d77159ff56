// Package stats holds the mathematics of the report: means, spreads,
// intervals, tests and fits, as pure functions over numbers.
//
// In come plain slices of readings (any unit, one unit per slice) and small
// parameters such as a confidence level between 0 and 1. Out come small
// structs of float64. Nothing is read or written, nothing is kept between
// calls, no type of the project model is known here, and nothing is rounded:
// words and digits are the business of package report.
//
// It may import the standard library and gonum (mathext, floats), nothing else.
//
// Three promises hold for every exported function:
//
//   - With a nil error no result holds NaN or an infinity. Trouble with the
//     data is an error that wraps one of the sentinels below, never a panic.
//   - Results do not depend on the order of the readings, to the last bit,
//     except where order is the subject (trends, autocorrelation, pairs).
//     Between kinds of processor the last digits may differ, since exp, log
//     and fused arithmetic do: whoever prints for comparison should print 12
//     significant digits at most.
//   - Random methods take a seed and give the same result for the same seed.
//
// Example: what is configuration x worth against baseline y?
//
//	r, err := stats.RatioOfMeans(x, y, 0.95)
//	if errors.Is(err, stats.ErrTooFew) {
//		// one reading: borrow a spread with RatioKnownSD or say it is unknown
//	}
//	fmt.Println(r.Ratio, r.Interval.Low, r.Interval.High, r.Method)
package stats

import (
	"errors"
	"fmt"
	"math"
)

// The reasons for which a figure cannot be given. Errors wrap one of these;
// test with errors.Is.
var (
	// ErrTooFew: fewer readings than the method needs.
	ErrTooFew = errors.New("too few readings")
	// ErrDomain: an argument outside the range in which the method is defined,
	// such as a level of 1, a negative time, or a ratio to zero.
	ErrDomain = errors.New("value outside the domain of the method")
	// ErrNotFinite: a reading is NaN or infinite.
	ErrNotFinite = errors.New("reading is not a finite number")
	// ErrRange: the result exists but does not fit a double.
	ErrRange = errors.New("result outside the range of double precision")
	// ErrNoSpread: all readings are equal, so that no interval or test can be
	// had from them. The estimate itself is still returned.
	ErrNoSpread = errors.New("readings show no spread")
	// ErrUnbounded: the confidence set of a ratio is not an interval, since the
	// denominator cannot be told from zero. The estimate is still returned.
	ErrUnbounded = errors.New("confidence set of the ratio is unbounded")
	// ErrLength: slices that belong together have different lengths.
	ErrLength = errors.New("slices differ in length")
	// ErrNotEstimable: the design does not determine the quantity asked for.
	ErrNotEstimable = errors.New("not estimable from this design")
)

// Interval is a closed interval that covers the true value with probability
// Level (0 < Level < 1), in the unit of the estimate that it belongs to.
// The zero value (Level 0) means that there is none.
type Interval struct {
	Low, High, Level float64
}

// Contains reports whether v lies in the interval, ends included.
func (i Interval) Contains(v float64) bool { return i.Low <= v && v <= i.High }

// Width is High − Low.
func (i Interval) Width() float64 { return i.High - i.Low }

// Known reports whether there is an interval at all.
func (i Interval) Known() bool { return i.Level > 0 }

// Estimate is a value with its standard error. DF is the degrees of freedom
// of the standard error; 0 means that the error is taken as known, so that
// normal quantiles apply.
type Estimate struct {
	Value, SE, DF float64
}

// Interval is Value ± t·SE with Student's t for DF degrees of freedom (the
// normal quantile for DF 0).
func (e Estimate) Interval(level float64) (Interval, error) {
	if err := checkLevel(level); err != nil {
		return Interval{}, err
	}
	if !finite(e.Value, e.SE, e.DF) {
		return Interval{}, fmt.Errorf("interval of an estimate: %w", ErrNotFinite)
	}
	if e.SE < 0 || e.DF < 0 {
		return Interval{}, fmt.Errorf("interval of an estimate: %w", ErrDomain)
	}
	if e.SE == 0 {
		return Interval{e.Value, e.Value, level}, fmt.Errorf("interval of an estimate: %w", ErrNoSpread)
	}
	t, err := criticalT(level, e.DF)
	if err != nil {
		return Interval{}, err
	}
	return checkedInterval(e.Value-t*e.SE, e.Value+t*e.SE, level)
}

// P is the two-sided probability of an estimate at least as far from null
// as this one, were null the true value.
func (e Estimate) P(null float64) (float64, error) {
	if !finite(e.Value, e.SE, e.DF, null) {
		return 0, fmt.Errorf("test of an estimate: %w", ErrNotFinite)
	}
	if e.SE < 0 || e.DF < 0 {
		return 0, fmt.Errorf("test of an estimate: %w", ErrDomain)
	}
	if e.SE == 0 {
		return 0, fmt.Errorf("test of an estimate: %w", ErrNoSpread)
	}
	return twoSidedP((e.Value-null)/e.SE, e.DF), nil
}

// Exp turns an interval of logarithms into one of ratios.
func (i Interval) Exp() (Interval, error) {
	if !i.Known() {
		return Interval{}, nil
	}
	return checkedInterval(math.Exp(i.Low), math.Exp(i.High), i.Level)
}

func checkLevel(level float64) error {
	// A level so near to 1 that 1 − level is lost in rounding has no quantile.
	if !(level > 0 && level <= 1-1e-12) {
		return fmt.Errorf("confidence level %v: %w", level, ErrDomain)
	}
	return nil
}

func finite(v ...float64) bool {
	for _, x := range v {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return false
		}
	}
	return true
}

// checkedInterval refuses ends that overflowed.
func checkedInterval(low, high, level float64) (Interval, error) {
	if !finite(low, high) {
		return Interval{}, fmt.Errorf("ends of the interval: %w", ErrRange)
	}
	return Interval{low, high, level}, nil
}

// criticalT is the two-sided critical value; df 0 means normal.
func criticalT(level, df float64) (float64, error) {
	tail := (1 - level) / 2
	if df == 0 {
		z, err := NormalQuantile(tail)
		return -z, err
	}
	if err := checkDF(df); err != nil {
		return 0, err
	}
	return studentUpperQuantile(tail, df)
}

// twoSidedP is P(|T| ≥ |t|); df 0 means normal. An infinite t gives 0.
func twoSidedP(t, df float64) float64 {
	t = math.Abs(t)
	if math.IsInf(t, 1) {
		return 0
	}
	if df == 0 {
		return math.Erfc(t / math.Sqrt2)
	}
	return math.Min(1, 2*studentUpper(t, df))
}
