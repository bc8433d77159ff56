package design

import (
	"fmt"
	"math"
	"slices"

	"benchwright/project"
	"benchwright/schema"
)

// answered reports whether a factor has a question, and each question about it
// a matched pair, so that its effect can be seen whatever the design as a whole
// is like.
func (in *inquiry) answered(f int) bool {
	asked := false
	for q, question := range in.p.Questions {
		if question.Factor != f {
			continue
		}
		if !in.s.answers[q].Answerable {
			return false
		}
		asked = true
	}
	return asked
}

// bundled reports whether a question names all of these factors together.
func (in *inquiry) bundled(factors []int) bool {
	for q := range in.p.Questions {
		studied := in.s.QuestionOf(q)
		if !slices.ContainsFunc(factors, func(f int) bool { return !slices.Contains(studied, f) }) {
			return true
		}
	}
	return false
}

func (in *inquiry) studied(factors []int) []int {
	return slices.DeleteFunc(slices.Clone(factors), func(f int) bool {
		return f == Session || in.p.Factors[f].Role != project.Studied
	})
}

func factorsMoveTogether() Rule {
	return Rule{
		Name: "factors-move-together", Group: Comparisons, Severity: schema.Warning,
		Title: "Two studied factors change only together",
		What: "Over all configurations that were read (in a plan: all), two studied factors split them in the same way. " +
			"Pairs that a question names as a bundle are left out.",
		Why:    "Their effects are aliased: the readings give the sum of both, and no analysis can divide it.",
		Remedy: "Run a configuration in which only one of them changes. If the one cannot be had without the other, declare it: role follows. If the sum is what you want to know, say so with `with`.",
		Source: "NIST/SEMATECH e-Handbook of Statistical Methods, 5.3.3.4.3 (confounding).",
		look: func(in *inquiry) {
			for _, group := range in.s.structure().MoveTogether {
				studied := in.studied(group)
				if len(studied) < 2 || in.bundled(studied) {
					continue
				}
				ids := in.s.factorIDs(studied)
				finding := schema.Finding{Place: in.p.Factors[studied[1]].Place, Factors: ids, Questions: in.questionsAbout(studied...),
					Message: fmt.Sprintf("%s change only together, so their effects cannot be told apart", listOf(ids)),
					Remedy:  fmt.Sprintf("run a configuration in which %s changes alone%s; or, if one brings the other, declare it: role: follows", ids[0], in.withinLimits(studied[0]))}
				for _, f := range studied {
					finding.Related = append(finding.Related, schema.Related{Place: in.p.Factors[f].Place, Message: ids[slices.Index(studied, f)]})
				}
				in.add(finding)
			}
		},
	}
}

func effectsConfounded() Rule {
	return Rule{
		Name: "effects-confounded", Group: Comparisons, Severity: schema.Warning,
		Title: "A factor's effect is a combination of others'",
		What: "Among main effects alone, a studied factor's contrasts depend on those of other factors: three factors of which two settle the third, " +
			"or a factor that only changes inside one level of another. Left out where matched pairs answer every question about the factors.",
		Why:    "No analysis of these readings can give each factor its own effect.",
		Remedy: "Run the configurations that the questions are missing; one further run often breaks the dependence.",
		Source: "NIST/SEMATECH e-Handbook of Statistical Methods, 5.3.3.4.3; the decision on rank as described under Structure.",
		look: func(in *inquiry) {
			st := in.s.structure()
			for _, a := range st.Aliases {
				if len(st.Terms[a.Term].Factors) != 1 || len(a.With) == 0 || len(in.studied(st.Terms[a.Term].Factors)) == 0 {
					continue
				}
				factors := []int{st.Terms[a.Term].Factors[0]}
				for _, w := range a.With {
					if w.Term != Mean {
						factors = append(factors, st.Terms[w.Term].Factors...)
					}
				}
				if slices.Contains(factors, Session) {
					continue // pair-in-different-sessions says it better
				}
				studied := in.studied(factors)
				if len(studied) < 2 || in.bundled(studied) || in.together(st, studied) ||
					!slices.ContainsFunc(studied, func(f int) bool { return !in.answered(f) }) {
					continue
				}
				ids := in.s.factorIDs(factors)
				in.add(schema.Finding{Place: in.p.Factors[factors[0]].Place, Factors: ids, Questions: in.questionsAbout(studied...),
					Message: a.Words, Remedy: fmt.Sprintf("run a configuration that changes %s and nothing else%s", ids[0], in.withinLimits(factors[0]))})
			}
		},
	}
}

// together reports whether the factors are, in part, ones that only change
// together, which has a rule of its own.
func (in *inquiry) together(st Structure, studied []int) bool {
	return slices.ContainsFunc(st.MoveTogether, func(group []int) bool {
		n := 0
		for _, f := range studied {
			if slices.Contains(group, f) {
				n++
			}
		}
		return n > 1
	})
}

func effectsHardToSeparate() Rule {
	return Rule{
		Name: "effects-hard-to-separate", Group: Comparisons, Severity: schema.Notice,
		Title:  "Two factors nearly always change together",
		What:   "The variance inflation of a studied factor's main effect is ten or more: it can be told from the other factors', but badly. Left out where matched pairs answer every question about it.",
		Why:    "An inflation of ten means that its interval is more than three times as wide as it would be in a balanced plan with as many readings.",
		Remedy: "Add the combinations that were never run; the table of empty cells lists them.",
		Source: "D. W. Marquardt, Technometrics 12, 1970 (inflation of ten); J. Fox and G. Monette, JASA 87, 1992 (several contrasts).",
		look: func(in *inquiry) {
			st := in.s.structure()
			for t, v := range st.Inflation {
				f := st.Terms[t].Factors[0]
				if v < 10 || math.IsInf(v, 1) || f == Session || in.p.Factors[f].Role != project.Studied || in.answered(f) {
					continue
				}
				finding := schema.Finding{Place: in.p.Factors[f].Place, Factors: []string{in.p.Factors[f].ID}, Questions: in.questionsAbout(f)}
				with := ""
				for _, p := range st.Partial {
					if p.A != t && p.B != t || len(st.Terms[p.A].Factors)+len(st.Terms[p.B].Factors) > 2 {
						continue
					}
					other := st.Terms[p.A+p.B-t].Factors[0]
					if other == Session {
						with = ", most of all with the session"
					} else {
						finding.Factors = append(finding.Factors, in.p.Factors[other].ID)
						with = ", most of all with " + in.p.Factors[other].ID
					}
					break
				}
				finding.Message = fmt.Sprintf("%s changes nearly always along with other factors%s; its variance is inflated %s times", in.p.Factors[f].ID, with, number(math.Round(v)))
				finding.Remedy = "run some of the combinations that were never tested"
				in.add(finding)
			}
		},
	}
}

func interactionAliased() Rule {
	return Rule{
		Name: "interaction-aliased", Group: Comparisons, Severity: schema.Notice,
		Title: "An interaction cannot be told from something else",
		What: "The tested configurations are a fraction in which a main effect has the same contrast as an interaction, or two interactions have, " +
			"or an interaction coincides with the sessions (confounded with blocks).",
		Why: "A figure for the one holds only if the other does not exist. That is a fair assumption for many benches, and it should be stated.",
		Remedy: "Say on the page that the interaction is taken to be absent; or run the other half of the combinations; " +
			"or spread the combinations over the sessions in another way.",
		Source: "NIST/SEMATECH e-Handbook of Statistical Methods, 5.3.3.4; W. N. Venables and B. D. Ripley, Modern Applied Statistics with S, 2002 (blocks).",
		look: func(in *inquiry) {
			st := in.s.structure()
			var words []string
			var factors []string
			first := -1
			collect := func(text string, terms []Signed) {
				words = append(words, text)
				for _, t := range terms {
					if t.Term == Mean {
						continue
					}
					for _, f := range st.Terms[t.Term].Factors {
						if f != Session {
							if first < 0 {
								first = f
							}
							factors = append(factors, in.p.Factors[f].ID)
						}
					}
				}
			}
			for _, set := range st.Sets {
				if terms := in.fraction(st, set); len(terms) > 1 {
					collect(in.s.signedText(st, terms), terms)
				}
			}
			for _, a := range st.Aliases {
				if len(st.Terms[a.Term].Factors) < 2 || !a.Whole {
					continue
				}
				onlySession := len(a.With) > 0
				for _, w := range a.With {
					onlySession = onlySession && (w.Term == Mean || slices.Equal(st.Terms[w.Term].Factors, []int{Session}))
				}
				if onlySession && a.With[len(a.With)-1].Term != Mean {
					collect(in.s.TermText(st.Terms[a.Term])+" = session", []Signed{{a.Term, 1}})
				}
			}
			if len(words) == 0 {
				return
			}
			const most = 6
			shown := words
			more := ""
			if len(words) > most {
				shown, more = words[:most], fmt.Sprintf(", and %d more", len(words)-most)
			}
			in.add(schema.Finding{Place: in.p.Factors[first].Place, Factors: factors,
				Message: "cannot be told apart: " + listWith(shown, "; ") + more,
				Remedy:  "say that the interactions are taken to be absent, or run further combinations"})
		},
	}
}

// fraction gives the terms of an alias set that a fraction of the combinations
// makes: a main effect with interactions of other factors, or interactions of
// two without a factor in common; the larger ones of a set are left out when
// it has smaller ones. Sets with the mean, or of terms that share a factor,
// only say that combinations are missing and give nothing, and neither do
// those with a factor that should not have varied.
func (in *inquiry) fraction(st Structure, set AliasSet) []Signed {
	small := slices.DeleteFunc(slices.Clone(set.Terms), func(t Signed) bool { return t.Term != Mean && len(st.Terms[t.Term].Factors) > 2 })
	terms := small
	if len(small) < 2 {
		terms = set.Terms
	}
	mains := 0
	for i, x := range terms {
		if x.Term == Mean {
			return nil
		}
		a := st.Terms[x.Term].Factors
		if len(in.studied(a)) < len(a) {
			return nil
		}
		if len(a) == 1 {
			mains++
		}
		for _, y := range terms[:i] {
			b := st.Terms[y.Term].Factors
			if slices.ContainsFunc(a, func(f int) bool { return slices.Contains(b, f) }) {
				return nil
			}
		}
	}
	if mains == 1 || mains == 0 && len(st.Terms[terms[0].Term].Factors) == 2 {
		return terms
	}
	return nil
}

func listWith(list []string, separator string) string {
	text := ""
	for i, s := range list {
		if i > 0 {
			text += separator
		}
		text += s
	}
	return text
}

func studiedNeverVaried() Rule {
	return Rule{
		Name: "studied-never-varied", Group: Comparisons, Severity: schema.Notice,
		Title:  "A studied factor was never varied",
		What:   "A factor of role studied has one and the same value in every configuration that was read (in a plan: in all).",
		Why:    "Nothing can be said about it, though the page would list it among what was studied.",
		Remedy: "Run another level, or give it the role held.",
		Source: "common practice, no source",
		look: func(in *inquiry) {
			if len(in.s.counted()) < 2 {
				return
			}
			for _, f := range in.s.structure().NeverVaried {
				planned := false
				for c := range in.p.Configurations {
					planned = planned || in.s.status(f, c, in.s.counted()[0]) == differs
				}
				if planned {
					continue
				}
				in.add(schema.Finding{Place: in.p.Factors[f].Place, Factors: []string{in.p.Factors[f].ID}, Questions: in.questionsAbout(f),
					Message: fmt.Sprintf("%s is studied, but has the same value in every configuration", in.p.Factors[f].ID),
					Remedy:  "run another level" + in.withinLimits(f) + ", or give it the role held"})
			}
		},
	}
}
