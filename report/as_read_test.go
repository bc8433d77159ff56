package report

import (
	"math"
	"strings"
	"testing"

	"benchwright/project"
)

// heater is a report of a setting that makes a machine a tenth faster and doubles
// the power that it draws; the power counts in no mean.
func heater() *made {
	m := make1()
	limit := m.factor("limit", project.Studied, "", "low", "high")
	m.factor("kind", project.Studied, "", "a", "b")
	rate, power := m.workload("rate", "fps", true), m.workload("power", "W", false)
	m.aside("power")
	day := m.session("day")
	for _, k := range []string{"a", "b"} {
		low, high := m.configuration("low-"+k, "low", k), m.configuration("high-"+k, "high", k)
		m.read(low, rate, day, "100", "101", "99")
		m.read(high, rate, day, "110", "111", "109")
		if k == "a" {
			m.read(low, power, day, "50", "50.5", "49.5")
			m.read(high, power, day, "104", "105", "103")
		} else {
			m.read(low, power, day, "52", "52.5", "51.5")
			m.read(high, power, day, "100", "101", "99")
		}
	}
	m.overall()
	m.question("limit", limit, "low", "high")
	return m
}

// What counts in no mean is given as it was read: twice the power is +100 %, and
// worse. Written as performance it would be −50 %, as if less were drawn.
func TestWhatCountsInNoMeanIsAsItWasRead(t *testing.T) {
	r := heater().build(t)
	q := &r.Questions[0]
	want := math.Sqrt(104.0 / 50 * 100 / 52)
	e := q.ByWorkload[1].Effect
	if math.Abs(e.Value-want) > 1e-12 || e.Verdict != Worse || readable(e.Text) != "+100_%" {
		t.Errorf("the effect on power is %v, %q, %v; want %v, worse", e.Value, readable(e.Text), e.Verdict, want)
	}
	if f := q.ByWorkload[0].Effect; f.Verdict != Better || readable(f.Text) != "+10.0_%" {
		t.Errorf("the effect on rate is %q, %v", readable(f.Text), f.Verdict)
	}
	if f := q.Overall; math.Abs(f.Value-1.1) > 1e-12 || f.Verdict != Better {
		t.Errorf("the overall effect is %v, %v: power must not be in it", f.Value, f.Verdict)
	}
	back := r.Relative(1, 0, 1)
	if math.Abs(back.Value-50.0/104) > 1e-12 || back.Verdict != Better || readable(back.Text) != "~51.9_%" {
		t.Errorf("from high to low the power goes by %v, %q, %v", back.Value, readable(back.Text), back.Verdict)
	}
	if m := r.Effects.Workloads[1]; m.Workload != 1 || len(m.Effects) == 0 || m.Effects[0].Effect.Value < 1.9 || m.Effects[0].Effect.Verdict != Worse {
		t.Errorf("the model says %+v", m.Effects)
	}
	if order := r.Workloads[1].Order; order[0].Configuration != 0 || order[len(order)-1].Configuration != 1 {
		t.Errorf("the order of power is %v: who draws least comes first", order)
	}
	said := ""
	for _, s := range q.More {
		said += s.Text + "\n"
	}
	if !strings.Contains(readable(said), "Not in the overall figure, and as it was read: power +100_%") {
		t.Errorf("the answer says %s", readable(said))
	}
	told := false
	for _, i := range r.Insights {
		if i.Kind == "per-watt" {
			told = strings.Contains(readable(i.Rows[len(i.Rows)-1][1]), "~47") // 1.1 ÷ 2.08
		}
	}
	if !told {
		t.Error("performance per watt does not fall by 47 % where the power doubles")
	}
}

// A question about power alone says by how much it changes, and not what a loss
// of performance it is.
func TestAQuestionAboutPowerAlone(t *testing.T) {
	m := heater()
	m.Questions[0].Workloads = []int{1}
	q := &m.build(t).Questions[0]
	if got := readable(q.Headline.Text); !strings.Contains(got, "power by +100_%") || strings.Contains(got, "performance") {
		t.Errorf("%q", got)
	}
	if q.Overall.Verdict != Worse {
		t.Errorf("it is %v", q.Overall.Verdict)
	}
}

// In a mean with performance what less is better of is turned all the same: there
// has to be one direction.
func TestAMeanOfBothIsTurned(t *testing.T) {
	m := heater()
	m.Questions[0].Workloads = []int{0, 1}
	q := &m.build(t).Questions[0]
	want := math.Sqrt(1.1 / math.Sqrt(104.0/50*100/52))
	if math.Abs(q.Overall.Value-want) > 1e-12 || q.Overall.Verdict != Worse {
		t.Errorf("the mean is %v, %v; want %v, worse", q.Overall.Value, q.Overall.Verdict, want)
	}
}

// Multiples and percentages do not stand in one column.
func TestAColumnHasOneNotation(t *testing.T) {
	r := heater().build(t) // the pairs' powers go by 2.08 and 1.92
	for _, p := range r.Questions[0].Pairs {
		f := p.Workloads[1].Effect
		if !strings.HasSuffix(f.Text, "%") || !strings.HasSuffix(f.Range, "%") {
			t.Errorf("a pair has %q, %q", f.Text, f.Range)
		}
	}
	if f := r.Relative(0, 1, 1); !strings.HasSuffix(f.Text, times) {
		t.Errorf("by itself it is %q", f.Text)
	}
}

// A record of old, which turned all of which less is better, is not held against
// figures that are as they were read.
func TestAnOldRecordTurnedPower(t *testing.T) {
	old := heater().build(t).Publication()
	for i := range old.Workloads {
		old.Workloads[i].Ratios = ""
	}
	for i := range old.Questions {
		for j := range old.Questions[i].Workloads {
			if e := &old.Questions[i].Workloads[j]; e.Workload == "power" {
				e.Effect.Verdict = "better"
			}
		}
	}
	c := Compare(old, heater().build(t))
	if len(c.Turned) > 0 || len(c.Figures) > 0 || !strings.Contains(c.said(), "power is measured or given differently") {
		t.Errorf("%+v", c)
	}
}

// A composite may weigh a power against performance: within it less is better, and
// by itself the power is as it was read.
func TestACompositeWeighsPower(t *testing.T) {
	m := heater()
	m.Composites = append(m.Composites, &project.Composite{ID: "thrift", Label: "Thrift", Workloads: []int{0, 1}, Weights: []float64{1, 1}})
	r := m.build(t)
	f := r.CompositeOf(1, 0, 1).Figure
	if want := math.Sqrt(1.1 / (104.0 / 50)); math.Abs(f.Value-want) > 1e-12 || f.Verdict != Worse {
		t.Errorf("the composite is %v, %v; want %v, worse", f.Value, f.Verdict, want)
	}
	if order := r.Composites[1].Order; order[0].Configuration != 0 && order[0].Configuration != 2 {
		t.Errorf("the order of the composite is %v", order)
	}
	if one := r.Relative(0, 1, 1); math.Abs(one.Value-104.0/50) > 1e-12 || one.Verdict != Worse {
		t.Errorf("the power by itself goes by %v, %v", one.Value, one.Verdict)
	}
}
