package design

import (
	"strings"
	"testing"

	"benchwright/project"
)

// found writes what was measured or displayed of configuration c: "firmware=1.1x".
func (b *bench) found(c int, measured, displayed string) {
	add := func(words string) (list []project.Identity) {
		for _, word := range strings.Fields(words) {
			name, text, _ := strings.Cut(word, "=")
			list = append(list, project.Identity{Factor: b.index(name), Value: value(text)})
		}
		return list
	}
	b.p.Configurations[c].Measured, b.p.Configurations[c].Displayed = add(measured), add(displayed)
}

// A pair is matched by what was set; what was displayed or measured and belies
// that is a doubt, unless both sides deviate alike or it is within the tolerance.
func TestWhatWasFoundBeliesWhatWasSet(t *testing.T) {
	const doubted = "firmware 1.0x|1.1x"
	cases := map[string]struct {
		measured, displayed         string // of b
		otherMeasured, otherDisplay string // of a
		explained                   string // of b
		want                        string
	}{
		"nobody looked":                          {},
		"a held one measured":                    {measured: "firmware=1.1x", want: doubted},
		"a held one displayed":                   {displayed: "firmware=1.1x", want: doubted},
		"measured as set":                        {measured: "firmware=1.0x"},
		"displayed otherwise, measured as set":   {measured: "firmware=1.0x", displayed: "firmware=1.1x"},
		"both sides alike":                       {measured: "firmware=1.1x", otherDisplay: "firmware=1.1x"},
		"both sides, and not alike":              {measured: "firmware=1.1x", otherDisplay: "firmware=1.2x", want: "firmware 1.2x|1.1x"},
		"explained":                              {measured: "firmware=1.1x", explained: "firmware"},
		"a studied one that is not asked about":  {displayed: "memory=128", want: "memory 64|128"},
		"numbers within the tolerance":           {measured: "fan=1015"},
		"numbers beyond it":                      {measured: "fan=1025", want: "fan 1000|1025"},
		"beyond it on one side, near each other": {measured: "fan=1025", otherMeasured: "fan=1018"},
		"each near what was set, measured apart": {measured: "fan=1018", otherMeasured: "fan=982", want: "fan 982|1018"},
		"each near what was set, as displayed":   {displayed: "fan=1018", otherDisplay: "fan=982"},
		"no tolerance declared, within 2 %":      {measured: "limit=101"},
		"no tolerance declared, beyond 2 %":      {measured: "limit=110", want: "limit 100|110"},
		"the step itself":                        {displayed: "processor=p1", want: "step processor p1|p1"},
		"what follows the step":                  {measured: "cache=c7"},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			x := newBench()
			x.factor("processor", project.Studied)
			x.factor("memory", project.Studied)
			x.factor("cache", project.Follows, "processor")
			x.factor("firmware", project.Held)
			fan := x.factor("fan", project.Held)
			fan.Numeric, fan.Tolerance = true, project.Tolerance{Absolute: 20}
			x.factor("limit", project.Held).Numeric = true
			rest := []string{"memory=64", "cache=c1", "firmware=1.0x", "fan=1000", "limit=100"}
			x.configuration("a", append([]string{"processor=p1"}, rest...)...)
			x.configuration("b", append([]string{"processor=p2"}, rest...)...)
			x.found(0, c.otherMeasured, c.otherDisplay)
			x.found(1, c.measured, c.displayed)
			if c.explained != "" {
				x.p.Configurations[1].Explained = map[int]string{x.index(c.explained): "the label is old"}
			}
			s := NewSpace(x.p)
			for _, way := range []struct {
				a, b    int
				studied []int
			}{{0, 1, nil}, {1, 0, nil}, {0, 1, []int{0}}} {
				got := ""
				for _, d := range s.Doubts(way.a, way.b, way.studied...) {
					left, right := d.A.Text, d.B.Text
					if way.a == 1 {
						left, right = right, left
					}
					got += map[bool]string{true: "step "}[d.Step] + x.p.Factors[d.Factor].ID + " " + left + "|" + right
				}
				if got != c.want {
					t.Errorf("%d against %d: %q, want %q", way.a, way.b, got, c.want)
				}
			}
			text := strings.Join(s.Explain(0, 1), "\n")
			belied := c.want != "" && !strings.HasPrefix(c.want, "step")
			if strings.Contains(text, "they differ in processor alone") == belied || strings.Contains(text, "by what was set") != belied ||
				strings.Contains(text, "by what was displayed or measured") != (c.want != "") {
				t.Errorf("the checker says\n%s", text)
			}
			if !s.Clean(0, 1) {
				t.Error("matching goes by what was set")
			}
		})
	}
}

// A factor of which the pair is unequal anyway is said to differ, not doubted;
// nor does a configuration differ from itself.
func TestADifferenceThatWasSetIsNoDoubt(t *testing.T) {
	x := twoSides("processor=p1 firmware=1.0x", "processor=p2 firmware=1.1x")
	x.found(1, "firmware=1.2x", "")
	s := NewSpace(x.p)
	if d := append(s.Doubts(0, 1), s.Doubts(1, 1)...); len(d) > 0 {
		t.Errorf("%+v", d)
	}
}
