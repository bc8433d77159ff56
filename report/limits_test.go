package report

import (
	"strings"
	"testing"

	"benchwright/design"
	"benchwright/project"
)

// beyondBench is a bench whose fastest configuration runs beyond a limit and
// reaches a target at the lowest cost.
func beyondBench(language string) *made {
	m := make1()
	m.Language = language
	clock := m.factor("clock", project.Studied, "MHz", 3200, 4400)
	m.Factors[clock].Limit = project.Limit{HasMost: true, Most: 4000, Source: "an invented manual"}
	for l, cost := range []float64{80, 60} {
		m.Factors[clock].Levels[l].Cost, m.Factors[clock].Levels[l].HasCost = cost, true
	}
	game := m.workload("game", "fps", true)
	m.Workloads[game].Target, m.Workloads[game].HasTarget = 60, true
	m.configuration("basis", 3200)
	m.configuration("hot", 4400)
	s := m.session("s")
	for _, text := range []string{"50", "50.2", "49.8"} {
		m.read(0, game, s, text)
	}
	for _, text := range []string{"70", "70.2", "69.8"} {
		m.read(1, game, s, text)
	}
	m.question("faster", clock, 3200, 4400)
	m.overall()
	return m
}

// Wherever a configuration beyond a limit is named as the best, the cheapest or
// a side of an answer, the same place says that it is beyond, and once.
func TestWhatRunsBeyondALimitIsSaidWithIt(t *testing.T) {
	for language, caution := range map[string]string{
		"en-GB": "hot runs beyond the maker’s limit (4400\u00a0MHz, limit 4000\u00a0MHz).",
		"de":    "hot läuft jenseits des Grenzwerts des Herstellers (4400\u00a0MHz, Grenzwert 4000\u00a0MHz).",
	} {
		m := beyondBench(language)
		space := design.NewSpace(m.Project)
		r := Build(m.Project, space, design.Check(m.Project, space), Options{})
		texts := map[string]string{"composite": r.Composites[0].Sentence.Text, "question": r.Questions[0].More[0].Text, "workload": r.Workloads[0].Sentences[0].Text}
		kinds := 0
		for _, i := range r.Insights {
			if strings.Contains(i.Sentence.Text, "hot") {
				texts["insight "+i.Kind] = i.Sentence.Text
				kinds++
			}
		}
		if kinds < 2 {
			t.Errorf("%s: %d insights name it", language, kinds)
		}
		for what, text := range texts {
			if strings.Count(text, caution) != 1 {
				t.Errorf("%s, %s: %q", language, what, text)
			}
		}
		if r.Questions[0].Clean {
			t.Errorf("%s: the checks are said to have found nothing", language)
		}
	}
}

// A question that only a run beyond the limit would settle asks for none.
func TestNoAnswerAsksForARunBeyondALimit(t *testing.T) {
	for _, planned := range []bool{false, true} {
		m := beyondBench("en-GB")
		m.Readings = m.Readings[:3]
		if !planned {
			m.Configurations = m.Configurations[:1]
		}
		a := Build(m.Project, design.NewSpace(m.Project), nil, Options{}).Questions[0]
		var more []string
		for _, s := range a.More {
			more = append(more, s.Text)
		}
		text := strings.Join(more, "\n")
		if len(a.Missing) > 0 || strings.Contains(text, "To settle it") {
			t.Errorf("planned %v: %v, %s", planned, a.Missing, text)
		}
		if !strings.Contains(text, "What it would take lies beyond the maker’s limit (clock 4400\u00a0MHz, limit 4000\u00a0MHz)") {
			t.Errorf("planned %v: %s", planned, text)
		}
	}
}

// hotFactorial is two clocks and so many fans in all combinations. The game
// follows the clock, the copying hardly does; either factor may have a limit.
func hotFactorial(language string, fans ...any) *made {
	m := make1()
	m.Language = language
	m.factor("clock", project.Studied, "MHz", 3200, 4400)
	m.factor("fans", project.Studied, "", fans...)
	game, copying := m.workload("game", "fps", true), m.workload("copying", "s", false)
	s := m.session("s")
	for i, clock := range []int{3200, 4400} {
		for j, f := range fans {
			c := m.configuration(f.(string)+map[int]string{0: "-cool", 1: "-hot"}[i], clock, f)
			for n := range 4 {
				noise := 1 + 0.001*float64(n%2)
				m.read1(c, game, s, 2*n, 50*(1+0.35*float64(i))*(1+0.02*float64(j))*noise)
				m.read1(c, copying, s, 2*n+1, 80*(1-0.005*float64(i))*noise)
			}
		}
	}
	m.overall()
	return m
}

func (m *made) limit(factor int, most float64) {
	m.Factors[factor].Limit = project.Limit{HasMost: true, Most: most, Source: "an invented manual"}
}

// praises are the places that say what the largest effect is and how a
// workload follows a factor.
func praises(r *Report) map[string]string {
	texts := map[string]string{"ranking": r.Effects.Sentence.Text}
	for _, i := range r.Insights {
		if i.Kind == "largest-effect" || i.Kind == "bottleneck" {
			texts["insight "+i.Kind] = i.Sentence.Text
		}
	}
	for w := range r.Workloads {
		for _, p := range r.Workloads[w].Responses {
			texts["response of "+r.Workloads[w].ID+" "+p.Setting] = p.Sentence.Text
		}
	}
	return texts
}

// What is said to have the largest effect, or to be held up by something else,
// carries the caution of the configurations beyond a limit that it rests on:
// each once, and no other.
func TestLargestEffectAndBottleneckCautionOfALimit(t *testing.T) {
	for language, runs := range map[string]string{
		"en-GB": " runs beyond the maker’s limit (4400\u00a0MHz, limit 4000\u00a0MHz).",
		"de":    " läuft jenseits des Grenzwerts des Herstellers (4400\u00a0MHz, Grenzwert 4000\u00a0MHz).",
	} {
		m := hotFactorial(language, "one", "two")
		m.limit(0, 4000)
		texts := praises(m.build(t))
		if len(texts) != 7 {
			t.Fatalf("%s: %d places", language, len(texts))
		}
		for where, text := range texts {
			for _, fans := range []string{"one", "two"} {
				want := 1
				if strings.HasPrefix(where, "response") && !strings.HasSuffix(where, fans) {
					want = 0 // of the other number of fans
				}
				if got := strings.Count(text, fans+"-hot"+runs); got != want {
					t.Errorf("%s, %s: %s-hot is cautioned of %d times, want %d: %s", language, where, fans, got, want, text)
				}
			}
			if strings.Contains(text, "-cool") {
				t.Errorf("%s, %s: %s", language, where, text)
			}
		}
	}
}

// Many are named in one sentence, and none without a limit that is passed.
func TestCautionsOfManyStandOnce(t *testing.T) {
	fans := []any{"one", "two", "three", "four"}
	m := hotFactorial("en-GB", fans...)
	for where, text := range praises(m.build(t)) {
		if strings.Contains(text, "beyond") {
			t.Errorf("no limit is declared; %s: %s", where, text)
		}
	}
	m.limit(0, 4000)
	for where, text := range praises(m.build(t)) {
		if strings.HasPrefix(where, "response") {
			continue
		}
		if strings.Count(text, "beyond") != 1 || !strings.Contains(text, "one-hot, two-hot, three-hot and four-hot run beyond a maker’s limit; their own pages say how far.") {
			t.Errorf("%s: %s", where, text)
		}
	}
}

// A step that leads to the limit by what follows it is cautioned of, and so is
// one of which an end has nothing else; a step that only some configurations
// beyond a limit have taken is not.
func TestOnlyStepsThatLeadBeyondALimitAreCautionedOf(t *testing.T) {
	step := func(r *Report, factor int) ModelEffect {
		for _, e := range r.Effects.Ranking {
			if e.Factor == factor {
				return e
			}
		}
		t.Fatal("the step is not ranked")
		return ModelEffect{}
	}
	names := func(r *Report, list []int) string { return strings.Join(r.names(list), " ") }

	m := hotFactorial("en-GB", "one", "two")
	m.limit(0, 4000)
	r := m.build(t)
	if got := names(r, r.beyondStep(step(r, 0))); got != "one-hot two-hot" {
		t.Errorf("the clock: %q", got)
	}
	if got := names(r, r.beyondStep(step(r, 1))); got != "" {
		t.Errorf("the fans: %q", got)
	}

	voltage := func(values ...float64) *Report {
		m := hotFactorial("en-GB", "one", "two")
		v := m.factor("voltage", project.Follows, "V")
		m.Factors[v].Numeric, m.Factors[v].Of = true, []int{0}
		m.limit(v, 1.35)
		for i, c := range m.Configurations {
			c.Values = append(c.Values, project.Resolved{Value: level(values[i])})
		}
		return m.build(t)
	}
	r = voltage(1.2, 1.2, 1.4, 1.2)
	if got := names(r, r.beyondStep(step(r, 0))); got != "one-hot" {
		t.Errorf("the clock, with the voltage that follows it: %q", got)
	}
	r = voltage(1.2, 1.4, 1.2, 1.4)
	if got := names(r, r.beyondStep(step(r, 1))); got != "two-cool two-hot" {
		t.Errorf("two fans, which only configurations beyond the limit have: %q", got)
	}
}
