package report

import (
	"slices"
	"strings"
	"testing"

	"benchwright/words"
)

// What the sessions count adds up to what the report counts, failures included.
func TestSessionsAddUpToTheReport(t *testing.T) {
	r := sampleReport(t)
	good, excluded, failures, all := 0, 0, 0, 0
	for _, s := range r.Sessions {
		good, excluded, failures, all = good+s.Good, excluded+s.Excluded, failures+s.Failures, all+s.Readings
	}
	c := r.Counts
	if good != c.Readings || excluded != c.Excluded || failures != c.Failures || all != good+excluded+failures || failures == 0 {
		t.Errorf("the sessions have %d readings, %d excluded, %d failures of %d; the report %+v", good, excluded, failures, all, c)
	}
}

// The list of formulas explains the methods that tables name.
func TestFormulasNameTheSpreadWithinSessions(t *testing.T) {
	for _, language := range []string{"en-GB", "de"} {
		b := words.For(language)
		text := b.Say("formula.session.text")
		for _, key := range []string{"figure.method.sessions", "figure.method.sessions-difference"} {
			if !strings.Contains(strings.ToLower(text), strings.ToLower(b.Say(key))) {
				t.Errorf("%s: %q is not explained in %s", language, b.Say(key), text)
			}
		}
		if !slices.ContainsFunc([]string{"pooled", "zusammengefasst"}, func(s string) bool { return strings.Contains(text, s) }) {
			t.Errorf("%s: %s", language, text)
		}
	}
}
