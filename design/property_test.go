package design

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"sort"
	"strings"
	"testing"

	"benchwright/project"
	"benchwright/schema"
)

// statistical rules may speak up over chance, at most once in a thousand
// folders each.
var statistical = []string{"baseline-drift", "session-drift", "first-repeat-out-of-line", "outlier", "two-clusters", "identical-repeats", "baseline-reads-odd", "uneven-sessions"}

// A clean project yields no finding: none at all of the exact rules, and of
// the statistical ones hardly any.
func TestCleanProjectsAreQuiet(t *testing.T) {
	alarms := 0
	const projects = 400
	for seed := range uint64(projects) {
		for _, f := range check(clean(seed).p) {
			if slices.Contains(statistical, f.Rule) {
				alarms++
				t.Logf("seed %d: %s: %s", seed, f.Rule, f.Message)
				continue
			}
			t.Fatalf("seed %d: %s: %s", seed, f.Rule, f.Message)
		}
	}
	if alarms > projects/100 {
		t.Errorf("%d false alarms in %d projects", alarms, projects)
	}
}

// pick gives a pair of a question, and a factor other than the question's.
func (g *plan) pick(t *testing.T, s *Space, among []int) (q int, pair Pair, f int) {
	q = g.random.IntN(len(g.p.Questions))
	a := s.Answer(q)
	if len(a.Pairs) == 0 {
		t.Fatal("a clean project has a question without a pair")
	}
	pair = a.Pairs[g.random.IntN(len(a.Pairs))]
	others := slices.DeleteFunc(slices.Clone(among), func(f int) bool { return f < 0 || f == g.p.Questions[q].Factor })
	return q, pair, others[g.random.IntN(len(others))]
}

func names(findings []schema.Finding, rules []string, configurations []string, factor, question string) bool {
	return slices.ContainsFunc(findings, func(f schema.Finding) bool {
		for _, c := range configurations {
			if !slices.Contains(f.Configurations, c) {
				return false
			}
		}
		return slices.Contains(rules, f.Rule) && slices.Contains(f.Factors, factor) && (question == "" || slices.Contains(f.Questions, question))
	})
}

// A second difference planted into one side of a clean pair is found, on that
// pair, by its factor and with its question.
func TestPlantedSecondDifferenceIsFoundOnItsPair(t *testing.T) {
	for seed := range uint64(200) {
		g := clean(seed)
		held := NewSpace(g.p)
		q, pair, f := g.pick(t, held, g.held)
		planted := []string{"odd", "?", ""}[g.random.IntN(3)]
		g.set(pair.To, f, planted)
		ids := []string{g.p.Configurations[pair.From].ID, g.p.Configurations[pair.To].ID}
		rule := "held-factor-differs"
		if planted != "odd" {
			rule = "recorded-on-one-side"
		}
		s := NewSpace(g.p)
		if s.Clean(pair.From, pair.To, s.QuestionOf(q)...) {
			t.Fatalf("seed %d: the pair is still clean", seed)
		}
		if found := Check(g.p, s); !names(found, []string{rule}, ids, g.p.Factors[f].ID, g.p.Questions[q].ID) {
			t.Fatalf("seed %d: %s = %q in %v not found:\n%s", seed, g.p.Factors[f].ID, planted, ids, print(found))
		}
		kinds := map[string]Kind{"odd": Independent, "?": UnknownSide, "": UnknownSide}
		differences := s.Between(pair.From, pair.To, s.QuestionOf(q)...)
		if !slices.ContainsFunc(differences, func(d Difference) bool { return d.Factor == f && d.Kind == kinds[planted] }) {
			t.Fatalf("seed %d: %v", seed, differences)
		}
	}
}

// The same with a second studied factor: one factor at a time, the question
// loses its pair and the finding names what stands between.
func TestPlantedStudiedDifferenceIsFoundOnItsPair(t *testing.T) {
	tried := 0
	for seed := range uint64(400) {
		g := clean(seed)
		if g.factorial {
			continue
		}
		tried++
		q, pair, f := g.pick(t, NewSpace(g.p), g.studied)
		// A level that no other configuration has: with another's, the changed
		// configuration might pair with that one.
		g.set(pair.To, f, "another")
		ids := []string{g.p.Configurations[pair.From].ID, g.p.Configurations[pair.To].ID}
		if found := check(g.p); !names(found, []string{"question-without-pair"}, ids, g.p.Factors[f].ID, g.p.Questions[q].ID) {
			t.Fatalf("seed %d: %s in %v not found:\n%s", seed, g.p.Factors[f].ID, ids, print(found))
		}
	}
	if tried < 100 {
		t.Errorf("only %d projects", tried)
	}
}

// And with a follower that does not follow: its factor is the same on both
// sides, its value is not.
func TestPlantedFollowerIsFoundOnItsPair(t *testing.T) {
	tried := 0
	for seed := range uint64(400) {
		g := clean(seed)
		if !slices.ContainsFunc(g.followers, func(f int) bool { return f >= 0 }) {
			continue
		}
		s := NewSpace(g.p)
		q, pair, follower := g.pick(t, s, g.followers)
		if slices.Contains(s.parents[follower], g.p.Questions[q].Factor) {
			continue // it follows the question's factor, and may differ
		}
		tried++
		g.set(pair.To, follower, "odd")
		ids := []string{g.p.Configurations[pair.From].ID, g.p.Configurations[pair.To].ID}
		s = NewSpace(g.p)
		if s.Clean(pair.From, pair.To, s.QuestionOf(q)...) {
			t.Fatalf("seed %d: the pair is still clean", seed)
		}
		if found := Check(g.p, s); !names(found, []string{"follower-does-not-follow"}, ids, g.p.Factors[follower].ID, "") {
			t.Fatalf("seed %d: %s in %v not found:\n%s", seed, g.p.Factors[follower].ID, ids, print(found))
		}
	}
	if tried < 50 {
		t.Errorf("only %d projects", tried)
	}
}

// summary is what findings say apart from places and the names of levels.
func summary(findings []schema.Finding) []string {
	var list []string
	for _, f := range findings {
		list = append(list, fmt.Sprint(f.Rule, f.Severity, f.Configurations, f.Factors, f.Workloads, f.Sessions, f.Questions))
	}
	sort.Strings(list)
	return list
}

// dirty plants two faults, so that there is something to compare.
func dirty(seed uint64) *plan {
	g := clean(seed)
	last := len(g.p.Configurations) - 1
	g.set(last, g.held[0], "odd")
	g.set(last/2, g.held[len(g.held)-1], "?")
	for i := range g.p.Readings {
		if r := &g.p.Readings[i]; int(r.Configuration) == last/2 && r.Repeat == 2 {
			r.Value, r.Raw = r.Value/100, r.Raw/100
		}
	}
	return g
}

// Configurations, rows and sessions in another order change nothing but places.
func TestOrderOfFilesChangesNothing(t *testing.T) {
	for seed := range uint64(60) {
		g := dirty(seed)
		want := summary(check(g.p))
		if len(want) < 2 {
			t.Fatalf("seed %d: %q", seed, want)
		}
		random := rand.New(rand.NewPCG(seed, 8))
		at := random.Perm(len(g.p.Configurations))
		configurations := make([]*project.Configuration, len(at))
		for old, c := range g.p.Configurations {
			c.Index = at[old]
			configurations[at[old]] = c
		}
		g.p.Configurations = configurations
		g.p.Baseline = at[g.p.Baseline]
		when := random.Perm(len(g.p.Sessions))
		sessions := make([]*project.Session, len(when))
		for old, s := range g.p.Sessions {
			s.Index = when[old]
			sessions[when[old]] = s
		}
		g.p.Sessions = sessions
		for i := range g.p.Readings {
			r := &g.p.Readings[i]
			r.Configuration, r.Session = int32(at[r.Configuration]), int32(when[r.Session])
		}
		random.Shuffle(len(g.p.Readings), func(i, j int) { g.p.Readings[i], g.p.Readings[j] = g.p.Readings[j], g.p.Readings[i] })
		if got := summary(check(g.p)); !slices.Equal(got, want) {
			t.Fatalf("seed %d:\n%s\nwas\n%s", seed, strings.Join(got, "\n"), strings.Join(want, "\n"))
		}
	}
}

// Other names for the levels change nothing but the words.
func TestNamesOfLevelsChangeNothing(t *testing.T) {
	for seed := range uint64(60) {
		g := dirty(seed)
		want := summary(check(g.p))
		rename := func(v *project.Value) {
			if v.State == project.Known && !v.Numeric {
				v.Text = "level " + string(rune('z'-v.Text[len(v.Text)-1]%20)) + v.Text
			}
		}
		for _, c := range g.p.Configurations {
			for f := range c.Values {
				rename(&c.Values[f].Value)
				if v, ok := c.Set[f]; ok {
					rename(&v)
					c.Set[f] = v
				}
			}
		}
		for _, q := range g.p.Questions {
			rename(&q.From)
			rename(&q.To)
		}
		if got := summary(check(g.p)); !slices.Equal(got, want) {
			t.Fatalf("seed %d:\n%s\nwas\n%s", seed, strings.Join(got, "\n"), strings.Join(want, "\n"))
		}
	}
}

// The same project gives the same findings, to the byte.
func TestFindingsAreTheSameEveryTime(t *testing.T) {
	for seed := range uint64(20) {
		want := print(check(dirty(seed).p))
		for range 3 {
			if got := print(check(dirty(seed).p)); got != want {
				t.Fatalf("seed %d:\n%s\nwas\n%s", seed, got, want)
			}
		}
	}
}
