package render

import (
	"strings"
	"testing"

	"benchwright/schema"
)

// A question about which findings were set aside is not marked as clean, and its
// page shows them with the reason.
func TestWhatWasSetAsideStaysAtTheQuestion(t *testing.T) {
	r := *sampleReport(t)
	r.Questions = append(r.Questions[:0:0], r.Questions...)
	q := &r.Questions[0]
	q.Bundle, q.Clean, q.Findings = false, false, nil
	q.SetAside = []schema.Finding{{Rule: "two-clusters", Severity: schema.Warning, Message: "two groups", Silenced: "the fan was slow <b>"}}
	for _, f := range laidOut(t, &r, "") {
		page := string(f.Data)
		switch f.Path {
		case q.Page:
			for _, want := range []string{"Findings set aside", "the author set it aside with a reason", `<h2 id="set-aside">`, "Two groups.", "the fan was slow &lt;b&gt;"} {
				if !strings.Contains(page, want) {
					t.Errorf("the page of the question does not say %q", want)
				}
			}
			if strings.Contains(page, "Clean comparison") {
				t.Error("the page of the question calls it clean")
			}
		case "index.html":
			if !strings.Contains(page, "Findings set aside") {
				t.Error("the overview does not say that findings were set aside")
			}
		}
	}
}
