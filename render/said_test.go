package render

import (
	"bytes"
	"html"
	"regexp"
	"strings"
	"testing"

	"benchwright/themes"
)

// pageOf is the text of one file of a site, with its entities written out.
func pageOf(t testing.TB, files []File, path string) string {
	t.Helper()
	for i := range files {
		if files[i].Path == path {
			return html.UnescapeString(string(files[i].Data))
		}
	}
	t.Fatalf("the site has no %q", path)
	return ""
}

func TestThePairsOfABundleSayWhatElseMoved(t *testing.T) {
	files := sampleSite(t, themes.Default)
	bundle := pageOf(t, files, "questions/quick-kit.html")
	if want := "The two sides of a pair differ in Memory kit, in Memory clock, which the question allows, and in what follows them."; !strings.Contains(bundle, want) {
		t.Errorf("the page of a bundle does not say %q", want)
	}
	if strings.Contains(bundle, "differ in this factor and in what follows it. No other") {
		t.Error("the page of a bundle says that nothing else moved")
	}
	if one := pageOf(t, files, "questions/cooling-pad.html"); !strings.Contains(one, "differ in this factor and in what follows it. No other") {
		t.Error("the page of a single change does not say that nothing else moved")
	}
}

func TestRunsThatHungAreCountedAsRuns(t *testing.T) {
	files := sampleSite(t, themes.Default)
	if text := pageOf(t, files, "index.html"); !strings.Contains(text, "3 runs failed before any reading") || strings.Contains(text, "attempts failed") {
		t.Error("the overview does not count three runs that failed")
	}
	if text := pageOf(t, files, "workloads/transcode.html"); !regexp.MustCompile(`id="failure-table"[^§]*?Attempts`).MatchString(text) {
		t.Error("the table of failures counts readings where there are none")
	}
}

// The foot of every page promises that every figure can be recomputed, so the page
// that it leads to has to say how, and what each input is.
func TestTheDataPageSaysHowToRecompute(t *testing.T) {
	files := sampleSite(t, themes.Default)
	if text := pageOf(t, files, "index.html"); !strings.Contains(text, `href="data.html#recompute"`) {
		t.Error("the foot does not lead to where it is said how")
	}
	text := pageOf(t, files, "data.html")
	if !strings.Contains(text, `id="recompute"`) || !strings.Contains(text, "benchwright verify FOLDER") {
		t.Error("the data page does not say how to recompute")
	}
	if strings.Contains(text, "input of the report") {
		t.Error("the data page calls a file of the folder an input and no more")
	}
}

func TestPagesCallThingsByTheirLabels(t *testing.T) {
	files := sampleSite(t, themes.Default)
	method := pageOf(t, files, "method.html")
	for _, want := range []string{"“System 8.1 on the other drive”, and nuthwick-n1 in 12 others", "7 February 2026</h3>", "in the session of 14 February 2026, from "} {
		if !strings.Contains(method, want) {
			t.Errorf("the method page does not say %q", want)
		}
	}
	for _, odd := range []string{`"new-system"`, "(first-day)", "session second-day-after-update"} {
		if strings.Contains(method, odd) {
			t.Errorf("the method page says %q", odd)
		}
	}
	if page := pageOf(t, files, "configurations/two-35-thick.html"); strings.Index(page, "Identifier") < strings.Index(page, "Overall") {
		t.Error("the page of a configuration begins with its identifier")
	}
}

func TestTheOverviewCountsWhatTheMethodLists(t *testing.T) {
	if text := pageOf(t, sampleSite(t, themes.Default), "index.html"); !strings.Contains(text, ">1 warning and 1 notice<") {
		t.Error("the overview does not count the findings by severity")
	}
}

// A first edition has nothing to be compared with, and yet readings of it may have
// been corrected.
func TestAFirstEditionListsItsCorrections(t *testing.T) {
	text := pageOf(t, sampleSite(t, themes.Default), "changes.html")
	for _, want := range []string{"3370", "3307", "two digits changed places"} {
		if !strings.Contains(strings.ReplaceAll(text, "\u202f", ""), want) {
			t.Errorf("the changes page does not show %q", want)
		}
	}
	if strings.Contains(text, "Nothing has changed") {
		t.Error("the changes page says that nothing has changed")
	}
}

// A configuration costs what its parts do where it states no cost of its own.
func TestCostsAreThoseOfTheParts(t *testing.T) {
	files := sampleSite(t, themes.Default)
	if page := pageOf(t, files, "configurations/two-35-thick.html"); !strings.Contains(page, "69\u00a0EUR") {
		t.Error("the page of a configuration does not show what its parts cost")
	}
	if text := pageOf(t, files, "data/configurations.csv"); !strings.Contains(text, "two-35-thick,\"2 channels, 35 W, thick pad\",tested,one-35-thick,69,") {
		t.Errorf("the table of configurations has no cost")
	}
	if text := pageOf(t, files, "index.html"); !strings.Contains(text, "Costs are of the parts that were changed, without the machine.") {
		t.Error("it is not said what the costs are of")
	}
}

// Who comes by a link to any page must see what every reader must know first.
func TestTheNoticeStandsOnEveryPage(t *testing.T) {
	const notice = "Every reading here is invented."
	for _, theme := range themes.Names() {
		for _, f := range laidOut(t, written(t, map[string]string{
			"report.yaml":           "title: Small\nnotice: " + notice + "\nauthor: me\ndate: 2026-01-02\nlicence: CC0-1.0\nbaseline: a\nquestions:\n  - {id: q, ask: 'What is it worth?', factor: f, from: one, to: two}\n",
			"bench.yaml":            "bench: {label: Bench}\nfactors:\n  f: {label: F, role: studied, kind: category}\n",
			"workloads.yaml":        "workloads:\n  w: {label: W, metric: m, unit: s, better: lower}\n",
			"configurations/a.yaml": "set: {f: one}\n",
			"notes/first.md":        "# First\n\nA note.\n",
		}), theme) {
			if n := bytes.Count(f.Data, []byte(`">`+notice+"</p>")); strings.HasSuffix(f.Path, ".html") && n != 1 {
				t.Errorf("theme %s: %s shows the notice %d times", theme, f.Path, n)
			}
		}
	}
}
