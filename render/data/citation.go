package data

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strings"

	"benchwright/report"
	"benchwright/words"
)

// Citation is how to cite the report, in one line.
func Citation(r *report.Report, baseAddress string) string {
	m := maker{r: r, book: words.For(r.Language), base: BaseAddress(r, baseAddress)}
	return m.citation()
}

func (m *maker) citation() string {
	p := m.r.Project
	var names []string
	for _, a := range p.Authors {
		names = append(names, a.Name)
	}
	year, _, _ := strings.Cut(p.Date, "-")
	text := m.book.Say("data.citation", "authors", joined(m.book, names), "year", year, "title", p.Title, "date", report.DateText(m.book, p.Date))
	if p.Licence != "" {
		text += " " + m.book.Say("data.citation.licence", "licence", p.Licence)
	}
	if m.base != "" {
		text += " " + m.base
	}
	return text
}

func joined(b *words.Book, names []string) string {
	switch len(names) {
	case 0:
		return b.Say("data.citation.nobody")
	case 1:
		return names[0]
	}
	last := len(names) - 1
	return b.Say("list.and", "first", strings.Join(names[:last], ", "), "last", names[last])
}

// citationFile writes CITATION.cff, the Citation File Format 1.2.0, which is
// YAML; a JSON string is a YAML string.
func (m *maker) citationFile() []byte {
	p := m.r.Project
	var b bytes.Buffer
	line := func(key, value string) { fmt.Fprintf(&b, "%s: %s\n", key, quoted(value)) }
	b.WriteString("cff-version: 1.2.0\n")
	line("message", m.book.Say("data.citation.message"))
	b.WriteString("type: dataset\n")
	line("title", p.Title)
	b.WriteString("authors:\n")
	if len(p.Authors) == 0 {
		fmt.Fprintf(&b, "  - name: %s\n", quoted(m.book.Say("data.citation.nobody")))
	}
	for _, a := range p.Authors {
		fmt.Fprintf(&b, "  - name: %s\n", quoted(a.Name))
		if a.URL != "" {
			fmt.Fprintf(&b, "    website: %s\n", quoted(a.URL))
		}
	}
	if p.Date != "" {
		line("date-released", p.Date)
		line("version", p.Date)
	}
	switch ids := licenceIDs(p.Licence); len(ids) {
	case 0:
	case 1:
		line("license", ids[0])
	default:
		b.WriteString("license:\n")
		for _, id := range ids {
			fmt.Fprintf(&b, "  - %s\n", quoted(id))
		}
	}
	if m.base != "" {
		line("url", m.base)
	}
	return b.Bytes()
}

// quoted writes a string that YAML reads back as it was.
func quoted(s string) string {
	b, err := json.Marshal(s)
	if err != nil { // a string always can
		return `""`
	}
	return string(b)
}

// description is the report's summary, or what it is called.
func (m *maker) description() string {
	p := m.r.Project
	var parts []string
	for _, s := range []string{p.Subtitle, p.Summary, p.Notice} {
		if s = strings.Join(strings.Fields(s), " "); s != "" {
			parts = append(parts, s)
		}
	}
	if len(parts) == 0 {
		return m.book.Say("data.package.description", "title", p.Title)
	}
	return strings.Join(parts, " ")
}
