package project

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"benchwright/schema"
)

// header is what the first row of a result file says: which cell of a row
// holds what. A column that is not there is −1.
type header struct {
	wide bool
	configuration, workload, value, session, repeat, order,
	unit, outcome, reason, note int
	// readings are the workloads of a wide table.
	readings []wideColumn
	// extra are the columns that conversions name.
	extra map[string]extraColumn
	// outcomeMeant: there is no column outcome, but one with a name like it.
	outcomeMeant bool
}

type wideColumn struct {
	workload *Workload
	at       int
	unit     Unit
	stated   bool // the header names the unit
}

type extraColumn struct {
	at   int
	unit Unit
}

// dialect is how report.yaml says that result files are written; nil when it
// says nothing.
func (p *Project) dialect() *schema.Dialect {
	n := documentNode(p.folder.Report).get("csv")
	if !n.isMap() {
		return nil
	}
	d := &schema.Dialect{Separator: ',', Decimal: '.', Declared: true}
	// A separator may be white space, which text() takes off.
	if at := n.get("separator"); at.isScalar() {
		switch s := at.y.Value; {
		case s == "tab" || s == `\t`:
			d.Separator = '\t'
		case len(s) == 1:
			d.Separator = s[0]
		}
	}
	if s := n.get("decimal").text(); s == "," || s == "." {
		d.Decimal = s[0]
	}
	if d.Separator == d.Decimal {
		return nil
	}
	return d
}

// conversionColumns names the columns that conversions of readings use.
func (p *Project) conversionColumns() []string {
	var names []string
	for _, w := range p.Workloads {
		if w.Reading == nil {
			continue
		}
		for _, t := range w.Reading.terms() {
			if t.Kind == ColumnTerm && !slices.Contains(names, t.Name) {
				names = append(names, t.Name)
			}
		}
	}
	slices.Sort(names)
	return names
}

// header reads the first row; false when the rows below cannot be used.
func (l *loader) header(t *schema.Table) (*header, bool) {
	h := &header{configuration: -1, workload: -1, value: -1, session: -1, repeat: -1, order: -1, unit: -1, outcome: -1, reason: -1, note: -1,
		extra: map[string]extraColumn{}, wide: true}
	for _, cell := range t.Header {
		if name := strings.TrimSpace(cell.Text); name == "workload" || name == "value" {
			h.wide = false
		}
	}
	slots := map[string]*int{"configuration": &h.configuration, "session": &h.session, "repeat": &h.repeat, "order": &h.order,
		"outcome": &h.outcome, "reason": &h.reason, "note": &h.note}
	allowed := wideColumns
	if !h.wide {
		allowed = longColumns
		slots["workload"], slots["value"], slots["unit"] = &h.workload, &h.value, &h.unit
	}
	named := l.p.conversionColumns()
	first := map[string]bool{}
	var unknown []unknownColumn
	for i, cell := range t.Header {
		place := schema.Place{File: t.Path, Line: max(cell.Line, 1), Column: cell.Column}
		width := utf8.RuneCountInString(cell.Text)
		name, unit, stated := l.columnName(cell, place)
		if name == "" {
			l.reportAt("unknown-column", schema.Error, place, width, fmt.Sprintf("column %d has no name", i+1), "name it, or take the column out")
			continue
		}
		if first[name] {
			continue // reported by schema
		}
		first[name] = true
		workload := l.p.Workload(name)
		switch slot := slots[name]; {
		case slot != nil:
			*slot = i
		case slices.Contains(allowed, name):
		case slices.Contains(named, name):
			h.extra[name] = extraColumn{i, unit}
		case workload != nil && h.wide:
			if !l.readable(workload, place, width) {
				continue
			}
			h.readings = append(h.readings, wideColumn{workload, i, unit, stated})
		default:
			unknown = append(unknown, unknownColumn{name, place, width})
		}
	}
	l.unknownColumns(h, unknown, allowed, named)
	meant := map[string]bool{}
	for _, c := range unknown {
		if len(unknown) >= foreignTable {
			break // somebody else's table, of which little can be guessed
		}
		meant[schema.Nearest(c.name, append(slices.Clone(allowed), named...))] = true
	}
	h.outcomeMeant = h.outcome < 0 && meant["outcome"]
	return h, l.headerComplete(h, t, meant)
}

// columnName splits "id [unit]".
func (l *loader) columnName(cell schema.Cell, place schema.Place) (name string, unit Unit, stated bool) {
	name = strings.TrimSpace(cell.Text)
	i := strings.IndexByte(name, '[')
	if i < 0 || !strings.HasSuffix(name, "]") {
		return name, Unit{Factor: 1}, false
	}
	symbol := strings.TrimSpace(name[i+1 : len(name)-1])
	unit, ok := l.p.units.Parse(symbol)
	if !ok {
		place.Column += utf8.RuneCountInString(cell.Text[:strings.IndexByte(cell.Text, '[')]) + 1
		l.unknownUnit(place, utf8.RuneCountInString(symbol), symbol)
		return strings.TrimSpace(name[:i]), Unit{Factor: 1}, false
	}
	return strings.TrimSpace(name[:i]), unit, true
}

// readable reports workloads that are computed and never read.
func (l *loader) readable(w *Workload, place schema.Place, width int) bool {
	how := ""
	switch {
	case w.Derived != nil:
		how = "computed from other workloads"
	case w.FramesOf != "":
		how = fmt.Sprintf("taken from the frame times of %q", w.FramesOf)
	default:
		return true
	}
	l.reportAt("derived-and-read", schema.Error, place, width, fmt.Sprintf("the workload %q is %s, so it cannot be read from a file", w.ID, how),
		"take the reading out, or declare the workload without derived and frames-of",
		schema.Related{Place: w.Place, Message: fmt.Sprintf("%q is declared here", w.ID)}).Workloads = []string{w.ID}
	return false
}

// unknownColumn is a column that means nothing.
type unknownColumn struct {
	name  string
	place schema.Place
	width int
}

// foreignTable is from how many unknown columns on a file is taken for a table
// of some other program, of which one thing is to be said and not many.
const foreignTable = 3

func (l *loader) unknownColumns(h *header, unknown []unknownColumn, allowed, named []string) {
	candidates := append(slices.Clone(allowed), named...)
	one, many := "%q is not a column of result files", "are not columns of result files"
	if h.wide {
		candidates = append(candidates, l.p.workloadIDs()...)
		one, many = "%q is neither a workload nor a column of result files", "are neither workloads nor columns of result files"
	}
	var foreign []unknownColumn
	for _, c := range unknown {
		if h.wide || l.p.Workload(c.name) == nil {
			foreign = append(foreign, c)
			continue
		}
		l.reportAt("unknown-column", schema.Error, c.place, c.width, fmt.Sprintf("the workload %q has a column of its own beside the columns workload and value", c.name),
			"write one row for each reading, or a column for each workload, but not both in one file")
	}
	if len(foreign) < foreignTable {
		for _, c := range foreign {
			l.reportAt("unknown-column", schema.Error, c.place, c.width, fmt.Sprintf(one, c.name), didYouMeanColumn(c.name, candidates, len(allowed)+len(named)))
		}
		return
	}
	var names, meant []string
	for _, c := range foreign[:min(len(foreign), mostAlike)] {
		names = append(names, strconv.Quote(c.name))
		if near := schema.Nearest(c.name, candidates); near != "" {
			meant = append(meant, fmt.Sprintf("%q for %q", near, c.name))
		}
	}
	message := fmt.Sprintf("%d columns %s: %s", len(foreign), many, strings.Join(names, ", "))
	if more := len(foreign) - len(names); more > 0 {
		message += fmt.Sprintf(" and %d more", more)
	}
	remedy := "take the file out of results and read it in with benchwright record --from, with a mapping in record.yaml that says what its columns are; " + listedColumns(candidates, len(allowed)+len(named))
	if len(meant) > 0 {
		remedy = "did you mean " + strings.Join(meant, ", ") + "? Or " + remedy
	}
	l.reportAt("unknown-column", schema.Error, foreign[0].place, foreign[0].width, message, remedy)
}

// didYouMeanColumn proposes the nearest of the columns, or lists them.
func didYouMeanColumn(name string, candidates []string, own int) string {
	if near := schema.Nearest(name, candidates); near != "" {
		return fmt.Sprintf("did you mean %q?", near)
	}
	return listedColumns(candidates, own)
}

// listedColumns lists the first columns, which are those of every result file,
// to the last, and of the workloads that may follow ten.
func listedColumns(candidates []string, own int) string {
	return listedUpTo(own+10, candidates, "columns") + "; what each is for stands in docs/reference/results.md"
}

// headerComplete reports the columns that every file needs.
// One that another column was meant to be is not missing: once that has its
// name, there is nothing else to set right.
func (l *loader) headerComplete(h *header, t *schema.Table, meant map[string]bool) bool {
	place := schema.Place{File: t.Path, Line: 1, Column: 1}
	if len(t.Header) > 0 {
		place.Line, place.Column = max(t.Header[0].Line, 1), t.Header[0].Column
	}
	good := true
	missing := func(name, why string) {
		good = false
		if meant[name] {
			return
		}
		l.reportAt("missing-column", schema.Error, place, 0, fmt.Sprintf("the column %q is missing", name), why)
	}
	if h.configuration < 0 {
		missing("configuration", "name in it the configuration that each row was read on")
	}
	if !h.wide && h.workload < 0 {
		missing("workload", "name in it the workload of each reading; or write a column for each workload and no column value")
	}
	if !h.wide && h.value < 0 {
		missing("value", "write the readings in it; or write a column for each workload and no column workload")
	}
	if h.wide && len(h.readings) == 0 && good {
		good = false
		l.reportAt("missing-column", schema.Error, place, 0, "no column names a workload", "write columns workload and value, or a column for each workload: "+listed(l.p.workloadIDs(), "workloads"))
	}
	return good
}
