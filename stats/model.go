package stats

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/floats"
)

// Coefficient is the estimated effect of one column, the others given.
type Coefficient struct {
	Name, Term string
	// Aliased columns were dropped: the design cannot tell them from others.
	Aliased  bool
	Value    float64
	SE       float64  // 0 when the model has no spread to judge by
	Interval Interval // unknown in the same case
	T, P     float64  // test of no effect
	// VIF is the variance inflation factor: 1 for a column that no other
	// column resembles, large for one that can hardly be told from them.
	// D. W. Marquardt, Technometrics 12, 1970, 591–612. 0 for the constant.
	VIF float64
}

// Residual is what the model leaves of one reading.
type Residual struct {
	Fitted, Value float64
	// Leverage is the share of its own fitted value that the reading decides.
	Leverage float64
	// Studentised is the residual over its standard deviation, estimated
	// without this reading. Undetermined (false) where leverage is 1 or no
	// degree of freedom is left.
	Studentised    float64
	HasStudentised bool
}

// Model is a linear model fitted by least squares.
type Model struct {
	Coefficients []Coefficient
	Aliases      []Alias
	Residuals    []Residual // in the order of the readings
	Rank         int        // columns that count, constant included
	DF           int        // degrees of freedom left
	RSS, TSS     float64    // residual sum of squares; about the mean
	Sigma        float64    // residual standard deviation
	R2           float64
	Level        float64
	// HasSpread is false where nothing is left to judge by: no degrees of
	// freedom, or a fit that is exact but for rounding.
	HasSpread bool

	design  *Design
	factors *factors
	effects []float64 // per kept column, y along q
	yMean   float64
	yUnit   float64
}

// Fit fits y = design·b by least squares: an orthogonal factorisation with
// columns centred and scaled, in which a column that depends on earlier ones
// is dropped and reported as an alias, as R's lm does. Readings need not be
// balanced. At least as many readings as independent columns. The order of the
// readings does not matter, to the last bit.
func Fit(y []float64, d *Design, level float64) (*Model, error) {
	if err := checkLevel(level); err != nil {
		return nil, err
	}
	if d == nil || len(d.columns) == 0 || d.columns[0].Term != ConstantTerm {
		return nil, fmt.Errorf("fitting a model without a constant: %w", ErrDomain)
	}
	if err := checkReadings(y, d); err != nil {
		return nil, err
	}
	f, err := Factorise(d)
	if err != nil {
		return nil, err
	}
	return f.Fit(y, level)
}

// checkReadings says whether readings can be fitted to a design.
func checkReadings(y []float64, d *Design) error {
	if len(y) != d.rows {
		return fmt.Errorf("fitting %d readings to %d rows: %w", len(y), d.rows, ErrLength)
	}
	return checkFinite("fitting readings", y, 1)
}

// Fit is the function Fit for a design that was factorised before.
func (f *Factored) Fit(y []float64, level float64) (*Model, error) {
	if err := checkLevel(level); err != nil {
		return nil, err
	}
	if err := checkReadings(y, f.design); err != nil {
		return nil, err
	}
	m := &Model{design: f.design, factors: f.factors, Level: level}
	m.Aliases, m.Rank = f.Aliases()
	m.DF = f.design.rows - m.Rank
	if m.DF < 0 {
		return nil, fmt.Errorf("fitting %d readings: %w", f.design.rows, ErrTooFew)
	}
	if err := m.project(y, f.orderFor(y), f.leverage); err != nil {
		return nil, err
	}
	return m, m.solve()
}

// Aliases gives the dependent columns of a design, without any readings: what
// a plan cannot tell apart.
func Aliases(d *Design) ([]Alias, int, error) {
	f, err := Factorise(d)
	if err != nil {
		return nil, 0, err
	}
	a, rank := f.Aliases()
	return a, rank, nil
}

// VarianceInflation gives the variance inflation factor of every column of a
// design, given all others, without any readings: 1 for a column unlike all
// others, 10 or more by common practice a warning, 0 for the constant and for
// columns that are dropped as aliases.
func VarianceInflation(d *Design) ([]float64, error) {
	f, err := Factorise(d)
	if err != nil {
		return nil, err
	}
	v := make([]float64, len(d.columns))
	for k, j := range f.factors.kept {
		v[j] = f.factors.inflation(k)
	}
	return v, nil
}

// project splits y into its parts along the columns and the rest. order is the
// canonical one for y; leverage goes by it.
func (m *Model) project(y []float64, order []int, leverage []float64) error {
	f := m.factors
	v := make([]float64, len(y))
	high := 0.0
	for i, o := range order {
		v[i] = y[o]
		high = math.Max(high, math.Abs(v[i]))
	}
	m.yUnit = 1
	if high > 0 {
		_, e := math.Frexp(high)
		m.yUnit = math.Ldexp(1, max(-1021, min(1023, e)))
	}
	for i := range v {
		v[i] /= m.yUnit
	}
	s, err := exactOf(v)
	if err != nil {
		return err
	}
	m.yMean = s.dividedBy(len(v), sumUnit)
	size := floats.Norm(v, 2)
	for i := range v {
		v[i] -= m.yMean
	}
	tss := floats.Dot(v, v)
	m.effects = make([]float64, len(f.q))
	orthogonalise(f.q, v, m.effects)
	rss := floats.Dot(v, v)
	// What is left is rounding if it is this small against the readings.
	if m.DF == 0 || rss <= float64(len(v))*math.Pow(1e-15*size, 2)*100 {
		rss = 0
	}
	m.HasSpread = m.DF > 0 && rss > 0
	m.TSS, m.RSS = tss*m.yUnit*m.yUnit, rss*m.yUnit*m.yUnit
	if !finite(m.TSS, m.RSS) {
		return fmt.Errorf("fitting readings: %w", ErrRange)
	}
	sigma := 0.0
	if m.HasSpread {
		sigma = math.Sqrt(rss / float64(m.DF))
	}
	m.Sigma = sigma * m.yUnit
	if tss > 0 {
		m.R2 = math.Max(0, 1-rss/tss)
	}
	m.residuals(v, y, order, leverage, sigma, rss)
	return nil
}

// residuals describes what is left of each reading; v is in canonical order
// and scaled, y as given.
func (m *Model) residuals(v, y []float64, order []int, leverage []float64, sigma, rss float64) {
	m.Residuals = make([]Residual, len(y))
	for i, o := range order {
		h := leverage[i]
		r := Residual{Value: v[i] * m.yUnit, Fitted: y[o] - v[i]*m.yUnit, Leverage: h}
		if m.HasSpread && m.DF > 1 && h < 1-1e-10 {
			rest := (rss - v[i]*v[i]/(1-h)) / float64(m.DF-1)
			if rest > 1e-14*sigma*sigma {
				r.Studentised, r.HasStudentised = v[i]/math.Sqrt(rest*(1-h)), true
			}
		}
		m.Residuals[o] = r
	}
}

// solve turns effects into coefficients with their errors.
func (m *Model) solve() error {
	b := m.factors.backSolve(m.effects)
	critical := 0.0
	c := make([]float64, len(m.design.columns))
	m.Coefficients = make([]Coefficient, len(c))
	position := make([]int, len(c))
	for k, j := range m.factors.kept {
		position[j] = k + 1
	}
	for j, col := range m.design.columns {
		k := &m.Coefficients[j]
		k.Name, k.Term = col.Name, col.Term
		if j > 0 && position[j] == 0 {
			k.Aliased = true
			continue
		}
		clear(c)
		c[j] = 1
		e := m.combination(c, b)
		k.Value, k.SE = e.Value, e.SE
		if !finite(k.Value, k.SE) {
			return fmt.Errorf("effect of %q: %w", col.Name, ErrRange)
		}
		if j > 0 {
			k.VIF = m.factors.inflation(position[j] - 1)
		}
		if !m.HasSpread || k.SE == 0 {
			continue
		}
		if !(critical > 0) { // the same for all: they share their degrees of freedom
			var err error
			if critical, err = criticalT(m.Level, e.DF); err != nil {
				return fmt.Errorf("effect of %q: %w", col.Name, err)
			}
		}
		var err error
		if k.Interval, err = checkedInterval(e.Value-critical*e.SE, e.Value+critical*e.SE, m.Level); err != nil {
			return fmt.Errorf("effect of %q: %w", col.Name, err)
		}
		if k.T, err = inRange("t", k.Value/k.SE); err != nil {
			return fmt.Errorf("effect of %q: %w", col.Name, err)
		}
		k.P = twoSidedP(k.T, e.DF)
	}
	return nil
}

// combination is Σ c_j·coefficient_j over kept columns; b are the scaled
// coefficients.
func (m *Model) combination(c, b []float64) Estimate {
	f := m.factors
	value := c[0] * m.yMean
	d := make([]float64, len(f.kept))
	for k, j := range f.kept {
		d[k] = (c[j] - c[0]*f.mean[j]) / f.scale[j]
		value += d[k] * b[k]
	}
	v := c[0]*c[0]/float64(m.design.rows) + f.varianceOf(d)
	return Estimate{value * m.yUnit, m.Sigma * math.Sqrt(v), float64(m.DF)}
}

// Contrast estimates Σ c_j·coefficient_j, c having one entry per column of the
// design. Dropped columns may have entries: the combination is estimable if
// it is the same for every way to share out aliased effects, else
// ErrNotEstimable. SE is 0 where the model has no spread.
func (m *Model) Contrast(c []float64) (Estimate, error) {
	if len(c) != len(m.design.columns) {
		return Estimate{}, fmt.Errorf("contrast of %d entries for %d columns: %w", len(c), len(m.design.columns), ErrLength)
	}
	if !finite(c...) {
		return Estimate{}, fmt.Errorf("contrast: %w", ErrNotFinite)
	}
	f := m.factors
	for j := range c {
		scaled, dropped := f.aliases[j]
		if !dropped {
			continue
		}
		// x_j = constant + Σ a_k x_k must hold for c as it does for every row.
		want, size := c[0]*f.mean[j], math.Abs(c[j])
		if f.scale[j] > 0 {
			for k, a := range scaled {
				col := f.kept[k]
				part := a * (f.scale[j] / f.scale[col]) * (c[col] - c[0]*f.mean[col])
				want += part
				size = math.Max(size, math.Abs(part))
			}
		}
		if math.Abs(want-c[j]) > 1e-6*math.Max(size, math.Abs(want)) {
			return Estimate{}, fmt.Errorf("contrast on %q: %w", m.design.columns[j].Name, ErrNotEstimable)
		}
	}
	e := m.combination(c, f.backSolve(m.effects))
	if !finite(e.Value, e.SE) {
		return Estimate{}, fmt.Errorf("contrast: %w", ErrRange)
	}
	return e, nil
}
