package render

import (
	"strings"
	"testing"
)

// TestOpenQuestionSpeaksOfWhatItAsksAbout: pairs may well differ in the factor
// alone at settings that a question leaves out.
func TestOpenQuestionSpeaksOfWhatItAsksAbout(t *testing.T) {
	r := sampleReport(t)
	for i := range r.Questions {
		if q := &r.Questions[i]; q.ID == "newer-system" {
			q.Awaiting, q.FailedPairs = false, nil
		}
	}
	for _, f := range laidOut(t, r, "") {
		if f.Path == "questions/newer-system.html" {
			if !strings.Contains(string(f.Data), "No two tested configurations of those that it asks about differ in this factor alone.") {
				t.Error("the badge speaks of all configurations")
			}
			return
		}
	}
	t.Fatal("the page is not there")
}
