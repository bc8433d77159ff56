package report

import (
	"strings"
	"testing"

	"benchwright/design"
	"benchwright/project"
	"benchwright/schema"
)

// What was measured of a held factor that nobody asks about stands at the
// question, takes its badge, and is no finding against the pairs without it.
func TestAHeldFactorMeasuredOtherwiseIsCautionedAtItsPairs(t *testing.T) {
	for _, silenced := range []string{"", "the label is old"} {
		m := make1()
		cooler := m.factor("cooler", project.Studied, "", "box", "twin", "gale")
		firmware := m.factor("firmware", project.Held, "")
		s, w := m.session("s"), m.workload("w", "fps", true)
		for i, c := range []string{"box", "twin", "gale"} {
			m.configuration(c, c, "1.07")
			m.read(i, w, s, "100", "101", "102")
		}
		m.Configurations[2].Measured = []project.Identity{{Factor: firmware, Value: level("1.08")}}
		m.question("gale", cooler, "twin", "gale")
		m.question("twin", cooler, "box", "twin")
		m.overall()
		finding := schema.Finding{Rule: "measured-disagrees", Severity: schema.Warning, Factors: []string{"firmware"}, Configurations: []string{"gale"}, Silenced: silenced}
		r := Build(m.Project, design.NewSpace(m.Project), []schema.Finding{finding}, Options{})
		for i, want := range []bool{true, false} {
			q := &r.Questions[i]
			said := ""
			for _, s := range q.More {
				said += s.Text + "\n"
			}
			if q.Belied != want || q.Clean == want || (len(q.Findings) == 1) != (want && silenced == "") ||
				strings.Contains(said, "Caution, twin → gale: “firmware” was set alike, but by what was displayed or measured it was 1.07 against 1.08.") != want {
				t.Errorf("%s: %+v, clean %v, belied %v\n%s", q.ID, q.Findings, q.Clean, q.Belied, said)
			}
		}
		gale, twin := r.Configurations[2].Comparison, r.Configurations[1].Comparison
		if !gale.Matched || gale.Clean || gale.Short != "no: displayed or measured otherwise than set" || !strings.Contains(gale.Text, "by what was set alone") ||
			!strings.Contains(gale.Text, "1.07 against 1.08") || !twin.Clean || strings.Contains(twin.Text, "set") {
			t.Errorf("against the baseline: %+v; %+v", gale, twin)
		}
	}
}

// Of many pairs a few are named and the rest are counted.
func TestManyBeliedPairsAreCounted(t *testing.T) {
	m := make1()
	cooler := m.factor("cooler", project.Studied, "", "box", "twin")
	m.factor("fan", project.Studied, "")
	firmware := m.factor("firmware", project.Held, "")
	s, w := m.session("s"), m.workload("w", "fps", true)
	for _, fan := range []string{"f1", "f2", "f3", "f4", "f5"} {
		for _, c := range []string{"box", "twin"} {
			at := m.configuration(c+fan, c, fan, "1.07")
			m.read(at, w, s, "100", "101", "102")
			if c == "twin" {
				m.Configurations[at].Displayed = []project.Identity{{Factor: firmware, Value: level("1.08")}}
			}
		}
	}
	m.question("twin", cooler, "box", "twin")
	m.overall()
	q := m.build(t).Questions[0]
	named := 0
	for _, s := range q.More {
		if strings.HasPrefix(s.Text, "Caution, ") {
			named++
		}
	}
	if named != 3 || q.More[3].Text != "The same holds of “firmware” in 2 more pairs." {
		t.Errorf("%d named\n%+v", named, q.More)
	}
}
