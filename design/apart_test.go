package design

import (
	"slices"
	"strings"
	"testing"

	"benchwright/project"
)

// coolers is three coolers, of which the second and the third were read in a
// session each, both beside the first, with what either session states.
func coolers(march, april string, held ...string) *bench {
	b := newBench()
	b.factor("cooler", project.Studied)
	b.factor("firmware", project.Held)
	room := b.factor("room", project.Nuisance)
	room.Numeric, room.Tolerance = true, project.Tolerance{Absolute: 2}
	b.factor("fan", project.Follows, "room")
	for i, id := range []string{"box", "twin", "gale"} {
		set := []string{"cooler=" + id}
		if len(held) > 0 {
			set = append(set, "firmware="+held[i])
		}
		b.configuration(id, set...)
	}
	b.workload("fluid")
	b.session("march", strings.Fields(march)...)
	b.session("april", strings.Fields(april)...)
	for range 3 {
		b.read("box", 0, 0, 100)
		b.read("twin", 0, 0, 105)
		b.read("box", 0, 1, 105)
		b.read("gale", 0, 1, 105)
	}
	b.question("better", "cooler", "twin", "gale")
	return b
}

// Two that share no session are compared through a third that was the same in
// both: what it has become since would be in the comparison. The room that a
// session states is the session's, and what follows it too.
func TestAThirdThatChangedLinksNothing(t *testing.T) {
	for name, c := range map[string]struct {
		bench  *bench
		linked bool
	}{
		"nothing stated":                      {coolers("", ""), true},
		"same firmware":                       {coolers("firmware=v8", "firmware=v8"), true},
		"another room":                        {coolers("room=19", "room=26"), true},
		"another room, and what follows":      {coolers("room=19 fan=800", "room=26 fan=1200"), true},
		"another firmware":                    {coolers("firmware=v7", "firmware=v8"), false},
		"firmware stated once":                {coolers("", "firmware=v8"), false},
		"firmware stated as the box has it":   {coolers("", "firmware=v8", "v8", "v8", "v7"), true},
		"the box updated, the others had it":  {coolers("", "firmware=v8", "v7", "v8", "v7"), false},
		"firmware unknown in one":             {coolers("firmware=?", "firmware=v8"), false},
		"nobody knows the box's, in neither":  {coolers("room=19", "room=19", "?", "v8", "v8"), true},
		"nobody knows the sessions' firmware": {coolers("firmware=?", "firmware=?"), false},
	} {
		s := NewSpace(c.bench.p)
		if got := s.Sittings().Compared(1, 2, 0); got != c.linked {
			t.Errorf("%s: compared through the box: %v", name, got)
		}
		if apart, _ := s.Sittings().Apart(1, 2); (len(apart) == 0) != c.linked {
			t.Errorf("%s: apart on %v", name, apart)
		}
		if s.Sittings().ApartOn(1, 2, 0) == c.linked {
			t.Errorf("%s: held apart by their sessions", name)
		}
	}
	// Within the tolerance that a held factor has, nothing changed.
	for tolerance, linked := range map[float64]bool{0: false, 5: true} {
		b := coolers("firmware=100", "firmware=103")
		b.p.Factors[1].Tolerance = project.Tolerance{Absolute: tolerance}
		if NewSpace(b.p).Sittings().Compared(1, 2, 0) != linked {
			t.Errorf("3 apart, with a tolerance of %v", tolerance)
		}
	}
	// Another third that stayed links them all the same.
	b := coolers("", "firmware=v8", "v7", "v8", "v7")
	b.configuration("stayed", "cooler=slim", "firmware=v8")
	b.read("stayed", 0, 0, 100)
	b.read("stayed", 0, 1, 100)
	if !NewSpace(b.p).Sittings().Compared(1, 2, 0) {
		t.Error("one that stayed was read beside each")
	}
}

// Two that a changed third does not link are said to stand apart, and are planned
// to be read together.
func TestWhatAChangedThirdLeavesApartIsReadTogether(t *testing.T) {
	b := coolers("", "firmware=v8", "v7", "v8", "v7")
	s := NewSpace(b.p)
	found := of("pair-in-different-sessions", Check(b.p, s))
	if len(found) != 1 || found[0].Remedy != "read both in one session, in turns" ||
		!strings.HasSuffix(found[0].Message, `from that of the session; "box" was read beside each, but had changed between`) {
		t.Errorf("%+v", found)
	}
	p := s.Plan(PlanOptions{})
	if !slices.Equal(p.Wants[0].Companions, []string{"twin", "gale"}) {
		t.Errorf("%+v", p.Wants[0])
	}
	// In other rooms the two are no pair, as if the box had not been there.
	b = coolers("room=19", "firmware=v8 room=26", "v7", "v8", "v7")
	if s = NewSpace(b.p); s.Answer(0).Answerable || s.Answer(0).Again == nil {
		t.Errorf("%+v", s.Answer(0))
	}
	if b = coolers("room=19", "firmware=v8 room=26", "v8", "v8", "v7"); !NewSpace(b.p).Answer(0).Answerable {
		t.Error("the box stayed, so that the room can be taken out")
	}
}

// A side that has its repeats is read again beside one that lacks them where the
// baseline was another one when it was read: through that they could not be
// compared.
func TestASideReadBesideAChangedBaselineIsReadAgain(t *testing.T) {
	for name, c := range map[string]struct {
		march string
		again []string
	}{
		"the baseline as it is":               {"firmware=v7", []string{}},
		"the baseline under another firmware": {"firmware=v6", []string{"twin"}},
		"the baseline in another room":        {"firmware=v7 room=30", []string{}},
	} {
		b := newBench()
		b.factor("cooler", project.Studied)
		b.factor("firmware", project.Held)
		b.factor("room", project.Nuisance)
		for _, id := range []string{"box", "twin", "gale"} {
			b.configuration(id, "cooler="+id, "firmware=v7")
		}
		b.workload("fluid")
		b.session("march", strings.Fields(c.march)...)
		b.session("april")
		for range 3 {
			b.read("box", 0, 0, 100)
			b.read("box", 0, 1, 100)
			b.read("twin", 0, 0, 105)
		}
		b.p.Configurations[1].Values[1].Value = value(strings.TrimPrefix(strings.Fields(c.march + " firmware=v7")[0], "firmware="))
		b.p.Configurations[2].Values[1].Value = b.p.Configurations[1].Values[1].Value
		b.question("better", "cooler", "twin", "gale")
		p := NewSpace(b.p).Plan(PlanOptions{})
		if !slices.Equal(p.Wants[0].Companions, c.again) {
			t.Errorf("%s: %+v", name, p.Wants[0])
		}
	}
}

// A run that did not end well was on the bench too: what its session states stands
// between it and what was read beside it no more than between two readings.
func TestAFailureIsHeldAgainstWhatWasReadBesideIt(t *testing.T) {
	make := func(sessions ...int) *bench { // of the box, which always crashed
		b := coolers("room=19", "room=26")
		b.p.Readings = nil
		b.p.Questions[0].From = value("box")
		for _, session := range sessions {
			b.crash("box", 0, session)
		}
		return b
	}
	for name, c := range map[string]struct {
		box, gale []int
		pair      bool
	}{
		"in one session":                {[]int{0}, []int{0, 1}, true},
		"in one session, and in more":   {[]int{0, 1}, []int{0}, true},
		"in another session":            {[]int{0}, []int{1}, false},
		"in one session, and in no one": {[]int{0, -1}, []int{0, 1}, true},
		"in no session":                 {[]int{-1}, []int{-1, 0}, false},
	} {
		b := make(c.box...)
		for _, session := range c.gale {
			b.read("gale", 0, session, 100)
		}
		s := NewSpace(b.p)
		a := s.Answer(0)
		if a.Answerable != c.pair || a.Measured || c.pair && a.Pairs[0].State != Failed {
			t.Errorf("%s: %+v", name, a)
		}
		if apart, common := s.Sittings().Apart(0, 2); len(apart) > 0 || common > 0 {
			t.Errorf("%s: a crash counts as a reading, on %v of %d", name, apart, common)
		}
	}
	// A reading in another session is compared by its own.
	b := make(0)
	b.read("gale", 0, 0, 100)
	b.read("box", 0, 1, 100)
	if s := NewSpace(b.p); s.Answer(0).Answerable || !s.Sittings().ApartOn(0, 2, 0) {
		t.Errorf("a crash in March takes April's room out of April's reading: %+v", s.Answer(0))
	}
	// Nor does a crash beside a reading undo a comparison on another workload.
	b = make(1)
	b.workload("render")
	b.read("box", 1, 0, 100)
	b.read("gale", 1, 0, 100)
	b.read("gale", 0, 0, 100)
	if a := NewSpace(b.p).Answer(0); !a.Measured {
		t.Errorf("read in one session on the other workload: %+v", a)
	}
	// A held factor counts as the session states it.
	for april, pair := range map[string]bool{"firmware=v7": true, "firmware=v8": true, "firmware=?": false} {
		b := coolers("firmware=v7", april)
		b.p.Readings, b.p.Questions[0].From = nil, value("box")
		b.crash("box", 0, 1)
		b.read("gale", 0, 0, 100)
		b.read("gale", 0, 1, 100)
		if a := NewSpace(b.p).Answer(0); a.Answerable != pair {
			t.Errorf("%s: %+v", april, a)
		}
	}
	// Where nobody wrote the room down, it was that of both.
	b = coolers("room=?", "room=26")
	b.p.Readings, b.p.Questions[0].From = nil, value("box")
	b.crash("box", 0, 0)
	b.read("gale", 0, 0, 100)
	b.read("gale", 0, 1, 100)
	if a := NewSpace(b.p).Answer(0); !a.Answerable {
		t.Errorf("the room was not recorded: %+v", a)
	}
	// The rooms of others do not name it, and its question asks for nothing beside it.
	b = make(0)
	b.read("gale", 0, 0, 100)
	b.read("gale", 0, 1, 100)
	b.read("twin", 0, 0, 100)
	s := NewSpace(b.p)
	if found := of("nuisance-beyond-tolerance", Check(b.p, s)); len(found) > 0 {
		t.Errorf("%+v", found)
	}
	b.p.Baseline = 1
	p := NewSpace(b.p).Plan(PlanOptions{})
	if x := p.Wants[0]; len(x.Cells) > 0 || len(x.Failed) != 1 || x.Failed[0].Configuration != "box" {
		t.Errorf("%+v", x)
	}
	if slices.Contains(p.Unneeded, "box") {
		t.Errorf("no question needs it, says the plan: %v", p.Unneeded)
	}
}

// What lacks readings does not grow with the number of crashes.
func TestOneMoreCrashAsksForNothing(t *testing.T) {
	lacking := func(crashes int) string {
		b := coolers("room=19", "room=26")
		b.p.Readings, b.p.Questions[0].From = nil, value("box")
		b.question("other", "cooler", "twin", "gale")
		for session := range crashes {
			b.crash("box", 0, session)
		}
		b.read("twin", 0, 0, 100)
		b.read("gale", 0, 0, 100)
		var list []string
		for _, x := range NewSpace(b.p).Plan(PlanOptions{}).Wants {
			for _, cell := range x.Cells {
				list = append(list, x.Question+" "+cell.Configuration+" "+cell.Workload)
			}
		}
		return strings.Join(list, ", ")
	}
	if one, two := lacking(1), lacking(2); one != "other twin fluid, other gale fluid" || one != two {
		t.Errorf("after one crash: %s; after two: %s", one, two)
	}
}

// A finding stands at every question that it names, so that it names a pair of
// each: at most of six, as nobody reads more.
func TestAHeldFactorThatDiffersIsToldOfEachQuestion(t *testing.T) {
	b := newBench()
	b.factor("cooler", project.Studied)
	b.factor("fan", project.Studied)
	b.factor("firmware", project.Held)
	b.configuration("box", "cooler=box", "fan=fast", "firmware=v7")
	b.configuration("twin-slow", "cooler=twin", "fan=slow", "firmware=v7")
	b.configuration("twin", "cooler=twin", "fan=fast", "firmware=v8")
	b.question("cooler", "cooler", "box", "twin")
	b.question("fan", "fan", "slow", "fast")
	found := of("held-factor-differs", Check(b.p, NewSpace(b.p)))
	want := `; without that, "box" and "twin" would answer "cooler", and "twin-slow" and "twin" "fan"`
	if len(found) != 1 || !strings.HasSuffix(found[0].Message, want) || !slices.Equal(found[0].Questions, []string{"cooler", "fan"}) {
		t.Errorf("%+v", found)
	}
	for _, id := range strings.Split("abcdef", "") {
		b.question(id, "fan", "slow", "fast")
	}
	found = of("held-factor-differs", Check(b.p, NewSpace(b.p)))
	if len(found) != 1 || !strings.HasSuffix(found[0].Message, `"twin-slow" and "twin" "d", and so on for 2 more questions`) {
		t.Errorf("%+v", found)
	}
}
