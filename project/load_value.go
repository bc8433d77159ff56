package project

import (
	"fmt"
	"math"
	"strings"

	"benchwright/schema"
)

// value reads a factor's value and holds it against the declared levels.
func (l *loader) value(f *Factor, at node) (Value, bool) {
	v, ok := l.plainValue(f, at)
	if !ok {
		return v, false
	}
	if v.State == Known && len(f.Levels) > 0 && f.Level(v) == nil {
		l.unknownLevel(f, at)
		return Value{}, false
	}
	if v.Numeric && f.Level(v) != nil {
		v.Text = numberText(v.Number) // as the level is written
	}
	return v, true
}

func (l *loader) unknownLevel(f *Factor, at node) {
	texts := f.levelTexts()
	remedy := listed(texts, "levels")
	if f.Unit.Symbol != "" && f.Numeric {
		remedy += " (" + f.Unit.Symbol + ")"
	}
	if !f.Numeric {
		remedy = didYouMean(at.text(), texts, "levels")
		for _, level := range f.Levels {
			if level.Label == at.text() {
				remedy = fmt.Sprintf("%q is a label: write %q", at.text(), level.Value.Text)
			}
		}
	}
	l.report("unknown-level", schema.Error, at, fmt.Sprintf("the factor %q has no level %q", f.ID, at.text()), remedy,
		schema.Related{Place: f.Place, Message: fmt.Sprintf("the levels of %q are declared here", f.ID)}).Factors = []string{f.ID}
}

// plainValue reads a factor's value without regard to levels: what a machine
// displays need not be a level.
func (l *loader) plainValue(f *Factor, at node) (Value, bool) {
	if !at.isScalar() {
		return Value{}, false
	}
	v := Value{State: Known, Text: at.text(), Place: at.place()}
	if v.Text == "unknown" {
		v.State, v.Text = Unknown, ""
		return v, true
	}
	if v.Text == "" {
		l.report("missing-value", schema.Error, at, fmt.Sprintf("the factor %q has an empty value", f.ID), `write "unknown" when nobody wrote it down`)
		return Value{}, false
	}
	if !f.Numeric {
		return v, true
	}
	number, ok := l.point(at, f.Unit, quoted(f.ID))
	if !ok {
		return Value{}, false
	}
	v.Numeric, v.Number, v.Text = true, number, convertedText(v.Text, number, f.Unit, l.p.units)
	return v, true
}

// convertedText writes a value that was given in another unit: with the digits
// that it was written with, where the conversion leaves a long tail (80.4 °F is
// 26.9 °C). A short one is exact, and stays (1 in is 25.4 mm).
func convertedText(written string, number float64, unit Unit, units *Units) string {
	exact := numberText(number)
	_, given, err := units.ParseQuantity(written)
	if err != nil || given.Symbol == "" || strings.ContainsAny(exact, "eE") {
		return exact
	}
	mantissa := written[:len(written)-len(strings.TrimLeft(written, "+-−0123456789."))]
	_, tail, _ := strings.Cut(mantissa, ".")
	count := func(text string) (n int) {
		for _, r := range strings.TrimLeft(strings.TrimLeft(text, "+-−"), "0.") {
			if r >= '0' && r <= '9' {
				n++
			}
		}
		return n
	}
	last, ok := given.ConvertDifference(math.Pow10(-len(tail)), unit)
	if !ok || !(last > 0) || count(exact) <= count(mantissa)+2 {
		return exact
	}
	decimals := max(0, int(math.Round(-math.Log10(last))))
	shift := math.Pow10(decimals)
	return numberText(math.Round(number*shift) / shift)
}

// quietValue is plainValue for a node that has been reported on before.
func (l *loader) quietValue(f *Factor, at node) (Value, bool) {
	n := len(l.findings)
	v, ok := l.plainValue(f, at)
	l.findings = l.findings[:n]
	return v, ok
}

// point is number for a value on a scale, where kelvins may mean a temperature
// or a difference of two: it refuses to guess.
func (l *loader) point(at node, unit Unit, what string) (float64, bool) {
	if _, given, err := l.p.units.ParseQuantity(at.text()); err == nil && given.Symbol != "" && ambiguousTemperature(given, unit) {
		l.report("wrong-dimension", schema.Error, at, fmt.Sprintf("%q could be a temperature or a difference of temperatures, and %s is in %s", at.text(), what, unit.Symbol),
			"write the number in "+unit.Symbol+": "+temperatureAs(given, unit))
		return 0, false
	}
	return l.number(at, unit, what)
}

// temperatureAs says how a temperature, or a rise of one, is written in another
// unit, where only the person who read it knows which of the two it is.
func temperatureAs(given, wanted Unit) string {
	if wanted.Offset != 0 {
		v, _ := given.Convert(300, wanted)
		return fmt.Sprintf("a temperature of 300 %s is %v %s; a difference belongs where the unit is K", given.Symbol, roundTo(v, 5), wanted.Symbol)
	}
	v, _ := given.ConvertDifference(9, wanted)
	return fmt.Sprintf("a difference of 9 %s is %v %s; of a temperature, take off the one that it is counted from", given.Symbol, roundTo(v, 12), wanted.Symbol)
}

// ambiguousTemperature: between °C and K lie 273.15 when a temperature is
// meant, and nothing when a rise is.
func ambiguousTemperature(a, b Unit) bool {
	return a.Dimension == b.Dimension && (a.Offset == 0) != (b.Offset == 0)
}
