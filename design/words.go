package design

import (
	"fmt"
	"strconv"
	"strings"

	"benchwright/project"
)

// nbsp joins a number to its unit.
const nbsp = "\u00a0"

// listOf joins names as a sentence does: "a", "a and b", "a, b and c".
func listOf(names []string) string {
	switch n := len(names); n {
	case 0:
		return "nothing"
	case 1:
		return names[0]
	default:
		return strings.Join(names[:n-1], ", ") + " and " + names[n-1]
	}
}

// quoted quotes each name, and past seven says how many more there are.
func quoted(names []string) string {
	const most = 7
	shown := make([]string, 0, most+1)
	for i, name := range names {
		if i == most-1 && len(names) > most {
			shown = append(shown, fmt.Sprintf("%d more", len(names)-i))
			break
		}
		shown = append(shown, strconv.Quote(name))
	}
	return listOf(shown)
}

// countOf is "one factor", "2 factors".
func countOf(n int, thing string) string {
	if n == 1 {
		return "one " + thing
	}
	return strconv.Itoa(n) + " " + thing + "s"
}

// singular gives the ending of a verb when n is one, and nothing otherwise.
func singular(n int, ending string) string {
	if n == 1 {
		return ending
	}
	return ""
}

// number writes a number without an exponent where that is readable, with the
// minus sign of print.
func number(x float64) string {
	text := strconv.FormatFloat(x, 'g', 6, 64)
	if strings.Contains(text, "e") {
		if abs := max(x, -x); abs >= 1e-4 && abs < 1e9 {
			text = strconv.FormatFloat(x, 'f', -1, 64)
		}
	}
	return strings.Replace(text, "-", "−", 1)
}

// withUnit writes a number and its unit.
func withUnit(x float64, unit project.Unit) string {
	if unit.Symbol == "" || unit.Symbol == "1" || unit.Symbol == "count" {
		return number(x)
	}
	return number(x) + nbsp + unit.Symbol
}

// share writes a share as a percentage: 0.034 is "3.4 %".
func share(x float64) string {
	text := strconv.FormatFloat(100*x, 'g', 2, 64)
	if max(x, -x) >= 0.995 {
		text = strconv.FormatFloat(100*x, 'f', 0, 64)
	}
	return strings.Replace(text, "-", "−", 1) + nbsp + "%"
}

// valueText writes a factor's value as people read it.
func (s *Space) valueText(f int, v project.Value) string {
	switch v.State {
	case project.Unset:
		return "not recorded"
	case project.Unknown:
		return "unknown"
	}
	if v.Numeric {
		text := strings.Replace(v.Text, "-", "−", 1)
		if text == "" {
			text = number(v.Number)
		}
		if symbol := s.p.Factors[f].Unit.Symbol; symbol != "" && symbol != "1" && symbol != "count" {
			text += nbsp + symbol
		}
		return text
	}
	return v.Text
}

func (s *Space) toleranceText(f int) string {
	factor := s.p.Factors[f]
	if factor.Tolerance.Absolute > 0 {
		return withUnit(factor.Tolerance.Absolute, factor.Unit)
	}
	return share(factor.Tolerance.Relative)
}

func (s *Space) factorIDs(list []int) []string {
	ids := make([]string, len(list))
	for i, f := range list {
		ids[i] = s.p.Factors[f].ID
	}
	return ids
}

func (s *Space) configurationIDs(list []int) []string {
	ids := make([]string, len(list))
	for i, c := range list {
		ids[i] = s.p.Configurations[c].ID
	}
	return ids
}
