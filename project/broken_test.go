package project

import (
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"benchwright/schema"

	"github.com/rogpeppe/go-internal/txtar"
)

// TestBroken loads one folder for each fault that a person may write, and
// holds what is said about it against a golden file. The first line of a case
// says what is wrong with it.
func TestBroken(t *testing.T) {
	cases, err := filepath.Glob(filepath.Join(brokenFolder, "*.txtar"))
	if err != nil || len(cases) < 60 {
		t.Fatalf("%d cases: %v", len(cases), err)
	}
	for _, path := range cases {
		name := strings.TrimSuffix(filepath.Base(path), ".txtar")
		if name == "base" {
			continue
		}
		t.Run(name, func(t *testing.T) {
			archive, err := txtar.ParseFile(path)
			if err != nil {
				t.Fatal(err)
			}
			folder := base(t)
			if err := overlay(folder, archive); err != nil {
				t.Fatal(err)
			}
			_, findings := load(folder)
			if len(findings) == 0 {
				t.Error("nothing was found")
			}
			for _, f := range findings {
				for _, place := range append([]schema.Place{f.Place}, places(f)...) {
					file := folder[place.File]
					if file == nil {
						t.Errorf("%s is not in the folder: %s", place, f.Message)
					} else if !within(string(file.Data), place) {
						t.Errorf("%s is not in the file: %s", place, f.Message)
					}
				}
			}
			golden(t, strings.TrimSuffix(path, ".txtar")+".golden", printed(findings))
		})
	}
}

func places(f schema.Finding) []schema.Place {
	var all []schema.Place
	for _, r := range f.Related {
		all = append(all, r.Place)
	}
	return all
}

// within reports whether a place is one of a text, or the text as a whole.
func within(text string, p schema.Place) bool {
	if p.Line == 0 {
		return p.Column == 0
	}
	lines := strings.Split(strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(text), "\n")
	return p.Line <= len(lines) && p.Column >= 1 && p.Column <= utf8.RuneCountInString(lines[p.Line-1])+1
}
