package project

import (
	"maps"
	"math"
	"strings"
	"testing"
)

func unitOf(t testing.TB, symbol string) Unit {
	t.Helper()
	u, ok := ParseUnit(symbol)
	if !ok {
		t.Fatalf("there is no unit %q", symbol)
	}
	return u
}

// Exact definitions: SI Brochure, 9th edition (BIPM 2019), tables 4, 7 and 8;
// IEC 80000-13:2008 for B, Ki and Mi; NIST SP 811 (2008), appendix B, for °F.
// The rest is arithmetic on them.
func TestConvert(t *testing.T) {
	for _, c := range []struct {
		v    float64
		from string
		to   string
		want float64
	}{
		{9, "ms", "s", 0.009},
		{0.009, "s", "ms", 9},
		{3, "min", "s", 180},
		{90, "min", "h", 1.5},
		{1, "d", "h", 24},
		{250, "us", "ms", 0.25},
		{250, "μs", "µs", 250}, // Greek mu and micro sign
		{1, "MiB/s", "B/s", 1048576},
		{1048.576, "MB/s", "MiB/s", 1000},
		{1, "GB/s", "Gbit/s", 8},
		{2.5, "Gbit/s", "MB/s", 312.5},
		{1, "KiB", "bit", 8192},
		{2.4, "GHz", "MHz", 2400},
		{3.2, "GT/s", "MT/s", 3200},
		{1, "kWh", "MJ", 3.6},
		{1, "Wh", "J", 3600},
		{1, "W·s", "J", 1},
		{12, "V·A", "W", 12},
		{20, "°C", "K", 293.15},
		{20, "°C", "°F", 68},
		{-40, "°F", "°C", -40},
		{212, "°F", "°C", 100},
		{98.6, "°F", "°C", 37},
		{60, "rpm", "revolutions/s", 1},
		{2, "%", "", 0.02},
		{150, "kIOPS", "ops/s", 150000},
		{60, "frames/s", "fps", 60},
		{3600, "jobs/h", "jobs/s", 1},
		{1, "L/min", "m³/h", 0.06},
		{9.81, "m/s²", "cm/s^2", 981},
		{1, "g", "kg", 0.001},
	} {
		got, ok := unitOf(t, c.from).Convert(c.v, unitOf(t, c.to))
		if !ok || math.Abs(got-c.want) > 1e-12*math.Abs(c.want) {
			t.Errorf("%v %s = %v %s (%v), not %v", c.v, c.from, got, c.to, ok, c.want)
		}
	}
}

// A decimal number in one unit is the same float64 as the shifted decimal
// number in another, so that equal levels stay equal.
func TestConvertExactly(t *testing.T) {
	ms, s := unitOf(t, "ms"), unitOf(t, "s")
	ghz, mhz := unitOf(t, "GHz"), unitOf(t, "MHz")
	for i := range 10000 {
		if got, _ := ms.Convert(float64(i), s); got != float64(i)/1000 {
			t.Fatalf("%d ms = %v s", i, got)
		}
		if got, _ := ghz.Convert(float64(i), mhz); got != float64(i)*1000 {
			t.Fatalf("%d GHz = %v MHz", i, got)
		}
	}
}

func TestConvertDifference(t *testing.T) {
	for _, c := range []struct {
		v        float64
		from, to string
		want     float64
	}{
		{20, "°C", "K", 20},
		{20, "°C", "°F", 36},
		{9, "°F", "K", 5},
		{1500, "mW", "W", 1.5},
	} {
		got, ok := unitOf(t, c.from).ConvertDifference(c.v, unitOf(t, c.to))
		if !ok || math.Abs(got-c.want) > 1e-12*c.want {
			t.Errorf("a difference of %v %s = %v %s, not %v", c.v, c.from, got, c.to, c.want)
		}
	}
}

func TestConvertRefuses(t *testing.T) {
	for _, c := range [][2]string{
		{"s", "W"}, {"MHz", "MT/s"}, {"fps", "Hz"}, {"dB", "dB(A)"}, {"J", "W"}, {"B", "B/s"}, {"frames", "jobs"},
		{"frames", ""}, {"°C", "K/s"}, {"J/job", "J"},
	} {
		if got, ok := unitOf(t, c[0]).Convert(1, unitOf(t, c[1])); ok {
			t.Errorf("1 %s became %v %s", c[0], got, c[1])
		}
	}
}

func TestUnknownUnits(t *testing.T) {
	for symbol, want := range map[string]string{
		"Mhz": "MHz", "khz": "kHz", "KB": "kB", "Mbps": "Mbit/s", "sec": "s", "seconds": "s", "C": "°C", "celsius": "°C",
		"dBA": "dB(A)", "RPM": "rpm", "FPS": "fps", "megahertz": "MHz", "millivolts": "mV", "mb/sec": "MB/s", "frmes": "frames",
		"watts": "W", "Ohm": "Ω", "zorkmid": "",
		"MBps": "MB/s", "GBps": "GB/s", "KBps": "kB/s", "kBps": "kB/s", "MiBps": "MiB/s", "Bps": "B/s", "Gbps": "Gbit/s", "mbps": "Mbit/s", "MBPS": "",
	} {
		if u, ok := ParseUnit(symbol); ok {
			t.Errorf("%q is %v", symbol, u)
		}
		if got := standard().Nearest(symbol); got != want && !(symbol == "Ohm" && got == "ohm") {
			t.Errorf("for %q: %q, not %q", symbol, got, want)
		}
	}
	for _, symbol := range []string{"/", "s/", "/s", "·", "m²²", "1/1/1/1/1/1/1/1/1/1", "²", "k", "s s"} {
		if u, ok := ParseUnit(symbol); ok {
			t.Errorf("%q is %v", symbol, u)
		}
	}
}

// Each name of the table is found, has a usable factor, and is its own nearest.
func TestEveryUnit(t *testing.T) {
	names := standard().names
	if len(names) < 200 {
		t.Errorf("only %d names", len(names))
	}
	for _, name := range names {
		u, ok := ParseUnit(name)
		if !ok || !(u.Factor > 0) || math.IsInf(u.Factor, 0) || u.Symbol == "" {
			t.Errorf("%q: %+v %v", name, u, ok)
		}
		if v, ok := u.Convert(3, u); !ok || v != 3 {
			t.Errorf("3 %s = %v %s", name, v, name)
		}
	}
	for word, symbol := range everyday {
		if _, ok := ParseUnit(symbol); !ok {
			t.Errorf("%q stands for %q, which is no unit", word, symbol)
		}
	}
}

func TestMultiplyCounts(t *testing.T) {
	for _, c := range []struct {
		a, b  string
		power int
		want  string
	}{
		{"", "frame", 1, "frame"},
		{"frame", "frame", -1, ""},
		{"tick", "frame", 1, "frame·tick"},
		{"frame·tick^-1", "tick", 1, "frame"},
		{"frame", "frame", 1, "frame^2"},
		{"frame^2", "frame", -1, "frame"},
		{"", "a·b^-2", -1, "a^-1·b^2"},
	} {
		if got := multiplyCounts(c.a, c.b, c.power); got != c.want {
			t.Errorf("%q × %q^%d = %q, not %q", c.a, c.b, c.power, got, c.want)
		}
	}
}

func TestParseQuantity(t *testing.T) {
	for _, c := range []struct {
		text   string
		value  float64
		symbol string
	}{
		{"15 W", 15, "W"}, {"15W", 15, "W"}, {"15\u00a0W", 15, "W"}, {" 21.5 °C ", 21.5, "°C"}, {"3200 MT/s", 3200, "MT/s"},
		{"−40 °C", -40, "°C"}, {"-40", -40, ""}, {"2 %", 2, "%"}, {"1e3", 1000, ""}, {"1.5e-3 s", 0.0015, "s"}, {"+4", 4, ""},
		{".5 V", 0.5, "V"}, {"35 1/s", 35, "1/s"}, {"5 us", 5, "µs"}, {"100 frames", 100, "frames"},
	} {
		v, u, err := ParseQuantity(c.text)
		if err != nil || v != c.value || u.Symbol != c.symbol {
			t.Errorf("%q: %v %q %v", c.text, v, u.Symbol, err)
		}
	}
	for _, text := range []string{"", "W", "W 15", "1,5 W", "1 500 W", "1'500", "0x10", "nan", "inf", "NaN W", "1e400", "15 furlongs", "15 W W", "--5", "1.2.3", "e5", "1_000"} {
		if v, u, err := ParseQuantity(text); err == nil {
			t.Errorf("%q: %v %q", text, v, u.Symbol)
		}
	}
}

func FuzzParseQuantity(f *testing.F) {
	for _, s := range []string{"15 W", "−1.5e-3 °C", "1 500 W", "2 %", "35 ticks/s", "1e", "µ", "\u2212", "9 m²·s³/kg/h"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		v, u, err := ParseQuantity(text)
		if err != nil {
			_ = standard().Nearest(text)
			return
		}
		if math.IsNaN(v) || math.IsInf(v, 0) || !(u.factor() > 0) && u.Symbol != "" && !math.IsInf(u.factor(), 0) && u.factor() != 0 {
			t.Errorf("%q: %v %+v", text, v, u)
		}
	})
}

// A unit that is declared by way of °C has the zero of °C, whatever its factor:
// it is a point on the scale. One by way of K is a difference.
func TestDeclaredUnitKeepsTheZeroOfTheOther(t *testing.T) {
	const rise = "  rise: {label: Rise, metric: temperature rise, unit: K, better: lower, scale: interval}\n"
	declared := map[string]string{"edit bench.yaml": "-   kiloblock: {dimension: block, factor: 1000, of: block}\n" +
		"+   kiloblock: {dimension: block, factor: 1000, of: block}\n" +
		"+   tenths: {dimension: temperature, factor: 0.1, of: °C}\n" +
		"+   degrees: {dimension: temperature, factor: 10, of: tenths}\n" +
		"+   half-degrees: {dimension: temperature, factor: 0.5, of: °F}\n" +
		"+   tenths-more: {dimension: temperature, factor: 0.1, of: K}\n",
		"edit workloads.yaml": "- " + rise + "+ " + strings.Replace(rise, "unit: K", "unit: °C, reading: {unit: tenths}", 1)}
	p, found := results(t, "configuration,workload,value,session\nsingle,rise,215,monday\n", maps.Clone(declared))
	if found != "" || len(p.Readings) == 0 || described(p, p.Readings[0]) != `single rise monday/1 #1 ok 21.5 °C ("215", 215)` {
		t.Fatalf("%v\n%s", describedAll(p), found)
	}
	for _, c := range []struct {
		value    float64
		from, to string
		want     float64
	}{
		{215, "tenths", "°C", 21.5}, {215, "tenths", "K", 294.65}, {215, "tenths", "°F", 70.7}, {21.5, "°C", "tenths", 215},
		{-40, "degrees", "°F", -40}, {1, "degrees", "tenths", 10}, {64, "half-degrees", "°C", 0}, {215, "tenths-more", "K", 21.5},
	} {
		from, _ := p.Unit(c.from)
		to, _ := p.Unit(c.to)
		if got, ok := from.Convert(c.value, to); !ok || math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%v %s = %v %s, not %v", c.value, c.from, got, c.to, c.want)
		}
	}
	tenths, _ := p.Unit("tenths")
	kelvin, _ := p.Unit("K")
	if got, _ := tenths.ConvertDifference(50, kelvin); got != 5 {
		t.Errorf("a difference of 50 tenths is %v K, not 5", got)
	}
	// Ratios of it mean as little as those of °C.
	declared["edit workloads.yaml"] = "- " + rise + "+ " + strings.Replace(rise, "unit: K, better: lower, scale: interval", "unit: tenths, better: lower", 1)
	if _, found := results(t, "configuration,workload,value,session\nsingle,rise,215,monday\n", maps.Clone(declared)); !strings.Contains(found, "the zero of tenths is a convention") {
		t.Errorf("on a ratio scale: %s", found)
	}
}
