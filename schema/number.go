package schema

import (
	"math"
	"strconv"
	"strings"
	"unicode"
)

// ParseNumber reads a decimal number as a person writes it in a table: an
// optional sign (+, - or the minus sign U+2212), digits with at most one
// decimal mark (d.Decimal; the point when zero), an optional exponent. Spaces
// around it do not count. Whatever else could be meant is refused with a remedy
// that says what to write instead: the other decimal mark, thousands
// separators, a unit in the cell, infinities, "nan", "n/a", hexadecimal.
// The value is finite whenever ok is true.
func ParseNumber(text string, d Dialect) (v float64, remedy string, ok bool) {
	mark := d.Decimal
	if mark == 0 {
		mark = '.'
	}
	t := trimSpace(text)
	if plain, good := decimal(t, mark); good {
		v, err := strconv.ParseFloat(plain, 64)
		if err != nil || math.IsInf(v, 0) {
			return 0, writeSmaller, false
		}
		return v, "", true
	}
	return 0, numberRemedy(t, mark, true), false
}

// NumberFault says of a text that ParseNumber refuses what is wrong with it.
func NumberFault(text string, d Dialect) string {
	if TooLarge(text, d) {
		return strconv.Quote(text) + " is too large a number"
	}
	return strconv.Quote(text) + " is not a number"
}

// TooLarge tells what is written as a number, but is beyond all that can be
// computed with.
func TooLarge(text string, d Dialect) bool {
	mark := d.Decimal
	if mark == 0 {
		mark = '.'
	}
	_, good := decimal(trimSpace(text), mark)
	_, _, ok := ParseNumber(text, d)
	return good && !ok
}

const writeSmaller = "write a number of at most 1.7e308"

// NumberRemedy is the remedy of ParseNumber for a text that is no number and
// stands elsewhere than in a result file, whose decimal mark report.yaml
// declares: there, a declaration would change nothing.
func NumberRemedy(text string, d Dialect) string {
	mark := d.Decimal
	if mark == 0 {
		mark = '.'
	}
	if TooLarge(text, d) {
		return writeSmaller
	}
	return numberRemedy(trimSpace(text), mark, false)
}

// NoNumber says whether a text is a word for "there is no number".
func NoNumber(text string) bool { return noNumber[strings.ToLower(trimSpace(text))] }

// trimSpace removes spaces around a cell, the no-break kinds too.
func trimSpace(t string) string {
	if len(t) > 0 && t[0] > ' ' && t[0] < 0x7f && t[len(t)-1] > ' ' && t[len(t)-1] < 0x7f {
		return t
	}
	return strings.TrimFunc(t, unicode.IsSpace)
}

// decimal checks t against the grammar of ParseNumber and gives it as
// strconv reads it.
func decimal(t string, mark byte) (string, bool) {
	sign := ""
	switch {
	case strings.HasPrefix(t, "\u2212"):
		sign, t = "-", t[len("\u2212"):]
	case strings.HasPrefix(t, "+"), strings.HasPrefix(t, "-"):
		sign, t = t[:1], t[1:]
	}
	i, digits, at := 0, 0, -1
	for ; i < len(t); i++ {
		if c := t[i]; c >= '0' && c <= '9' {
			digits++
		} else if c == mark && at < 0 {
			at = i
		} else {
			break
		}
	}
	if digits == 0 {
		return "", false
	}
	if i < len(t) {
		if t[i] != 'e' && t[i] != 'E' {
			return "", false
		}
		j := i + 1
		if j < len(t) && (t[j] == '+' || t[j] == '-') {
			j++
		}
		if j == len(t) {
			return "", false
		}
		for ; j < len(t); j++ {
			if t[j] < '0' || t[j] > '9' {
				return "", false
			}
		}
	}
	if at >= 0 && mark != '.' {
		t = t[:at] + "." + t[at+1:]
	}
	if sign == "-" {
		t = "-" + t
	}
	return t, true
}

// Words that stand for "there is no number" in other people's tables.
var noNumber = map[string]bool{
	"-": true, "--": true, "\u2013": true, "\u2014": true, "n/a": true, "na": true, "n.a.": true, "nan": true, "none": true,
	"null": true, "nil": true, "x": true, "?": true, "tbd": true, "fail": true, "failed": true, "error": true,
	"inf": true, "+inf": true, "-inf": true, "infinity": true, "#n/a": true, "#value!": true, "#div/0!": true,
}

const emptyCell = `leave the cell empty and say what happened in the outcome column (did-not-start, hung, crashed, unstable)`

// numberRemedy says what to write instead of t, which is not a number. declare
// says whether another decimal mark could be declared as well.
func numberRemedy(t string, mark byte, declare bool) string {
	low := strings.ToLower(t)
	switch {
	case t == "":
		return "write a number; " + emptyCell
	case noNumber[low]:
		return emptyCell
	case strings.HasPrefix(low, "0x"):
		if n, err := strconv.ParseUint(low[2:], 16, 64); err == nil {
			return `write it in decimal: "` + strconv.FormatUint(n, 10) + `"`
		}
	}
	other := byte(',')
	if mark == ',' {
		other = '.'
	}
	if _, good := decimal(t, other); good {
		swapped := strings.Replace(t, string(other), string(mark), 1)
		if !declare {
			return `write "` + swapped + `"`
		}
		return `write "` + swapped + `", or declare the decimal mark of the result files in report.yaml: csv: {separator: "` +
			separatorFor(other) + `", decimal: "` + string(other) + `"}`
	}
	if plain, good := withoutThousands(t, mark, other); good {
		return `write "` + plain + `", without thousands separators`
	}
	if plain, good := withoutThousands(t, other, mark); good && strings.Contains(plain, string(other)) {
		return `write "` + strings.Replace(plain, string(other), string(mark), 1) + `", with "` + string(mark) + `" before decimals and without thousands separators`
	}
	number, rest := t, ""
	for i, r := range t {
		if !unicode.IsDigit(r) && r != rune(mark) && r != '+' && r != '-' && r != '\u2212' {
			number, rest = t[:i], trimSpace(t[i:])
			break
		}
	}
	if _, good := decimal(number, mark); good && rest != "" {
		if rest == "%" {
			return `write "` + number + `" and give the unit "%" in the unit column or the workload`
		}
		if len(rest) <= 12 && !strings.ContainsAny(rest, "0123456789,;.") {
			return `write "` + number + `" here and the unit "` + rest + `" in the unit column`
		}
	}
	return `write digits with "` + string(mark) + `" as decimal mark, such as "14` + string(mark) + `7"`
}

// separatorFor names the separator that usually goes with a decimal mark.
func separatorFor(mark byte) string {
	if mark == ',' {
		return ";"
	}
	return ","
}

// withoutThousands removes separators that stand before groups of three digits.
func withoutThousands(t string, mark, other byte) (string, bool) {
	whole, fraction, _ := strings.Cut(t, string(mark))
	for _, sep := range []string{string(other), " ", "\u00a0", "\u202f", "\u2009", "'", "\u2019", "_"} {
		groups := strings.Split(whole, sep)
		if len(groups) < 2 {
			continue
		}
		for _, g := range groups[1:] {
			if len(g) != 3 {
				return "", false
			}
		}
		plain := strings.Join(groups, "")
		if fraction != "" {
			plain += string(mark) + fraction
		}
		_, good := decimal(plain, mark)
		return plain, good
	}
	return "", false
}
