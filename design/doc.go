// Package design compares: what differs between two configurations, which of
// them make a matched pair, which effects the tested ones cannot tell apart,
// and what else on the bench would make a published comparison unfair.
//
// In: a *project.Project. Out: differences, answers to "can this question be
// answered?", the structure of the whole design, and findings by named rules.
// It may import project, schema and stats of this module.
//
//	s := design.NewSpace(p)
//	for _, d := range s.Between(0, 1) {
//		fmt.Println(p.Factors[d.Factor].ID, d.Kind, d.Because)
//	}
//	findings := design.Check(p, s)
//
// All of it works without readings, on a plan: then every configuration
// counts, and the rules about readings have nothing to say.
package design
