package render

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"benchwright/project"
	"benchwright/report"
)

// What the scripts compute from, so that a reader can take any configuration
// as the baseline and compare any two without a server: the readings
// themselves and the levels of every factor. It is a script and not a JSON
// file because a page opened from disk may load the one and not the other.
type scriptData struct {
	Decimal        string                `json:"decimal"`
	Confidence     float64               `json:"confidence"`
	Baseline       int                   `json:"baseline"`
	Configurations []scriptConfiguration `json:"configurations"`
	Workloads      []scriptWorkload      `json:"workloads"`
	Composites     []scriptComposite     `json:"composites"`
	Factors        []scriptFactor        `json:"factors"`
	// Cells has a row per configuration and an entry per workload: readings by
	// session as [session, value, value …], or how the run failed.
	Cells [][]any `json:"cells"`
	// Levels has a row per configuration and an index into the factor's levels
	// for each factor; −1 unset, −2 unknown, −3 to be decided by a session.
	Levels [][]int `json:"levels"`
	// Set lists [configuration, factor] where a follower was set against what
	// its part brings.
	Set [][2]int `json:"set"`
	// States lists [configuration, session, number of its state there] where a
	// configuration was not the same in all of its sessions; the first is 0 and left
	// out.
	States [][3]int `json:"states,omitempty"`
	// Together lists the pairs of configurations, the lower index first, that have
	// no reading in common but were tried in one session.
	Together [][2]int `json:"together,omitempty"`
	// Found is what was displayed or measured beside what was set.
	Found []scriptFound     `json:"found"`
	Words map[string]string `json:"words"`
}

type scriptConfiguration struct {
	ID    string `json:"id"`
	Label string `json:"label"`
	Page  string `json:"page"`
}

type scriptWorkload struct {
	Label    string  `json:"label"`
	Page     string  `json:"page"`
	Unit     string  `json:"unit"`
	Better   string  `json:"better"`
	Higher   bool    `json:"higher"`
	Turned   bool    `json:"turned"`
	Interval bool    `json:"interval"`
	Median   bool    `json:"median"`
	Step     float64 `json:"step"`
	Declared float64 `json:"declared"`
	// Runs are the workloads whose runs its readings come from.
	Runs []int `json:"runs"`
	// Derived is how it is computed from other workloads where no run gave it.
	Derived *scriptFormula `json:"derived,omitempty"`
}

// scriptFormula is a product over a product: Factor × Π unit·centre of Times ÷ Π of Over.
type scriptFormula struct {
	Factor float64 `json:"factor"`
	Times  []int   `json:"times"`
	Over   []int   `json:"over"`
}

type scriptComposite struct {
	Label     string    `json:"label"`
	Workloads []int     `json:"workloads"`
	Weights   []float64 `json:"weights"`
}

// scriptFound is what was measured, else displayed, of a factor that was set.
type scriptFound struct {
	Configuration int      `json:"configuration"`
	Factor        int      `json:"factor"`
	Text          string   `json:"text"`
	Number        *float64 `json:"number"`
	Measured      bool     `json:"measured"`
	Otherwise     bool     `json:"otherwise"` // than what was set
}

type scriptFactor struct {
	Label    string   `json:"label"`
	Role     string   `json:"role"`
	Absolute float64  `json:"absolute"`
	Relative float64  `json:"relative"`
	Parents  []int    `json:"parents"`
	Levels   []string `json:"levels"`
	Numbers  [][2]any `json:"numbers"`
	// Surroundings are what sessions alone state.
	Surroundings bool `json:"surroundings"`
	// Elsewhere lists the pairs of configurations, the lower index first, that are
	// the same in the factor wherever they are compared, though not in every session.
	Elsewhere [][2]int `json:"elsewhere,omitempty"`
}

// scriptWords are the labels that scripts write.
var scriptWords = [...]string{
	"compare.within", "compare.through", "page.baseline", "page.not-measured", "page.alike", "page.one-reading", "page.verdict.better", "page.verdict.worse", "page.verdict.none", "page.verdict.open",
	"page.kind.under-study", "page.kind.follower", "page.kind.independent", "page.kind.independent.also", "page.kind.nuisance", "page.kind.unknown", "table.baseline", "table.differs", "table.unheld", "table.relative.caption",
	"table.workload", "table.effect", "table.verdict", "table.drawn", "table.configuration",
	"compare.from", "compare.to", "compare.swap", "compare.differences", "compare.worth", "compare.choose-two", "compare.same", "compare.clean", "compare.same-as-set", "compare.clean-as-set", "compare.belied", "compare.belied-step",
	"compare.one.independent", "compare.one.nuisance", "compare.one.unknown", "compare.apart", "compare.apart-on", "compare.apart-here",
	"compare.not-clean", "compare.corrected", "compare.taken-back", "compare.caption", "compare.link", "compare.copied", "compare.missing", "script.recomputed", "script.own-baseline", "script.own-baseline.rest", "script.no-baseline", "script.published",
	"figure.range", "figure.baseline",
	"page.count.readings", "outside.level", "outside.first", "outside.last", "outside.between", "yours.standing", "yours.not-a-number", "yours.not-possible", "yours.taken-as", "yours.far-off",
	"yours.no-reading", "yours.overall", "yours.overall.none", "yours.needed", "yours.formula", "yours.control", "yours.too-long", "yours.mend", "yours.nothing", "yours.saved",
}

// figures writes what the scripts compute from: assets/figures.data.js.
func (s *site) figures() ([]File, error) {
	r := s.r
	d := scriptData{Decimal: s.book.Decimal, Confidence: r.Confidence, Baseline: r.Baseline, Words: map[string]string{}, Set: [][2]int{}, Found: []scriptFound{}}
	for i := range r.Configurations {
		d.Configurations = append(d.Configurations, scriptConfiguration{r.Configurations[i].ID, s.name(i), r.Configurations[i].Page})
	}
	for w := range r.Workloads {
		wl := &r.Workloads[w]
		x := scriptWorkload{Label: s.workloadLabel(w), Page: wl.Page, Unit: wl.Unit.Symbol, Better: s.better(wl), Higher: wl.HigherBetter, Turned: wl.Turned,
			Interval: s.interval(w), Median: wl.Centre == project.Median}
		x.Step, x.Declared = r.Step(w)
		x.Runs = r.RunsOf(w)
		x.Derived = s.formula(wl.Workload)
		d.Workloads = append(d.Workloads, x)
	}
	for i := range r.Composites {
		c := &r.Composites[i]
		d.Composites = append(d.Composites, scriptComposite{c.Label, append([]int{}, c.Workloads...), append([]float64{}, c.Weights...)})
	}
	for i := range r.Cells {
		row := make([]any, len(r.Cells[i]))
		for w := range r.Cells[i] {
			row[w] = s.scriptCell(&r.Cells[i][w])
		}
		d.Cells = append(d.Cells, row)
	}
	s.levels(&d)
	s.sittings(&d)
	d.Words["figure.range.head"] = s.book.Say("table.interval", "confidence", percent(r.Confidence, s.book.Decimal))
	for _, key := range scriptWords {
		for _, k := range []string{key, key + ".one", key + ".other"} {
			if text := s.book.Say(k); !strings.HasPrefix(text, "⟪") {
				d.Words[k] = text
			}
		}
	}
	text, err := json.Marshal(d)
	if err != nil {
		return nil, fmt.Errorf("writing the data of the scripts: %w", err)
	}
	return []File{{Path: "assets/figures.data.js", Data: slices.Concat([]byte("window.benchwrightData="), text, []byte(";\n"))}}, nil
}

// scriptCell gives a cell's ok readings by session, ascending in each, or the
// word for how the run failed, or nothing.
func (s *site) scriptCell(c *report.Cell) any {
	type seen struct {
		session int
		value   float64
	}
	var all []seen
	for k := range c.Readings {
		if rd := &c.Readings[k]; rd.HasValue && rd.Outcome == project.OK {
			all = append(all, seen{rd.Session, rd.Value})
		}
	}
	if len(all) == 0 {
		if c.Outcome != project.OK {
			return s.book.Say("page.outcome." + c.Outcome.String())
		}
		return 0
	}
	slices.SortFunc(all, func(a, b seen) int {
		if a.session != b.session {
			return a.session - b.session
		}
		switch {
		case a.value < b.value:
			return -1
		case a.value > b.value:
			return 1
		}
		return 0
	})
	var out [][]float64
	for i, o := range all {
		if i == 0 || all[i-1].session != o.session {
			out = append(out, []float64{float64(o.session)})
		}
		out[len(out)-1] = append(out[len(out)-1], o.value)
	}
	return out
}

// formula gives a derived workload's parts as indices, with all constants and
// units in one factor.
func (s *site) formula(w *project.Workload) *scriptFormula {
	if w.Derived == nil || w.Scale != project.RatioScale {
		return nil
	}
	f := &scriptFormula{Factor: 1 / coherent(w.Unit), Times: []int{}, Over: []int{}}
	for side, terms := range [][]project.Term{w.Derived.Times, w.Derived.Over} {
		for _, t := range terms {
			v := t.Number * coherent(t.Unit)
			if t.Name != "" {
				i := slices.IndexFunc(s.r.Project.Workloads, func(x *project.Workload) bool { return x.ID == t.Name })
				if i < 0 {
					return nil
				}
				v = coherent(s.r.Project.Workloads[i].Unit)
				if side == 0 {
					f.Times = append(f.Times, i)
				} else {
					f.Over = append(f.Over, i)
				}
			}
			if side == 0 {
				f.Factor *= v
			} else {
				f.Factor /= v
			}
		}
	}
	return f
}

// sittings says what the readings alone do not tell of the sessions.
func (s *site) sittings(d *scriptData) {
	p, sittings := s.r.Project, s.r.Space.Sittings()
	for c := range p.Configurations {
		for session := range p.Sessions {
			if state := sittings.State(c, int32(session)); state > 0 {
				d.States = append(d.States, [3]int{c, session, state})
			}
		}
		for other := c + 1; other < len(p.Configurations); other++ {
			if sittings.Together(c, other) {
				d.Together = append(d.Together, [2]int{c, other})
			}
		}
	}
}

// levels lists the levels of every factor and which one each configuration has.
func (s *site) levels(d *scriptData) {
	p, space := s.r.Project, s.r.Space
	d.Levels = make([][]int, len(p.Configurations))
	for i := range d.Levels {
		d.Levels[i] = make([]int, len(p.Factors))
	}
	stated := make([]bool, len(p.Factors)) // by some session
	for _, se := range p.Sessions {
		for f := range se.Values {
			stated[f] = true
		}
	}
	read := make([]bool, len(p.Configurations))
	for i := range p.Readings {
		read[p.Readings[i].Configuration] = true
	}
	for f, factor := range p.Factors {
		x := scriptFactor{Label: s.factorLabel(f), Role: factor.Role.String(), Absolute: factor.Tolerance.Absolute, Relative: factor.Tolerance.Relative,
			Parents: s.parents(f), Levels: []string{}, Numbers: [][2]any{}, Surroundings: space.Surroundings(f)}
		for a := range p.Configurations {
			for b := a + 1; space.Varies(f) && b < len(p.Configurations); b++ {
				if space.Elsewhere(f, a, b) {
					x.Elsewhere = append(x.Elsewhere, [2]int{a, b})
				}
			}
		}
		index := map[string]int{}
		for c := range p.Configurations {
			values := space.ValuesOf(c, f)
			known, unknown := 0, false
			var texts []string
			low, high := math.Inf(1), math.Inf(-1)
			for _, v := range values {
				switch v.State {
				case project.Unknown:
					unknown = true
				case project.Known:
					known++
					texts = append(texts, s.r.LevelText(factor, v.Value))
					if v.Numeric {
						low, high = min(low, v.Number), max(high, v.Number)
					}
				}
			}
			switch {
			case unknown || (known > 0 && known < len(values)):
				d.Levels[c][f] = -2
				continue
			case known == 0 && stated[f] && !read[c]:
				d.Levels[c][f] = -3
				continue
			case known == 0:
				d.Levels[c][f] = -1
				continue
			}
			text := strings.Join(texts, ", ")
			slices.Sort(texts)
			key := strings.Join(texts, "\x00") + "\x00" + strconv.FormatFloat(low, 'g', -1, 64)
			at, ok := index[key]
			if !ok {
				at = len(x.Levels)
				index[key] = at
				x.Levels = append(x.Levels, text)
				if low <= high {
					x.Numbers = append(x.Numbers, [2]any{low, high})
				} else {
					x.Numbers = append(x.Numbers, [2]any{nil, nil})
				}
			}
			d.Levels[c][f] = at
			if v, measured, otherwise, ok := space.Found(c, f); ok {
				x := scriptFound{Configuration: c, Factor: f, Text: s.r.LevelText(factor, v), Measured: measured, Otherwise: otherwise}
				if v.Numeric {
					x.Number = &v.Number
				}
				d.Found = append(d.Found, x)
			}
			if s.setAgainstPart(c, f, x.Parents) {
				d.Set = append(d.Set, [2]int{c, f})
			}
		}
		d.Factors = append(d.Factors, x)
	}
}

// parents lists the factors that a factor follows or is computed from.
func (s *site) parents(f int) []int {
	factor := s.r.Project.Factors[f]
	out := []int{}
	if factor.Role == project.Follows {
		out = append(out, factor.Of...)
	}
	if factor.Derived != nil {
		for _, t := range slices.Concat(factor.Derived.Times, factor.Derived.Over) {
			i := slices.IndexFunc(s.r.Project.Factors, func(x *project.Factor) bool { return t.Name != "" && x.ID == t.Name })
			if i >= 0 && i != f && !slices.Contains(out, i) {
				out = append(out, i)
			}
		}
	}
	return out
}

// setAgainstPart says that a follower has another value in a configuration
// than the part brings that it follows. A follower of several factors is never
// that: what the one brings, the others may change.
func (s *site) setAgainstPart(c, f int, parents []int) bool {
	if len(parents) != 1 {
		return false
	}
	p := s.r.Project
	for _, parent := range parents {
		for _, level := range p.Factors[parent].Levels {
			brought, ok := level.Brings[f]
			if !ok || brought.State != project.Known || !s.has(c, parent, level.Value) {
				continue
			}
			return !s.has(c, f, brought)
		}
	}
	return false
}

// has says that a configuration had this level of a factor in every session.
func (s *site) has(c, f int, level project.Value) bool {
	for _, v := range s.r.Space.ValuesOf(c, f) {
		if v.State != project.Known || !project.Same(s.r.Project.Factors[f], v.Value, level) {
			return false
		}
	}
	return true
}

// coherent is a unit's size in the coherent one.
func coherent(u project.Unit) float64 {
	if u.Factor == 0 {
		return 1
	}
	return u.Factor
}
