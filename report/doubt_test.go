package report

import (
	"strings"
	"testing"

	"benchwright/design"
	"benchwright/project"
	"benchwright/schema"
)

// Whoever displays another level than the one that was set leaves open whether
// the step was made: that stands at the question about it, and at no other.
func TestALevelThatWasNotDisplayedIsDoubtedAtItsQuestion(t *testing.T) {
	m := make1()
	firmware := m.factor("firmware", project.Studied, "", "2.1", "2.4")
	pad := m.factor("pad", project.Studied, "", "thin", "thick")
	s, w := m.session("s"), m.workload("w", "fps", true)
	for i, levels := range [][]any{{"2.1", "thin"}, {"2.4", "thin"}, {"2.1", "thick"}} {
		m.configuration("c"+num(float64(i)), levels...)
		m.read(i, w, s, "100", "101", "102")
	}
	for _, c := range m.Configurations {
		if c.ID == m.Configurations[1].ID {
			c.Displayed = []project.Identity{{Factor: firmware, Value: level("2.1")}}
		}
	}
	m.question("newer", firmware, "2.1", "2.4")
	m.question("thicker", pad, "thin", "thick")
	m.overall()
	finding := schema.Finding{Rule: "displayed-never-resolved", Severity: schema.Warning, Factors: []string{"firmware"}, Configurations: []string{m.Configurations[1].ID}}
	r := Build(m.Project, design.NewSpace(m.Project), []schema.Finding{finding}, Options{})
	for i, want := range []bool{true, false} {
		q := &r.Questions[i]
		said := ""
		for _, s := range q.More {
			said += s.Text + "\n"
		}
		if (len(q.Findings) == 1) != want || q.Clean == want || strings.Contains(said, "“firmware” of "+r.name(1)+" was set to 2.4, but 2.1 was displayed, and nothing was measured.") != want {
			t.Errorf("%s: %d findings, clean %v\n%s", q.ID, len(q.Findings), q.Clean, said)
		}
	}
}
