package report

import (
	"slices"
	"strings"
	"testing"

	"benchwright/project"
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

// A machine that hangs in the warm-up leaves a failed line for every workload, and
// yet it hung once; a workload that fails alone is an attempt of its own.
func TestARunThatGaveNothingCountsOnce(t *testing.T) {
	m := two([]string{"14.7", "14.8"}, []string{"16.2", "16.1"})
	m.workload("heavy", "s", false)
	m.read(0, 1, 0, "10.0", "10.1")
	m.read(1, 1, 0, "9.0")
	hung := m.configuration("hung", m.Configurations[0].Values[0].Value.Text)
	m.fail(hung, 0, 0, project.Hung)
	m.fail(hung, 1, 0, project.Hung)
	alone := project.Reading{Configuration: 1, Workload: 1, Repeat: 2, Outcome: project.Crashed}
	m.Readings = append(m.Readings, alone)
	r := m.build(t)
	if c := r.Counts; c.SilentRuns != 1 || c.LoneFailures != 1 || c.Failures != 3 {
		t.Errorf("%+v", c)
	}
	if s := r.Sessions[0]; s.SilentRuns != 1 || s.LoneFailures != 1 {
		t.Errorf("%+v", s)
	}
	if got := r.Configurations[hung].Status; got != "hung in every run, 1 of 1" {
		t.Errorf("the state of what hung is %q", got)
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
