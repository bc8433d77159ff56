package report

import (
	"slices"

	"benchwright/schema"
)

// settle says whether the comparison behind an answer is clean: matched pairs alone,
// and no finding that a viewer could fairly hold against them. One that the author
// set aside counts as well: a reason is no cure, and the reader is the judge of it.
func (q *Answer) settle() {
	q.Clean = q.Answerable && !q.Bundle && !q.Belied && len(q.Against()) == 0 && len(q.AgainstSetAside()) == 0
}

// Against are the rules whose findings speak against the comparison, each once, in
// the order of their names.
func (q *Answer) Against() []string { return rulesAgainst(q.Findings) }

// AgainstSetAside are those whose findings would, had the author not set them aside.
func (q *Answer) AgainstSetAside() []string { return rulesAgainst(q.SetAside) }

func rulesAgainst(findings []schema.Finding) []string {
	var out []string
	for _, f := range findings {
		// A pair that is none takes nothing from those that are: nothing differs
		// between their sides that should not.
		if f.Severity != schema.Notice && !slices.Contains(ofNoPair[:], f.Rule) && !slices.Contains(out, f.Rule) {
			out = append(out, f.Rule)
		}
	}
	slices.Sort(out)
	return out
}
