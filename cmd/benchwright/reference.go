package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io/fs"
	"path"
	"sort"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"benchwright/design"
	"benchwright/project"
	"benchwright/render"
	"benchwright/report"
	"benchwright/schema"
)

// referencePages writes docs/reference from the code: every key from the
// schemas, every rule from its value, every command from cobra. A test holds
// the folder against it.
func referencePages(root *cobra.Command) (map[string][]byte, error) {
	pages := map[string][]byte{
		"commands.md": commandPage(root),
		"rules.md":    rulePage(),
		"marks.md":    markPage(),
		"units.md":    unitPage(),
		"results.md":  resultsPage(),
	}
	keys, err := keyPage()
	if err != nil {
		return nil, err
	}
	pages["keys.md"] = keys
	theme, err := render.ThemeReference()
	if err != nil {
		return nil, err
	}
	pages["theme.md"] = []byte(theme)
	pages["README.md"] = []byte(`# Reference

Written from the code; change the code, then run
` + "`go test ./cmd/benchwright -run Reference -update`" + `.

- [Keys](keys.md): every key of every file of a project folder, and of a shelf
- [Results tables](results.md): every column, outcome and form of a result file, and frame files
- [Units](units.md): every standard unit, and how others are declared
- [Rules](rules.md): everything that the checker looks for
- [Commands](commands.md): every command and flag
- [Marks](marks.md): live figures in notes
- [Theme](theme.md): every token, and every value that a template gets
`)
	return pages, nil
}

func unitPage() []byte {
	var b bytes.Buffer
	b.WriteString(`# Units

A unit is one of these, with a prefix where the list has one, or made of several:
a product with a dot (` + "`N·m`" + `), a quotient with a slash (` + "`MB/s`, `J/job`" + `), a power
(` + "`m²`, `s³`" + `). The symbols are those of the SI and of ISO/IEC 80000; ` + "`Ki`, `Mi`, `Gi`" + ` are
the binary prefixes. Readings in another unit of the same dimension are converted.

A unit that is missing here is declared in ` + "`bench.yaml`" + `, by what it is a multiple of or
as a dimension of its own: see ` + "`units`" + ` in [Keys](keys.md).

| unit | also written | prefixes |
| --- | --- | --- |
`)
	for _, u := range project.ListUnits() {
		fmt.Fprintf(&b, "| `%s` | %s | %s |\n", u.Symbol, inCode(u.Others), inCode(u.Prefixes))
	}
	return b.Bytes()
}

// inCode lists words as code.
func inCode(words []string) string {
	var out []string
	for _, w := range words {
		out = append(out, "`"+w+"`")
	}
	return strings.Join(out, " ")
}

func commandPage(root *cobra.Command) []byte {
	var b bytes.Buffer
	b.WriteString("# Commands\n\nExit codes of every command: 0 fine, 1 findings of severity error, 2 input that\ncannot be read or wrong usage; of `verify` also 3, a site of another version or\nkind of processor whose data agree.\n")
	for _, c := range root.Commands() {
		if !c.IsAvailableCommand() || c.Name() == "completion" || c.Name() == "help" {
			continue
		}
		fmt.Fprintf(&b, "\n## %s\n\n%s.\n\n```\n%s\n```\n\n%s\n", c.Name(), c.Short, c.UseLine(), c.Long)
		if flags := c.NonInheritedFlags().FlagUsages(); flags != "" {
			fmt.Fprintf(&b, "\n```\n%s```\n", flags)
		}
		if hidden := hiddenFlags(c); hidden != "" {
			fmt.Fprintf(&b, "\nSeldom needed, and left out of its help:\n\n```\n%s```\n", hidden)
		}
		if c.Example != "" {
			fmt.Fprintf(&b, "\nExamples:\n\n```sh\n%s\n```\n", dedent(c.Example))
		}
	}
	return b.Bytes()
}

// hiddenFlags lists the flags that a command keeps out of its help, so that the
// help fits a screen.
func hiddenFlags(c *cobra.Command) string {
	set := pflag.NewFlagSet(c.Name(), pflag.ContinueOnError)
	set.SortFlags = false
	c.NonInheritedFlags().VisitAll(func(f *pflag.Flag) {
		if f.Hidden && f.Name != "help" {
			shown := *f
			shown.Hidden = false
			set.AddFlag(&shown)
		}
	})
	return set.FlagUsages()
}

func dedent(s string) string {
	lines := strings.Split(s, "\n")
	for i := range lines {
		lines[i] = strings.TrimPrefix(lines[i], "  ")
	}
	return strings.Join(lines, "\n")
}

func rulePage() []byte {
	var b bytes.Buffer
	b.WriteString("# Rules\n\n`benchwright check --explain RULE` prints the same. A project changes the severity of a\nrule, or silences it with a reason that is published, under `checks` in report.yaml.\n")
	rules := allRules()
	for _, g := range design.Groups() {
		var of []design.Rule
		for _, r := range rules {
			if r.Group == g {
				of = append(of, r)
			}
		}
		if len(of) == 0 {
			continue
		}
		fmt.Fprintf(&b, "\n## %s\n", strings.ToUpper(string(g[:1]))+string(g[1:]))
		for _, r := range of {
			fmt.Fprintf(&b, "\n### %s\n\n**%s** (%s)\n\n%s\n\n*Why:* %s\n\n*Remedy:* %s\n\n*Source:* %s\n", r.Name, r.Title, r.Severity, r.What, r.Why, r.Remedy, r.Source)
		}
	}
	b.WriteString("\n## Files\n\nFaults of form and sense, found while the folder is read. They cannot be silenced.\n\n| rule | what it says |\n| --- | --- |\n")
	for _, r := range formRules() {
		fmt.Fprintf(&b, "| %s | %s |\n", r.name, cell(r.means))
	}
	return b.Bytes()
}

// allRules are the checker's rules and those of notes, which need the report.
func allRules() []design.Rule { return append(design.Rules(), report.NoteRules()...) }

func markPage() []byte {
	var b bytes.Buffer
	b.WriteString("# Marks\n\nA mark in a note is replaced by the computed value, so that prose never goes stale. A\nmark that names nothing is an error with its place; `\\@{…}` and code are left alone.\n\n| mark | what stands in its place |\n| --- | --- |\n")
	for _, v := range report.MarkVerbs() {
		fmt.Fprintf(&b, "| `@{%s}` | %s |\n", strings.ReplaceAll(report.MarkForm(v), ", or ", "}`, `@{"), markMeaning[v])
	}
	return b.Bytes()
}

var markMeaning = map[string]string{
	"answer":    "the sentence that answers the question",
	"effect":    "its figure with the interval, over all workloads or on one",
	"value":     "the mean (or median) of a configuration under a workload, with its unit",
	"relative":  "its relative performance, or its difference on an interval scale, against the baseline or another configuration",
	"composite": "its composite, against the baseline or another configuration",
	"repeats":   "how many readings that rests on, with the word: “5 readings”",
	"table":     "the table of a workload (a paragraph of its own)",
	"chart":     "the chart of a workload (a paragraph of its own)",
	"pairs":     "the matched pairs of a question (a paragraph of its own)",
}

// keyPage lists every key of every schema, depth first.
func keyPage() ([]byte, error) {
	var b bytes.Buffer
	b.WriteString("# Keys\n\nEvery key of every YAML file of a project folder and of a shelf. A bold key is required. Paths are\nwritten with dots; `*` stands for an id of your own, `[]` for each of a list.\n")
	names, err := fs.Glob(schema.Files(), "*.schema.json")
	if err != nil {
		return nil, err
	}
	for _, name := range names {
		data, err := fs.ReadFile(schema.Files(), name)
		if err != nil {
			return nil, err
		}
		var s node
		if err := json.Unmarshal(data, &s); err != nil {
			return nil, fmt.Errorf("reading %s: %w", name, err)
		}
		w := keyWriter{out: &b, defs: s.Defs}
		fmt.Fprintf(&b, "\n## %s\n\n%s\n\n| key | what it is | for example |\n| --- | --- | --- |\n", fileOf(name), s.Description)
		w.properties(s, "", map[string]bool{})
	}
	return b.Bytes(), nil
}

func fileOf(name string) string {
	base := strings.TrimSuffix(path.Base(name), ".schema.json")
	switch base {
	case "configuration":
		return "configurations/*.yaml (one configuration)"
	case "configurations":
		return "configurations/*.yaml (several)"
	}
	return base + ".yaml"
}

// node is the part of a JSON Schema that the reference shows.
type node struct {
	Ref         string          `json:"$ref"`
	Description string          `json:"description"`
	Properties  json.RawMessage `json:"properties"`
	Additional  json.RawMessage `json:"additionalProperties"`
	Items       *node           `json:"items"`
	Required    []string        `json:"required"`
	Enum        []any           `json:"enum"`
	Default     any             `json:"default"`
	Examples    []any           `json:"examples"`
	Defs        map[string]node `json:"$defs"`
}

type keyWriter struct {
	out  *bytes.Buffer
	defs map[string]node
}

// resolve follows a reference, the node's own words taking precedence.
func (w keyWriter) resolve(n node) node {
	def, ok := w.defs[strings.TrimPrefix(n.Ref, "#/$defs/")]
	if !ok {
		return n
	}
	if n.Description == "" {
		n.Description = def.Description
	}
	if n.Examples == nil {
		n.Examples = def.Examples
	}
	if n.Properties == nil {
		n.Properties, n.Required, n.Additional = def.Properties, def.Required, def.Additional
	}
	if n.Items == nil {
		n.Items = def.Items
	}
	if n.Enum == nil {
		n.Enum = def.Enum
	}
	return n
}

func (w keyWriter) properties(n node, prefix string, open map[string]bool) {
	if n.Ref != "" {
		if open[n.Ref] {
			return
		}
		open[n.Ref] = true
		defer delete(open, n.Ref)
	}
	n = w.resolve(n)
	required := map[string]bool{}
	for _, r := range n.Required {
		required[r] = true
	}
	for _, p := range inOrder(n.Properties) {
		w.key(p.node, prefix+p.name, required[p.name], open)
	}
	var additional node
	if json.Unmarshal(n.Additional, &additional) == nil && (additional.Description != "" || additional.Ref != "") {
		w.properties(additional, prefix+"*.", open)
	}
	if n.Items != nil {
		w.properties(*n.Items, strings.TrimSuffix(prefix, ".")+"[].", open)
	}
}

func (w keyWriter) key(n node, name string, required bool, open map[string]bool) {
	r := w.resolve(n)
	shown := "`" + name + "`"
	if required {
		shown = "**" + shown + "**"
	}
	text := r.Description
	if len(r.Enum) > 0 {
		var words []string
		for _, e := range r.Enum {
			words = append(words, "`"+fmt.Sprint(e)+"`")
		}
		text += " One of " + strings.Join(words, ", ") + "."
	}
	if r.Default != nil {
		text += fmt.Sprintf(" Without it: %v.", r.Default)
	}
	example := ""
	if len(r.Examples) > 0 {
		var data bytes.Buffer
		e := json.NewEncoder(&data)
		e.SetEscapeHTML(false) // people copy it
		if e.Encode(r.Examples[0]) == nil {
			example = "`" + strings.Trim(strings.TrimSpace(data.String()), `"`) + "`"
		}
	}
	fmt.Fprintf(w.out, "| %s | %s | %s |\n", shown, cell(text), cell(example))
	w.properties(n, name+".", open)
}

func cell(s string) string { return strings.ReplaceAll(strings.ReplaceAll(s, "\n", " "), "|", "\\|") }

type property struct {
	name string
	node node
}

// inOrder reads an object's members in the order in which they stand.
func inOrder(raw json.RawMessage) []property {
	if len(raw) == 0 {
		return nil
	}
	var all map[string]node
	if json.Unmarshal(raw, &all) != nil {
		return nil
	}
	place := map[string]int64{}
	d := json.NewDecoder(bytes.NewReader(raw))
	if _, err := d.Token(); err != nil {
		return nil
	}
	for d.More() {
		t, err := d.Token()
		if err != nil {
			return nil
		}
		if name, ok := t.(string); ok {
			place[name] = d.InputOffset()
		}
		var skip json.RawMessage
		if d.Decode(&skip) != nil {
			return nil
		}
	}
	out := make([]property, 0, len(all))
	for name, n := range all {
		out = append(out, property{name, n})
	}
	sort.Slice(out, func(i, j int) bool { return place[out[i].name] < place[out[j].name] })
	return out
}
