package design

import (
	"slices"
	"testing"

	"benchwright/project"
)

// A finding about a workload touches the questions that ask for it, or for what
// is computed from it, and no other.
func TestAFindingTouchesTheQuestionsThatAskForItsWorkload(t *testing.T) {
	b := newBench()
	b.factor("fan", project.Studied)
	b.configuration("one", "fan=f1")
	b.configuration("two", "fan=f2")
	b.workload("render")
	b.workload("noise")
	b.workload("energy").Derived = &project.Formula{Times: []project.Term{{Name: "render"}}}
	b.workload("cost").Derived = &project.Formula{Over: []project.Term{{Name: "energy"}}}
	b.session("s")
	for _, c := range []string{"one", "two"} {
		for w, repeats := range []int{2, 3} {
			for i := range repeats {
				b.read(c, w, 0, 100+float64(w)+0.1*float64(i))
			}
		}
	}
	for id, workloads := range map[string][]int{"all": nil, "of-render": {0}, "of-noise": {1}, "of-cost": {3}} {
		b.question(id, "fan", "f1", "f2").Workloads = workloads
	}
	found := false
	for _, f := range Check(b.p, NewSpace(b.p)) {
		if f.Rule != "too-few-repeats" {
			continue
		}
		found = true
		if want := []string{"all", "of-cost", "of-render"}; !slices.Equal(f.Questions, want) || !slices.Equal(f.Workloads, []string{"render"}) {
			t.Errorf("%v of %v touches %v, want %v", f.Rule, f.Workloads, f.Questions, want)
		}
	}
	if !found {
		t.Error("too few repeats were not found")
	}
}
