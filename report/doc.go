// Package report turns a project into everything that is shown: cells,
// relative performance, composites, answers, a model of all factors at once,
// and what else a tester wants to know, each with its interval, its digits and
// its sentence.
//
// In: a *project.Project, the design space made from it and the checker's
// findings. Out: a *Report, which the terminal, the JSON and the pages print
// alike; they compute and word nothing themselves. It may import project,
// design, schema, stats and words of this module.
//
//	r := report.Build(p, design.NewSpace(p), findings, report.Options{})
//	for _, q := range r.Questions {
//		fmt.Println(q.Headline.Text) // "…: going from … to … is worth +11.8 % (…)"
//	}
//	fmt.Println(r.Relative(r.Baseline, 3, 0).Text)
//
// The way of a number: samples.go sorts readings into cells and finds the
// error of each centre; contrast.go combines centres into log ratios; ratio.go
// and cells.go turn those into figures; numbers.go alone decides digits; words
// holds every phrase.
package report
