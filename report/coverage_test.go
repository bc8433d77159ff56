package report

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"testing"

	"benchwright/project"
)

var (
	coverageTable = flag.Bool("coverage-table", false, "print the coverage of the published figures as a Markdown table")
	coverageReps  = flag.Int("coverage-reps", 4000, "simulated reports per line of the table")
)

// planned is how a simulated report was read: in sessions that differ by 3 %, each
// with so many readings of either side, whose repeats differ by 1 %.
type planned struct {
	sessions, readings int
	scale              project.Scale
}

func (d planned) String() string {
	text := fmt.Sprintf("%d × %d", d.sessions, d.readings)
	if d.scale == project.IntervalScale {
		text += ", a temperature"
	}
	return text
}

// simulate publishes one report of three workloads and gives its figures of them
// and the overall one, which interval scales do not have.
func (d planned) simulate(t *testing.T, random *rand.Rand, worth float64) (each []Figure, overall Figure) {
	m := make1()
	m.MinimumRepeats = 1
	fans := m.factor("fans", project.Studied, "", 1, 2)
	for w := range 3 {
		m.Workloads[m.workload("w"+strconv.Itoa(w), "fps", true)].Scale = d.scale
	}
	m.configuration("one", 1)
	m.configuration("two", 2)
	for s := range d.sessions {
		m.session("s" + strconv.Itoa(s))
		for w := range 3 {
			day := 0.03 * random.NormFloat64()
			for c := range 2 {
				for i := range d.readings {
					v := day + 0.01*random.NormFloat64() + float64(c)*worth
					if d.scale == project.RatioScale {
						v = 100 * math.Exp(v)
					} else {
						v = 40 + 100*v
					}
					m.read1(c, w, s, i, v)
				}
			}
		}
	}
	m.question("fans", fans, 1, 2)
	m.overall()
	r := m.build(t)
	for w := range r.Workloads {
		if d.scale == project.IntervalScale {
			each = append(each, r.Difference(0, 1, w))
		} else {
			each = append(each, r.Cells[1][w].Relative)
		}
	}
	return each, r.Questions[0].Overall
}

// Each figure that a page publishes, through all that chooses its method, is held
// against a truth that is known. Nominal: 95 % (the standard error of 200 reports
// is 1.5 percentage points).
func TestPublishedIntervalsHoldTheTruth(t *testing.T) {
	reps := 200
	if *coverageTable {
		reps = *coverageReps
		fmt.Println("| sessions × readings of a side | interval | holds the truth | truth below | truth above |\n| --- | --- | ---: | ---: | ---: |")
	}
	const worth = 0.02
	for n, d := range []planned{
		{1, 3, project.RatioScale}, {1, 5, project.RatioScale}, {2, 1, project.RatioScale}, {2, 2, project.RatioScale},
		{3, 1, project.RatioScale}, {3, 3, project.RatioScale},
		{1, 3, project.IntervalScale}, {2, 2, project.IntervalScale}, {3, 1, project.IntervalScale},
	} {
		random := rand.New(rand.NewPCG(95, uint64(n)))
		type count struct{ of, below, above int }
		var each, overall count
		method := ""
		take := func(c *count, f Figure, truth float64) {
			if f.Confidence == 0 {
				t.Fatalf("%v: no interval: %+v", d, f)
			}
			c.of++
			if truth < f.Low {
				c.below++
			}
			if truth > f.High {
				c.above++
			}
		}
		for range reps {
			figures, mean := d.simulate(t, random, worth)
			truth := math.Exp(worth)
			if d.scale == project.IntervalScale {
				truth = 100 * worth
			} else {
				take(&overall, mean, truth)
			}
			take(&each, figures[0], truth)
			method = figures[0].Method
		}
		show := func(what string, c count) {
			if c.of == 0 {
				return
			}
			share := func(n int) float64 { return 100 * float64(n) / float64(c.of) }
			holds := share(c.of - c.below - c.above)
			if *coverageTable {
				fmt.Printf("| %s | %s | %.1f %% | %.1f %% | %.1f %% |\n", d, what, holds, share(c.below), share(c.above))
			}
			if holds < 90.5 {
				t.Errorf("%s, %s: holds the truth in %.1f %% of %d reports", d, what, holds, c.of)
			}
		}
		show(method, each)
		show("overall, three workloads", overall)
	}
}
