package design

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"benchwright/project"
	"benchwright/sample-project"
	"benchwright/schema"
)

// The sample keeps exactly the two findings that it shows on purpose.
func TestSampleHasItsDeliberateFindingsAlone(t *testing.T) {
	folder, read := schema.Read(sampleproject.Files())
	p, typed := project.Load(folder)
	if p == nil || len(read)+len(typed) > 0 {
		t.Fatalf("the sample itself: %v %v", read, typed)
	}
	var got []string
	for _, f := range check(p) {
		got = append(got, fmt.Sprint(f.Rule, " ", f.Severity, " ", f.Configurations, " ", f.Factors, " ", f.Questions))
	}
	want := []string{
		"held-factor-differs warning [new-system two-25-thick] [drive] [newer-system]",
		"question-awaiting-readings notice [new-system-same-drive two-25-thick] [system] [newer-system]",
	}
	if !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}

// ofRules lists the rules that fired.
func ofRules(findings []schema.Finding) []string {
	var list []string
	for _, f := range findings {
		list = append(list, f.Rule)
	}
	slices.Sort(list)
	return slices.Compact(list)
}

// The checker, too, reports the interaction that is confounded with blocks,
// and no main effect.
func TestCheckerOnTheClassicalFieldTrial(t *testing.T) {
	b := npk(t)
	for _, f := range []string{"N", "P", "K"} {
		b.question(f, f, "0", "1")
	}
	found := of("interaction-aliased", check(b.p))
	if len(found) != 1 || found[0].Message != "cannot be told apart: N × P × K = session" {
		t.Errorf("%s", print(found))
	}
	// Three plots of a treatment in three blocks spread by more than 5 %, which is no fault of the plan.
	b.p.LargestSpread = 0.5
	if rules := ofRules(check(b.p)); !slices.Equal(rules, []string{"interaction-aliased"}) {
		t.Errorf("fired: %q", rules)
	}
}

// The coefficients of the blocks for N:P:K, as R 4.2.2 prints them:
// alias(lm(yield ~ block + N*P*K, npk)) with contr.helmert: 1, 1/3, 1/6, −3/10, −1/5.
func TestCoefficientsOfBlocksAgreeWithR(t *testing.T) {
	s := NewSpace(npk(t).p)
	m := s.newModel(s.runs(), StructureOptions{})
	m.fit()
	got := m.dependent[len(m.columns)-1]
	want := []float64{0, 1, 1.0 / 3, 1.0 / 6, -3.0 / 10, -1.0 / 5}
	for k, c := range got {
		w := 0.0
		if k < len(want) {
			w = want[k]
		}
		if math.Abs(c-w) > 1e-12 {
			t.Errorf("coefficient %d is %v, want %v", k, c, w)
		}
	}
}

// Textbook plans: the full factorial, the Latin square and the complete block
// have nothing to report; the fractions have their aliases, and no pairs.
func TestCheckerOnTextbookPlans(t *testing.T) {
	for design, b := range fractions(t) {
		rules := ofRules(check(b.p))
		want := []string{"baseline-odd-one-out", "interaction-aliased"}
		switch design {
		case "2^3_full":
			want = nil
		case "2^(5-1)_E=ABCD":
			want = []string{"baseline-odd-one-out"} // resolution V: nothing aliased below three factors
		}
		if !slices.Equal(rules, want) {
			t.Errorf("%s: fired %q, want %q", design, rules, want)
		}
	}
	b := newBench()
	for _, f := range []string{"row", "column"} {
		b.factor(f, project.Held)
	}
	b.factor("treatment", project.Studied)
	b.p.Factors[0].Role, b.p.Factors[1].Role = project.Studied, project.Studied
	for i := range 16 {
		r, c := i/4, i%4
		b.configuration(fmt.Sprintf("plot-%d", i), fmt.Sprintf("row=r%d", r), fmt.Sprintf("column=c%d", c), fmt.Sprintf("treatment=t%d", (r+c)%4))
	}
	if rules := slices.DeleteFunc(ofRules(check(b.p)), func(r string) bool { return r == "baseline-odd-one-out" }); len(rules) > 0 {
		t.Errorf("the Latin square: fired %q", rules)
	}
}

// Whatever a folder holds, the checker answers and does not panic.
func TestNothingPanics(t *testing.T) {
	words := []string{"", "?", "a", "b", "1", "2", "1e300", "-5"}
	for seed := range uint64(400) {
		r := rand.New(rand.NewPCG(seed, 9))
		b := newBench()
		word := func() string { return words[r.IntN(len(words))] }
		for f := range r.IntN(6) {
			factor := b.factor(fmt.Sprintf("f%d", f), project.Role(r.IntN(4)))
			if f > 0 && r.IntN(2) == 0 {
				factor.Of = []int{r.IntN(f + 1)}
			}
			factor.Numeric = r.IntN(2) == 0
			factor.Tolerance.Absolute = float64(r.IntN(2))
			factor.Limit = project.Limit{HasMost: r.IntN(2) == 0, Most: 1}
			for range r.IntN(3) {
				level := project.Level{Value: value(word())}
				if r.IntN(2) == 0 {
					level.Brings = map[int]project.Value{r.IntN(f + 1): value(word())}
				}
				factor.Levels = append(factor.Levels, level)
			}
		}
		n := len(b.p.Factors)
		for c := range r.IntN(7) {
			configuration := b.configuration(fmt.Sprintf("c%d", c))
			for f := range n {
				configuration.Values[f] = project.Resolved{Value: value(word()), Origin: project.OriginKind(r.IntN(9))}
				if r.IntN(4) == 0 {
					configuration.Measured = append(configuration.Measured, project.Identity{Factor: f, Value: value(word())})
					configuration.Displayed = append(configuration.Displayed, project.Identity{Factor: f, Value: value(word())})
				}
			}
		}
		for s := range r.IntN(3) {
			session := b.session(fmt.Sprintf("s%d", s))
			for f := range n {
				if r.IntN(3) == 0 {
					session.Values[f] = value(word())
				}
			}
		}
		for w := range r.IntN(3) {
			workload := b.workload(fmt.Sprintf("w%d", w))
			workload.Scale = project.Scale(r.IntN(2))
			workload.HasTarget, workload.Target = r.IntN(2) == 0, 3
		}
		for q := range r.IntN(4) {
			if n > 0 {
				question := b.question(fmt.Sprintf("q%d", q), fmt.Sprintf("f%d", r.IntN(n)), word(), word())
				if r.IntN(2) == 0 {
					question.With = []int{r.IntN(n)}
				}
			}
		}
		b.p.Baseline = r.IntN(max(1, len(b.p.Configurations)))
		values := []float64{0, 1, 1, 1.01, 2, 60, 100, -1, 1e12, math.MaxFloat64 / 4}
		if len(b.p.Configurations)*len(b.p.Workloads) > 0 {
			for range r.IntN(60) {
				v := values[r.IntN(len(values))]
				one := project.Reading{Configuration: int32(r.IntN(len(b.p.Configurations))), Workload: int32(r.IntN(len(b.p.Workloads))),
					Session: int32(r.IntN(len(b.p.Sessions)+1) - 1), Repeat: int32(r.IntN(5)), Order: int32(r.IntN(9)), Outcome: project.Outcome(r.IntN(6)),
					HasValue: r.IntN(5) > 0, Value: v, Raw: v, Line: int32(len(b.p.Readings) + 2)}
				b.p.Write(&one, fmt.Sprint(v), "", "")
				b.p.Readings = append(b.p.Readings, one)
			}
		}
		s := NewSpace(b.p)
		for _, f := range Check(b.p, s) {
			if strings.Contains(f.Message, "NaN") || strings.Contains(f.Message, "Inf") || strings.Contains(f.Message, "%!") {
				t.Errorf("seed %d: %s: %s", seed, f.Rule, f.Message)
			}
		}
		s.Questions()
		for a := range b.p.Configurations {
			for c := range b.p.Configurations {
				s.Explain(a, c)
			}
		}
	}
}

// Nominal and found numbers agree within 2 % when no tolerance is declared.
func TestNominalValuesAgreeWithFoundOnes(t *testing.T) {
	b := newBench()
	b.factor("bus", project.Held).Numeric = true
	b.configuration("a", "bus=66")
	for text, want := range map[string]bool{"66": false, "66.7": false, "67.3": false, "67.5": true, "64.6": true, "75": true} {
		b.p.Configurations[0].Displayed = []project.Identity{{Factor: 0, Value: value(text)}}
		if got := len(of("displayed-never-resolved", check(b.p))) > 0; got != want {
			t.Errorf("66 set, %s displayed: found is %v", text, got)
		}
	}
	b.p.Factors[0].Tolerance.Absolute = 10
	b.p.Configurations[0].Displayed = []project.Identity{{Factor: 0, Value: value("75")}}
	if found := of("displayed-never-resolved", check(b.p)); len(found) > 0 {
		t.Errorf("within a declared tolerance: %s", print(found))
	}
}
