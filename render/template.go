package render

import (
	"fmt"
	"html/template"
	"io"

	"benchwright/themes"
)

// kinds lists every page with the templates it is made of, in order: the first
// is executed, the others define what it calls. A template that is not listed
// here is not part of any page.
var kinds = [...]struct {
	kind  string
	files []string
}{
	{"overview", []string{"layout.html", "parts.html", "answers.html", "overview.html"}},
	{"question", []string{"layout.html", "parts.html", "question.html"}},
	{"configuration", []string{"layout.html", "parts.html", "configuration.html"}},
	{"workload", []string{"layout.html", "parts.html", "workload.html"}},
	{"compare", []string{"layout.html", "parts.html", "compare.html"}},
	{"yours", []string{"layout.html", "parts.html", "yours.html"}},
	{"method", []string{"layout.html", "parts.html", "method.html"}},
	{"data", []string{"layout.html", "parts.html", "data.html"}},
	{"note", []string{"layout.html", "parts.html", "note.html"}},
	{"changes", []string{"layout.html", "parts.html", "changes.html"}},
	{"rule", []string{"layout.html", "parts.html", "rule.html"}},
	{"shelf", []string{"layout.html", "parts.html", "answers.html", "shelf.html"}},
	{"shared", []string{"layout.html", "parts.html", "shared.html"}},
	{"across", []string{"layout.html", "parts.html", "across.html"}},
}

// templates holds one parsed set per kind of page.
type templates struct {
	sets map[string]*template.Template
}

// parse reads the theme's templates. The function map stays empty: arithmetic,
// plurals and formatting are done before a template runs.
func parse(theme *themes.Theme) (*templates, error) {
	t := &templates{sets: map[string]*template.Template{}}
	for _, k := range kinds {
		set := template.New(k.kind)
		for _, name := range k.files {
			text, ok := theme.Template(name)
			if !ok {
				return nil, fmt.Errorf("theme %q has no template %q", theme.Name, name)
			}
			if _, err := set.New(name).Parse(text); err != nil {
				return nil, fmt.Errorf("reading template %q of theme %q: %w", name, theme.Name, err)
			}
		}
		t.sets[k.kind] = set
	}
	return t, nil
}

func (t *templates) execute(w io.Writer, kind string, page any) error {
	return t.sets[kind].ExecuteTemplate(w, "layout.html", page)
}
