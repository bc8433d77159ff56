package design

import (
	"slices"
	"strconv"

	"benchwright/project"
)

// Table writes the plan in the form of a result file: a header and a row for
// each reading in the order of the runs, with empty cells for the value, for
// an outcome other than ok, and for the reason. Columns that the conversion of
// a planned workload names are there too. All readings of one visit have the
// same repeat, as a workload that is computed from others takes its readings
// from one session and repeat; the visits of a configuration count on from the
// highest repeat that a continued session has of any of its workloads. A
// workload that some visits leave out therefore has gaps in its repeats.
func (s *Space) Table(p *Plan) (header []string, rows [][]string) {
	var extra []string
	for _, v := range p.Visits {
		for _, w := range v.workloads {
			extra = s.namedColumns(w, extra)
		}
	}
	slices.Sort(extra)
	header = append([]string{"session", "order", "configuration", "repeat", "workload", "value", "outcome", "reason"}, extra...)

	last := make(map[int]int) // by configuration
	session := -1             // readings that name none
	if x := s.p.Session(p.Session); x != nil {
		session = x.Index
	}
	if session >= 0 || p.Session == "" {
		for i := range s.p.Readings {
			r := &s.p.Readings[i]
			if int(r.Session) == session {
				c := int(r.Configuration)
				last[c] = max(last[c], int(r.Repeat))
			}
		}
	}
	for _, v := range p.Visits {
		last[v.configuration]++
		for _, w := range v.workloads {
			row := make([]string, len(header))
			row[0], row[1], row[2] = p.Session, strconv.Itoa(v.Order), v.Configuration
			row[3], row[4] = strconv.Itoa(last[v.configuration]), s.p.Workloads[w].ID
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
