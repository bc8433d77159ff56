package design

import (
	"fmt"
	"slices"
	"strings"

	"benchwright/schema"
)

func questionWithoutPair() Rule {
	return Rule{
		Name: "question-without-pair", Group: Comparisons, Severity: schema.Warning,
		Title: "No two configurations answer a question",
		What: "A question asks what one factor is worth. Two configurations answer it when they differ in that factor alone, followers aside. " +
			"The finding names the nearest two and everything else that differs between them.",
		Why: "Between two configurations that differ in more than one thing, nobody can say which of them made the difference. " +
			"Viewers will ask, and the readings cannot answer.",
		Remedy: "Run the configuration that the finding names, write down what was not recorded, or allow the second difference by name (`with`): " +
			"the answer is then a bundle, and called one wherever it appears.",
		Source: "NIST/SEMATECH e-Handbook of Statistical Methods, 5.3.3 (comparisons hold everything else equal).",
		look: func(in *inquiry) {
			for q, question := range in.p.Questions {
				a := in.s.answers[q]
				if a.Answerable {
					continue
				}
				factor := in.p.Factors[question.Factor]
				f := schema.Finding{Place: question.Place, Questions: []string{question.ID}, Factors: []string{factor.ID}}
				from, to := in.s.valueText(question.Factor, question.From), in.s.valueText(question.Factor, question.To)
				met := ""
				if len(question.Where) > 0 {
					met = " under the question's conditions"
				}
				switch {
				case len(a.From) == 0 && len(a.To) == 0:
					f.Message = fmt.Sprintf("no configuration has %s %s or %s%s", factor.ID, from, to, met)
				case len(a.From) == 0:
					f.Message = fmt.Sprintf("no configuration has %s %s%s", factor.ID, from, met)
				case len(a.To) == 0:
					f.Message = fmt.Sprintf("no configuration has %s %s%s", factor.ID, to, met)
				case len(a.Nearest) == 0:
					f.Message = fmt.Sprintf("no two configurations differ in %s alone, from %s to %s%s", factor.ID, from, to, met)
				default:
					near := a.Nearest[0]
					var between []string
					for _, d := range near.Between {
						if d.Kind.Spoils() {
							id := in.p.Factors[d.Factor].ID
							f.Factors = append(f.Factors, id)
							between = append(between, fmt.Sprintf("%s (%s against %s)", id, in.s.valueText(d.Factor, d.A.Value), in.s.valueText(d.Factor, d.B.Value)))
							in.relate(&f, near.From, d.Factor)
							in.relate(&f, near.To, d.Factor)
						}
					}
					f.Configurations = []string{in.configurationID(near.From), in.configurationID(near.To)}
					f.Message = fmt.Sprintf("no two configurations differ in %s alone, from %s to %s%s; nearest are %s, which differ in %s as well",
						factor.ID, from, to, met, quoted(f.Configurations), listOf(between))
				}
				f.Remedy = in.s.remedy(a)
				in.add(f)
			}
		},
	}
}

// relate points a finding at a configuration's value of a factor.
func (in *inquiry) relate(f *schema.Finding, c, factor int) {
	place := in.valuePlace(c, factor)
	if place.File == "" {
		return
	}
	var texts []string
	for _, v := range in.s.ValuesOf(c, factor) {
		texts = append(texts, in.s.valueText(factor, v.Value))
	}
	f.Related = append(f.Related, schema.Related{Place: place, Message: fmt.Sprintf("%q has %s %s",
		in.configurationID(c), in.p.Factors[factor].ID, listOf(texts))})
}

// remedy says what would make a question answerable.
func (s *Space) remedy(a Answerability) string {
	var ways []string
	for _, u := range a.Unrecorded {
		ways = append(ways, fmt.Sprintf("write down %s of %q", s.p.Factors[u.Factor].ID, s.p.Configurations[u.Configuration].ID))
	}
	if len(ways) > 0 {
		return strings.Join(ways, ", ") + "; if nothing else differs then, there is a pair"
	}
	if a.Again != nil {
		return s.againText(a.Again)
	}
	var runs []string
	for _, m := range a.Missing {
		runs = append(runs, s.MissingText(m))
	}
	switch {
	case len(runs) > 0:
	case len(a.Beyond) > 0:
		return s.notProposed(a.Beyond)
	default:
		return ""
	}
	return "run " + strings.Join(runs, ", and ")
}

// MissingText says which configuration is to be run: `one like "base" with
// bus 83 MHz (clock 500 MHz follows)`.
func (s *Space) MissingText(m Missing) string {
	var set, follow []string
	for _, c := range m.Changes {
		text := s.p.Factors[c.Factor].ID + " " + s.valueText(c.Factor, c.To)
		if c.Follows {
			follow = append(follow, text)
		} else {
			set = append(set, text)
		}
	}
	text := fmt.Sprintf("one like %q with %s", s.p.Configurations[m.Based].ID, listOf(set))
	if len(follow) > 0 {
		text += " (" + listOf(follow) + " will follow)"
	}
	if len(m.Record) > 0 {
		text += ", and write down " + listOf(s.factorIDs(m.Record))
	}
	return text
}

func questionAwaitingReadings() Rule {
	return Rule{
		Name: "question-awaiting-readings", Group: Comparisons, Severity: schema.Notice,
		Title: "The pair that answers a question has no readings yet",
		What:  "There are readings, and there is a matched pair for the question, but no pair has ok readings of a common workload on both sides.",
		Why:   "The page can only say that the question is open.",
		Remedy: "Run what is missing, or take the question out until it has been run. " +
			"When a side failed on every workload, that is the answer: say so in the question's note.",
		Source: "common practice, no source",
		look: func(in *inquiry) {
			if !in.s.anyRead {
				return
			}
			for q, question := range in.p.Questions {
				a := in.s.answers[q]
				if !a.Answerable || a.Measured {
					continue
				}
				pair := a.Pairs[0]
				if i := slices.IndexFunc(a.Pairs, func(p Pair) bool { return len(in.s.BeyondPair(p)) == 0 }); i >= 0 {
					pair = a.Pairs[i] // the one that may be asked for
				}
				if i := slices.IndexFunc(a.Pairs, func(p Pair) bool { return p.State == Failed }); i >= 0 {
					pair = a.Pairs[i]
				}
				f := schema.Finding{Place: question.Place, Questions: []string{question.ID}, Factors: []string{in.p.Factors[question.Factor].ID},
					Configurations: []string{in.configurationID(pair.From), in.configurationID(pair.To)}}
				var waiting, failed []string
				for _, c := range []int{pair.From, pair.To} {
					switch {
					case !slices.Contains(in.s.succeeded[c], true) && slices.Contains(in.s.failed[c], true):
						failed = append(failed, in.configurationID(c))
					case !slices.Contains(in.s.succeeded[c], true):
						waiting = append(waiting, in.configurationID(c))
					}
				}
				names := quoted(f.Configurations)
				switch {
				case len(failed) > 0:
					f.Message = fmt.Sprintf("%s would answer %q, but %s did not get through a single workload", names, question.ID, quoted(failed))
					f.Remedy = "say in the question's note that it failed, or choose another pair"
				case len(waiting) > 0:
					f.Message = fmt.Sprintf("%s would answer %q, but %s %s no readings yet", names, question.ID, quoted(waiting), has(len(waiting)))
					f.Remedy = "run " + quoted(waiting)
				default:
					f.Message = fmt.Sprintf("%s would answer %q, but they have no ok readings of a common workload", names, question.ID)
					f.Remedy = "run the same workloads on both"
				}
				if e := in.s.BeyondPair(pair); len(failed) == 0 && len(e) > 0 {
					f.Remedy = in.s.notProposed(e)
				}
				in.add(f)
			}
		},
	}
}

func has(n int) string {
	if n == 1 {
		return "has"
	}
	return "have"
}

func withNeverDiffers() Rule {
	return Rule{
		Name: "with-never-differs", Group: Comparisons, Severity: schema.Notice,
		Title:  "A question allows a second difference that it does not need",
		What:   "A question names a factor that may differ as well (`with`), and in none of its pairs does it.",
		Why:    "The answer would be taken for a bundle although it is a clean comparison; and a later mistake in that factor would be allowed in silence.",
		Remedy: "Delete the name from `with`.",
		Source: "common practice, no source",
		look: func(in *inquiry) {
			for q, question := range in.p.Questions {
				a := in.s.answers[q]
				if !a.Answerable {
					continue
				}
				for _, f := range question.With {
					if !slices.ContainsFunc(a.Pairs, func(p Pair) bool { return in.s.status(f, p.From, p.To) != same }) {
						id := in.p.Factors[f].ID
						in.add(schema.Finding{Place: question.Place, Questions: []string{question.ID}, Factors: []string{id},
							Message: fmt.Sprintf("%q allows %s to differ, and it is the same in every matched pair", question.ID, id),
							Remedy:  fmt.Sprintf("delete %s from with", id)})
					}
				}
			}
		},
	}
}

func (in *inquiry) sessionIDs(list []int) []string {
	var ids []string
	for _, s := range list {
		if s >= 0 {
			ids = append(ids, in.p.Sessions[s].ID)
		}
	}
	return ids
}
