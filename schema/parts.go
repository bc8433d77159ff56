package schema

import (
	"bytes"
	"io"
	"io/fs"

	"benchwright/cores"
)

// smallestPart is the fewest bytes for which reading a part by itself pays.
const smallestPart = 1 << 20

// Parts cuts the rows that are left into at most n tables over as many
// stretches of the file, so that they can be read side by side, and counts the
// lines of each. Rows, lines and columns are those of the whole table. There
// are no parts of a file that is short, that cannot be read at several places,
// or in which a row may go over several lines (it has quotes) or end in other
// than LF or CRLF. The table itself stays where it is, and has to be closed.
func (t *Table) Parts(n int) (parts []*Table, lines []int) {
	file, ok := t.file.(io.ReaderAt)
	if !ok || t.carriage || t.alone {
		return nil, nil
	}
	stat, ok := t.file.(fs.File)
	if !ok {
		return nil, nil
	}
	info, err := stat.Stat()
	if err != nil {
		return nil, nil
	}
	from, end := t.total-int64(t.to-t.from), info.Size()
	n = int(min(int64(n), (end-from)/smallestPart))
	if n < 2 || end > LargestTable {
		return nil, nil
	}
	cuts := make([]int64, n+1)
	cuts[0], cuts[n] = from, end
	for i := 1; i < n; i++ {
		if cuts[i], ok = nextLine(file, max(cuts[i-1], from+(end-from)/int64(n)*int64(i)), end); !ok {
			return nil, nil
		}
	}
	lines = make([]int, n)
	simple, ascii := make([]bool, n), make([]bool, n)
	cores.Each(n, func(i int) {
		lines[i], simple[i], ascii[i] = countLines(io.NewSectionReader(file, cuts[i], cuts[i+1]-cuts[i]))
	})
	line := t.line
	for i := range n {
		if !simple[i] {
			return nil, nil
		}
		part := &Table{Path: t.Path, Dialect: t.Dialect, Header: t.Header, Borrow: t.Borrow,
			file:   io.NopCloser(io.NewSectionReader(file, cuts[i], cuts[i+1]-cuts[i])),
			buffer: make([]byte, chunk), line: line, class: t.class, counts: map[string]int{}, simple: true, ascii: ascii[i]}
		parts = append(parts, part)
		line += lines[i]
	}
	return parts, lines
}

// nextLine finds the first line that begins at or behind an offset.
func nextLine(file io.ReaderAt, offset, end int64) (int64, bool) {
	block := make([]byte, 4<<10)
	for offset < end {
		n, err := file.ReadAt(block[:min(int64(len(block)), end-offset)], offset)
		if i := bytes.IndexByte(block[:n], '\n'); i >= 0 {
			return offset + int64(i) + 1, true
		}
		if n == 0 || err != nil && err != io.EOF {
			return 0, false
		}
		offset += int64(n)
	}
	return end, true
}

// countLines counts the lines of a stretch; simple is false when one of them
// needs care, and ascii when one has other characters.
func countLines(r io.Reader) (lines int, simple, ascii bool) {
	block := make([]byte, chunk)
	ascii = true
	last := byte('\n')
	for {
		n, err := r.Read(block)
		b := block[:n]
		if n > 0 {
			if bytes.IndexByte(b, '"') >= 0 || bytes.IndexByte(b, 0) >= 0 || last == '\r' && b[0] != '\n' {
				return 0, false, false
			}
			for rest := b; ; {
				i := bytes.IndexByte(rest, '\r')
				if i < 0 {
					break
				}
				if i+1 < len(rest) && rest[i+1] != '\n' {
					return 0, false, false
				}
				rest = rest[i+1:]
			}
			ascii = ascii && high(b) == 0
			lines += bytes.Count(b, []byte{'\n'})
			last = b[n-1]
		}
		if err == io.EOF {
			break
		}
		if err != nil {
			return 0, false, false
		}
	}
	if last != '\n' {
		lines++
	}
	return lines, last != '\r', ascii
}
