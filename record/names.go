package record

import (
	"maps"
	"slices"
	"strings"

	"benchwright/project"
)

// names finds ids by what people call things: id, label, or the mapping's own
// word, whatever the case.
type names struct{ workloads, configurations map[string]string }

func namesOf(p *project.Project, m Mapping) names {
	n := names{map[string]string{}, map[string]string{}}
	for _, w := range p.Workloads {
		if isRead(w) {
			n.workloads[fold(w.Label)] = w.ID
		}
	}
	for _, c := range p.Configurations {
		n.configurations[fold(c.Label)] = c.ID
	}
	for _, w := range p.Workloads { // an id stands before a label
		n.workloads[w.ID] = w.ID
	}
	for _, c := range p.Configurations {
		n.configurations[c.ID] = c.ID
	}
	for from, to := range m.Workloads {
		n.workloads[fold(from)] = to
	}
	for from, to := range m.Configurations {
		n.configurations[fold(from)] = to
	}
	return n
}

// configuration gives the id, or the text as it is when it names none.
func (n names) configuration(text string) string {
	if id, ok := n.configurations[fold(text)]; ok {
		return id
	}
	return text
}

// workload is configuration for workloads; a unit behind the name does not count.
func (n names) workload(text string) string {
	if id, ok := n.workloads[fold(text)]; ok {
		return id
	}
	if id, ok := n.workloads[fold(withoutUnit(text))]; ok {
		return id
	}
	return text
}

// fold makes names equal that differ in case and spaces alone.
func fold(s string) string { return strings.ToLower(strings.Join(strings.Fields(s), " ")) }

// withoutUnit takes "[s]" or "(s)" off a heading.
func withoutUnit(s string) string {
	name, _ := headingUnit(s)
	return name
}

// headingUnit takes "Backup (s)" apart.
func headingUnit(s string) (name, unit string) {
	s = strings.TrimSpace(s)
	for _, brackets := range []string{"[]", "()"} {
		if i := strings.LastIndexByte(s, brackets[0]); i > 0 && s[len(s)-1] == brackets[1] {
			return strings.TrimSpace(s[:i]), strings.TrimSpace(s[i+1 : len(s)-1])
		}
	}
	return s, ""
}

// outcomeOf recognises an outcome as people write it in a cell.
func outcomeOf(s string) (string, bool) {
	word := strings.ReplaceAll(fold(s), " ", "-")
	if word == "hang" {
		word = "hung"
	}
	if word == "crash" {
		word = "crashed"
	}
	return word, slices.Contains(failing(), word)
}

func sortedKeys[V any](m map[string]V) []string { return slices.Sorted(maps.Keys(m)) }
