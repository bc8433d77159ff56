package render

import (
	"cmp"
	"html/template"
	"strconv"

	"benchwright/report"
)

// Configuration is the page of one configuration.
type Configuration struct {
	Page
	ID         string           `doc:"the identifier that files use"`
	State      string           `doc:"tested, partly, failed, not-run or planned: a class"`
	Status     string           `doc:"the same in words"`
	Baseline   bool             `doc:"it is the baseline"`
	Against    Link             `doc:"the baseline"`
	Differs    []DifferenceView `doc:"what differs from the baseline"`
	Clean      string           `doc:"whether the comparison with the baseline is clean, in words"`
	CleanState string           `doc:"clean or reserved: a class"`
	Compare    string           `doc:"the way to the comparison with the baseline"`
	Note       string           `doc:"the author's note"`
	Block      []Block          `doc:"cost, number of readings, what it is based on"`
	Cautions   []string         `doc:"where it goes beyond a maker's limit"`
	Results    template.HTML    `doc:"table of its results"`
	Values     template.HTML    `doc:"table of its values, with where each came from"`
	Pictures   []Picture        `doc:"photographs"`
	Readings   template.HTML    `doc:"table of all its readings"`
	Findings   []Remark         `doc:"findings that touch it"`
	Before     Link             `doc:"the configuration before"`
	After      Link             `doc:"the configuration after"`
}

func (s *site) configurationPage(i int) ([]File, error) {
	c := &s.r.Configurations[i]
	p := Configuration{Page: s.page("configuration", c.Page, s.label(i), c.Status)}
	p.ID, p.State, p.Status, p.Note = c.ID, c.State, c.Status, c.Note
	p.Baseline = i == s.r.Baseline
	p.Against.Href, p.Against.Label = s.configuration(&p.Page, s.r.Baseline)
	if !p.Baseline {
		p.Differs = s.differences(c.Differs)
		p.Compare = p.Root + "compare.html#from=" + s.r.Configurations[s.r.Baseline].ID + "&to=" + c.ID
		p.Clean, p.CleanState = c.Comparison.Text, "reserved"
		if c.Comparison.Clean {
			p.CleanState = "clean"
		}
		p.Description = shorten(s.describe(c), 200)
	}
	p.Block = s.configurationBlock(&p.Page, i)
	p.Cautions = c.Cautions
	p.Results = s.resultsTable(&p.Page, i)
	p.section("results", "configuration.results")
	p.Values = s.valuesTable(c, p.Baseline)
	p.section("values", "configuration.values")
	p.Pictures = s.pictures(&p.Page, c.Pictures)
	if len(p.Pictures) > 0 {
		p.section("photographs", "configuration.photographs")
	}
	if p.Readings = s.readingsTable(&p.Page, i); p.Readings != "" {
		p.section("readings", "configuration.readings")
	}
	if p.Findings = s.remarks(&p.Page, c.Findings); len(p.Findings) > 0 {
		p.section("findings", "page.findings")
	}
	if i > 0 {
		p.Before.Href, p.Before.Label = s.configuration(&p.Page, i-1)
	}
	if i+1 < len(s.r.Configurations) {
		p.After.Href, p.After.Label = s.configuration(&p.Page, i+1)
	}
	return s.fill("configuration", c.Page, &p)
}

// describe lists what differs from the baseline for those who link to the page.
func (s *site) describe(c *report.Configuration) string {
	text := c.Status
	for _, d := range c.Differs {
		text += "; " + d.Text
	}
	return sentenceCase(text)
}

func (s *site) configurationBlock(p *Page, i int) []Block {
	c := &s.r.Configurations[i]
	out := []Block{
		{Label: s.book.Say("configuration.status"), Text: c.Status},
		{Label: s.book.Say("configuration.readings"), Text: strconv.Itoa(c.Readings)},
	}
	if c.BasedOn != "" {
		b := Block{Label: s.book.Say("configuration.based-on"), Text: c.BasedOn}
		for k := range s.r.Configurations {
			if s.r.Configurations[k].ID == c.BasedOn {
				b.Href, b.Text = s.configuration(p, k)
			}
		}
		out = append(out, b)
	}
	if c.Cost.Text != "" {
		out = append(out, Block{Label: s.book.Say("configuration.cost"), Text: c.Cost.Text})
	}
	for k := range s.r.Composites {
		if f := s.r.Composites[k].Rows[i].Figure; f.State != report.Absent && f.Text != "" && i != s.r.Baseline {
			text := f.Text
			if f.Range != "" {
				text += " (" + f.Range + ")"
			}
			out = append(out, Block{Label: s.r.Composites[k].Label, Text: text, Href: p.Root + "index.html#relative-performance"})
		}
	}
	return append(out, Block{Label: s.book.Say("configuration.id"), Text: c.ID})
}

// resultsTable has a row per workload.
func (s *site) resultsTable(p *Page, i int) template.HTML {
	t := table{id: "result-table", class: "results", sorts: len(s.r.Workloads) > 2,
		caption: s.inCommonSessions(s.book.Say("table.results.caption", "configuration", s.label(i)), s.rowOf(i))}
	t.columns = []column{
		{label: s.book.Say("table.workload")},
		{label: s.book.Say("table.value"), number: true, still: true},
		{label: s.book.Say("table.unit"), still: true},
		{label: s.book.Say("table.spread"), number: true},
		{label: s.book.Say("table.n"), number: true},
		{label: s.book.Say("table.rank"), number: true},
	}
	if i != s.r.Baseline {
		t.columns = append(t.columns, column{label: s.book.Say("table.relative"), note: s.book.Say("table.relative.note"), number: true})
	}
	t.columns = append(t.columns, column{label: s.book.Say("table.remarks"), still: true})
	d := decimals{mark: s.book.Decimal}
	for w := range s.r.Workloads {
		d.see(shown(s.r.Cells[i][w].Relative))
	}
	m := (&markup{b: make([]byte, 0, 1<<11+512*len(s.r.Workloads))}).open(t)
	for w := range s.r.Workloads {
		c := &s.r.Cells[i][w]
		wl := &s.r.Workloads[w]
		m.row("")
		href, label := s.workload(p, w)
		m.raw(`<th scope="row">`).link(href, label).raw(` <small>`).text(s.better(wl)).raw(`</small></th>`)
		f := c.Centre
		if f.State == report.Absent && len(c.Readings) > 0 {
			f = report.Figure{State: report.Failed, Text: s.book.Say("page.outcome." + c.Outcome.String())}
		}
		m.figureCell(s, f, nil, 0, nil)
		m.cell(wl.Unit.Symbol)
		m.number(cmp.Or(c.CVText, c.SDText))
		m.count(c.N)
		m.number(s.rank(w, i))
		if i != s.r.Baseline {
			if c.Difference != nil && measured(*c.Difference) {
				m.raw(`<td class="n">`).text(c.Difference.Text).under(s, *c.Difference).raw(`</td>`)
			} else {
				m.comparedCell(s, i, c.Relative, "", &s.relative, &d)
			}
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

// rank gives the place of a configuration under a workload, with "=" for a tie.
func (s *site) rank(w, i int) string {
	order, k := s.r.Workloads[w].Order, int(s.places[w][i])-1
	if k < 0 {
		return ""
	}
	text := strconv.Itoa(order[k].Rank)
	if order[k].Tied || (k+1 < len(order) && order[k+1].Tied) {
		text += "="
	}
	return text
}

// placesOf finds every configuration in every workload's order.
func placesOf(r *report.Report) [][]int32 {
	out := make([][]int32, len(r.Workloads))
	for w := range r.Workloads {
		out[w] = make([]int32, len(r.Configurations))
		for k, place := range r.Workloads[w].Order {
			if at := &out[w][place.Configuration]; *at == 0 {
				*at = int32(k + 1)
			}
		}
	}
	return out
}

// valuesTable lists every factor, those that differ from the baseline first.
func (s *site) valuesTable(c *report.Configuration, baseline bool) template.HTML {
	t := table{id: "value-table", class: "values", caption: s.book.Say("table.values.caption")}
	identity := false
	for k := range c.Values {
		identity = identity || c.Values[k].Displayed != "" || c.Values[k].Measured != ""
	}
	t.columns = []column{{label: s.book.Say("table.factor")}, {label: s.book.Say("table.value")}}
	if !baseline {
		t.columns = append(t.columns, column{label: s.book.Say("table.baseline")})
	}
	if identity {
		t.columns = append(t.columns, column{label: s.book.Say("table.set")}, column{label: s.book.Say("table.displayed")}, column{label: s.book.Say("table.measured")})
	}
	t.columns = append(t.columns, column{label: s.book.Say("table.origin")})
	m := (&markup{}).open(t)
	for k := range c.Values {
		v := &c.Values[k]
		class := ""
		if v.Differs {
			class = "differs " + v.Kind
		}
		m.row(class).raw(`<th scope="row">`).text(v.Factor.Label)
		if v.Kind != "" {
			m.raw(` <small>`).text(s.book.Say("page.kind." + v.Kind)).raw(`</small>`)
		}
		m.raw(`</th>`)
		if v.Differs {
			m.raw(`<td><strong>`).text(v.Text).raw(`</strong></td>`)
		} else {
			m.cell(v.Text)
		}
		if !baseline {
			m.cell(v.Baseline)
		}
		if identity {
			m.cell(v.Set).cell(v.Displayed).cell(v.Measured)
		}
		m.raw(`<td class="origin">`).text(v.Origin)
		if v.Explained != "" {
			m.raw(`<small>`).text(v.Explained).raw(`</small>`)
		}
		m.raw(`</td>`).endRow()
	}
	return m.close().html()
}

// readingsTable lists every reading, excluded and failed ones too.
func (s *site) readingsTable(p *Page, i int) template.HTML {
	n := 0
	for w := range s.r.Workloads {
		n += len(s.r.Cells[i][w].Readings)
	}
	if n == 0 {
		return ""
	}
	t := table{id: "reading-table", class: "readings", sorts: true, tall: n > tallFrom, caption: s.book.Say("table.readings.caption")}
	t.columns = []column{
		{label: s.book.Say("table.workload")},
		{label: s.book.Say("table.session")},
		{label: s.book.Say("table.order"), number: true},
		{label: s.book.Say("table.repeat"), number: true},
		{label: s.book.Say("table.value"), number: true, still: true},
		{label: s.book.Say("table.written"), number: true, still: true},
		{label: s.book.Say("table.outcome")},
		{label: s.book.Say("table.remarks"), still: true},
		{label: s.book.Say("table.place"), still: true},
	}
	m := &markup{b: make([]byte, 0, 256*n)}
	m.open(t)
	for w := range s.r.Workloads {
		href, label := s.workload(p, w)
		readings := s.r.Cells[i][w].Readings
		for k := range readings {
			rd := &readings[k]
			class := ""
			if rd.Outcome.String() != "ok" {
				class = "out"
			}
			m.row(class).head(href, label)
			if rd.Session >= 0 && rd.Session < len(s.r.Sessions) {
				m.linked(p.Root+"method.html#session-"+s.r.Sessions[rd.Session].ID, s.r.Sessions[rd.Session].ID)
			} else {
				m.cell("")
			}
			m.positive(rd.Order).positive(rd.Repeat)
			m.raw(`<td class="n">`)
			if rd.HasValue {
				m.text(rd.Text)
			}
			m.raw(`</td>`).number(rd.Written)
			m.cell(rd.OutcomeText)
			m.raw(`<td>`).text(rd.Reason)
			if rd.Reason != "" && rd.Note != "" {
				m.raw(` `)
			}
			m.text(rd.Note)
			if rd.Corrected != "" {
				m.raw(`<small>`).text(rd.Corrected).raw(`</small>`)
			}
			m.raw(`</td><td class="place">`)
			if rd.Place.File != "" {
				m.text(rd.Place.String())
			}
			m.raw(`</td>`).endRow()
		}
	}
	return m.close().html()
}

// positive writes a counted number, nothing for one that is not known.
func (m *markup) positive(n int) *markup {
	if n <= 0 {
		return m.raw(`<td class="n"></td>`)
	}
	return m.count(n)
}
