package report

import (
	"slices"
	"strings"

	"benchwright/design"
	"benchwright/project"
	"benchwright/words"
)

// unheld lists the factors that were to stay the same and did not between two
// configurations: as set, or by what was displayed or measured. What the surroundings
// drift by is not among them, nor what follows another factor that differs.
func (r *Report) unheld(a, b int) []int {
	if a == b {
		return nil
	}
	var out []int
	held := func(f int) bool {
		role := r.Project.Factors[f].Role
		return role != project.Studied && role != project.Nuisance
	}
	for _, d := range r.Space.Between(a, b) {
		if d.Kind == design.Independent && held(d.Factor) {
			out = append(out, d.Factor)
		}
	}
	for _, d := range r.Space.Doubts(a, b) {
		if !d.Step && held(d.Factor) {
			out = append(out, d.Factor)
		}
	}
	slices.Sort(out)
	return out
}

// factorLabels names factors in a sentence.
func (r *Report) factorLabels(factors []int) string {
	labels := make([]string, len(factors))
	for i, f := range factors {
		labels[i] = r.Project.Factors[f].Label
	}
	say := words.For(r.Language)
	return joinWords(say, labels)
}

// withUnheld adds to a sentence that holds configurations against another in
// what they differ though it was to stay the same: the sentence says who is best,
// and what made it so may be that. Configurations with the same such factors are
// named together.
func (r *Report) withUnheld(text string, against int, named ...int) string {
	k := r.work
	var factors []string
	of := map[string][]int{}
	for _, c := range named {
		list := r.unheld(against, c)
		if len(list) == 0 {
			continue
		}
		labels := r.factorLabels(list)
		if of[labels] == nil {
			factors = append(factors, labels)
		}
		if !slices.Contains(of[labels], c) {
			of[labels] = append(of[labels], c)
		}
	}
	for _, labels := range factors {
		said := k.say.Say("caution.unheld", "configurations", joinWords(k.say, k.firstFew(r.names(of[labels]))), "baseline", r.name(against), "factors", labels)
		if !strings.Contains(text, said) {
			text += " " + said
		}
	}
	return text
}
