package project

import "benchwright/schema"

// OutcomeWords lists the words of result files for how a run ended, "ok" first.
func OutcomeWords() []string {
	words := make([]string, len(outcomes))
	for i, o := range outcomes {
		words[i] = o.String()
	}
	return words
}

// Dialect is what report.yaml declares of its result files; nil when it
// declares nothing and each file speaks for itself.
func (p *Project) Dialect() *schema.Dialect { return p.dialect() }
