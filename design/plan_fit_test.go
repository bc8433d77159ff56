package design

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"benchwright/project"
)

// twoQuestions asks about a processor by one workload of 3 minutes and about
// memory by another of 2, none of which has been read. Both ask about base.
func twoQuestions() *bench {
	b := newBench()
	b.factor("processor", project.Studied).SwapMinutes = 15
	b.factor("memory", project.Studied).SwapMinutes = 4
	b.configuration("base", "processor=slow", "memory=64")
	b.configuration("fast", "processor=fast", "memory=64")
	b.configuration("wide", "processor=slow", "memory=128")
	b.workload("encode").Minutes = 3
	b.workload("pack").Minutes = 2
	b.question("faster", "processor", "slow", "fast").Workloads = []int{0}
	b.question("wider", "memory", "64", "128").Workloads = []int{1}
	return b
}

// A pair alone takes its own workloads, not those that another question wants
// of the same configuration. By hand:
//
//	base 3, swap 15, fast 3, swap 15, base 3: 39 minutes
//	base 2, swap 4, wide 2, swap 4, base 2:   14 minutes, and 12 for each round more
func TestAPairAloneByHand(t *testing.T) {
	one := twoQuestions()
	one.p.Questions = one.p.Questions[:1]
	for _, c := range []struct {
		bench   *bench
		minutes float64
		takes   float64 // 0: nothing fits
		visits  string
		says    string
	}{
		{one, 38, 0, "", "nothing fits into 38 min: the first pair alone takes 39 min"},
		{one, 38.5, 0, "", "nothing fits into 38.5 min: the first pair alone takes 39 min"},
		{one, 39, 39, "base fast base", ""},
		{twoQuestions(), 13, 0, "", "nothing fits into 13 min: even the shortest pair alone takes 14 min"},
		{twoQuestions(), 14, 14, "base wide base", `not visited within 14 min: "fast"`},
		{twoQuestions(), 25, 14, "base wide base", "11 min of 25 min are left over: no further repeat of a pair fits into them"},
		{twoQuestions(), 26, 26, "base wide base wide base", `not visited within 26 min: "fast"`},
		{twoQuestions(), 38, 38, "base wide base wide base wide base", `not visited within 38 min: "fast"`},
		{twoQuestions(), 39, 39, "base fast base", `not visited within 39 min: "wide"`},
	} {
		for _, order := range []RunOrder{Balanced, Shortest} {
			p := NewSpace(c.bench.p).Plan(PlanOptions{Minutes: c.minutes, Order: order})
			var ids []string
			for _, v := range p.Visits {
				ids = append(ids, v.Configuration)
			}
			if got := strings.Join(ids, " "); got != c.visits || p.Minutes() != c.takes {
				t.Errorf("%v minutes, %s: %s in %v minutes, want %s in %v", c.minutes, order, got, p.Minutes(), c.visits, c.takes)
			}
			if c.says != "" && !slices.Contains(p.Remarks, strings.ReplaceAll(c.says, " min", nbsp+"min")) {
				t.Errorf("%v minutes, %s: %q, want %q", c.minutes, order, p.Remarks, c.says)
			}
		}
	}
}

// What is computed from two workloads takes both from one run, so a pair of a
// question about one of them still takes both.
func TestAPairAloneTakesItsRunsWhole(t *testing.T) {
	b := twoQuestions()
	b.workload("both").Derived = &project.Formula{Times: []project.Term{{Kind: project.WorkloadTerm, Index: 0}, {Kind: project.WorkloadTerm, Index: 1}}}
	b.question("both-faster", "processor", "slow", "fast").Workloads = []int{2}
	b.p.Questions[1] = b.p.Questions[2]
	b.p.Questions[1].Index = 1
	b.p.Questions = b.p.Questions[:2]
	// base 5, swap 15, fast 5, swap 15, base 5
	p := NewSpace(b.p).Plan(PlanOptions{Minutes: 44})
	if want := fmt.Sprintf("nothing fits into 44%smin: the first pair alone takes 45%smin", nbsp, nbsp); !slices.Contains(p.Remarks, want) {
		t.Errorf("%q, want %q", p.Remarks, want)
	}
}

// The time that a plan asks for when nothing fits is enough, and nothing less is.
func TestTheTimeThatIsAskedForIsEnough(t *testing.T) {
	asked := 0
	for seed := range uint64(40) {
		b := thinned(seed)
		for q, question := range b.p.Questions {
			question.Workloads = []int{q % len(b.p.Workloads)}
		}
		for _, w := range b.p.Workloads {
			w.Minutes += 2
		}
		s := NewSpace(b.p)
		least := s.Plan(PlanOptions{Seed: seed, Minutes: 0.5})
		if len(least.Wants) == 0 || len(least.Left) == 0 {
			continue
		}
		asked++
		text := ""
		for _, remark := range least.Remarks {
			if strings.HasPrefix(remark, "nothing fits") {
				text = remark
			}
		}
		for minutes := 1; ; minutes++ {
			p := s.Plan(PlanOptions{Seed: seed, Minutes: float64(minutes)})
			if len(p.Visits) == 0 && minutes < 1000 {
				continue
			}
			if !strings.HasSuffix(text, " alone takes "+duration(float64(minutes))) {
				t.Errorf("seed %d: something fits into %d minutes; %s", seed, minutes, text)
			}
			break
		}
	}
	if asked < 20 {
		t.Errorf("only %d of the projects lacked anything", asked)
	}
}

// Time that is left goes to further repeats: none is left over in which another
// repeat of a pair would have fitted. A repeat here is a round more: swap, wide,
// swap, base or the same with fast.
func TestTimeIsFilledWithFurtherRepeats(t *testing.T) {
	s, before := NewSpace(twoQuestions().p), 0
	for minutes := 14.0; minutes <= 160; minutes++ {
		p := s.Plan(PlanOptions{Minutes: minutes})
		if p.Minutes() > minutes {
			t.Fatalf("%v minutes: takes %v", minutes, p.Minutes())
		}
		// The dearest repeat is one of fast with its baseline: 15 + 3 + 15 + 3.
		if rest := minutes - p.Minutes(); len(p.Left) > 0 && rest >= 15+3+15+3+2+2 {
			t.Errorf("%v minutes: %v are left over, and %+v is left", minutes, rest, p.Left)
		}
		short := 0
		for _, l := range p.Left {
			short += l.Repeats
		}
		if minutes == 160 && short > 0 || minutes == 14 && short == 0 {
			t.Errorf("%v minutes: %d are left", minutes, short)
		}
		before = max(before, len(p.Visits))
	}
	if before < 9 {
		t.Errorf("%d visits at most", before)
	}
}
