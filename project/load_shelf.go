package project

import (
	"fmt"
	"slices"
	"strings"

	"benchwright/schema"
)

// Shelf is what a folder of reports says of itself, typed.
type Shelf struct {
	Title, Subtitle, Introduction string
	Authors                       []Author
	Licence, Language             string
	Theme, BaseAddress            string
	// Reports are the folders to publish, in their order.
	Reports []string
	// Workloads are the definitions that the reports share, in the order of the
	// shelf's workloads.yaml.
	Workloads []*Workload
	// Places of the keys of shelf.yaml.
	Places map[string]schema.Place
}

// siteFolders are the names that the shelf's own pages need beside the reports.
var siteFolders = [...]string{"assets", "charts", "data"}

// LoadShelf types a shelf. It goes on after every fault; the findings come in
// file order.
//
// A report does not take its definitions from the shelf: its folder has to
// stand alone, be checked alone, and be recomputed from what is published of
// it. So the shelf's workloads.yaml is a reference that each report is held
// against, and a report that measures something else under the same id is found.
func LoadShelf(s *schema.Shelf) (*Shelf, []schema.Finding) {
	// The units of one's own stand in shelf.yaml in the form that they have in
	// bench.yaml, so that the same reader serves.
	folder := &schema.Folder{FS: s.FS, Bench: s.Shelf, Workloads: s.Folder.Workloads}
	l := &loader{folder: folder, shelf: true, p: &Project{
		units: standard(), factorAt: map[string]int{}, workloadAt: map[string]int{}, instrumentAt: map[string]int{}, folder: folder,
	}}
	l.loadUnits()
	l.loadWorkloads()
	doc := documentNode(s.Shelf)
	out := &Shelf{
		Title: doc.get("title").text(), Subtitle: doc.get("subtitle").text(), Introduction: doc.get("introduction").text(),
		Authors: authors(doc.get("author")), Licence: doc.get("licence").text(), Language: doc.get("language").text(),
		Theme: doc.get("theme").text(), BaseAddress: doc.get("base-address").text(),
		Workloads: l.p.Workloads, Places: map[string]schema.Place{},
	}
	if out.Language == "" {
		out.Language = "en-GB"
	}
	for key := range doc.pairs() {
		out.Places[key.text()] = key.place()
	}
	out.Reports = l.shelved(s, doc.get("reports"))
	return out, schema.Sort(l.findings)
}

// shelved gives the reports in their order and says what is wrong with the list.
func (l *loader) shelved(s *schema.Shelf, list node) []string {
	for _, name := range s.Reports {
		at := schema.Place{File: name}
		switch {
		case slices.Contains(siteFolders[:], name):
			l.reportAt("reserved-id", schema.Error, at, 0, fmt.Sprintf("a report cannot stand in a folder %q: the site has one of that name for its own files", name), "give the folder another name")
		case !plainName(name):
			l.reportAt("bad-id", schema.Error, at, 0, fmt.Sprintf("the folder %q becomes part of an address", name),
				fmt.Sprintf("name it with small letters, digits and hyphens: %s", plainNameOf(name)))
		}
	}
	if len(s.Reports) == 0 {
		l.reportAt("no-report", schema.Error, schema.Place{File: "shelf.yaml"}, 0, "the shelf holds no report", "make one beside shelf.yaml with: benchwright start")
		return nil
	}
	if !list.isList() {
		return s.Reports
	}
	var order []string
	strays := 0 // a report that is missing from the list may be there, misspelt
	for at := range list.items() {
		name := at.text()
		if !slices.Contains(s.Reports, name) {
			strays++
			l.report("unknown-id", schema.Error, at, fmt.Sprintf("there is no report in a folder %q", name), didYouMean(name, s.Reports, "reports"))
			continue
		}
		if !slices.Contains(order, name) {
			order = append(order, name)
		}
	}
	for _, name := range s.Reports {
		if strays == 0 && !slices.Contains(order, name) {
			l.reportAt("report-not-listed", schema.Notice, schema.Place{File: name}, 0, "the report is not published: it is not in the list of reports",
				fmt.Sprintf("add %q to reports in shelf.yaml when it is ready", name))
		}
	}
	return order
}

// plainName says whether a folder's name can be part of an address as it is.
func plainName(name string) bool {
	return name != "" && name[0] != '-' && strings.Trim(name, "abcdefghijklmnopqrstuvwxyz0123456789-") == ""
}

func plainNameOf(name string) string {
	out := strings.Map(func(r rune) rune {
		switch {
		case r >= 'a' && r <= 'z' || r >= '0' && r <= '9' || r == '-':
			return r
		case r >= 'A' && r <= 'Z':
			return r + 'a' - 'A'
		}
		return '-'
	}, name)
	if out = strings.Trim(out, "-"); out == "" {
		return "first-report"
	}
	return out
}
