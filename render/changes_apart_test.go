package render

import (
	"strings"
	"testing"

	"benchwright/report"
)

// Figures over other workloads stand in a table of their own, without a move.
func TestFiguresOverOtherWorkloadsStandApart(t *testing.T) {
	r := *sampleReport(t)
	r.Changes = &report.Changes{Since: "2026-01-02", Apart: []report.ChangedFigure{{What: "Overall: one (with other weights than before)", Was: "+6.8 %", Now: "−2.5 %", Link: "index.html#relative"}}}
	for _, f := range laidOut(t, &r, "") {
		if f.Path != "changes.html" {
			continue
		}
		page := string(f.Data)
		_, section, there := strings.Cut(page, `<h2 id="apart">`)
		section, _, _ = strings.Cut(section, "</section>")
		for _, want := range []string{"Figures over other workloads", "Overall: one (with other weights than before)", "+6.8 %", "−2.5 %", `href="index.html#relative"`} {
			if !there || !strings.Contains(section, want) {
				t.Errorf("the section does not say %q", want)
			}
		}
		if strings.Contains(page, `id="figure-table"`) {
			t.Error("it stands among the figures that moved")
		}
	}
}
