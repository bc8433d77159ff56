package render

import (
	"cmp"
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
	Terms  string        `doc:"what the licence allows, in a sentence"`
	Cite   string        `doc:"how to cite the report"`
	Check  string        `doc:"how to check the files against their checksums"`
	Rights string        `doc:"the licence, as an SPDX identifier"`
}

func (s *site) dataPage() ([]File, error) {
	p := Data{Page: s.page("data", "data.html", s.book.Say("data.title"), s.book.Say("data.description", "report", s.r.Project.Title))}
	p.Rights = s.r.Project.Licence
	p.Cite = s.citation()
	taken := s.dataFiles()
	t := table{id: "data-table", caption: s.book.Say("table.files.caption"),
		columns: []column{{label: s.book.Say("table.file")}, {label: s.book.Say("table.what")}, {label: s.book.Say("table.size"), number: true}}}
	m := (&markup{}).open(t)
	for _, f := range taken {
		m.row("").raw(`<th scope="row"><a href="`).text(p.Root + f.Path).raw(`" download>`).text(f.Path).raw(`</a></th>`)
		m.cell(f.What).number(s.size(f.Size)).endRow()
	}
	p.Files = m.close().html()
	p.Linked = s.dataset(&p.Page)
	return s.fill("data", "data.html", &p)
}

// size writes a number of bytes for people.
func (s *site) size(n int) string {
	switch {
	case n < 1000:
		return strconv.Itoa(n) + "\u00a0B"
	case n < 1000000:
		return strconv.Itoa((n+500)/1000) + "\u00a0kB"
	}
	return strconv.Itoa((n+500000)/1000000) + "\u00a0MB"
}

// dataFiles lists what can be taken away: the tables and records first, then
// what they were computed from.
func (s *site) dataFiles() []data.Listed {
	listed := data.List(s.o.Data, s.r.Language)
	slices.SortStableFunc(listed, func(a, b data.Listed) int { return cmp.Compare(depth(a.Path), depth(b.Path)) })
	return listed
}

// depth is 1 for the project folder's own files, 0 for what came out.
func depth(path string) int {
	if strings.HasPrefix(path, data.Inputs) {
		return 1
	}
	return 0
}

func (s *site) citation() string { return data.Citation(s.r, s.base) }

// dataset is the data block for search engines. It is safe in a script element:
// package data writes <, > and & as escapes of JSON.
func (s *site) dataset(*Page) template.HTML {
	return finished(`<script type="application/ld+json">` + string(data.Dataset(s.r, s.o.Data, s.base)) + `</script>`)
}
