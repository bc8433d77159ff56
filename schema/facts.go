package schema

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// facts answers questions about the schema files that sentences need: which
// keys a mapping knows, in their order, and what a value looks like.
type facts struct {
	at   map[string]*fact
	home map[string][]string // key: where it belongs, such as "bench.yaml: factors.<id>"
}

// fact is what a schema says of itself at one place.
type fact struct {
	Title      string
	Ref        string          `json:"$ref"`
	Properties json.RawMessage `json:"properties"`
	Examples   []json.RawMessage
	Required   []string
	keys       []string
	examples   map[string]json.RawMessage // of each property
}

func newFacts() *facts { return &facts{at: map[string]*fact{}} }

// of gives the fact at an address such as …/bench.schema.json#/properties/common.
// An address that leads nowhere gives an empty fact.
func (s *facts) of(address string) *fact {
	if f := s.at[address]; f != nil {
		return f
	}
	f := &fact{}
	s.at[address] = f
	file, pointer, _ := strings.Cut(strings.TrimPrefix(address, schemaHome), "#")
	raw, err := schemaFiles.ReadFile(file)
	if err != nil {
		return f
	}
	for _, token := range strings.Split(pointer, "/")[1:] {
		token = strings.ReplaceAll(strings.ReplaceAll(token, "~1", "/"), "~0", "~")
		var here map[string]json.RawMessage
		if json.Unmarshal(raw, &here) != nil {
			return f
		}
		raw = here[token]
	}
	if json.Unmarshal(raw, f) != nil {
		return f
	}
	f.keys = keysOf(f.Properties)
	f.examples = map[string]json.RawMessage{}
	var properties map[string]struct{ Examples []json.RawMessage }
	if json.Unmarshal(f.Properties, &properties) == nil {
		for k, p := range properties {
			if len(p.Examples) > 0 {
				f.examples[k] = p.Examples[0]
			}
		}
	}
	return f
}

// keysOf gives the keys of a JSON object in the order of the text.
func keysOf(raw json.RawMessage) []string {
	if len(raw) == 0 {
		return nil
	}
	d := json.NewDecoder(bytes.NewReader(raw))
	if t, err := d.Token(); err != nil || t != json.Delim('{') {
		return nil
	}
	var keys []string
	for d.More() {
		t, err := d.Token()
		if err != nil {
			return keys
		}
		keys = append(keys, fmt.Sprint(t))
		var skip json.RawMessage
		if d.Decode(&skip) != nil {
			return keys
		}
	}
	return keys
}

// homes says where in the folder a key belongs, if it is known in one or two
// places; each such as "factors.ID in bench.yaml".
func (s *facts) homes(key string) []string {
	if s.home == nil {
		s.home = map[string][]string{}
		for _, k := range kinds() {
			file := k + ".yaml"
			switch k {
			case "configuration":
				file = "configurations/*.yaml"
			case "configurations":
				continue // the same keys as configuration
			case "shelf":
				continue // not a file of a report, where the key that is sought belongs
			}
			raw, err := schemaFiles.ReadFile(k + ".schema.json")
			if err == nil {
				s.settle(raw, "", file)
			}
		}
	}
	return s.home[key]
}

// settle notes the home of every key below one schema.
func (s *facts) settle(raw json.RawMessage, path, file string) {
	var here struct {
		Properties json.RawMessage
		Additional json.RawMessage `json:"additionalProperties"`
		Items      json.RawMessage
	}
	if json.Unmarshal(raw, &here) != nil {
		return
	}
	var properties map[string]json.RawMessage
	if json.Unmarshal(here.Properties, &properties) == nil {
		for _, key := range keysOf(here.Properties) {
			home := "the top of " + file
			if path != "" {
				home = path + " in " + file
			}
			if !slices.Contains(s.home[key], home) {
				s.home[key] = append(s.home[key], home)
			}
			s.settle(properties[key], strings.TrimPrefix(path+"."+key, "."), file)
		}
	}
	if len(here.Additional) > 0 && here.Additional[0] == '{' {
		s.settle(here.Additional, path+".ID", file)
	}
	if len(here.Items) > 0 {
		s.settle(here.Items, path, file)
	}
}

// inline writes a JSON value as YAML on one line, as a person would type it.
func inline(raw json.RawMessage) string {
	d := json.NewDecoder(bytes.NewReader(raw))
	d.UseNumber()
	var b strings.Builder
	if err := inlineValue(d, &b, false); err != nil {
		return string(raw)
	}
	return b.String()
}

func inlineValue(d *json.Decoder, b *strings.Builder, nested bool) error {
	t, err := d.Token()
	if err != nil {
		return err
	}
	switch t := t.(type) {
	case json.Delim:
		b.WriteString(t.String())
		for n := 0; d.More(); n++ {
			if n > 0 {
				b.WriteString(", ")
			}
			if t == '{' {
				key, err := d.Token()
				if err != nil {
					return err
				}
				b.WriteString(quoteYAML(fmt.Sprint(key), true))
				b.WriteString(": ")
			}
			if err := inlineValue(d, b, true); err != nil {
				return err
			}
		}
		end, err := d.Token()
		if err != nil {
			return err
		}
		b.WriteString(fmt.Sprint(end))
	case string:
		b.WriteString(quoteYAML(t, nested))
	case nil:
		b.WriteString("null")
	default:
		b.WriteString(fmt.Sprint(t))
	}
	return nil
}

// quoteYAML quotes a text where YAML would otherwise read something else;
// nested says that it stands within brackets.
func quoteYAML(t string, nested bool) string {
	_, _, number := plainNumber(t)
	switch {
	case t == "", number, t == "true", t == "false", t == "null", t == "~",
		strings.TrimSpace(t) != t,
		strings.ContainsAny(t[:1], "!&*?|>@`\"'%#{}[],-:"),
		strings.Contains(t, ": "), strings.Contains(t, " #"), strings.HasSuffix(t, ":"), strings.ContainsAny(t, "\n\t"),
		nested && strings.ContainsAny(t, ",[]{}?"): // the library ends a plain text in brackets at "?" too
		return strconv.Quote(t)
	}
	return t
}
