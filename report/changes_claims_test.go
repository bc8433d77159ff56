package report

import (
	"strings"
	"testing"
)

// pairOf is a report and its record, to change something in.
func pairOf(t *testing.T) (*made, *Report, Publication) {
	low, high := "10.0 10.1 10.2 10.1", "12.0 12.1 12.2 12.1"
	m := bench([3]string{low, low, low}, [3]string{high, high, high})
	r := m.build(t)
	old, err := ReadPublication(recordOf(r))
	if err != nil {
		t.Fatal(err)
	}
	return m, r, old
}

// What an answer says beside its value is compared as well, and nothing denies that it
// has changed.
func TestAnAnswerThatReadsDifferentlyIsTold(t *testing.T) {
	_, r, old := pairOf(t)
	old.Questions[0].Answer = "It is worth much."
	e := &old.Questions[0].Workloads[1]
	e.Pairs = 7
	got := Compare(old, r)
	for _, want := range []string{"The answer to “clock?” was “It is worth much.” It is “" + r.Questions[0].Headline.Text + "”",
		"The value is as before, with another interval, of “clock?” on w1 (over 1 matched pair, before 7)."} {
		if !strings.Contains(got.said(), want) {
			t.Errorf("nothing says %q: %s", want, got.said())
		}
	}
	was, now := []PublishedFile{{"report.yaml", "a"}}, []PublishedFile{{"report.yaml", "b"}}
	if got.TakeFiles(r, was, now); got.Nothing || strings.Contains(got.said(), "no answer") || !strings.Contains(got.said(), "What report.yaml says has changed as well.") {
		t.Error(got.said())
	}
	// In another language every sentence reads differently.
	old.Language = "de"
	if got = Compare(old, r); strings.Contains(got.said(), "The answer to") || !strings.Contains(got.said(), "The report was in de and is in en-GB") {
		t.Error(got.said())
	}
}

// How a comparison is marked is told in either direction, with the rule behind it.
func TestHowAComparisonIsMarkedIsTold(t *testing.T) {
	_, r, _ := pairOf(t)
	yes, no := true, false
	clean := PublishedQuestion{Answerable: true, Clean: &yes}
	reserved := PublishedQuestion{Answerable: true, Clean: &no, Against: []string{"large-spread"}}
	aside := PublishedQuestion{Answerable: true, Clean: &no, SetAside: []string{"large-spread"}}
	other := PublishedQuestion{Answerable: true, Clean: &no, Against: []string{"outlier"}}
	bundle := PublishedQuestion{Answerable: true, Clean: &no, Bundle: true}
	unknown := PublishedQuestion{Answerable: true}
	for _, x := range []struct {
		old, now PublishedQuestion
		want     string
	}{
		{clean, reserved, "The comparison behind “q?” was marked “Clean comparison” and is marked “With reservations”. The rule in which the editions differ: large-spread."},
		{reserved, clean, "The comparison behind “q?” was marked “With reservations” and is marked “Clean comparison”. The rule in which the editions differ: large-spread."},
		{reserved, aside, "The comparison behind “q?” was marked “With reservations” and is marked “Findings set aside”. The rule in which the editions differ: large-spread."},
		{reserved, other, "The comparison behind “q?” is marked “With reservations” as before, on other grounds. The rules in which the editions differ: large-spread and outlier."},
		{clean, bundle, "The comparison behind “q?” was marked “Clean comparison” and is marked “Bundle of changes”. More than one thing changed on purpose; the figure is for all of them together."},
		{reserved, reserved, ""}, {clean, clean, ""}, {unknown, reserved, ""}, {reserved, unknown, ""},
	} {
		c := newComparison(r.Publication(), r)
		c.claimed("q.html", "“q?”", &x.old, &x.now, false)
		said := ""
		for _, s := range c.remarks {
			said += s.Text
		}
		if said != x.want {
			t.Errorf("%q, want %q", said, x.want)
		}
	}
}

// The record says how a comparison is marked.
func TestTheRecordSaysHowAComparisonIsMarked(t *testing.T) {
	_, r, old := pairOf(t)
	if q := old.Questions[0]; q.Clean == nil || *q.Clean != r.Questions[0].Clean || len(q.Over) != 3 || len(old.Composites[0].Over) != 3 || len(old.Factors) != 1 {
		t.Errorf("%+v", q)
	}
}

// Whoever is named first on the overview is followed.
func TestAnotherHeadlineIsTold(t *testing.T) {
	_, r, old := pairOf(t)
	if len(old.Headlines) != 1 || old.Headlines[0].Kind != headlineComposite || old.Headlines[0].Names[0] != "fast" {
		t.Fatalf("%+v", old.Headlines)
	}
	old.Headlines[0].Text = "other words."
	if got := Compare(old, r); !got.Nothing {
		t.Errorf("the same names: %s", got.said())
	}
	old.Headlines[0].Names = []string{"slow"}
	old.Headlines = append(old.Headlines, PublishedHeadline{Kind: headlineEffect, Names: []string{"clock", "1", "2"}, Text: "clock, +2 %."})
	said := strings.ReplaceAll(Compare(old, r).said(), nbsp, " ")
	for _, want := range []string{"Best of those tested, Overall, as the overview names it. Before: other words. Now: fast, +19.8 %.",
		"What has the largest effect, as the overview names it. Before: clock, +2 %. Now: nothing."} {
		if !strings.Contains(said, want) {
			t.Errorf("nothing says %q: %s", want, said)
		}
	}
	old.Headlines, old.Factors = nil, nil
	if got := Compare(old, r); !got.Nothing {
		t.Errorf("a record that does not say: %s", got.said())
	}
}

// What was run, when, on what and for how much is told with both values.
func TestFactsThatStandOtherwiseAreTold(t *testing.T) {
	m, _, old := pairOf(t)
	w := m.Workloads[0]
	w.Version, w.Command, w.Metric = "2.0", "run --long", "slowest frame rate"
	m.Sessions[0].Date = "2030-09-02"
	m.Factors[0].Label = "Clock rate"
	m.Configurations[1].Cost, m.Configurations[1].HasCost = 140, true
	old.Workloads[0].Version, old.Workloads[0].Metric = "1.0", "frame rate"
	old.Sessions[0].Date = "2030-07-02"
	old.Configurations[0].Values["clock"] = "50 MHz"
	old.Title = "Another title"
	old.Configurations[1].Cost = "340"
	said := Compare(old, m.build(t)).said()
	for _, want := range []string{
		"w0, version: “1.0” before, “2.0” now.", "w0, command: nothing was stated, “run --long” is now.", "w0, metric: “frame rate” before, “slowest frame rate” now.",
		"s1, date of the session: “2030-07-02” before, “2030-09-02” now.", "slow, Clock rate: “50 MHz” before, “100\u00a0MHz” now.", "“clock” is called “Clock rate” now.",
		"The report was called “Another title” and is called ", "fast, cost: “340” before, “140” now.",
	} {
		if !strings.Contains(said, want) {
			t.Errorf("nothing says %q: %s", want, said)
		}
	}
	old.Factors = nil
	if said = Compare(old, m.build(t)).said(); strings.Contains(said, "version:") || strings.Contains(said, "slow, Clock rate") || !strings.Contains(said, "date of the session") {
		t.Errorf("a record that does not say: %s", said)
	}
}
