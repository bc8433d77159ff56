package render

import (
	"encoding/xml"
	"fmt"
	"strings"

	"benchwright/report"
)

// The feed of changes (RFC 4287): an entry for every edition, the newest first.
type atomFeed struct {
	XMLName  xml.Name    `xml:"http://www.w3.org/2005/Atom feed"`
	Language string      `xml:"http://www.w3.org/XML/1998/namespace lang,attr"`
	ID       string      `xml:"id"`
	Title    string      `xml:"title"`
	Subtitle string      `xml:"subtitle,omitempty"`
	Updated  string      `xml:"updated"`
	Authors  []atomName  `xml:"author"`
	Rights   string      `xml:"rights,omitempty"`
	Links    []atomLink  `xml:"link"`
	Entries  []atomEntry `xml:"entry"`
}

type atomName struct {
	Name string `xml:"name"`
	URI  string `xml:"uri,omitempty"`
}

type atomLink struct {
	Rel  string `xml:"rel,attr,omitempty"`
	Type string `xml:"type,attr,omitempty"`
	Href string `xml:"href,attr"`
}

type atomEntry struct {
	ID      string     `xml:"id"`
	Title   string     `xml:"title"`
	Updated string     `xml:"updated"`
	Links   []atomLink `xml:"link"`
	Content atomText   `xml:"content"`
}

type atomText struct {
	Type string `xml:"type,attr"`
	Text string `xml:",chardata"`
}

// feed writes feed.atom and, where the site's address is known, sitemap.xml.
func (s *site) feed() ([]File, error) {
	p := s.r.Project
	f := atomFeed{Language: s.r.Language, ID: s.identity(""), Title: p.Title, Subtitle: p.Subtitle, Updated: midnight(p.Date), Rights: p.Licence}
	for _, a := range p.Authors {
		f.Authors = append(f.Authors, atomName{a.Name, a.URL})
	}
	if len(f.Authors) == 0 {
		f.Authors = []atomName{{Name: p.Title}} // the standard asks for one
	}
	f.Links = []atomLink{{Rel: "alternate", Type: "text/html", Href: s.base + "index.html"}, {Rel: "self", Type: "application/atom+xml", Href: s.base + "feed.atom"}}
	var turned, sentences []string
	if s.r.Changes != nil {
		turned, sentences = texts(s.r.Changes.Turned), texts(s.r.Changes.Sentences)
	}
	f.Entries = append(f.Entries, s.entry(p.Date, turned, sentences))
	if s.r.Changes != nil {
		told := map[string]bool{p.Date: true}
		for _, e := range s.r.Changes.Past {
			if !told[e.Date] { // or else an earlier state of an edition that was told of
				f.Entries = append(f.Entries, s.entry(e.Date, e.Turned, e.Sentences))
			}
			told[e.Date] = true
		}
	}
	text, err := xml.MarshalIndent(f, "", " ")
	if err != nil {
		return nil, fmt.Errorf("writing the feed: %w", err)
	}
	return []File{{Path: "feed.atom", Data: append([]byte(xml.Header), append(text, '\n')...)}}, nil
}

func texts(all []report.Sentence) []string {
	var out []string
	for _, s := range all {
		out = append(out, s.Text)
	}
	return out
}

// entry is one edition.
func (s *site) entry(date string, turned, sentences []string) atomEntry {
	all := append(append([]string(nil), turned...), sentences...)
	if len(all) == 0 {
		all = []string{s.book.Say("feed.first")}
	}
	return atomEntry{
		ID: s.identity(date), Title: s.book.Say("feed.edition", "date", s.date(date)), Updated: midnight(date),
		Links: []atomLink{{Rel: "alternate", Type: "text/html", Href: s.base + "changes.html"}}, Content: atomText{"text", strings.Join(all, "\n")},
	}
}

// midnight writes a date as RFC 3339 wants it: an edition has no hour.
func midnight(date string) string { return date + "T00:00:00Z" }

// identity gives an id that lasts: under the site's address where it has one,
// otherwise a tag (RFC 4151) made of the report's title and first date.
func (s *site) identity(of string) string {
	if s.base != "" {
		if of == "" {
			return s.base
		}
		return s.base + "changes.html#edition-" + of
	}
	name := strings.Map(func(r rune) rune {
		switch {
		case r >= 'a' && r <= 'z', r >= '0' && r <= '9':
			return r
		case r >= 'A' && r <= 'Z':
			return r + 'a' - 'A'
		}
		return '-'
	}, s.r.Project.Title)
	id := "tag:report.invalid," + firstDate(s.r) + ":" + strings.Trim(name, "-")
	if of != "" {
		id += ":" + of
	}
	return id
}

// firstDate is the date of the first edition that is known of.
func firstDate(r *report.Report) string {
	if r.Changes != nil && len(r.Changes.Past) > 0 {
		return r.Changes.Past[len(r.Changes.Past)-1].Date
	}
	return r.Project.Date
}

// sitemap lists the pages for search engines (sitemaps.org, protocol 0.9); it
// needs full addresses, so that there is none without a base address.
func (s *site) sitemap(files []File) []File {
	if s.base == "" {
		return nil
	}
	var b strings.Builder
	b.WriteString(xml.Header + `<urlset xmlns="http://www.sitemaps.org/schemas/sitemap/0.9">` + "\n")
	for _, f := range files {
		if !strings.HasSuffix(f.Path, ".html") || strings.HasPrefix(f.Path, "data/") {
			continue
		}
		b.WriteString("<url><loc>")
		_ = xml.EscapeText(&b, []byte(s.base+strings.TrimSuffix(address(f.Path), "index.html")))
		b.WriteString("</loc><lastmod>" + s.r.Project.Date + "</lastmod></url>\n")
	}
	b.WriteString("</urlset>\n")
	return []File{{Path: "sitemap.xml", Data: []byte(b.String())}}
}
