package data

import (
	"slices"
	"strings"

	"benchwright/project"
)

// tables lists the CSV files in the order of the descriptor: what was tested,
// what was read, what came out.
func (m *maker) tables() []table {
	all := []table{m.configurations(), m.workloads(), m.sessions(), m.readings(), m.figures(), m.composites(), m.comparisons()}
	if len(m.r.Outside) > 0 {
		all = append(all, m.outside())
	}
	return all
}

// configurations has a row per configuration and a column per factor.
func (m *maker) configurations() table {
	p := m.r.Project
	t := table{
		name: "configurations",
		key:  []string{"configuration"},
		columns: []column{
			{name: "configuration", kind: text, required: true},
			{name: "label", kind: text, required: true},
			{name: "state", kind: text, key: "data.column.configuration_state", required: true},
			{name: "based_on", kind: text},
			{name: "cost", kind: number, unit: p.Currency},
		},
		references: []reference{{"based_on", "configurations"}},
		size:       len(p.Configurations) * (60 + 12*len(p.Factors)),
	}
	for _, f := range p.Factors {
		t.addFactor(f)
	}
	t.rows = func(w *rowWriter) {
		for i, c := range p.Configurations {
			w.text(c.ID).text(c.Label).text(m.r.Configurations[i].State).text(c.BasedOn).number(m.r.Configurations[i].Cost.HasValue(), m.r.Configurations[i].Cost.Value)
			for f, factor := range p.Factors {
				var v project.Value
				if f < len(c.Values) {
					v = c.Values[f].Value
				}
				w.level(factor, v)
			}
			w.end()
		}
	}
	return t
}

// addFactor adds a column for a factor's values, under its id, or a longer name
// where that is taken: a factor may be called "cost".
func (t *table) addFactor(f *project.Factor) {
	c := column{name: f.ID, kind: text, key: "data.column.factor", title: f.Label, unit: f.Unit.Symbol}
	for slices.ContainsFunc(t.columns, func(other column) bool { return other.name == c.name }) {
		c.name += "-factor"
	}
	if f.Numeric {
		c.kind = number
	}
	t.columns = append(t.columns, c)
}

// level writes the value of a factor, nothing where it is not known.
func (w *rowWriter) level(f *project.Factor, v project.Value) {
	switch {
	case v.State != project.Known:
		w.empty()
	case f.Numeric:
		w.number(v.Numeric, v.Number)
	default:
		w.text(v.Text)
	}
}

// workloads has a row per workload with what defines it.
func (m *maker) workloads() table {
	p := m.r.Project
	t := table{
		name: "workloads",
		key:  []string{"workload"},
		columns: []column{
			{name: "workload", kind: text, required: true},
			{name: "label", kind: text, required: true},
			{name: "metric", kind: text},
			{name: "unit", kind: text},
			{name: "better", kind: text, required: true, among: []string{"higher", "lower"}},
			{name: "scale", kind: text, required: true, among: []string{project.RatioScale.String(), project.IntervalScale.String()}},
			{name: "summary", kind: text, required: true, among: []string{project.Mean.String(), project.Median.String()}},
			{name: "resolution", kind: number},
			{name: "target", kind: number},
			{name: "computed", kind: boolean, key: "data.column.computed_workload", required: true},
			{name: "composites", kind: text},
			{name: "version", kind: text},
			{name: "command", kind: text},
			{name: "how", kind: text},
			{name: "source", kind: text},
		},
	}
	t.rows = func(w *rowWriter) {
		for i, x := range p.Workloads {
			better := "lower"
			if x.HigherBetter {
				better = "higher"
			}
			var in []string
			for _, c := range m.r.Composites {
				for _, k := range c.Workloads {
					if k == i {
						in = append(in, c.ID)
					}
				}
			}
			w.text(x.ID).text(x.Label).text(x.Metric).text(x.Unit.Symbol).text(better).text(x.Scale.String()).text(x.Centre.String())
			w.number(x.Resolution > 0, x.Resolution).number(x.HasTarget, x.Target).boolean(x.Derived != nil || x.FramesOf != "")
			w.text(strings.Join(in, " ")).text(x.Version).text(x.Command).text(x.How).text(x.Source).end()
		}
	}
	return t
}

// sessions has a row per session.
func (m *maker) sessions() table {
	p := m.r.Project
	t := table{
		name: "sessions",
		key:  []string{"session"},
		columns: []column{
			{name: "session", kind: text, required: true},
			{name: "date", kind: date},
			{name: "start", kind: text},
			{name: "place", kind: text},
			{name: "who", kind: text},
			{name: "readings", kind: integer, required: true},
			{name: "note", kind: text, key: "data.column.session_note"},
		},
	}
	var stated []*project.Factor
	for _, f := range p.Factors {
		if slices.ContainsFunc(p.Sessions, func(s *project.Session) bool { _, ok := s.Values[f.Index]; return ok }) {
			stated = append(stated, f)
			t.addFactor(f)
		}
	}
	t.rows = func(w *rowWriter) {
		for i, s := range p.Sessions {
			w.text(s.ID).text(s.Date).text(s.Start).text(s.Location).text(s.Who)
			w.integer(m.r.Sessions[i].Readings).text(s.Note)
			for _, f := range stated {
				w.level(f, s.Values[f.Index])
			}
			w.end()
		}
	}
	return t
}
