package report

import (
	"slices"
	"strconv"
	"strings"

	"benchwright/project"
)

// compositeSentence names the best of the tested configurations.
func (r *Report) compositeSentence(c *Composite) Sentence {
	k := r.work
	if len(c.Order) < 2 {
		return Sentence{}
	}
	var tied []string
	var named []int // those that the sentence names
	for _, o := range c.Order {
		if o.Rank == 1 {
			tied = append(tied, r.name(o.Configuration))
			named = append(named, o.Configuration)
		}
	}
	best := c.Rows[c.Order[0].Configuration].Figure
	workloads := k.say.Count("answer.workloads", len(c.Workloads))
	gaps := []string{"best", tied[0], "baseline", r.name(r.Baseline), "effect", best.Text,
		"basis", k.basis(best, workloads), "others", joinWords(k.say, tied[1:])}
	key := "composite.best"
	switch {
	case c.Order[0].Configuration == r.Baseline:
		key = "composite.best-baseline"
	case best.Verdict == NoVerdict:
		key = "composite.best-about"
	}
	text := k.say.Say(key, gaps...)
	switch {
	case len(tied) > 4:
		named = named[:1]
		text = k.say.Say("composite.tied-many", "text", text, "n", strconv.Itoa(len(tied)-1))
	case len(tied) > 1:
		text = k.say.Say("composite.tied", append(gaps, "text", text)...)
	}
	text = r.withSessions(text, c.Order[0].Configuration, c.Workloads)
	text = r.withUnheld(text, r.Baseline, named...)
	named = append(named, r.Baseline)
	return Sentence{r.withCautions(text, named...), "index.html#relative"}
}

// workloadSentences say who leads, what failed and how the target stands.
func (r *Report) workloadSentences(w *Workload) []Sentence {
	k := r.work
	var out []Sentence
	label := r.name
	link := w.Page + "#table"
	if len(w.Order) > 1 {
		var tied []string
		var named []int // those that the sentence names
		for _, o := range w.Order {
			if o.Rank == 1 {
				tied = append(tied, label(o.Configuration))
				named = append(named, o.Configuration)
			}
		}
		best := w.Order[0].Configuration
		value := k.ranged(r.Cells[best][w.Index].Centre)
		key := "workload.best"
		if len(tied) > 1 {
			key = "workload.best-tied"
		}
		if len(tied) > 5 {
			key, named = "workload.best-tied-many", named[:1]
		}
		text := k.say.Say(key, "best", tied[0], "value", value, "others", joinWords(k.say, tied[1:]), "n", strconv.Itoa(len(tied)-1))
		text = r.withSessions(text, best, []int{w.Index})
		text = r.withUnheld(text, r.Baseline, named...)
		out = append(out, Sentence{r.withCautions(text, named...), link})
	}
	if r.outOfOrder(w) {
		out = append(out, Sentence{k.say.Say("workload.out-of-order"), link})
	}
	for _, c := range w.Failures {
		out = append(out, Sentence{k.say.Say("workload.failed", "configuration", label(c), "outcome", r.Cells[c][w.Index].Centre.Text), link})
	}
	if w.TargetText != "" {
		out = append(out, Sentence{r.targetSentence(w), link})
	}
	if w.Scale == project.IntervalScale {
		out = append(out, Sentence{k.say.Say("workload.interval-scale"), link})
	}
	return out
}

// outOfOrder says that the values of a workload's order are not in that order,
// since some were not read in the baseline's sessions.
func (r *Report) outOfOrder(w *Workload) bool {
	beside := false
	for _, o := range w.Order {
		beside = beside || r.Cells[o.Configuration][w.Index].Beside != ""
	}
	for i := 1; beside && i < len(w.Order); i++ {
		x, y := r.Cells[w.Order[i-1].Configuration][w.Index].Centre, r.Cells[w.Order[i].Configuration][w.Index].Centre
		if x.Short != y.Short && (x.Value > y.Value) != w.HigherBetter {
			return true
		}
	}
	return false
}

func (r *Report) targetSentence(w *Workload) string {
	n, of := len(w.TargetReached), len(w.Order)
	switch {
	case n == 0:
		return r.work.say.Say("workload.target.none", "target", w.TargetText)
	case n == of:
		return r.work.say.Say("workload.target.all", "target", w.TargetText)
	case n <= 4:
		text := r.work.say.Say("workload.target.some", "target", w.TargetText, "names", joinWords(r.work.say, r.names(w.TargetReached)))
		return r.withCautions(r.withUnheld(text, r.Baseline, w.TargetReached...), w.TargetReached...)
	}
	return r.work.say.Say("workload.target.count", "target", w.TargetText, "n", strconv.Itoa(n), "of", strconv.Itoa(of))
}

// mostRanked is how many steps the sentence of a ranking names.
const mostRanked = 4

// rankingText orders the factors by what their largest step is worth.
func (r *Report) rankingText() string {
	k := r.work
	list := r.Effects.Ranking
	if len(list) == 0 {
		return ""
	}
	var parts []string
	for _, e := range list[:min(mostRanked, len(list))] {
		parts = append(parts, k.say.Say("effect.ranked", "label", e.Label, "effect", k.ranged(e.Effect)))
	}
	key := "effect.ranking"
	if len(list) == 1 {
		key = "effect.ranking-one"
	}
	text := k.say.Say(key, "first", parts[0], "rest", strings.Join(parts[1:], "; "))
	// The order is worth having even so, and only the model has one of all
	// factors: that what stands in it is a mean over unlike settings is said.
	workloads := r.compositeWorkloads()
	used := slices.DeleteFunc(slices.Clone(k.models), func(m *fitted) bool { return !slices.Contains(workloads, m.workload) })
	if lack := k.lacking(used); lack > 0 {
		text += " " + k.say.Say("effect.ranking-lack", "n", strconv.Itoa(lack), "of", strconv.Itoa(len(used)))
	}
	return text
}

// rankingSentence is that with a caution of what lies beyond a maker's limit.
func (r *Report) rankingSentence() Sentence {
	text := r.rankingText()
	if text == "" {
		return Sentence{}
	}
	return Sentence{r.withCautions(text, r.beyondRanking(mostRanked)...), "method.html#model"}
}
