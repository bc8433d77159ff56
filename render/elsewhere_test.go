package render

import (
	"html"
	"strings"
	"testing"

	"benchwright/report"
	"benchwright/themes"
)

// siteOf gives the pages of a report by their paths.
func siteOf(t *testing.T, r *report.Report) map[string]string {
	t.Helper()
	th, err := themes.Load("", nil)
	if err != nil {
		t.Fatal(err)
	}
	files, err := Site(r, th, Options{})
	if err != nil {
		t.Fatal(err)
	}
	pages := map[string]string{}
	for _, f := range files {
		pages[f.Path] = html.UnescapeString(string(f.Data))
	}
	return pages
}

// A value as measured that was not read in the baseline's sessions is marked
// where it stands beside others: in the table of the overview and in the chart.
func TestAValueFromOtherSessionsIsMarked(t *testing.T) {
	const inChart, note = "! was read in other sessions than the baseline", "! in other sessions than "
	plain, other := sampleReport(t), inOtherSessions(sampleReport(t))
	marked := 0
	for name, r := range map[string]*report.Report{"as it is": plain, "in other sessions": other} {
		pages := siteOf(t, r)
		columns := 0
		for w := range r.Workloads {
			beside, elsewhere := 0, false
			for c := range r.Cells {
				cell := &r.Cells[c][w]
				for _, f := range cell.Flags {
					elsewhere = elsewhere || f.Rule == "other-sessions" || cell.Beside != ""
					if cell.Beside != "" && f.Rule == "common-sessions" && r.Workloads[w].Scale.String() == "interval" {
						beside++
						if !strings.Contains(pages["index.html"], `title="`+f.Text+`">!<`) {
							t.Errorf("%s: %s of %s is not marked", name, r.Workloads[w].ID, r.Configurations[c].ID)
						}
					}
				}
			}
			if beside > 0 {
				columns++
			}
			marked += beside
			if strings.Contains(pages[r.Workloads[w].Page], inChart) != elsewhere {
				t.Errorf("%s: the chart of %s, with values from other sessions %v", name, r.Workloads[w].ID, elsewhere)
			}
		}
		if got := strings.Count(pages["index.html"], note); got != columns {
			t.Errorf("%s: %d columns say that some values are from other sessions, want %d", name, got, columns)
		}
	}
	if marked == 0 {
		t.Error("no value as measured was read in other sessions, so that nothing was tested")
	}
}

// The table says of what was to stay the same that it did not, in words.
func TestTheTableNamesWhatWasNotHeld(t *testing.T) {
	r := sampleReport(t)
	page := siteOf(t, r)["index.html"]
	named := 0
	for i := range r.Configurations {
		for _, f := range r.Configurations[i].Comparison.Unheld {
			named++
			if !strings.Contains(page, r.Project.Factors[f].Label+" unequal, should be equal</small>") {
				t.Errorf("%s does not say that %s is unequal", r.Configurations[i].ID, r.Project.Factors[f].ID)
			}
		}
	}
	if got := strings.Count(page, "unequal, should be equal</small>"); named == 0 || got != named {
		t.Errorf("%d rows, want %d", got, named)
	}
}
