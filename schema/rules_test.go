package schema

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// Every rule has a broken folder that shows it, and no folder shows a rule that
// is not in the list.
func TestEveryRuleIsListedAndShown(t *testing.T) {
	paths, err := filepath.Glob(filepath.Join(brokenFolder, "*.golden"))
	if err != nil {
		t.Fatal(err)
	}
	shown := map[string]bool{}
	named := regexp.MustCompile(`(?m)^\S+: (?:error|warning|notice): .* \(([a-z0-9-]+)\)$`)
	for _, p := range paths {
		text, err := os.ReadFile(p)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range named.FindAllStringSubmatch(string(text), -1) {
			shown[m[1]] = true
		}
	}
	var names []string
	for _, r := range Rules() {
		names = append(names, r.Name)
		if !shown[r.Name] {
			t.Errorf("no broken folder shows %q", r.Name)
		}
		if !strings.HasSuffix(r.Means, ".") {
			t.Errorf("%q is not explained in a sentence", r.Name)
		}
	}
	if !slices.IsSorted(names) {
		t.Error("the rules are not in order")
	}
	for name := range shown {
		if !slices.Contains(names, name) {
			t.Errorf("%q is not in the list", name)
		}
	}
}
