package schema

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"sync"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/santhosh-tekuri/jsonschema/v6/kind"
	"gopkg.in/yaml.v3"
)

// Where the schemas live by name. The address is never opened: the name ends
// in .invalid so that it cannot be (RFC 2606).
const schemaHome = "https://benchwright.invalid/schema/"

// kinds are the schemas' names.
func kinds() []string {
	return []string{"report", "bench", "workloads", "sessions", "record", "configuration", "configurations", "shelf"}
}

// schemas holds what one Read needs of the embedded schema files.
type schemas struct{ facts *facts }

func newSchemas() *schemas { return &schemas{facts: newFacts()} }

// validators gives each schema ready for use. Making one takes some
// milliseconds, more than all else that a Read does, and its outcome never
// changes: it is made when first needed, once in the life of the program.
var validators = func() map[string]func() *jsonschema.Schema {
	all := map[string]func() *jsonschema.Schema{}
	for _, k := range kinds() {
		all[k] = sync.OnceValue(func() *jsonschema.Schema { return compile(k) })
	}
	return all
}()

// compile makes one embedded schema ready. The schemas are ours and a test
// compiles each, so that a fault here is a fault of the program.
func compile(kind string) *jsonschema.Schema {
	name := kind + ".schema.json"
	text, err := schemaFiles.ReadFile(name)
	if err != nil {
		panic(fmt.Sprintf("the embedded schema %s: %v", kind, err))
	}
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	if err != nil {
		panic(fmt.Sprintf("the embedded schema %s: %v", kind, err))
	}
	c := jsonschema.NewCompiler()
	c.AssertFormat()
	if err := c.AddResource(schemaHome+name, doc); err != nil {
		panic(fmt.Sprintf("the embedded schema %s: %v", kind, err))
	}
	return c.MustCompile(schemaHome + name)
}

// validate holds a document against a schema.
func (s *schemas) validate(d *Document, kind string) []Finding {
	err := validators[kind]().Validate(plainValue(d.Root))
	if err == nil {
		return nil
	}
	var broken *jsonschema.ValidationError
	if !errors.As(err, &broken) {
		return []Finding{{Rule: "wrong-type", Place: Place{File: d.Path}, Message: "cannot be checked: " + err.Error(),
			Remedy: "compare it with the file that benchwright start writes"}}
	}
	v := &verdict{doc: d, kind: kind, facts: s.facts,
		owned: map[string]map[string][][]string{}, keys: map[*yaml.Node]map[string]int{}}
	v.collect(broken, nil)
	return v.sentences()
}

// plainValue turns a node of a Document into what the validator reads.
func plainValue(n *yaml.Node) any {
	switch n.Kind {
	case yaml.MappingNode:
		m := make(map[string]any, len(n.Content)/2)
		for i := 0; i+1 < len(n.Content); i += 2 {
			m[n.Content[i].Value] = plainValue(n.Content[i+1])
		}
		return m
	case yaml.SequenceNode:
		l := make([]any, len(n.Content))
		for i, c := range n.Content {
			l[i] = plainValue(c)
		}
		return l
	}
	switch n.Tag {
	case tagNull:
		return nil
	case tagBool:
		return n.Value == "true"
	case tagInt, tagFloat:
		v, _, _ := plainNumber(n.Value)
		return v
	}
	return n.Value
}

// fault is one complaint of the validator at one value.
type fault struct {
	path   []string // keys and indices down to the value
	schema string   // the schema's address, with a pointer
	// within lists addresses of the schemas around it that judge the same
	// value, outermost first: a property that refers to a definition.
	within []string
	kind   jsonschema.ErrorKind
	name   string // of the key that is unknown, missing or no id
	place  Place
}

// verdict turns the validator's tree of complaints about one document into
// findings.
type verdict struct {
	doc    *Document
	kind   string
	facts  *facts
	faults []fault
	owned  map[string]map[string][][]string // by pointer of a propertyNames, by name
	keys   map[*yaml.Node]map[string]int    // where each key stands in a mapping
}

// mostFaults is how many faults against the schema one file is given; a file
// with more of them is the wrong file, or has one fault that repeats itself.
const mostFaults = 200

// collect flattens the tree.
func (v *verdict) collect(e *jsonschema.ValidationError, within []string) {
	if name, ok := e.ErrorKind.(*kind.PropertyNames); ok {
		// The library's path is not reliable for names (v6.0.3 hands out a
		// slice that it goes on to change), its address is.
		for _, path := range v.owners(e.SchemaURL, name.Property) {
			v.note(fault{path: path, schema: e.SchemaURL, kind: e.ErrorKind}, name.Property)
		}
		return
	}
	if len(e.Causes) == 0 {
		f := fault{path: e.InstanceLocation, schema: e.SchemaURL, within: within, kind: e.ErrorKind}
		switch k := e.ErrorKind.(type) {
		case *kind.AdditionalProperties:
			v.note(f, k.Properties...)
		case *kind.Required:
			v.note(f, k.Missing...)
		case *kind.DependentRequired:
			v.note(f, k.Missing...)
		default:
			v.note(f, "")
		}
		return
	}
	for _, c := range e.Causes {
		around := within
		if !slices.Equal(c.InstanceLocation, e.InstanceLocation) {
			around = nil
		} else if e.SchemaURL != "" {
			around = append(slices.Clone(within), e.SchemaURL)
		}
		v.collect(c, around)
	}
}

// note keeps a fault, once for each of the keys that it is about.
func (v *verdict) note(f fault, names ...string) {
	key, value := v.find(f.path)
	for _, name := range names {
		f.name, f.place = name, v.place(value)
		if i, ok := v.at(value, name); ok && name != "" {
			f.place = v.place(value.Content[i])
		} else if key != nil && (name != "" || value.Tag == tagNull && value.Value == "") {
			// A key that is missing is missing from what its owner names; a
			// value that is not there has no character of its own.
			f.place = v.place(key)
		}
		v.faults = append(v.faults, f)
	}
}

// owners gives the paths of the mappings that a propertyNames schema judges
// and that have a key of the given name.
func (v *verdict) owners(address, name string) [][]string {
	_, pointer, _ := strings.Cut(address, "#/")
	var steps []string // "" stands for any key or item
	for tokens := strings.Split(pointer, "/"); len(tokens) > 0; tokens = tokens[1:] {
		switch {
		case tokens[0] == "properties" && len(tokens) > 1:
			steps = append(steps, tokens[1])
			tokens = tokens[1:]
		case tokens[0] == "additionalProperties", tokens[0] == "items":
			steps = append(steps, "")
		}
	}
	return v.matching(pointer, steps)[name]
}

// matching gives, for each key, the paths of the mappings that have it among
// those that the steps lead to. It is worked out once for each pointer.
func (v *verdict) matching(pointer string, steps []string) map[string][][]string {
	if found, ok := v.owned[pointer]; ok {
		return found
	}
	found := map[string][][]string{}
	var walk func(n *yaml.Node, steps, path []string)
	walk = func(n *yaml.Node, steps, path []string) {
		if len(steps) == 0 {
			here := slices.Clone(path)
			for i := 0; n.Kind == yaml.MappingNode && i < len(n.Content); i += 2 {
				found[n.Content[i].Value] = append(found[n.Content[i].Value], here)
			}
			return
		}
		switch n.Kind {
		case yaml.MappingNode:
			for i := 0; i+1 < len(n.Content); i += 2 {
				if k := n.Content[i].Value; steps[0] == "" || steps[0] == k {
					walk(n.Content[i+1], steps[1:], append(path, k))
				}
			}
		case yaml.SequenceNode:
			for i, c := range n.Content {
				if steps[0] == "" {
					walk(c, steps[1:], append(path, strconv.Itoa(i)))
				}
			}
		}
	}
	walk(v.doc.Root, steps, nil)
	v.owned[pointer] = found
	return found
}

// rank orders complaints about one value: the one that says most comes first
// and is the only one reported, because the others follow from it.
func rank(k jsonschema.ErrorKind) int {
	switch k.(type) {
	case *kind.Type:
		return 1
	case *kind.Enum, *kind.Const:
		return 2
	case *kind.MinLength:
		return 3
	case *kind.Format, *kind.Pattern:
		return 4
	case *kind.Required, *kind.AdditionalProperties, *kind.PropertyNames, *kind.DependentRequired, *kind.Dependency:
		return 0 // about keys, reported each
	}
	return 5
}

func (v *verdict) sentences() []Finding {
	// The validator walks maps, so its order differs from run to run.
	slices.SortStableFunc(v.faults, func(a, b fault) int {
		return cmp.Or(a.place.Compare(b.place), slices.Compare(a.path, b.path), cmp.Compare(rank(a.kind), rank(b.kind)),
			cmp.Compare(a.name, b.name), cmp.Compare(a.schema, b.schema))
	})
	var all []verdictOn
	var judged []string
	some, left := false, 0
	for i, f := range v.faults {
		if len(all) >= mostFaults {
			left = len(v.faults) - i
			break
		}
		if rank(f.kind) > 0 {
			if some && slices.Equal(judged, f.path) {
				continue
			}
			judged, some = f.path, true
		}
		all = append(all, v.sentence(f))
	}
	misspelt := map[string]bool{}
	tie := func(one verdictOn) string { return strings.Join(append(slices.Clone(one.mapping), one.meant), "\x00") }
	for _, one := range all {
		if one.Rule == "unknown-key" && one.meant != "" {
			misspelt[tie(one)] = true
		}
	}
	var out []Finding
	for _, one := range all {
		if one.Rule == "missing-key" && misspelt[tie(one)] {
			continue // the key is there, misspelt, and that has been said
		}
		out = append(out, one.Finding)
	}
	if left > 0 {
		out[len(out)-1].Message += fmt.Sprintf(" (and %d more faults in this file)", left)
	}
	return out
}

// verdictOn is a finding about a key, with what ties it to others.
type verdictOn struct {
	Finding
	mapping []string // the path of the mapping that has or lacks the key
	meant   string   // the known key that is missing, or that was meant
}
