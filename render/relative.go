package render

import (
	"html/template"
	"iter"
	"slices"
	"strconv"
	"strings"

	"benchwright/project"
	"benchwright/report"
)

// mostMarks is the number of cells up to which the table of relative
// performance draws an interval in each: beyond that the table is read by
// sorting, and the drawings would be most of the page.
const mostMarks = 1500

// relativeSpan is the span of all relative performances.
func (s *site) relativeSpan() span {
	sp := span{log: true}
	sp.include(1)
	for i := range s.r.Cells {
		for j := range s.r.Cells[i] {
			sp.see(s.r.Cells[i][j].Relative)
		}
	}
	for i := range s.r.Composites {
		for j := range s.r.Composites[i].Rows {
			sp.see(s.r.Composites[i].Rows[j].Figure)
		}
	}
	return sp
}

// relativeTable is configurations × (composites and workloads) against the
// report's baseline; the script reads it against any other.
func (s *site) relativeTable(p *Page) template.HTML {
	r := s.r
	t := table{id: "relative", class: "relative", sorts: true, tall: len(r.Configurations) > tallFrom, fold: s.fold(len(r.Configurations)),
		caption: s.book.Say("table.relative.caption", "baseline", s.label(r.Baseline))}
	if s.asRead() {
		t.caption = s.book.Say("table.as-read.caption")
	}
	t.columns = append(t.columns, column{label: s.book.Say("table.configuration")})
	for _, c := range r.Composites {
		t.columns = append(t.columns, column{label: c.Label, note: s.book.Say("table.composite.note"), href: p.Root + "method.html#composites", number: true})
	}
	decimal := make([]decimals, len(r.Composites)+len(r.Workloads))
	for i := range decimal {
		decimal[i].mark = s.book.Decimal
	}
	for w := range r.Workloads {
		href, label := s.workload(p, w)
		note := s.book.Say("table.relative.note") // an index, whose unit is not the readings'
		if r.Workloads[w].AsRead() {
			note = s.book.Say("table.relative.note.as-read")
		}
		if s.interval(w) {
			note = s.book.Say("table.absolute.note", "unit", s.unitNote(&r.Workloads[w]))
			for c := range s.column(w) {
				if c.Beside != "" {
					note = s.book.Say("table.absolute.note-beside", "unit", s.unitNote(&r.Workloads[w]), "baseline", s.label(r.Baseline))
				}
			}
		}
		t.columns = append(t.columns, column{label: label, note: note, href: href, number: true})
	}
	for i := range r.Configurations {
		for c := range r.Composites {
			decimal[c].see(shown(r.Composites[c].Rows[i].Figure))
		}
		for w := range r.Workloads {
			decimal[len(r.Composites)+w].see(shown(s.relativeFigure(i, w)))
		}
	}
	var sp *span
	if len(r.Configurations)*(len(r.Workloads)+len(r.Composites)) <= mostMarks {
		sp = &s.relative
	}
	m := &markup{b: make([]byte, 0, 160*len(r.Configurations)*(len(r.Workloads)+2))}
	m.open(t)
	for i := range r.Configurations {
		c := &r.Configurations[i]
		class := c.State
		if i == r.Baseline {
			class += " baseline"
		}
		m.row(class)
		href, label := s.configuration(p, i)
		m.raw(`<th scope="row">`).link(href, label)
		if c.State != "tested" && i != r.Baseline {
			m.raw(`<small>`).text(c.Status).raw(`</small>`)
		}
		// The script writes this one anew for another baseline.
		switch {
		case i == r.Baseline:
			m.raw(`<small class="differs">`).text(s.book.Say("table.baseline")).raw(`</small>`)
		default:
			if text := s.differs(&c.Comparison); text != "" {
				m.raw(`<small class="differs">`).text(text).raw(`</small>`)
			}
		}
		m.raw(`</th>`)
		for k := range r.Composites {
			m.comparedCell(s, i, r.Composites[k].Rows[i].Figure, s.heldApart(i, r.Composites[k].Workloads), sp, &decimal[k])
		}
		for w := range r.Workloads {
			m.relativeCell(s, i, w, sp, &decimal[len(r.Composites)+w])
		}
		m.endRow()
	}
	return m.close().html()
}

// differs counts what sets a configuration apart from the baseline, where that is
// more than one thing, and names what was to stay the same.
func (s *site) differs(c *report.Comparison) string {
	var parts []string
	if c.Moved > 1 {
		parts = append(parts, s.book.Count("table.differs", c.Moved))
	}
	if len(c.Unheld) > 0 {
		labels := make([]string, len(c.Unheld))
		for i, f := range c.Unheld {
			labels[i] = s.factorLabel(f)
		}
		parts = append(parts, s.book.Say("table.unheld", "factors", strings.Join(labels, ", ")))
	}
	return strings.Join(parts, "; ")
}

// heldApart is what is to be said of a mean over workloads on one of which a
// configuration was not read in a session of the baseline.
func (s *site) heldApart(i int, workloads []int) string {
	if slices.ContainsFunc(workloads, func(w int) bool { return slices.Contains(s.r.Configurations[i].Comparison.Apart, w) }) {
		return s.book.Say("cell.other-sessions")
	}
	return ""
}

// comparedCell writes a relative performance, or a composite of them, with a mark
// where there is something to be said of it.
func (m *markup) comparedCell(s *site, i int, f report.Figure, remark string, sp *span, d *decimals) *markup {
	if !measured(f) {
		return m.figureCell(s, f, nil, 1, d)
	}
	m.raw(`<td class="n" data-v="`).sortValue(f.Value).raw(`">`).text(shown(f)).raw(d.pad(shown(f)))
	if remark != "" {
		m.raw(`<sup><abbr title="`).text(remark).raw(`">!</abbr></sup>`)
	}
	if i != s.r.Baseline {
		m.index(s, f)
		if sp != nil {
			m.interval(f, sp, 1, small)
		}
	}
	return m.raw(`</td>`)
}

// differenceCell writes a difference in a column whose head names the unit.
func (m *markup) differenceCell(f *report.Figure, unit string, d *decimals) *markup {
	if !measured(*f) {
		return m.raw(`<td class="n absent">·</td>`)
	}
	m.raw(`<td class="n" data-v="`).sortValue(f.Value).raw(`">`).text(f.Short).raw(d.pad(f.Short))
	if f.Range != "" {
		m.raw(`<small>`).text(bare(f.Range, unit)).raw(`</small>`)
	}
	return m.raw(`</td>`)
}

// interval says that a workload's scale knows differences only.
func (s *site) interval(w int) bool { return s.r.Workloads[w].Scale == project.IntervalScale }

// asRead says that no workload has a ratio scale, so that nothing is relative.
func (s *site) asRead() bool {
	return len(s.r.Workloads) > 0 && !slices.ContainsFunc(s.r.Workloads, func(w report.Workload) bool { return w.Scale != project.IntervalScale })
}

// relativeFigure is what stands in the table: relative performance, or the
// value itself where the scale has no ratios.
func (s *site) relativeFigure(i, w int) report.Figure {
	c := &s.r.Cells[i][w]
	if s.interval(w) {
		return c.Centre
	}
	return c.Relative
}

// relativeCell writes one cell of the table.
func (m *markup) relativeCell(s *site, i, w int, sp *span, d *decimals) *markup {
	c := &s.r.Cells[i][w]
	f := s.relativeFigure(i, w)
	if s.interval(w) {
		sp = nil // degrees have no place among ratios
	}
	switch f.State {
	case report.Measured, report.SpreadBorrowed, report.SpreadUnknown:
	default:
		if c.Outcome != project.OK && f.State != report.Absent {
			f.State = report.Failed
			if f.Text == "" {
				f.Text = s.book.Say("page.outcome." + c.Outcome.String())
			}
		}
		return m.figureCell(s, f, sp, 1, d)
	}
	m.raw(`<td class="n`)
	if c.LookAlike && i != s.r.Baseline {
		m.raw(` alike`)
	}
	m.raw(`" data-v="`).sortValue(f.Value).raw(`">`)
	if c.LookAlike && i != s.r.Baseline {
		m.raw(`<span class="sign">≈<span class="aside">`).text(s.book.Say("page.alike")).raw(`</span></span>`)
	}
	m.text(shown(f)).raw(d.pad(shown(f)))
	if i := slices.IndexFunc(c.Flags, func(f report.Flag) bool {
		return telling(f) || s.interval(w) && c.Beside != "" && f.Rule == "common-sessions" // of a ratio only its own table shows the value
	}); i >= 0 {
		m.raw(`<sup><abbr`)
		if s.hasRule(c.Flags[i].Rule) {
			m.raw(` lang="en"`)
		}
		m.raw(` title="`).text(c.Flags[i].Text).raw(`">!</abbr></sup>`)
	}
	switch {
	case s.interval(w):
		m.under(s, f)
	case i != s.r.Baseline:
		m.index(s, f)
		if sp != nil {
			m.interval(f, sp, 1, small)
		}
	}
	return m.raw(`</td>`)
}

// rowOf gives the cells of a configuration, column those under a workload.
func (s *site) rowOf(i int) iter.Seq[*report.Cell] {
	return func(yield func(*report.Cell) bool) {
		for w := range s.r.Cells[i] {
			if !yield(&s.r.Cells[i][w]) {
				return
			}
		}
	}
}

func (s *site) column(w int) iter.Seq[*report.Cell] {
	return func(yield func(*report.Cell) bool) {
		for i := range s.r.Cells {
			if !yield(&s.r.Cells[i][w]) {
				return
			}
		}
	}
}

// inCommonSessions adds to a caption that relative performance is within common
// sessions, where that is so in one of the cells.
func (s *site) inCommonSessions(caption string, cells iter.Seq[*report.Cell]) string {
	for c := range cells {
		if slices.ContainsFunc(c.Flags, func(f report.Flag) bool { return f.Rule == "common-sessions" }) {
			return s.book.Say("table.noted", "caption", caption, "note", s.book.Say("table.common-sessions"))
		}
	}
	return caption
}

// telling says that a flag is more than bookkeeping: an exclusion is published
// on the configuration's own page, and a single reading is said in the cell.
func telling(f report.Flag) bool {
	switch f.Rule {
	case "excluded", "one-reading", "all-equal", "carried", "common-sessions":
		return false
	}
	return true
}

// index writes the interval of a relative performance on the scale of the
// table, where the baseline is 100, with the digits of the figure itself.
func (m *markup) index(s *site, f report.Figure) *markup {
	short := decimals{mark: s.book.Decimal}
	digits, plain := short.fraction(f.Short)
	if !plain || f.Confidence == 0 || f.Value <= 0 || strings.ContainsAny(f.Short, " \u00a0\u202f") {
		return m.under(s, f)
	}
	number := func(v float64) string {
		return strings.Replace(strconv.FormatFloat(100*v, 'f', digits, 64), ".", s.book.Decimal, 1)
	}
	return m.raw(`<small>`).text(number(f.Low)).raw(`–`).text(number(f.High)).raw(`</small>`)
}

// legend says what the signs of the table mean.
func (s *site) legend() []Block {
	signs := []Block{
		{Label: "≈", Text: s.book.Say("page.legend.alike")},
		{Label: "✕", Text: s.book.Say("page.legend.failed")},
		{Label: "–", Text: s.book.Say("page.legend.absent")},
	}
	if slices.ContainsFunc(s.r.Composites, func(c report.Composite) bool {
		return slices.ContainsFunc(c.Rows, func(row report.CompositeRow) bool { return len(row.Missing) > 0 && row.Used > 0 })
	}) {
		signs = append(signs, Block{Label: "·", Text: s.book.Say("page.legend.incomplete")})
	}
	if s.asRead() {
		signs = signs[1:] // nothing is held against the baseline here
	}
	signs = append(signs,
		Block{Label: "!", Text: s.book.Say("page.legend.flag")})
	if slices.ContainsFunc(s.r.Workloads, func(w report.Workload) bool { return w.Scale == project.IntervalScale }) {
		signs = append(signs, Block{Label: "↑ ↓", Text: s.book.Say("page.legend.direction")})
	}
	return signs
}

// remarks opens the cell of a row's remarks, which are sentences and need room.
func (m *markup) remarks(flags []report.Flag) *markup {
	if len(flags) > 0 {
		return m.raw(`<td class="flags">`)
	}
	return m.raw(`<td>`)
}
