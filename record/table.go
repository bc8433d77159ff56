package record

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"benchwright/project"
	"benchwright/schema"
)

// mostReadings bounds what one source may give.
const mostReadings = 2_000_000

// unmade tells a row of a table that names a run and holds nothing of it: no
// value, no outcome, no reason, no note. Such a row of a plan says that the run
// did not take place.
func (r *Reading) unmade() bool {
	return r.Value == "" && r.Outcome == "" && r.Reason == "" && r.Note == "" && len(r.Also) == 0
}

// LeaveOutUnmade takes out the rows of a table that hold nothing but the run
// that was planned, and says how many they were. A table that holds nothing
// else is left as it is: somebody meant to fill it in.
func LeaveOutUnmade(readings []Reading) (made []Reading, unmade int) {
	made = slices.DeleteFunc(slices.Clone(readings), func(r Reading) bool { return r.source == tableCell && r.unmade() })
	if len(made) == 0 {
		return readings, 0
	}
	return made, len(readings) - len(made)
}

// FromTable reads a CSV table of a person's own: with a row for each reading
// (columns workload and value) or a column for each workload. Without a mapping
// its columns must have the names of a result file. Configurations and
// workloads may be named by id, by label, or as the mapping says. name is the
// table's file, for messages.
func FromTable(p *project.Project, text []byte, name string, m Mapping) ([]Reading, []schema.Finding) {
	t, bad := schema.OpenTable(alone(name, text), name, m.Dialect)
	if t == nil {
		return nil, errorsOf(bad)
	}
	defer t.Close()
	bad = errorsOf(bad)
	r := tableReader{p: p, m: m, t: t, names: namesOf(p, m), at: map[string]int{}}
	bad = append(bad, r.readHeader()...)
	if len(bad) > 0 {
		return nil, bad
	}
	for row, ok := t.Next(); ok; row, ok = t.Next() {
		r.readRow(row)
		if len(r.out) > mostReadings {
			return nil, []schema.Finding{finding("too-large", schema.Place{File: name}, "split it into several files", "the table holds more than %d readings", mostReadings)}
		}
	}
	bad = append(folded(r.bad), errorsOf(t.Findings())...)
	if len(bad) == 0 && len(r.out) == 0 {
		bad = append(bad, finding("no-match", schema.Place{File: name}, "fill in the values", "no reading was found in the table"))
	}
	return r.out, bad
}

type tableReader struct {
	p         *project.Project
	m         Mapping
	t         *schema.Table
	names     names
	at        map[string]int // by meaning
	workloads []wideColumn
	also      []string // further columns
	out       []Reading
	bad       []schema.Finding
}

type wideColumn struct {
	id, unit string
	at       int
}

// readHeader finds out what each column is.
func (r *tableReader) readHeader() (bad []schema.Finding) {
	var header []string
	var unknown []schema.Cell
	further := further(r.p)
	for i, c := range r.t.Header {
		title := strings.TrimSpace(c.Text)
		header = append(header, title)
		meaning, mapped := r.m.Columns[title]
		unit := ""
		if !mapped && len(r.m.Columns) == 0 {
			meaning, unit = columnUnit(title)
			if meaning == "time" || meaning == "source" {
				continue // columns of result files of which nothing is recorded anew
			}
			if !slices.Contains(meanings[:], meaning) && r.p.Workload(meaning) == nil && !slices.Contains(further, meaning) {
				unknown = append(unknown, c)
				continue
			}
		}
		if !mapped && meaning == "" {
			continue
		}
		switch w := r.p.Workload(meaning); {
		case slices.Contains(meanings[:], meaning):
			r.at[meaning] = i
		case w != nil:
			if _, inTitle := headingUnit(title); unit == "" {
				if _, ok := r.p.Unit(inTitle); ok {
					unit = inTitle
				}
			}
			r.workloads = append(r.workloads, wideColumn{w.ID, unit, i})
		default:
			r.at[meaning] = i
			r.also = append(r.also, meaning)
		}
	}
	if len(unknown) > 0 {
		bad = append(bad, r.unknownColumns(unknown, further))
	}
	place := schema.Place{File: r.t.Path, Line: 1, Column: 1}
	for _, column := range sortedKeys(r.m.Columns) {
		if slices.Contains(header, column) {
			continue
		}
		f := finding("bad-mapping", place, "its columns are "+strings.Join(header, ", "), "the table has no column %q, which the mapping names", column)
		if near := schema.Nearest(column, header); near != "" {
			f.Remedy = `did you mean "` + near + `"?`
		}
		bad = append(bad, f)
	}
	needs := []string{"configuration"}
	if len(r.workloads) == 0 {
		needs = append(needs, "workload", "value")
	}
	for _, need := range needs {
		if _, ok := r.at[need]; !ok && len(bad) == 0 {
			bad = append(bad, finding("missing-column", place, "say under mappings in record.yaml which one it is; its columns are "+strings.Join(header, ", "), "no column is the %s", need))
		}
	}
	return bad
}

// mostColumnsNamed bounds the columns that a message lists.
const mostColumnsNamed = 12

// unknownColumns reports the columns whose names say nothing to the tool, once
// for the whole table: it usually needs one mapping, not so many corrections.
func (r *tableReader) unknownColumns(unknown []schema.Cell, further []string) schema.Finding {
	known := append(append(slices.Clone(meanings[:]), further...), (&mappingReader{p: r.p}).workloads()...)
	var named, meant []string
	example := "configuration" // of what the first could be
	for i, c := range unknown {
		title := strings.TrimSpace(c.Text)
		if i < mostColumnsNamed {
			named = append(named, strconv.Quote(short(title)))
		}
		id, _ := columnUnit(title)
		if near := schema.Nearest(id, known); near != "" && len(meant) < mostColumnsNamed {
			if i == 0 {
				example = near
			}
			if text := strconv.Quote(near); len(unknown) == 1 {
				meant = append(meant, text)
			} else {
				meant = append(meant, text+" for "+strconv.Quote(short(title)))
			}
		}
	}
	if more := len(unknown) - len(named); more > 0 {
		named[len(named)-1] += fmt.Sprintf(" and %d more", more)
	}
	message := "the column " + named[0] + " has a name that is not known"
	if len(unknown) > 1 {
		message = fmt.Sprintf("%d columns have names that are not known: %s", len(unknown), strings.Join(named, ", "))
	}
	remedy := "say in record.yaml what the columns are, as in mappings: {timer: {columns: {" + scalar(short(strings.TrimSpace(unknown[0].Text))) + ": " + example + "}}}, and name that with --mapping timer"
	if len(meant) > 0 {
		remedy = "did you mean " + strings.Join(meant, ", ") + "? Or " + remedy
	}
	list := known
	if more := len(known) - len(meanings) - mostColumnsNamed; more > 0 {
		list = append(slices.Clone(known[:len(known)-more]), fmt.Sprintf("%d workloads more", more))
	}
	f := finding("unknown-column", schema.Place{File: r.t.Path, Line: max(unknown[0].Line, 1), Column: unknown[0].Column},
		remedy+"; the names known are "+strings.Join(list, ", ")+" (docs/reference/results.md)", "%s", message)
	f.Width = len([]rune(unknown[0].Text))
	return f
}

// readRow takes the readings of one row.
func (r *tableReader) readRow(row *schema.Row) {
	get := func(meaning string) string {
		i, ok := r.at[meaning]
		if !ok || i >= len(row.Cells) {
			return ""
		}
		return strings.Clone(strings.TrimSpace(row.Cells[i].Text))
	}
	one := Reading{Configuration: r.names.configuration(get("configuration")), Session: get("session"), Unit: get("unit"),
		Outcome: get("outcome"), Reason: get("reason"), Note: get("note"), At: schema.Place{File: r.t.Path, Line: row.Line, Column: 1}}
	if one.Session == "" {
		one.Session = r.m.Session
	}
	if word, ok := outcomeOf(one.Outcome); ok {
		one.Outcome = word
	}
	one.Repeat = r.count("repeat", get("repeat"), one.At)
	one.Order = r.count("order", get("order"), one.At)
	one.OrderOpen = one.Order == 0 && !r.m.InOrder
	for _, name := range r.also {
		if text := get(name); text != "" {
			if one.Also == nil {
				one.Also = map[string]string{}
			}
			number, ok := r.point(text)
			if !ok {
				r.bad = append(r.bad, finding("not-a-number", one.At, numberRemedy(&Reading{Value: text, source: tableCell, mark: r.t.Dialect.Decimal}),
					"%s %s", name, schema.NumberFault(text, r.t.Dialect)))
			}
			one.Also[name] = number
		}
	}
	if len(r.workloads) == 0 {
		one.Workload = r.names.workload(get("workload"))
		one.Value = get("value")
		r.add(one, r.t.Path, row, r.at["value"])
		return
	}
	for _, c := range r.workloads {
		x := one
		x.Workload, x.Unit = c.id, c.unit
		if c.at < len(row.Cells) {
			x.Value = strings.Clone(strings.TrimSpace(row.Cells[c.at].Text))
		}
		failed := x.Outcome != "" && x.Outcome != project.OK.String() && x.Outcome != project.Excluded.String()
		if x.Value == "" && !failed {
			continue
		}
		r.add(x, r.t.Path, row, c.at)
	}
}

// add appends a reading, whose value may be a word for how the run ended.
func (r *tableReader) add(x Reading, file string, row *schema.Row, at int) {
	if at < len(row.Cells) && row.Cells[at].Column > 0 {
		x.At = schema.Place{File: file, Line: row.Cells[at].Line, Column: row.Cells[at].Column}
	}
	if word, ok := outcomeOf(x.Value); ok && x.Outcome == "" {
		x.Outcome, x.Value = word, ""
	}
	x.source, x.mark = tableCell, r.t.Dialect.Decimal
	if w := r.p.Workload(x.Workload); w == nil || w.FrameTimes == "" {
		var ok bool
		x.Value, ok = r.point(x.Value)
		x.misread = !ok && x.Value != ""
	}
	r.out = append(r.out, x)
}

// point writes a number of the table with a point. A text that is no number
// with the table's own decimal mark stays as it is, for the message, and is no
// number with a point either: 12.345 between decimal commas may be thousands.
func (r *tableReader) point(text string) (number string, ok bool) {
	if r.t.Dialect.Decimal != ',' {
		return text, true // understand reads it
	}
	if _, _, ok := schema.ParseNumber(text, r.t.Dialect); !ok {
		return text, false
	}
	return strings.Replace(text, ",", ".", 1), true
}

func (r *tableReader) count(name, text string, at schema.Place) int {
	if text == "" {
		return 0
	}
	v, err := strconv.Atoi(text)
	if err != nil || v < 1 || v > 10_000_000 {
		r.bad = append(r.bad, finding("not-a-count", at, "write 1, 2, 3 …", "%s %q is not a whole number from 1 on", name, text))
		return 0
	}
	return v
}
