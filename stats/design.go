package stats

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// Column is one column of a linear model: a numeric factor, an indicator of a
// level, or a product of such.
type Column struct {
	Name   string // "memory=fast", "clock", "memory=fast × clock"
	Term   string // the factor or interaction that it belongs to: "memory"
	Values []float64
}

// Design holds the columns of a linear model, one value per reading. Its first
// column is the constant, whose term is "constant".
type Design struct {
	rows    int
	columns []Column
}

// ConstantTerm names the first column of every design and its term.
const ConstantTerm = "constant"

// NewDesign starts a design with the constant for the given number of readings.
func NewDesign(rows int) *Design {
	ones := make([]float64, max(0, rows))
	for i := range ones {
		ones[i] = 1
	}
	return &Design{rows: len(ones), columns: []Column{{ConstantTerm, ConstantTerm, ones}}}
}

// Rows is the number of readings.
func (d *Design) Rows() int { return d.rows }

// Columns gives the columns in order; treat them as read-only.
func (d *Design) Columns() []Column { return d.columns }

// Terms gives the terms in order of first appearance, the constant first.
func (d *Design) Terms() []string {
	var t []string
	for _, c := range d.columns {
		if !slices.Contains(t, c.Term) {
			t = append(t, c.Term)
		}
	}
	return t
}

// Row gives the values of one reading in all columns. The difference of two
// rows is a contrast that Model.Contrast can estimate.
func (d *Design) Row(i int) []float64 {
	r := make([]float64, len(d.columns))
	for j, c := range d.columns {
		r[j] = c.Values[i]
	}
	return r
}

// AddColumn adds any column.
func (d *Design) AddColumn(c Column) error {
	if len(c.Values) != d.rows {
		return fmt.Errorf("column %q has %d values for %d readings: %w", c.Name, len(c.Values), d.rows, ErrLength)
	}
	if !finite(c.Values...) {
		return fmt.Errorf("column %q: %w", c.Name, ErrNotFinite)
	}
	d.columns = append(d.columns, c)
	return nil
}

// AddNumeric adds a numeric factor as it stands.
func (d *Design) AddNumeric(name string, values []float64) error {
	return d.AddColumn(Column{name, name, values})
}

// AddFactor adds a categorical factor as indicators "name=level" of every
// level but the first (treatment coding: each coefficient is the step from the
// first level). order lists the levels, the baseline first; nil sorts them.
// Levels that do not occur get no column.
func (d *Design) AddFactor(name string, values, order []string) error {
	if len(values) != d.rows {
		return fmt.Errorf("factor %q has %d values for %d readings: %w", name, len(values), d.rows, ErrLength)
	}
	seen := map[string]bool{}
	for _, v := range values {
		seen[v] = true
	}
	if order == nil {
		for v := range seen {
			order = append(order, v)
		}
		slices.Sort(order)
	} else {
		for _, v := range values {
			if !slices.Contains(order, v) {
				return fmt.Errorf("factor %q: level %q is not in the list of levels: %w", name, v, ErrDomain)
			}
		}
		order = slices.DeleteFunc(slices.Clone(order), func(v string) bool { return !seen[v] })
	}
	for i, level := range order {
		if i == 0 {
			continue
		}
		c := Column{name + "=" + level, name, make([]float64, d.rows)}
		for r, v := range values {
			if v == level {
				c.Values[r] = 1
			}
		}
		d.columns = append(d.columns, c)
	}
	return nil
}

// AddInteraction adds the products of the columns of terms that are already
// in the design, under the term "a × b".
func (d *Design) AddInteraction(terms ...string) error {
	if len(terms) < 2 {
		return fmt.Errorf("interaction of %d terms: %w", len(terms), ErrTooFew)
	}
	term := strings.Join(terms, " × ")
	var products []Column
	for i, t := range terms {
		var of []Column
		for _, c := range d.columns {
			if c.Term == t {
				of = append(of, c)
			}
		}
		if i == 0 {
			products = of
			continue
		}
		// The first term's levels vary fastest.
		var next []Column
		for _, c := range of {
			for _, p := range products {
				v := make([]float64, d.rows)
				for r := range v {
					v[r] = p.Values[r] * c.Values[r]
				}
				next = append(next, Column{p.Name + " × " + c.Name, term, v})
			}
		}
		products = next
	}
	for _, p := range products {
		p.Term = term
		if err := d.AddColumn(p); err != nil {
			return err
		}
	}
	return nil
}

// Without is the design less the given terms.
func (d *Design) Without(terms ...string) *Design {
	r := &Design{rows: d.rows}
	for _, c := range d.columns {
		if !slices.Contains(terms, c.Term) {
			r.columns = append(r.columns, c)
		}
	}
	return r
}

// Correlation gives the correlations between the columns other than the
// constant, in their order: ±1 is a full alias of two, anything between 0 and
// ±1 a partial one. A column without variation has correlation 0 with all.
func (d *Design) Correlation() [][]float64 {
	var cols [][]float64
	for _, c := range d.columns[min(1, len(d.columns)):] {
		v, _, _, ok := centred(c.Values)
		if !ok {
			v = make([]float64, d.rows)
		}
		cols = append(cols, v)
	}
	r := make([][]float64, len(cols))
	for i := range r {
		r[i] = make([]float64, len(cols))
		r[i][i] = 1
		for j := 0; j < i; j++ {
			v := math.Max(-1, math.Min(1, sumOfProducts(cols[i], cols[j])))
			if math.Abs(v) < 1e-14 {
				v = 0
			}
			r[i][j], r[j][i] = v, v
		}
	}
	return r
}

// sumOfProducts is the inner product with exact addition.
func sumOfProducts(a, b []float64) float64 {
	var s exactSum
	for i := range a {
		addTo(&s, a[i]*b[i])
	}
	return s.rounded(sumUnit)
}

// Alias says that one column is a combination of others: no data from this
// design can tell its effect from theirs.
type Alias struct {
	Column string // the column that was dropped
	Of     []AliasPart
}

// AliasPart is one kept column of the combination. Num/Den is the coefficient
// as a fraction when it is one with a denominator up to 64; Den is 0 otherwise.
type AliasPart struct {
	Column      string
	Coefficient float64
	Num, Den    int
}

// asFraction finds the simplest fraction near v.
func asFraction(v float64) (num, den int, ok bool) {
	for q := 1; q <= 64; q++ {
		p := math.Round(v * float64(q))
		if math.Abs(p) < 1e6 && math.Abs(v-p/float64(q)) < 1e-7*math.Max(1, math.Abs(v)) {
			return int(p), q, true
		}
	}
	return 0, 0, false
}
