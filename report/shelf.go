package report

import (
	"slices"
	"strings"

	"benchwright/project"
	"benchwright/words"
)

// Shelf is several reports side by side, as data: what a site of them says
// beyond what each report says of itself.
type Shelf struct {
	*project.Shelf
	// Date is that of the newest edition among the reports.
	Date string
	// Confidence of every interval across reports: the reports' own, or 0.95
	// where they differ.
	Confidence float64
	Reports    []Shelved
	// Workloads are the shelf's definitions, then those that reports have in
	// common without one, in the order in which they first occur.
	Workloads []SharedWorkload
	// Pairs are every two reports that have a workload in common.
	Pairs []AcrossPair
}

// Shelved is a report of a shelf.
type Shelved struct {
	*Report
	// Folder is its name in the shelf, and its place in the site.
	Folder string
	// work computes its figures in the shelf's language and confidence.
	work *working
}

// SharedWorkload is a workload that several reports use, or that the shelf
// defines for them.
type SharedWorkload struct {
	ID, Label string
	// FromShelf: the shelf's own workloads.yaml defines it.
	FromShelf  bool
	Metric     string
	Better     string
	Interval   bool // on an interval scale
	Unit       string
	Definition []Pair
	Uses       []WorkloadUse
	// Rows are the configurations of all reports that measure the same thing,
	// report by report, within each as its own page has them; empty when fewer
	// than two reports do.
	Rows []AcrossRow
}

// WorkloadUse is a report that has a workload of the id.
type WorkloadUse struct {
	Report, Workload int
	// Same: its definition is the one that the rows are of.
	Same bool
	// Differs says in words in what it differs; empty when it does not.
	Differs []string
	// Unstated says what of that which makes it the same test is not stated, and
	// may differ after all; empty when all is.
	Unstated string
}

// AcrossRow is one configuration under a shared workload.
type AcrossRow struct {
	Report, Configuration, Workload int
	Label                           string
	Baseline                        bool
	Centre                          Figure
	N                               int
	Readings                        []float64
	Outcome                         project.Outcome
}

// NewShelf sets reports side by side. folders and reports have the same length
// and order; the reports are not changed.
func NewShelf(s *project.Shelf, folders []string, reports []*Report) *Shelf {
	out := &Shelf{Shelf: s}
	for i, r := range reports {
		out.Reports = append(out.Reports, Shelved{Report: r, Folder: folders[i]})
		out.Date = max(out.Date, r.Project.Date)
		switch {
		case i == 0:
			out.Confidence = r.Confidence
		case r.Confidence != out.Confidence:
			out.Confidence = 0.95
		}
	}
	book := words.For(s.Language)
	for i := range out.Reports {
		r := &out.Reports[i]
		r.work = r.Report.work
		if words.For(r.Language) != book || r.Confidence != out.Confidence {
			r.work = newWorking(r.Project, r.Report.Space.Sittings(), book, out.Confidence)
		}
	}
	out.share(book)
	for i := range out.Workloads {
		out.rows(&out.Workloads[i])
	}
	for a := range out.Reports {
		for b := a + 1; b < len(out.Reports); b++ {
			if p, ok := out.pair(book, a, b); ok {
				out.Pairs = append(out.Pairs, p)
			}
		}
	}
	return out
}

// share finds the workloads that reports have in common.
func (s *Shelf) share(book *words.Book) {
	for _, w := range s.Shelf.Workloads {
		s.Workloads = append(s.Workloads, s.shared(book, w, true))
	}
	for i := range s.Reports {
		for _, w := range s.Reports[i].Project.Workloads {
			if slices.ContainsFunc(s.Workloads, func(x SharedWorkload) bool { return x.ID == w.ID }) {
				continue
			}
			if x := s.shared(book, w, false); len(x.Uses) > 1 {
				s.Workloads = append(s.Workloads, x)
			}
		}
	}
}

// shared describes one workload and who uses it. Whose readings stand side by
// side is decided here: those of the most reports that agree with one another
// (of several such groups the first), and with the shelf where it has a say.
func (s *Shelf) shared(book *words.Book, of *project.Workload, fromShelf bool) SharedWorkload {
	x := SharedWorkload{ID: of.ID, Label: of.Label, FromShelf: fromShelf}
	type use struct {
		report int
		w      *project.Workload
	}
	var uses []use
	for i := range s.Reports {
		if w := s.Reports[i].Project.Workload(of.ID); w != nil {
			uses = append(uses, use{i, w})
		}
	}
	agrees := func(w *project.Workload) bool {
		return !fromShelf || len(project.DefinitionDifferences(of, w, true)) == 0
	}
	var group []use
	for i, a := range uses {
		var with []use
		for j, b := range uses {
			if agrees(a.w) && agrees(b.w) && (i == j || len(project.DefinitionDifferences(a.w, b.w, false)) == 0) {
				with = append(with, b)
			}
		}
		if len(with) > len(group) {
			group = with
		}
	}
	model := of
	if !fromShelf && len(group) > 0 {
		model = group[0].w
		x.Label = model.Label
	}
	for _, u := range uses {
		same := slices.Contains(group, u)
		one := WorkloadUse{Report: u.report, Workload: u.w.Index, Same: same}
		if !same {
			differences := project.DefinitionDifferences(model, u.w, fromShelf)
			if len(differences) == 0 && len(group) > 0 { // the shelf leaves open what the reports differ in
				differences = project.DefinitionDifferences(group[0].w, u.w, false)
			}
			for _, d := range differences {
				one.Differs = append(one.Differs, book.Say("across.definition.differs", "key", book.Say("workload.label."+definitionLabels[d.Key]), "this", orNothing(book, d.B), "that", orNothing(book, d.A)))
			}
		}
		var open []string
		for _, stated := range [...]struct{ key, text string }{{"version", u.w.Version}, {"command", u.w.Command}} {
			if same && stated.text == "" {
				open = append(open, book.Say("shared.unstated."+stated.key))
			}
		}
		if len(open) > 0 {
			one.Unstated = book.Say("shared.unstated", "what", joinWords(book, open))
		}
		x.Uses = append(x.Uses, one)
	}
	plain := *model
	plain.Resolution, plain.Reading, plain.Instrument = 0, nil, "" // of a bench, not of the test
	stub := &Report{Project: &project.Project{Workloads: s.Shelf.Workloads}, work: &working{say: book, num: newNumbers(book)}}
	if !fromShelf {
		stub.Project = s.Reports[uses[0].report].Project
	}
	x.Definition = stub.definition(&plain)
	x.Metric, x.Unit, x.Interval = plain.Metric, plain.Unit.Symbol, plain.Scale == project.IntervalScale
	x.Better = book.Say("workload.lower")
	if plain.HigherBetter {
		x.Better = book.Say("workload.higher")
	}
	return x
}

// definitionLabels are the labels (workload.label.…) of the keys that a
// definition consists of.
var definitionLabels = map[string]string{
	"metric": "metric", "unit": "unit", "better": "direction", "scale": "scale", "version": "version", "command": "command",
	"centre": "centre", "frame-times": "frame-times", "derived": "derived",
}

func orNothing(book *words.Book, text string) string {
	if text == "" {
		return book.Say("across.nothing")
	}
	return text
}

// rows lists what the reports measured under a shared workload.
func (s *Shelf) rows(x *SharedWorkload) {
	same := 0
	for _, u := range x.Uses {
		if u.Same {
			same++
		}
	}
	if same < 2 {
		return
	}
	for _, u := range x.Uses {
		if !u.Same {
			continue
		}
		r := &s.Reports[u.Report]
		of := &r.Workloads[u.Workload]
		add := func(c int) {
			cell := &r.Cells[c][u.Workload]
			row := AcrossRow{Report: u.Report, Configuration: c, Workload: u.Workload, Label: r.Configurations[c].Label, Baseline: c == r.Baseline,
				N: cell.N, Outcome: cell.Outcome, Centre: cell.Centre}
			if r.work != r.Report.work && cell.Centre.HasValue() {
				row.Centre = r.work.centre(&r.work.samples[c][u.Workload], u.Workload)
			}
			for k := range cell.Readings {
				if rd := &cell.Readings[k]; rd.HasValue && rd.Outcome == project.OK {
					row.Readings = append(row.Readings, rd.Value)
				}
			}
			x.Rows = append(x.Rows, row)
		}
		for _, o := range of.Order {
			add(o.Configuration)
		}
		for _, c := range of.Failures {
			add(c)
		}
	}
}

// DateText writes an ISO date as a language does; anything else stays as it is.
func DateText(book *words.Book, iso string) string {
	if len(iso) != len("2006-01-02") {
		return iso
	}
	return book.Say("page.date", "day", strings.TrimPrefix(iso[8:10], "0"), "month", book.Say("page.month."+iso[5:7]), "year", iso[:4])
}
