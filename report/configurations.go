package report

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"benchwright/design"
	"benchwright/project"
	"benchwright/schema"
	"benchwright/words"
)

// kindKeys names the kinds of difference in JSON, class names and word keys.
var kindKeys = map[design.Kind]string{
	design.UnderStudy:    "under-study",
	design.Follower:      "follower",
	design.Independent:   "independent",
	design.NuisanceDrift: "nuisance",
	design.UnknownSide:   "unknown",
}

// differences puts what stands between two configurations into words.
func (r *Report) differences(ds []design.Difference) []Difference {
	b := words.For(r.Language)
	out := make([]Difference, 0, len(ds))
	for _, d := range ds {
		f := r.Project.Factors[d.Factor]
		from, to := r.level(f, d.A.Value), r.level(f, d.B.Value)
		key := kindKeys[d.Kind]
		out = append(out, Difference{
			Factor: d.Factor, Kind: key, KindText: b.Say("difference." + key),
			From: from, To: to,
			Text: b.Say("difference.step", "factor", f.Label, "from", from, "to", to),
		})
	}
	return out
}

// level writes a value as people read it, with the words for one that is missing.
func (r *Report) level(f *project.Factor, v project.Value) string {
	switch v.State {
	case project.Known:
		if v.Numeric { // of a level with a label the label is written
			v.Text = strings.Replace(v.Text, ".", words.For(r.Language).Decimal, 1)
		}
		return project.FormatLevel(f, v)
	case project.Unknown:
		return words.For(r.Language).Say("value.unknown")
	}
	return words.For(r.Language).Say("value.unset")
}

// LevelText writes a factor's value as the pages do: "25 W", "2.4 GHz" with the
// language's decimal mark, or the label that its author gave the level.
func (r *Report) LevelText(f *project.Factor, v project.Value) string { return r.level(f, v) }

// fillConfigurations makes the row and the page of every configuration: its
// state, what differs from the baseline, and where each value came from. It
// needs r.Cells.
func fillConfigurations(r *Report) {
	p := r.Project
	r.Configurations = make([]Configuration, len(p.Configurations))
	sittings := r.Space.Sittings()
	for i, c := range p.Configurations {
		row := Configuration{Configuration: c, Page: "configurations/" + c.ID + ".html"}
		row.State, row.Status = r.state(i)
		for w := range p.Workloads {
			row.Readings += r.Cells[i][w].N
		}
		var between []design.Difference
		if i != r.Baseline {
			between = r.Space.Between(r.Baseline, i)
		}
		row.Differs = r.differences(between)
		row.Comparison = r.comparisonOf(between, sittings, r.Baseline, i)
		row.Values = r.factorValues(i, row.Differs)
		row.Cautions = r.limitCautions(i)
		if cost, ok := r.cost(i); ok {
			row.Cost = Figure{State: SpreadUnknown, Value: cost, Low: cost, High: cost, Text: r.money(cost)}
		}
		r.Configurations[i] = row
	}
}

// comparisonOf puts into words what design says of two configurations and of the
// sessions that they were read in. The script of the compare page says the same
// of any two.
func (r *Report) comparisonOf(between []design.Difference, sittings *design.Sittings, from, to int) Comparison {
	b := words.For(r.Language)
	st := Comparison{}
	studied := false
	var alone design.Kind // of the one thing that moved
	for _, d := range between {
		if d.Kind == design.Follower {
			continue
		}
		st.Moved++
		alone = d.Kind
		studied = studied || d.Kind == design.UnderStudy
	}
	st.Matched = st.Moved == 1 && studied
	doubts := r.Space.Doubts(from, to)
	belied := slices.ContainsFunc(doubts, func(d design.Doubt) bool { return !d.Step })
	switch {
	case len(between) == 0 && belied:
		st.Text = b.Say("compare.same-as-set")
	case len(between) == 0:
		st.Text = b.Say("compare.same")
	case st.Matched && belied:
		st.Text = b.Say("compare.clean-as-set")
	case st.Matched:
		st.Text = b.Say("compare.clean")
	case st.Moved == 1:
		st.Text = b.Say("compare.one." + kindKeys[alone])
	default:
		st.Text = b.Say("compare.not-clean", "n", strconv.Itoa(st.Moved))
	}
	for _, d := range doubts {
		st.Text += " " + r.doubted(d)
	}
	st.Unheld = r.unheld(from, to)
	apart, common := sittings.Apart(from, to)
	st.Apart = apart
	switch n := len(apart); {
	case n > 0 && n == common:
		st.Text += " " + b.Say("compare.apart")
		st.Short = b.Say("table.clean.apart")
	case n > 0:
		st.Text += " " + b.Count("compare.apart-on", n, "of", strconv.Itoa(common))
		st.Short = b.Count("table.clean.apart-on", n, "of", strconv.Itoa(common))
	}
	shares, linked := r.sessionsOf(from, to)
	if shares {
		st.Text += " " + b.Say("compare.within")
	}
	if linked {
		st.Text += " " + b.Say("compare.through")
	}
	st.Clean = st.Matched && len(apart) == 0 && len(doubts) == 0
	switch {
	case st.Matched && len(doubts) > 0:
		st.Short = b.Say("table.clean.belied")
	case st.Clean:
		st.Short = b.Say("page.yes")
	case !st.Matched:
		st.Short = b.Say("page.no")
	}
	return st
}

// doubted says what was displayed or measured of a factor on the two sides of a
// comparison, against what was set.
func (r *Report) doubted(d design.Doubt) string {
	f := r.Project.Factors[d.Factor]
	key := "compare.belied"
	if d.Step {
		key = "compare.belied-step"
	}
	return words.For(r.Language).Say(key, "factor", f.Label, "from", r.level(f, d.A), "to", r.level(f, d.B))
}

// state tells what became of a configuration, as a key and in words.
func (r *Report) state(i int) (key, text string) {
	b := words.For(r.Language)
	c := r.Project.Configurations[i]
	good, failed, seen := 0, 0, 0
	worst := project.OK
	runs := map[run]bool{} // whether it failed
	for w := range r.Project.Workloads {
		if r.Project.Workloads[w].Derived != nil {
			continue
		}
		cell := &r.Cells[i][w]
		if len(cell.Readings) == 0 {
			continue
		}
		seen++
		if cell.N > 0 {
			good++
		}
		bad := false
		for _, rd := range cell.Readings {
			fails := rd.Outcome != project.OK && rd.Outcome != project.Excluded
			if fails {
				bad, worst = true, max(worst, rd.Outcome)
			}
			k := run{int32(i), int32(rd.Session), int32(rd.Repeat)}
			runs[k] = runs[k] || fails
		}
		if bad {
			failed++
		}
	}
	failedRuns := 0
	for _, fails := range runs {
		if fails {
			failedRuns++
		}
	}
	share := []string{"outcome", b.Say("outcome." + worst.String()), "failed", strconv.Itoa(failedRuns), "of", strconv.Itoa(len(runs))}
	switch {
	case seen == 0 && c.Planned:
		return "planned", b.Say("state.planned")
	case seen == 0:
		return "not-run", b.Say("state.not-run")
	case failed > 0 && good == 0 && failedRuns < len(runs):
		return "failed", b.Say("state.some-runs", share...)
	case failed > 0 && good == 0:
		return "failed", b.Say("state.failed", share...)
	case failed > 0 && good == seen:
		// Every workload has its figures: the runs that failed are what there
		// is to say, not the workloads.
		return "partly", b.Say("state.some-runs", share...)
	case failed > 0:
		return "partly", b.Say("state.partly", "outcome", b.Say("outcome."+worst.String()), "failed", strconv.Itoa(failed), "of", strconv.Itoa(seen))
	case good == 0:
		return "failed", b.Say("state.excluded")
	}
	return "tested", b.Say("state.tested")
}

// factorValues lists every factor of a configuration, those that differ from
// the baseline first, then in the order of bench.yaml.
func (r *Report) factorValues(i int, differs []Difference) []FactorValue {
	p := r.Project
	c := p.Configurations[i]
	kind := map[int]string{}
	for _, d := range differs {
		kind[d.Factor] = d.Kind
	}
	identity := func(list []project.Identity, f int) string {
		for _, id := range list {
			if id.Factor != f {
				continue
			}
			text := r.level(p.Factors[f], id.Value)
			for _, more := range []string{id.Where, id.How, r.instrumentLabel(id.Instrument)} {
				if more != "" {
					text += " (" + more + ")"
				}
			}
			return text
		}
		return ""
	}
	out := make([]FactorValue, 0, len(p.Factors))
	for f, factor := range p.Factors {
		v := c.Values[f]
		text, origin := r.inSessions(i, f)
		fv := FactorValue{
			Factor: factor, Text: text, Origin: origin, Place: v.Place,
			Displayed: identity(c.Displayed, f), Measured: identity(c.Measured, f), Explained: c.Explained[f],
			Kind: kind[f],
		}
		if set, ok := c.Set[f]; ok {
			fv.Set = r.level(factor, set)
		} else if v.Origin != project.FromMeasured && v.Origin != project.FromDisplayed && v.Origin != project.FromDerived && v.State == project.Known {
			fv.Set = fv.Text
		}
		if fv.Kind != "" {
			fv.Differs = true
			fv.Baseline = r.level(factor, p.Configurations[r.Baseline].Values[f].Value)
		}
		out = append(out, fv)
	}
	slices.SortStableFunc(out, func(a, b FactorValue) int {
		return cmp.Compare(differOrder(a), differOrder(b))
	})
	return out
}

// inSessions says what a factor was in a configuration, and where that is
// stated: of one that the sessions state (a room's temperature) all that it was
// while the configuration was read.
func (r *Report) inSessions(i, f int) (text, origin string) {
	factor := r.Project.Factors[f]
	values := r.Space.ValuesOf(i, f)
	if len(values) == 1 {
		return r.level(factor, values[0].Value), r.origin(values[0])
	}
	b := words.For(r.Language)
	if !slices.ContainsFunc(values, func(v project.Resolved) bool { return v.State != project.Known || !v.Numeric }) {
		order := func(x, y project.Resolved) int { return cmp.Compare(x.Number, y.Number) }
		low, high := slices.MinFunc(values, order), slices.MaxFunc(values, order)
		return b.Say("range", "low", r.level(factor, low.Value), "high", r.level(factor, high.Value)), b.Say("origin.sessions")
	}
	texts := make([]string, len(values))
	for k, v := range values {
		texts[k] = r.level(factor, v.Value)
	}
	return strings.Join(texts, "; "), b.Say("origin.sessions")
}

// differOrder puts what was changed on purpose first, then what else differs.
func differOrder(v FactorValue) int {
	if !v.Differs {
		return 9
	}
	return max(0, slices.Index([]string{"under-study", "independent", "unknown", "nuisance", "follower"}, v.Kind))
}

func (r *Report) instrumentLabel(id string) string {
	for _, in := range r.Project.Instruments {
		if in.ID == id {
			return in.Label
		}
	}
	return id
}

// origin says in words where a value came from, with its line.
func (r *Report) origin(v project.Resolved) string {
	b := words.For(r.Language)
	keys := map[project.OriginKind]string{
		project.FromSession: "session", project.FromOwn: "own", project.FromBase: "base", project.FromPart: "part",
		project.FromCommon: "common", project.FromMeasured: "measured", project.FromDisplayed: "displayed", project.FromDerived: "derived",
	}
	key, ok := keys[v.Origin]
	if !ok {
		return b.Say("origin.nowhere")
	}
	from := v.From
	if v.Origin == project.FromPart {
		for _, f := range r.Project.Factors {
			if f.ID == from {
				from = f.Label
			}
		}
	}
	text := b.Say("origin."+key, "from", from)
	if v.Place.File != "" && v.Place.Line > 0 {
		text = b.Say("origin.placed", "origin", text, "file", v.Place.File, "line", strconv.Itoa(v.Place.Line))
	}
	return text
}

// routeFindings hands every finding to the pages that it touches, the silenced
// ones to the method page and their questions, and counts them.
func routeFindings(r *Report, findings []schema.Finding) {
	for _, f := range findings {
		if f.Silenced != "" {
			r.Silenced = append(r.Silenced, f)
			r.Counts.Silenced++
			continue
		}
		r.Findings = append(r.Findings, f)
		switch f.Severity {
		case schema.Error:
			r.Counts.Errors++
		case schema.Warning:
			r.Counts.Warnings++
		default:
			r.Counts.Notices++
		}
	}
	slices.SortStableFunc(r.Findings, func(a, b schema.Finding) int { return cmp.Compare(a.Severity, b.Severity) })
	configurations, workloads, questions := map[string]*Configuration{}, map[string]*Workload{}, map[string]*Answer{}
	for i := range r.Configurations {
		configurations[r.Configurations[i].ID] = &r.Configurations[i]
	}
	for i := range r.Workloads {
		workloads[r.Workloads[i].ID] = &r.Workloads[i]
	}
	for i := range r.Questions {
		questions[r.Questions[i].ID] = &r.Questions[i]
	}
	for _, f := range r.Findings {
		for _, id := range f.Configurations {
			if c := configurations[id]; c != nil {
				c.Findings = append(c.Findings, f)
			}
		}
		for _, id := range f.Workloads {
			if w := workloads[id]; w != nil {
				w.Findings = append(w.Findings, f)
			}
		}
		for _, id := range f.Questions {
			if q := questions[id]; q != nil {
				q.Findings = append(q.Findings, f)
			}
		}
	}
	r.cautionIdentity()
	for _, f := range r.Silenced {
		for _, id := range f.Questions {
			if q := questions[id]; q != nil {
				q.SetAside = append(q.SetAside, f)
			}
		}
	}
	for i := range r.Questions {
		r.Questions[i].settle()
	}
}

// unsettled are the rules that doubt whether a configuration had the level that is
// stated for it.
var unsettled = [...]string{"displayed-never-resolved", "measured-disagrees"}

// cautionIdentity puts such a doubt at every question that the configuration
// answers: about that very factor, since then the step itself may not have been
// made, and about any other where a pair's sides seem to differ in it.
func (r *Report) cautionIdentity() {
	for i := range r.Questions {
		q := &r.Questions[i]
		doubts := make([][]design.Doubt, len(q.Pairs))
		for n, p := range q.Pairs {
			doubts[n] = r.Space.Doubts(p.From, p.To, r.Space.QuestionOf(i)...)
		}
		// touches says that a configuration's level of a factor is in doubt in a pair.
		touches := func(id, factor string, step bool) bool {
			for n, p := range q.Pairs {
				if slices.ContainsFunc(doubts[n], func(d design.Doubt) bool {
					return d.Step == step && r.Project.Factors[d.Factor].ID == factor
				}) && (r.Project.Configurations[p.From].ID == id || r.Project.Configurations[p.To].ID == id) {
					return true
				}
			}
			return false
		}
		for _, f := range r.Findings {
			if !slices.Contains(unsettled[:], f.Rule) || len(f.Factors) == 0 || len(f.Configurations) == 0 {
				continue
			}
			id, factor := f.Configurations[0], f.Factors[0]
			asked := slices.ContainsFunc(r.Space.QuestionOf(i), func(x int) bool { return r.Project.Factors[x].ID == factor }) &&
				slices.ContainsFunc(q.sides(), func(c int) bool { return r.Project.Configurations[c].ID == id })
			if !asked && !touches(id, factor, false) {
				continue
			}
			if !slices.Contains(f.Questions, q.ID) && !slices.ContainsFunc(q.Findings, func(x schema.Finding) bool { return x.Rule == f.Rule && x.Place == f.Place }) {
				q.Findings = append(q.Findings, f)
			}
			if touches(id, factor, true) {
				c := slices.IndexFunc(r.Configurations, func(x Configuration) bool { return x.ID == id })
				at := slices.IndexFunc(r.Project.Factors, func(x *project.Factor) bool { return x.ID == factor })
				said := Sentence{r.doubt(c, at), r.Configurations[c].Page}
				if said.Text != "" && !slices.Contains(q.More, said) {
					q.More = append(q.More, said)
				}
			}
		}
		r.cautionBelied(q, doubts)
	}
}

// mostBelied is how many pairs a question cautions of one by one.
const mostBelied = 3

// cautionBelied says of which pairs the sides, set alike in a factor, were
// displayed or measured otherwise, right after the answer; doubts are by pair.
func (r *Report) cautionBelied(q *Answer, doubts [][]design.Doubt) {
	k := r.work
	var said []Sentence
	pairs, more := 0, map[int]int{}
	for n, p := range q.Pairs {
		belied := false
		for _, d := range doubts[n] {
			if d.Step {
				continue
			}
			belied, q.Belied = true, true
			if pairs >= mostBelied {
				more[d.Factor]++
				continue
			}
			said = append(said, Sentence{k.say.Say("answer.belied", "from", r.name(p.From), "to", r.name(p.To), "caution", r.doubted(d)), q.Page + "#pairs"})
		}
		if belied {
			pairs++
		}
	}
	for f, factor := range r.Project.Factors {
		if more[f] > 0 {
			said = append(said, Sentence{k.say.Count("answer.belied-more", more[f], "factor", factor.Label), q.Page + "#pairs"})
		}
	}
	q.More = slices.Insert(q.More, 0, said...)
}

// sides are the configurations of a question's pairs, each once.
func (q *Answer) sides() []int {
	var out []int
	for _, p := range q.Pairs {
		for _, c := range []int{p.From, p.To} {
			if !slices.Contains(out, c) {
				out = append(out, c)
			}
		}
	}
	return out
}

// doubt says what was set, displayed and measured of a factor.
func (r *Report) doubt(c, factor int) string {
	for i := range r.Configurations[c].Values {
		v := &r.Configurations[c].Values[i]
		if v.Factor.Index != factor {
			continue
		}
		key, seen := "answer.displayed", v.Displayed
		if v.Measured != "" {
			key, seen = "answer.measured", v.Measured
		}
		if v.Set == "" || seen == "" {
			return ""
		}
		return r.work.say.Say(key, "configuration", r.name(c), "factor", v.Factor.Label, "set", v.Set, "seen", seen)
	}
	return ""
}

// ofNoPair are the rules about two configurations that would be a matched pair
// if something did not differ, or were written down.
var ofNoPair = [...]string{"held-factor-differs", "recorded-on-one-side", "nuisance-beyond-tolerance"}

// sessionsOf says whether two configurations are compared within some of their
// sessions on some workload, and on some through a third.
func (r *Report) sessionsOf(from, to int) (within, through bool) {
	k := r.work
	for w := range r.Project.Workloads {
		x, _ := k.sides(w, to, from)
		within = within || x != &k.samples[to][w]
		through = through || k.link(w, to, from) >= 0
	}
	return within, through
}
