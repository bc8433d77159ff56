package render

import (
	"cmp"
	"html/template"
	"slices"
	"strings"

	"benchwright/report"
)

// Method is the method page, written from the project so that a stranger can
// repeat the work.
type Method struct {
	Page
	BenchLabel   string        `doc:"name of the bench"`
	Bench        template.HTML `doc:"description of the bench"`
	BenchPlace   string        `doc:"where it stands"`
	Pictures     []Picture     `doc:"photographs of the bench"`
	Sentences    []Statement   `doc:"the method in sentences"`
	Roles        []RoleView    `doc:"the factors, a table for each role"`
	Matrix       template.HTML `doc:"configurations × factors; each kind of cell has a sign of its own"`
	MatrixLegend []Block       `doc:"the signs of the matrix"`
	Structure    []Statement   `doc:"what the tested configurations can and cannot tell apart"`
	Aliases      []Block       `doc:"effects that cannot be told apart"`
	Sessions     []SessionView `doc:"the sessions in order"`
	Instruments  template.HTML `doc:"table of instruments"`
	Model        template.HTML `doc:"the model of all factors at once; empty where there is none"`
	ModelText    Statement     `doc:"what the model says, or why there is none"`
	Repeats      string        `doc:"how many readings the cells rest on"`
	Composites   template.HTML `doc:"the composites with their workloads and weights"`
	SharedRuns   []string      `doc:"which workloads of a composite come from the same runs"`
	Exclusions   template.HTML `doc:"readings left out, with reasons; empty for none"`
	Findings     []Remark      `doc:"findings"`
	Silenced     []Remark      `doc:"findings silenced by the project, with reasons"`
	Formulas     template.HTML `doc:"how each figure is computed, with sources"`
	Versions     []Block       `doc:"versions of tests and tools"`
	Cautions     []string      `doc:"cautions"`
}

// RoleView is a table of factors with one role.
type RoleView struct {
	ID    string        `doc:"fragment"`
	Title string        `doc:"heading"`
	Text  string        `doc:"what the role means"`
	Table template.HTML `doc:"the factors"`
}

// SessionView is a session as shown.
type SessionView struct {
	ID    string        `doc:"identifier; the fragment is session-ID"`
	Title string        `doc:"date and identifier"`
	Block []Block       `doc:"place, people, instruments, ambient values"`
	Note  string        `doc:"the author's note"`
	Run   template.HTML `doc:"the order in which things were run"`
}

func (s *site) methodPage() ([]File, error) {
	r, m := s.r, &s.r.Method
	p := Method{Page: s.page("method", "method.html", s.book.Say("method.title"), s.book.Say("method.description", "report", r.Project.Title))}
	p.BenchLabel, p.BenchPlace = r.Project.BenchLabel, r.Project.BenchPlace
	p.Bench = paragraphs(r.Project.BenchDescription)
	p.Pictures = s.pictures(&p.Page, r.Project.BenchPictures)
	p.Sentences = p.statements(m.Sentences)
	p.section("bench", "method.bench")
	for _, role := range []struct {
		key     string
		factors []report.MethodFactor
	}{{"studied", m.Studied}, {"held", m.Held}, {"follows", m.Followers}, {"nuisance", m.Nuisances}} {
		if len(role.factors) == 0 {
			continue
		}
		p.Roles = append(p.Roles, RoleView{ID: "factors-" + role.key, Title: s.book.Say("method.role." + role.key),
			Text: s.book.Say("method.role." + role.key + ".text"), Table: s.roleTable(role.key, role.factors)})
	}
	if len(p.Roles) > 0 {
		p.section("factors", "method.factors")
	}
	if len(m.Matrix.Rows) > 0 {
		p.section("matrix", "method.matrix")
		p.Matrix, p.MatrixLegend = s.matrix(&p.Page)
	}
	p.Structure = p.statements(m.Structure)
	for _, a := range m.Aliases {
		p.Aliases = append(p.Aliases, Block{Label: a.Label, Text: a.Text})
	}
	if len(p.Structure)+len(p.Aliases) > 0 {
		p.section("structure", "method.structure")
	}
	for _, k := range s.sessionsByDay() {
		p.Sessions = append(p.Sessions, s.session(&p.Page, k))
	}
	if len(p.Sessions) > 0 {
		p.section("sessions", "method.sessions")
	}
	if len(r.Project.Instruments) > 0 {
		p.section("instruments", "method.instruments")
		p.Instruments = s.instruments()
	}
	p.Repeats = m.Repeats
	p.section("repeats", "method.repeats")
	if len(m.Exclusions) > 0 {
		p.Exclusions = s.exclusions(&p.Page)
	}
	if len(r.Composites) > 0 {
		p.section("composites", "method.composites")
		p.Composites, p.SharedRuns = s.composites(&p.Page), m.SharedRuns
	}
	if p.Findings = s.remarks(&p.Page, r.Findings); len(p.Findings) > 0 {
		p.section("findings", "page.findings")
	}
	if p.Silenced = s.remarks(&p.Page, r.Silenced); len(p.Silenced) > 0 {
		p.section("silenced", "method.silenced")
	}
	switch {
	case r.Effects != nil:
		p.ModelText, p.Model = Statement{Text: r.Effects.Sentence.Text}, s.model(&p.Page)
	case r.EffectsWhy != "":
		p.ModelText = Statement{Text: r.EffectsWhy}
	}
	if p.ModelText.Text != "" || p.Model != "" {
		p.section("model", "method.model")
	}
	if len(m.Formulas) > 0 {
		p.section("formulas", "method.formulas")
		p.Formulas = s.formulas()
	}
	for _, v := range m.Versions {
		p.Versions = append(p.Versions, Block{Label: v.Label, Text: v.Text})
	}
	if len(p.Versions) > 0 {
		p.section("versions", "method.versions")
	}
	if p.Cautions = m.Cautions; len(p.Cautions) > 0 {
		p.section("cautions", "method.cautions")
	}
	return s.fill("method", "method.html", &p)
}

// roleTable lists the factors of a role.
func (s *site) roleTable(key string, factors []report.MethodFactor) template.HTML {
	how := slices.ContainsFunc(factors, func(f report.MethodFactor) bool { return f.How != "" })
	odd := slices.ContainsFunc(factors, func(f report.MethodFactor) bool { return len(f.Odd) > 0 })
	t := table{id: "role-" + key, caption: s.book.Say("method.role." + key)}
	t.columns = []column{{label: s.book.Say("table.factor")}, {label: s.book.Say("table.role-value." + key)}}
	if how {
		t.columns = append(t.columns, column{label: s.book.Say("table.how")})
	}
	if odd {
		t.columns = append(t.columns, column{label: s.book.Say("table.odd")})
	}
	m := (&markup{}).open(t)
	for _, f := range factors {
		m.row("").head("", f.Factor.Label).cell(f.Text)
		if how {
			m.cell(f.How)
		}
		if odd {
			m.cell(strings.Join(f.Odd, "; "))
		}
		m.endRow()
	}
	return m.close().html()
}

// matrix is configurations × factors with a sign for each kind of cell.
func (s *site) matrix(p *Page) (template.HTML, []Block) {
	x := &s.r.Method.Matrix
	t := table{id: "matrix-table", class: "matrix", tall: len(x.Rows) > tallFrom, caption: s.book.Say("table.matrix.caption")}
	t.columns = []column{{label: s.book.Say("table.configuration")}}
	for _, f := range x.Factors {
		t.columns = append(t.columns, column{label: s.factorLabel(f)})
	}
	m := &markup{b: make([]byte, 0, 80*len(x.Rows)*(len(x.Factors)+1))}
	m.open(t)
	seen := map[string]string{}
	for i, row := range x.Rows {
		if i == s.r.Baseline {
			m.row("baseline")
		} else {
			m.row("")
		}
		href, label := s.configuration(p, i)
		m.head(href, label)
		for _, c := range row {
			m.raw(`<td class="k-`).text(c.Kind).raw(`"><span class="sign" aria-hidden="true">`).text(c.Mark).raw(`</span> `).text(c.Text).raw(`</td>`)
			if c.Mark != "" {
				seen[c.Kind] = c.Mark
			}
		}
		m.endRow()
	}
	var legend []Block
	for _, kind := range [...]string{"studied", "held", "follows", "nuisance", "odd", "unknown", "varied"} {
		if mark, ok := seen[kind]; ok {
			legend = append(legend, Block{Label: mark, Text: s.book.Say("method.kind." + kind)})
		}
	}
	return m.close().html(), legend
}

// sessionsByDay orders the sessions as they were held, in whatever order the
// file has them; those without a date come last.
func (s *site) sessionsByDay() []int {
	order := make([]int, len(s.r.Sessions))
	for k := range order {
		order[k] = k
	}
	slices.SortStableFunc(order, func(a, b int) int {
		x, y := &s.r.Sessions[a], &s.r.Sessions[b]
		if (x.Date == "") != (y.Date == "") {
			return cmp.Compare(y.Date, x.Date)
		}
		return cmp.Or(cmp.Compare(x.Date, y.Date), cmp.Compare(x.Start, y.Start))
	})
	return order
}

// session shows one session with its order of work.
func (s *site) session(p *Page, k int) SessionView {
	se := &s.r.Sessions[k]
	v := SessionView{ID: se.ID, Note: se.Note, Title: s.r.SessionName(k)}
	add := func(key, text string) {
		if text != "" {
			v.Block = append(v.Block, Block{Label: s.book.Say(key), Text: text})
		}
	}
	add("method.session.start", se.Start)
	add("method.session.place", se.Location)
	add("method.session.who", se.Who)
	add("method.session.instruments", strings.Join(s.instrumentLabels(se.Instruments), ", "))
	for _, x := range se.Values {
		v.Block = append(v.Block, Block{Label: x.Label, Text: x.Text})
	}
	add("method.session.readings", s.counted(se.Good, se.Excluded, se.SilentRuns, se.LoneFailures))
	add("configuration.id", se.ID)
	if len(se.Run) == 0 {
		return v
	}
	t := table{id: "run-" + se.ID, tall: len(se.Run) > tallFrom, caption: s.book.Say("table.run.caption", "session", v.Title),
		columns: []column{{label: s.book.Say("table.configuration")}, {label: s.book.Say("table.order"), number: true},
			{label: s.book.Say("table.workloads")}, {label: s.book.Say("table.attempts"), number: true}}}
	m := (&markup{}).open(t)
	for _, step := range se.Run {
		href, label := s.configuration(p, step.Configuration)
		m.row("").head(href, label).raw(`<td class="n">`).integer(step.FirstOrder)
		if step.LastOrder != step.FirstOrder {
			m.raw(`–`).integer(step.LastOrder)
		}
		m.raw(`</td><td>`)
		if len(step.Workloads) > 1 && len(step.Workloads) == s.read() {
			m.text(s.book.Say("table.all-workloads"))
			step.Workloads = nil
		}
		for i, w := range step.Workloads {
			if i > 0 {
				m.raw(`, `)
			}
			m.text(s.workloadLabel(w))
		}
		m.raw(`</td>`).count(step.Readings).endRow()
	}
	v.Run = m.close().html()
	return v
}

// read counts the workloads that are read, rather than computed from others.
func (s *site) read() int {
	n := 0
	for i := range s.r.Workloads {
		if s.r.Workloads[i].Derived == nil {
			n++
		}
	}
	return n
}

func (s *site) instrumentLabels(ids []string) []string {
	out := make([]string, len(ids))
	for i, id := range ids {
		out[i] = id
		for _, in := range s.r.Project.Instruments {
			if in.ID == id && in.Label != "" {
				out[i] = in.Label
			}
		}
	}
	return out
}

func (s *site) instruments() template.HTML {
	t := table{id: "instrument-table", caption: s.book.Say("table.instruments.caption"),
		columns: []column{{label: s.book.Say("table.instrument")}, {label: s.book.Say("table.measures")}, {label: s.book.Say("table.resolution"), number: true},
			{label: s.book.Say("table.accuracy")}, {label: s.book.Say("table.calibrated")}, {label: s.book.Say("table.remarks")}}}
	m := (&markup{}).open(t)
	for _, in := range s.r.Project.Instruments {
		resolution := ""
		if in.Resolution > 0 {
			resolution = s.plain(in.Resolution)
			if in.Measures.Symbol != "" {
				resolution += "\u00a0" + in.Measures.Symbol
			}
		}
		m.row("").head("", in.Label).cell(in.Measures.Symbol).number(resolution).cell(in.Accuracy).cell(s.date(in.Calibrated)).cell(in.Note).endRow()
	}
	return m.close().html()
}

func (s *site) exclusions(p *Page) template.HTML {
	t := table{id: "exclusion-table", tall: len(s.r.Method.Exclusions) > tallFrom, caption: s.book.Say("table.exclusions.caption"),
		columns: []column{{label: s.book.Say("table.configuration")}, {label: s.book.Say("table.workload")}, {label: s.book.Say("table.value"), number: true}, {label: s.book.Say("table.why")}}}
	m := (&markup{}).open(t)
	for _, e := range s.r.Method.Exclusions {
		href, label := s.configuration(p, e.Configuration)
		wh, wl := s.workload(p, e.Workload)
		m.row("").head(href, label).linked(wh, wl).number(e.Reading.Text).cell(e.Reading.Reason).endRow()
	}
	return m.close().html()
}

func (s *site) composites(p *Page) template.HTML {
	t := table{id: "composite-table", caption: s.book.Say("table.composites.caption"),
		columns: []column{{label: s.book.Say("table.composite")}, {label: s.book.Say("table.workloads")}}}
	m := (&markup{}).open(t)
	for i := range s.r.Composites {
		c := &s.r.Composites[i]
		m.row("").head("", c.Label).raw(`<td>`)
		for k, w := range c.Workloads {
			if k > 0 {
				m.raw(`, `)
			}
			href, label := s.workload(p, w)
			m.link(href, label)
			if c.Weighted && k < len(c.Weights) {
				m.text(" × " + s.plain(c.Weights[k]))
			}
		}
		m.raw(`</td>`).endRow()
	}
	return m.close().html()
}

func (s *site) formulas() template.HTML {
	t := table{id: "formula-table", class: "formulas", caption: s.book.Say("table.formulas.caption"),
		columns: []column{{label: s.book.Say("table.figure")}, {label: s.book.Say("table.computed")}, {label: s.book.Say("table.source")}}}
	m := (&markup{}).open(t)
	for _, f := range s.r.Method.Formulas {
		if f.Used {
			m.row("").head("", f.Name).cell(f.Text).cell(f.Source).endRow()
		}
	}
	return m.close().html()
}
