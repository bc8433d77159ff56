package record

import (
	"slices"
	"strings"

	"gopkg.in/yaml.v3"

	"benchwright/project"
	"benchwright/schema"
)

// Mapping says how a table of somebody else's is read: which of its columns
// is what, and what its names are called here. It is kept in record.yaml.
type Mapping struct {
	// Columns maps a column of the table to one of meanings, to the id of a
	// workload whose readings it holds, or to a further column that a
	// workload's conversion names.
	Columns map[string]string
	// Configurations and Workloads map the table's names to ids.
	Configurations, Workloads map[string]string
	// Session for all readings; empty when the table has a column.
	Session string
	// InOrder says that the rows stand in the order in which the runs were
	// made. Otherwise only a column order says it: tables of others are sorted
	// by name as often as by time.
	InOrder bool
	// Dialect when declared; nil to detect it.
	Dialect *schema.Dialect
	// Place in record.yaml.
	Place schema.Place
}

// meanings of a mapped column that is not a workload.
var meanings = [...]string{"configuration", "workload", "session", "repeat", "order", "value", "unit", "outcome", "reason", "note"}

// Mappings reads record.yaml, whose form has been checked by schema.Read. The
// findings say what in it is no name of the project.
func Mappings(p *project.Project, folder *schema.Folder) (map[string]Mapping, []schema.Finding) {
	out := map[string]Mapping{}
	if folder.Record == nil {
		return out, nil
	}
	r := mappingReader{p: p, file: folder.Record.Path}
	each(valueOf(folder.Record.Root, "mappings"), func(key, value *yaml.Node) {
		m := Mapping{Columns: map[string]string{}, Configurations: map[string]string{}, Workloads: map[string]string{}, Place: r.place(key)}
		targets := append(slices.Clone(meanings[:]), r.workloads()...)
		targets = append(targets, further(p)...)
		r.names(valueOf(value, "columns"), m.Columns, targets, "what a column can be")
		r.names(valueOf(value, "configurations"), m.Configurations, r.configurations(), "a configuration")
		r.names(valueOf(value, "workloads"), m.Workloads, r.workloads(), "a workload")
		if s := valueOf(value, "session"); s != nil {
			m.Session = s.Value
			r.known(s, r.sessions(), "a session")
		}
		if v := valueOf(value, "in-order"); v != nil {
			m.InOrder = v.Value == "true"
		}
		if d := valueOf(value, "csv"); d != nil {
			m.Dialect = dialectOf(d)
		}
		seen := map[string]string{}
		each(valueOf(value, "columns"), func(column, meaning *yaml.Node) {
			if other, ok := seen[meaning.Value]; ok {
				r.bad = append(r.bad, finding("bad-mapping", r.place(column), "take one of them out", "both %q and %q are the %s", other, column.Value, meaning.Value))
			}
			seen[meaning.Value] = column.Value
		})
		out[key.Value] = m
	})
	return out, schema.Sort(r.bad)
}

type mappingReader struct {
	p    *project.Project
	file string
	bad  []schema.Finding
}

func (r *mappingReader) place(n *yaml.Node) schema.Place {
	return schema.Place{File: r.file, Line: n.Line, Column: n.Column}
}

func (r *mappingReader) names(n *yaml.Node, to map[string]string, known []string, what string) {
	each(n, func(key, value *yaml.Node) {
		r.known(value, known, what)
		to[key.Value] = value.Value
	})
}

func (r *mappingReader) known(n *yaml.Node, known []string, what string) {
	if slices.Contains(known, n.Value) {
		return
	}
	f := finding("bad-mapping", r.place(n), "", "%q is not %s", n.Value, what)
	if near := schema.Nearest(n.Value, known); near != "" {
		f.Remedy = `did you mean "` + near + `"?`
	} else if len(known) > 0 {
		f.Remedy = "one of " + strings.Join(known[:min(len(known), 16)], ", ")
	}
	f.Width = len([]rune(n.Value))
	r.bad = append(r.bad, f)
}

func (r *mappingReader) workloads() (ids []string) {
	for _, w := range r.p.Workloads {
		if isRead(w) {
			ids = append(ids, w.ID)
		}
	}
	return ids
}

func (r *mappingReader) configurations() (ids []string) {
	for _, c := range r.p.Configurations {
		ids = append(ids, c.ID)
	}
	return ids
}

func (r *mappingReader) sessions() (ids []string) {
	for _, s := range r.p.Sessions {
		ids = append(ids, s.ID)
	}
	return ids
}

// further lists the columns that conversions of readings name.
func further(p *project.Project) (names []string) {
	for _, w := range p.Workloads {
		if w.Reading == nil {
			continue
		}
		for _, t := range slices.Concat(w.Reading.Times, w.Reading.Over) {
			if t.Kind == project.ColumnTerm && !slices.Contains(names, t.Name) {
				names = append(names, t.Name)
			}
		}
	}
	slices.Sort(names)
	return names
}

// dialectOf reads csv: {separator, decimal}; both are there and known.
func dialectOf(n *yaml.Node) *schema.Dialect {
	d := &schema.Dialect{Separator: ',', Decimal: '.', Declared: true}
	if s := valueOf(n, "separator"); s != nil && s.Value == "tab" {
		d.Separator = '\t'
	} else if s != nil && len(s.Value) == 1 {
		d.Separator = s.Value[0]
	}
	if s := valueOf(n, "decimal"); s != nil && len(s.Value) == 1 {
		d.Decimal = s.Value[0]
	}
	return d
}

// valueOf gives the value of a key; nil when there is none.
func valueOf(n *yaml.Node, key string) (found *yaml.Node) {
	each(n, func(k, v *yaml.Node) {
		if k.Value == key {
			found = v
		}
	})
	return found
}

// each visits the pairs of a mapping in the order of the file.
func each(n *yaml.Node, visit func(key, value *yaml.Node)) {
	if n == nil || n.Kind != yaml.MappingNode {
		return
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		visit(n.Content[i], n.Content[i+1])
	}
}
