package record

import (
	"fmt"
	"io/fs"
	"slices"
	"strconv"
	"strings"

	"benchwright/schema"
)

// Mapping says how a table of somebody else's is read: which of its columns
// is what, and what its names are called here. It is kept in record.yaml.
type Mapping struct {
	// Columns maps a column of the table to configuration, workload, session,
	// repeat, order, value, unit, outcome, reason or note.
	Columns map[string]string
	// Configurations and Workloads map the table's names to ids.
	Configurations, Workloads map[string]string
	// Session for all readings; empty when the table has a column.
	Session string
	// Dialect when declared; nil to detect it.
	Dialect *schema.Dialect
}

// meanings of a mapped column.
var meanings = []string{"configuration", "workload", "session", "repeat", "order", "value", "unit", "outcome", "reason", "note"}

// FromTable reads a CSV file of a person's own. Without a mapping its columns
// must have the names of a long result file.
func FromTable(fsys fs.FS, name string, m Mapping) ([]Reading, []schema.Finding) {
	t, bad := schema.OpenTable(fsys, name, m.Dialect)
	if t == nil {
		return nil, errorsOf(bad)
	}
	defer t.Close()
	bad = errorsOf(bad)
	at := map[string]int{}
	var header []string
	for i, c := range t.Header {
		title := strings.TrimSpace(c.Text)
		header = append(header, title)
		if meaning, ok := m.Columns[title]; ok {
			at[meaning] = i
		} else if _, taken := at[title]; !taken && len(m.Columns) == 0 && slices.Contains(meanings, title) {
			at[title] = i
		}
	}
	place := schema.Place{File: name, Line: 1, Column: 1}
	for column, meaning := range m.Columns {
		if !slices.Contains(meanings, meaning) {
			bad = append(bad, schema.Finding{Rule: "bad-mapping", Severity: schema.Error, Place: place, Message: fmt.Sprintf("the mapping calls column %q %q", column, meaning), Remedy: "one of " + strings.Join(meanings, ", ")})
		}
		if !slices.Contains(header, column) {
			f := schema.Finding{Rule: "bad-mapping", Severity: schema.Error, Place: place, Message: fmt.Sprintf("the table has no column %q", column)}
			if near := schema.Nearest(column, header); near != "" {
				f.Remedy = fmt.Sprintf("did you mean %q?", near)
			} else {
				f.Remedy = "its columns are " + strings.Join(header, ", ")
			}
			bad = append(bad, f)
		}
	}
	for _, need := range []string{"configuration", "workload", "value"} {
		if _, ok := at[need]; !ok {
			bad = append(bad, schema.Finding{Rule: "bad-mapping", Severity: schema.Error, Place: place, Message: fmt.Sprintf("no column is the %s", need), Remedy: "say which under columns in record.yaml; its columns are " + strings.Join(header, ", ")})
		}
	}
	if len(bad) > 0 {
		return nil, bad
	}
	var out []Reading
	for row, ok := t.Next(); ok; row, ok = t.Next() {
		get := func(meaning string) string {
			i, ok := at[meaning]
			if !ok || i >= len(row.Cells) {
				return ""
			}
			return strings.TrimSpace(row.Cells[i].Text)
		}
		r := Reading{Configuration: get("configuration"), Workload: get("workload"), Session: get("session"), Value: get("value"), Unit: get("unit"),
			Outcome: get("outcome"), Reason: get("reason"), Note: get("note"), At: schema.Place{File: name, Line: row.Line, Column: 1}}
		if id, ok := m.Configurations[r.Configuration]; ok {
			r.Configuration = id
		}
		if id, ok := m.Workloads[r.Workload]; ok {
			r.Workload = id
		}
		if r.Session == "" {
			r.Session = m.Session
		}
		if t.Dialect.Decimal == ',' {
			r.Value = strings.Replace(r.Value, ",", ".", 1)
		}
		for _, n := range []struct {
			meaning string
			to      *int
		}{{"repeat", &r.Repeat}, {"order", &r.Order}} {
			text := get(n.meaning)
			if text == "" {
				continue
			}
			v, err := strconv.Atoi(text)
			if err != nil || v < 1 {
				bad = append(bad, schema.Finding{Rule: "not-a-number", Severity: schema.Error, Place: r.At, Message: fmt.Sprintf("%s %q is not a whole number from 1", n.meaning, text)})
			}
			*n.to = v
		}
		out = append(out, r)
	}
	return out, append(bad, errorsOf(t.Findings())...)
}
