package record

import (
	"bytes"
	"io/fs"
	"strings"

	"benchwright/schema"
)

// style is how a file writes its rows.
type style struct {
	separator, decimal byte
	end                string
	// quoted says of each column whether its cells stand in quotes though they
	// need not.
	quoted []bool
}

// styleRows is how many rows of a file are looked at for their quotes.
const styleRows = 50

// styleOf finds out the style of a table that has just been opened, by reading
// the first of its rows.
func styleOf(t *schema.Table, text []byte) style {
	s := style{separator: t.Dialect.Separator, decimal: t.Dialect.Decimal, end: lineEnd(text), quoted: make([]bool, len(t.Header))}
	filled := make([]bool, len(t.Header))
	all := true
	for _, c := range t.Header {
		all = all && c.Quoted
	}
	for n := 0; n < styleRows; n++ {
		row, ok := t.Next()
		if !ok {
			break
		}
		for i, c := range row.Cells {
			if c.Text == "" && !c.Quoted {
				continue
			}
			if !filled[i] {
				filled[i], s.quoted[i] = true, c.Quoted
			}
			s.quoted[i] = s.quoted[i] && c.Quoted
		}
	}
	for i := range filled {
		if !filled[i] {
			s.quoted[i] = all
		}
	}
	return s
}

// lineEnd is how the first line of a text ends: "\n", "\r\n" or "\r".
func lineEnd(text []byte) string {
	i := bytes.IndexAny(text, "\r\n")
	switch {
	case i < 0 || text[i] == '\n':
		return "\n"
	case i+1 < len(text) && text[i+1] == '\n':
		return "\r\n"
	}
	return "\r"
}

// ended gives a text whose last line has an end.
func ended(text []byte, end string) []byte {
	out := bytes.Clone(text)
	if n := len(out); n > 0 && out[n-1] != '\n' && out[n-1] != '\r' {
		out = append(out, end...)
	}
	return out
}

// lines counts the lines of a text whose last line has an end.
func lines(text []byte, end string) int { return bytes.Count(text, []byte(end[len(end)-1:])) }

// row writes one row.
func (s style) row(b *bytes.Buffer, cells []string) {
	for i, c := range cells {
		if i > 0 {
			b.WriteByte(s.separator)
		}
		if i < len(s.quoted) && s.quoted[i] {
			b.WriteString(`"` + strings.ReplaceAll(c, `"`, `""`) + `"`)
		} else {
			b.WriteString(quote(c, s.separator))
		}
	}
	b.WriteString(s.end)
}

// number writes a value with the file's decimal mark.
func (s style) number(value string) string {
	if s.decimal == ',' {
		return strings.Replace(value, ".", ",", 1)
	}
	return value
}

// quote puts a cell in quotation marks where RFC 4180 asks for them.
func quote(s string, separator byte) string {
	if s == "" || !strings.ContainsAny(s, string(rune(separator))+"\"\r\n") && s == strings.TrimSpace(s) {
		return s
	}
	return `"` + strings.ReplaceAll(s, `"`, `""`) + `"`
}

// readOptional reads a file that need not be there.
func readOptional(fsys fs.FS, name string) (text []byte, there bool, bad []schema.Finding) {
	if _, err := fs.Stat(fsys, name); err != nil && isAbsent(err) {
		return nil, false, nil
	}
	text, err := fs.ReadFile(fsys, name)
	if err != nil {
		return nil, true, []schema.Finding{finding("cannot-read", schema.Place{File: name}, "", "cannot be read: %v", err)}
	}
	return text, true, nil
}
