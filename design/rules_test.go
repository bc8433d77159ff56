package design

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"benchwright/project"
	"benchwright/schema"
)

var update = flag.Bool("update", false, "write the golden files anew")

// load reads an example's folder; findings before the checker are faults of
// the example.
func load(t *testing.T, example string, tolerated ...string) *project.Project {
	t.Helper()
	folder, read := schema.Read(ExampleFolder(example))
	p, typed := project.Load(folder)
	for _, f := range append(read, typed...) {
		if !slices.Contains(tolerated, f.Rule) {
			t.Errorf("the example itself: %s %s: %s", f.Place, f.Rule, f.Message)
		}
	}
	if p == nil {
		t.Fatal("no project")
	}
	return p
}

func check(p *project.Project) []schema.Finding { return Check(p, NewSpace(p)) }

// print writes findings as the golden files hold them.
func print(findings []schema.Finding) string {
	var b strings.Builder
	for _, f := range findings {
		fmt.Fprintf(&b, "%s %s: %s\n    %s\n", f.Place, f.Severity, f.Message, f.Remedy)
		for _, list := range []struct {
			name string
			ids  []string
		}{{"configurations", f.Configurations}, {"factors", f.Factors}, {"workloads", f.Workloads}, {"sessions", f.Sessions}, {"questions", f.Questions}} {
			if len(list.ids) > 0 {
				fmt.Fprintf(&b, "    %s: %s\n", list.name, strings.Join(list.ids, ", "))
			}
		}
		for _, r := range f.Related {
			fmt.Fprintf(&b, "    see %s: %s\n", r.Place, r.Message)
		}
		if f.Silenced != "" {
			fmt.Fprintf(&b, "    silenced: %s\n", f.Silenced)
		}
	}
	return b.String()
}

func of(rule string, findings []schema.Finding) []schema.Finding {
	return slices.DeleteFunc(slices.Clone(findings), func(f schema.Finding) bool { return f.Rule != rule })
}

// Every rule fires in its bad example, with the message that the golden file
// holds, and not in its good one.
func TestEveryRuleFiresInItsBadExampleAlone(t *testing.T) {
	for _, rule := range Rules() {
		t.Run(rule.Name, func(t *testing.T) {
			if rule.Bad == "" || rule.Good == "" {
				t.Fatal("an example is missing")
			}
			found := of(rule.Name, check(load(t, rule.Bad)))
			if len(found) == 0 {
				t.Error("does not fire in the bad example")
			}
			for _, f := range found {
				if f.Severity != rule.Severity {
					t.Errorf("severity %s, the rule says %s", f.Severity, rule.Severity)
				}
				if f.Place.File == "" || f.Message == "" || f.Remedy == "" {
					t.Errorf("place, message or remedy is missing: %+v", f)
				}
			}
			if near := of(rule.Name, check(load(t, rule.Good))); len(near) > 0 {
				t.Errorf("fires in the good example:\n%s", print(near))
			}
			golden := filepath.Join("..", "testdata", "rules", rule.Name+".golden")
			got := print(found)
			if *update {
				if err := os.MkdirAll(filepath.Dir(golden), 0o755); err != nil {
					t.Fatal(err)
				}
				if err := os.WriteFile(golden, []byte(got), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(golden)
			if err != nil {
				t.Fatal(err)
			}
			if got != string(want) {
				t.Errorf("got\n%swant\n%s", got, want)
			}
		})
	}
}

func TestBaseOfTheExamplesIsQuiet(t *testing.T) {
	if found := check(load(t, "")); len(found) > 0 {
		t.Errorf("\n%s", print(found))
	}
}

func TestEveryRuleIsDocumented(t *testing.T) {
	seen := make(map[string]bool)
	for _, r := range Rules() {
		if seen[r.Name] {
			t.Errorf("%s is there twice", r.Name)
		}
		seen[r.Name] = true
		for what, text := range map[string]string{"title": r.Title, "what": r.What, "why": r.Why, "remedy": r.Remedy, "source": r.Source} {
			if text == "" {
				t.Errorf("%s has no %s", r.Name, what)
			}
		}
		if !slices.Contains(Groups(), r.Group) {
			t.Errorf("%s is in no group", r.Name)
		}
		if page := Explain(r); !strings.Contains(page, r.Why) || !strings.Contains(page, ".yaml:\n    ") && !strings.Contains(page, ".csv:\n    ") {
			t.Errorf("the page of %s:\n%s", r.Name, page)
		}
	}
	entries, err := os.ReadDir("../testdata/rules")
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if !seen[strings.TrimSuffix(e.Name(), ".golden")] {
			t.Errorf("testdata/rules/%s belongs to no rule", e.Name())
		}
	}
}
