package record

import (
	"fmt"
	"io/fs"

	"benchwright/project"
	"benchwright/schema"
)

// Rules lists what check says of a folder by what was recorded in it, for the
// reference that is made from the code.
func Rules() []project.Rule {
	return []project.Rule{
		{Name: "recorded-rows-lost", Severity: schema.Notice, Means: "A result file holds fewer readings than were recorded in it, or is an older state of itself."},
	}
}

// Lost tells which result files hold fewer readings than were recorded in them,
// or are what an earlier entry of provenance.csv left: an editor may have saved
// an old copy over the rows that were added since. A file that was merely edited
// is no news, and nor is one that is gone: its rows may stand in another. What
// one source gave twice, once its rows had been taken out, counts once.
func Lost(fsys fs.FS, p *project.Project) []schema.Finding {
	past, bad := recorded(fsys)
	if len(bad) > 0 || len(past) == 0 {
		return nil // what is wrong with it is said when something is recorded
	}
	type from struct{ file, sum string }
	given := map[from]int{}
	written := map[string]int{}
	last := map[string]string{}
	for _, e := range past {
		last[e.file] = e.sum
		k := from{e.file, e.sourceSum}
		if e.sourceSum != "" && given[k] > 0 {
			written[e.file] += max(e.readings-given[k], 0)
			given[k] = max(given[k], e.readings)
			continue
		}
		given[k] = e.readings
		written[e.file] += e.readings
	}
	have := make([]int, len(p.ResultFiles))
	for i := range p.Readings {
		if r := &p.Readings[i]; !r.Derived {
			have[r.File]++
		}
	}
	var out []schema.Finding
	for i, file := range p.ResultFiles {
		if written[file] == 0 {
			continue
		}
		text, err := fs.ReadFile(fsys, file)
		if err != nil {
			continue // reading the folder reports it
		}
		sum := Sum(text)
		if sum == last[file] {
			continue
		}
		message := ""
		if since := past.since(file, sum); since > 0 {
			message = fmt.Sprintf("it is as it was before the last %d of its readings were recorded", since)
			if since == 1 {
				message = "it is as it was before the last of its readings was recorded"
			}
		} else if have[i] < written[file] {
			message = fmt.Sprintf("%d readings were recorded in it, and it holds %d", written[file], have[i])
		}
		if message == "" {
			continue
		}
		f := finding("recorded-rows-lost", schema.Place{File: file, Line: 1, Column: 1},
			"see whether an old copy was saved over it, and bring the rows back from a backup or from what provenance.csv names; if they were taken out on purpose, take their lines out of provenance.csv", "%s", message)
		f.Severity = schema.Notice
		out = append(out, f)
	}
	return out
}

// since counts the readings that were recorded in a file after it had a
// checksum; 0 when it never had.
func (list ledger) since(file, sum string) (n int) {
	had := false
	for _, e := range list {
		switch {
		case e.file != file:
		case e.sum == sum:
			had, n = true, 0
		default:
			n += e.readings
		}
	}
	if !had {
		return 0
	}
	return n
}
