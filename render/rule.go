package render

import (
	"html/template"
	"slices"

	"benchwright/design"
)

// Rule is the page of one rule of the checker.
type Rule struct {
	Page
	Name     string        `doc:"name of the rule, as files use it"`
	Severity string        `doc:"severity by default, in words"`
	What     template.HTML `doc:"what the rule looks for"`
	Why      template.HTML `doc:"why that matters"`
	Remedy   template.HTML `doc:"what to do"`
	Source   string        `doc:"source of the method"`
	Bad      string        `doc:"a folder in which it fires"`
	Good     string        `doc:"a folder in which it does not"`
	Findings []Remark      `doc:"what it found in this report"`
}

// usedRules lists the rules that have a page: those that this report names.
func (s *site) usedRules() []string {
	var names []string
	for _, f := range s.r.Findings {
		names = append(names, f.Rule)
	}
	for _, f := range s.r.Silenced {
		names = append(names, f.Rule)
	}
	for i := range s.r.Cells {
		for j := range s.r.Cells[i] {
			for _, f := range s.r.Cells[i][j].Flags {
				names = append(names, f.Rule)
			}
		}
	}
	slices.Sort(names)
	names = slices.Compact(names)
	return slices.DeleteFunc(names, func(n string) bool { _, ok := design.RuleNamed(n); return !ok })
}

// hasRule says whether a rule has a page.
func (s *site) hasRule(name string) bool {
	_, ok := slices.BinarySearch(s.rules, name)
	return ok
}

func (s *site) rulePage(name string) ([]File, error) {
	rule, _ := design.RuleNamed(name)
	path := "rules/" + name + ".html"
	p := Rule{Page: s.page("rule", path, rule.Title, rule.What), Name: name}
	p.Severity = s.book.Say("page.severity." + rule.Severity.String())
	p.What, p.Why, p.Remedy = paragraphs(rule.What), paragraphs(rule.Why), paragraphs(rule.Remedy)
	p.Source, p.Bad, p.Good = rule.Source, rule.Bad, rule.Good
	for _, f := range slices.Concat(s.r.Findings, s.r.Silenced) {
		if f.Rule == name {
			p.Findings = append(p.Findings, s.remarks(&p.Page, append(s.r.Findings[:0:0], f))...)
		}
	}
	return s.fill("rule", path, &p)
}
