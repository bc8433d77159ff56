package stats

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mathext"
)

// From seriesDF on, tails of Student's t come from an expansion about the
// normal; from largeDF on the two cannot be told apart in doubles.
const (
	seriesDF = 1e4
	largeDF  = 1e17
)

// NormalCDF is P(Z ≤ z) of the standard normal.
func NormalCDF(z float64) (float64, error) {
	if math.IsNaN(z) {
		return 0, fmt.Errorf("normal probability: %w", ErrNotFinite)
	}
	return 0.5 * math.Erfc(-z/math.Sqrt2), nil
}

// NormalQuantile is z with P(Z ≤ z) = p, for 0 < p < 1. Algorithm AS 241 of
// M. J. Wichura, Applied Statistics 37, 1988, as in gonum.
func NormalQuantile(p float64) (float64, error) {
	if err := checkProbability(p); err != nil {
		return 0, fmt.Errorf("normal quantile: %w", err)
	}
	return mathext.NormalQuantile(p), nil
}

func checkProbability(p float64) error {
	if !(p > 0 && p < 1) {
		return fmt.Errorf("probability %v is not between 0 and 1: %w", p, ErrDomain)
	}
	return nil
}

func checkDF(df float64) error {
	if !(df > 0) || math.IsInf(df, 1) {
		return fmt.Errorf("%v degrees of freedom: %w", df, ErrDomain)
	}
	return nil
}

// studentUpper is P(T ≥ t) for t ≥ 0.
func studentUpper(t, df float64) float64 {
	if math.IsInf(t, 1) {
		return 0
	}
	if df >= largeDF {
		return 0.5 * math.Erfc(t/math.Sqrt2)
	}
	r := t / math.Sqrt(df)
	if df >= seriesDF {
		// G. W. Hill, "Algorithm 395: Student's t-distribution", CACM 13(10),
		// 1970, 617–619.
		a := df - 0.5
		b := 48 * a * a
		y := a * math.Log1p(r*r)
		z := (((((-0.4*y-3.3)*y-24)*y-85.5)/(0.8*y*y+100+b)+y+3)/b + 1) * math.Sqrt(y)
		return 0.5 * math.Erfc(z/math.Sqrt2)
	}
	// x = df/(df+t²), y = t²/(df+t²), by a ratio that cannot overflow.
	if r > 1e150 {
		// The tail is a power law: B-function factor times r^−df.
		return 0.5 * betaFactorPower(df, r)
	}
	x, y := 1/(1+r*r), r*r/(1+r*r)
	if t*t < df/(df+1)*1.5 {
		return 0.5 - 0.5*betaInc(0.5, df/2, y, x)
	}
	return 0.5 * betaInc(df/2, 0.5, x, y)
}

// betaFactorPower is I_x(df/2, ½) for x = r^−2 so small that only the leading
// term x^(df/2)/(df/2·B(df/2, ½)) counts.
func betaFactorPower(df, r float64) float64 {
	a := df / 2
	lg1, _ := math.Lgamma(a + 0.5)
	lg2, _ := math.Lgamma(a + 1)
	return math.Exp(lg1 - lg2 - 0.5*math.Log(math.Pi) - df*math.Log(r))
}

// studentDensity is the density of Student's t.
func studentDensity(t, df float64) float64 {
	if df >= largeDF {
		return math.Exp(-t*t/2) / math.Sqrt(2*math.Pi)
	}
	r := t / math.Sqrt(df)
	c := stirlingRatio(df)
	return c / math.Sqrt(2*math.Pi) * math.Exp(-(df+1)/2*math.Log1p(r*r))
}

// stirlingRatio is Γ((df+1)/2)/(Γ(df/2)·√(df/2)), which tends to 1.
func stirlingRatio(df float64) float64 {
	if df > 100 {
		// DLMF 5.11.13 for Γ(z+½)/Γ(z), z = df/2.
		u := 1 / df
		return 1 - u*(0.25-u*(1.0/32+u*(5.0/128-u*(21.0/2048))))
	}
	a, _ := math.Lgamma((df + 1) / 2)
	b, _ := math.Lgamma(df / 2)
	return math.Exp(a-b) / math.Sqrt(df/2)
}

// StudentCDF is P(T ≤ t) of Student's t with df > 0 degrees of freedom, which
// need not be a whole number.
func StudentCDF(t, df float64) (float64, error) {
	if err := checkDF(df); err != nil {
		return 0, fmt.Errorf("Student probability: %w", err)
	}
	if math.IsNaN(t) {
		return 0, fmt.Errorf("Student probability: %w", ErrNotFinite)
	}
	if t < 0 {
		return studentUpper(-t, df), nil
	}
	return 1 - studentUpper(t, df), nil
}

// StudentQuantile is t with P(T ≤ t) = p for 0 < p < 1 and df > 0. Solved
// from StudentCDF by Newton steps on the logarithm of the tail; agrees with
// 18-digit values to about 1e-14. Quantiles that overflow are ErrRange.
func StudentQuantile(p, df float64) (float64, error) {
	if err := checkProbability(p); err != nil {
		return 0, fmt.Errorf("Student quantile: %w", err)
	}
	if err := checkDF(df); err != nil {
		return 0, fmt.Errorf("Student quantile: %w", err)
	}
	switch {
	case p == 0.5:
		return 0, nil
	case p < 0.5:
		t, err := studentUpperQuantile(p, df)
		return -t, err
	}
	return studentUpperQuantile(1-p, df)
}

// studentUpperQuantile is t ≥ 0 with P(T ≥ t) = tail, 0 < tail ≤ ½: with a tail
// given as such, nothing is lost to the rounding of 1 − tail.
func studentUpperQuantile(tail, df float64) (float64, error) {
	if !(tail > 0 && tail <= 0.5) {
		return 0, fmt.Errorf("Student quantile for a tail of %v: %w", tail, ErrDomain)
	}
	if tail == 0.5 {
		return 0, nil
	}
	if df >= largeDF {
		return -mathext.NormalQuantile(tail), nil
	}
	t := studentStart(tail, df)
	for i := 0; i < 200; i++ {
		q := studentUpper(t, df)
		f := studentDensity(t, df)
		if q == 0 || f == 0 || !finite(t) {
			return 0, fmt.Errorf("Student quantile for a tail of %v with %v degrees of freedom: %w", tail, df, ErrRange)
		}
		u := (q - tail) / f
		// The quantile's series in u, of which psi and bend are the coefficients:
		// −f′/f, and its derivative by t. What is left out goes as u⁴, so that near
		// by one step reaches the last digit.
		psi := (df + 1) * t / (df + t*t)
		if a := math.Abs(u); a <= 5e-5*t && a*psi <= 5e-5 {
			bend := (df + 1) * (df - t*t) / ((df + t*t) * (df + t*t))
			t += u * (1 + u*(psi/2+u*(bend+2*psi*psi)/6))
			break
		}
		step := u
		if tail <= 0.25 {
			// log q is nearly linear in log t far out and in t near by.
			step = math.Log(q/tail) * q / f
			if u := step / t; math.Abs(u) > 0.1 {
				step = t * (math.Exp(math.Max(-2, math.Min(2, u))) - 1)
			}
		}
		if t+step <= 0 {
			step = -t / 2
		}
		t += step
	}
	return inRange("Student quantile", t)
}

// studentStart is a first guess at the upper quantile.
func studentStart(tail, df float64) float64 {
	if df < 3 {
		// Between the closed forms for 1 and 2 degrees of freedom, and beyond:
		// the power law of the tail.
		c := stirlingRatio(df) / math.Sqrt(2*math.Pi) * math.Pow(df, (df-1)/2) * math.Sqrt(df)
		if t := math.Pow(c/tail, 1/df); tail < 0.1 && t > 2 {
			return t
		}
		return math.Max(0.1, 1/math.Tan(math.Pi*tail))
	}
	z := -mathext.NormalQuantile(tail)
	g := (z*z*z + z) / (4 * df) // Fisher and Cornish 1960
	return z + g + (5*math.Pow(z, 5)+16*z*z*z+3*z)/(96*df*df)
}

// FCDF is P(F ≤ f) of the variance ratio with df1 and df2 degrees of freedom.
func FCDF(f, df1, df2 float64) (float64, error) {
	u, err := fUpper(f, df1, df2)
	if err != nil {
		return 0, err
	}
	if u > 0.5 {
		x, y := fShares(f, df1, df2)
		return betaInc(df1/2, df2/2, x, y), nil
	}
	return 1 - u, nil
}

// FUpper is P(F ≥ f), accurate in the far tail: the p value of an F test.
func FUpper(f, df1, df2 float64) (float64, error) { return fUpper(f, df1, df2) }

func fUpper(f, df1, df2 float64) (float64, error) {
	if err := checkDF(df1); err != nil {
		return 0, fmt.Errorf("F probability: %w", err)
	}
	if err := checkDF(df2); err != nil {
		return 0, fmt.Errorf("F probability: %w", err)
	}
	if math.IsNaN(f) {
		return 0, fmt.Errorf("F probability: %w", ErrNotFinite)
	}
	if f <= 0 {
		return 1, nil
	}
	x, y := fShares(f, df1, df2)
	return betaInc(df2/2, df1/2, y, x), nil
}

// fShares gives df1·f/(df1·f+df2) and its complement.
func fShares(f, df1, df2 float64) (x, y float64) {
	r := f * (df1 / df2)
	if math.IsInf(r, 1) {
		return 1, 0
	}
	return r / (1 + r), 1 / (1 + r)
}

// FQuantile is f with P(F ≤ f) = p, by bisection on the logarithm and a final
// secant; relative error about 1e-13.
func FQuantile(p, df1, df2 float64) (float64, error) {
	if err := checkProbability(p); err != nil {
		return 0, fmt.Errorf("F quantile: %w", err)
	}
	if _, err := fUpper(1, df1, df2); err != nil {
		return 0, err
	}
	return positiveQuantile("F quantile", func(f float64) float64 {
		u, _ := fUpper(f, df1, df2)
		c, _ := FCDF(f, df1, df2)
		return logOdds(c, u)
	}, logOdds(p, 1-p), 1)
}

// ChiSquareCDF is P(X ≤ x) of the sum of df squared normals.
func ChiSquareCDF(x, df float64) (float64, error) {
	p, _, err := chiSquare(x, df)
	return p, err
}

// ChiSquareUpper is P(X ≥ x), accurate in the far tail.
func ChiSquareUpper(x, df float64) (float64, error) {
	_, q, err := chiSquare(x, df)
	return q, err
}

func chiSquare(x, df float64) (p, q float64, err error) {
	if err := checkDF(df); err != nil {
		return 0, 0, fmt.Errorf("chi-square probability: %w", err)
	}
	if math.IsNaN(x) {
		return 0, 0, fmt.Errorf("chi-square probability: %w", ErrNotFinite)
	}
	if math.IsInf(x, 1) {
		return 1, 0, nil
	}
	p, q = gammaInc(df/2, x/2)
	return p, q, nil
}

// ChiSquareQuantile is x with P(X ≤ x) = p; relative error about 1e-13.
func ChiSquareQuantile(p, df float64) (float64, error) {
	if err := checkProbability(p); err != nil {
		return 0, fmt.Errorf("chi-square quantile: %w", err)
	}
	if err := checkDF(df); err != nil {
		return 0, fmt.Errorf("chi-square quantile: %w", err)
	}
	return positiveQuantile("chi-square quantile", func(x float64) float64 {
		c, u := gammaInc(df/2, x/2)
		return logOdds(c, u)
	}, logOdds(p, 1-p), df)
}

// logOdds is log(p/q), which keeps both tails apart from rounding.
func logOdds(p, q float64) float64 { return math.Log(p) - math.Log(q) }

// positiveQuantile solves g(x) = target for x > 0 and g increasing, from a
// start, by bracketing and the method of Ridders on log x.
func positiveQuantile(what string, g func(float64) float64, target, start float64) (float64, error) {
	low, high := math.Log(start)-1, math.Log(start)+1
	at := func(l float64) float64 { return g(math.Exp(l)) - target }
	gl, gh := at(low), at(high)
	for width := 1.0; gl > 0; width *= 2 {
		if low < -740 {
			return 0, fmt.Errorf("%s: %w", what, ErrRange)
		}
		high, gh = low, gl
		low -= width
		gl = at(low)
	}
	for width := 1.0; gh < 0; width *= 2 {
		if high > 700 {
			return 0, fmt.Errorf("%s: %w", what, ErrRange)
		}
		low, gl = high, gh
		high += width
		gh = at(high)
	}
	for i := 0; i < 200 && high-low > 1e-16*math.Abs(low)+1e-17; i++ {
		mid := low + (high-low)/2
		if mid == low || mid == high {
			break
		}
		gm := at(mid)
		next := mid
		if s := math.Sqrt(gm*gm - gl*gh); finite(gl, gh) && s > 0 {
			next = mid + (mid-low)*sign(gl-gh)*gm/s
		}
		if !(next > low && next < high) {
			next = mid
		}
		gn := at(next)
		for _, c := range [2]struct{ x, g float64 }{{mid, gm}, {next, gn}} {
			if c.x <= low || c.x >= high {
				continue
			}
			if c.g < 0 {
				low, gl = c.x, c.g
			} else {
				high, gh = c.x, c.g
			}
		}
		if gn == 0 {
			return inRange(what, math.Exp(next))
		}
	}
	return inRange(what, math.Exp(low+(high-low)/2))
}

func sign(x float64) float64 {
	if x < 0 {
		return -1
	}
	return 1
}
