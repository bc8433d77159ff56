package render

import (
	"html/template"
	"path"
	"strings"

	"benchwright/render/notes"
	"benchwright/report"
)

// Note is a page of the author's prose with live figures in it.
type Note struct {
	Page
	Text  template.HTML `doc:"the note"`
	Notes []Link        `doc:"all notes, this one among them; empty when it is the only one"`
}

func (s *site) notePage(i int) ([]File, error) {
	n := &s.r.Notes[i]
	p := Note{Page: s.page("note", n.Page, n.Title, n.Title)}
	doc, drawn := s.prose(&p.Page, n.Text, n.File)
	p.Text = finished(doc.HTML)
	for _, h := range doc.Headings {
		if h.Level == 2 {
			p.Contents = append(p.Contents, Link{Label: h.Text, Href: "#" + h.ID})
		}
	}
	if len(p.Contents) < 4 {
		p.Contents = nil
	}
	if drawn {
		p.Scripts = append(p.Scripts, "chart.js")
	}
	if len(s.r.Notes) > 1 {
		for k := range s.r.Notes {
			p.Notes = append(p.Notes, Link{Label: s.r.Notes[k].Title, Href: p.Root + s.r.Notes[k].Page, Current: k == i})
		}
	}
	return s.fill("note", n.Page, &p)
}

// prose renders Markdown of the report with its live figures; drawn says that
// a chart is among them.
func (s *site) prose(p *Page, text, file string) (doc notes.Document, drawn bool) {
	doc = notes.Render([]byte(text), file, notes.Options{
		Size:    s.pictureSize,
		RawHTML: s.r.Project.RawHTML, Media: path.Clean("./" + p.Root), HeadingLink: s.book.Say("page.heading-link"),
		TableLabel: s.book.Say("page.table-region"), FootnoteLabel: s.book.Say("page.footnotes"),
		Replace: func(mark string, block bool) (string, error) {
			m, err := report.ParseMark(s.r.Project, mark)
			if err != nil {
				return "", err
			}
			if m.Kind == report.MarkText || !block {
				live, err := s.r.Live(m)
				if err != nil {
					return "", err
				}
				out := &markup{}
				out.link(p.statement(live).Href, live.Text)
				return string(out.b), nil
			}
			switch m.Kind {
			case report.MarkTable:
				return string(s.orderTable(p, m.Workload)), nil
			case report.MarkPairs:
				return string(s.pairsTable(p, &s.r.Questions[m.Question])), nil
			}
			c, ok := s.workloadDrawing(p, m.Workload)
			if !ok {
				return "", nil
			}
			drawn = true
			return string(s.figure(p, c)), nil
		},
	})
	return doc, drawn
}

// markdown renders a paragraph of the report's own, such as its summary.
func (s *site) markdown(p *Page, text string) template.HTML {
	if strings.TrimSpace(text) == "" {
		return ""
	}
	doc, _ := s.prose(p, text, "report.yaml")
	return finished(doc.HTML)
}
