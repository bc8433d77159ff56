package design

import (
	"slices"
	"strings"
	"testing"

	"benchwright/project"
	"benchwright/schema"
)

// Where only what the sessions state stands between two configurations, no
// further one is asked for, and what the remedy says makes a pair.
func TestRemedyForSessionsMakesAPair(t *testing.T) {
	days := "-- sessions.yaml --\nsessions:\n" +
		"  first: {date: 2026-02-01, values: {room: 21 °C}}\n" +
		"  second: {date: 2026-02-02, values: {room: 26 °C}}\n" +
		"  third: {date: 2026-02-03, values: {room: 23.5 °C}}\n"
	for name, c := range map[string]struct{ before, after, remedy string }{
		"read apart": {
			before: "base,encode,first,1,102.1\nfast,encode,second,1,84.3\n",
			after:  "base,encode,first,1,102.1,\nfast,encode,second,1,84.3,\nbase,encode,third,1,102.2,\nfast,encode,third,2,84.1,\n",
			remedy: "read \"base\" and \"fast\" in one session, in turns",
		},
	} {
		head := days + "-- results/readings.csv --\nconfiguration,workload,session,order,value"
		s := NewSpace(load(t, head+"\n"+c.before))
		a := s.Answer(0)
		if a.Answerable || a.Again == nil || len(a.Missing) > 0 {
			t.Errorf("%s: %+v", name, a)
			continue
		}
		if got := s.remedy(a); !strings.HasPrefix(got, c.remedy) {
			t.Errorf("%s: the remedy is %q", name, got)
		}
		if status := s.Questions()[0]; status.Again != s.remedy(a) {
			t.Errorf("%s: the status says %q", name, status.Again)
		}
		if a := NewSpace(load(t, head+",outcome\n"+c.after, "missing-reason")).Answer(0); !a.Answerable || !a.Measured {
			t.Errorf("%s: the remedy was followed, and there is no pair: %+v", name, a)
		}
	}
	// A baseline that is read again in a warmer room takes no pair away: its two
	// sides are compared within the session that both share.
	head := days + "-- results/readings.csv --\nconfiguration,workload,session,order,value\n"
	again := "base,encode,first,1,102.1\nfast,encode,first,2,84.3\nbase,encode,second,1,103.0\n"
	if a := NewSpace(load(t, head+again)).Answer(0); !a.Answerable || !a.Measured {
		t.Errorf("read in common and apart: %+v", a)
	}
	// Nor one that is read again under another driver, be that recorded as one of
	// the surroundings or held; what it read there is told, and in no comparison.
	for role, found := range map[string]int{"nuisance": 0, "held": 1} {
		driver := "-- bench.yaml --\nbench: {label: An invented machine}\nfactors:\n" +
			"  processor: {label: Processor, role: studied}\n  memory: {label: Memory, role: studied, unit: MiB}\n" +
			"  cache: {label: Cache, role: follows, of: processor, unit: KiB}\n  driver: {label: Driver, role: " + role + ", kind: category}\n" +
			"-- sessions.yaml --\nsessions:\n" +
			"  first: {date: 2026-02-01, values: {driver: \"70.1\"}}\n  second: {date: 2026-02-02, values: {driver: \"72.0\"}}\n"
		s := NewSpace(load(t, driver+head[strings.Index(head, "-- results"):]+again))
		if a := s.Answer(0); !a.Answerable || !a.Measured {
			t.Errorf("driver, %s: %+v", role, a)
		}
		all := Check(s.p, s)
		if list := of("held-factor-elsewhere", all); len(list) != found {
			t.Errorf("driver, %s: %v", role, list)
		}
		for _, f := range all {
			if slices.Contains(f.Questions, "faster") && f.Severity != schema.Notice && f.Rule != "too-few-repeats" {
				t.Errorf("driver, %s: %s stands at the answer: %s", role, f.Rule, f.Message)
			}
			if strings.Contains(f.Message, "differ in nothing") {
				t.Errorf("driver, %s: %s", role, f.Message)
			}
		}
	}
	if found := of("nuisance-beyond-tolerance", check(load(t, head+again))); len(found) > 0 {
		t.Errorf("read in common and apart: %v", found)
	}
}

// What only its sessions stand against is planned again: both sides, in the new
// session, on all that the question asks.
func TestAPairThatSessionsSpoilIsPlannedAgain(t *testing.T) {
	days := "-- sessions.yaml --\nsessions:\n" +
		"  first: {date: 2026-02-01, values: {room: 21 °C}}\n" +
		"  second: {date: 2026-02-02, values: {room: 26 °C}}\n"
	read := "-- results/readings.csv --\nconfiguration,workload,session,value\n"
	for _, repeat := range []string{"102.1", "102.3", "101.9"} {
		read += "base,encode,first," + repeat + "\nfast,encode,second,84" + repeat[3:] + "\n"
	}
	s := NewSpace(load(t, days+read))
	if s.Answer(0).Again == nil {
		t.Fatalf("%+v", s.Answer(0))
	}
	p := s.Plan(PlanOptions{})
	times := map[string]int{}
	for _, v := range p.Visits {
		if slices.Contains(v.Workloads, "encode") {
			times[v.Configuration]++
		}
	}
	if times["base"] < 3 || times["fast"] != 3 {
		t.Errorf("read again: %v", times)
	}
	if !strings.Contains(strings.Join(p.Wants[0].Text, " "), "the session below does") {
		t.Errorf("%q", p.Wants[0].Text)
	}
	// Once it is done, nothing is left of it.
	for _, r := range []string{"base", "fast", "base", "fast", "base", "fast"} {
		read += r + ",encode,third,90.1\n"
	}
	s = NewSpace(load(t, days+"  third: {date: 2026-02-03, values: {room: 23 °C}}\n"+read))
	if p := s.Plan(PlanOptions{}); !s.Answer(0).Measured || len(p.Wants[0].Companions) > 0 {
		t.Errorf("after it: %+v", p.Wants[0])
	}
}

// Two that differ in a factor by themselves differ in a common session as well,
// whatever some other session states of it: to read them together is no remedy.
func TestReadingTogetherIsNoRemedyForWhatDiffersByItself(t *testing.T) {
	for name, c := range map[string]struct {
		twin, gale string // firmware
		sessions   [2]int // of twin and gale
		again      bool
	}{
		"read together, one updated":        {"v7", "v8", [2]int{0, 0}, false},
		"read apart, one updated":           {"v7", "v8", [2]int{0, 3}, false},
		"read apart, the session's updated": {"v7", "v7", [2]int{0, 1}, true},
		"stated by the sessions alone":      {"", "", [2]int{2, 1}, true},
	} {
		b := newBench()
		b.factor("cooler", project.Studied)
		b.factor("firmware", project.Held)
		b.configuration("twin", "cooler=twin", "firmware="+c.twin)
		b.configuration("gale", "cooler=gale", "firmware="+c.gale)
		b.workload("fluid")
		b.session("march")
		b.session("april", "firmware=v8")
		b.session("may", "firmware=v7")
		b.session("june")
		b.question("better", "cooler", "twin", "gale")
		b.read("twin", 0, c.sessions[0], 100)
		b.read("gale", 0, c.sessions[1], 100)
		a := NewSpace(b.p).Answer(0)
		if a.Answerable || (a.Again != nil) != c.again || (len(a.Missing) > 0) == c.again {
			t.Errorf("%s: %+v", name, a)
		}
	}
}
