package stats

import (
	"hash/fnv"
	"math"
)

// Arithmetic names how this program's arithmetic rounds, in ten letters: the same
// name, the same last digits. Kinds of processor differ in whether a product and
// a sum are rounded once or twice (IEEE 754-2019, 5.4.1, fusedMultiplyAdd), which
// the Go language leaves open ("Floating-point operators" in its specification),
// and in their exponentials and logarithms.
func Arithmetic() string {
	h := fnv.New64a()
	put := func(v float64) {
		var b [8]byte
		bits := math.Float64bits(v)
		for i := range b {
			b[i] = byte(bits >> (8 * i))
		}
		h.Write(b[:])
	}
	// Numbers that no compiler can work out beforehand, spread over the range that
	// logarithms of ratios and their errors have.
	x := 0.1
	for range 400 {
		y := fused(x, 1.0/3, -x/3)
		z := math.Exp(x - 1.7)
		put(y)
		put(z)
		put(math.Log(z + 1))
		put(math.Log1p(x) + math.Expm1(x/7))
		put(math.Pow(x+0.3, 2.7))
		put(math.Erfc(x))
		l, _ := math.Lgamma(x + 0.4)
		put(l)
		put(math.Sin(x))
		x = math.Mod(x*1.618033988749895+0.137, 3)
	}
	name := make([]byte, 10)
	sum := h.Sum64()
	for i := range name {
		// Letters, so that it is no figure that could be mistaken for a result.
		name[i] = 'a' + byte(sum%26)
		sum /= 26
	}
	return string(name)
}

// fused is x·y + z, rounded once or twice as the compiler likes.
//
//go:noinline
func fused(x, y, z float64) float64 { return x*y + z }
