package project

import (
	"fmt"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"benchwright/schema"
)

func ExampleLoad() {
	folder, _ := schema.Read(os.DirFS("../sample-project"))
	p, findings := Load(folder)
	fmt.Println(len(findings), "findings,", len(p.Configurations) > 10, p.Workload("no-such-thing") == nil)
	// Output: 0 findings, true true
}

func TestFirstHeading(t *testing.T) {
	for text, want := range map[string]string{
		"# A day at the bench\n\ntext":        "A day at the bench",
		"text\n\n# Later #\n":                 "Later",
		"```\n# a comment\n```\n# Heading":    "Heading",
		"~~~ sh\n# a comment\n~~~\n":          "",
		"## Second\n":                         "",
		"#hash\n":                             "",
		"    # code\n# Heading\r\n":           "Heading",
		"":                                    "",
		"# C# on the bench\n":                 "C# on the bench",
		"# The drive\u00a0cage  \n# Second\n": "The drive\u00a0cage",
	} {
		if got := firstHeading(text); got != want {
			t.Errorf("%q: %q, not %q", text, got, want)
		}
	}
}

func TestFiles(t *testing.T) {
	folder := base(t)
	folder["notes/untitled.md"] = &fstest.MapFile{Data: []byte("Nothing.\n")}
	folder["theme/page.css"] = &fstest.MapFile{Data: []byte("p {}\n")}
	p, findings := load(folder)
	if len(findings) > 0 {
		t.Fatal(printed(findings))
	}
	if len(p.Notes) != 2 || p.Notes[0].ID != "log" || p.Notes[0].Title != "What happened" || p.Notes[1].Title != "untitled" {
		t.Errorf("notes: %+v", p.Notes)
	}
	if !slices.Equal(p.Media, []string{"media/bench.svg"}) || !slices.Equal(p.Theme, []string{"theme/page.css"}) {
		t.Errorf("media %v, theme %v", p.Media, p.Theme)
	}
	if len(p.BenchPictures) != 1 || len(p.Configuration("dual-cool").Pictures) != 1 || p.BenchPictures[0].Text != "The bench from above" {
		t.Errorf("pictures: %+v", p.BenchPictures)
	}
}

// The rest of report.yaml, and what goes without saying.
func TestReport(t *testing.T) {
	p, _ := load(base(t))
	if p.Confidence != 0.95 || p.MinimumRepeats != 3 || p.LargestSpread != 0.05 || p.Centre != Mean || p.Language != "en-GB" || p.Date != "2026-03-01" {
		t.Errorf("defaults: %+v", p)
	}
	if c := p.Configurations[p.Baseline]; c.ID != "single" || p.Places["report.baseline"].Line != 5 || p.Places["bench.common.bus"].Line != 53 {
		t.Errorf("baseline %s, places %v", c.ID, p.Places)
	}
	if len(p.Authors) != 1 || p.Authors[0].Name != "The bench" {
		t.Errorf("authors: %v", p.Authors)
	}
	q := p.Question("second-channel")
	if q == nil || p.Factors[q.Factor].ID != "channels" || q.From.Number != 1 || q.To.Number != 2 || len(q.Where) != 1 || q.Where[0].Value.Number != 15 || q.Workloads != nil {
		t.Errorf("question: %+v", q)
	}
	if c := p.Composites; len(c) != 1 || c[0].ID != "work" || !slices.Equal(c[0].Weights, []float64{2, 1}) {
		t.Errorf("composites: %+v", c[0])
	}
	if c := p.Checks; len(c) != 1 || c[0].Rule != "few-repeats" || !c[0].HasSeverity || c[0].Severity != schema.Notice || !slices.Equal(c[0].At, []string{"dual"}) {
		t.Errorf("checks: %+v", c)
	}
	if c := p.Corrections; len(c) != 1 || c[0].Was != 52 || c[0].Now != 50 || c[0].Session != -1 || c[0].Repeat != 1 {
		t.Errorf("corrections: %+v", c)
	}
	p, findings := loadEdited(t, map[string]string{"edit report.yaml": "- baseline: single\n+ baseline: dual\n+ confidence: 0.9\n+ largest-spread: 3 %\n+ centre: median\n+ minimum-repeats: 5\n" +
		"- composites:\n-   - id: work\n-     label: Work\n-     workloads: [transcode, archive]\n-     weights: {transcode: 2}\n"})
	if len(findings) > 0 || p.Confidence != 0.9 || p.LargestSpread != 0.03 || p.Centre != Median || p.MinimumRepeats != 5 || p.Configurations[p.Baseline].ID != "dual" {
		t.Errorf("%+v\n%s", p, printed(findings))
	}
	var names []string
	for _, w := range p.Composites[0].Workloads {
		names = append(names, p.Workloads[w].ID)
	}
	// Not the derived energy, nor the rise, which is on an interval scale.
	if got := strings.Join(names, " "); got != "transcode archive draw power game game-slow" || p.Workloads[0].Centre != Median {
		t.Errorf("the composite that goes without saying: %s", got)
	}
}

// A reading may be corrected again, and back: each correction takes up the value
// that the one before led to, and the result file has the last.
func TestCorrectionsOfOneReadingFollowEachOther(t *testing.T) {
	correction := func(was, now, date string) string {
		return "+   - {configuration: single, workload: archive, session: monday, repeat: 1, was: " + was + ", now: " + now + ", date: " + date + ", reason: A slip.}\n"
	}
	const first = "-     reason: a slip of the pen\n-     date: 2026-02-20\n+     reason: a slip of the pen\n+     date: 2026-02-20\n"
	for name, c := range map[string]struct {
		more, value string
		want        string // of the findings
		last        float64
	}{
		"twice":               {correction("50", "51", "2026-02-25"), "51", "", 51},
		"twice on one day":    {correction("50", "51", "2026-02-20") + correction("51", "53", "2026-02-20"), "53", "", 53},
		"in order of date":    {correction("51", "53", "2026-02-26") + correction("50", "51", "2026-02-25"), "53", "", 53},
		"and back":            {correction("50", "52", "2026-02-25"), "52", "", 52},
		"the last not made":   {correction("50", "51", "2026-02-25"), "50", "the result file still has the value from before the correction", 51},
		"with a link missing": {correction("51", "53", "2026-02-25"), "53", "no reading has the corrected value", 53},
	} {
		p, findings := loadEdited(t, map[string]string{"edit report.yaml": first + c.more, "edit results/long.csv": "- single,archive,50,monday,1,2,,,\n+ single,archive," + c.value + ",monday,1,2,,,\n"})
		if text := printed(findings); c.want == "" && len(findings) > 0 || !strings.Contains(text, c.want) {
			t.Errorf("%s: %s", name, text)
		}
		if p == nil || p.Corrections[len(p.Corrections)-1].Now != c.last {
			t.Errorf("%s: the last correction is %+v", name, p.Corrections)
		}
	}
}

// report.yaml says in which order the configurations stand; the rest follows in
// the order of the files, and nothing else moves.
func TestConfigurationOrder(t *testing.T) {
	before, _ := load(base(t))
	all := before.configurationIDs()
	last := all[len(all)-1]
	p, findings := loadEdited(t, map[string]string{"edit report.yaml": "- baseline: single\n+ baseline: single\n+ configuration-order: [" + last + "]\n"})
	if want := append([]string{last}, all[:len(all)-1]...); len(findings) > 0 || !slices.Equal(p.configurationIDs(), want) {
		t.Fatalf("%v, not %v\n%s", p.configurationIDs(), want, printed(findings))
	}
	for i, c := range p.Configurations {
		old := before.Configuration(c.ID)
		if c.Index != i || p.Configuration(c.ID) != c || c.BasedOn != old.BasedOn || c.Place != old.Place || !reflect.DeepEqual(c.Values, old.Values) {
			t.Errorf("%s is not what it was: %+v", c.ID, c)
		}
		for w := range p.Workloads {
			if got, want := len(p.ReadingsOf(i, w)), len(before.ReadingsOf(old.Index, w)); got != want {
				t.Errorf("%s has %d readings, not %d", c.ID, got, want)
			}
		}
	}
	if p.Configurations[p.Baseline].ID != "single" {
		t.Errorf("the baseline is %q", p.Configurations[p.Baseline].ID)
	}
	p, findings = loadEdited(t, map[string]string{"edit report.yaml": "- baseline: single\n+ baseline: single\n+ configuration-order: [dual, singel, dual]\n"})
	if got := printed(findings); !strings.Contains(got, `report.yaml:6:29: error: there is no configuration "singel"`) || !strings.Contains(got, `did you mean "single"?`) ||
		len(p.Configurations) != len(all) || p.Configurations[0].ID != "dual" {
		t.Error(p.configurationIDs(), got)
	}
}

// What only follows from a file that cannot be read is not said beside it.
func TestUnreadFileIsOneFinding(t *testing.T) {
	for _, file := range []string{"bench.yaml", "workloads.yaml", "sessions.yaml", "configurations/CONFIGURATION"} {
		folder := base(t)
		if strings.HasSuffix(file, "CONFIGURATION") {
			for path := range folder {
				if strings.HasPrefix(path, "configurations/") {
					file = path
				}
			}
		}
		folder[file] = &fstest.MapFile{Data: append([]byte("# first\n\t"), folder[file].Data...)}
		read, of := schema.Read(folder)
		_, findings := Load(read)
		if len(of) != 1 || of[0].Rule != "tab" || len(findings) > 0 {
			t.Errorf("a tab in %s:\n%s%s", file, printed(of), printed(findings))
		}
	}
}

// Without what a report is made of there is no project, but still every finding.
func TestNoProject(t *testing.T) {
	for _, missing := range []string{"report.yaml", "bench.yaml", "workloads.yaml"} {
		folder := base(t)
		delete(folder, missing)
		folder["sessions.yaml"].Data = []byte("sessions:\n  monday: {date: 2026-02-23, instruments: [gauge]}\n")
		p, findings := load(folder)
		if p != nil || !strings.Contains(printed(findings), `there is no instrument "gauge"`) {
			t.Errorf("without %s: %v\n%s", missing, p != nil, printed(findings))
		}
	}
	if p, _ := Load(&schema.Folder{FS: fstest.MapFS{}}); p != nil {
		t.Error("a project of nothing")
	}
}

// Index makes a project by hand usable.
func TestIndex(t *testing.T) {
	p := &Project{Workloads: []*Workload{{ID: "w"}, {ID: "v", Index: 1}}, Configurations: []*Configuration{{ID: "c"}},
		Readings: []Reading{{Workload: 1, Repeat: 1}, {Workload: 0, Repeat: 1}, {Workload: 1, Repeat: 2}}}
	p.Index()
	if !slices.Equal(p.ReadingsOf(0, 1), []int{0, 2}) || p.Workload("v") != p.Workloads[1] || p.Configuration("c") == nil || p.Configuration("d") != nil {
		t.Errorf("%v", p.ReadingsOf(0, 1))
	}
	if _, ok := p.Unit("ms"); !ok {
		t.Error("no units")
	}
}
