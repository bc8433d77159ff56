package design

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io/fs"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"benchwright/project"
	sampleproject "benchwright/sample-project"
	"benchwright/schema"
)

// thinned is a clean project made at random, with the times of swaps and
// workloads, from which readings were taken away.
func thinned(seed uint64) *bench {
	g := clean(seed)
	random := rand.New(rand.NewPCG(seed, 11))
	for _, f := range g.p.Factors {
		if random.IntN(4) > 0 {
			f.SwapMinutes = float64(random.IntN(30))
		}
	}
	for _, w := range g.p.Workloads {
		w.Minutes = float64(random.IntN(8))
	}
	g.p.Baseline = random.IntN(len(g.p.Configurations))
	keep := random.IntN(4) // of 4
	g.p.Readings = slices.DeleteFunc(g.p.Readings, func(r project.Reading) bool {
		return keep == 0 || random.IntN(4) >= keep || int(r.Configuration)%5 == 3
	})
	return g.bench
}

// TestPlanKeepsItsPromises looks at plans for projects made at random.
// What was read in another state of its configuration, and is to be excluded or
// made a configuration of its own, is no repeat.
func TestPlanCountsNoReadingOfAnotherState(t *testing.T) {
	read := "-- results/readings.csv --\nconfiguration,workload,session,value\n"
	for _, v := range []string{"102.1", "102.3"} {
		read += "base,encode,first," + v + "\nfast,encode,first,84" + v[3:] + "\n"
	}
	for _, v := range []string{"102.2", "102.4"} {
		read += "base,encode,second," + v + "\nfast,encode,second,84" + v[3:] + "\n"
	}
	for _, c := range []struct {
		firmware string
		have     int
	}{{"1.1", 2}, {"1.0", 4}} {
		days := "-- sessions.yaml --\nsessions:\n" +
			"  first: {date: 2026-02-01, values: {room: 21 °C}}\n" +
			"  second: {date: 2026-02-02, values: {room: 21 °C, firmware: \"" + c.firmware + "\"}}\n"
		p := NewSpace(load(t, days+read)).Plan(PlanOptions{Repeats: 5})
		said := slices.ContainsFunc(p.Remarks, func(r string) bool { return strings.Contains(r, "is not counted") })
		if len(p.Wants[0].Cells) != 2 || p.Wants[0].Cells[0].Have != c.have || said != (c.have == 2) {
			t.Errorf("firmware %s: %+v, %q", c.firmware, p.Wants[0].Cells, p.Remarks)
		}
	}
}

func TestPlanKeepsItsPromises(t *testing.T) {
	planned := 0
	for seed := range uint64(50) {
		b := thinned(seed)
		s := NewSpace(b.p)
		o := PlanOptions{Repeats: int(seed%4) * 2, Seed: seed}
		balanced := s.Plan(o)
		o.Order = Shortest
		shortest := s.Plan(o)
		if len(balanced.Visits) > 0 {
			planned++
		}
		for _, p := range []*Plan{&balanced, &shortest} {
			checkPromises(t, s, p, fmt.Sprintf("seed %d, %s", seed, p.Order))
		}
		if shortest.SwapMinutes > balanced.SwapMinutes+1e-9 {
			t.Errorf("seed %d: the shortest order swaps for %v, the balanced for %v", seed, shortest.SwapMinutes, balanced.SwapMinutes)
		}
		if balanced.Other.SwapMinutes != shortest.SwapMinutes || shortest.Other.SwapMinutes != balanced.SwapMinutes {
			t.Errorf("seed %d: what is said of the other order is not what it comes to", seed)
		}
		if naive := naiveMinutes(s, &shortest); shortest.SwapMinutes > naive+1e-9 {
			t.Errorf("seed %d: %v minutes, %v as the configurations come", seed, shortest.SwapMinutes, naive)
		}
		if first, second := asJSON(t, s.Plan(o)), asJSON(t, NewSpace(b.p).Plan(o)); !bytes.Equal(first, second) {
			t.Errorf("seed %d: the same project gives two plans", seed)
		}
	}
	if planned < 25 {
		t.Errorf("only %d of the projects lacked anything", planned)
	}
}

func asJSON(t *testing.T, p Plan) []byte {
	t.Helper()
	data, err := json.Marshal(p)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

func checkPromises(t *testing.T, s *Space, p *Plan, name string) {
	t.Helper()
	got := map[[2]string]int{}
	visited := map[string]bool{}
	minutes := 0.0
	inRound := map[string]int{}
	for i, v := range p.Visits {
		visited[v.Configuration] = true
		minutes += v.Minutes
		for _, w := range v.Workloads {
			got[[2]string{v.Configuration, w}]++
		}
		if v.Order != i+1 {
			t.Errorf("%s: visit %d has number %d", name, i, v.Order)
		}
		if v.Baseline != (v.configuration == s.p.Baseline) {
			t.Errorf("%s: visit %d takes %s for the baseline", name, v.Order, v.Configuration)
		}
		if !v.Baseline {
			if inRound[v.Configuration] == v.Round {
				t.Errorf("%s: %s twice in round %d", name, v.Configuration, v.Round)
			}
			inRound[v.Configuration] = v.Round
		}
		if i == 0 {
			continue
		}
		for f := range s.p.Factors {
			told := slices.ContainsFunc(v.Changes, func(c Swap) bool { return c.Factor == s.p.Factors[f].ID })
			if role := s.p.Factors[f].Role; told != (role == project.Studied && s.status(f, p.Visits[i-1].configuration, v.configuration) == differs) {
				t.Errorf("%s: visit %d, factor %s: told is %v", name, v.Order, s.p.Factors[f].ID, told)
			}
		}
	}
	if math.Abs(minutes-p.Minutes()) > 1e-6 {
		t.Errorf("%s: the visits take %v, the session %v", name, minutes, p.Minutes())
	}
	base := s.p.Configurations[s.p.Baseline].ID
	if n := len(p.Visits); n > 0 && (p.Visits[0].Configuration != base || p.Visits[n-1].Configuration != base) {
		t.Errorf("%s: begins with %s and ends with %s", name, p.Visits[0].Configuration, p.Visits[n-1].Configuration)
	}
	for i := 1; i < len(p.Visits) && len(visited) > 1; i++ {
		if p.Visits[i].Configuration == p.Visits[i-1].Configuration {
			t.Errorf("%s: %s twice in a row", name, p.Visits[i].Configuration)
		}
	}
	most := 0
	for _, w := range p.Wants {
		for _, cell := range w.Cells {
			key := [2]string{cell.Configuration, cell.Workload}
			need := cell.Want - cell.Have
			most = max(most, need)
			if got[key] < need {
				t.Errorf("%s: %v is read %d times, lacks %d", name, key, got[key], need)
			}
		}
	}
	if most == 0 && len(p.Visits) > 0 {
		t.Errorf("%s: nothing is missing, and there are %d visits", name, len(p.Visits))
	}
}

// naiveMinutes swaps through each round in the order of the configurations.
func naiveMinutes(s *Space, p *Plan) (sum float64) {
	swap := func(a, b int) (m float64) {
		for f, factor := range s.p.Factors {
			if factor.Role == project.Studied && s.status(f, a, b) == differs {
				m += factor.SwapMinutes
			}
		}
		return m
	}
	here := s.p.Baseline
	for round := 1; round <= p.Rounds; round++ {
		var list []int
		for _, v := range p.Visits {
			if v.Round == round && !v.Baseline {
				list = append(list, v.configuration)
			}
		}
		slices.Sort(list)
		for _, c := range append(list, s.p.Baseline) {
			sum += swap(here, c)
			here = c
		}
	}
	return sum
}

// fullFactorial of so many two-level factors asks about each, without readings.
func fullFactorial(k int) *bench {
	b := counted(slices.Repeat([]int{2}, k), ones(k))
	for f := range k {
		b.question(fmt.Sprintf("q%d", f), fmt.Sprintf("f%d", f), "l0", "l1")
	}
	b.workload("encode").Minutes = 4
	return b
}

// TestEveryCellAsOftenAsNeeded: exactly so, the baseline aside, which is read
// once more for the return.
func TestEveryCellAsOftenAsNeeded(t *testing.T) {
	b := fullFactorial(3)
	b.session("first")
	b.read("run-3", 0, 0, 10)
	b.read("run-3", 0, 0, 11)
	p := NewSpace(b.p).Plan(PlanOptions{Seed: 4, Session: "first"})
	count := map[string]int{}
	for _, v := range p.Visits {
		count[v.Configuration] += len(v.Workloads)
	}
	for c := range 8 {
		want := 3
		switch c {
		case 0:
			want = 4
		case 3:
			want = 1
		}
		if id := fmt.Sprintf("run-%d", c); count[id] != want {
			t.Errorf("%s is read %d times, want %d", id, count[id], want)
		}
	}
	// The one repeat of run-3 stands in the middle round.
	for _, v := range p.Visits {
		if v.Configuration == "run-3" && v.Round != 2 {
			t.Errorf("run-3 in round %d", v.Round)
		}
	}
}

// TestTwoRoundsCancelADrift: with the second round backwards, every
// configuration is visited at the same time on average, so an even drift leaves
// no trace in any difference.
func TestTwoRoundsCancelADrift(t *testing.T) {
	for _, order := range []RunOrder{Balanced, Shortest} {
		p := NewSpace(fullFactorial(3).p).Plan(PlanOptions{Repeats: 2, Seed: 9, Order: order})
		sum, n := map[string]float64{}, map[string]float64{}
		for i, v := range p.Visits {
			sum[v.Configuration] += float64(i)
			n[v.Configuration]++
		}
		middle := float64(len(p.Visits)-1) / 2
		for id := range sum {
			if math.Abs(sum[id]/n[id]-middle) > 1e-9 {
				t.Errorf("%s: %s is at %v on average, the middle is %v", order, id, sum[id]/n[id], middle)
			}
		}
		if p.Fairness.Drift != 0 {
			t.Errorf("%s: drift %v", order, p.Fairness.Drift)
		}
	}
}

// TestFairnessIsACorrelation computes it the long way round.
func TestFairnessIsACorrelation(t *testing.T) {
	for seed := range uint64(20) {
		b := fullFactorial(3)
		p := NewSpace(b.p).Plan(PlanOptions{Repeats: 1 + int(seed%3), Seed: seed})
		worst := 0.0
		for f := range 3 {
			var x, y []float64
			for i, v := range p.Visits {
				level := 0.0
				if b.p.Configurations[v.configuration].Values[f].Text == "l1" {
					level = 1
				}
				x, y = append(x, level), append(y, float64(i))
			}
			worst = max(worst, math.Abs(pearson(x, y)))
		}
		if math.Abs(worst-p.Fairness.Drift) > 0.0006 {
			t.Errorf("seed %d: %v, the plan says %v", seed, worst, p.Fairness.Drift)
		}
		if p.Fairness.Drift > slightDrift {
			t.Errorf("seed %d: the best of many orders still has a correlation of %v", seed, p.Fairness.Drift)
		}
	}
}

func pearson(x, y []float64) float64 {
	n := float64(len(x))
	var sx, sy, sxx, syy, sxy float64
	for i := range x {
		sx, sy = sx+x[i], sy+y[i]
		sxx, syy, sxy = sxx+x[i]*x[i], syy+y[i]*y[i], sxy+x[i]*y[i]
	}
	return (n*sxy - sx*sy) / math.Sqrt((n*sxx-sx*sx)*(n*syy-sy*sy))
}

// TestBalancedBeatsTheShortestWithinRounds: what the shortest order costs.
func TestBalancedBeatsTheShortestWithinRounds(t *testing.T) {
	s := NewSpace(fullFactorial(4).p)
	balanced, shortest := s.Plan(PlanOptions{Seed: 1}), s.Plan(PlanOptions{Seed: 1, Order: Shortest})
	if balanced.Fairness.Within >= shortest.Fairness.Within {
		t.Errorf("within a round: balanced %v, shortest %v", balanced.Fairness.Within, shortest.Fairness.Within)
	}
	// A cyclic Gray code: 16 changes a round (see plan_gray_codes.csv).
	if shortest.SwapMinutes != 3*16 || !shortest.Exact {
		t.Errorf("swaps take %v", shortest.SwapMinutes)
	}
	if text := strings.Join(shortest.Summary, "\n"); !strings.Contains(text, "what it costs: the order is not left to chance") {
		t.Errorf("no word on fairness: %s", text)
	}
}

// TestSeedAndSessionDecide: another seed or another evening has another order.
func TestSeedAndSessionDecide(t *testing.T) {
	s := NewSpace(fullFactorial(4).p)
	order := func(o PlanOptions) (ids string) {
		for _, v := range s.Plan(o).Visits {
			ids += v.Configuration + " "
		}
		return ids
	}
	one := order(PlanOptions{Seed: 1})
	if one != order(PlanOptions{Seed: 1}) || one == order(PlanOptions{Seed: 2}) || one == order(PlanOptions{Seed: 1, Session: "second"}) {
		t.Error("the order does not follow from seed and session")
	}
}

// TestPlanFitsTheTime: never longer than there is, and what is left over is
// what a plan without limit has more.
func TestPlanFitsTheTime(t *testing.T) {
	for seed := range uint64(25) {
		b := thinned(seed)
		for _, w := range b.p.Workloads {
			w.Minutes++
		}
		s := NewSpace(b.p)
		whole := s.Plan(PlanOptions{Seed: seed})
		for _, share := range []float64{1, 0.8, 0.5, 0.2, 0.02} {
			limit := whole.Minutes() * share
			if limit == 0 {
				continue
			}
			p := s.Plan(PlanOptions{Seed: seed, Minutes: limit})
			if p.Minutes() > limit+1e-6 {
				t.Fatalf("seed %d: %v minutes, there are %v", seed, p.Minutes(), limit)
			}
			if share == 1 && len(p.Left) > 0 {
				t.Fatalf("seed %d: %v left although all fits", seed, p.Left)
			}
			if len(p.Visits) == 0 && (len(p.Left) == 0 || !strings.Contains(strings.Join(p.Remarks, " "), "nothing fits")) {
				t.Fatalf("seed %d: no visit and not a word: %v", seed, p.Remarks)
			}
			got := map[[2]string]int{}
			for _, v := range p.Visits {
				for _, w := range v.Workloads {
					got[[2]string{v.Configuration, w}]++
				}
			}
			short := map[string]int{}
			for _, w := range p.Wants {
				for _, cell := range w.Cells {
					n := cell.Want - cell.Have - got[[2]string{cell.Configuration, cell.Workload}]
					short[cell.Configuration] = max(short[cell.Configuration], n)
				}
			}
			for id, n := range short {
				told := 0
				for _, l := range p.Left {
					if l.Configuration == id {
						told = l.Repeats
					}
				}
				if told != n {
					t.Errorf("seed %d, %v minutes: %s lacks %d after the session, told are %d", seed, limit, id, n, told)
				}
			}
		}
	}
}

// TestNewPairsComeFirst: with little time, what nobody has seen goes before one
// more repeat of what is known.
func TestNewPairsComeFirst(t *testing.T) {
	b := fullFactorial(2)
	b.session("first")
	for range 2 {
		for _, id := range []string{"run-0", "run-1"} {
			b.read(id, 0, 0, 10)
		}
	}
	// Only run-0 and run-2 for the second question.
	b.p.Configurations = b.p.Configurations[:3]
	p := NewSpace(b.p).Plan(PlanOptions{Minutes: 15})
	var ids []string
	for _, v := range p.Visits {
		ids = append(ids, v.Configuration)
	}
	if got := strings.Join(ids, " "); got != "run-0 run-2 run-0" {
		t.Errorf("visits %s", got)
	}
}

// TestWantsInWords: missing configurations, failures, companions, beyond a
// limit, followers that come along.
func TestWantsInWords(t *testing.T) {
	b := newBench()
	f := b.factor("pads", project.Studied)
	f.SwapMinutes = 20
	power := b.factor("power", project.Studied)
	power.Numeric, power.Unit = true, project.Unit{Symbol: "W"}
	power.Limit = project.Limit{HasMost: true, Most: 40, Source: "invented data sheet"}
	b.factor("clock", project.Follows, "power")
	room := b.factor("room", project.Nuisance)
	room.Numeric, room.Tolerance = true, project.Tolerance{Absolute: 5}
	b.configuration("base", "pads=thin", "power=20", "clock=2", "room=21")
	b.configuration("hot", "pads=thin", "power=45", "clock=3", "room=23")
	b.configuration("thick", "pads=thick", "power=20", "clock=2", "room=21")
	b.workload("encode")
	b.session("first")
	b.session("second")
	b.question("more-power", "power", "20", "45")
	b.question("pads", "pads", "thin", "thick")
	b.question("thicker", "pads", "thick", "thickest")
	for range 3 {
		b.read("thick", 0, 0, 5)
		b.read("base", 0, 0, 5)
	}

	p := NewSpace(b.p).Plan(PlanOptions{Session: "third"})
	var text []string
	for _, w := range p.Wants {
		text = append(text, w.Question+": "+strings.Join(w.Text, "; "))
	}
	want := "more-power: what it would take lies beyond the maker's limit (power 45\u00a0W, limit 40\u00a0W), so it is not proposed; " +
		"choose a level within the limit for the question, or leave it unanswered" + `
pads: nothing: each side of every pair has 3 readings of each workload
thicker: no matched pair yet: run one like "thick" with pads thickest; write it into configurations and plan again`
	if got := strings.Join(text, "\n"); got != want {
		t.Errorf("wants:\n%s\nwant:\n%s", got, want)
	}
	if len(p.Visits) > 0 {
		t.Errorf("%d visits for a pair beyond a limit", len(p.Visits))
	}

	// The runs of hot hang: to try them again is a choice where it lies within
	// the limit.
	power.Limit.Most = 50
	for range 3 {
		b.read("hot", 0, 1, 0)
		r := &b.p.Readings[len(b.p.Readings)-1]
		r.HasValue, r.Outcome = false, project.Hung
	}
	p = NewSpace(b.p).Plan(PlanOptions{})
	if len(p.Visits) > 0 || p.Wants[0].Text[0] != `"hot" is left out: no run ended well there; try again only if you choose to` {
		t.Errorf("%d visits, %q", len(p.Visits), p.Wants[0].Text)
	}
}

// TestPlanWithoutQuestions: every configuration counts, and one alone is read
// without a change of parts.
func TestPlanWithoutQuestions(t *testing.T) {
	b := newBench()
	b.factor("pads", project.Studied)
	b.configuration("base", "pads=thin")
	b.workload("encode").Minutes = 5
	p := NewSpace(b.p).Plan(PlanOptions{})
	if len(p.Visits) != 3 || p.Minutes() != 15 || len(p.Cautions) > 0 {
		t.Errorf("%d visits, %v minutes, cautions %q", len(p.Visits), p.Minutes(), p.Cautions)
	}
	b.configuration("thick", "pads=thick")
	p = NewSpace(b.p).Plan(PlanOptions{})
	if len(p.Visits) != 7 || len(p.Cautions) != 1 || p.Cautions[0][:6] != "before" {
		t.Errorf("%d visits, cautions %q", len(p.Visits), p.Cautions)
	}
	if b.p.Configurations = nil; len(NewSpace(b.p).Plan(PlanOptions{}).Visits) != 0 {
		t.Error("visits without configurations")
	}
}

// loadFolder reads a folder and refuses errors.
func loadFolder(t *testing.T, files fs.FS) *project.Project {
	t.Helper()
	folder, findings := schema.Read(files)
	p, more := project.Load(folder)
	for _, f := range append(findings, more...) {
		if f.Severity == schema.Error {
			t.Fatalf("%s: %s (%s)", f.Place, f.Message, f.Rule)
		}
	}
	if p == nil {
		t.Fatal("the folder cannot be read")
	}
	return p
}

// TestFilledInPlanAnswersTheQuestions runs the plan of the sample folder: the
// table, filled in with made-up values, is read without a fault, leaves nothing
// missing, and gives the rules about order nothing to say on its session.
func TestFilledInPlanAnswersTheQuestions(t *testing.T) {
	for _, order := range []RunOrder{Balanced, Shortest} {
		for _, repeats := range []int{0, 7} {
			files := fstest.MapFS{}
			err := fs.WalkDir(sampleproject.Files(), ".", func(path string, d fs.DirEntry, err error) error {
				if err != nil || d.IsDir() {
					return err
				}
				data, err := fs.ReadFile(sampleproject.Files(), path)
				files[path] = &fstest.MapFile{Data: data}
				return err
			})
			if err != nil {
				t.Fatal(err)
			}
			files["sessions.yaml"].Data = append(files["sessions.yaml"].Data,
				"\n  fourth-day:\n    date: 2026-02-28\n    values: {room-temperature: 21 °C, mains-voltage: 230 V}\n"...)
			p := loadFolder(t, files)
			s := NewSpace(p)
			plan := s.Plan(PlanOptions{Session: "fourth-day", Repeats: repeats, Order: order})
			header, rows := s.Table(&plan)
			if len(rows) == 0 {
				t.Fatal("the sample lacks nothing")
			}
			var b bytes.Buffer
			w := csv.NewWriter(&b)
			w.Write(header)
			random := rand.New(rand.NewPCG(1, 1))
			for _, row := range rows {
				row[slices.Index(header, "value")] = fmt.Sprintf("%.1f", 300*math.Exp(0.01*random.NormFloat64()))
				w.Write(row)
			}
			w.Flush()
			files["results/fourth-day.csv"] = &fstest.MapFile{Data: b.Bytes()}

			after := loadFolder(t, files)
			read := 0
			for _, r := range after.Readings {
				if !r.Derived && after.Sessions[r.Session].ID == "fourth-day" {
					read++
				}
			}
			if read != len(rows) {
				t.Errorf("%d rows were read of %d", read, len(rows))
			}
			again := NewSpace(after)
			if p := again.Plan(PlanOptions{Repeats: repeats}); len(p.Visits) > 0 {
				t.Errorf("still %d visits to make", len(p.Visits))
			}
			for _, f := range Find(again) {
				if slices.Contains(f.Sessions, "fourth-day") && slices.Contains([]string{"repeats-in-one-block", "no-return-to-baseline", "factor-with-time", "order-twice", "pair-in-different-sessions"}, f.Rule) {
					t.Errorf("%s: %s", f.Rule, f.Message)
				}
			}
			// A continued session counts on.
			more := again.Plan(PlanOptions{Session: "fourth-day", Repeats: 9})
			if more.Visits[0].Order != len(plan.Visits)+1 {
				t.Errorf("the continued session begins with visit %d, the last was %d", more.Visits[0].Order, len(plan.Visits))
			}
			_, rows = again.Table(&more)
			seen := map[string]bool{}
			for _, r := range after.Readings {
				seen[fmt.Sprint(after.Sessions[r.Session].ID, r.Repeat, after.Configurations[r.Configuration].ID, after.Workloads[r.Workload].ID)] = true
			}
			for _, row := range rows {
				if seen[row[0]+row[3]+row[2]+row[4]] {
					t.Errorf("there is a repeat %s of %s on %s already", row[3], row[4], row[2])
				}
			}
		}
	}
}

// BenchmarkPlanOfThreeHundred is the size that has to take well under a second.
func BenchmarkPlanOfThreeHundred(b *testing.B) {
	for _, order := range []RunOrder{Balanced, Shortest} {
		b.Run(order.String(), func(b *testing.B) {
			s := NewSpace(threeHundred().p)
			for b.Loop() {
				s.Plan(PlanOptions{Order: order, Seed: 1})
			}
		})
	}
}

// threeHundred configurations of 5 × 5 × 4 × 3 levels.
func threeHundred() *bench {
	b := counted([]int{5, 5, 4, 3}, []float64{3, 10, 1, 25})
	for f := range 4 {
		b.question(fmt.Sprintf("q%d", f), fmt.Sprintf("f%d", f), "l0", "l1")
		b.question(fmt.Sprintf("r%d", f), fmt.Sprintf("f%d", f), "l0", "l2")
	}
	b.question("s", "f0", "l3", "l4")
	b.question("t", "f1", "l3", "l4")
	b.question("u", "f2", "l3", "l2")
	b.workload("encode").Minutes = 4
	return b
}

// TestThreeHundredConfigurations: nothing is lost on the way, and the shortest
// order of a full factorial changes one factor a step.
func TestThreeHundredConfigurations(t *testing.T) {
	s := NewSpace(threeHundred().p)
	p := s.Plan(PlanOptions{Order: Shortest})
	if len(p.Visits) != 3*300+1 {
		t.Fatalf("%d visits", len(p.Visits))
	}
	changes := 0
	for _, v := range p.Visits {
		changes += len(v.Changes)
	}
	// 299 is the bound for a way (plan_min_change_orders.csv: runs − 1); the way
	// back to the baseline costs a few more.
	if changes < 3*300 || changes > 3*310 {
		t.Errorf("%d changes in three rounds of 300", changes)
	}
}

// TestTableHasTheColumnsOfConversions: a raw reading that needs another column
// of its row gets that column, once, and only when it is planned.
func TestTableHasTheColumnsOfConversions(t *testing.T) {
	b := fullFactorial(1)
	for _, id := range []string{"encode-again", "pack"} {
		w := b.workload(id)
		w.Reading = &project.Formula{Times: []project.Term{{Kind: project.ColumnTerm, Name: "frames"}, {Kind: project.ConstantTerm, Number: 2}},
			Over: []project.Term{{Kind: project.ReadingTerm, Name: "reading"}}}
	}
	b.workload("other").Reading = &project.Formula{Times: []project.Term{{Kind: project.ColumnTerm, Name: "blocks"}}}
	b.p.Questions[0].Workloads = []int{0, 1, 2}
	s := NewSpace(b.p)
	p := s.Plan(PlanOptions{Repeats: 1, Session: "first"})
	header, rows := s.Table(&p)
	if got := strings.Join(header, ","); got != "session,order,configuration,repeat,workload,value,outcome,reason,frames" {
		t.Errorf("columns %s", got)
	}
	// Two visits to the baseline and one between them, three workloads each.
	if len(rows) != 9 || strings.Join(rows[3], ",") != "first,2,run-1,1,encode,,,," {
		t.Errorf("%d rows, the fourth is %q", len(rows), rows[3])
	}
}

// TestPlanBringsTogetherWhatWasReadApart: sides that have all their repeats, but
// in sessions that nothing links, are read again side by side; not so once a
// third was read beside each.
func TestPlanBringsTogetherWhatWasReadApart(t *testing.T) {
	b := newBench()
	b.factor("pads", project.Studied)
	b.configuration("base", "pads=thin")
	b.configuration("other", "pads=thinner")
	b.configuration("thick", "pads=thick")
	b.workload("encode")
	b.session("first")
	b.session("second")
	b.question("pads", "pads", "thinner", "thick")
	for range 3 {
		b.read("thick", 0, 0, 5)
		b.read("other", 0, 1, 5)
	}
	p := NewSpace(b.p).Plan(PlanOptions{})
	if text := strings.Join(p.Wants[0].Text, "; "); !strings.Contains(text, `"other" and "thick" need no more, but are read again`) || len(p.Visits) == 0 {
		t.Errorf("%d visits, %q", len(p.Visits), text)
	}
	b.read("base", 0, 0, 5)
	b.read("base", 0, 1, 5)
	p = NewSpace(b.p).Plan(PlanOptions{})
	if text := strings.Join(p.Wants[0].Text, "; "); len(p.Visits) > 0 || strings.Contains(text, "again") {
		t.Errorf("%d visits, %q", len(p.Visits), text)
	}
}
