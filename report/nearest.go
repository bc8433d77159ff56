package report

import (
	"benchwright/design"
)

// fillNearest says what stands between, and what to run.
func (in *inquiry) fillNearest() {
	r := in.r
	label := r.name
	for _, n := range in.found.Nearest {
		out := Nearest{From: n.From, To: n.To, Between: r.differences(n.Between)}
		var moved []string
		for _, d := range n.Between {
			if d.Kind.Spoils() {
				moved = append(moved, r.Project.Factors[d.Factor].Label)
			}
		}
		out.Text = in.k.say.Say("answer.nearest", "from", label(n.From), "to", label(n.To), "factors", joinWords(in.k.say, moved))
		in.out.Nearest = append(in.out.Nearest, out)
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
