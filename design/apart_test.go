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
