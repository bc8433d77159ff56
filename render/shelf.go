package render

import (
	"html/template"
	"slices"
	"strconv"
	"strings"

	"benchwright/project"
	"benchwright/report"
	"benchwright/themes"
	"benchwright/words"
)

// Shelf is the first page of a site of several reports.
type Shelf struct {
	Page
	Subtitle     string        `doc:"second line of the title"`
	Introduction template.HTML `doc:"what the reports have in common, in the author's words"`
	Block        []Block       `doc:"who publishes how many reports"`
	Reports      []ReportCard  `doc:"the reports with their first answers"`
	SideBySide   []Link        `doc:"the pages that lay reports side by side; empty when no two have a workload in common"`
}

// ReportCard is a report on the first page of a shelf.
type ReportCard struct {
	ID        string         `doc:"fragment: the folder of the report"`
	Href      string         `doc:"its overview"`
	Language  string         `doc:"language tag of the report, for the lang attribute; empty when it is the page's"`
	Direction string         `doc:"ltr or rtl; empty when it is the page's"`
	Title     string         `doc:"title of the report"`
	Subtitle  string         `doc:"its second line"`
	Notice    string         `doc:"what every reader must know first"`
	Facts     []string       `doc:"who, when, how many configurations and readings, in words"`
	Questions []QuestionLine `doc:"its first questions with their answers"`
	More      Link           `doc:"the way to the other questions; empty when all are shown"`
	None      string         `doc:"said in place of questions by a report without any"`
	Checked   Statement      `doc:"how many findings it has, with the way to them"`
	Open      string         `doc:"what the way to the report is called"`
}

// ShelfOptions are what a publication of a shelf may choose beside the theme.
type ShelfOptions struct {
	// BaseAddress is where the shelf will stand, with a closing slash; empty when
	// nobody said.
	BaseAddress string
	// Figures is the path of the table of all figures across reports, for a link.
	Figures string
}

// mostAnswers is how many answers of a report the first page shows.
const mostAnswers = 3

// shelf is what the shelf's own pages share. Its site is that of a report which
// has a title, a date and a language and nothing else.
type shelf struct {
	*site
	sh      *report.Shelf
	figures string // path of the table of all figures
}

// ShelfSite lays out the shelf's own pages: everything but the reports, whose
// sites stand beside them, each in the folder of its name. The error says what
// of the theme could not be used.
func ShelfSite(sh *report.Shelf, theme *themes.Theme, o ShelfOptions) ([]File, error) {
	own := &report.Report{Language: sh.Language, Confidence: sh.Confidence, Project: &project.Project{
		Title: sh.Title, Subtitle: sh.Subtitle, Summary: sh.Introduction, Date: sh.Date, Licence: sh.Licence, Language: sh.Language,
		Authors: sh.Authors, BaseAddress: o.BaseAddress,
	}}
	s := &shelf{sh: sh, figures: o.Figures, site: &site{r: own, theme: theme, book: words.For(sh.Language), base: o.BaseAddress}}
	var names []string
	for _, a := range sh.Authors {
		names = append(names, a.Name)
	}
	s.authors = s.list(names)
	var err error
	if s.set, err = parse(theme); err != nil {
		return nil, err
	}
	s.nav = []Link{{Label: s.book.Say("nav.reports"), Href: "index.html"}, {Label: s.book.Say("nav.shared"), Href: "workloads.html"}, {Label: s.book.Say("nav.across"), Href: "across.html"}}
	built, err := s.inParallel([]job{s.first, s.sharedPage, s.acrossPage, s.shelfFeed})
	if err != nil {
		return nil, err
	}
	files := slices.Concat(s.shelfAssets(), slices.Concat(built...))
	files = append(files, s.shelfSitemap(files)...)
	slices.SortFunc(files, func(a, b File) int { return strings.Compare(a.Path, b.Path) })
	return files, nil
}

// own starts the value of one of the shelf's pages.
func (s *shelf) own(kind, path, heading, description string) Page {
	p := s.page(kind, path, heading, description)
	p.Data, p.Picture = "", "" // every report has its own
	if kind == "shelf" {
		p.Title = heading
	}
	return p
}

// first is the page that lists the reports.
func (s *shelf) first() ([]File, error) {
	p := Shelf{Page: s.own("shelf", "index.html", s.sh.Title, s.sh.Subtitle), Subtitle: s.sh.Subtitle}
	if p.Description == "" {
		p.Description = shorten(s.sh.Introduction, 200)
	}
	p.Introduction = s.markdown(&p.Page, s.sh.Introduction)
	add := func(key, text, href string) {
		if text != "" {
			p.Block = append(p.Block, Block{s.book.Say(key), text, href})
		}
	}
	add("shelf.block.by", s.authors, "")
	add("shelf.block.reports", strconv.Itoa(len(s.sh.Reports)), "")
	alike := 0
	for i := range s.sh.Workloads {
		if len(s.sh.Workloads[i].Rows) > 0 {
			alike++
		}
	}
	shared := strconv.Itoa(alike)
	if of := len(s.sh.Workloads); alike < of {
		shared = s.book.Say("shelf.shared.some", "n", shared, "of", strconv.Itoa(of))
	}
	add("shelf.block.shared", shared, "workloads.html")
	add("shelf.block.newest", s.date(s.sh.Date), "")
	add("page.block.licence", s.sh.Licence, "")
	// One span for the marks of all reports: they stand on one page.
	sp := span{log: true}
	sp.include(1)
	for i := range s.sh.Reports {
		s.of(i).seeAnswers(&sp, mostAnswers)
	}
	for i := range s.sh.Reports {
		p.Reports = append(p.Reports, s.reportCard(i, &sp))
	}
	if len(s.sh.Pairs) > 0 {
		p.SideBySide = s.nav[1:]
	}
	return s.fill("shelf", "index.html", &p)
}

// of is the site of one report, for what its own pages would say.
func (s *shelf) of(i int) *site {
	r := s.sh.Reports[i].Report
	of := &site{r: r, book: words.For(r.Language)}
	var names []string
	for _, a := range r.Project.Authors {
		names = append(names, a.Name)
	}
	of.authors = of.list(names)
	return of
}

// reportCard shows one report, in its own language throughout.
func (s *shelf) reportCard(i int, sp *span) ReportCard {
	r, of := &s.sh.Reports[i], s.of(i)
	root := r.Folder + "/"
	c := ReportCard{ID: r.Folder, Href: root + "index.html", Title: r.Project.Title, Subtitle: r.Project.Subtitle, Notice: r.Project.Notice,
		Open: of.book.Say("shelf.open")}
	if r.Language != s.sh.Language {
		c.Language, c.Direction = r.Language, direction(r.Language)
	}
	add := func(text string) {
		if text != "" {
			c.Facts = append(c.Facts, text)
		}
	}
	add(of.authors)
	add(of.book.Say("shelf.edition", "date", of.date(r.Project.Date)))
	add(of.book.Count("shelf.count.configurations", r.Counts.Tested))
	add(of.book.Count("page.count.readings", r.Counts.Readings))
	at := Page{Root: root, book: of.book}
	c.Questions = of.questionLinesOn(&at, sp)
	if more := len(c.Questions) - mostAnswers; more > 0 {
		c.Questions = c.Questions[:mostAnswers]
		c.More = Link{Label: of.book.Count("shelf.count.more", more), Href: root + "index.html#questions"}
	}
	if len(c.Questions) == 0 {
		c.None = of.book.Say("shelf.no-questions")
	}
	c.Checked = Statement{Text: of.book.Say("shelf.checked.clean"), Href: root + "method.html"}
	if n := r.Counts.Errors + r.Counts.Warnings; n > 0 {
		c.Checked = Statement{Text: of.book.Count("page.concerns", n), Href: root + "method.html#findings"}
	}
	return c
}

// shelfAssets are the files of the theme that the shelf's own pages use.
func (s *shelf) shelfAssets() []File {
	return slices.DeleteFunc(s.assets(), func(f File) bool {
		switch strings.TrimPrefix(f.Path, "assets/") {
		case "figures.js", "compare.js", "yours.js":
			return true
		}
		return false
	})
}
