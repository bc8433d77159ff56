package render

import (
	"strings"
	"testing"

	"benchwright/render/chart"
	"benchwright/words"
)

// Beneath a chart stands what its marks are: those that it has, and no other.
func TestMarksAreExplained(t *testing.T) {
	s := &site{book: words.For("en-GB")}
	for _, c := range []struct {
		kind chart.Kind
		rows []chart.Row
		want []string
	}{
		{chart.Bars, []chart.Row{{HasInterval: true}, {Mark: chart.Tied, Readings: []float64{1}}}, []string{"interval", "readings", "tied.bar"}},
		{chart.Dots, []chart.Row{{Mark: chart.Baseline}}, []string{"baseline"}},
		{chart.Pairs, []chart.Row{{Mark: chart.Better}, {Mark: chart.Worse}}, []string{"pair", "pair.worse"}},
		{chart.Bars, []chart.Row{{}}, nil},
	} {
		var want []string
		for _, key := range c.want {
			want = append(want, s.book.Say("chart.key."+key))
		}
		if got := s.key(chart.Chart{Kind: c.kind, Rows: c.rows}); got != strings.Join(want, " ") {
			t.Errorf("got %q, want %q", got, want)
		}
	}
	drawn := 0
	for _, f := range laidOut(t, sampleReport(t), "") {
		if strings.HasPrefix(f.Path, "questions/") && strings.Contains(string(f.Data), `<figure class="chart"`) {
			drawn++
			if !strings.Contains(string(f.Data), s.book.Say("chart.key.pair")) {
				t.Errorf("%s does not explain the marks of its pairs", f.Path)
			}
		}
	}
	if drawn == 0 {
		t.Error("no question of the sample has a chart")
	}
}
