package design

import (
	"strings"
	"testing"
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
	if found := of("nuisance-beyond-tolerance", check(load(t, head+again))); len(found) > 0 {
		t.Errorf("read in common and apart: %v", found)
	}
}
