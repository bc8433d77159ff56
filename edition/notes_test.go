package edition_test

import (
	"strings"
	"testing"
	"testing/fstest"

	"benchwright/edition"
	"benchwright/schema"
	"benchwright/starter"
)

// withNote is the folder that a report starts with, and a note.
func withNote(t *testing.T, text string) fstest.MapFS {
	t.Helper()
	fsys := fstest.MapFS{}
	for _, name := range []string{
		"report.yaml", "bench.yaml", "workloads.yaml", "sessions.yaml", "configurations/one-fan.yaml", "configurations/two-fans.yaml", "results/first-evening.csv",
	} {
		data, err := starter.Files().Open(name)
		if err != nil {
			t.Fatal(err)
		}
		info, err := data.Stat()
		if err != nil {
			t.Fatal(err)
		}
		b := make([]byte, info.Size())
		if _, err := data.Read(b); err != nil {
			t.Fatal(err)
		}
		fsys[name] = &fstest.MapFile{Data: b}
	}
	fsys["notes/n.md"] = &fstest.MapFile{Data: []byte(text)}
	return fsys
}

func TestNotesAreChecked(t *testing.T) {
	for _, c := range []struct {
		name, note string
		rule       string // empty: nothing is found
		place      string
		remedy     string
	}{
		{"a mark that is right", "# N\n\nIt takes @{value one-fan compile}.", "", "", ""},
		{"a mark with a slip", "# N\n\nIt takes @{value one-fam compile}.", "mark-names-nothing", "notes/n.md:3:10", `did you mean "one-fan"?`},
		{"a verb with a slip", "# N\n\n@{vlaue one-fan compile}", "mark-names-nothing", "notes/n.md:3:1", `did you mean "value"?`},
		{"a mark with too much", "# N\n\n@{answer second-fan now}", "mark-names-nothing", "notes/n.md:3:1", "write answer QUESTION"},
		{"a table within a sentence", "# N\n\nHere: @{table compile} see?", "mark-names-nothing", "notes/n.md:3:7", "a paragraph of its own"},
		{"a mark in code", "# N\n\n`@{nothing}`", "", "", ""},
		{"a picture that is not there", "# N\n\n![x](../media/x.svg)", "missing-picture", "notes/n.md:3:3", ""},
		{"a figure that is a reading", "# N\n\nIt took 312.4 s at first, or 312 s.", "", "", ""},
		{"a figure that is none", "# N\n\nIt took 299.4 s.", "typed-figure-disagrees", "notes/n.md:3:9", "put a mark in its place"},
		{"a figure in another unit", "# N\n\nIt took 299.4 kg.", "", "", ""},
		{"a name that ends in a number", "# N\n\nThe model X299 s is meant.", "", "", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			var found []schema.Finding
			for _, f := range edition.Open(withNote(t, c.note)).Findings {
				if f.Severity != schema.Notice {
					found = append(found, f)
				}
			}
			switch {
			case c.rule == "" && len(found) > 0:
				t.Errorf("found %+v", found)
			case c.rule == "":
			case len(found) != 1:
				t.Errorf("found %d, want one: %+v", len(found), found)
			case found[0].Rule != c.rule || found[0].Place.String() != c.place || !strings.Contains(found[0].Remedy, c.remedy):
				t.Errorf("found %s at %s with remedy %q, want %s at %s with %q", found[0].Rule, found[0].Place, found[0].Remedy, c.rule, c.place, c.remedy)
			}
		})
	}
}
