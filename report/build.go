package report

import (
	"benchwright/design"
	"benchwright/project"
	"benchwright/schema"
	"benchwright/words"
)

// Options are choices of whoever asks for the report; the zero value takes
// everything from the project.
type Options struct {
	// Baseline is the id of another baseline; unknown ids are ignored, since
	// the command has refused them already.
	Baseline string
	// Language overrides the project's.
	Language string
}

// Build computes everything that is shown of a project: cells, relative
// performance, composites, answers, the model of all factors, insights and the
// method. s is the design space of p and findings what the checker said. It
// does not change p and gives the same value for the same input, whatever the
// order of the rows in the result files.
func Build(p *project.Project, s *design.Space, findings []schema.Finding, opts Options) *Report {
	r := &Report{Project: p, Space: s, Language: p.Language, Confidence: p.Confidence, Baseline: p.Baseline}
	if opts.Language != "" {
		r.Language = opts.Language
	}
	if !(r.Confidence > 0.5 && r.Confidence < 1) {
		r.Confidence = 0.95
	}
	for _, c := range p.Configurations {
		if opts.Baseline != "" && c.ID == opts.Baseline {
			r.Baseline = c.Index
		}
	}
	if r.Baseline < 0 || r.Baseline >= len(p.Configurations) {
		r.Baseline = 0
	}
	b := words.For(r.Language)
	r.work = newWorking(p, s.Sittings(), b, r.Confidence)

	r.fillCells()
	fillConfigurations(r)
	fillSessions(r)
	r.fillComposites()
	r.fillWorkloads()
	r.fillEffects()
	r.fillAnswers()
	r.fillInsights()
	r.fillNotes()
	fillMethod(r)
	r.Take(findings)
	return r
}

// Take hands the checker's findings to a report that was built without any. It
// must be called once: findings are added, never replaced.
func (r *Report) Take(findings []schema.Finding) {
	routeFindings(r, findings)
	r.flagFindings()
}

func (r *Report) fillNotes() {
	for _, n := range r.Project.Notes {
		r.Notes = append(r.Notes, Note{ID: n.ID, Title: n.Title, Text: n.Text, File: n.File, Page: "notes/" + n.ID + ".html"})
	}
}

// flagFindings puts what the checker said about a single cell beside it: a
// finding that names exactly one configuration and one workload.
func (r *Report) flagFindings() {
	at := map[[2]string]*Cell{}
	for _, f := range r.Findings {
		if len(f.Configurations) != 1 || len(f.Workloads) != 1 {
			continue
		}
		if len(at) == 0 {
			for c := range r.Cells {
				for w := range r.Cells[c] {
					at[[2]string{r.Project.Configurations[c].ID, r.Project.Workloads[w].ID}] = &r.Cells[c][w]
				}
			}
		}
		if cell := at[[2]string{f.Configurations[0], f.Workloads[0]}]; cell != nil {
			cell.Flags = append(cell.Flags, Flag{Rule: f.Rule, Text: f.Message})
		}
	}
}
