package record

import (
	"slices"

	"benchwright/design"
	"benchwright/project"
)

// Lacking is a cell that the questions still want.
type Lacking struct {
	Configuration, Workload int
	// Question wants it first; an index into Project.Questions.
	Question int
	// Have and Want count readings that are ok.
	Have, Want int
}

// Lack lists what the questions still lack, in the order of the questions and
// their matched pairs: cells on either side of a pair with fewer readings than
// the project asks for. Cells whose runs fail are left out, since repeating a
// failure is a choice. A question without a pair lacks a configuration and no
// reading; package design says which.
func Lack(p *project.Project, s *design.Space) []Lacking {
	var out []Lacking
	seen := map[[2]int]bool{}
	for q := range p.Questions {
		workloads := readFor(p, q)
		for _, pair := range s.Answer(q).Pairs {
			for _, c := range [...]int{pair.From, pair.To} {
				for _, w := range workloads {
					if seen[[2]int{c, w}] {
						continue
					}
					seen[[2]int{c, w}] = true
					have := len(values(p, c, w))
					failed := have == 0 && len(p.ReadingsOf(c, w)) > 0
					if have < p.MinimumRepeats && !failed {
						out = append(out, Lacking{c, w, q, have, p.MinimumRepeats})
					}
				}
			}
		}
	}
	return out
}

// readFor lists the workloads that have to be read for a question: those that
// it asks about, and for computed ones what they are computed from.
func readFor(p *project.Project, question int) []int {
	asked := p.Questions[question].Workloads
	if asked == nil {
		for w := range p.Workloads {
			asked = append(asked, w)
		}
	}
	var out []int
	seen := map[int]bool{}
	var add func(w int)
	add = func(w int) {
		if seen[w] {
			return
		}
		seen[w] = true
		x := p.Workloads[w]
		switch {
		case x.Derived != nil:
			for _, t := range slices.Concat(x.Derived.Times, x.Derived.Over) {
				if t.Kind == project.WorkloadTerm {
					add(t.Index)
				}
			}
		case x.FramesOf != "":
			if of := p.Workload(x.FramesOf); of != nil {
				add(of.Index)
			}
		default:
			out = append(out, w)
		}
	}
	for _, w := range asked {
		add(w)
	}
	slices.Sort(out)
	return out
}
