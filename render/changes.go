package render

import (
	"html/template"
	"slices"

	"benchwright/report"
)

// Changes is the page of what moved since the last publication.
type Changes struct {
	Page
	Since     string        `doc:"in words, which edition the changes are told against; empty for a first one"`
	First     string        `doc:"what to say of a first edition"`
	Turned    []Statement   `doc:"answers that turned"`
	Sentences []Statement   `doc:"what changed, in sentences"`
	Figures   template.HTML `doc:"table of figures that moved"`
	Apart     template.HTML `doc:"table of figures that are over other workloads than they were"`
	New       template.HTML `doc:"table of new readings"`
	Corrected template.HTML `doc:"table of corrected readings"`
	Excluded  template.HTML `doc:"table of excluded readings"`
	Withdrawn template.HTML `doc:"table of withdrawn readings"`
	Fragment  string        `doc:"fragment of this edition, edition-DATE"`
	Editions  []EditionView `doc:"earlier editions, newest first"`
}

// EditionView is an earlier edition.
type EditionView struct {
	Fragment string   `doc:"edition-DATE"`
	Title    string   `doc:"its date, in words"`
	Texts    []string `doc:"what it said had changed, and the readings that it corrected, excluded and withdrew"`
}

// since says which edition the changes are told against. The first one may have
// the date of this one.
func (s *site) since(c *report.Changes) string {
	if c.Since == s.r.Project.Date {
		return s.book.Say("page.since.same-day", "date", s.date(c.Since))
	}
	return s.book.Say("page.since", "date", s.date(c.Since))
}

func (s *site) changesPage() ([]File, error) {
	p := Changes{Page: s.page("changes", "changes.html", s.book.Say("changes.title"), s.book.Say("changes.description", "report", s.r.Project.Title))}
	p.Fragment = "edition-" + s.r.Project.Date
	c := s.r.Changes
	if c == nil {
		p.First = s.book.Say("changes.first", "date", s.date(s.r.Project.Date))
		if made := s.r.CorrectionsMade(); len(made) > 0 {
			p.First = s.book.Say("changes.first.corrected", "date", s.date(s.r.Project.Date))
			p.section("corrected", "changes.corrected")
			p.Corrected = s.changedReadings("corrected", made)
		}
		return s.fill("changes", "changes.html", &p)
	}
	p.Since = s.since(c)
	p.Turned = p.statements(c.Turned)
	p.Sentences = p.statements(c.Sentences)
	if len(c.Figures) > 0 {
		p.section("figures", "changes.figures")
		t := table{id: "figure-table", sorts: len(c.Figures) > 2, caption: s.book.Say("table.moved.caption") + " " + s.book.Say("changes.followed"),
			columns: []column{{label: s.book.Say("table.figure")}, {label: s.book.Say("table.was"), number: true, still: true}, {label: s.book.Say("table.now"), number: true, still: true},
				{label: s.book.Say("table.moved"), number: true, still: true}, {label: s.book.Say("table.inside")}}}
		m := (&markup{}).open(t)
		for _, f := range c.Figures {
			href := ""
			if f.Link != "" {
				href = p.Root + f.Link
			}
			m.row("").head(href, f.What).number(f.Was).number(f.Now).number(f.Moved)
			if f.Inside {
				m.cell(s.book.Say("page.yes"))
			} else {
				m.raw(`<td class="strong">`).text(s.book.Say("page.no")).raw(`</td>`)
			}
			m.endRow()
		}
		p.Figures = m.close().html()
	}
	if len(c.Apart) > 0 {
		p.section("apart", "changes.apart.title")
		m := (&markup{}).open(table{id: "apart-table", caption: s.book.Say("changes.apart.caption"),
			columns: []column{{label: s.book.Say("table.figure")}, {label: s.book.Say("table.was"), number: true}, {label: s.book.Say("table.now"), number: true}}})
		for _, f := range c.Apart {
			m.row("").head(p.Root+f.Link, f.What).number(f.Was).number(f.Now).endRow()
		}
		p.Apart = m.close().html()
	}
	for _, x := range []struct {
		key  string
		list []report.ChangedReading
		to   *template.HTML
	}{{"new", c.New, &p.New}, {"corrected", c.Corrected, &p.Corrected}, {"excluded", c.Excluded, &p.Excluded}, {"withdrawn", c.Withdrawn, &p.Withdrawn}} {
		if len(x.list) > 0 {
			p.section(x.key, "changes."+x.key)
			*x.to = s.changedReadings(x.key, x.list)
		}
	}
	for _, e := range c.Past {
		v := EditionView{Fragment: "edition-" + e.Date, Title: s.book.Say("feed.edition", "date", s.date(e.Date)), Texts: slices.Concat(e.Turned, e.Sentences, s.r.KeptReadings(e))}
		if v.Fragment == p.Fragment || slices.ContainsFunc(p.Editions, func(o EditionView) bool { return o.Fragment == v.Fragment }) {
			continue
		}
		if len(v.Texts) == 0 {
			v.Texts = []string{s.book.Say("feed.first")}
		}
		p.Editions = append(p.Editions, v)
	}
	if len(p.Editions) > 0 {
		p.section("editions", "changes.editions")
	}
	return s.fill("changes", "changes.html", &p)
}

func (s *site) changedReadings(key string, list []report.ChangedReading) template.HTML {
	t := table{id: key + "-table", tall: len(list) > tallFrom, caption: s.book.Say("changes." + key),
		columns: []column{{label: s.book.Say("table.configuration")}, {label: s.book.Say("table.workload")}, {label: s.book.Say("table.session")},
			{label: s.book.Say("table.repeat"), number: true}, {label: s.book.Say("table.was"), number: true}, {label: s.book.Say("table.now"), number: true}, {label: s.book.Say("table.why")}}}
	m := (&markup{}).open(t)
	for _, c := range list {
		m.row("").head("", c.Configuration).cell(c.Workload).cell(c.Session).positive(c.Repeat).number(c.Was).number(c.Now).cell(c.Reason).endRow()
	}
	return m.close().html()
}
