package render

import (
	"html/template"
	"math"
	"strconv"
	"unicode/utf8"
)

// markup is HTML in the making. Everything that comes from a person goes
// through text, which escapes it for element content and for quoted attributes
// alike; raw takes literals of this package only.
type markup struct{ b []byte }

// raw appends markup that is written in this package's source.
func (m *markup) raw(parts ...string) *markup {
	for _, p := range parts {
		m.b = append(m.b, p...)
	}
	return m
}

// text appends s with the five characters that mean something to HTML escaped,
// and characters that no HTML document may hold replaced.
func (m *markup) text(s string) *markup {
	start := 0
	for i := 0; i < len(s); {
		c := s[i]
		if c >= utf8.RuneSelf {
			r, n := utf8.DecodeRuneInString(s[i:])
			if (r == utf8.RuneError && n == 1) || (r >= 0x80 && r < 0xA0) || (r >= 0xFDD0 && r <= 0xFDEF) || r&0xFFFE == 0xFFFE {
				m.b = append(append(m.b, s[start:i]...), "\uFFFD"...)
				start = i + n
			}
			i += n
			continue
		}
		var with string
		switch {
		case c == '&':
			with = "&amp;"
		case c == '<':
			with = "&lt;"
		case c == '>':
			with = "&gt;"
		case c == '"':
			with = "&#34;"
		case c == '\'':
			with = "&#39;"
		case c < ' ' && c != '\n' && c != '\t', c == 0x7F:
			with = "\uFFFD"
		}
		if with != "" {
			m.b = append(append(m.b, s[start:i]...), with...)
			start = i + 1
		}
		i++
	}
	m.b = append(m.b, s[start:]...)
	return m
}

// link appends an anchor, or the bare text when there is nowhere to go.
func (m *markup) link(href, label string) *markup {
	if href == "" {
		return m.text(label)
	}
	return m.raw(`<a href="`).text(href).raw(`">`).text(label).raw(`</a>`)
}

// integer appends a whole number.
func (m *markup) integer(n int) *markup {
	m.b = strconv.AppendInt(m.b, int64(n), 10)
	return m
}

// sortValue appends a number for the script that sorts: as short as tells
// values apart (six digits). It is never shown.
func (m *markup) sortValue(v float64) *markup {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return m
	}
	m.b = strconv.AppendFloat(m.b, v, 'g', 6, 64)
	return m
}

// coordinate appends a length of a drawing, in tenths.
func (m *markup) coordinate(v float64) *markup {
	m.b = strconv.AppendFloat(m.b, math.Round(v*10)/10, 'f', -1, 64)
	return m
}

// html hands the finished markup to a template. This is safe because every
// part was either a literal of this package or escaped by text.
func (m *markup) html() template.HTML { return template.HTML(m.b) }

// finished marks HTML that another package of this module made and vouches
// for: drawn charts (package chart escapes every text) and notes (package notes
// leaves raw HTML out unless the project asks for it).
func finished(s string) template.HTML { return template.HTML(s) }
