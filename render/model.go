package render

import (
	"html/template"
	"strconv"

	"benchwright/report"
)

// model lays out the model of all factors: the largest steps first, then each
// workload's own effects with how well it fits.
func (s *site) model(p *Page) template.HTML {
	e := s.r.Effects
	m := &markup{}
	if len(e.Ranking) > 0 {
		s.modelTable(m, "model-ranking", s.book.Say("table.model-ranking.caption"), e.Ranking)
	}
	for i := range e.Workloads {
		fit := &e.Workloads[i]
		href, label := s.workload(p, fit.Workload)
		m.raw(`<h3>`).link(href, label).raw(`</h3><p>`)
		m.text(s.book.Say("method.model.fit", "n", strconv.Itoa(fit.N), "parameters", strconv.Itoa(fit.Parameters), "spread", fit.ResidualCV.Text)).raw(`</p>`)
		s.modelTable(m, "model-"+s.r.Workloads[fit.Workload].ID, s.book.Say("table.model.caption", "workload", label), fit.Effects)
		if len(fit.Aliased)+len(fit.Checks) > 0 {
			m.raw(`<ul>`)
			for _, a := range fit.Aliased {
				m.raw(`<li>`).text(a).raw(`</li>`)
			}
			for _, c := range fit.Checks {
				m.raw(`<li><span aria-hidden="true">`)
				if c.Passed {
					m.raw(`✓ `)
				} else {
					m.raw(`△ `)
				}
				m.raw(`</span>`).text(c.Text).raw(`</li>`)
			}
			m.raw(`</ul>`)
		}
	}
	return m.html()
}

// modelTable lists steps of factors with their effects.
func (s *site) modelTable(m *markup, id, caption string, effects []report.ModelEffect) {
	sp := span{log: true}
	sp.include(1)
	for i := range effects {
		sp.see(effects[i].Effect)
	}
	m.open(table{id: id, class: "effects", caption: caption, columns: []column{
		{label: s.book.Say("table.step")}, {label: s.book.Say("table.effect"), number: true},
		{label: s.book.Say("table.interval", "confidence", percent(s.r.Confidence, s.book.Decimal)), number: true},
		{label: s.book.Say("table.drawn")}, {label: s.book.Say("table.verdict")}}})
	for i := range effects {
		e := &effects[i]
		m.row("").head("", e.Label).effectCells(s, e.Effect, &sp, true).endRow()
	}
	m.close()
}
