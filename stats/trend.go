package stats

import (
	"fmt"
	"math"
	"slices"
)

// Trend is a change of readings y with t (time or run number): Slope in units
// of y per unit of t.
type Trend struct {
	Slope, Intercept float64
	SE               float64 // 0 for Theil–Sen
	DF               float64 // 0 for Theil–Sen
	Interval         Interval
	P                float64 // test of no trend, two-sided
	Method           string
}

// line is a straight line by least squares, kept in a form from which any
// combination of level and slope has its variance.
type line struct {
	n                   float64
	xMean, yMean, slope float64
	sxx                 float64 // Σ(x−mean)², as length² of the centred x
	sigma, df           float64
	r2                  float64
}

// fitLine needs two distinct x. sigma is 0 where the points lie on a line or
// are only two.
func fitLine(x, y []float64) (line, error) {
	if len(x) != len(y) {
		return line{}, fmt.Errorf("line through %d and %d values: %w", len(x), len(y), ErrLength)
	}
	if err := checkFinite("line through points", x, 2); err != nil {
		return line{}, err
	}
	if err := checkFinite("line through points", y, 2); err != nil {
		return line{}, err
	}
	u, xm, scale, ok := centred(x)
	if !ok {
		return line{}, fmt.Errorf("line through points with one x: %w", ErrNotEstimable)
	}
	ym, err := Mean(y)
	if err != nil {
		return line{}, err
	}
	l := line{n: float64(len(x)), xMean: xm, yMean: ym, sxx: scale * scale, df: float64(len(x) - 2)}
	v := make([]float64, len(y))
	size := 0.0
	for i := range y {
		v[i] = y[i] - ym
		size = math.Max(size, math.Abs(y[i]))
	}
	b := sumOfProducts(u, v)
	var rest, all exactSum
	for i := range v {
		e := v[i] - b*u[i]
		if size > 0 {
			e /= size
			addTo(&all, v[i]/size*(v[i]/size))
		}
		addTo(&rest, e*e)
	}
	l.slope = b / scale
	rss, tss := rest.rounded(sumUnit), all.rounded(sumUnit)
	if rss <= 1e-28*l.n { // rounding
		rss = 0
	}
	if l.df > 0 {
		l.sigma = size * math.Sqrt(rss/l.df)
	}
	if tss > 0 {
		l.r2 = math.Max(0, 1-rss/tss)
	}
	if !finite(l.slope, l.sxx, l.sigma, l.slope*l.xMean) || l.sxx == 0 {
		return line{}, fmt.Errorf("line through points: %w", ErrRange)
	}
	return l, nil
}

// at is the height of the line at x, with its standard error.
func (l line) at(x float64) Estimate {
	d := x - l.xMean
	return Estimate{l.yMean + l.slope*d, l.sigma * math.Sqrt(1/l.n+d*d/l.sxx), l.df}
}

func (l line) slopeEstimate() Estimate {
	return Estimate{l.slope, l.sigma / math.Sqrt(l.sxx), l.df}
}

// LinearTrend is the slope by least squares with Student's interval, for three
// points at least.
func LinearTrend(t, y []float64, level float64) (Trend, error) {
	if err := checkLevel(level); err != nil {
		return Trend{}, err
	}
	l, err := fitLine(t, y)
	if err != nil {
		return Trend{}, fmt.Errorf("trend: %w", err)
	}
	e := l.slopeEstimate()
	r := Trend{Slope: e.Value, Intercept: l.at(0).Value, SE: e.SE, DF: e.DF, Method: "least squares"}
	if !finite(r.Slope, r.Intercept, r.SE) {
		return Trend{}, fmt.Errorf("trend: %w", ErrRange)
	}
	if len(t) < 3 {
		return r, fmt.Errorf("trend through %d points: %w", len(t), ErrTooFew)
	}
	if r.Interval, err = e.Interval(level); err != nil {
		r.Interval = Interval{}
		return r, fmt.Errorf("trend: %w", err)
	}
	r.P, err = e.P(0)
	return r, err
}

// mostSlopes bounds the number of points of Theil–Sen, whose work grows with
// its square.
const mostSlopes = 3000

// TheilSen is the median of the slopes between all pairs of points with
// different t, which single wild readings do not move: P. K. Sen, "Estimates
// of the regression coefficient based on Kendall's tau", JASA 63, 1968,
// 1379–1389. The interval is Sen's; P is Kendall's test, exact for up to 50
// points without ties, else normal with correction for ties and continuity.
// Three to 3000 points. With too few points for the level the interval is
// unknown, without an error.
func TheilSen(t, y []float64, level float64) (Trend, error) {
	if err := checkLevel(level); err != nil {
		return Trend{}, err
	}
	if len(t) != len(y) {
		return Trend{}, fmt.Errorf("trend of %d and %d values: %w", len(t), len(y), ErrLength)
	}
	if err := checkFinite("trend", t, 3); err != nil {
		return Trend{}, err
	}
	if err := checkFinite("trend", y, 3); err != nil {
		return Trend{}, err
	}
	if len(t) > mostSlopes {
		return Trend{}, fmt.Errorf("trend of %d points: %w", len(t), ErrDomain)
	}
	var slopes []float64
	score := 0
	for i := range t {
		for j := 0; j < i; j++ {
			if t[i] == t[j] {
				continue
			}
			s := (y[i] - y[j]) / (t[i] - t[j])
			if !finite(s, y[i]-y[j], t[i]-t[j]) {
				return Trend{}, fmt.Errorf("trend: %w", ErrRange)
			}
			slopes = append(slopes, s)
			if (y[i] > y[j]) == (t[i] > t[j]) && y[i] != y[j] {
				score++
			} else if y[i] != y[j] {
				score--
			}
		}
	}
	if len(slopes) == 0 {
		return Trend{}, fmt.Errorf("trend of readings at one time: %w", ErrNotEstimable)
	}
	slices.Sort(slopes)
	r := Trend{Slope: quantileSorted(slopes, 0.5), Method: "Theil–Sen"}
	rest := make([]float64, len(y))
	for i := range y {
		rest[i] = y[i] - r.Slope*t[i]
		if !finite(rest[i]) {
			return Trend{}, fmt.Errorf("trend: %w", ErrRange)
		}
	}
	r.Intercept = medianInPlace(rest)
	variance, ties := kendallVariance(t, y)
	if variance <= 0 {
		return r, fmt.Errorf("trend: %w", ErrNoSpread)
	}
	if !ties && len(t) <= 50 {
		r.P = kendallExact(len(t), score)
	} else {
		z := math.Max(0, math.Abs(float64(score))-1) / math.Sqrt(variance)
		r.P = math.Erfc(z / math.Sqrt2)
	}
	z, err := NormalQuantile(0.5 + level/2)
	if err != nil {
		return r, err
	}
	c := z * math.Sqrt(variance)
	n := float64(len(slopes))
	low := int(math.Floor((n - c) / 2))
	if low >= 1 {
		r.Interval = Interval{slopes[low-1], slopes[len(slopes)-low], level}
	}
	return r, nil
}

// kendallVariance is the variance of Kendall's score under no trend: M. G.
// Kendall, "Rank Correlation Methods", 4th ed. 1970, chapter 4 (from memory).
func kendallVariance(t, y []float64) (v float64, ties bool) {
	n := float64(len(t))
	groups := func(x []float64) (a, b, c float64) {
		s := sorted(x)
		for i := 0; i < len(s); {
			j := i
			for j < len(s) && s[j] == s[i] {
				j++
			}
			if k := float64(j - i); k > 1 {
				a += k * (k - 1) * (2*k + 5)
				b += k * (k - 1) * (k - 2)
				c += k * (k - 1)
			}
			i = j
		}
		return
	}
	ta, tb, tc := groups(t)
	ya, yb, yc := groups(y)
	v = (n*(n-1)*(2*n+5)-ta-ya)/18 + tb*yb/(9*n*(n-1)*(n-2)) + tc*yc/(2*n*(n-1))
	return v, tc > 0 || yc > 0
}

// kendallExact is P(|S| ≥ |score|) when all orders are equally likely, from
// the distribution of the number of inversions.
func kendallExact(n, score int) float64 {
	pairs := n * (n - 1) / 2
	p := []float64{1}
	for k := 2; k <= n; k++ {
		next := make([]float64, len(p)+k-1)
		for i, v := range p {
			for j := 0; j < k; j++ {
				next[i+j] += v / float64(k)
			}
		}
		p = next
	}
	if score < 0 {
		score = -score
	}
	if score == 0 {
		return 1
	}
	tail := 0.0
	for i := 0; i <= (pairs-score)/2; i++ {
		tail += p[i]
	}
	return math.Min(1, 2*tail)
}
