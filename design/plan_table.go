package design

import (
	"slices"
	"strconv"

	"benchwright/project"
)

// Table writes the plan in the form of a result file: a header and a row for
// each reading in the order of the runs, with empty cells for the value, for
// an outcome other than ok, and for the reason. Columns that the conversion of
// a planned workload names are there too. Repeats count on from those that a
// continued session has.
func (s *Space) Table(p *Plan) (header []string, rows [][]string) {
	var extra []string
	for _, v := range p.Visits {
		for _, w := range v.workloads {
			extra = s.namedColumns(w, extra)
		}
	}
	slices.Sort(extra)
	header = append([]string{"session", "order", "configuration", "repeat", "workload", "value", "outcome", "reason"}, extra...)

	type cell struct{ configuration, workload int }
	last := make(map[cell]int)
	if x := s.p.Session(p.Session); x != nil {
		for i := range s.p.Readings {
			r := &s.p.Readings[i]
			if int(r.Session) == x.Index {
				k := cell{int(r.Configuration), int(r.Workload)}
				last[k] = max(last[k], int(r.Repeat))
			}
		}
	}
	for _, v := range p.Visits {
		for _, w := range v.workloads {
			k := cell{v.configuration, w}
			last[k]++
			row := make([]string, len(header))
			row[0], row[1], row[2] = p.Session, strconv.Itoa(v.Order), v.Configuration
			row[3], row[4] = strconv.Itoa(last[k]), s.p.Workloads[w].ID
			rows = append(rows, row)
		}
	}
	return header, rows
}

// namedColumns adds the columns that the conversion of a workload's raw
// reading takes from the same row.
func (s *Space) namedColumns(w int, names []string) []string {
	formula := s.p.Workloads[w].Reading
	if formula == nil {
		return names
	}
	for _, term := range slices.Concat(formula.Times, formula.Over) {
		if term.Kind == project.ColumnTerm && !slices.Contains(names, term.Name) {
			names = append(names, term.Name)
		}
	}
	return names
}
