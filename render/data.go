package render

import (
	"html/template"
	"slices"
	"strconv"
	"strings"

	"benchwright/render/data"
)

// Data is the page from which everything can be taken away and recomputed.
type Data struct {
	Page
	Files  template.HTML `doc:"table of the files to take away"`
	Folder template.HTML `doc:"table of the project folder's own files"`
	Check  string        `doc:"how to check the files against their checksums"`
	Rights string        `doc:"the licence, as an SPDX identifier"`
	Cite   string        `doc:"how to cite the report"`
}

// listed gives the files of the data, as soon as they are known.
func (s *site) listed() ([]data.Listed, error) {
	if s.o.Data == nil {
		return nil, nil
	}
	return s.o.Data()
}

func (s *site) dataPage() ([]File, error) {
	listed, err := s.listed()
	if err != nil {
		return nil, err
	}
	p := Data{Page: s.page("data", "data.html", s.book.Say("data.title"), s.book.Say("data.description", "report", s.r.Project.Title))}
	p.Rights = s.r.Project.Licence
	p.Cite = data.Citation(s.r, s.base)
	p.Check = s.book.Say("data.check")
	var made, given []data.Listed
	for _, f := range listed {
		if strings.HasPrefix(f.Path, data.Inputs) {
			given = append(given, f)
		} else {
			made = append(made, f)
		}
	}
	p.Files = s.filesTable(&p.Page, "data-table", "table.files.caption", made)
	p.Folder = s.filesTable(&p.Page, "folder-table", "table.folder.caption", given)
	if len(listed) > 0 {
		m := &markup{}
		m.raw(`<script type="application/ld+json">`)
		// Dataset writes <, > and & as escapes, so that nothing in it ends the script.
		m.b = append(m.b, data.Dataset(s.r, listed, s.base)...)
		p.Linked = finished(string(m.raw(`</script>`).b))
	}
	return s.fill("data", "data.html", &p)
}

// filesTable lists files with what they hold and their size.
func (s *site) filesTable(p *Page, id, caption string, files []data.Listed) template.HTML {
	if len(files) == 0 {
		return ""
	}
	t := table{id: id, tall: len(files) > tallFrom, caption: s.book.Say(caption),
		columns: []column{{label: s.book.Say("table.file")}, {label: s.book.Say("table.what")}, {label: s.book.Say("table.size"), number: true}}}
	m := (&markup{}).open(t)
	for _, f := range files {
		m.row("").raw(`<th scope="row"><a href="`).text(p.Root + address(f.Path)).raw(`" download>`).path(strings.TrimPrefix(f.Path, data.Folder)).raw(`</a></th>`)
		m.cell(f.What).number(s.bytes(f.Size)).endRow()
	}
	return m.close().html()
}

// address writes a path as part of an address: what has a meaning there, or is
// no part of the alphabet of addresses (RFC 3986), is written in hexadecimal.
func address(path string) string {
	if !strings.ContainsFunc(path, func(r rune) bool { return !unreserved(r) }) {
		return path
	}
	var b strings.Builder
	for _, c := range []byte(path) {
		if c < 0x80 && unreserved(rune(c)) {
			b.WriteByte(c)
			continue
		}
		b.WriteString("%" + strings.ToUpper(strconv.FormatUint(uint64(c)|0x100, 16)[1:]))
	}
	return b.String()
}

func unreserved(r rune) bool {
	return r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || slices.Contains([]rune("-._~/"), r)
}

// bytes writes a number of bytes for people.
func (s *site) bytes(n int) string {
	switch {
	case n < 1000:
		return strconv.Itoa(n) + "\u00a0B"
	case n < 1000000:
		return strconv.Itoa((n+500)/1000) + "\u00a0kB"
	}
	return strconv.Itoa((n+500000)/1000000) + "\u00a0MB"
}
