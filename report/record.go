package report

import (
	"bytes"
	"cmp"
	"hash/maphash"
	"slices"
	"sync/atomic"
)

// longLists are the lists of a record that grow with the readings: a line for
// each cell and for each group of readings. Two editions have most of them in
// common, byte for byte.
type longLists struct {
	cells    []PublishedCell
	readings []PublishedReadings
	// record is both as they stand in the record, to its end, behind room for its
	// head. The megabytes of a large one are written once.
	record []byte
	room   int
	// taken says that somebody has the record with a head of their own.
	taken atomic.Bool
}

// headRoom is what the publisher's own words may take at most, or else the long
// lists are copied once more.
const headRoom = 4 << 10

// longLists gives those of the report, made once: a report does not change.
func (r *Report) longLists() *longLists {
	r.work.long.Do(func() {
		l := &longLists{cells: r.publishedCells(), readings: r.publishedReadings()}
		r.work.long.lists = l
		head := &recordWriter{}
		short := r.publication()
		head.head(&short)
		l.room = len(head.b) + headRoom
		w := &recordWriter{b: make([]byte, l.room, l.room+l.size())}
		w.cells(l.cells)
		w.readings(l.readings)
		w.raw("\n}\n")
		l.record = w.b
	})
	return r.work.long.lists
}

// size is about how many bytes the lists take, as the first of their lines let
// expect.
func (l *longLists) size() int {
	const few = 64
	w := &recordWriter{}
	w.cells(l.cells[:min(few, len(l.cells))])
	size := len(w.b) * max(few, len(l.cells)) / few
	w.b = w.b[:0]
	w.readings(l.readings[:min(few, len(l.readings))])
	size += len(w.b) * max(few, len(l.readings)) / few
	return size + size/8 + 1<<10
}

// text is the lists as they stand in the record, to its end.
func (l *longLists) text() []byte { return l.record[l.room:] }

// Imprint is what only the publisher knows: the version of the tool, the name of
// the theme, the address of the site, whether it is one of a shelf, and how the
// arithmetic rounds: as here where nothing is said.
type Imprint struct {
	MadeBy, Arithmetic, Theme, BaseAddress string
	Shelf                                  bool
}

// Record writes the record of the report, as Publication().JSON() would, with an
// imprint. Nobody may change the bytes.
func (r *Report) Record(i Imprint) []byte {
	l := r.longLists()
	p := r.publication()
	p.MadeBy, p.Arithmetic, p.Theme, p.BaseAddress, p.Shelf = i.MadeBy, cmp.Or(i.Arithmetic, p.Arithmetic), i.Theme, i.BaseAddress, i.Shelf
	w := &recordWriter{}
	w.head(&p)
	if at := l.room - len(w.b); at >= 0 && l.taken.CompareAndSwap(false, true) {
		copy(l.record[at:], w.b)
		return l.record[at:]
	}
	return slices.Concat(w.b, l.text())
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
	own := newLineIndex(l.text(), len(l.cells)+len(l.readings))
	common := make([]bool, len(own.lines))
	rest = record
	for _, list := range []string{"cells", "readings"} {
		if shorter, ok := withoutLines(rest, list, own, common); ok {
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

// lineIndex finds lines of long lists by their bytes.
type lineIndex struct {
	lines [][]byte
	seed  maphash.Seed
	// at has, by hash, an index into lines; of two with the same hash the last.
	at map[uint64]int
}

func newLineIndex(text []byte, n int) *lineIndex {
	x := &lineIndex{lines: make([][]byte, 0, n), seed: maphash.MakeSeed(), at: make(map[uint64]int, n)}
	for len(x.lines) < n {
		line, after, _ := bytes.Cut(text, []byte("\n"))
		if text = after; !bytes.HasPrefix(line, []byte(linePrefix)) {
			continue // the name of a list
		}
		line = bytes.TrimRight(line, ",]")
		x.at[maphash.Bytes(x.seed, line)] = len(x.lines)
		x.lines = append(x.lines, line)
	}
	return x
}

// find gives the place of a line, −1 for none.
func (x *lineIndex) find(line []byte) int {
	if i, there := x.at[maphash.Bytes(x.seed, line)]; there && bytes.Equal(x.lines[i], line) {
		return i
	}
	return -1
}

// linePrefix begins every line of a long list.
const linePrefix = "  {"

// withoutLines takes the lines out of one list of a record, and marks them as
// common. A record that is not laid out line by line as this package does it is
// left as it is, and nothing is marked.
func withoutLines(record []byte, list string, own *lineIndex, common []bool) (shorter []byte, ok bool) {
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
		if i := own.find(bare); i >= 0 {
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
