package project

import (
	"fmt"
	"slices"

	"benchwright/schema"
)

// loadUnits takes in the units that bench.yaml declares, which may be declared
// in terms of one another in any order.
func (l *loader) loadUnits() {
	declared := documentNode(l.folder.Bench).get("units")
	if !declared.isMap() {
		return
	}
	units := standard().copy()
	l.p.units = units
	type declaration struct {
		key, value node
	}
	var waiting []declaration
	for key, value := range declared.pairs() {
		name := tidySymbol(key.text())
		if _, taken := standard().Parse(name); taken || name == "" {
			l.report("duplicate-id", schema.Error, key, fmt.Sprintf("%q is the name of a standard unit", key.text()), "give the unit another name, or use the standard one")
			continue
		}
		waiting = append(waiting, declaration{key, value})
	}
	// Each round takes in the units whose parts are known; a round without
	// progress leaves those that name nothing, or one another.
	for progress := true; progress && len(waiting) > 0; {
		progress = false
		waiting = slices.DeleteFunc(waiting, func(d declaration) bool {
			unit, ok := l.declaredUnit(d.key.text(), d.value)
			if ok {
				units.add(tidySymbol(d.key.text()), unit)
				progress = true
			}
			return ok
		})
	}
	for _, d := range waiting {
		// What is measured in the unit can still be compared with itself.
		units.add(tidySymbol(d.key.text()), Unit{Symbol: d.key.text(), Dimension: Dimension{Count: plainCount(d.key.text())}, Factor: 1})
		of := d.value.get("of")
		if slices.ContainsFunc(waiting, func(e declaration) bool { return e.key.text() == of.text() }) {
			l.report("cyclic-unit", schema.Error, of, fmt.Sprintf("the unit %q is declared by way of itself", d.key.text()), "declare one of the units by a dimension or a standard unit")
			continue
		}
		l.unknownUnit(of.place(), of.width(), of.text())
	}
}

// declaredUnit reads one declaration; false when its `of` is not known (yet).
func (l *loader) declaredUnit(name string, d node) (Unit, bool) {
	factor := 1.0
	if at := d.get("factor"); at.isScalar() {
		if v, ok := l.number(at, Unit{Factor: 1}, "the factor of a unit"); ok && v > 0 {
			factor = v
		}
	}
	of := d.get("of")
	if !of.here() {
		dimension := d.get("dimension").text()
		if dimension == "" {
			dimension = name
		}
		return Unit{Symbol: name, Dimension: Dimension{Count: plainCount(dimension)}, Factor: factor}, true
	}
	base, ok := l.p.units.Parse(of.text())
	if !ok {
		return Unit{}, false
	}
	// The zero stays where it was: 215 tenths of a °C are 21.5 °C.
	return Unit{Symbol: name, Dimension: base.Dimension, Factor: factor * base.factor(), Offset: base.Offset}, true
}

// plainCount takes out of a name what the spelling of products uses.
func plainCount(name string) string {
	out := []rune{}
	for _, r := range name {
		if r == '·' || r == '^' {
			r = '-'
		}
		out = append(out, r)
	}
	return string(out)
}
