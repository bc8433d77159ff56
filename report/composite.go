package report

import (
	"cmp"
	"encoding/binary"
	"hash/fnv"
	"math"
	"slices"
	"strconv"

	"benchwright/cores"
	"benchwright/project"
	"benchwright/stats"
)

// mostDraws bounds the readings drawn by all bootstraps that Build makes; past
// it the second opinion is left to whoever asks for it with Bootstrap, since it
// would take longer than all the rest.
const mostDraws = 1_500_000

// resamples of each bootstrap: the ends of a 95 % interval then wander by some
// 4 % of its half-width.
const resamples = 999

// fillComposites makes the geometric mean of relative performance over each
// composite's workloads for every configuration. Ratio-scale workloads alone
// count, and a row that lacks one has no figure: means over different sets of
// workloads cannot be compared. P. J. Fleming, J. J. Wallace, CACM 29(3), 1986.
func (r *Report) fillComposites() {
	k := r.work
	draws := 0
	for _, c := range r.Project.Composites {
		draws += 2 * k.readingsOf(c) * resamples
	}
	for _, c := range r.Project.Composites {
		out := Composite{ID: c.ID, Label: cmp.Or(c.Label, r.work.say.Say("composite.overall"))}
		for i, w := range c.Workloads {
			if r.Project.Workloads[w].Scale != project.RatioScale || r.neverMeasured(w) {
				continue
			}
			weight := 1.0
			if i < len(c.Weights) {
				weight = c.Weights[i]
			}
			if !(weight > 0) || !isFinite(weight) {
				continue
			}
			out.Workloads = append(out.Workloads, w)
			out.Weights = append(out.Weights, weight)
			out.Weighted = out.Weighted || weight != out.Weights[0]
		}
		out.Rows = make([]CompositeRow, len(r.Project.Configurations))
		inRows(len(out.Rows), func(i int) {
			out.Rows[i] = k.compositeRow(&out, r.Baseline, i)
		})
		if draws <= mostDraws && len(out.Workloads) > 0 {
			inFew(len(out.Rows), func(i int) {
				if out.Rows[i].Figure.State == Measured && i != r.Baseline {
					out.Rows[i].Bootstrap = k.bootstrap(&out, r.Baseline, i)
				}
			})
		}
		var column []*Figure
		for i := range out.Rows {
			column = append(column, &out.Rows[i].Figure)
		}
		k.correct(column)
		out.Order = k.compositeOrder(&out)
		out.Sentence = r.compositeSentence(&out)
		r.Composites = append(r.Composites, out)
	}
}

// CompositeOf is a composite's row for a configuration against any baseline, all
// indices; without the bootstrap, and corrected for no family of claims, since
// it is one comparison that somebody asked for.
func (r *Report) CompositeOf(composite, baseline, configuration int) CompositeRow {
	if composite < 0 || composite >= len(r.Composites) {
		return CompositeRow{}
	}
	if baseline == r.Baseline {
		return r.Composites[composite].Rows[configuration]
	}
	return r.work.compositeRow(&r.Composites[composite], baseline, configuration)
}

// Bootstrap is the composite of a configuration against a baseline with its
// interval by resampling, all indices, for reports in which Build left it out.
// Absent where a cell has a single reading.
func (r *Report) Bootstrap(composite, baseline, configuration int) Figure {
	if composite < 0 || composite >= len(r.Composites) || baseline == configuration {
		return Figure{}
	}
	c := &r.Composites[composite]
	if r.work.compositeRow(c, baseline, configuration).Figure.State != Measured {
		return Figure{}
	}
	return r.work.bootstrap(c, baseline, configuration)
}

// neverMeasured says that no configuration has a value of the workload: it
// cannot be missing from anything.
func (r *Report) neverMeasured(w int) bool {
	for c := range r.work.samples {
		if r.work.samples[c][w].usable {
			return false
		}
	}
	return true
}

func (k *working) readingsOf(c *project.Composite) int {
	n := 0
	for i := range k.samples {
		for _, w := range c.Workloads {
			n += k.samples[i][w].n
		}
	}
	return n
}

// compositeRow is one configuration's composite against a baseline.
func (k *working) compositeRow(c *Composite, baseline, configuration int) CompositeRow {
	row := CompositeRow{}
	for _, w := range c.Workloads {
		if k.samples[configuration][w].usable && k.samples[baseline][w].usable {
			row.Used++
		} else {
			row.Missing = append(row.Missing, w)
		}
	}
	switch {
	case len(c.Workloads) == 0:
		return row
	case row.Used < len(c.Workloads):
		if row.Used > 0 {
			row.Figure = Figure{State: NotComparable, Remark: k.say.Say("composite.missing", "used", strconv.Itoa(row.Used), "of", strconv.Itoa(len(c.Workloads)))}
		}
		return row
	case configuration == baseline:
		row.Figure = Figure{State: Measured, Value: 1, Low: 1, High: 1, N: row.Used, Of: "workloads", Text: k.say.Say("figure.baseline"), Short: "100"}
		return row
	}
	row.Figure = k.meanOverWorkloads(c.Workloads, c.Weights, onePair(configuration, baseline))
	row.Figure.N, row.Figure.Of = row.Used, "workloads"
	return row
}

// meanOverWorkloads is the weighted geometric mean, over workloads, of one
// contrast, with the spread propagated. weights nil: equal. A workload without
// a value makes it absent. Of one pair on one workload it is that workload's own
// figure, so that the two do not stand beside each other with different intervals.
func (k *working) meanOverWorkloads(workloads []int, weights []float64, pairs []pairing) Figure {
	e, state, step, ok := k.meanEstimate(workloads, weights, pairs)
	if !ok {
		return Figure{}
	}
	if len(workloads) == 1 && len(pairs) == 1 && pairs[0].weight == 1 && pairs[0].to != pairs[0].from {
		return k.relative(pairs[0].from, pairs[0].to, workloads[0])
	}
	f := Figure{Method: k.say.Say("figure.method.propagation"), lessIsBetter: k.allAsRead(workloads)}
	k.finishRatio(&f, e, state, step)
	return f
}

// allAsRead says that of the mean over workloads more is worse: none of them
// counts as performance, and of all of them less is better.
func (k *working) allAsRead(workloads []int) bool {
	return len(workloads) > 0 && !slices.ContainsFunc(workloads, func(w int) bool { return !k.p.Workloads[w].AsRead() })
}

// turnedTo is the estimate of a workload's log ratio for a mean over several: more
// is better, unless all of them are given as they were read.
func (k *working) turnedTo(e stats.Estimate, w int, asRead bool) stats.Estimate {
	if k.p.Workloads[w].AsRead() && !asRead {
		e.Value = -e.Value
	}
	return e
}

// meanEstimate is meanOverWorkloads before it is put in words.
func (k *working) meanEstimate(workloads []int, weights []float64, pairs []pairing) (e stats.Estimate, state FigureState, step float64, ok bool) {
	total := 0.0
	for i := range workloads {
		total += weightAt(weights, i)
	}
	if !(total > 0) {
		return e, Absent, 0, false
	}
	state = Measured
	asRead := k.allAsRead(workloads)
	list := make([]stats.Estimate, 0, len(workloads))
	for i, w := range workloads {
		one, s, _, ok := k.logContrast(w, pairs)
		if !ok {
			return e, Absent, 0, false
		}
		state = weaker(state, s)
		share := weightAt(weights, i) / total
		one = k.turnedTo(one, w, asRead)
		list = append(list, stats.Estimate{Value: share * one.Value, SE: share * one.SE, DF: one.DF})
		x := share * k.relativeStep(w, pairs)
		step += x * x
	}
	return k.sumOver(workloads, list), state, math.Sqrt(step), true
}

func weightAt(weights []float64, i int) float64 {
	if weights == nil {
		return 1
	}
	return weights[i]
}

// weaker is the state that may be claimed of two figures taken together.
func weaker(a, b FigureState) FigureState {
	for _, s := range []FigureState{Absent, NotComparable, Failed, SpreadUnknown, SpreadBorrowed} {
		if a == s || b == s {
			return s
		}
	}
	return Measured
}

// bootstrap is the composite's interval once more, by resampling readings
// within each cell; absent where a cell has a single reading, where the two are
// not compared by their cells as they were read, or where workloads share runs,
// which resampling cell by cell would take apart.
func (k *working) bootstrap(c *Composite, baseline, configuration int) Figure {
	if k.shareRuns(c.Workloads) {
		return Figure{}
	}
	pairs := make([]stats.Pair, 0, len(c.Workloads))
	for _, w := range c.Workloads {
		x, y := k.samples[configuration][w].values, k.samples[baseline][w].values
		if _, composed := k.composed(w, configuration, baseline); composed {
			return Figure{}
		}
		if a, _ := k.sides(w, configuration, baseline); a != &k.samples[configuration][w] {
			return Figure{}
		}
		if len(x) < 2 || len(y) < 2 || k.p.Workloads[w].Centre == project.Median {
			return Figure{}
		}
		if !k.p.Workloads[w].HigherBetter {
			x, y = y, x
		}
		pairs = append(pairs, stats.Pair{X: x, Y: y})
	}
	res, err := stats.BootstrapGeometricMean(pairs, c.Weights, stats.BootstrapOptions{Level: k.level, Resamples: resamples, Seed: seedOf(pairs)})
	if err != nil || !res.Interval.Known() || res.Interval.Low <= 0 {
		return Figure{}
	}
	f := Figure{
		State: Measured, Value: res.Value, Low: res.Interval.Low, High: res.Interval.High, Confidence: k.level,
		N: len(c.Workloads), Of: "workloads", Method: k.say.Count("figure.method.bootstrap", res.Resamples),
	}
	f.Verdict = verdict(f)
	k.writeRatio(&f, 0)
	return f
}

// seedOf fixes the random numbers by the readings themselves.
func seedOf(pairs []stats.Pair) uint64 {
	h := fnv.New64a()
	var b [8]byte
	for _, p := range pairs {
		for _, x := range [][]float64{p.X, p.Y} {
			for _, v := range x {
				binary.LittleEndian.PutUint64(b[:], math.Float64bits(v))
				h.Write(b[:])
			}
			h.Write([]byte{0})
		}
	}
	return h.Sum64()
}

// compositeOrder ranks the rows that have a figure, with ties inside the noise.
func (k *working) compositeOrder(c *Composite) []Ranked {
	var list []int
	for i := range c.Rows {
		if s := c.Rows[i].Figure.State; s == Measured || s == SpreadBorrowed || s == SpreadUnknown {
			list = append(list, i)
		}
	}
	slices.SortStableFunc(list, func(a, b int) int { return cmp.Compare(c.Rows[b].Figure.Value, c.Rows[a].Figure.Value) })
	return ranked(list, func(best, other int) bool {
		e, state, _, ok := k.meanEstimate(c.Workloads, c.Weights, onePair(best, other))
		return !ok || k.cannotTellAmong(len(list)-1, e, state)
	})
}

// cannotTell says that a log ratio is inside the noise, or that there is no
// spread to judge it by and no difference at all.
func (k *working) cannotTell(e stats.Estimate, state FigureState) bool {
	if state == SpreadUnknown {
		return e.Value == 0
	}
	size := math.Abs(e.Value)
	// Quantiles fall with the degrees of freedom, so that the whole numbers on
	// either side decide most cases without computing one.
	if size <= k.quantile(0)*e.SE {
		return true
	}
	if i := int(e.DF); i >= 1 && i < len(k.critical) && size > k.quantile(float64(i))*e.SE {
		return false
	}
	return size <= k.quantile(e.DF)*e.SE
}

// cannotTellAmong is cannotTell where n comparisons make one order: what comes by
// chance in one of twenty gives no rank. Each of n+1 configurations is compared
// once, with the best of those it may be as good as (comparisons with the best:
// Hsu, Annals of Statistics 12, 1984), all at Bonferroni's bound (Dunn, Journal of
// the American Statistical Association 56, 1961).
func (k *working) cannotTellAmong(n int, e stats.Estimate, state FigureState) bool {
	if k.cannotTell(e, state) {
		return true
	}
	if state == SpreadUnknown {
		return false
	}
	p, ok := pValue(e)
	return !ok || p*float64(n) > 1-k.level
}

// ranked gives ranks to configurations ordered best first: one that cannot be
// told from the best of the group above shares its rank.
func ranked(list []int, tied func(best, other int) bool) []Ranked {
	var out []Ranked
	best := 0
	for i, c := range list {
		if i > 0 && tied(list[best], c) {
			out = append(out, Ranked{Configuration: c, Rank: best + 1, Tied: true})
			continue
		}
		best = i
		out = append(out, Ranked{Configuration: c, Rank: i + 1})
	}
	return out
}

// inFew is inRows for few but heavy rows.
func inFew(n int, f func(i int)) { cores.InBlocks(n, 2, f) }
