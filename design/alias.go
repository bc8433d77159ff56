package design

import (
	"cmp"
	"math"
	"slices"
	"strings"
)

// sets groups the terms whose contrasts span the same space once the mean is
// taken away, and those that are constant with the mean itself.
func (m *model) sets() []AliasSet {
	spaces := make([][][]float64, len(m.terms))
	for term := range m.terms {
		spaces[term] = orthonormal(m.columnsOf(term))
	}
	// Equal spaces project a fixed vector onto vectors of equal length, so the
	// lengths sort likely equals side by side; each is then compared whole.
	probe := probeVector(len(m.t.configuration))
	signature := make([]float64, len(m.terms))
	order := make([]int, len(m.terms))
	for term, space := range spaces {
		order[term] = term
		for _, q := range space {
			d := dot(q, probe)
			signature[term] += d * d
		}
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(len(spaces[a]), len(spaces[b])), cmp.Compare(signature[a], signature[b]))
	})
	group := make([]int, len(m.terms)) // the first term of each one's set
	for i, term := range order {
		group[term] = term
		for k := i - 1; k >= 0; k-- {
			other := order[k]
			if len(spaces[other]) != len(spaces[term]) || signature[term]-signature[other] > 1e-6 {
				break
			}
			if group[other] == other && sameSpace(spaces[term], spaces[other]) {
				group[term] = other
				break
			}
		}
	}
	members := make(map[int][]int)
	for term := range m.terms {
		members[group[term]] = append(members[group[term]], term)
	}
	var list []AliasSet
	for _, terms := range members {
		constant := len(spaces[terms[0]]) == 0
		if len(terms) < 2 && !constant {
			continue
		}
		var set AliasSet
		if constant {
			set.Terms = append(set.Terms, Signed{Mean, 1})
		}
		for _, term := range terms {
			set.Terms = append(set.Terms, Signed{term, m.sign(terms[0], term, spaces, constant)})
		}
		set.Words = m.s.signedText(Structure{Terms: m.terms}, set.Terms)
		list = append(list, set)
	}
	slices.SortFunc(list, func(x, y AliasSet) int {
		return slices.CompareFunc(x.Terms, y.Terms, func(a, b Signed) int { return cmp.Compare(a.Term, b.Term) })
	})
	return list
}

// sign is the coefficient of a term against the first of its set.
func (m *model) sign(first, term int, spaces [][][]float64, constant bool) float64 {
	if constant {
		if c := m.columnsOf(term); len(c) == 1 && c[0][0] < 0 {
			return -1
		}
		return 1
	}
	if len(spaces[term]) == 1 && dot(spaces[first][0], spaces[term][0]) < 0 {
		return -1
	}
	return 1
}

// signedText writes terms that are the same: "bus = −cache × memory".
func (s *Space) signedText(st Structure, terms []Signed) string {
	var parts []string
	for _, t := range terms {
		name := "mean"
		if t.Term != Mean {
			name = s.TermText(st.Terms[t.Term])
		}
		if t.Coefficient < 0 {
			name = "−" + name
		}
		parts = append(parts, name)
	}
	return strings.Join(parts, " = ")
}

// orthonormal gives an orthonormal basis of the columns once centred.
func orthonormal(columns [][]float64) [][]float64 {
	var b basis
	for _, x := range columns {
		if y := centred(x); y != nil {
			b.add(y)
		}
	}
	// One column stands for itself, sign and all.
	return b.q
}

// sameSpace compares two spaces of the same dimension: the squared cosines
// between their bases sum to the dimension when they are one.
func sameSpace(x, y [][]float64) bool {
	sum := 0.0
	for _, a := range x {
		for _, b := range y {
			d := dot(a, b)
			sum += d * d
		}
	}
	return math.Abs(sum-float64(len(x))) <= 1e-9*float64(len(x)+1)
}

// probeVector is a fixed vector without symmetry, of unit length.
func probeVector(n int) []float64 {
	x := make([]float64, n)
	state := uint64(0x9e3779b97f4a7c15)
	for i := range x {
		state ^= state << 13
		state ^= state >> 7
		state ^= state << 17
		x[i] = float64(state>>11)/(1<<53) - 0.5
	}
	length := norm(x)
	for i := range x {
		x[i] /= length
	}
	return x
}

// weakest correlation that is told, and how many at most.
const (
	weakest     = 0.1
	mostPartial = 1000
)

// partial lists main effects that correlate with other terms without being
// aliased outright. An interaction correlates with the main effects of its own
// factors as a matter of coding, so those pairs are left out.
func (m *model) partial(sets []AliasSet) []Partial {
	same := make(map[[2]int]bool)
	for _, set := range sets {
		for _, a := range set.Terms {
			for _, b := range set.Terms {
				same[[2]int{a.Term, b.Term}] = true
			}
		}
	}
	unit := make([][]float64, len(m.columns))
	for j, x := range m.columns {
		unit[j] = centred(x)
	}
	var list []Partial
	for a := range m.mains {
		for b := a + 1; b < len(m.terms); b++ {
			if same[[2]int{a, b}] || slices.Contains(m.terms[b].Factors, m.terms[a].Factors[0]) {
				continue
			}
			strongest := 0.0
			for i := m.start[a]; i < m.start[a]+m.terms[a].Columns; i++ {
				for j := m.start[b]; j < m.start[b]+m.terms[b].Columns; j++ {
					if unit[i] == nil || unit[j] == nil {
						continue
					}
					if r := dot(unit[i], unit[j]); math.Abs(r) > math.Abs(strongest)+1e-12 {
						strongest = r
					}
				}
			}
			if math.Abs(strongest) >= weakest {
				list = append(list, Partial{a, b, max(-1, min(1, strongest))})
			}
		}
	}
	slices.SortStableFunc(list, func(x, y Partial) int {
		return cmp.Compare(math.Round(1e9*math.Abs(y.Correlation)), math.Round(1e9*math.Abs(x.Correlation)))
	})
	return list[:min(len(list), mostPartial)]
}

// inflation computes the variance inflation of the main effects.
func (m *model) inflation() []float64 {
	list := make([]float64, len(m.terms))
	var b basis
	var of []int // term of each column that was independent
	for term := range m.mains {
		for _, x := range m.columnsOf(term) {
			y := centred(x)
			if y == nil {
				continue
			}
			if _, independent := b.add(y); independent {
				of = append(of, term)
			}
		}
	}
	inverse := make([][]float64, len(of))
	for k := range of {
		inverse[k] = b.inverseRow(k)
	}
	for term := range m.mains {
		var own []int
		for k, t := range of {
			if t == term {
				own = append(own, k)
			}
		}
		whole := true
		for j := m.start[term]; j < m.start[term]+m.terms[term].Columns; j++ {
			whole = whole && !m.touched(j)
		}
		if len(own) < m.terms[term].Columns || !whole {
			list[term] = math.Inf(1)
			continue
		}
		// det of the block of the correlation matrix × det of the block of its
		// inverse, both from the triangle.
		correlation := make([][]float64, len(own))
		block := make([][]float64, len(own))
		for i, k := range own {
			correlation[i], block[i] = make([]float64, len(own)), make([]float64, len(own))
			for j, l := range own {
				correlation[i][j] = triangleDot(b.r[k], b.r[l])
				block[i][j] = dot(inverse[k], inverse[l])
			}
		}
		list[term] = math.Pow(determinant(correlation)*determinant(block), 1/float64(len(own)))
	}
	return list
}

// touched reports whether a main-effect column takes part in a dependence
// among the main effects.
func (m *model) touched(j int) bool {
	if m.dependent[j] != nil {
		return true
	}
	position := slices.Index(m.basis.from, j+1)
	for other := range m.columns {
		if m.of[other] >= m.mains {
			break
		}
		if d := m.dependent[other]; position < len(d) && d[position] != 0 {
			return true
		}
	}
	return false
}

// triangleDot is the product of two columns of the triangle.
func triangleDot(x, y []float64) float64 {
	n := min(len(x), len(y))
	return dot(x[:n], y[:n])
}
