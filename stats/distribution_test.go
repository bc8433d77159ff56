package stats

import (
	"errors"
	"fmt"
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

// Values of qtukey and ptukey, R 4.2.2: qtukey(0.95, k, df), ptukey(q, k, df).
// R states no accuracy; its algorithm (AS 190 after Copenhaver and Holland)
// iterates to 1e-4 in the quantile, so quantiles are compared to four digits
// after the point and probabilities to nine.
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
