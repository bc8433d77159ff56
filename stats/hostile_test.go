package stats

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"testing"
)

// sentinels are all the reasons that an error of this package may have.
var sentinels = []error{ErrTooFew, ErrDomain, ErrNotFinite, ErrRange, ErrNoSpread, ErrUnbounded, ErrLength, ErrNotEstimable}

// holdsNumbers fails if a result holds NaN or an infinity anywhere.
func holdsNumbers(t testing.TB, what string, v reflect.Value) {
	switch v.Kind() {
	case reflect.Float64:
		if f := v.Float(); math.IsNaN(f) || math.IsInf(f, 0) {
			t.Errorf("%s gives %v", what, f)
		}
	case reflect.Struct:
		for i := 0; i < v.NumField(); i++ {
			holdsNumbers(t, what+"."+v.Type().Field(i).Name, v.Field(i))
		}
	case reflect.Slice:
		for i := 0; i < v.Len(); i++ {
			holdsNumbers(t, what, v.Index(i))
		}
	case reflect.Pointer:
		if !v.IsNil() {
			holdsNumbers(t, what, v.Elem())
		}
	}
}

// call runs one function and checks the promises of the package: no panic, a
// known reason with every error, no NaN or infinity (not even beside an error).
func call(t testing.TB, what string, f func() (any, error)) {
	t.Helper()
	defer func() {
		if r := recover(); r != nil {
			t.Fatalf("%s panics: %v", what, r)
		}
	}()
	v, err := f()
	if v != nil {
		holdsNumbers(t, what, reflect.ValueOf(v))
	}
	if err == nil {
		return
	}
	for _, s := range sentinels {
		if errors.Is(err, s) {
			return
		}
	}
	t.Errorf("%s: error without a known reason: %v", what, err)
}

// callAll calls every exported function that takes readings.
func callAll(t testing.TB, x, y []float64, level float64) {
	any2 := func(v any, err error) (any, error) { return v, err }
	what := fmt.Sprintf("(%v, %v, %v)", x, y, level)
	is := func(name string, f func() (any, error)) { t.Helper(); call(t, name+what, f) }
	is("Summarise", func() (any, error) { return any2(Summarise(x)) })
	is("Sum", func() (any, error) { return any2(Sum(x)) })
	is("Mean", func() (any, error) { return any2(Mean(x)) })
	is("Variance", func() (any, error) { return any2(Variance(x)) })
	is("SD", func() (any, error) { return any2(SD(x)) })
	is("Median", func() (any, error) { return any2(Median(x)) })
	is("Quantile", func() (any, error) { return any2(Quantile(x, level)) })
	is("MAD", func() (any, error) { return any2(MAD(x)) })
	is("Lag1Autocorrelation", func() (any, error) { return any2(Lag1Autocorrelation(x)) })
	is("GeometricMean", func() (any, error) { return any2(GeometricMean(x, nil)) })
	is("GeometricMean weighted", func() (any, error) { return any2(GeometricMean(x, y)) })
	is("LogSD", func() (any, error) { return any2(LogSD(x)) })
	is("MeanInterval", func() (any, error) { return any2(MeanInterval(x, level)) })
	is("MedianInterval", func() (any, error) { return any2(MedianInterval(x, level)) })
	is("Welch", func() (any, error) { return any2(Welch(x, y, level)) })
	is("Pooled", func() (any, error) { return any2(Pooled(x, y, level)) })
	is("PairedT", func() (any, error) { return any2(PairedT(x, y, level)) })
	is("OneSample", func() (any, error) { return any2(OneSample(x, 1, level)) })
	for name, f := range map[string]func(x, y []float64, level float64) (RatioResult, error){
		"RatioOfMeans": RatioOfMeans, "FiellerPooled": FiellerPooled, "FiellerWelch": FiellerWelch,
		"FiellerPaired": FiellerPaired, "FiellerNormal": FiellerNormal, "DeltaLogRatio": DeltaLogRatio,
		"LogRatioWelch": LogRatioWelch, "LogRatioPaired": LogRatioPaired,
	} {
		is(name, func() (any, error) {
			r, err := f(x, y, level)
			if err == nil && (r.Set != Bounded || !r.Interval.Known() || r.Interval.Low > r.Interval.High) {
				t.Errorf("%s%s has no error but is %+v", name, what, r)
			}
			if r.Set != Bounded && r.Interval.Known() {
				t.Errorf("%s%s shows an interval where there is none: %+v", name, what, r)
			}
			return r, err
		})
	}
	is("RatioKnownSD", func() (any, error) { return any2(RatioKnownSD(x, y, 0.01, 3, level)) })
	is("PooledSD", func() (any, error) { return any2(PooledSD([][]float64{x, y})) })
	is("PooledLogSD", func() (any, error) { return any2(PooledLogSD([][]float64{x, y})) })
	is("Grubbs", func() (any, error) { return any2(Grubbs(x, 1-level, BothSides)) })
	is("GeneralisedESD", func() (any, error) {
		out, steps, err := GeneralisedESD(x, max(1, len(x)/3), 1-level)
		if len(out) > len(steps) {
			t.Errorf("more outliers than steps")
		}
		return steps, err
	})
	is("TwoClusters", func() (any, error) { return any2(TwoClusters(x, 0.01, 0)) })
	is("FirstOutOfLine", func() (any, error) {
		if len(x) == 0 {
			return nil, nil
		}
		return any2(FirstOutOfLine(x[0], x[1:], level))
	})
	is("LinearTrend", func() (any, error) { return any2(LinearTrend(x, y, level)) })
	is("TheilSen", func() (any, error) { return any2(TheilSen(x, y, level)) })
	is("Elasticity", func() (any, error) { return any2(Elasticity(x, y, level)) })
	is("FitAmdahl", func() (any, error) {
		m, err := FitAmdahl(x, y, level)
		if err == nil {
			is("Untouched", func() (any, error) { return any2(m.Untouched(x[0], level)) })
			is("TimeAt", func() (any, error) { return any2(m.TimeAt(x[0])) })
		}
		return m, err
	})
	is("SummariseFrames", func() (any, error) { return any2(SummariseFrames(x)) })
	is("RateOfSlowest", func() (any, error) { return any2(RateOfSlowest(x, level)) })
	is("Holm", func() (any, error) { return any2(Holm(x)) })
	is("ShapiroFrancia", func() (any, error) {
		w, p, err := ShapiroFrancia(x)
		return []float64{w, p}, err
	})
	is("BootstrapGeometricMean", func() (any, error) {
		return any2(BootstrapGeometricMean([]Pair{{x, y}}, nil, BootstrapOptions{Level: level, Resamples: 99, Method: BCa}))
	})
	is("estimates", func() (any, error) {
		if len(x) < 1 || len(y) < 1 {
			return nil, nil
		}
		a, b := Estimate{x[0], math.Abs(y[0]), 3}, Estimate{y[0], math.Abs(x[0]), 0}
		for name, f := range map[string]func() (any, error){
			"Interval": func() (any, error) { return any2(a.Interval(level)) },
			"P":        func() (any, error) { return any2(a.P(1)) },
			"Combine":  func() (any, error) { return any2(Combine([]Estimate{a, b}, nil, level)) },
			"Ratio": func() (any, error) {
				c, err := Combine([]Estimate{a, b}, []float64{1, 2}, level)
				if err != nil {
					return c, err
				}
				r, i, err := c.Ratio()
				return []any{r, i}, err
			},
			"SameEffect":        func() (any, error) { return any2(SameEffect([]Estimate{a, b, a})) },
			"Product":           func() (any, error) { return any2(Product(a, b)) },
			"Quotient":          func() (any, error) { return any2(Quotient(a, b)) },
			"Fieller":           func() (any, error) { return any2(Fieller(x[0], y[0], a.SE, b.SE, 0, 4, level)) },
			"MinimumDetectable": func() (any, error) { return any2(MinimumDetectable(2, 3, a.SE, 4, level, 0.8)) },
			"RepeatsNeeded":     func() (any, error) { return any2(RepeatsNeeded(a.SE, b.SE, level, 0.8, 50)) },
		} {
			is(name, f)
		}
		return nil, nil
	})
	is("Fit", func() (any, error) {
		d := NewDesign(len(x))
		if err := d.AddNumeric("y", y); err != nil {
			return nil, err
		}
		squares := make([]float64, len(y))
		names := make([]string, len(y))
		for i, v := range y {
			squares[i] = v * v / 3
			names[i] = fmt.Sprint(i % 2)
		}
		if err := d.AddNumeric("y²", squares); err != nil {
			return nil, err
		}
		if err := d.AddFactor("f", names, nil); err != nil {
			return nil, err
		}
		m, err := Fit(x, d, level)
		if err != nil {
			return nil, err
		}
		for i := range x {
			is("Contrast", func() (any, error) { return any2(m.Contrast(d.Row(i))) })
		}
		is("Variance", func() (any, error) { return any2(m.Variance()) })
		is("CheckResiduals", func() (any, error) { return any2(m.CheckResiduals()) })
		is("Correlation", func() (any, error) { return d.Correlation(), nil })
		if small, err := Fit(x, d.Without("y²", "f"), level); err == nil {
			is("NestedF", func() (any, error) { return any2(NestedF(small, m)) })
		}
		return []any{m.Coefficients, m.Residuals, m.Sigma, m.R2, m.RSS, m.TSS, m.Aliases}, nil
	})
}

// Readings as they should not be.
func TestHostileNumbers(t *testing.T) {
	odd := []float64{0, math.Copysign(0, -1), 5e-324, -5e-324, 1e-310, 2.2250738585072014e-308, 1e-160, 1e-8, 0.1, 1, 1 + 1e-16,
		1.0000000000000002, 3, 100, 1e8, 1e15, 1e154, 1e155, 1e200, 1e308, math.MaxFloat64, -1, -1e308, -math.MaxFloat64,
		math.Inf(1), math.Inf(-1), math.NaN()}
	levels := []float64{0.95, 0.95, 0.95, 0.5, 0.999999, 1e-9, 0, 1, -1, math.NaN()}
	callAll(t, nil, nil, 0.95)
	for _, a := range odd {
		callAll(t, []float64{a}, []float64{a}, 0.95)
		callAll(t, []float64{a, a, a, a, a, a, a}, []float64{a, a, a}, 0.95)
		callAll(t, []float64{1, 2, 3, 4, 5, 6, a}, []float64{a, 6, 5, 4, 3, 2, 1}, 0.95)
		for _, b := range odd {
			callAll(t, []float64{a, b, a, b, b, b}, []float64{b, a, b, b, a, a}, 0.95)
		}
	}
	r := rand.New(rand.NewPCG(2, 3))
	rounds := 1500
	if testing.Short() {
		rounds = 200
	}
	for i := 0; i < rounds; i++ {
		x := make([]float64, r.IntN(9))
		y := make([]float64, r.IntN(9))
		if r.IntN(2) == 0 {
			y = make([]float64, len(x))
		}
		pool := odd[:24-3*r.IntN(7)]
		if r.IntN(8) == 0 {
			pool = odd
		}
		if r.IntN(3) == 0 {
			pool = pool[2+r.IntN(4):]
		}
		for _, v := range [][]float64{x, y} {
			for j := range v {
				v[j] = pool[r.IntN(len(pool))]
				if r.IntN(3) == 0 {
					v[j] *= 1 + r.Float64()
				}
			}
		}
		callAll(t, x, y, levels[r.IntN(len(levels))])
		if t.Failed() {
			return
		}
	}
}

// Readings anywhere on the scale of doubles, of one size each time.
func TestScaleDoesNotMatter(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 1))
	for e := -1060; e <= 1015; e += 5 {
		x, y := make([]float64, 5), make([]float64, 4)
		for i := range x {
			x[i] = math.Ldexp(1+0.1*r.Float64(), e)
		}
		for i := range y {
			y[i] = math.Ldexp(1+0.1*r.Float64(), e)
		}
		callAll(t, x, y, 0.95)
		if e < -1000 {
			continue // digits are lost in subnormals
		}
		unit := func(v []float64) []float64 {
			u := make([]float64, len(v))
			for i := range v {
				u[i] = math.Ldexp(v[i], -e)
			}
			return u
		}
		a, err := RatioOfMeans(x, y, 0.95)
		ok(t, err)
		b, err := RatioOfMeans(unit(x), unit(y), 0.95)
		ok(t, err)
		near(t, "low", a.Interval.Low, b.Interval.Low, 1e-12)
		near(t, "high", a.Interval.High, b.Interval.High, 1e-12)
		g, err := Grubbs(x, 0.05, BothSides)
		ok(t, err)
		h, err := Grubbs(unit(x), 0.05, BothSides)
		ok(t, err)
		near(t, "G", g.G, h.G, 0)
	}
}

// Row order must not show, to the last bit.
func TestOrderDoesNotMatter(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 2))
	for round := 0; round < 60; round++ {
		x, y := make([]float64, 3+r.IntN(20)), make([]float64, 3+r.IntN(20))
		for i := range x {
			x[i] = math.Exp(3 * r.NormFloat64())
		}
		for i := range y {
			y[i] = math.Exp(3 * r.NormFloat64())
		}
		figures := func() string {
			var s []any
			put := func(v any, err error) { s = append(s, fmt.Sprintf("%#v %v", v, err)) }
			put(Summarise(x))
			put(Quantile(x, 0.3))
			put(MAD(x))
			put(GeometricMean(x, nil))
			put(LogSD(x))
			put(MeanInterval(x, 0.9))
			put(MedianInterval(x, 0.8))
			put(Welch(x, y, 0.95))
			put(Pooled(x, y, 0.95))
			put(RatioOfMeans(x, y, 0.95))
			put(FiellerPooled(x, y, 0.95))
			put(LogRatioWelch(x, y, 0.95))
			put(DeltaLogRatio(x, y, 0.95))
			put(PooledLogSD([][]float64{x, y}))
			g, err := Grubbs(x, 0.05, BothSides)
			g.Index = 0
			put(g, err)
			put(SummariseFrames(x))
			if len(x) >= 6 {
				put(TwoClusters(x, 0.01, 0))
			}
			w, p, err := ShapiroFrancia(append(x, 1, 2))
			put([]float64{w, p}, err)
			put(BootstrapGeometricMean([]Pair{{x, y}}, nil, BootstrapOptions{Level: 0.95, Resamples: 99, Seed: 5}))
			return fmt.Sprint(s...)
		}
		first := figures()
		for k := 0; k < 4; k++ {
			r.Shuffle(len(x), func(i, j int) { x[i], x[j] = x[j], x[i] })
			r.Shuffle(len(y), func(i, j int) { y[i], y[j] = y[j], y[i] })
			if again := figures(); again != first {
				t.Fatalf("order shows:\n%s\n%s", first, again)
			}
		}
		// Pairs in another order are the same pairs.
		n := min(len(x), len(y))
		pairs := func(order []int) string {
			a, b := make([]float64, n), make([]float64, n)
			for i, o := range order {
				a[i], b[i] = x[o], y[o]
			}
			p, _ := PairedT(a, b, 0.95)
			q, _ := FiellerPaired(a, b, 0.95)
			u, _ := LinearTrend(a, b, 0.95)
			v, _ := TheilSen(a, b, 0.95)
			w, _ := Elasticity(a, b, 0.95)
			z, _ := FitAmdahl(a, b, 0.95)
			return fmt.Sprint(p, q, u, v, w, z)
		}
		if one, two := pairs(r.Perm(n)), pairs(r.Perm(n)); one != two {
			t.Fatalf("order of pairs shows:\n%s\n%s", one, two)
		}
	}
}

func FuzzAll(f *testing.F) {
	f.Add(1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 0.95)
	f.Add(0.0, 1e308, -1e308, 5e-324, 1.0, 1.0, 0.5)
	f.Fuzz(func(t *testing.T, a, b, c, d, e, g, level float64) {
		callAll(t, []float64{a, b, c}, []float64{d, e, g}, level)
		callAll(t, []float64{a, b, c, d, e, g}, []float64{g, a, b, c, d, e}, level)
	})
}
