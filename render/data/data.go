package data

import (
	"bytes"
	"cmp"
	"embed"
	"encoding/json"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"

	"benchwright/render/site"
	"benchwright/report"
	"benchwright/schema"
	"benchwright/words"
)

// Folder is where all files of this package stand in the site, and Inputs where
// the project folder's own files do.
const (
	Folder = "data/"
	Inputs = Folder + "folder/"
)

// Names of the files that the next edition and a verification read.
const (
	RecordFile     = Folder + "report.json"
	PreviousFile   = Folder + "previous.json"
	ChangesFile    = Folder + "changes.json"
	DescriptorFile = Folder + "datapackage.json"
	// TemplateFile is what a viewer fills in with own readings.
	TemplateFile = Folder + "viewer-template.csv"
)

// schemas are those (2020-12) of the JSON files that this package writes itself,
// NAME.schema.json; that of answers.json is report.AnswersSchema.
//
//go:embed *.schema.json
var schemas embed.FS

// Options are what a publication may choose.
type Options struct {
	// Version of the tool, for the record; empty when not known.
	Version string
	// Arithmetic names how the figures were rounded, as report.Imprint takes it.
	Arithmetic string
	// Theme is the name of the theme that the pages are made with, for the record.
	Theme string
	// BaseAddress is where the site will stand; empty takes the report's own.
	BaseAddress string
	// Shelf: the site stands in a folder of a shelf's site, for the record.
	Shelf bool
	// History is what Settle gave.
	History History
	// Template is what a viewer fills in with own readings; nil publishes none.
	Template []byte
	// Take, if given, is handed every file as soon as it is made, from several
	// goroutines at once, and must not keep its bytes; Files then gives none.
	Take func(site.File) error
}

// Files gives the data part of the site, and the list of it for people, both
// sorted by path. folder is the one that r was made from. An error means that a
// file of the folder can no longer be read, or is one of Take's.
func Files(r *report.Report, folder *schema.Folder, o Options) ([]site.File, []Listed, error) {
	m := &maker{r: r, o: o, book: words.For(r.Language), base: BaseAddress(r, o.BaseAddress)}
	inputs, err := m.inputs(folder)
	if err != nil {
		return nil, nil, err
	}
	for _, t := range m.tables() {
		m.resource(t.name+".csv", &t, t.write)
	}
	if o.Template != nil {
		m.resource(strings.TrimPrefix(TemplateFile, Folder), nil, func() []byte { return o.Template })
	}
	m.resource("answers.json", nil, r.AnswersJSON)
	m.resource("findings.json", nil, m.findings)
	m.resource("report.json", nil, func() []byte {
		return r.Record(report.Imprint{MadeBy: o.Version, Arithmetic: o.Arithmetic, Theme: o.Theme, BaseAddress: m.base, Shelf: o.Shelf})
	})
	m.resource("changes.json", nil, m.changes)
	if o.History.Previous != nil {
		m.resource("previous.json", nil, func() []byte { return o.History.Previous })
	}
	if err := m.schemas(); err != nil {
		return nil, nil, err
	}
	for _, f := range inputs {
		m.resource(strings.TrimPrefix(f.Path, Folder), nil, func() []byte { return f.Data })
	}
	if err := m.make(); err != nil {
		return nil, nil, err
	}
	for name, text := range map[string][]byte{"CITATION.txt": []byte(m.citation() + "\n"), "CITATION.cff": m.citationFile(), "datapackage.json": m.descriptor()} {
		kept, err := m.hand(name, text)
		if err != nil {
			return nil, nil, err
		}
		m.list(name, len(text), kept)
	}
	slices.SortFunc(m.files, func(a, b site.File) int { return cmp.Compare(a.Path, b.Path) })
	slices.SortFunc(m.listed, func(a, b Listed) int { return cmp.Compare(a.Path, b.Path) })
	return m.files, m.listed, nil
}

// BaseAddress gives where the site will stand, with a closing slash: the one
// asked for, else the report's own, else nothing.
func BaseAddress(r *report.Report, asked string) string {
	base := cmp.Or(asked, r.Project.BaseAddress)
	if base != "" && !strings.HasSuffix(base, "/") {
		base += "/"
	}
	return base
}

// maker makes the files of one publication.
type maker struct {
	r         *report.Report
	o         Options
	book      *words.Book
	base      string
	files     []site.File // none when they are handed on
	listed    []Listed
	resources []resource
}

// list adds a file of so many bytes to the list, and itself unless it was
// handed on.
func (m *maker) list(name string, size int, text []byte) {
	m.listed = append(m.listed, Listed{Folder + name, what(m.book, Folder+name), size})
	if m.o.Take == nil {
		m.files = append(m.files, site.File{Path: Folder + name, Data: text})
	}
}

// inputs copies the files that the report was made from, exactly as they were
// read. What the tool does not read (hidden files, a note to oneself) is not
// published.
func (m *maker) inputs(folder *schema.Folder) ([]site.File, error) {
	var out []site.File
	for _, name := range inputNames(folder) {
		data, err := fs.ReadFile(folder.FS, name)
		if err != nil {
			return nil, fmt.Errorf("copying %q into the site: %w", name, err)
		}
		out = append(out, site.File{Path: Inputs + name, Data: data})
	}
	return out, nil
}

// inputNames are the files of a folder that a report is made from, sorted.
func inputNames(folder *schema.Folder) []string {
	var names []string
	for _, d := range []*schema.Document{folder.Report, folder.Bench, folder.Workloads, folder.Sessions} {
		if d != nil {
			names = append(names, d.Path)
		}
	}
	for _, d := range folder.Configurations {
		names = append(names, d.Path)
	}
	names = slices.Concat(names, folder.Results, folder.Notes, folder.Media, folder.Theme, folder.Frames, folder.Viewers)
	slices.Sort(names)
	return slices.Compact(names)
}

// schemas publishes the schemas beside the files that name them.
func (m *maker) schemas() error {
	names, err := fs.Glob(schemas, "*.schema.json")
	if err != nil {
		return fmt.Errorf("listing the embedded schemas: %w", err)
	}
	for _, name := range names {
		data, err := schemas.ReadFile(name)
		if err != nil {
			return fmt.Errorf("reading the embedded %s: %w", name, err)
		}
		m.resource(name, nil, func() []byte { return data })
	}
	m.resource("answers.schema.json", nil, report.AnswersSchema)
	return nil
}

// findings writes what the checker said, the silenced with their reasons.
func (m *maker) findings() []byte {
	doc := struct {
		Schema   string           `json:"$schema"`
		Findings []schema.Finding `json:"findings"`
		Silenced []schema.Finding `json:"silenced"`
	}{"findings.schema.json", orEmpty(m.r.Findings), orEmpty(m.r.Silenced)}
	return indented(doc)
}

func orEmpty[T any](list []T) []T {
	if list == nil {
		return []T{}
	}
	return list
}

// indented writes JSON for people and machines. The values are structs of this
// module without anything that JSON cannot hold.
func indented(v any) []byte {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(v); err != nil {
		panic(fmt.Sprintf("data: %v", err))
	}
	return b.Bytes()
}

// Listed is one line of the list of files on the data page.
type Listed struct {
	// Path from the root of the site.
	Path string
	// What it is, in words.
	What string
	// Size in bytes.
	Size int
}

// inputKinds are the files and folders of a project folder by what they hold.
var inputKinds = [...]string{"report", "bench", "workloads", "sessions", "configurations", "results", "notes", "media", "theme", "frames", "viewers"}

// what says in words what a file holds.
func what(b *words.Book, name string) string {
	if rest, ok := strings.CutPrefix(name, Inputs); ok {
		for _, kind := range inputKinds {
			if rest == kind+".yaml" || strings.HasPrefix(rest, kind+"/") {
				return b.Say("data.file.input." + kind)
			}
		}
		return b.Say("data.file.input", "file", rest)
	}
	name = strings.TrimPrefix(name, Folder)
	if of, ok := strings.CutSuffix(name, ".schema.json"); ok {
		return b.Say("data.file.schema", "file", of+".json")
	}
	if name == "CITATION.cff" {
		return b.Say("data.file.citation-file")
	}
	return b.Say("data.file." + strings.ToLower(strings.TrimSuffix(name, path.Ext(name))))
}
