package project

import (
	"slices"

	"benchwright/schema"
)

// OutcomeWords lists the words of result files for how a run ended, "ok" first.
func OutcomeWords() []string {
	return slices.Clone(outcomeWords[:])
}

// Dialect is what report.yaml declares of its result files; nil when it
// declares nothing and each file speaks for itself.
func (p *Project) Dialect() *schema.Dialect { return p.dialect() }
