package edition

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"path"
	"strconv"
	"strings"
	"unicode/utf8"
)

// differences compares a published file with the recomputed one: cell by cell
// for tables, value by value for JSON, line by line for other text. It gives at
// most LimitPerFile, and how many more there are. With meaning, only what the
// data say is compared, not how they are written.
func differences(name string, published, recomputed []byte, meaning bool) (found []Difference, further int) {
	if bytes.Equal(published, recomputed) {
		return nil, 0
	}
	c := &collector{name: name}
	if meaning {
		c.meaning(published, recomputed)
		if len(c.found) > 0 {
			c.found[len(c.found)-1].Further = c.further
		}
		return c.found, c.further
	}
	switch {
	case bytes.IndexByte(published, 0) >= 0 || bytes.IndexByte(recomputed, 0) >= 0:
		c.add(Difference{Note: "has other bytes"})
	case path.Ext(name) == ".csv":
		c.table(published, recomputed)
	default:
		c.text(published, recomputed, path.Ext(name) == ".json")
	}
	if len(c.found) == 0 { // the same values in other bytes
		c.text(published, recomputed, false)
	}
	c.found[len(c.found)-1].Further = c.further
	return c.found, c.further
}

// collector keeps the first differences of a file and counts the others.
type collector struct {
	name    string
	found   []Difference
	further int
}

func (c *collector) full() bool { return len(c.found) >= LimitPerFile }

func (c *collector) add(d Difference) {
	if c.full() {
		c.further++
		return
	}
	d.File = c.name
	const most = 160
	d.Published, d.Recomputed = Around(strings.ToValidUTF8(d.Published, "\uFFFD"), strings.ToValidUTF8(d.Recomputed, "\uFFFD"), most)
	c.found = append(c.found, d)
}

// Around cuts two texts to at most so many characters each, around the first
// place at which they part, so that the difference is among what is left. What
// was cut off is an ellipsis.
func Around(published, recomputed string, most int) (string, string) {
	a, b := []rune(published), []rune(recomputed)
	if len(a) <= most && len(b) <= most {
		return published, recomputed
	}
	same := 0
	for same < len(a) && same < len(b) && a[same] == b[same] {
		same++
	}
	start := max(0, same-most/3)
	return part(a, start, most), part(b, start, most)
}

// part gives most characters from start on, the ellipses counted.
func part(text []rune, start, most int) string {
	before, behind := "", ""
	if start > 0 {
		before = "…"
		start++
		most--
	}
	rest := text[min(start, len(text)):]
	if len(rest) > most {
		rest, behind = rest[:max(most-1, 0)], "…"
	}
	return before + string(rest) + behind
}

// table compares two CSV files row by row and cell by cell.
func (c *collector) table(published, recomputed []byte) {
	a, b := csv.NewReader(bytes.NewReader(published)), csv.NewReader(bytes.NewReader(recomputed))
	for _, r := range []*csv.Reader{a, b} {
		r.FieldsPerRecord = -1
		r.ReuseRecord = true
	}
	var header []string
	for {
		rowA, errA := a.Read()
		rowB, errB := b.Read()
		endA, endB := errors.Is(errA, io.EOF), errors.Is(errB, io.EOF)
		switch {
		case endA && endB:
			return
		case errA != nil && !endA:
			d := Difference{Note: "is no table any more: " + errA.Error()}
			var at *csv.ParseError
			if errors.As(errA, &at) {
				d.Line, d.Column, d.Note = at.Line, at.Column, "is no table any more: "+at.Err.Error()
			}
			c.add(d)
			return
		case endA:
			c.add(Difference{Line: lines(published), Note: "ends too early", Recomputed: strings.Join(rowB, ",")})
			return
		case endB || errB != nil:
			line, _ := a.FieldPos(0)
			c.add(Difference{Line: line, Note: "goes on after its end", Published: strings.Join(rowA, ",")})
			return
		}
		if header == nil {
			header = append([]string{}, rowB...)
		}
		for i := range max(len(rowA), len(rowB)) {
			var x, y string
			d := Difference{}
			if i < len(rowA) {
				x = rowA[i]
				d.Line, d.Column = a.FieldPos(i)
			} else {
				d.Line, _ = a.FieldPos(0)
				d.Note = "the row is too short"
			}
			if i < len(rowB) {
				y = rowB[i]
			} else {
				d.Note = "the row is too long"
			}
			if x == y && d.Note == "" {
				continue
			}
			if i < len(header) {
				d.Field = header[i]
			}
			if d.Column > 0 && !c.full() {
				d.Column = characters(published, d.Line, d.Column)
			}
			d.Published, d.Recomputed = x, y
			c.add(d)
		}
	}
}

func lines(text []byte) int { return bytes.Count(text, []byte("\n")) }

// characters turns a column in bytes into one in characters.
func characters(text []byte, line, column int) int {
	for ; line > 1; line-- {
		_, text, _ = bytes.Cut(text, []byte("\n"))
	}
	return 1 + utf8.RuneCount(text[:min(column-1, len(text))])
}

// text compares line by line; where lines were put in or taken out, only the
// first difference can be told.
func (c *collector) text(published, recomputed []byte, isJSON bool) {
	same := lines(published) == lines(recomputed)
	var spots []spot
	a, b := published, recomputed
	atA, atB := 0, 0
	for line := 1; (len(a) > 0 || len(b) > 0) && (same || len(spots) == 0); line++ {
		lineA, restA, _ := bytes.Cut(a, []byte("\n"))
		lineB, restB, _ := bytes.Cut(b, []byte("\n"))
		switch differ := !bytes.Equal(lineA, lineB) || (len(a) == 0) != (len(b) == 0); {
		case differ && len(spots) == LimitPerFile:
			c.further++ // counted, not kept
		case differ:
			n := 0
			for n < len(lineA) && n < len(lineB) && lineA[n] == lineB[n] {
				n++
			}
			// Not from the middle of a character.
			for n > 0 && n < len(lineA) && !utf8.RuneStart(lineA[n]) {
				n--
			}
			spots = append(spots, spot{line: line, column: 1 + utf8.RuneCount(lineA[:n]), here: atA + n, there: atB + n,
				published: string(lineA), recomputed: string(lineB)})
		}
		atA, atB = atA+len(a)-len(restA), atB+len(b)-len(restB)
		a, b = restA, restB
	}
	if isJSON {
		resolve(published, spots, func(s *spot) int { return s.here }, func(s *spot, field, value string) { s.field, s.published = field, value })
		resolve(recomputed, spots, func(s *spot) int { return s.there }, func(s *spot, _, value string) { s.recomputed = value })
	}
	for _, s := range spots {
		c.add(Difference{Line: s.line, Column: s.column, Field: s.field, Published: strings.TrimRight(s.published, "\r"), Recomputed: strings.TrimRight(s.recomputed, "\r")})
	}
	if len(spots) == 0 { // nothing but an ending line feed
		c.add(Difference{Line: max(lines(published), 1), Note: "ends in another way"})
	}
}

// spot is a place at which two texts part.
type spot struct {
	line, column          int
	here, there           int // offsets in bytes
	field                 string
	published, recomputed string
}

// resolve finds, for each spot, the JSON value that it lies in and the path to
// it (RFC 6901). What cannot be read as JSON keeps the line as its value.
func resolve(text []byte, spots []spot, at func(*spot) int, set func(s *spot, field, value string)) {
	d := json.NewDecoder(bytes.NewReader(text))
	d.UseNumber()
	type frame struct {
		list  bool
		index int
		key   string
		named bool // a key was read and its value is to come
	}
	var stack []frame
	pointer := func() string {
		var b strings.Builder
		for _, f := range stack {
			b.WriteByte('/')
			if f.list {
				b.WriteString(strconv.Itoa(f.index))
			} else {
				b.WriteString(strings.NewReplacer("~", "~0", "/", "~1").Replace(f.key))
			}
		}
		return b.String()
	}
	next, end := 0, 0
	for next < len(spots) {
		token, err := d.Token()
		if err != nil {
			return
		}
		begin := end
		end = int(d.InputOffset())
		delim, isDelim := token.(json.Delim)
		top := len(stack) - 1
		isKey := false
		if top >= 0 && !stack[top].list && !stack[top].named && !(isDelim && delim == '}') {
			if s, ok := token.(string); ok {
				stack[top].key, isKey = s, true
			}
		}
		// A number that goes on in the other text parts right behind its end here.
		behind := end
		if _, isNumber := token.(json.Number); isNumber {
			behind++
		}
		for next < len(spots) && at(&spots[next]) < behind {
			value := strings.TrimLeft(string(text[begin:end]), " \t\r\n,:")
			if s, ok := token.(string); ok {
				value = s
			}
			set(&spots[next], pointer(), fmt.Sprint(value))
			next++
		}
		switch {
		case isKey:
			stack[top].named = true
			continue
		case isDelim && (delim == '{' || delim == '['):
			stack = append(stack, frame{list: delim == '['})
			continue
		case isDelim:
			stack = stack[:top]
			top--
		}
		if top >= 0 {
			stack[top].index++
			stack[top].named = false
		}
	}
}
