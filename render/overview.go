package render

import (
	"html/template"
	"slices"
	"strconv"
	"strings"

	"benchwright/report"
)

// Overview is the first page of the site.
type Overview struct {
	Page
	Subtitle     string         `doc:"second line of the title"`
	Summary      template.HTML  `doc:"the report's own summary"`
	Block        []Block        `doc:"who tested what, when, with how many readings"`
	Turned       []Statement    `doc:"answers that turned since the last publication"`
	Questions    []QuestionLine `doc:"the questions with their answers"`
	Marks        string         `doc:"what the small drawings beside the answers are; empty without one"`
	Relative     template.HTML  `doc:"the table of relative performance"`
	AsRead       bool           `doc:"whether all of its columns are as read, since no scale has ratios"`
	SomeAsRead   bool           `doc:"whether some of its ratios are not turned so that more is better"`
	Legend       []Block        `doc:"signs used in the table, and what they mean"`
	Baseline     string         `doc:"label of the baseline"`
	BaselineHref string         `doc:"page of the baseline"`
	Composites   []Statement    `doc:"what the composites say"`
	Story        template.HTML  `doc:"the chart that carries the story"`
	Insights     []InsightView  `doc:"what testers ask besides the questions"`
	Changed      []Statement    `doc:"what changed since the last publication; empty for a first one"`
	Since        string         `doc:"in words, which edition the changes are told against; empty for a first one"`
	Concerns     []Statement    `doc:"how many findings there are, with the way to them"`
	Notes        []Link         `doc:"the notes"`
}

// QuestionLine is a question on the overview.
type QuestionLine struct {
	Ask       string        `doc:"the question"`
	Href      string        `doc:"its page"`
	Answer    string        `doc:"the answer in a sentence"`
	Figure    string        `doc:"the figure, large; empty when there is none"`
	Range     string        `doc:"its interval in words; empty when there is none"`
	Mark      template.HTML `doc:"the interval, drawn"`
	Pairs     string        `doc:"number of matched pairs, in words"`
	State     string        `doc:"clean, reserved, bundle or open: a class"`
	StateText string        `doc:"the same in words"`
}

// InsightView is an insight as shown.
type InsightView struct {
	ID    string        `doc:"fragment"`
	Title string        `doc:"heading"`
	Text  Statement     `doc:"the sentence"`
	Table template.HTML `doc:"its table; empty if the sentence is all"`
}

func (s *site) overview() ([]File, error) {
	r := s.r
	p := Overview{Page: s.page("overview", "index.html", r.Project.Title, r.Project.Subtitle)}
	if p.Description == "" {
		p.Description = shorten(r.Project.Summary, 200)
	}
	p.Subtitle = r.Project.Subtitle
	p.Summary = s.markdown(&p.Page, r.Project.Summary)
	p.Block = s.titleBlock(&p.Page)
	if r.Changes != nil {
		p.Since = s.since(r.Changes)
		p.Turned = p.statements(r.Changes.Turned)
		p.Changed = p.statements(r.Changes.Sentences)
	}
	p.Questions = s.questionLines(&p.Page)
	if len(p.Questions) > 0 {
		p.section("questions", "page.questions")
		if slices.ContainsFunc(p.Questions, func(l QuestionLine) bool { return l.Mark != "" }) {
			p.Marks = s.book.Say("page.questions.marks")
		}
	}
	p.section("relative-performance", "page.relative")
	p.Relative = s.relativeTable(&p.Page)
	p.AsRead = s.asRead()
	p.SomeAsRead = slices.ContainsFunc(r.Workloads, func(w report.Workload) bool { return w.AsRead() })
	p.Legend = s.legend()
	p.BaselineHref, p.Baseline = s.configuration(&p.Page, r.Baseline)
	for _, c := range r.Composites {
		if c.Sentence.Text != "" {
			p.Composites = append(p.Composites, p.statement(c.Sentence))
		}
	}
	var drawn []File
	if c, ok := s.story(&p.Page); ok {
		p.Story = s.figure(&p.Page, c)
		drawn = s.chartFiles(c)
		p.Scripts = append(p.Scripts, "chart.js")
	}
	p.Insights = s.insights(&p.Page)
	if len(p.Insights) > 0 {
		p.section("insights", "page.insights")
	}
	if p.Since != "" {
		p.section("changes", "page.changes")
	}
	p.Concerns = s.concerns()
	for _, n := range r.Notes {
		p.Notes = append(p.Notes, Link{Label: n.Title, Href: n.Page})
	}
	if len(p.Notes) > 0 {
		p.section("notes", "page.notes")
	}
	if len(p.Contents) < 4 {
		p.Contents = nil
	}
	// page.js offers another baseline if it finds the figures.
	p.Scripts = append([]string{"figures.js", "figures.data.js"}, p.Scripts...)
	return s.fill("overview", "index.html", &p, drawn...)
}

// titleBlock is the strip under the title that says who tested what, when.
func (s *site) titleBlock(p *Page) []Block {
	c := s.r.Counts
	var out []Block
	add := func(key, text, href string) {
		if text != "" {
			out = append(out, Block{s.book.Say(key), text, href})
		}
	}
	add("page.block.bench", s.r.Project.BenchLabel, p.Root+"method.html")
	add("page.block.by", s.authors, "")
	when := s.date(c.FirstDate)
	if c.LastDate != c.FirstDate && c.LastDate != "" {
		when = s.book.Say("page.range", "low", s.date(c.FirstDate), "high", s.date(c.LastDate))
	}
	add("page.block.when", when, p.Root+"method.html#sessions")
	configurations := s.book.Count("page.count.tested", c.Tested)
	if c.Failed > 0 {
		configurations += ", " + s.book.Count("page.count.failed", c.Failed)
	}
	if c.NotRun > 0 {
		configurations += ", " + s.book.Count("page.count.not-run", c.NotRun)
	}
	add("page.block.configurations", configurations, "#relative-performance")
	add("page.block.workloads", strconv.Itoa(c.Workloads), "")
	add("page.block.readings", s.counted(c.Readings, c.Excluded, c.SilentRuns, c.LoneFailures), p.Root+"data.html")
	add("page.block.edition", p.Edition, p.Root+"changes.html")
	add("page.block.licence", s.r.Project.Licence, p.Root+"data.html#licence")
	return out
}

// questionLines lists the questions; their marks share one span.
func (s *site) questionLines(p *Page) []QuestionLine {
	sp := span{log: true}
	sp.include(1)
	s.seeAnswers(&sp, len(s.r.Questions))
	return s.questionLinesOn(p, &sp)
}

// seeAnswers widens a span for the first n answers.
func (s *site) seeAnswers(sp *span, n int) {
	for i := range min(n, len(s.r.Questions)) {
		if q := &s.r.Questions[i]; q.Answerable && !s.asDifference(q) {
			sp.see(q.Overall)
		}
	}
}

func (s *site) questionLinesOn(p *Page, sp *span) []QuestionLine {
	var out []QuestionLine
	for i := range s.r.Questions {
		q := &s.r.Questions[i]
		l := QuestionLine{Ask: q.Ask, Href: p.Root + q.Page, Answer: q.Headline.Text}
		l.State, l.StateText = s.answerState(q)
		switch {
		case q.Answerable && q.Overall.State != report.Absent:
			l.Figure, l.Range = q.Overall.Text, q.Overall.Range
			if !s.asDifference(q) {
				l.Mark = (&markup{}).interval(q.Overall, sp, 1, large).html()
			}
			l.Pairs = s.book.Count("page.count.pairs", q.OverallPairs)
		case q.Answerable:
			if w := firstEffect(q); w != nil {
				l.Figure, l.Range = w.Effect.Text, s.book.Say("page.figure-on", "workload", s.workloadLabel(w.Workload), "range", w.Effect.Range)
				l.Pairs = s.book.Count("page.count.pairs", w.Pairs)
			}
		}
		out = append(out, l)
	}
	return out
}

// firstEffect is the effect that is shown large for a question without an overall
// figure: that on the first workload that has one.
func firstEffect(q *report.Answer) *report.WorkloadEffect {
	for i := range q.ByWorkload {
		if w := &q.ByWorkload[i]; measured(w.Effect) {
			return w
		}
	}
	return nil
}

// asDifference says that a question's overall figure is a difference in the
// metric's unit, which has no place among ratios.
func (s *site) asDifference(q *report.Answer) bool {
	return len(q.ByWorkload) > 0 && !slices.ContainsFunc(q.ByWorkload, func(w report.WorkloadEffect) bool { return !w.Difference })
}

// answerState says whether a comparison is clean, as a class and in words.
func (s *site) answerState(q *report.Answer) (class, text string) {
	switch {
	case !q.Answerable:
		return "open", s.book.Say("page.state.open")
	case q.Bundle:
		return "bundle", s.book.Say("page.state.bundle")
	case len(q.Against()) > 0 || q.Belied:
		return "reserved", s.book.Say("page.state.reserved")
	case !q.Clean:
		return "reserved", s.book.Say("page.state.set-aside")
	}
	return "clean", s.book.Say("page.state.clean")
}

// concerns counts the findings.
func (s *site) concerns() []Statement {
	c := s.r.Counts
	var out []Statement
	// By severity, as the list that this leads to has them.
	var found []string
	for _, x := range []struct {
		key string
		n   int
	}{{"errors", c.Errors}, {"warnings", c.Warnings}, {"notices", c.Notices}} {
		if x.n > 0 {
			found = append(found, s.book.Count("page.found."+x.key, x.n))
		}
	}
	if len(found) > 0 {
		out = append(out, Statement{Text: s.list(found), Href: "method.html#findings"})
	}
	if c.Silenced > 0 {
		out = append(out, Statement{Text: s.book.Count("page.concerns.silenced", c.Silenced), Href: "method.html#silenced"})
	}
	return out
}

// insights lists what testers ask besides the questions.
func (s *site) insights(p *Page) []InsightView {
	var out []InsightView
	for i := range s.r.Insights {
		in := &s.r.Insights[i]
		v := InsightView{ID: in.Kind, Title: in.Title, Text: p.statement(in.Sentence)}
		if slices.ContainsFunc(out, func(o InsightView) bool { return o.ID == v.ID }) {
			v.ID += "-" + strconv.Itoa(i+1)
		}
		if strings.HasSuffix(in.Sentence.Link, "#"+in.Kind) {
			v.Text.Href = "" // its table is on the spot
		}
		if len(in.Rows) > 0 {
			t := table{id: v.ID + "-table", caption: in.Title, sorts: len(in.Rows) > 2}
			for c, h := range in.Header {
				t.columns = append(t.columns, column{label: h, number: c > 0 && numeric(in.Rows, c)})
			}
			m := (&markup{}).open(t)
			for row, cells := range in.Rows {
				m.row("")
				for c, text := range cells {
					href := ""
					if c == 0 && row < len(in.RowConfigurations) && in.RowConfigurations[row] >= 0 {
						href, _ = s.configuration(p, in.RowConfigurations[row])
					}
					switch {
					case c == 0:
						m.head(href, text)
					case c < len(t.columns) && t.columns[c].number:
						m.number(text)
					default:
						m.cell(text)
					}
				}
				m.endRow()
			}
			v.Table = m.close().html()
		}
		out = append(out, v)
	}
	return out
}

// numeric says whether most cells of a column begin like a number.
func numeric(rows [][]string, column int) bool {
	n := 0
	for _, row := range rows {
		if column < len(row) && startsNumber(row[column]) {
			n++
		}
	}
	return n*2 > len(rows)
}

func startsNumber(s string) bool {
	for _, r := range s {
		switch {
		case r == '+' || r == '−' || r == '<' || r == '±' || r == ' ' || r == '\u00a0':
			continue
		}
		return r >= '0' && r <= '9'
	}
	return false
}

// counted says how many readings there are, how many of those taken are left out,
// how many runs came to none, and how many single attempts.
func (s *site) counted(readings, excluded, runs, failures int) string {
	text := s.book.Count("page.count.readings", readings)
	if excluded > 0 {
		text += ", " + s.book.Count("page.count.excluded", excluded)
	}
	if runs > 0 {
		text += ", " + s.book.Count("page.count.silent-runs", runs)
	}
	if failures > 0 {
		text += ", " + s.book.Count("page.count.failed-attempts", failures)
	}
	return text
}
