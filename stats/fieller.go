package stats

import (
	"fmt"
	"math"
)

// SetKind says what shape the confidence set of a ratio has.
type SetKind int

const (
	// NoSet: no set was computed.
	NoSet SetKind = iota
	// Bounded: an ordinary interval.
	Bounded
	// Exclusive: all ratios but those between the two ends.
	Exclusive
	// WholeLine: no ratio can be excluded.
	WholeLine
)

func (k SetKind) String() string {
	return [...]string{"none", "bounded", "exclusive", "whole line"}[k]
}

// RatioResult is a ratio numerator/denominator with its confidence set.
type RatioResult struct {
	Ratio float64
	// Interval is set only when Set is Bounded, so that an unbounded set cannot
	// be printed as an ordinary interval by mistake.
	Interval Interval
	// Excluded lies between the ends of an Exclusive set.
	Excluded Interval
	Set      SetKind
	// SELog is the standard error of log Ratio (by the delta method where the
	// method does not work on logarithms); 0 where Ratio is not positive.
	SELog float64
	// DF is the degrees of freedom; 0 means normal quantiles.
	DF float64
	// P tests a ratio of 1, with the same degrees of freedom as the interval.
	P float64
	// G is Fieller's t²·var(denominator)/denominator²: 1 or more means that
	// the denominator cannot be told from zero. 0 for other methods.
	G float64
	// Method names the method in words for the page.
	Method string
}

// LogEstimate is log Ratio with its standard error, for Combine.
func (r RatioResult) LogEstimate() (Estimate, error) {
	if !(r.Ratio > 0) || !finite(r.Ratio) {
		return Estimate{}, fmt.Errorf("logarithm of a ratio that is not positive: %w", ErrDomain)
	}
	return Estimate{math.Log(r.Ratio), r.SELog, r.DF}, nil
}

// The names of methods as they appear in RatioResult.Method.
const (
	MethodFiellerPooled  = "Fieller, pooled spread"
	MethodFiellerWelch   = "Fieller, unequal spreads"
	MethodFiellerPaired  = "Fieller, paired"
	MethodFiellerNormal  = "Fieller, normal quantiles"
	MethodFieller        = "Fieller"
	MethodDeltaLogRatio  = "delta method on the log ratio of means"
	MethodLogRatioWelch  = "ratio of geometric means, Welch"
	MethodLogRatioPaired = "ratio of geometric means, paired"
	MethodKnownSD        = "ratio of geometric means, borrowed spread"
)

// Fieller gives the confidence set of a/b for two estimates with standard
// errors seA, seB, covariance cov and df degrees of freedom (0: normal).
// E. C. Fieller, J. R. Statist. Soc. B 16, 1954, 175–185: the set of ratios r
// for which a − r·b cannot be told from zero. A set that is not an interval
// comes with ErrUnbounded.
func Fieller(a, b, seA, seB, cov, df, level float64) (RatioResult, error) {
	return fieller(a, b, seA, seB, cov, df, level, MethodFieller)
}

func fieller(a, b, seA, seB, cov, df, level float64, method string) (RatioResult, error) {
	r := RatioResult{DF: df, Method: method}
	if err := checkLevel(level); err != nil {
		return r, err
	}
	if !finite(a, b, seA, seB, cov, df) {
		return RatioResult{Method: method}, fmt.Errorf("ratio of means: %w", ErrNotFinite)
	}
	if seA < 0 || seB < 0 || df < 0 || math.Abs(cov) > seA*seB*(1+1e-9) {
		return r, fmt.Errorf("ratio of means: %w", ErrDomain)
	}
	if b == 0 {
		return r, fmt.Errorf("ratio to a mean of zero: %w", ErrDomain)
	}
	ratio := a / b
	if !finite(ratio) {
		return r, fmt.Errorf("ratio of means: %w", ErrRange)
	}
	r.Ratio = ratio + 0
	// Everything in units of b, so that squares neither overflow nor vanish.
	va, vb := seA/math.Abs(b), seB/math.Abs(b)
	c := 0.0
	if seA > 0 && seB > 0 {
		c = cov / seA / seB * va * vb
	}
	slack := varianceAt(ratio, va, vb, c)
	if ratio > 0 {
		r.SELog = math.Sqrt(slack) / ratio
		if !finite(r.SELog) {
			return RatioResult{Ratio: r.Ratio, DF: df, Method: method}, fmt.Errorf("ratio of means: %w", ErrRange)
		}
	}
	if seA == 0 && seB == 0 {
		return r, fmt.Errorf("ratio of means: %w", ErrNoSpread)
	}
	t, err := criticalT(level, df)
	if err != nil {
		return r, err
	}
	g := t * vb * t * vb
	// The set is where (1−g)·r² − 2(ratio − t²c)·r + (ratio² − t²va²) ≤ 0. Its
	// discriminant over t² is written without the differences that cancel.
	disc := slack - t*t*(va*vb-c)*(va*vb+c)
	if !finite(g, disc, slack) {
		return r, fmt.Errorf("ratio of means: %w", ErrRange)
	}
	r.G = g
	se1 := math.Sqrt(varianceAt(1, va, vb, c))
	if se1 > 0 {
		r.P = twoSidedP((ratio-1)/se1, df)
	} else if ratio == 1 {
		r.P = 1
	}
	if g < 1 {
		root := t * math.Sqrt(math.Max(0, disc))
		mid := ratio - t*t*c
		r.Interval, err = checkedInterval((mid-root)/(1-g)+0, (mid+root)/(1-g)+0, level)
		if err == nil {
			r.Set = Bounded
		}
		return r, err
	}
	r.Set = WholeLine
	if disc > 0 && g > 1 {
		root := t * math.Sqrt(disc)
		mid := ratio - t*t*c
		if e, err := checkedInterval((mid+root)/(1-g), (mid-root)/(1-g), level); err == nil {
			r.Set, r.Excluded = Exclusive, e
		}
	}
	return r, fmt.Errorf("ratio of means: %w", ErrUnbounded)
}

// varianceAt is the variance of A − r·B, never negative.
func varianceAt(r, va, vb, c float64) float64 {
	if va > 0 && vb > 0 {
		rho := math.Max(-1, math.Min(1, c/(va*vb)))
		d := va - r*rho*vb
		return d*d + r*vb*(r*vb)*(1-rho)*(1+rho)
	}
	return va*va + r*vb*(r*vb)
}

// FiellerPooled is the ratio of the means of x and y with a common spread,
// n_x+n_y−2 degrees of freedom. One of the two may be a single reading.
func FiellerPooled(x, y []float64, level float64) (RatioResult, error) {
	mx, my, sd, df, err := pooledMeans(x, y)
	if err != nil {
		return RatioResult{}, fmt.Errorf("ratio of means: %w", err)
	}
	return fieller(mx, my, sd/math.Sqrt(float64(len(x))), sd/math.Sqrt(float64(len(y))), 0, df, level, MethodFiellerPooled)
}

// FiellerWelch is the ratio of the means of x and y with spreads of their own;
// degrees of freedom after Satterthwaite for mean(x) − r·mean(y) at the
// observed ratio r. Two readings each at least.
func FiellerWelch(x, y []float64, level float64) (RatioResult, error) {
	a, b, err := meanEstimates(x, y)
	if err != nil {
		return RatioResult{}, err
	}
	return fieller(a.Value, b.Value, a.SE, b.SE, 0, ratioDF(a, b), level, MethodFiellerWelch)
}

// FiellerNormal is FiellerWelch with normal quantiles, as if the spreads were
// known: too narrow for few repeats, given for comparison.
func FiellerNormal(x, y []float64, level float64) (RatioResult, error) {
	a, b, err := meanEstimates(x, y)
	if err != nil {
		return RatioResult{}, err
	}
	return fieller(a.Value, b.Value, a.SE, b.SE, 0, 0, level, MethodFiellerNormal)
}

func meanEstimates(x, y []float64) (a, b Estimate, err error) {
	if a, err = MeanEstimate(x); err != nil {
		return a, b, fmt.Errorf("ratio of means: %w", err)
	}
	if b, err = MeanEstimate(y); err != nil {
		return a, b, fmt.Errorf("ratio of means: %w", err)
	}
	return a, b, nil
}

// ratioDF is Satterthwaite's df for a − (a/b)·b, from relative errors so that
// sizes do not matter.
func ratioDF(a, b Estimate) float64 {
	if b.Value == 0 {
		return satterthwaite([]float64{a.SE, b.SE}, []float64{a.DF, b.DF})
	}
	scaled := math.Abs(a.Value/b.Value) * b.SE
	if !finite(scaled) {
		return math.Min(a.DF, b.DF)
	}
	return satterthwaite([]float64{a.SE, scaled}, []float64{a.DF, b.DF})
}

// FiellerPaired is mean(x)/mean(y) for readings taken in pairs, whose
// covariance counts; n−1 degrees of freedom.
func FiellerPaired(x, y []float64, level float64) (RatioResult, error) {
	if len(x) != len(y) {
		return RatioResult{}, fmt.Errorf("ratio of paired means, %d and %d: %w", len(x), len(y), ErrLength)
	}
	a, b, err := meanEstimates(x, y)
	if err != nil {
		return RatioResult{}, err
	}
	var cross exactSum
	for i := range x {
		if a.SE > 0 && b.SE > 0 {
			p := (x[i] - a.Value) / a.SE * ((y[i] - b.Value) / b.SE)
			if !finite(p) {
				return RatioResult{}, fmt.Errorf("ratio of paired means: %w", ErrRange)
			}
			addTo(&cross, p)
		}
	}
	n := float64(len(x))
	rho := math.Max(-1, math.Min(1, cross.rounded(sumUnit)/(n*(n-1))))
	return fieller(a.Value, b.Value, a.SE, b.SE, rho*a.SE*b.SE, n-1, level, MethodFiellerPaired)
}
