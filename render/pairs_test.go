package render

import (
	"fmt"
	"strings"
	"testing"

	"benchwright/themes"
)

// A question's page counts the matched pairs as its headline does: where the
// mean leaves some out, the block above the answer and the total of the table
// say of how many it is taken.
func TestAPageCountsPairsAsItsHeadlineDoes(t *testing.T) {
	for _, c := range []struct {
		language           string
		complete           bool
		block, row, answer string
	}{
		{"en-GB", true, "<dt>Matched pairs</dt><dd>3</dd>", "3", "3 matched pairs, 2 workloads"},
		{"en-GB", false, "<dt>Matched pairs</dt><dd>2 in the mean, of 3</dd>", "2", "2 matched pairs, 2 workloads"},
		{"de", false, "<dt>Vergleichspaare</dt><dd>2 im Mittel, von 3</dd>", "2", "2 Vergleichspaare, 2 Arbeitslasten"},
	} {
		configurations, results := "configurations:\n", "configuration,workload,session,value\n"
		for pair := range 3 {
			for side, drive := range []string{"old", "new"} {
				id := fmt.Sprintf("%s-%d", drive, pair)
				configurations += fmt.Sprintf("  %s: {set: {drive: %s, case: case-%d}}\n", id, drive, pair)
				for w := range 2 {
					if !c.complete && side == 1 && pair == 2 && w == 1 {
						continue
					}
					for n := range 3 {
						results += fmt.Sprintf("%s,w%d,first,%.1f\n", id, w, 100+20*float64(side)+0.1*float64(n))
					}
				}
			}
		}
		r := written(t, map[string]string{
			"report.yaml": "title: A drive\nlanguage: " + c.language + "\nauthor: The invented bench\ndate: 2026-03-01\nlicence: CC0-1.0\nbaseline: old-0\n" +
				"questions:\n  - {id: drive, ask: 'What is the drive worth?', factor: drive, from: old, to: new}\n",
			"bench.yaml":              "bench: {label: A machine}\nfactors:\n  drive: {label: Drive, role: studied}\n  case: {label: Case, role: studied}\n",
			"workloads.yaml":          "workloads:\n  w0: {label: First, metric: rate, unit: fps, better: higher}\n  w1: {label: Second, metric: rate, unit: fps, better: higher}\n",
			"configurations/all.yaml": configurations,
			"sessions.yaml":           "sessions:\n  first: {date: 2026-02-01}\n",
			"results/first.csv":       results,
		})
		if text := r.Questions[0].Headline.Text; !strings.Contains(text, c.answer) {
			t.Errorf("the headline of the test: %s", text)
		}
		for _, f := range laidOut(t, r, themes.Default) {
			if f.Path != "questions/drive.html" {
				continue
			}
			page := string(f.Data)
			if !strings.Contains(page, c.block) {
				at := strings.Index(page, "<dt>Vergleichspaare")
				at = max(at, strings.Index(page, "<dt>Matched pairs"))
				t.Errorf("%s: %s, want %s", c.language, page[at:at+80], c.block)
			}
			_, total, ok := strings.Cut(page, `<tr class="total">`)
			total, _, _ = strings.Cut(total, "</tr>")
			if want := `>` + c.row + `</td><td class="n"></td>`; !ok || !strings.HasSuffix(total, want) {
				t.Errorf("%s: the total is %s, want %s at its end", c.language, total, want)
			}
		}
	}
}
