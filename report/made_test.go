package report

import (
	"math/rand/v2"
	"strconv"
	"testing"

	"benchwright/design"
	"benchwright/project"
)

// made builds a project in Go, for tests that want no folder.
type made struct {
	*project.Project
}

func make1() *made {
	return &made{&project.Project{
		Title: "made", Language: "en-GB", Confidence: 0.95, MinimumRepeats: 3, LargestSpread: 0.05, Date: "2026-01-01",
		Places: nil,
	}}
}

func level(v any) project.Value {
	switch v := v.(type) {
	case int:
		return project.Value{State: project.Known, Numeric: true, Number: float64(v), Text: strconv.Itoa(v)}
	case float64:
		return project.Value{State: project.Known, Numeric: true, Number: v, Text: strconv.FormatFloat(v, 'g', -1, 64)}
	case string:
		return project.Value{State: project.Known, Text: v}
	}
	return project.Value{}
}

func (m *made) factor(id string, role project.Role, unit string, levels ...any) int {
	f := &project.Factor{ID: id, Index: len(m.Factors), Label: id, Role: role}
	f.Unit.Symbol = unit
	for _, l := range levels {
		v := level(l)
		f.Numeric = v.Numeric
		f.Levels = append(f.Levels, project.Level{Value: v})
	}
	m.Factors = append(m.Factors, f)
	return f.Index
}

func (m *made) workload(id, unit string, higher bool) int {
	w := &project.Workload{ID: id, Index: len(m.Workloads), Label: id, Metric: id, HigherBetter: higher, Turned: !higher, Composite: true}
	w.Unit, _ = project.ParseUnit(unit)
	if w.Unit.Symbol == "" {
		w.Unit.Symbol = unit
	}
	m.Workloads = append(m.Workloads, w)
	return w.Index
}

// aside takes a workload out of every mean, so that it is given as it was read.
func (m *made) aside(id string) {
	for _, w := range m.Workloads {
		if w.ID == id {
			w.Composite, w.Turned = false, false
		}
	}
}

// configuration takes one level per factor.
func (m *made) configuration(id string, levels ...any) int {
	c := &project.Configuration{ID: id, Index: len(m.Configurations), Label: id, Set: map[int]project.Value{}}
	for f, l := range levels {
		v := level(l)
		c.Set[f] = v
		c.Values = append(c.Values, project.Resolved{Value: v, Origin: project.FromOwn, From: id})
	}
	m.Configurations = append(m.Configurations, c)
	return c.Index
}

func (m *made) session(id string) int {
	s := &project.Session{ID: id, Index: len(m.Sessions), Date: "2026-01-0" + strconv.Itoa(len(m.Sessions)+1)}
	m.Sessions = append(m.Sessions, s)
	return s.Index
}

func (m *made) read(c, w, session int, written ...string) {
	repeat := 0
	for i := range m.Readings {
		if int(m.Readings[i].Configuration) == c && int(m.Readings[i].Workload) == w && int(m.Readings[i].Session) == session {
			repeat++
		}
	}
	for _, t := range written {
		repeat++
		v, err := strconv.ParseFloat(t, 64)
		if err != nil {
			panic(err)
		}
		rd := project.Reading{
			Configuration: int32(c), Workload: int32(w), Session: int32(session), Repeat: int32(repeat), Order: int32(len(m.Readings) + 1),
			HasValue: true, Value: v, Raw: v,
		}
		m.Write(&rd, t, "", "")
		m.Readings = append(m.Readings, rd)
	}
}

func (m *made) fail(c, w, session int, o project.Outcome) {
	m.Readings = append(m.Readings, project.Reading{Configuration: int32(c), Workload: int32(w), Session: int32(session), Repeat: 1, Outcome: o})
}

func (m *made) question(id string, factor int, from, to any) *project.Question {
	q := &project.Question{ID: id, Index: len(m.Questions), Ask: id + "?", Factor: factor, From: level(from), To: level(to)}
	m.Questions = append(m.Questions, q)
	return q
}

// overall adds the composite that a project gets when it names none.
func (m *made) overall() {
	c := &project.Composite{ID: "overall", Label: "Overall"}
	for w, workload := range m.Workloads {
		if workload.Scale == project.RatioScale && workload.Composite && workload.Derived == nil {
			c.Workloads = append(c.Workloads, w)
			c.Weights = append(c.Weights, 1)
		}
	}
	m.Composites = append(m.Composites, c)
}

func (m *made) build(t testing.TB) *Report {
	t.Helper()
	return Build(m.Project, design.NewSpace(m.Project), nil, Options{})
}

// large is a project of a given size: two studied factors of numbers, the rest
// categories, readings with 1 % noise.
func large(configurations, workloads, repeats int) *made {
	m := make1()
	random := rand.New(rand.NewPCG(1, 2))
	clock := m.factor("clock", project.Studied, "MHz", 100, 200, 300, 400)
	m.factor("kind", project.Studied, "", "a", "b", "c", "d", "e")
	m.factor("part", project.Studied, "")
	m.session("s1")
	m.session("s2")
	for w := range workloads {
		m.workload("w"+strconv.Itoa(w), "s", w%2 == 0)
	}
	for c := range configurations {
		m.configuration("c"+strconv.Itoa(c), 100*(1+c%4), string(rune('a'+c/4%5)), "part"+strconv.Itoa(c/20))
		for w := range workloads {
			base := 50 * (1 + 0.1*float64(c%4)) * (1 + 0.02*float64(c/4%5)) * (1 + 0.001*float64(c/20))
			for i := range repeats {
				v := base * (1 + 0.01*random.NormFloat64())
				m.read1(c, w, i%2, i, v)
			}
		}
	}
	m.question("clock", clock, 100, 400)
	m.overall()
	return m
}

func (m *made) read1(c, w, session, repeat int, v float64) {
	t := strconv.FormatFloat(v, 'f', 2, 64)
	v, _ = strconv.ParseFloat(t, 64)
	rd := project.Reading{
		Configuration: int32(c), Workload: int32(w), Session: int32(session), Repeat: int32(repeat/2 + 1), Order: int32(len(m.Readings) + 1),
		HasValue: true, Value: v, Raw: v,
	}
	m.Write(&rd, t, "", "")
	m.Readings = append(m.Readings, rd)
}
