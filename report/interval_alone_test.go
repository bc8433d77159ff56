package report

import (
	"strings"
	"testing"

	"benchwright/project"
)

// fanWarmth is a fan's step on two coolers, read by a temperature alone and, where
// asked, by a noise that does not change.
func fanWarmth(noise bool) *made {
	m := make1()
	fan := m.factor("fan", project.Studied, "", "slow", "fast")
	m.factor("cooler", project.Studied, "", "box", "tower")
	for _, w := range []string{"warmth", "noise"}[:map[bool]int{false: 1, true: 2}[noise]] {
		m.Workloads[m.workload(w, "K", false)].Scale = project.IntervalScale
	}
	m.session("s")
	for c, v := range [][]string{{"30.0", "30.1", "29.9"}, {"40.0", "40.1", "39.9"}, {"30.0", "30.1", "29.9"}, {"36.0", "36.1", "35.9"}} {
		m.configuration("c"+string(rune('0'+c)), []any{"slow", "fast"}[c%2], []any{"box", "tower"}[c/2])
		m.read(c, 0, 0, v...)
		if noise {
			m.read(c, 1, 0, "20.0", "20.1", "19.9")
		}
	}
	m.question("fan", fan, "slow", "fast")
	m.overall()
	return m
}

// TestQuestionOfIntervalScalesAlone: its sentences are whole, a mark in a note
// has its figure, and one workload is not gone through workload by workload.
func TestQuestionOfIntervalScalesAlone(t *testing.T) {
	mark := Mark{Verb: "effect", Question: 0, Configuration: -1, Against: -1, Workload: -1}
	r := fanWarmth(false).build(t)
	q := r.Questions[0]
	if want := "fan: going from slow to fast changes warmth by +8.0\u00a0K on average (95\u00a0% interval"; !strings.HasPrefix(q.Headline.Text, want) {
		t.Errorf("%s\nwant %s", q.Headline.Text, want)
	}
	all := ""
	for _, s := range q.More {
		all += s.Text + "\n"
	}
	if strings.Contains(all, "Workload by workload") || !strings.Contains(all, "On warmth it depends on “cooler”: +10.0\u00a0K at box and +6.0\u00a0K at tower.") {
		t.Error(all)
	}
	live, err := r.Live(mark)
	if err != nil || !strings.HasPrefix(live.Text, "+8.0\u00a0K (") || live.Link != q.Page+"#effects" {
		t.Errorf("%+v, %v", live, err)
	}

	r = fanWarmth(true).build(t)
	q = r.Questions[0]
	if !strings.Contains(q.Headline.Text, " and noise by 0.0\u00a0K (95\u00a0% interval") || !strings.Contains(q.Headline.Text, ", not counted as a difference") {
		t.Error(q.Headline.Text)
	}
	if !says(q.More, "Workload by workload, it depends on “cooler” (warmth).") {
		t.Errorf("%+v", q.More)
	}
	if live, err := r.Live(mark); err != nil || live.Text != "no figure" {
		t.Errorf("of two workloads: %+v, %v", live, err)
	}
}

func says(list []Sentence, text string) bool {
	for _, s := range list {
		if s.Text == text {
			return true
		}
	}
	return false
}
