package render

import (
	"bytes"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"
	"sync"

	"benchwright/cores"
	"benchwright/render/chart"
	"benchwright/render/data"
	publish "benchwright/render/site"
	"benchwright/report"
	"benchwright/themes"
	"benchwright/words"
)

// File is one file of the site; Path is relative to its root, with slashes.
type File = publish.File

// Options are what a publication may choose beside the theme.
type Options struct {
	// Folder is the project folder, for photographs; nil publishes none.
	Folder fs.FS
	// Data lists the files that package data made of the same report, for those
	// who want to take them away; whoever made them publishes them. It is called
	// from several goroutines, when the other pages are under way, and may wait
	// until they are made; its error is Site's. nil lists none.
	Data func() ([]data.Listed, error)
	// BaseAddress overrides the report's own, with a closing slash.
	BaseAddress string
	// Shelf: the site stands in a folder of a shelf's site, and every page leads
	// back to that.
	Shelf bool
	// Take, if given, is handed every file as soon as it is made, from several
	// goroutines at once, and must not keep its bytes; Site then gives none.
	Take func(File) error
}

// site is what the pages of one publication share; it does not change once
// made, so that pages can be built on all cores.
type site struct {
	r       *report.Report
	theme   *themes.Theme
	set     *templates
	book    *words.Book
	o       Options
	base    string // base address with a closing slash, or empty
	authors string
	nav     []Link // Href from the root
	// relative is the span that the small marks of relative performance share.
	relative span
	rules    []string // that have a page, sorted
	// places has, by workload and configuration, the place in the workload's
	// order, counted from 1; 0 for none.
	places [][]int32
	// buffers for filling templates, each grown to the largest page it held.
	buffers sync.Pool
}

// Site lays the whole report out. The error says what of the theme could not
// be used (a report always can), or is one of Take's.
func Site(r *report.Report, theme *themes.Theme, o Options) ([]File, error) {
	s := &site{r: r, theme: theme, o: o, book: words.For(r.Language), base: o.BaseAddress}
	if s.base == "" {
		s.base = r.Project.BaseAddress
	}
	if s.base != "" && !strings.HasSuffix(s.base, "/") {
		s.base += "/"
	}
	var names []string
	for _, a := range r.Project.Authors {
		names = append(names, a.Name)
	}
	s.authors = s.list(names)
	var err error
	if s.set, err = parse(theme); err != nil {
		return nil, err
	}
	s.nav = s.navigation()
	s.relative = s.relativeSpan()
	s.rules = s.usedRules()
	s.places = placesOf(r)

	built, err := s.inParallel(s.jobs())
	if err != nil {
		return nil, err
	}
	files := slices.Concat(built...)
	slices.SortFunc(files, func(a, b File) int { return strings.Compare(a.Path, b.Path) })
	last := s.sitemap(files)
	if err := s.hand(last); err != nil {
		return nil, err
	}
	files = append(files, last...)
	slices.SortFunc(files, func(a, b File) int { return strings.Compare(a.Path, b.Path) })
	for i := 1; i < len(files); i++ {
		if files[i].Path == files[i-1].Path {
			return nil, fmt.Errorf("laying out the site: two files want the path %q", files[i].Path)
		}
	}
	if s.o.Take != nil {
		return nil, nil
	}
	return files, nil
}

// hand gives finished files to the taker, if there is one, and forgets their
// bytes. What has none was handed on before.
func (s *site) hand(files []File) error {
	for i := range files {
		if s.o.Take == nil || files[i].Data == nil {
			continue
		}
		if err := s.o.Take(files[i]); err != nil {
			return err
		}
		files[i].Data = nil
	}
	return nil
}

// job builds one or a few files.
type job func() ([]File, error)

// jobs lists everything that is built, a page each: what takes longest first, so
// that no core is left with it at the end, and last what waits for others.
func (s *site) jobs() []job {
	jobs := []job{s.overview, s.comparePage, s.methodPage, s.changesPage, s.feed, s.card, s.figures,
		func() ([]File, error) { return s.assets(), nil }, func() ([]File, error) { return s.media(), nil }}
	for i := range s.r.Workloads {
		jobs = append(jobs, func() ([]File, error) { return s.workloadPage(i) })
	}
	for i := range s.r.Questions {
		jobs = append(jobs, func() ([]File, error) { return s.questionPage(i) })
	}
	for i := range s.r.Configurations {
		jobs = append(jobs, func() ([]File, error) { return s.configurationPage(i) })
	}
	for i := range s.r.Notes {
		jobs = append(jobs, func() ([]File, error) { return s.notePage(i) })
	}
	for _, name := range s.rules {
		jobs = append(jobs, func() ([]File, error) { return s.rulePage(name) })
	}
	return append(jobs, s.yoursPage, s.dataPage)
}

// inParallel runs the jobs on every core; whoever takes a file may wait for the
// disk. It gives what they made in the order of the jobs; of several errors the
// first in that order.
func (s *site) inParallel(jobs []job) ([][]File, error) {
	out := make([][]File, len(jobs))
	errs := make([]error, len(jobs))
	cores.EachWaiting(len(jobs), func(i int) {
		if out[i], errs[i] = jobs[i](); errs[i] == nil {
			errs[i] = s.hand(out[i])
		}
	})
	for _, err := range errs {
		if err != nil {
			return nil, err
		}
	}
	return out, nil
}

// fill executes the template of a page into a buffer, so that a failure leaves
// no half page, and hands the page on from there.
func (s *site) fill(kind, at string, page any, more ...File) ([]File, error) {
	b, ok := s.buffers.Get().(*bytes.Buffer)
	if !ok {
		b = &bytes.Buffer{}
	}
	defer s.buffers.Put(b)
	b.Reset()
	if err := s.set.execute(b, kind, page); err != nil {
		return nil, fmt.Errorf("filling page %q: %w", at, err)
	}
	done := File{Path: at}
	if s.o.Take == nil {
		done.Data = bytes.Clone(b.Bytes())
	} else if err := s.o.Take(File{Path: at, Data: b.Bytes()}); err != nil {
		return nil, err
	}
	return append([]File{done}, more...), nil
}

// navigation lists the pages that every page links to.
func (s *site) navigation() []Link {
	var nav []Link
	if s.o.Shelf {
		nav = append(nav, Link{Label: s.book.Say("nav.shelf"), Href: "../index.html"})
	}
	nav = append(nav, Link{Label: s.book.Say("nav.overview"), Href: "index.html"}, Link{Label: s.book.Say("nav.compare"), Href: "compare.html"},
		Link{Label: s.book.Say("nav.yours"), Href: "yours.html"},
		Link{Label: s.book.Say("nav.method"), Href: "method.html"},
		Link{Label: s.book.Say("nav.data"), Href: "data.html"})
	if len(s.r.Notes) > 0 {
		nav = append(nav, Link{Label: s.book.Say("nav.notes"), Href: s.r.Notes[0].Page})
	}
	return append(nav, Link{Label: s.book.Say("nav.changes"), Href: "changes.html"})
}

// assets are the files that come from the theme as they are.
func (s *site) assets() []File {
	var out []File
	for _, f := range s.theme.Assets {
		if f.Name == "style.css" {
			// The drawings' own rules go into their layer, below the theme's.
			f.Bytes = slices.Concat(f.Bytes, []byte("@layer chart {\n"+chart.CSS+"}\n"))
		}
		out = append(out, File{Path: path.Join("assets", f.Name), Data: f.Bytes})
	}
	return out
}

// list joins names as the language does: "a, b and c".
func (s *site) list(names []string) string {
	switch len(names) {
	case 0:
		return ""
	case 1:
		return names[0]
	}
	last := len(names) - 1
	return s.book.Say("page.list.and", "first", strings.Join(names[:last], ", "), "last", names[last])
}

// date writes an ISO date as the language does.
func (s *site) date(iso string) string {
	return report.DateText(s.book, iso)
}
