package report

import (
	_ "embed"
	"math"
	"slices"

	"benchwright/project"
	"benchwright/schema"
)

//go:embed answers.schema.json
var answersSchema []byte

// AnswersSchema gives the JSON Schema (2020-12) of AnswersJSON's object.
func AnswersSchema() []byte { return slices.Clone(answersSchema) }

// AnswersJSON is the report's figures as one JSON object with questions, cells
// and composites, in the order of the project: the same for the command and
// the site. Ratios are unrounded, and of performance turned so that more is better; null stands
// where there is no figure. The schema is AnswersSchema. Like the record, it is
// written by appending, one line per pair, cell and row.
func (r *Report) AnswersJSON() []byte {
	p := r.Project
	w := &recordWriter{b: make([]byte, 0, r.answersSize())}
	w.raw("{\n\"title\": ").text(p.Title)
	if p.Date != "" {
		w.raw(",\n\"date\": ").text(p.Date)
	}
	baseline := ""
	if len(p.Configurations) > 0 {
		baseline = p.Configurations[r.Baseline].ID
	}
	w.raw(",\n\"baseline\": ").text(baseline).raw(",\n\"confidence\": ").number(r.Confidence)
	list(w, "questions", r.Questions, func(q *Answer) { r.writeQuestion(w, q) })
	w.raw(",\n\"cells\": [")
	n := 0
	for c := range r.Cells {
		for i := range r.Cells[c] {
			if cell := &r.Cells[c][i]; len(cell.Readings) > 0 || cell.Centre.State != Absent {
				w.line(n).raw("\n  {")
				r.writeCell(w, cell)
				w.raw("}")
				n++
			}
		}
	}
	w.raw("]")
	list(w, "composites", r.Composites, func(c *Composite) { r.writeComposite(w, c) })
	w.raw("\n}\n")
	return w.b
}

// answersSize guesses the bytes of the answers, to grow once.
func (r *Report) answersSize() int {
	lines := len(r.Cells) * (len(r.Workloads) + len(r.Composites))
	for i := range r.Questions {
		for k := range r.Questions[i].Pairs {
			lines += len(r.Questions[i].Pairs[k].Workloads)
		}
	}
	return 1<<14 + 800*lines
}

// nullable writes `, "name": ` and a number, or null where there is none.
func (w *recordWriter) nullable(name string, v float64, there bool) *recordWriter {
	w.raw(`, "`, name, `": `)
	if !there {
		return w.raw("null")
	}
	return w.number(v)
}

// optional is nullable that leaves out what is not there.
func (w *recordWriter) optional(name string, v float64, there bool) *recordWriter {
	if !there || math.IsNaN(v) || math.IsInf(v, 0) {
		return w
	}
	return w.raw(`, "`, name, `": `).number(v)
}

// words writes `, "name": ` and a text unless it is empty.
func (w *recordWriter) words(name, s string) *recordWriter {
	if s == "" {
		return w
	}
	return w.raw(`, "`, name, `": `).text(s)
}

// texts writes `, "name": ` and a list of texts.
func texts[T any](w *recordWriter, name string, all []T, of func(*T) string) {
	w.raw(`, "`, name, `": [`)
	for i := range all {
		w.comma(i).text(of(&all[i]))
	}
	w.raw("]")
}

// rows writes `, "name": ` and a list with an entry per line.
func rows[T any](w *recordWriter, name string, all []T, entry func(*T)) {
	w.raw(`, "`, name, `": [`)
	for i := range all {
		w.line(i).raw("\n    {")
		entry(&all[i])
		w.raw("}")
	}
	w.raw("]")
}

// interval writes what every figure has in common.
func (w *recordWriter) interval(f *Figure) *recordWriter {
	ranged := f.HasValue() && f.Confidence > 0
	w.nullable("low", f.Low, ranged).nullable("high", f.High, ranged).nullable("confidence", f.Confidence, ranged)
	w.raw(`, "verdict": `).text(f.Verdict.String()).raw(`, "state": `).text(f.State.String())
	w.words("method", f.Method).optional("p", f.P, f.HasP)
	if f.Family > 1 {
		w.optional("adjustedP", f.AdjustedP, true).raw(`, "family": `).integer(f.Family)
	}
	return w.raw(`, "text": `).text(f.Text).words("range", f.Range).words("remark", f.Remark)
}

// ratio writes a relative performance, without braces.
func (w *recordWriter) ratio(f *Figure) *recordWriter {
	w.raw(`"ratio": `)
	if f.HasValue() {
		w.number(f.Value)
	} else {
		w.raw("null")
	}
	return w.interval(f)
}

// effect writes an effect's value under its proper name.
func (w *recordWriter) effect(e *WorkloadEffect, unit string) *recordWriter {
	if e.Difference {
		return w.optional("difference", e.Effect.Value, e.Effect.HasValue()).words("unit", unit)
	}
	return w.optional("ratio", e.Effect.Value, e.Effect.HasValue())
}

func (r *Report) writeQuestion(w *recordWriter, q *Answer) {
	p := r.Project
	w.raw(`"id": `).text(q.ID).raw(`, "ask": `).text(q.Ask).raw(`, "factor": `).text(p.Factors[q.Factor].ID)
	w.raw(`, "from": `).text(q.FromText).raw(`, "to": `).text(q.ToText)
	w.raw(`, "answerable": `).boolean(q.Answerable).raw(`, "bundle": `).boolean(q.Bundle).raw(`, "clean": `).boolean(q.Clean)
	w.raw(`, `).ratio(&q.Overall).raw(`, "matchedPairs": `).integer(len(q.Pairs))
	r.writeWorkloads(w, "over", q.OverallWorkloads)
	w.raw(`, "sentence": `).text(q.Headline.Text)
	texts(w, "more", q.More, func(s *Sentence) string { return s.Text })
	w.optional("smallest", q.Smallest.Value, q.Smallest.HasValue())
	rows(w, "workloads", q.ByWorkload, func(e *WorkloadEffect) {
		of := p.Workloads[e.Workload]
		w.raw(`"workload": `).text(of.ID).raw(`, "scale": `).text(of.Scale.String())
		w.effect(e, of.Unit.Symbol).raw(`, "pairs": `).integer(e.Pairs).interval(&e.Effect)
	})
	w.raw(`, "pairs": [`)
	n := 0
	for i := range q.Pairs {
		pair := &q.Pairs[i]
		for k := range pair.Workloads {
			e := &pair.Workloads[k]
			of := p.Workloads[e.Workload]
			w.line(n).raw("\n    {\"from\": ").text(p.Configurations[pair.From].ID).raw(`, "to": `).text(p.Configurations[pair.To].ID)
			w.raw(`, "workload": `).text(of.ID).raw(`, "sameSession": `).boolean(pair.SameSession)
			w.effect(e, of.Unit.Symbol).interval(&e.Effect).raw("}")
			n++
		}
	}
	w.raw("]")
	rows(w, "dependence", q.Dependence, func(d *Dependence) { r.writeDependence(w, d) })
	if q.Model.HasValue() {
		w.raw(`, "model": {`).ratio(&q.Model).raw("}")
	}
	rows(w, "failed", q.FailedPairs, func(f *PairEffect) {
		w.raw(`"from": `).text(p.Configurations[f.From].ID).raw(`, "to": `).text(p.Configurations[f.To].ID).raw(`, "why": `).text(f.Why)
	})
	texts(w, "nearest", q.Nearest, func(n *Nearest) string { return n.Text })
	texts(w, "missing", q.Missing, func(m *Missing) string { return m.Text })
	if len(q.SetAside) > 0 {
		rows(w, "setAside", q.SetAside, func(f *schema.Finding) {
			w.raw(`"rule": `).text(f.Rule).raw(`, "finding": `).text(f.Message).raw(`, "because": `).text(f.Silenced)
		})
	}
}

func (r *Report) writeDependence(w *recordWriter, d *Dependence) {
	w.raw(`"factor": `).text(r.Project.Factors[d.Factor].ID)
	if d.Workload >= 0 {
		w.words("workload", r.Project.Workloads[d.Workload].ID)
	}
	w.raw(`, "tested": `).boolean(d.Tested).raw(`, "depends": `).boolean(d.Depends).optional("p", d.P, d.Tested)
	if d.Family != 0 {
		w.raw(`, "family": `).integer(d.Family)
	}
	w.raw(`, "steps": [`)
	for i := range d.Steps {
		s := &d.Steps[i]
		ranged := s.Effect.Confidence > 0
		name := "ratio"
		if d.Workload >= 0 && r.Project.Workloads[d.Workload].Scale == project.IntervalScale {
			name = "difference"
		}
		w.comma(i).raw(`{"level": `).text(s.Level).nullable(name, s.Effect.Value, s.Effect.HasValue())
		w.nullable("low", s.Effect.Low, ranged).nullable("high", s.Effect.High, ranged).raw("}")
	}
	w.raw(`], "sentence": `).text(d.Sentence.Text)
}

// writeWorkloads writes a list of workloads by their ids.
func (r *Report) writeWorkloads(w *recordWriter, name string, all []int) {
	texts(w, name, all, func(i *int) string { return r.Project.Workloads[*i].ID })
}

func (r *Report) writeCell(w *recordWriter, c *Cell) {
	p := r.Project
	there, ranged := c.Centre.HasValue(), c.Centre.HasValue() && c.Centre.Confidence > 0
	w.raw(`"configuration": `).text(p.Configurations[c.Configuration].ID).raw(`, "workload": `).text(p.Workloads[c.Workload].ID)
	w.raw(`, "outcome": `).text(c.Outcome.String()).raw(`, "n": `).integer(c.N).words("unit", p.Workloads[c.Workload].Unit.Symbol)
	w.nullable("centre", c.Centre.Value, there).nullable("low", c.Centre.Low, ranged).nullable("high", c.Centre.High, ranged)
	w.nullable("confidence", c.Centre.Confidence, ranged).raw(`, "state": `).text(c.Centre.State.String())
	w.nullable("mean", c.Mean, there).nullable("median", c.Median, there)
	w.nullable("sd", c.SD, c.HasSD).nullable("cv", c.CV, c.HasSD && c.CVText != "")
	w.nullable("least", c.Min, there).nullable("most", c.Max, there).raw(`, "text": `).text(c.Centre.Text)
	texts(w, "flags", c.Flags, func(f *Flag) string { return f.Rule })
	w.raw(`, "relative": {`).ratio(&c.Relative).raw("}")
}

func (r *Report) writeComposite(w *recordWriter, c *Composite) {
	w.raw(`"id": `).text(c.ID)
	r.writeWorkloads(w, "workloads", c.Workloads)
	w.raw(`, "weights": [`)
	for i, v := range c.Weights {
		w.comma(i).number(v)
	}
	w.raw("]")
	ranks := make([]int, len(c.Rows))
	for _, o := range c.Order {
		ranks[o.Configuration] = o.Rank
	}
	w.raw(`, "rows": [`)
	for i := range c.Rows {
		row := &c.Rows[i]
		w.line(i).raw("\n    {\"configuration\": ").text(r.Project.Configurations[i].ID).raw(`, "workloads": `).integer(row.Used)
		r.writeWorkloads(w, "missing", row.Missing)
		if ranks[i] != 0 {
			w.raw(`, "rank": `).integer(ranks[i])
		}
		if row.Bootstrap.HasValue() {
			w.raw(`, "bootstrap": {`).ratio(&row.Bootstrap).raw("}")
		}
		w.raw(`, `).ratio(&row.Figure).raw("}")
	}
	w.raw("]")
}
