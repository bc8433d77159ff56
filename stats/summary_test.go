package stats

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

// NIST StRD certified values. The data of NumAcc3 and NumAcc4 cannot be held in
// doubles; exact arithmetic on the doubles that they become gives the standard
// deviation to 3.5e-10 and 5.6e-9, no better.
func TestCertifiedUnivariate(t *testing.T) {
	sdTolerance := map[string]float64{"NumAcc3": 3.6e-10, "NumAcc4": 5.7e-9, "Mavro": 1e-12, "Michelso": 1e-13}
	for _, r := range table(t, "nist/strd_univariate_certified.csv") {
		name := r["dataset"]
		x := column(t, "nist/strd_"+strings.ToLower(name)+".csv", "y")
		s, err := Summarise(x)
		ok(t, err)
		if s.N != int(number(t, r["n"])) {
			t.Errorf("%s: n = %d", name, s.N)
		}
		near(t, name+" mean", s.Mean, number(t, r["mean"]), 2e-15)
		tolerance := sdTolerance[name]
		if tolerance == 0 {
			tolerance = 3e-15
		}
		near(t, name+" sd", s.SD, number(t, r["sd"]), tolerance)
		a, err := Lag1Autocorrelation(x)
		ok(t, err)
		near(t, name+" autocorrelation", a, number(t, r["autocorr_lag1"]), math.Max(tolerance*40, 1e-13))
	}
}

// On the doubles themselves the result is exact: readings b+0.2 alternating
// between b+0.1 and b+0.3 where these are representable.
func TestSpreadSurvivesCancellation(t *testing.T) {
	for _, b := range []float64{0, 1e6, 1 << 40, 1 << 48} {
		x := []float64{b + 0.25}
		for i := 0; i < 500; i++ {
			x = append(x, b+0.125, b+0.375)
		}
		s, err := Summarise(x)
		ok(t, err)
		if s.SD != 0.125 || s.Mean != b+0.25 {
			t.Errorf("offset %g: mean %.17g, sd %.17g", b, s.Mean, s.SD)
		}
	}
}

func TestSumIsCorrectlyRounded(t *testing.T) {
	for _, c := range []struct {
		x    []float64
		want float64
	}{
		{nil, 0},
		{[]float64{1, 1e100, 1, -1e100}, 2},
		{[]float64{1e308, 1e308, -1e308}, 1e308},
		{[]float64{math.MaxFloat64, math.MaxFloat64, -math.MaxFloat64, -math.MaxFloat64, 5e-324}, 5e-324},
		{[]float64{5e-324, 5e-324, 5e-324}, 1.5e-323},
		{[]float64{1, 1.1102230246251565e-16}, 1},                              // a tie goes to even
		{[]float64{1, 1.1102230246251565e-16, 5e-324}, 1.0000000000000002},     // a hair over the tie
		{[]float64{-1, -1.1102230246251565e-16, -5e-324}, -1.0000000000000002}, // and below zero
		{[]float64{0.1, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1}, 1},
	} {
		got, err := Sum(c.x)
		ok(t, err)
		if got != c.want {
			t.Errorf("Sum(%v) = %.17g, want %.17g", c.x, got, c.want)
		}
	}
	if _, err := Sum([]float64{1e308, 1e308}); !errors.Is(err, ErrRange) {
		t.Errorf("a sum beyond doubles gives %v", err)
	}
	if m, err := Mean([]float64{1.7e308, 1.7e308, 1.7e308}); err != nil || m != 1.7e308 {
		t.Errorf("mean of large readings: %v, %v", m, err)
	}
}

// Compared with arbitrary-precision arithmetic of the standard library.
func TestSumAgainstBigFloat(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 1))
	for i := 0; i < 3000; i++ {
		x := make([]float64, 1+r.IntN(40))
		for j := range x {
			x[j] = math.Ldexp(r.Float64()-0.5, r.IntN(140)-70)
			if j > 0 && r.IntN(4) == 0 {
				x[j] = -x[j-1] * (1 + math.Ldexp(1, -r.IntN(53)))
			}
		}
		got, err := Sum(x)
		ok(t, err)
		if w := bigSum(x); got != w {
			t.Fatalf("sum of %v = %.17g, want %.17g", x, got, w)
		}
		m, err := Mean(x)
		ok(t, err)
		if w := bigMean(x); m != w && math.Abs(m-w) > math.Abs(w)*1.2e-16 {
			t.Fatalf("mean of %v = %.17g, want %.17g", x, m, w)
		}
	}
}

// The carry of a very long sum is passed on in time.
func TestManyCarries(t *testing.T) {
	var s exactSum
	for i := 0; i < 3000; i++ {
		s.adds = carryPeriod - 1 // every addition now carries
		addTo(&s, -1.5)
		addTo(&s, math.MaxFloat64/1e5)
		s.adds = carryPeriod - 1
		addTo(&s, -math.MaxFloat64/1e5)
	}
	if got := s.rounded(sumUnit); got != -4500 {
		t.Errorf("sum = %v", got)
	}
	for _, c := range s.chunks[:len(s.chunks)-1] {
		if c < 0 || c > chunkMask {
			t.Errorf("a chunk holds %d after carries", c)
		}
	}
}

func TestAccumulatorMergesInAnyOrder(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 2))
	x := hostile(r, 500)
	var whole Accumulator
	whole.AddAll(x)
	want, err := whole.summary()
	ok(t, err)
	for round := 0; round < 30; round++ {
		r.Shuffle(len(x), func(i, j int) { x[i], x[j] = x[j], x[i] })
		parts := make([]Accumulator, 1+r.IntN(9))
		for i, v := range x {
			parts[i%len(parts)].Add(v)
		}
		var total Accumulator
		for _, i := range r.Perm(len(parts)) {
			total.Merge(&parts[i])
		}
		got, err := total.summary()
		ok(t, err)
		if got != want {
			t.Fatalf("merged %+v, whole %+v", got, want)
		}
	}
	direct, err := Summarise(x)
	ok(t, err)
	if direct.Mean != want.Mean || direct.SD != want.SD {
		t.Errorf("streamed and direct differ: %+v, %+v", want, direct)
	}
}

// hostile gives readings over forty powers of ten with ties, signs and zeros.
func hostile(r *rand.Rand, n int) []float64 {
	x := make([]float64, n)
	for i := range x {
		x[i] = math.Round(r.NormFloat64()*1000) * math.Pow(10, float64(r.IntN(41)-20))
	}
	return x
}

func TestOneReadingHasNoSpread(t *testing.T) {
	s, err := Summarise([]float64{42})
	ok(t, err)
	if s.HasSD || s.HasCV || s.Mean != 42 || s.Median != 42 || s.N != 1 {
		t.Errorf("%+v", s)
	}
	if _, err := Summarise(nil); !errors.Is(err, ErrTooFew) {
		t.Errorf("no readings: %v", err)
	}
	if _, err := SD([]float64{42}); !errors.Is(err, ErrTooFew) {
		t.Errorf("spread of one reading: %v", err)
	}
}

func TestEqualReadingsHaveTheirMeanExactly(t *testing.T) {
	for _, v := range []float64{0.1, 1.0 / 3, 59.94, 5e-324, 1.7e308, -0.7} {
		for n := 1; n < 60; n++ {
			x := make([]float64, n)
			for i := range x {
				x[i] = v
			}
			s, err := Summarise(x)
			ok(t, err)
			if s.Mean != v || s.Median != v || s.SD != 0 {
				t.Fatalf("%d times %v: %+v", n, v, s)
			}
			if v > 0 {
				g, err := GeometricMean(x, nil)
				ok(t, err)
				if g != v {
					t.Fatalf("geometric mean of %d times %v = %v", n, v, g)
				}
			}
		}
	}
}

// P. J. Fleming, J. J. Wallace, CACM 29(3), 1986: the ranking by arithmetic
// means depends on the machine taken as the base, that by geometric means does
// not. Run times from the paper, reference values from R.
func TestFlemingWallace(t *testing.T) {
	ref := reference(t, "fleming/ref_fleming_wallace.csv")
	times := table(t, "fleming/fleming_wallace_times.csv")
	of := func(p string) []float64 {
		var v []float64
		for _, r := range times {
			v = append(v, number(t, r[p]))
		}
		return v
	}
	geo := map[string]float64{}
	arith := map[string]float64{}
	for _, base := range []string{"R", "M", "Z"} {
		for _, p := range []string{"R", "M", "Z"} {
			x, y := of(p), of(base)
			ratios := make([]float64, len(x))
			for i := range x {
				ratios[i] = x[i] / y[i]
			}
			g, err := GeometricMean(ratios, nil)
			ok(t, err)
			near(t, "geometric mean "+p+"/"+base, g, want(t, ref, "normalised_to_"+base+"/geo_mean|"+p), 1e-14)
			a, err := Mean(ratios)
			ok(t, err)
			near(t, "arithmetic mean "+p+"/"+base, a, want(t, ref, "normalised_to_"+base+"/arith_mean|"+p), 1e-14)
			geo[p+base], arith[p+base] = g, a
			if p == base {
				continue
			}
			l, err := LogSD(ratios)
			ok(t, err)
			near(t, "log sd", l, want(t, ref, "normalised_to_"+base+"/sd_log_ratio|"+p), 1e-13)
			r, err := LogRatioPaired(x, y, 0.95)
			ok(t, err)
			near(t, "low", r.Interval.Low, want(t, ref, "normalised_to_"+base+"/geo_mean_ci95_low|"+p), 1e-13)
			near(t, "high", r.Interval.High, want(t, ref, "normalised_to_"+base+"/geo_mean_ci95_high|"+p), 1e-13)
			near(t, "p", r.P, want(t, ref, "normalised_to_"+base+"/paired_p_log|"+p), 1e-12)
		}
	}
	near(t, "the base does not matter", geo["ZM"], geo["ZR"]/geo["MR"], 1e-15)
	if !(arith["MR"] > 1 && arith["RM"] > 1) {
		t.Errorf("arithmetic means no longer make each of R and M the slower one: %v, %v", arith["MR"], arith["RM"])
	}
	if !(geo["MR"] < 1 && geo["RM"] > 1) {
		t.Errorf("geometric means disagree about R and M: %v, %v", geo["MR"], geo["RM"])
	}
}

// Common practice, no source: readings of three workloads and what a tester
// says of them.
func TestFactsOfTheTrade(t *testing.T) {
	base := []float64{76, 12.9, 33.4}
	gain := func(x []float64) float64 {
		r := make([]float64, len(x))
		for i := range x {
			r[i] = x[i] / base[i]
		}
		g, err := GeometricMean(r, nil)
		ok(t, err)
		return 100 * (g - 1)
	}
	if g := gain([]float64{81, 13.6, 35.9}); math.Round(g) != 6 && math.Round(g) != 7 {
		t.Errorf("“about six per cent” is %.2f %%", g)
	}
	if g := gain([]float64{81, 13.9, 37.2}); g < 8 || g > 10 {
		t.Errorf("“eight to ten per cent” is %.2f %%", g)
	}
	if g := gain([]float64{120, 36.4, 66.6}); g < 90 || g > 120 {
		t.Errorf("“twice as fast” is %.2f %%", g)
	}
	e, err := Elasticity([]float64{200, 400}, []float64{86, 89}, 0.95)
	ok(t, err)
	if e.Value < 0 || e.Value > 0.1 || e.Interval.Known() {
		t.Errorf("a bottleneck has elasticity %+v", e)
	}
	m, err := FitAmdahl([]float64{200, 400}, []float64{1 / 86.0, 1 / 89.0}, 0.95)
	ok(t, err)
	s, err := m.Untouched(200, 0.95)
	ok(t, err)
	if s.Share < 0.9 || s.Share > 1 || s.Interval.Known() {
		t.Errorf("share that the clock does not touch: %+v", s)
	}
	// t = a + b/f through both points by hand: b = 2·200·(1/86 − 1/89), a the rest.
	near(t, "share", s.Share, 1-2*(1/86.0-1/89.0)*86, 1e-10)
}
