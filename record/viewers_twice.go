package record

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"benchwright/project"
	"benchwright/schema"
)

// viewerKey is what makes two readings of viewers the same one. Within one file
// equal rows are repeats; in two files they are a copy: who really ran it again
// gives another day, or another value.
type viewerKey struct {
	viewer, machine string
	workload        int
	value           float64
	date            string
}

func (r ViewerReading) key() viewerKey {
	// Rounded, so that the same value in another unit is the same.
	value, err := strconv.ParseFloat(strconv.FormatFloat(r.Value, 'g', 12, 64), 64)
	if err != nil {
		value = r.Value
	}
	return viewerKey{fold(r.Viewer), fold(r.Machine), r.Workload, value, r.Date}
}

// viewerAgain refuses readings that stand under viewers already, whatever the
// file is called: a copy under another name would count them twice.
func viewerAgain(p *project.Project, kept []ViewerReading, name string, readings []ViewerReading) []schema.Finding {
	there := map[viewerKey]schema.Place{}
	note(there, kept)
	_, bad := viewerCopies(p, there, name, readings, "already-recorded", "there is nothing to add", "take the row out")
	return bad
}

// viewersTwice takes out of files what stands in another of them. Of a file
// and its copy the shorter name is kept: marsh.csv rather than marsh-copy.csv.
func viewersTwice(p *project.Project, files []string, read [][]ViewerReading) []schema.Finding {
	byName := make([]int, len(files))
	for i := range byName {
		byName[i] = i
	}
	slices.SortFunc(byName, func(a, b int) int {
		return cmp.Or(cmp.Compare(len(files[a]), len(files[b])), cmp.Compare(files[a], files[b]))
	})
	var bad []schema.Finding
	there := map[viewerKey]schema.Place{}
	for _, i := range byName {
		var found []schema.Finding
		read[i], found = viewerCopies(p, there, files[i], read[i], "duplicate-reading", "take one of the two files out of viewers",
			"take the row out of one file, or put all rows of that viewer into one file if it came out alike twice")
		bad = append(bad, found...)
		note(there, read[i])
	}
	return bad
}

// note keeps where each reading stands first.
func note(there map[viewerKey]schema.Place, readings []ViewerReading) {
	for _, r := range readings {
		if _, ok := there[r.key()]; !ok {
			there[r.key()] = r.Place
		}
	}
}

// viewerCopies reports the readings of one file that are there already, and
// gives the others. A file of which nothing is left is one finding.
func viewerCopies(p *project.Project, there map[viewerKey]schema.Place, name string, readings []ViewerReading, rule, whole, row string) (others []ViewerReading, bad []schema.Finding) {
	const another = "; if %s read another time, give the day of that in the column date"
	var files []string
	for _, r := range readings {
		at, ok := there[r.key()]
		if !ok {
			others = append(others, r)
			continue
		}
		if !slices.Contains(files, at.File) {
			files = append(files, at.File)
		}
		day := " on " + r.Date
		if r.Date == "" {
			day = ", without a day,"
		}
		f := finding(rule, r.Place, row+fmt.Sprintf(another, "it was"),
			"the reading %s %s for %q by %q%s is here already", short(r.Written), r.Unit, p.Workloads[r.Workload].ID, short(r.Viewer), day)
		f.Related = []schema.Related{{Place: at, Message: "it stands here"}}
		bad = append(bad, f)
	}
	if n := len(readings); n > 1 && len(bad) == n {
		f := finding(rule, schema.Place{File: name}, whole+fmt.Sprintf(another, "they were"), "its %d readings are in %s already", n, strings.Join(files, ", "))
		return nil, []schema.Finding{f}
	}
	return others, folded(bad)
}
