package data

import (
	"bytes"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"benchwright/render/site"
	"benchwright/report"
)

// publishedOn carries a folder to its data files on top of an old site.
func publishedOn(t testing.TB, old fstest.MapFS, date string, edit func(results string) string) (*report.Report, fstest.MapFS) {
	t.Helper()
	r, m, err := tryPublishing(t, old, date, edit)
	if err != nil {
		t.Fatal(err)
	}
	return r, m
}

func tryPublishing(t testing.TB, old fstest.MapFS, date string, edit func(results string) string) (*report.Report, fstest.MapFS, error) {
	t.Helper()
	fsys := small()
	fsys["report.yaml"] = &fstest.MapFile{Data: []byte(strings.Replace(string(fsys["report.yaml"].Data), "2026-02-03", date, 1))}
	if edit != nil {
		fsys["results/one.csv"] = &fstest.MapFile{Data: []byte(edit(string(fsys["results/one.csv"].Data)))}
	}
	r, folder := built(t, fsys)
	past, err := ReadPast(old)
	if err != nil {
		return nil, nil, err
	}
	history, err := Settle(past, r, folder)
	if err != nil {
		return nil, nil, err
	}
	var files []site.File
	files, _, err = Files(r, folder, Options{History: history})
	return r, mapOf(files), err
}

func equal(a, b fstest.MapFS) string {
	for name, f := range a {
		if g := b[name]; g == nil || !bytes.Equal(f.Data, g.Data) {
			return name
		}
	}
	if len(a) != len(b) {
		return "the number of files"
	}
	return ""
}

func add(rows string) func(string) string { return func(s string) string { return s + rows } }

const oneMore = "one,quiet,render,12.9,,,\n"

func TestEditionsFollowOneAnother(t *testing.T) {
	// Nothing published before: no changes, and none after publishing it again.
	r, first := publishedOn(t, nil, "2026-02-03", nil)
	if r.Changes != nil {
		t.Error("a first edition has changes")
	}
	r, again := publishedOn(t, first, "2026-02-03", nil)
	if at := equal(first, again); r.Changes != nil || at != "" {
		t.Errorf("publishing twice changes %s", at)
	}

	// A later edition says what is new, and goes on saying it.
	r, second := publishedOn(t, first, "2026-03-03", add(oneMore))
	if c := r.Changes; c == nil || c.Since != "2026-02-03" || len(c.New) != 1 || len(c.Past) != 1 || c.Past[0].Date != "2026-02-03" {
		t.Fatalf("second edition: %+v", r.Changes)
	}
	if !bytes.Equal(second[PreviousFile].Data, first[RecordFile].Data) || r.Changes.Past[0].Record != hashOf(first[RecordFile].Data) {
		t.Error("the record of the first edition is not kept as it was")
	}
	r, again = publishedOn(t, second, "2026-03-03", add(oneMore))
	if at := equal(second, again); at != "" || len(r.Changes.New) != 1 {
		t.Errorf("publishing the second edition twice changes %s", at)
	}

	// More on the same day adds to the same edition.
	r, more := publishedOn(t, second, "2026-03-03", add(oneMore+"one,quiet,copy,1401,,,\n"))
	if c := r.Changes; len(c.New) != 2 || c.Since != "2026-02-03" || len(c.Past) != 1 {
		t.Errorf("the same edition with one more: %+v", c)
	}

	// A third edition carries the sentences of the second.
	r, third := publishedOn(t, more, "2026-04-03", add("one,quiet,copy,1401,,,\n"))
	c := r.Changes
	if len(c.Withdrawn) != 1 || c.Since != "2026-03-03" || len(c.Past) != 2 || c.Past[0].Date != "2026-03-03" || len(c.Past[0].Sentences) == 0 ||
		!strings.Contains(strings.Join(c.Past[0].Sentences, " "), "2 readings are new.") || c.Past[1].Date != "2026-02-03" {
		t.Errorf("third edition: %+v", c)
	}
	// A later date alone is an edition in which nothing changed.
	r, _ = publishedOn(t, third, "2026-05-03", add("one,quiet,copy,1401,,,\n"))
	if c := r.Changes; !c.Nothing || len(c.Past) != 3 {
		t.Errorf("an edition without a change: %+v", c)
	}
}

// Whoever forgets to change the date is told all the same what moved since the
// first time.
func TestAForgottenDateStillShowsWhatMoved(t *testing.T) {
	_, first := publishedOn(t, nil, "2026-02-03", nil)
	r, second := publishedOn(t, first, "2026-02-03", add(oneMore))
	if c := r.Changes; c == nil || len(c.New) != 1 || c.Since != "2026-02-03" {
		t.Fatalf("%+v", r.Changes)
	}
	_, again := publishedOn(t, second, "2026-02-03", add(oneMore))
	if at := equal(second, again); at != "" {
		t.Errorf("publishing it twice changes %s", at)
	}
}

func TestAnOldSiteThatCannotBeReadIsAClearError(t *testing.T) {
	_, first := publishedOn(t, nil, "2026-02-03", nil)
	_, second := publishedOn(t, first, "2026-03-03", add(oneMore))
	for name, c := range map[string]struct{ file, text, want string }{
		"cut short":   {RecordFile, `{"version": 1,`, RecordFile},
		"not JSON":    {RecordFile, "hello", RecordFile},
		"no date":     {RecordFile, "{}", "no date"},
		"later form":  {RecordFile, `{"version": 7, "date": "2026-01-01"}`, "version 7"},
		"changes":     {ChangesFile, "[]", ChangesFile},
		"no changes":  {ChangesFile, "", ChangesFile},
		"wrong lists": {RecordFile, `{"version": 1, "date": "2026-01-01", "readings": [{"repeats": [1]}]}`, "unequal length"},
	} {
		broken := fstest.MapFS{}
		for n, f := range second {
			broken[n] = f
		}
		broken[c.file] = &fstest.MapFile{Data: []byte(c.text)}
		if _, _, err := tryPublishing(t, broken, "2026-04-03", nil); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: got %v, want an error that names %q", name, err, c.want)
		}
	}
}

// An earlier edition's words cannot be changed without the seals showing it.
func TestSealsCoverEveryWord(t *testing.T) {
	past := []report.PastEdition{
		{Date: "2026-03-03", Record: strings.Repeat("a", 64), Turned: []string{"it turned"}, Sentences: []string{"2 readings are new."}},
		{Date: "2026-02-03", Record: strings.Repeat("b", 64)},
	}
	want := sealed(past)
	for _, change := range []func(p []report.PastEdition){
		func(p []report.PastEdition) { p[1].Date = "2026-02-04" },
		func(p []report.PastEdition) { p[1].Record = strings.Repeat("c", 64) },
		func(p []report.PastEdition) { p[0].Turned = []string{"it turned."} },
		func(p []report.PastEdition) { p[0].Sentences = []string{"3 readings are new."} },
	} {
		other := append([]report.PastEdition{}, past...)
		change(other)
		if sealed(other)[0].Seal == want[0].Seal {
			t.Errorf("a changed word keeps the seal: %+v", other)
		}
	}
	if want[0].Seal == want[1].Seal || sealed(past[1:])[0].Seal != want[1].Seal {
		t.Error("seals do not build on one another")
	}
}

// FuzzAnyOldSite publishes on top of whatever may lie in the old site's folder.
func FuzzAnyOldSite(f *testing.F) {
	_, first := publishedOn(f, nil, "2026-02-03", nil)
	_, second := publishedOn(f, first, "2026-03-03", add(oneMore))
	f.Add(second[RecordFile].Data, second[PreviousFile].Data, second[ChangesFile].Data, true)
	f.Add(second[RecordFile].Data, []byte("{"), second[ChangesFile].Data, false)
	f.Add([]byte(`{"version":1,"date":"2026-02-03"}`), []byte(`{"version":1}`), []byte(`{"editions":[{"date":"x","turned":null}]}`), true)
	r, folder := built(f, small())
	f.Fuzz(func(t *testing.T, record, previous, changes []byte, hasPrevious bool) {
		m := fstest.MapFS{RecordFile: {Data: record}, ChangesFile: {Data: changes}}
		if hasPrevious {
			m[PreviousFile] = &fstest.MapFile{Data: previous}
		}
		past, err := ReadPast(m)
		if err != nil {
			return
		}
		history, err := Settle(past, r, folder)
		if err != nil {
			return
		}
		// What was published from it can be published on.
		now := r.Publication()
		on := fstest.MapFS{RecordFile: {Data: now.JSON()}, ChangesFile: {Data: (&maker{r: r}).changes()}}
		if history.Previous != nil {
			on[PreviousFile] = &fstest.MapFile{Data: history.Previous}
		}
		past, err = ReadPast(on)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := Settle(past, r, folder); err != nil {
			t.Fatal(err)
		}
	})
}

// The date of an edition is no change of what report.yaml says, and a correction
// is held against the one that it was: the rest is told by its reading.
func TestTheDateIsNoChange(t *testing.T) {
	const first = "title: A\ndate: 2026-02-03   # of this edition\nauthor: [{name: B}]\n"
	rest := func(text string) string { return dated([]byte(text))[0].Sum }
	if rest(first) != rest(strings.Replace(first, "02-03", "05-03", 1)) {
		t.Error("another date is another text")
	}
	if rest(first) == rest(strings.Replace(first, "name: B", "name: C", 1)) {
		t.Error("another author is the same text")
	}
	const one = "\n# What was wrong.\ncorrections:\n  # the first\n  - configuration: a\n    was: 1\n    reason: first\n"
	const two = "  - configuration: b\n    reason: >\n      - second\n"
	more := dated([]byte(first + one + two + "\nquestions: []\n"))
	fewer := dated([]byte(first + one + "questions: []\n"))
	if len(more) != 3 || len(fewer) != 2 || more[0] != fewer[0] || more[1] != fewer[1] || more[0] != dated([]byte(first + "questions: []\n"))[0] {
		t.Errorf("%v %v", more, fewer)
	}
	if other := dated([]byte(first + strings.Replace(one, "first\n", "another\n", 2) + two)); other[1] == more[1] || other[2] != more[2] {
		t.Error("another reason is the same correction")
	}
	if inline := dated([]byte(first + "corrections: [\n  {was: 1, reason: x},\n]\n")); len(inline) != 2 {
		t.Errorf("corrections within brackets: %v", inline)
	}
}

// Notes, names and reasons are held against those of the edition before, also
// when it is published again under its date, and against those of a site that
// wrote down no list.
func TestTheFolderIsHeldAgainstTheOneBefore(t *testing.T) {
	_, first := publishedOn(t, nil, "2026-02-03", nil)
	excluded := func(s string) string { return strings.Replace(s, "@later", "@sooner", 1) }
	if s := string(small()["results/one.csv"].Data); excluded(s) == s {
		t.Fatal("the fixture has no such reason")
	}
	want := "What results/one.csv says has changed; no reading"
	r, second := publishedOn(t, first, "2026-03-03", excluded)
	if c := r.Changes; c.Nothing || len(c.Sentences) != 1 || !strings.HasPrefix(c.Sentences[0].Text, want) {
		t.Errorf("%+v", c)
	}
	if r, _ = publishedOn(t, second, "2026-03-03", excluded); !strings.HasPrefix(r.Changes.Sentences[0].Text, want) {
		t.Errorf("published again: %+v", r.Changes)
	}
	// Taken back on the same day, nothing has changed since the edition before.
	if r, _ = publishedOn(t, second, "2026-03-03", nil); !r.Changes.Nothing {
		t.Errorf("taken back: %+v", r.Changes)
	}
	r, third := publishedOn(t, second, "2026-04-03", excluded)
	if c := r.Changes; !c.Nothing || c.Sentences[0].Text != "Nothing that was said has changed." || len(c.Past) != 2 || len(c.Past[1].Files) == 0 {
		t.Errorf("without a change: %+v", c)
	}
	// A site of an earlier form of the list.
	old := bytes.ReplaceAll(third[ChangesFile].Data, []byte(`"files"`), []byte(`"other"`))
	third[ChangesFile] = &fstest.MapFile{Data: old}
	if r, _ = publishedOn(t, third, "2026-04-03", excluded); !r.Changes.Nothing || !strings.Contains(r.Changes.Sentences[0].Text, "not known any more") {
		t.Errorf("after an old list: %+v", r.Changes)
	}
	if r, _ = publishedOn(t, third, "2026-05-03", nil); r.Changes.Nothing || !strings.HasPrefix(r.Changes.Sentences[0].Text, want) {
		t.Errorf("an old list on top of a folder that is known: %+v", r.Changes)
	}
}

// What an edition corrected and withdrew stands in all that follow, with both
// values and the reason.
func TestCorrectionsAreKept(t *testing.T) {
	_, first := publishedOn(t, nil, "2026-02-03", nil)
	corrected := func(s string) string {
		return strings.Replace(strings.Replace(s, "one,plain,render,10.3,,,\n", "one,plain,render,10.2,,,\n", 1), "two,quiet,lid,-7.9,,,\n", "", 1)
	}
	r, second := publishedOn(t, first, "2026-03-03", corrected)
	if c := r.Changes; len(c.Corrected) != 1 || len(c.Withdrawn) != 1 {
		t.Fatalf("%+v", c)
	}
	want := []report.KeptReading{{Configuration: "plain", Workload: `+Render, "big"`, Session: "one", Repeat: 2, Was: "10.3\u00a0fps", Now: "10.2\u00a0fps", Reason: "no reason given"}}
	_, third := publishedOn(t, second, "2026-04-03", corrected)
	r, fourth := publishedOn(t, third, "2026-05-03", corrected)
	if c := r.Changes; len(c.Past) != 3 || !slices.Equal(c.Past[1].Corrected, want) || len(c.Past[1].Withdrawn) != 1 || c.Past[1].More != 0 || c.Past[0].Corrected != nil {
		t.Fatalf("%+v", c.Past)
	}
	if got := strings.Join(r.KeptReadings(r.Changes.Past[1]), "\n"); got != `plain, +Render, "big", one, repeat 2: it was 10.3`+"\u00a0fps and was corrected to 10.2\u00a0fps (no reason given)\n=quiet, Lid, two, repeat 2: −7.9\u00a0°C was withdrawn" {
		t.Errorf("%q", got)
	}
	// Its seal covers them.
	fourth[ChangesFile] = &fstest.MapFile{Data: bytes.Replace(fourth[ChangesFile].Data, []byte("10.3"), []byte("10.4"), 1)}
	past, err := ReadPast(fourth)
	if err != nil {
		t.Fatal(err)
	}
	if past.Sealed() == nil {
		t.Error("another value was put into an earlier edition, and its seal agrees")
	}
}

func TestAtMostFiftyAreKept(t *testing.T) {
	p := &Past{changes: changesFile{Corrected: make([]changed, 40), Withdrawn: make([]changed, 30)}}
	if e := p.entry("2026-02-03"); len(e.Corrected) != 40 || len(e.Withdrawn) != 10 || e.More != 20 {
		t.Errorf("%d, %d and %d more", len(e.Corrected), len(e.Withdrawn), e.More)
	}
	if e := (&Past{changes: changesFile{Corrected: make([]changed, 70), Withdrawn: make([]changed, 1)}}).entry(""); len(e.Corrected) != 50 || len(e.Withdrawn) != 0 || e.More != 21 {
		t.Errorf("%d, %d and %d more", len(e.Corrected), len(e.Withdrawn), e.More)
	}
}
