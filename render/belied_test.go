package render

import (
	"strings"
	"testing"

	"benchwright/design"
	"benchwright/project"
	"benchwright/report"
	"benchwright/themes"
)

// A question page does not say that nothing else moved where a measurement says
// that it did.
func TestAQuestionPageDoesNotContradictAMeasurement(t *testing.T) {
	const nothing, belied = "No other factor that is studied or held moved.", "were set to differ in this factor and in what follows it alone."
	p := sampleReport(t).Project
	q := -1
	for f, factor := range p.Factors {
		if factor.Role != project.Held || q >= 0 {
			continue
		}
		for i := range p.Questions {
			pairs := design.NewSpace(p).Answer(i).Pairs
			if len(pairs) == 0 || pairs[0].State != design.Measured {
				continue
			}
			c := p.Configurations[pairs[0].To]
			v := c.Values[f].Value
			if v.State != project.Known || v.Numeric {
				continue
			}
			v.Text += " (another)"
			c.Measured = append(c.Measured, project.Identity{Factor: f, Value: v})
			q = i
			break
		}
	}
	if q < 0 {
		t.Fatal("the sample has no held factor in a matched pair")
	}
	r := report.Build(p, design.NewSpace(p), nil, report.Options{})
	th, err := themes.Load("", nil)
	if err != nil {
		t.Fatal(err)
	}
	files, err := Site(r, th, Options{})
	if err != nil {
		t.Fatal(err)
	}
	seen := 0
	for _, f := range files {
		for i := range r.Questions {
			if a := &r.Questions[i]; f.Path == a.Page && len(a.Pairs) > 0 {
				seen++
				page := string(f.Data)
				if strings.Contains(page, nothing) == a.Belied || strings.Contains(page, belied) != a.Belied || a.Belied && strings.Contains(page, `class="verdict clean"`) {
					t.Errorf("%s, belied %v, says otherwise", f.Path, a.Belied)
				}
			}
		}
	}
	if !r.Questions[q].Belied || seen < 2 {
		t.Errorf("%d question pages; the one with the measurement is belied: %v", seen, r.Questions[q].Belied)
	}
}
