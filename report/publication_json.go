package report

import (
	"encoding/json"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"
)

// JSON writes the record: one line per question, composite row, cell and group
// of readings, so that two editions can be compared line by line; numbers as
// the shortest decimal that reads back as the same double. It is written by
// appending, since a large report has a hundred thousand cells.
func (p *Publication) JSON() []byte {
	w := &recordWriter{b: make([]byte, 0, 1<<12+len(p.Cells)*440+len(p.Readings)*200)}
	w.head(p)
	w.cells(p.Cells)
	w.readings(p.Readings)
	w.raw("\n}\n")
	return w.b
}

// head writes everything before the long lists.
func (w *recordWriter) head(p *Publication) {
	w.raw("{\n\"$schema\": ").text(p.Schema)
	w.raw(",\n\"version\": ").integer(p.Version)
	if p.MadeBy != "" {
		w.raw(",\n\"madeBy\": ").text(p.MadeBy)
	}
	if p.Arithmetic != "" {
		w.raw(",\n\"arithmetic\": ").text(p.Arithmetic)
	}
	if p.Theme != "" {
		w.raw(",\n\"theme\": ").text(p.Theme)
	}
	w.raw(",\n\"title\": ").text(p.Title)
	w.raw(",\n\"date\": ").text(p.Date)
	w.raw(",\n\"language\": ").text(p.Language)
	w.raw(",\n\"confidence\": ").number(p.Confidence)
	w.raw(",\n\"baseline\": ").text(p.Baseline)
	if p.BaseAddress != "" {
		w.raw(",\n\"baseAddress\": ").text(p.BaseAddress)
	}
	if p.Shelf {
		w.raw(",\n\"shelf\": ").boolean(p.Shelf)
	}
	if p.OutsideReadings != 0 {
		w.raw(",\n\"outsideReadings\": ").integer(p.OutsideReadings)
	}
	if len(p.Factors) > 0 {
		list(w, "factors", p.Factors, func(f *PublishedFactor) {
			w.raw(`"id": `).text(f.ID).raw(`, "label": `).text(f.Label)
		})
	}
	list(w, "configurations", p.Configurations, func(c *PublishedConfiguration) {
		w.raw(`"id": `).text(c.ID).raw(`, "label": `).text(c.Label)
		if len(c.Values) > 0 {
			w.raw(`, "values": {`)
			for i, id := range slices.Sorted(maps.Keys(c.Values)) {
				w.comma(i).text(id).raw(": ").text(c.Values[id])
			}
			w.raw("}")
		}
		w.words("cost", c.Cost)
	})
	list(w, "workloads", p.Workloads, func(x *PublishedWorkload) {
		w.raw(`"id": `).text(x.ID).raw(`, "label": `).text(x.Label).raw(`, "unit": `).text(x.Unit)
		w.raw(`, "better": `).text(x.Better).raw(`, "scale": `).text(x.Scale)
		if x.Ratios != "" {
			w.raw(`, "ratios": `).text(x.Ratios)
		}
		w.words("metric", x.Metric).words("version", x.Version).words("command", x.Command)
	})
	list(w, "sessions", p.Sessions, func(s *PublishedSession) {
		w.raw(`"id": `).text(s.ID).raw(`, "date": `).text(s.Date)
	})
	list(w, "questions", p.Questions, func(q *PublishedQuestion) {
		w.raw(`"id": `).text(q.ID).raw(`, "ask": `).text(q.Ask).raw(`, "factor": `).text(q.Factor)
		w.raw(`, "from": `).text(q.From).raw(`, "to": `).text(q.To).raw(`, "answerable": `).boolean(q.Answerable)
		w.raw(`, "answer": `).text(q.Answer).raw(`, "overall": `).figure(&q.Overall)
		if q.OverWorkloads != 0 {
			w.raw(`, "overWorkloads": `).integer(q.OverWorkloads)
		}
		if q.OverPairs != 0 {
			w.raw(`, "overPairs": `).integer(q.OverPairs)
		}
		w.raw(`, "workloads": [`)
		for i := range q.Workloads {
			e := &q.Workloads[i]
			w.line(i).raw("\n    {\"workload\": ").text(e.Workload).raw(`, "difference": `).boolean(e.Difference)
			w.raw(`, "effect": `).figure(&e.Effect)
			if e.Pairs != 0 {
				w.raw(`, "pairs": `).integer(e.Pairs)
			}
			w.raw("}")
		}
		w.raw("]").ids("over", q.Over)
		if q.Bundle {
			w.raw(`, "bundle": `).boolean(q.Bundle)
		}
		if q.Clean != nil {
			w.raw(`, "clean": `).boolean(*q.Clean)
		}
		w.ids("against", q.Against).ids("setAside", q.SetAside)
	})
	list(w, "composites", p.Composites, func(c *PublishedComposite) {
		w.raw(`"id": `).text(c.ID).raw(`, "label": `).text(c.Label).raw(`, "rows": [`)
		for i := range c.Rows {
			w.line(i).raw("\n    {\"configuration\": ").text(c.Rows[i].Configuration).raw(`, "figure": `).figure(&c.Rows[i].Figure).raw("}")
		}
		w.raw("]").ids("over", c.Over)
		for i, share := range c.Weights {
			if i == 0 {
				w.raw(`, "weights": [`)
			}
			w.comma(i).number(share)
			if i == len(c.Weights)-1 {
				w.raw("]")
			}
		}
	})
	if len(p.Headlines) > 0 {
		list(w, "headlines", p.Headlines, func(h *PublishedHeadline) {
			w.raw(`"kind": `).text(h.Kind).words("of", h.Of)
			texts(w, "names", h.Names, func(id *string) string { return *id })
			w.raw(`, "text": `).text(h.Text)
		})
	}
}

// ids writes a list of ids, and nothing for an empty one.
func (w *recordWriter) ids(name string, all []string) *recordWriter {
	if len(all) > 0 {
		texts(w, name, all, func(id *string) string { return *id })
	}
	return w
}

func (w *recordWriter) cells(all []PublishedCell) {
	list(w, "cells", all, func(c *PublishedCell) {
		w.raw(`"configuration": `).text(c.Configuration).raw(`, "workload": `).text(c.Workload).raw(`, "n": `).integer(c.N)
		w.raw(`, "centre": `).figure(&c.Centre).raw(`, "relative": `).figure(&c.Relative)
		if c.Difference != nil {
			w.raw(`, "difference": `).figure(c.Difference)
		}
		w.raw(`, "lookAlike": `).boolean(c.LookAlike)
	})
}

func (w *recordWriter) readings(all []PublishedReadings) {
	list(w, "readings", all, func(g *PublishedReadings) {
		w.raw(`"configuration": `).text(g.Configuration).raw(`, "workload": `).text(g.Workload).raw(`, "session": `).text(g.Session)
		w.raw(`, "repeats": [`)
		for i, n := range g.Repeats {
			w.comma(i).integer(n)
		}
		w.raw(`], "outcomes": [`)
		for i, o := range g.Outcomes {
			w.comma(i).text(o)
		}
		w.raw(`], "values": [`)
		for i, v := range g.Values {
			if w.comma(i); v == nil {
				w.raw("null")
			} else {
				w.number(*v)
			}
		}
		w.raw("]")
	})
}

// list writes one entry per line; what is inside the braces is the caller's.
func list[T any](w *recordWriter, name string, all []T, entry func(*T)) {
	w.raw(",\n\"", name, "\": [")
	for i := range all {
		w.line(i).raw("\n  {")
		entry(&all[i])
		w.raw("}")
	}
	w.raw("]")
}

// recordWriter appends JSON.
type recordWriter struct{ b []byte }

func (w *recordWriter) raw(parts ...string) *recordWriter {
	for _, p := range parts {
		w.b = append(w.b, p...)
	}
	return w
}

func (w *recordWriter) comma(i int) *recordWriter {
	if i > 0 {
		w.b = append(w.b, ", "...)
	}
	return w
}

func (w *recordWriter) line(i int) *recordWriter {
	if i > 0 {
		w.b = append(w.b, ',')
	}
	return w
}

func (w *recordWriter) integer(n int) *recordWriter {
	w.b = strconv.AppendInt(w.b, int64(n), 10)
	return w
}

func (w *recordWriter) boolean(v bool) *recordWriter {
	w.b = strconv.AppendBool(w.b, v)
	return w
}

// number writes a finite number; the report has no others.
func (w *recordWriter) number(v float64) *recordWriter {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return w.raw("null")
	}
	if v == 0 {
		return w.raw("0")
	}
	format := byte('f')
	if a := math.Abs(v); a < 1e-6 || a >= 1e21 {
		format = 'e'
	}
	w.b = strconv.AppendFloat(w.b, v, format, -1, 64)
	return w
}

// text writes a string; most are plain and need no escape.
func (w *recordWriter) text(s string) *recordWriter {
	plain, ascii, separator := true, true, false
	for i := 0; i < len(s) && plain; i++ {
		c := s[i]
		plain = c >= 0x20 && c != 0x7f && c != '"' && c != '\\' && c != '<' && c != '>' && c != '&'
		ascii = ascii && c < utf8.RuneSelf
		separator = separator || c == "\u2028"[0] // perhaps
	}
	if !plain || !ascii && !utf8.ValidString(s) || separator && strings.ContainsAny(s, "\u2028\u2029") {
		quoted, err := json.Marshal(s)
		if err != nil { // a string always can
			return w.raw(`""`)
		}
		w.b = append(w.b, quoted...)
		return w
	}
	w.b = append(append(append(w.b, '"'), s...), '"')
	return w
}

func (w *recordWriter) figure(f *PublishedFigure) *recordWriter {
	w.raw(`{"state": `).text(f.State)
	if f.HasValue() {
		w.raw(`, "value": `).number(f.Value)
		if f.Confidence > 0 {
			w.raw(`, "low": `).number(f.Low).raw(`, "high": `).number(f.High).raw(`, "confidence": `).number(f.Confidence)
		}
	}
	if f.Verdict != "" {
		w.raw(`, "verdict": `).text(f.Verdict)
	}
	return w.raw(`, "text": `).text(f.Text).raw("}")
}
