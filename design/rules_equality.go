package design

import (
	"cmp"
	"fmt"
	"slices"

	"benchwright/project"
	"benchwright/schema"
)

func recordedOnOneSide() Rule {
	return Rule{
		Name: "recorded-on-one-side", Group: Comparisons, Severity: schema.Warning,
		Title: "A factor is recorded for some configurations only",
		What: "A held or studied factor has a value in some configurations and none, or `unknown`, in others. Followers count when " +
			"the missing value keeps a pair apart.",
		Why:    "Unknown is not equal. Nobody can say that the two sides of a comparison had the same firmware when only one side wrote it down.",
		Remedy: "Look it up on the machine or in the session's log and write it down; a value common to all belongs under `common` in bench.yaml.",
		Source: "common practice, no source",
		look: func(in *inquiry) {
			for f, factor := range in.p.Factors {
				if factor.Role == project.Nuisance || len(in.s.parents[f]) > 0 {
					continue
				}
				usual, odd, unrecorded := in.shares(f)
				recorded := len(usual)
				for _, group := range odd {
					recorded += len(group)
				}
				if recorded == 0 || len(unrecorded) == 0 {
					continue
				}
				// The majority without a record means that the others are the exception.
				finding := schema.Finding{Place: in.valuePlace(unrecorded[0], f), Factors: []string{factor.ID}, Configurations: in.s.configurationIDs(unrecorded),
					Message: fmt.Sprintf("%s is not recorded for %s, though it is for %s", factor.ID, quoted(in.s.configurationIDs(unrecorded)),
						others(in.s.configurationIDs(slices.Concat(append([][]int{usual}, odd...)...)))),
					Remedy: fmt.Sprintf("write down %s of %s", factor.ID, quoted(in.s.configurationIDs(unrecorded)))}
				in.nameSpoilt(&finding, slices.DeleteFunc(in.spoiltBy(f), func(s spoilt) bool {
					return !slices.Contains(unrecorded, s.pair.From) && !slices.Contains(unrecorded, s.pair.To)
				}))
				in.add(finding)
			}
		},
	}
}

func nuisanceBeyondTolerance() Rule {
	return Rule{
		Name: "nuisance-beyond-tolerance", Group: Comparisons, Severity: schema.Warning,
		Title: "Surroundings differ by more than their tolerance",
		What: "A nuisance factor (room temperature, mains voltage) lies further apart than its declared tolerance between two configurations " +
			"that would otherwise make a matched pair, and they are not compared within sessions that both share, or through a third configuration read beside each.",
		Why:    "A warm room slows what is limited by heat. Beyond the tolerance that you chose yourself, the day is part of the result. Within a session it is the same for both sides.",
		Remedy: "Read both sides in one session, in turns, on every workload. If the tolerance is too strict or was never declared, declare one that you can defend.",
		Source: "NIST/SEMATECH e-Handbook of Statistical Methods, 5.3.3.2 (nuisance factors).",
		look: func(in *inquiry) {
			for f, factor := range in.p.Factors {
				if factor.Role != project.Nuisance {
					continue
				}
				spoilt := slices.DeleteFunc(in.spoiltBy(f), func(s spoilt) bool { return in.s.status(f, s.pair.From, s.pair.To) != differs })
				if len(spoilt) == 0 {
					continue
				}
				pair := spoilt[0].pair
				x, y := in.s.sides(f, pair.From, pair.To)
				allowed := "and no tolerance is declared"
				if factor.Tolerance != (project.Tolerance{}) {
					allowed = "more than " + in.s.toleranceText(f) + " apart"
				}
				remedy := "read both in one session, in turns, on every workload that they are compared by"
				if !in.s.sessional[f] {
					remedy = "run both with the same value"
				}
				remedy += "; or declare a tolerance that you can defend"
				finding := schema.Finding{Place: cmp.Or(y.Place, in.valuePlace(pair.To, f)), Factors: []string{factor.ID},
					Message: fmt.Sprintf("%s was %s for %q%s and %s for %q%s, %s", factor.ID, in.s.valueText(f, x.Value), in.configurationID(pair.From), in.during(x),
						in.s.valueText(f, y.Value), in.configurationID(pair.To), in.during(y), allowed),
					Remedy: remedy}
				for _, v := range []project.Resolved{x, y} {
					if v.Origin == project.FromSession {
						finding.Sessions = append(finding.Sessions, v.From)
					}
				}
				in.nameSpoilt(&finding, spoilt)
				in.add(finding)
			}
		},
	}
}

func identicalConfigurations() Rule {
	return Rule{
		Name: "identical-configurations", Group: Comparisons, Severity: schema.Warning,
		Title:  "Two configurations are the same in every factor",
		What:   "Two configurations have the same value of every factor that is not a nuisance.",
		Why:    "Either what tells them apart was not written down, and then the second difference is hidden for good; or they are one configuration under two names, and its repeats are split.",
		Remedy: "Add the factor in which they differ, or merge them: a second visit to a configuration is a matter of repeats and order, not of a new name.",
		Source: "common practice, no source",
		look: func(in *inquiry) {
			groups := make(map[string][]int)
			var keys []string
			for c := range in.p.Configurations {
				key := make([]byte, 0, 4*in.s.factors)
				for f, factor := range in.p.Factors {
					code := in.s.codes[c*in.s.factors+f]
					switch {
					case factor.Role == project.Nuisance:
						code = 0
					case code == codeUnknown:
						code = int32(-3 - c) // equal to nothing
					}
					key = append(key, byte(code), byte(code>>8), byte(code>>16), byte(code>>24))
				}
				if groups[string(key)] == nil {
					keys = append(keys, string(key))
				}
				groups[string(key)] = append(groups[string(key)], c)
			}
			for _, key := range keys {
				group := groups[key]
				if len(group) < 2 {
					continue
				}
				ids := in.s.configurationIDs(group)
				in.add(schema.Finding{Place: in.p.Configurations[group[1]].Place, Configurations: ids, Questions: in.questionsWith(group...),
					Message: fmt.Sprintf("%s have the same value of every factor", quoted(ids)),
					Remedy:  "add the factor that tells them apart, or merge them",
					Related: []schema.Related{{Place: in.p.Configurations[group[0]].Place, Message: fmt.Sprintf("%q", ids[0])}}})
			}
		},
	}
}
