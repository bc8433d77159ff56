package report

import (
	"strings"
	"testing"
)

// sumsOf makes files of the form PATH=SUM.
func sumsOf(all ...string) []PublishedFile {
	out := []PublishedFile{}
	for _, f := range all {
		name, sum, _ := strings.Cut(f, "=")
		out = append(out, PublishedFile{name, sum})
	}
	return out
}

// changesOf gives what is said of two states of a folder whose readings are the
// same.
func changesOf(t *testing.T, was, now []PublishedFile) *Changes {
	t.Helper()
	m := large(4, 2, 3)
	r := m.build(t)
	c := Compare(r.Publication(), r)
	c.TakeFiles(r, was, now)
	return c
}

func TestAChangedFileIsNamed(t *testing.T) {
	was := sumsOf("bench.yaml=1", "notes/a.md=1", "report.yaml=1", "results/one.csv=1", "report.yaml#corrections=a", "report.yaml#corrections=b")
	for _, c := range []struct {
		name string
		now  []PublishedFile
		want string
	}{
		{"the same", was, "Nothing that was said has changed.\n"},
		{"one", sumsOf("bench.yaml=2", "notes/a.md=1", "report.yaml=1", "results/one.csv=1", "report.yaml#corrections=b", "report.yaml#corrections=a"),
			"What bench.yaml says has changed; no reading, no answer and no figure that is followed from edition to edition has.\n"},
		{"a reason in a result file", sumsOf("bench.yaml=1", "notes/a.md=1", "report.yaml=1", "results/one.csv=2", "report.yaml#corrections=a", "report.yaml#corrections=b"),
			"What results/one.csv says has changed; no reading"},
		{"the reason of a correction", sumsOf("bench.yaml=2", "notes/a.md=1", "report.yaml=1", "results/one.csv=1", "report.yaml#corrections=a", "report.yaml#corrections=c"),
			"What bench.yaml and report.yaml say has changed; no reading"},
		{"new and gone", sumsOf("bench.yaml=1", "notes/b.md=1", "report.yaml=1", "results/one.csv=1", "report.yaml#corrections=a", "report.yaml#corrections=b"),
			"notes/b.md is new in the folder.\nnotes/a.md is no longer in the folder.\nNo reading, no answer"},
		{"all", sumsOf(), "bench.yaml, notes/a.md, report.yaml and results/one.csv are no longer in the folder.\n"},
	} {
		got := changesOf(t, was, c.now)
		if !strings.HasPrefix(got.said(), c.want) || got.Nothing != (c.name == "the same") {
			t.Errorf("%s: got %q, want %q", c.name, got.said(), c.want)
		}
	}
	if got := changesOf(t, nil, was); strings.Contains(got.said(), "Nothing") || !strings.Contains(got.said(), "not known any more") {
		t.Errorf("of a folder that nobody knows any more: %q", got.said())
	}
}

// A file that changed because of a listed reading is not named again; one beside
// it is.
func TestWhatTheListsTellIsNotSaidTwice(t *testing.T) {
	m := large(4, 2, 3)
	old := m.build(t).Publication()
	other := m.clone()
	other.ResultFiles = []string{"results/one.csv", "results/two.csv"}
	for i := range other.Readings {
		other.Readings[i].Line = int32(i + 2)
	}
	other.Readings[3].Value *= 1.01
	r := other.build(t)
	files := func(sum string) []PublishedFile {
		return sumsOf("results/one.csv="+sum, "results/two.csv="+sum, "workloads.yaml=1", "report.yaml=1")
	}
	now := append(files("2"), PublishedFile{CorrectionPart, "new"})
	c := Compare(old, r)
	file := r.Cells[other.Readings[3].Configuration][other.Readings[3].Workload].Readings[0].Place.File
	c.TakeFiles(r, files("1"), now)
	if said := c.said(); len(c.Corrected) != 1 || file == "" || strings.Contains(said, file) || !strings.Contains(said, "What results/two.csv says has changed as well.") {
		t.Errorf("%q stands in %s", said, file)
	}
	if said := c.said(); strings.Contains(said, "report.yaml") {
		t.Errorf("a correction that came with its reading is said twice: %s", said)
	}
}

// Another name under the same id is said as such, and keeps nobody from seeing
// that the readings are the same.
func TestAnotherNameIsSaid(t *testing.T) {
	m := large(4, 2, 3)
	old := m.build(t).Publication()
	other := m.clone()
	was := other.Configurations[1].Label
	other.Configurations[1].Label = "Paper lantern"
	r := other.build(t)
	c := Compare(old, r)
	c.TakeFiles(r, sumsOf("configurations/b.yaml=1"), sumsOf("configurations/b.yaml=2"))
	if want := "“" + was + "” is called “Paper lantern” now.\nWhat configurations/b.yaml says has changed as well"; !strings.HasPrefix(c.said(), want) {
		t.Errorf("got %q, want %q", c.said(), want)
	}
}

// A configuration under another id is a new one; that it has the readings of one
// that went is said.
func TestAConfigurationUnderAnotherIDIsRecognised(t *testing.T) {
	m := large(4, 2, 3)
	before := m.build(t).Publication()
	other := m.clone()
	old := other.Configurations[1].ID
	other.Configurations[1].ID = "lantern"
	label := other.Configurations[1].Label
	want := label + " (lantern) looks like " + label + " (" + old + ") under another id"
	c, err := CompareRecord(before.JSON(), other.build(t))
	if err != nil || !strings.Contains(c.said(), want) || !strings.Contains(c.said(), "New configuration") {
		t.Errorf("nothing says %q: %v %s", want, err, c.said())
	}
	for i := range other.Readings {
		if other.Readings[i].Configuration == 1 {
			other.Readings[i].Value *= 1 + 1e-9
			break
		}
	}
	if c := Compare(before, other.build(t)); strings.Contains(c.said(), "another id") {
		t.Errorf("with another reading: %s", c.said())
	}
}
