package project

import (
	"strings"
	"testing"

	"benchwright/schema"
)

// originNames spells the origins for the tests.
var originNames = map[OriginKind]string{FromNowhere: "nowhere", FromSession: "session", FromOwn: "own", FromBase: "base", FromPart: "part",
	FromCommon: "common", FromMeasured: "measured", FromDisplayed: "displayed", FromDerived: "derived"}

// resolved describes a value and where it came from: "81 ns part channels".
func resolved(p *Project, configuration, session, factor string) string {
	s := -1
	if session != "" {
		s = p.Session(session).Index
	}
	f := p.Factor(factor)
	r := p.ValueIn(p.Configuration(configuration).Index, s, f.Index)
	return strings.TrimSpace(strings.ReplaceAll(FormatLevel(f, r.Value), "\u00a0", " ") + " " + originNames[r.Origin] + " " + r.From)
}

// Each step of the order in which a value is looked for wins over the next.
func TestResolutionOrder(t *testing.T) {
	edits := map[string]string{
		"edit bench.yaml":                 "-     of: channels\n+     of: [channels, bus]\n",
		"edit configurations/single.yaml": "-   channels: 1\n-   memory-latency: 85\n+   channels: 2\n",
		"edit configurations/many.yaml": "-     set: {channels: 2, memory-latency: 83 ns}\n-     measured: {memory-clock: {value: 3.19 GT/s, how: timed copy}}\n" +
			"+     set: {memory-latency: 83 ns}\n",
		"edit sessions.yaml": "-   tuesday: {date: 2026-02-24, values: {room: 70 °F}}\n+   tuesday: {date: 2026-02-24, values: {memory-latency: 84 ns, multiplier: 20}}\n",
	}
	p, findings := loadEdited(t, edits)
	for _, f := range findings {
		if f.Severity == schema.Error {
			t.Fatal(printed(findings))
		}
	}
	for _, c := range []struct{ configuration, session, factor, want string }{
		{"dual", "tuesday", "memory-latency", "84 ns session tuesday"},
		{"dual", "monday", "memory-latency", "83 ns own dual"},
		{"dual", "", "memory-latency", "83 ns own dual"},
		{"dual-cool", "", "memory-latency", "83 ns base dual"},
		{"dual-cool", "", "channels", "two base single"},
		{"single", "", "memory-latency", "81 ns part channels"},
		{"single", "", "pad", "thin common bench"},
		{"dual-cool", "", "pad", "thick own dual-cool"},
		{"single", "", "memory-clock", "3200 MT/s displayed single"},
		{"dual", "", "memory-clock", "3200 MT/s derived memory-clock"},
		{"dual", "tuesday", "memory-clock", "4000 MT/s derived memory-clock"}, // follows from the session's multiplier
		{"dual", "", "room", "nowhere"},
		{"dual", "monday", "room", "21.5 °C session monday"},
	} {
		if got := resolved(p, c.configuration, c.session, c.factor); got != c.want {
			t.Errorf("%s of %s in %q: %q, not %q", c.factor, c.configuration, c.session, got, c.want)
		}
	}
}

// Measured wins over displayed, and neither is inherited: another
// configuration's reading of the screen says nothing about this one.
func TestIdentityIsNotInherited(t *testing.T) {
	p, _ := loadEdited(t, map[string]string{
		"edit bench.yaml":               "- derived:\n-   memory-clock: {times: [bus, multiplier, 2], tolerance: 1 %}\n",
		"edit configurations/many.yaml": "-     measured: {memory-clock: {value: 3.19 GT/s, how: timed copy}}\n+     measured: {memory-clock: {value: 3.19 GT/s, how: timed copy}}\n+     displayed: {memory-clock: 3000}\n",
	})
	for configuration, want := range map[string]string{"single": "3200 MT/s displayed single", "dual": "3190 MT/s measured dual", "dual-cool": "nowhere"} {
		if got := resolved(p, configuration, "", "memory-clock"); got != want {
			t.Errorf("%s: %q, not %q", configuration, got, want)
		}
	}
}

// A resolved value knows the line that it came from.
func TestResolvedPlace(t *testing.T) {
	p, _ := load(base(t))
	for factor, want := range map[string]string{
		"channels": "configurations/many.yaml:5:21", "bus": "bench.yaml:53:8", "memory-latency": "configurations/many.yaml:5:40", "memory-clock": "configurations/many.yaml:6:38",
	} {
		r := p.ValueIn(p.Configuration("dual").Index, -1, p.Factor(factor).Index)
		if got := r.Place.String(); got != want {
			t.Errorf("%s: %s, not %s", factor, got, want)
		}
	}
}

func TestDerivedValue(t *testing.T) {
	p, _ := load(base(t))
	clock := p.Factor("memory-clock")
	v, ok := p.DerivedValue(p.Configuration("dual").Index, -1, clock.Index)
	if !ok || v.Number != 3200 {
		t.Errorf("100 MHz × 16 × 2 = %v %v", v, ok)
	}
	measured := p.Configuration("dual").Measured[0].Value
	if measured.Number != 3190 || !Same(clock, v, measured) {
		t.Errorf("measured %v lies within 1 %% of %v", measured.Number, v.Number)
	}
	if _, ok := p.DerivedValue(0, -1, p.Factor("bus").Index); ok {
		t.Error("the bus clock is not derived")
	}
}

// "unknown" is a value that nobody wrote down; it hides what is common, and a
// derived value cannot be made of it.
func TestUnknownValue(t *testing.T) {
	p, findings := loadEdited(t, map[string]string{
		"edit configurations/many.yaml": "-     set: {pad: thick}\n+     set: {bus: unknown, pad: unknown}\n",
	})
	if len(findings) > 0 {
		t.Fatal(printed(findings))
	}
	for factor, want := range map[string]string{"bus": "not known own dual-cool", "pad": "not known own dual-cool", "memory-clock": "nowhere"} {
		if got := resolved(p, "dual-cool", "", factor); got != want {
			t.Errorf("%s: %q, not %q", factor, got, want)
		}
	}
}
