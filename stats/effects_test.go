package stats

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// Four estimates by hand: mean 0.25, se √(Σse²)/4, Satterthwaite's df.
func TestCombineByHand(t *testing.T) {
	e := []Estimate{{0.1, 0.02, 4}, {0.2, 0.01, 8}, {0.3, 0.03, 3}, {0.4, 0.02, 6}}
	c, err := Combine(e, nil, 0.95)
	ok(t, err)
	near(t, "value", c.Value, 0.25, 1e-15)
	near(t, "se", c.SE, math.Sqrt(4e-4+1e-4+9e-4+4e-4)/4, 1e-14)
	near(t, "df", c.DF, math.Pow(18, 2)/(16.0/4+1.0/8+81.0/3+16.0/6), 1e-13)
	w, err := Combine(e, []float64{2, 2, 2, 2}, 0.95)
	ok(t, err)
	near(t, "equal weights by name", w.Value, c.Value, 1e-15)
	one, err := Combine(e, []float64{0, 5, 0, 0}, 0.95)
	ok(t, err)
	near(t, "one weight", one.Value, 0.2, 1e-15)
	near(t, "its df", one.DF, 8, 1e-13)
	near(t, "its se", one.SE, 0.01, 1e-14)
	r, i, err := c.Ratio()
	ok(t, err)
	near(t, "ratio", r, math.Exp(0.25), 1e-15)
	near(t, "ratio low", i.Low, math.Exp(c.Interval.Low), 1e-15)
	if c, err := Combine([]Estimate{{0.1, 0, 3}, {0.3, 0, 3}}, nil, 0.95); !errors.Is(err, ErrNoSpread) || c.Value != 0.2 {
		t.Errorf("no spread: %+v %v", c, err)
	}
	for _, weights := range [][]float64{{1}, {-1, 1, 1, 1}, {0, 0, 0, 0}} {
		if _, err := Combine(e, weights, 0.95); err == nil {
			t.Errorf("weights %v were accepted", weights)
		}
	}
}

// Holm 1979 by hand.
func TestHolm(t *testing.T) {
	got, err := Holm([]float64{0.04, 0.01, 0.03, 0.9, 0.01})
	ok(t, err)
	for i, w := range []float64{0.09, 0.05, 0.09, 0.9, 0.05} {
		near(t, "adjusted", got[i], w, 1e-15)
	}
	if _, err := Holm([]float64{math.NaN()}); !errors.Is(err, ErrDomain) {
		t.Errorf("%v", err)
	}
	if got, err := Holm(nil); err != nil || len(got) != 0 {
		t.Errorf("no claims: %v %v", got, err)
	}
}

// 300 frames: 297 of 10 ms, then 40, 50 and 60 ms. By hand: total 3120 ms; the
// 99th percentile at 1 + 299·0.99 = 297.01 is 10 + 0.01·30 ms; slowest 1 %: 3
// frames in 150 ms.
func TestFrameTimes(t *testing.T) {
	ms := make([]float64, 300)
	for i := range ms {
		ms[i] = 10
		if i%100 == 50 {
			ms[i] = 40 + float64(i/100)*10
		}
	}
	f, err := SummariseFrames(ms)
	ok(t, err)
	near(t, "mean rate", f.MeanRate, 300/3.12, 1e-14)
	near(t, "99th percentile", f.PercentileTime99, 10.3, 1e-12)
	near(t, "rate at the 99th percentile", f.RateAtPercentile99, 1000/10.3, 1e-12)
	near(t, "rate of the slowest", f.RateOfSlowest1, 20, 1e-14)
	for name, g := range map[string]func([]float64) (float64, error){
		"mean": MeanRate, "percentile": func(x []float64) (float64, error) { return RateAtPercentile(x, 0.99) },
		"slowest": func(x []float64) (float64, error) { return RateOfSlowest(x, 0.01) },
	} {
		v, err := g(ms)
		ok(t, err)
		near(t, name, v, map[string]float64{"mean": f.MeanRate, "percentile": f.RateAtPercentile99, "slowest": f.RateOfSlowest1}[name], 1e-15)
		if _, err := g([]float64{16, 0}); !errors.Is(err, ErrDomain) {
			t.Errorf("%s of a frame of no time: %v", name, err)
		}
	}
	// 1 % of 250 frames is rounded up to three.
	v, err := RateOfSlowest(ms[50:], 0.01)
	ok(t, err)
	near(t, "slowest of 250", v, 20, 1e-14)
	// The mean of momentary rates would be another, wrong, figure.
	if math.Abs(f.MeanRate-(297*100+25+20+1000.0/60)/300.0) < 1 {
		t.Error("frames are averaged by their rates")
	}
}

// JCGM 100:2008, 5.1.6: relative variances add.
func TestPropagation(t *testing.T) {
	p, s := Estimate{120, 3, 4}, Estimate{50, 0.5, 9}
	e, err := Product(p, s)
	ok(t, err)
	near(t, "energy", e.Value, 6000, 0)
	near(t, "relative se", e.SE/e.Value, math.Hypot(3.0/120, 0.5/50), 1e-14)
	u, v := math.Pow(3.0/120, 2), math.Pow(0.5/50, 2)
	near(t, "df", e.DF, (u+v)*(u+v)/(u*u/4+v*v/9), 1e-13)
	q, err := Quotient(p, s)
	ok(t, err)
	near(t, "quotient", q.Value, 2.4, 1e-15)
	near(t, "quotient relative se", q.SE/q.Value, e.SE/e.Value, 1e-14)
	near(t, "quotient df", q.DF, e.DF, 1e-13)
	k, err := p.Scaled(0.001)
	ok(t, err)
	near(t, "scaled", k.SE, 0.003, 1e-14)
	near(t, "scaled df", k.DF, 4, 1e-14)
	if _, err := Quotient(p, Estimate{0, 1, 3}); !errors.Is(err, ErrDomain) {
		t.Errorf("division by zero: %v", err)
	}
}

func TestPooledSpread(t *testing.T) {
	// By hand: Σ(n−1)s² = 2 + 0.5, 3 degrees of freedom; the single reading
	// contributes nothing.
	p, err := PooledSD([][]float64{{1, 2, 3}, {10, 11}, {7}})
	ok(t, err)
	near(t, "sd", p.SD, math.Sqrt(2.5/3), 1e-15)
	if p.DF != 3 || p.Groups != 2 {
		t.Errorf("%+v", p)
	}
	if _, err := PooledSD([][]float64{{1}, {2}}); !errors.Is(err, ErrTooFew) {
		t.Errorf("no repeats: %v", err)
	}
	l, err := PooledLogSD([][]float64{{100, 110}, {10, 11}})
	ok(t, err)
	near(t, "log sd", l.SD, math.Log(1.1)/math.Sqrt2, 1e-14)
}

// Power of a two-sided normal test by hand: δ = (1.959964 + 0.841621)·σ√(2/n),
// which neglects the far tail.
func TestMinimumDetectable(t *testing.T) {
	d, err := MinimumDetectable(8, 8, 3, 0, 0.95, 0.8)
	ok(t, err)
	near(t, "known spread", d, (1.959963984540054+0.8416212335729143)*3*0.5, 1e-5)
	few, err := MinimumDetectable(3, 3, 3, 4, 0.95, 0.8)
	ok(t, err)
	many, err := MinimumDetectable(30, 30, 3, 58, 0.95, 0.8)
	ok(t, err)
	if !(few > d && d > many) {
		t.Errorf("more repeats must see more: %v %v %v", few, d, many)
	}
	for _, p := range []float64{0, 1, 0.04, math.NaN()} {
		if _, err := MinimumDetectable(3, 3, 1, 4, 0.95, p); !errors.Is(err, ErrDomain) {
			t.Errorf("power %v: %v", p, err)
		}
	}
}

func TestTrends(t *testing.T) {
	x := []float64{1, 2, 3, 4, 5, 6, 7, 8}
	y := []float64{10, 11, 12, 13, 14, 15, 16, 500}
	s, err := TheilSen(x, y, 0.95)
	ok(t, err)
	near(t, "slope that a wild reading does not move", s.Slope, 1, 1e-14)
	// All 28 pairs agree: P = 2/8!.
	near(t, "exact p", s.P, 2.0/40320, 1e-12)
	if !s.Interval.Contains(1) {
		t.Errorf("%+v", s)
	}
	if _, err := TheilSen(x, []float64{5, 5, 5, 5, 5, 5, 5, 5}, 0.95); !errors.Is(err, ErrNoSpread) {
		t.Errorf("no spread: %v", err)
	}
	if _, err := LinearTrend([]float64{3, 3, 3}, []float64{1, 2, 3}, 0.95); !errors.Is(err, ErrNotEstimable) {
		t.Errorf("one time: %v", err)
	}
	if _, err := LinearTrend([]float64{1, 2}, []float64{1, 2}, 0.95); !errors.Is(err, ErrTooFew) {
		t.Errorf("two points: %v", err)
	}
}

func TestAmdahl(t *testing.T) {
	// t = 2 + 12/f exactly, then with readings around it.
	f := []float64{1, 2, 3, 4, 6, 12}
	ts := make([]float64, len(f))
	for i, v := range f {
		ts[i] = 2 + 12/v
	}
	m, err := FitAmdahl(f, ts, 0.95)
	ok(t, err)
	near(t, "a", m.A.Value, 2, 1e-13)
	near(t, "b", m.B.Value, 12, 1e-13)
	if m.AInterval.Known() {
		t.Errorf("an exact fit has no interval: %+v", m)
	}
	for i := range ts {
		ts[i] += 0.05 * float64(1-2*(i%2))
	}
	m, err = FitAmdahl(f, ts, 0.95)
	ok(t, err)
	s, err := m.Untouched(12, 0.95)
	ok(t, err)
	if !s.Interval.Contains(2.0/3) || s.Set != Bounded || s.Clamped || s.Interval.Low < 0 || s.Interval.High > 1 {
		t.Errorf("%+v", s)
	}
	// More than in proportion: the share is cut to 0 and says so.
	m, err = FitAmdahl([]float64{1, 2, 4}, []float64{10, 4.5, 1.9}, 0.95)
	ok(t, err)
	if s, err = m.Untouched(2, 0.95); err != nil || s.Share != 0 || !s.Clamped || s.Interval.Low < 0 || s.Interval.High > 1 {
		t.Errorf("%+v %v", s, err)
	}
	// Independent check of the interval: Fieller by the covariance of R's lm
	// would be the same formula; here the interval must contain exactly those
	// shares h for which a·(1−h) − h·b/f is not told from zero.
	m, err = FitAmdahl(f, ts, 0.95)
	ok(t, err)
	s, err = m.Untouched(4, 0.95)
	ok(t, err)
	d := NewDesign(len(f))
	u := make([]float64, len(f))
	for i := range f {
		u[i] = 1 / f[i]
	}
	ok(t, d.AddNumeric("u", u))
	model, err := Fit(ts, d, 0.95)
	ok(t, err)
	for _, h := range []float64{s.Interval.Low, s.Interval.High} {
		e, err := model.Contrast([]float64{1 - h, -h / 4})
		ok(t, err)
		p, err := e.P(0)
		ok(t, err)
		near(t, "p at an end of the interval", p, 0.05, 1e-9)
	}
}

func pairsOf(r *rand.Rand, cells, n int, cv float64) []Pair {
	p := make([]Pair, cells)
	for i := range p {
		level := 10 * math.Exp(float64(i))
		for j := 0; j < n; j++ {
			p[i].X = append(p[i].X, 1.1*level*(1+cv*r.NormFloat64()))
			p[i].Y = append(p[i].Y, level*(1+cv*r.NormFloat64()))
		}
	}
	return p
}

func propagated95(t testing.TB, pairs []Pair) Combination {
	var e []Estimate
	for _, p := range pairs {
		r, err := DeltaLogRatio(p.X, p.Y, 0.95)
		ok(t, err)
		l, err := r.LogEstimate()
		ok(t, err)
		e = append(e, l)
	}
	c, err := Combine(e, nil, 0.95)
	ok(t, err)
	return c
}

func TestBootstrapIsDeterministicAndAgreesWithPropagation(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	pairs := pairsOf(r, 5, 5, 0.02)
	for _, method := range []BootstrapMethod{Percentile, BCa} {
		o := BootstrapOptions{Level: 0.95, Seed: 42, Method: method}
		first, err := BootstrapGeometricMean(pairs, nil, o)
		ok(t, err)
		c := propagated95(t, pairs)
		ratio, i, err := c.Ratio()
		ok(t, err)
		near(t, "geometric mean", first.Value, ratio, 1e-14)
		near(t, "se", first.SE, c.SE*ratio, 0.05)
		within(t, "low", first.Interval.Low, i.Low, 0.15*i.Width())
		within(t, "high", first.Interval.High, i.High, 0.15*i.Width())
		for k := 0; k < 5; k++ {
			r.Shuffle(len(pairs), func(i, j int) { pairs[i], pairs[j] = pairs[j], pairs[i] })
			for _, p := range pairs {
				r.Shuffle(len(p.X), func(i, j int) { p.X[i], p.X[j] = p.X[j], p.X[i] })
			}
			again, err := BootstrapGeometricMean(pairs, nil, o)
			ok(t, err)
			if again != first {
				t.Fatalf("another order gives %+v, not %+v", again, first)
			}
		}
		o.Seed = 43
		other, err := BootstrapGeometricMean(pairs, nil, o)
		ok(t, err)
		if other.Interval == first.Interval {
			t.Error("the seed has no effect")
		}
	}
	if _, err := BootstrapGeometricMean([]Pair{{[]float64{1, 2}, []float64{3}}}, nil, BootstrapOptions{Level: 0.95}); !errors.Is(err, ErrTooFew) {
		t.Errorf("one reading: %v", err)
	}
	if b, err := BootstrapGeometricMean([]Pair{{[]float64{2, 2}, []float64{4, 4}}}, nil, BootstrapOptions{Level: 0.95}); !errors.Is(err, ErrNoSpread) || math.Abs(b.Value-0.5) > 1e-15 {
		t.Errorf("no spread: %+v %v", b, err)
	}
}

// Nominal 95 % must cover in 94 to 96 of 100 simulated reports: 4000 of them,
// one standard error being 0.34 %; TestCoverage has a longer table.
func TestBootstrapCoverage(t *testing.T) {
	if testing.Short() {
		t.Skip("simulation")
	}
	for _, c := range []struct {
		cells, n int
		method   BootstrapMethod
	}{{5, 5, Percentile}, {3, 4, Percentile}, {5, 5, BCa}} {
		r := rand.New(rand.NewPCG(11, uint64(c.cells*10+c.n)))
		const reps = 4000
		hit := 0.0
		for i := 0; i < reps; i++ {
			b, err := BootstrapGeometricMean(pairsOf(r, c.cells, c.n, 0.03), nil,
				BootstrapOptions{Level: 0.95, Seed: uint64(i), Resamples: 499, Method: c.method})
			ok(t, err)
			if b.Interval.Contains(1.1) {
				hit++
			}
		}
		t.Logf("%d cells of %d readings, method %d: %.2f %%", c.cells, c.n, c.method, 100*hit/reps)
		within(t, fmt.Sprint("coverage of ", c), hit/reps, 0.95, 0.01)
	}
}

func TestGenericBootstrap(t *testing.T) {
	x := readings(30)
	median := func(c [][]float64) float64 {
		s := slices.Clone(c[0])
		return medianInPlace(s)
	}
	b, err := Bootstrap([][]float64{x}, median, BootstrapOptions{Level: 0.9, Seed: 1})
	ok(t, err)
	m, err := Median(x)
	ok(t, err)
	if b.Value != m || !b.Interval.Contains(m) || b.Resamples != 4999 {
		t.Errorf("%+v", b)
	}
	// Symmetric readings: percentile and BCa agree with Student's interval.
	sym := make([]float64, 41)
	for i := range sym {
		sym[i] = float64(i - 20)
	}
	mean := func(c [][]float64) float64 { return plainMean(c[0]) }
	i, err := MeanInterval(sym, 0.95)
	ok(t, err)
	for _, m := range []BootstrapMethod{Percentile, BCa} {
		b, err := Bootstrap([][]float64{sym}, mean, BootstrapOptions{Level: 0.95, Seed: 3, Method: m, DF: 40, Resamples: 20000})
		ok(t, err)
		within(t, "low", b.Interval.Low, i.Low, 0.02*i.Width())
		within(t, "high", b.Interval.High, i.High, 0.02*i.Width())
	}
	// Skewed readings: BCa moves towards the long tail, and gives the same
	// interval on any scale of the statistic (Efron 1987).
	skew := make([]float64, 25)
	for i := range skew {
		skew[i] = math.Exp(float64(i-12) / 6)
	}
	o := BootstrapOptions{Level: 0.95, Seed: 3}
	plain, err := Bootstrap([][]float64{skew}, mean, o)
	ok(t, err)
	o.Method = BCa
	corrected, err := Bootstrap([][]float64{skew}, mean, o)
	ok(t, err)
	if !(corrected.Interval.Low > plain.Interval.Low && corrected.Interval.High > plain.Interval.High) {
		t.Errorf("BCa %+v, percentile %+v", corrected.Interval, plain.Interval)
	}
	logged, err := Bootstrap([][]float64{skew}, func(c [][]float64) float64 { return math.Log(mean(c)) }, o)
	ok(t, err)
	near(t, "BCa low on another scale", math.Exp(logged.Interval.Low), corrected.Interval.Low, 0.01)
	near(t, "BCa high on another scale", math.Exp(logged.Interval.High), corrected.Interval.High, 0.01)
	if _, err := Bootstrap([][]float64{x}, func([][]float64) float64 { return math.NaN() }, BootstrapOptions{Level: 0.9}); !errors.Is(err, ErrRange) {
		t.Errorf("a statistic that is no number: %v", err)
	}
}

// The end points of BCa by hand: resampled values spread evenly over (0, 1),
// six tenths of them below the estimate, no acceleration. Then the ends are
// Φ(2·z₀ ± 1.959964) with z₀ = Φ⁻¹(0.6) (Efron 1987, equation 3.8, from memory).
func TestBCaEndPointsByHand(t *testing.T) {
	values := make([]float64, 9999)
	for i := range values {
		values[i] = float64(i+1) / 10000
	}
	flat := func([][]float64) float64 { return 7 }
	r := BootstrapResult{Value: 0.6}
	got, err := r.read(values, [][]float64{{1, 2, 3}}, flat, BootstrapOptions{Level: 0.95, Method: BCa})
	ok(t, err)
	z, err := NormalQuantile(0.6)
	ok(t, err)
	for _, c := range []struct{ got, z float64 }{{got.Interval.Low, -1.959963984540054}, {got.Interval.High, 1.959963984540054}} {
		p, err := NormalCDF(2*z + c.z)
		ok(t, err)
		within(t, "end", c.got, p, 3e-4)
	}
}
