package shelf

import (
	"fmt"
	"strings"

	"benchwright/project"
	"benchwright/schema"
)

// Rules lists the rules about reports that stand together, in alphabetical
// order, for the reference that is made from the code. They cannot be silenced:
// no report is theirs alone.
func Rules() []project.Rule {
	return []project.Rule{
		{Name: "definition-differs", Severity: schema.Error, Means: "A report measures something else than the shelf's workloads.yaml defines under the same id, so that its readings do not stand beside the others'."},
		{Name: "definitions-disagree", Severity: schema.Warning, Means: "Two reports measure different things under the same id, and the shelf does not say which is meant."},
		{Name: "same-title", Severity: schema.Warning, Means: "Two reports of a shelf have the same title, so that readers cannot tell them apart."},
		{Name: "shared-workload-unused", Severity: schema.Notice, Means: "The shelf defines a workload that no report uses."},
	}
}

// rules holds the reports against the shelf and against one another. Reports
// without a project have been complained of already.
func (s *Shelf) rules() []schema.Finding {
	var out []schema.Finding
	add := func(rule string, severity schema.Severity, at schema.Place, width int, message, remedy string, related ...schema.Related) {
		out = append(out, schema.Finding{Rule: rule, Severity: severity, Place: at, Width: width, Message: message, Remedy: remedy, Related: related})
	}
	titles := map[string]Report{}
	for _, r := range s.Reports {
		if r.Project == nil || r.Project.Title == "" {
			continue
		}
		if first, taken := titles[r.Project.Title]; taken {
			add("same-title", schema.Warning, r.under("report.title"), 0, fmt.Sprintf("two reports have the title %q", r.Project.Title),
				"say in the title, or in the subtitle of both, what tells them apart", schema.Related{Place: first.under("report.title"), Message: "the other one"})
			continue
		}
		titles[r.Project.Title] = r
	}
	defined := map[string]bool{}
	for _, w := range s.Workloads {
		defined[w.ID] = true
		used := len(s.Reports) == 0
		for _, r := range s.Reports {
			if r.Project == nil || r.Unusable() {
				used = true // who knows what it would use
			}
			if r.Project == nil {
				continue
			}
			own := r.Project.Workload(w.ID)
			if own == nil {
				continue
			}
			used = true
			if d := project.DefinitionDifferences(w, own, true); len(d) > 0 {
				add("definition-differs", schema.Error, own.Place.Under(r.Folder), len(own.ID), fmt.Sprintf("the workload %q is not what the shelf defines: %s", w.ID, spelt(d)),
					"make the two the same, or give this workload another id: its readings cannot stand beside the others'",
					schema.Related{Place: w.Place, Message: "the shelf's definition"})
			}
		}
		if !used {
			add("shared-workload-unused", schema.Notice, w.Place, len(w.ID), fmt.Sprintf("no report uses the workload %q", w.ID), "take it out, or use its id in a report")
		}
	}
	first := map[string]int{}
	for i, r := range s.Reports {
		if r.Project == nil {
			continue
		}
		for _, w := range r.Project.Workloads {
			j, seen := first[w.ID]
			if !seen {
				first[w.ID] = i
				continue
			}
			if defined[w.ID] {
				continue
			}
			other := s.Reports[j].Project.Workload(w.ID)
			if d := project.DefinitionDifferences(other, w, false); len(d) > 0 {
				add("definitions-disagree", schema.Warning, w.Place.Under(r.Folder), len(w.ID), fmt.Sprintf("the workload %q is not the same test in %q: %s", w.ID, s.Reports[j].Folder, spelt(d)),
					"make the two the same, give one another id, or say in workloads.yaml of the shelf which is meant",
					schema.Related{Place: other.Place.Under(s.Reports[j].Folder), Message: "the other definition"})
			}
		}
	}
	return out
}

// under gives the place of a key of the report, from the shelf's folder on.
func (r Report) under(key string) schema.Place {
	p, ok := r.Project.Places[key]
	if !ok {
		p = schema.Place{File: "report.yaml"}
	}
	return p.Under(r.Folder)
}

// spelt names what differs: key, what this side says, what the other says.
func spelt(all []project.DefinitionDifference) string {
	var parts []string
	say := func(text string) string {
		if text == "" {
			return "nothing"
		}
		return fmt.Sprintf("%q", text)
	}
	for _, d := range all {
		parts = append(parts, fmt.Sprintf("%s is %s, not %s", d.Key, say(d.B), say(d.A)))
	}
	return strings.Join(parts, "; ")
}
