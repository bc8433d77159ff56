package report

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"benchwright/project"
)

// said joins every text of the changes, to look for words that no book has.
func (c *Changes) said() string {
	var b strings.Builder
	for _, s := range slices.Concat(c.Turned, c.Sentences) {
		b.WriteString(s.Text + "\n")
	}
	for _, f := range slices.Concat(c.Figures, c.Apart) {
		fmt.Fprintln(&b, f.What, f.Was, f.Now, f.Moved)
	}
	for _, r := range slices.Concat(c.New, c.Corrected, c.Excluded, c.Withdrawn) {
		fmt.Fprintln(&b, r.Configuration, r.Workload, r.Session, r.Was, r.Now, r.Reason)
	}
	return b.String()
}

func counts(c *Changes) [3]int { return [3]int{len(c.New), len(c.Corrected), len(c.Withdrawn)} }

func TestTheSameReportHasNoChanges(t *testing.T) {
	for _, r := range []*Report{sampleReport(t), large(8, 3, 4).build(t)} {
		p, err := ReadPublication(recordOf(r))
		if err != nil {
			t.Fatal(err)
		}
		c := Compare(p, r)
		if !c.Nothing || len(c.Figures)+len(c.Turned) > 0 || counts(c) != [3]int{} || len(c.Sentences) != 1 {
			t.Errorf("changes where there are none: %s", c.said())
		}
	}
}

func recordOf(r *Report) []byte {
	p := r.Publication()
	return p.JSON()
}

// One reading more, anywhere: it alone is new, and no figure moves but those of
// its own configuration and workload.
func TestOneReadingMoreMovesItsOwnFiguresOnly(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 8))
	m := large(8, 3, 4)
	before := m.build(t)
	old := before.Publication()
	for range 40 {
		c, w := 1+random.IntN(7), random.IntN(3) // not the baseline, which moves everything
		other := m.clone()
		added := other.Readings[0]
		for _, rd := range other.Readings {
			if int(rd.Configuration) == c && int(rd.Workload) == w && rd.Session == 0 && rd.Repeat >= added.Repeat {
				added = rd
			}
		}
		added.Configuration, added.Workload, added.Session = int32(c), int32(w), 0
		added.Repeat, added.Order = added.Repeat+1, 1000
		added.Value *= 1 + 0.05*random.NormFloat64()
		other.Readings = slices.Insert(other.Readings, random.IntN(len(other.Readings)), added)
		now := other.build(t)
		got := Compare(old, now)
		if counts(got) != [3]int{1, 0, 0} {
			t.Fatalf("one reading was added; new, corrected, withdrawn: %v", counts(got))
		}
		if n := got.New[0]; n.Configuration != m.Configurations[c].Label || n.Workload != m.Workloads[w].Label || n.Repeat != int(added.Repeat) {
			t.Errorf("the wrong reading is new: %+v", n)
		}
		cell := m.Configurations[c].Label + " on " + m.Workloads[w].Label
		seen := false
		for _, f := range got.Figures {
			seen = seen || f.What == cell
			other := false
			for i, x := range m.Workloads {
				other = other || i != w && strings.HasSuffix(f.What, " on "+x.Label)
			}
			for i, x := range m.Configurations {
				other = other || i != c && (strings.HasPrefix(f.What, x.Label+" on ") || strings.HasSuffix(f.What, ": "+x.Label))
			}
			if other {
				t.Errorf("a reading of %s moved %q from %s to %s", cell, f.What, f.Was, f.Now)
			}
		}
		if was := before.Cells[c][w].Centre.Text; seen != (was != now.Cells[c][w].Centre.Text) {
			t.Errorf("the figure of %s was %s and is %s: %s", cell, was, now.Cells[c][w].Centre.Text, got.said())
		}
	}
}

// Taking the reading out again is the mirror image.
func TestAWithdrawnReadingIsSaid(t *testing.T) {
	m := large(4, 2, 4)
	old := m.build(t).Publication()
	other := m.clone()
	gone := other.Readings[5]
	other.Readings = slices.Delete(other.Readings, 5, 6)
	got := Compare(old, other.build(t))
	if counts(got) != [3]int{0, 0, 1} || got.Withdrawn[0].Repeat != int(gone.Repeat) || got.Withdrawn[0].Now != "" || !strings.Contains(got.Withdrawn[0].Was, "s") {
		t.Errorf("want one reading withdrawn: %v %s", counts(got), got.said())
	}
	if !strings.Contains(got.said(), "1 reading was withdrawn.") {
		t.Errorf("nothing says so: %s", got.said())
	}
}

func TestACorrectedReadingShowsBothValuesAndTheReason(t *testing.T) {
	m := large(4, 2, 4)
	m.Readings[3].Value = 12345.671
	old := m.build(t).Publication()
	other := m.clone()
	rd := &other.Readings[3]
	rd.Value = 12345.672 // apart in the eighth digit only
	got := Compare(old, other.build(t))
	if counts(got) != [3]int{0, 1, 0} {
		t.Fatalf("want one correction: %v", counts(got))
	}
	if c := got.Corrected[0]; c.Was == c.Now || c.Reason != "no reason given" {
		t.Errorf("without an entry under corrections: %+v", c)
	}
	other.Corrections = append(other.Corrections,
		project.Correction{Configuration: int(rd.Configuration), Workload: int(rd.Workload), Session: -1, Was: 1, Now: 2, Reason: "of another value"},
		project.Correction{Configuration: int(rd.Configuration), Workload: int(rd.Workload), Session: int(rd.Session), Repeat: int(rd.Repeat), Was: 12345.671, Now: 12345.672, Reason: "digits changed places"},
		project.Correction{Configuration: int(rd.Configuration), Workload: int(rd.Workload), Session: int(1 - rd.Session), Was: 12345.671, Now: 12345.672, Reason: "of another session"},
		project.Correction{Configuration: int(rd.Configuration), Workload: int(rd.Workload), Session: -1, Was: 12345.671, Now: 2, Reason: "of a later value"})
	if c := Compare(old, other.build(t)).Corrected[0]; c.Reason != "digits changed places" {
		t.Errorf("with an entry under corrections: %+v", c)
	}
}

// What a correction says of the past is held against the past.
func TestACorrectionThatStatesAnotherOldValue(t *testing.T) {
	m := large(4, 2, 4)
	m.Readings[3].Value = 14.7
	old := m.build(t).Publication()
	other := m.clone()
	rd := &other.Readings[3]
	rd.Value = 14.2
	correct := func(was, now float64) {
		other.Corrections = append(other.Corrections, project.Correction{Configuration: int(rd.Configuration), Workload: int(rd.Workload),
			Session: int(rd.Session), Repeat: int(rd.Repeat), Was: was, Now: now, Reason: "a slip"})
	}
	for _, c := range []struct {
		was, now  float64
		misstated int
		want      string
	}{
		{14.9, 14.2, 1, "a slip (the correction says that it was 14.9\u00a0"},
		{14.7, 14.2, 0, "a slip"},
	} {
		other.Corrections = nil
		correct(c.was, c.now)
		got := Compare(old, other.build(t))
		if got.Misstated != c.misstated || !strings.HasPrefix(got.Corrected[0].Reason, c.want) {
			t.Errorf("was %v: %d misstated, %q", c.was, got.Misstated, got.Corrected[0].Reason)
		}
	}
	// Two corrections since the last edition: the first of them knows what was
	// published.
	other.Corrections = nil
	correct(14.7, 14.4)
	correct(14.4, 14.2)
	if got := Compare(old, other.build(t)); got.Misstated != 0 || got.Corrected[0].Reason != "a slip" {
		t.Errorf("two corrections: %d misstated, %q", got.Misstated, got.Corrected[0].Reason)
	}
	// A correction that is taken back is told alone, as what it is.
	other.Corrections = nil
	correct(14.2, 14.7)
	correct(14.7, 14.2)
	other.Corrections[1].Reason = "it was right at first"
	if got := Compare(old, other.build(t)); counts(got) != [3]int{0, 1, 0} || got.Misstated != 0 || got.Corrected[0].Reason != "it was right at first" {
		t.Errorf("there and back: %+v", got.Corrected)
	}
}

// A row put in between shifts the repeats of the rows below it. That corrects
// nothing.
func TestARowPutInBetweenCorrectsNothing(t *testing.T) {
	m := make1()
	m.factor("part", project.Studied, "")
	m.session("s1")
	w := m.workload("w", "s", false)
	c := m.configuration("c", "a")
	m.overall()
	m.read(c, w, 0, "10.1", "10.2", "10.3")
	old := m.build(t).Publication()
	other := m.clone()
	other.Readings = nil
	other.read(c, w, 0, "10.1", "10.9", "10.2", "10.3")
	got := Compare(old, other.build(t))
	if counts(got) != [3]int{1, 0, 0} || got.New[0].Now != "10.9\u00a0s" || got.New[0].Repeat != 2 {
		t.Errorf("want 10.9 s as repeat 2 new: %v %s", counts(got), got.said())
	}
}

func TestAnExcludedReadingIsSaidWithItsOwnReason(t *testing.T) {
	m := large(4, 2, 4)
	old := m.build(t).Publication()
	other := m.clone()
	other.Readings[2].Outcome = project.Excluded
	other.Write(&other.Readings[2], other.Written(&other.Readings[2]), "the window was open", "")
	got := Compare(old, other.build(t))
	if counts(got) != [3]int{} || len(got.Excluded) != 1 || got.Excluded[0].Now != "excluded" || got.Excluded[0].Reason != "the window was open" ||
		!strings.Contains(got.said(), "1 reading was excluded.") {
		t.Errorf("%s", got.said())
	}
	r := other.build(t)
	if r.Changes = got; !strings.HasSuffix(strings.Join(r.KeptChanges(), "\n"), " was excluded (the window was open)") {
		t.Errorf("%q", r.KeptChanges())
	}
	// Another value as well: both are said.
	other.Readings[2].Value *= 1.01
	if got = Compare(old, other.build(t)); counts(got) != [3]int{} || len(got.Excluded) != 1 || !strings.HasSuffix(got.Excluded[0].Now, ", excluded") || len(got.Excluded[0].Now) < 12 {
		t.Errorf("%s", got.said())
	}
	// Taken back with another value, it is a correction.
	if got = Compare(other.build(t).Publication(), m.build(t)); counts(got) != [3]int{0, 1, 0} || len(got.Excluded) != 0 || !strings.Contains(got.said(), "1 reading was corrected.") {
		t.Errorf("%s", got.said())
	}
}

// A reading that is left out although it was corrected before is so for the reason in
// its row: the correction speaks of another edition. One that is taken in again with
// the value that it had was not corrected.
func TestAnExclusionIsNoCorrection(t *testing.T) {
	m := large(4, 2, 4)
	rd := m.Readings[3]
	m.Corrections = append(m.Corrections, project.Correction{Configuration: int(rd.Configuration), Workload: int(rd.Workload),
		Session: int(rd.Session), Repeat: int(rd.Repeat), Was: rd.Value + 9, Now: rd.Value, Reason: "two digits changed places"})
	before := m.build(t)
	other := m.clone()
	other.Readings[3].Outcome = project.Excluded
	other.Write(&other.Readings[3], other.Written(&other.Readings[3]), "the lid was open", "")
	after := other.build(t)
	got := Compare(before.Publication(), after)
	if len(got.Excluded) != 1 || got.Excluded[0].Reason != "the lid was open" || got.Misstated != 0 {
		t.Errorf("%d misstated: %s", got.Misstated, got.said())
	}
	back := Compare(after.Publication(), before)
	if len(back.Corrected) != 1 || back.Corrected[0].Now != "counts again" || back.Corrected[0].Reason != "no reason given" || back.Misstated != 0 {
		t.Errorf("%d misstated: %s", back.Misstated, back.said())
	}
	if said := back.said(); !strings.Contains(said, "1 reading that had been excluded counts again.") || strings.Contains(said, "corrected") {
		t.Error(said)
	}
	before.Changes = back
	if kept := strings.Join(before.KeptChanges(), "\n"); !strings.Contains(kept, "and counts again") || strings.Contains(kept, "was corrected") {
		t.Error(kept)
	}
}

// bench is two configurations that differ in one factor, with three workloads.
func bench(from, to [3]string) *made {
	m := make1()
	clock := m.factor("clock", project.Studied, "MHz", 100, 200)
	m.session("s1")
	for _, id := range []string{"w0", "w1", "w2"} {
		m.workload(id, "fps", true)
	}
	a, b := m.configuration("slow", 100), m.configuration("fast", 200)
	for w := range 3 {
		m.read(a, w, 0, strings.Fields(from[w])...)
		m.read(b, w, 0, strings.Fields(to[w])...)
	}
	m.question("clock", clock, 100, 200)
	m.overall()
	return m
}

func TestAnswersThatTurnComeFirst(t *testing.T) {
	low, high, mixed := "10.0 10.1 10.2 10.1", "12.0 12.1 12.2 12.1", "10.2 10.0 10.1 10.1"
	all := func(s string) [3]string { return [3]string{s, s, s} }
	base := all(low)
	answer := func(to [3]string) Publication { return bench(base, to).build(t).Publication() }
	down := "8.0 8.1 8.2 8.1"
	for name, c := range map[string]struct {
		old  Publication
		to   [3]string
		want string
	}{
		"sign":        {answer(all(high)), all(down), "“clock?” has turned round: it was +"},
		"seen":        {answer(all(mixed)), all(high), "“clock?”: a difference is seen where none was."},
		"unseen":      {answer(all(high)), all(mixed), "“clock?”: no difference is seen any more."},
		"one of them": {answer([3]string{low, high, high}), all(high), "“clock?” on w0: a difference is seen where none was."},
		"unlike":      {answer(all(mixed)), all(high), "fast can now be told from slow on w0, w1 and w2."},
		"alike":       {answer([3]string{high, mixed, mixed}), all(mixed), "fast can no longer be told from slow on w0."},
		"composite":   {answer(all(mixed)), all(high), "Overall: fast: a difference is seen where none was."},
	} {
		got := Compare(c.old, bench(base, c.to).build(t))
		if !slices.ContainsFunc(got.Turned, func(s Sentence) bool { return strings.HasPrefix(s.Text, c.want) && s.Link != "" }) {
			t.Errorf("%s: want %q among what turned: %s", name, c.want, got.said())
		}
	}
}

func TestAQuestionThatCanBeAnsweredNow(t *testing.T) {
	s := "10.0 10.1 10.2 10.1"
	whole := bench([3]string{s, s, s}, [3]string{s, s, s})
	without := whole.clone()
	without.Readings = slices.DeleteFunc(without.Readings, func(rd project.Reading) bool { return rd.Configuration == 1 })
	old := without.build(t)
	if old.Questions[0].Answerable {
		t.Fatal("a question without readings on one side is answered")
	}
	got := Compare(old.Publication(), whole.build(t))
	if len(got.Turned) == 0 || !strings.HasPrefix(got.Turned[0].Text, "“clock?” can be answered now. ") {
		t.Errorf("want the answer first: %s", got.said())
	}
	back := Compare(whole.build(t).Publication(), without.build(t))
	if len(back.Turned) == 0 || back.Turned[0].Text != "“clock?” could be answered and cannot be any more." {
		t.Errorf("want its loss first: %s", back.said())
	}
}

// What means something else now is not compared, and that is said.
func TestWhatIsDefinedAnewIsNotCompared(t *testing.T) {
	s, f := "10.0 10.1 10.2 10.1", "12.0 12.1 12.2 12.1"
	m := bench([3]string{s, s, s}, [3]string{f, f, f})
	old := m.build(t).Publication()

	other := bench([3]string{f, s, s}, [3]string{s, f, f})
	other.Baseline = 1
	got := Compare(old, other.build(t))
	if !strings.Contains(got.said(), "The baseline was slow and is fast") {
		t.Errorf("another baseline is not said: %s", got.said())
	}
	for _, x := range got.Figures {
		if strings.HasPrefix(x.What, "Overall") {
			t.Errorf("a composite is compared across baselines: %+v", x)
		}
	}

	other = bench([3]string{f, s, s}, [3]string{s, f, f})
	other.Workloads[0].Unit, _ = project.ParseUnit("s")
	got = Compare(old, other.build(t))
	if !strings.Contains(got.said(), "w0 is measured or given differently") {
		t.Errorf("another unit is not said: %s", got.said())
	}
	for _, x := range got.Figures {
		if strings.HasSuffix(x.What, " on w0") {
			t.Errorf("a figure is compared across units: %+v", x)
		}
	}

	other = bench([3]string{s, s, s}, [3]string{f, f, f})
	other.Questions[0].From, other.Questions[0].To = level(200), level(100)
	got = Compare(old, other.build(t))
	if len(got.Turned) > 0 || !strings.Contains(got.said(), "“clock?” compares something else than it did") {
		t.Errorf("a question asked the other way round: %s", got.said())
	}
}

func TestWhatCameAndWentIsNamed(t *testing.T) {
	s := "10.0 10.1 10.2 10.1"
	small := bench([3]string{s, s, s}, [3]string{s, s, s})
	more := bench([3]string{s, s, s}, [3]string{s, s, s})
	more.workload("w3", "s", false)
	more.read(more.configuration("third", 200), 0, 0, "10.0", "10.1")
	more.question("again", 0, 200, 100)
	there := Compare(small.build(t).Publication(), more.build(t))
	for _, want := range []string{"New configuration: third.", "New workload: w3.", "New question: “again?”.", "2 readings are new."} {
		if !strings.Contains(there.said(), want) {
			t.Errorf("%q is not said: %s", want, there.said())
		}
	}
	back := Compare(more.build(t).Publication(), small.build(t))
	for _, want := range []string{"Configuration withdrawn: third.", "Workload withdrawn: w3.", "Question withdrawn: “again?”.", "2 readings were withdrawn."} {
		if !strings.Contains(back.said(), want) {
			t.Errorf("%q is not said: %s", want, back.said())
		}
	}
	big := large(12, 2, 2)
	got := Compare(Publication{Version: 1, Baseline: "c0", Confidence: 0.95}, big.build(t))
	if !strings.Contains(got.said(), "12 configurations are new.") {
		t.Errorf("many configurations are not counted: %s", got.said())
	}
	for _, c := range []*Changes{there, back, got} {
		if strings.Contains(c.said(), "⟪") {
			t.Errorf("a phrase is missing: %s", c.said())
		}
	}
}

// Moves are written with the digits that the spread allows, and say whether
// they stay inside the old interval.
func TestMovesInsideAndBeyondTheOldInterval(t *testing.T) {
	s := "10.0 10.1 10.2 10.1"
	m := bench([3]string{s, s, s}, [3]string{"12.0 12.1 12.2 12.1", s, s})
	old := m.build(t).Publication()
	find := func(c *Changes, what string) ChangedFigure {
		t.Helper()
		for _, f := range c.Figures {
			if f.What == what {
				return f
			}
		}
		t.Fatalf("%s did not move: %s", what, c.said())
		return ChangedFigure{}
	}
	inside := find(Compare(old, bench([3]string{s, s, s}, [3]string{"12.0 12.1 12.2 12.3", s, s}).build(t)), "fast on w0")
	if !inside.Inside || inside.Moved != "+0.05\u00a0fps" && inside.Moved != "+0.1\u00a0fps" {
		t.Errorf("a small move: %+v", inside)
	}
	beyond := find(Compare(old, bench([3]string{s, s, s}, [3]string{"14.0 14.1 14.2 14.1", s, s}).build(t)), "fast on w0")
	if beyond.Inside || !strings.HasPrefix(beyond.Moved, "+2.0") {
		t.Errorf("a large move: %+v", beyond)
	}
	effect := find(Compare(old, bench([3]string{s, s, s}, [3]string{"14.0 14.1 14.2 14.1", s, s}).build(t)), "“clock?” on w0")
	if !strings.HasSuffix(effect.Moved, "percentage points") {
		t.Errorf("an effect's move: %+v", effect)
	}
}
