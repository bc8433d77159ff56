package report

import (
	"strings"
	"testing"

	"benchwright/project"
)

// A correction is held against what earlier editions kept of it, so that another
// old value cannot be put into it later.
func TestACorrectionRewrittenLaterIsNoticed(t *testing.T) {
	m := large(4, 2, 4)
	m.Readings[3].Value = 12345.671
	old := m.build(t).Publication()
	other := m.clone()
	rd := &other.Readings[3]
	rd.Value = 12345.672
	correction := project.Correction{Configuration: int(rd.Configuration), Workload: int(rd.Workload), Session: int(rd.Session), Repeat: int(rd.Repeat), Was: 12345.671, Now: 12345.672, Reason: "digits changed places"}
	other.Corrections = []project.Correction{correction}
	c := Compare(old, other.build(t))
	if len(c.Corrected) != 1 || c.Misstated != 0 {
		t.Fatalf("%+v", c)
	}
	past := []PastEdition{{Date: "2026-02-03", Corrected: []KeptReading{KeptReading(c.Corrected[0])}}}
	for name, x := range map[string]struct {
		change func(*project.Correction)
		want   int
	}{
		"as it was":            {func(*project.Correction) {}, 0},
		"another old value":    {func(c *project.Correction) { c.Was = 12345.67 }, 1},
		"of another reading":   {func(c *project.Correction) { c.Was, c.Repeat = 12345.67, c.Repeat+1 }, 0},
		"corrected once again": {func(c *project.Correction) { c.Was, c.Now = 12345.672, 12346 }, 0},
	} {
		again := other.clone()
		next := correction
		x.change(&next)
		again.Corrections = []project.Correction{next}
		r := again.build(t)
		now := Compare(r.Publication(), r)
		now.TakePast(r, past)
		if now.Misstated != x.want || len(now.Past) != 1 {
			t.Errorf("%s: %d corrections state another value, want %d", name, now.Misstated, x.want)
		}
	}
	// The correction that follows stands beside the first.
	again := other.clone()
	next := correction
	next.Was, next.Now = 12345.672, 12346
	again.Corrections = []project.Correction{correction, next}
	r := again.build(t)
	now := Compare(r.Publication(), r)
	if now.TakePast(r, past); now.Misstated != 0 {
		t.Error("a chain of corrections states another value")
	}
}

// An edition that gave no reason shows the one that was given since.
func TestAReasonThatIsGivenLater(t *testing.T) {
	m := large(4, 2, 4)
	m.Readings[3].Value = 14.7
	old := m.build(t).Publication()
	other := m.clone()
	rd := &other.Readings[3]
	rd.Value = 14.2
	c := Compare(old, other.build(t))
	past := PastEdition{Date: "2026-02-03", Corrected: []KeptReading{KeptReading(c.Corrected[0])}}
	if got := strings.Join(other.build(t).KeptReadings(past), ""); !strings.HasSuffix(got, "(no reason given)") {
		t.Errorf("without a reason: %q", got)
	}
	other.Corrections = []project.Correction{{Configuration: int(rd.Configuration), Workload: int(rd.Workload), Session: int(rd.Session), Repeat: int(rd.Repeat), Was: 14.7, Now: 14.1, Reason: "of another value"}}
	if got := strings.Join(other.build(t).KeptReadings(past), ""); !strings.HasSuffix(got, "(no reason given)") {
		t.Errorf("with the reason of another value: %q", got)
	}
	other.Corrections[0].Now, other.Corrections[0].Reason = 14.2, "a slip"
	if got := strings.Join(other.build(t).KeptReadings(past), ""); !strings.HasSuffix(got, "(a slip; this was said later)") {
		t.Errorf("with a reason: %q", got)
	}
}
