package design

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"benchwright/project"
)

// What no question needs is named and not planned, with a question that would
// need it; that question, once asked, does.
func TestWhatNoQuestionNeedsIsNamed(t *testing.T) {
	with := func(change func(*bench)) *bench {
		b := twoQuestions()
		change(b)
		return b
	}
	for _, c := range []struct {
		name  string
		bench *bench
		ids   []string
		want  string
	}{
		{"all are needed", twoQuestions(), []string{}, ""},
		{"one", with(func(b *bench) { b.configuration("wider", "processor=fast", "memory=256") }), []string{"wider"},
			`no question needs "wider", so it is not planned; a question about memory, from 64 to 256, would need "wider" beside "fast"`},
		{"two, the first of which has no neighbour", with(func(b *bench) {
			b.configuration("far", "processor=other", "memory=512")
			b.configuration("wider", "processor=slow", "memory=256")
		}), []string{"far", "wider"},
			`no question needs "far" and "wider", so they are not planned; a question about memory, from 64 to 256, would need "wider" beside "base"`},
		{"no neighbour", with(func(b *bench) { b.configuration("far", "processor=other", "memory=512") }), []string{"far"},
			`no question needs "far", so it is not planned; name a question that has it in a matched pair`},
		{"beyond a limit", with(func(b *bench) {
			memory := b.p.Factors[1]
			memory.Numeric, memory.Limit = true, project.Limit{HasMost: true, Most: 200, Source: "invented data sheet"}
			b.configuration("wider", "processor=fast", "memory=256")
		}), []string{"wider"},
			`no question needs "wider", so it is not planned; no question is proposed, as it lies beyond a maker's limit`},
		{"a neighbour beyond a limit", with(func(b *bench) {
			memory := b.p.Factors[1]
			memory.Numeric, memory.Limit = true, project.Limit{HasMost: true, Most: 200, Source: "invented data sheet"}
			b.configuration("hot", "processor=slow", "memory=256")
			b.configuration("far", "processor=slow", "memory=100")
			b.factor("case", project.Held)
			for i, c := range b.p.Configurations { // hot and far have another case than all others
				c.Values = append(c.Values, project.Resolved{Value: value(fmt.Sprint("c", i/3))})
			}
		}), []string{"hot", "far"}, `no question needs "hot" and "far", so they are not planned; name a question that has "far" in a matched pair`},
		{"what the first pair of a question starts from", with(func(b *bench) {
			b.configuration("other", "processor=other", "memory=512")
			b.question("another", "processor", "other", "yet-another")
		}), []string{}, ""},
		{"no questions", with(func(b *bench) { b.p.Questions = nil }), []string{}, ""},
	} {
		p := NewSpace(c.bench.p).Plan(PlanOptions{})
		got := strings.Join(reasonsOf(&p, "no question needs"), "\n")
		if !slices.Equal(p.Unneeded, c.ids) || got != c.want {
			t.Errorf("%s: %q\n got %s\nwant %s", c.name, p.Unneeded, got, c.want)
		}
		if slices.ContainsFunc(p.Visits, func(v Visit) bool { return slices.Contains(p.Unneeded, v.Configuration) }) {
			t.Errorf("%s: something of %q is visited", c.name, p.Unneeded)
		}
	}

	b := twoQuestions()
	b.configuration("wider", "processor=fast", "memory=256")
	b.question("as-proposed", "memory", "64", "256")
	p := NewSpace(b.p).Plan(PlanOptions{})
	if len(p.Unneeded) > 0 || !slices.ContainsFunc(p.Visits, func(v Visit) bool { return v.Configuration == "wider" }) {
		t.Errorf("with the question that was proposed: %q is not needed", p.Unneeded)
	}
}

// Each configuration of projects made at random is either on a side of a
// question's pair, or the baseline, or named.
func TestNoConfigurationIsPassedOverInSilence(t *testing.T) {
	named := 0
	for seed := range uint64(40) {
		b := thinned(seed)
		b.p.Questions = b.p.Questions[:1]
		s := NewSpace(b.p)
		p := s.Plan(PlanOptions{Seed: seed})
		sides := map[string]bool{b.p.Configurations[b.p.Baseline].ID: true}
		for _, pair := range s.Questions()[0].Pairs {
			sides[pair.From], sides[pair.To] = true, true
		}
		if len(s.Questions()[0].Pairs) == 0 {
			continue
		}
		for _, c := range b.p.Configurations {
			if told := slices.Contains(p.Unneeded, c.ID); told == sides[c.ID] {
				t.Errorf("seed %d: %s is on a side or the baseline: %v; named: %v", seed, c.ID, sides[c.ID], told)
			}
		}
		named += len(p.Unneeded)
	}
	if named < 40 {
		t.Errorf("only %d configurations were named", named)
	}
}
