package design

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"benchwright/project"
	"benchwright/schema"
)

func parts() *bench {
	b := newBench()
	b.factor("processor", project.Studied)
	b.factor("memory", project.Studied)
	b.factor("cache", project.Follows, "processor")
	b.factor("firmware", project.Held)
	return b
}

func TestAllMatchedPairsAreFound(t *testing.T) {
	b := parts()
	for i, m := range []string{"64", "128", "256"} {
		for _, p := range []string{"p1", "p2"} {
			b.configuration(fmt.Sprintf("%s-%d", p, i), "processor="+p, "memory="+m, "cache=c"+p, "firmware=f")
		}
	}
	b.configuration("odd", "processor=p2", "memory=64", "cache=cp2", "firmware=other")
	slices.Reverse(b.p.Configurations) // the order is that of the ids
	for i, c := range b.p.Configurations {
		c.Index = i
	}
	b.question("q", "processor", "p1", "p2")
	b.question("at-128", "processor", "p1", "p2").Where = []project.Condition{{Factor: 1, Value: value("128")}}
	b.question("bundle", "processor", "p1", "p2", "memory")
	s := NewSpace(b.p)
	text := func(q int) string {
		var list []string
		for _, p := range s.Answer(q).Pairs {
			mark := ""
			if p.Bundle {
				mark = "*"
			}
			list = append(list, b.p.Configurations[p.From].ID+":"+b.p.Configurations[p.To].ID+mark)
		}
		return strings.Join(list, " ")
	}
	if got, want := text(0), "p1-0:p2-0 p1-1:p2-1 p1-2:p2-2"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
	if got, want := text(1), "p1-1:p2-1"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
	if got, want := text(2), "p1-0:p2-0 p1-0:p2-1* p1-0:p2-2* p1-1:p2-0* p1-1:p2-1 p1-1:p2-2* p1-2:p2-0* p1-2:p2-1* p1-2:p2-2"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
	if a := s.Answer(0); !a.Answerable || a.Measured || a.Bundle || len(a.Missing)+len(a.Nearest) > 0 || a.Pairs[0].State != Awaiting {
		t.Errorf("%+v", a)
	}
	if a := s.Answer(2); !a.Bundle {
		t.Errorf("%+v", a)
	}
}

// The buckets find what comparing all with all finds.
func TestBucketsFindWhatAllPairsWould(t *testing.T) {
	for seed := range uint64(200) {
		g := dirty(seed)
		s := NewSpace(g.p)
		for q, question := range g.p.Questions {
			want := 0
			for a := range g.p.Configurations {
				for b := range g.p.Configurations {
					if s.hasLevel(a, question.Factor, question.From) && s.hasLevel(b, question.Factor, question.To) && s.Clean(a, b, question.Factor) {
						want++
					}
				}
			}
			if got := len(s.Answer(q).Pairs); got != want {
				t.Fatalf("seed %d: %d pairs, want %d", seed, got, want)
			}
		}
	}
}

func TestStateOfAPair(t *testing.T) {
	b := parts()
	b.configuration("a", "processor=p1")
	b.configuration("b", "processor=p2")
	b.workload("w")
	b.workload("x")
	b.question("q", "processor", "p1", "p2")
	state := func() Pair { return NewSpace(b.p).Answer(0).Pairs[0] }
	if p := state(); p.State != Awaiting {
		t.Errorf("a plan: %v", p.State)
	}
	b.read("a", 0, -1, 1)
	b.read("b", 1, -1, 1)
	if p := state(); p.State != Awaiting || len(p.Workloads) > 0 {
		t.Errorf("no common workload: %+v", p)
	}
	b.read("b", 0, -1, 1)
	b.p.Readings[2].Outcome, b.p.Readings[2].HasValue = project.Crashed, false
	if p := state(); p.State != Failed {
		t.Errorf("a side crashed: %v", p.State)
	}
	b.read("b", 0, -1, 1)
	if p := state(); p.State != Measured || !slices.Equal(p.Workloads, []int{0}) {
		t.Errorf("%+v", p)
	}
}

func TestNearestAndMissing(t *testing.T) {
	b := parts()
	b.configuration("a", "processor=p1", "memory=64", "cache=c1", "firmware=f")
	b.configuration("b", "processor=p2", "memory=128", "cache=c2", "firmware=f")
	b.configuration("c", "processor=p2", "memory=128", "cache=c2", "firmware=g")
	b.question("q", "processor", "p1", "p2")
	s := NewSpace(b.p)
	a := s.Answer(0)
	if a.Answerable || len(a.Nearest) != 1 || a.Nearest[0].From != 0 || a.Nearest[0].To != 1 {
		t.Fatalf("%+v", a)
	}
	if got, want := s.remedy(a), `run one like "a" with processor p2 (cache c2 will follow)`; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
	// Only a record is missing.
	b.set(1, "memory", "64")
	b.set(1, "firmware", "?")
	s = NewSpace(b.p)
	if got, want := s.remedy(s.Answer(0)), `write down firmware of "b"; if nothing else differs then, there is a pair`; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
	// Of two to start from, the one with nothing left unrecorded.
	c := parts()
	c.configuration("a", "processor=p1", "memory=64", "firmware=?")
	c.configuration("b", "processor=p1", "memory=64", "firmware=f")
	c.question("q", "processor", "p1", "p2")
	if m := NewSpace(c.p).Answer(0).Missing; len(m) != 1 || m[0].Based != 1 || len(m[0].Record) > 0 {
		t.Errorf("%+v", m)
	}
	c.p.Configurations = c.p.Configurations[:1]
	c.configuration("far", "processor=p7", "memory=64", "firmware=g")
	s = NewSpace(c.p)
	if got, want := s.remedy(s.Answer(0)), `run one like "a" with processor p2, and write down firmware`; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
	// Neither level was ever run.
	b.question("r", "processor", "p8", "p9")
	s = NewSpace(b.p)
	if got, want := s.remedy(s.Answer(1)), `run one like "a" with processor p8, and one like "a" with processor p9`; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
	if NewSpace(&project.Project{}).Project() == nil {
		t.Error("an empty project")
	}
}

// set gives a configuration another value of a factor.
func (b *bench) set(c int, factor, text string) {
	f := b.index(factor)
	b.p.Configurations[c].Set[f] = value(text)
	b.p.Configurations[c].Values[f] = project.Resolved{Value: value(text), Origin: project.FromOwn}
}

// Running what is missing makes the question answerable: one configuration
// when a side exists, two otherwise.
func TestWhatIsMissingIsEnough(t *testing.T) {
	tried := 0
	for seed := range uint64(300) {
		g := clean(seed)
		// Leave out a side of a question, or spoil it.
		q := g.random.IntN(len(g.p.Questions))
		a := NewSpace(g.p).Answer(q)
		for _, p := range a.Pairs {
			g.set(p.To, g.held[0], fmt.Sprintf("odd-%d", p.To))
			if seed%3 == 0 {
				g.set(p.To, g.p.Questions[q].Factor, "gone")
			}
		}
		s := NewSpace(g.p)
		a = s.Answer(q)
		if a.Answerable {
			continue
		}
		tried++
		if want := 1; len(a.Missing) != want {
			t.Fatalf("seed %d: %d configurations are missing, want %d", seed, len(a.Missing), want)
		}
		for i, m := range a.Missing {
			base := g.p.Configurations[m.Based]
			c := g.configuration(fmt.Sprintf("new-%d", i))
			copy(c.Values, base.Values)
			for f, v := range base.Set {
				c.Set[f] = v
			}
			for _, change := range m.Changes {
				if change.To.State != project.Known {
					t.Fatalf("seed %d: %+v", seed, change)
				}
				c.Set[change.Factor] = change.To
				c.Values[change.Factor] = project.Resolved{Value: change.To, Origin: project.FromOwn}
			}
		}
		if a := NewSpace(g.p).Answer(q); !a.Answerable {
			t.Fatalf("seed %d: still without a pair", seed)
		}
	}
	if tried < 100 {
		t.Errorf("only %d questions", tried)
	}
}

func TestEmptyAndTinyProjects(t *testing.T) {
	if found := check(&project.Project{}); len(found) > 0 {
		t.Errorf("%s", print(found))
	}
	b := parts()
	b.configuration("only", "processor=p1", "memory=64", "cache=c1", "firmware=f")
	if found := check(b.p); len(found) > 0 {
		t.Errorf("one configuration: %s", print(found))
	}
	b.question("q", "processor", "p1", "p2")
	if found := check(b.p); len(found) != 1 || found[0].Rule != "question-without-pair" {
		t.Errorf("one configuration and a question: %s", print(found))
	}
}

func TestSeveritiesAndSilences(t *testing.T) {
	p := &project.Project{Checks: []project.CheckChange{
		{Rule: "r", HasSeverity: true, Severity: schema.Error, Reason: "it matters here"},
		{Rule: "r", Silence: true, At: []string{"b"}, Reason: "known"},
		{Rule: "s", Silence: true, Reason: "put right long ago"},
		{Rule: "t", Silence: true, Reason: "no such rule"},
		{Rule: "q", HasSeverity: true, Severity: schema.Notice, Reason: "a severity for what is not found is no fault"},
	}}
	rules := []Rule{{Name: "r"}, {Name: "s"}, {Name: "q"}}
	found := Apply(p, rules, []schema.Finding{
		{Rule: "r", Severity: schema.Warning, Configurations: []string{"a"}, Message: "1"},
		{Rule: "r", Severity: schema.Warning, Configurations: []string{"a", "b"}, Message: "2"},
		{Rule: "from-elsewhere", Severity: schema.Notice, Message: "3"},
	})
	var got []string
	for _, f := range found {
		got = append(got, fmt.Sprint(f.Rule, " ", f.Severity, " ", f.Silenced))
	}
	want := []string{"from-elsewhere notice ", "r error ", "r error known", "silence-without-finding warning ", "unknown-rule error "}
	if !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}
