package record

import (
	"fmt"
	"regexp"
	"strings"

	"benchwright/project"
	"benchwright/schema"
)

// FromText finds readings in the text that a test printed, by the patterns of
// workloads.yaml. workload may be empty: then every workload with patterns is
// looked for. Each match is a repeat. name is the text's file, for messages.
func FromText(p *project.Project, text, name, configuration, workload, session string) ([]Reading, []schema.Finding) {
	var out []Reading
	var bad []schema.Finding
	looked := 0
	for _, w := range p.Workloads {
		if workload != "" && w.ID != workload {
			continue
		}
		for _, pattern := range w.Patterns {
			looked++
			expression, err := regexp.Compile("(?m)" + pattern.Match)
			if err != nil {
				bad = append(bad, schema.Finding{Rule: "bad-pattern", Severity: schema.Error, Place: pattern.Place, Message: fmt.Sprintf("the pattern of %q cannot be read: %v", w.ID, err), Remedy: "the syntax is that of RE2, with a group named value"})
				continue
			}
			group := expression.SubexpIndex("value")
			if group < 0 {
				bad = append(bad, schema.Finding{Rule: "bad-pattern", Severity: schema.Error, Place: pattern.Place, Message: fmt.Sprintf("the pattern of %q has no group named value", w.ID), Remedy: "put (?P<value>…) around the number"})
				continue
			}
			for _, m := range expression.FindAllStringSubmatchIndex(text, -1) {
				if m[2*group] < 0 {
					continue
				}
				at := schema.Place{File: name, Line: strings.Count(text[:m[0]], "\n") + 1, Column: 1}
				out = append(out, Reading{Configuration: configuration, Workload: w.ID, Session: session, Value: text[m[2*group]:m[2*group+1]], At: at})
			}
		}
	}
	if len(bad) == 0 && len(out) == 0 {
		f := schema.Finding{Rule: "no-match", Severity: schema.Error, Place: schema.Place{File: name}, Message: "no reading was found in the text"}
		switch {
		case looked == 0 && workload != "":
			f.Remedy = fmt.Sprintf("give workload %q patterns in workloads.yaml", workload)
		case looked == 0:
			f.Remedy = "give the workloads patterns in workloads.yaml"
		default:
			f.Remedy = "hold the patterns in workloads.yaml against a line of the text"
		}
		bad = append(bad, f)
	}
	return out, bad
}
