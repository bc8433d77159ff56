package stats

import (
	"fmt"
	"math"
)

// Product is the product of independent estimates with the spread carried
// through to first order: relative variances add (JCGM 100:2008, "Guide to the
// expression of uncertainty in measurement", 5.1.6), degrees of freedom after
// Welch and Satterthwaite (G.4.1 there). Energy = power × time is one. At
// least one factor; a factor of value 0 with a spread is allowed.
func Product(factors ...Estimate) (Estimate, error) {
	if len(factors) == 0 {
		return Estimate{}, fmt.Errorf("product of none: %w", ErrTooFew)
	}
	value := 1.0
	for _, f := range factors {
		if err := checkEstimate(f); err != nil {
			return Estimate{}, fmt.Errorf("product: %w", err)
		}
		value *= f.Value
	}
	se := make([]float64, len(factors))
	df := make([]float64, len(factors))
	for i, f := range factors {
		se[i], df[i] = f.SE, f.DF
		for j, g := range factors {
			if j != i {
				se[i] *= math.Abs(g.Value)
			}
		}
	}
	return propagated("product", value, se, df)
}

// Quotient is a/b of independent estimates, to first order like Product.
// Performance per watt is one. b must not be 0. For readings taken in pairs,
// or a b that is not clearly apart from zero, use Fieller instead.
func Quotient(a, b Estimate) (Estimate, error) {
	if err := checkEstimate(a); err != nil {
		return Estimate{}, fmt.Errorf("quotient: %w", err)
	}
	if err := checkEstimate(b); err != nil {
		return Estimate{}, fmt.Errorf("quotient: %w", err)
	}
	if b.Value == 0 {
		return Estimate{}, fmt.Errorf("quotient by zero: %w", ErrDomain)
	}
	q := a.Value / b.Value
	return propagated("quotient", q,
		[]float64{a.SE / math.Abs(b.Value), math.Abs(q) * (b.SE / math.Abs(b.Value))},
		[]float64{a.DF, b.DF})
}

// Scaled is the estimate times a constant known without error.
func (e Estimate) Scaled(by float64) (Estimate, error) {
	return Product(e, Estimate{Value: by})
}

func checkEstimate(e Estimate) error {
	if !finite(e.Value, e.SE, e.DF) {
		return ErrNotFinite
	}
	if e.SE < 0 || e.DF < 0 {
		return ErrDomain
	}
	return nil
}

func propagated(what string, value float64, se, df []float64) (Estimate, error) {
	total := 0.0
	for _, s := range se {
		total = math.Hypot(total, s)
	}
	if !finite(value, total) {
		return Estimate{}, fmt.Errorf("%s: %w", what, ErrRange)
	}
	return Estimate{value, total, satterthwaite(se, df)}, nil
}
