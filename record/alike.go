package record

import (
	"fmt"
	"slices"
	"strings"

	"benchwright/schema"
)

const (
	// fewestFolded is how often the same has to be said to be said once.
	fewestFolded = 3
	// mostAlike is how many findings of one rule a source may have before the
	// rest is only counted.
	mostAlike = 10
	// mostPlaces of what is said once are listed.
	mostPlaces = 6
)

// folded sorts findings about readings. What is said of several of them in the
// same words is said once, with the places; of many other findings of one rule,
// the first ones are given and how many more there are.
func folded(found []schema.Finding) []schema.Finding {
	type words struct {
		severity              schema.Severity
		rule, message, remedy string
		source                string
	}
	type kind struct{ rule, source string }
	groups := map[words][]schema.Finding{}
	var order []words
	for _, f := range schema.Sort(found) {
		k := words{f.Severity, f.Rule, f.Message, f.Remedy, sourceOf(f.Place)}
		if groups[k] == nil {
			order = append(order, k)
		}
		groups[k] = append(groups[k], f)
	}
	var out []schema.Finding
	said, more := map[kind]int{}, map[kind]int{}
	for _, k := range order {
		group := groups[k]
		if len(group) >= fewestFolded {
			group[0].Message += fmt.Sprintf(" (%d times, %s)", len(group), places(group))
			group[0].Related = nil
			group = group[:1]
		}
		for _, f := range group {
			of := kind{k.rule, k.source}
			if said[of]++; said[of] > mostAlike {
				more[of]++
				continue
			}
			out = append(out, f)
		}
	}
	for of, n := range more {
		message := fmt.Sprintf("there are %d more findings like these in %s", n, of.source)
		if n == 1 {
			message = "there is one more finding like these in " + of.source
		}
		out = append(out, finding(of.rule, schema.Place{File: of.source}, "set the first ones right and record again", "%s", message))
	}
	return schema.Sort(out)
}

// sourceOf is the file, or the kind of flag, that a place belongs to.
func sourceOf(at schema.Place) string {
	if strings.HasPrefix(at.File, "--value ") {
		return "the command line"
	}
	if i := strings.LastIndexByte(at.File, '!'); i > 0 && at.Line == 0 {
		return at.File[:i]
	}
	return at.File
}

// places lists where findings of one source stand.
func places(found []schema.Finding) string {
	kind, list := "lines", []string{}
	for _, f := range found {
		text := fmt.Sprint(f.Line)
		if source := sourceOf(f.Place); f.Line == 0 && source != f.File {
			kind, text = "cells", strings.TrimPrefix(f.File, source+"!")
			if value, ok := strings.CutPrefix(f.File, "--value "); ok {
				kind, text = "values", value
			}
		}
		if !slices.Contains(list, text) {
			list = append(list, text)
		}
	}
	in := map[string]string{"lines": "in line", "cells": "in cell", "values": "for value"}[kind]
	if len(list) > 1 {
		in += "s"
	}
	if n := len(list) - mostPlaces; n > 1 {
		return fmt.Sprintf("%s %s and %d more", in, strings.Join(list[:mostPlaces], ", "), n)
	}
	return in + " " + strings.Join(list, ", ")
}
