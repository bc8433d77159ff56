package report

import (
	"benchwright/design"
)

// fillNearest says what stands between, and what to run.
func (in *inquiry) fillNearest() {
	r := in.r
	label := r.name
	for _, n := range in.found.Nearest {
		in.out.Nearest = append(in.out.Nearest, in.nearest(n.From, n.To, n.Between))
	}
	if a := in.found.Again; a != nil {
		key := "answer.again-turns"
		switch {
		case a.Loose:
			key = "answer.again"
		case a.Common:
			key = "answer.again-common"
		}
		in.out.Missing = append(in.out.Missing, Missing{Based: a.From, Configuration: -1, Text: in.k.say.Say(key, "from", label(a.From), "to", label(a.To))})
	}
	for _, m := range in.found.Missing {
		out := Missing{Based: m.Based, Configuration: -1}
		var set []string
		for _, c := range m.Changes {
			f := r.Project.Factors[c.Factor]
			d := Difference{Factor: c.Factor, Kind: "under-study", From: r.level(f, c.From), To: r.level(f, c.To)}
			if c.Follows {
				d.Kind = "follower"
			} else {
				set = append(set, in.k.say.Say("answer.set", "factor", f.Label, "level", d.To))
			}
			d.KindText = in.k.say.Say("difference." + d.Kind)
			d.Text = in.k.say.Say("difference.step", "factor", f.Label, "from", d.From, "to", d.To)
			out.Set = append(out.Set, d)
		}
		out.Text = in.k.say.Say("answer.missing", "configuration", label(m.Based), "changes", joinWords(in.k.say, set))
		if len(m.Record) > 0 {
			var names []string
			for _, f := range m.Record {
				names = append(names, r.Project.Factors[f].Label)
			}
			out.Text = in.k.say.Say("answer.missing-record", "text", out.Text, "factors", joinWords(in.k.say, names))
		}
		in.out.Missing = append(in.out.Missing, out)
	}
	// A matched pair may be there already, with a side that is still to be run;
	// the same configuration may stand in several.
	due := map[int]bool{}
	for _, p := range in.found.Pairs {
		if p.State != design.Awaiting || len(r.Space.BeyondPair(p)) > 0 {
			continue // and nobody is asked to go beyond a maker's limit
		}
		for _, c := range []int{p.From, p.To} {
			if r.Configurations[c].Readings == 0 && !due[c] {
				due[c] = true
				other := p.From + p.To - c
				in.out.Missing = append(in.out.Missing, Missing{
					Based: other, Configuration: c,
					Set:  r.differences(r.Space.Between(other, c, in.studied...)),
					Text: in.k.say.Say("answer.to-run", "configuration", label(c)),
				})
			}
		}
	}
}

// nearest is a pair with what stands between its sides.
func (in *inquiry) nearest(from, to int, between []design.Difference) Nearest {
	return Nearest{From: from, To: to, Between: in.r.differences(between),
		Text: in.k.say.Say("answer.nearest", "from", in.r.name(from), "to", in.r.name(to), "factors", joinWords(in.k.say, in.spoils(between)))}
}

// spoils names what keeps a pair from being matched.
func (in *inquiry) spoils(between []design.Difference) []string {
	var moved []string
	for _, d := range between {
		if d.Kind.Spoils() {
			moved = append(moved, in.r.Project.Factors[d.Factor].Label)
		}
	}
	return moved
}

// barred says, when all that would settle a question lies beyond a maker's
// limit, that it is not proposed for that reason.
func (in *inquiry) barred() {
	list := in.r.Space.Barred(in.found.Question)
	if len(list) == 0 {
		return
	}
	var parts []string
	for _, e := range list {
		parts = append(parts, in.r.excess("answer.beyond.value", e))
	}
	in.out.More = append(in.out.More, Sentence{in.k.say.Say("answer.beyond", "values", joinWords(in.k.say, parts)), in.out.Page + "#between"})
}
