package design

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/rogpeppe/go-internal/txtar"

	"benchwright/project"
	"benchwright/schema"
)

// Rule is one thing that the checker looks for, with its documentation: the
// terminal, the docs and the site print the same value.
type Rule struct {
	// Name is what projects and findings call it: "held-factor-differs".
	Name string
	// Title is the rule as a heading: "A held factor differs".
	Title string
	// Group is the part of the bench it belongs to, for an index of rules.
	Group    Group
	Severity schema.Severity
	// What it looks for, Why that matters, and the Remedy; plain text, a blank
	// line between paragraphs.
	What, Why, Remedy string
	// Source of the method, or "common practice, no source".
	Source string
	// Bad and Good are folders in txtar form: the rule fires in the one and
	// not in the other. Files that an example does not show are those of
	// rules/base.txtar.
	Bad, Good string

	look func(*inquiry)
}

// Group sorts rules by what they look at.
type Group string

// The groups, in the order in which they are listed.
const (
	Comparisons Group = "comparisons"
	Identity    Group = "identity"
	Order       Group = "order and time"
	Repeats     Group = "repeats"
	Readings    Group = "readings"
	Claims      Group = "claims"
	Records     Group = "records"
	Safety      Group = "safety"
	Checker     Group = "the checker itself"
)

// Groups lists the groups in order.
func Groups() []Group {
	return []Group{Comparisons, Identity, Order, Repeats, Readings, Claims, Records, Safety, Checker}
}

// Check applies every rule of this package to a project. The findings carry
// the severities that the project chose; silenced ones are among them with
// Silenced set. They are in file order.
func Check(p *project.Project, s *Space) []schema.Finding {
	return Apply(p, ruleList(), Find(s))
}

// Find applies every rule of this package and leaves severities and silences
// to Apply, for callers that add findings of their own first.
func Find(s *Space) []schema.Finding {
	in := newInquiry(s)
	rules := ruleList()
	// Doubts about a machine's identity come first: what follows from them is
	// then not said twice.
	slices.SortStableFunc(rules, func(a, b Rule) int {
		first := func(r Rule) int {
			if r.Group == Identity {
				return 0
			}
			return 1
		}
		return cmp.Compare(first(a), first(b))
	})
	for _, rule := range rules {
		if rule.look == nil {
			continue
		}
		in.rule = rule
		rule.look(in)
	}
	return in.findings
}

// Apply gives findings the severities and silences that the project chose for
// their rules, adds a finding for every choice that came to nothing, and sorts.
// The rules are all those that could have produced the findings, whichever
// package they come from; a choice that names none of them is an error.
func Apply(p *project.Project, rules []Rule, findings []schema.Finding) []schema.Finding {
	names := make(map[string]bool, len(rules))
	for _, r := range rules {
		names[r.Name] = true
	}
	applied := slices.Clone(findings)
	for _, f := range findings {
		names[f.Rule] = true
	}
	used := make([]bool, len(p.Checks))
	for i := range applied {
		f := &applied[i]
		for k, change := range p.Checks {
			if change.Rule != f.Rule || !touches(*f, change.At) {
				continue
			}
			used[k] = true
			if change.HasSeverity {
				f.Severity = change.Severity
			}
			if change.Silence {
				f.Silenced = cmp.Or(change.Reason, "no reason given")
			}
		}
	}
	for k, change := range p.Checks {
		if used[k] {
			continue
		}
		switch {
		case !names[change.Rule]:
			f := schema.Finding{Rule: "unknown-rule", Severity: schema.Error, Place: change.Place,
				Message: fmt.Sprintf("there is no rule %q", change.Rule)}
			all := make([]string, 0, len(names))
			for name := range names {
				all = append(all, name)
			}
			slices.Sort(all)
			if near := schema.Nearest(change.Rule, all); near != "" {
				f.Remedy = fmt.Sprintf("write %q", near)
			} else {
				f.Remedy = "see the list of rules, and take the name from there"
			}
			applied = append(applied, f)
		case change.Silence:
			where := ""
			if len(change.At) > 0 {
				where = " at " + quoted(change.At)
			}
			applied = append(applied, schema.Finding{Rule: "silence-without-finding", Severity: schema.Warning, Place: change.Place,
				Message: fmt.Sprintf("%q is silenced%s, but nothing of the kind is found any more", change.Rule, where),
				Remedy:  "delete the silence; a new finding of the same rule would go unseen"})
		}
	}
	return schema.Sort(applied)
}

// touches reports whether a finding names one of the ids, or the list is empty.
func touches(f schema.Finding, ids []string) bool {
	if len(ids) == 0 {
		return true
	}
	for _, list := range [][]string{f.Configurations, f.Factors, f.Workloads, f.Sessions, f.Questions} {
		for _, id := range list {
			if slices.Contains(ids, id) {
				return true
			}
		}
	}
	return false
}

// RuleNamed finds a rule of this package.
func RuleNamed(name string) (Rule, bool) {
	rules := ruleList()
	if i := slices.IndexFunc(rules, func(r Rule) bool { return r.Name == name }); i >= 0 {
		r := rules[i]
		r.Bad, r.Good = examples(name)
		return r, true
	}
	return Rule{}, false
}

// Explain gives the page of a rule as plain text: what, why, example, remedy
// and source.
func Explain(r Rule) string {
	var b strings.Builder
	section := func(title, text string) {
		if text != "" {
			fmt.Fprintf(&b, "\n%s\n\n%s\n", title, strings.TrimSpace(text))
		}
	}
	fmt.Fprintf(&b, "%s (%s)\n%s\n", r.Name, r.Severity, r.Title)
	section("What", r.What)
	section("Why", r.Why)
	section("Remedy", r.Remedy)
	section("Found here (files not shown are those of a clean folder)", indent(r.Bad))
	section("Not found here", indent(r.Good))
	section("Source", r.Source)
	return b.String()
}

// indent writes an example for people: each file's name, and its text set in.
func indent(example string) string {
	var b strings.Builder
	for i, f := range txtar.Parse([]byte(example)).Files {
		if i > 0 {
			b.WriteString("\n")
		}
		fmt.Fprintf(&b, "%s:\n", f.Name)
		for line := range strings.SplitSeq(strings.TrimRight(string(f.Data), "\n"), "\n") {
			fmt.Fprintf(&b, "    %s\n", line)
		}
	}
	return b.String()
}
