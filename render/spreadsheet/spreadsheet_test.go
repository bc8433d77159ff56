package spreadsheet

import (
	"bytes"
	"encoding/csv"
	"math"
	"strconv"
	"strings"
	"testing"
)

func TestFormulasAreDefusedAndNumbersAreNot(t *testing.T) {
	for _, c := range []struct {
		text   string
		defuse bool
	}{
		{"=1+1", true}, {"+1+cmd|' /C calc'!A0", true}, {"-2+3", true}, {"@SUM(A1)", true},
		{"\tx", true}, {"\rx", true}, {"\n=1", true}, {" =1", true}, {"\u00a0=1", true}, {"\ufeff=1", true}, {"＝1", true}, {"－1", true}, {"\x00=1", true},
		{"-", true}, {"+", true}, {"-e5", true}, {"-1e", true}, {"-.", true}, {"--1", true}, {"-1,5,3", true},
		{"-3.5", false}, {"+3,5", false}, {"-1e-6", false}, {"-.5", false}, {"-5.", false}, {"+1.7 %", false}, {"+1.7\u00a0%", false}, {"-1%", false}, {"-1%+2", true}, {"-1 2", true},
		{"", false}, {"   ", false}, {"plain", false}, {"a=b", false}, {"−3.2 %", false}, {"(1)", false}, {"3-2", false},
	} {
		got := Defuse(c.text)
		want := c.text
		if c.defuse {
			want = "'" + c.text
		}
		if got != want {
			t.Errorf("Defuse(%q) = %q, want %q", c.text, got, want)
		}
	}
}

func FuzzTextSurvivesARoundTrip(f *testing.F) {
	for _, s := range []string{"", "plain", `say "so"`, "a,b", "two\nlines", "=1", " spaced ", "\xff\xfe", "'"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		row := append(AppendText([]byte("x,"), s), EndOfRow...)
		record, err := csv.NewReader(bytes.NewReader(row)).Read()
		if err != nil {
			t.Fatalf("%q: %v", row, err)
		}
		// encoding/csv turns CR LF inside a cell into LF.
		want := strings.ReplaceAll(strings.ToValidUTF8(Defuse(s), "\uFFFD"), "\r\n", "\n")
		if len(record) != 2 || record[1] != want {
			t.Fatalf("%q came back as %q", s, record)
		}
		if dangerous(record[1]) {
			t.Fatalf("%q is published as %q", s, record[1])
		}
	})
}

func TestNumbersReadBackAsTheyWere(t *testing.T) {
	for _, v := range []float64{0, 1, -1, 112.5, 0.1, 1.0 / 3, 1e-7, 1e21, 5e-324, math.MaxFloat64, 123456789012345680} {
		got, err := strconv.ParseFloat(string(AppendNumber(nil, v)), 64)
		if err != nil || got != v {
			t.Errorf("%v came back as %v (%v)", v, got, err)
		}
	}
	for v, want := range map[float64]string{math.Inf(1): "", math.Copysign(0, -1): "0", 100000: "100000", 1e6: "1000000"} {
		if got := string(AppendNumber(nil, v)); got != want {
			t.Errorf("%v is written %q, want %q", v, got, want)
		}
	}
	if got := AppendNumber(nil, math.NaN()); len(got) != 0 {
		t.Errorf("NaN is written %q", got)
	}
}
