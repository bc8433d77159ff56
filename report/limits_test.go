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
