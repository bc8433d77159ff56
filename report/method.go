package report

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"benchwright/design"
	"benchwright/project"
	"benchwright/words"
)

// fillMethod writes down how the work was done, from the folder alone, so
// that a stranger can repeat it. It needs r.Configurations and r.Cells.
func fillMethod(r *Report) {
	m := &r.Method
	p, b := r.Project, words.For(r.Language)
	for _, f := range p.Factors {
		mf := MethodFactor{Factor: f, How: f.How}
		switch f.Role {
		case project.Studied:
			mf.Text = r.levelsSeen(f)
			m.Studied = append(m.Studied, mf)
		case project.Held:
			mf.Text, mf.Odd = r.heldValue(f)
			m.Held = append(m.Held, mf)
		case project.Follows:
			var of []string
			for _, l := range f.Of {
				of = append(of, p.Factors[l].Label)
			}
			mf.Text = b.Say("method.follows", "leaders", joinWords(b, of), "levels", r.levelsSeen(f))
			m.Followers = append(m.Followers, mf)
		case project.Nuisance:
			mf.Text = r.nuisanceRange(f)
			m.Nuisances = append(m.Nuisances, mf)
		}
	}
	m.Matrix = r.matrix()
	m.Repeats = r.repeatsSentence()
	for ci := range r.Cells {
		for wi := range r.Cells[ci] {
			for _, rd := range r.Cells[ci][wi].Readings {
				if rd.Outcome == project.Excluded && p.Workloads[wi].Derived == nil {
					m.Exclusions = append(m.Exclusions, Exclusion{Configuration: ci, Workload: wi, Reading: rd})
				}
			}
		}
	}
	m.SharedRuns = r.sharedRunsSentences()
	m.Formulas = r.formulas()
	m.Cautions = r.cautions()
	for _, w := range p.Workloads {
		if w.Version != "" {
			m.Versions = append(m.Versions, Pair{w.Label, w.Version})
		}
	}
	r.fillStructure()
}

// joinWords writes a list as a sentence does: "a, b and c".
func joinWords(b *words.Book, list []string) string {
	switch len(list) {
	case 0:
		return ""
	case 1:
		return list[0]
	}
	return b.Say("list.and", "first", strings.Join(list[:len(list)-1], ", "), "last", list[len(list)-1])
}

// levelsSeen lists the levels that configurations have, in the order of
// bench.yaml, numbers in rising order where bench.yaml gives none.
func (r *Report) levelsSeen(f *project.Factor) string {
	type seen struct {
		text   string
		number float64
		place  int
	}
	var list []seen
	for i, c := range r.Project.Configurations {
		v := c.Values[f.Index]
		if v.State != project.Known {
			continue
		}
		text := r.level(f, v.Value)
		if slices.ContainsFunc(list, func(s seen) bool { return s.text == text }) {
			continue
		}
		place := len(f.Levels) + i
		for l, level := range f.Levels {
			if level.Value.Text == v.Text {
				place = l
			}
		}
		list = append(list, seen{text, v.Number, place})
	}
	slices.SortStableFunc(list, func(x, y seen) int {
		if f.Numeric && len(f.Levels) == 0 {
			switch {
			case x.number < y.number:
				return -1
			case x.number > y.number:
				return 1
			}
		}
		return x.place - y.place
	})
	out := make([]string, len(list))
	for i, s := range list {
		out[i] = s.text
	}
	return strings.Join(out, ", ")
}

// heldValue gives the value that most configurations have, and the odd ones.
func (r *Report) heldValue(f *project.Factor) (text string, odd []string) {
	b := words.For(r.Language)
	count := map[string]int{}
	var order []string
	for _, c := range r.Project.Configurations {
		t := r.level(f, c.Values[f.Index].Value)
		if count[t] == 0 {
			order = append(order, t)
		}
		count[t]++
	}
	for _, t := range order {
		if text == "" || count[t] > count[text] {
			text = t
		}
	}
	for _, c := range r.Project.Configurations {
		if t := r.level(f, c.Values[f.Index].Value); t != text {
			odd = append(odd, b.Say("method.odd", "configuration", c.Label, "value", t))
		}
	}
	for _, s := range r.Project.Sessions {
		if v, ok := s.Values[f.Index]; ok {
			if t := r.level(f, v); t != text {
				odd = append(odd, b.Say("method.odd-session", "session", r.SessionName(s.Index), "value", t))
			}
		}
	}
	return text, odd
}

// nuisanceRange gives the lowest and highest value seen, over configurations
// and sessions.
func (r *Report) nuisanceRange(f *project.Factor) string {
	b := words.For(r.Language)
	var low, high project.Value
	take := func(v project.Value) {
		if v.State != project.Known || !v.Numeric {
			return
		}
		if low.State != project.Known || v.Number < low.Number {
			low = v
		}
		if high.State != project.Known || v.Number > high.Number {
			high = v
		}
	}
	for _, s := range r.Project.Sessions {
		if v, ok := s.Values[f.Index]; ok {
			take(v)
		}
	}
	for _, c := range r.Project.Configurations {
		if c.Values[f.Index].State == project.Known {
			take(c.Values[f.Index].Value)
		}
	}
	if low.State != project.Known {
		return r.levelsSeen(f)
	}
	if low.Number == high.Number {
		return r.level(f, low)
	}
	return b.Say("range", "low", r.level(f, low), "high", r.level(f, high))
}

// marks tell the kinds of a matrix cell apart without colour.
var marks = map[string]string{"held": "=", "studied": "•", "follows": "↳", "nuisance": "~", "odd": "!", "unknown": "?", "varied": "≠"}

// matrix is configurations × factors, each value with the kind of thing it is
// in the comparison.
func (r *Report) matrix() Matrix {
	p := r.Project
	var m Matrix
	usual := make([]string, len(p.Factors))
	for _, role := range []project.Role{project.Studied, project.Follows, project.Held, project.Nuisance} {
		for _, f := range p.Factors {
			if f.Role == role {
				m.Factors = append(m.Factors, f.Index)
			}
		}
	}
	for _, f := range p.Factors {
		if f.Role == project.Held {
			usual[f.Index], _ = r.heldValue(f)
		}
	}
	unknown := func(v project.Resolved) bool { return v.State != project.Known }
	for i := range p.Configurations {
		row := make([]MatrixCell, 0, len(m.Factors))
		for _, fi := range m.Factors {
			f := p.Factors[fi]
			text, _ := r.inSessions(i, fi)
			cell := MatrixCell{Text: text, Kind: f.Role.String()}
			switch {
			case f.Role != project.Nuisance && slices.ContainsFunc(r.Space.ValuesOf(i, fi), unknown):
				cell.Kind = "unknown"
			case f.Role == project.Held && cell.Text != usual[fi]:
				cell.Kind = "odd"
			}
			cell.Mark = marks[cell.Kind]
			row = append(row, cell)
		}
		m.Rows = append(m.Rows, row)
	}
	return m
}

// repeatsSentence says how often things were repeated.
func (r *Report) repeatsSentence() string {
	b := words.For(r.Language)
	least, most, cells := 0, 0, 0
	for _, row := range r.Cells {
		for _, c := range row {
			if c.N == 0 || r.Project.Workloads[c.Workload].Derived != nil {
				continue
			}
			if cells == 0 || c.N < least {
				least = c.N
			}
			most = max(most, c.N)
			cells++
		}
	}
	switch {
	case cells == 0:
		return b.Say("method.repeats.none")
	case least == most:
		return b.Count("method.repeats.same", least, "cells", strconv.Itoa(cells))
	}
	return b.Say("method.repeats.range", "least", strconv.Itoa(least), "most", strconv.Itoa(most), "cells", strconv.Itoa(cells))
}

// cautions joins the usual ones with the project's own.
func (r *Report) cautions() []string {
	b := words.For(r.Language)
	var out []string
	for i := 1; ; i++ {
		key := fmt.Sprintf("caution.usual.%d", i)
		if !words.For(words.Default).Has(key) {
			break
		}
		out = append(out, b.Say(key))
	}
	return append(out, r.Project.Cautions...)
}

// formulas lists how figures are computed, with sources, and whether this
// report has one made that way.
func (r *Report) formulas() []Formula {
	b := words.For(r.Language)
	methods := map[string]bool{}
	note := func(f Figure) {
		if f.State != Absent {
			methods[f.Method] = true
		}
	}
	lower, interval, median, single, derived, converted := false, false, false, false, false, false
	for _, w := range r.Project.Workloads {
		lower = lower || w.Turned
		interval = interval || w.Scale == project.IntervalScale
		median = median || w.Centre == project.Median
		derived = derived || w.Derived != nil
		converted = converted || w.Reading != nil
	}
	for _, row := range r.Cells {
		for _, c := range row {
			note(c.Relative)
			single = single || c.N == 1
		}
	}
	fieller, logRatio := false, false
	for m := range methods {
		low := strings.ToLower(m)
		fieller = fieller || strings.Contains(low, "fieller")
		logRatio = logRatio || strings.Contains(low, "log")
	}
	sessions := len(r.Project.Sessions) > 1
	step := slices.ContainsFunc(r.Project.Workloads, func(w *project.Workload) bool { return w.Resolution > 0 })
	response := false
	for _, w := range r.Workloads {
		response = response || len(w.Responses) > 0
	}
	weighted := false
	for _, c := range r.Composites {
		weighted = weighted || c.Weighted
	}
	separate := slices.ContainsFunc(r.Composites, func(c Composite) bool { return !r.work.shareRuns(c.Workloads) })
	list := []struct {
		key  string
		used bool
	}{
		{"mean", true}, {"median", median}, {"spread", true}, {"conversion", converted}, {"derived", derived},
		{"relative", true}, {"inverted", lower}, {"fieller", fieller}, {"log-ratio", logRatio}, {"borrowed", single},
		{"session", sessions}, {"step", step}, {"difference", interval}, {"composite", len(r.Composites) > 0}, {"weights", weighted}, {"runs", len(r.Method.SharedRuns) > 0}, {"bootstrap", separate},
		{"pairs", len(r.Questions) > 0}, {"dependence", len(r.Questions) > 0}, {"holm", len(r.Questions) > 0},
		{"model", r.Effects != nil}, {"amdahl", response}, {"elasticity", response},
	}
	out := make([]Formula, 0, len(list))
	for _, l := range list {
		out = append(out, Formula{
			Name: b.Say("formula." + l.key + ".name"), Text: b.Say("formula." + l.key + ".text"),
			Source: b.Say("formula." + l.key + ".source"), Used: l.used,
		})
	}
	return out
}

// fillStructure says what the tested configurations can tell apart.
func (r *Report) fillStructure() {
	b, m := words.For(r.Language), &r.Method
	s := r.Space.Structure(design.StructureOptions{})
	say := func(key string, gaps ...string) {
		m.Structure = append(m.Structure, Sentence{Text: b.Say(key, gaps...)})
	}
	if len(s.Terms) == 0 {
		say("method.structure.none")
		return
	}
	aliased := map[int]bool{}
	for _, a := range s.Aliases {
		aliased[a.Term] = true
		for _, w := range a.With {
			if w.Term >= 0 {
				aliased[w.Term] = true
			}
		}
		m.Aliases = append(m.Aliases, Pair{r.termText(b, s.Terms[a.Term]), r.aliasText(b, s, a)})
	}
	var clear []string
	for i, t := range s.Terms {
		if !aliased[i] {
			clear = append(clear, r.termText(b, t))
		}
	}
	if len(s.Aliases) == 0 {
		say("method.structure.full")
		return
	}
	if len(clear) > 0 {
		m.Structure = append(m.Structure, Sentence{Text: b.Count("method.structure.estimable", len(clear), "terms", joinWords(b, clear))})
	}
	// The sentences themselves stand in Aliases.
	say("method.structure.aliased")
	say("method.structure.pairs")
	if slices.ContainsFunc(s.Terms, func(t design.Term) bool { return len(t.Factors) > 1 }) {
		say("method.structure.interaction", "times", times)
	}
}

// termText names an effect in the report's language, by the labels of its
// factors: "Bus", "Bus × Cache", "the session".
func (r *Report) termText(b *words.Book, t design.Term) string {
	names := make([]string, len(t.Factors))
	for i, f := range t.Factors {
		if names[i] = b.Say("method.alias.session"); f != design.Session {
			names[i] = r.Project.Factors[f].Label
		}
	}
	return strings.Join(names, " "+times+" ")
}

// aliasText says in a sentence what an effect cannot be told from, or that it
// does not vary.
func (r *Report) aliasText(b *words.Book, s design.Structure, a design.Alias) string {
	var with []string
	for _, w := range a.With {
		if w.Term != design.Mean {
			with = append(with, r.termText(b, s.Terms[w.Term]))
		}
	}
	key := "method.alias.whole"
	switch {
	case len(with) == 0:
		return b.Say("method.alias.constant", "term", r.termText(b, s.Terms[a.Term]))
	case !a.Whole:
		key = "method.alias.part"
	}
	return b.Count(key, len(with), "term", r.termText(b, s.Terms[a.Term]), "others", joinWords(b, with))
}
