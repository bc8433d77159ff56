package edition

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"slices"
	"sync"

	"benchwright/cores"
	"benchwright/record"
	"benchwright/render"
	"benchwright/render/data"
	"benchwright/render/site"
	"benchwright/report"
	"benchwright/themes"
)

// PublishOptions are the choices of a publication; the zero value takes
// everything from the project.
type PublishOptions struct {
	// Theme is a built-in theme; empty takes the project's own, or the default.
	Theme string
	// BaseAddress is where the site will stand; empty takes the project's.
	BaseAddress string
	// Shelf: the site stands in a folder of a shelf's site, and leads back there.
	Shelf bool
	// Previous is the folder of the site as it was last published, to compare
	// with and carry its history on; empty, or a folder that is not there or
	// holds no site, makes this a first edition.
	Previous string
	// Version of the tool, for the record.
	Version string
	// Arithmetic names how the figures were rounded, as report.Imprint takes it:
	// of a site that is made again.
	Arithmetic string
	// Report chooses another baseline or language.
	Report report.Options
	// Take, if given, is handed every file as soon as it is made, from several
	// goroutines at once and SHA256SUMS last, and must not keep its bytes. The
	// publication then holds no files: a large one need not be in memory whole.
	Take func(site.File) error
}

// Publication is a site that is ready to be written.
type Publication struct {
	Report *report.Report
	// Files are all of them, SHA256SUMS too, sorted by path; none where they were
	// handed on.
	Files []site.File
	// Theme is what the pages were made with.
	Theme *themes.Theme
	// Published says that the folder of the old site holds an edition.
	Published bool
}

// AnotherError says that the old site is of another report, which this one would
// call its own past.
type AnotherError struct{ Title string }

func (e *AnotherError) Error() string {
	return fmt.Sprintf("the old site is of another report, %q", e.Title)
}

// Publish computes the report, compares it with the edition before, and lays
// out the whole site. It must not be called on an unusable edition. The error
// says which file of the theme or of the old site could not be used, is an
// *AnotherError, or one of Take's.
func (e *Edition) Publish(o PublishOptions) (*Publication, error) {
	var past *data.Past
	if o.Previous != "" {
		root, err := os.OpenRoot(o.Previous)
		switch {
		case errors.Is(err, fs.ErrNotExist):
		case err != nil:
			return nil, fmt.Errorf("opening the old site: %w", err)
		default:
			defer root.Close()
			if past, err = data.ReadPast(root.FS()); err != nil {
				return nil, fmt.Errorf("comparing with the old site: %w", err)
			}
		}
	}
	return e.publish(o, past)
}

// publish is Publish with the past already read.
func (e *Edition) publish(o PublishOptions, past *data.Past) (*Publication, error) {
	r := e.Report(o.Report)
	history, err := data.Settle(past, r, e.Folder)
	if err != nil {
		return nil, fmt.Errorf("comparing with the old site: %w", err)
	}
	if r.Changes != nil && r.Changes.Another != "" {
		return nil, &AnotherError{Title: r.Changes.Another}
	}
	if o.Take == nil {
		files, theme, err := e.layOut(r, history, o)
		if err != nil {
			return nil, err
		}
		return &Publication{Report: r, Files: site.WithSums(files), Theme: theme, Published: past != nil}, nil
	}
	var sums site.Checksums
	take := o.Take
	o.Take = func(f site.File) error {
		sums.Add(f)
		return take(f)
	}
	_, theme, err := e.layOut(r, history, o)
	if err == nil {
		err = take(sums.File())
	}
	if err != nil {
		return nil, err
	}
	return &Publication{Report: r, Theme: theme, Published: past != nil}, nil
}

// layOut makes every file but the checksums, and hands them to o.Take or gives
// them back.
func (e *Edition) layOut(r *report.Report, history data.History, o PublishOptions) ([]site.File, *themes.Theme, error) {
	var own fs.FS
	if len(e.Folder.Theme) > 0 {
		var err error
		if own, err = fs.Sub(e.Folder.FS, "theme"); err != nil {
			return nil, nil, fmt.Errorf("opening the project's theme: %w", err)
		}
	}
	theme, err := themes.Load(o.Theme, own)
	if err != nil {
		return nil, nil, err
	}
	base := data.BaseAddress(r, o.BaseAddress)
	pictures := &pictures{of: e.Folder.Media, then: o.Take, sums: map[string][sha256.Size]byte{}}
	take := o.Take
	if take != nil {
		take = pictures.take
	}
	// The pages are many and the data are large: they are made side by side, and
	// the few pages that list the data wait for it.
	var taken []site.File
	files := sync.OnceValues(func() (listed []data.Listed, err error) {
		taken, listed, err = data.Files(r, e.Folder, data.Options{
			Version: o.Version, Arithmetic: o.Arithmetic, Theme: theme.Name, BaseAddress: base, History: history, Template: record.ViewerTemplate(e.Project),
			Shelf: o.Shelf, Take: take,
		})
		return listed, err
	})
	var wait cores.Group
	wait.Go(func() { _, _ = files() })
	pages, err := render.Site(r, theme, render.Options{Folder: e.Folder.FS, BaseAddress: base, Shelf: o.Shelf, Data: files, Take: take})
	wait.Wait()
	if err != nil {
		return nil, nil, err
	}
	all := slices.Concat(pages, taken)
	for _, f := range all {
		pictures.see(f)
	}
	return all, theme, e.complete(pictures.sums)
}

// pictures sums up the folder's pictures among the files that go by.
type pictures struct {
	of   []string
	then func(site.File) error
	mu   sync.Mutex
	sums map[string][sha256.Size]byte
}

func (p *pictures) take(f site.File) error {
	p.see(f)
	return p.then(f)
}

func (p *pictures) see(f site.File) {
	if !slices.Contains(p.of, f.Path) {
		return
	}
	sum := sha256.Sum256(f.Data)
	p.mu.Lock()
	defer p.mu.Unlock()
	p.sums[f.Path] = sum
}

// complete makes sure that every picture left out of the data is among the
// pages' files after all, whose checksums are given.
func (e *Edition) complete(have map[string][sha256.Size]byte) error {
	for _, name := range e.Folder.Media {
		want, err := fs.ReadFile(e.Folder.FS, name)
		if err != nil {
			return fmt.Errorf("copying %q into the site: %w", name, err)
		}
		if got, there := have[name]; !there || got != sha256.Sum256(want) {
			return fmt.Errorf("laying out the site: the picture %q is not among its files", name)
		}
	}
	return nil
}
