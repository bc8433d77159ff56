package design

import (
	"benchwright/project"
	"benchwright/schema"
)

// inquiry is what every rule looks at, computed once, and the findings so far.
type inquiry struct {
	s        *Space
	p        *project.Project
	rule     Rule
	findings []schema.Finding
}

func newInquiry(s *Space) *inquiry { return &inquiry{s: s, p: s.p} }

// add reports a finding under the rule at work.
func (in *inquiry) add(f schema.Finding) {
	f.Rule, f.Severity = in.rule.Name, in.rule.Severity
	in.findings = append(in.findings, f)
}
