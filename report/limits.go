package report

import (
	"strconv"

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
