package design

import (
	"cmp"
	"fmt"
	"slices"

	"benchwright/project"
	"benchwright/schema"
)

func baselineOddOneOut() Rule {
	return Rule{
		Name: "baseline-odd-one-out", Group: Claims, Severity: schema.Warning,
		Title: "Nothing can be compared with the baseline fairly",
		What:  "Every other configuration differs from the baseline in two factors or more, followers and surroundings aside. Looked for when there are two others or more.",
		Why: "Every figure of relative performance is read against the baseline. When each of them carries a second difference, " +
			"none of them says what one change is worth.",
		Remedy: "Make the configuration that the finding names the baseline. Where none would do, run the one that it names, which differs from the baseline in one factor alone.",
		Source: "common practice, no source",
		look: func(in *inquiry) {
			counted := in.s.counted()
			base := in.p.Baseline
			if len(counted) < 3 || !slices.Contains(counted, base) {
				return
			}
			for _, c := range counted {
				if c != base && in.changes(base, c) < 2 {
					return
				}
			}
			// Configurations in a bundle that a question allows are there on purpose.
			for _, a := range in.s.answers {
				if slices.ContainsFunc(a.Pairs, func(p Pair) bool { return p.From == base || p.To == base }) {
					return
				}
			}
			id := in.configurationID(base)
			f := schema.Finding{Place: in.baselinePlace(), Configurations: []string{id},
				Message: fmt.Sprintf("no configuration differs from the baseline %q in one factor alone", id)}
			var lone []int
			for factor := range in.s.factors {
				if in.loneBaseline(counted, factor) {
					lone = append(lone, factor)
					f.Factors = append(f.Factors, in.p.Factors[factor].ID)
					in.relate(&f, base, factor)
				}
			}
			if len(f.Factors) > 0 {
				f.Message += fmt.Sprintf("; all others have another %s", listOf(f.Factors))
			}
			f.Remedy = in.fairBaseline(counted, lone)
			in.add(f)
		},
	}
}

// changes counts the factors that differ of themselves between two
// configurations, giving up at two.
func (in *inquiry) changes(a, b int) (n int) {
	for f := range in.s.factors {
		if in.s.kind(f, a, b, nil) == Independent {
			if n++; n == 2 {
				break
			}
		}
	}
	return n
}

// fairBaseline says which configuration would be a fair baseline, and where
// there is none, which run would make this one fair.
func (in *inquiry) fairBaseline(counted, lone []int) string {
	best := -1
	var beside []string
	for _, b := range counted {
		if b == in.p.Baseline || len(in.s.beyond[b]) > 0 || in.s.anyRead && !slices.Contains(in.s.succeeded[b], true) {
			continue
		}
		var near []string
		for _, c := range counted {
			// What lies beyond a maker's limit is no reason to choose a baseline.
			if c != b && len(in.s.beyond[c]) == 0 && in.changes(b, c) == 1 {
				near = append(near, in.configurationID(c))
			}
		}
		if len(near) > len(beside) {
			best, beside = b, near
		}
	}
	if best >= 0 {
		return fmt.Sprintf("make %q the baseline: %s %s from it in one factor alone", in.configurationID(best), quoted(beside), verb(len(beside), "differs", "differ"))
	}
	const none = "no other configuration would be a fairer baseline"
	for c := range in.p.Configurations {
		if !slices.Contains(counted, c) && len(in.s.beyond[c]) == 0 && len(in.s.beyond[in.p.Baseline]) == 0 && in.changes(in.p.Baseline, c) == 1 {
			return none + fmt.Sprintf("; run %q, which differs from %q in one factor alone", in.configurationID(c), in.configurationID(in.p.Baseline))
		}
	}
	m, beyond := in.fairRun(counted, lone)
	if m == nil {
		if len(beyond) > 0 {
			return none + fmt.Sprintf(", and what one factor alone would take lies beyond the maker's limit (%s), so it is not proposed; read each figure as that of all that it changes", in.s.excessText(beyond))
		}
		return none + ", and no one factor can be changed alone; read each figure as that of all that it changes"
	}
	return none + "; run " + in.s.MissingText(*m) + fmt.Sprintf(", which differs from %q in one factor alone", in.configurationID(in.p.Baseline))
}

// fairRun is the configuration to run so that one differs from the baseline in
// one factor alone: it takes one value from another configuration, where all
// others share one that one, and of the rest from the nearest. What would lie
// beyond a maker's limit is passed over, and given when nothing is left.
func (in *inquiry) fairRun(counted, lone []int) (best *Missing, beyond []Excess) {
	base := in.p.Baseline
	type candidate struct {
		d       Difference
		changes int
	}
	var list []candidate
	for _, c := range counted {
		if c == base {
			continue
		}
		changes := slices.DeleteFunc(in.s.Between(base, c), func(d Difference) bool { return d.Kind != UnderStudy && d.Kind != Independent })
		for _, d := range changes {
			if d.B.Value.State == project.Known && in.p.Factors[d.Factor].Derived == nil {
				list = append(list, candidate{d, len(changes)})
			}
		}
	}
	rank := func(x candidate) int {
		switch {
		case slices.Contains(lone, x.d.Factor):
			return 0
		case len(in.s.parents[x.d.Factor]) == 0:
			return 1
		}
		return 2 // what follows another is seldom set by itself
	}
	slices.SortStableFunc(list, func(x, y candidate) int {
		return cmp.Or(cmp.Compare(rank(x), rank(y)), cmp.Compare(x.changes, y.changes))
	})
	for _, x := range list {
		m := Missing{Based: base, Changes: []Change{{Factor: x.d.Factor, From: x.d.A.Value, To: x.d.B.Value}}}
		m.Changes = append(m.Changes, in.s.followUp(base, x.d.Factor, x.d.B.Value)...)
		e := addExcess(in.s.levelExcess(x.d.Factor, x.d.B.Value), in.s.jointExcess(base, m.Changes)...)
		if len(e) == 0 {
			return &m, nil
		}
		beyond = addExcess(beyond, e...)
	}
	return nil, beyond
}

// loneBaseline reports whether all others share a value of a factor that the
// baseline does not have.
func (in *inquiry) loneBaseline(counted []int, f int) bool {
	if len(in.s.parents[f]) > 0 || in.p.Factors[f].Role == project.Nuisance {
		return false
	}
	first := -1
	for _, c := range counted {
		switch {
		case c == in.p.Baseline:
		case in.s.status(f, in.p.Baseline, c) != differs:
			return false
		case first < 0:
			first = c
		case in.s.status(f, first, c) != same:
			return false
		}
	}
	return first >= 0
}

func (in *inquiry) baselinePlace() schema.Place {
	if place, ok := in.p.Places["report.baseline"]; ok {
		return place
	}
	return in.p.Configurations[in.p.Baseline].Place
}
