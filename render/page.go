package render

import (
	"html/template"
	"strings"

	"benchwright/report"
	"benchwright/words"
)

// Link is a place to go.
type Link struct {
	Label   string `doc:"what the link says"`
	Href    string `doc:"where it goes, relative to the page"`
	Current bool   `doc:"it is the page itself"`
}

// Page is what every page has. Page structs embed it, so templates reach its
// fields as {{.Title}} and the labels as {{.Say "key"}}.
type Page struct {
	Language    string        `doc:"language tag of the report, for the lang attribute"`
	Direction   string        `doc:"ltr or rtl"`
	Path        string        `doc:"path of the page from the root of the site"`
	Root        string        `doc:"way back to the root of the site: empty, or ../"`
	Kind        string        `doc:"which template fills the page; a class on the body"`
	Heading     string        `doc:"the one h1"`
	Title       string        `doc:"the title of the window: heading and report"`
	Report      string        `doc:"title of the report"`
	Notice      string        `doc:"what every reader must know first, such as that the data are invented; empty for nothing"`
	Description string        `doc:"one or two sentences for those who link to the page"`
	Policy      string        `doc:"the Content-Security-Policy"`
	Canonical   string        `doc:"full address of the page; empty without a base address"`
	Picture     string        `doc:"full address of the picture for links; empty without a base address"`
	Nav         []Link        `doc:"the site's pages"`
	Contents    []Link        `doc:"the page's sections; empty on short pages"`
	Scripts     []string      `doc:"scripts by file name, in the order in which they run"`
	Linked      template.HTML `doc:"data block for machines (JSON-LD); empty on most pages"`
	Data        string        `doc:"page from which everything can be taken away; empty on the own pages of a shelf, whose reports have one each"`
	Edition     string        `doc:"when this edition was published, in words"`
	Licence     string        `doc:"licence of the report, as an SPDX identifier"`
	Authors     string        `doc:"who made the report"`

	book *words.Book
	// called gives the title of a page of the site by its path.
	called func(path string) string
}

// Say gives the label of a key in the report's language.
func (p Page) Say(key string, gaps ...string) string { return p.book.Say(key, gaps...) }

// Count gives the label of a key that counts.
func (p Page) Count(key string, n int, gaps ...string) string { return p.book.Count(key, n, gaps...) }

// Statement is a sentence of the report with the way to its numbers.
type Statement struct {
	Text  string `doc:"the sentence"`
	Href  string `doc:"where its numbers stand; empty if on the spot"`
	Where string `doc:"what the way there is called"`
}

// Remark is a finding as shown on a page.
type Remark struct {
	Severity     string `doc:"error, warning or notice: a class"`
	SeverityText string `doc:"the same in the report's language"`
	Message      string `doc:"what was found"`
	Remedy       string `doc:"what would set it right"`
	Rule         string `doc:"name of the rule"`
	RuleHref     string `doc:"page of the rule"`
	Place        string `doc:"file, line and column in the project folder"`
	Silenced     string `doc:"the project's reason for silencing it; empty if it was not"`
}

// Picture is a photograph.
type Picture struct {
	Source string `doc:"address of the file"`
	Text   string `doc:"alternative text, also shown below"`
	Width  int    `doc:"in pixels; 0 when not known"`
	Height int    `doc:"in pixels; 0 when not known"`
}

// Block is a titled group of label and text: the head of a page.
type Block struct {
	Label string `doc:"small line above"`
	Text  string `doc:"the text"`
	Href  string `doc:"where it leads; empty for none"`
}

// rightToLeft holds the languages written from right to left.
var rightToLeft = [...]string{"ar", "fa", "he", "ur", "yi", "ps", "sd", "ug", "dv", "ckb"}

func direction(language string) string {
	primary, _, _ := strings.Cut(language, "-")
	for _, l := range rightToLeft {
		if l == primary {
			return "rtl"
		}
	}
	return "ltr"
}

// page starts the value of a page at a path.
func (s *site) page(kind, path, heading, description string) Page {
	root := strings.Repeat("../", strings.Count(path, "/"))
	p := Page{
		Language: s.r.Language, Direction: direction(s.r.Language), Path: path, Root: root, Kind: kind,
		Heading: heading, Title: heading, Report: s.r.Project.Title, Notice: s.r.Project.Notice, Description: shorten(description, 200),
		Policy: policy, Data: root + "data.html", Edition: s.date(s.r.Project.Date), Licence: s.r.Project.Licence, Authors: s.authors, book: s.book, called: s.called, Scripts: []string{"page.js"},
	}
	if kind != "overview" {
		p.Title = heading + " – " + s.r.Project.Title
	}
	if s.base != "" {
		p.Canonical = s.base + strings.TrimSuffix(path, "index.html")
		p.Picture = s.base + "assets/card.png"
	}
	for _, n := range s.nav {
		p.Nav = append(p.Nav, Link{n.Label, root + n.Href, n.Href == path})
	}
	return p
}

// called gives the title of a page by its path; empty for one that no sentence
// leads to.
func (s *site) called(path string) string {
	for i := range s.r.Workloads {
		if s.r.Workloads[i].Page == path {
			return s.workloadLabel(i)
		}
	}
	for i := range s.r.Questions {
		if s.r.Questions[i].Page == path {
			return s.r.Questions[i].Ask
		}
	}
	for i := range s.r.Configurations {
		if s.r.Configurations[i].Page == path {
			return s.label(i)
		}
	}
	for _, n := range s.nav {
		if n.Href == path {
			return n.Label
		}
	}
	return ""
}

// policy lets a page load its own files and nothing else, and run no script or
// style that is written into the page.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; base-uri 'none'; form-action 'none'"

// statement turns a sentence's site path into the way from a page.
func (p *Page) statement(s report.Sentence) Statement {
	if s.Link == "" {
		return Statement{Text: s.Text}
	}
	if rest, ok := strings.CutPrefix(s.Link, p.Path+"#"); ok {
		return Statement{s.Text, "#" + rest, p.where("", rest)}
	}
	path, fragment, _ := strings.Cut(s.Link, "#")
	return Statement{s.Text, p.Root + s.Link, p.where(path, fragment)}
}

// places names the sections that sentences lead to, by fragment.
var places = map[string]string{
	"relative": "page.relative", "insights": "page.insights", "table": "workload.order", "response": "workload.responses",
	"effects": "question.effects", "dependence": "question.dependence", "pairs": "question.pairs", "failed": "question.failed",
	"missing": "question.missing", "model": "method.model", "figures": "changes.figures", "new": "changes.new",
	"corrected": "changes.corrected", "withdrawn": "changes.withdrawn", "findings": "page.findings", "outside": "yours.outside",
}

// where names what a sentence leads to: the page, if it is another, and the
// section of it. An arrow alone would say as much of each.
func (p *Page) where(path, fragment string) string {
	var name []string
	if path != "" && path != p.Path && p.called != nil {
		if title := p.called(path); title != "" {
			name = append(name, title)
		}
	}
	if key, ok := places[fragment]; ok {
		name = append(name, p.book.Say(key))
	}
	if len(name) == 0 {
		return p.book.Say("page.where")
	}
	return p.book.Say("page.where.named", "name", strings.Join(name, ", "))
}

func (p *Page) statements(all []report.Sentence) []Statement {
	out := make([]Statement, 0, len(all))
	for _, s := range all {
		if s.Text != "" {
			out = append(out, p.statement(s))
		}
	}
	return out
}

// section adds a line to the page's table of contents.
func (p *Page) section(id, key string) {
	p.Contents = append(p.Contents, Link{Label: p.book.Say(key), Href: "#" + id})
}
