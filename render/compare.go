package render

import "html/template"

// Compare is the page on which a viewer picks two configurations. Without
// scripts it lists what sets each configuration apart from the baseline.
type Compare struct {
	Page
	From  string        `doc:"label of the configuration that is compared from at first"`
	To    string        `doc:"label of the configuration that is compared to at first"`
	Table template.HTML `doc:"every configuration with what differs from the baseline"`
}

func (s *site) comparePage() ([]File, error) {
	p := Compare{Page: s.page("compare", "compare.html", s.book.Say("compare.title"), s.book.Say("compare.description", "report", s.r.Project.Title))}
	p.Scripts = []string{"figures.js", "figures.data.js", "page.js", "compare.js"}
	p.From = s.label(s.r.Baseline)
	t := table{id: "differences", tall: len(s.r.Configurations) > tallFrom, caption: s.book.Say("table.differences.caption", "baseline", p.From),
		columns: []column{{label: s.book.Say("table.configuration")}, {label: s.book.Say("table.differs-in")}, {label: s.book.Say("table.clean")}}}
	for _, c := range s.r.Composites {
		t.columns = append(t.columns, column{label: c.Label, note: s.book.Say("table.relative.note"), number: true})
	}
	d := decimals{mark: s.book.Decimal}
	m := (&markup{}).open(t)
	for i := range s.r.Configurations {
		if i == s.r.Baseline {
			continue
		}
		c := &s.r.Configurations[i]
		href, label := s.configuration(&p.Page, i)
		m.row("").head(href, label).raw(`<td class="words">`)
		first := true
		for _, d := range c.Differs {
			if d.Kind == "follower" {
				continue // it belongs to the change that it follows
			}
			if !first {
				m.raw(`<br>`)
			}
			m.text(d.Text)
			if d.Kind != "under-study" {
				m.raw(` <small class="inline">`).text(s.kindText(d, first)).raw(`</small>`)
			}
			first = false
		}
		m.raw(`</td>`).cell(c.Comparison.Short)
		for k := range s.r.Composites {
			m.comparedCell(s, i, s.r.Composites[k].Rows[i].Figure, "", nil, &d)
		}
		m.endRow()
	}
	p.Table = m.close().html()
	return s.fill("compare", "compare.html", &p)
}
