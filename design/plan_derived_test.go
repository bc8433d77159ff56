package design

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"benchwright/project"
	"benchwright/schema"
)

// energyFolder asks about energy, which is power × time of one run, and about
// the time alone; the first session lacks what drop names ("small compile 2").
func energyFolder(drop ...string) fstest.MapFS {
	var rows strings.Builder
	rows.WriteString("session,order,configuration,repeat,workload,value\n")
	order := 0
	for repeat := 1; repeat <= 3; repeat++ {
		for _, c := range []string{"small", "large"} {
			order++
			for _, w := range []string{"compile", "power"} {
				if !slices.Contains(drop, fmt.Sprint(c, " ", w, " ", repeat)) {
					fmt.Fprintf(&rows, "first,%d,%s,%d,%s,%d\n", order, c, repeat, w, 90+repeat+len(w))
				}
			}
		}
	}
	return fstest.MapFS{
		"report.yaml": {Data: []byte(`title: Small or large
author: The bench
date: 2026-03-01
licence: CC-BY-4.0
baseline: small
questions:
  - {id: size, ask: "What is the large cooler worth?", factor: cooler, from: small, to: large}
`)},
		"bench.yaml": {Data: []byte(`bench: {label: A small computer}
factors:
  cooler: {label: Cooler, role: studied, levels: [small, large]}
`)},
		"workloads.yaml": {Data: []byte(`workloads:
  compile: {label: Compile, metric: time, unit: s, better: lower}
  power: {label: Power, metric: power at the plug, unit: W, better: lower}
  energy: {label: Energy, metric: energy of a compile, unit: Wh, better: lower, derived: {times: [power, compile]}}
`)},
		"configurations/small.yaml": {Data: []byte("label: Small\nset: {cooler: small}\n")},
		"configurations/large.yaml": {Data: []byte("label: Large\nset: {cooler: large}\n")},
		"sessions.yaml":             {Data: []byte("sessions:\n  first: {date: 2026-02-26}\n  second: {date: 2026-02-27}\n")},
		"results/first.csv":         {Data: []byte(rows.String())},
	}
}

// incompleteRuns loads a folder and gives the messages about incomplete runs.
func incompleteRuns(t *testing.T, files fstest.MapFS) (p *project.Project, messages []string) {
	t.Helper()
	folder, findings := schema.Read(files)
	p, more := project.Load(folder)
	for _, f := range append(findings, more...) {
		switch {
		case f.Severity == schema.Error:
			t.Fatalf("%s: %s (%s)", f.Place, f.Message, f.Rule)
		case f.Rule == "incomplete-run":
			messages = append(messages, f.Message)
		}
	}
	return p, messages
}

// fill writes the sheet of a plan with the visit as the value of each part, so
// that a computed value that mixes visits is no square number.
func fill(t *testing.T, header []string, rows [][]string) []byte {
	t.Helper()
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	w.Write(header)
	for _, row := range rows {
		row = slices.Clone(row)
		row[slices.Index(header, "value")] = row[slices.Index(header, "order")]
		w.Write(row)
	}
	w.Flush()
	return b.Bytes()
}

// TestSheetOfAPlanKeepsRunsTogether: the readings of one visit have one
// repeat, the parts of a computed workload are read in the same visits, and
// following the sheet leaves no incomplete run beyond those that were there.
func TestSheetOfAPlanKeepsRunsTogether(t *testing.T) {
	for _, drop := range [][]string{nil, {"small compile 2"}, {"large power 3", "large compile 1", "large power 1"}} {
		for _, session := range []string{"first", "second"} {
			files := energyFolder(drop...)
			p, before := incompleteRuns(t, files)
			s := NewSpace(p)
			plan := s.Plan(PlanOptions{Repeats: 5, Session: session})
			header, rows := s.Table(&plan)
			repeats, workloads := map[string]map[string]bool{}, map[string]int{}
			for _, row := range rows {
				visit := row[1]
				if repeats[visit] == nil {
					repeats[visit] = map[string]bool{}
				}
				repeats[visit][row[3]] = true
				workloads[visit]++
			}
			for _, v := range plan.Visits {
				visit := fmt.Sprint(v.Order)
				if len(repeats[visit]) != 1 || workloads[visit] != 2 {
					t.Errorf("without %q, in %s: visit %s to %q has repeats %v and %d workloads", drop, session, visit, v.Configuration, repeats[visit], workloads[visit])
				}
			}
			files["results/sheet.csv"] = &fstest.MapFile{Data: fill(t, header, rows)}
			after, found := incompleteRuns(t, files)
			if !slices.Equal(found, before) {
				t.Errorf("without %q, in %s: after the plan %q, before it %q", drop, session, found, before)
			}
			sheet := slices.Index(after.ResultFiles, "results/sheet.csv")
			energies := 0
			for _, r := range after.Readings {
				if r.Derived && int(r.File) == sheet {
					energies++
					if got, want := r.Value*3600, float64(r.Order)*float64(r.Order); got < want-0.01 || got > want+0.01 {
						t.Errorf("without %q, in %s: visit %d gives an energy of %g Ws", drop, session, r.Order, got)
					}
				}
			}
			if energies != len(plan.Visits) {
				t.Errorf("without %q, in %s: %d energies of %d visits", drop, session, energies, len(plan.Visits))
			}
			if again := NewSpace(after).Plan(PlanOptions{Repeats: 5}); len(again.Visits) > 0 {
				t.Errorf("without %q, in %s: %d visits are still to be made", drop, session, len(again.Visits))
			}
		}
	}
}

// TestRemarkOnPartsReadAlongside: a workload that has its repeats and is read
// again all the same is named, with the reason.
func TestRemarkOnPartsReadAlongside(t *testing.T) {
	p, _ := incompleteRuns(t, energyFolder("small compile 2"))
	plan := NewSpace(p).Plan(PlanOptions{Repeats: 3, Session: "second"})
	want := `"power" is read again alongside the other parts of a computed workload, which takes its readings from one run`
	if !slices.Contains(plan.Remarks, want) {
		t.Errorf("remarks %q", plan.Remarks)
	}
}

// TestPartsAreReadAloneWhereNobodyAsksForTheRest: a question about the time
// alone does not ask for power.
func TestPartsAreReadAloneWhereNobodyAsksForTheRest(t *testing.T) {
	files := energyFolder("small compile 2")
	files["report.yaml"].Data = bytes.Replace(files["report.yaml"].Data, []byte("to: large}"), []byte("to: large, workloads: [compile]}"), 1)
	p, _ := incompleteRuns(t, files)
	for _, v := range NewSpace(p).Plan(PlanOptions{Repeats: 4, Session: "second"}).Visits {
		if !slices.Equal(v.Workloads, []string{"compile"}) {
			t.Errorf("visit %d reads %q", v.Order, v.Workloads)
		}
	}
}
