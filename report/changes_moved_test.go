package report

import (
	"strings"
	"testing"

	"benchwright/words"
)

// What a figure was, what it is and how far it moved fit together as written.
func TestMovesFitWhatStandsBesideThem(t *testing.T) {
	b := words.For("en-GB")
	c := &comparison{say: b, num: newNumbers(b)}
	value := func(v float64, text string) *PublishedFigure {
		return &PublishedFigure{State: "measured", Value: v, Text: strings.ReplaceAll(text, " ", nbsp)}
	}
	for _, x := range []struct {
		old, now      *PublishedFigure
		as            former
		was, is, move string
	}{
		{value(568.6, "570 MB/s"), value(569.33, "569 MB/s"), centreForm("MB/s"), "568.6 MB/s", "569.3 MB/s", "+0.73 MB/s"},
		{value(1.074, "+7 %"), value(1.0751, "+7.5 %"), effectForm, "+7.4 %", "+7.5 %", "+0.11 percentage points"},
		{value(69.32, "69.3 fps"), value(76.92, "80 fps"), centreForm("fps"), "69.3 fps", "76.9 fps", "+7.6 fps"},
		{value(900.9, "901 MB/s"), value(906.3, "910 MB/s"), centreForm("MB/s"), "901 MB/s", "906 MB/s", "+5.4 MB/s"},
		{value(1.036, "+4 %"), value(1.030, "+3 %"), effectForm, "+4 %", "+3 %", "−0.6 percentage points"},
		{value(1234, "1230 s"), value(1279, "1280 s"), centreForm("s"), "1230 s", "1280 s", "+45 s"},
		{value(2.51, "2.5 ×"), value(2.26, "2.3 ×"), effectForm, "2.5 ×", "2.3 ×", "−0.25 ×"},
		{value(1.96, "+96 %"), value(2.04, "2.0 ×"), effectForm, "+96 %", "2.0 ×", "+8.0 percentage points"},
		{value(-0.24, "−0.2 °C"), value(-0.26, "−0.3 °C"), differenceForm("°C"), "−0.2 °C", "−0.3 °C", "−0.02 °C"},
		{value(31.04, "31 °C"), value(31.01, "31.0 °C"), centreForm("°C"), "31.04 °C", "31.01 °C", "−0.030 °C"},
	} {
		was, is, move := c.written(x.old, x.now, x.as)
		if got, want := strings.Join([]string{was, is, move}, ", "), strings.ReplaceAll(strings.Join([]string{x.was, x.is, x.move}, ", "), nbsp, " "); strings.ReplaceAll(got, nbsp, " ") != want {
			t.Errorf("%s, %s: %s; want %s", x.old.Text, x.now.Text, got, want)
		}
	}
}
