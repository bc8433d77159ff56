package report

import (
	"slices"
	"strings"
	"testing"

	"benchwright/design"
	"benchwright/project"
)

// updated is a bench whose best configuration alone runs another firmware, set or
// measured, and costs least; studied says that firmware is studied as well.
func updated(language string, role project.Role, measured bool) *made {
	m := make1()
	m.Language = language
	clock := m.factor("clock", project.Studied, "MHz", 3200, 4400)
	firmware := m.factor("firmware", role, "")
	m.Factors[clock].Unit, _ = project.ParseUnit("MHz")
	for l, cost := range []float64{80, 90} {
		m.Factors[clock].Levels[l].Cost, m.Factors[clock].Levels[l].HasCost = cost, true
	}
	game, power := m.workload("game", "fps", true), m.workload("power", "W", false)
	m.Workloads[game].Target, m.Workloads[game].HasTarget = 60, true
	m.Workloads[power].Composite = false
	m.configuration("basis", 3200, "1.07")
	if measured {
		m.configuration("best", 4400, "1.07")
		m.Configurations[1].Measured = []project.Identity{{Factor: firmware, Value: level("1.08")}}
	} else {
		m.configuration("best", 4400, "1.08")
	}
	s := m.session("s")
	for c, base := range []float64{50, 80} {
		for i := range 4 {
			m.read1(c, game, s, 2*i, base+0.1*float64(i))
			m.read1(c, power, s, 2*i, 100+0.1*float64(i))
		}
	}
	m.overall()
	return m
}

// Wherever a configuration is called the best of something, the same place says
// that it differs from the baseline in what was to stay the same.
func TestAHeadlineSaysWhatWasNotHeld(t *testing.T) {
	for language, caution := range map[string]string{
		"en-GB": "Not held equal between best and basis: firmware.",
		"de":    "Nicht gleich gehalten zwischen best und basis: firmware.",
	} {
		for _, c := range []struct {
			role     project.Role
			measured bool
			want     int
		}{{project.Held, false, 1}, {project.Held, true, 1}, {project.Studied, false, 0}} {
			m := updated(language, c.role, c.measured)
			r := Build(m.Project, design.NewSpace(m.Project), nil, Options{})
			texts := map[string]string{"composite": r.Composites[0].Sentence.Text, "workload": r.Workloads[0].Sentences[0].Text}
			for _, i := range r.Insights {
				if slices.Contains([]string{"value", "per-watt", "clock-for-clock", "target"}, i.Kind) {
					texts["insight "+i.Kind] = i.Sentence.Text
				}
			}
			if len(texts) != 6 {
				t.Fatalf("only %v", texts)
			}
			for what, text := range texts {
				if strings.Count(text, caution) != c.want {
					t.Errorf("%s, %s, %+v: %q", language, what, c, text)
				}
			}
			if got := r.Configurations[1].Comparison.Unheld; len(got) != c.want {
				t.Errorf("%+v: not held are %v", c, got)
			}
		}
	}
}

// Two that come out alike, or each of which wins somewhere, are held against one
// another: what counts is what was not held between those two.
func TestTwoAgainstOneAnotherSayWhatWasNotHeld(t *testing.T) {
	m := make1()
	m.factor("clock", project.Studied, "", "low", "mid", "high")
	m.factor("firmware", project.Held, "")
	s, w := m.session("s"), m.workload("w", "fps", true)
	for i, c := range [][2]string{{"low", "1.07"}, {"mid", "1.08"}, {"high", "1.07"}} {
		m.configuration(c[0], c[0], c[1])
		for n := range 6 {
			m.read1(i, w, s, n, []float64{50, 80, 80}[i]*(1+0.001*float64(n)))
		}
	}
	m.overall()
	r := m.build(t)
	for _, i := range r.Insights {
		if i.Kind == "look-alikes" {
			if !strings.Contains(i.Sentence.Text, "Not held equal between") || !strings.Contains(i.Sentence.Text, ": firmware.") {
				t.Errorf("%q", i.Sentence.Text)
			}
			return
		}
	}
	t.Errorf("nothing came out alike: %+v", r.Insights)
}
