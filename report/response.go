package report

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"benchwright/project"
	"benchwright/stats"
)

const (
	// mostResponses bounds the curves of one workload along one factor, and
	// mostCurves those of all workloads together, one of each at least.
	mostResponses = 12
	mostCurves    = 60
	// bottleneck is the elasticity below which a factor is said not to be what
	// limits a workload: twice the factor then gives less than a fifth more.
	bottleneck = 0.25
	// curvePoints is how finely a fitted curve is drawn.
	curvePoints = 24
)

// fillResponses finds, for every workload that counts as performance and every
// studied factor of numbers, the configurations that differ in that factor
// alone, and how performance follows it.
func (r *Report) fillResponses() {
	for f, factor := range r.Project.Factors {
		if factor.Role != project.Studied || !factor.Numeric {
			continue
		}
		groups := r.alongFactor(f)
		if factor.Unit.Symbol == "" && (len(groups) == 0 || !threeLevels(groups[0].x)) {
			continue // a count of two levels: its matched pairs say all there is to say
		}
		for w := range r.Workloads {
			workload := &r.Workloads[w]
			if workload.Scale != project.RatioScale || !workload.Workload.Composite || workload.Derived != nil {
				continue
			}
			n := 0
			for _, g := range groups {
				if n == mostResponses || n > 0 && n >= mostCurves/len(r.Workloads) {
					break
				}
				if response, ok := r.response(w, f, g); ok {
					workload.Responses = append(workload.Responses, response)
					n++
				}
			}
		}
		r.limits(f)
	}
}

// limits takes back what speaks of a factor as of a resource, a bottleneck or a
// share of the time that it does not touch, where more of it makes nothing better
// beyond the noise anywhere: a fuller drive holds nothing up. Then it puts the
// responses into words.
func (r *Report) limits(f int) {
	var list []*Response
	var on []int
	helps := false
	for w := range r.Workloads {
		for i := range r.Workloads[w].Responses {
			if p := &r.Workloads[w].Responses[i]; p.Factor == f {
				list, on = append(list, p), append(on, w)
				helps = helps || p.Elasticity.Low > 0
			}
		}
	}
	for i, p := range list {
		first, last := p.Points[0].X, p.Points[len(p.Points)-1].X
		if !helps {
			p.Bottleneck, p.Untouched, p.A, p.B, p.Curve = false, Figure{}, Figure{}, Figure{}, nil
			if slices.ContainsFunc(p.Points, func(x ResponsePoint) bool { return x.X != first && x.X != last }) {
				p.Curve = joined(p.Points)
			}
		}
		p.Sentence = r.responseSentence(p, on[i], first, last, p.falls)
	}
}

// line is the configurations that differ in one factor of numbers alone.
type line struct {
	setting string
	x       []float64
	at      []int // configurations, in the order of x
}

// alongFactor groups the configurations with readings by everything but a
// factor and its followers; the longest lines first, then that of the baseline.
func (r *Report) alongFactor(f int) []line {
	var rest []int
	for g, factor := range r.Project.Factors {
		if g != f && factor.Role != project.Nuisance && !r.followsAny(g, []int{f}) && factor.Derived == nil {
			rest = append(rest, g)
		}
	}
	index := map[string]int{}
	var out []line
	for c := range r.Project.Configurations {
		values := r.Space.ValuesOf(c, f)
		if r.Configurations[c].Readings == 0 || len(values) != 1 || values[0].State != project.Known || !(values[0].Number > 0) {
			continue
		}
		var key strings.Builder
		for _, g := range rest {
			key.WriteString(r.levelOf(c, g))
			key.WriteByte(0)
		}
		i, ok := index[key.String()]
		if !ok {
			i = len(out)
			index[key.String()] = i
			out = append(out, line{})
		}
		out[i].at = append(out[i].at, c)
		out[i].x = append(out[i].x, values[0].Number)
	}
	out = slices.DeleteFunc(out, func(l line) bool { return !variesIn(l.x) })
	// Words for what each line has fixed, as far as lines differ in it.
	var varied []int
	for _, g := range rest {
		if r.Project.Factors[g].Role == project.Follows {
			continue
		}
		if slices.ContainsFunc(out, func(l line) bool { return r.levelOf(l.at[0], g) != r.levelOf(out[0].at[0], g) }) {
			varied = append(varied, g)
		}
	}
	for i := range out {
		var parts []string
		for _, g := range varied {
			parts = append(parts, r.work.quoted(r.levelOf(out[i].at[0], g)))
		}
		out[i].setting = strings.Join(parts, ", ")
		sortBoth(out[i].x, out[i].at)
	}
	holds := func(l line) int {
		if slices.Contains(l.at, r.Baseline) {
			return 0
		}
		return 1
	}
	slices.SortStableFunc(out, func(a, b line) int {
		return cmp.Or(cmp.Compare(len(b.at), len(a.at)), cmp.Compare(holds(a), holds(b)))
	})
	return out
}

// threeLevels says whether sorted values take three or more.
func threeLevels(x []float64) bool {
	n := 1
	for i := 1; i < len(x); i++ {
		if x[i] != x[i-1] {
			n++
		}
	}
	return n > 2
}

func variesIn(x []float64) bool {
	return slices.ContainsFunc(x, func(v float64) bool { return v != x[0] })
}

func sortBoth(x []float64, at []int) {
	order := make([]int, len(x))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(x[a], x[b]) })
	sx, sat := slices.Clone(x), slices.Clone(at)
	for i, o := range order {
		x[i], at[i] = sx[o], sat[o]
	}
}

// response fits one line: the elasticity of performance, and time = a + b/f
// (G. M. Amdahl, AFIPS 30, 1967, 483–485), over readings where there are
// repeats and over centres otherwise.
func (r *Report) response(w, f int, l line) (Response, bool) {
	k := r.work
	workload := r.Project.Workloads[w]
	out := Response{Factor: f, Setting: l.setting}
	var x, performance, time []float64
	repeated := false
	for i, c := range l.at {
		s := &k.samples[c][w]
		if !s.usable || s.n == 0 || s.Min <= 0 {
			continue
		}
		repeated = repeated || s.n > 1
		out.Points = append(out.Points, ResponsePoint{Configuration: c, X: l.x[i], Y: r.Cells[c][w].Centre})
		for _, v := range s.values {
			x = append(x, l.x[i])
			if workload.HigherBetter {
				performance, time = append(performance, v), append(time, 1/v)
			} else {
				performance, time = append(performance, 1/v), append(time, v)
			}
		}
	}
	if len(x) < 2 || !variesIn(x) {
		return out, false
	}
	slope, err := stats.Elasticity(x, performance, k.level)
	if err != nil {
		return out, false
	}
	uneven := k.uneven(w, out.Points)
	if uneven {
		if slope, err = k.elasticityWithin(w, out.Points); err != nil {
			return out, false
		}
	}
	out.Elasticity = k.valueFigure(slope.Value, slope.Interval, len(out.Points), "")
	out.Elasticity.Of = "configurations"
	if slope.Interval.Known() && k.level > 0 {
		out.Elasticity.P, out.Elasticity.HasP = slope.P, true
	}
	upper := slope.Value
	if slope.Interval.Known() {
		upper = slope.Interval.High
	}
	// Where performance falls as the factor rises, nothing is being held up and
	// time = a + b/f has no meaning.
	out.falls = upper < 0
	out.Bottleneck = !out.falls && upper < bottleneck
	first := out.Points[0].X
	last := out.Points[len(out.Points)-1].X
	if uneven && !out.falls {
		out.Untouched.Remark = k.say.Say("response.uneven")
	} else if amdahl, err := stats.FitAmdahl(x, time, k.level); err == nil && !out.falls {
		k.fillAmdahl(&out, amdahl, workload, first, last)
	}
	if out.Curve == nil && threeLevels(x) {
		out.Curve = joined(out.Points)
	}
	return out, true
}

// uneven says that some two points were not read in the same sessions equally
// often, so that what the sessions differ by is in their plain means.
func (k *working) uneven(w int, points []ResponsePoint) bool {
	for _, p := range points {
		if len(k.samples[p.Configuration][w].blocks) == 0 {
			return false // belongs to no session
		}
	}
	for _, p := range points[1:] {
		if !proportional(&k.samples[points[0].Configuration][w], &k.samples[p.Configuration][w]) {
			return true
		}
	}
	return false
}

// elasticityWithin is the elasticity where points were not read in the same
// sessions equally often: of two points from their comparison, which stands beside
// it; of more the slope of ln performance on ln x about the means of each session
// (a block design: NIST/SEMATECH e-Handbook 5.3.3.2). Where no session has two
// levels it is the plain slope.
func (k *working) elasticityWithin(w int, points []ResponsePoint) (stats.Slope, error) {
	higher := k.p.Workloads[w].HigherBetter
	if len(points) == 2 {
		across := math.Log(points[1].X / points[0].X)
		e, state, _, ok := k.logContrast(w, onePair(points[1].Configuration, points[0].Configuration))
		if !ok {
			return stats.Slope{}, stats.ErrDomain
		}
		s := stats.Slope{Estimate: stats.Estimate{Value: e.Value / across, SE: e.SE / across, DF: e.DF}}
		return k.withInterval(s, state != SpreadUnknown)
	}
	type row struct {
		session int32
		x, y    float64
	}
	var rows []row
	for _, p := range points {
		for _, o := range k.samples[p.Configuration][w].seen {
			y := math.Log(o.value)
			if !higher {
				y = -y
			}
			rows = append(rows, row{o.session, math.Log(p.X), y})
		}
	}
	slices.SortStableFunc(rows, func(a, b row) int { return cmp.Compare(a.session, b.session) })
	sxx, sxy, syy, sessions := 0.0, 0.0, 0.0, 0
	for i := 0; i < len(rows); {
		j, mx, my := i, 0.0, 0.0
		for ; j < len(rows) && rows[j].session == rows[i].session; j++ {
			mx += rows[j].x
			my += rows[j].y
		}
		mx, my = mx/float64(j-i), my/float64(j-i)
		for _, o := range rows[i:j] {
			sxx += (o.x - mx) * (o.x - mx)
			sxy += (o.x - mx) * (o.y - my)
			syy += (o.y - my) * (o.y - my)
		}
		sessions++
		i = j
	}
	if !(sxx > 1e-12) {
		var x, y []float64
		for _, o := range rows {
			x, y = append(x, math.Exp(o.x)), append(y, math.Exp(o.y))
		}
		return stats.Elasticity(x, y, k.level)
	}
	slope := sxy / sxx
	df := float64(len(rows) - sessions - 1)
	rest := max(0, syy-slope*sxy)
	s := stats.Slope{Estimate: stats.Estimate{Value: slope, SE: math.Sqrt(rest / max(1, df) / sxx), DF: df}}
	return k.withInterval(s, df >= 1)
}

func (k *working) withInterval(s stats.Slope, known bool) (stats.Slope, error) {
	if !known || !(s.SE > 0) {
		return s, nil
	}
	half := k.quantile(s.DF) * s.SE
	s.Interval = stats.Interval{Low: s.Value - half, High: s.Value + half, Level: k.level}
	s.P, _ = pValue(s.Estimate)
	return s, nil
}

// valueFigure writes a plain number with its interval.
func (k *working) valueFigure(v float64, i stats.Interval, n int, unit string) Figure {
	f := Figure{State: SpreadUnknown, Value: v, Low: v, High: v, N: n}
	if !isFinite(v) {
		return Figure{}
	}
	d := significant(v, 2)
	if i.Known() && isFinite(i.Low, i.High) {
		f.State, f.Low, f.High, f.Confidence = Measured, i.Low, i.High, i.Level
		if byspread, ok := decimals((i.High - i.Low) / 2); ok {
			d = byspread
		}
	}
	d = min(d, max(2, significant(v, 3)))
	f.Short = k.num.plain(v, d)
	f.Text = withUnit(f.Short, unit)
	if f.Confidence > 0 {
		f.Range = k.span(k.num.plain(f.Low, d), withUnit(k.num.plain(f.High, d), unit))
	}
	return f
}

// fillAmdahl takes the share that the factor does not touch, at the first
// level, and the fitted curve: where the readings could have refuted the law of
// which both are made, and did not. Two levels follow any law of two constants.
func (k *working) fillAmdahl(out *Response, a stats.Amdahl, w *project.Workload, first, last float64) {
	lack, tested := a.LackOfFit()
	if !tested {
		return
	}
	if lack.P <= 1-k.level {
		out.Untouched.Remark = k.say.Say("response.clamped")
		return
	}
	share, err := a.Untouched(first, k.level)
	if err != nil {
		return
	}
	i := share.Interval
	// A share beyond 0 or 1 by less than the noise is one at the end; one beyond
	// by more says that the model is not that of the readings.
	if share.Clamped && !(i.Known() && i.Low < i.High) {
		out.Untouched.Remark = k.say.Say("response.clamped")
		return
	}
	percent := stats.Interval{Low: 100 * i.Low, High: 100 * i.High, Level: i.Level}
	out.Untouched = k.valueFigure(100*share.Share, percent, len(out.Points), "%")
	out.Untouched.Value, out.Untouched.Low, out.Untouched.High = share.Share, out.Untouched.Low/100, out.Untouched.High/100
	if !w.HigherBetter {
		// In the workload's own unit only where that is a time or a cost.
		out.A = k.valueFigure(a.A.Value, a.AInterval, len(out.Points), w.Unit.Symbol)
	} else {
		out.A = k.valueFigure(a.A.Value, a.AInterval, len(out.Points), "")
	}
	out.B = k.valueFigure(a.B.Value, a.BInterval, len(out.Points), "")
	curve := make([]XY, 0, curvePoints+1)
	for i := range curvePoints + 1 {
		x := first * math.Pow(last/first, float64(i)/curvePoints)
		t, err := a.TimeAt(x)
		if err != nil || t.Value <= 0 {
			return
		}
		y := t.Value
		if w.HigherBetter {
			y = 1 / y
		}
		if !isFinite(x, y) {
			return
		}
		curve = append(curve, XY{x, y})
	}
	out.Curve = curve
}

// joined connects the points in a straight line from level to level, through
// the mean of those at one level: no law is claimed of what lies between.
func joined(points []ResponsePoint) []XY {
	var curve []XY
	for i := 0; i < len(points); {
		j, sum := i, 0.0
		for j < len(points) && points[j].X == points[i].X {
			sum += points[j].Y.Value
			j++
		}
		curve = append(curve, XY{points[i].X, sum / float64(j-i)})
		i = j
	}
	return curve
}

// configurations are those that a response goes through.
func (p *Response) configurations() []int {
	out := make([]int, len(p.Points))
	for i, point := range p.Points {
		out[i] = point.Configuration
	}
	return out
}

// timesDecimals writes 7/6 as 1.17 and 9 as 9.
func timesDecimals(factor float64) int {
	if math.Abs(factor-math.Round(factor)) < 1e-9*factor {
		return 0
	}
	return max(0, min(2, significant(factor, 3)))
}

// responseSentence says whether the factor is what limits the workload; falls
// is set where performance falls as the factor rises.
func (r *Report) responseSentence(p *Response, w int, first, last float64, falls bool) Sentence {
	k := r.work
	f := r.Project.Factors[p.Factor]
	text := func(c int) string { return k.quoted(r.levelOf(c, p.Factor)) }
	from, to := p.Points[0].Configuration, p.Points[len(p.Points)-1].Configuration
	step := k.relative(from, to, w)
	if step.State == NotComparable || step.Text == "" {
		return Sentence{}
	}
	doubled := math.Exp2(p.Elasticity.Value)
	factor := last / first
	gaps := []string{
		"setting", p.Setting, "factor", f.Label, "workload", r.Project.Workloads[w].Label, "from", text(from), "to", text(to),
		"times", k.num.plain(factor, timesDecimals(factor)), "step", k.ranged(step),
		"doubled", k.num.effect(doubled, 0), "share", k.ranged(p.Untouched),
	}
	key := "response.follows"
	switch {
	case p.Bottleneck:
		key = "response.bottleneck"
	case falls:
		key = "response.falls"
	}
	sentence := k.say.Say(key, gaps...)
	if p.Untouched.Text != "" && p.Untouched.Remark == "" {
		sentence += " " + k.say.Say("response.untouched", gaps...)
	} else if p.Untouched.Remark != "" {
		sentence += " " + p.Untouched.Remark
	}
	if p.Setting != "" {
		sentence = k.say.Say("response.at", "setting", k.settingIn(p.Setting), "text", sentence)
	}
	p.plain = sentence
	return Sentence{r.withCautions(sentence, p.configurations()...), "workloads/" + r.Project.Workloads[w].ID + ".html#response"}
}
