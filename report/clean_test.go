package report

import (
	"strings"
	"testing"

	"benchwright/design"
	"benchwright/schema"
)

// What the author set aside stays at the question, and the comparison is not called
// clean for it.
func TestAFindingThatWasSetAsideIsNoCleanComparison(t *testing.T) {
	for _, x := range []struct {
		finding schema.Finding
		clean   bool
	}{
		{schema.Finding{Rule: "two-clusters", Severity: schema.Warning, Message: "two groups", Silenced: "the fan was slow"}, false},
		{schema.Finding{Rule: "two-clusters", Severity: schema.Notice, Message: "two groups", Silenced: "the fan was slow"}, true},
		{schema.Finding{Rule: "held-factor-differs", Severity: schema.Warning, Message: "two groups", Silenced: "the fan was slow"}, true},
	} {
		x.finding.Questions = []string{"pad"}
		m := two([]string{"14.7", "14.8"}, []string{"16.2", "19.9"})
		r := Build(m.Project, design.NewSpace(m.Project), []schema.Finding{x.finding}, Options{})
		q := &r.Questions[0]
		if !q.Answerable || q.Clean != x.clean || len(q.SetAside) != 1 || len(q.Findings) != 0 || len(q.Against()) != 0 {
			t.Errorf("%s, %s: clean %v, set aside %d, findings %d", x.finding.Rule, x.finding.Severity, q.Clean, len(q.SetAside), len(q.Findings))
		}
		if (len(q.AgainstSetAside()) == 0) != x.clean {
			t.Error(q.AgainstSetAside())
		}
		text := string(r.AnswersJSON())
		for _, want := range []string{`"setAside": [`, `"finding": "two groups", "because": "the fan was slow"`} {
			if !strings.Contains(text, want) {
				t.Errorf("answers.json does not say %s", want)
			}
		}
		if strings.Contains(text, `"clean": true`) != x.clean {
			t.Errorf("answers.json does not say clean %v", x.clean)
		}
	}
}
