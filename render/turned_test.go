package render

import (
	"bytes"
	"strings"
	"testing"

	"benchwright/themes"
)

// TestTablesSayHowSignsAreRead: the captions of a question's effects and of its
// matched pairs say that performance is turned and the rest is not.
func TestTablesSayHowSignsAreRead(t *testing.T) {
	const note = "Performance is turned so that more is better; the rest is as it was read, a plus for more of it."
	for _, f := range sampleSite(t, themes.Default) {
		if f.Path != "questions/second-channel.html" {
			continue
		}
		for _, caption := range []string{", workload by workload. " + note, "Matched pairs, from one channel to two channels. " + note} {
			if !strings.Contains(string(f.Data), caption) {
				t.Errorf("no caption ends with %q", caption)
			}
		}
		if n := bytes.Count(f.Data, []byte(note)); n != 2 {
			t.Errorf("the note stands %d times", n)
		}
		return
	}
	t.Fatal("the page is not there")
}
