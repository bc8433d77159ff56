package design

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"benchwright/project"
)

// Session stands for the session in Term.Factors, where it is a factor like
// any other: the block in which readings were taken.
const Session = -1

// Mean stands for the mean of everything in Signed.Term.
const Mean = -1

// Term is an effect: one factor for a main effect, two or more for an
// interaction, ascending. Factors index Project.Factors, or are Session.
type Term struct {
	Factors []int
	// Columns is the number of contrasts, the degrees of freedom it asks for.
	Columns int
	// Clear: the tested configurations tell it from every other term here.
	Clear bool
}

// Signed is a term inside an alias set or a relation, with its coefficient.
// For terms of several contrasts the coefficient is the largest in magnitude.
type Signed struct {
	Term        int // in Structure.Terms, or Mean
	Coefficient float64
}

// AliasSet is a set of terms whose contrasts are the same up to sign: the sum
// of their effects is all that can be seen. The first has coefficient +1, and
// so have all terms of several contrasts, which have no sign.
type AliasSet struct {
	Terms []Signed
	// Words says it: "bus = cache × memory".
	Words string
}

// Alias is a term that the terms before it make up, wholly or in part.
type Alias struct {
	Term int
	With []Signed
	// Whole: every contrast of the term depends on others, not only some.
	Whole bool
	Words string
}

// Partial is two terms that can be told apart, but badly.
type Partial struct {
	A, B int // in Structure.Terms
	// Correlation is the largest in magnitude between a contrast of the one
	// and one of the other, from −1 to 1.
	Correlation float64
}

// Structure is what the tested configurations can tell.
type Structure struct {
	// Runs is the number of different states: configurations, or
	// configurations within sessions where there are several sessions.
	Runs int
	// Terms in the order in which they were fitted: the session, main effects,
	// interactions of two factors, of three.
	Terms []Term
	// Columns counts the contrasts of all terms and the mean, Rank those that
	// are independent.
	Columns, Rank int
	Sets          []AliasSet
	Aliases       []Alias
	// Partial lists pairs of a main effect with a main effect or an interaction
	// of others that correlate by a tenth or more without being the same, the
	// strongest first, a thousand at most.
	Partial []Partial
	// Inflation is the variance inflation of each main effect by the others
	// (and the session), by index into Terms: 1 when orthogonal, +Inf when not
	// estimable, 0 for interactions. For several contrasts it is the
	// generalised factor to the power 1/columns (Fox and Monette, JASA 87, 1992).
	Inflation []float64
	// NeverVaried lists studied factors with a single level.
	NeverVaried []int
	// MoveTogether lists groups of factors that change only together, declared
	// followers aside.
	MoveTogether [][]int
	EmptyCells   []Empty
	// LeftOut is the number of interactions that were not looked at, and
	// TooManyLevels lists the factors that were not, to keep the work within
	// bounds: categories of more than fifty levels, of which nearly every run
	// has its own.
	LeftOut       int
	TooManyLevels []int
}

// StructureOptions says what to look at.
type StructureOptions struct {
	// Order of the largest interaction: 1 for main effects alone, 2, 3, …
	// 0 means 2, and 3 when there are at most four studied factors.
	Order int
}

// mostWork bounds rows × columns × rank, and so the time: some tenths of a
// second.
const mostWork = 1.2e8

// mostLevels bounds the levels of a category that is looked at.
const mostLevels = 50

// mostColumns bounds the columns of designs with few runs.
const mostColumns = 1500

// Structure says which effects the configurations that were read (in a plan:
// all) can tell apart. A factor is a term when it varies and no declared
// parent explains it; nuisance factors are none. The session is a term when
// there are several.
//
// Contrasts sum to zero over the levels, so that signs read as in textbooks.
// Whether a column depends on earlier ones is decided on columns of unit
// length by twofold Gram-Schmidt with a tolerance of 1e-7.
//
// The structure without options is worked out once; treat what it holds as
// read-only.
func (s *Space) Structure(o StructureOptions) Structure {
	if o == (StructureOptions{}) {
		return s.structure()
	}
	return s.structureWith(o)
}

func (s *Space) structureWith(o StructureOptions) Structure {
	t := s.runs()
	var st Structure
	st.Runs = len(t.configuration)
	for f, factor := range s.p.Factors {
		if factor.Role == project.Studied && t.size[f] < 2 {
			st.NeverVaried = append(st.NeverVaried, f)
		}
	}
	if st.Runs == 0 {
		return st
	}
	m := s.newModel(t, o)
	m.fit()
	st.Terms, st.Columns, st.Rank, st.LeftOut = m.terms, len(m.columns)+1, len(m.basis.from), m.leftOut
	st.TooManyLevels = m.tooMany
	st.Aliases = m.aliases()
	st.Sets = m.sets()
	st.Partial = m.partial(st.Sets)
	st.Inflation = m.inflation()
	st.MoveTogether = s.moveTogether(t)
	st.EmptyCells = s.emptyCells(t)
	return st
}

// model is the terms with their contrasts, and the fit of one on another.
type model struct {
	s       *Space
	t       *runs
	terms   []Term
	columns [][]float64 // over runs, the mean not among them
	of      []int       // term of each column
	start   []int       // first column of each term
	mains   int         // number of terms that are main effects, the session included
	leftOut int
	tooMany []int

	basis basis
	// dependent holds, for each column that depends on others, the
	// coefficients of basis columns; nil for the independent ones.
	dependent [][]float64
}

func (s *Space) newModel(t *runs, o StructureOptions) *model {
	m := &model{s: s, t: t}
	var studied, others []int
	for f, factor := range s.p.Factors {
		switch {
		case t.size[f] < 2 || factor.Role == project.Nuisance:
		case len(s.parents[f]) > 0 && t.determines(s.parents[f], f):
		case factor.Role == project.Studied:
			studied = append(studied, f)
		default:
			others = append(others, f)
		}
	}
	contrasts := make(map[int][][]float64)
	if t.sessions > 1 && t.sessions <= mostLevels {
		m.add([]int{Session}, overRows(helmert(t.sessions), t.sessionClass))
	}
	for _, f := range slices.Concat(studied, others) {
		if !s.p.Factors[f].Numeric && t.size[f] > mostLevels || !m.affords(min(t.size[f], 4)-1) {
			m.tooMany = append(m.tooMany, f)
			continue
		}
		contrasts[f] = t.contrasts(f, s.p.Factors[f].Numeric)
		m.add([]int{f}, contrasts[f])
	}
	studied = slices.DeleteFunc(studied, func(f int) bool { return contrasts[f] == nil })
	m.mains = len(m.terms)
	order := o.Order
	if order == 0 {
		if order = 2; len(studied) <= 4 {
			order = 3
		}
	}
	for size := 2; size <= min(order, len(studied)); size++ {
		eachSubset(studied, size, func(factors []int) {
			width := 1
			for _, f := range factors {
				width *= len(m.forInteraction(f, contrasts[f]))
			}
			if !m.affords(width) {
				m.leftOut++
				return
			}
			products := [][]float64{nil}
			for _, f := range factors {
				products = multiply(products, m.forInteraction(f, contrasts[f]))
			}
			m.add(slices.Clone(factors), products)
		})
	}
	return m
}

// affords reports whether so many more columns keep the work within bounds.
func (m *model) affords(more int) bool {
	rows, columns := float64(len(m.t.configuration)), float64(len(m.columns)+more)
	return columns <= mostColumns && rows*columns*min(rows, columns) <= mostWork
}

// forInteraction gives the contrasts that a factor brings into interactions:
// all, or for a number with many levels the straight line alone.
func (m *model) forInteraction(f int, contrasts [][]float64) [][]float64 {
	if m.s.p.Factors[f].Numeric && m.t.size[f] > 4 {
		return contrasts[:1]
	}
	return contrasts
}

func (m *model) add(factors []int, columns [][]float64) {
	m.start = append(m.start, len(m.columns))
	for range columns {
		m.of = append(m.of, len(m.terms))
	}
	m.columns = append(m.columns, columns...)
	m.terms = append(m.terms, Term{Factors: factors, Columns: len(columns), Clear: true})
}

// multiply gives the products of every column of x with every one of y; a nil
// column is a column of ones.
func multiply(x, y [][]float64) [][]float64 {
	var list [][]float64
	for _, a := range x {
		for _, b := range y {
			product := slices.Clone(b)
			for i := range a {
				product[i] *= a[i]
			}
			list = append(list, product)
		}
	}
	return list
}

// eachSubset calls do with every subset of the given size, in order.
func eachSubset(list []int, size int, do func([]int)) {
	chosen := make([]int, 0, size)
	var choose func(from int)
	choose = func(from int) {
		if len(chosen) == size {
			do(chosen)
			return
		}
		for i := from; i <= len(list)-(size-len(chosen)); i++ {
			chosen = append(chosen, list[i])
			choose(i + 1)
			chosen = chosen[:len(chosen)-1]
		}
	}
	choose(0)
}

// columnsOf gives the columns of a term.
func (m *model) columnsOf(term int) [][]float64 {
	return m.columns[m.start[term] : m.start[term]+m.terms[term].Columns]
}

// fit orthogonalises the mean and every column, and takes Clear from the terms
// that any dependence involves.
func (m *model) fit() {
	one := make([]float64, len(m.t.configuration))
	for i := range one {
		one[i] = 1
	}
	m.basis.add(one)
	m.dependent = make([][]float64, len(m.columns))
	for j, column := range m.columns {
		coefficients, independent := m.basis.add(column)
		if independent {
			continue
		}
		m.dependent[j] = coefficients
		m.terms[m.of[j]].Clear = false
		for k, c := range coefficients {
			if c != 0 && m.basis.from[k] > 0 {
				m.terms[m.of[m.basis.from[k]-1]].Clear = false
			}
		}
	}
}

// aliases gathers the dependent columns by term.
func (m *model) aliases() []Alias {
	var list []Alias
	for term := range m.terms {
		strongest := make(map[int]float64)
		dependent := 0
		for j := m.start[term]; j < m.start[term]+m.terms[term].Columns; j++ {
			if m.dependent[j] == nil {
				continue
			}
			dependent++
			for k, c := range m.dependent[j] {
				other := Mean
				if from := m.basis.from[k]; from > 0 {
					other = m.of[from-1]
				}
				if other != term && math.Abs(c) > math.Abs(strongest[other]) {
					strongest[other] = c
				}
			}
		}
		if dependent == 0 {
			continue
		}
		a := Alias{Term: term, Whole: dependent == m.terms[term].Columns}
		for other, c := range strongest {
			a.With = append(a.With, Signed{other, c})
		}
		slices.SortFunc(a.With, func(x, y Signed) int { return cmp.Compare(x.Term, y.Term) })
		a.Words = m.aliasWords(a)
		list = append(list, a)
	}
	return list
}

func (m *model) aliasWords(a Alias) string {
	part := ""
	if !a.Whole {
		part = "part of "
	}
	var with []string
	for _, w := range a.With {
		if w.Term != Mean {
			with = append(with, m.s.TermText(m.terms[w.Term]))
		}
	}
	name := part + m.s.TermText(m.terms[a.Term])
	if len(with) == 0 {
		return name + " never changes sign"
	}
	return name + " cannot be told from " + listOf(with)
}

// TermText names a term: "bus", "bus × cache", "session".
func (s *Space) TermText(t Term) string {
	names := make([]string, len(t.Factors))
	for i, f := range t.Factors {
		if names[i] = "session"; f != Session {
			names[i] = s.p.Factors[f].ID
		}
	}
	return strings.Join(names, " × ")
}
