package design

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"benchwright/project"
	"benchwright/stats"
)

// spreadBy writes repeats of both sides whose logarithms spread by sd about their
// means, exactly: ±d, 0 has the standard deviation d.
func spreadBy(sd float64) string {
	rows := "-- results/readings.csv --\nconfiguration,workload,session,value\n"
	for c, mean := range map[string]float64{"base": 100, "fast": 84} {
		for _, z := range []float64{-1, 0, 1} {
			rows += fmt.Sprintf("%s,encode,first,%.6f\n", c, mean*math.Exp(z*sd))
		}
	}
	return rows
}

// As many repeats are planned as show the difference that was named, by R 4.2.2:
// ceiling(power.t.test(delta = log(1.02), sd = SD, power = 0.8, strict = TRUE)$n).
func TestPlanReadsWhatADifferenceNeeds(t *testing.T) {
	// Two cells of three repeats have four degrees of freedom, which is little.
	for _, c := range []struct {
		sd             float64
		needed, wanted int
		says           string
	}{
		{0.012, 7, 7, "its spread is known from few repeats only"},
		{0.015, 11, 11, "its spread is known from few repeats only"},
		{0.002, 2, 3, "its spread is known from few repeats only"}, // no fewer than the report wants
		{0.030, 38, 20, "20 are planned: beyond that"},
		{0, 0, 3, "the spread is not known yet: read 3 of each first"},
	} {
		s := NewSpace(load(t, spreadBy(c.sd)))
		p := s.Plan(PlanOptions{Difference: 2})
		x := p.Needed[0]
		if x.Workload != "encode" || x.Needed != c.needed || x.Wanted != c.wanted || x.There != 3 || !strings.HasPrefix(x.Text, c.says) || (c.says == "") != (x.Text == "") {
			t.Errorf("spread %v: %+v", c.sd, x)
		}
		if c.needed > 0 && math.Abs(x.Spread-c.sd) > 1e-6 {
			t.Errorf("spread %v is told as %v", c.sd, x.Spread)
		}
		if p.RepeatsFrom != ByDifference || p.Repeats != c.wanted {
			t.Errorf("spread %v: %d from %s", c.sd, p.Repeats, p.RepeatsFrom)
		}
		times := 0
		for _, v := range p.Visits {
			if v.Configuration == "fast" {
				times++
			}
		}
		if times != c.wanted-3 {
			t.Errorf("spread %v: fast is read %d times more, want %d", c.sd, times, c.wanted-3)
		}
		// Who names the repeats gets those, and is told what would be needed.
		asked := s.Plan(PlanOptions{Difference: 2, Repeats: 4})
		if y := asked.Needed[0]; asked.Repeats != 4 || asked.RepeatsFrom != AsAsked || y.Wanted != 4 || y.Needed != c.needed {
			t.Errorf("spread %v, 4 rounds: %d from %s, %+v", c.sd, asked.Repeats, asked.RepeatsFrom, y)
		}
	}
	if p := NewSpace(load(t, spreadBy(0.012))).Plan(PlanOptions{}); len(p.Needed) > 0 || p.Repeats != 3 {
		t.Errorf("no difference was named: %+v", p.Needed)
	}
}

// What sessions differ by is no spread of repeats, and a scale without ratios has
// no per cent.
func TestNeededRepeatsGoByTheSpreadWithin(t *testing.T) {
	b := newBench()
	b.factor("processor", project.Studied)
	b.configuration("base", "processor=slow")
	b.configuration("fast", "processor=fast")
	b.workload("encode")
	b.workload("heat").Scale = project.IntervalScale
	b.question("faster", "processor", "slow", "fast")
	b.session("first")
	b.session("second")
	for session, level := range []float64{100, 140} {
		for _, x := range []float64{0.99, 1, 1.01} {
			b.read("base", 0, session, level*x)
			b.read("fast", 0, session, level*x*0.8)
		}
	}
	p := NewSpace(b.p).Plan(PlanOptions{Difference: 2})
	want, err := stats.RepeatsNeeded(math.Log(1.02), p.Needed[0].Spread, 0.95, 0.8, MostLookedAt)
	if x := p.Needed[0]; err != nil || math.Abs(x.Spread-0.01) > 1e-4 || x.Needed != want || x.There != 6 || x.DegreesOfFreedom != 8 {
		t.Errorf("%+v, %v", x, err)
	}
	i := slices.IndexFunc(p.Needed, func(x Needed) bool { return x.Workload == "heat" })
	if x := p.Needed[i]; x.Needed != 0 || x.Wanted != 3 || x.Text == "" {
		t.Errorf("%+v", x)
	}
}

// The bound below which a spread is called little known is where the interval of a
// standard deviation reaches twice the estimate (NIST/SEMATECH e-Handbook 7.2.3.1).
func TestFewDegreesOfFreedom(t *testing.T) {
	beyond := func(df float64) bool { // that the standard deviation is twice the estimate
		p, err := stats.ChiSquareCDF(df/4, df)
		if err != nil {
			t.Fatal(err)
		}
		return p >= 0.025
	}
	if !beyond(fewDegrees-1) || beyond(fewDegrees) {
		t.Errorf("the bound is not at %d", fewDegrees)
	}
}
