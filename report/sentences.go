package report

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"benchwright/design"
)

// ranged writes a figure with its interval: "+11.8 % (95 % interval +10.9 to
// +12.7 %)", or with the reason why there is none.
func (k *working) ranged(f Figure) string {
	switch {
	case f.Range != "":
		return k.say.Say("figure.ranged", "figure", f.Text, "level", k.percentLevel(f.Confidence), "range", f.Range)
	case f.State == SpreadUnknown:
		return k.say.Say("figure.unranged", "figure", f.Text)
	}
	return f.Text
}

// basis says what a figure rests on: "95 % interval +10.9 to +12.7 %, 5 matched
// pairs, 5 workloads".
func (k *working) basis(f Figure, parts ...string) string {
	var list []string
	if f.Range != "" {
		list = append(list, k.say.Say("figure.interval", "level", k.percentLevel(f.Confidence), "range", f.Range))
	} else if f.State == SpreadUnknown {
		list = append(list, k.say.Say("figure.spread-unknown-short"))
	}
	for _, p := range parts {
		if p != "" {
			list = append(list, p)
		}
	}
	return strings.Join(list, ", ")
}

// Weighted tells whether any composite weighs its workloads. Answers and single
// pairs never do: each of their workloads counts once, which has to be said
// where the other figure stands beside it.
func (r *Report) Weighted() bool {
	return slices.ContainsFunc(r.Composites, func(c Composite) bool { return c.Weighted })
}

// write puts the answer into sentences.
func (in *inquiry) write() {
	out, k := in.out, in.k
	if !out.Answerable {
		out.Headline = Sentence{in.cannot(), out.Page + "#between"}
	} else {
		out.Headline = Sentence{in.headline(), out.Page + "#pairs"}
	}
	more := func(text, fragment string) {
		if text != "" {
			out.More = append(out.More, Sentence{text, out.Page + "#" + fragment})
		}
	}
	if !out.Answerable {
		if len(out.Nearest) > 0 && !out.Spoilt { // or the headline has said it
			more(k.say.Say("answer.nearest-is", "text", out.Nearest[0].Text), "between")
		}
		var runs []string
		var due []int
		separate := out.Spoilt && len(out.Missing) > 0 && out.Missing[0].Configuration < 0
		for _, m := range out.Missing {
			if m.Configuration >= 0 {
				due = append(due, m.Configuration)
				continue
			}
			runs = append(runs, m.Text)
		}
		if len(due) > 0 {
			runs = append(runs, k.say.Say("answer.to-run", "configuration", joinWords(k.say, in.r.names(due))))
		}
		for _, u := range slices.Concat(in.found.Unrecorded, in.unrecordedOf(in.spoilt)) {
			more(k.say.Say("answer.unrecorded", "configuration", in.label(u.Configuration), "factor", in.r.Project.Factors[u.Factor].Label), "missing")
		}
		if separate && len(runs) > 1 {
			more(k.say.Say("answer.it-takes-either", "first", runs[0], "others", joinWords(k.say, runs[1:])), "missing")
		} else if len(runs) > 0 {
			more(k.say.Say("answer.it-takes", "runs", joinWords(k.say, runs)), "missing")
		}
	}
	if out.Bundle {
		more(k.say.Say("answer.is-bundle", "bundle", out.BundleText), "pairs")
	}
	more(in.leftOut(), "pairs")
	more(in.extremes(), "effects")
	for _, d := range out.Dependence {
		if d.Workload < 0 || len(out.ByWorkload) == 1 {
			more(d.Sentence.Text, "dependence")
		}
	}
	more(in.dependsOnSingle(), "dependence")
	more(in.outsideSentence(), "effects")
	more(in.differencesSentence(), "effects")
	if out.Overall.Remark != "" && out.Overall.HasValue() && out.Overall.Verdict != NoVerdict {
		more(k.say.Say("answer.remark", "remark", out.Overall.Remark), "pairs")
	}
	more(in.spreadOfPairs(), "pairs")
	more(in.sessionsSentence(), "pairs")
	more(in.holmSentence(), "effects")
	for _, p := range out.FailedPairs {
		more(k.say.Say("answer.failed-pair", "from", in.label(p.From), "to", in.label(p.To), "why", p.Why), "failed")
	}
	if out.ModelText.Text != "" {
		out.More = append(out.More, out.ModelText)
	}
}

func (in *inquiry) label(c int) string { return in.r.name(c) }

// step is what a question asks about, with the settings that it is confined to:
// without them two questions about one step would contradict each other.
func (in *inquiry) step() string {
	out, k := in.out, in.k
	gaps := []string{"factor", out.FactorLabel, "from", k.levelIn(out.FromText), "to", k.levelIn(out.ToText)}
	if len(out.Question.Where) == 0 {
		return k.say.Say("answer.step", gaps...)
	}
	var where []string
	for _, c := range out.Question.Where {
		f := in.r.Project.Factors[c.Factor]
		where = append(where, k.say.Say("answer.where", "factor", f.Label, "level", k.levelIn(in.r.level(f, c.Value))))
	}
	return k.say.Say("answer.step-where", append(gaps, "where", joinWords(k.say, where))...)
}

// headline is the answer in a sentence.
func (in *inquiry) headline() string {
	out, k := in.out, in.k
	step := in.step()
	pairs := k.say.Count("answer.pairs", out.OverallPairs)
	workloads := k.say.Count("answer.workloads", len(out.OverallWorkloads))
	if len(out.OverallWorkloads) == 1 {
		workloads = k.say.Say("answer.workload-alone", "workload", in.r.Project.Workloads[out.OverallWorkloads[0]].Label)
	} else if in.r.Weighted() {
		workloads = k.say.Say("answer.unweighted", "workloads", workloads)
	}
	bundle := ""
	if out.Bundle {
		bundle = out.BundleText
	}
	f := out.Overall
	effect := strings.TrimSuffix(f.Text, nbsp+times)
	if low, high := in.extremePairs(); in.unlike() && low != high {
		pairs = k.say.Say("answer.pairs-unlike", "pairs", pairs, "low", out.Pairs[low].Overall.Text, "high", out.Pairs[high].Overall.Text)
		effect = k.say.Say("answer.on-average", "effect", effect)
	}
	switch {
	case in.withoutPerformance():
		return in.headlineWithoutRatio(step)
	case f.Verdict == NoDifferenceSeen:
		basis := k.basis(f, pairs, workloads, bundle)
		if out.Smallest.Text != "" {
			return in.andDifferences("answer.changes-yet", k.say.Say("answer.no-difference-smallest", "step", step, "effect", effect, "basis", basis, "smallest", out.Smallest.Text))
		}
		return in.andDifferences("answer.changes-yet", k.say.Say("answer.no-difference", "step", step, "effect", effect, "basis", basis))
	}
	key := "answer.worth"
	if strings.HasSuffix(f.Text, nbsp+times) {
		key = "answer.times"
	}
	if f.Verdict == NoVerdict {
		key += "-about"
	}
	text := k.say.Say(key, "step", step, "effect", effect, "basis", k.basis(f, pairs, workloads, bundle))
	return in.andDifferences("answer.changes-too", k.say.Say("answer.sentence", "text", text, "tail", in.tail()))
}

// andDifferences adds to a headline what changed on interval scales, which its
// figure does not hold: a cooler that runs a machine no faster may still run it
// cooler.
func (in *inquiry) andDifferences(key, text string) string {
	var parts []string
	for _, e := range in.out.ByWorkload {
		if e.Difference && (e.Effect.Verdict == Better || e.Effect.Verdict == Worse) {
			parts = append(parts, in.k.say.Say("answer.changes-by", "workload", in.r.Project.Workloads[e.Workload].Label, "effect", e.Effect.Text))
		}
	}
	if len(parts) == 0 {
		return text
	}
	return in.k.say.Say(key, "text", text, "effects", joinWords(in.k.say, in.k.firstFew(parts)))
}

// withoutPerformance says that no workload of the question counts as performance,
// so that the headline names the effect on each.
func (in *inquiry) withoutPerformance() bool {
	return in.out.Overall.State == Absent || in.k.allAsRead(in.out.OverallWorkloads)
}

// headlineWithoutRatio answers a question about what is as it was read alone.
func (in *inquiry) headlineWithoutRatio(step string) string {
	k := in.k
	var parts []string
	for _, e := range in.out.ByWorkload {
		if e.Effect.Text == "" {
			continue
		}
		if slices.ContainsFunc(in.out.Dependence, func(d Dependence) bool { return d.Depends && d.Workload == e.Workload }) {
			e.Effect.Text = k.say.Say("answer.on-average", "effect", e.Effect.Text)
		}
		parts = append(parts, in.sayOn("answer.changes-by", e))
	}
	if len(parts) == 0 {
		return k.say.Say("answer.nothing-common", "step", step)
	}
	return k.say.Say("answer.differences", "step", step, "effects", joinWords(k.say, parts))
}

// mostInTail is how many factors the tail of a headline names.
const mostInTail = 3

// tail says in the headline's last words on what the effect depends: on every
// factor of which that is sure, the surest first.
func (in *inquiry) tail() string {
	var list []Dependence
	for _, d := range in.out.Dependence {
		if d.Depends && d.Workload < 0 {
			list = append(list, d)
		}
	}
	slices.SortStableFunc(list, func(a, b Dependence) int { return cmp.Compare(a.P, b.P) })
	var order []string
	factors := map[string][]string{}
	for _, d := range list[:min(mostInTail, len(list))] {
		f := in.r.Project.Factors[d.Factor]
		key := "answer.tail.depends"
		switch rising, falling := trend(d); {
		case f.Numeric && rising:
			key = "answer.tail.higher"
		case f.Numeric && falling:
			key = "answer.tail.lower"
		}
		if factors[key] == nil {
			order = append(order, key)
		}
		factors[key] = append(factors[key], in.k.say.Say("answer.quoted", "text", f.Label))
	}
	var tail strings.Builder
	for _, key := range order {
		tail.WriteString(in.k.say.Say(key, "factors", joinWords(in.k.say, factors[key])))
	}
	return tail.String()
}

// trend says whether the effect rises or falls over every step.
func trend(d Dependence) (rising, falling bool) {
	rising, falling = true, true
	for i := 1; i < len(d.Steps); i++ {
		rising = rising && d.Steps[i].Effect.Value > d.Steps[i-1].Effect.Value
		falling = falling && d.Steps[i].Effect.Value < d.Steps[i-1].Effect.Value
	}
	return rising, falling
}

// cannot says that a question has no answer yet.
func (in *inquiry) cannot() string {
	k := in.k
	step := in.step()
	awaiting, from, to := in.awaiting()
	switch x := in.spoilt; {
	case x != nil:
		n := in.r.Configurations[x.from].Readings + in.r.Configurations[x.to].Readings
		return k.say.Count("answer.cannot-spoilt", n, "step", step, "from", in.label(x.from), "to", in.label(x.to), "factors", joinWords(k.say, in.spoils(x.between)))
	case awaiting > 0:
		which := "some"
		gaps := []string{"from", k.quoted(in.out.FromText), "to", k.quoted(in.out.ToText)}
		switch {
		case from == awaiting && to == awaiting:
			which = "neither"
		case from == awaiting && to == 0:
			which = "from"
		case to == awaiting && from == 0:
			which = "to"
		}
		return k.say.Count("answer.cannot-awaiting", awaiting, "step", step, "which", k.say.Count("answer.awaits."+which, awaiting, gaps...))
	case len(in.out.FailedPairs) > 0:
		return k.say.Say("answer.cannot-failed", "step", step)
	}
	key := "answer.cannot"
	if len(in.out.Question.Where) > 0 {
		key = "answer.cannot-where"
	}
	return k.say.Say(key, "step", step, "factor", in.out.FactorLabel)
}

// awaiting counts the matched pairs that have still to be run, and on how many
// of them nothing has been run on the one side and on the other.
func (in *inquiry) awaiting() (pairs, from, to int) {
	for _, p := range in.found.Pairs {
		if p.State != design.Awaiting {
			continue
		}
		pairs++
		if in.r.Configurations[p.From].Readings == 0 {
			from++
		}
		if in.r.Configurations[p.To].Readings == 0 {
			to++
		}
	}
	return pairs, from, to
}

// onWorkload gives one workload's effect, and says when it is none; of a
// difference, which no overall figure holds, also what would have been seen.
func (in *inquiry) onWorkload(e WorkloadEffect) string { return in.sayOn("answer.on-workload", e) }

// sayOn is the same in a form of words, of which there is one for either case.
func (in *inquiry) sayOn(key string, e WorkloadEffect) string {
	if e.Effect.Verdict == NoDifferenceSeen {
		if e.Difference && e.Smallest.Text != "" {
			key += "-smallest"
		} else {
			key += "-none"
		}
	}
	return in.k.say.Say(key, "workload", in.r.Project.Workloads[e.Workload].Label, "effect", in.k.ranged(e.Effect), "smallest", e.Smallest.Text)
}

// extremes says on which workload the effect is largest and on which smallest,
// when the two can be told apart.
func (in *inquiry) extremes() string {
	most, least := -1, -1
	list := in.out.ByWorkload
	for i, e := range list {
		if e.Difference || e.Effect.Confidence == 0 || !slices.Contains(in.overall, e.Workload) || in.r.Project.Workloads[e.Workload].AsRead() {
			continue
		}
		if most < 0 || e.Effect.Value > list[most].Effect.Value {
			most = i
		}
		if least < 0 || e.Effect.Value < list[least].Effect.Value {
			least = i
		}
	}
	if most < 0 || most == least || list[most].Effect.Low <= list[least].Effect.High {
		return ""
	}
	name := func(i int) string { return in.r.Project.Workloads[list[i].Workload].Label }
	key := "answer.extremes"
	if list[most].Effect.High < 1 {
		// All make it worse: what is largest is the least of the harm.
		key, most, least = "answer.extremes-harm", least, most
	} else if list[least].Effect.High < 1 {
		key = "answer.extremes-mixed"
	} else if list[least].Effect.Verdict == NoDifferenceSeen {
		key = "answer.extremes-none"
	}
	switch unseen := func(i int) bool { return list[i].Effect.Verdict == NoDifferenceSeen }; {
	case unseen(most) && (unseen(least) || key != "answer.extremes-mixed"):
		return ""
	case unseen(most):
		// What is harmed comes first: nothing is done for the other.
		key, most, least = "answer.extremes-harm-none", least, most
	case unseen(least) && key == "answer.extremes-mixed":
		key = "answer.extremes-none"
	case unseen(least) && key == "answer.extremes-harm":
		key = "answer.extremes-harm-none"
	}
	return in.k.say.Say(key, "most", name(most), "most-effect", in.k.ranged(list[most].Effect),
		"least", name(least), "least-effect", in.k.ranged(list[least].Effect))
}

// leftOut names what the headline does not count although it was read: pairs
// with too few of the workloads, and workloads that not every pair has.
func (in *inquiry) leftOut() string {
	if in.out.Overall.State == Absent {
		return ""
	}
	var pairs, workloads []string
	for i, p := range in.pairs {
		if !slices.Contains(in.used, i) && !in.heldApart(p) && slices.ContainsFunc(in.overall, func(w int) bool { return in.has(p, w) }) {
			pairs = append(pairs, in.k.say.Say("answer.left-out.pair", "from", in.label(p.From), "to", in.label(p.To)))
		}
	}
	for _, w := range in.overall {
		if !slices.Contains(in.out.OverallWorkloads, w) && slices.ContainsFunc(in.used, func(i int) bool { return in.has(in.pairs[i], w) }) {
			workloads = append(workloads, in.r.Project.Workloads[w].Label)
		}
	}
	var text []string
	if len(pairs) > 0 {
		text = append(text, in.k.say.Count("answer.left-out.pairs", len(pairs), "pairs", joinWords(in.k.say, in.k.firstFew(pairs))))
	}
	if len(workloads) > 0 {
		text = append(text, in.k.say.Count("answer.left-out.workloads", len(workloads), "workloads", joinWords(in.k.say, in.k.firstFew(workloads))))
	}
	return strings.Join(text, " ")
}

// firstFew shortens a long list to its first two and the number of the rest.
func (k *working) firstFew(list []string) []string {
	if len(list) <= 3 {
		return list
	}
	return append(slices.Clone(list[:2]), k.say.Count("answer.left-out.more", len(list)-2))
}

// outsideSentence gives the effects on ratio-scale workloads that are asked
// about and not summarised: what was computed from others, or is a price
// rather than a performance.
func (in *inquiry) outsideSentence() string {
	if in.withoutPerformance() {
		return "" // the headline has said it
	}
	var parts []string
	for _, e := range in.out.ByWorkload {
		if !e.Difference && e.Effect.Text != "" && !slices.Contains(in.overall, e.Workload) {
			parts = append(parts, in.onWorkload(e))
		}
	}
	if len(parts) == 0 {
		return ""
	}
	return in.k.say.Count("answer.outside", len(parts), "effects", joinWords(in.k.say, parts))
}

// differencesSentence gives the effects on interval scales.
func (in *inquiry) differencesSentence() string {
	if in.withoutPerformance() {
		return "" // the headline has said it
	}
	var parts []string
	for _, e := range in.out.ByWorkload {
		if e.Difference && e.Effect.Text != "" {
			parts = append(parts, in.onWorkload(e))
		}
	}
	if len(parts) == 0 {
		return ""
	}
	return in.k.say.Count("answer.interval-scales", len(parts), "effects", joinWords(in.k.say, parts))
}

// unlike says that the pairs of the mean differ by more than the noise, so that
// its interval may hold none of them: the effect depends on another factor, or
// the interval had to be widened for what pairs disagree by.
func (in *inquiry) unlike() bool {
	return in.widened || slices.ContainsFunc(in.out.Dependence, func(d Dependence) bool { return d.Depends && d.Workload < 0 })
}

// extremePairs are the pairs of the mean with the least and the largest effect,
// both −1 without one that has an interval.
func (in *inquiry) extremePairs() (low, high int) {
	low, high = -1, -1
	list := in.out.Pairs
	for i, p := range list {
		if p.Overall.Confidence == 0 || p.LeftOut != "" {
			continue
		}
		if low < 0 || p.Overall.Value < list[low].Overall.Value {
			low = i
		}
		if high < 0 || p.Overall.Value > list[high].Overall.Value {
			high = i
		}
	}
	return low, high
}

// spreadOfPairs gives the range over single pairs when they lie further apart
// than their own intervals.
func (in *inquiry) spreadOfPairs() string {
	low, high := in.extremePairs()
	list := in.out.Pairs
	if low < 0 || low == high || list[low].Overall.High >= list[high].Overall.Low {
		return ""
	}
	name := func(p PairEffect) string {
		if p.Setting != "" {
			return p.Setting
		}
		return in.label(p.To)
	}
	return in.k.say.Say("answer.range-of-pairs", "low", list[low].Overall.Text, "low-setting", name(list[low]),
		"high", list[high].Overall.Text, "high-setting", name(list[high]))
}

// sessionsSentence says which pairs were neither read in the same session nor
// through another: what sessions differ by then stands between their sides.
func (in *inquiry) sessionsSentence() string {
	apart, counted := 0, 0
	for i := range in.out.Pairs {
		if !within(&in.out.Pairs[i]) {
			apart++
			if slices.Contains(in.used, i) {
				counted++
			}
		}
	}
	key := "answer.sessions-apart"
	switch {
	case apart == 0 || len(in.r.Project.Sessions) == 0:
		return ""
	case len(in.out.Pairs) == 1:
		return in.k.say.Say("answer.sessions-apart-only")
	case counted == 0:
		key = "answer.sessions-apart-left"
	}
	return in.k.say.Count(key, apart, "of", strconv.Itoa(len(in.out.Pairs)))
}

// holmSentence says that the claims of the page were corrected.
func (in *inquiry) holmSentence() string {
	for _, e := range in.out.ByWorkload {
		if e.Effect.Family > 1 {
			return in.k.say.Say("answer.holm", "n", strconv.Itoa(e.Effect.Family))
		}
	}
	return ""
}

// chance says how often something happens: "4.6 % of the time".
func (k *working) chance(p float64) string {
	switch {
	case p < 0.001:
		return k.say.Say("figure.chance-rare")
	case p > 0.95:
		return k.say.Say("figure.chance-always")
	}
	return k.say.Say("figure.chance", "share", k.chanceShare(p))
}

// chanceShare writes a p-value as a share: "3.6 %", "< 0.1 %".
func (k *working) chanceShare(p float64) string {
	if p < 0.001 {
		return "<" + nbsp + k.num.share(0.001, 1)
	}
	return k.num.share(p, max(0, significant(100*p, 2)))
}

// dependsOnSingle says in one sentence on which single workloads the effect
// depends on which factors; the page has the figures.
func (in *inquiry) dependsOnSingle() string {
	say := in.k.say
	var factors []int
	workloads := map[int][]string{}
	for _, d := range in.out.Dependence {
		if d.Workload < 0 || !d.Depends {
			continue
		}
		if workloads[d.Factor] == nil {
			factors = append(factors, d.Factor)
		}
		workloads[d.Factor] = append(workloads[d.Factor], in.r.Project.Workloads[d.Workload].Label)
	}
	var parts []string
	for _, f := range factors {
		parts = append(parts, say.Say("answer.depends.single", "factor", in.r.Project.Factors[f].Label, "workloads", joinWords(say, workloads[f])))
	}
	if len(parts) == 0 || len(in.out.ByWorkload) == 1 {
		return "" // or it has been said in full
	}
	return say.Say("answer.depends.singles", "factors", joinWords(say, parts))
}

// dependenceSentence says how the effect goes with another factor.
func (in *inquiry) dependenceSentence(d *Dependence) Sentence {
	k := in.k
	f := in.r.Project.Factors[d.Factor]
	var steps []string
	var levels []string
	for _, s := range d.Steps {
		levels = append(levels, s.Level)
	}
	if quoted := k.quotedAlike(levels); !slices.Equal(quoted, levels) {
		levels = quoted
	} else {
		for i, level := range levels {
			levels[i] = k.levelIn(level)
		}
	}
	for i, s := range d.Steps {
		if s.Effect.Text != "" {
			steps = append(steps, k.say.Say("answer.step-at", "effect", s.Effect.Text, "level", levels[i]))
		}
	}
	if len(steps) == 0 {
		return Sentence{}
	}
	link := in.out.Page + "#dependence"
	gaps := []string{"factor", f.Label, "steps", joinWords(k.say, steps), "chance", k.chance(d.P)}
	key := "answer.depends.untested"
	switch {
	case d.Depends:
		key = "answer.depends.yes"
	case d.Tested:
		key = "answer.depends.no"
	}
	if d.Workload >= 0 {
		key += "-on"
		gaps = append(gaps, "workload", in.r.Project.Workloads[d.Workload].Label)
	}
	if !d.Tested {
		workloads := in.out.OverallWorkloads
		if d.Workload >= 0 {
			workloads = []int{d.Workload}
		}
		return Sentence{k.say.Say(key, append(gaps, "why", in.untested(d.Factor, workloads))...), link}
	}
	return Sentence{k.say.Count(key, d.Family, gaps...), link}
}
