package design

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"benchwright/project"
)

// clockBench has a clock that brings a voltage with a limit, and a cooler.
func clockBench() *bench {
	b := newBench()
	b.factor("clock", project.Studied)
	voltage := b.factor("voltage", project.Follows, "clock")
	voltage.Numeric, voltage.Unit = true, project.Unit{Symbol: "V"}
	voltage.Limit = project.Limit{HasMost: true, Most: 1.35}
	b.factor("cooler", project.Studied)
	for clock, brings := range map[string]string{"3200": "1.1", "3800": "1.2", "4400": "1.38"} {
		b.p.Factors[0].Levels = append(b.p.Factors[0].Levels, project.Level{Value: value(clock), Brings: map[int]project.Value{1: value(brings)}})
	}
	b.workload("encode")
	b.session("first")
	return b
}

// TestNothingBeyondALimitIsProposed: whatever is missing, neither the remedy of
// a finding, nor the status of a question, nor the plan asks for a run beyond
// the maker's limit, and each says why.
func TestNothingBeyondALimitIsProposed(t *testing.T) {
	tests := []struct {
		name           string
		configurations [][]string // id, then settings
		question       []string   // factor, from, to
		where          string     // factor=level
		read           []string
		remedy         string // of question-without-pair; empty: there is a pair
		barred         bool
		leftOut        []string
		visited        []string
	}{
		{name: "the level brings too much", configurations: [][]string{{"basis", "clock=3200", "voltage=1.1", "cooler=small"}},
			question: []string{"clock", "3200", "4400"}, barred: true, remedy: "lies beyond the maker's limit (voltage 1.38\u00a0V, limit 1.35\u00a0V), so it is not proposed"},
		{name: "the level that is there brings too much", configurations: [][]string{{"hot", "clock=4400", "voltage=1.38", "cooler=small"}},
			question: []string{"clock", "3200", "4400"}, barred: true, remedy: "so it is not proposed"},
		{name: "a level within the limit", configurations: [][]string{{"basis", "clock=3200", "voltage=1.1", "cooler=small"}},
			question: []string{"clock", "3200", "3800"}, remedy: `run one like "basis" with clock 3800 (voltage 1.2` + nbsp + `V will follow)`},
		{name: "a voltage set within the limit", configurations: [][]string{{"cool", "clock=4400", "voltage=1.3", "cooler=small"}},
			question: []string{"clock", "3200", "4400"}, remedy: `run one like "cool" with clock 3200`},
		{name: "another start within the limit", configurations: [][]string{{"basis", "clock=3200", "voltage=1.1", "cooler=small"}, {"hot", "clock=4400", "voltage=1.38", "cooler=large"}},
			question: []string{"cooler", "small", "large"}, remedy: `run one like "basis" with cooler large`},
		{name: "every start beyond", configurations: [][]string{{"hot", "clock=4400", "voltage=1.38", "cooler=small"}},
			question: []string{"cooler", "small", "large"}, barred: true, remedy: "so it is not proposed"},
		{name: "neither level there, base beyond", configurations: [][]string{{"hot", "clock=4400", "voltage=1.38", "cooler=small"}},
			question: []string{"clock", "3200", "3800"}, remedy: `run one like "hot" with clock 3200 (voltage 1.1` + nbsp + `V will follow), and one like "hot" with clock 3800`},
		{name: "a condition beyond", configurations: [][]string{{"basis", "clock=3200", "voltage=1.1", "cooler=small"}},
			question: []string{"cooler", "medium", "large"}, where: "clock=4400", barred: true, remedy: "so it is not proposed"},
		{name: "a pair of which a side is beyond", configurations: [][]string{{"basis", "clock=3200", "voltage=1.1", "cooler=small"}, {"hot", "clock=4400", "voltage=1.38", "cooler=small"}},
			question: []string{"clock", "3200", "4400"}, barred: true, leftOut: []string{"hot"}},
		{name: "the same, run by the author", configurations: [][]string{{"basis", "clock=3200", "voltage=1.1", "cooler=small"}, {"hot", "clock=4400", "voltage=1.38", "cooler=small"}},
			question: []string{"clock", "3200", "4400"}, read: []string{"basis", "hot"}, leftOut: []string{"hot"}},
		{name: "two pairs, one within", configurations: [][]string{{"basis", "clock=3200", "voltage=1.1", "cooler=small"}, {"large", "clock=3200", "voltage=1.1", "cooler=large"},
			{"hot", "clock=4400", "voltage=1.38", "cooler=small"}, {"hot-large", "clock=4400", "voltage=1.38", "cooler=large"}},
			question: []string{"cooler", "small", "large"}, leftOut: []string{"hot", "hot-large"}, visited: []string{"basis", "large"}},
		{name: "no question", configurations: [][]string{{"basis", "clock=3200", "voltage=1.1", "cooler=small"}, {"hot", "clock=4400", "voltage=1.38", "cooler=small"}},
			leftOut: []string{"hot"}, visited: []string{"basis"}},
		{name: "the baseline beyond", configurations: [][]string{{"hot", "clock=4400", "voltage=1.38", "cooler=small"}, {"basis", "clock=3200", "voltage=1.1", "cooler=small"}, {"large", "clock=3200", "voltage=1.1", "cooler=large"}},
			question: []string{"cooler", "small", "large"}, leftOut: []string{"hot"}},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			b := clockBench()
			for _, c := range test.configurations {
				b.configuration(c[0], c[1:]...)
			}
			if q := test.question; q != nil {
				question := b.question("asked", q[0], q[1], q[2])
				if f, level, ok := strings.Cut(test.where, "="); ok {
					question.Where = []project.Condition{{Factor: b.index(f), Value: value(level)}}
				}
			}
			for _, c := range test.read {
				b.read(c, 0, 0, 5)
			}
			s := NewSpace(b.p)
			proposed, remedy := "", ""
			for _, f := range check(b.p) {
				if f.Rule == "beyond-makers-limit" {
					continue
				}
				if f.Rule == "question-without-pair" {
					remedy = f.Remedy
				}
				if !strings.Contains(f.Remedy, "maker's limit") {
					proposed += f.Remedy + "\n"
				}
			}
			if test.remedy == "" != (remedy == "") || !strings.Contains(remedy, test.remedy) {
				t.Errorf("remedy %q", remedy)
			}
			status := s.Questions()
			if len(status) > 0 && (status[0].Beyond != "") != test.barred {
				t.Errorf("beyond %q", status[0].Beyond)
			}
			plan := s.Plan(PlanOptions{})
			var visited []string
			for _, v := range plan.Visits {
				visited = append(visited, v.Configuration)
			}
			slices.Sort(visited)
			if visited = slices.Compact(visited); !slices.Equal(visited, test.visited) {
				t.Errorf("visited %v", visited)
			}
			remarks := strings.Join(plan.Remarks, "\n")
			for _, id := range test.leftOut {
				if strings.Count(remarks, `"`+id+`" is left out: it lies beyond the maker's limit (voltage 1.38`) != 1 {
					t.Errorf("%s is not named once: %s", id, remarks)
				}
			}
			if n := strings.Count(remarks, "is left out"); n != len(test.leftOut) {
				t.Errorf("%d left out: %s", n, remarks)
			}
			for _, m := range statusMissing(status) {
				proposed += m + "\n"
			}
			if strings.Contains(proposed, "1.38") || strings.Contains(proposed, "4400") {
				t.Errorf("proposed: %s", proposed)
			}
		})
	}
}

func statusMissing(list []QuestionStatus) (out []string) {
	for _, q := range list {
		text, _ := json.Marshal(q.Missing)
		out = append(out, string(text))
	}
	return out
}

// A follower of several factors is looked at where all of them stand alike, and
// what follows a follower is looked at too.
func TestExcessAtARemove(t *testing.T) {
	b := newBench()
	b.factor("clock", project.Studied)
	b.factor("mode", project.Studied)
	voltage := b.factor("voltage", project.Follows, "clock", "mode")
	voltage.Numeric, voltage.Limit = true, project.Limit{HasMost: true, Most: 1.35}
	b.factor("cooler", project.Studied)
	b.configuration("eco", "clock=44", "mode=eco", "voltage=1.3", "cooler=small")
	b.configuration("boost", "clock=44", "mode=boost", "voltage=1.38", "cooler=small")
	b.configuration("slow", "clock=32", "mode=boost", "voltage=1.2", "cooler=large")
	b.configuration("slow-eco", "clock=32", "mode=eco", "voltage=1.1", "cooler=large")
	s := NewSpace(b.p)
	for base, want := range map[string]int{"slow": 1, "slow-eco": 0} {
		if list := s.jointExcess(b.config(base), []Change{{Factor: 0, To: value("44")}}); len(list) != want {
			t.Errorf("%s with clock 44: %v", base, list)
		}
	}

	b = newBench()
	b.factor("clock", project.Studied)
	b.factor("voltage", project.Follows, "clock")
	heat := b.factor("heat", project.Follows, "voltage")
	heat.Numeric, heat.Limit = true, project.Limit{HasMost: true, Most: 95}
	b.configuration("slow", "clock=32", "voltage=1.1", "heat=60")
	b.configuration("fast", "clock=44", "voltage=1.3", "heat=104")
	if list := NewSpace(b.p).levelExcess(0, value("44")); len(list) != 1 || list[0].Factor != 2 {
		t.Errorf("%v", list)
	}
}

// A plan without visits says what is missing, and offers more rounds only where
// there is a pair to run within the limits.
func TestPlanWithoutVisitsSaysWhatIsMissing(t *testing.T) {
	tests := []struct {
		name, to string
		hot      bool // the pair beyond the limit is there
		baseline bool // and is the baseline
		read     int
		want     string
	}{
		{name: "no pair", to: "3800", want: "the configurations named above come first"},
		{name: "no pair within the limit", to: "4400", want: "more rounds would not bring it"},
		{name: "a pair beyond the limit", to: "4400", hot: true, want: "more rounds would not bring it"},
		{name: "all read", to: "small", read: 3, want: "--rounds 4 would ask for one more repeat"},
		{name: "the baseline beyond", to: "small", hot: true, baseline: true, want: ""},
	}
	for _, test := range tests {
		b := clockBench()
		b.configuration("basis", "clock=3200", "voltage=1.1", "cooler=small")
		b.configuration("large", "clock=3200", "voltage=1.1", "cooler=large")
		if test.hot {
			b.configuration("hot", "clock=4400", "voltage=1.38", "cooler=small")
		}
		if test.baseline {
			b.p.Baseline = b.config("hot")
		}
		if test.to == "small" {
			b.question("asked", "cooler", "large", "small")
		} else {
			b.question("asked", "clock", "3200", test.to)
		}
		for range test.read {
			b.read("basis", 0, 0, 5)
			b.read("large", 0, 0, 5)
		}
		p := NewSpace(b.p).Plan(PlanOptions{})
		if idle := p.Idle(); len(p.Visits) > 0 || test.want == "" != (idle == "") || !strings.Contains(idle, test.want) {
			t.Errorf("%s: %d visits, %q", test.name, len(p.Visits), idle)
		}
	}
}
