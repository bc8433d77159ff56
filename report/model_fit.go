package report

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"benchwright/project"
	"benchwright/stats"
)

const (
	// sessionTerm names the block of sessions in a model. Ids of factors hold no
	// space, so that it cannot be one.
	sessionTerm = "bench session"
	// mostSteps is the number of levels up to which a factor of numbers enters a
	// model level by level; with more it enters as its logarithm, or as it
	// stands if it can be nought.
	mostSteps = 12
	// mostWork bounds rows × columns² over all models of a report.
	mostWork = 80_000_000
)

// fitted is the model of all factors at once for one workload.
type fitted struct {
	workload int
	model    *stats.Model
	design   *stats.Design
	columns  map[string]int // by column name, in design
	// aliases are the columns of design that depend on others; model is fitted
	// to those kept, which are listed by their place in design.
	aliases []stats.Alias
	kept    []int
	terms   []modelTerm
	// within and withinDF are the sum of squares and degrees of freedom of
	// readings about the mean of their configuration in their session: pure
	// error, against which lack of fit is judged.
	within, withinDF float64
}

// modelTerm is one factor in a model.
type modelTerm struct {
	factor int
	// levels in order as written, for a factor that enters level by level.
	levels []string
	number func(v float64) float64 // nil for those
	// low and high are the ends of a factor that enters as a number.
	low, high project.Value
}

// modelFactors are the factors that a model of all of them holds: what was
// varied on purpose, and what was to be held and was not. Followers are left
// out, since they move with their leaders; nuisances, since sessions carry them.
func (r *Report) modelFactors() []int {
	var out []int
	for _, role := range []project.Role{project.Studied, project.Held} {
		for f, factor := range r.Project.Factors {
			if factor.Role != role {
				continue
			}
			first, varies := "", false
			for c := range r.Project.Configurations {
				if r.Configurations[c].Readings == 0 {
					continue
				}
				for _, v := range r.Space.ValuesOf(c, f) {
					text := levelName(v.Value)
					varies = varies || first != "" && text != first
					first = text
				}
			}
			if varies {
				out = append(out, f)
			}
		}
	}
	return out
}

// levelName names a level within a model; what is not recorded is one.
func levelName(v project.Value) string {
	switch {
	case v.State == project.Unknown:
		return "?unknown"
	case v.State != project.Known:
		return "?unset"
	case v.Numeric:
		return strconv.FormatFloat(v.Number, 'g', -1, 64)
	}
	return v.Text
}

// modelRows collects the readings of a workload on log scale, turned so that
// more is better, in an order that the rows of files do not decide.
func (r *Report) modelRows(w int) (y []float64, configuration []int, session []int32) {
	for c := range r.work.samples {
		s := &r.work.samples[c][w]
		if !s.usable || s.n == 0 || s.Min <= 0 {
			continue
		}
		for _, o := range s.seen {
			v := math.Log(o.value)
			if !r.Project.Workloads[w].HigherBetter {
				v = -v
			}
			y = append(y, v+0)
			configuration = append(configuration, c)
			session = append(session, o.session)
		}
	}
	return y, configuration, session
}

// fit fits the model of one workload; nil when no factor varies in it or no
// degree of freedom is left.
func (r *Report) fit(w int, factors []int) *fitted {
	y, configuration, session := r.modelRows(w)
	if len(y) < 3 {
		return nil
	}
	m := &fitted{workload: w, design: stats.NewDesign(len(y)), columns: map[string]int{}}
	blocks := make([]string, len(y))
	for i, s := range session {
		blocks[i] = strconv.Itoa(int(s))
	}
	if err := m.design.AddFactor(sessionTerm, blocks, nil); err != nil {
		return nil
	}
	for _, f := range factors {
		r.addTerm(m, f, configuration, session)
	}
	if len(m.terms) == 0 {
		return nil
	}
	for j, c := range m.design.Columns() {
		m.columns[c.Name] = j
	}
	var err error
	if m.aliases, _, err = stats.Aliases(m.design); err != nil {
		return nil
	}
	own := stats.NewDesign(len(y))
	m.kept = []int{0}
	for j, c := range m.design.Columns()[1:] {
		if slices.ContainsFunc(m.aliases, func(a stats.Alias) bool { return a.Column == c.Name }) {
			continue
		}
		if own.AddColumn(c) != nil {
			return nil
		}
		m.kept = append(m.kept, j+1)
	}
	if m.model, err = stats.Fit(y, own, r.Confidence); err != nil || m.model.DF < 1 {
		return nil
	}
	m.pureError(y, configuration, session)
	return m
}

// addTerm adds a factor's columns, level by level or as a number.
func (r *Report) addTerm(m *fitted, f int, configuration []int, session []int32) {
	factor := r.Project.Factors[f]
	names := make([]string, len(configuration))
	seen := map[string]project.Value{}
	for i, c := range configuration {
		v := r.Project.ValueIn(c, int(session[i]), f).Value
		names[i] = levelName(v)
		seen[names[i]] = v
	}
	if len(seen) < 2 {
		return
	}
	var order []string
	for name := range seen {
		order = append(order, name)
	}
	place := func(name string) int {
		v := seen[name]
		for l := range factor.Levels {
			if project.Same(factor, factor.Levels[l].Value, v) {
				return l
			}
		}
		return len(factor.Levels)
	}
	slices.SortFunc(order, func(a, b string) int {
		if factor.Numeric {
			return cmp.Or(cmp.Compare(seen[a].Number, seen[b].Number), cmp.Compare(a, b))
		}
		return cmp.Or(cmp.Compare(place(a), place(b)), cmp.Compare(a, b))
	})
	if !factor.Numeric || len(order) <= mostSteps {
		if m.design.AddFactor(factor.ID, names, order) == nil {
			m.terms = append(m.terms, modelTerm{factor: f, levels: order})
		}
		return
	}
	t := modelTerm{factor: f, low: seen[order[0]], high: seen[order[len(order)-1]], number: func(v float64) float64 { return v }}
	if t.low.Number > 0 {
		t.number = math.Log
	}
	values := make([]float64, len(names))
	for i, name := range names {
		if seen[name].State != project.Known {
			return // a number that nobody wrote down cannot stand on a line
		}
		values[i] = t.number(seen[name].Number)
	}
	if m.design.AddNumeric(factor.ID, values) == nil {
		m.terms = append(m.terms, t)
	}
}

// pureError is the spread of readings about the mean of their own
// configuration and session.
func (m *fitted) pureError(y []float64, configuration []int, session []int32) {
	for i := 0; i < len(y); {
		j, sum := i, 0.0
		for j < len(y) && configuration[j] == configuration[i] && session[j] == session[i] {
			sum += y[j]
			j++
		}
		mean := sum / float64(j-i)
		for _, v := range y[i:j] {
			m.within += (v - mean) * (v - mean)
		}
		m.withinDF += float64(j - i - 1)
		i = j
	}
}

// lackOfFit tests whether the effects fail to add: the model's residual beyond
// pure error against pure error (G. E. P. Box, N. R. Draper, "Empirical
// Model-Building", 1987, section 3.10; from memory). ok is false when the
// readings leave nothing to test.
func (m *fitted) lackOfFit() (p float64, ok bool) {
	df := float64(m.model.DF) - m.withinDF
	if df < 1 || m.withinDF < 1 || m.within <= 0 {
		return 0, false
	}
	lack := max(0, m.model.RSS-m.within)
	p, err := stats.FUpper(lack/df/(m.within/m.withinDF), df, m.withinDF)
	return p, err == nil
}

// step is the contrast of one factor from one level to another; ok is false
// when the model does not hold them.
func (m *fitted) step(factorID string, t modelTerm, from, to project.Value) (c []float64, ok bool) {
	c = make([]float64, len(m.design.Columns()))
	if t.number != nil {
		if !from.Numeric || !to.Numeric || t.low.Number > 0 && (from.Number <= 0 || to.Number <= 0) {
			return nil, false
		}
		c[m.columns[factorID]] = t.number(to.Number) - t.number(from.Number)
		return c, true
	}
	for _, side := range []struct {
		level string
		sign  float64
	}{{levelName(to), 1}, {levelName(from), -1}} {
		if !slices.Contains(t.levels, side.level) {
			return nil, false
		}
		if j, column := m.columns[factorID+"="+side.level]; column {
			c[j] += side.sign
		}
	}
	return c, true
}

// estimate is the effect of a contrast of design's columns. ok is false when
// the configurations do not determine it: a column that depends on others must
// have in the contrast what those others give it, as it has in every reading.
func (m *fitted) estimate(c []float64) (stats.Estimate, bool) {
	size := 0.0
	for _, v := range c {
		size = max(size, math.Abs(v))
	}
	for _, a := range m.aliases {
		want := 0.0
		for _, of := range a.Of {
			want += of.Coefficient * c[m.columns[of.Column]]
		}
		if math.Abs(want-c[m.columns[a.Column]]) > 1e-6*size {
			return stats.Estimate{}, false
		}
	}
	own := make([]float64, len(m.kept))
	for i, j := range m.kept {
		own[i] = c[j]
	}
	e, err := m.model.Contrast(own)
	return e, err == nil
}
