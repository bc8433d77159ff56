package project

import (
	"fmt"
	"strings"
	"unicode"

	"benchwright/schema"
)

// ParseQuantity reads a number with or without a unit, as a person writes it:
// "15 W", "21.5 °C", "3200 MT/s", "−40", "2 %". The unit is a standard one; the
// zero unit means that none was written. The error says what is wrong, in
// words for the person who wrote it.
func ParseQuantity(text string) (float64, Unit, error) {
	return standard().ParseQuantity(text)
}

// ParseQuantity is the function of that name for standard and declared units.
func (u *Units) ParseQuantity(text string) (float64, Unit, error) {
	number, symbol := splitQuantity(text)
	v, remedy, ok := schema.ParseNumber(number, schema.Dialect{Decimal: '.'})
	if !ok {
		return 0, Unit{}, notANumber{text, remedy}
	}
	if symbol == "" {
		return v, Unit{}, nil
	}
	unit, ok := u.Parse(symbol)
	if !ok {
		return v, Unit{}, unknownUnit{symbol, u.Nearest(symbol)}
	}
	return v, unit, nil
}

// splitQuantity cuts a text where its number ends.
func splitQuantity(text string) (number, unit string) {
	t := strings.TrimSpace(text)
	i := 0
	for i < len(t) {
		c := t[i]
		if c >= '0' && c <= '9' || c == '.' || c == ',' || c == '_' || c == '\'' {
			i++
			continue
		}
		if i == 0 && (c == '+' || c == '-') {
			i++
			continue
		}
		if i == 0 && strings.HasPrefix(t, "\u2212") {
			i += len("\u2212")
			continue
		}
		if (c == 'e' || c == 'E') && i > 0 && exponent(t[i+1:]) {
			i++
			if t[i] == '+' || t[i] == '-' {
				i++
			}
			continue
		}
		// "1 500 W": a space between digits belongs to the number, so that it
		// is refused as a thousands separator and not taken for a unit.
		if rest := strings.TrimLeft(t[i:], " \u00a0\u202f\u2009"); i > 0 && len(rest) < len(t)-i && threeDigits(rest) {
			i = len(t) - len(rest) + 3
			continue
		}
		break
	}
	if i == 0 {
		return t, ""
	}
	return t[:i], strings.TrimFunc(t[i:], unicode.IsSpace)
}

func startsWithDigit(t string) bool { return t != "" && t[0] >= '0' && t[0] <= '9' }

// threeDigits reports whether t starts with a group of three digits.
func threeDigits(t string) bool {
	for i := range 3 {
		if i >= len(t) || t[i] < '0' || t[i] > '9' {
			return false
		}
	}
	return true
}

// exponent reports whether t continues a number after its "e".
func exponent(t string) bool {
	return startsWithDigit(t) || len(t) > 1 && (t[0] == '+' || t[0] == '-') && startsWithDigit(t[1:])
}

// numberRemedy says what to write in a YAML file instead of text; remedy is
// what schema proposes for a number in a table.
func numberRemedy(text, remedy string) string {
	number, unit := splitQuantity(text)
	if unit != "" {
		unit = " " + unit
	}
	plain := strings.Replace(number, ",", ".", 1)
	switch _, _, ok := schema.ParseNumber(plain, schema.Dialect{Decimal: '.'}); {
	case ok:
		return fmt.Sprintf("write %q, with a point before the decimals", plain+unit)
	case startsWithDigit(strings.TrimLeft(number, "+-\u2212.")):
		return remedy
	}
	return `write a number, with or without its unit: 15 W; or unknown, when nobody wrote it down`
}

// notANumber is the error of a text that has no number where one is due.
type notANumber struct{ text, remedy string }

func (e notANumber) Error() string { return fmt.Sprintf("%q is not a number", e.text) }

// unknownUnit is the error of a unit name that is neither standard nor declared.
type unknownUnit struct{ symbol, nearest string }

func (e unknownUnit) Error() string { return fmt.Sprintf("there is no unit %q", e.symbol) }
