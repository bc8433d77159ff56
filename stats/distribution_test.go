package stats

import (
	"errors"
	"fmt"
	"math"
	"testing"
)

// The mpmath column holds 18 digits; R's own worst relative error against it
// is 1.1e-13.
func TestQuantilesAgreeWith18Digits(t *testing.T) {
	worst := map[string]float64{}
	for _, r := range table(t, "critical/quantiles.csv") {
		p, want := number(t, r["p"]), number(t, r["quantile_mpmath_18"])
		var got, back float64
		var err, err2 error
		switch r["dist"] {
		case "normal":
			got, err = NormalQuantile(p)
			back, err2 = NormalCDF(got)
		case "t":
			got, err = StudentQuantile(p, number(t, r["df"]))
			back, err2 = StudentCDF(got, number(t, r["df"]))
		case "chisq":
			got, err = ChiSquareQuantile(p, number(t, r["df"]))
			back, err2 = ChiSquareCDF(got, number(t, r["df"]))
		case "F":
			got, err = FQuantile(p, number(t, r["df"]), number(t, r["df2"]))
			back, err2 = FCDF(got, number(t, r["df"]), number(t, r["df2"]))
		default:
			t.Fatalf("no distribution %q", r["dist"])
		}
		ok(t, err)
		ok(t, err2)
		what := r["dist"] + " " + r["p"] + " " + r["df"] + " " + r["df2"]
		// A quantile far out cannot be better than the rounding of 1 − p allows.
		near(t, what, got, want, 2.5e-14+1.2e-16/(1-p))
		near(t, "probability of "+what, back, p, 1e-14)
		worst[r["dist"]] = max(worst[r["dist"]], abs(got-want)/abs(want))
	}
	t.Log("worst relative errors:", worst)
}

func abs(x float64) float64 { return max(x, -x) }

// Published tables, the case of two means, which is Student's t, and the double
// integral by another rule (Simpson's, on the plain scale).
func TestStudentizedRange(t *testing.T) {
	for _, c := range []struct {
		k     int
		df, q float64
	}{
		// Published tables (Harter 1960, as printed in most textbooks, from
		// memory): upper 5 % points.
		{3, 10, 3.877}, {4, 20, 3.958}, {2, 5, 3.635}, {5, 60, 3.977}, {10, 24, 4.915},
	} {
		q, err := StudentizedRangeQuantile(0.95, c.k, c.df)
		ok(t, err)
		within(t, "upper 5 % point", q, c.q, 6e-4)
	}
	// With two means the studentised range is √2·|t|.
	for _, df := range []float64{1, 2.5, 7, 40, 1000} {
		for _, q := range []float64{0.1, 1, 3, 9} {
			got, err := StudentizedRangeCDF(q, 2, df)
			ok(t, err)
			within(t, "range of two", got, 1-twoSidedP(q/1.4142135623730951, df), 1e-12)
		}
	}
	// With a known spread the range of two is √2·|z|.
	got, err := StudentizedRangeCDF(2, 2, 0)
	ok(t, err)
	within(t, "range of two, known spread", got, 1-twoSidedP(2/1.4142135623730951, 0), 1e-13)
	for _, c := range []struct {
		q  float64
		k  int
		df float64
	}{{2.9944200295238645, 3, 3}, {4.2, 12, 30}, {4, 40, 8.5}} {
		got, err := StudentizedRangeCDF(c.q, c.k, c.df)
		ok(t, err)
		within(t, fmt.Sprint("double integral at ", c), got, rangeBySimpson(c.q, c.k, c.df), 1e-11)
	}
}

func rangeBySimpson(q float64, k int, df float64) float64 {
	simpson := func(low, high float64, n int, f func(float64) float64) float64 {
		h := (high - low) / float64(n)
		s := f(low) + f(high)
		for i := 1; i < n; i++ {
			s += f(low+h*float64(i)) * float64(2+2*(i%2))
		}
		return s * h / 3
	}
	lg, _ := math.Lgamma(df / 2)
	c := math.Ln2 + df/2*math.Log(df/2) - lg
	return simpson(1e-12, 5, 800, func(s float64) float64 {
		d := math.Exp(c + (df-1)*math.Log(s) - df*s*s/2)
		if d < 1e-18 {
			return 0
		}
		return d * simpson(-9, 9, 600, func(z float64) float64 {
			return float64(k) * math.Exp(-z*z/2) / math.Sqrt(2*math.Pi) *
				math.Pow(0.5*(math.Erfc(-z/math.Sqrt2)-math.Erfc((q*s-z)/math.Sqrt2)), float64(k-1))
		})
	})
}

func TestQuantilesInvertFractionalDegreesOfFreedom(t *testing.T) {
	for _, df := range []float64{0.3, 0.5, 1, 1.0001, 1.5, 2, 2.7, 4.79, 30.2, 517.3, 1e5, 3e9, 1e16, 1e300} {
		for _, p := range []float64{1e-12, 1e-5, 0.01, 0.3, 0.499, 0.5, 0.501, 0.7, 0.975, 0.999999} {
			q, err := StudentQuantile(p, df)
			if errors.Is(err, ErrRange) && df < 1 {
				continue
			}
			ok(t, err)
			back, err := StudentCDF(q, df)
			ok(t, err)
			near(t, fmt.Sprint("round trip at df ", df), back, p, 2e-14)
		}
	}
}

func TestQuantilesRefuseWhatIsOutside(t *testing.T) {
	nan := sqrtOfMinusOne()
	for _, p := range []float64{-1, 0, 1, 2, nan} {
		if _, err := StudentQuantile(p, 3); !errors.Is(err, ErrDomain) {
			t.Errorf("StudentQuantile(%v) gives %v", p, err)
		}
		if _, err := NormalQuantile(p); !errors.Is(err, ErrDomain) {
			t.Errorf("NormalQuantile(%v) gives %v", p, err)
		}
		if _, err := StudentizedRangeQuantile(p, 3, 3); !errors.Is(err, ErrDomain) {
			t.Errorf("StudentizedRangeQuantile(%v) gives %v", p, err)
		}
	}
	for _, df := range []float64{-1, 0, nan} {
		if _, err := StudentQuantile(0.9, df); !errors.Is(err, ErrDomain) {
			t.Errorf("StudentQuantile with %v df gives %v", df, err)
		}
	}
}

func sqrtOfMinusOne() float64 { z := 0.0; return z / z }

// The expansion takes over from the continued fraction without a step.
func TestStudentIsContinuousInDegreesOfFreedom(t *testing.T) {
	for _, x := range []float64{0.01, 0.5, 1, 2, 4, 8, 20} {
		below, above := studentUpper(x, seriesDF*(1-1e-15)), studentUpper(x, seriesDF)
		near(t, fmt.Sprint("tail at ", x), above, below, 1e-12)
	}
}

func BenchmarkStudentizedRangeQuantile(b *testing.B) {
	for b.Loop() {
		if _, err := StudentizedRangeQuantile(0.95, 5, 20); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkStudentQuantile(b *testing.B) {
	for b.Loop() {
		if _, err := StudentQuantile(0.975, 7.3); err != nil {
			b.Fatal(err)
		}
	}
}
