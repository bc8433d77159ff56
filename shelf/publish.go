package shelf

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"benchwright/edition"
	"benchwright/render"
	"benchwright/render/data"
	"benchwright/render/site"
	"benchwright/render/spreadsheet"
	"benchwright/report"
	"benchwright/schema"
	"benchwright/themes"
)

// Names in the site of a shelf.
const (
	// RecordFile says which reports the site holds and how it was made.
	RecordFile = data.Folder + "reports.json"
	// FiguresFile is the table of all figures across reports.
	FiguresFile = data.Folder + "across.csv"
	// Inputs is where the shelf's own files stand.
	Inputs = data.Folder + "shelf/"
)

// PublishOptions are the choices of a publication; the zero value takes
// everything from the shelf.
type PublishOptions struct {
	// Theme is a built-in theme for the whole site; empty takes the shelf's for
	// its own pages and for every report without a theme folder.
	Theme string
	// BaseAddress is where the site will stand; empty takes the shelf's.
	BaseAddress string
	// Previous is the folder of the site as it was last published.
	Previous string
	// Version of the tool, for the record.
	Version string
	// Take, if given, is handed every file as soon as it is made, from several
	// goroutines at once and SHA256SUMS last, and must not keep its bytes. The
	// publications then hold no files.
	Take func(site.File) error
}

// Publication is a site that is ready to be written.
type Publication struct {
	// Reports are the publications of the reports, in their order.
	Reports []*edition.Publication
	// Files are all of them, SHA256SUMS too, sorted by path; none where they were
	// handed on.
	Files []site.File
}

// Publish computes every report and lays out the whole site. It must not be
// called on an unusable shelf. The error says which file of a theme or of the
// old site could not be used, or is one of Take's.
func (s *Shelf) Publish(o PublishOptions) (*Publication, error) {
	out := &Publication{}
	var files []site.File
	var reports []*report.Report
	var sums site.Checksums
	take := func(f site.File) error {
		sums.Add(f)
		return o.Take(f)
	}
	at := base(o.BaseAddress)
	if at == "" {
		at = base(s.BaseAddress)
	}
	for _, r := range s.Reports {
		one := edition.PublishOptions{Theme: s.themeOf(r, o.Theme), Version: o.Version, Shelf: true}
		if at != "" {
			one.BaseAddress = at + r.Folder + "/"
		}
		if o.Previous != "" {
			one.Previous = filepath.Join(o.Previous, r.Folder)
			if info, err := os.Stat(one.Previous); err == nil && !info.IsDir() {
				return nil, fmt.Errorf("%s is a file where the site of the report %q has to stand", one.Previous, r.Folder)
			} else if err != nil && !errors.Is(err, fs.ErrNotExist) {
				return nil, fmt.Errorf("opening the old site: %w", err)
			}
		}
		if o.Take != nil {
			one.Take = func(f site.File) error { return take(site.File{Path: r.Folder + "/" + f.Path, Data: f.Data}) }
		}
		p, err := r.Publish(one)
		if err != nil {
			return nil, fmt.Errorf("the report %q: %w", r.Folder, err)
		}
		out.Reports = append(out.Reports, p)
		reports = append(reports, p.Report)
		for _, f := range p.Files {
			files = append(files, site.File{Path: r.Folder + "/" + f.Path, Data: f.Data})
		}
	}
	own, err := s.layOut(reports, record{Theme: o.Theme, BaseAddress: at, MadeBy: o.Version})
	if err != nil {
		return nil, err
	}
	if o.Take == nil {
		out.Files = site.WithSums(append(files, own...))
		return out, nil
	}
	for _, f := range own {
		if err := take(f); err != nil {
			return nil, err
		}
	}
	return out, o.Take(sums.File())
}

// themeOf is the theme that a report is published with when the person names
// none: the shelf's, unless the report has one of its own.
func (s *Shelf) themeOf(r Report, named string) string {
	if named == "" && len(r.Edition.Folder.Theme) == 0 {
		return s.Theme
	}
	return named
}

// layOut makes the shelf's own files: pages, record, figures, inputs.
func (s *Shelf) layOut(reports []*report.Report, rec record) ([]site.File, error) {
	var own fs.FS
	if len(s.Folder.Theme) > 0 {
		var err error
		if own, err = fs.Sub(s.Folder.FS, "theme"); err != nil {
			return nil, fmt.Errorf("opening the shelf's theme: %w", err)
		}
	}
	name := rec.Theme
	if name == "" {
		name = s.Theme
	}
	theme, err := themes.Load(name, own)
	if err != nil {
		return nil, err
	}
	folders := make([]string, len(s.Reports))
	for i := range s.Reports {
		folders[i] = s.Reports[i].Folder
	}
	sh := report.NewShelf(s.Shelf, folders, reports)
	files, err := render.ShelfSite(sh, theme, render.ShelfOptions{BaseAddress: rec.BaseAddress, Figures: FiguresFile})
	if err != nil {
		return nil, err
	}
	text, err := rec.write(sh)
	if err != nil {
		return nil, err
	}
	files = append(files, site.File{Path: RecordFile, Data: text}, site.File{Path: FiguresFile, Data: figures(sh)},
		site.File{Path: data.Folder + "reports.schema.json", Data: recordSchema})
	inputs, err := s.inputs()
	return append(files, inputs...), err
}

// inputs are the shelf's own files as they are, so that its pages can be made
// again.
func (s *Shelf) inputs() ([]site.File, error) {
	names := slices.Clone(s.Folder.Theme)
	for _, d := range []*schema.Document{s.Folder.Shelf, s.Folder.Workloads} {
		if d != nil {
			names = append(names, d.Path)
		}
	}
	var out []site.File
	for _, name := range names {
		text, err := fs.ReadFile(s.Folder.FS, name)
		if err != nil {
			return nil, fmt.Errorf("copying %q into the site: %w", name, err)
		}
		out = append(out, site.File{Path: path.Join(Inputs, name), Data: text})
	}
	return out, nil
}

// record is the content of RecordFile.
type record struct {
	Schema      string         `json:"$schema"`
	Version     int            `json:"version"`
	MadeBy      string         `json:"madeBy,omitempty"`
	Theme       string         `json:"theme,omitempty"` // only when somebody named one for this publication
	BaseAddress string         `json:"baseAddress,omitempty"`
	Title       string         `json:"title"`
	Date        string         `json:"date"`
	Language    string         `json:"language"`
	Reports     []recordReport `json:"reports"`
}

type recordReport struct {
	Folder string `json:"folder"`
	Title  string `json:"title"`
	Date   string `json:"date"`
}

func (rec record) write(sh *report.Shelf) ([]byte, error) {
	rec.Schema, rec.Version = "reports.schema.json", 1
	rec.Title, rec.Date, rec.Language = sh.Title, sh.Date, sh.Language
	rec.Reports = []recordReport{}
	for i := range sh.Reports {
		p := sh.Reports[i].Project
		rec.Reports = append(rec.Reports, recordReport{sh.Reports[i].Folder, p.Title, p.Date})
	}
	text, err := json.MarshalIndent(rec, "", "  ")
	if err != nil {
		return nil, fmt.Errorf("writing the record of the shelf: %w", err)
	}
	return append(text, '\n'), nil
}

// figures is the table of every figure that stands beside others: RFC 4180,
// column names in English as in the reports' own tables.
func figures(sh *report.Shelf) []byte {
	var b []byte
	row := func(cells ...func()) {
		for i, c := range cells {
			if i > 0 {
				b = append(b, ',')
			}
			c()
		}
		b = append(b, spreadsheet.EndOfRow...)
	}
	text := func(t string) func() { return func() { b = spreadsheet.AppendText(b, t) } }
	number := func(has bool, v float64) func() {
		return func() {
			if has {
				b = spreadsheet.AppendNumber(b, v)
			}
		}
	}
	var head []func()
	for _, name := range strings.Fields("workload report configuration outcome unit value low high confidence readings") {
		head = append(head, text(name))
	}
	row(head...)
	for i := range sh.Workloads {
		x := &sh.Workloads[i]
		for k := range x.Rows {
			w := &x.Rows[k]
			r := &sh.Reports[w.Report]
			has := w.Centre.HasValue()
			ranged := has && w.Centre.Confidence > 0
			row(text(x.ID), text(r.Folder), text(r.Project.Configurations[w.Configuration].ID), text(w.Outcome.String()), text(x.Unit),
				number(has, w.Centre.Value), number(ranged, w.Centre.Low), number(ranged, w.Centre.High), number(ranged, w.Centre.Confidence), number(true, float64(w.N)))
		}
	}
	return b
}
