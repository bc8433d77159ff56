package notes

import (
	"errors"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"golang.org/x/tools/txtar"
)

var update = flag.Bool("update", false, "write the golden files anew")

// replace is a stand-in for the report: it knows three marks.
func replace(mark string, block bool) (string, error) {
	switch {
	case mark == "value a b":
		return "14.7\u00a0fps", nil
	case mark == "table b" && block:
		return "<div>table of b</div>", nil
	case mark == "answer q":
		return "Worth +3\u00a0%.", nil
	}
	return "", errors.New("names nothing")
}

// TestNotes runs the cases of testdata/*.txtar: a note, and the HTML and
// faults that it gives.
func TestNotes(t *testing.T) {
	names, err := filepath.Glob("testdata/*.txtar")
	if err != nil || len(names) == 0 {
		t.Fatalf("no cases: %v", err)
	}
	for _, name := range names {
		t.Run(strings.TrimSuffix(filepath.Base(name), ".txtar"), func(t *testing.T) {
			archive, err := txtar.ParseFile(name)
			if err != nil {
				t.Fatal(err)
			}
			var note string
			for _, f := range archive.Files {
				if f.Name == "note.md" {
					note = string(f.Data)
				}
			}
			d := Render([]byte(note), "notes/note.md", Options{
				Replace: replace, Media: "..", HeadingLink: "link to {heading}", TableLabel: "table", FootnoteLabel: "Footnotes",
				RawHTML: strings.Contains(string(archive.Comment), "raw HTML allowed"),
			})
			var out strings.Builder
			out.WriteString("title: " + d.Title + "\n")
			for _, h := range d.Headings {
				out.WriteString(strings.Repeat("#", h.Level) + " " + h.Text + " (" + h.ID + ")\n")
			}
			for _, p := range d.Pictures {
				out.WriteString("picture: " + p.File + ": " + p.Text + " at " + p.Place.String() + "\n")
			}
			for _, f := range d.Faults {
				out.WriteString("fault: " + f.Place.String() + ": " + f.Err.Error() + "\n")
			}
			got := []txtar.File{{Name: "note.md", Data: []byte(note)}, {Name: "facts", Data: []byte(out.String())}, {Name: "note.html", Data: []byte(d.HTML)}}
			if *update {
				if err := os.WriteFile(name, txtar.Format(&txtar.Archive{Comment: archive.Comment, Files: got}), 0o644); err != nil {
					t.Fatal(err)
				}
				return
			}
			for _, g := range got {
				found := false
				for _, f := range archive.Files {
					if f.Name == g.Name {
						found = true
						if string(f.Data) != string(g.Data) {
							t.Errorf("%s is\n%s\nwant\n%s", g.Name, g.Data, f.Data)
						}
					}
				}
				if !found {
					t.Errorf("the case has no %s; run with -update and read what it writes", g.Name)
				}
			}
		})
	}
}

func TestScanPlacesMarksAndProse(t *testing.T) {
	source := "# Title\n\nWe saw ünd @{value a b} and `@{not a mark}`.\n\n@{table b}\n"
	marks, prose, _ := Scan([]byte(source), "notes/n.md")
	if len(marks) != 2 {
		t.Fatalf("found %d marks, want 2: %v", len(marks), marks)
	}
	if m := marks[0]; m.Place.Line != 3 || m.Place.Column != 12 || m.Block || m.Width != 12 {
		t.Errorf("the first mark is %+v", m)
	}
	if m := marks[1]; m.Place.Line != 5 || m.Place.Column != 1 || !m.Block {
		t.Errorf("the second mark is %+v", m)
	}
	for _, p := range prose {
		if strings.Contains(p.Text, "not a mark") || strings.Contains(p.Text, "value a b") {
			t.Errorf("prose holds code or a mark: %+v", p)
		}
	}
}

func FuzzRender(f *testing.F) {
	f.Add([]byte("# T\n\n@{value a b}\n\n| a | b |\n|--|--:|\n| 1 | @{x} |\n"))
	f.Add([]byte("@{"))
	f.Add([]byte("@{}[^1]\n\n[^1]: @{table b}\n"))
	f.Add([]byte("<script>alert(1)</script> ![x](../media/a.svg)"))
	f.Fuzz(func(t *testing.T, source []byte) {
		d := Render(source, "n.md", Options{Replace: replace, Media: ".."})
		if strings.Contains(strings.ToLower(d.HTML), "<script") {
			t.Errorf("a script came through: %s", d.HTML)
		}
		lines := strings.Count(string(source), "\n") + 1
		for _, fault := range d.Faults {
			if fault.Place.Line < 1 || fault.Place.Line > lines {
				t.Errorf("a fault at line %d of %d", fault.Place.Line, lines)
			}
		}
	})
}
