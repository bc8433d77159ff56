package stats

import (
	"errors"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

var (
	coverageTable = flag.Bool("coverage-table", false, "print the coverage of every interval as a Markdown table")
	coverageReps  = flag.Int("coverage-reps", 10000, "simulated reports per line of the table")
)

// coverage is one line of the table: an interval, a situation, and one
// simulated report, which gives the interval and the truth.
type coverage struct {
	interval, situation string
	// low and high bound the share of intervals, nominally 0.95, that hold the
	// truth, simulation error aside.
	low, high float64
	report    func(r *rand.Rand) (Interval, float64, error)
}

func normals(r *rand.Rand, n int, mean, sd float64) []float64 {
	x := make([]float64, n)
	for i := range x {
		x[i] = mean + sd*r.NormFloat64()
	}
	return x
}

func lognormals(r *rand.Rand, n int, median, cv float64) []float64 {
	x := make([]float64, n)
	for i := range x {
		x[i] = median * math.Exp(cv*r.NormFloat64())
	}
	return x
}

func coverages() []coverage {
	var c []coverage
	add := func(interval, situation string, low, high float64, f func(r *rand.Rand) (Interval, float64, error)) {
		c = append(c, coverage{interval, situation, low, high, f})
	}
	for _, n := range []int{3, 5, 10} {
		add("mean, Student", fmt.Sprintf("%d normal readings", n), 0.95, 0.95, func(r *rand.Rand) (Interval, float64, error) {
			i, err := MeanInterval(normals(r, n, 60, 2), 0.95)
			return i, 60, err
		})
	}
	for _, n := range []int{6, 9, 20} {
		add("median, order statistics", fmt.Sprintf("%d readings of an exponential", n), 0.95, 0.985, func(r *rand.Rand) (Interval, float64, error) {
			x := make([]float64, n)
			for i := range x {
				x[i] = r.ExpFloat64()
			}
			i, err := MedianInterval(x, 0.95)
			return i, math.Ln2, err
		})
	}
	type two func(x, y []float64, level float64) (Interval, error)
	diff := func(f func(x, y []float64, level float64) (Difference, error)) two {
		return func(x, y []float64, level float64) (Interval, error) {
			d, err := f(x, y, level)
			return d.Interval, err
		}
	}
	ratio := func(f func(x, y []float64, level float64) (RatioResult, error)) two {
		return func(x, y []float64, level float64) (Interval, error) {
			d, err := f(x, y, level)
			return d.Interval, err
		}
	}
	// Equal and unequal spreads and numbers of readings; spreads are relative,
	// as those of a bench are, and small.
	for _, s := range []struct {
		name   string
		nx, ny int
		sx, sy float64
		equal  bool
	}{
		{"3 and 3 readings, both 2 %", 3, 3, 0.02, 0.02, true},
		{"5 and 5 readings, both 2 %", 5, 5, 0.02, 0.02, true},
		{"3 and 8 readings, both 2 %", 3, 8, 0.02, 0.02, true},
		{"5 and 5 readings, 1 % and 4 %", 5, 5, 0.01, 0.04, false},
		{"4 and 8 readings, 4 % and 1 %", 4, 8, 0.04, 0.01, false},
	} {
		// With few readings and unequal numbers, Satterthwaite's degrees of
		// freedom are themselves uncertain: 94 to 97 % is what to expect.
		low, high := 0.935, 0.972
		for _, m := range []struct {
			name  string
			f     two
			ratio bool
			exact bool
		}{
			{"difference, Welch", diff(Welch), false, false},
			{"difference, pooled", diff(Pooled), false, true},
			{MethodFiellerWelch, ratio(FiellerWelch), true, false},
			{MethodFiellerPooled, ratio(FiellerPooled), true, true},
			{"ratio as the report chooses", ratio(RatioOfMeans), true, false},
			{MethodDeltaLogRatio, ratio(DeltaLogRatio), true, false},
			{MethodLogRatioWelch, ratio(LogRatioWelch), true, false},
		} {
			if m.exact && !s.equal {
				continue
			}
			l, h := low, high
			if m.exact {
				l, h = 0.948, 0.952
			}
			add(m.name, s.name, l, h, func(r *rand.Rand) (Interval, float64, error) {
				truth, my := 1.06, 100.0
				i, err := m.f(normals(r, s.nx, truth*my, s.sx*truth*my), normals(r, s.ny, my, s.sy*my), 0.95)
				if !m.ratio {
					truth = (truth - 1) * my
				}
				return i, truth, err
			})
		}
	}
	add(MethodFiellerNormal, "3 and 3 readings, both 2 %: too narrow", 0.80, 0.90, func(r *rand.Rand) (Interval, float64, error) {
		d, err := FiellerNormal(normals(r, 3, 106, 2), normals(r, 3, 100, 2), 0.95)
		return d.Interval, 1.06, err
	})
	for _, n := range []int{3, 6} {
		paired := func(r *rand.Rand) (x, y []float64) {
			for i := 0; i < n; i++ {
				session := 5 * r.NormFloat64()
				x = append(x, 1.06*(100+session+r.NormFloat64()))
				y = append(y, 100+session+r.NormFloat64())
			}
			return
		}
		name := fmt.Sprintf("%d pairs", n)
		add(MethodFiellerPaired, name, 0.948, 0.952, func(r *rand.Rand) (Interval, float64, error) {
			x, y := paired(r)
			d, err := FiellerPaired(x, y, 0.95)
			return d.Interval, 1.06, err
		})
		add(MethodLogRatioPaired, name, 0.945, 0.955, func(r *rand.Rand) (Interval, float64, error) {
			x, y := paired(r)
			d, err := LogRatioPaired(x, y, 0.95)
			return d.Interval, 1.06, err
		})
	}
	add(MethodKnownSD, "1 and 1 reading, spread from 5 × 3", 0.948, 0.952, func(r *rand.Rand) (Interval, float64, error) {
		var groups [][]float64
		for k := 0; k < 5; k++ {
			groups = append(groups, lognormals(r, 3, 50+10*float64(k), 0.02))
		}
		p, err := PooledLogSD(groups)
		if err != nil {
			return Interval{}, 0, err
		}
		d, err := RatioKnownSD(lognormals(r, 1, 106, 0.02), lognormals(r, 1, 100, 0.02), p.SD, p.DF, 0.95)
		return d.Interval, 1.06, err
	})
	for _, n := range []int{2, 3, 5} {
		situation := fmt.Sprintf("5 workloads, %d and %d readings, 1 to 3 %%", n, n)
		pairs := func(r *rand.Rand) []Pair {
			p := make([]Pair, 5)
			for k := range p {
				level := 20 * math.Exp(float64(k))
				cv := 0.01 + 0.005*float64(k)
				p[k] = Pair{normals(r, n, 1.06*level, 1.06*cv*level), normals(r, n, level, cv*level)}
			}
			return p
		}
		// Satterthwaite errs on the wide side for two readings.
		add("geometric mean, propagation", situation, 0.94, 0.98, func(r *rand.Rand) (Interval, float64, error) {
			var e []Estimate
			for _, p := range pairs(r) {
				q, err := RatioOfMeans(p.X, p.Y, 0.95)
				if err != nil {
					return Interval{}, 0, err
				}
				l, err := q.LogEstimate()
				if err != nil {
					return Interval{}, 0, err
				}
				e = append(e, l)
			}
			m, err := Combine(e, nil, 0.95)
			if err != nil {
				return Interval{}, 0, err
			}
			_, i, err := m.Ratio()
			return i, 1.06, err
		})
		for _, m := range []struct {
			name   string
			method BootstrapMethod
		}{{"percentile", Percentile}, {"BCa", BCa}} {
			add("geometric mean, bootstrap, "+m.name, situation, 0.94, 0.98, func(r *rand.Rand) (Interval, float64, error) {
				b, err := BootstrapGeometricMean(pairs(r), nil, BootstrapOptions{Level: 0.95, Resamples: 499, Seed: r.Uint64(), Method: m.method})
				return b.Interval, 1.06, err
			})
		}
	}
	add("effect in the linear model", "24 readings, two factors, unbalanced", 0.948, 0.952, func(r *rand.Rand) (Interval, float64, error) {
		n := 24
		a, b := make([]string, n), make([]string, n)
		y := make([]float64, n)
		for i := range y {
			a[i], b[i] = fmt.Sprint(i%2), fmt.Sprint(min(i%3, i%5))
			y[i] = 4 + 0.06*float64(i%2) + 0.1*float64(min(i%3, i%5)) + 0.02*r.NormFloat64()
		}
		d := NewDesign(n)
		if err := errors.Join(d.AddFactor("a", a, nil), d.AddFactor("b", b, nil)); err != nil {
			return Interval{}, 0, err
		}
		m, err := Fit(y, d, 0.95)
		if err != nil {
			return Interval{}, 0, err
		}
		return m.Coefficients[1].Interval, 0.06, nil
	})
	steps := []float64{1, 2, 3, 4, 5, 6, 7, 8, 9, 10}
	add("trend, least squares", "10 readings", 0.948, 0.952, func(r *rand.Rand) (Interval, float64, error) {
		y := normals(r, 10, 60, 1)
		for i := range y {
			y[i] += 0.1 * steps[i]
		}
		m, err := LinearTrend(steps, y, 0.95)
		return m.Interval, 0.1, err
	})
	add("trend, Theil–Sen", "10 readings", 0.94, 0.98, func(r *rand.Rand) (Interval, float64, error) {
		y := normals(r, 10, 60, 1)
		for i := range y {
			y[i] += 0.1 * steps[i]
		}
		m, err := TheilSen(steps, y, 0.95)
		return m.Interval, 0.1, err
	})
	clocks := []float64{200, 200, 250, 250, 300, 300, 350, 350, 400, 400}
	add("elasticity", "5 clocks × 2 readings", 0.948, 0.952, func(r *rand.Rand) (Interval, float64, error) {
		y := make([]float64, len(clocks))
		for i, f := range clocks {
			y[i] = math.Pow(f, 0.7) * math.Exp(0.02*r.NormFloat64())
		}
		e, err := Elasticity(clocks, y, 0.95)
		return e.Interval, 0.7, err
	})
	add("share untouched by a clock", "5 clocks × 2 readings", 0.945, 0.955, func(r *rand.Rand) (Interval, float64, error) {
		y := make([]float64, len(clocks))
		for i, f := range clocks {
			y[i] = 5 + 2000/f + 0.1*r.NormFloat64()
		}
		m, err := FitAmdahl(clocks, y, 0.95)
		if err != nil {
			return Interval{}, 0, err
		}
		s, err := m.Untouched(200, 0.95)
		return s.Interval, 5.0 / 15, err
	})
	return c
}

func (c coverage) simulate(t testing.TB, reps int, stream uint64) (share, missedLow, missedHigh float64) {
	r := rand.New(rand.NewPCG(1908, stream))
	for i := 0; i < reps; i++ {
		iv, truth, err := c.report(r)
		if err != nil && !errors.Is(err, ErrUnbounded) {
			t.Fatalf("%s, %s: %v", c.interval, c.situation, err)
		}
		switch {
		case err != nil || iv.Contains(truth):
			share++
		case truth < iv.Low:
			missedLow++
		default:
			missedHigh++
		}
	}
	n := float64(reps)
	return share / n, missedLow / n, missedHigh / n
}

// Every interval holds the truth as often as it says. In the usual run 400
// simulated reports per line guard against gross mistakes; with
// -coverage-table, 10,000 per line are printed for the documentation.
func TestCoverage(t *testing.T) {
	if testing.Short() {
		t.Skip("simulation")
	}
	reps := 400
	if *coverageTable {
		reps = *coverageReps
	}
	var out strings.Builder
	out.WriteString("| interval | situation | holds the truth | truth below | truth above |\n| --- | --- | ---: | ---: | ---: |\n")
	for i, c := range coverages() {
		share, below, above := c.simulate(t, reps, uint64(i))
		fmt.Fprintf(&out, "| %s | %s | %.1f\u00a0%% | %.1f\u00a0%% | %.1f\u00a0%% |\n", c.interval, c.situation, 100*share, 100*below, 100*above)
		error4 := 4 * math.Sqrt(0.95*0.05/float64(reps))
		if share < c.low-error4 || share > c.high+error4 {
			t.Errorf("%s, %s: %.2f %% hold the truth, expected %.1f to %.1f %%", c.interval, c.situation, 100*share, 100*c.low, 100*c.high)
		}
	}
	if *coverageTable {
		fmt.Printf("Nominal level 95 %%, %d simulated reports per line.\n\n%s", reps, out.String())
	}
}
