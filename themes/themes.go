// Package themes holds what a site looks like: templates, styles and scripts.
//
// In: the name of a built-in theme and, if there is one, the theme/ folder of a
// project. Out: a Theme, ready for package render. It imports no package of
// this module.
//
// All themes share one set of templates, styles and scripts (base/); a theme is
// a file of design tokens (NAME/tokens.css) and, where it wants more, a file of
// rules (NAME/theme.css). A project replaces any of these by a file of the same
// name in its theme/ folder.
//
//	t, err := themes.Load("surface-plate", os.DirFS("my-report/theme"))
package themes

import (
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"
)

//go:embed base surface-plate marking-blue job-card
var files embed.FS

//go:embed vendor/echarts.cut.js vendor/echarts.LICENSE.txt vendor/echarts.NOTICE.txt
var library embed.FS

// Default is the theme of a report that names none.
const Default = "surface-plate"

// names of the built-in themes, the default first.
var names = [...]string{Default, "marking-blue", "job-card"}

// Names lists the built-in themes, the default first.
func Names() []string { return slices.Clone(names[:]) }

// Asset is a file that a site carries under assets/.
type Asset struct {
	Name  string
	Bytes []byte
}

// Theme is everything a site looks like.
type Theme struct {
	Name string
	// Assets in the order of their names: style.css, the scripts, the chart
	// library with its licence, and the project's own files.
	Assets []Asset

	templates map[string]string
}

// Template gives the text of a template by file name.
func (t *Theme) Template(name string) (string, bool) {
	text, ok := t.templates[name]
	return text, ok
}

// Templates lists the file names of the templates, sorted.
func (t *Theme) Templates() []string {
	out := make([]string, 0, len(t.templates))
	for n := range t.templates {
		out = append(out, n)
	}
	slices.Sort(out)
	return out
}

// styles are joined into style.css in this order; each opens its own layer, so
// that a later file wins whatever its selectors are.
var styles = [...]string{"layers.css", "tokens.css", "page.css", "table.css", "parts.css", "chart.css", "print.css", "theme.css"}

// scripts, and the icon, are published as they are.
var scripts = [...]string{"icon.svg", "page.js", "figures.js", "compare.js", "yours.js", "chart.js"}

// based is the file of a project's theme/ folder that names the built-in theme
// that it starts from.
const based = "based-on.txt"

// Load gives a built-in theme (the default for ""), with the files of a
// project's theme/ folder in place of those of the same name. A folder that
// names another theme in based-on.txt starts from that one, unless name says
// otherwise. own may be nil.
func Load(name string, own fs.FS) (*Theme, error) {
	if name == "" && own != nil {
		text, err := fs.ReadFile(own, based)
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return nil, fmt.Errorf("reading %q of the project's theme: %w", based, err)
		}
		name = strings.TrimSpace(string(text))
	}
	if name == "" {
		name = Default
	}
	if !slices.Contains(names[:], name) {
		return nil, fmt.Errorf("no theme is called %q; there are %s", name, strings.Join(names[:], ", "))
	}
	l := loader{name: name, own: own}
	t := &Theme{Name: name, templates: map[string]string{}}
	entries, err := fs.ReadDir(files, "base/templates")
	if err != nil {
		return nil, fmt.Errorf("listing templates: %w", err)
	}
	for _, e := range entries {
		text, err := l.read(e.Name(), "base/templates/"+e.Name())
		if err != nil {
			return nil, err
		}
		t.templates[e.Name()] = string(text)
	}
	var style []byte
	for _, s := range styles {
		text, err := l.read(s, name+"/"+s, "base/"+s)
		if errors.Is(err, fs.ErrNotExist) {
			continue // not every theme has rules of its own
		}
		if err != nil {
			return nil, err
		}
		style = append(append(style, text...), '\n')
	}
	t.Assets = append(t.Assets, Asset{"style.css", style})
	for _, s := range scripts {
		text, err := l.read(s, "base/"+s)
		if err != nil {
			return nil, err
		}
		t.Assets = append(t.Assets, Asset{s, text})
	}
	for _, f := range [...]string{"echarts.cut.js", "echarts.LICENSE.txt", "echarts.NOTICE.txt"} {
		text, err := fs.ReadFile(library, "vendor/"+f)
		if err != nil {
			return nil, fmt.Errorf("reading the chart library: %w", err)
		}
		t.Assets = append(t.Assets, Asset{f, text})
	}
	extra, err := l.extra()
	if err != nil {
		return nil, err
	}
	t.Assets = append(t.Assets, extra...)
	slices.SortFunc(t.Assets, func(a, b Asset) int { return strings.Compare(a.Name, b.Name) })
	return t, nil
}

// loader finds a file in the project's theme or among the built-in ones.
type loader struct {
	name string
	own  fs.FS
	used []string
}

func (l *loader) read(name string, builtIn ...string) ([]byte, error) {
	if l.own != nil {
		text, err := fs.ReadFile(l.own, name)
		if err == nil {
			l.used = append(l.used, name)
			return text, nil
		}
		if !errors.Is(err, fs.ErrNotExist) {
			return nil, fmt.Errorf("reading %q of the project's theme: %w", name, err)
		}
	}
	for _, b := range builtIn {
		text, err := fs.ReadFile(files, b)
		if err == nil {
			return text, nil
		}
	}
	return nil, fmt.Errorf("theme %q: %q: %w", l.name, name, fs.ErrNotExist)
}

// extra gives the files of the project's theme that replace nothing: fonts,
// pictures and the like, published under assets/ by their names.
func (l *loader) extra() ([]Asset, error) {
	if l.own == nil {
		return nil, nil
	}
	entries, err := fs.ReadDir(l.own, ".")
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("listing the project's theme: %w", err)
	}
	var out []Asset
	for _, e := range entries {
		if !e.Type().IsRegular() || e.Name() == based || slices.Contains(l.used, e.Name()) || strings.HasPrefix(e.Name(), ".") || path.Ext(e.Name()) == ".md" {
			continue
		}
		text, err := fs.ReadFile(l.own, e.Name())
		if err != nil {
			return nil, fmt.Errorf("reading %q of the project's theme: %w", e.Name(), err)
		}
		out = append(out, Asset{e.Name(), text})
	}
	return out, nil
}
