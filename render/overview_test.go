package render

import (
	"regexp"
	"strings"
	"testing"

	"benchwright/words"
)

func overviewOf(t *testing.T, files []File) string {
	t.Helper()
	for _, f := range files {
		if f.Path == "index.html" {
			return string(f.Data)
		}
	}
	t.Fatal("there is no index.html")
	return ""
}

// A column of an index has no unit over it: 48.8 under "W" would be a reading.
func TestAnIndexHasNoUnit(t *testing.T) {
	r := sampleReport(t)
	s := &site{r: r, book: words.For(r.Language)}
	page := overviewOf(t, laidOut(t, r, ""))
	_, head, _ := strings.Cut(page, `<table id="relative"`)
	head, _, _ = strings.Cut(head, "</thead>")
	notes := regexp.MustCompile(`<small>([^<]*)</small></th>`).FindAllStringSubmatch(head, -1)
	if len(notes) != len(r.Composites)+len(r.Workloads) {
		t.Fatalf("%d columns say what they are, want %d", len(notes), len(r.Composites)+len(r.Workloads))
	}
	for w := range r.Workloads {
		note := notes[len(r.Composites)+w][1]
		want := "table.relative.note"
		if r.Workloads[w].AsRead() {
			want += ".as-read" // the power of the sample, and its energy
		}
		if index := note == s.book.Say(want); index == s.interval(w) {
			t.Errorf("the column of %s says %q", r.Workloads[w].ID, note)
		}
	}
}

// That some runs failed does not take away how much else differs.
func TestAFailureLeavesTheNumberOfDifferences(t *testing.T) {
	r := sampleReport(t)
	at := -1
	for i := range r.Configurations {
		if c := &r.Configurations[i]; i != r.Baseline && c.State == "tested" && c.Comparison.Moved > 1 {
			at = i
			c.State, c.Status = "failed", "hung in one run"
			break
		}
	}
	if at < 0 {
		t.Fatal("no configuration of the sample differs in two things")
	}
	page := overviewOf(t, laidOut(t, r, ""))
	want := "<small>hung in one run</small><small class=\"differs\">" + words.For(r.Language).Count("table.differs", r.Configurations[at].Comparison.Moved) + "</small></th>"
	if !strings.Contains(page, want) {
		t.Errorf("the overview lacks %s", want)
	}
}

// Links that are mere arrows say what they lead to.
func TestArrowsNameTheirTarget(t *testing.T) {
	for _, f := range laidOut(t, sampleReport(t), "") {
		if !strings.HasSuffix(f.Path, ".html") {
			continue
		}
		seen := map[string]string{}
		for _, m := range regexp.MustCompile(`<a class="where" href="([^"]*)"><span class="aside">([^<]*)</span>`).FindAllStringSubmatch(string(f.Data), -1) {
			if m[2] == "table" {
				t.Errorf("%s: the link to %s is called %q", f.Path, m[1], m[2])
			}
			if other, ok := seen[m[2]]; ok && other != m[1] {
				t.Errorf("%s: %s and %s are both called %q", f.Path, other, m[1], m[2])
			}
			seen[m[2]] = m[1]
		}
	}
}
