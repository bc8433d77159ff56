package report

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"benchwright/project"
	"benchwright/stats"
)

// elsewhere are readings of one viewer under one workload.
func elsewhere(w int, unit string, written ...string) []OutsideReading {
	var out []OutsideReading
	for _, t := range written {
		m := make1()
		m.workload("x", "", true)
		m.read(0, 0, 0, t)
		out = append(out, OutsideReading{Viewer: "Marsh", Machine: "another case", Workload: w, Value: m.Readings[0].Value, Written: t, Unit: unit, Date: "2026-01-09"})
	}
	return out
}

func beside(t *testing.T, m *made, list ...OutsideReading) []Outside {
	t.Helper()
	r := m.build(t)
	r.TakeOutside(list)
	return r.Outside
}

func TestOneOutsideReadingHasNoSpread(t *testing.T) {
	o := beside(t, two([]string{"14.5", "14.7", "14.9"}, []string{"16.1", "16.4", "16.2"}), elsewhere(0, "fps", "16.0")...)
	if len(o) != 1 {
		t.Fatalf("%+v", o)
	}
	f := o[0].Relative
	if f.State != SpreadUnknown || math.Abs(f.Value-16.0/14.7) > 1e-12 || readable(f.Text) != "+9_%" || f.Range != "" || f.Verdict != NoVerdict || f.HasP {
		t.Errorf("%+v", f)
	}
	if readable(o[0].Centre.Text) != "16.0_fps" || o[0].Given != "" || o[0].Standing != "between “b” and “a”" {
		t.Errorf("%+v", o[0])
	}
}

// The interval is that of the repeats on both sides, and nothing is claimed
// however far apart the two are.
func TestOutsideRepeatsHaveAnIntervalAndNoClaim(t *testing.T) {
	o := beside(t, two([]string{"14.5", "14.7", "14.9"}, []string{"16.1", "16.4", "16.2"}), elsewhere(0, "fps", "20.1", "20.4", "20.3")...)
	want, err := stats.FiellerWelch([]float64{20.1, 20.4, 20.3}, []float64{14.5, 14.7, 14.9}, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	f := o[0].Relative
	if math.Abs(f.Low-want.Interval.Low) > 1e-9 || math.Abs(f.High-want.Interval.High) > 1e-9 || f.State != Measured || f.N != 3 {
		t.Errorf("%+v, want %+v", f, want.Interval)
	}
	if f.Verdict != NoVerdict || f.HasP || f.AdjustedP != 0 {
		t.Errorf("another machine is claimed to differ: %+v", f)
	}
	if o[0].Standing != "ahead of every configuration; “b” comes next" {
		t.Errorf("%q", o[0].Standing)
	}
}

func TestALowerOutsideReadingIsTurned(t *testing.T) {
	m := two([]string{"100", "101", "99"}, []string{"80", "81", "79"})
	m.Workloads[0].HigherBetter, m.Workloads[0].Turned = false, true
	o := beside(t, m, elsewhere(0, "fps", "50")...)
	if f := o[0].Relative; math.Abs(f.Value-2) > 1e-12 || readable(f.Text) != "2.0_×" {
		t.Errorf("%+v", f)
	}
	if o[0].Standing != "ahead of every configuration; “b” comes next" {
		t.Errorf("%q", o[0].Standing)
	}
	if o = beside(t, m, elsewhere(0, "fps", "101.0")...); o[0].Standing != "behind every configuration; “a” is the nearest" {
		t.Errorf("%q", o[0].Standing)
	}
}

// An interval scale gives a difference in the unit, never a ratio.
func TestOutsideTemperaturesAreSubtracted(t *testing.T) {
	m := two([]string{"60.1", "60.4", "60.2"}, []string{"70.1", "70.3", "70.2"})
	m.Workloads[0].Scale, m.Workloads[0].HigherBetter = project.IntervalScale, false
	m.Workloads[0].Unit, _ = project.ParseUnit("K")
	m.Composites = nil
	o := beside(t, m, elsewhere(0, "K", "65.1", "65.4")...)
	f := o[0].Relative
	if math.Abs(f.Value-(65.25-60.7/3-120/3.)) > 1e-9 || !strings.HasSuffix(f.Text, "K") || strings.Contains(f.Text+f.Range, "%") || !strings.Contains(f.Range, " to ") {
		t.Errorf("%+v", f)
	}
	if f.Verdict != NoVerdict || o[0].Standing != "between “a” and “b”" {
		t.Errorf("%+v", o[0])
	}
}

// Within the instrument's resolution, nobody can tell the two apart.
func TestAnOutsideReadingCanBeLevel(t *testing.T) {
	m := two([]string{"14.5", "14.7", "14.9"}, []string{"16.1", "16.4", "16.2"})
	m.Workloads[0].Resolution = 0.5
	if o := beside(t, m, elsewhere(0, "fps", "15.0")...); o[0].Standing != "level with “a”" {
		t.Errorf("%q", o[0].Standing)
	}
}

func TestOutsideReadingsAreGatheredByMachineAndDay(t *testing.T) {
	m := two([]string{"14.5", "14.7", "14.9"}, []string{"16.1", "16.4", "16.2"})
	list := elsewhere(0, "fps", "15.1", "15.3", "15.2", "15.9")
	list[2].Note, list[1].Note = "windows open", "windows open"
	list[3].Date = "2026-01-10"
	list = append(list, list[0])
	list[4].Machine = "a third case"
	o := beside(t, m, list...)
	if len(o) != 3 || len(o[0].Readings) != 3 || len(o[0].Notes) != 1 || o[1].Date != "2026-01-10" || o[2].Machine != "a third case" {
		t.Errorf("%+v", o)
	}
	// The unit in which it was given is kept beside the workload's.
	m.Workloads[0].Unit, _ = project.ParseUnit("s")
	one := elsewhere(0, "min", "0.30")
	one[0].Value = 18
	if o = beside(t, m, one...); readable(o[0].Given) != "0.30_min" || readable(o[0].Centre.Text) != "18_s" && readable(o[0].Centre.Text) != "18.0_s" {
		t.Errorf("%q, %q", o[0].Given, o[0].Centre.Text)
	}
}

// No figure, answer, order, count or sentence depends on them, and the record
// tells of nothing but their number.
func TestOutsideReadingsChangeNothing(t *testing.T) {
	m := large(8, 3, 4)
	plain, with := m.build(t), m.build(t)
	with.TakeOutside(elsewhere(1, "s", "1", "100000", "50.3"))
	for name, of := range map[string]func(*Report) string{
		"answers": func(r *Report) string { return fmt.Sprint(r.AnswersJSON()) },
		"record": func(r *Report) string {
			p := r.Publication()
			p.OutsideReadings = 0
			return string(p.JSON())
		},
	} {
		if of(plain) != of(with) {
			t.Errorf("%s differ", name)
		}
	}
	if plain.Counts != with.Counts || with.OutsideReadings() != 3 || with.Publication().OutsideReadings != 3 {
		t.Errorf("%+v, %+v, %d outside", plain.Counts, with.Counts, with.OutsideReadings())
	}
}

// New outside readings are said to be new, and count as no reading.
func TestChangesTellOfOutsideReadings(t *testing.T) {
	m := large(8, 3, 4)
	old, err := ReadPublication(recordOf(m.build(t)))
	if err != nil {
		t.Fatal(err)
	}
	with := m.build(t)
	with.TakeOutside(elsewhere(1, "s", "50.1", "50.3"))
	c := Compare(old, with)
	if c.Nothing || len(c.Sentences) != 1 || c.Sentences[0].Text != "2 outside readings were added; they are part of no figure." || counts(c) != [3]int{} || len(c.Figures) > 0 {
		t.Errorf("%s", c.said())
	}
	if old, err = ReadPublication(recordOf(with)); err != nil {
		t.Fatal(err)
	}
	if c = Compare(old, m.build(t)); len(c.Sentences) != 1 || !strings.Contains(c.Sentences[0].Text, "2 outside readings were taken out") {
		t.Errorf("%s", c.said())
	}
}

// What cannot be compared says so, and nothing that anybody sends in stops a
// report.
func TestHostileOutsideReadings(t *testing.T) {
	for _, v := range []float64{0, -3, math.Copysign(0, -1), math.NaN(), math.Inf(1), math.MaxFloat64, math.SmallestNonzeroFloat64} {
		m := two([]string{"14.5", "14.7", "14.9"}, []string{"16.1", "16.4", "16.2"})
		for _, scale := range []project.Scale{project.RatioScale, project.IntervalScale} {
			m.Workloads[0].Scale = scale
			list := []OutsideReading{{Viewer: "x", Machine: "y", Workload: 0, Value: v, Written: "", Unit: "ells"}, {Workload: 7, Value: 1}, {Workload: -1, Value: 1}}
			list = append(list, list[0])
			for _, o := range beside(t, m, list...) {
				if strings.Contains(o.Relative.Text+o.Centre.Text, "NaN") || strings.Contains(o.Relative.Text, "Inf") {
					t.Errorf("%v: %+v", v, o)
				}
				if scale == project.RatioScale && v <= 0 && (o.Relative.State != NotComparable || o.Relative.Remark == "" || o.Standing != "") {
					t.Errorf("%v: %+v", v, o)
				}
			}
		}
	}
	// A baseline that was never read under the workload.
	m := two(nil, []string{"16.1", "16.4", "16.2"})
	if o := beside(t, m, elsewhere(0, "fps", "15")...); o[0].Relative.State != NotComparable || !strings.Contains(o[0].Relative.Remark, "no value to compare with") {
		t.Errorf("%+v", o[0].Relative)
	}
}
