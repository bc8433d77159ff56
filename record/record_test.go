package record

import (
	"bytes"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/txtar"

	"benchwright/design"
	"benchwright/project"
	"benchwright/schema"
)

// base writes the folder of testdata/base.txtar, changed by the given files
// (an empty text takes one out), and opens it.
func base(t testing.TB, changes map[string]string) (string, *os.Root) {
	t.Helper()
	a, err := txtar.ParseFile("testdata/base.txtar")
	must(t, err)
	dir := t.TempDir()
	for _, f := range a.Files {
		if _, other := changes[f.Name]; !other {
			put(t, dir, f.Name, string(f.Data))
		}
	}
	for name, text := range changes {
		if text != "" {
			put(t, dir, name, text)
		}
	}
	root, err := os.OpenRoot(dir)
	must(t, err)
	t.Cleanup(func() { root.Close() })
	return dir, root
}

func put(t testing.TB, dir, name, text string) {
	t.Helper()
	file := filepath.Join(dir, filepath.FromSlash(name))
	must(t, os.MkdirAll(filepath.Dir(file), 0o755))
	must(t, os.WriteFile(file, []byte(text), 0o644))
}

func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

func text(t testing.TB, dir, name string) string {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(dir, filepath.FromSlash(name)))
	must(t, err)
	return string(data)
}

// loaded loads a folder that has no errors.
func loaded(t testing.TB, fsys fs.FS) *project.Project {
	t.Helper()
	p, _, bad := load(fsys)
	for _, f := range bad {
		t.Fatalf("the folder has an error: %s: %s", f.Place, f.Message)
	}
	return p
}

// prepared is an addition that has to be possible.
func prepared(t testing.TB, root *os.Root, readings []Reading, o Options) *Addition {
	t.Helper()
	a, bad := Prepare(root.FS(), readings, o)
	for _, f := range bad {
		t.Fatalf("refused: %s: %s (%s)", f.Place, f.Message, f.Remedy)
	}
	return a
}

func messages(found []schema.Finding) string {
	var b strings.Builder
	for _, f := range found {
		fmt.Fprintf(&b, "%s %s: %s → %s\n", f.Rule, f.Place, f.Message, f.Remedy)
	}
	return b.String()
}

func TestReadingIsAppendedToTheFileOfItsSession(t *testing.T) {
	dir, root := base(t, nil)
	before := text(t, dir, "results/evening.csv")
	a := prepared(t, root, []Reading{{Configuration: "two-fans", Workload: "compile", Session: "evening", Value: "40.30", Note: "door, open"}},
		Options{Source: "command line", When: "2031-04-09T20:00:00Z"})
	must(t, a.Write(root))
	want := before + "evening,4,two-fans,2,compile,40.30,s,ok,,\"door, open\"\n"
	if got := text(t, dir, "results/evening.csv"); got != want {
		t.Errorf("the file is\n%s\nwant\n%s", got, want)
	}
	if a.Rows[0].String() != "results/evening.csv:7" {
		t.Errorf("the row is said to be at %s", a.Rows[0])
	}
	entry := "when,source,source-sha256,readings,file,file-sha256\n2031-04-09T20:00:00Z,command line,,1,results/evening.csv," + Sum([]byte(want)) + "\n"
	if got := text(t, dir, "provenance.csv"); got != entry {
		t.Errorf("provenance.csv is\n%s\nwant\n%s", got, entry)
	}
	if adrift, err := Adrift(root.FS()); err != nil || len(adrift) > 0 {
		t.Errorf("adrift: %v, %v", adrift, err)
	}
	put(t, dir, "results/evening.csv", before)
	if adrift, err := Adrift(root.FS()); err != nil || !slices.Equal(adrift, []string{"results/evening.csv"}) {
		t.Errorf("after an edit by hand: adrift %v, %v", adrift, err)
	}
}

// TestVisits: readings of one configuration and repeat share their place in the
// session, whether they are recorded at once or one after another.
func TestVisits(t *testing.T) {
	_, root := base(t, nil)
	visit := []Reading{
		{Configuration: "one-fan", Workload: "clip", Session: "evening", Value: "14300"},
		{Configuration: "one-fan", Workload: "rise", Session: "evening", Value: "31.4"},
		{Configuration: "two-fans", Workload: "clip", Session: "evening", Value: "14500"},
	}
	a := prepared(t, root, visit, Options{})
	var got []string
	for _, r := range a.Added {
		got = append(got, fmt.Sprintf("%s %d %d", r.Workload, r.Repeat, r.Order))
	}
	// The last visit of the session is repeat 2 of one-fan at place 3.
	if want := []string{"clip 2 3", "rise 2 3", "clip 1 4"}; !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
	for i := range visit {
		must(t, prepared(t, root, visit[i:i+1], Options{}).Write(root))
	}
	p := loaded(t, root.FS())
	got = nil
	for _, r := range p.Readings {
		if !r.Derived && p.Sessions[r.Session].ID == "evening" && r.Line > 6 {
			got = append(got, fmt.Sprintf("%s %d %d", p.Workloads[r.Workload].ID, r.Repeat, r.Order))
		}
	}
	if want := []string{"clip 2 3", "rise 2 3", "clip 1 4"}; !slices.Equal(got, want) {
		t.Errorf("one after another: got %v, want %v", got, want)
	}
}

// TestRefusals: each fault is found, with what would be right, and nothing is
// prepared.
func TestRefusals(t *testing.T) {
	good := Reading{Configuration: "one-fan", Workload: "compile", Session: "evening", Value: "41.5"}
	with := func(change func(r *Reading)) Reading { r := good; change(&r); return r }
	for _, c := range []struct {
		name string
		r    Reading
		o    Options
		want string // in rule, message or remedy
	}{
		{"unknown configuration", with(func(r *Reading) { r.Configuration = "one-fann" }), Options{}, `did you mean "one-fan"?`},
		{"no configuration", with(func(r *Reading) { r.Configuration = "" }), Options{}, "names no configuration"},
		{"unknown workload", with(func(r *Reading) { r.Workload = "complie" }), Options{}, `did you mean "compile"?`},
		{"computed workload", with(func(r *Reading) { r.Workload = "energy" }), Options{}, "never read"},
		{"no session of several", with(func(r *Reading) { r.Session = "" }), Options{}, "the sessions are evening, later"},
		{"decimal comma", with(func(r *Reading) { r.Value = "41,500" }), Options{}, "write 41500 if the comma stands between thousands"},
		{"words", with(func(r *Reading) { r.Value = "fast" }), Options{}, `"fast" is not a number`},
		{"no value", with(func(r *Reading) { r.Value = "" }), Options{}, "has no value"},
		{"unknown unit", with(func(r *Reading) { r.Value = "41.5 sx" }), Options{}, `there is no unit "sx"`},
		{"unit of another dimension", with(func(r *Reading) { r.Value = "41.5 K" }), Options{}, "cannot be converted into s"},
		{"unknown outcome", with(func(r *Reading) { r.Outcome = "hang" }), Options{}, `did you mean "hung"?`},
		{"exclusion without a reason", with(func(r *Reading) { r.Outcome = "excluded" }), Options{}, "without a reason"},
		{"duplicate", with(func(r *Reading) { r.Repeat = 1 }), Options{}, "duplicate-reading"},
		{"line break in a note", with(func(r *Reading) { r.Note = "a\nb" }), Options{}, "line break"},
		{"slip of the decimal point", with(func(r *Reading) { r.Value = "4.15" }), Options{}, "expected 37.2 to 45.4"},
		{"slip, remedy", with(func(r *Reading) { r.Value = "4.15" }), Options{}, "write 41.5 if the decimal point is out of place"},
		{"the number in another unit", with(func(r *Reading) { r.Value = "41.5 min" }), Options{}, "41.5\u00a0min, which is 2490\u00a0s, looks like a number in s → write \"41.5 s\" if it was read in s, or"},
		{"the number in another unit, which has its own place", with(func(r *Reading) { r.Value, r.Unit = "41.5", "min" }), Options{}, "→ give it the unit s if it was read in that, or"},
		{"slip in another unit", with(func(r *Reading) { r.Value = "6.9 min" }), Options{}, "→ write \"0.69 min\" if the decimal point is out of place"},
		{"slip in another unit, which has its own place", with(func(r *Reading) { r.Value, r.Unit = "6.9", "min" }), Options{}, "→ write 0.69 if the decimal point is out of place"},
		{"slip to a large number", with(func(r *Reading) { r.Value = "415 ms" }), Options{}, `→ write "41500 ms" if`},
		{"no number, by hand", with(func(r *Reading) { r.Value = "n/a" }), Options{}, "→ leave the value out and give the outcome of a run that failed: did-not-start, hung"},
		{"far off", with(func(r *Reading) { r.Value = "61" }), Options{}, "61 lies outside"},
		{"below the least", with(func(r *Reading) { r.Value = "-41" }), Options{EvenSo: true}, `impossible-reading .: -41 for "compile" on "one-fan" is below 0`},
		{"zero on a ratio scale", with(func(r *Reading) { r.Value = "0" }), Options{EvenSo: true}, "above 0 → check the number and its unit"},
		{"zero in another unit", with(func(r *Reading) { r.Value = "0.0 min" }), Options{EvenSo: true}, "0.0\u00a0min for \"compile\" on \"one-fan\" is zero"},
		{"negative on a ratio scale", with(func(r *Reading) { r.Workload, r.Value = "clip", "-14400" }), Options{EvenSo: true}, "is negative, which a reading on a ratio scale cannot be"},
		{"file out of the folder", good, Options{File: "../evening.csv"}, "not the name of a result file"},
		{"file of another kind", good, Options{File: "results/evening.txt"}, "not the name of a result file"},
		{"file of another shape", with(func(r *Reading) { r.Workload, r.Value = "clip", "14400" }), Options{File: "later.csv"}, `no column for workload "clip"`},
		{"note without a column", with(func(r *Reading) { r.Note = "open" }), Options{File: "later.csv"}, `no column "note"`},
		{"further column missing", with(func(r *Reading) { r.Workload, r.Value, r.Session = "pages", "2.5", "later" }), Options{}, "page-count"},
		{"missing frame column", with(func(r *Reading) { r.Also = map[string]string{"frams": "1"} }), Options{File: "evening.csv"}, `no column "frams"`},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, root := base(t, nil)
			a, bad := Prepare(root.FS(), []Reading{c.r}, c.o)
			if a != nil || !strings.Contains(messages(bad), c.want) {
				t.Errorf("got %v and\n%swant %q", a, messages(bad), c.want)
			}
		})
	}
}

func TestEveryFaultAtOnce(t *testing.T) {
	dir, root := base(t, nil)
	before := text(t, dir, "results/evening.csv")
	_, bad := Prepare(root.FS(), []Reading{
		{Configuration: "nobody", Workload: "compile", Session: "evening", Value: "41"},
		{Configuration: "one-fan", Workload: "compile", Session: "evening", Value: "41"},
		{Configuration: "one-fan", Workload: "compile", Session: "evening", Value: "fast", Outcome: "broken"},
	}, Options{})
	if len(bad) != 3 {
		t.Errorf("%d findings, want 3:\n%s", len(bad), messages(bad))
	}
	if text(t, dir, "results/evening.csv") != before {
		t.Error("something was written")
	}
}

func TestFolderWithErrorsIsRefused(t *testing.T) {
	_, root := base(t, map[string]string{"configurations/two-fans.yaml": "label: Two fans\nset: {fanss: 2}\n"})
	_, bad := Prepare(root.FS(), []Reading{{Configuration: "one-fan", Workload: "compile", Session: "evening", Value: "41"}}, Options{})
	if len(bad) != 1 || bad[0].File != "configurations/two-fans.yaml" || bad[0].Excerpt == "" {
		t.Errorf("got %s", messages(bad))
	}
}

// TestWideRows: a wide row says only what was meant, and what it cannot say
// goes to a file with a row for each reading.
func TestWideRows(t *testing.T) {
	r := func(workload, value, outcome string) Reading {
		return Reading{Configuration: "two-fans", Workload: workload, Session: "later", Value: value, Outcome: outcome}
	}
	for _, c := range []struct {
		name     string
		readings []Reading
		files    []string
		rows     string // appended to later.csv
	}{
		{"one", []Reading{r("rise", "24.0", "")}, []string{"results/later.csv"}, "later,3,two-fans,1,ok,,,24.0\n"},
		{"a visit", []Reading{r("compile", "40.4", ""), r("rise", "24.0", "")}, []string{"results/later.csv"}, "later,3,two-fans,2,ok,,40.4,24.0\n"},
		{"one of them hung", []Reading{r("compile", "40.4", ""), r("rise", "", "hung")}, []string{"results/later.csv"}, "later,3,two-fans,2,hung,,40.4,\n"},
		{"all hung", []Reading{r("compile", "", "hung"), r("rise", "", "hung")}, []string{"results/later.csv"}, "later,3,two-fans,2,hung,,,\n"},
		{"one hung, nothing said of the other", []Reading{r("compile", "", "hung")}, []string{"results/later-2.csv"}, ""},
		{"one unstable with a value", []Reading{r("compile", "40.4", "unstable")}, []string{"results/later-2.csv"}, ""},
		{"ok and unstable, both with values", []Reading{r("compile", "40.4", "unstable"), r("rise", "24", "")}, []string{"results/later-2.csv"}, ""},
		{"a workload without a column", []Reading{r("clip", "14400", "")}, []string{"results/later-2.csv"}, ""},
		{"another unit", []Reading{r("compile", "0.67 min", "")}, []string{"results/later-2.csv"}, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			// rise has no repeat 2 where it is read as repeat 1 anew
			changes := map[string]string{}
			if c.name == "one" {
				changes["results/later.csv"] = "session,order,configuration,repeat,outcome,reason,compile [s],rise [K]\nlater,1,one-fan,1,ok,,41.3,31.0\nlater,2,two-fans,1,ok,,40.3,\nlater,3,two-fans,2,ok,,40.2,\n"
			}
			dir, root := base(t, changes)
			before := text(t, dir, "results/later.csv")
			a := prepared(t, root, c.readings, Options{})
			must(t, a.Write(root))
			if !slices.Equal(a.Files, c.files) {
				t.Errorf("written to %v, want %v", a.Files, c.files)
			}
			if c.name == "one" {
				c.rows = "later,4,two-fans,1,ok,,,24.0\n"
			}
			if got := strings.TrimPrefix(text(t, dir, "results/later.csv"), before); got != c.rows {
				t.Errorf("appended %q, want %q", got, c.rows)
			}
			for i, r := range a.Added {
				wanted(t, loaded(t, root.FS()), r, c.readings[i])
			}
		})
	}
}

// wanted finds a reading in a loaded folder and holds it against what was given.
func wanted(t *testing.T, p *project.Project, added, given Reading) {
	t.Helper()
	k := keyIn(p, added)
	for _, r := range p.Readings {
		if r.Derived || keyOf(&r) != k {
			continue
		}
		outcome := given.Outcome
		if outcome == "" {
			outcome = "ok"
		}
		value, _ := splitUnit(given.Value)
		if r.Outcome.String() != outcome || r.HasValue != (value != "") || r.HasValue && fmt.Sprint(r.Raw) != plain(t, value) {
			t.Errorf("%v was given, %v %v is read", given, r.Outcome, r.Raw)
		}
		return
	}
	t.Errorf("%v is not read", given)
}

func plain(t *testing.T, value string) string {
	v, _, ok := schema.ParseNumber(value, schema.Dialect{})
	if !ok {
		t.Fatalf("%q", value)
	}
	return fmt.Sprint(v)
}

func TestFurtherColumns(t *testing.T) {
	_, root := base(t, nil)
	r := Reading{Configuration: "one-fan", Workload: "pages", Session: "later", Value: "2.5", Also: map[string]string{"page-count": "100"}}
	a := prepared(t, root, []Reading{r}, Options{})
	must(t, a.Write(root))
	p := loaded(t, root.FS())
	if x := values(p, p.Configuration("one-fan").Index, p.Workload("pages").Index); len(x) != 1 || x[0] != 40 {
		t.Errorf("read as %v in %v, want 40 pages per second", x, a.Files)
	}
}

func TestChangedInTheMeantime(t *testing.T) {
	dir, root := base(t, nil)
	r := []Reading{{Configuration: "one-fan", Workload: "compile", Session: "evening", Value: "41.5"}}
	a, b := prepared(t, root, r, Options{}), prepared(t, root, r, Options{})
	must(t, a.Write(root))
	after := text(t, dir, "results/evening.csv")
	if err := b.Write(root); err == nil || !strings.Contains(err.Error(), "changed in the meantime") {
		t.Errorf("the second addition: %v", err)
	}
	if text(t, dir, "results/evening.csv") != after {
		t.Error("the refused addition wrote something")
	}
}

func TestUndo(t *testing.T) {
	dir, root := base(t, nil)
	before := snapshot(t, dir)
	first := prepared(t, root, []Reading{{Configuration: "one-fan", Workload: "compile", Session: "evening", Value: "41.5"}}, Options{})
	must(t, first.Write(root))
	second := prepared(t, root, []Reading{{Configuration: "one-fan", Workload: "clip", Session: "later", Value: "14400"}}, Options{})
	must(t, second.Write(root))
	if err := first.Undo(root); err == nil {
		t.Error("the first was taken back under the second")
	}
	must(t, second.Undo(root))
	must(t, first.Undo(root))
	if after := snapshot(t, dir); after != before {
		t.Errorf("after undo:\n%s\nbefore:\n%s", after, before)
	}
}

// snapshot is every file of a folder with its bytes.
func snapshot(t testing.TB, dir string) string {
	t.Helper()
	var b strings.Builder
	must(t, filepath.WalkDir(dir, func(p string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := os.ReadFile(p)
		fmt.Fprintf(&b, "== %s\n%s", strings.TrimPrefix(p, dir), data)
		return err
	}))
	return b.String()
}

// TestRoundTrip is the property that matters: what is recorded into a file of
// any style is read back as it was given, and every byte that stood there
// stands there still.
func TestRoundTrip(t *testing.T) {
	random := rand.New(rand.NewPCG(6, 1))
	for n := range 150 {
		s := randomStyle(random)
		dir, root := base(t, map[string]string{"results/evening.csv": s.file, "results/later.csv": "", "report.yaml": s.report(t)})
		var given []Reading
		for range 1 + random.IntN(6) {
			given = append(given, randomReading(random))
		}
		a, bad := Prepare(root.FS(), given, Options{EvenSo: true})
		if len(bad) > 0 {
			t.Fatalf("%d: %q refuses %v:\n%s", n, s.file, given, messages(bad))
		}
		must(t, a.Write(root))
		p := loaded(t, root.FS())
		for i, r := range a.Added {
			wanted(t, p, r, given[i])
			if t.Failed() {
				t.Fatalf("%d: %v in\n%s", n, r, text(t, dir, a.Rows[i].File))
			}
		}
		after := text(t, dir, "results/evening.csv")
		if !strings.HasPrefix(after, s.file) {
			t.Fatalf("%d: what stood there changed:\n%q\n%q", n, s.file, after)
		}
		added := after[len(s.file):]
		if s.end == "\r\n" && strings.Count(added, "\n") != strings.Count(added, "\r\n") || s.end == "\n" && strings.Contains(added, "\r") {
			t.Fatalf("%d: other line ends: %q", n, added)
		}
		if added != "" && !strings.HasSuffix(after, s.end) {
			t.Fatalf("%d: the last line has no end: %q", n, added)
		}
	}
}

type fileStyle struct {
	file, end          string
	separator, decimal string
	declared           bool
}

func (s fileStyle) report(t *testing.T) string {
	a, err := txtar.ParseFile("testdata/base.txtar")
	must(t, err)
	report := string(a.Files[0].Data)
	if s.declared {
		report += "csv: {separator: " + strconv.Quote(strings.ReplaceAll(s.separator, "\t", "tab")) + ", decimal: " + strconv.Quote(s.decimal) + "}\n"
	}
	return report
}

func randomStyle(random *rand.Rand) fileStyle {
	pick := func(of ...string) string { return of[random.IntN(len(of))] }
	s := fileStyle{end: pick("\n", "\r\n"), separator: pick(",", ";", "\t"), decimal: pick(".", ",")}
	if s.separator == "," {
		s.decimal = "."
	}
	s.declared = random.IntN(2) == 0
	columns := []string{"session", "configuration", "workload", "value", "outcome", "reason", "note", "repeat", "order", "unit"}
	rows := [][]string{{"evening", "one-fan", "compile", "41" + s.decimal + "25", "ok", "", "cold", "1", "1", "s"}, {"evening", "two-fans", "compile", "40" + s.decimal + "25", "ok", "", "", "1", "2", "s"}}
	if random.IntN(2) == 0 { // wide
		columns = []string{"session", "configuration", "compile [s]", "rise", "outcome", "reason", "note", "repeat", "order"}
		rows = [][]string{{"evening", "one-fan", "41" + s.decimal + "25", "31" + s.decimal + "5", "ok", "", "", "1", "1"}, {"evening", "two-fans", "40" + s.decimal + "25", "", "", "", "", "1", "2"}}
	}
	order := random.Perm(len(columns))
	quoted := pick("no", "all", "text")
	var b bytes.Buffer
	if random.IntN(4) == 0 {
		b.WriteString("\xef\xbb\xbf")
	}
	for n, row := range append([][]string{columns}, rows...) {
		for k, i := range order {
			if k > 0 {
				b.WriteString(s.separator)
			}
			_, err := strconv.ParseFloat(strings.Replace(row[i], ",", ".", 1), 64)
			if quoted == "all" || quoted == "text" && err != nil {
				b.WriteString(`"` + row[i] + `"`)
			} else {
				b.WriteString(row[i])
			}
		}
		if n < len(rows) || random.IntN(3) > 0 {
			b.WriteString(s.end)
		}
	}
	s.file = b.String()
	return s
}

func randomReading(random *rand.Rand) Reading {
	pick := func(of ...string) string { return of[random.IntN(len(of))] }
	r := Reading{Configuration: pick("one-fan", "two-fans", "large-fan"), Workload: pick("compile", "compile", "rise", "clip"), Session: pick("evening", "evening", "later")}
	r.Value = strconv.FormatFloat(random.Float64()*100+1, 'f', 1+random.IntN(2), 64)
	if random.IntN(6) == 0 {
		r.Value = pick("1e2", "12", "0.50", "100.00", "7")
	}
	if r.Workload == "compile" && random.IntN(5) == 0 {
		r.Value += " min"
	}
	switch random.IntN(8) {
	case 0:
		r.Value, r.Outcome = "", pick("hung", "crashed", "did-not-start")
		r.Reason = pick("", "at 60 %")
	case 1:
		r.Outcome, r.Reason = "excluded", "the door, \"open\""
	case 2:
		r.Outcome = "unstable"
	case 3:
		r.Note = pick("a; b, c\td", "plain", `"quoted"`)
		r.Note = strings.ReplaceAll(r.Note, "\t", " ")
	}
	return r
}

func TestLack(t *testing.T) {
	_, root := base(t, nil)
	p := loaded(t, root.FS())
	var got []string
	for _, l := range Lack(p, design.NewSpace(p)) {
		got = append(got, fmt.Sprintf("%s %s %d/%d", p.Configurations[l.Configuration].ID, p.Workloads[l.Workload].ID, l.Have, l.Want))
	}
	// compile on one-fan has three readings; energy is computed from it.
	want := []string{"one-fan clip 1/3", "one-fan pages 0/3", "one-fan rise 2/3",
		"two-fans compile 2/3", "two-fans clip 0/3", "two-fans pages 0/3", "two-fans rise 1/3",
		"large-fan compile 0/3", "large-fan clip 0/3", "large-fan pages 0/3", "large-fan rise 0/3"}
	if !slices.Equal(got, want) {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

func TestExpect(t *testing.T) {
	_, root := base(t, nil)
	p := loaded(t, root.FS())
	e := func(configuration, workload string) Expectation {
		return Expect(p, p.Configuration(configuration).Index, p.Workload(workload).Index)
	}
	for _, c := range []struct {
		configuration, workload, want, asked string
	}{
		// 41.2, 41.9 and 41.3 on one-fan: a tenth either way of 41.3.
		{"one-fan", "compile", "37.2 to 45.4 s", "37.2 to 45.4 s"},
		// large-fan was never run; one-fan is nearest: half to twice.
		{"large-fan", "compile", "21 to 83 s", "21 to 83 s"},
		// 7200 frames at 100 ticks/s over 14400 ticks is 50 fps.
		{"one-fan", "clip", "45 to 55 fps", "13100 to 16000 ticks (45 to 55 fps)"},
		// An interval scale is widened by differences: the configurations lie 7 K apart.
		{"large-fan", "rise", "16 to 47 K", "16 to 47 K"},
	} {
		x := e(c.configuration, c.workload)
		w := p.Workload(c.workload)
		if got := strings.ReplaceAll(x.Range(w), "\u00a0", " "); got != c.want {
			t.Errorf("%s %s: expected %s, want %s", c.configuration, c.workload, got, c.want)
		}
		if got := strings.ReplaceAll(x.Asked(p, w.Index), "\u00a0", " "); got != c.asked {
			t.Errorf("%s %s: asked as %s, want %s", c.configuration, c.workload, got, c.asked)
		}
	}
	if x := e("large-fan", "pages"); x.Known {
		t.Errorf("something is expected of a workload without readings: %v", x)
	}
	for value, slip := range map[float64]float64{4.13: 10, 413: 0.1, 0.413: 100, 60: 0, 4130: 0.01} {
		if d, ok := Judge(e("one-fan", "compile"), value); ok || d.Slip != slip {
			t.Errorf("%v: ok %v, slip %v, want %v", value, ok, d.Slip, slip)
		}
	}
	if _, ok := Judge(e("one-fan", "compile"), 43); !ok {
		t.Error("43 is doubted")
	}
}

// TestDoubtsWithinOneAddition: repeats given at once are held against each
// other where the folder has nothing to judge by.
func TestDoubtsWithinOneAddition(t *testing.T) {
	_, root := base(t, nil)
	var readings []Reading
	for _, v := range []string{"2.50", "2.55", "25.2", "2.52"} {
		readings = append(readings, Reading{Configuration: "one-fan", Workload: "pages", Session: "later", Value: v, Also: map[string]string{"page-count": "100"}})
	}
	a := prepared(t, root, readings, Options{EvenSo: true})
	if len(a.Doubts) != 1 || a.Doubts[0].Index != 2 || a.Doubts[0].Slip != 10 {
		t.Errorf("doubts: %+v", a.Doubts)
	}
}

// TestRemediesCanBeFollowed: what a refusal says to write is taken.
func TestRemediesCanBeFollowed(t *testing.T) {
	_, root := base(t, nil)
	toWrite := regexp.MustCompile(`write "?([^"]*?)"? if `)
	for _, value := range []string{"4.15", "415", "41.5 min", "6.9 min", "415 ms", "4.15e1 min"} {
		r := Reading{Configuration: "one-fan", Workload: "compile", Session: "evening", Value: value}
		_, bad := Prepare(root.FS(), []Reading{r}, Options{})
		m := toWrite.FindStringSubmatch(messages(bad))
		if m == nil {
			t.Errorf("%s: nothing to write in %s", value, messages(bad))
			continue
		}
		r.Value = m[1]
		if _, bad := Prepare(root.FS(), []Reading{r}, Options{}); len(bad) > 0 {
			t.Errorf("%s: written as %s: %s", value, m[1], messages(bad))
		}
	}
}

// TestQuotesAreKept: a column whose cells stand in quotes goes on so, and one
// whose cells do not goes on without.
func TestQuotesAreKept(t *testing.T) {
	r := []Reading{{Configuration: "two-fans", Workload: "compile", Session: "evening", Value: "41.5"}}
	for _, c := range []struct{ file, want string }{
		{"\"session\",\"configuration\",\"workload\",\"value\"\n\"evening\",\"one-fan\",\"compile\",\"41.2\"\n", "\"evening\",\"two-fans\",\"compile\",\"41.5\"\n"},
		{"\"session\",\"configuration\",\"workload\",\"value\"\n\"evening\",\"one-fan\",\"compile\",41.2\n", "\"evening\",\"two-fans\",\"compile\",41.5\n"},
		{"session,configuration,workload,value\nevening,one-fan,compile,41.2\nevening,\"one-fan\",rise,3\n", "evening,two-fans,compile,41.5\n"},
	} {
		dir, root := base(t, map[string]string{"results/evening.csv": c.file})
		must(t, prepared(t, root, r, Options{}).Write(root))
		if got := strings.TrimPrefix(text(t, dir, "results/evening.csv"), c.file); got != c.want {
			t.Errorf("appended %q, want %q", got, c.want)
		}
	}
}

// TestNothingElseIsRenumbered: rows without repeat and order are numbered by
// where they stand, so that a row in an earlier file would move the later ones.
func TestNothingElseIsRenumbered(t *testing.T) {
	head := "session,configuration,workload,value\n"
	_, root := base(t, map[string]string{
		"results/evening.csv": head + "evening,one-fan,compile,41.2\n",
		"results/later.csv":   head + "evening,one-fan,compile,41.4\nevening,two-fans,compile,40.1\n",
	})
	r := []Reading{{Configuration: "one-fan", Workload: "compile", Session: "evening", Value: "41.5"}}
	if a, bad := Prepare(root.FS(), r, Options{File: "evening.csv"}); a != nil || !strings.Contains(messages(bad), "results/later.csv:2:") || !strings.Contains(messages(bad), "another repeat or place") {
		t.Errorf("got %s", messages(bad))
	}
	if a := prepared(t, root, r, Options{}); a.Files[0] != "results/later.csv" || a.Added[0].Repeat != 3 {
		t.Errorf("without a file: %v, repeat %d", a.Files, a.Added[0].Repeat)
	}
	// A repeat that the file cannot hold is not written as another one.
	r[0].Repeat = 9
	if a, bad := Prepare(root.FS(), r, Options{File: "later.csv"}); a != nil || !strings.Contains(messages(bad), `results/later.csv has no column "repeat" for "9"`) {
		t.Errorf("got %s", messages(bad))
	}
	if a := prepared(t, root, r, Options{}); a.Files[0] != "results/evening-2.csv" || a.Added[0].Repeat != 9 {
		t.Errorf("repeat 9: %v, repeat %d", a.Files, a.Added[0].Repeat)
	}
}
