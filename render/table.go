package render

import (
	"strconv"
	"strings"
	"unicode/utf8"

	"benchwright/report"
)

// column is the head of one column.
type column struct {
	label string
	// note is a second, smaller line: unit and direction.
	note string
	href string
	// number right-aligns the column.
	number bool
	// still leaves the column out of sorting.
	still bool
}

// table says what a table is before its rows are written.
type table struct {
	id, caption string
	// class names from the style sheet: "relative", "matrix".
	class   string
	columns []column
	// sorts lets the script offer sorting by column.
	sorts bool
	// tall gives the table a height of its own to scroll in, with a fixed head.
	tall bool
	// fold is what the script writes on the button that brings back the rows of
	// a very long table; empty leaves all of them in place.
	fold string
}

// tallFrom is the number of rows from which a table scrolls by itself, so that
// its head stays in sight.
const tallFrom = 40

// foldFrom is the number of rows from which a table that sorts shows its first
// rows only, where scripts run: a browser takes longer than a reader waits to
// lay out all of them anew.
const foldFrom = 100

// fold is the text for a table with so many rows.
func (s *site) fold(rows int) string {
	if rows <= foldFrom {
		return ""
	}
	return s.book.Say("table.fold", "n", strconv.Itoa(rows))
}

// open writes everything before the first row: a region that scrolls sideways
// by itself and can be reached with the keyboard, the caption, the heads.
func (m *markup) open(t table) *markup {
	m.raw(`<div class="scroll`)
	if t.tall {
		m.raw(` tall`)
	}
	m.raw(`" role="region" tabindex="0" aria-labelledby="`).text(t.id).raw(`-caption"><table id="`).text(t.id).raw(`"`)
	class := t.class
	if t.sorts {
		class = strings.TrimSpace(class + " sorts")
	}
	if class != "" {
		m.raw(` class="`).text(class).raw(`"`)
	}
	if t.fold != "" {
		m.raw(` data-fold="`).text(t.fold).raw(`"`)
	}
	m.raw(`><caption id="`).text(t.id).raw(`-caption"><span>`).text(t.caption).raw("</span></caption>\n<thead><tr>")
	for _, c := range t.columns {
		m.raw(`<th scope="col"`)
		switch {
		case c.number && c.still:
			m.raw(` class="n still"`)
		case c.number:
			m.raw(` class="n"`)
		case c.still:
			m.raw(` class="still"`)
		}
		m.raw(`>`).link(c.href, c.label)
		if c.note != "" {
			m.raw(` <small>`).text(c.note).raw(`</small>`)
		}
		m.raw(`</th>`)
	}
	return m.raw("</tr></thead>\n<tbody>\n")
}

// close ends the table.
func (m *markup) close() *markup { return m.raw("</tbody></table></div>\n") }

// row starts a row; class may be empty.
func (m *markup) row(class string) *markup {
	if class == "" {
		return m.raw(`<tr>`)
	}
	return m.raw(`<tr class="`).text(class).raw(`">`)
}

// endRow ends a row.
func (m *markup) endRow() *markup { return m.raw("</tr>\n") }

// head writes the cell that names the row.
func (m *markup) head(href, label string) *markup {
	return m.raw(`<th scope="row">`).link(href, label).raw(`</th>`)
}

// cell writes a cell of words; a sentence needs room, also on a phone.
func (m *markup) cell(s string) *markup {
	if utf8.RuneCountInString(s) > sentenceFrom {
		return m.raw(`<td class="words">`).text(s).raw(`</td>`)
	}
	return m.raw(`<td>`).text(s).raw(`</td>`)
}

// sentenceFrom is the length in characters from which a cell's column does not
// become narrower than some words side by side.
const sentenceFrom = 18

// path writes the name of a file so that it breaks where its parts end: behind
// a stroke, in front of what says the kind of the file.
func (m *markup) path(name string) *markup {
	from := 0
	for i := 1; i < len(name); i++ {
		if name[i] == '.' || strings.IndexByte("/-_", name[i-1]) >= 0 {
			m.text(name[from:i]).raw(`<wbr>`)
			from = i
		}
	}
	return m.text(name[from:])
}

// linked writes a cell of words that lead somewhere.
func (m *markup) linked(href, s string) *markup { return m.raw(`<td>`).link(href, s).raw(`</td>`) }

// number writes a right-aligned cell.
func (m *markup) number(s string) *markup { return m.raw(`<td class="n">`).text(s).raw(`</td>`) }

// count writes a right-aligned whole number.
func (m *markup) count(n int) *markup { return m.raw(`<td class="n">`).integer(n).raw(`</td>`) }

// decimals lines numbers up on their decimal mark: shorter fractions get a
// punctuation space for the mark and figure spaces for the digits, which are as
// wide as what they stand for wherever figures are tabular. Readers aloud skip them.
type decimals struct {
	mark string
	most int
}

const (
	figureSpace      = "\u2007"
	punctuationSpace = "\u2008"
)

// fraction counts the digits behind the decimal mark at the end of the number
// that s starts with.
func (d *decimals) fraction(s string) (digits int, number bool) {
	at := strings.LastIndex(s, d.mark)
	rest := s
	if at >= 0 {
		rest = s[at+len(d.mark):]
	}
	for _, r := range rest {
		if r < '0' || r > '9' {
			if r == '−' || r == '+' || r == ' ' || r == '\u00a0' || r == '\u202f' {
				continue
			}
			return 0, false
		}
		digits++
	}
	if at < 0 {
		return 0, digits > 0
	}
	return digits, true
}

// see takes note of one number of the column.
func (d *decimals) see(s string) {
	if n, ok := d.fraction(s); ok {
		d.most = max(d.most, n)
	}
}

// pad gives the spaces that follow s.
func (d *decimals) pad(s string) string {
	n, ok := d.fraction(s)
	if !ok || n >= d.most {
		return ""
	}
	pad := strings.Repeat(figureSpace, d.most-n)
	if n == 0 {
		pad = punctuationSpace + pad
	}
	return pad
}

// shorten cuts s after n characters, at a space where one is near, for places
// such as a page's description.
func shorten(s string, n int) string {
	if utf8.RuneCountInString(s) <= n {
		return s
	}
	cut := string([]rune(s)[:n-1])
	if at := strings.LastIndexByte(cut, ' '); at > n*2/3 {
		cut = cut[:at]
	}
	return strings.TrimRight(cut, " ,;:–—") + "…"
}

// bare takes the unit off a text whose column names it.
func bare(text, unit string) string {
	if unit == "" {
		return text
	}
	return strings.TrimSuffix(text, "\u00a0"+unit)
}

// shown is the text of a figure in a table cell.
func shown(f report.Figure) string {
	if f.Short != "" {
		return f.Short
	}
	return f.Text
}
