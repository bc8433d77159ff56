package stats

import (
	"math/rand/v2"
	"testing"
)

// A reading that does not belong is found, clean ones are not accused.
func TestResidualChecks(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 14))
	n := 40
	x, y := make([]float64, n), make([]float64, n)
	for i := range x {
		x[i] = float64(i)
		y[i] = 5 + 0.3*x[i] + r.NormFloat64()
	}
	fit := func() ResidualChecks {
		d := NewDesign(n)
		ok(t, d.AddNumeric("x", x))
		m, err := Fit(y, d, 0.95)
		ok(t, err)
		c, err := m.CheckResiduals()
		ok(t, err)
		total := 0.0
		for _, r := range m.Residuals {
			total += r.Leverage
		}
		near(t, "leverages add up to the rank", total, 2, 1e-13)
		return c
	}
	c := fit()
	if !c.HasLargest || !c.HasNormality || !c.HasSpreadTrend || c.LargestP < 0.05 || c.NormalityP < 0.05 || c.SpreadTrendP < 0.05 {
		t.Errorf("clean readings: %+v", c)
	}
	y[17] += 8
	c = fit()
	if c.LargestRow != 17 || c.LargestP > 1e-4 || c.NormalityP > 0.01 {
		t.Errorf("a wild reading: %+v", c)
	}
	y[17] -= 8
	for i := range y {
		y[i] = 5 + 0.3*x[i] + (y[i]-5-0.3*x[i])*x[i]/10
	}
	if c = fit(); c.SpreadTrendP > 0.05 {
		t.Errorf("a growing spread: %+v", c)
	}
}

// Under normal readings p must be uniform: checks the coefficients of the
// approximation.
func TestShapiroFranciaHasItsLevel(t *testing.T) {
	for _, n := range []int{8, 20, 100} {
		r := rand.New(rand.NewPCG(8, uint64(n)))
		const reps = 4000
		var at5, at1 float64
		x := make([]float64, n)
		for i := 0; i < reps; i++ {
			for j := range x {
				x[j] = r.NormFloat64()
			}
			_, p, err := ShapiroFrancia(x)
			ok(t, err)
			if p < 0.05 {
				at5++
			}
			if p < 0.01 {
				at1++
			}
		}
		within(t, "share below 5 %", at5/reps, 0.05, 0.013)
		within(t, "share below 1 %", at1/reps, 0.01, 0.006)
	}
}

// A studentised residual is the t of an indicator of its own row.
func TestStudentisedResidualsByIndicator(t *testing.T) {
	x := []float64{1, 2, 4, 7, 9, 12}
	y := []float64{3, 5, 6, 14, 13, 22}
	d := NewDesign(6)
	ok(t, d.AddNumeric("x", x))
	m, err := Fit(y, d, 0.95)
	ok(t, err)
	for i, r := range m.Residuals {
		e := NewDesign(6)
		own := make([]float64, 6)
		own[i] = 1
		ok(t, e.AddNumeric("x", x))
		ok(t, e.AddNumeric("own", own))
		n, err := Fit(y, e, 0.95)
		ok(t, err)
		near(t, "studentised residual", r.Studentised, n.Coefficients[2].T, 1e-10)
	}
}
