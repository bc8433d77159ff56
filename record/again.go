package record

import (
	"fmt"
	"io/fs"
	"slices"
	"strconv"
	"strings"

	"benchwright/project"
	"benchwright/schema"
)

// again refuses a source whose readings are in the folder already: one with the
// bytes of a result file, or one that provenance.csv names and half of whose
// readings or more still stand in the folder. Fewer are chance: another sheet
// of the same book, another part of the same table. And whoever took the rows
// out may take the source in anew.
func again(fsys fs.FS, p *project.Project, readings []Reading, o Options) []schema.Finding {
	if !o.Once || o.SourceSum == "" || len(readings) == 0 {
		return nil
	}
	at := schema.Place{File: o.Source}
	for _, file := range p.ResultFiles {
		if text, err := fs.ReadFile(fsys, file); err == nil && Sum(text) == o.SourceSum {
			return []schema.Finding{finding("already-recorded", at, "there is nothing to add; to correct a reading, change it in that file", "it holds the same bytes as %s: its readings are in the folder already", file)}
		}
	}
	before, bad := recordedFrom(fsys, o.SourceSum)
	if len(bad) > 0 || len(before) == 0 || 2*standing(p, readings) < len(readings) {
		return bad
	}
	count, files := 0, []string{}
	for _, e := range before {
		if e.when != before[0].when {
			break
		}
		count += e.readings
		if e.readings > 0 && !slices.Contains(files, e.file) {
			files = append(files, e.file)
		}
	}
	from := ""
	if before[0].source != o.Source {
		from = " as " + strconv.Quote(before[0].source)
	}
	went := fmt.Sprintf("%d readings", count)
	if count == 1 {
		went = "1 reading"
	}
	return []schema.Finding{finding("already-recorded", at,
		"if some rows are new, give those alone in a file of their own; if readings taken anew came out alike to the last digit, record them by their values; to take the whole in again, take its rows out of the result file first",
		"its content was taken in before, on %s%s: %s went into %s", before[0].when, from, went, strings.Join(files, ", "))}
}

// standing counts the readings that the folder holds: the same configuration,
// workload, session and value or outcome, each one once.
func standing(p *project.Project, readings []Reading) (n int) {
	type key struct{ configuration, workload, session, value string }
	there := map[key]int{}
	for i := range p.Readings {
		r := &p.Readings[i]
		if r.Derived || r.Session < 0 {
			continue
		}
		w := p.Workloads[r.Workload]
		k := key{p.Configurations[r.Configuration].ID, w.ID, p.Sessions[r.Session].ID, r.Outcome.String()}
		if r.HasValue {
			k.value = strconv.FormatFloat(r.Raw, 'g', -1, 64)
			if w.FrameTimes != "" {
				k.value = p.Written(r)
			}
		}
		there[k]++
	}
	for _, r := range readings {
		k := key{r.Configuration, r.Workload, r.Session, r.Outcome}
		if v, _, ok := schema.ParseNumber(r.Value, schema.Dialect{}); ok {
			k.value = strconv.FormatFloat(v, 'g', -1, 64)
		} else if r.Value != "" {
			k.value = "frames/" + strings.TrimPrefix(strings.TrimPrefix(r.Value, "./"), "frames/")
		}
		if there[k] > 0 {
			there[k]--
			n++
		}
	}
	return n
}

// recordedFrom lists what provenance.csv says of a source with the checksum.
func recordedFrom(fsys fs.FS, sum string) ([]entry, []schema.Finding) {
	old, there, bad := readOptional(fsys, provenanceFile)
	if len(bad) > 0 || !there || !strings.Contains(string(old), sum) {
		return nil, bad
	}
	t, bad := schema.OpenTable(fsys, provenanceFile, nil)
	if t == nil {
		return nil, errorsOf(bad)
	}
	defer t.Close()
	at := map[string]int{}
	for i, c := range t.Header {
		at[strings.TrimSpace(c.Text)] = i
	}
	var out []entry
	for row, ok := t.Next(); ok; row, ok = t.Next() {
		get := func(name string) string {
			if i, ok := at[name]; ok && i < len(row.Cells) {
				return row.Cells[i].Text
			}
			return ""
		}
		if get("source-sha256") != sum {
			continue
		}
		n, err := strconv.Atoi(get("readings"))
		if err != nil {
			continue // edited by hand
		}
		out = append(out, entry{when: get("when"), source: get("source"), sourceSum: sum, readings: n, file: get("file")})
	}
	return out, nil
}
