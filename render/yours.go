package render

import (
	"html/template"
	"slices"
	"strconv"

	"benchwright/project"
	"benchwright/render/data"
	"benchwright/report"
)

// Yours is the page on which a viewer holds own readings beside the report's,
// in the browser alone, and on which readings that others sent stand, apart.
type Yours struct {
	Page
	Baseline string        `doc:"label of the configuration that readings stand beside at first"`
	Template string        `doc:"where the template to fill in stands; empty when there is none"`
	Entries  []FormRow     `doc:"a line of the form per workload that is read"`
	Outside  template.HTML `doc:"table of what others read on their machines; empty for none"`
}

// FormRow is one line of the form for a viewer's own readings.
type FormRow struct {
	At      int    `doc:"number of the workload, from 0, for the script"`
	ID      string `doc:"id of the workload"`
	Name    string `doc:"label of the workload"`
	Href    string `doc:"page of the workload"`
	Note    string `doc:"which way is better"`
	Unit    string `doc:"unit in which readings are typed in"`
	Formula string `doc:"how a reading follows from what the test shows; empty where that is the reading"`
	Beside  string `doc:"what the baseline read, with its unit"`
	Centre  string `doc:"what the viewer's mean or median is called"`
	Worth   string `doc:"what the comparison is called: relative performance, or difference"`
	Least   string `doc:"least possible reading, for the script; empty for none"`
	Most    string `doc:"largest possible reading, for the script; empty for none"`
}

func (s *site) yoursPage() ([]File, error) {
	listed, err := s.listed()
	if err != nil {
		return nil, err
	}
	p := Yours{Page: s.page("yours", "yours.html", s.book.Say("yours.title"), s.book.Say("yours.description", "report", s.r.Project.Title))}
	p.Scripts = []string{"figures.js", "figures.data.js", "page.js", "yours.js"}
	if s.r.Baseline < len(s.r.Configurations) {
		p.Baseline = s.label(s.r.Baseline)
	}
	if slices.ContainsFunc(listed, func(f data.Listed) bool { return f.Path == data.TemplateFile }) {
		p.Template = data.TemplateFile
	}
	for w := range s.r.Workloads {
		if wl := s.r.Workloads[w].Workload; wl.Derived == nil && wl.FramesOf == "" {
			p.Entries = append(p.Entries, s.formRow(&p.Page, w))
		}
	}
	if len(s.r.Outside) > 0 {
		p.section("type", "yours.type")
		p.section("save", "yours.save")
		p.section("outside", "yours.outside")
		p.Outside = s.outsideTable(&p.Page)
	}
	return s.fill("yours", "yours.html", &p)
}

// formRow is a workload's line of the form.
func (s *site) formRow(p *Page, w int) FormRow {
	wl := &s.r.Workloads[w]
	e := FormRow{At: w, ID: wl.ID, Note: s.better(wl), Unit: wl.Unit.Symbol, Beside: "–",
		Centre: s.book.Say("yours.mean"), Worth: s.book.Say("yours.relative")}
	e.Href, e.Name = s.workload(p, w)
	if wl.Reading != nil {
		e.Formula = s.r.FormulaText(wl.Reading)
	}
	if wl.Centre == project.Median {
		e.Centre = s.book.Say("yours.median")
	}
	if s.interval(w) {
		e.Worth = s.book.Say("yours.difference")
	}
	if s.r.Baseline < len(s.r.Cells) {
		if f := s.r.Cells[s.r.Baseline][w].Centre; f.HasValue() {
			e.Beside = f.Text
		}
	}
	if wl.HasLeast {
		e.Least = strconv.FormatFloat(wl.Least, 'g', -1, 64)
	}
	if wl.HasMost {
		e.Most = strconv.FormatFloat(wl.Most, 'g', -1, 64)
	}
	return e
}

// outsideTable lists what others read, beside the baseline's own.
func (s *site) outsideTable(p *Page) template.HTML {
	base := s.label(s.r.Baseline)
	t := table{id: "outside-table", class: "outside", sorts: len(s.r.Outside) > 2, tall: len(s.r.Outside) > tallFrom,
		caption: s.book.Say("table.outside.caption", "baseline", base),
		columns: []column{
			{label: s.book.Say("table.viewer"), note: s.book.Say("table.machine")},
			{label: s.book.Say("table.workload")},
			{label: s.book.Say("table.date")},
			{label: s.book.Say("table.outside"), number: true, still: true},
			{label: s.book.Say("table.baseline"), number: true, still: true},
			{label: s.book.Say("table.relative"), number: true},
			{label: s.book.Say("table.would-stand"), still: true},
		}}
	noted := slices.ContainsFunc(s.r.Outside, func(o report.Outside) bool { return len(o.Notes) > 0 })
	if noted {
		t.columns = append(t.columns, column{label: s.book.Say("table.note"), still: true})
	}
	m := (&markup{}).open(t)
	for i := range s.r.Outside {
		o := &s.r.Outside[i]
		href, label := s.workload(p, o.Workload)
		m.row("").raw(`<th scope="row">`).text(o.Viewer).raw(` <small>`).text(o.Machine).raw(`</small></th>`)
		m.linked(href, label)
		m.raw(`<td data-v="`).text(sortable(o.Date)).raw(`">`).text(s.date(o.Date)).raw(`</td>`)
		m.raw(`<td class="n">`).text(o.Centre.Text)
		switch {
		case o.Given != "":
			m.raw(`<small>`).text(s.book.Say("outside.given", "value", o.Given)).raw(`</small>`)
		case len(o.Readings) > 1:
			m.raw(`<small>`).text(s.book.Count("page.count.readings", len(o.Readings))).raw(`</small>`)
		}
		m.raw(`</td>`)
		m.number(s.r.Cells[s.r.Baseline][o.Workload].Centre.Text)
		m.outsideFigure(s, &o.Relative)
		m.cell(o.Standing)
		if noted {
			m.cell(s.list(o.Notes))
		}
		m.endRow()
	}
	return m.close().html()
}

// outsideFigure writes what an outside reading is worth beside the baseline's;
// without an interval it says so, and it never claims anything.
func (m *markup) outsideFigure(s *site, f *report.Figure) *markup {
	if !f.HasValue() {
		return m.raw(`<td class="n absent">–<small>`).text(f.Remark).raw(`</small></td>`)
	}
	m.raw(`<td class="n" data-v="`).sortValue(f.Value).raw(`">`).text(f.Text).raw(`<small>`)
	if f.Range != "" {
		m.text(f.Range)
	} else {
		m.text(s.book.Say("page.verdict.open"))
	}
	return m.raw(`</small></td>`)
}

// sortable makes a number of a day, 20310409 for 2031-04-09; nothing of none.
func sortable(date string) string {
	if len(date) != len("2006-01-02") {
		return ""
	}
	return date[:4] + date[5:7] + date[8:]
}
