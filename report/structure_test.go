package report

import (
	"slices"
	"testing"

	"benchwright/project"
)

// TestWhatTheDesignCannotTellApartIsSaidInSentences: by label, and with what
// it means for the reader.
func TestWhatTheDesignCannotTellApartIsSaidInSentences(t *testing.T) {
	m := make1()
	m.factor("a-kit", project.Studied, "", "slow", "fast")
	m.Factors[0].Label = "Memory kit"
	m.factor("b-cooler", project.Studied, "", "boxed", "tower")
	m.Factors[1].Label = "Cooler"
	m.factor("c-limit", project.Studied, "", "low", "high")
	m.Factors[2].Label = "Power limit"
	w := m.workload("w", "fps", true)
	s := m.session("s")
	// Half of the eight: the product of all three never changes.
	for c, levels := range [][]any{{"slow", "boxed", "high"}, {"fast", "boxed", "low"}, {"slow", "tower", "low"}, {"fast", "tower", "high"}} {
		m.configuration("c"+string(rune('0'+c)), levels...)
		m.read(c, w, s, "100", "101")
	}
	m.overall()
	method := m.build(t).Method
	var said []string
	for _, a := range method.Aliases {
		said = append(said, a.Text)
	}
	for _, want := range []string{
		"The effect of Memory kit × Cooler cannot be told from that of Power limit.",
		"The effect of Memory kit × Power limit cannot be told from that of Cooler.",
	} {
		if !slices.Contains(said, want) {
			t.Errorf("%q is not among %q", want, said)
		}
	}
	var sentences []string
	for _, s := range method.Structure {
		sentences = append(sentences, s.Text)
	}
	if want := []string{
		"Of the effects listed below only sums can be seen: a difference may be owed to any of those that are named together, and it takes further configurations to say to which.",
		"A matched pair is fair all the same: it says what a change is worth at the pair’s own settings. What is listed here is whether that may be said of the factor in general.",
		"“A × B” stands for how far the effect of A depends on B.",
	}; !slices.Equal(sentences, want) {
		t.Errorf("%q", sentences)
	}
}
