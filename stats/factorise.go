package stats

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
)

// Columns are judged after centring and scaling to length 1, so that units do
// not matter: constantTolerance is how much of a column may be left after its
// mean is taken away before it counts as varying, rankTolerance how much must
// be left after all earlier columns are taken away for it to count as new
// (the value of LINPACK's dqrdc2 as R uses it).
const (
	constantTolerance = 1e-13
	rankTolerance     = 1e-7
)

// centred gives (x − mean)/scale with length 1. ok is false if x does not vary.
func centred(x []float64) (v []float64, mean, scale float64, ok bool) {
	high := 0.0
	for _, a := range x {
		high = math.Max(high, math.Abs(a))
	}
	v = make([]float64, len(x))
	if high == 0 || len(x) == 0 {
		return v, 0, 0, false
	}
	_, e := math.Frexp(high)
	for i, a := range x {
		v[i] = math.Ldexp(a, -e)
	}
	s, _ := exactOf(v)
	mean = s.dividedBy(len(v), sumUnit)
	var norm, all exactSum
	for i, a := range v {
		addTo(&all, a*a)
		v[i] = a - mean
		addTo(&norm, v[i]*v[i])
	}
	length := math.Sqrt(norm.rounded(sumUnit))
	mean = math.Ldexp(mean, e)
	if length <= constantTolerance*math.Sqrt(all.rounded(sumUnit)) {
		return v, mean, 0, false
	}
	for i := range v {
		v[i] /= length
	}
	return v, mean, math.Ldexp(length, e), true
}

// factors is the orthogonal factorisation of a design's columns other than the
// constant, dropping every column that depends on earlier ones.
type factors struct {
	kept    []int       // design columns that were kept, in order
	q       [][]float64 // per kept column, orthonormal, rows in canonical order
	r       [][]float64 // per kept column j, its coefficients on q[0..j]
	inverse [][]float64 // R⁻¹, column j in inverse[j][0..j]
	mean    []float64   // per design column
	scale   []float64   // per design column; 0 for those that do not vary
	aliases map[int][]float64
	order   []int // canonical order of the rows
}

// Factored is a design made ready for fitting, for those who fit several sets
// of readings to one: the factorisation depends on the design alone. It is safe
// for use by several goroutines.
type Factored struct {
	design  *Design
	factors *factors
	// leverage of each row, in canonical order.
	leverage []float64
	// ties are the ends of runs of equal rows in canonical order.
	ties []int
}

// Factorise makes a design ready for fitting. It must begin with the constant
// (ErrDomain) and have at least one row (ErrTooFew).
func Factorise(d *Design) (*Factored, error) {
	if d == nil || len(d.columns) == 0 || d.columns[0].Term != ConstantTerm {
		return nil, fmt.Errorf("factorising a design without a constant: %w", ErrDomain)
	}
	if d.rows == 0 {
		return nil, fmt.Errorf("factorising a design without rows: %w", ErrTooFew)
	}
	f := &Factored{design: d, factors: factorise(d, canonicalOrder(d))}
	f.describe()
	return f, nil
}

// Aliases gives the dependent columns, and the number of those that count, the
// constant included.
func (f *Factored) Aliases() ([]Alias, int) {
	var a []Alias
	for j := range f.design.columns {
		if _, dropped := f.factors.aliases[j]; dropped {
			a = append(a, f.factors.alias(f.design, j))
		}
	}
	return a, len(f.factors.kept) + 1
}

// Kept is the design less its dependent columns, ready for fitting as well, and
// the places of its columns in the whole design.
func (f *Factored) Kept() (*Factored, []int) {
	g := *f.factors
	d := &Design{rows: f.design.rows, columns: []Column{f.design.columns[0]}}
	places := append([]int{0}, f.factors.kept...)
	g.mean, g.scale, g.kept, g.aliases = []float64{g.mean[0]}, []float64{g.scale[0]}, nil, map[int][]float64{}
	for k, j := range f.factors.kept {
		d.columns = append(d.columns, f.design.columns[j])
		g.mean, g.scale, g.kept = append(g.mean, f.factors.mean[j]), append(g.scale, f.factors.scale[j]), append(g.kept, k+1)
	}
	return &Factored{d, &g, f.leverage, f.ties}, places
}

// describe fills leverage and ties.
func (f *Factored) describe() {
	f.leverage = make([]float64, f.design.rows)
	for i := range f.leverage {
		h := 1 / float64(f.design.rows)
		for _, q := range f.factors.q {
			h += q[i] * q[i]
		}
		f.leverage[i] = math.Min(1, h)
	}
	order := f.factors.order
	for i := 1; i <= len(order); i++ {
		if i == len(order) || slices.ContainsFunc(f.design.columns, func(c Column) bool { return c.Values[order[i]] != c.Values[order[i-1]] }) {
			f.ties = append(f.ties, i)
		}
	}
}

// orderFor is the canonical order with equal rows by their readings, so that
// sums over them do not depend on the order in which readings were given.
func (f *Factored) orderFor(y []float64) []int {
	order := slices.Clone(f.factors.order)
	from := 0
	for _, to := range f.ties {
		slices.SortStableFunc(order[from:to], func(a, b int) int {
			switch {
			case y[a] < y[b]:
				return -1
			case y[a] > y[b]:
				return 1
			}
			return 0
		})
		from = to
	}
	return order
}

// canonicalOrder sorts rows by their values, so that the arithmetic does not
// depend on the order in which readings were given.
func canonicalOrder(d *Design) []int {
	order := make([]int, d.rows)
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		for _, c := range d.columns {
			if c.Values[a] != c.Values[b] {
				if c.Values[a] < c.Values[b] {
					return -1
				}
				return 1
			}
		}
		return 0
	})
	return order
}

// orthogonalise takes the components of v along q away, in place, and adds
// their sizes to r. A second pass follows when much cancelled ("twice is
// enough": B. N. Parlett, "The Symmetric Eigenvalue Problem", 1980, §6.9).
func orthogonalise(q [][]float64, v, r []float64) (length float64) {
	before := floats.Norm(v, 2)
	for pass := 0; pass < 3; pass++ {
		for k, u := range q {
			c := floats.Dot(u, v)
			floats.AddScaled(v, -c, u)
			r[k] += c
		}
		length = floats.Norm(v, 2)
		if length > 0.1*before {
			break
		}
		before = length
	}
	return length
}

func factorise(d *Design, order []int) *factors {
	p := len(d.columns)
	f := &factors{order: order, mean: make([]float64, p), scale: make([]float64, p), aliases: map[int][]float64{}}
	f.mean[0] = 1
	for j := 1; j < p; j++ {
		x := make([]float64, d.rows)
		for i, o := range order {
			x[i] = d.columns[j].Values[o]
		}
		v, mean, scale, ok := centred(x)
		f.mean[j], f.scale[j] = mean, scale
		r := make([]float64, len(f.q)+1)
		if ok && orthogonalise(f.q, v, r[:len(f.q)]) > rankTolerance {
			length := floats.Norm(v, 2)
			floats.Scale(1/length, v)
			r[len(f.q)] = length
			f.q, f.r, f.kept = append(f.q, v), append(f.r, r), append(f.kept, j)
			continue
		}
		f.aliases[j] = f.backSolve(r[:len(f.q)])
	}
	f.invert()
	return f
}

// backSolve solves R b = z for the columns kept so far.
func (f *factors) backSolve(z []float64) []float64 {
	b := append([]float64(nil), z...)
	for j := len(b) - 1; j >= 0; j-- {
		b[j] /= f.r[j][j]
		for k := 0; k < j; k++ {
			b[k] -= f.r[j][k] * b[j]
		}
	}
	return b
}

func (f *factors) invert() {
	f.inverse = make([][]float64, len(f.r))
	for j := range f.r {
		e := make([]float64, j+1)
		e[j] = 1
		f.inverse[j] = f.backSolve(e)
	}
}

// varianceOf is |R⁻ᵀ c|²: the variance of c·b over σ² for scaled columns.
func (f *factors) varianceOf(c []float64) float64 {
	u := make([]float64, len(c))
	for j := range c {
		u[j] = floats.Dot(f.inverse[j], c[:j+1])
	}
	return floats.Dot(u, u)
}

// inflation is the diagonal of (RᵀR)⁻¹ for kept column k, whose length is 1.
func (f *factors) inflation(k int) float64 {
	v := 0.0
	for i := k; i < len(f.inverse); i++ {
		v += f.inverse[i][k] * f.inverse[i][k]
	}
	return math.Max(1, v)
}

// alias describes dropped column j in terms of the kept ones.
func (f *factors) alias(d *Design, j int) Alias {
	a := Alias{Column: d.columns[j].Name}
	scaled := f.aliases[j]
	if f.scale[j] == 0 {
		scaled = make([]float64, len(f.kept))
	}
	constant := f.mean[j]
	var parts []AliasPart
	for k, b := range scaled {
		col := f.kept[k]
		c := b * (f.scale[j] / f.scale[col])
		// What rounding leaves is judged where columns have length 1.
		if math.Abs(b) < 1e-6 || !finite(c) {
			continue
		}
		p := AliasPart{Column: d.columns[col].Name, Coefficient: c}
		if num, den, ok := asFraction(c); ok && num != 0 {
			p.Num, p.Den, p.Coefficient = num, den, float64(num)/float64(den)
		}
		constant -= p.Coefficient * f.mean[col]
		parts = append(parts, p)
	}
	if size := math.Max(math.Abs(f.mean[j]), f.scale[j]); finite(constant) && math.Abs(constant) > 1e-6*size {
		p := AliasPart{Column: d.columns[0].Name, Coefficient: constant}
		if num, den, ok := asFraction(constant); ok {
			p.Num, p.Den, p.Coefficient = num, den, float64(num)/float64(den)
		}
		parts = append([]AliasPart{p}, parts...)
	}
	a.Of = parts
	return a
}
