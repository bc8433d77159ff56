package report

import (
	"strings"
	"testing"

	"benchwright/project"
)

// kitAndLimit is a full factorial of two factors; the kit is worth 2 % at the
// low limit and as much as said, in per cent, at the high one.
func kitAndLimit(high float64) (*made, *project.Question) {
	m := make1()
	kit := m.factor("kit", project.Studied, "", "slow", "fast")
	limit := m.factor("limit", project.Studied, "", "low", "high")
	w := m.workload("w", "fps", true)
	s := m.session("s")
	for c, v := range []float64{100, 102, 150, 150 * (1 + high/100)} {
		m.configuration("c"+string(rune('0'+c)), []any{"slow", "fast"}[c%2], []any{"low", "high"}[c/2])
		for i := range 4 {
			m.read1(c, w, s, 2*i, v*(1+0.001*float64(i%2)))
		}
	}
	q := m.question("kit", kit, "slow", "fast")
	q.Where = []project.Condition{{Factor: limit, Value: level("low")}}
	m.question("limit", limit, "low", "high")
	m.overall()
	return m, q
}

func largestText(t *testing.T, r *Report) string {
	t.Helper()
	for _, i := range r.Insights {
		if i.Kind == "largest-effect" {
			return i.Sentence.Text
		}
	}
	t.Fatal("nothing is said of the largest effect")
	return ""
}

// TestLargestEffectSaysByWhichMethod: the ranking is the model's, and where an
// answer says that its matched pairs are the figure to quote, so does the ranking.
func TestLargestEffectSaysByWhichMethod(t *testing.T) {
	m, _ := kitAndLimit(10)
	r := m.build(t)
	text := largestText(t, r)
	if !strings.HasPrefix(text, "Largest effect, by the model of all factors at once: limit: low → high, ") {
		t.Errorf("the method is not said: %s", text)
	}
	if quote := r.Questions[0].ModelText.Text; !strings.Contains(quote, "The matched pairs are the figure to quote") {
		t.Fatalf("the answer does not disagree: %s", quote)
	}
	if want := " On 1 of 1 workloads its effects do not add up: "; !strings.Contains(text, want) {
		t.Errorf("%s\nwant in it:%s", text, want)
	}
	want := " Where the matched pairs say something else, they are the figure to quote: “limit?” " + r.work.ranged(r.Questions[1].Overall) + "; “kit?” " + r.work.ranged(r.Questions[0].Overall) + "."
	if !strings.HasSuffix(text, want) {
		t.Errorf("%s\nwant at its end:%s", text, want)
	}
	m, _ = kitAndLimit(2)
	if text := largestText(t, m.build(t)); strings.Contains(text, "figure to quote") || strings.Contains(text, "do not add up") {
		t.Errorf("the two agree: %s", text)
	}
}
