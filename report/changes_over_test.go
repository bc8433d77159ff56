package report

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"benchwright/project"
)

// A mean that is taken over fewer workloads than before moves without any of its
// readings having done so: its row says why.
func TestAMeanOverFewerWorkloadsSaysSo(t *testing.T) {
	m := large(4, 3, 4)
	before := m.build(t)
	old := before.Publication()
	other := m.clone()
	other.Readings = slices.DeleteFunc(other.Readings, func(rd project.Reading) bool { return rd.Workload == 2 && rd.Configuration > 0 })
	now := other.build(t)
	a, b := before.Questions[0], now.Questions[0]
	if len(a.OverallWorkloads) == len(b.OverallWorkloads) && a.OverallPairs == b.OverallPairs {
		t.Fatal("the mean is taken over the same")
	}
	record := now.Publication()
	c, err := CompareRecord(old.JSON(), now)
	if err != nil {
		t.Fatal(err)
	}
	want := ""
	if len(a.OverallWorkloads) != len(b.OverallWorkloads) {
		want = fmt.Sprintf("“%s” (over %d workloads, before %d", b.Ask, len(b.OverallWorkloads), len(a.OverallWorkloads))
	} else {
		want = fmt.Sprintf("“%s” (over %d matched pair, before %d", b.Ask, b.OverallPairs, a.OverallPairs)
	}
	if !slices.ContainsFunc(c.Apart, func(f ChangedFigure) bool { return strings.HasPrefix(f.What, want) }) {
		t.Errorf("no row apart says %q: %s", want, c.said())
	}
	// A record that does not say keeps quiet.
	for i := range old.Questions {
		q := &old.Questions[i]
		q.OverWorkloads, q.OverPairs, q.Over = 0, 0, nil
		for j := range q.Workloads {
			q.Workloads[j].Pairs = 0
		}
	}
	if said := Compare(old, now).said(); strings.Contains(said, "before 3") || strings.Contains(said, "(over") {
		t.Error(said)
	}
	if record.Questions[0].OverWorkloads != len(b.OverallWorkloads) || record.Questions[0].OverPairs != b.OverallPairs {
		t.Errorf("%+v", record.Questions[0])
	}
}

// Of how many figures some moved is said, for others stand on the pages that are
// not held against the edition before.
func TestMovedFiguresAreCountedAmongTheFollowed(t *testing.T) {
	m := large(4, 2, 3)
	old := m.build(t).Publication()
	other := m.clone()
	other.Readings[3].Value *= 1.05
	now := other.build(t)
	c := Compare(old, now)
	if !strings.Contains(c.said(), "c1 on w1, against the baseline ") {
		t.Error(c.said())
	}
	if strings.Contains(c.said(), "Every comparison") {
		t.Error(c.said())
	}
	narrow := m.build(t).Publication()
	for i := range narrow.Cells {
		narrow.Cells[i].Centre.Low, narrow.Cells[i].Centre.High = narrow.Cells[i].Centre.Value, narrow.Cells[i].Centre.Value
	}
	if said := Compare(narrow, now).said(); !strings.Contains(said, "Every comparison stays inside its old interval") {
		t.Error(said)
	}
	all := 0
	for i, row := range now.Cells {
		for k := range row {
			if row[k].Centre.HasValue() {
				all++
			}
			if i != now.Baseline && row[k].Compared().HasValue() {
				all++
			}
		}
	}
	for _, q := range now.Questions {
		if q.Overall.HasValue() {
			all++
		}
		all += len(q.ByWorkload)
	}
	for _, x := range now.Composites {
		for _, row := range x.Rows {
			if row.Figure.HasValue() {
				all++
			}
		}
	}
	if want := fmt.Sprintf("%d of the %d figures that are followed moved, ", len(c.Figures), all); !strings.Contains(c.said(), want) {
		t.Errorf("nothing says %q: %s", want, c.said())
	}
}
