package render

import (
	"strings"
	"testing"

	"benchwright/report"
	"benchwright/words"
)

// The first of two changes beside none that is studied cannot differ "as well".
func TestTheFirstDifferenceDiffersAlone(t *testing.T) {
	r := sampleReport(t)
	s := &site{r: r, book: words.For(r.Language)}
	also := s.book.Say("difference.independent")
	for _, c := range []struct {
		kinds []string
		want  []string
	}{
		{[]string{"independent", "independent"}, []string{"differs", also}},
		{[]string{"independent", "under-study"}, []string{"", also}},
		{[]string{"follower", "independent"}, []string{"differs", ""}},
	} {
		var all []report.Difference
		for _, k := range c.kinds {
			d := report.Difference{Kind: k}
			if k == "independent" {
				d.KindText = also
			}
			all = append(all, d)
		}
		var got []string
		for _, d := range s.differences(all) {
			got = append(got, d.KindText)
		}
		if strings.Join(got, ", ") != strings.Join(c.want, ", ") {
			t.Errorf("%v are called %q, want %q", c.kinds, got, c.want)
		}
	}
}
