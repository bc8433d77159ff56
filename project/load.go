package project

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"benchwright/schema"
)

// Load types the documents and tables of a folder and resolves every value.
// It goes on after every fault, so that all findings come at once, in file
// order; what could not be used is left out of the project. The project is nil
// only when report.yaml, bench.yaml, workloads.yaml or every configuration is
// missing or unusable; the findings then say what else is wrong.
//
// Findings are about meaning (ids, levels, units, formulas, readings). Faults
// of form (a misspelt key, a list where a word belongs) are found by
// schema.Read and not repeated here.
func Load(folder *schema.Folder) (*Project, []schema.Finding) {
	l := newLoader(folder)
	return l.load()
}

func newLoader(folder *schema.Folder) *loader {
	return &loader{folder: folder, p: &Project{
		Language: "en-GB", Confidence: 0.95, MinimumRepeats: 3, LargestSpread: 0.05,
		Common: map[int]Value{}, Places: map[string]schema.Place{}, brought: map[int][]bringer{}, inSession: map[[2]int][]Resolved{},
		units:        standard(),
		factorAt:     map[string]int{},
		workloadAt:   map[string]int{},
		configAt:     map[string]int{},
		sessionAt:    map[string]int{},
		questionAt:   map[string]int{},
		instrumentAt: map[string]int{},
		folder:       folder,
	}}
}

func (l *loader) load() (*Project, []schema.Finding) {
	l.loadUnits()
	l.loadReport()
	l.loadFactors()
	l.loadBench()
	l.loadWorkloads()
	l.loadConfigurations()
	l.loadSessions()
	l.resolveAll()
	l.loadQuestions()
	l.loadComposites()
	l.loadChecks()
	l.loadFiles()
	l.loadReadings()
	l.deriveReadings()
	l.resolveSessions()
	l.loadCorrections()
	findings := schema.Sort(l.findings)
	if l.folder.Report == nil || l.folder.Bench == nil || l.folder.Workloads == nil || len(l.p.Configurations) == 0 {
		return nil, findings
	}
	return l.p, findings
}

// loader carries a project while it is made.
type loader struct {
	folder   *schema.Folder
	p        *Project
	findings []schema.Finding

	configs   []node // of each configuration, in the order of Project.Configurations
	bases     []int  // index of the configuration that each is based on, −1 for none
	workNodes []node // of each workload
	inParts   int    // result files that were read in parts
	shelf     bool   // the workloads are those of a shelf, which has no bench
}

// report adds a finding at a node.
func (l *loader) report(rule string, severity schema.Severity, at node, message, remedy string, related ...schema.Related) *schema.Finding {
	return l.reportAt(rule, severity, at.place(), at.width(), message, remedy, related...)
}

func (l *loader) reportAt(rule string, severity schema.Severity, at schema.Place, width int, message, remedy string, related ...schema.Related) *schema.Finding {
	l.findings = append(l.findings, schema.Finding{Rule: rule, Severity: severity, Place: at, Width: width,
		Message: message, Remedy: remedy, Related: related})
	return &l.findings[len(l.findings)-1]
}

// didYouMean proposes the nearest of the candidates, or lists them.
func didYouMean(word string, candidates []string, plural string) string {
	if near := schema.Nearest(word, candidates); near != "" {
		return fmt.Sprintf("did you mean %q?", near)
	}
	return listed(candidates, plural)
}

// listed names the candidates, at most ten.
func listed(candidates []string, plural string) string { return listedUpTo(10, candidates, plural) }

// listedUpTo is listed with another bound.
func listedUpTo(most int, candidates []string, plural string) string {
	switch {
	case len(candidates) == 0:
		return "there are no " + plural
	case len(candidates) > most:
		return fmt.Sprintf("the %s are %s and %d more", plural, strings.Join(candidates[:most], ", "), len(candidates)-most)
	}
	return fmt.Sprintf("the %s are %s", plural, strings.Join(candidates, ", "))
}

// unread tells whether a file that declares such ids is there and could not be
// used. That is reported; that its ids are not known only follows from it.
func (l *loader) unread(plural string) bool {
	if l.shelf {
		return false
	}
	return slices.ContainsFunc(l.folder.Unread, func(file string) bool {
		switch plural {
		case "factors", "instruments", "units":
			return file == "bench.yaml"
		case "workloads":
			return file == "workloads.yaml"
		case "workloads and factors":
			return file == "workloads.yaml" || file == "bench.yaml"
		case "sessions":
			return file == "sessions.yaml"
		case "configurations":
			return strings.HasPrefix(file, "configurations/")
		}
		return false
	})
}

// look finds the index of an id and reports one that does not exist.
func (l *loader) look(one, plural string, index map[string]int, ids func() []string, at node) (int, bool) {
	if !at.isScalar() {
		return -1, false
	}
	i, ok := index[at.text()]
	if !ok && l.unread(plural) {
		return -1, false
	}
	if !ok {
		l.report("unknown-id", schema.Error, at, fmt.Sprintf("there is no %s %q", one, at.text()), didYouMean(at.text(), ids(), plural))
		return -1, false
	}
	return i, true
}

func (l *loader) factor(at node) (*Factor, bool) {
	i, ok := l.look("factor", "factors", l.p.factorAt, l.p.factorIDs, at)
	if !ok {
		return nil, false
	}
	return l.p.Factors[i], true
}

func (l *loader) workload(at node) (*Workload, bool) {
	i, ok := l.look("workload", "workloads", l.p.workloadAt, l.p.workloadIDs, at)
	if !ok {
		return nil, false
	}
	return l.p.Workloads[i], true
}

func (l *loader) configuration(at node) (*Configuration, bool) {
	i, ok := l.look("configuration", "configurations", l.p.configAt, l.p.configurationIDs, at)
	if !ok {
		return nil, false
	}
	return l.p.Configurations[i], true
}

func (l *loader) session(at node) (*Session, bool) {
	i, ok := l.look("session", "sessions", l.p.sessionAt, l.p.sessionIDs, at)
	if !ok {
		return nil, false
	}
	return l.p.Sessions[i], true
}

func (l *loader) instrument(at node) string {
	if i, ok := l.look("instrument", "instruments", l.p.instrumentAt, l.p.instrumentIDs, at); ok {
		return l.p.Instruments[i].ID
	}
	return ""
}

// date reads a day; empty when it is not in the calendar, which schema reports.
func (l *loader) date(at node) string {
	if _, err := time.Parse(time.DateOnly, at.text()); err != nil {
		return ""
	}
	return at.text()
}

// unit reads a unit name.
func (l *loader) unit(at node) Unit {
	if !at.isScalar() {
		return Unit{}
	}
	u, ok := l.p.units.Parse(at.text())
	if !ok {
		l.unknownUnit(at.place(), at.width(), at.text())
	}
	return u
}

func (l *loader) unknownUnit(at schema.Place, width int, symbol string) {
	file := "bench.yaml"
	if l.shelf {
		file = "shelf.yaml"
	}
	if l.unread("units") {
		return
	}
	remedy := "declare it in " + file + ": units: {" + l.p.units.unknownPart(symbol) + ": {dimension: …}}"
	if near := l.p.units.Nearest(symbol); near != "" {
		remedy = fmt.Sprintf("did you mean %q?", near)
	}
	l.reportAt("unknown-unit", schema.Error, at, width, fmt.Sprintf("there is no unit %q", symbol), remedy)
}

// number reads a number in a unit: one that is bare takes the unit, one in
// another unit of the same dimension is converted. what names it in messages.
func (l *loader) number(at node, unit Unit, what string) (float64, bool) {
	return l.quantity(at, unit, what, Unit.Convert)
}

// difference is number for a difference of two values: a tolerance, a resolution.
func (l *loader) difference(at node, unit Unit, what string) (float64, bool) {
	return l.quantity(at, unit, what, Unit.ConvertDifference)
}

func (l *loader) quantity(at node, unit Unit, what string, convert func(Unit, float64, Unit) (float64, bool)) (float64, bool) {
	if !at.isScalar() {
		return 0, false
	}
	v, given, err := l.p.units.ParseQuantity(at.text())
	switch err := err.(type) {
	case nil:
	case unknownUnit:
		l.unknownUnit(at.place(), at.width(), err.symbol)
		return 0, false
	case notANumber:
		l.report("not-a-number", schema.Error, at, notANumberFor(at.text(), schema.Dialect{}, what), numberRemedy(at.text(), err.remedy))
		return 0, false
	}
	if given.Symbol == "" {
		return v, true
	}
	c, ok := convert(given, v, unit)
	if !ok {
		l.report("wrong-dimension", schema.Error, at, fmt.Sprintf("%q is in %s, which cannot be converted into %s, the unit of %s", at.text(), given.Symbol, unit.name(), what),
			"write the number in "+unit.name())
		return 0, false
	}
	if !l.finite(c, at, what) {
		return 0, false
	}
	return c, true
}

func (l *loader) finite(v float64, at node, what string) bool {
	if v-v == 0 {
		return true
	}
	l.report("not-a-number", schema.Error, at, fmt.Sprintf("%q is too large a number for %s", at.text(), what), "check the number and its unit")
	return false
}

// name is the symbol, or words for a bare number.
func (u Unit) name() string {
	if u.Symbol == "" {
		return "a bare number"
	}
	return u.Symbol
}
