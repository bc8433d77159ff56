package project

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"unicode/utf8"

	"gopkg.in/yaml.v3"

	"benchwright/schema"
)

// The columns that result files may have besides workloads and the columns
// that a conversion names.
var (
	longColumns = []string{"configuration", "workload", "value", "session", "repeat", "order", "unit", "outcome", "reason", "note", "time", "source"}
	wideColumns = []string{"configuration", "session", "repeat", "order", "outcome", "reason", "note", "time", "source"}
)

func (l *loader) loadWorkloads() {
	doc := documentNode(l.folder.Workloads)
	for key, n := range doc.get("workloads").pairs() {
		w := &Workload{ID: key.text(), Index: len(l.p.Workloads), Label: n.get("label").text(), Metric: n.get("metric").text(),
			Unit: l.unit(n.get("unit")), HigherBetter: n.get("better").text() == "higher",
			Version: n.get("version").text(), Command: n.get("command").text(), How: n.get("how").text(), Source: n.get("source").text(),
			FrameTimes: n.get("frame-times").text(), FrameColumn: n.get("frame-column").text(), Deterministic: n.get("deterministic").yes(), Centre: l.p.Centre, Place: key.place()}
		if w.Label == "" {
			w.Label = w.ID
		}
		if n.get("scale").text() == "interval" {
			w.Scale = IntervalScale
		}
		l.zeroByConvention(w, n)
		switch n.get("centre").text() {
		case "mean":
			w.Centre = Mean
		case "median":
			w.Centre = Median
		}
		what := quoted(w.ID)
		w.Resolution, _ = l.difference(n.get("resolution"), w.Unit, "the resolution of "+what)
		w.Target, w.HasTarget = l.number(n.get("target"), w.Unit, "the target of "+what)
		w.Least, w.HasLeast = l.number(n.get("least"), w.Unit, "the least possible "+what)
		w.Most, w.HasMost = l.number(n.get("most"), w.Unit, "the most possible "+what)
		if w.HasLeast && w.HasMost && w.Least > w.Most {
			l.report("not-allowed-value", schema.Error, n.get("least"), "the least possible value is larger than the most", "exchange the two")
			w.HasLeast, w.HasMost = false, false
		}
		w.Minutes, _ = l.number(n.get("minutes"), l.minutes(), "minutes")
		if at := n.get("instrument"); at.here() && !l.shelf {
			w.Instrument = l.instrument(at)
		}
		if slices.Contains(longColumns, w.ID) {
			l.report("reserved-id", schema.Error, key, fmt.Sprintf("%q is the name of a column of result files, so a workload cannot have it", w.ID), "give the workload another id")
		}
		l.patterns(w, n.get("patterns"))
		l.p.Workloads = append(l.p.Workloads, w)
		l.p.workloadAt[w.ID] = w.Index
		l.workNodes = append(l.workNodes, n)
	}
	for i, w := range l.p.Workloads {
		l.workloadFormulas(w, l.workNodes[i])
	}
	l.derivedWorkloadCycles()
	for i, w := range l.p.Workloads {
		l.workloadComposite(w, l.workNodes[i])
	}
}

// zeroByConvention reports a workload on a ratio scale in a unit whose zero was
// agreed upon: 40 °C is not twice as warm as 20 °C. What counts is the unit of
// the result, so a reading in °C that is converted into K keeps its ratios, and
// a temperature derived from others does not when it is in °C.
//
// The workload goes on as if the scale were interval: where a command works on
// in spite of the error, it then takes no ratio.
//
// S. S. Stevens, On the Theory of Scales of Measurement, Science 103, 1946.
func (l *loader) zeroByConvention(w *Workload, n node) {
	if w.Scale != RatioScale || w.Unit.Offset == 0 {
		return
	}
	remedy := "write scale: interval; or read the rise over the room, in K"
	if n.get("scale").here() {
		remedy = "write scale: interval instead of ratio; or read the rise over the room, in K"
	}
	l.report("zero-by-convention", schema.Error, n.get("unit"),
		fmt.Sprintf("the zero of %s is a convention, so ratios of %q would mean nothing", w.Unit.name(), w.ID), remedy).Workloads = []string{w.ID}
	w.Scale = IntervalScale
}

// workloadFormulas reads what needs the other workloads to be known.
func (l *loader) workloadFormulas(w *Workload, n node) {
	what := fmt.Sprintf("the workload %q", w.ID)
	w.RawUnit = w.Unit
	if reading := n.get("reading"); reading.isMap() {
		if unit := reading.get("unit"); unit.here() {
			w.RawUnit = l.unit(unit)
		}
		if reading.get("times").here() || reading.get("over").here() {
			w.Reading = l.readingFormula(w, reading, what)
		} else if _, ok := w.RawUnit.Convert(1, w.Unit); !ok {
			l.report("wrong-dimension", schema.Error, reading.get("unit"), fmt.Sprintf("readings in %s cannot be converted into %s, the unit of %s", w.RawUnit.name(), w.Unit.name(), what),
				"say how one is computed from the other: times and over")
		}
	}
	if derived := n.get("derived"); derived.isMap() {
		w.Derived = l.formula(derived, w.Unit, what, workloadTerms)
		if w.Derived != nil && !slices.ContainsFunc(w.Derived.terms(), func(t Term) bool { return t.Kind == WorkloadTerm }) {
			l.report("derived-from-nothing", schema.Error, derived, what+" is derived, but from no other workload", "name the workloads that it is computed from")
			w.Derived = nil
		}
		if w.Derived == nil {
			// Still no workload to be read: an empty formula derives nothing.
			w.Derived = &Formula{Place: derived.place()}
		}
		if key, reading := n.find("reading"); reading.here() {
			l.report("derived-and-read", schema.Error, key, what+" is derived, so it has no reading to convert", "take out reading or derived")
			w.Reading = nil
		}
	}
	if at := n.get("frames-of"); at.here() {
		of, ok := l.workload(at)
		switch {
		case !ok:
		case w.FrameTimes == "":
			l.report("frames-without-statistic", schema.Error, at, what+" shares files of frame times, but does not say what to take from them", "write frame-times: "+frameStatistics[0])
		case of.FrameTimes == "" && l.workNodes[of.Index].get("frame-times").text() == "", l.workNodes[of.Index].get("frames-of").here():
			l.report("not-frame-times", schema.Error, at, fmt.Sprintf("the workload %q has no files of frame times of its own", of.ID), "name the workload whose readings are files of frame times")
		default:
			w.FramesOf = of.ID
		}
	}
	if w.FrameTimes != "" {
		l.frameUnit(w, n)
	} else if at := n.get("frame-column"); at.here() {
		l.report("frames-without-statistic", schema.Error, at, what+" names a column of files of frame times, but does not say what to take from it", "write frame-times: "+frameStatistics[0])
	}
}

// readingFormula reads the conversion of a raw reading. The raw reading itself
// is a term like any other; left out, it multiplies.
func (l *loader) readingFormula(w *Workload, n node, what string) *Formula {
	f := l.rawFormula(n)
	if f == nil {
		return nil
	}
	if !slices.ContainsFunc(f.terms(), func(t Term) bool { return t.Kind == ReadingTerm }) {
		f.Times = append([]Term{{Name: "reading", Kind: ReadingTerm, Text: "reading", Place: f.Place}}, f.Times...)
	}
	for _, list := range [][]Term{f.Times, f.Over} {
		for i := range list {
			if list[i].Kind == ReadingTerm {
				list[i].Unit = w.RawUnit
			}
		}
	}
	if slices.ContainsFunc(f.terms(), func(t Term) bool { return t.Kind == ColumnTerm }) {
		return f
	}
	if !l.dimensions(f, n, w.Unit, what, nil) {
		return nil
	}
	return f
}

// rawFormula reads the terms of a conversion without checking dimensions.
func (l *loader) rawFormula(n node) *Formula {
	f := &Formula{Place: n.place()}
	for at := range n.get("times").items() {
		t, ok := l.term(at, readingTerms)
		if !ok {
			return nil
		}
		f.Times = append(f.Times, t)
	}
	for at := range n.get("over").items() {
		t, ok := l.term(at, readingTerms)
		if !ok {
			return nil
		}
		f.Over = append(f.Over, t)
	}
	return f
}

// workloadComposite settles whether a workload counts in the default composite.
func (l *loader) workloadComposite(w *Workload, n node) {
	w.Composite = w.Scale == RatioScale && w.Derived == nil
	at := n.get("composite")
	if !at.here() {
		return
	}
	if at.yes() && w.Scale == IntervalScale {
		l.report("interval-in-composite", schema.Error, at, fmt.Sprintf("the workload %q is on an interval scale, where ratios mean nothing", w.ID), "take composite: true out")
		return
	}
	w.Composite = at.yes()
}

func (l *loader) patterns(w *Workload, n node) {
	for at := range n.items() {
		match := at.get("match")
		if !match.isScalar() {
			continue
		}
		expression, err := regexp.Compile(match.y.Value)
		switch {
		case err != nil:
			l.report("bad-pattern", schema.Error, match, "not a regular expression: "+regexpFault(err), "check brackets and backslashes; single quotes keep backslashes as they are")
			continue
		case l.strangeGroup(match, expression):
			continue
		case expression.SubexpIndex(PatternValue) < 0:
			l.report("bad-pattern", schema.Error, match, "the pattern does not say which part is the value", `name it: (?P<value>[0-9.]+)`)
			continue
		}
		w.Patterns = append(w.Patterns, Pattern{Name: at.get("name").text(), Match: match.y.Value, Place: match.place()})
	}
}

// strangeGroup reports a group whose name says nothing to the tool: left alone,
// what it finds would be lost without a word.
func (l *loader) strangeGroup(match node, expression *regexp.Regexp) bool {
	known := []string{PatternValue, PatternUnit}
	for _, name := range expression.SubexpNames() {
		if name == "" || slices.Contains(known, name) {
			continue
		}
		remedy := "name the number (?P<value>…) and its unit (?P<unit>…); brackets that only group need no name: (?:…)"
		if near := schema.Nearest(strings.ToLower(name), known); near != "" {
			remedy = fmt.Sprintf("did you mean %q? Brackets that only group need no name: (?:…)", near)
		}
		place, width := placeWithin(match, "<"+name+">")
		l.reportAt("bad-pattern", schema.Error, place, width, fmt.Sprintf("the pattern has a group named %q, which means nothing here", name), remedy)
		return true
	}
	return false
}

// placeWithin is where a part of a text stands. Where the file writes the text in
// another way than it is read (escapes, several lines), it is the text's own
// place.
func placeWithin(n node, part string) (schema.Place, int) {
	place, width := n.place(), utf8.RuneCountInString(n.y.Value)
	before, _, found := strings.Cut(n.y.Value, part)
	quote, escape := 0, ""
	switch n.y.Style {
	case 0:
	case yaml.SingleQuotedStyle:
		quote, escape = 1, "'"
	case yaml.DoubleQuotedStyle:
		quote, escape = 1, `\`
	default:
		found = false
	}
	if !found || strings.Contains(before, "\n") || escape != "" && strings.Contains(before, escape) {
		return place, width
	}
	place.Column += quote + utf8.RuneCountInString(before)
	return place, utf8.RuneCountInString(part)
}

// regexpFault is the library's message without its own prefix.
func regexpFault(err error) string {
	const prefix = "error parsing regexp: "
	text := err.Error()
	if len(text) > len(prefix) && text[:len(prefix)] == prefix {
		return text[len(prefix):]
	}
	return text
}

func (l *loader) derivedWorkloadCycles() {
	all := l.p.Workloads
	for {
		ring := cycle(len(all), l.p.partsOf)
		if ring == nil {
			return
		}
		var names []string
		for _, i := range ring {
			names = append(names, all[i].ID)
		}
		l.reportAt("cyclic-derived", schema.Error, all[ring[0]].Derived.Place, 0, "the workload is computed from itself: "+round(names),
			"read one of them instead of deriving it").Workloads = names
		for _, i := range ring {
			all[i].Derived = &Formula{Place: all[i].Derived.Place}
		}
	}
}

// partsOf gives the workloads that a derived one is computed from.
func (p *Project) partsOf(workload int) []int {
	var of []int
	if f := p.Workloads[workload].Derived; f != nil {
		for _, t := range f.terms() {
			if t.Kind == WorkloadTerm && !slices.Contains(of, t.Index) {
				of = append(of, t.Index)
			}
		}
	}
	return of
}
