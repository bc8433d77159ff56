package design

import "math"

// independence is the length, relative to its own, that a column must keep
// after everything that the columns before it explain has been taken away.
// Contrasts are small whole numbers or short polynomials, so anything below
// is rounding; R's lm decides at the same 1e-7.
const independence = 1e-7

// basis orthogonalises columns one after another by modified Gram-Schmidt,
// twice over, which keeps the result orthogonal to working precision (Giraud,
// Langou and Rozložník, Computers & Mathematics with Applications 50, 2005).
// Columns that depend on those before them are told with their coefficients,
// in the given order: earlier columns are never given up for later ones.
type basis struct {
	q      [][]float64 // orthonormal
	r      [][]float64 // r[k] expresses independent column k in q[0..k]
	from   []int       // which added column each independent one is
	length []float64   // of each independent column
	added  int
}

// add takes a column. For one that depends on earlier columns it gives the
// coefficients of the independent ones, in their order, those within rounding
// of zero exactly zero, and false.
func (b *basis) add(x []float64) (coefficients []float64, independent bool) {
	index := b.added
	b.added++
	length := norm(x)
	rest := append([]float64(nil), x...)
	h := make([]float64, len(b.q))
	if length > 0 {
		for range 2 {
			for k, q := range b.q {
				d := dot(q, rest)
				if d == 0 {
					continue
				}
				h[k] += d
				for i := range rest {
					rest[i] -= d * q[i]
				}
			}
		}
		if left := norm(rest); left > independence*length {
			for i := range rest {
				rest[i] /= left
			}
			b.q = append(b.q, rest)
			b.r = append(b.r, append(h, left))
			b.from = append(b.from, index)
			b.length = append(b.length, length)
			return nil, true
		}
	}
	for k := len(h) - 1; k >= 0; k-- {
		h[k] /= b.r[k][k]
		for i := range k {
			h[i] -= h[k] * b.r[k][i]
		}
	}
	for k := range h {
		if math.Abs(h[k])*b.length[k] <= independence*length {
			h[k] = 0
		}
	}
	return h, false
}

// inverseRow gives row k of the inverse of the triangle r, whose products are
// the entries of the inverse of XᵀX.
func (b *basis) inverseRow(k int) []float64 {
	n := len(b.r)
	row := make([]float64, n)
	row[k] = 1 / b.r[k][k]
	for j := k + 1; j < n; j++ {
		sum := 0.0
		for i := k; i < j; i++ {
			sum += row[i] * b.r[j][i]
		}
		row[j] = -sum / b.r[j][j]
	}
	return row
}

func dot(x, y []float64) float64 {
	sum := 0.0
	for i := range x {
		sum += x[i] * y[i]
	}
	return sum
}

func norm(x []float64) float64 { return math.Sqrt(dot(x, x)) }

// centred takes the mean away and scales to unit length; a column that is
// constant gives nil.
func centred(x []float64) []float64 {
	mean := 0.0
	for _, v := range x {
		mean += v
	}
	mean /= float64(len(x))
	y := make([]float64, len(x))
	for i, v := range x {
		y[i] = v - mean
	}
	length := norm(y)
	if length <= independence*norm(x) {
		return nil
	}
	for i := range y {
		y[i] /= length
	}
	return y
}

// determinant of a small symmetric positive matrix, by elimination.
func determinant(m [][]float64) float64 {
	n := len(m)
	a := make([][]float64, n)
	for i := range m {
		a[i] = append([]float64(nil), m[i]...)
	}
	det := 1.0
	for k := range n {
		p := a[k][k]
		if p <= 0 {
			return 0
		}
		det *= p
		for i := k + 1; i < n; i++ {
			f := a[i][k] / p
			for j := k; j < n; j++ {
				a[i][j] -= f * a[k][j]
			}
		}
	}
	return det
}
