package project

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// Every rule that the code names is listed, with the severity that it has in a
// golden file, and every listed one has a case that shows it.
func TestRules(t *testing.T) {
	var listed []string
	severity := map[string]string{}
	for _, r := range Rules() {
		listed = append(listed, r.Name)
		severity[r.Name] = r.Severity.String()
	}
	if !slices.IsSorted(listed) || len(slices.Compact(slices.Clone(listed))) != len(listed) {
		t.Error("the rules are not in order, or one is there twice")
	}
	sources, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	named := regexp.MustCompile(`(?:report|reportAt|fault|room)\("([a-z0-9-]+)"|Rule: "([a-z-]+)"`)
	for _, path := range sources {
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if strings.HasSuffix(path, "_test.go") {
			continue
		}
		for _, m := range named.FindAllStringSubmatch(string(text), -1) {
			if name := m[1] + m[2]; !slices.Contains(listed, name) {
				t.Errorf("%s: the rule %q is not listed", path, name)
			}
		}
	}
	goldens, err := filepath.Glob(filepath.Join(brokenFolder, "*.golden"))
	if err != nil {
		t.Fatal(err)
	}
	shelves, err := filepath.Glob("../testdata/broken/shelf/*.golden")
	if err != nil {
		t.Fatal(err)
	}
	shown := map[string]bool{}
	line := regexp.MustCompile(`(?m): (error|warning|notice): .* \[([a-z-]+)\]$`)
	for _, path := range append(goldens, shelves...) {
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range line.FindAllStringSubmatch(string(text), -1) {
			shown[m[2]] = true
			if want, ok := severity[m[2]]; ok && want != m[1] {
				t.Errorf("%s: %q is a finding of severity %s, not %s", filepath.Base(path), m[2], m[1], want)
			}
		}
	}
	for _, name := range listed {
		if !shown[name] && name != "cannot-read" { // schema reads the folder first
			t.Errorf("no case shows %q", name)
		}
	}
}
