package report

import (
	"cmp"
	"math"
	"slices"
	"strings"
	"unicode/utf8"

	"benchwright/design"
	"benchwright/project"
	"benchwright/stats"
)

// fillAnswers answers every question from its matched pairs. It needs
// r.Configurations, r.Composites and r.Effects.
func (r *Report) fillAnswers() {
	for q, question := range r.Project.Questions {
		f := r.Project.Factors[question.Factor]
		out := Answer{
			Question: question, Page: "questions/" + question.ID + ".html",
			FactorLabel: f.Label, FromText: r.level(f, question.From), ToText: r.level(f, question.To),
		}
		in := inquiry{r: r, k: r.work, out: &out, found: r.Space.Answer(q), studied: r.Space.QuestionOf(q)}
		in.answer()
		r.Questions = append(r.Questions, out)
	}
}

// inquiry is one question on its way to an answer.
type inquiry struct {
	r       *Report
	k       *working
	out     *Answer
	found   design.Answerability
	studied []int
	// workloads are those asked about; overall those of them that are
	// summarised together.
	workloads, overall []int
	// pairs are the matched pairs with readings, in the order of out.Pairs.
	pairs []design.Pair
	// settings are the factors in which matched pairs differ from each other.
	settings []int
	// used are the pairs that Overall is taken over, indices into pairs.
	used []int
	// sound marks the workloads on which some pair is not held apart by its
	// sessions.
	sound []bool
	// spoilt is a pair that was read and does not count, while the matched ones
	// have still to be run.
	spoilt *spoilt
	// widened says that the pairs disagree by more than their readings and what
	// the effect depends on explain.
	widened bool
}

func (in *inquiry) answer() {
	in.chooseWorkloads()
	for _, p := range in.found.Pairs {
		if p.State == design.Measured {
			in.pairs = append(in.pairs, p)
		}
	}
	in.out.Answerable = len(in.pairs) > 0
	in.findSound()
	in.findSettings()
	in.fillBundle()
	in.used, in.out.OverallWorkloads = in.commonWorkloads()
	in.fillPairs()
	if in.out.Answerable {
		in.fillByWorkload()
		in.fillOverall()
		in.fillDependence()
		in.widen()
		in.fillSmallest()
	} else {
		in.fillNearest()
		awaiting, _, _ := in.awaiting()
		in.out.Awaiting = awaiting > 0
		in.spoilt = in.findSpoilt()
		in.fillSpoilt()
	}
	in.fillModel()
	in.alignNotation()
	in.write()
	in.cautionPairs()
	in.barred()
}

// chooseWorkloads takes the question's own list, else all; those summarised
// together are the ratio-scale ones of the list, or of no list those that the
// default composite counts, so that a workload computed from others does not
// count twice.
func (in *inquiry) chooseWorkloads() {
	listed := in.out.Question.Workloads
	for w, workload := range in.r.Project.Workloads {
		if listed != nil && !slices.Contains(listed, w) {
			continue
		}
		in.workloads = append(in.workloads, w)
		if workload.Scale == project.RatioScale && (listed != nil || workload.Composite && workload.Derived == nil) {
			in.overall = append(in.overall, w)
		}
	}
}

// meanOf is the contrast whose value is the mean over pairs.
func meanOf(pairs []design.Pair, which []int) []pairing {
	out := make([]pairing, 0, len(which))
	share := 1 / float64(len(which))
	for _, i := range which {
		out = append(out, pairing{pairs[i].To, pairs[i].From, share})
	}
	return out
}

// has says whether a pair counts under a workload: both sides have a usable
// value, and are not held apart by their sessions where other pairs are not.
func (in *inquiry) has(p design.Pair, w int) bool {
	return in.read(p, w) && !(in.sound[w] && in.r.Space.Sittings().ApartOn(p.From, p.To, w))
}

// read says whether both sides of a pair have a usable value.
func (in *inquiry) read(p design.Pair, w int) bool {
	return in.k.samples[p.From][w].usable && in.k.samples[p.To][w].usable
}

// findSound looks on which workloads some pair is not held apart by its sessions.
func (in *inquiry) findSound() {
	in.sound = make([]bool, len(in.r.Project.Workloads))
	for w := range in.sound {
		in.sound[w] = slices.ContainsFunc(in.pairs, func(p design.Pair) bool {
			return in.read(p, w) && !in.r.Space.Sittings().ApartOn(p.From, p.To, w)
		})
	}
}

// heldApart says that a pair is left out on some workload since its sides were
// never read in one session.
func (in *inquiry) heldApart(p design.Pair) bool {
	return slices.ContainsFunc(in.workloads, func(w int) bool { return in.read(p, w) && !in.has(p, w) })
}

// findSettings lists the factors that distinguish the matched pairs: not the
// question's own, nor what follows it.
func (in *inquiry) findSettings() {
	if len(in.found.Pairs) < 2 {
		return
	}
	for f := range in.r.Project.Factors {
		if slices.Contains(in.studied, f) || in.r.followsAny(f, in.studied) || in.r.Project.Factors[f].Role == project.Nuisance {
			continue
		}
		first := in.r.levelOf(in.found.Pairs[0].From, f)
		if slices.ContainsFunc(in.found.Pairs, func(p design.Pair) bool { return in.r.levelOf(p.From, f) != first }) {
			in.settings = append(in.settings, f)
		}
	}
	// What only follows another setting adds nothing to read.
	in.settings = slices.DeleteFunc(slices.Clone(in.settings), func(f int) bool { return in.r.followsAny(f, in.settings) })
}

// followsAny reports whether a factor is declared to follow one of the list,
// at any remove.
func (r *Report) followsAny(f int, list []int) bool {
	return r.followsWithin(f, list, len(r.Project.Factors))
}

func (r *Report) followsWithin(f int, list []int, depth int) bool {
	if r.Project.Factors[f].Role != project.Follows || depth == 0 {
		return false
	}
	for _, of := range r.Project.Factors[f].Of {
		if slices.Contains(list, of) || r.followsWithin(of, list, depth-1) {
			return true
		}
	}
	return false
}

// levelOf is a configuration's level of a factor as written.
func (r *Report) levelOf(c, f int) string {
	values := r.Space.ValuesOf(c, f)
	if len(values) == 0 {
		return ""
	}
	return r.level(r.Project.Factors[f], values[0].Value)
}

// setting says in words what both sides of a pair have in common, as far as
// pairs differ in it.
func (in *inquiry) setting(p design.Pair) string {
	var parts []string
	for _, f := range in.settings {
		parts = append(parts, in.k.quoted(in.r.levelOf(p.From, f)))
	}
	return strings.Join(parts, ", ")
}

// quoted puts a level whose label holds a comma into quotation marks, so that
// it does not fall apart in a list.
func (k *working) quoted(level string) string {
	if strings.Contains(level, ",") {
		return k.say.Say("answer.quoted", "text", level)
	}
	return level
}

// levelIn writes a level within a sentence: quoted where it has to be, and in a
// language that bends its words always, since a level does not.
func (k *working) levelIn(level string) string {
	if q := k.quoted(level); q != level {
		return q
	}
	return k.say.Say("answer.level", "text", level)
}

// settingIn writes several levels within a sentence, of which some may be quoted
// already.
func (k *working) settingIn(levels string) string {
	if mark, _ := utf8.DecodeRuneInString(k.say.Say("answer.quoted", "text", "")); strings.ContainsRune(levels, mark) {
		return levels
	}
	return k.say.Say("answer.level", "text", levels)
}

// quotedAlike quotes all of a list as soon as one of it has to be quoted, so
// that those beside each other look alike.
func (k *working) quotedAlike(list []string) []string {
	if !slices.ContainsFunc(list, func(text string) bool { return k.quoted(text) != text }) {
		return list
	}
	out := make([]string, len(list))
	for i, text := range list {
		out[i] = k.say.Say("answer.quoted", "text", text)
	}
	return out
}

// fillBundle names what moves together in a bundle.
func (in *inquiry) fillBundle() {
	in.out.Bundle = in.found.Bundle
	if !in.out.Bundle {
		return
	}
	var moved []string
	for _, f := range in.studied {
		differs := f == in.studied[0]
		for _, p := range in.found.Pairs {
			differs = differs || in.r.levelOf(p.From, f) != in.r.levelOf(p.To, f)
		}
		if differs {
			in.out.BundleFactors = append(in.out.BundleFactors, f)
			moved = append(moved, in.r.Project.Factors[f].Label)
		}
	}
	in.out.BundleText = in.k.say.Say("answer.bundle", "factors", joinWords(in.k.say, moved))
}

// fillByWorkload is the effect on each workload, over the pairs that have it.
func (in *inquiry) fillByWorkload() {
	estimates := make([]stats.Estimate, len(in.workloads)) // of logarithms on ratio scales
	for _, w := range in.workloads {
		out := WorkloadEffect{Workload: w, Difference: in.r.Project.Workloads[w].Scale == project.IntervalScale}
		var which []int
		for i, p := range in.pairs {
			if in.has(p, w) {
				which = append(which, i)
			}
		}
		out.Pairs = len(which)
		switch {
		case len(which) == 0:
		case out.Difference:
			out.Effect, estimates[len(in.out.ByWorkload)] = in.k.differenceEstimate(w, meanOf(in.pairs, which), len(which), "pairs")
		default:
			contrast := meanOf(in.pairs, which)
			e, state, method, ok := in.k.logContrast(w, contrast)
			if !ok {
				break
			}
			estimates[len(in.out.ByWorkload)] = e
			if len(which) == 1 {
				// The pair's own figure, which stands among the matched pairs too.
				out.Effect = in.r.pairEffect(in.pairs[which[0]].From, in.pairs[which[0]].To, w)
				out.Effect.N, out.Effect.Of = 1, "pairs"
				break
			}
			out.Effect = Figure{N: len(which), Of: "pairs", Method: in.k.sayIf(method), lessIsBetter: in.r.Project.Workloads[w].AsRead()}
			in.k.finishRatio(&out.Effect, e, state, in.k.relativeStep(w, contrast))
		}
		in.out.ByWorkload = append(in.out.ByWorkload, out)
	}
	var list []*Figure
	for i := range in.out.ByWorkload {
		list = append(list, &in.out.ByWorkload[i].Effect)
	}
	in.k.correct(list)
	for i := range in.out.ByWorkload {
		switch out := &in.out.ByWorkload[i]; {
		case out.Effect.Verdict != NoDifferenceSeen:
		case out.Difference:
			out.Smallest = in.k.smallestDifference(out.Workload, estimates[i], out.Effect.State)
		default:
			out.Smallest = in.k.smallest(estimates[i], out.Effect.State)
		}
	}
}

// alignNotation writes the effects on a workload, the mean and that of each pair,
// the same way: they stand in one column.
func (in *inquiry) alignNotation() {
	overall := []*Figure{&in.out.Overall}
	for i := range in.out.Pairs {
		overall = append(overall, &in.out.Pairs[i].Overall)
	}
	in.k.asPercentages(overall)
	for j := range in.out.ByWorkload {
		w := &in.out.ByWorkload[j]
		if w.Difference {
			continue
		}
		column := []*Figure{&w.Effect}
		for i := range in.out.Pairs {
			for l := range in.out.Pairs[i].Workloads {
				if x := &in.out.Pairs[i].Workloads[l]; x.Workload == w.Workload {
					column = append(column, &x.Effect)
				}
			}
		}
		in.k.asPercentages(column)
	}
}

// Turned says how the signs of effects beside each other are to be read: ratios of
// performance are turned so that more is better, everything else is as it was
// read. It is empty where no effect could be misread, with higher-is-better
// workloads alone.
func (r *Report) Turned(effects []WorkloadEffect) string {
	turned, asRead := false, false
	for _, e := range effects {
		w := r.Project.Workloads[e.Workload]
		turned = turned || w.Turned
		asRead = asRead || !w.HigherBetter && !w.Turned
	}
	switch {
	case turned && asRead:
		return r.work.say.Say("answer.turned.both")
	case turned:
		return r.work.say.Say("answer.turned.performance")
	case asRead:
		return r.work.say.Say("answer.turned.as-read")
	}
	return ""
}

// sayIf is the phrase of a key, nothing for no key.
func (k *working) sayIf(key string) string {
	if key == "" {
		return ""
	}
	return k.say.Say(key)
}

// commonWorkloads chooses the pairs, and the workloads that every one of them
// has, over which the effect is summarised. Pairs with the fewest workloads are
// left out as long as that leaves more to go by, counting one for each workload
// of each pair: a pair of which one workload was read is not worth the other
// workloads of all the rest.
func (in *inquiry) commonWorkloads() (which, workloads []int) {
	type candidate struct {
		pair int
		has  []int
	}
	var list []candidate
	for i, p := range in.pairs {
		c := candidate{pair: i}
		for _, w := range in.overall {
			if in.has(p, w) {
				c.has = append(c.has, w)
			}
		}
		if len(c.has) > 0 {
			list = append(list, c)
		}
	}
	slices.SortStableFunc(list, func(a, b candidate) int { return cmp.Compare(len(b.has), len(a.has)) })
	var taken, common []int
	for i, c := range list {
		left := c.has
		if i > 0 {
			left = slices.DeleteFunc(slices.Clone(common), func(w int) bool { return !slices.Contains(c.has, w) })
		}
		if len(left) == 0 {
			continue
		}
		taken, common = append(taken, c.pair), left
		if len(taken)*len(common) >= len(which)*len(workloads) {
			which, workloads = slices.Clone(taken), common
		}
	}
	slices.Sort(which)
	return which, workloads
}

// fillOverall is the geometric mean over matched pairs and the workloads that
// all of them have.
func (in *inquiry) fillOverall() {
	in.out.OverallPairs = len(in.used)
	if len(in.used) == 0 {
		return
	}
	in.out.Overall = in.k.meanOverWorkloads(in.out.OverallWorkloads, nil, meanOf(in.pairs, in.used))
	in.out.Overall.N, in.out.Overall.Of = len(in.used), "pairs"
}

// detectableErrors is the smallest true effect, in standard errors, that would
// have been seen with a probability of 80 %.
func (k *working) detectableErrors(df float64) (float64, bool) {
	errors, ok := k.detectable[df]
	if !ok {
		var err error
		// One reading a side of spread 1/√2 makes a difference of standard error 1.
		if errors, err = stats.MinimumDetectable(1, 1, 1/math.Sqrt2, df, k.level, 0.8); err != nil {
			return 0, false
		}
		k.detectable[df] = errors
	}
	return errors, true
}

// smallestDifference is the smallest true difference, in the workload's unit,
// that these readings would have shown with a probability of 80 %. Where a
// declared resolution asks for more than the interval does, it is the hurdle.
func (k *working) smallestDifference(w int, e stats.Estimate, state FigureState) Figure {
	if !(e.SE > 0) {
		return Figure{}
	}
	errors, ok := k.detectableErrors(e.DF)
	if !ok {
		return Figure{}
	}
	interval := k.quantile(e.DF)
	d := max(interval*e.SE, k.declared[w]) + (errors-interval)*e.SE
	if !isFinite(d) {
		return Figure{}
	}
	f := Figure{State: state, Value: d, Low: d, High: d, Method: k.say.Say("figure.method.smallest")}
	f.Short = k.num.plain(d, significant(d, 2))
	f.Text = withUnit(f.Short, k.p.Workloads[w].Unit.Symbol)
	return f
}

// smallest is the smallest true effect that these readings would have shown
// with a probability of 80 %, as a ratio.
func (k *working) smallest(e stats.Estimate, state FigureState) Figure {
	if !(e.SE > 0) {
		return Figure{}
	}
	errors, ok := k.detectableErrors(e.DF)
	if !ok {
		return Figure{}
	}
	d := errors * e.SE
	if !(d < 5) {
		return Figure{}
	}
	ratio := math.Exp(d)
	f := Figure{State: state, Value: ratio, Low: ratio, High: ratio, Method: k.say.Say("figure.method.smallest")}
	if asMultiple(ratio) {
		f.Text = k.num.plain(ratio, significant(ratio, 2)) + nbsp + times
	} else {
		f.Text = k.num.share(ratio-1, significant(100*(ratio-1), 2))
	}
	f.Short = f.Text
	return f
}

func (in *inquiry) fillSmallest() {
	if in.out.Overall.Verdict != NoDifferenceSeen {
		return
	}
	if e, state, _, ok := in.k.meanEstimate(in.out.OverallWorkloads, nil, meanOf(in.pairs, in.used)); ok && state != SpreadUnknown {
		in.out.Smallest = in.k.smallest(e, state)
	}
}
