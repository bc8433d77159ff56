package design

import (
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"

	"benchwright/project"
	"benchwright/schema"
)

// measured is a bench of some configurations, read several times on workloads
// whose numbers are written with so many decimals and spread by so much of
// themselves. A spread of zero gives the same number on every repeat.
func measured(seed uint64, configurations, repeats int, decimals int, spreads ...float64) *bench {
	random := rand.New(rand.NewPCG(seed, 11))
	b := newBench()
	b.session("first")
	for w := range spreads {
		b.workload("work-" + strconv.Itoa(w))
	}
	for c := range configurations {
		b.configuration("c-" + strconv.Itoa(c))
		for repeat := range repeats {
			for w, spread := range spreads {
				x := (50 + 13*float64(w) + 3*float64(c)) * (1 + spread*random.NormFloat64())
				b.again(c, w, repeat+1, strconv.FormatFloat(x, 'f', decimals, 64))
			}
		}
	}
	return b
}

// again adds a reading as it was written.
func (b *bench) again(c, w, repeat int, written string) {
	x, err := strconv.ParseFloat(written, 64)
	if err != nil {
		panic(err)
	}
	r := project.Reading{Configuration: int32(c), Workload: int32(w), Session: 0, Repeat: int32(repeat),
		HasValue: true, Value: x, Raw: x, Line: int32(len(b.p.Readings) + 2)}
	b.p.Write(&r, written, "", "")
	b.p.Readings = append(b.p.Readings, r)
}

// paste puts one run of a configuration in once more, as another repeat.
func (b *bench) paste(c, from, to int) {
	for _, r := range slices.Clone(b.p.Readings) {
		if int(r.Configuration) == c && int(r.Repeat) == from {
			b.again(c, int(r.Workload), to, strings.TrimSpace(b.p.Written(&r)))
		}
	}
}

func copied(b *bench) []schema.Finding { return of("copied-readings", check(b.p)) }

func TestPastedRunIsFound(t *testing.T) {
	for name, b := range map[string]*bench{
		"among several repeats":            measured(1, 5, 3, 2, 0.01, 0.01, 0.01, 0.01, 0.01),
		"half of the workloads are capped": measured(1, 5, 3, 2, 0.01, 0, 0.01, 0),
		"each configuration was read once": measured(1, 5, 1, 2, 0.01, 0.01, 0.01, 0.01),
	} {
		if found := copied(b); len(found) > 0 {
			t.Errorf("%s, before: %s", name, print(found))
		}
		b.paste(3, 1, 7)
		found := copied(b)
		if len(found) != 1 || !slices.Equal(found[0].Configurations, []string{"c-3"}) || len(found[0].Workloads) != len(b.p.Workloads) ||
			!strings.Contains(found[0].Message, `repeat 7 of "first" has the same readings as repeat 1 of "first"`) || len(found[0].Related) != 1 {
			t.Errorf("%s: %s", name, print(found))
		}
	}
}

func TestRunPastedSeveralTimesIsOneFinding(t *testing.T) {
	b := measured(2, 5, 3, 2, 0.01, 0.01, 0.01, 0.01)
	b.paste(1, 2, 8)
	b.paste(1, 2, 9)
	if found := copied(b); len(found) != 1 || !strings.Contains(found[0].Message, `repeat 8 of "first" and repeat 9 of "first" have`) {
		t.Error(print(found))
	}
}

// What a run lacks says nothing: the other workloads do.
func TestPastedPartOfARunIsFound(t *testing.T) {
	b := measured(3, 5, 3, 2, 0.01, 0.01, 0.01, 0.01, 0.01, 0.01)
	b.paste(4, 1, 8)
	b.p.Readings = slices.DeleteFunc(b.p.Readings, func(r project.Reading) bool { return r.Repeat == 8 && r.Workload == 0 })
	if found := copied(b); len(found) != 1 || len(found[0].Workloads) != 5 {
		t.Error(print(found))
	}
}

func TestRunsThatMayWellAgreeAreNoCopies(t *testing.T) {
	for name, b := range map[string]*bench{
		"whole numbers of two digits":        measured(4, 5, 3, 0, 0.01, 0.01, 0.01, 0.01, 0.01),
		"three workloads":                    measured(4, 5, 3, 2, 0.01, 0.01, 0.01),
		"most workloads are capped":          measured(4, 5, 3, 2, 0.01, 0, 0, 0, 0.01),
		"every repeat gives the same number": measured(4, 5, 3, 2, 0, 0, 0, 0, 0, 0),
		"a spread within the last digit":     measured(4, 5, 3, 1, 0.001, 0.001, 0.001, 0.001),
	} {
		b.paste(3, 1, 7)
		for _, f := range copied(b) {
			if strings.Contains(f.Message, "repeat 7") {
				t.Errorf("%s: %s", name, print([]schema.Finding{f}))
			}
		}
	}
	// One run that went wrong does not make the others of such a bench suspect.
	b := measured(4, 5, 3, 2, 0, 0, 0, 0, 0, 0)
	for i := range b.p.Readings {
		if r := &b.p.Readings[i]; r.Configuration == 2 && r.Repeat == 2 {
			x := math.Round(137*r.Raw) / 100
			r.Value, r.Raw = x, x
			b.p.Write(r, strconv.FormatFloat(x, 'f', 2, 64), "", "")
		}
	}
	if found := copied(b); len(found) > 0 {
		t.Error(print(found))
	}
	// Nor do three workloads and what is computed from them, or from their files.
	b = measured(5, 5, 3, 2, 0.01, 0.01, 0.01, 0.01, 0.01)
	b.p.Workloads[3].Derived = &project.Formula{}
	b.p.Workloads[4].FrameTimes, b.p.Workloads[4].FramesOf = "p99-time", "work-0"
	b.paste(3, 1, 7)
	if found := copied(b); len(found) > 0 {
		t.Error(print(found))
	}
}

// Honest benches of every coarseness are not called copied.
func TestHonestRunsAreHardlyEverCalledCopied(t *testing.T) {
	alarms := 0
	const benches = 600
	for seed := range uint64(benches) {
		spread := []float64{0.0004, 0.001, 0.002, 0.005, 0.02}[seed%5]
		alarms += len(copied(measured(seed, 6, 5, int(seed/5%3), spread, spread, spread, spread)))
	}
	if alarms > benches/100 {
		t.Errorf("%d false alarms on %d benches", alarms, benches)
	}
}

// Other places for configurations, workloads and rows change nothing.
func TestOrderChangesNothingAboutCopies(t *testing.T) {
	for seed := range uint64(40) {
		b := measured(seed, 6, 3, 2, 0.01, 0, 0.01, 0.01, 0.01)
		b.paste(int(seed%6), 2, 4)
		b.paste(int(seed%5), 1, 5)
		said := func() []string {
			found := copied(b)
			list := summary(found)
			for _, f := range found {
				list = append(list, f.Message)
			}
			slices.Sort(list)
			return list
		}
		want := said()
		if len(want) != 4 {
			t.Fatalf("seed %d: %q", seed, want)
		}
		random := rand.New(rand.NewPCG(seed, 12))
		at, which := random.Perm(len(b.p.Configurations)), random.Perm(len(b.p.Workloads))
		configurations, workloads := make([]*project.Configuration, len(at)), make([]*project.Workload, len(which))
		for old, c := range b.p.Configurations {
			c.Index = at[old]
			configurations[at[old]] = c
		}
		for old, w := range b.p.Workloads {
			w.Index = which[old]
			workloads[which[old]] = w
		}
		b.p.Configurations, b.p.Workloads = configurations, workloads
		for i := range b.p.Readings {
			r := &b.p.Readings[i]
			r.Configuration, r.Workload = int32(at[r.Configuration]), int32(which[r.Workload])
		}
		random.Shuffle(len(b.p.Readings), func(i, j int) { b.p.Readings[i], b.p.Readings[j] = b.p.Readings[j], b.p.Readings[i] })
		if got := said(); !slices.Equal(got, want) {
			t.Fatalf("seed %d:\n%s\nwas\n%s", seed, strings.Join(got, "\n"), strings.Join(want, "\n"))
		}
	}
}

// As many readings as two thousand configurations of forty workloads have.
func BenchmarkCheckOfFortyWorkloads(b *testing.B) {
	spreads := make([]float64, 40)
	for w := range spreads {
		spreads[w] = 0.01
	}
	p := measured(1, 2000, 5, 2, spreads...).p
	for b.Loop() {
		Check(p, NewSpace(p))
	}
}
