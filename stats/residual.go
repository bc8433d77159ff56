package stats

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mathext"
)

// ResidualChecks are the usual doubts about a linear model, each as a figure
// with a p value. A check that the readings do not allow has Has… false.
type ResidualChecks struct {
	// Largest is the row of the largest studentised residual and P its
	// probability under the model, Bonferroni-corrected for the number of rows.
	LargestRow int
	Largest    float64
	LargestP   float64
	HasLargest bool
	// Normality is Shapiro and Francia's W′ of the residuals.
	Normality    float64
	NormalityP   float64
	HasNormality bool
	// SpreadTrend is Koenker's statistic for a spread that changes with the
	// fitted value, chi-square with one degree of freedom.
	SpreadTrend    float64
	SpreadTrendP   float64
	HasSpreadTrend bool
}

// CheckResiduals looks for a reading that the model cannot explain, for
// residuals that are not normal, and for a spread that grows with the fitted
// value. R. Koenker, "A note on studentizing a test for heteroscedasticity",
// J. Econometrics 17, 1981, 107–112.
func (m *Model) CheckResiduals() (ResidualChecks, error) {
	var c ResidualChecks
	if !m.HasSpread {
		return c, nil
	}
	n := len(m.Residuals)
	e := make([]float64, n)
	squared := make([]float64, n)
	fitted := make([]float64, n)
	for i, r := range m.Residuals {
		e[i] = r.Value / m.Sigma
		squared[i] = e[i] * e[i]
		fitted[i] = r.Fitted
		if r.HasStudentised && (!c.HasLargest || math.Abs(r.Studentised) > math.Abs(c.Largest)) {
			c.HasLargest, c.LargestRow, c.Largest = true, i, r.Studentised
		}
	}
	if !finite(e...) || !finite(squared...) {
		return ResidualChecks{}, fmt.Errorf("checking residuals: %w", ErrRange)
	}
	if c.HasLargest {
		c.LargestP = math.Min(1, float64(n)*twoSidedP(c.Largest, float64(m.DF-1)))
	}
	if w, p, err := ShapiroFrancia(e); err == nil {
		c.HasNormality, c.Normality, c.NormalityP = true, w, p
	}
	s, _, _, ok1 := centred(squared)
	f, _, _, ok2 := centred(fitted)
	if ok1 && ok2 && n > 3 {
		r := sumOfProducts(s, f)
		c.SpreadTrend = float64(n) * r * r
		p, err := ChiSquareUpper(c.SpreadTrend, 1)
		if err != nil {
			return ResidualChecks{}, err
		}
		c.HasSpreadTrend, c.SpreadTrendP = true, p
	}
	return c, nil
}

// ShapiroFrancia is the squared correlation W′ of the sorted readings with
// normal scores, and the probability of one as low from normal readings, for
// 5 ≤ n ≤ 5000. S. S. Shapiro, R. S. Francia, JASA 67, 1972, 215–216; p value
// after P. Royston, "A pocket-calculator algorithm for the Shapiro-Francia
// test for non-normality", Statistics in Medicine 12, 1993, 181–184
// (coefficients from memory, checked by simulation).
func ShapiroFrancia(x []float64) (w, p float64, err error) {
	if err := checkFinite("test of normality", x, 5); err != nil {
		return 0, 0, err
	}
	if len(x) > 5000 {
		return 0, 0, fmt.Errorf("test of normality of %d: %w", len(x), ErrDomain)
	}
	n := float64(len(x))
	scores := make([]float64, len(x))
	for i := range scores {
		scores[i] = mathext.NormalQuantile((float64(i+1) - 0.375) / (n + 0.25))
	}
	a, _, _, ok := centred(sorted(x))
	if !ok {
		return 0, 0, fmt.Errorf("test of normality: %w", ErrNoSpread)
	}
	b, _, _, _ := centred(scores)
	r := sumOfProducts(a, b)
	w = math.Min(1, r*r)
	if w == 1 {
		return 1, 1, nil
	}
	u := math.Log(n)
	v := math.Log(u)
	mean := -1.2725 + 1.0521*(v-u)
	sd := 1.0308 - 0.26758*(v+2/u)
	return w, 0.5 * math.Erfc((math.Log1p(-w)-mean)/sd/math.Sqrt2), nil
}
