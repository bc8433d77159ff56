package project

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"benchwright/schema"
)

// terms says what the names of a formula may be.
type terms uint8

const (
	factorTerms   terms = iota // factors: a derived factor
	workloadTerms              // workloads and factors: a derived workload
	readingTerms               // "reading", columns and factors: a conversion
)

// formula reads `times` and `over`. target is the unit of the result and what
// names it. It gives nil when the formula cannot be used. (Conversions of raw
// readings have a reader of their own: rawFormula.)
func (l *loader) formula(n node, target Unit, what string, allowed terms) *Formula {
	if !n.isMap() {
		return nil
	}
	f := &Formula{Place: n.place()}
	good := true
	read := func(list node) []Term {
		var all []Term
		for at := range list.items() {
			t, ok := l.term(at, allowed)
			good = good && ok
			all = append(all, t)
		}
		return all
	}
	f.Times, f.Over = read(n.get("times")), read(n.get("over"))
	if len(f.Times)+len(f.Over) == 0 || !good {
		return nil
	}
	if !l.dimensions(f, n, target, what, nil) {
		return nil
	}
	return f
}

// terms gives every term, those above the line first.
func (f *Formula) terms() []Term { return slices.Concat(f.Times, f.Over) }

func (l *loader) term(at node, allowed terms) (Term, bool) {
	t := Term{Text: at.text(), Place: at.place()}
	if !at.isScalar() {
		return t, false
	}
	p := l.p
	v, unit, err := p.units.ParseQuantity(t.Text)
	if err == nil && unit.Symbol == "" { // ids may begin with a digit, and "35" is a number
		t.Number, t.Unit = v, unit
		return t, true
	}
	if i, ok := p.factorAt[t.Text]; ok {
		t.Name, t.Kind, t.Index, t.Unit = t.Text, FactorTerm, i, p.Factors[i].Unit
		if !p.Factors[i].Numeric {
			l.report("not-a-number", schema.Error, at, fmt.Sprintf("the factor %q is a category: nothing can be computed from it", t.Text), "give it a unit, or kind: number")
			return t, false
		}
		return t, true
	}
	if i, ok := p.workloadAt[t.Text]; ok && allowed == workloadTerms {
		t.Name, t.Kind, t.Index, t.Unit = t.Text, WorkloadTerm, i, p.Workloads[i].Unit
		return t, true
	}
	if t.Text == "reading" && allowed == readingTerms {
		t.Name, t.Kind = t.Text, ReadingTerm
		return t, true
	}
	switch err := err.(type) {
	case nil:
		t.Number, t.Unit = v, unit
		return t, true
	case unknownUnit:
		if strings.ContainsAny(t.Text[:1], "0123456789+-.") {
			l.unknownUnit(at.place(), at.width(), err.symbol)
			return t, false
		}
	}
	if allowed == readingTerms {
		t.Name, t.Kind = t.Text, ColumnTerm
		return t, true
	}
	one, plural, candidates := "factor", "factors", p.factorIDs()
	if allowed == workloadTerms {
		one, plural, candidates = "workload or factor", "workloads and factors", append(p.workloadIDs(), candidates...)
	}
	if l.unread(plural) {
		return t, false
	}
	l.report("unknown-id", schema.Error, at, fmt.Sprintf("there is no %s %q", one, t.Text), didYouMean(t.Text, candidates, plural))
	return t, false
}

// dimensions checks that a formula gives what its target is measured in.
// columns are the units of named columns.
func (l *loader) dimensions(f *Formula, at node, target Unit, what string, columns map[string]Unit) bool {
	result := Unit{Factor: 1}
	bare, offset := false, ""
	take := func(list []Term, power int) {
		for _, t := range list {
			u := t.Unit
			if t.Kind == ColumnTerm {
				u = columns[t.Name]
			}
			if u.Dimension == (Dimension{}) && u.factor() == 1 {
				bare = true
			}
			if u.Offset != 0 {
				offset = u.Symbol
			}
			result = result.multiply(u, power)
		}
	}
	take(f.Times, 1)
	take(f.Over, -1)
	alone := len(f.Times) == 1 && len(f.Over) == 0
	if target.Offset != 0 {
		offset = target.Symbol
	}
	if offset != "" && !(alone && f.Times[0].Unit.Offset != 0 && target.Offset != 0) {
		l.report("wrong-dimension", schema.Error, at, fmt.Sprintf("%s has no natural zero, so %s cannot be computed as a product", offset, what),
			"use differences of temperature, in K")
		return false
	}
	if result.Dimension.sameBase(target.Dimension) && countsAgree(result.Dimension.Count, target.Dimension.Count, bare) {
		return true
	}
	goal := target.name()
	gives := result.Dimension.String()
	if symbol := f.symbol(); symbol != "" {
		gives = symbol
	}
	l.report("wrong-dimension", schema.Error, at, fmt.Sprintf("the formula gives %s, but %s is in %s", gives, what, goal),
		"check which terms are multiplied and which divide, and give constants their units, such as \"35 ticks/s\"")
	return false
}

// symbol writes the unit of a short formula as its terms have it: "W/s".
func (f *Formula) symbol() string {
	var over, under []string
	for _, t := range f.Times {
		if t.Unit.Symbol != "" {
			over = append(over, t.Unit.Symbol)
		}
	}
	for _, t := range f.Over {
		if t.Unit.Symbol != "" {
			under = append(under, t.Unit.Symbol)
		}
	}
	if len(over) == 0 || len(over)+len(under) > 2 {
		return ""
	}
	return strings.Join(append([]string{strings.Join(over, "·")}, under...), "/")
}

// countsAgree compares what is counted. A count is a name more than a
// dimension, and people leave it out ("2" for two transfers a cycle), so it
// disagrees only when both sides name something and neither name contains the
// other; a bare number may stand for a count of anything.
func countsAgree(a, b string, bare bool) bool {
	if a == b || bare {
		return true
	}
	within := func(some, all string) bool {
		names := strings.Split(all, "·")
		for name := range strings.SplitSeq(some, "·") {
			if name != "" && !slices.Contains(names, name) {
				return false
			}
		}
		return true
	}
	return within(a, b) || within(b, a)
}

// evaluate computes a formula; number gives the value of a term in its own
// unit (columns carry theirs in units), and is not asked for constants. It
// reports false when a value is missing or the result is not a finite number.
func (f *Formula) evaluate(target Unit, number func(t *Term) (v float64, u Unit, ok bool)) (float64, bool) {
	value, from, to := 1.0, 1.0, target.factor()
	for i := range f.Times {
		v, u, ok := f.Times[i].Number, f.Times[i].Unit, true
		if f.Times[i].Kind != ConstantTerm {
			v, u, ok = number(&f.Times[i])
		}
		if !ok {
			return 0, false
		}
		if u.Offset != 0 { // alone, as dimensions made sure
			return u.Convert(v, target)
		}
		value *= v
		from *= u.factor()
	}
	for i := range f.Over {
		v, u, ok := f.Over[i].Number, f.Over[i].Unit, true
		if f.Over[i].Kind != ConstantTerm {
			v, u, ok = number(&f.Over[i])
		}
		if !ok {
			return 0, false
		}
		value /= v
		to *= u.factor()
	}
	value = scale(value, from, to)
	return value, !math.IsInf(value, 0) && !math.IsNaN(value)
}

// cycle finds a way from start back to start along next, or nil.
func cycle(n int, next func(int) []int) []int {
	const (
		unseen = iota
		open
		done
	)
	state := make([]uint8, n)
	var path, found []int
	var walk func(i int) bool
	walk = func(i int) bool {
		state[i] = open
		path = append(path, i)
		for _, j := range next(i) {
			switch state[j] {
			case open:
				found = slices.Clone(path[slices.Index(path, j):])
				return true
			case unseen:
				if walk(j) {
					return true
				}
			}
		}
		path = path[:len(path)-1]
		state[i] = done
		return false
	}
	for i := range n {
		if state[i] == unseen && walk(i) {
			return found
		}
	}
	return nil
}

// round names the members of a cycle, from the first back to the first.
func round(names []string) string {
	return strings.Join(append(slices.Clone(names), names[0]), " → ")
}

func (l *loader) derivedFactorCycles() {
	factors := l.p.Factors
	next := func(i int) []int {
		var of []int
		if f := factors[i].Derived; f != nil {
			for _, t := range f.terms() {
				if t.Kind == FactorTerm {
					of = append(of, t.Index)
				}
			}
		}
		return of
	}
	for {
		ring := cycle(len(factors), next)
		if ring == nil {
			return
		}
		var names []string
		for _, i := range ring {
			names = append(names, factors[i].ID)
		}
		first := factors[ring[0]]
		l.reportAt("cyclic-derived", schema.Error, first.Derived.Place, len(first.ID), "the factor is computed from itself: "+round(names),
			"state one of them instead of deriving it").Factors = names
		for _, i := range ring {
			factors[i].Derived = nil
		}
	}
}

// followCycles reports followers that follow one another.
func (l *loader) followCycles() {
	factors := l.p.Factors
	for {
		ring := cycle(len(factors), func(i int) []int { return factors[i].Of })
		if ring == nil {
			return
		}
		var names []string
		for _, i := range ring {
			names = append(names, factors[i].ID)
		}
		l.reportAt("follows-itself", schema.Error, factors[ring[0]].Place, len(names[0]), "the factors follow one another: "+round(names),
			"name the factor that makes the others change").Factors = names
		for _, i := range ring {
			factors[i].Of = slices.DeleteFunc(factors[i].Of, func(of int) bool { return slices.Contains(ring, of) })
		}
	}
}
