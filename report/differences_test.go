package report

import (
	"math"
	"strings"
	"testing"

	"benchwright/project"
)

// twoCoolers has a lid's temperature and a workload that hardly cares, an old and a
// new cooler at two speeds of the fan.
func twoCoolers() *made {
	m := make1()
	cooler := m.factor("cooler", project.Studied, "", "old", "new")
	m.factor("fan", project.Studied, "rpm", 900, 1500)
	m.session("s1")
	lid := m.workload("lid", "°C", false)
	m.Workloads[lid].Scale, m.Workloads[lid].Unit.Symbol = project.IntervalScale, "°C"
	m.workload("encode", "s", false)
	for _, c := range []struct {
		id, cooler string
		fan        int
		lid        []string
		encode     []string
	}{
		{"old-fast", "old", 1500, []string{"40.1", "40.3", "40.2", "40.6"}, []string{"100.1", "99.8", "100.4", "99.9"}},
		{"new-fast", "new", 1500, []string{"38.0", "38.1", "38.3", "37.8"}, []string{"100.0", "100.3", "99.7", "100.2"}},
		{"old-slow", "old", 900, []string{"60.2", "60.9", "60.4", "60.6"}, []string{"100.2", "99.9", "100.1", "100.0"}},
		{"new-slow", "new", 900, []string{"55.1", "55.0", "55.6", "55.2"}, []string{"99.9", "100.1", "100.2", "99.8"}},
	} {
		i := m.configuration(c.id, c.cooler, c.fan)
		m.read(i, lid, 0, c.lid...)
		m.read(i, 1, 0, c.encode...)
	}
	m.question("new", cooler, "old", "new")
	m.overall()
	return m
}

// The headline names the one workload of its figure, and what else changed.
func TestAHeadlineSaysWhatChangedOnIntervalScales(t *testing.T) {
	q := twoCoolers().build(t).Questions[0]
	said := readable(q.Headline.Text)
	if !strings.Contains(said, "no difference was seen") || !strings.Contains(said, "encode alone") || !strings.HasSuffix(said, "But it changes lid by ~3.8_°C.") {
		t.Error(said)
	}
	// Without a mean nothing is said to be no part of it.
	m := twoCoolers()
	m.Workloads[1].Composite = false
	m.Composites = nil
	m.overall()
	q = m.build(t).Questions[0]
	said = readable(q.Headline.Text)
	for _, s := range q.More {
		said += " " + readable(s.Text)
	}
	if strings.Contains(said, "that mean") || !strings.Contains(said, "changes lid by ~3.8_°C on average (") || strings.Count(said, "encode") != 1 {
		t.Error(said)
	}
}

// The effect on an interval scale may depend on another factor too. The contrast
// of four means, its error and Satterthwaite's degrees of freedom are R 4.2.2's:
// sum(sg*m), sqrt(sum(v)), sum(v)^2/sum(v^2/3), 2*pt(-abs(est/se), df).
func TestDependenceOnAnIntervalScale(t *testing.T) {
	r := twoCoolers().build(t)
	q := &r.Questions[0]
	var d *Dependence
	for i := range q.Dependence {
		if q.Dependence[i].Workload == 0 {
			d = &q.Dependence[i]
		}
	}
	if d == nil || !d.Tested || !d.Depends || len(d.Steps) != 2 {
		t.Fatalf("%+v", q.Dependence)
	}
	if math.Abs(d.P-9.31943069435e-08) > 1e-14 || d.Family != 1 {
		t.Errorf("p %.12g of a family of %d", d.P, d.Family)
	}
	if low, high := readable(d.Steps[0].Effect.Text), readable(d.Steps[1].Effect.Text); low != "~5.3_°C" || high != "~2.2_°C" {
		t.Errorf("%s and %s", low, high)
	}
	if !strings.Contains(readable(d.Sentence.Text), "On lid it depends on") {
		t.Error(d.Sentence.Text)
	}
	// The same where there is no ratio at all.
	m := twoCoolers()
	m.Workloads[1].Scale = project.IntervalScale
	m.Composites = nil
	m.overall()
	q = &m.build(t).Questions[0]
	if len(q.Dependence) != 1 || q.Dependence[0].Workload != 0 || q.Dependence[0].Family != 2 || math.Abs(q.Dependence[0].P-2*d.P) > 1e-14 {
		t.Errorf("%+v", q.Dependence)
	}
}
