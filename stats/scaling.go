package stats

import (
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
)

// Slope is an elasticity: by how many per cent y changes when x changes by
// one per cent.
type Slope struct {
	Estimate
	Interval Interval // unknown for two points
	P        float64  // test of an elasticity of 0; 0 when Interval is unknown
	R2       float64
}

// Elasticity is the slope of log y on log x, both positive, at two different x
// at least. 1 means in proportion, 0 not at all. With two points, or points
// exactly on a line, there is an elasticity but no interval.
func Elasticity(x, y []float64, level float64) (Slope, error) {
	if err := checkLevel(level); err != nil {
		return Slope{}, err
	}
	lx, err := logs(x)
	if err != nil {
		return Slope{}, fmt.Errorf("elasticity: %w", err)
	}
	ly, err := logs(y)
	if err != nil {
		return Slope{}, fmt.Errorf("elasticity: %w", err)
	}
	l, err := fitLine(lx, ly)
	if err != nil {
		return Slope{}, fmt.Errorf("elasticity: %w", err)
	}
	s := Slope{Estimate: l.slopeEstimate(), R2: l.r2}
	if l.sigma == 0 {
		return s, nil
	}
	if s.Interval, err = s.Estimate.Interval(level); err != nil {
		return Slope{}, fmt.Errorf("elasticity: %w", err)
	}
	s.P, err = s.Estimate.P(0)
	return s, err
}

// Amdahl is the fit time = A + B/f: A is the time that factor f (a clock, a
// number of workers) does not touch, B/f the time that it divides.
type Amdahl struct {
	A, B                 Estimate
	AInterval, BInterval Interval // unknown for two points or an exact fit
	R2                   float64
	line                 line
	lack, pure           float64 // sums of squares, in units of the longest time
	levels               int     // different values of the factor
}

// FitAmdahl fits t = a + b/f by least squares to times t (positive) at values
// f of the factor (positive, two different ones at least). Rates must be
// turned into times by the caller. The spread of t is taken to be the same
// everywhere. G. M. Amdahl, "Validity of the single processor approach to
// achieving large scale computing capabilities", AFIPS 30, 1967, 483–485.
func FitAmdahl(f, t []float64, level float64) (Amdahl, error) {
	if err := checkLevel(level); err != nil {
		return Amdahl{}, err
	}
	u := make([]float64, len(f))
	for i, v := range f {
		if !finite(v) {
			return Amdahl{}, fmt.Errorf("time against a factor: %w", ErrNotFinite)
		}
		if v <= 0 {
			return Amdahl{}, fmt.Errorf("time against a factor that is not positive: %w", ErrDomain)
		}
		if u[i] = 1 / v; !finite(u[i]) {
			return Amdahl{}, fmt.Errorf("time against a factor: %w", ErrRange)
		}
	}
	for _, v := range t {
		if v <= 0 {
			return Amdahl{}, fmt.Errorf("time that is not positive: %w", ErrDomain)
		}
	}
	l, err := fitLine(u, t)
	if err != nil {
		return Amdahl{}, fmt.Errorf("time against a factor: %w", err)
	}
	m := Amdahl{A: l.at(0), B: l.slopeEstimate(), R2: l.r2, line: l}
	if !finite(m.A.Value, m.A.SE, m.B.Value, m.B.SE) {
		return Amdahl{}, fmt.Errorf("time against a factor: %w", ErrRange)
	}
	m.splitResidual(f, u, t)
	if l.sigma == 0 {
		return m, nil
	}
	if m.AInterval, err = m.A.Interval(level); err != nil {
		return Amdahl{}, err
	}
	m.BInterval, err = m.B.Interval(level)
	return m, err
}

// splitResidual divides the residual into what the means at each value of the
// factor lie off the line, and what repeats scatter about those means.
func (m *Amdahl) splitResidual(f, u, t []float64) {
	at := map[float64][]int{}
	for i, v := range f {
		at[v] = append(at[v], i)
	}
	var lack, pure []float64
	longest := slices.Max(t)
	for _, v := range slices.Sorted(maps.Keys(at)) {
		own := make([]float64, len(at[v]))
		for j, i := range at[v] {
			own[j] = t[i]
		}
		mean, err := Mean(own)
		if err != nil {
			return
		}
		off := mean - m.line.at(u[at[v][0]]).Value
		for _, one := range own {
			lack, pure = append(lack, off/longest), append(pure, (one-mean)/longest)
		}
	}
	m.levels, m.lack, m.pure = len(at), sumOfProducts(lack, lack), sumOfProducts(pure, pure)
}

// LackOfFit tests whether the times follow a + b/f at all, by the spread of
// repeats at the same value of the factor. ok is false where there are fewer
// than three different values, no repeats, or repeats without any spread.
func (m Amdahl) LackOfFit() (l Lack, ok bool) {
	return LackOfFit(m.lack, float64(m.levels-2), m.pure, m.line.n-float64(m.levels))
}

// Lack is a test of lack of fit: F on DF and ErrorDF degrees of freedom.
type Lack struct{ F, P, DF, ErrorDF float64 }

// LackOfFit is the F-test of whether means lie further off a fitted model than
// repeats explain: the mean square of what they lie off it, over that of pure
// error, which repeats have about their own mean (NIST/SEMATECH e-Handbook of
// Statistical Methods, 4.4.4.6). Both are sums of squares, not below 0, with
// their degrees of freedom. ok is false where either has fewer than one, or
// repeats have no spread.
func LackOfFit(lack, df, pure, pureDF float64) (l Lack, ok bool) {
	if df < 1 || pureDF < 1 || !(pure > 0) || !(lack >= 0) {
		return Lack{}, false
	}
	l = Lack{F: lack / df / (pure / pureDF), DF: df, ErrorDF: pureDF}
	var err error
	l.P, err = FUpper(l.F, df, pureDF)
	return l, err == nil
}

// TimeAt is the fitted time at a value of the factor, with its standard error.
func (m Amdahl) TimeAt(f float64) (Estimate, error) {
	u := 1 / f
	if !(f > 0) || !finite(f, u) {
		return Estimate{}, fmt.Errorf("time at %v: %w", f, ErrDomain)
	}
	e := m.line.at(u)
	if !finite(e.Value, e.SE) {
		return Estimate{}, fmt.Errorf("time at %v: %w", f, ErrRange)
	}
	return e, nil
}

// Share is the part of the time that the factor does not touch.
type Share struct {
	Share    float64 // between 0 and 1
	Interval Interval
	// Set says whether the data bound the share at all; NoSet where there is no
	// spread to judge by.
	Set SetKind
	// Clamped: the fit itself asked for a share below 0 or above 1 (readings
	// that gain more than in proportion, or lose), so the model is in doubt.
	Clamped bool
}

// Untouched is the share a/(a+b/f) of the time at f, with Fieller's interval
// for the ratio of two correlated estimates, cut to what a share can be. Where
// Fieller's set is not an interval, none is given and Set says so.
func (m Amdahl) Untouched(f, level float64) (Share, error) {
	whole, err := m.TimeAt(f)
	if err != nil {
		return Share{}, err
	}
	if err := checkLevel(level); err != nil {
		return Share{}, err
	}
	if whole.Value <= 0 {
		return Share{}, fmt.Errorf("fitted time at %v is not positive: %w", f, ErrDomain)
	}
	l, u := m.line, 1/f
	rho := 0.0
	if l.sigma > 0 {
		// Correlation of the heights of one line at 0 and at u.
		d0, d1 := -l.xMean, u-l.xMean
		rho = (1/l.n + d0*d1/l.sxx) / math.Sqrt((1/l.n+d0*d0/l.sxx)*(1/l.n+d1*d1/l.sxx))
		rho = math.Max(-1, math.Min(1, rho))
	}
	r, err := Fieller(m.A.Value, whole.Value, m.A.SE, whole.SE, rho*m.A.SE*whole.SE, l.df, level)
	s := Share{Share: math.Max(0, math.Min(1, r.Ratio)), Set: r.Set}
	s.Clamped = s.Share != r.Ratio
	switch {
	case errors.Is(err, ErrNoSpread), errors.Is(err, ErrUnbounded):
		return s, nil
	case err != nil:
		return Share{}, err
	}
	low, high := math.Max(0, r.Interval.Low), math.Min(1, r.Interval.High)
	if low > high {
		// The whole set lies outside what a share can be: only its end is left.
		low, high = s.Share, s.Share
	}
	s.Interval = Interval{low, high, level}
	return s, nil
}
