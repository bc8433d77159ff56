package stats

import (
	"math"
	"math/big"
	"math/rand/v2"
	"testing"
)

func bigTotal(x []float64) *big.Float {
	s := new(big.Float).SetPrec(4500)
	for _, v := range x {
		s.Add(s, new(big.Float).SetFloat64(v))
	}
	return s
}

func bigSum(x []float64) float64 {
	v, _ := bigTotal(x).Float64()
	return v
}

func bigMean(x []float64) float64 {
	s := bigTotal(x)
	v, _ := s.Quo(s, new(big.Float).SetInt64(int64(len(x)))).Float64()
	return v
}

func readings(n int) []float64 {
	r := rand.New(rand.NewPCG(1, 1))
	x := make([]float64, n)
	for i := range x {
		x[i] = 100 + 5*r.NormFloat64()
	}
	return x
}

// The quotient of whole numbers, rounded once, is what the variance is to be:
// against math/big, for readings of one size, of very different ones, of both
// signs, and such as hardly differ.
func TestVarianceIsRoundedOnce(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 9))
	short := 0
	const sets = 20_000
	for range sets {
		n := 2 + r.IntN(12)
		x := make([]float64, n)
		size := math.Ldexp(1+r.Float64(), r.IntN(60)-30)
		spread := math.Ldexp(1, -r.IntN(50))
		for i := range x {
			switch r.IntN(12) {
			case 0:
				x[i] = math.Ldexp(r.NormFloat64(), r.IntN(200)-100)
			case 1:
				x[i] = -size
			default:
				x[i] = size * (1 + spread*r.NormFloat64())
			}
		}
		total, squares := new(big.Rat), new(big.Rat)
		for _, v := range x {
			exact := new(big.Rat).SetFloat64(v)
			total.Add(total, exact)
			squares.Add(squares, exact.Mul(exact, exact))
		}
		want := squares.Mul(squares, big.NewRat(int64(n), 1))
		want.Sub(want, total.Mul(total, total)).Quo(want, big.NewRat(int64(n)*int64(n-1), 1))
		v, _ := want.Float64()
		var a Accumulator
		a.AddAll(x)
		got, err := a.Variance()
		if err != nil || got != v {
			t.Fatalf("variance of %v is %v (%v), want %v", x, got, err, v)
		}
		if _, _, ok := quotient(a.n, &a.squares, &a.sum); ok {
			short++
		}
		if s, err := Summarise(x); err != nil || s.SD != math.Sqrt(v) || s.N != n {
			t.Fatalf("summary of %v: %+v (%v)", x, s, err)
		}
	}
	if short < sets*9/10 {
		t.Errorf("only %d of %d sets were short enough for whole numbers of fixed length", short, sets)
	}
	t.Logf("%d of %d sets by whole numbers of fixed length", short, sets)
}

// A million readings in 100 groups: mean and spread of each.
func BenchmarkGroupedMillion(b *testing.B) {
	x := readings(1e6)
	b.SetBytes(8e6)
	for b.Loop() {
		groups := make([]Accumulator, 100)
		for i, v := range x {
			groups[i%100].Add(v)
		}
		for i := range groups {
			if _, err := groups[i].SD(); err != nil {
				b.Fatal(err)
			}
		}
	}
}

// A million readings in one cell, median included.
func BenchmarkSummariseMillion(b *testing.B) {
	x := readings(1e6)
	b.SetBytes(8e6)
	for b.Loop() {
		if _, err := Summarise(x); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkSumMillion(b *testing.B) {
	x := readings(1e6)
	b.SetBytes(8e6)
	for b.Loop() {
		if _, err := Sum(x); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkSummariseFive(b *testing.B) {
	x := readings(5)
	for b.Loop() {
		if _, err := Summarise(x); err != nil {
			b.Fatal(err)
		}
	}
}
