package report

import (
	"slices"
	"strings"
	"testing"
)

// Where the value is the one that it was, the interval is what turned the claim: both
// intervals are said, and what has changed for it.
func TestAClaimThatTurnsWithTheSameValue(t *testing.T) {
	low, high := "10.0 10.1 10.2 10.1", "10.3 10.4 10.5 10.4"
	m := bench([3]string{low, low, low}, [3]string{high, high, high})
	r := m.build(t)
	old := r.Publication()
	for i := range old.Questions {
		q := &old.Questions[i]
		q.Overall.Verdict = NoDifferenceSeen.String()
		q.Overall.Low, q.Overall.Value = 0.99, q.Overall.Value*(1+1e-14)
		q.Overall.Text = strings.ReplaceAll(q.Overall.Text, "+3.0", "+3")
	}
	old.Confidence = 0.999
	got := Compare(old, r)
	at := slices.IndexFunc(got.Turned, func(s Sentence) bool {
		return strings.HasPrefix(s.Text, "“clock?”: a difference is seen where none was.")
	})
	if at < 0 {
		t.Fatal(got.said())
	}
	text := strings.ReplaceAll(got.Turned[at].Text, nbsp, " ")
	for _, want := range []string{" as before; its interval was −1.0 to +", "it is +", "What has changed for it: intervals of 95 % instead of 99.9 %."} {
		if !strings.Contains(text, want) {
			t.Errorf("%q does not say %q", text, want)
		}
	}
	if strings.Contains(text, "It was") || strings.Contains(text, "10⁰") {
		t.Error(text)
	}
	// With the same interval it is the other comparisons.
	old = r.Publication()
	old.Questions[0].Overall.Verdict = NoDifferenceSeen.String()
	if got = Compare(old, r); !strings.Contains(got.said(), "as before, with the same interval; it is counted among another number of comparisons.") {
		t.Error(got.said())
	}
}

// A mean over other workloads is not the one that was published: it is listed apart,
// with what it is over now, also where their number is the same.
func TestMeansOverOtherWorkloadsAreListedApart(t *testing.T) {
	low, high, mixed := "10.0 10.1 10.2 10.1", "12.0 12.1 12.2 12.1", "10.2 10.0 10.1 10.1"
	m := bench([3]string{low, low, low}, [3]string{high, mixed, mixed})
	m.Composites[0].Workloads = []int{0, 1}
	old := m.build(t).Publication()
	for name, x := range map[string]struct {
		workloads []int
		weights   []float64
		want      string
	}{
		"fewer":    {[]int{1}, []float64{1}, "Overall: fast (over 1 workload, before 2; without w0)"},
		"replaced": {[]int{1, 2}, []float64{1, 1}, "Overall: fast (without w0; with w2)"},
		"weights":  {[]int{0, 1}, []float64{1, 3}, "Overall: fast (with other weights than before)"},
	} {
		other := bench([3]string{low, low, low}, [3]string{high, mixed, mixed})
		other.Composites[0].Workloads, other.Composites[0].Weights = x.workloads, x.weights
		got := Compare(old, other.build(t))
		if len(got.Apart) == 0 || got.Apart[0].What != x.want || got.Apart[0].Moved != "" {
			t.Errorf("%s: want %q apart: %s", name, x.want, got.said())
		}
		for _, f := range got.Figures {
			if strings.HasPrefix(f.What, "Overall") {
				t.Errorf("%s: %+v", name, f)
			}
		}
		for _, s := range got.Turned {
			if strings.HasPrefix(s.Text, "Overall") && !strings.Contains(s.Text, "not comparable with what was published") {
				t.Errorf("%s: %s", name, s.Text)
			}
		}
		if !strings.Contains(got.said(), "not comparable with what was published, and listed apart") {
			t.Errorf("%s: %s", name, got.said())
		}
	}
	// The same shares in other numbers are the same mean.
	other := bench([3]string{low, low, low}, [3]string{high, mixed, mixed})
	other.Composites[0].Workloads, other.Composites[0].Weights = []int{0, 1}, []float64{4, 4}
	if got := Compare(old, other.build(t)); len(got.Apart) > 0 {
		t.Error(got.said())
	}
	// A record that does not say what it is over keeps quiet of it.
	for i := range old.Composites {
		old.Composites[i].Over = nil
	}
	other.Composites[0].Workloads, other.Composites[0].Weights = []int{1, 2}, []float64{1, 1}
	if got := Compare(old, other.build(t)); slices.ContainsFunc(got.Apart, func(f ChangedFigure) bool { return strings.HasPrefix(f.What, "Overall") }) {
		t.Error(got.said())
	}
}
