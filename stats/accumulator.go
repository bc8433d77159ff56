package stats

import (
	"fmt"
	"math"
	"math/big"
)

// Accumulator gathers readings one by one and gives their sum, mean and spread
// without storing them. Sum and sum of squares are kept exactly, so every
// result is the same to the last bit in whatever order the readings came and
// however the accumulators were merged. The zero value is empty and ready.
// A group costs some hundred bytes.
type Accumulator struct {
	n         int
	min, max  float64
	sum       exactSum
	squares   exactSum
	notFinite bool
}

// Add adds one reading. NaN and infinities are remembered and reported by the
// methods that give results.
func (a *Accumulator) Add(x float64) {
	m, place, negative, ok := decompose(x)
	if !ok {
		a.notFinite = true
		return
	}
	if a.n == 0 || x < a.min {
		a.min = x
	}
	if a.n == 0 || x > a.max {
		a.max = x
	}
	a.n++
	if m != 0 {
		a.sum.add(m, place, negative)
		a.squares.addSquare(m, place)
	}
}

// AddAll adds readings.
func (a *Accumulator) AddAll(x []float64) {
	for _, v := range x {
		a.Add(v)
	}
}

// Merge adds all readings that b has seen. b is left as it is.
func (a *Accumulator) Merge(b *Accumulator) {
	a.notFinite = a.notFinite || b.notFinite
	if b.n == 0 {
		return
	}
	if a.n == 0 || b.min < a.min {
		a.min = b.min
	}
	if a.n == 0 || b.max > a.max {
		a.max = b.max
	}
	a.n += b.n
	a.sum.merge(&b.sum)
	a.squares.merge(&b.squares)
}

func (a *Accumulator) check(what string, need int) error {
	if a.notFinite {
		return fmt.Errorf("%s: %w", what, ErrNotFinite)
	}
	if a.n < need {
		return fmt.Errorf("%s of %d: %w", what, a.n, ErrTooFew)
	}
	return nil
}

// Sum is the correctly rounded sum; 0 when empty.
func (a *Accumulator) Sum() (float64, error) {
	if err := a.check("sum", 0); err != nil {
		return 0, err
	}
	return inRange("sum", a.sum.rounded(sumUnit))
}

// Mean is the arithmetic mean (n ≥ 1). It never overflows.
func (a *Accumulator) Mean() (float64, error) {
	if err := a.check("mean", 1); err != nil {
		return 0, err
	}
	return a.sum.dividedBy(a.n, sumUnit), nil
}

// Variance is Σ(x−mean)²/(n−1), for n ≥ 2, from exact sums: the only error is
// the last rounding. A variance too small or too large for a double is
// ErrRange; SD reaches further.
func (a *Accumulator) Variance() (float64, error) {
	f, e, err := a.variance("variance")
	if err != nil {
		return 0, err
	}
	return notVanished("variance", f, math.Ldexp(f, e))
}

// SD is the square root of the variance, for n ≥ 2.
func (a *Accumulator) SD() (float64, error) {
	f, e, err := a.variance("standard deviation")
	if err != nil {
		return 0, err
	}
	if e&1 != 0 {
		f *= 2
		e--
	}
	return notVanished("standard deviation", f, math.Ldexp(math.Sqrt(f), e/2))
}

// variance gives the variance as f·2^e, which cannot overflow.
func (a *Accumulator) variance(what string) (f float64, e int, err error) {
	if err := a.check(what, 2); err != nil {
		return 0, 0, err
	}
	if a.min == a.max {
		return 0, 0, nil
	}
	if f, e, ok := quotient(a.n, &a.squares, &a.sum); ok {
		return f, e + squareUnit, nil
	}
	n := big.NewInt(int64(a.n))
	s := a.sum.integer()
	q := a.squares.integer()
	q.Mul(q, n)
	q.Sub(q, s.Mul(s, s))
	d := new(big.Int).Mul(n, big.NewInt(int64(a.n-1)))
	v := new(big.Float).SetPrec(128).SetInt(q)
	v.Quo(v, new(big.Float).SetPrec(128).SetInt(d))
	mant := new(big.Float)
	e = v.MantExp(mant)
	f, _ = mant.Float64()
	return f, e + squareUnit, nil
}

func inRange(what string, v float64) (float64, error) {
	if !finite(v) {
		return 0, fmt.Errorf("%s: %w", what, ErrRange)
	}
	return v, nil
}

// notVanished refuses a result that overflowed, or that became zero although
// the exact one, of which f is the leading part, is not.
func notVanished(what string, f, v float64) (float64, error) {
	if !finite(v) || (v == 0 && f != 0) {
		return 0, fmt.Errorf("%s: %w", what, ErrRange)
	}
	return v, nil
}
