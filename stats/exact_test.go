package stats

import (
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
