package data

import (
	"strings"

	"benchwright/report"
)

// Kinds of rows in comparisons.csv.
const (
	kindQuestion = "question" // over all matched pairs
	kindPair     = "pair"     // one matched pair
	kindFailed   = "failed"   // a matched pair of which a side failed
	kindModel    = "model"    // the same step in the model of all factors at once
)

// comparisons is every figure of every question: over all pairs and for each
// pair, over all workloads (workload empty) and for each workload.
func (m *maker) comparisons() table {
	r, p := m.r, m.r.Project
	t := table{
		name: "comparisons",
		columns: append([]column{
			{name: "question", kind: text, required: true},
			{name: "kind", kind: text, key: "data.column.comparison_kind", required: true, among: []string{kindQuestion, kindPair, kindFailed, kindModel}},
			{name: "from", kind: text},
			{name: "to", kind: text},
			{name: "workload", kind: text, key: "data.column.compared_workload"},
			{name: "measure", kind: text, required: true, among: []string{"ratio", "difference"}},
			{name: "unit", kind: text, key: "data.column.difference_unit"},
			{name: "value", kind: number, key: "data.column.effect"},
			{name: "low", kind: number, key: "data.column.effect_low"},
			{name: "high", kind: number, key: "data.column.effect_high"},
			{name: "confidence", kind: number},
			{name: "pairs", kind: integer},
			{name: "smallest", kind: number},
			{name: "same_session", kind: boolean},
			{name: "through", kind: text},
			{name: "setting", kind: text},
			{name: "why", kind: text},
		}, claim("")...),
		references: []reference{{"from", "configurations"}, {"to", "configurations"}, {"workload", "workloads"}},
	}
	t.rows = func(w *rowWriter) {
		for i := range r.Questions {
			q := &r.Questions[i]
			line := func(kind string, pair *report.PairEffect, e *report.WorkloadEffect, f *report.Figure, pairs int, smallest *report.Figure) {
				w.text(q.ID).text(kind)
				if pair != nil {
					w.text(p.Configurations[pair.From].ID).text(p.Configurations[pair.To].ID)
				} else {
					w.empty().empty()
				}
				measure, unit, workload := "ratio", "", ""
				if e != nil {
					workload = p.Workloads[e.Workload].ID
					if e.Difference {
						measure, unit = "difference", p.Workloads[e.Workload].Unit.Symbol
					}
				}
				w.text(workload).text(measure).text(unit).figure(f).counted(pairs)
				w.number(smallest != nil && smallest.HasValue(), value(smallest))
				if pair != nil && kind == kindPair {
					ids := make([]string, len(pair.Through))
					for i, c := range pair.Through {
						ids[i] = p.Configurations[c].ID
					}
					w.boolean(pair.SameSession).text(strings.Join(ids, " "))
				} else {
					w.empty().empty()
				}
				if pair != nil {
					w.text(pair.Setting).text(pair.Why)
				} else {
					w.empty().empty()
				}
				w.claim(f).end()
			}
			line(kindQuestion, nil, nil, &q.Overall, q.OverallPairs, &q.Smallest)
			for j := range q.ByWorkload {
				e := &q.ByWorkload[j]
				line(kindQuestion, nil, e, &e.Effect, e.Pairs, &e.Smallest)
			}
			for k := range q.Pairs {
				pair := &q.Pairs[k]
				line(kindPair, pair, nil, &pair.Overall, 1, nil)
				for j := range pair.Workloads {
					e := &pair.Workloads[j]
					line(kindPair, pair, e, &e.Effect, 1, nil)
				}
			}
			for k := range q.FailedPairs {
				line(kindFailed, &q.FailedPairs[k], nil, &report.Figure{State: report.Failed}, 0, nil)
			}
			if q.Model.HasValue() {
				line(kindModel, nil, nil, &q.Model, 0, nil)
			}
		}
	}
	return t
}

func value(f *report.Figure) float64 {
	if f == nil {
		return 0
	}
	return f.Value
}
