package render

import (
	"html/template"
	"regexp"
	"slices"
	"strings"

	"benchwright/project"
	"benchwright/report"
	"benchwright/schema"
)

// remarks puts findings as they stand on a page.
func (s *site) remarks(p *Page, all []schema.Finding) []Remark {
	out := make([]Remark, 0, len(all))
	for _, f := range all {
		r := Remark{
			Severity: f.Severity.String(), SeverityText: s.book.Say("page.severity." + f.Severity.String()),
			Message: s.labelled(sentenceCase(f.Message)), Remedy: s.labelled(sentenceCase(f.Remedy)), Rule: f.Rule, Silenced: f.Silenced,
		}
		if f.File != "" {
			r.Place = f.Place.String()
		}
		if s.hasRule(f.Rule) {
			r.RuleHref = p.Root + "rules/" + f.Rule + ".html"
		}
		out = append(out, r)
	}
	return out
}

var quotedWord = regexp.MustCompile(`"([^"]+)"`)

// labelled writes the ids that a finding quotes as the labels by which the pages
// know them. Whatever else it quotes is text of a file, and stays as it is.
func (s *site) labelled(message string) string {
	return quotedWord.ReplaceAllStringFunc(message, func(quoted string) string {
		id := quoted[1 : len(quoted)-1]
		for _, c := range s.r.Project.Configurations {
			if c.ID == id {
				return s.book.Say("answer.quoted", "text", c.Label)
			}
		}
		for _, q := range s.r.Project.Questions {
			if q.ID == id {
				return s.book.Say("answer.quoted", "text", q.Ask)
			}
		}
		for _, w := range s.r.Project.Workloads {
			if w.ID == id {
				return s.book.Say("answer.quoted", "text", w.Label)
			}
		}
		return quoted
	})
}

// sentenceCase makes a message that began in lower case, as the terminal wants
// it, begin as prose does.
func sentenceCase(m string) string {
	if m == "" {
		return ""
	}
	first := []rune(m)[0]
	m = strings.ToUpper(string(first)) + strings.TrimPrefix(m, string(first))
	switch m[len(m)-1] {
	case '.', '?', '!', ':':
		return m
	}
	return m + "."
}

// flag writes what there is to say of a cell. What the checker found links to
// its rule and is in English, whatever the language of the report.
func (m *markup) flag(s *site, p *Page, f report.Flag) {
	if !s.hasRule(f.Rule) {
		m.text(f.Text)
		return
	}
	m.raw(`<span lang="en">`).link(p.Root+"rules/"+f.Rule+".html", f.Text).raw(`</span>`)
}

// configuration gives the way to a configuration's page, and its label.
func (s *site) configuration(p *Page, i int) (href, label string) {
	if i < 0 || i >= len(s.r.Configurations) {
		return "", ""
	}
	c := &s.r.Configurations[i]
	return p.Root + c.Page, s.label(i)
}

// label is what a configuration is called on a page, where a number keeps its unit.
func (s *site) label(i int) string { return s.keepUnits(s.name(i)) }

// keepUnits sets a no-break space between a number and a unit of the project.
func (s *site) keepUnits(text string) string {
	words := strings.Split(text, " ")
	out := words[0]
	for i, word := range words[1:] {
		before := words[i]
		unit := strings.TrimRight(word, ",;:.)")
		if before != "" && before[len(before)-1] >= '0' && before[len(before)-1] <= '9' && s.isUnit(unit) {
			out += "\u00a0" + word
		} else {
			out += " " + word
		}
	}
	return out
}

func (s *site) isUnit(word string) bool {
	if word == "" {
		return false
	}
	p := s.r.Project
	return word == "%" || slices.ContainsFunc(p.Factors, func(f *project.Factor) bool { return f.Unit.Symbol == word }) ||
		slices.ContainsFunc(p.Workloads, func(w *project.Workload) bool { return w.Unit.Symbol == word })
}

// name is what a configuration is called in data.
func (s *site) name(i int) string {
	if c := s.r.Configurations[i]; c.Label != "" {
		return c.Label
	}
	return s.r.Configurations[i].ID
}

// workload gives the way to a workload's page, and its label.
func (s *site) workload(p *Page, i int) (href, label string) {
	if i < 0 || i >= len(s.r.Workloads) {
		return "", ""
	}
	return p.Root + s.r.Workloads[i].Page, s.workloadLabel(i)
}

func (s *site) workloadLabel(i int) string {
	if w := s.r.Workloads[i]; w.Label != "" {
		return w.Label
	}
	return s.r.Workloads[i].ID
}

func (s *site) factorLabel(i int) string {
	if f := s.r.Project.Factors[i]; f.Label != "" {
		return f.Label
	}
	return s.r.Project.Factors[i].ID
}

// pictures lists photographs with their addresses from a page.
func (s *site) pictures(p *Page, all []project.Picture) []Picture {
	var out []Picture
	for _, f := range all {
		file := "media/" + strings.TrimPrefix(f.File, "media/")
		width, height := s.pictureSize(file)
		out = append(out, Picture{Source: p.Root + file, Text: f.Text, Width: width, Height: height})
	}
	return out
}

// direction says in a few signs and words which way a workload counts.
func (s *site) better(w *report.Workload) string {
	if w.Better != "" {
		return w.Better
	}
	if w.HigherBetter {
		return s.book.Say("page.better.higher")
	}
	return s.book.Say("page.better.lower")
}

// unitNote is the second line of a workload's column: unit and direction.
func (s *site) unitNote(w *report.Workload) string {
	arrow := "↓"
	if w.HigherBetter {
		arrow = "↑"
	}
	if w.Unit.Symbol == "" {
		return arrow
	}
	return w.Unit.Symbol + "\u00a0" + arrow
}

// verdict names what may be claimed.
func (s *site) verdict(f report.Figure) string {
	switch f.Verdict {
	case report.Better:
		return s.book.Say("page.verdict.better")
	case report.Worse:
		return s.book.Say("page.verdict.worse")
	case report.NoDifferenceSeen:
		return s.book.Say("page.verdict.none")
	}
	return s.book.Say("page.verdict.open")
}

// verdictClass is the class name of a verdict.
func verdictClass(f report.Figure) string {
	switch f.Verdict {
	case report.Better:
		return "better"
	case report.Worse:
		return "worse"
	case report.NoDifferenceSeen:
		return "same"
	}
	return "open"
}

// confidence writes 0.95 as "95 %".
func (s *site) confidence(f report.Figure) string {
	return percent(f.Confidence, s.book.Decimal)
}

// figureCell writes the cell of a figure: the number, then its range in small
// print, then the mark. A figure that is not there says why.
func (m *markup) figureCell(s *site, f report.Figure, sp *span, none float64, d *decimals) *markup {
	switch f.State {
	case report.Absent:
		return m.raw(`<td class="n absent">`).absent(s).raw(`</td>`)
	case report.Failed:
		return m.raw(`<td class="n failed">`).raw(`<span aria-hidden="true">✕ </span>`).text(f.Text).raw(`</td>`)
	case report.NotComparable:
		text := f.Text
		if text == "" {
			text = "·"
		}
		return m.raw(`<td class="n absent">`).text(text).raw(`</td>`)
	}
	m.raw(`<td class="n" data-v="`).sortValue(f.Value).raw(`">`).text(shown(f))
	if d != nil {
		m.raw(d.pad(shown(f)))
	}
	m.under(s, f)
	if sp != nil {
		m.interval(f, sp, none, small)
	}
	return m.raw(`</td>`)
}

// under writes the small line below a figure: its range, or why there is none.
func (m *markup) under(s *site, f report.Figure) *markup {
	switch {
	case f.Range != "":
		return m.raw(`<small>`).text(f.Range).raw(`</small>`)
	case f.State == report.SpreadUnknown && f.N == 1:
		return m.raw(`<small>`).text(s.book.Say("page.one-reading")).raw(`</small>`)
	}
	return m
}

// absent writes a dash that is read out as words.
func (m *markup) absent(s *site) *markup {
	return m.raw(`<span aria-hidden="true">–</span><span class="aside">`).text(s.book.Say("page.not-measured")).raw(`</span>`)
}

// marked writes a sentence in which names of files and keys stand in backticks.
func (m *markup) marked(text string) *markup {
	parts := strings.Split(text, "`")
	if len(parts)%2 == 0 {
		return m.text(text) // one of them has no partner
	}
	for i, part := range parts {
		if i%2 == 1 {
			m.raw(`<code>`).text(part).raw(`</code>`)
		} else {
			m.text(part)
		}
	}
	return m
}

// paragraph breaks plain text into paragraphs at blank lines.
func paragraphs(text string) template.HTML {
	m := &markup{}
	for p := range strings.SplitSeq(strings.TrimSpace(text), "\n\n") {
		if p = strings.TrimSpace(p); p != "" {
			m.raw("<p>").marked(p).raw("</p>\n")
		}
	}
	return m.html()
}
