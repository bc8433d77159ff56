package report

import (
	"strings"
	"testing"

	"benchwright/design"
	"benchwright/project"
)

// onlyOne asks three questions about one step of a fan: of all coolers, of the
// one on which it is worth something, and of one without a pair.
func onlyOne(language string) *made {
	m := make1()
	m.Language = language
	fan := m.factor("fan", project.Studied, "", "slow", "fast")
	cooler := m.factor("cooler", project.Studied, "", "box, 1 mm", "twin", "gale")
	m.workload("w", "fps", true)
	m.session("s")
	for c, v := range []string{"100", "114", "120", "120.3", "119"} {
		m.configuration("c"+string(rune('0'+c)), []any{"slow", "fast"}[c%2], []any{"box, 1 mm", "twin", "gale"}[c/2])
		m.read(c, 0, 0, v)
	}
	m.question("all", fan, "slow", "fast")
	for _, of := range []string{"box, 1 mm", "gale"} {
		q := m.question(of, fan, "slow", "fast")
		q.Where = []project.Condition{{Factor: cooler, Value: level(of)}}
	}
	m.overall()
	return m
}

// TestQuestionOfSomeSettingsSaysWhich: three questions about one step do not
// contradict each other, wherever their headlines stand alone.
func TestQuestionOfSomeSettingsSaysWhich(t *testing.T) {
	for language, want := range map[string][3]string{
		"en-GB": {
			"fan: going from slow to fast is worth about ",
			"fan, with cooler set to “box, 1 mm”: going from slow to fast is worth about ",
			"fan, with cooler set to gale: going from slow to fast cannot be judged fairly yet: no two such configurations with readings differ in “fan” alone.",
		},
		"de": {
			"fan: Der Schritt „slow“ → „fast“ macht etwa ",
			"fan, mit cooler auf „box, 1 mm“: Der Schritt „slow“ → „fast“ macht etwa ",
			"fan, mit cooler auf „gale“: Der Schritt „slow“ → „fast“ lässt sich noch nicht sauber beurteilen: Keine zwei solchen Konfigurationen mit Messwerten unterscheiden sich in „fan“ allein.",
		},
	} {
		m := onlyOne(language)
		r := Build(m.Project, design.NewSpace(m.Project), nil, Options{})
		for q := range r.Questions {
			if text := r.Questions[q].Headline.Text; !strings.HasPrefix(text, want[q]) {
				t.Errorf("%s\nwant %s", text, want[q])
			}
			mark, err := r.Live(Mark{Verb: "answer", Question: q, Configuration: -1, Against: -1, Workload: -1})
			if err != nil || !strings.HasPrefix(mark.Text, want[q]) {
				t.Errorf("in a note: %s, %v", mark.Text, err)
			}
		}
	}
}
