package data

// outside is every reading that somebody else took on another machine. It
// stands in a table of its own, so that nobody takes it for the report's.
func (m *maker) outside() table {
	p := m.r.Project
	t := table{
		name: "outside-readings",
		columns: []column{
			{name: "viewer", kind: text, required: true},
			{name: "machine", kind: text, required: true},
			{name: "workload", kind: text, required: true},
			{name: "date", kind: date},
			{name: "value", kind: number, required: true},
			{name: "unit", kind: text},
			{name: "written", kind: text, key: "data.column.outside_written", required: true},
			{name: "written_unit", kind: text},
			{name: "note", kind: text},
			{name: "file", kind: text, key: "data.column.outside_file"},
			{name: "line", kind: integer, key: "data.column.outside_line"},
		},
		references: []reference{{"workload", "workloads"}},
	}
	t.rows = func(w *rowWriter) {
		for i := range m.r.Outside {
			for _, rd := range m.r.Outside[i].Readings {
				workload := p.Workloads[rd.Workload]
				w.text(rd.Viewer).text(rd.Machine).text(workload.ID).text(rd.Date).number(true, rd.Value).text(workload.Unit.Symbol)
				w.text(rd.Written).text(rd.Unit).text(rd.Note).text(rd.Place.File).counted(rd.Place.Line).end()
			}
		}
	}
	return t
}
