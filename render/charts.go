package render

import (
	"html/template"
	"math"
	"slices"
	"strings"

	"benchwright/project"
	"benchwright/render/chart"
	"benchwright/report"
)

// mostRows is the number of rows up to which a chart stays readable; beyond it
// the first and the last of the order are drawn and the table has the rest.
const mostRows = 40

// figure wraps a chart for a page: the drawing, its data for the script, and
// the files to take away.
func (s *site) figure(p *Page, c chart.Chart) template.HTML {
	c.Decimal = s.book.Decimal
	c.Head = s.head()
	m := &markup{}
	m.raw(`<figure class="chart" data-chart="`).text(c.ID)
	if c.Decimal != "." {
		m.raw(`" data-decimal="`).text(c.Decimal)
	}
	m.raw(`">`)
	m.raw(`<div class="drawing">`)
	m.b = append(m.b, c.SVG()...)
	m.raw(`</div>`)
	if option, err := c.Option(); err == nil {
		// Safe leaves no "<" in it, so that nothing in it can end the script.
		m.raw(`<script type="application/json" id="chart-`).text(c.ID).raw(`">`)
		m.b = append(m.b, chart.Safe(option)...)
		m.raw(`</script>`)
	}
	m.raw(`<figcaption><span>`).text(c.Title).raw(`</span>`)
	if key := s.key(c); key != "" {
		m.raw(` <span class="key">`).text(key).raw(`</span>`)
	}
	m.raw(` <span class="tools"><span>`).text(s.book.Say("chart.save")).
		raw(`</span> <a href="`).text(p.Root + "charts/" + c.ID + ".svg").raw(`" download>SVG</a> <a href="`).
		text(p.Root + "charts/" + c.ID + ".csv").raw(`" download>CSV</a></span></figcaption></figure>`)
	return finished(string(m.b))
}

// key says in a sentence or two what the marks of a chart are, those that it has.
func (s *site) key(c chart.Chart) string {
	has := func(is func(chart.Row) bool) bool { return slices.ContainsFunc(c.Rows, is) }
	marked := func(m chart.Mark) bool { return has(func(r chart.Row) bool { return r.Mark == m }) }
	bars := ""
	if c.Kind == chart.Bars {
		bars = ".bar"
	}
	var out []string
	add := func(there bool, key string) {
		if there {
			out = append(out, s.book.Say(key))
		}
	}
	if c.Kind == chart.Pairs {
		add(true, "chart.key.pair")
		add(marked(chart.Worse), "chart.key.pair.worse")
		add(marked(chart.Tied), "chart.key.pair.tied")
		return strings.Join(out, " ")
	}
	add(has(func(r chart.Row) bool { return r.HasInterval }), "chart.key.interval")
	add(has(func(r chart.Row) bool { return len(r.Readings) > 0 }), "chart.key.readings")
	add(marked(chart.Baseline), "chart.key.baseline"+bars)
	add(marked(chart.Tied), "chart.key.tied"+bars)
	return strings.Join(out, " ")
}

// chartFiles are the files that a chart can be taken away in.
func (s *site) chartFiles(c chart.Chart) []File {
	c.Decimal = s.book.Decimal
	c.Head = s.head()
	plain := c // in data a label is as the project has it
	plain.Rows = slices.Clone(c.Rows)
	for i := range plain.Rows {
		plain.Rows[i].Label = strings.ReplaceAll(plain.Rows[i].Label, "\u00a0", " ")
	}
	return []File{
		{Path: "charts/" + c.ID + ".svg", Data: []byte(c.Standalone())},
		{Path: "charts/" + c.ID + ".csv", Data: plain.CSV()},
	}
}

// head names the columns of a chart's CSV.
func (s *site) head() chart.Head {
	return chart.Head{
		Label: s.book.Say("chart.head.label"), From: s.book.Say("chart.head.from"), Value: s.book.Say("chart.head.value"),
		Low: s.book.Say("chart.head.low"), High: s.book.Say("chart.head.high"), Text: s.book.Say("chart.head.text"), X: s.book.Say("chart.head.x"),
	}
}

// row makes a chart's row from a figure; scale turns it into the chart's unit.
func row(label, link string, f report.Figure, scale float64, text string) chart.Row {
	r := chart.Row{Label: label, Link: link, Text: text}
	switch f.State {
	case report.Measured, report.SpreadBorrowed, report.SpreadUnknown:
		r.HasValue, r.Value = true, f.Value*scale
		if f.Confidence > 0 && f.Low < f.High {
			r.HasInterval, r.Low, r.High = true, f.Low*scale, f.High*scale
		}
	default:
		r.Mark = chart.Failed
		if r.Text == "" {
			r.Text = f.Text
		}
	}
	return r
}

// ends keeps the first and last rows of a long order.
func ends[T any](all []T) []T {
	if len(all) <= mostRows {
		return all
	}
	out := append([]T(nil), all[:mostRows/2]...)
	return append(out, all[len(all)-mostRows/2:]...)
}

// story is the chart that carries the report: the first composite of every
// configuration with its interval, best first; ok is false without one.
func (s *site) story(p *Page) (c chart.Chart, ok bool) {
	if len(s.r.Composites) == 0 || len(s.r.Composites[0].Order) < 2 {
		return c, false
	}
	composite := &s.r.Composites[0]
	base := s.label(s.r.Baseline)
	c = chart.Chart{
		ID: "overview", Kind: chart.Dots, Title: s.book.Say("chart.story.title", "composite", composite.Label, "baseline", base),
		Description: composite.Sentence.Text, Axis: s.book.Say("chart.story.axis"), Better: s.book.Say("page.better.higher"),
		Lines: []chart.Line{{At: 100, Label: base, Class: "baseline"}},
	}
	for _, o := range ends(composite.Order) {
		f := composite.Rows[o.Configuration].Figure
		href, label := s.configuration(p, o.Configuration)
		r := row(label, href, f, 100, shown(f))
		r.Range = s.withConfidence(f)
		switch {
		case o.Configuration == s.r.Baseline:
			r.Mark = chart.Baseline
		case f.Verdict == report.NoDifferenceSeen:
			r.Mark = chart.Tied
		case f.Verdict == report.Worse:
			r.Mark = chart.Worse
		}
		c.Rows = append(c.Rows, r)
	}
	return c, true
}

// workloadDrawing is every configuration under a workload.
func (s *site) workloadDrawing(p *Page, w int) (c chart.Chart, ok bool) {
	wl := &s.r.Workloads[w]
	if len(wl.Order) == 0 {
		return c, false
	}
	c = chart.Chart{
		ID: "workload-" + wl.ID, Kind: chart.Bars, Title: s.book.Say("chart.workload.title", "workload", s.workloadLabel(w), "metric", wl.Metric),
		Axis: axis(wl.Metric, wl.Unit.Symbol), Better: s.better(wl),
	}
	if len(wl.Sentences) > 0 {
		c.Description = wl.Sentences[0].Text
	}
	if wl.Scale == project.IntervalScale {
		c.Kind = chart.Dots
	}
	if base := s.r.Cells[s.r.Baseline][w].Centre; base.State != report.Absent && base.State != report.Failed {
		c.Lines = append(c.Lines, chart.Line{At: base.Value, Label: s.label(s.r.Baseline), Class: "baseline"})
	}
	if wl.HasTarget {
		c.Lines = append(c.Lines, chart.Line{At: wl.Target, Label: s.book.Say("chart.target"), Class: "target"})
	}
	elsewhere := false
	for _, o := range ends(wl.Order) {
		cell := &s.r.Cells[o.Configuration][w]
		href, label := s.configuration(p, o.Configuration)
		r := row(label, href, cell.Centre, 1, cell.Centre.Text)
		r.Range = s.withConfidence(cell.Centre)
		if cell.Beside != "" || slices.ContainsFunc(cell.Flags, func(f report.Flag) bool { return f.Rule == "other-sessions" }) {
			r.Text += " !"
			elsewhere = true
		}
		for k := range cell.Readings {
			if rd := &cell.Readings[k]; rd.HasValue && rd.Outcome == project.OK {
				r.Readings = append(r.Readings, rd.Value)
				r.Single = append(r.Single, rd.Text)
			}
		}
		switch {
		case o.Configuration == s.r.Baseline:
			r.Mark = chart.Baseline
		case cell.LookAlike:
			r.Mark = chart.Tied
		}
		c.Rows = append(c.Rows, r)
	}
	if elsewhere {
		c.Title = s.book.Say("table.noted", "caption", c.Title, "note", s.book.Say("chart.workload.elsewhere"))
	}
	for _, i := range wl.Failures {
		if len(c.Rows) >= mostRows {
			break
		}
		href, label := s.configuration(p, i)
		c.Rows = append(c.Rows, chart.Row{Label: label, Link: href, Mark: chart.Failed, Text: s.book.Say("page.outcome." + s.r.Cells[i][w].Outcome.String())})
	}
	return c, true
}

func axis(metric, unit string) string {
	if unit == "" {
		return metric
	}
	return metric + " (" + unit + ")"
}

// pairsDrawing shows each matched pair as from → to, in relative performance so
// that workloads of different units stand on one axis.
func (s *site) pairsDrawing(p *Page, q *report.Answer) (c chart.Chart, ok bool) {
	c = chart.Chart{
		ID: "question-" + q.ID, Kind: chart.Pairs, Title: s.book.Say("chart.pairs.title", "from", q.FromText, "to", q.ToText),
		Description: q.Headline.Text, Axis: s.book.Say("chart.pairs.axis", "baseline", s.label(s.r.Baseline)), Better: s.book.Say("page.better.higher"),
		Lines: []chart.Line{{At: 100, Label: s.label(s.r.Baseline), Class: "baseline"}},
	}
	// What is as it was read goes the other way: it has an axis of its own, where
	// nothing else is asked about.
	performance := slices.ContainsFunc(q.ByWorkload, func(w report.WorkloadEffect) bool {
		return !w.Difference && !s.r.Workloads[w.Workload].AsRead()
	})
	if !performance {
		c.Better = s.book.Say("page.better.lower")
	}
	for _, w := range q.ByWorkload {
		if w.Difference || performance && s.r.Workloads[w.Workload].AsRead() {
			continue
		}
		href, label := s.workload(p, w.Workload)
		for k := range q.Pairs {
			pair := &q.Pairs[k]
			from, to := s.r.Cells[pair.From][w.Workload].Relative, s.r.Cells[pair.To][w.Workload].Relative
			effect := effectOn(pair, w.Workload)
			if !measured(from) || !measured(to) || effect.Text == "" {
				continue
			}
			name := label
			if pair.Setting != "" {
				name += ", " + pair.Setting
			}
			// The second mark lies where the effect puts it: against the baseline it may
			// have been read in other sessions than beside the first.
			end := to.Value
			if by := from.Value * effect.Value; math.Abs(by/end-1) > 1e-9 {
				end = by
			}
			r := chart.Row{Label: name, Link: href, HasValue: true, Value: 100 * end, HasFrom: true, From: 100 * from.Value, Text: effect.Text, Range: s.withConfidence(effect)}
			switch effect.Verdict {
			case report.Better:
				r.Mark = chart.Better
			case report.Worse:
				r.Mark = chart.Worse
			case report.NoDifferenceSeen:
				r.Mark = chart.Tied
			}
			c.Rows = append(c.Rows, r)
		}
	}
	c.Rows = ends(c.Rows)
	return c, len(c.Rows) > 0
}

func measured(f report.Figure) bool {
	return f.State == report.Measured || f.State == report.SpreadBorrowed || f.State == report.SpreadUnknown
}

// responseDrawing shows how a workload follows a numeric factor.
func (s *site) responseDrawing(w, k int) (c chart.Chart, ok bool) {
	wl := &s.r.Workloads[w]
	re := &wl.Responses[k]
	f := s.r.Project.Factors[re.Factor]
	if len(re.Points) < 2 {
		return c, false
	}
	c = chart.Chart{
		ID: "response-" + wl.ID + "-" + f.ID, Kind: chart.Response, Title: s.book.Say("table.response.caption", "factor", f.Label, "workload", s.workloadLabel(w)),
		Description: re.Sentence.Text, Axis: axis(wl.Metric, wl.Unit.Symbol), XAxis: axis(f.Label, f.Unit.Symbol), Better: s.better(wl),
	}
	for i := range k {
		if wl.Responses[i].Factor == re.Factor {
			c.ID += "-" + strings.Repeat("i", i+1)
		}
	}
	if wl.HasTarget {
		c.Lines = append(c.Lines, chart.Line{At: wl.Target, Label: s.book.Say("chart.target"), Class: "target"})
	}
	series := chart.Series{Label: re.Setting}
	for _, pt := range re.Points {
		if !measured(pt.Y) {
			continue
		}
		x := chart.Point{X: pt.X, Y: pt.Y.Value, Label: s.label(pt.Configuration), Text: pt.Y.Text, Range: s.withConfidence(pt.Y)}
		if pt.Y.Confidence > 0 && pt.Y.Low < pt.Y.High {
			x.HasInterval, x.Low, x.High = true, pt.Y.Low, pt.Y.High
		}
		series.Points = append(series.Points, x)
	}
	for _, xy := range re.Curve {
		series.Curve = append(series.Curve, chart.Point{X: xy.X, Y: xy.Y})
	}
	c.Series = []chart.Series{series}
	return c, len(series.Points) > 0
}
