package schema

import (
	"encoding/json"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
)

func schemaValue(t *testing.T, name string) map[string]any {
	t.Helper()
	text, err := schemaFiles.ReadFile(name + ".schema.json")
	if err != nil {
		t.Fatal(err)
	}
	var v map[string]any
	if err := json.Unmarshal(text, &v); err != nil {
		t.Fatal(err)
	}
	return v
}

// everyKey calls do for each schema of a key, a list item or an entry of a map.
func everyKey(at string, v map[string]any, do func(at string, v map[string]any)) {
	if strings.HasSuffix(at, "/then") || strings.HasSuffix(at, "/if") {
		return
	}
	do(at, v)
	for _, group := range []string{"properties", "$defs"} {
		if m, ok := v[group].(map[string]any); ok {
			for k, s := range m {
				everyKey(at+"/"+group+"/"+k, s.(map[string]any), do)
			}
		}
	}
	for _, one := range []string{"items", "additionalProperties"} {
		if s, ok := v[one].(map[string]any); ok {
			everyKey(at+"/"+one, s, do)
		}
	}
}

func TestEveryKeyIsDescribedWithAnExampleThatFits(t *testing.T) {
	keys := 0
	for _, name := range kinds() {
		c := jsonschema.NewCompiler()
		c.AssertFormat()
		root := schemaValue(t, name)
		if err := c.AddResource(schemaHome+name+".schema.json", root); err != nil {
			t.Fatal(err)
		}
		everyKey("#", root, func(at string, v map[string]any) {
			keys++
			where := name + at
			title, _ := v["title"].(string)
			text, _ := v["description"].(string)
			if title == "" || !strings.HasSuffix(text, ".") {
				t.Errorf("%s: title %q, description %q", where, title, text)
			}
			examples, _ := v["examples"].([]any)
			if len(examples) == 0 {
				t.Errorf("%s has no example", where)
			}
			s, err := c.Compile(schemaHome + name + ".schema.json" + at)
			if err != nil {
				t.Fatalf("%s: %v", where, err)
			}
			for _, e := range examples {
				if err := s.Validate(e); err != nil {
					t.Errorf("%s: the example %v does not fit: %v", where, e, err)
				}
			}
			if d, ok := v["default"]; ok {
				if err := s.Validate(d); err != nil {
					t.Errorf("%s: the default %v does not fit: %v", where, d, err)
				}
			}
			if v["type"] == "object" && v["additionalProperties"] == nil {
				t.Errorf("%s lets any key pass", where)
			}
		})
	}
	if keys < 150 {
		t.Errorf("only %d keys were looked at", keys)
	}
}

// The files stand alone, so that an editor needs one of them only; what they
// share has to be the same in each.
func TestSharedDefinitionsAreTheSame(t *testing.T) {
	first := map[string]string{}
	for _, name := range kinds() {
		for k, d := range schemaValue(t, name)["$defs"].(map[string]any) {
			text, err := json.Marshal(d)
			if err != nil {
				t.Fatal(err)
			}
			if before, ok := first[k]; ok && before != string(text) {
				t.Errorf("%s in %s differs:\n%s\n%s", k, name, before, text)
			}
			first[k] = string(text)
		}
	}
	one, several := schemaValue(t, "configuration"), schemaValue(t, "configurations")
	of := several["properties"].(map[string]any)["configurations"].(map[string]any)["additionalProperties"].(map[string]any)
	inFile := one["properties"].(map[string]any)
	delete(inFile, "id")
	if a, b := fmt.Sprint(inFile), fmt.Sprint(of["properties"]); a != b {
		t.Errorf("a configuration in a file of its own has other keys than one among several:\n%s\n%s", a, b)
	}
}

func TestSchemaFilesAreWrittenOut(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "deep", ".schema")
	paths, err := WriteTo(dir)
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, p := range paths {
		names = append(names, filepath.Base(p))
		have, err := os.ReadFile(p)
		if err != nil {
			t.Fatal(err)
		}
		want, err := fs.ReadFile(Files(), filepath.Base(p))
		if err != nil {
			t.Fatal(err)
		}
		if string(have) != string(want) {
			t.Errorf("%s differs from the embedded file", p)
		}
	}
	want := []string{"bench.schema.json", "configuration.schema.json", "configurations.schema.json", "record.schema.json", "report.schema.json", "sessions.schema.json", "shelf.schema.json", "workloads.schema.json"}
	if !slices.Equal(names, want) {
		t.Errorf("wrote %v, want %v", names, want)
	}
	must(t, os.WriteFile(paths[0], []byte("stale"), 0o644))
	if _, err := WriteTo(dir); err != nil {
		t.Fatal(err)
	}
	if b, _ := os.ReadFile(paths[0]); string(b) == "stale" {
		t.Error("a stale file was left")
	}
}

// The comments by which editors find a schema mean nothing to us.
func TestEditorCommentsAreIgnored(t *testing.T) {
	files := baseFiles(t)
	for name, b := range files {
		if strings.HasSuffix(name, ".yaml") {
			files[name] = append([]byte("# yaml-language-server: $schema=../.schema/x.schema.json\n# $schema: x\n"), b...)
		}
	}
	if all := readAll(memory(files)); len(all) > 0 {
		t.Errorf("findings:\n%s", printed(all))
	}
}

// The examples in remedies are there to be copied into a file.
func TestExamplesInRemediesCanBeCopied(t *testing.T) {
	for _, name := range kinds() {
		everyKey("#", schemaValue(t, name), func(at string, _ map[string]any) {
			for _, raw := range newFacts().of(schemaHome + name + ".schema.json" + at).Examples {
				var want any
				if err := json.Unmarshal(raw, &want); err != nil {
					t.Fatal(err)
				}
				d, fs := parse("a.yaml", []byte("key: "+inline(raw)+"\n"))
				if d == nil || len(fs) > 0 {
					t.Errorf("%s%s: %s cannot be read: %v", name, at, inline(raw), fs)
					continue
				}
				if got := plainValue(d.Root.Content[1]); !reflect.DeepEqual(got, want) {
					t.Errorf("%s%s: %s is read as %v, want %v", name, at, inline(raw), got, want)
				}
			}
		})
	}
}
