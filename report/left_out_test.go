package report

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"benchwright/project"
)

// threePairs is three matched pairs over three workloads, of which the drive
// makes the first 1.2, the second 1.3 and the third 1.4 times as fast. has says
// which workloads a pair has.
func threePairs(has func(pair, workload int) bool) *made {
	m := make1()
	drive := m.factor("drive", project.Studied, "", "old", "new")
	m.factor("case", project.Studied, "")
	m.session("s1")
	for w := range 3 {
		m.workload(fmt.Sprintf("w%d", w), "fps", true)
	}
	for pair := range 3 {
		for side, name := range []string{"old", "new"} {
			c := m.configuration(fmt.Sprintf("%s-%d", name, pair), name, fmt.Sprintf("case %d", pair))
			for w := range 3 {
				if side == 1 && !has(pair, w) {
					continue
				}
				v := 100 * (1 + float64(side)*(0.2+0.1*float64(w)))
				m.read(c, w, 0, fmt.Sprintf("%.1f", v-0.2), fmt.Sprintf("%.1f", v), fmt.Sprintf("%.1f", v+0.2))
			}
		}
	}
	m.question("drive", drive, "old", "new")
	m.overall()
	return m
}

// A pair of which one workload was read does not take the other workloads from
// all the rest, and whatever a mean does not count is named.
func TestWhatTheMeanLeavesOut(t *testing.T) {
	for _, c := range []struct {
		name             string
		has              func(pair, workload int) bool
		pairs, workloads int
		says             string
	}{
		{"complete", func(int, int) bool { return true }, 3, 3, ""},
		{"one pair has one workload", func(p, w int) bool { return p < 2 || w == 0 }, 2, 3,
			"One matched pair is left out of that mean, since it lacks workloads that the others have: old-2 → new-2."},
		{"one pair lacks one workload", func(p, w int) bool { return p < 2 || w < 2 }, 3, 2,
			"Left out of that mean, since not every one of its pairs has it: w2."},
		{"two pairs have one workload", func(p, w int) bool { return p == 0 || w == 0 }, 3, 1,
			"Left out of that mean, since not every one of its pairs has them: w1 and w2."},
	} {
		r := threePairs(c.has).build(t)
		q := r.Questions[0]
		counted := "3"
		if c.pairs < 3 {
			counted = fmt.Sprintf("%d in the mean, of 3", c.pairs)
		}
		if got := r.PairsText(&q); got != counted {
			t.Errorf("%s: the pairs are %q, want %q", c.name, got, counted)
		}
		if q.OverallPairs != c.pairs || len(q.OverallWorkloads) != c.workloads {
			t.Errorf("%s: the mean is over %d pairs and %d workloads, want %d and %d", c.name, q.OverallPairs, len(q.OverallWorkloads), c.pairs, c.workloads)
		}
		var said []string
		for _, s := range q.More {
			said = append(said, s.Text)
		}
		text := strings.Join(said, "\n")
		if c.says == "" && strings.Contains(text, "eft out") || !strings.Contains(text, c.says) {
			t.Errorf("%s: %s\nwant: %s", c.name, text, c.says)
		}
		// Here every pair has the same effects, so that over the same workloads
		// there is one figure for all, and nothing to say of their differences.
		for _, p := range q.Pairs {
			counted := p.LeftOut == ""
			if counted && math.Abs(p.Overall.Value/q.Overall.Value-1) > 1e-12 || counted && p.Overall.N != c.workloads {
				t.Errorf("%s: a pair that the mean of %s counts has %s over %d workloads", c.name, q.Overall.Text, p.Overall.Text, p.Overall.N)
			}
			if !counted && p.LeftOut != "not in the mean: 1 workload" {
				t.Errorf("%s: %q", c.name, p.LeftOut)
			}
		}
		if strings.Contains(text, "Pair by pair") {
			t.Errorf("%s: figures over other workloads are held against one another: %s", c.name, text)
		}
	}
}

// What makes everything worse costs most where it takes most.
func TestExtremesOfAHarm(t *testing.T) {
	m := threePairs(func(int, int) bool { return true })
	m.Questions[0].From, m.Questions[0].To = m.Questions[0].To, m.Questions[0].From
	q := m.build(t).Questions[0]
	if !slices.ContainsFunc(q.More, func(s Sentence) bool {
		return strings.HasPrefix(s.Text, "It costs w2 most: ") && strings.Contains(s.Text, "; w0 least: ")
	}) {
		t.Errorf("%+v", q.More)
	}
}

// Performance that falls as a factor rises is held up by nothing, and no share
// of the time is to be had from it.
func TestAFactorThatMakesItWorse(t *testing.T) {
	m := make1()
	m.factor("fill", project.Studied, "%", 10, 80)
	m.session("s1")
	w := m.workload("copy", "s", false)
	for i, times := range [][]string{{"100.1", "100.2", "99.9"}, {"127.0", "127.2", "126.9"}} {
		m.read(m.configuration(fmt.Sprint("c", i), []int{10, 80}[i]), w, 0, times...)
	}
	m.overall()
	r := m.build(t)
	if len(r.Workloads[w].Responses) != 1 {
		t.Fatalf("%d responses", len(r.Workloads[w].Responses))
	}
	p := r.Workloads[w].Responses[0]
	if p.Bottleneck || p.Untouched.Text != "" || p.Curve != nil || !strings.Contains(p.Sentence.Text, "more of it is worse") {
		t.Errorf("bottleneck %v, untouched %q, curve of %d points: %s", p.Bottleneck, p.Untouched.Text, len(p.Curve), p.Sentence.Text)
	}
	for _, i := range r.Insights {
		if i.Kind == "bottleneck" {
			t.Errorf("a bottleneck is named: %s", i.Sentence.Text)
		}
	}
}

// Answers count each workload once. Where a composite weighs them the two
// figures stand beside one another, so that it is said.
func TestAnswersSayThatTheyAreUnweighted(t *testing.T) {
	m := threePairs(func(int, int) bool { return true })
	if text := m.build(t).Questions[0].Headline.Text; strings.Contains(text, "counting once") {
		t.Errorf("nothing is weighed: %s", text)
	}
	m.Composites[0].Weights = []float64{1, 2, 3}
	if text := m.build(t).Questions[0].Headline.Text; !strings.Contains(text, "3 workloads, each counting once") {
		t.Errorf("a composite weighs: %s", text)
	}
}
