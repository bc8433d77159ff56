package render

import (
	"fmt"
	"reflect"
	"strings"

	"benchwright/themes"
)

// pageStructs lists the struct of every kind of page, in the order of kinds.
var pageStructs = [...]any{Overview{}, Question{}, Configuration{}, Workload{}, Compare{}, Yours{}, Method{}, Data{}, Note{}, Changes{}, Rule{}, Shelf{}, Shared{}, Across{}}

// ThemeReference is the theme author's page in Markdown: every design token
// with its value in each theme, every template with the pages it is part of, and
// every value that a template gets. It is made from the code, so that it cannot
// be out of date.
func ThemeReference() (string, error) {
	var b strings.Builder
	b.WriteString("# Writing a theme\n\nA project's `theme/` folder replaces files of the theme by their names: `tokens.css` (colours, type and sizes), " +
		"`theme.css` (rules that come last), any template, style sheet or script below. Any other file is published under `assets/`. " +
		"`based-on.txt` names the built-in theme to start from: " + strings.Join(themes.Names(), ", ") + ".\n\n")
	b.WriteString("## Tokens\n\nColours are written `light-dark(by day, by night)`; print takes the first.\n\n| token | used for |")
	for _, n := range themes.Names() {
		b.WriteString(" " + n + " |")
	}
	b.WriteString("\n| --- | --- |" + strings.Repeat(" --- |", len(themes.Names())) + "\n")
	columns := make([][]string, 0, len(themes.Names()))
	for _, n := range themes.Names() {
		values, err := themes.Values(n)
		if err != nil {
			return "", fmt.Errorf("listing the tokens: %w", err)
		}
		columns = append(columns, values)
	}
	for i, t := range themes.Tokens() {
		fmt.Fprintf(&b, "| `--%s` | %s |", t.Name, t.Text)
		for _, c := range columns {
			fmt.Fprintf(&b, " `%s` |", strings.ReplaceAll(c[i], "|", "\\|"))
		}
		b.WriteString("\n")
	}
	b.WriteString("\n## Templates\n\nThe first template of a page is executed; it calls `main`, which the last defines. `{{.Say \"key\"}}` writes a label in the report's language.\n\n| page | templates |\n| --- | --- |\n")
	for _, k := range kinds {
		fmt.Fprintf(&b, "| %s | `%s` |\n", k.kind, strings.Join(k.files, "`, `"))
	}
	b.WriteString("\n## Values\n\n`HTML` is finished markup: a table, a chart, a drawn interval.\n")
	seen := map[reflect.Type]bool{}
	describe(&b, reflect.TypeOf(Page{}), "Every page", seen)
	for i, v := range pageStructs {
		t := reflect.TypeOf(v)
		describe(&b, t, strings.ToUpper(kinds[i].kind[:1])+kinds[i].kind[1:], seen)
	}
	return b.String(), nil
}

// describe writes the fields of a struct, then of the structs that it holds.
func describe(b *strings.Builder, t reflect.Type, title string, seen map[reflect.Type]bool) {
	if seen[t] {
		return
	}
	seen[t] = true
	fmt.Fprintf(b, "\n### %s\n\n| value | type | what it is |\n| --- | --- | --- |\n", title)
	var inner []reflect.Type
	for f := range t.Fields() {
		if f.Anonymous || !f.IsExported() {
			continue
		}
		of, name := f.Type, ""
		if of.Kind() == reflect.Slice {
			of, name = of.Elem(), "list of "
		}
		if of.Kind() == reflect.Struct {
			inner = append(inner, of)
		}
		fmt.Fprintf(b, "| `.%s` | %s%s | %s |\n", f.Name, name, of.Name(), f.Tag.Get("doc"))
	}
	for _, i := range inner {
		describe(b, i, i.Name(), seen)
	}
}
