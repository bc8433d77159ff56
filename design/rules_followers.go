package design

import (
	"cmp"
	"fmt"
	"slices"

	"benchwright/project"
	"benchwright/schema"
)

func followerDoesNotFollow() Rule {
	return Rule{
		Name: "follower-does-not-follow", Group: Comparisons, Severity: schema.Warning,
		Title: "A follower does not follow",
		What: "A factor that follows another has two values with the same level of what it follows (one processor, two cache sizes), " +
			"or not the value that the level says it brings.",
		Why: "A follower is left out of the count of differences because it cannot be chosen. One that was chosen, or was mistyped, " +
			"or belongs to another revision of the part is a second difference in hiding.",
		Remedy: "Correct the value; or give the two parts two levels; or give the factor the role studied or held if it can be set by hand.",
		Source: "common practice, no source",
		look: func(in *inquiry) {
			for f, factor := range in.p.Factors {
				if factor.Role != project.Follows || len(in.s.parents[f]) == 0 {
					continue
				}
				for c := range in.p.Configurations {
					if !in.s.overridden(f, c) {
						continue
					}
					brought, part, _ := in.s.brought(f, c)
					of := in.p.Factors[in.s.parents[f][0]].ID
					finding := schema.Finding{Place: in.valuePlace(c, f), Factors: []string{factor.ID, of},
						Configurations: []string{in.configurationID(c)}, Questions: in.questionsAbout(in.s.parents[f]...),
						Message: fmt.Sprintf("%s is %s in %q, although %s %s brings %s", factor.ID, in.s.valueText(f, in.s.ValuesOf(c, f)[0].Value),
							in.configurationID(c), of, part, in.s.valueText(f, brought)),
						Remedy: fmt.Sprintf("correct the value; or, if %s can be set by hand, give it the role studied or held", factor.ID)}
					in.add(finding)
				}
				in.wanderers(f)
			}
		},
	}
}

// wanderers reports two values of a follower under the same levels of what it
// follows, where no level says what it brings.
func (in *inquiry) wanderers(f int) {
	factor := in.p.Factors[f]
	by := make(map[string][]int)
	var keys []string
	for c := range in.p.Configurations {
		if in.s.codes[c*in.s.factors+f] <= 0 || in.s.overridden(f, c) {
			continue
		}
		key, known := "", true
		for _, g := range in.s.parents[f] {
			code := in.s.codes[c*in.s.factors+g]
			known = known && code > 0
			key += fmt.Sprint(code, " ")
		}
		if !known {
			continue
		}
		if by[key] == nil {
			keys = append(keys, key)
		}
		by[key] = append(by[key], c)
	}
	for _, key := range keys {
		var usual, odd []int
		var groups [][]int
		for _, c := range by[key] {
			g := slices.IndexFunc(groups, func(g []int) bool { return in.s.status(f, g[0], c) == same })
			if g < 0 {
				groups, g = append(groups, nil), len(groups)
			}
			groups[g] = append(groups[g], c)
		}
		if len(groups) < 2 {
			continue
		}
		slices.SortStableFunc(groups, func(a, b []int) int {
			return cmp.Or(cmp.Compare(len(b), len(a)), in.s.compareIDs(a[0], b[0]))
		})
		usual, odd = groups[0], groups[1]
		if in.p.Factors[f].Derived != nil && slices.ContainsFunc(slices.Concat(usual, odd), func(c int) bool {
			return slices.ContainsFunc(in.findings, func(x schema.Finding) bool {
				return x.Rule == "derived-disagrees" && slices.Contains(x.Configurations, in.configurationID(c)) && slices.Contains(x.Factors, factor.ID)
			})
		}) {
			continue
		}
		of := in.s.factorIDs(in.s.parents[f])
		finding := schema.Finding{Place: in.valuePlace(odd[0], f), Factors: append([]string{factor.ID}, of...),
			Configurations: append(in.s.configurationIDs(odd), in.s.configurationIDs(usual)...), Questions: in.questionsAbout(in.s.parents[f]...),
			Message: fmt.Sprintf("%s follows %s, but with the same %s it is %s in %s and %s in %s", factor.ID, listOf(of), listOf(of),
				in.s.valueText(f, in.s.ValuesOf(usual[0], f)[0].Value), quoted(in.s.configurationIDs(usual)),
				in.s.valueText(f, in.s.ValuesOf(odd[0], f)[0].Value), quoted(in.s.configurationIDs(odd))),
			Remedy: "correct the wrong one, or name what else it follows"}
		in.relate(&finding, usual[0], f)
		in.add(finding)
	}
}
