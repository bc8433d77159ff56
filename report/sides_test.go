package report

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"benchwright/project"
	"benchwright/stats"
)

// inSessions is a bench with the given readings by configuration, session and
// reading, under one workload; the first configuration is the baseline.
func inSessions(scale project.Scale, higher bool, readings map[string][][]float64, order ...string) *made {
	m := make1()
	m.factor("part", project.Studied, "", "")
	w := m.workload("w", "s", higher)
	m.Workloads[w].Scale = scale
	for s := range readings[order[0]] {
		m.session("s" + strconv.Itoa(s+1))
	}
	for _, c := range order {
		at := m.configuration(c, c)
		for s, list := range readings[c] {
			for _, v := range list {
				m.read(at, w, s, strconv.FormatFloat(v, 'f', -1, 64))
			}
		}
	}
	m.overall()
	return m
}

func close12(t *testing.T, what string, got, want float64) {
	t.Helper()
	if math.Abs(got-want) > 1e-12*max(1, math.Abs(want)) {
		t.Errorf("%s: %.15g, want %.15g", what, got, want)
	}
}

// Two cells that share two sessions unevenly, and a third of one side alone.
// Source: R 4.2.2, lm(y ~ cell + session) without that third session, of the
// readings and of their logarithms: coefficient, its standard error, and the
// residual degrees of freedom. With the third session the coefficient is the same.
func TestPairWithinCommonSessionsAsLeastSquaresHasIt(t *testing.T) {
	readings := map[string][][]float64{
		"a": {{60.1, 60.4, 60.2}, {62.0}, {59.0, 59.3}},
		"b": {{57.2}, {58.8, 59.1, 58.7}, nil},
	}
	r := inSessions(project.IntervalScale, false, readings, "a", "b").build(t)
	e := r.work.pairEstimate(0, 1, 0)
	close12(t, "difference", e.Value, -3.08333333333333)
	close12(t, "its error", e.SE, 1.35195331937826e-01)
	close12(t, "degrees of freedom", e.DF, 5)
	if e.n != 4 || e.method != "figure.method.sessions-difference" {
		t.Errorf("%+v", e)
	}
	// By hand: the shares of the two sessions are 3·1/4 and 1·3/4, so half each.
	close12(t, "by hand", e.Value, (57.2-(60.1+60.4+60.2)/3)/2+((58.8+59.1+58.7)/3-62.0)/2)

	r = inSessions(project.RatioScale, true, readings, "a", "b").build(t)
	f := r.Relative(0, 1, 0)
	close12(t, "ratio", f.Value, (57.2+(58.8+59.1+58.7)/3)/((60.1+60.4+60.2)/3+62.0))
	// R's of the mean logarithms; that of the means is as far away as the
	// readings' spread squared.
	if math.Abs(math.Log(f.Value)+5.17667087706734e-02) > 2e-5 {
		t.Errorf("ln ratio %v", math.Log(f.Value))
	}
	if e = r.work.pairEstimate(0, 1, 0); math.Abs(e.SE-0.165579789426936/60/math.Sqrt(1.5))/e.SE > 0.05 || e.DF != 5 {
		t.Errorf("%+v", e)
	}
	if g := r.Cells[1][0].Flags; len(g) == 0 || g[len(g)-1].Rule != "common-sessions" {
		t.Errorf("%+v", g)
	}
}

// Two pairs over three sessions, which share the second: their mean has the
// error of the additive model of all four cells.
// Source: R 4.2.2, lm(log(y) ~ cell + session): residual standard error and
// degrees of freedom. The mean of the pairs is another contrast of its cells than
// lm's, with the error that follows from its coefficients by hand: a pair's are
// its sessions' shares, 4/11 and 7/11 … on either side.
func TestMeanOfPairsInUnevenSessions(t *testing.T) {
	r := inSessions(project.RatioScale, true, map[string][][]float64{
		"a": {{100.1, 100.9}, {104.2}, nil},
		"b": {{110.3}, {115.0, 114.1}, nil},
		"c": {nil, {121.0, 122.1}, {118.2}},
		"d": {nil, {133.5}, {129.4, 130.6}},
	}, "a", "b", "c", "d").build(t)
	e, state, method, ok := r.work.logContrast(0, []pairing{{1, 0, 0.5}, {3, 2, 0.5}})
	if !ok || state != Measured || method != "figure.method.sessions" {
		t.Fatalf("%v %v %v", state, method, ok)
	}
	// Both pairs have 2·1/3 in either session, so shares of a half.
	ab := (110.3 + 114.55) / (100.5 + 104.2)
	cd := (133.5 + 130) / (121.55 + 118.2)
	close12(t, "mean", e.Value, (math.Log(ab)+math.Log(cd))/2)
	close12(t, "degrees of freedom", e.DF, 6)
	// Σ coefficient²/n: 8 of a quarter, over 2, 1, 1, 2, 2, 1, 1, 2 readings.
	close12(t, "error", e.SE, 0.004960037539952561*math.Sqrt(4*(1+0.5)/16))
}

// A session in which one side alone was read says nothing of the pair: no figure
// of it changes, whatever was read there.
func TestReadingOneSideAgainChangesNoComparison(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 1))
	for seed := range 200 {
		before := map[string][][]float64{}
		names := []string{"a", "b", "c"}
		sessions := 1 + random.IntN(3)
		for _, c := range names {
			for range sessions {
				var list []float64
				for range 2 + random.IntN(3) {
					list = append(list, math.Round(1000*(20+random.NormFloat64()))/1000)
				}
				before[c] = append(before[c], list)
			}
		}
		after := map[string][][]float64{}
		for c, list := range before {
			after[c] = append(append([][]float64{}, list...), nil)
		}
		for range 1 + random.IntN(3) {
			after["a"][sessions] = append(after["a"][sessions], math.Round(1000*(30+random.NormFloat64()))/1000)
		}
		scale := project.Scale(seed % 2)
		x, y := inSessions(scale, seed%4 < 2, before, names...).build(t), inSessions(scale, seed%4 < 2, after, names...).build(t)
		for b := range names {
			for c := range names {
				was, is := x.pairEffect(b, c, 0), y.pairEffect(b, c, 0)
				is.AdjustedP, was.AdjustedP = 0, 0
				if was != is && b != c {
					t.Errorf("seed %d: %s to %s was %s (%s), is %s (%s)", seed, names[b], names[c], was.Text, was.Range, is.Text, is.Range)
				}
			}
		}
		if x.Cells[0][0].Centre.Value == y.Cells[0][0].Centre.Value {
			t.Errorf("seed %d: the mean did not change", seed)
		}
	}
}

// Two that share no session are compared through the baseline where it was read
// beside either: what lies between the days is not in the ratio.
func TestComparisonThroughTheBaseline(t *testing.T) {
	readings := map[string][][]float64{
		"base": {{100.2, 99.8, 100.0}, {110.1, 109.9}},
		"x":    {{120.1, 119.9}, nil},
		"y":    {nil, {143.1, 142.9}},
	}
	r := inSessions(project.RatioScale, true, readings, "base", "x", "y").build(t)
	f := r.Relative(1, 2, 0)
	close12(t, "ratio", f.Value, 143.0/110/(120.0/100))
	close12(t, "as against the baseline", f.Value, r.Relative(0, 2, 0).Value/r.Relative(0, 1, 0).Value)
	if f.Method != "through a third configuration, read beside each" || f.Confidence == 0 || f.N != 2 {
		t.Errorf("%+v", f)
	}
	// Variances of the four means add; degrees of freedom after Satterthwaite
	// (Biometrics Bulletin 2, 1946).
	variance, lack := 0.0, 0.0
	for _, list := range [][]float64{{100.2, 99.8, 100.0}, {110.1, 109.9}, {120.1, 119.9}, {143.1, 142.9}} {
		m, _ := stats.MeanEstimate(list)
		v := m.SE / m.Value * m.SE / m.Value
		variance += v
		lack += v * v / m.DF
	}
	e := r.work.pairEstimate(0, 2, 1)
	if math.Abs(e.SE-math.Sqrt(variance)) > 1e-12 || math.Abs(e.DF-variance*variance/lack) > 1e-9 {
		t.Errorf("error %v with %v degrees of freedom, want %v with %v", e.SE, e.DF, math.Sqrt(variance), variance*variance/lack)
	}
	pair := r.Pair(1, 2)
	if pair.SameSession || fmt.Sprint(pair.Through) != "[0]" || len(r.Configurations[2].Comparison.Apart) > 0 {
		t.Errorf("%+v", pair)
	}
	// Without it the two stand apart, and the ratio is that of the means.
	readings["base"] = [][]float64{{100.2, 99.8, 100.0}, nil}
	r = inSessions(project.RatioScale, true, readings, "base", "x", "y").build(t)
	close12(t, "ratio of the means", r.Relative(1, 2, 0).Value, 143.0/120)
	if pair := r.Pair(1, 2); pair.SameSession || len(pair.Through) > 0 {
		t.Errorf("%+v", pair)
	}
}

// The baseline was updated between the sessions: what the update brought is not in
// the comparison of two that were read beside it, which stands apart instead.
func TestNoComparisonThroughABaselineThatChanged(t *testing.T) {
	for _, c := range []struct {
		name    string
		role    project.Role
		ratio   float64
		through string
	}{
		{"firmware", project.Held, 105.0 / 105.1, "[]"},
		{"room", project.Nuisance, 105.0 / 105.1 * 100.1 / 105.2, "[0]"},
	} {
		m := make1()
		f := m.factor("cooler", project.Studied, "", "twin", "gale")
		m.factor(c.name, c.role, "")
		w := m.workload("fluid", "fps", true)
		for _, x := range [][]any{{"box", "1.07"}, {"twin", "1.08"}, {"gale", "1.07"}} {
			if c.role == project.Nuisance {
				x[1] = nil
			}
			m.configuration(x[0].(string), x...)
		}
		march, april := m.session("march"), m.session("april")
		m.Sessions[april].Values = map[int]project.Value{1: level("1.08")}
		if c.role == project.Nuisance {
			m.Sessions[march].Values = map[int]project.Value{1: level("1.07")}
		}
		m.read(0, w, march, "100.1", "99.9", "100.3")
		m.read(1, w, march, "105.1", "105.3", "104.9")
		m.read(0, w, april, "105.2", "105.0", "105.4")
		m.read(2, w, april, "105.0", "105.2", "104.8")
		m.question("q", f, "twin", "gale")
		m.overall()
		r := m.build(t)
		close12(t, c.name, r.Relative(1, 2, w).Value, c.ratio)
		pair, a := r.Pair(1, 2), r.Questions[0]
		if fmt.Sprint(pair.Through) != c.through || !a.Answerable {
			t.Errorf("%s: %+v", c.name, pair)
		}
		text := a.Headline.Text
		for _, s := range a.More {
			text += " " + s.Text
		}
		said := strings.Contains(text, "no difference was seen") && strings.Contains(text, "The two sides were not read in one session, so that what sessions differ by stands between them.")
		if said != (c.through == "[]") {
			t.Errorf("%s: %s", c.name, text)
		}
	}
}

// A computed workload's ratio is the product of its parts', in whatever sessions
// those were read.
func TestComputedWorkloadInUnevenSessions(t *testing.T) {
	m := inSessions(project.RatioScale, false, map[string][][]float64{
		"a": {{10.0, 10.1}, {11.0, 11.2}}, "b": {{8.0, 8.1}, nil}, "c": {nil, {9.0, 9.1}},
	}, "a", "b", "c")
	w := m.workload("power", "W", false)
	for c, list := range [][][]float64{{{50, 51}, {60, 61}}, {{45, 46}, nil}, {nil, {58, 59}}} {
		for s, values := range list {
			for _, v := range values {
				m.read(c, w, s, num(v))
			}
		}
	}
	e := m.workload("energy", "J", false)
	m.Workloads[e].Derived = &project.Formula{Times: []project.Term{{Name: "w"}, {Name: "power"}}}
	r := m.build(t)
	for _, pair := range [][2]int{{0, 1}, {0, 2}, {1, 2}} {
		b, c := pair[0], pair[1]
		close12(t, fmt.Sprint(pair), r.Relative(b, c, e).Value, r.Relative(b, c, 0).Value*r.Relative(b, c, w).Value)
	}
	if f := r.Relative(1, 2, e); f.State != Measured || f.Confidence == 0 {
		t.Errorf("%+v", f)
	}
	close12(t, "by hand", r.Relative(0, 1, e).Value, 10.05/8.05*(50.5/45.5))
}

// Intervals hold the truth as often as they say, on benches where days differ by
// far more than readings and everything is read unevenly.
func TestIntervalsInUnevenSessionsHoldTheTruth(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 9))
	counts := map[string][]int{"base": {3, 2, 1}, "x": {1, 3, 0}, "y": {2, 2, 0}, "z": {0, 0, 3}}
	truth := map[string]float64{"base": 50, "x": 55, "y": 40, "z": 60}
	names := []string{"base", "x", "y", "z"}
	held := map[string]int{}
	const benches = 2000
	for range benches {
		readings := map[string][][]float64{}
		days := make([]float64, 3)
		for s := range days {
			days[s] = math.Exp(0.1 * random.NormFloat64())
		}
		for _, c := range names {
			for s, n := range counts[c] {
				var list []float64
				for range n {
					list = append(list, truth[c]*days[s]*math.Exp(0.01*random.NormFloat64()))
				}
				readings[c] = append(readings[c], list)
			}
		}
		r := inSessions(project.RatioScale, true, readings, names...).build(t)
		for what, pairs := range map[string][]pairing{
			"two common sessions": {{1, 0, 1}}, "one common session": {{3, 0, 1}}, "all three": {{2, 1, 1}},
			"through the baseline": {{3, 1, 1}}, "mean of three": {{1, 0, 1. / 3}, {2, 0, 1. / 3}, {3, 1, 1. / 3}},
		} {
			e, state, _, ok := r.work.logContrast(0, pairs)
			if !ok || state == SpreadUnknown {
				t.Fatal(what, state)
			}
			want := 0.0
			for _, p := range pairs {
				want += p.weight * math.Log(truth[names[p.to]]/truth[names[p.from]])
			}
			if math.Abs(e.Value-want) <= r.work.quantile(e.DF)*e.SE {
				held[what]++
			}
		}
	}
	// Three standard errors of a proportion of 0.95 in 2,000 are 0.015; Satterthwaite's
	// degrees of freedom for two spreads of few readings may take as much again.
	for what, n := range held {
		share := float64(n) / benches
		t.Logf("%s: %.3f", what, share)
		if share < 0.925 || share > 0.965 {
			t.Errorf("%s: %.3f of the intervals hold the truth", what, share)
		}
	}
}

// The order goes by what is compared: "x" was read on a slow day only, beside the
// baseline, and is the faster of the two for all that.
func TestOrderIsOfWhatIsCompared(t *testing.T) {
	r := inSessions(project.RatioScale, true, map[string][][]float64{
		"base": {{100.1, 99.9}, {80.1, 79.9}}, "x": {nil, {84.1, 83.9}}, "y": {{99.1, 98.9}, nil},
	}, "base", "x", "y").build(t)
	var got []int
	for _, o := range r.Workloads[0].Order {
		got = append(got, o.Configuration)
	}
	if fmt.Sprint(got) != "[1 0 2]" || r.Cells[1][0].Centre.Value > r.Cells[0][0].Centre.Value {
		t.Errorf("order %v, centres %v and %v", got, r.Cells[1][0].Centre.Value, r.Cells[0][0].Centre.Value)
	}
}

// leastSquares fits y to the columns of x by Gram and Schmidt's orthogonalisation
// and gives the residual sum of squares and the rank: nothing that the report does.
func leastSquares(x [][]float64, y []float64) (rss float64, rank int) {
	var basis [][]float64
	off := func(v []float64) {
		for range 2 { // twice is enough
			for _, b := range basis {
				dot := 0.0
				for i := range v {
					dot += v[i] * b[i]
				}
				for i := range v {
					v[i] -= dot * b[i]
				}
			}
		}
	}
	norm := func(v []float64) float64 {
		sum := 0.0
		for _, e := range v {
			sum += e * e
		}
		return math.Sqrt(sum)
	}
	for column := range x[0] {
		v := make([]float64, len(x))
		for i := range x {
			v[i] = x[i][column]
		}
		if off(v); norm(v) > 1e-9 {
			size := norm(v)
			for i := range v {
				v[i] /= size
			}
			basis = append(basis, v)
		}
	}
	e := append([]float64(nil), y...)
	off(e)
	return norm(e) * norm(e), len(basis)
}

// Random benches, held against a fit of cell + session by other means: the value of
// every contrast is what its coefficients make of the means of cells and sessions,
// and where its error is that within sessions it is that fit's.
func TestContrastsOfRandomBenchesAsAFitHasThem(t *testing.T) {
	random := rand.New(rand.NewPCG(11, 4))
	blocked := 0
	for range 600 {
		cells, sessions := 2+random.IntN(4), 1+random.IntN(4)
		readings, names := map[string][][]float64{}, []string{}
		for c := range cells {
			name := string(rune('a' + c))
			names = append(names, name)
			for s := range sessions {
				var list []float64
				for range random.IntN(4) {
					list = append(list, math.Round(1000*(20+float64(c)+3*float64(s)+random.NormFloat64()))/1000)
				}
				readings[name] = append(readings[name], list)
			}
		}
		r := inSessions(project.IntervalScale, true, readings, names...).build(t)
		mean := func(c, s int) float64 {
			sum := 0.0
			for _, v := range readings[names[c]][s] {
				sum += v / float64(len(readings[names[c]][s]))
			}
			return sum
		}
		var pairs []pairing
		coefficients := map[[2]int]float64{}
		compare := func(to, from int, weight float64) bool {
			total := 0.0
			shares := make([]float64, sessions)
			for s := range sessions {
				if n, m := float64(len(readings[names[to]][s])), float64(len(readings[names[from]][s])); n*m > 0 {
					shares[s] = n * m / (n + m)
					total += shares[s]
				}
			}
			for s, share := range shares {
				if share > 0 {
					coefficients[[2]int{to, s}] += weight * share / total
					coefficients[[2]int{from, s}] -= weight * share / total
				}
			}
			return total > 0
		}
		for range 1 + random.IntN(3) {
			to, from, weight := random.IntN(cells), random.IntN(cells), random.NormFloat64()
			if to != from && compare(to, from, weight) {
				pairs = append(pairs, pairing{to, from, weight})
			}
		}
		if len(pairs) == 0 {
			continue
		}
		value, parts, out := r.work.contrast(0, pairs, nil)
		e := r.work.summed(0, value, parts, out)
		want, variance := 0.0, 0.0
		var x [][]float64
		var y []float64
		for at, c := range coefficients {
			want += c * mean(at[0], at[1])
			if list := readings[names[at[0]]][at[1]]; math.Abs(c) > 1e-12 {
				variance += c * c / float64(len(list))
				for _, v := range list {
					row := make([]float64, cells+sessions)
					row[at[0]], row[cells+at[1]] = 1, 1
					x, y = append(x, row), append(y, v)
				}
			}
		}
		if math.Abs(e.Value-want) > 1e-9 {
			t.Fatalf("%v of %v: %v, want %v", pairs, readings, e.Value, want)
		}
		if e.method != "figure.method.sessions-difference" {
			continue
		}
		blocked++
		rss, rank := leastSquares(x, y)
		df := float64(len(y) - rank)
		if se := math.Sqrt(rss / df * variance); e.DF != df || math.Abs(e.SE-se) > 1e-8*se {
			t.Fatalf("%v of %v: error %v with %v degrees of freedom, want %v with %v", pairs, readings, e.SE, e.DF, se, df)
		}
	}
	if blocked < 200 {
		t.Errorf("only %d contrasts had their sessions taken out", blocked)
	}
}

// A pair that nothing links is in no mean that has others, and what heads a table by
// a session of its own is said to.
func TestPairHeldApartIsLeftOut(t *testing.T) {
	build := func(linked bool) *Report {
		m := make1()
		kit := m.factor("kit", project.Studied, "", "plain", "quick")
		m.factor("cooler", project.Studied, "", "boxed", "slim")
		m.workload("pack", "s", false)
		for i := range 3 {
			m.session("s" + strconv.Itoa(i+1))
		}
		for c, levels := range [][2]string{{"plain", "boxed"}, {"quick", "boxed"}, {"plain", "slim"}, {"quick", "slim"}} {
			m.configuration("c"+strconv.Itoa(c), levels[0], levels[1])
		}
		m.read(0, 0, 0, "100.2", "99.9", "99.9")
		m.read(1, 0, 0, "95.1", "95.0", "94.8")
		m.read(2, 0, 1, "110.1", "109.8", "110.2")
		m.read(3, 0, 2, "80.1", "79.8", "80.2") // a cold day
		if linked {
			m.read(0, 0, 1, "105.1", "105.0")
			m.read(0, 0, 2, "80.3", "80.2")
		}
		m.question("kit", kit, "plain", "quick")
		m.overall()
		return m.build(t)
	}
	r := build(false)
	q := r.Questions[0]
	if q.OverallPairs != 1 || len(q.Pairs) != 2 || q.Pairs[0].LeftOut != "" || q.Pairs[1].LeftOut != "not in the mean: never read in one session" {
		t.Fatalf("over %d pairs, %+v", q.OverallPairs, q.Pairs)
	}
	close12(t, "the mean is that of the other", q.Overall.Value, 100.0/94.96666666666667)
	if len(q.Dependence) > 0 {
		t.Errorf("a dependence was looked for: %+v", q.Dependence)
	}
	said := ""
	for _, s := range q.More {
		said += s.Text + "\n"
	}
	if !strings.Contains(said, "1 of 2 pairs was not read in one session, and is left out of the mean.") {
		t.Error(said)
	}
	if s := r.Composites[0].Sentence.Text; !strings.HasSuffix(s, " c3 was not read in one session with c0: what the sessions differ by is in this.") {
		t.Error(s)
	}
	if f := r.Cells[3][0].Flags; len(f) == 0 || f[len(f)-1].Rule != "other-sessions" {
		t.Errorf("%+v", f)
	}
	// With the baseline read beside both, all of it is gone.
	r = build(true)
	q = r.Questions[0]
	if q.OverallPairs != 2 || q.Pairs[1].LeftOut != "" || fmt.Sprint(q.Pairs[1].Through) != "[0]" || len(r.Cells[3][0].Flags) == 0 || r.Cells[3][0].Flags[len(r.Cells[3][0].Flags)-1].Rule != "common-sessions" {
		t.Errorf("%+v, %+v", q.Pairs, r.Cells[3][0].Flags)
	}
	if s := r.Composites[0].Sentence.Text; strings.Contains(s, "sessions differ") {
		t.Error(s)
	}
}
