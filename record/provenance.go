package record

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io/fs"
	"slices"
	"strconv"
	"strings"

	"benchwright/schema"
)

// provenanceFile says where the rows of the other files came from.
const provenanceFile = "provenance.csv"

// provenanceColumns: when, from what, its checksum, how many readings, where
// to, and that file's checksum afterwards.
var provenanceColumns = [...]string{"when", "source", "source-sha256", "readings", "file", "file-sha256"}

// Sum is the SHA-256 of a text in hexadecimal, as provenance.csv holds it.
func Sum(text []byte) string {
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:])
}

// provenance grows provenance.csv by a row for each file of the addition, in
// the file's own style.
func provenance(fsys fs.FS, a *Addition, o Options) (Change, []schema.Finding) {
	count := map[string]int{}
	for _, at := range a.Rows {
		count[at.File]++
	}
	var rows []entry
	for _, c := range a.Changes {
		rows = append(rows, entry{o.When, o.Source, o.SourceSum, count[c.Path], c.Path, Sum(c.New)})
	}
	return enter(fsys, rows)
}

// entry is a row of provenance.csv.
type entry struct {
	when, source, sourceSum string
	readings                int
	file, sum               string
}

// enter appends rows to provenance.csv.
func enter(fsys fs.FS, rows []entry) (Change, []schema.Finding) {
	c := Change{Path: provenanceFile}
	old, there, bad := readOptional(fsys, provenanceFile)
	if len(bad) > 0 {
		return c, bad
	}
	columns := slices.Clone(provenanceColumns[:])
	s := style{separator: ',', decimal: '.', end: "\n"}
	var b bytes.Buffer
	if there && len(bytes.TrimSpace(old)) > 0 {
		// Its numbers are whole, so that only the separator has to be found.
		t, found := schema.OpenTable(fsys, provenanceFile, nil)
		if t == nil {
			return c, errorsOf(found)
		}
		defer t.Close()
		s = styleOf(t, old)
		columns = columns[:0]
		for _, cell := range t.Header {
			columns = append(columns, strings.TrimSpace(cell.Text))
		}
		for _, need := range provenanceColumns {
			if !slices.Contains(columns, need) {
				bad = append(bad, finding("missing-column", schema.Place{File: provenanceFile, Line: 1, Column: 1}, "write it into the header again", "the column %q is missing", need))
			}
		}
		if len(bad) > 0 {
			return c, bad
		}
		c.Old = old
		b.Write(ended(old, s.end))
	} else {
		if there {
			c.Old = bytes.Clone(old)
			if c.Old == nil {
				c.Old = []byte{}
			}
		}
		s.row(&b, columns)
	}
	for _, e := range rows {
		text := map[string]string{"when": e.when, "source": e.source, "source-sha256": e.sourceSum, "readings": strconv.Itoa(e.readings), "file": e.file, "file-sha256": e.sum}
		cells := make([]string, len(columns))
		for i, name := range columns {
			cells[i] = text[name]
		}
		s.row(&b, cells)
	}
	c.New = b.Bytes()
	return c, nil
}

// Adrift tells which files are not as the last entry about them in
// provenance.csv left them: edited by hand since, or gone. It is news, not a
// fault.
func Adrift(fsys fs.FS) ([]string, error) {
	old, there, bad := readOptional(fsys, provenanceFile)
	if len(bad) > 0 {
		return nil, fmt.Errorf("reading %s: %s", provenanceFile, bad[0].Message)
	}
	if !there || len(bytes.TrimSpace(old)) == 0 {
		return nil, nil
	}
	t, found := schema.OpenTable(fsys, provenanceFile, nil)
	if t == nil {
		return nil, fmt.Errorf("reading %s: %s", provenanceFile, errorsOf(found)[0].Message)
	}
	defer t.Close()
	at := map[string]int{}
	for i, c := range t.Header {
		at[strings.TrimSpace(c.Text)] = i
	}
	file, okFile := at["file"]
	sum, okSum := at["file-sha256"]
	if !okFile || !okSum {
		return nil, nil
	}
	last := map[string]string{}
	for row, ok := t.Next(); ok; row, ok = t.Next() {
		last[strings.Clone(row.Cells[file].Text)] = strings.Clone(row.Cells[sum].Text)
	}
	var out []string
	for name, want := range last {
		if !fs.ValidPath(name) {
			continue
		}
		text, err := fs.ReadFile(fsys, name)
		if err != nil && !isAbsent(err) {
			return nil, fmt.Errorf("reading %s: %w", name, err)
		}
		if err != nil || Sum(text) != want {
			out = append(out, name)
		}
	}
	slices.Sort(out)
	return out, nil
}
