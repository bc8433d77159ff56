package render

import (
	"cmp"
	"html/template"
	"strconv"

	"benchwright/report"
)

// Workload is the page of one workload.
type Workload struct {
	Page
	Metric     string         `doc:"what is measured, and which way is better"`
	Definition []Block        `doc:"how it is run: unit, scale, resolution, version, command …"`
	Sentences  []Statement    `doc:"what the readings say"`
	Chart      template.HTML  `doc:"every configuration with its single readings, mean and interval"`
	Order      template.HTML  `doc:"table of every configuration, best first"`
	Failures   template.HTML  `doc:"table of configurations that failed"`
	Responses  []ResponseView `doc:"how it follows the numeric factors"`
	Yours      Link           `doc:"the way to hold one's own readings beside these; empty for a workload that is computed"`
	Outside    string         `doc:"how many readings from other machines stand there; empty for none"`
	Findings   []Remark       `doc:"findings that touch it"`
	Before     Link           `doc:"the workload before"`
	After      Link           `doc:"the workload after"`
}

// ResponseView is how a workload follows a numeric factor.
type ResponseView struct {
	ID    string        `doc:"fragment"`
	Title string        `doc:"factor and fixed setting"`
	Text  Statement     `doc:"what the fit says"`
	Block []Block       `doc:"the figures of the fit"`
	Chart template.HTML `doc:"points, and the fitted curve or a line from point to point"`
	Table template.HTML `doc:"the points"`
}

func (s *site) workloadPage(i int) ([]File, error) {
	w := &s.r.Workloads[i]
	p := Workload{Page: s.page("workload", w.Page, s.workloadLabel(i), w.Metric)}
	p.Metric = s.book.Say("workload.metric", "metric", w.Metric, "better", s.better(w))
	for _, d := range w.Definition {
		p.Definition = append(p.Definition, Block{Label: d.Label, Text: d.Text})
	}
	p.Sentences = p.statements(w.Sentences)
	if len(w.Sentences) > 0 {
		p.Description = shorten(w.Sentences[0].Text, 200)
	}
	p.section("order", "workload.order")
	var drawn []File
	if c, ok := s.workloadDrawing(&p.Page, i); ok {
		p.Chart = s.figure(&p.Page, c)
		drawn = s.chartFiles(c)
	}
	p.Order = s.orderTable(&p.Page, i)
	if w.Derived == nil && w.FramesOf == "" {
		p.Yours = Link{Label: s.book.Say("workload.yours"), Href: p.Root + "yours.html#entry-" + w.ID}
	}
	outside := 0
	for k := range s.r.Outside {
		if s.r.Outside[k].Workload == i {
			outside += len(s.r.Outside[k].Readings)
		}
	}
	if outside > 0 {
		p.Outside = s.book.Count("workload.outside", outside)
	}
	if len(w.Failures) > 0 {
		p.section("failures", "workload.failures")
		p.Failures = s.failuresTable(&p.Page, i)
	}
	for k := range w.Responses {
		v := s.response(&p.Page, i, k)
		if c, ok := s.responseDrawing(i, k); ok {
			v.Chart = s.figure(&p.Page, c)
			drawn = append(drawn, s.chartFiles(c)...)
		}
		p.Responses = append(p.Responses, v)
	}
	if len(p.Responses) > 0 {
		p.section("response", "workload.responses")
	}
	p.section("definition", "workload.definition")
	if p.Findings = s.remarks(&p.Page, w.Findings); len(p.Findings) > 0 {
		p.section("findings", "page.findings")
	}
	if i > 0 {
		p.Before.Href, p.Before.Label = s.workload(&p.Page, i-1)
	}
	if i+1 < len(s.r.Workloads) {
		p.After.Href, p.After.Label = s.workload(&p.Page, i+1)
	}
	if len(drawn) > 0 {
		p.Scripts = append(p.Scripts, "chart.js")
	}
	return s.fill("workload", w.Page, &p, drawn...)
}

// orderTable lists every configuration with a value, best first.
func (s *site) orderTable(p *Page, w int) template.HTML {
	wl := &s.r.Workloads[w]
	t := table{id: "table", class: "order", sorts: true, tall: len(wl.Order) > tallFrom, fold: s.fold(len(wl.Order)),
		caption: s.inCommonSessions(s.book.Say("table.order.caption", "workload", s.workloadLabel(w)), s.column(w))}
	unit := wl.Unit.Symbol
	t.columns = []column{
		{label: s.book.Say("table.configuration")},
		{label: s.book.Say("table.rank"), number: true},
		{label: s.book.Say("table.centre"), note: unit, number: true},
		{label: s.book.Say("table.interval", "confidence", percent(s.r.Confidence, s.book.Decimal)), note: unit, number: true, still: true},
		{label: s.book.Say("table.spread"), number: true},
		{label: s.book.Say("table.n"), number: true},
		{label: s.book.Say("table.single"), note: unit, still: true},
	}
	compared := column{label: s.book.Say("table.relative"), note: s.book.Say("table.relative.note"), number: true}
	if wl.AsRead() {
		compared.note = s.book.Say("table.relative.note.as-read")
	}
	if s.interval(w) {
		compared = column{label: s.book.Say("table.from-baseline"), note: unit, number: true}
	}
	t.columns = append(t.columns, compared, column{label: s.book.Say("table.remarks"), still: true})
	d, rd := decimals{mark: s.book.Decimal}, decimals{mark: s.book.Decimal}
	for _, o := range wl.Order {
		c := &s.r.Cells[o.Configuration][w]
		d.see(shown(c.Centre))
		rd.see(shown(*c.Compared()))
	}
	m := &markup{b: make([]byte, 0, 400*len(wl.Order))}
	m.open(t)
	for k, o := range wl.Order {
		c := &s.r.Cells[o.Configuration][w]
		class := ""
		if o.Configuration == s.r.Baseline {
			class = "baseline"
		}
		if o.Tied {
			class += " tied"
		}
		m.row(class)
		href, label := s.configuration(p, o.Configuration)
		m.head(href, label)
		m.raw(`<td class="n" data-v="`).integer(k).raw(`">`).text(s.rank(w, o.Configuration)).raw(`</td>`)
		m.raw(`<td class="n strong" data-v="`).sortValue(c.Centre.Value).raw(`">`).text(shown(c.Centre)).raw(d.pad(shown(c.Centre))).raw(`</td>`)
		m.raw(`<td class="n">`).text(bare(c.Centre.Range, unit))
		if c.Centre.Range == "" {
			m.text(c.Centre.Remark)
		}
		m.raw(`</td>`)
		m.number(cmp.Or(c.CVText, c.SDText)).count(c.N)
		m.raw(`<td class="single">`)
		first := true
		for r := range c.Readings {
			reading := &c.Readings[r]
			if !reading.HasValue {
				continue
			}
			if !first {
				m.raw(` · `)
			}
			first = false
			if reading.Outcome.String() != "ok" {
				m.raw(`<del>`).text(bare(reading.Text, unit)).raw(`</del>`)
			} else {
				m.text(bare(reading.Text, unit))
			}
		}
		m.raw(`</td>`)
		if c.Difference != nil {
			m.differenceCell(c.Difference, unit, &rd)
		} else {
			m.comparedCell(s, o.Configuration, c.Relative, "", nil, &rd)
		}
		m.remarks(c.Flags)
		for k, flag := range c.Flags {
			if k > 0 {
				m.raw(`; `)
			}
			m.flag(s, p, flag)
		}
		m.raw(`</td>`).endRow()
	}
	return m.close().html()
}

// failuresTable lists the configurations that have no value since they failed.
func (s *site) failuresTable(p *Page, w int) template.HTML {
	t := table{id: "failure-table", caption: s.book.Say("table.failures.caption"),
		columns: []column{{label: s.book.Say("table.configuration")}, {label: s.book.Say("table.outcome")}, {label: s.book.Say("table.attempts"), number: true}, {label: s.book.Say("table.why")}}}
	m := (&markup{}).open(t)
	for _, i := range s.r.Workloads[w].Failures {
		c := &s.r.Cells[i][w]
		href, label := s.configuration(p, i)
		m.row("").head(href, label).raw(`<td class="failed"><span aria-hidden="true">✕ </span>`).text(s.book.Say("page.outcome." + c.Outcome.String())).raw(`</td>`)
		m.count(len(c.Readings))
		why := ""
		for k := range c.Readings {
			if why == "" {
				why = c.Readings[k].Reason
			}
			if why == "" {
				why = c.Readings[k].Note
			}
		}
		m.cell(why).endRow()
	}
	return m.close().html()
}

// response shows how a workload follows one numeric factor.
func (s *site) response(p *Page, w, k int) ResponseView {
	re := &s.r.Workloads[w].Responses[k]
	f := s.r.Project.Factors[re.Factor]
	v := ResponseView{ID: "response-" + strconv.Itoa(k+1), Title: f.Label, Text: p.statement(re.Sentence)}
	if re.Setting != "" {
		v.Title = s.book.Say("workload.response.title", "factor", f.Label, "setting", re.Setting)
	}
	if v.Text.Href == "#response" || v.Text.Href == "#"+v.ID {
		v.Text.Href = ""
	}
	for _, x := range []struct {
		key string
		f   report.Figure
	}{{"workload.elasticity", re.Elasticity}, {"workload.untouched", re.Untouched}} {
		if x.f.State == report.Absent || x.f.Text == "" {
			continue
		}
		text := x.f.Text
		if x.f.Range != "" {
			text += " (" + x.f.Range + ")"
		}
		v.Block = append(v.Block, Block{Label: s.book.Say(x.key), Text: text})
	}
	wl := &s.r.Workloads[w]
	t := table{id: v.ID + "-table", caption: s.book.Say("table.response.caption", "factor", v.Title, "workload", s.workloadLabel(w)),
		columns: []column{{label: s.book.Say("table.configuration")}, {label: f.Label, note: f.Unit.Symbol, number: true},
			{label: s.book.Say("table.centre"), note: wl.Unit.Symbol, number: true}}}
	d := decimals{mark: s.book.Decimal}
	for _, pt := range re.Points {
		d.see(shown(pt.Y))
	}
	m := (&markup{}).open(t)
	for _, pt := range re.Points {
		href, label := s.configuration(p, pt.Configuration)
		m.row("").head(href, label)
		m.number(s.plain(pt.X)).figureCell(s, pt.Y, nil, 0, &d).endRow()
	}
	v.Table = m.close().html()
	return v
}

// plain writes a level as it was declared, with the language's decimal mark.
func (s *site) plain(v float64) string {
	m := &markup{}
	m.b = strconv.AppendFloat(m.b, v, 'f', -1, 64)
	for i, c := range m.b {
		if c == '.' && s.book.Decimal == "," {
			m.b[i] = ','
		}
	}
	return string(m.b)
}
