package report

import (
	"math"
	"slices"
	"strings"
	"testing"

	"benchwright/project"
	"benchwright/stats"
)

// framed is a project in which one run gives four workloads: three that share
// the frame-time files of the first. apart makes each a test of its own.
func framed(apart bool) *made {
	m := make1()
	fans := m.factor("fans", project.Studied, "", 1, 2)
	s := m.session("s")
	m.configuration("one", 1)
	m.configuration("two", 2)
	for _, id := range []string{"mean", "p99", "slow", "low"} {
		w := m.workload(id, "fps", true)
		if !apart && w > 0 {
			m.Workloads[w].FramesOf = "mean"
		}
		m.read(0, w, s, "100.0", "103.0", "97.0")
		m.read(1, w, s, "104.0", "107.0", "101.0")
	}
	m.question("fans", fans, 1, 2)
	m.overall()
	return m
}

// Four views of the same three runs are as certain as one of them.
func TestWorkloadsOfTheSameRunsAddNoPrecision(t *testing.T) {
	r := framed(false).build(t)
	one, _, _, _ := r.work.logContrast(0, onePair(1, 0))
	all, _, _, ok := r.work.meanEstimate([]int{0, 1, 2, 3}, nil, onePair(1, 0))
	if !ok || math.Abs(all.SE-one.SE) > 1e-12 || math.Abs(all.DF-one.DF) > 1e-9 || math.Abs(all.Value-one.Value) > 1e-12 {
		t.Errorf("the mean is %+v, one workload %+v", all, one)
	}
	for what, f := range map[string]Figure{"composite": r.Composites[0].Rows[1].Figure, "answer": r.Questions[0].Overall, "pair": r.Pair(0, 1).Overall} {
		if f.Verdict != NoDifferenceSeen {
			t.Errorf("the %s is %s (%s), which no workload alone bears out", what, f.Text, f.Range)
		}
	}
	if f := r.Composites[0].Rows[1].Bootstrap; f.State != Absent {
		t.Errorf("the runs were taken apart by resampling: %s", f.Range)
	}
	if len(r.Method.SharedRuns) != 1 || !strings.Contains(r.Method.SharedRuns[0], "mean, p99, slow and low") {
		t.Errorf("the method says of shared runs: %q", r.Method.SharedRuns)
	}

	r = framed(true).build(t)
	all, _, _, _ = r.work.meanEstimate([]int{0, 1, 2, 3}, nil, onePair(1, 0))
	if math.Abs(all.SE-one.SE/2) > 1e-12 {
		t.Errorf("of four separate tests the mean has error %v, want half of %v", all.SE, one.SE)
	}
	if r.Composites[0].Rows[1].Bootstrap.State == Absent || len(r.Method.SharedRuns) > 0 {
		t.Error("separate tests are taken for one")
	}
}

// The model's mean over workloads is added up in the same way.
func TestModelCountsTheSameRunsOnce(t *testing.T) {
	r := framed(false).build(t)
	one, four := r.work.models[:1], r.work.models
	contrast := func(m *fitted) ([]float64, bool) { return m.step("fans", m.terms[0], level(1), level(2)) }
	a, _, ok1 := r.overModels([]int{0}, contrast)
	b, _, ok2 := r.overModels([]int{0, 1, 2, 3}, contrast)
	if len(one) != 1 || len(four) != 4 || !ok1 || !ok2 || math.Abs(a.SE-b.SE) > 1e-12 {
		t.Errorf("one workload %+v, four of the same runs %+v", a, b)
	}
}

// A workload that is computed from two links them; neither does without it.
func TestFamiliesOfRuns(t *testing.T) {
	m := make1()
	for _, id := range []string{"a", "b", "c", "d"} {
		m.workload(id, "s", false)
	}
	term := func(id string) project.Term { return project.Term{Name: id} }
	m.Workloads[3].Derived = &project.Formula{Times: []project.Term{term("a")}, Over: []project.Term{term("b")}}
	m.workload("e", "s", false)
	m.Workloads[4].Derived = &project.Formula{Times: []project.Term{term("d"), term("c")}}
	k := &working{p: m.Project, runs: runsOf(m.Project)}
	if !slices.Equal(k.runs[4], []int{0, 1, 2}) {
		t.Errorf("e comes from the runs of %v", k.runs[4])
	}
	for _, c := range []struct{ list, want []int }{
		{[]int{0, 1, 2}, []int{0, 1, 2}},
		{[]int{0, 1, 3, 2}, []int{0, 0, 0, 3}},
		{[]int{2, 3, 4}, []int{0, 0, 0}},
		{[]int{2, 0}, []int{0, 1}},
	} {
		if got := k.families(c.list); !slices.Equal(got, c.want) {
			t.Errorf("families of %v: %v, want %v", c.list, got, c.want)
		}
	}
	// 3 and 4 go together, 12 by itself: √(7² + 24²) = 25.
	e := k.sumOver([]int{0, 3, 2}, []stats.Estimate{{Value: 1, SE: 3, DF: 9}, {Value: 2, SE: 4, DF: 5}, {Value: 4, SE: 24, DF: 7}})
	if e.Value != 7 || math.Abs(e.SE-25) > 1e-12 {
		t.Errorf("the sum is %+v", e)
	}
}
