package report

import (
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"

	"benchwright/design"
	"benchwright/project"
	"benchwright/words"
)

// grid is a full factorial of channels × limit × pad with planted effects:
// gain of the second channel by limit, of the limit, and a noise of 0.5 %.
func grid(seed uint64, repeats int, channel map[int]float64) *made {
	m := make1()
	random := rand.New(rand.NewPCG(seed, 11))
	f := m.factor("channels", project.Studied, "", 1, 2)
	m.factor("limit", project.Studied, "W", 15, 25, 35)
	m.factor("pad", project.Studied, "", "thin", "thick")
	m.workload("w0", "fps", true)
	m.workload("w1", "s", false)
	m.session("s")
	for _, c := range []int{1, 2} {
		for _, l := range []int{15, 25, 35} {
			for _, p := range []string{"thin", "thick"} {
				i := m.configuration(strconv.Itoa(c)+"-"+strconv.Itoa(l)+"-"+p, c, l, p)
				gain := 1.0
				if c == 2 {
					gain *= channel[l]
				}
				gain *= map[int]float64{15: 1, 25: 1.2, 35: 1.3}[l]
				if p == "thick" {
					gain *= 1.02
				}
				for range repeats {
					m.read(i, 0, 0, num(50*gain*(1+0.005*random.NormFloat64())))
					m.read(i, 1, 0, num(400/gain*(1+0.005*random.NormFloat64())))
				}
			}
		}
	}
	m.question("channels", f, 1, 2)
	m.overall()
	return m
}

func dependenceOn(r *Report, factor string) *Dependence {
	for i, d := range r.Questions[0].Dependence {
		if d.Workload < 0 && r.Project.Factors[d.Factor].ID == factor {
			return &r.Questions[0].Dependence[i]
		}
	}
	return nil
}

func TestDependenceIsFoundWhereItWasPlanted(t *testing.T) {
	r := grid(1, 4, map[int]float64{15: 1.04, 25: 1.08, 35: 1.19}).build(t)
	d := dependenceOn(r, "limit")
	if d == nil || !d.Tested || !d.Depends || len(d.Steps) != 3 || d.Steps[0].Level != "15\u00a0W" {
		t.Fatalf("%+v", d)
	}
	for i, want := range []float64{1.04, 1.08, 1.19} {
		if e := d.Steps[i].Effect; math.Abs(e.Value-want) > 0.01 || e.N != 2 {
			t.Errorf("step %d is %+v, want %v", i, e, want)
		}
	}
	if other := dependenceOn(r, "pad"); other == nil || !other.Tested || other.Depends {
		t.Errorf("%+v", other)
	}
	if s := r.Questions[0].Headline.Text; !strings.Contains(s, "more at a higher level of “limit”") {
		t.Errorf("%q", s)
	}
	// What the limit explains does not widen the interval of the mean.
	if f := r.Questions[0].Overall; f.High-f.Low > 0.015 || strings.Contains(f.Method, "between") {
		t.Errorf("%+v", f)
	}
}

// TestHeadlineSaysThatItIsAMeanOfUnlikePairs: the interval of a mean may hold
// none of them.
func TestHeadlineSaysThatItIsAMeanOfUnlikePairs(t *testing.T) {
	for name, c := range map[string]struct {
		channel map[int]float64
		want    []string
	}{
		"unlike":             {map[int]float64{15: 1.00, 25: 1.10, 35: 1.30}, []string{"is worth +12.6\u00a0% on average (", ", 6 matched pairs from \u22120.1\u00a0% to +30.3\u00a0%, "}},
		"none on average":    {map[int]float64{15: 0.90, 25: 1.00, 35: 1 / 0.90}, []string{"no difference was seen (", "% on average, ", ", 6 matched pairs from \u2212"}},
		"alike":              {map[int]float64{15: 1.10, 25: 1.10, 35: 1.10}, []string{"is worth +10.0\u00a0% (", ", 6 matched pairs, "}},
		"many times as much": {map[int]float64{15: 2.50, 25: 3.00, 35: 3.50}, []string{"multiplies performance by 2.97 on average (", ", 6 matched pairs from 2.5"}},
	} {
		text := grid(1, 4, c.channel).build(t).Questions[0].Headline.Text
		for _, want := range c.want {
			if !strings.Contains(text, want) {
				t.Errorf("%s: %s\nwant in it %q", name, text, want)
			}
		}
	}
}

// TestHeadlineNamesEveryFactorThatItDependsOn: not the surest alone, grouped by
// what they do, and three at most.
func TestHeadlineNamesEveryFactorThatItDependsOn(t *testing.T) {
	on := func(f int, p float64, effects ...float64) Dependence {
		d := Dependence{Factor: f, Workload: -1, P: p, Tested: true, Depends: p <= 0.05}
		for _, v := range effects {
			d.Steps = append(d.Steps, DependenceStep{Effect: Figure{Value: v}})
		}
		return d
	}
	m := grid(1, 1, map[int]float64{15: 1, 25: 1, 35: 1}) // channels and limit are numbers, pad is none
	m.factor("drive", project.Studied, "", "old", "new")
	r := &Report{Project: m.Project, work: &working{say: words.For("en-GB")}}
	for _, c := range []struct {
		list []Dependence
		want string
	}{
		{[]Dependence{on(1, 0.2, 1, 2)}, ""},
		{[]Dependence{on(1, 0.01, 1, 2)}, "; more at a higher level of “limit”"},
		{[]Dependence{on(2, 0.001, 1, 2), on(1, 0.0001, 1, 2)}, "; more at a higher level of “limit”; how much depends on “pad”"},
		{[]Dependence{on(0, 0.001, 2, 1), on(1, 0.0001, 2, 1)}, "; less at a higher level of “limit” and “channels”"},
		{[]Dependence{on(2, 0.001, 1, 2), on(1, 0.002, 1, 2), on(3, 0.0001, 1, 2), on(0, 0.003, 1, 2)}, "; how much depends on “drive” and “pad”; more at a higher level of “limit”"},
	} {
		in := inquiry{r: r, k: r.work, out: &Answer{Dependence: c.list}}
		if got := in.tail(); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}

func TestNoDependenceWhereNoneWasPlanted(t *testing.T) {
	found, holds := 0, 0
	const reports = 200
	for seed := range uint64(reports) {
		m := grid(100+seed, 3, map[int]float64{15: 1.05, 25: 1.05, 35: 1.05})
		m.Composites = nil // they are not asked about, and take most of the time
		r := m.build(t)
		if f := r.Questions[0].Overall; f.Low <= 1.05 && 1.05 <= f.High {
			holds++
		}
		for _, d := range r.Questions[0].Dependence {
			if d.Depends && d.Workload < 0 {
				found++
				break
			}
		}
	}
	// 5 % of 200 are 10, standard deviation 3.1.
	if found > 20 {
		t.Errorf("%d of %d reports claim a dependence that is not there", found, reports)
	}
	// 95 % of 200 are 190, standard deviation 3.1.
	if holds < 180 || holds == reports {
		t.Errorf("%d of %d intervals hold the planted effect", holds, reports)
	}
}

func TestWithoutRepeatsDependenceIsDescribedOnly(t *testing.T) {
	r := grid(1, 1, map[int]float64{15: 1.04, 25: 1.08, 35: 1.19}).build(t)
	d := dependenceOn(r, "limit")
	if d == nil || d.Tested || d.Depends || !strings.Contains(d.Sentence.Text, "Without repeats this cannot be tested.") || len(d.Steps) != 3 {
		t.Errorf("%+v", d)
	}
}

// TestPairsThatDifferInTwoThingsCannotTellOnWhich: with repeats in every cell
// it is not for want of them that a dependence is not tested.
func TestPairsThatDifferInTwoThingsCannotTellOnWhich(t *testing.T) {
	m := make1()
	f := m.factor("kit", project.Studied, "", "slow", "fast")
	m.factor("cooler", project.Studied, "", "boxed", "tower")
	m.factor("limit", project.Studied, "", "low", "high")
	w := m.workload("w", "fps", true)
	s := m.session("s")
	for c, v := range []float64{100, 102, 150, 165} {
		m.configuration("c"+strconv.Itoa(c), []any{"slow", "fast"}[c%2], []any{"boxed", "tower"}[c/2], []any{"low", "high"}[c/2])
		for i := range 4 {
			m.read(c, w, s, num(v*(1+0.002*float64(i))))
		}
	}
	m.question("kit", f, "slow", "fast")
	m.overall()
	r := m.build(t)
	for factor, other := range map[string]string{"cooler": "limit", "limit": "cooler"} {
		want := "No two of the pairs differ in “" + factor + "” alone: they differ in “" + other + "” as well, so that it cannot be tested whether the effect depends on it."
		if d := dependenceOn(r, factor); d == nil || d.Tested || !strings.HasSuffix(d.Sentence.Text, want) {
			t.Errorf("%s: %+v", factor, d)
		}
	}
}

// boards is a project with one matched pair on each of several boards.
func boards(effects ...float64) *made {
	m := make1()
	random := rand.New(rand.NewPCG(5, 5))
	f := m.factor("pad", project.Studied, "", "thin", "thick")
	m.factor("board", project.Studied, "")
	m.workload("rate", "fps", true)
	m.session("s")
	for i, e := range effects {
		for j, pad := range []string{"thin", "thick"} {
			c := m.configuration(pad+strconv.Itoa(i), pad, "board "+strconv.Itoa(i))
			for range 4 {
				m.read(c, 0, 0, num(100*math.Pow(e, float64(j))*(1+0.003*random.NormFloat64())))
			}
		}
	}
	m.question("pad", f, "thin", "thick")
	m.overall()
	return m
}

func TestUnexplainedDisagreementWidensTheInterval(t *testing.T) {
	// Of more than six boards only the first and the last are compared; they
	// agree, so that what the others do is explained by nothing.
	apart := boards(1.10, 1.02, 1.15, 1.05, 1.20, 1.00, 1.10).build(t).Questions[0]
	if d := apart.Dependence[0]; !d.Tested || d.Depends {
		t.Fatalf("%+v", d)
	}
	f := apart.Overall
	if f.Method != "spread between matched pairs" || !(f.High-f.Low > 0.08) || !strings.Contains(f.Remark, "disagree") {
		t.Errorf("%+v", f)
	}
	agree := boards(1.10, 1.10, 1.10, 1.10, 1.10, 1.10, 1.10).build(t).Questions[0]
	if f := agree.Overall; f.High-f.Low > 0.006 || f.Remark != "" {
		t.Errorf("%+v", f)
	}
}

func TestConfigurationInTwoPairsCountsOnce(t *testing.T) {
	m := make1()
	f := m.factor("pad", project.Studied, "", "thin", "thick")
	m.workload("rate", "fps", true)
	m.session("s")
	m.configuration("a", "thin")
	m.configuration("b", "thin")
	m.configuration("c", "thick")
	m.read(0, 0, 0, "100.0", "100.5", "99.5")
	m.read(1, 0, 0, "100.2", "100.7", "99.7")
	m.read(2, 0, 0, "110.0", "111.0", "109.0")
	m.question("pad", f, "thin", "thick")
	m.overall()
	r := m.build(t)
	if n := len(r.Questions[0].Pairs); n != 2 {
		t.Fatalf("%d pairs", n)
	}
	s := r.work.samples
	e, _, _, _ := r.work.logContrast(0, meanOf([]design.Pair{{From: 0, To: 2}, {From: 1, To: 2}}, []int{0, 1}))
	// c counts whole, a and b by half.
	want := math.Sqrt(s[2][0].se*s[2][0].se + s[0][0].se*s[0][0].se/4 + s[1][0].se*s[1][0].se/4)
	if math.Abs(e.SE-want) > 1e-15 {
		t.Errorf("standard error %v, want %v", e.SE, want)
	}
}

func TestModelFindsEffectsInAnUnbalancedDesignWithSessions(t *testing.T) {
	m := make1()
	random := rand.New(rand.NewPCG(8, 8))
	f := m.factor("channels", project.Studied, "", 1, 2)
	m.factor("limit", project.Studied, "W", 15, 35)
	m.factor("clock", project.Follows, "MHz", 100, 200)
	m.Factors[2].Of = []int{1}
	m.workload("rate", "fps", true)
	m.session("s1")
	m.session("s2")
	shift := []float64{1, 1.06}
	for i, c := range [][3]int{{1, 15, 100}, {2, 15, 100}, {1, 35, 200}, {2, 35, 200}} {
		at := m.configuration("c"+strconv.Itoa(i), c[0], c[1], c[2])
		gain := 1.0
		if c[0] == 2 {
			gain *= 1.10
		}
		if c[1] == 35 {
			gain *= 1.25
		}
		// The second channel was read mostly in the slow session.
		counts := [2]int{4, 1}
		if c[0] == 2 {
			counts = [2]int{1, 4}
		}
		for s, n := range counts {
			for range n {
				m.read(at, 0, s, num(80*gain/shift[s]*(1+0.002*random.NormFloat64())))
			}
		}
	}
	m.question("channels", f, 1, 2)
	m.overall()
	r := m.build(t)
	q := r.Questions[0]
	if q.Model.Low > 1.10 || q.Model.High < 1.10 || q.Model.High-q.Model.Low > 0.02 {
		t.Errorf("the model gives %v to %v", q.Model.Low, q.Model.High)
	}
	if q.Overall.Low > 1.10 || q.Overall.High < 1.10 || q.Overall.High-q.Overall.Low > 0.02 {
		t.Errorf("the pairs give %v to %v", q.Overall.Low, q.Overall.High)
	}
	if len(r.Effects.Workloads) != 1 || r.Effects.Ranking[0].From != "15\u00a0W" || r.Effects.Ranking[1].From != "1" {
		t.Errorf("%+v", r.Effects.Ranking)
	}
	fit := r.Effects.Workloads[0]
	if fit.N != 20 || fit.Parameters != 4 || fit.DF != 16 || len(fit.Aliased) != 1 || !strings.Contains(fit.Aliased[0], "clock is left out") {
		t.Errorf("%+v", fit)
	}
	for _, c := range fit.Checks {
		if !c.Passed {
			t.Errorf("%+v", c)
		}
	}
}

// TestModelWhoseEffectsDoNotAddUpSaysNothing: beside pairs and without any, a
// model that the readings refute has no figure and agrees with nobody.
func TestModelWhoseEffectsDoNotAddUpSaysNothing(t *testing.T) {
	atLimit := func(m *made) { m.Questions[0].Where = []project.Condition{{Factor: 1, Value: level(35)}} }
	// Two channels were never read at 35 W.
	gap := func(m *made) {
		atLimit(m)
		m.Readings = slices.DeleteFunc(m.Readings, func(rd project.Reading) bool {
			return strings.HasPrefix(m.Configurations[rd.Configuration].ID, "2-35")
		})
	}
	for _, c := range []struct {
		name    string
		channel map[int]float64
		ask     func(*made)
		says    string
		figure  bool
	}{
		{"all pairs, effects that add up", map[int]float64{15: 1.1, 25: 1.1, 35: 1.1}, func(*made) {}, "at once agrees: +", true},
		{"no pair, effects that add up", map[int]float64{15: 1.1, 25: 1.1, 35: 1.1}, gap, "that is an inference", true},
		{"all pairs", map[int]float64{15: 1, 25: 1.3, 35: 1}, func(*made) {}, "says nothing of this. The matched pairs are the figure to quote.", false},
		{"one setting", map[int]float64{15: 1, 25: 1.3, 35: 1}, atLimit, "says nothing of this. The matched pairs are the figure to quote.", false},
		{"no pair", map[int]float64{15: 1, 25: 1.3, 35: 1}, gap, "on 2 of 2 workloads its effects do not add up, so it says nothing of this.", false},
	} {
		m := grid(5, 4, c.channel)
		c.ask(m)
		q := m.build(t).Questions[0]
		if !strings.Contains(q.ModelText.Text, c.says) || q.Model.HasValue() != c.figure {
			t.Errorf("%s: %q with a figure of %q", c.name, q.ModelText.Text, q.Model.Text)
		}
	}
}

// TestModelAgreesWithinTheIntervalOfThePairs: a wide interval of the model's own
// is no agreement.
func TestModelAgreesWithinTheIntervalOfThePairs(t *testing.T) {
	figure := func(text string, v, low, high float64) Figure {
		return Figure{State: Measured, Value: v, Low: low, High: high, Confidence: 0.95, Text: text}
	}
	single := Figure{State: SpreadUnknown, Value: 1.037, Low: 1.037, High: 1.037, Text: "+4 %"}
	for _, c := range []struct {
		name         string
		model, pairs Figure
		want         bool
	}{
		{"within", figure("+3.8 %", 1.038, 1.036, 1.040), figure("+3.7 %", 1.037, 1.035, 1.039), true},
		{"outside, but wide", figure("+4.1 %", 1.041, 1.036, 1.046), figure("+3.7 %", 1.037, 1.035, 1.039), false},
		{"pairs without an interval", figure("+4.1 %", 1.041, 1.036, 1.046), single, true},
		{"far from pairs without an interval", figure("+5.1 %", 1.051, 1.046, 1.056), single, false},
	} {
		if got := agree(c.model, c.pairs); got != c.want {
			t.Errorf("%s: %v", c.name, got)
		}
	}
}
