package report

import (
	"math"
	"strings"
	"testing"
	"unicode/utf8"

	"benchwright/words"
)

// readable turns the special spaces and signs of written numbers into plain
// ones: _ is a no-break space, ' a narrow one, ~ the minus sign U+2212.
func readable(s string) string {
	return strings.NewReplacer("\u00a0", "_", "\u202f", "'", "\u2212", "~").Replace(s)
}

func TestDecimalsFollowTheSpread(t *testing.T) {
	for _, c := range []struct {
		half float64
		want int
	}{
		{0.9, 1}, {0.95, 1}, {0.99, 1}, {1.0, 1}, {1.5, 1}, {1.94, 1}, {2, 0}, {3, 0}, {9.4, 0}, {12, 0}, {25, -1}, {250, -2},
		{0.15, 2}, {0.2, 1}, {0.00012, 5}, {1e-12, 13},
	} {
		if d, ok := decimals(c.half); !ok || d != c.want {
			t.Errorf("an uncertainty of %v leaves %d decimals, want %d", c.half, d, c.want)
		}
	}
	for _, none := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		if _, ok := decimals(none); ok {
			t.Errorf("%v is no uncertainty", none)
		}
	}
}

func TestSignificant(t *testing.T) {
	for _, c := range []struct {
		v    float64
		n    int
		want int
	}{
		{14.72, 3, 1}, {0.00123, 2, 4}, {9.96, 2, 0}, {9.94, 2, 1}, {1000, 2, -2}, {999.9, 3, -1}, {0, 3, 0}, {-14.72, 3, 1},
		{5e-324, 2, 325}, {1.7e308, 3, -306}, {1, 1, 0}, {10, 1, -1}, {0.1, 1, 1}, {1e22, 1, -22}, {1e-5, 1, 5},
	} {
		if got := significant(c.v, c.n); got != c.want {
			t.Errorf("%v with %d digits takes %d decimals, want %d", c.v, c.n, got, c.want)
		}
	}
}

func TestPlainNumbers(t *testing.T) {
	n := numbers{decimal: "."}
	for _, c := range []struct {
		v    float64
		d    int
		want string
	}{
		{14.72, 1, "14.7"}, {-3.24, 1, "~3.2"}, {0, 1, "0.0"}, {-0.04, 1, "0.0"}, {9999, 0, "9999"}, {10000, 0, "10'000"},
		{1234567.8, 1, "1'234'567.8"}, {123456, -3, "123'000"}, {-123456, -3, "~123'000"}, {0.00007, 3, "0.000"},
		{1e9, 0, "1.000000000_×_10⁹"}, {1e9, -9, "1_×_10⁹"}, {1.234e12, -10, "1.23_×_10¹²"}, {-4.2e-7, 8, "~4.2_×_10⁻⁷"}, {1e308, -306, "1.00_×_10³⁰⁸"},
		{5e-324, 325, "4.9_×_10⁻³²⁴"}, {math.NaN(), 1, "–"}, {math.Inf(1), 1, "–"}, {2.5, 0, "2"}, {6595.6, -334, "0"}, {100, 20, "100.000000000"},
	} {
		if got := readable(n.plain(c.v, c.d)); got != c.want {
			t.Errorf("%v with %d decimals is %q, want %q", c.v, c.d, got, c.want)
		}
	}
	if got := (numbers{decimal: ","}).plain(12345.678, 2); readable(got) != "12'345,68" {
		t.Errorf("with a decimal comma: %q", got)
	}
}

func TestEffects(t *testing.T) {
	k := &working{num: numbers{decimal: "."}, say: words.For("en-GB")}
	k.spanParts = cutSpan(k.say.Say("figure.range"))
	for _, c := range []struct {
		ratio, low, high float64
		text, span       string
	}{
		{1.118, 1.109, 1.127, "+11.8_%", "+10.9 to +12.7_%"},
		{0.968, 0.951, 0.985, "~3.2_%", "~4.9 to ~1.5_%"},
		{0.968, 0.938, 0.998, "~3.2_%", "~6.2 to ~0.2_%"}, // an end near nought is kept apart from it
		{1.0004, 0.99, 1.0108, "0.0_%", "~1.0 to +1.1_%"},
		{2.071, 1.93, 2.22, "2.07_×", "1.93 to 2.22_×"},
		{2.071, 1.6, 2.7, "2.1_×", "1.6 to 2.7_×"},
		{0.41, 0.40, 0.42, "~59.0_%", "~60.0 to ~58.0_%"},
		{0.041, 0.040, 0.042, "0.0410_×", "0.0400 to 0.0420_×"},
		{12.3, 11, 13.8, "12.3_×", "11.0 to 13.8_×"},
		{1.5, 0.2, 11, "+50_%", "~80 to +1000_%"},
	} {
		f := Figure{Value: c.ratio, Low: c.low, High: c.high, Confidence: 0.95}
		k.writeRatio(&f, 0)
		if readable(f.Text) != c.text || readable(f.Range) != c.span {
			t.Errorf("%v (%v to %v) is %q, %q; want %q, %q", c.ratio, c.low, c.high, readable(f.Text), readable(f.Range), c.text, c.span)
		}
	}
}

func TestProbability(t *testing.T) {
	n := numbers{decimal: "."}
	for p, want := range map[float64]string{0: "p_<_0.001", 0.0005: "p_<_0.001", 0.0123: "p_=_0.012", 0.046: "p_=_0.046", 0.21: "p_=_0.21", 1: "p_=_1.00"} {
		if got := readable(n.probability(p)); got != want {
			t.Errorf("%v is %q, want %q", p, got, want)
		}
	}
}

func FuzzPlain(f *testing.F) {
	f.Add(14.7, 1)
	f.Add(math.MaxFloat64, -400)
	f.Add(5e-324, 400)
	f.Fuzz(func(t *testing.T, v float64, d int) {
		d %= 1000
		s := numbers{decimal: "."}.plain(v, d)
		if s == "" || !utf8.ValidString(s) || strings.Contains(s, "NaN") || strings.Contains(s, "Inf") || strings.Contains(s, "-") || utf8.RuneCountInString(s) > 40 {
			t.Errorf("%v with %d decimals is %q", v, d, s)
		}
	})
}

func TestAnIntervalApartFromNoughtIsWrittenApart(t *testing.T) {
	for _, c := range []struct {
		low, high float64
		d, want   int
	}{
		{0.02, 0.6, 1, 2},    // "+0.02 to +0.60", not "0.0 to +0.6"
		{-0.6, -0.02, 1, 2},  // either side
		{0.06, 0.6, 1, 1},    // rounds to 0.1
		{0.003, 0.707, 1, 1}, // one more decimal would not do
		{-0.02, 0.6, 1, 1},   // holds nought
		{4, 90, -1, 0},
	} {
		if got := apartFromNought(c.low, c.high, c.d); got != c.want {
			t.Errorf("%v to %v with %d decimals: %d, want %d", c.low, c.high, c.d, got, c.want)
		}
	}
}
