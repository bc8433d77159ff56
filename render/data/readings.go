package data

import (
	"benchwright/project"
)

// outcomeWords lists the outcomes as they stand in the files.
func outcomeWords() []string {
	var all []string
	for _, o := range []project.Outcome{project.OK, project.DidNotStart, project.Hung, project.Crashed, project.Unstable, project.Excluded} {
		all = append(all, o.String())
	}
	return all
}

// readings is every reading, those that failed or were excluded too.
func (m *maker) readings() table {
	p := m.r.Project
	t := table{
		name: "readings",
		columns: []column{
			{name: "configuration", kind: text, required: true},
			{name: "workload", kind: text, required: true},
			{name: "session", kind: text},
			{name: "repeat", kind: integer},
			{name: "order", kind: integer},
			{name: "outcome", kind: text, required: true, among: outcomeWords()},
			{name: "value", kind: number},
			{name: "unit", kind: text},
			{name: "written", kind: text},
			{name: "computed", kind: boolean, required: true},
			{name: "reason", kind: text},
			{name: "corrected", kind: text},
			{name: "note", kind: text},
			{name: "file", kind: text},
			{name: "line", kind: integer},
			{name: "column", kind: integer},
		},
		references: []reference{{"configuration", "configurations"}, {"workload", "workloads"}, {"session", "sessions"}},
		size:       len(p.Readings) * 110,
	}
	t.rows = func(w *rowWriter) {
		// In the order of configurations and workloads, and within a cell in
		// the order in which they were run: the same whatever the order of rows.
		for c := range m.r.Cells {
			for x := range m.r.Cells[c] {
				workload := p.Workloads[x]
				computed := workload.Derived != nil || workload.FramesOf != ""
				cell := m.r.Cells[c][x].Readings
				for i := range cell {
					rd := &cell[i]
					w.text(p.Configurations[c].ID).text(workload.ID)
					if rd.Session >= 0 {
						w.text(p.Sessions[rd.Session].ID)
					} else {
						w.empty()
					}
					w.counted(rd.Repeat).counted(rd.Order).text(rd.Outcome.String())
					w.number(rd.HasValue, rd.Value).text(workload.Unit.Symbol).text(rd.Written)
					w.boolean(computed).text(rd.Reason).text(rd.Corrected).text(rd.Note)
					w.text(rd.Place.File).counted(rd.Place.Line).counted(rd.Place.Column).end()
				}
			}
		}
	}
	return t
}
