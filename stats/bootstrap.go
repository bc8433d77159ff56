package stats

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
)

// BootstrapMethod says how an interval is read from the resamples.
type BootstrapMethod int

const (
	// Percentile takes quantiles of the resampled statistic.
	Percentile BootstrapMethod = iota
	// BCa corrects them for bias and skewness: B. Efron, "Better bootstrap
	// confidence intervals", JASA 82, 1987, 171–185.
	BCa
)

// BootstrapOptions are the settings of a bootstrap; the zero value of all but
// Level is usable.
type BootstrapOptions struct {
	Level     float64
	Resamples int // 0 means 4999; at least 99
	Seed      uint64
	Method    BootstrapMethod
	// DF widens the quantiles from the normal's to Student's with this many
	// degrees of freedom, since percentile intervals of few readings are too
	// narrow (the "expanded percentile interval" of T. C. Hesterberg, "What
	// teachers should know about the bootstrap", American Statistician 69,
	// 2015, 371–386). 0: not widened.
	DF float64
}

// BootstrapResult is a statistic with its interval by resampling.
type BootstrapResult struct {
	Value     float64 // of the readings themselves
	SE        float64 // standard deviation over resamples
	Interval  Interval
	Resamples int
	Seed      uint64
}

// Bootstrap resamples readings within each cell (two at least in each) and
// gives the interval of a statistic of all cells. In each resample one reading
// of a cell, chosen at random, is left out and n are drawn from the others
// (the "bootknife": T. C. Hesterberg, "Unbiasedness of the bootstrap", 2004),
// so that the variance of a mean is s²/n and not (n−1)/n of it. Cells are sorted
// first: the order of readings within a cell does not matter, that of cells
// does. The statistic must not keep or change its argument; if it gives a
// number that is not finite, ErrRange. The same seed gives the same result on
// every machine (PCG).
func Bootstrap(cells [][]float64, statistic func(cells [][]float64) float64, o BootstrapOptions) (BootstrapResult, error) {
	if o.Resamples == 0 {
		o.Resamples = 4999
	}
	if err := checkLevel(o.Level); err != nil {
		return BootstrapResult{}, err
	}
	if o.Resamples < 99 || o.Resamples > 10_000_000 || o.DF < 0 || !finite(o.DF) {
		return BootstrapResult{}, fmt.Errorf("bootstrap with %d resamples: %w", o.Resamples, ErrDomain)
	}
	if len(cells) == 0 {
		return BootstrapResult{}, fmt.Errorf("bootstrap of no cells: %w", ErrTooFew)
	}
	data := make([][]float64, len(cells))
	again := make([][]float64, len(cells))
	for i, c := range cells {
		if err := checkFinite("bootstrap of a cell", c, 2); err != nil {
			return BootstrapResult{}, err
		}
		data[i] = sorted(c)
		again[i] = make([]float64, len(c))
	}
	r := BootstrapResult{Value: statistic(data), Resamples: o.Resamples, Seed: o.Seed}
	if !finite(r.Value) {
		return BootstrapResult{}, fmt.Errorf("bootstrap: %w", ErrRange)
	}
	random := rand.New(rand.NewPCG(o.Seed, 0x62656e6368))
	values := make([]float64, o.Resamples)
	for b := range values {
		for i, c := range data {
			out := random.IntN(len(c))
			for j := range again[i] {
				k := random.IntN(len(c) - 1)
				if k >= out {
					k++
				}
				again[i][j] = c[k]
			}
		}
		values[b] = statistic(again)
	}
	if !finite(values...) {
		return BootstrapResult{}, fmt.Errorf("bootstrap: %w", ErrRange)
	}
	slices.Sort(values)
	return r.read(values, data, statistic, o)
}

// read takes SE and interval from the sorted resampled values.
func (r BootstrapResult) read(values []float64, data [][]float64, statistic func([][]float64) float64, o BootstrapOptions) (BootstrapResult, error) {
	var err error
	if r.SE, err = SD(values); err != nil {
		return BootstrapResult{}, fmt.Errorf("bootstrap: %w", err)
	}
	if values[0] == values[len(values)-1] {
		return r, fmt.Errorf("bootstrap: %w", ErrNoSpread)
	}
	z, err := criticalT(o.Level, o.DF)
	if err != nil {
		return BootstrapResult{}, err
	}
	shift, acceleration := 0.0, 0.0
	if o.Method == BCa {
		below := 0.0
		for _, v := range values {
			switch {
			case v < r.Value:
				below++
			case v == r.Value:
				below += 0.5
			}
		}
		n := float64(len(values))
		share := math.Max(0.5/n, math.Min(1-0.5/n, below/n))
		if shift, err = NormalQuantile(share); err != nil {
			return BootstrapResult{}, err
		}
		if acceleration, err = jackknifeAcceleration(data, statistic); err != nil {
			return BootstrapResult{}, err
		}
	}
	end := func(z float64) float64 {
		w := shift + z
		d := 1 - acceleration*w
		if d <= 0.05 { // beyond the reach of the correction
			d = 0.05
		}
		p := 0.5 * math.Erfc(-(shift+w/d)/math.Sqrt2)
		// Type 6 quantile: the resamples are themselves a sample.
		h := p*float64(len(values)+1) - 1
		i := int(math.Floor(h))
		switch {
		case i < 0:
			return values[0]
		case i >= len(values)-1:
			return values[len(values)-1]
		}
		return between(values[i], values[i+1], h-float64(i))
	}
	r.Interval = Interval{end(-z) + 0, end(z) + 0, o.Level}
	return r, nil
}

// jackknifeAcceleration is Σd³/(6(Σd²)^1.5) with d the influence of leaving
// out each reading in turn, scaled by its cell's size (several-sample form:
// B. Efron, R. J. Tibshirani, "An Introduction to the Bootstrap", 1993, ch. 14).
func jackknifeAcceleration(data [][]float64, statistic func([][]float64) float64) (float64, error) {
	var d []float64
	high := 0.0
	left := append([][]float64(nil), data...)
	for i, c := range data {
		values := make([]float64, len(c))
		short := make([]float64, len(c)-1)
		for j := range c {
			copy(short, c[:j])
			copy(short[j:], c[j+1:])
			left[i] = short
			values[j] = statistic(left)
		}
		left[i] = c
		m, err := Mean(values)
		if err != nil {
			return 0, fmt.Errorf("bootstrap: %w", err)
		}
		for _, v := range values {
			u := (m - v) * float64(len(c)-1) / float64(len(c))
			d = append(d, u)
			high = math.Max(high, math.Abs(u))
		}
	}
	if high == 0 {
		return 0, nil
	}
	cubes, squares := make([]float64, len(d)), make([]float64, len(d))
	for i, v := range d {
		v /= high
		cubes[i], squares[i] = v*v*v, v*v
	}
	return inRange("bootstrap", sumOf(cubes...)/(6*math.Pow(sumOf(squares...), 1.5)))
}

// Pair holds the readings of one workload or matched pair: X of the
// configuration in question, Y of the baseline.
type Pair struct {
	X, Y []float64
}

// BootstrapGeometricMean is the weighted geometric mean of mean(X)/mean(Y)
// over pairs (two readings at least on each side, means positive in every
// resample, else ErrDomain), with an interval by resampling readings within
// each cell. The quantiles are widened by the degrees of freedom that
// propagation gives (o.DF is ignored). The order of pairs does not matter.
func BootstrapGeometricMean(pairs []Pair, weights []float64, o BootstrapOptions) (BootstrapResult, error) {
	w, err := normalWeights(weights, len(pairs))
	if err != nil {
		return BootstrapResult{}, fmt.Errorf("geometric mean by resampling: %w", err)
	}
	type weighted struct {
		x, y []float64
		w    float64
	}
	all := make([]weighted, len(pairs))
	se := make([]float64, len(pairs))
	df := make([]float64, len(pairs))
	for i, p := range pairs {
		a, b, err := meanEstimates(p.X, p.Y)
		if err != nil {
			return BootstrapResult{}, fmt.Errorf("geometric mean by resampling: %w", err)
		}
		if a.Value <= 0 || b.Value <= 0 {
			return BootstrapResult{}, fmt.Errorf("geometric mean of means that are not positive: %w", ErrDomain)
		}
		all[i] = weighted{sorted(p.X), sorted(p.Y), w[i]}
		se[i], df[i] = w[i]*math.Hypot(a.SE/a.Value, b.SE/b.Value), ratioDF(a, b)
	}
	slices.SortStableFunc(all, func(a, b weighted) int {
		if c := slices.Compare(a.x, b.x); c != 0 {
			return c
		}
		if c := slices.Compare(a.y, b.y); c != 0 {
			return c
		}
		return sign3(a.w - b.w)
	})
	cells := make([][]float64, 0, 2*len(all))
	for _, p := range all {
		cells = append(cells, p.x, p.y)
	}
	o.DF = satterthwaite(se, df)
	r, err := Bootstrap(cells, func(c [][]float64) float64 {
		s := 0.0
		for i, p := range all {
			a, b := plainMean(c[2*i]), plainMean(c[2*i+1])
			if a <= 0 || b <= 0 {
				return math.NaN()
			}
			s += p.w * logQuotient(a, b)
		}
		return s
	}, o)
	if !finite(r.Value) || (err != nil && r.Value == 0 && r.Resamples == 0) {
		return BootstrapResult{}, fmt.Errorf("geometric mean by resampling: %w", err)
	}
	// Resampled on the log scale, where the statistic is near normal.
	r.Value = math.Exp(r.Value)
	r.SE *= r.Value
	if !finite(r.Value, r.SE) || r.Value == 0 {
		return BootstrapResult{}, fmt.Errorf("geometric mean by resampling: %w", ErrRange)
	}
	if err != nil {
		return r, err
	}
	r.Interval, err = r.Interval.Exp()
	return r, err
}

// plainMean adds without compensation but cannot overflow: resampling noise
// is far above rounding.
func plainMean(x []float64) float64 {
	s := 0.0
	for _, v := range x {
		s += v / float64(len(x))
	}
	return s
}

func sign3(d float64) int {
	switch {
	case d < 0:
		return -1
	case d > 0:
		return 1
	}
	return 0
}
