package report

import (
	"slices"
	"strconv"
	"strings"

	"benchwright/design"
	"benchwright/project"
	"benchwright/words"
)

// limitCautions says where a configuration goes beyond a maker's limit.
func (r *Report) limitCautions(i int) []string {
	var out []string
	for _, e := range r.Space.Excesses(i) {
		key := "caution.below"
		if e.Above {
			key = "caution.above"
		}
		out = append(out, r.excess(key, e))
	}
	return out
}

// excess puts a value beyond a limit into words.
func (r *Report) excess(key string, e design.Excess) string {
	factor := r.Project.Factors[e.Factor]
	limit := project.Value{State: project.Known, Numeric: true, Number: e.Limit, Text: strconv.FormatFloat(e.Limit, 'g', -1, 64)}
	return words.For(r.Language).Say(key, "factor", factor.Label, "value", r.level(factor, e.Value), "limit", r.level(factor, limit), "source", factor.Limit.Source)
}

// mostCautions is how many configurations a text cautions of one by one.
const mostCautions = 3

// withCautions adds to a text that names configurations which of them run
// beyond a maker's limit: whoever reads that one is the best reads that in the
// same place. What a text says already it does not say again.
func (r *Report) withCautions(text string, named ...int) string {
	k := r.work
	var beyond []int
	for _, c := range named {
		if c >= 0 && len(r.Space.Excesses(c)) > 0 && !slices.Contains(beyond, c) {
			beyond = append(beyond, c)
		}
	}
	caution := func(c int) string {
		var values []string
		for _, e := range r.Space.Excesses(c) {
			values = append(values, r.excess("caution.runs.value", e))
		}
		return k.say.Say("caution.runs", "configuration", r.name(c), "values", strings.Join(values, "; "))
	}
	beyond = slices.DeleteFunc(beyond, func(c int) bool { return strings.Contains(text, caution(c)) })
	if len(beyond) > mostCautions {
		return text + " " + k.say.Say("caution.run", "configurations", joinWords(k.say, r.names(beyond)))
	}
	for _, c := range beyond {
		text += " " + caution(c)
	}
	return text
}

// cautionPairs says which sides of an answer's pairs run beyond a limit, right
// after the answer.
func (in *inquiry) cautionPairs() {
	var named []int
	for _, p := range in.pairs {
		named = append(named, p.From, p.To)
	}
	if text := strings.TrimSpace(in.r.withCautions("", named...)); text != "" {
		in.out.More = slices.Insert(in.out.More, 0, Sentence{text, in.out.Page + "#pairs"})
	}
}

// beyondStep lists the configurations at either end of a step that lie beyond a
// limit in the step's factor or in what follows it, and all of an end where
// every one lies beyond some limit: who reads that the step is worth most must
// not read that alone.
func (r *Report) beyondStep(e ModelEffect) (out []int) {
	for _, end := range []string{e.From, e.To} {
		var own, any []int
		there := 0
		for c := range r.Project.Configurations {
			if r.Configurations[c].Readings == 0 || !slices.ContainsFunc(r.Space.ValuesOf(c, e.Factor), func(v project.Resolved) bool {
				return r.level(r.Project.Factors[e.Factor], v.Value) == end
			}) {
				continue
			}
			there++
			list := r.Space.Excesses(c)
			if len(list) > 0 {
				any = append(any, c)
			}
			if slices.ContainsFunc(list, func(x design.Excess) bool {
				return x.Factor == e.Factor || r.followsAny(x.Factor, []int{e.Factor})
			}) {
				own = append(own, c)
			}
		}
		if len(any) == there {
			own = any
		}
		out = append(out, own...)
	}
	return out
}

// beyondRanking is beyondStep for the first n of a ranking.
func (r *Report) beyondRanking(n int) (out []int) {
	for _, e := range r.Effects.Ranking[:min(n, len(r.Effects.Ranking))] {
		out = append(out, r.beyondStep(e)...)
	}
	return out
}
