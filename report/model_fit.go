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
	*frame
	workload int
	model    *stats.Model
	// within and withinDF are the sum of squares and degrees of freedom of
	// readings about the mean of their configuration in their session: pure
	// error, against which lack of fit is judged.
	within, withinDF float64
}

// frame is what models share when their workloads were read on the same
// configurations in the same sessions: everything but the readings.
type frame struct {
	configuration []int // of each reading
	session       []int32
	design        *stats.Design
	columns       map[string]int // by column name, in design
	// aliases are the columns of design that depend on others; models are
	// fitted to those kept, which are listed by their place in design.
	aliases []stats.Alias
	own     *stats.Factored
	kept    []int
	terms   []modelTerm
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

// modelRows collects the readings of a workload on log scale, turned
// like its ratios, in an order that the rows of files do not decide.
func (r *Report) modelRows(w int) (y []float64, configuration []int, session []int32) {
	for c := range r.work.samples {
		s := &r.work.samples[c][w]
		if !s.usable || s.n == 0 || s.Min <= 0 {
			continue
		}
		for _, o := range s.seen {
			v := math.Log(o.value)
			if r.Project.Workloads[w].Turned {
				v = -v
			}
			y = append(y, v+0)
			configuration = append(configuration, c)
			session = append(session, o.session)
		}
	}
	return y, configuration, session
}

// fit fits the models of the workloads, nil for one in which no factor varies
// or no degree of freedom is left. What workloads share is made once.
func (r *Report) fit(workloads, factors []int) []*fitted {
	models := make([]*fitted, len(workloads))
	readings := make([][]float64, len(workloads))
	var frames []*frame
	for i, w := range workloads {
		y, configuration, session := r.modelRows(w)
		readings[i] = y
		at := slices.IndexFunc(frames, func(f *frame) bool {
			return slices.Equal(f.configuration, configuration) && slices.Equal(f.session, session)
		})
		if at < 0 {
			at = len(frames)
			frames = append(frames, &frame{configuration: configuration, session: session})
		}
		models[i] = &fitted{frame: frames[at], workload: w}
	}
	inFew(len(frames), func(i int) { r.build(frames[i], factors) })
	inFew(len(models), func(i int) {
		m, y := models[i], readings[i]
		var err error
		if m.own == nil {
			models[i] = nil
		} else if m.model, err = m.own.Fit(y, r.Confidence); err != nil || m.model.DF < 1 {
			models[i] = nil
		} else {
			m.pureError(y)
		}
	})
	return models
}

// build makes the design of a frame; own stays nil when no factor varies.
func (r *Report) build(m *frame, factors []int) {
	n := len(m.configuration)
	if n < 3 {
		return
	}
	m.design, m.columns = stats.NewDesign(n), map[string]int{}
	blocks := make([]string, n)
	for i, s := range m.session {
		blocks[i] = strconv.Itoa(int(s))
	}
	if err := m.design.AddFactor(sessionTerm, blocks, nil); err != nil {
		return
	}
	for _, f := range factors {
		r.addTerm(m, f)
	}
	if len(m.terms) == 0 {
		return
	}
	for j, c := range m.design.Columns() {
		m.columns[c.Name] = j
	}
	whole, err := stats.Factorise(m.design)
	if err != nil {
		return
	}
	m.aliases, _ = whole.Aliases()
	m.own, m.kept = whole.Kept()
}

// addTerm adds a factor's columns, level by level or as a number.
func (r *Report) addTerm(m *frame, f int) {
	factor := r.Project.Factors[f]
	names := make([]string, len(m.configuration))
	seen := map[string]project.Value{}
	for i, c := range m.configuration {
		if i > 0 && c == m.configuration[i-1] && m.session[i] == m.session[i-1] {
			names[i] = names[i-1]
			continue
		}
		v := r.Project.ValueIn(c, int(m.session[i]), f).Value
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
func (m *fitted) pureError(y []float64) {
	configuration, session := m.configuration, m.session
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
// pure error against pure error. ok is false when the readings leave nothing to
// test.
func (m *fitted) lackOfFit() (p float64, ok bool) {
	l, ok := stats.LackOfFit(max(0, m.model.RSS-m.within), float64(m.model.DF)-m.withinDF, m.within, m.withinDF)
	return l.P, ok
}

// step is the contrast of one factor from one level to another; ok is false
// when the model does not hold them.
func (m *frame) step(factorID string, t modelTerm, from, to project.Value) (c []float64, ok bool) {
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
