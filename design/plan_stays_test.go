package design

import (
	"testing"

	"benchwright/project"
)

// Whoever does what a plan says, and nothing else, has before every visit what its
// configuration says, on a bench where a drive keeps its filling and firmware.
func TestWhatStaysWithAPartIsAsItWasLeft(t *testing.T) {
	b := counted([]int{3, 2, 2, 2}, []float64{10, 20, 15, 5})
	drive := b.p.Factors[0]
	for _, kept := range []int{1, 2} {
		b.p.Factors[kept].StaysWith = drive
	}
	for f := range 4 {
		b.question("q"+string(rune('0'+f)), b.p.Factors[f].ID, "l0", "l1")
	}
	b.workload("write")
	for seed := range uint64(5) {
		plan := NewSpace(b.p).Plan(PlanOptions{Seed: seed + 1, Repeats: 2})
		if len(plan.Visits) < 20 {
			t.Fatalf("only %d visits", len(plan.Visits))
		}
		machine := map[string]string{} // what the machine keeps
		parts := map[[2]string]string{}
		wants := func(v Visit, f *project.Factor) string {
			return b.p.Configurations[v.configuration].Values[f.Index].Value.Text
		}
		minutes := 0.0
		for n, v := range plan.Visits {
			in := wants(v, drive)
			changed := map[string]bool{}
			for _, c := range v.Changes {
				f := b.p.Factors[b.index(c.Factor)]
				at, kept := [2]string{c.Factor, in}, f.StaysWith != nil
				was := machine[c.Factor]
				if kept {
					was = parts[at]
				}
				if c.From != was {
					t.Errorf("seed %d, visit %d: %s goes from %q, and it is %q", seed, n+1, c.Factor, c.From, was)
				}
				if kept {
					parts[at] = c.To
				} else {
					machine[c.Factor] = c.To
				}
				changed[c.Factor] = true
				minutes += c.Minutes
			}
			for _, f := range b.p.Factors {
				want, at := wants(v, f), [2]string{f.ID, in}
				if n == 0 { // the bench as it stands at the beginning
					machine[f.ID] = want
					if f.StaysWith != nil {
						parts[at] = want
					}
				}
				have := machine[f.ID]
				if f.StaysWith != nil {
					have = parts[at]
				}
				if have != want {
					t.Errorf("seed %d, visit %d: %s is %q, and %q is to be measured (changes %v)", seed, n+1, f.ID, have, want, v.Changes)
				}
			}
		}
		if minutes != plan.SwapMinutes {
			t.Errorf("seed %d: the changes take %v min, the plan says %v", seed, minutes, plan.SwapMinutes)
		}
	}
}
