package render

import (
	"cmp"
	"html/template"
	"slices"
	"strconv"
	"strings"

	"benchwright/report"
)

// Question is the page of one question.
type Question struct {
	Page
	State      string           `doc:"clean, reserved, bundle or open: a class"`
	StateText  string           `doc:"the same in words"`
	StateWhy   string           `doc:"what the state means"`
	Step       []Block          `doc:"the factor and its two levels"`
	Answer     Statement        `doc:"the answer in a sentence"`
	Figure     string           `doc:"the overall figure, large; empty when there is none"`
	Range      string           `doc:"its interval"`
	Remark     string           `doc:"what the reader must know about the figure"`
	Mark       template.HTML    `doc:"the interval, drawn"`
	More       []Statement      `doc:"what follows the answer"`
	Bundle     string           `doc:"what else moves, when the answer is a bundle"`
	Note       string           `doc:"the author's note"`
	Effects    template.HTML    `doc:"table of the effect on each workload"`
	PairsLead  string           `doc:"in what the two sides of a pair differ"`
	Pairs      template.HTML    `doc:"table of the matched pairs, from and to"`
	PairsChart template.HTML    `doc:"the pairs drawn as pairs"`
	Failed     template.HTML    `doc:"table of pairs of which a side failed"`
	Dependence []DependenceView `doc:"whether the answer depends on other factors"`
	Model      Statement        `doc:"what the model of all factors says"`
	Nearest    []NearestView    `doc:"pairs that are nearly matched, with what stands between"`
	Missing    []Statement      `doc:"configurations that would answer the question"`
	Findings   []Remark         `doc:"findings that touch the question"`
	SetAside   []Remark         `doc:"findings about it that the author set aside, with the reasons"`
	Before     Link             `doc:"the question before; empty for the first"`
	After      Link             `doc:"the question after; empty for the last"`
}

// DependenceView is the effect at each level of another factor.
type DependenceView struct {
	Title   string        `doc:"the other factor"`
	Text    Statement     `doc:"whether the effect depends on it"`
	Table   template.HTML `doc:"the effect at each level"`
	Singles template.HTML `doc:"the same on each workload on which it depends on it; empty when on none"`
}

// NearestView is a pair that is not matched.
type NearestView struct {
	From    Link             `doc:"one side"`
	To      Link             `doc:"the other side"`
	Text    string           `doc:"what stands between, in a sentence"`
	Between []DifferenceView `doc:"what stands between, one by one"`
}

// DifferenceView is one thing in which two configurations differ.
type DifferenceView struct {
	Factor   string `doc:"label of the factor"`
	From     string `doc:"level on the first side"`
	To       string `doc:"level on the second side"`
	Kind     string `doc:"under-study, follower, independent, nuisance or unknown: a class"`
	KindText string `doc:"the same in words"`
}

func (s *site) differences(all []report.Difference) []DifferenceView {
	var out []DifferenceView
	sorted := slices.Clone(all)
	// What the change is first, what follows from it last.
	slices.SortStableFunc(sorted, func(a, b report.Difference) int { return cmp.Compare(kindOrder(a.Kind), kindOrder(b.Kind)) })
	for i, d := range sorted {
		out = append(out, DifferenceView{s.factorLabel(d.Factor), d.From, d.To, d.Kind, s.kindText(d, i == 0)})
	}
	return out
}

// kindText is what a difference is called: the first of a list cannot differ as
// well as another.
func (s *site) kindText(d report.Difference, first bool) string {
	if first && d.Kind == "independent" {
		return s.book.Say("page.kind.independent")
	}
	return d.KindText
}

func kindOrder(kind string) int {
	return slices.Index([]string{"under-study", "independent", "unknown", "nuisance", "follower"}, kind)
}

func (s *site) questionPage(i int) ([]File, error) {
	q := &s.r.Questions[i]
	p := Question{Page: s.page("question", q.Page, q.Ask, q.Headline.Text)}
	p.State, p.StateText = s.answerState(q)
	why := "page.state." + p.State + ".why"
	if p.State == "clean" && len(q.Findings)+len(q.SetAside) > 0 {
		why += ".noticed"
	}
	switch {
	case p.State == "reserved" && len(q.Against()) == 0 && !q.Belied:
		why = "page.state.set-aside.why"
	case p.State == "open" && q.Awaiting:
		why += ".awaiting"
	case p.State == "open" && len(q.FailedPairs) > 0:
		why += ".failed"
	}
	p.StateWhy = s.book.Say(why)
	p.Step = []Block{
		{Label: s.book.Say("question.factor"), Text: q.FactorLabel},
		{Label: s.book.Say("question.from"), Text: q.FromText},
		{Label: s.book.Say("question.to"), Text: q.ToText},
	}
	if q.Answerable {
		p.Step = append(p.Step, Block{Label: s.book.Say("question.pairs"), Text: s.r.PairsText(q)})
	}
	p.Answer = Statement{Text: q.Headline.Text}
	p.Bundle, p.Note = q.BundleText, q.Note
	p.More = p.statements(q.More)
	ratios := !s.asDifference(q)
	sp := span{log: true}
	sp.include(1)
	for _, w := range q.ByWorkload {
		if !w.Difference {
			sp.see(w.Effect)
		}
	}
	if q.Answerable && q.Overall.State != report.Absent {
		p.Figure, p.Range, p.Remark = q.Overall.Text, s.withConfidence(q.Overall), q.Overall.Remark
		if ratios {
			sp.see(q.Overall)
			p.Mark = (&markup{}).interval(q.Overall, &sp, 1, large).html()
		}
	} else if w := firstEffect(q); q.Answerable && w != nil {
		p.Figure, p.Remark = w.Effect.Text, w.Effect.Remark
		p.Range = s.book.Say("page.figure-on", "workload", s.workloadLabel(w.Workload), "range", s.withConfidence(w.Effect))
	}
	if len(q.ByWorkload) > 0 {
		p.section("workloads", "question.effects")
		p.Effects = s.effectsTable(&p.Page, q, &sp)
	}
	var drawn []File
	if len(q.Pairs) > 0 {
		p.section("pairs", "question.pairs")
		p.PairsLead = s.pairsLead(q)
		if q.Belied {
			p.PairsLead = s.book.Say("question.pairs.lead.belied")
		}
		if c, ok := s.pairsDrawing(&p.Page, q); ok {
			p.PairsChart = s.figure(&p.Page, c)
			drawn = s.chartFiles(c)
			p.Scripts = append(p.Scripts, "chart.js")
		}
		p.Pairs = s.pairsTable(&p.Page, q)
	}
	if len(q.FailedPairs) > 0 {
		p.section("failed", "question.failed")
		p.Failed = s.failedPairs(&p.Page, q)
	}
	for k := range q.Dependence {
		if d := &q.Dependence[k]; d.Workload < 0 {
			v := s.dependence(&p.Page, d, k)
			v.Singles = s.singleDependence(&p.Page, q, d.Factor, k)
			p.Dependence = append(p.Dependence, v)
		} else if q.Overall.State == report.Absent && !slices.ContainsFunc(q.Dependence[:k], func(o report.Dependence) bool { return o.Factor == d.Factor }) {
			// Without an overall effect the single workloads are all there is.
			p.Dependence = append(p.Dependence, DependenceView{Title: s.factorLabel(d.Factor), Text: Statement{Text: d.Sentence.Text},
				Singles: s.singleDependence(&p.Page, q, d.Factor, k)})
		}
	}
	if len(p.Dependence) > 0 {
		p.section("dependence", "question.dependence")
	}
	if q.ModelText.Text != "" {
		p.Model = p.statement(q.ModelText)
		p.section("model", "question.model")
	}
	for _, n := range q.Nearest {
		v := NearestView{Text: n.Text, Between: s.differences(n.Between)}
		v.From.Href, v.From.Label = s.configuration(&p.Page, n.From)
		v.To.Href, v.To.Label = s.configuration(&p.Page, n.To)
		p.Nearest = append(p.Nearest, v)
	}
	for _, m := range q.Missing {
		st := Statement{Text: m.Text}
		if m.Configuration >= 0 {
			st.Href, _ = s.configuration(&p.Page, m.Configuration)
		}
		p.Missing = append(p.Missing, st)
	}
	if len(p.Nearest)+len(p.Missing) > 0 {
		p.section("between", "question.between")
	}
	p.Findings = s.remarks(&p.Page, q.Findings)
	if len(p.Findings) > 0 {
		p.section("findings", "page.findings")
	}
	if p.SetAside = s.remarks(&p.Page, q.SetAside); len(p.SetAside) > 0 {
		p.section("set-aside", "question.set-aside")
	}
	if len(p.Contents) < 3 {
		p.Contents = nil
	}
	if i > 0 {
		p.Before = Link{Label: s.r.Questions[i-1].Ask, Href: p.Root + s.r.Questions[i-1].Page}
	}
	if i+1 < len(s.r.Questions) {
		p.After = Link{Label: s.r.Questions[i+1].Ask, Href: p.Root + s.r.Questions[i+1].Page}
	}
	return s.fill("question", q.Page, &p, drawn...)
}

// pairsLead says in what the two sides of a pair differ. Those of a bundle differ
// in more than the factor that is asked about.
func (s *site) pairsLead(q *report.Answer) string {
	if len(q.BundleFactors) < 2 {
		return s.book.Say("question.pairs.lead")
	}
	allowed := make([]string, 0, len(q.BundleFactors)-1)
	for _, f := range q.BundleFactors[1:] {
		allowed = append(allowed, s.factorLabel(f))
	}
	return s.book.Say("question.pairs.lead.bundle", "factor", s.factorLabel(q.BundleFactors[0]), "allowed", s.list(allowed))
}

// withConfidence writes a range with its confidence in front.
func (s *site) withConfidence(f report.Figure) string {
	if f.Range == "" {
		return ""
	}
	return s.book.Say("page.interval", "confidence", s.confidence(f), "range", f.Range)
}

// turned adds to a caption how the signs in the table are to be read.
func (s *site) turned(q *report.Answer, caption string) string {
	if note := s.r.Turned(q.ByWorkload); note != "" {
		return s.book.Say("table.noted", "caption", caption, "note", note)
	}
	return caption
}

// effectsTable is the effect on each workload.
func (s *site) effectsTable(p *Page, q *report.Answer, sp *span) template.HTML {
	t := table{id: "effects", class: "effects", sorts: len(q.ByWorkload) > 2,
		caption: s.turned(q, s.book.Say("table.effects.caption", "from", q.FromText, "to", q.ToText))}
	t.columns = []column{
		{label: s.book.Say("table.workload")},
		{label: s.book.Say("table.effect"), number: true},
		{label: s.book.Say("table.interval", "confidence", percent(s.r.Confidence, s.book.Decimal)), number: true, still: true},
		{label: s.book.Say("table.drawn"), still: true},
		{label: s.book.Say("table.verdict")},
		{label: s.book.Say("table.pairs"), number: true},
		{label: s.book.Say("table.smallest"), number: true, still: true},
	}
	m := (&markup{}).open(t)
	for k := range q.ByWorkload {
		s.effectRow(m, p, &q.ByWorkload[k], sp)
	}
	if q.Overall.State != report.Absent && q.Overall.Of != "" && len(q.ByWorkload) > 1 {
		m.row("total").raw(`<th scope="row">`).text(s.book.Say("table.overall")).raw(`</th>`)
		m.effectCells(s, q.Overall, sp, true)
		m.count(q.OverallPairs).number(q.Smallest.Text).endRow()
	}
	return m.close().html()
}

func (s *site) effectRow(m *markup, p *Page, w *report.WorkloadEffect, sp *span) {
	m.row("")
	href, label := s.workload(p, w.Workload)
	m.raw(`<th scope="row">`).link(href, label).raw(` <small>`).text(s.better(&s.r.Workloads[w.Workload])).raw(`</small></th>`)
	m.effectCells(s, w.Effect, sp, !w.Difference)
	m.count(w.Pairs).number(w.Smallest.Text).endRow()
}

// effectCells writes an effect as number, interval, drawing and verdict.
func (m *markup) effectCells(s *site, f report.Figure, sp *span, drawn bool) *markup {
	switch f.State {
	case report.Absent:
		return m.raw(`<td class="n absent">`).absent(s).raw(`</td><td></td><td></td><td></td>`)
	case report.Failed, report.NotComparable:
		return m.raw(`<td class="n failed">`).text(f.Text).raw(`</td><td></td><td></td><td>`).text(f.Remark).raw(`</td>`)
	}
	m.raw(`<td class="n strong" data-v="`).sortValue(f.Value).raw(`">`).text(f.Text).raw(`</td><td class="n">`).text(f.Range).raw(`</td><td>`)
	if drawn {
		m.interval(f, sp, 1, broad)
	}
	m.raw(`</td><td class="verdict `, verdictClass(f), `">`).text(s.verdict(f))
	if f.Remark != "" {
		m.raw(`<small>`).text(f.Remark).raw(`</small>`)
	}
	return m.raw(`</td>`)
}

// pairsTable has a row per matched pair and a column per workload.
func (s *site) pairsTable(p *Page, q *report.Answer) template.HTML {
	t := table{id: "matched-pairs", class: "pairs", sorts: len(q.Pairs) > 2, tall: len(q.Pairs) > tallFrom,
		caption: s.sessionsOf(q, s.turned(q, s.book.Say("table.pairs.caption", "from", q.FromText, "to", q.ToText)))}
	t.columns = []column{{label: s.book.Say("table.pair")}, {label: s.book.Say("table.setting")}}
	overall := q.Overall.State != report.Absent
	if overall {
		t.columns = append(t.columns, column{label: s.book.Say("table.overall"), number: true})
	}
	for _, w := range q.ByWorkload {
		href, label := s.workload(p, w.Workload)
		t.columns = append(t.columns, column{label: label, href: href, number: true})
	}
	t.columns = append(t.columns, column{label: s.book.Say("table.same-session")})
	m := (&markup{}).open(t)
	for k := range q.Pairs {
		pair := &q.Pairs[k]
		m.row("")
		m.pairHead(s, p, pair)
		m.raw(`<td>`).text(strings.Trim(pair.Setting+"; "+pair.LeftOut, "; "))
		if note := s.sittingNote(pair); note != "" {
			m.raw(`<small>`).text(note).raw(`</small>`)
		}
		m.raw(`</td>`)
		if overall {
			m.figureText(s, pair.Overall)
		}
		for _, w := range q.ByWorkload {
			m.figureText(s, effectOn(pair, w.Workload))
		}
		switch {
		case len(pair.Through) > 0:
			m.cell(s.book.Say("page.through", "names", s.names(pair.Through)))
		case !pair.SameSession:
			m.cell(s.book.Say("page.no"))
		case pair.Uneven:
			m.cell(s.book.Say("page.unevenly"))
		default:
			m.cell(s.book.Say("page.yes"))
		}
		m.endRow()
	}
	return m.close().html()
}

// sittingNote says beside a pair's setting that its sides were not read in one
// session: the column that says so is the last, and out of sight on a phone.
func (s *site) sittingNote(pair *report.PairEffect) string {
	switch {
	case len(pair.Through) > 0:
		return s.book.Say("table.pairs.compared-through", "names", s.names(pair.Through))
	case !pair.SameSession && pair.LeftOut == "" && len(s.r.Project.Sessions) > 0:
		return s.book.Say("compare.apart-here")
	}
	return ""
}

func (s *site) names(configurations []int) string {
	labels := make([]string, len(configurations))
	for i, c := range configurations {
		labels[i] = s.label(c)
	}
	return strings.Join(labels, ", ")
}

// sessionsOf says below a caption how pairs are compared whose sides were not
// read in the same sessions equally often.
func (s *site) sessionsOf(q *report.Answer, caption string) string {
	var notes []string
	if slices.ContainsFunc(q.Pairs, func(p report.PairEffect) bool { return p.SameSession && p.Uneven }) {
		notes = append(notes, s.book.Say("table.pairs.unevenly"))
	}
	if slices.ContainsFunc(q.Pairs, func(p report.PairEffect) bool { return len(p.Through) > 0 }) {
		notes = append(notes, s.book.Say("table.pairs.through"))
	}
	if len(notes) == 0 {
		return caption
	}
	return s.book.Say("table.noted", "caption", strings.TrimSuffix(caption, "."), "note", strings.Join(notes, " "))
}

// pairHead writes both sides of a pair as the head of its row.
func (m *markup) pairHead(s *site, p *Page, pair *report.PairEffect) *markup {
	from, fromLabel := s.configuration(p, pair.From)
	to, toLabel := s.configuration(p, pair.To)
	return m.raw(`<th scope="row">`).link(from, fromLabel).raw(` <span aria-hidden="true">→</span><span class="aside">`).
		text(s.book.Say("page.to")).raw(`</span> `).link(to, toLabel).raw(`</th>`)
}

// figureText writes a figure whose text carries its unit, with the range below.
func (m *markup) figureText(s *site, f report.Figure) *markup {
	switch f.State {
	case report.Measured, report.SpreadBorrowed, report.SpreadUnknown:
		return m.raw(`<td class="n" data-v="`).sortValue(f.Value).raw(`">`).text(f.Text).under(s, f).raw(`</td>`)
	case report.Failed:
		return m.raw(`<td class="n failed"><span aria-hidden="true">✕ </span>`).text(f.Text).raw(`</td>`)
	}
	return m.raw(`<td class="n absent">`).absent(s).raw(`</td>`)
}

// effectOn finds a pair's effect on a workload.
func effectOn(pair *report.PairEffect, workload int) report.Figure {
	for i := range pair.Workloads {
		if pair.Workloads[i].Workload == workload {
			return pair.Workloads[i].Effect
		}
	}
	return report.Figure{}
}

// failedPairs lists the pairs of which one side failed.
func (s *site) failedPairs(p *Page, q *report.Answer) template.HTML {
	t := table{id: "failed-pairs", caption: s.book.Say("table.failed-pairs.caption"),
		columns: []column{{label: s.book.Say("table.pair")}, {label: s.book.Say("table.setting")}, {label: s.book.Say("table.why")}}}
	m := (&markup{}).open(t)
	for k := range q.FailedPairs {
		pair := &q.FailedPairs[k]
		m.row("").pairHead(s, p, pair).cell(pair.Setting).cell(pair.Why).endRow()
	}
	return m.close().html()
}

// dependence shows the overall effect at each level of another factor.
func (s *site) dependence(p *Page, d *report.Dependence, k int) DependenceView {
	v := DependenceView{Title: s.factorLabel(d.Factor), Text: p.statement(d.Sentence)}
	if v.Text.Href == "#dependence" {
		v.Text.Href = ""
	}
	if len(d.Steps) == 0 {
		return v
	}
	sp := span{log: true}
	sp.include(1)
	for _, st := range d.Steps {
		sp.see(st.Effect)
	}
	t := table{id: "dependence-" + strconv.Itoa(k+1), class: "effects", caption: s.book.Say("table.dependence.caption", "factor", v.Title),
		columns: []column{{label: v.Title}, {label: s.book.Say("table.effect"), number: true},
			{label: s.book.Say("table.interval", "confidence", percent(s.r.Confidence, s.book.Decimal)), number: true},
			{label: s.book.Say("table.drawn")}, {label: s.book.Say("table.verdict")}}}
	m := (&markup{}).open(t)
	for _, st := range d.Steps {
		m.row("").head("", st.Level).effectCells(s, st.Effect, &sp, true).endRow()
	}
	v.Table = m.close().html()
	return v
}

// singleDependence has a row per workload on which the effect depends on a
// factor, and a column per level of that.
func (s *site) singleDependence(p *Page, q *report.Answer, factor, k int) template.HTML {
	var rows []*report.Dependence
	for i := range q.Dependence {
		if d := &q.Dependence[i]; d.Factor == factor && d.Workload >= 0 {
			rows = append(rows, d)
		}
	}
	if len(rows) == 0 {
		return ""
	}
	t := table{id: "dependence-single-" + strconv.Itoa(k+1), class: "effects",
		caption: s.book.Count("table.dependence-single.caption", rows[0].Family, "factor", s.factorLabel(factor)),
		columns: []column{{label: s.book.Say("table.workload")}}}
	for _, st := range rows[0].Steps {
		t.columns = append(t.columns, column{label: st.Level, number: true})
	}
	t.columns = append(t.columns, column{label: s.book.Say("table.by-chance"), number: true})
	m := (&markup{}).open(t)
	for _, d := range rows {
		m.row("").head(s.workload(p, d.Workload))
		for _, st := range d.Steps {
			m.figureText(s, st.Effect)
		}
		m.number(d.Chance).endRow()
	}
	return m.close().html()
}
