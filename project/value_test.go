package project

import (
	"math"
	"testing"
)

func number(v float64) Value {
	return Value{State: Known, Numeric: true, Number: v, Text: numberText(v)}
}

func word(text string) Value { return Value{State: Known, Text: text} }

func TestSame(t *testing.T) {
	room := &Factor{ID: "room", Numeric: true, Tolerance: Tolerance{Absolute: 0.3}}
	clock := &Factor{ID: "clock", Numeric: true, Tolerance: Tolerance{Relative: 0.01}}
	exact := &Factor{ID: "exact", Numeric: true}
	pad := &Factor{ID: "pad"}
	for _, c := range []struct {
		name string
		f    *Factor
		a, b Value
		want bool
	}{
		{"equal words", pad, word("thin"), word("thin"), true},
		{"other words", pad, word("thin"), word("thick"), false},
		{"case counts", pad, word("thin"), word("Thin"), false},
		{"equal numbers", exact, number(15), number(15), true},
		{"other numbers", exact, number(15), number(15.001), false},
		{"the rounding of a sum", exact, number(0.1 + 0.2), number(0.3), true},
		{"at the edge of the tolerance", room, number(20), number(20.3), true},
		{"beyond the tolerance", room, number(20), number(20.31), false},
		{"a share of the larger", clock, number(3200), number(3232), true},
		{"more than a share", clock, number(3200), number(3240), false},
		{"unknown is not equal to unknown", pad, Value{State: Unknown}, Value{State: Unknown}, false},
		{"unset is not equal to unset", pad, Value{}, Value{}, false},
		{"unknown is not equal to a word", pad, Value{State: Unknown}, word(""), false},
		{"a number is not a word", pad, number(1), word("1"), false},
		{"zero and zero", exact, number(0), number(0), true},
	} {
		if got := Same(c.f, c.a, c.b); got != c.want {
			t.Errorf("%s: %v", c.name, got)
		}
		if got := Same(c.f, c.b, c.a); got != c.want {
			t.Errorf("%s, the other way round: %v", c.name, got)
		}
	}
}

func TestFormatLevel(t *testing.T) {
	watts := &Factor{ID: "power-limit", Numeric: true, Unit: unitOf(t, "W"), Levels: []Level{{Value: number(15), Label: "as sold"}, {Value: number(35)}}}
	celsius := &Factor{ID: "room", Numeric: true, Unit: unitOf(t, "°C")}
	pad := &Factor{ID: "pad"}
	for _, c := range []struct {
		f    *Factor
		v    Value
		want string
	}{
		{watts, number(15), "as sold"},
		{watts, number(35), "35\u00a0W"},
		{watts, number(12.5), "12.5\u00a0W"},
		{celsius, number(-5), "\u22125\u00a0°C"},
		{pad, word("thin-ish"), "thin-ish"},
		{pad, Value{State: Unknown}, "not known"},
		{pad, Value{}, ""},
	} {
		if got := FormatLevel(c.f, c.v); got != c.want {
			t.Errorf("%q, not %q", got, c.want)
		}
	}
}

func TestNumberText(t *testing.T) {
	for v, want := range map[float64]string{0: "0", 15: "15", 0.1 + 0.2: "0.3", 1e20: "1e+20", 1e-9: "1e-09", 3200: "3200", -2.5: "-2.5", 123456.789: "123456.789"} {
		if got := numberText(v); got != want {
			t.Errorf("%v: %q, not %q", v, got, want)
		}
	}
	if got := numberText(math.Copysign(0, -1)); got != "0" {
		t.Errorf("negative zero: %q", got)
	}
}

// A converted value has no tail of digits that nobody wrote; what is exact in a
// few digits stays exact.
func TestConvertedText(t *testing.T) {
	units := standard()
	for _, c := range []struct{ written, unit, want string }{
		{"80.4 °F", "°C", "26.9"},
		{"80.45 °F", "°C", "26.92"},
		{"70 °F", "°C", "21"},
		{"5 °F", "°C", "-15"},
		{"80.6 °F", "°C", "27"},
		{"26.8888889 °C", "°C", "26.8888889"},
		{"26.8888889", "°C", "26.8888889"},
		{"100 min", "h", "1.67"},
		{"90 min", "h", "1.5"},
		{"1 h", "s", "3600"},
		{"1 KiB", "B", "1024"},
		{"3.2 GHz", "MHz", "3200"},
		{"400 MHz", "GHz", "0.4"},
		{"-80.5 °F", "°C", "-62.5"},
		{"−80.4 °F", "°C", "-62.4"},
	} {
		unit := unitOf(t, c.unit)
		v, given, err := units.ParseQuantity(c.written)
		if err != nil {
			t.Fatal(err)
		}
		if given.Symbol != "" {
			v, _ = given.Convert(v, unit)
		}
		if got := convertedText(c.written, v, unit, units); got != c.want {
			t.Errorf("%s is %q %s, want %q", c.written, got, c.unit, c.want)
		}
	}
}
