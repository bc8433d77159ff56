package record

import (
	"bytes"
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
// out may take the source in anew. A table most of whose readings came from an
// earlier table is that one with some more. EvenSo lets all of it through.
func again(fsys fs.FS, p *project.Project, readings []Reading, o Options) []schema.Finding {
	if o.SourceSum == "" || len(readings) == 0 || o.EvenSo {
		return nil
	}
	at := schema.Place{File: o.Source}
	for _, file := range p.ResultFiles {
		if text, err := fs.ReadFile(fsys, file); err == nil && Sum(text) == o.SourceSum {
			return []schema.Finding{finding("already-recorded", at, "there is nothing to add; to correct a reading, change it in that file", "it holds the same bytes as %s: its readings are in the folder already", file)}
		}
	}
	past, bad := recorded(fsys)
	if len(bad) > 0 || len(past) == 0 {
		return bad
	}
	there := standing(p, readings, nil)
	same := func(e entry) bool { return e.sourceSum == o.SourceSum }
	if slices.ContainsFunc(past, same) && 2*there >= len(readings) {
		when, source, went := past.told(same)
		from := ""
		if source != o.Source {
			from = " as " + strconv.Quote(source)
		}
		remedy := "if some rows are new, give those alone in a file of their own; if readings taken anew came out alike to the last digit, record them by their values; to take the whole in again, take its rows out of the result file first"
		if o.Text {
			remedy = "if the test was run anew and printed the same, record it with --even-so"
		}
		return []schema.Finding{finding("already-recorded", at, remedy, "its content was taken in before, on %s%s: %s", when, from, went)}
	}
	// A repeat that is given and taken is found by its number, row by row.
	readings = slices.DeleteFunc(slices.Clone(readings), func(r Reading) bool { return r.Repeat > 0 })
	if o.Text || len(readings) < fewestExported {
		return nil
	}
	// Rows of other sources say nothing: a table may well hold what was given by
	// hand, or what another machine read alike.
	table := func(e entry) bool { return e.sourceSum != "" && e.readings >= fewestExported }
	if !slices.ContainsFunc(past, table) {
		return nil
	}
	files := map[string]bool{}
	for _, e := range past {
		files[e.file] = files[e.file] || table(e)
	}
	if there = standing(p, readings, files); 2*there <= len(readings) {
		return nil
	}
	left := fmt.Sprintf("%d are new", len(readings)-there)
	if there == len(readings)-1 {
		left = "1 is new"
	}
	f := finding("already-recorded", at, "give the new rows alone in a file of their own; or record all of it with --even-so, if all was read anew",
		"%d of its %d readings are recorded already with the same values, as when a table is exported again; %s", there, len(readings), left)
	if there == len(readings) {
		f.Message = fmt.Sprintf("all of its %d readings are recorded already with the same values, as when a table is exported again", there)
		f.Remedy = "there is nothing to add; or record all of it with --even-so, if all was read anew"
	}
	return []schema.Finding{f}
}

// fewestExported is how many readings a table has at least of which equal values
// are more than chance.
const fewestExported = 3

// ledger is rows of provenance.csv, in its order.
type ledger []entry

// told says when the first of some was recorded, from what, and where its
// readings went.
func (list ledger) told(of func(entry) bool) (when, source, went string) {
	count, files := 0, []string{}
	for _, e := range list {
		if !of(e) || when != "" && e.when != when {
			continue
		}
		when, source = e.when, e.source
		count += e.readings
		if e.readings > 0 && !slices.Contains(files, e.file) {
			files = append(files, e.file)
		}
	}
	went = fmt.Sprintf("%d readings", count)
	if count == 1 {
		went = "1 reading"
	}
	return when, source, went + " went into " + strings.Join(files, ", ")
}

// standing counts the readings that the folder holds: the same configuration,
// workload, session and value or outcome, each one once. files are those that
// are looked at, nil for all.
func standing(p *project.Project, readings []Reading, files map[string]bool) (n int) {
	type key struct{ configuration, workload, session, value string }
	there := map[key]int{}
	for i := range p.Readings {
		r := &p.Readings[i]
		if r.Derived || r.Session < 0 || files != nil && !files[p.ResultFiles[r.File]] {
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

// recorded lists what provenance.csv says.
func recorded(fsys fs.FS) (ledger, []schema.Finding) {
	old, there, bad := readOptional(fsys, provenanceFile)
	if len(bad) > 0 || !there || len(bytes.TrimSpace(old)) == 0 {
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
	var out ledger
	for row, ok := t.Next(); ok; row, ok = t.Next() {
		get := func(name string) string {
			if i, ok := at[name]; ok && i < len(row.Cells) {
				return strings.Clone(row.Cells[i].Text)
			}
			return ""
		}
		n, err := strconv.Atoi(get("readings"))
		if err != nil {
			continue // edited by hand
		}
		out = append(out, entry{when: get("when"), source: get("source"), sourceSum: get("source-sha256"), readings: n, file: get("file"), sum: get("file-sha256")})
	}
	return out, nil
}
