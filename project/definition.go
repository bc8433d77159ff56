package project

import (
	"slices"
	"strconv"
	"strings"
)

// DefinitionDifference is one respect in which two workloads of the same id are
// not the same test.
type DefinitionDifference struct {
	// Key is the key of workloads.yaml.
	Key string
	// A and B are what the two sides say; empty where one says nothing.
	A, B string
}

// DefinitionDifferences lists in which respects two workloads are not the same
// test, in the order of the keys: none when their readings mean the same thing.
// What belongs to a bench and not to the test (resolution, instrument, target,
// how a raw reading is converted) and what is prose (label, how) may differ.
//
// Of a reference, only what it says counts: a definition that leaves the
// version open allows any. With reference false, saying nothing is different
// from saying something, because nobody can tell that the two are the same.
func DefinitionDifferences(a, b *Workload, reference bool) []DefinitionDifference {
	pairs := []DefinitionDifference{
		{"metric", a.Metric, b.Metric},
		{"unit", a.Unit.Symbol, b.Unit.Symbol},
		{"better", better(a), better(b)},
		{"scale", a.Scale.String(), b.Scale.String()},
		{"version", a.Version, b.Version},
		{"command", a.Command, b.Command},
		{"centre", a.Centre.String(), b.Centre.String()},
		{"frame-times", a.FrameTimes, b.FrameTimes},
		{"derived", a.Derived.written(), b.Derived.written()},
	}
	return slices.DeleteFunc(pairs, func(d DefinitionDifference) bool {
		return d.A == d.B || reference && d.A == ""
	})
}

func better(w *Workload) string {
	if w.HigherBetter {
		return "higher"
	}
	return "lower"
}

// written spells a formula out, so that two can be compared: the terms of a
// product have no order.
func (f *Formula) written() string {
	if f == nil {
		return ""
	}
	side := func(terms []Term) string {
		var parts []string
		for _, t := range terms {
			if t.Name != "" {
				parts = append(parts, t.Name)
			} else {
				parts = append(parts, strings.TrimSpace(strconv.FormatFloat(t.Number, 'g', -1, 64)+" "+t.Unit.Symbol))
			}
		}
		slices.Sort(parts)
		return strings.Join(parts, " × ")
	}
	text := side(f.Times)
	if len(f.Over) > 0 {
		text += " / " + side(f.Over)
	}
	if text == "" {
		return "derived"
	}
	return text
}
