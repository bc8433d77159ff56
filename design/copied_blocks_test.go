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

// inUnits gives the workloads of a bench their units.
func (b *bench) inUnits(symbols ...string) *bench {
	for w, symbol := range symbols {
		unit, ok := project.ParseUnit(symbol)
		if !ok {
			panic(symbol)
		}
		b.p.Workloads[w].Unit = unit
	}
	return b
}

// pasteAll puts every reading that is there in once more, with new repeats.
func (b *bench) pasteAll(repeats int) *bench {
	for _, r := range slices.Clone(b.p.Readings) {
		b.again(int(r.Configuration), int(r.Workload), int(r.Repeat)+repeats, strings.TrimSpace(b.p.Written(&r)))
	}
	return b
}

// everyTwice picks the findings that speak of whole passes.
func everyTwice(b *bench) []schema.Finding {
	return slices.DeleteFunc(copied(b), func(f schema.Finding) bool { return !strings.Contains(f.Message, "every run stands there twice") })
}

// One run on each configuration, pasted in whole a second time: nothing varies.
func TestPastedPassIsFound(t *testing.T) {
	for name, c := range map[string]struct {
		bench *bench
		says  string
	}{
		"two workloads":    {measured(1, 5, 1, 2, 0.01, 0.01).inUnits("s", "fps").pasteAll(1), "on 5 of 5 configurations with several runs, every run stands there twice, to the last digit: 10 readings"},
		"one workload":     {measured(1, 8, 1, 2, 0.01).inUnits("s").pasteAll(1), "8 readings"},
		"pasted two times": {measured(1, 5, 1, 2, 0.01, 0.01).inUnits("s", "MB/s").pasteAll(1).pasteAll(2), "30 readings"},
		"three digits":     {measured(1, 20, 1, 1, 0.01, 0.01).inUnits("s", "W").pasteAll(1), "on 20 of 20"},
		"with scores":      {measured(1, 6, 1, 2, 0.01, 0.01, 0.01).inUnits("s", "point", "fps").pasteAll(1), "12 readings"},
		"with a cap":       {measured(1, 6, 1, 2, 0.01, 0, 0.01).inUnits("s", "W", "fps").pasteAll(1), "on 6 of 6"},
	} {
		found := copied(c.bench)
		if len(found) != 1 || !strings.Contains(found[0].Message, c.says) || len(found[0].Related) != 1 || found[0].Place == found[0].Related[0].Place {
			t.Errorf("%s: %s", name, print(found))
		}
	}
	// The baseline was read three times, the others once, and all was pasted.
	b := measured(7, 20, 1, 2, 0.01, 0.01).inUnits("s", "fps")
	for repeat := 2; repeat <= 3; repeat++ {
		b.again(0, 0, repeat, strconv.FormatFloat(50+0.31*float64(repeat), 'f', 2, 64))
		b.again(0, 1, repeat, strconv.FormatFloat(63-0.27*float64(repeat), 'f', 2, 64))
	}
	b.pasteAll(3)
	if found := everyTwice(b); len(found) != 1 || !strings.Contains(found[0].Message, "on 20 of 20") {
		t.Error(print(copied(b)))
	}
}

func TestWhatMayWellRepeatIsNoPastedPass(t *testing.T) {
	for name, b := range map[string]*bench{
		"scores and sizes":      measured(2, 8, 1, 2, 0.01, 0.01).inUnits("point", "MB"),
		"two digits":            measured(2, 8, 1, 0, 0.01, 0.01).inUnits("s", "fps"),
		"five readings":         measured(2, 5, 1, 2, 0.01).inUnits("s"),
		"one number everywhere": measured(2, 8, 1, 2, 0).inUnits("s"),
		"a coarse clock":        measured(2, 8, 1, 1, 0.01).inUnits("s"),
	} {
		if name == "a coarse clock" {
			b.p.Workloads[0].Resolution = 0.5
		}
		if name == "one number everywhere" {
			for i := range b.p.Readings {
				r := &b.p.Readings[i]
				r.Value, r.Raw = 60, 60
				b.p.Write(r, "60.00", "", "")
			}
		}
		if found := copied(b.pasteAll(1)); len(found) > 0 {
			t.Errorf("%s: %s", name, print(found))
		}
	}
	// Clocks are read in steps of a hundred megahertz.
	b := newBench()
	b.session("first")
	b.workload("clock")
	b.inUnits("MHz")
	for c := range 12 {
		b.configuration("c-" + strconv.Itoa(c))
		b.again(c, 0, 1, strconv.Itoa(3200+100*c))
	}
	if found := copied(b.pasteAll(1)); len(found) > 0 {
		t.Errorf("clocks: %s", print(found))
	}
	// What is declared to be deterministic, unless its readings say otherwise.
	b = measured(2, 8, 1, 2, 0.01, 0.01).inUnits("s", "fps").pasteAll(1)
	for _, w := range b.p.Workloads {
		w.Deterministic = true
	}
	if found := copied(b); len(found) > 0 {
		t.Errorf("declared: %s", print(found))
	}
	b = measured(3, 5, 3, 2, 0.01, 0.01, 0.01, 0.01)
	b.paste(3, 1, 7)
	for _, w := range b.p.Workloads {
		w.Deterministic = true
	}
	if found := copied(b); len(found) != 1 {
		t.Errorf("declared, but varying: %s", print(found))
	}
	// One workload that varies shows that the second runs were made.
	b = measured(4, 8, 1, 2, 0.01, 0.01, 0.01).inUnits("s", "fps", "W").pasteAll(1)
	random := rand.New(rand.NewPCG(4, 4))
	for i := range b.p.Readings {
		if r := &b.p.Readings[i]; r.Workload == 2 && r.Repeat == 2 {
			x := math.Round(r.Raw*(1+0.02*random.NormFloat64())*100) / 100
			r.Value, r.Raw = x, x
			b.p.Write(r, strconv.FormatFloat(x, 'f', 2, 64), "", "")
		}
	}
	if found := copied(b); len(found) > 0 {
		t.Errorf("one varies: %s", print(found))
	}
}

// Rows of two workloads were copied within the file: for several
// configurations, or for several repeats of one.
func TestPastedBlockOfTwoWorkloadsIsFound(t *testing.T) {
	block := func(b *bench, workloads, configurations []int, from, to int) {
		for _, r := range slices.Clone(b.p.Readings) {
			if slices.Contains(workloads, int(r.Workload)) && slices.Contains(configurations, int(r.Configuration)) && int(r.Repeat) >= from && int(r.Repeat) < to {
				b.again(int(r.Configuration), int(r.Workload), int(r.Repeat)+10, strings.TrimSpace(b.p.Written(&r)))
			}
		}
	}
	for name, c := range map[string]struct {
		workloads, configurations []int
		from, to                  int
		byRun                     bool // how the file was filled
		says                      string
	}{
		"one repeat of three configurations": {[]int{1, 4}, []int{1, 2, 3}, 2, 3, true, `6 readings of "work-1" and "work-4"`},
		"three repeats of one configuration": {[]int{0, 2}, []int{3}, 1, 4, false, `6 readings of "work-0" and "work-2"`},
		"one workload of the whole bench":    {[]int{2}, []int{0, 1, 2, 3, 4}, 1, 2, true, `5 readings of "work-2"`},
	} {
		b := measured(5, 5, 3, 2, 0.01, 0.01, 0.01, 0.01, 0.01)
		if c.byRun {
			slices.SortStableFunc(b.p.Readings, func(x, y project.Reading) int { return int(x.Repeat - y.Repeat) })
		}
		if found := copied(b); len(found) > 0 {
			t.Errorf("%s, before: %s", name, print(found))
		}
		block(b, c.workloads, c.configurations, c.from, c.to)
		found := copied(b)
		if len(found) != 1 || !strings.HasPrefix(found[0].Message, c.says) || len(found[0].Configurations) != len(c.configurations) || len(found[0].Related) != 1 {
			t.Errorf("%s: %s", name, print(found))
		}
	}
	// Two readings of one run are too few, and what hardly varies is no evidence.
	b := measured(5, 5, 3, 2, 0.01, 0.01, 0.01, 0.01, 0.01)
	block(b, []int{1, 4}, []int{2}, 2, 3)
	if found := copied(b); len(found) > 0 {
		t.Error(print(found))
	}
	b = measured(5, 5, 3, 1, 0.0004, 0.0004)
	block(b, []int{0, 1}, []int{1, 2, 3}, 2, 3)
	if found := copied(b); len(found) > 0 {
		t.Error(print(found))
	}
}

// Honest benches are hardly ever taken for pasted ones, be they as steady as
// few machines are.
func TestHonestPassesAreHardlyEverCalledCopied(t *testing.T) {
	alarms := 0
	const benches = 600
	for seed := range uint64(benches) {
		spread := []float64{0.0005, 0.001, 0.002, 0.01}[seed%4]
		repeats := 2 + int(seed/4%3)
		b := measured(seed, 8, repeats, int(seed/12%3), spread, spread).inUnits("s", "fps")
		alarms += len(copied(b))
	}
	if alarms > benches/100 {
		t.Errorf("%d false alarms on %d benches", alarms, benches)
	}
}

// A workload says of itself that its runs always agree.
func TestDeterministicIsDeclaredInTheFolder(t *testing.T) {
	const results = "-- results/readings.csv --\nconfiguration,session,order,encode,pack\n" +
		"base,first,1,102.14,613.4\nfast,first,2,84.31,551.7\nwide,first,3,98.22,598.2\n" +
		"base,first,4,102.14,613.4\nfast,first,5,84.31,551.7\nwide,first,6,98.22,598.2\n"
	for declared, count := range map[string]int{"": 1, ", deterministic: false": 1, ", deterministic: true": 0} {
		example := "-- workloads.yaml --\nworkloads:\n  encode: {label: Encoding, metric: time per job, unit: s, better: lower" + declared + "}\n" +
			"  pack: {label: Packing, metric: time per job, unit: s, better: lower" + declared + "}\n" + results
		if found := of("copied-readings", check(load(t, example))); len(found) != count {
			t.Errorf("%q: %s", declared, print(found))
		}
	}
}
