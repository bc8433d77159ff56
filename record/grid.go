package record

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/xuri/excelize/v2"

	"benchwright/project"
	"benchwright/schema"
)

// limits of a spreadsheet: an archive may unpack to far more than it weighs.
const (
	largestSheet = 64 << 20 // bytes of one sheet, unpacked
	largestBook  = 256 << 20
)

// FromGrid reads the usual hand-made grid of a spreadsheet (xlsx):
// configurations down, workloads across, repeats beside each other. The first
// row with a workload's name is the header; a name stands over its first
// repeat, and the columns after it up to the next name are further repeats. A
// cell without a number is an outcome ("hung") or is passed over when empty.
// Configurations and workloads may be named by id or by label.
func FromGrid(p *project.Project, r io.Reader, name, sheet, session string, m Mapping) ([]Reading, []schema.Finding) {
	f, err := excelize.OpenReader(r, excelize.Options{UnzipSizeLimit: largestBook, UnzipXMLSizeLimit: largestSheet})
	if err != nil {
		return nil, []schema.Finding{{Rule: "cannot-read", Severity: schema.Error, Place: schema.Place{File: name}, Message: fmt.Sprintf("is not a spreadsheet that can be read: %v", err), Remedy: "save it as .xlsx, without a password"}}
	}
	defer f.Close()
	if sheet == "" {
		sheet = f.GetSheetName(f.GetActiveSheetIndex())
	}
	rows, err := f.GetRows(sheet, excelize.Options{RawCellValue: true})
	if err != nil {
		remedy := "its sheets are " + strings.Join(f.GetSheetList(), ", ")
		var missing excelize.ErrSheetNotExist
		message := fmt.Sprintf("sheet %q cannot be read: %v", sheet, err)
		if errors.As(err, &missing) {
			message = fmt.Sprintf("there is no sheet %q", sheet)
		}
		return nil, []schema.Finding{{Rule: "cannot-read", Severity: schema.Error, Place: schema.Place{File: name}, Message: message, Remedy: remedy}}
	}
	workloads, configurations := names(p, m)
	header := -1
	var columns []string // workload id of each column, empty for none
	for i, row := range rows {
		current := ""
		columns = columns[:0]
		for _, cell := range row {
			text := strings.TrimSpace(cell)
			if id, ok := workloads[strings.ToLower(withoutUnit(text))]; ok {
				current = id
				header = i
			} else if text != "" && !isRepeatTitle(text) {
				current = ""
			}
			columns = append(columns, current)
		}
		if header >= 0 {
			break
		}
	}
	if header < 0 {
		return nil, []schema.Finding{{Rule: "no-header", Severity: schema.Error, Place: schema.Place{File: name}, Message: fmt.Sprintf("no row of sheet %q names a workload", sheet), Remedy: "write the ids or labels of workloads over the columns"}}
	}
	var out []Reading
	var bad []schema.Finding
	for i := header + 1; i < len(rows); i++ {
		row := rows[i]
		if len(row) == 0 || strings.TrimSpace(strings.Join(row, "")) == "" {
			continue
		}
		id, label := "", ""
		for k := range row {
			if k < len(columns) && columns[k] != "" {
				break
			}
			if text := strings.TrimSpace(row[k]); text != "" {
				label = text
				if found, ok := configurations[strings.ToLower(text)]; ok {
					id = found
				}
			}
		}
		if id == "" {
			if label == "" {
				continue // a row of repeat titles or remarks
			}
			near := ""
			var known []string
			for k := range configurations {
				known = append(known, k)
			}
			if n := schema.Nearest(strings.ToLower(label), known); n != "" {
				near = fmt.Sprintf("did you mean %q?", configurations[n])
			}
			bad = append(bad, schema.Finding{Rule: "unknown-id", Severity: schema.Error, Place: cellPlace(name, 1, i), Message: fmt.Sprintf("row %d names no configuration: %q", i+1, label), Remedy: near})
			continue
		}
		repeat := map[string]int{}
		for k := 0; k < len(row) && k < len(columns); k++ {
			w := columns[k]
			if w == "" {
				continue
			}
			repeat[w]++
			text := strings.TrimSpace(row[k])
			if text == "" {
				continue
			}
			r := Reading{Configuration: id, Workload: w, Session: session, At: cellPlace(name, k+1, i)}
			if outcome, ok := outcomeOf(text); ok {
				r.Outcome = outcome
			} else {
				r.Value = text
			}
			out = append(out, r)
		}
	}
	return out, bad
}

// names maps ids, labels and the mapping's own names, in lower case, to ids.
func names(p *project.Project, m Mapping) (workloads, configurations map[string]string) {
	workloads, configurations = map[string]string{}, map[string]string{}
	for _, w := range p.Workloads {
		workloads[strings.ToLower(w.Label)], workloads[w.ID] = w.ID, w.ID
	}
	for _, c := range p.Configurations {
		configurations[strings.ToLower(c.Label)], configurations[c.ID] = c.ID, c.ID
	}
	for from, to := range m.Workloads {
		workloads[strings.ToLower(from)] = to
	}
	for from, to := range m.Configurations {
		configurations[strings.ToLower(from)] = to
	}
	return workloads, configurations
}

// withoutUnit takes "[s]" or "(s)" off a heading.
func withoutUnit(s string) string {
	if i := strings.LastIndexAny(s, "[("); i > 0 && strings.HasSuffix(s, string(map[byte]rune{'[': ']', '(': ')'}[s[i]])) {
		return strings.TrimSpace(s[:i])
	}
	return s
}

// isRepeatTitle says whether a heading only numbers a repeat: "2", "run 2", "#2".
func isRepeatTitle(s string) bool {
	digits := strings.TrimLeft(strings.ToLower(s), "abcdefghijklmnopqrstuvwxyz#. ")
	return digits != "" && strings.Trim(digits, "0123456789") == "" && len(digits) <= 2
}

// outcomeOf recognises an outcome as people write it in a cell.
func outcomeOf(s string) (string, bool) {
	word := strings.ReplaceAll(strings.ToLower(s), " ", "-")
	for _, o := range project.OutcomeWords()[1:] {
		if word == o {
			return o, true
		}
	}
	return "", false
}

func cellPlace(name string, column, row int) schema.Place {
	cell, err := excelize.CoordinatesToCellName(column, row+1)
	if err != nil {
		return schema.Place{File: name, Line: row + 1}
	}
	return schema.Place{File: name + "!" + cell}
}
