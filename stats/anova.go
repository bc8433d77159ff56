package stats

import (
	"fmt"
)

// VarianceRow is one line of an analysis of variance.
type VarianceRow struct {
	Term   string
	DF     int
	SS, MS float64
	F, P   float64 // 0 in the residual line and where there is no spread
}

// ResidualTerm names the last line of an analysis of variance.
const ResidualTerm = "residual"

// Variance splits the total sum of squares by term, each term given those
// before it (sequential, "type I"), followed by the residual line. In
// unbalanced designs the order of terms matters; NestedF tests one term given
// all others. Terms that are wholly aliased have no degrees of freedom.
func (m *Model) Variance() ([]VarianceRow, error) {
	var rows []VarianceRow
	at := map[string]int{}
	for _, t := range m.design.Terms() {
		if t == ConstantTerm {
			continue
		}
		at[t] = len(rows)
		rows = append(rows, VarianceRow{Term: t})
	}
	for k, j := range m.factors.kept {
		r := &rows[at[m.design.columns[j].Term]]
		r.DF++
		r.SS += m.effects[k] * m.effects[k] * m.yUnit * m.yUnit
	}
	residual := VarianceRow{Term: ResidualTerm, DF: m.DF, SS: m.RSS}
	if m.DF > 0 {
		residual.MS = m.RSS / float64(m.DF)
	}
	for i := range rows {
		r := &rows[i]
		if r.DF == 0 {
			continue
		}
		r.MS = r.SS / float64(r.DF)
		if !finite(r.MS) {
			return nil, fmt.Errorf("analysis of variance, term %q: %w", r.Term, ErrRange)
		}
		if !m.HasSpread || residual.MS == 0 {
			continue
		}
		var err error
		if r.F, err = inRange("variance ratio", r.MS/residual.MS); err != nil {
			return nil, err
		}
		if r.P, err = FUpper(r.F, float64(r.DF), float64(m.DF)); err != nil {
			return nil, err
		}
	}
	return append(rows, residual), nil
}

// NestedF tests whether the columns that large has beyond small explain more
// than chance: F = ((RSS_small − RSS_large)/Δrank)/(RSS_large/DF_large). Both
// must be fitted to the same readings and small's columns must lie within
// large's. ErrNoSpread if large fits exactly, ErrNotEstimable if the extra
// columns are aliased away.
func NestedF(small, large *Model) (VarianceRow, error) {
	if small == nil || large == nil || len(small.Residuals) != len(large.Residuals) {
		return VarianceRow{}, fmt.Errorf("comparing nested models: %w", ErrLength)
	}
	r := VarianceRow{DF: large.Rank - small.Rank}
	if r.DF <= 0 {
		return r, fmt.Errorf("comparing nested models: %w", ErrNotEstimable)
	}
	if !large.HasSpread || large.RSS == 0 {
		return r, fmt.Errorf("comparing nested models: %w", ErrNoSpread)
	}
	r.SS = max(0, small.RSS-large.RSS)
	r.MS = r.SS / float64(r.DF)
	var err error
	if r.F, err = inRange("variance ratio", r.MS/(large.RSS/float64(large.DF))); err != nil {
		return r, err
	}
	r.P, err = FUpper(r.F, float64(r.DF), float64(large.DF))
	return r, err
}
