package report

import (
	"bytes"
	"strings"
)

// longLists are the lists of a record that grow with the readings: a line for
// each cell and for each group of readings. Two editions have most of them in
// common, byte for byte.
type longLists struct {
	cells    []PublishedCell
	readings []PublishedReadings
	// text is both as they stand in the record.
	text string
}

// longLists gives those of the report, made once: a report does not change.
func (r *Report) longLists() *longLists {
	r.work.long.Do(func() {
		l := &longLists{cells: r.publishedCells(), readings: r.publishedReadings()}
		w := &recordWriter{b: make([]byte, 0, 1<<10+len(l.cells)*440+len(l.readings)*200)}
		w.cells(l.cells)
		w.readings(l.readings)
		l.text = string(w.b)
		r.work.long.lists = l
	})
	return r.work.long.lists
}

// Record writes the record of the report, as Publication().JSON() would, with
// what only the publisher knows: the version of the tool, the name of the theme,
// and the address of the site.
func (r *Report) Record(madeBy, theme, baseAddress string) []byte {
	p := r.Publication()
	p.MadeBy, p.Theme, p.BaseAddress = madeBy, theme, baseAddress
	text := r.longLists().text
	w := &recordWriter{b: make([]byte, 0, 1<<14+len(text))}
	w.head(&p)
	w.raw(text, "\n}\n")
	return w.b
}

// CompareRecord is Compare with a record as it stands in a published site. What
// is the same line in both editions is not even read: it says nothing new. The
// errors are those of ReadPublication.
func CompareRecord(record []byte, r *Report) (*Changes, error) {
	long := r.longLists()
	rest, cells, readings := long.without(record)
	old, err := ReadPublication(rest)
	if err != nil {
		return nil, err
	}
	return compare(old, r, cells, readings), nil
}

// without gives the record without the lines that stand in l as well, and of l
// the cells and readings whose lines the record does not have.
func (l *longLists) without(record []byte) (rest []byte, cells []PublishedCell, readings []PublishedReadings) {
	lines := make(map[string]int, len(l.cells)+len(l.readings))
	text := l.text
	for i := range len(l.cells) + len(l.readings) {
		// Names stand in the way of the first line of each list.
		for !strings.HasPrefix(text, linePrefix) {
			_, text, _ = strings.Cut(text, "\n")
		}
		line, after, _ := strings.Cut(text, "\n")
		lines[strings.TrimRight(line, ",]")] = i
		text = after
	}
	common := make([]bool, len(l.cells)+len(l.readings))
	rest = record
	for _, list := range []string{"cells", "readings"} {
		if shorter, ok := withoutLines(rest, list, lines, common); ok {
			rest = shorter
		}
	}
	for i := range l.cells {
		if !common[i] {
			cells = append(cells, l.cells[i])
		}
	}
	for i := range l.readings {
		if !common[len(l.cells)+i] {
			readings = append(readings, l.readings[i])
		}
	}
	return rest, cells, readings
}

// linePrefix begins every line of a long list.
const linePrefix = "  {"

// withoutLines takes the lines out of one list of a record, and marks them as
// common. A record that is not laid out line by line as this package does it is
// left as it is, and nothing is marked.
func withoutLines(record []byte, list string, lines map[string]int, common []bool) (shorter []byte, ok bool) {
	head := []byte("\n\"" + list + "\": [\n")
	at := bytes.Index(record, head)
	if at < 0 {
		return nil, false
	}
	kept := bytes.Clone(record[:at+len(head)-1])
	var found []int
	first := true
	for text := record[at+len(head):]; ; {
		line, after, more := bytes.Cut(text, []byte("\n"))
		bare, end := bytes.CutSuffix(line, []byte("],"))
		if !end {
			if bare, end = bytes.CutSuffix(line, []byte("]")); !end {
				bare, _ = bytes.CutSuffix(line, []byte(","))
			}
		}
		if !more || !bytes.HasPrefix(bare, []byte(linePrefix)) || bare[len(bare)-1] != '}' {
			return nil, false
		}
		if i, there := lines[string(bare)]; there {
			found = append(found, i)
		} else {
			if !first {
				kept = append(kept, ',')
			}
			first = false
			kept = append(append(kept, '\n'), bare...)
		}
		if end {
			kept = append(append(append(kept, line[len(bare):]...), '\n'), after...)
			break
		}
		text = after
	}
	for _, i := range found {
		common[i] = true
	}
	return kept, true
}
