package data

import (
	"strings"

	"benchwright/report"
)

func states() []string {
	var all []string
	for s := report.Absent; s <= report.NotComparable; s++ {
		all = append(all, s.String())
	}
	return all
}

func verdicts() []string {
	return []string{report.Better.String(), report.Worse.String(), report.NoDifferenceSeen.String()}
}

// claim are the columns that say what may be claimed of a comparison.
func claim(prefix string) []column {
	return []column{
		{name: prefix + "p", kind: number, key: "data.column.p"},
		{name: prefix + "adjusted_p", kind: number, key: "data.column.adjusted_p"},
		{name: prefix + "family", kind: integer, key: "data.column.family"},
		{name: prefix + "verdict", kind: text, key: "data.column.verdict", among: verdicts()},
		{name: prefix + "state", kind: text, key: "data.column.state", among: states()},
		{name: prefix + "text", kind: text, key: "data.column.text"},
		{name: prefix + "method", kind: text, key: "data.column.method"},
		{name: prefix + "remark", kind: text, key: "data.column.remark"},
	}
}

// claim writes the cells of the columns of that name.
func (w *rowWriter) claim(f *report.Figure) *rowWriter {
	w.number(f.HasP, f.P).number(f.HasP && f.Family > 1, f.AdjustedP)
	if f.Family > 1 {
		w.integer(f.Family)
	} else {
		w.empty()
	}
	return w.text(f.Verdict.String()).text(f.State.String()).text(f.Text).text(f.Method).text(f.Remark)
}

// figures is every cell: a configuration under a workload.
func (m *maker) figures() table {
	r, p := m.r, m.r.Project
	t := table{
		name: "figures",
		key:  []string{"configuration", "workload"},
		columns: append([]column{
			{name: "configuration", kind: text, required: true},
			{name: "workload", kind: text, required: true},
			{name: "unit", kind: text},
			{name: "outcome", kind: text, key: "data.column.cell_outcome", among: outcomeWords()},
			{name: "n", kind: integer, required: true},
			{name: "centre", kind: number},
			{name: "low", kind: number, key: "data.column.centre_low"},
			{name: "high", kind: number, key: "data.column.centre_high"},
			{name: "confidence", kind: number},
			{name: "mean", kind: number},
			{name: "median", kind: number},
			{name: "sd", kind: number},
			{name: "cv", kind: number},
			{name: "least", kind: number},
			{name: "most", kind: number},
			{name: "state", kind: text, required: true, among: states()},
			{name: "text", kind: text},
			{name: "method", kind: text},
			{name: "remark", kind: text},
			{name: "flags", kind: text},
			{name: "rank", kind: integer},
			{name: "baseline", kind: text},
			{name: "relative", kind: number},
			{name: "relative_low", kind: number},
			{name: "relative_high", kind: number},
			{name: "relative_confidence", kind: number, key: "data.column.confidence"},
		}, append(claim("relative_"),
			column{name: "difference", kind: number, key: "data.column.from_baseline"},
			column{name: "difference_low", kind: number, key: "data.column.from_baseline_low"},
			column{name: "difference_high", kind: number, key: "data.column.from_baseline_high"},
			column{name: "difference_confidence", kind: number, key: "data.column.confidence"},
			column{name: "difference_verdict", kind: text, key: "data.column.verdict", among: verdicts()},
			column{name: "difference_text", kind: text, key: "data.column.text"})...),
		references: []reference{{"configuration", "configurations"}, {"workload", "workloads"}, {"baseline", "configurations"}},
		size:       len(r.Cells) * len(p.Workloads) * 320,
	}
	t.rows = func(w *rowWriter) {
		ranks := make([][]int, len(p.Workloads))
		for x := range ranks {
			ranks[x] = make([]int, len(r.Cells))
			if x < len(r.Workloads) {
				for _, o := range r.Workloads[x].Order {
					ranks[x][o.Configuration] = o.Rank
				}
			}
		}
		var rules []string
		var none report.Figure
		for c := range r.Cells {
			for x := range r.Cells[c] {
				cell := &r.Cells[c][x]
				w.text(p.Configurations[c].ID).text(p.Workloads[x].ID).text(p.Workloads[x].Unit.Symbol)
				if len(cell.Readings) > 0 || cell.Centre.State != report.Absent {
					w.text(cell.Outcome.String())
				} else {
					w.empty()
				}
				has := cell.Centre.HasValue()
				read := has && cell.N > 0
				w.integer(cell.N).figure(&cell.Centre)
				w.number(read, cell.Mean).number(read, cell.Median).number(cell.HasSD, cell.SD).number(cell.HasSD && cell.CVText != "", cell.CV)
				w.number(read, cell.Min).number(read, cell.Max)
				w.text(cell.Centre.State.String()).text(cell.Centre.Text).text(cell.Centre.Method).text(cell.Centre.Remark)
				rules = rules[:0]
				for _, f := range cell.Flags {
					rules = append(rules, f.Rule)
				}
				w.text(strings.Join(rules, " ")).counted(ranks[x][c]).text(m.baseline())
				w.figure(&cell.Relative).claim(&cell.Relative)
				from := cell.Difference
				if from == nil {
					from = &none
				}
				w.figure(from).text(from.Verdict.String()).text(from.Text).end()
			}
		}
	}
	return t
}

func (m *maker) baseline() string {
	if b := m.r.Baseline; b < len(m.r.Project.Configurations) {
		return m.r.Project.Configurations[b].ID
	}
	return ""
}

// composites is every composite of every configuration.
func (m *maker) composites() table {
	r, p := m.r, m.r.Project
	t := table{
		name: "composites",
		key:  []string{"composite", "configuration"},
		columns: append([]column{
			{name: "composite", kind: text, required: true},
			{name: "configuration", kind: text, required: true},
			{name: "baseline", kind: text},
			{name: "used", kind: integer, required: true},
			{name: "of", kind: integer, key: "data.column.of_workloads", required: true},
			{name: "missing", kind: text},
			{name: "rank", kind: integer},
			{name: "relative", kind: number},
			{name: "relative_low", kind: number},
			{name: "relative_high", kind: number},
			{name: "relative_confidence", kind: number, key: "data.column.confidence"},
			{name: "bootstrap_low", kind: number},
			{name: "bootstrap_high", kind: number},
		}, claim("relative_")...),
		references: []reference{{"configuration", "configurations"}, {"baseline", "configurations"}},
		size:       len(r.Composites) * len(r.Cells) * 240,
	}
	t.rows = func(w *rowWriter) {
		for i := range r.Composites {
			x := &r.Composites[i]
			ranks := make([]int, len(x.Rows))
			for _, o := range x.Order {
				ranks[o.Configuration] = o.Rank
			}
			for c := range x.Rows {
				row := &x.Rows[c]
				var missing []string
				for _, k := range row.Missing {
					missing = append(missing, p.Workloads[k].ID)
				}
				w.text(x.ID).text(p.Configurations[c].ID).text(m.baseline()).integer(row.Used).integer(len(x.Workloads)).text(strings.Join(missing, " "))
				w.counted(ranks[c]).figure(&row.Figure)
				b := &row.Bootstrap
				ranged := b.HasValue() && b.Confidence > 0
				w.number(ranged, b.Low).number(ranged, b.High).claim(&row.Figure).end()
			}
		}
	}
	return t
}
