package design

import (
	"slices"
	"strings"
	"testing"

	"benchwright/project"
)

// twoSides builds two configurations of a bench with every role.
func twoSides(a, b string) *bench {
	x := newBench()
	x.factor("processor", project.Studied)
	x.factor("memory", project.Studied)
	x.factor("cache", project.Follows, "processor")
	x.factor("firmware", project.Held)
	room := x.factor("room", project.Nuisance)
	room.Numeric, room.Tolerance = true, project.Tolerance{Absolute: 2}
	x.configuration("a", strings.Fields(a)...)
	x.configuration("b", strings.Fields(b)...)
	return x
}

func TestDifferencesAreSplitByKind(t *testing.T) {
	base := "processor=p1 memory=64 cache=c1 firmware=1.0x room=21"
	cases := map[string]struct {
		a, b    string
		studied string
		want    string // factor kind, …
		clean   bool
	}{
		"the same":                       {base, base, "processor", "", false},
		"one factor":                     {base, "processor=p2 memory=64 cache=c1 firmware=1.0x room=21", "processor", "processor under study", true},
		"with its follower":              {base, "processor=p2 memory=64 cache=c2 firmware=1.0x room=21", "processor", "processor under study, cache follows", true},
		"nobody said which":              {base, "processor=p2 memory=64 cache=c2 firmware=1.0x room=21", "", "processor under study, cache follows", true},
		"nobody said which of two":       {base, "processor=p2 memory=128 cache=c2 firmware=1.0x room=21", "", "processor independent, memory independent, cache follows", false},
		"a second studied one":           {base, "processor=p2 memory=128 cache=c2 firmware=1.0x room=21", "processor", "processor under study, memory independent, cache follows", false},
		"allowed as a bundle":            {base, "processor=p2 memory=128 cache=c2 firmware=1.0x room=21", "processor memory", "processor under study, memory under study, cache follows", true},
		"a held one":                     {base, "processor=p2 memory=64 cache=c2 firmware=1.1x room=21", "processor", "processor under study, cache follows, firmware independent", false},
		"a follower by itself":           {base, "processor=p1 memory=128 cache=c2 firmware=1.0x room=21", "memory", "memory under study, cache independent", false},
		"warmer, within the tolerance":   {base, "processor=p2 memory=64 cache=c1 firmware=1.0x room=23", "processor", "processor under study", true},
		"warmer, beyond it":              {base, "processor=p2 memory=64 cache=c1 firmware=1.0x room=23.1", "processor", "processor under study, room drift", false},
		"unknown on one side":            {base, "processor=p2 memory=64 cache=c1 firmware=? room=21", "processor", "processor under study, firmware unknown", false},
		"unset on one side":              {base, "processor=p2 memory=64 cache=c1 room=21", "processor", "processor under study, firmware unknown", false},
		"unknown on both is not equal":   {"processor=p1 firmware=?", "processor=p2 firmware=?", "processor", "processor under study, firmware unknown", false},
		"unset on both is no difference": {"processor=p1", "processor=p2", "processor", "processor under study", true},
		"a follower nobody wrote down":   {base, "processor=p2 memory=64 firmware=1.0x room=21", "processor", "processor under study, cache follows", true},
		"the studied one unknown":        {base, "processor=? memory=64 cache=c1 firmware=1.0x room=21", "processor", "processor unknown", false},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			b := twoSides(c.a, c.b)
			s := NewSpace(b.p)
			var studied []int
			for _, f := range strings.Fields(c.studied) {
				studied = append(studied, b.index(f))
			}
			var got []string
			for _, d := range s.Between(0, 1, studied...) {
				got = append(got, b.p.Factors[d.Factor].ID+" "+d.Kind.String())
			}
			if text := strings.Join(got, ", "); text != c.want {
				t.Errorf("got %q, want %q", text, c.want)
			}
			if s.Clean(0, 1, studied...) != c.clean {
				t.Errorf("clean is %v", !c.clean)
			}
			// What is between b and a is what is between a and b.
			var back []string
			for _, d := range s.Between(1, 0, studied...) {
				back = append(back, b.p.Factors[d.Factor].ID+" "+d.Kind.String())
			}
			if !slices.Equal(got, back) {
				t.Errorf("the other way round: %q", back)
			}
		})
	}
}

func TestFollowerSetAgainstItsPart(t *testing.T) {
	b := twoSides("processor=p1 cache=c1", "processor=p2 cache=c9")
	cache := b.index("cache")
	b.p.Factors[0].Levels = []project.Level{
		{Value: value("p1"), Brings: map[int]project.Value{cache: value("c1")}},
		{Value: value("p2"), Brings: map[int]project.Value{cache: value("c2")}},
	}
	d := NewSpace(b.p).Between(0, 1, 0)
	if len(d) != 2 || d[1].Kind != Independent || d[1].Because != `c9 in "b", although p2 brings c2` {
		t.Errorf("%+v", d)
	}
	// Of two parents, the other may have changed it.
	b.p.Factors[cache].Of = append(b.p.Factors[cache].Of, b.index("memory"))
	if d := NewSpace(b.p).Between(0, 1, 0); d[1].Kind != Follower {
		t.Errorf("%+v", d)
	}
}

func TestFollowersInACircleDoNotExplainOneAnother(t *testing.T) {
	b := newBench()
	x, y := b.factor("x", project.Follows), b.factor("y", project.Follows)
	x.Of, y.Of = []int{1}, []int{0}
	b.configuration("a", "x=1", "y=1")
	b.configuration("b", "x=2", "y=2")
	independent := 0
	for _, d := range NewSpace(b.p).Between(0, 1) {
		if d.Kind == Independent {
			independent++
		}
	}
	if independent != 1 {
		t.Errorf("%d independent differences", independent)
	}
}

// What a session states counts for the readings made in it.
func TestSessionsHaveTheirSay(t *testing.T) {
	make := func(inFirst, inSecond string) *bench {
		b := twoSides("processor=p1 room=21", "processor=p2 room=21")
		b.workload("w")
		b.session("first", strings.Fields(inFirst)...)
		b.session("second", strings.Fields(inSecond)...)
		return b
	}
	b := make("firmware=1.0x", "firmware=1.1x")
	b.read("a", 0, 0, 1)
	b.read("b", 0, 1, 1)
	d := NewSpace(b.p).Between(0, 1, 0)
	if len(d) != 2 || d[1].Kind != Independent || d[1].A.From != "first" || d[1].B.From != "second" {
		t.Errorf("read under different firmware: %+v", d)
	}
	b.read("a", 0, 1, 1)
	if s := NewSpace(b.p); !s.Clean(0, 1, 0) || !s.Elsewhere(b.index("firmware"), 0, 1) {
		t.Error("one side was read elsewhere under another firmware, which takes no part")
	}
	b.read("b", 0, 0, 1)
	if s := NewSpace(b.p); !s.Clean(0, 1, 0) || s.Elsewhere(b.index("firmware"), 0, 1) {
		t.Error("both were read under both")
	}
	// What was read in no common session, or in none at all, is compared whole.
	b = make("firmware=1.0x", "firmware=1.1x")
	b.workload("v")
	b.read("a", 0, 0, 1)
	b.read("b", 0, 0, 1)
	b.read("a", 0, 1, 1)
	b.read("a", 1, 1, 1)
	b.read("b", 1, 0, 1)
	if NewSpace(b.p).Clean(0, 1, 0) {
		t.Error("on one workload the two share no session")
	}
	b = make("firmware=1.0x", "firmware=1.1x")
	b.read("a", 0, 0, 1)
	b.read("b", 0, 0, 1)
	b.read("a", 0, 1, 1)
	b.read("b", 0, -1, 1)
	if NewSpace(b.p).Clean(0, 1, 0) {
		t.Error("a reading without a session belongs to no block")
	}
	// Through a third that was read under both, the two sides still stand under
	// different firmware.
	b = make("firmware=1.0x", "firmware=1.1x")
	b.configuration("c", "processor=p3", "room=21")
	b.read("a", 0, 0, 1)
	b.read("b", 0, 1, 1)
	b.read("c", 0, 0, 1)
	b.read("c", 0, 1, 1)
	if NewSpace(b.p).Clean(0, 1, 0) {
		t.Error("compared through a third, under different firmware")
	}
	// A configuration that is still to be run may be run under any.
	b = make("firmware=1.0x", "")
	b.read("a", 0, 0, 1)
	if !NewSpace(b.p).Clean(0, 1, 0) {
		t.Error("a session will decide")
	}
	// Excluded readings do not count.
	b = make("firmware=1.0x", "firmware=1.1x")
	b.read("a", 0, 0, 1)
	b.read("b", 0, 0, 1)
	b.read("b", 0, 1, 1)
	b.p.Readings[2].Outcome = project.Excluded
	if !NewSpace(b.p).Clean(0, 1, 0) {
		t.Error("an excluded reading spoils the pair")
	}
	// A held factor that only one of a side's sessions states is not known, unless
	// the two share one that does.
	b = make("firmware=1.0x", "")
	b.session("third", "firmware=1.0x")
	b.read("a", 0, 2, 1)
	b.read("b", 0, 0, 1)
	b.read("b", 0, 1, 1)
	if d := NewSpace(b.p).Between(0, 1, 0); len(d) != 2 || d[1].Kind != UnknownSide {
		t.Errorf("stated for one session of two: %+v", d)
	}
	// A gap in the log of the room is no difference, when another session has it.
	b = make("room=21", "room=?")
	b.read("a", 0, 0, 1)
	b.read("a", 0, 1, 1)
	b.read("b", 0, 0, 1)
	if !NewSpace(b.p).Clean(0, 1, 0) {
		t.Error("a gap in the log spoils the pair")
	}
}

// A number that was computed for one side and displayed for the other need not
// agree to the last digit.
func TestNominalNumbersAreNotDifferences(t *testing.T) {
	b := newBench()
	b.factor("processor", project.Studied)
	clock := b.factor("clock", project.Held)
	clock.Numeric = true
	b.configuration("a", "processor=p1", "clock=400")
	b.configuration("b", "processor=p2", "clock=396")
	if NewSpace(b.p).Clean(0, 1, 0) {
		t.Error("400 and 396, both set, are different")
	}
	b.p.Configurations[1].Values[1].Origin = project.FromDerived
	if !NewSpace(b.p).Clean(0, 1, 0) {
		t.Error("400 set and 396 computed are the same within 2 %")
	}
	b.p.Configurations[1].Values[1].Number = 375
	if NewSpace(b.p).Clean(0, 1, 0) {
		t.Error("375 is not 400")
	}
}

func TestPairInWords(t *testing.T) {
	for _, c := range []struct{ a, b, want string }{
		{"processor=p1 memory=64 cache=c1", "processor=p2 memory=64 cache=c2", `"a" and "b" are a matched pair: they differ in processor alone, followers aside
processor: p1 against p2 (under study)
cache: c1 against c2 (follows processor)`},
		{"processor=p1 memory=64 firmware=1.0x", "processor=p2 memory=64", `"a" and "b" are not a matched pair: besides processor, one other factor differs
processor: p1 against p2 (under study)
firmware: 1.0x against not recorded (unknown: not recorded for "b")`},
		{"processor=p1 memory=64", "processor=p2 memory=128", `"a" and "b" are not a matched pair: 2 factors differ
processor: p1 against p2 (independent)
memory: 64 against 128 (independent)`},
		{"processor=p1 room=21", "processor=p2 room=26", `"a" and "b" are not a matched pair: besides processor, one other factor differs
processor: p1 against p2 (under study)
room: 21 against 26 (drift: beyond the tolerance of 2)`},
		{"processor=p1", "processor=p1", `"a" and "b" have the same value of every factor`},
	} {
		if got := strings.Join(NewSpace(twoSides(c.a, c.b).p).Explain(0, 1), "\n"); got != c.want {
			t.Errorf("got\n%s\nwant\n%s", got, c.want)
		}
	}
}

// Two configurations that were never read in one session say so, since the
// effect of what differs cannot be told from that of the day.
func TestPairInDifferentSessions(t *testing.T) {
	const last = "were not read in one session, so that what sessions differ by stands between them"
	b := twoSides("processor=p1", "processor=p2")
	b.workload("render")
	b.workload("pack")
	b.session("first")
	b.session("second")
	said := func() string {
		lines := NewSpace(b.p).Explain(0, 1)
		return lines[len(lines)-1]
	}
	if got := said(); strings.Contains(got, last) {
		t.Errorf("nothing has been read, and %q", got)
	}
	b.read("a", 0, 0, 1)
	b.read("b", 0, 1, 1)
	b.read("a", 1, 1, 1)
	b.read("b", 1, 0, 1)
	if got := said(); got != "the two "+last {
		t.Errorf("on both workloads: %q", got)
	}
	b.read("b", 1, 1, 1)
	if got := said(); got != "on render, the two "+last {
		t.Errorf("on one of two: %q", got)
	}
	b.read("a", 0, 1, 1)
	b.p.Readings[len(b.p.Readings)-1].Outcome = project.Excluded
	if got := said(); got != "on render, the two "+last {
		t.Errorf("an excluded reading brings two together: %q", got)
	}
	b.read("a", 0, 1, 1)
	if got := said(); strings.Contains(got, last) {
		t.Errorf("both were read in one session under both: %q", got)
	}
	// Nothing is known of readings without a session, and unknown is not equal.
	b.p.Readings = b.p.Readings[:0]
	b.read("a", 0, -1, 1)
	b.read("b", 0, -1, 1)
	if got := said(); got != "the two "+last {
		t.Errorf("without a session: %q", got)
	}
	b.p.Sessions = nil
	if got := said(); strings.Contains(got, last) {
		t.Errorf("a folder without sessions: %q", got)
	}
}
