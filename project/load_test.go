package project

import "testing"

func TestBaseHasNoFault(t *testing.T) {
	p, findings := load(base(t))
	if p == nil || len(findings) > 0 {
		t.Fatalf("project %v, findings:\n%s", p != nil, printed(findings))
	}
}
