package render

import (
	"encoding/xml"
	"fmt"
	"html/template"
	"math"
	"slices"
	"strconv"
	"strings"

	"benchwright/render/chart"
	"benchwright/report"
)

// Shared is the page of the workloads that several reports have in common.
type Shared struct {
	Page
	Lead      string       `doc:"when two workloads are the same test"`
	None      string       `doc:"said when there is none; empty otherwise"`
	Workloads []SharedView `doc:"the workloads"`
}

// SharedView is a workload that several reports have in common.
type SharedView struct {
	ID         string        `doc:"fragment: the id of the workload"`
	Title      string        `doc:"its label"`
	Metric     string        `doc:"what is measured, and which way is better"`
	Origin     string        `doc:"whether the shelf defines it, or the reports do alike"`
	Definition []Block       `doc:"how it is run: unit, scale, version, command …"`
	Uses       template.HTML `doc:"table of the reports that use it; empty when none does"`
	Across     Link          `doc:"the way to its readings side by side; empty when there are none"`
}

// Across is the page that lays the readings of several reports side by side.
type Across struct {
	Page
	Warning   string       `doc:"that no difference on the page is an effect"`
	Why       string       `doc:"why it is not"`
	None      string       `doc:"said when nothing can stand side by side; empty otherwise"`
	Workloads []AcrossView `doc:"the shared workloads with the readings of all reports"`
	Pairs     []PairView   `doc:"for every two reports, what is not matched and how they stand"`
	Figures   Link         `doc:"the figures of the page as a table to take away"`
}

// AcrossView is a shared workload with the readings of all reports.
type AcrossView struct {
	ID      string        `doc:"fragment: the id of the workload"`
	Title   string        `doc:"its label"`
	Metric  string        `doc:"what is measured, and which way is better"`
	Chart   template.HTML `doc:"the readings, drawn"`
	Legend  []Block       `doc:"which number stands for which report"`
	Table   template.HTML `doc:"the readings"`
	LeftOut []Statement   `doc:"reports that measure something else under this id, with the difference"`
	Before  string        `doc:"said before them"`
}

// PairView is two reports beside one another.
type PairView struct {
	ID        string        `doc:"fragment"`
	Title     string        `doc:"both reports"`
	Warning   string        `doc:"what must not be concluded, and how much is not matched"`
	Unmatched template.HTML `doc:"table of the baselines and of what is not matched between them"`
	Standings template.HTML `doc:"table of how the baselines stand under each shared workload"`
}

// sharedPage lists the workloads with their definitions and who uses them.
func (s *shelf) sharedPage() ([]File, error) {
	p := Shared{Page: s.own("shared", "workloads.html", s.book.Say("shared.title"), s.book.Say("shared.description", "shelf", s.sh.Title)), Lead: s.book.Say("shared.lead")}
	if len(s.sh.Workloads) == 0 {
		p.None = s.book.Say("shared.none")
	}
	for i := range s.sh.Workloads {
		x := &s.sh.Workloads[i]
		v := SharedView{ID: x.ID, Title: x.Label, Metric: s.book.Say("workload.metric", "metric", x.Metric, "better", x.Better), Origin: s.book.Say("shared.from-reports")}
		switch {
		case x.FromShelf:
			v.Origin = s.book.Say("shared.from-shelf")
		case slices.ContainsFunc(x.Uses, func(u report.WorkloadUse) bool { return !u.Same }):
			v.Origin = s.book.Say("shared.from-reports-apart")
		}
		for _, d := range x.Definition {
			v.Definition = append(v.Definition, Block{Label: d.Label, Text: d.Text})
		}
		v.Uses = s.usesTable(x)
		if len(x.Rows) > 0 {
			v.Across = Link{Label: s.book.Say("shared.side-by-side"), Href: "across.html#" + x.ID}
		}
		p.Workloads = append(p.Workloads, v)
		p.Contents = append(p.Contents, Link{Label: x.Label, Href: "#" + x.ID})
	}
	if len(p.Contents) < 4 {
		p.Contents = nil
	}
	return s.fill("shared", "workloads.html", &p)
}

// usesTable lists the reports that have a workload of the id.
func (s *shelf) usesTable(x *report.SharedWorkload) template.HTML {
	if len(x.Uses) == 0 {
		return ""
	}
	m := (&markup{}).open(table{id: "uses-" + x.ID, caption: s.book.Say("table.shared.caption", "workload", x.Label),
		columns: []column{{label: s.book.Say("table.report")}, {label: s.book.Say("table.workload")}, {label: s.book.Say("table.definition")}}})
	for _, u := range x.Uses {
		r := &s.sh.Reports[u.Report]
		m.row("").head(r.Folder+"/index.html", r.Project.Title)
		m.linked(r.Folder+"/"+r.Workloads[u.Workload].Page, r.Workloads[u.Workload].Label).raw(`<td>`)
		if u.Same || len(u.Differs) == 0 {
			m.raw(`<span aria-hidden="true">✓ </span>`).text(s.book.Say("shared.same"))
			if u.Unstated != "" {
				m.raw(`<small>`).text(u.Unstated).raw(`</small>`)
			}
		} else {
			m.raw(`<span aria-hidden="true">△ </span>`).text(s.book.Say("shared.differs"))
			for _, d := range u.Differs {
				m.raw(`<small>`).text(d).raw(`</small>`)
			}
		}
		m.raw(`</td>`).endRow()
	}
	return m.close().html()
}

// acrossPage lays the readings side by side, and says what is not matched.
func (s *shelf) acrossPage() ([]File, error) {
	p := Across{Page: s.own("across", "across.html", s.book.Say("across.title"), s.book.Say("across.description", "shelf", s.sh.Title)),
		Warning: s.book.Say("across.warning"), Why: s.book.Say("across.warning.why")}
	var drawn []File
	shown := 0
	for i := range s.sh.Workloads {
		x := &s.sh.Workloads[i]
		if len(x.Uses) < 2 {
			continue
		}
		v := AcrossView{ID: x.ID, Title: x.Label, Metric: s.book.Say("workload.metric", "metric", x.Metric, "better", x.Better)}
		if len(x.Rows) > 0 {
			shown++
			c := s.acrossDrawing(x)
			v.Chart = s.figure(&p.Page, c)
			drawn = append(drawn, s.chartFiles(c)...)
		}
		for _, u := range x.Uses {
			r := &s.sh.Reports[u.Report]
			if u.Same && len(x.Rows) == 0 {
				continue
			}
			if u.Same {
				v.Legend = append(v.Legend, Block{Label: number(u.Report), Text: r.Project.Title})
				continue
			}
			v.Before = s.book.Say("across.left-out")
			if len(x.Rows) == 0 {
				v.Before = s.book.Say("across.nothing-alike")
			}
			v.LeftOut = append(v.LeftOut, Statement{Text: r.Project.Title + " (" + strings.Join(u.Differs, "; ") + ")", Href: r.Folder + "/" + r.Workloads[u.Workload].Page, Where: s.book.Say("page.where")})
		}
		if len(x.Rows) > 0 {
			v.Table = s.acrossTable(x)
		}
		p.Workloads = append(p.Workloads, v)
		p.Contents = append(p.Contents, Link{Label: x.Label, Href: "#" + x.ID})
	}
	for i := range s.sh.Pairs {
		p.Pairs = append(p.Pairs, s.pairView(&s.sh.Pairs[i]))
	}
	switch {
	case shown == 0:
		p.Workloads, p.Contents = nil, nil
		p.None = s.book.Say("across.none")
	default:
		p.section("unmatched", "across.unmatched")
		p.Scripts = append(p.Scripts, "chart.js")
		if s.figures != "" {
			p.Figures = Link{Label: strings.TrimPrefix(s.figures, "data/"), Href: s.figures}
		}
	}
	return s.fill("across", "across.html", &p, drawn...)
}

// number stands for a report where its title would be too long.
func number(report int) string { return strconv.Itoa(report + 1) }

// acrossDrawing draws every configuration of every report, report by report:
// an order of rank would invite what the page warns of.
func (s *shelf) acrossDrawing(x *report.SharedWorkload) chart.Chart {
	c := chart.Chart{ID: "across-" + x.ID, Kind: chart.Bars, Title: s.book.Say("chart.across.title", "workload", x.Label, "metric", x.Metric),
		Description: s.book.Say("across.warning"), Axis: axis(x.Metric, x.Unit), Better: x.Better}
	if x.Interval {
		c.Kind = chart.Dots
	}
	for i := range x.Rows {
		w := &x.Rows[i]
		r := &s.sh.Reports[w.Report]
		one := row(number(w.Report)+" · "+w.Label, r.Folder+"/"+r.Configurations[w.Configuration].Page, w.Centre, 1, w.Centre.Text)
		if one.Mark == chart.Failed {
			one.Text = s.book.Say("page.outcome." + w.Outcome.String())
		}
		one.Readings = w.Readings
		if w.Baseline && one.Mark == chart.Plain {
			one.Mark = chart.Baseline
		}
		c.Rows = append(c.Rows, one)
	}
	c.Rows = ends(c.Rows)
	return c
}

// acrossTable lists the same in numbers.
func (s *shelf) acrossTable(x *report.SharedWorkload) template.HTML {
	t := table{id: "across-" + x.ID + "-table", class: "order", tall: len(x.Rows) > tallFrom, caption: s.book.Say("table.across.caption", "workload", x.Label),
		columns: []column{{label: s.book.Say("table.configuration")}, {label: s.book.Say("table.report")},
			{label: s.book.Say("table.centre"), note: x.Unit, number: true},
			{label: s.book.Say("table.interval", "confidence", percent(s.sh.Confidence, s.book.Decimal)), note: x.Unit, number: true},
			{label: s.book.Say("table.drawn")}, {label: s.book.Say("table.n"), number: true}}}
	sp, d := span{}, decimals{mark: s.book.Decimal}
	for i := range x.Rows {
		sp.see(x.Rows[i].Centre)
		d.see(shown(x.Rows[i].Centre))
	}
	m := (&markup{}).open(t)
	for i := range x.Rows {
		w := &x.Rows[i]
		r := &s.sh.Reports[w.Report]
		class := ""
		if w.Baseline {
			class = "baseline"
		}
		m.row(class).head(r.Folder+"/"+r.Configurations[w.Configuration].Page, w.Label)
		m.raw(`<td class="origin">`).link(r.Folder+"/index.html", number(w.Report)+" · "+r.Project.Title).raw(`</td>`)
		if !w.Centre.HasValue() {
			m.raw(`<td class="n failed"><span aria-hidden="true">✕ </span>`).text(s.book.Say("page.outcome." + w.Outcome.String())).raw(`</td><td></td><td></td>`)
			m.count(len(w.Readings)).endRow()
			continue
		}
		m.raw(`<td class="n strong">`).text(shown(w.Centre)).raw(d.pad(shown(w.Centre)), `</td><td class="n">`).text(bare(w.Centre.Range, x.Unit))
		if w.Centre.Range == "" {
			m.text(w.Centre.Remark)
		}
		m.raw(`</td><td>`).interval(neutral(w.Centre), &sp, math.NaN(), broad).raw(`</td>`).count(w.N).endRow()
	}
	return m.close().html()
}

// neutral takes the colour of a claim off a figure's mark.
func neutral(f report.Figure) report.Figure {
	f.Verdict = report.NoDifferenceSeen
	return f
}

// pairView shows two reports beside one another.
func (s *shelf) pairView(p *report.AcrossPair) PairView {
	a, b := &s.sh.Reports[p.A], &s.sh.Reports[p.B]
	v := PairView{ID: "pair-" + a.Folder + "-" + b.Folder, Title: s.book.Say("across.pair", "a", a.Project.Title, "b", b.Project.Title), Warning: p.Sentence}
	v.Unmatched = s.unmatchedTable(p, &v)
	sp := span{log: true}
	sp.include(1)
	for i := range p.Standings {
		sp.see(p.Standings[i].Ratio)
	}
	t := table{id: v.ID + "-table", class: "standings", caption: s.book.Say("table.standing.caption", "pair", v.Title), columns: []column{
		{label: s.book.Say("table.workload")}, {label: shorten(a.Project.Title, 28), number: true}, {label: shorten(b.Project.Title, 28), number: true},
		{label: s.book.Say("table.standing"), note: s.book.Say("table.standing.note"), number: true},
		{label: s.book.Say("table.interval", "confidence", percent(s.sh.Confidence, s.book.Decimal)), number: true}, {label: s.book.Say("table.drawn")}}}
	m := (&markup{}).open(t)
	for i := range p.Standings {
		st := &p.Standings[i]
		x := &s.sh.Workloads[st.Shared]
		m.row("").head("#"+x.ID, x.Label).standingSide(s.site, st.A).standingSide(s.site, st.B)
		if !st.Ratio.HasValue() {
			text := ""
			if x.Interval {
				text = s.book.Say("across.no-ratio")
			}
			m.raw(`<td class="n absent">`).text(text).raw(`</td><td></td><td></td>`).endRow()
			continue
		}
		m.raw(`<td class="n strong"><span class="caution-sign" aria-hidden="true">△ </span>`).text(st.Ratio.Text).raw(`<small>`).text(s.book.Say("table.standing.warning")).raw(`</small></td><td class="n">`)
		if m.text(st.Ratio.Range); st.Ratio.Range == "" {
			m.text(st.Ratio.Remark)
		}
		m.raw(`</td><td>`).interval(neutral(st.Ratio), &sp, 1, broad).raw(`</td>`).endRow()
	}
	v.Standings = m.close().html()
	return v
}

// unmatchedTable lists what is not the same in two baselines. It is a table of
// two sides and no list of steps: nobody went from the one to the other.
func (s *shelf) unmatchedTable(p *report.AcrossPair, v *PairView) template.HTML {
	a, b := &s.sh.Reports[p.A], &s.sh.Reports[p.B]
	m := (&markup{}).open(table{id: v.ID + "-unmatched", class: "unmatched", caption: s.book.Say("table.unmatched.caption", "pair", v.Title), columns: []column{
		{label: s.book.Say("table.what-differs")}, {label: a.Project.Title}, {label: b.Project.Title}, {label: s.book.Say("table.kind")}}})
	m.row("baseline").head("", s.book.Say("page.baseline"))
	for _, r := range []*report.Shelved{a, b} {
		c := &r.Configurations[r.Baseline]
		m.linked(r.Folder+"/"+c.Page, c.Label)
	}
	m.raw(`<td></td>`).endRow()
	for _, u := range p.Unmatched {
		m.row(u.Kind).head("", u.Label).cell(u.From).cell(u.To)
		m.raw(`<td class="kind">`).text(u.KindText).raw(`</td>`).endRow() // the sign is the style sheet's
	}
	return m.close().html()
}

// standingSide writes what one side of a standing read.
func (m *markup) standingSide(s *site, f report.Figure) *markup {
	switch f.State {
	case report.Failed:
		return m.raw(`<td class="n failed"><span aria-hidden="true">✕ </span>`).text(f.Text).raw(`</td>`)
	case report.Absent:
		return m.raw(`<td class="n absent">`).absent(s).raw(`</td>`)
	}
	return m.number(f.Text)
}

// shelfFeed is the feed of all reports: an entry for every edition of each, the
// newest first, each under the id that it has in its report's own feed.
func (s *shelf) shelfFeed() ([]File, error) {
	f := atomFeed{Language: s.sh.Language, ID: s.identity(""), Title: s.sh.Title, Subtitle: s.sh.Subtitle, Updated: midnight(s.sh.Date), Rights: s.sh.Licence}
	for _, a := range s.sh.Authors {
		f.Authors = append(f.Authors, atomName{a.Name, a.URL})
	}
	f.Links = []atomLink{{Rel: "alternate", Type: "text/html", Href: s.base + "index.html"}, {Rel: "self", Type: "application/atom+xml", Href: s.base + "feed.atom"}}
	for i := range s.sh.Reports {
		r, of := &s.sh.Reports[i], s.of(i)
		switch {
		case s.base != "":
			of.base = s.base + r.Folder + "/"
		case r.Project.BaseAddress != "":
			of.base = strings.TrimSuffix(r.Project.BaseAddress, "/") + "/"
		}
		add := func(date string, turned, sentences []string) {
			e := of.entry(date, turned, sentences)
			e.Title = s.book.Say("shelf.feed.edition", "report", r.Project.Title, "date", s.date(date))
			e.Links[0].Href = s.base + r.Folder + "/changes.html"
			f.Entries = append(f.Entries, e)
		}
		if r.Changes == nil {
			add(r.Project.Date, nil, nil)
			continue
		}
		add(r.Project.Date, texts(r.Changes.Turned), texts(r.Changes.Sentences))
		for _, e := range r.Changes.Past {
			if e.Date != r.Project.Date {
				add(e.Date, e.Turned, e.Sentences)
			}
		}
	}
	slices.SortStableFunc(f.Entries, func(a, b atomEntry) int { return strings.Compare(b.Updated, a.Updated) })
	text, err := xml.MarshalIndent(f, "", " ")
	if err != nil {
		return nil, fmt.Errorf("writing the feed: %w", err)
	}
	return []File{{Path: "feed.atom", Data: append([]byte(xml.Header), append(text, '\n')...)}}, nil
}

// shelfSitemap lists the sitemaps of the shelf's own pages and of every report
// (sitemaps.org, protocol 0.9: an index of sitemaps).
func (s *shelf) shelfSitemap(files []File) []File {
	if s.base == "" {
		return nil
	}
	out := s.sitemap(files)
	out[0].Path = "sitemap-pages.xml"
	var b strings.Builder
	b.WriteString(xml.Header + `<sitemapindex xmlns="http://www.sitemaps.org/schemas/sitemap/0.9">` + "\n")
	add := func(path, date string) {
		b.WriteString("<sitemap><loc>")
		_ = xml.EscapeText(&b, []byte(s.base+path)) // a builder never fails
		b.WriteString("</loc><lastmod>" + date + "</lastmod></sitemap>\n")
	}
	add("sitemap-pages.xml", s.sh.Date)
	for i := range s.sh.Reports {
		add(s.sh.Reports[i].Folder+"/sitemap.xml", s.sh.Reports[i].Project.Date)
	}
	b.WriteString("</sitemapindex>\n")
	return append(out, File{Path: "sitemap.xml", Data: []byte(b.String())})
}
