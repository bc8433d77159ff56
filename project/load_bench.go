package project

import (
	"fmt"
	"strings"

	"benchwright/schema"
)

// loadFactors reads the factors in three passes, because levels name followers
// and formulas name factors that may stand further down.
func (l *loader) loadFactors() {
	bench := documentNode(l.folder.Bench)
	var nodes []node
	for key, value := range bench.get("factors").pairs() {
		f := &Factor{ID: key.text(), Index: len(l.p.Factors), Label: value.get("label").text(), Place: key.place()}
		if f.Label == "" {
			f.Label = f.ID
		}
		switch role := value.get("role"); role.text() {
		case "studied":
			f.Role = Studied
		case "follows":
			f.Role = Follows
		case "nuisance":
			f.Role = Nuisance
		}
		f.Unit = l.unit(value.get("unit"))
		f.Numeric = l.isNumeric(value)
		f.How, f.Note = value.get("how").text(), value.get("note").text()
		f.SwapMinutes, _ = l.number(value.get("swap-minutes"), l.minutes(), "swap-minutes")
		l.p.Factors = append(l.p.Factors, f)
		l.p.factorAt[f.ID] = f.Index
		nodes = append(nodes, value)
	}
	for i, f := range l.p.Factors {
		l.factorLevels(f, nodes[i])
		l.factorTolerance(&f.Tolerance, f, nodes[i].get("tolerance"))
		l.factorLimit(f, nodes[i].get("limit"))
		for at := range nodes[i].get("of").items() {
			if of, ok := l.factor(at); ok {
				if of == f {
					l.report("follows-itself", schema.Error, at, fmt.Sprintf("the factor %q cannot follow itself", f.ID), "name the factor that makes it change")
					continue
				}
				f.Of = append(f.Of, of.Index)
			}
		}
		l.factorStaysWith(f, nodes[i])
		// A follower without `of` is reported by schema.
		if key, of := nodes[i].find("of"); f.Role != Follows && of.here() {
			l.report("not-a-follower", schema.Error, key, fmt.Sprintf("the factor %q names what it follows, but its role is %s", f.ID, f.Role),
				"write role: follows, or take out of")
		}
	}
	l.followCycles()
	for i, f := range l.p.Factors {
		l.factorBrings(f, nodes[i])
	}
	for key, value := range bench.get("derived").pairs() {
		f, ok := l.factor(key)
		if !ok {
			continue
		}
		f.Derived = l.formula(value, f.Unit, fmt.Sprintf("the factor %q", f.ID), factorTerms)
		if f.Derived == nil {
			continue
		}
		f.Derived.Place = key.place()
		if !f.Numeric {
			l.report("not-a-number", schema.Error, key, fmt.Sprintf("the factor %q is a category: it cannot be computed", f.ID), "give it a unit, or kind: number")
			f.Derived = nil
			continue
		}
		l.factorTolerance(&f.Derived.Tolerance, f, value.get("tolerance"))
	}
	l.derivedFactorCycles()
}

// factorStaysWith reads whose parts keep a factor's value. Only what a person sets
// can be left as it was, and only on a part that a person swaps.
func (l *loader) factorStaysWith(f *Factor, n node) {
	key, at := n.find("stays-with")
	if !at.here() {
		return
	}
	with, ok := l.factor(at)
	switch {
	case !ok:
	case f.Role != Studied && f.Role != Held:
		l.report("stays-with", schema.Error, key, fmt.Sprintf("the factor %q stays with nothing: its role is %s, and nobody sets it", f.ID, f.Role), "take out stays-with")
	case with == f:
		l.report("stays-with", schema.Error, at, fmt.Sprintf("the factor %q cannot stay with itself", f.ID), "name the factor whose parts keep its value")
	case with.Role != Studied && with.Role != Held:
		l.report("stays-with", schema.Error, at, fmt.Sprintf("the role of %q is %s: nobody swaps its parts", with.ID, with.Role), "name the factor whose parts are swapped")
	default:
		f.StaysWith = with
	}
}

func (l *loader) minutes() Unit { u, _ := l.p.units.Parse("min"); return u }

// isNumeric settles whether a factor's values are numbers: as `kind` says;
// otherwise when there is a unit, or levels that are all numbers.
func (l *loader) isNumeric(n node) bool {
	switch n.get("kind").text() {
	case "number":
		return true
	case "category":
		return false
	}
	if n.get("unit").here() {
		return true
	}
	numbers := 0
	for at := range n.get("levels").items() {
		if at.isMap() {
			at = at.get("value")
		}
		if _, unit, err := l.p.units.ParseQuantity(at.text()); err != nil || unit.Symbol != "" {
			return false
		}
		numbers++
	}
	return numbers > 0
}

func (l *loader) factorLevels(f *Factor, n node) {
	for at := range n.get("levels").items() {
		level := Level{}
		scalar := at
		if at.isMap() {
			scalar = at.get("value")
			level.Label, level.Note = at.get("label").text(), at.get("note").text()
			level.Cost, level.HasCost = l.number(at.get("cost"), Unit{Factor: 1}, "a cost")
		}
		v, ok := l.plainValue(f, scalar)
		if !ok {
			continue
		}
		if v.Numeric {
			v.Text = numberText(v.Number) // what a remedy tells to write has to be the level
		}
		if v.State == Unknown {
			l.report("unknown-level", schema.Error, scalar, `"unknown" cannot be a level: it says that nobody wrote the value down`, "name the level otherwise")
			continue
		}
		if first := f.Level(v); first != nil {
			l.report("duplicate-id", schema.Error, scalar, fmt.Sprintf("the level %q stands here a second time", scalar.text()), "take one of them out",
				schema.Related{Place: first.Value.Place, Message: "first written here"})
			continue
		}
		level.Value = v
		if level.Label == "" {
			level.Label = withUnit(f, v)
		}
		f.Levels = append(f.Levels, level)
	}
}

func (l *loader) factorTolerance(t *Tolerance, f *Factor, at node) {
	if !at.isScalar() {
		return
	}
	percent, _ := l.p.units.Parse("%")
	v, unit, err := l.p.units.ParseQuantity(at.text())
	switch {
	case !f.Numeric:
		l.report("not-a-number", schema.Error, at, fmt.Sprintf("the factor %q is a category: it has no tolerance", f.ID), "take the tolerance out, or give the factor a unit")
		return
	// Percent of a value, unless the factor itself is in percent: then they are points.
	case err == nil && unit == percent && f.Unit.Dimension != (Dimension{}):
		t.Relative = v / 100
	case err == nil && unit == percent && f.Unit.Symbol == "":
		t.Relative = v / 100
	default:
		t.Absolute, _ = l.difference(at, f.Unit, "the tolerance of "+quoted(f.ID))
	}
	if t.Relative < 0 || t.Absolute < 0 { // reported by schema
		*t = Tolerance{}
	}
}

func (l *loader) factorLimit(f *Factor, n node) {
	if !n.isMap() {
		return
	}
	what := "a limit of " + quoted(f.ID)
	f.Limit.Place = n.place()
	f.Limit.Source = n.get("source").text()
	f.Limit.Least, f.Limit.HasLeast = l.number(n.get("least"), f.Unit, what)
	f.Limit.Most, f.Limit.HasMost = l.number(n.get("most"), f.Unit, what)
	switch {
	case !f.Numeric:
		l.report("not-a-number", schema.Error, n, fmt.Sprintf("the factor %q is a category: it has no limit", f.ID), "take the limit out, or give the factor a unit")
		f.Limit = Limit{}
	case f.Limit.HasLeast && f.Limit.HasMost && f.Limit.Least > f.Limit.Most:
		l.report("not-allowed-value", schema.Error, n.get("least"), "the least allowed value is larger than the most", "exchange the two")
		f.Limit = Limit{}
	}
}

// factorBrings reads what the levels of a factor bring along.
func (l *loader) factorBrings(f *Factor, n node) {
	for at := range n.get("levels").items() {
		brings := at.get("brings")
		if !brings.isMap() {
			continue
		}
		v, _ := l.quietValue(f, at.get("value"))
		level := f.Level(v)
		if level == nil {
			continue
		}
		for key, value := range brings.pairs() {
			follower, ok := l.factor(key)
			if !ok {
				continue
			}
			if follower.Role == Follows && len(follower.Of) == 0 {
				continue // its `of` is missing or wrong, which has been reported
			}
			if follower.Role != Follows || !l.p.follows(follower, f.Index) {
				l.report("not-a-follower", schema.Error, key, fmt.Sprintf("a level of %q brings %q, which does not follow it", f.ID, follower.ID),
					fmt.Sprintf("write at %s: role: follows, of: %s", follower.ID, f.ID),
					schema.Related{Place: follower.Place, Message: fmt.Sprintf("%q is declared here", follower.ID)})
				continue
			}
			brought, ok := l.value(follower, value)
			if !ok {
				continue
			}
			if level.Brings == nil {
				level.Brings = map[int]Value{}
			}
			level.Brings[follower.Index] = brought
			l.p.brought[follower.Index] = append(l.p.brought[follower.Index], bringer{f.Index, levelIndex(f, level), brought})
		}
	}
}

func levelIndex(f *Factor, level *Level) int {
	for i := range f.Levels {
		if &f.Levels[i] == level {
			return i
		}
	}
	return -1
}

// loadBench reads what bench.yaml says beside the factors.
func (l *loader) loadBench() {
	doc := documentNode(l.folder.Bench)
	bench := doc.get("bench")
	p := l.p
	p.BenchLabel, p.BenchDescription, p.BenchPlace = bench.get("label").text(), bench.get("description").text(), bench.get("place").text()
	p.BenchPictures = l.pictures(bench.get("photographs"))
	for at := range doc.get("cautions").items() {
		if text := at.text(); text != "" {
			p.Cautions = append(p.Cautions, text)
		}
	}
	for key, value := range doc.get("common").pairs() {
		f, ok := l.factor(key)
		if !ok {
			continue
		}
		p.Places["bench.common."+f.ID] = value.place()
		if v, ok := l.value(f, value); ok {
			p.Common[f.Index] = v
		}
	}
	for key, value := range doc.get("instruments").pairs() {
		i := &Instrument{ID: key.text(), Label: value.get("label").text(), Accuracy: value.get("accuracy").text(),
			Calibrated: l.date(value.get("calibrated")), Note: value.get("note").text(), Measures: l.unit(value.get("measures")), Place: key.place()}
		if i.Label == "" {
			i.Label = i.ID
		}
		i.Resolution, _ = l.difference(value.get("resolution"), i.Measures, "the resolution of "+quoted(i.ID))
		p.instrumentAt[i.ID] = len(p.Instruments)
		p.Instruments = append(p.Instruments, i)
	}
}

// pictures reads a list of photographs; their files are looked for later.
func (l *loader) pictures(n node) []Picture {
	var list []Picture
	for at := range n.items() {
		file := at.get("file")
		if !file.isScalar() {
			continue
		}
		picture := Picture{File: strings.TrimPrefix(file.text(), "./"), Text: at.get("text").text(), Place: file.place()}
		if at.get("text").isScalar() && picture.Text == "" {
			l.report("missing-text", schema.Error, at, fmt.Sprintf("the picture %q has no text for those who cannot see it", file.text()), "write text: what the picture shows")
		}
		if l.hasFile(file, picture.File) {
			list = append(list, picture)
		}
	}
	return list
}

func quoted(id string) string { return fmt.Sprintf("%q", id) }
