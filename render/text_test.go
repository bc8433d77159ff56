package render

import (
	"strings"
	"testing"

	"benchwright/project"
	"benchwright/report"
)

func TestMarkedWords(t *testing.T) {
	for in, want := range map[string]string{
		"no level (`with`) is left": "no level (<code>with</code>) is left",
		"a lone ` stays":            "a lone ` stays",
		"`a<b` first":               "<code>a&lt;b</code> first",
	} {
		if got := string((&markup{}).marked(in).html()); got != want {
			t.Errorf("%q becomes %q, want %q", in, got, want)
		}
	}
}

func TestNamesOfFilesBreakAtTheirParts(t *testing.T) {
	for in, want := range map[string]string{
		"data/relative-performance.csv": "data/<wbr>relative-<wbr>performance<wbr>.csv",
		"as_read.csv":                   "as_<wbr>read<wbr>.csv",
		"ends-":                         "ends-",
		"plain":                         "plain",
		".hidden":                       ".hidden",
		"":                              "",
	} {
		if got := string((&markup{}).path(in).html()); got != want {
			t.Errorf("%q becomes %q, want %q", in, got, want)
		}
	}
}

// A number keeps its unit on a page; in data the label is as the project has it.
func TestLabelsKeepUnits(t *testing.T) {
	watt := project.Unit{Symbol: "W"}
	s := &site{r: &report.Report{Project: &project.Project{Factors: []*project.Factor{{Unit: watt}}}}}
	for in, want := range map[string]string{
		"1 channel, 25 W, thick pad": "1 channel, 25\u00a0W, thick pad",
		"25 W":                       "25\u00a0W",
		"model W":                    "model W",
		"W 25 Ww":                    "W 25 Ww",
		"":                           "",
	} {
		if got := s.keepUnits(in); got != want {
			t.Errorf("%q becomes %q, want %q", in, got, want)
		}
	}
	for _, f := range laidOut(t, sampleReport(t), "") {
		if strings.HasSuffix(f.Path, ".csv") && strings.HasPrefix(f.Path, "charts/") || f.Path == "assets/figures.data.js" {
			if strings.Contains(string(f.Data), "15\u00a0W, thin") {
				t.Errorf("%s holds a label with a no-break space", f.Path)
			}
		}
	}
}

// The answers come right after the lead, and what the small drawings are stands
// with them.
func TestAnswersComeFirst(t *testing.T) {
	page := overviewOf(t, laidOut(t, sampleReport(t), ""))
	last := -1
	for _, part := range []string{`<header class="title">`, `<ol class="answers">`, `class="small marks"`, `<dl class="block">`, `id="relative-performance"`} {
		at := strings.Index(page, part)
		if at <= last {
			t.Errorf("%s stands at %d, after %d", part, at, last)
		}
		last = at
	}
}

// A live figure that has its noun is not followed by it again.
func TestNothingInTheSampleIsSaidTwice(t *testing.T) {
	for _, f := range laidOut(t, sampleReport(t), "") {
		if strings.HasPrefix(f.Path, "notes/") && strings.Contains(string(f.Data), "readings</a> readings") {
			t.Errorf("%s counts readings readings", f.Path)
		}
	}
}

// A sentence in a cell gets room; a word or a number does not.
func TestSentencesHaveRoom(t *testing.T) {
	for in, room := range map[string]bool{"yes": false, "21 February 2026": false, "Sustained power limit": true} {
		got := string((&markup{}).cell(in).html())
		if strings.Contains(got, `class="words"`) != room {
			t.Errorf("%q is %s", in, got)
		}
	}
}
