package project

import (
	"math"
	"slices"
	"strconv"
	"strings"
)

// noise is the relative difference that rounding of decimal fractions and unit
// conversions can leave between two equal numbers.
const noise = 1e-9

// Same reports whether two values of a factor count as the same level. Unset
// and unknown values are the same as nothing, not even as one another: nobody
// can say that they were equal. Numbers may differ by the factor's tolerance.
func Same(f *Factor, a, b Value) bool {
	if a.State != Known || b.State != Known {
		return false
	}
	if a.Numeric && b.Numeric {
		return f.Tolerance.Allows(a.Number, b.Number)
	}
	return a.Numeric == b.Numeric && a.Text == b.Text
}

// Allows reports whether two numbers lie within the tolerance of one another:
// |a−b| ≤ max(Absolute, Relative × max(|a|, |b|)), give or take the rounding of
// the last digits.
func (t Tolerance) Allows(a, b float64) bool {
	larger := max(math.Abs(a), math.Abs(b))
	return math.Abs(a-b) <= max(t.Absolute, t.Relative*larger)+noise*larger
}

// equalLevel compares without tolerance: what a file writes must be the level
// that is declared.
func equalLevel(a, b Value) bool {
	if a.State != Known || b.State != Known || a.Numeric != b.Numeric {
		return false
	}
	if a.Numeric {
		return Tolerance{}.Allows(a.Number, b.Number)
	}
	return a.Text == b.Text
}

// Level finds the declared level of a value, or nil.
func (f *Factor) Level(v Value) *Level {
	for i := range f.Levels {
		if equalLevel(f.Levels[i].Value, v) {
			return &f.Levels[i]
		}
	}
	return nil
}

// FormatLevel gives a value as people read it: the label of its level, or the
// number with the factor's unit ("15 W" with a no-break space, a minus sign for
// a hyphen). An unknown value is "not known", an unset one the empty string.
func FormatLevel(f *Factor, v Value) string {
	switch v.State {
	case Unset:
		return ""
	case Unknown:
		return "not known"
	}
	if level := f.Level(v); level != nil && level.Label != "" {
		return level.Label
	}
	return withUnit(f, v)
}

// withUnit is the value without regard to labels.
func withUnit(f *Factor, v Value) string {
	if !v.Numeric {
		return v.Text
	}
	text := strings.Replace(v.Text, "-", "\u2212", 1)
	if f.Unit.Symbol == "" || f.Unit.Symbol == "1" || f.Unit.Symbol == "count" {
		return text
	}
	return text + "\u00a0" + f.Unit.Symbol
}

// numberText writes a number with as many digits as it needs, at most twelve:
// beyond that lies what conversions leave behind.
func numberText(v float64) string {
	v = roundTo(v, 12) + 0 // no negative zero
	if a := math.Abs(v); a != 0 && (a >= 1e15 || a < 1e-6) {
		return strconv.FormatFloat(v, 'g', -1, 64)
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

// levelTexts lists the levels as they are written in files.
func (f *Factor) levelTexts() []string {
	var texts []string
	for _, l := range f.Levels {
		texts = append(texts, l.Value.Text)
	}
	return texts
}

// follows reports whether f follows factor i, directly or through another
// follower.
func (p *Project) follows(f *Factor, i int) bool {
	seen := make([]bool, len(p.Factors))
	var walk func(f *Factor) bool
	walk = func(f *Factor) bool {
		if seen[f.Index] {
			return false
		}
		seen[f.Index] = true
		return slices.ContainsFunc(f.Of, func(of int) bool { return of == i || walk(p.Factors[of]) })
	}
	return walk(f)
}
