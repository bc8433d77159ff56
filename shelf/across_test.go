package shelf

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"benchwright/report"
)

// made is a shelf of two small reports; each may change a file of its own.
func made(files map[string]string) fstest.MapFS {
	m := fstest.MapFS{"shelf.yaml": {Data: []byte("title: Two\nauthor: A\nlicence: CC0-1.0\n")}}
	for i, name := range []string{"a", "b"} {
		put := func(file, text string) { m[name+"/"+file] = &fstest.MapFile{Data: []byte(text)} }
		put("report.yaml", fmt.Sprintf("title: Report %s\nauthor: A\ndate: 2031-01-0%d\nlicence: CC0-1.0\nbaseline: plain\nquestions:\n  - {id: q, ask: What x is worth, factor: x, from: 1, to: 2}\n", name, i+5))
		put("bench.yaml", "bench: {label: Bench}\nfactors:\n  x: {label: X, role: studied, levels: [1, 2]}\n")
		put("workloads.yaml", "workloads:\n  speed: {label: Speed, metric: rate, unit: MB/s, better: higher}\n")
		put("configurations/all.yaml", "configurations:\n  plain: {label: Plain, set: {x: 1}}\n  other: {label: Other, set: {x: 2}}\n")
		put("sessions.yaml", "sessions:\n  day: {date: 2031-01-04}\n")
	}
	m["a/results/r.csv"] = &fstest.MapFile{Data: []byte("configuration,session,speed\nplain,day,99\nplain,day,100\nplain,day,101\n")}
	m["b/results/r.csv"] = &fstest.MapFile{Data: []byte("configuration,session,speed\nplain,day,198\nplain,day,200\nplain,day,202\n")}
	for name, text := range files {
		m[name] = &fstest.MapFile{Data: []byte(text)}
	}
	return m
}

func across(t *testing.T, m fstest.MapFS) *report.Shelf {
	t.Helper()
	s := Open(m)
	if s.Unusable() {
		t.Fatal(printed(s))
	}
	var folders []string
	var reports []*report.Report
	for _, r := range s.Reports {
		folders = append(folders, r.Folder)
		reports = append(reports, r.Report(report.Options{}))
	}
	return report.NewShelf(s.Shelf, folders, reports)
}

// Three readings on either side with the same relative spread: by hand, the
// ratio is 2, the degrees of freedom 4 (Satterthwaite, equal variances of 2
// each), t = 2.776 (NIST/SEMATECH e-Handbook 1.3.6.7.2, 0.975 and 4), and
// Fieller's limits are R/(1−g)·(1 ± t·√(2q − gq)) with q = (1/√3/100)² and
// g = t²q: 1.9552 and 2.0459.
func TestAStandingByHand(t *testing.T) {
	s := across(t, made(nil))
	if len(s.Pairs) != 1 || len(s.Pairs[0].Standings) != 1 {
		t.Fatalf("%+v", s.Pairs)
	}
	f := s.Pairs[0].Standings[0].Ratio
	if math.Abs(f.Value-2) > 1e-12 || math.Abs(f.Low-1.9552) > 5e-5 || math.Abs(f.High-2.0459) > 5e-5 {
		t.Errorf("%v (%v to %v)", f.Value, f.Low, f.High)
	}
	if f.Text != "2.00\u00a0×" || f.Range != "1.96 to 2.05\u00a0×" {
		t.Errorf("%q (%q)", f.Text, f.Range)
	}
	if f.Verdict != report.NoVerdict || f.HasP {
		t.Error("something is claimed of two benches")
	}
	lower := strings.Replace(string(made(nil)["a/workloads.yaml"].Data), "higher", "lower", 1)
	f = across(t, made(map[string]string{"a/workloads.yaml": lower, "b/workloads.yaml": lower})).Pairs[0].Standings[0].Ratio
	if math.Abs(f.Value-0.5) > 1e-12 || f.Text != "0.500\u00a0×" {
		t.Errorf("where lower is better: %v, %q", f.Value, f.Text)
	}
}

// One reading gives no interval, a failure no ratio, an interval scale neither.
func TestAStandingThatCannotBe(t *testing.T) {
	f := across(t, made(map[string]string{"b/results/r.csv": "configuration,session,speed\nplain,day,150\n"})).Pairs[0].Standings[0].Ratio
	if f.State != report.SpreadUnknown || f.Range != "" || f.Text != "1.5\u00a0×" || f.Remark == "" {
		t.Errorf("one reading: %+v", f)
	}
	st := across(t, made(map[string]string{"b/results/r.csv": "configuration,session,speed,outcome\nplain,day,,hung\n"})).Pairs[0].Standings[0]
	if st.B.State != report.Failed || st.Ratio.HasValue() {
		t.Errorf("a failure: %+v", st)
	}
	heat := "workloads:\n  speed: {label: Heat, metric: rise, unit: K, better: lower, scale: interval}\n"
	st = across(t, made(map[string]string{"a/workloads.yaml": heat, "b/workloads.yaml": heat})).Pairs[0].Standings[0]
	if st.Ratio.HasValue() || st.A.Text == "" {
		t.Errorf("an interval scale: %+v", st)
	}
}

// What is not matched between two baselines, factor by factor.
func TestUnmatched(t *testing.T) {
	bench := func(label, factors, common string) string {
		return "bench: {label: " + label + "}\nfactors:\n  x: {label: X, role: studied, levels: [1, 2]}\n" + factors + "common: {" + common + "}\n"
	}
	for _, c := range []struct{ name, a, b, want string }{
		{"nothing is known to differ", bench("Bench", "", ""), bench("Bench", "", ""), ""},
		{"another bench", bench("Bench", "", ""), bench("Desk", "", ""), "independent Bench: Bench | Desk"},
		{"the same clock in another unit", bench("Bench", "  clock: {label: Clock, role: held, unit: MHz}\n", "clock: 4800 MHz"), bench("Bench", "  clock: {label: Clock, role: held, unit: GHz}\n", "clock: 4.8 GHz"), ""},
		{"another clock", bench("Bench", "  clock: {label: Clock, role: held, unit: MHz}\n", "clock: 4800 MHz"), bench("Bench", "  clock: {label: Clock, role: held, unit: GHz}\n", "clock: 5 GHz"), "independent Clock: 4800\u00a0MHz | 5\u00a0GHz"},
		{"another dimension", bench("Bench", "  clock: {label: Clock, role: held, unit: MHz}\n", "clock: 4800 MHz"), bench("Bench", "  clock: {label: Clock, role: held, unit: ns}\n", "clock: 2 ns"), "independent Clock: 4800\u00a0MHz | 2\u00a0ns"},
		{"the same label under another id", bench("Bench", "  cooler: {label: Cooler, role: held, kind: category}\n", "cooler: small"), bench("Bench", "  cooling: {label: cooler, role: held, kind: category}\n", "cooling: large"), "independent Cooler: small | large"},
		{"recorded on one side", bench("Bench", "  room: {label: Room, role: nuisance, unit: °C, tolerance: 2}\n", "room: 21 °C"), bench("Bench", "", ""), "unknown Room: 21\u00a0°C | nothing said"},
		{"recorded on the other side", bench("Bench", "", ""), bench("Bench", "  room: {label: Room, role: nuisance, unit: °C, tolerance: 2}\n", "room: 21 °C"), "unknown Room: nothing said | 21\u00a0°C"},
		{"known to be unknown on both", bench("Bench", "  rev: {label: Revision, role: held, kind: category}\n", "rev: unknown"), bench("Bench", "  rev: {label: Revision, role: held, kind: category}\n", "rev: unknown"), "unknown Revision: nothing said | nothing said"},
		{"within the tolerance of both", bench("Bench", "  room: {label: Room, role: nuisance, unit: °C, tolerance: 2}\n", "room: 21 °C"), bench("Bench", "  room: {label: Room, role: nuisance, unit: °C, tolerance: 3}\n", "room: 22.5 °C"), ""},
		{"within the tolerance of one", bench("Bench", "  room: {label: Room, role: nuisance, unit: °C, tolerance: 1}\n", "room: 21 °C"), bench("Bench", "  room: {label: Room, role: nuisance, unit: °C, tolerance: 3}\n", "room: 22.5 °C"), "independent Room: 21\u00a0°C | 22.5\u00a0°C"},
		{"a number here, a word there", bench("Bench", "  fans: {label: Fans, role: held}\n", "fans: 1"), bench("Bench", "  fans: {label: Fans, role: held, levels: [1, 2]}\n", "fans: 1"), ""},
		{"a studied factor counts like any", bench("Bench", "  y: {label: Y, role: studied, levels: [1, 2]}\n", "y: 1"), bench("Bench", "  y: {label: Y, role: studied, levels: [1, 2]}\n", "y: 2"), "independent Y: 1 | 2"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := across(t, made(map[string]string{"a/bench.yaml": c.a, "b/bench.yaml": c.b}))
			all := s.Pairs[0].Unmatched
			if last := all[len(all)-1]; last.Kind != "nuisance" {
				t.Errorf("that the two were measured apart is not said last: %+v", all)
			}
			var got []string
			for _, u := range all[:len(all)-1] {
				got = append(got, u.Kind+" "+u.Label+": "+u.From+" | "+u.To)
			}
			if strings.Join(got, "\n") != c.want {
				t.Errorf("got  %q\nwant %q", strings.Join(got, "\n"), c.want)
			}
			if !strings.HasPrefix(s.Pairs[0].Sentence, "This is not one variable.") {
				t.Errorf("%q", s.Pairs[0].Sentence)
			}
		})
	}
}

// Which readings stand side by side when three reports define a workload twice
// one way and once another, and which when the shelf has a say.
func TestTheSameTest(t *testing.T) {
	m := made(nil)
	third := made(nil)
	for name, f := range third {
		if rest, ok := strings.CutPrefix(name, "a/"); ok {
			m["c/"+rest] = f
		}
	}
	m["a/workloads.yaml"] = &fstest.MapFile{Data: []byte("workloads:\n  speed: {label: Speed, metric: rate, unit: MB/s, better: higher, version: \"1\"}\n")}
	uses := func() (out []bool) {
		for _, u := range across(t, m).Workloads[0].Uses {
			out = append(out, u.Same)
		}
		return out
	}
	if got := uses(); !slices.Equal(got, []bool{false, true, true}) {
		t.Errorf("without a definition of the shelf: %v", got)
	}
	m["workloads.yaml"] = &fstest.MapFile{Data: []byte("workloads:\n  speed: {label: Speed, metric: rate, unit: MB/s, better: higher}\n")}
	if got := uses(); !slices.Equal(got, []bool{false, true, true}) {
		t.Errorf("with one that leaves the version open: %v", got)
	}
	m["workloads.yaml"] = &fstest.MapFile{Data: []byte("workloads:\n  speed: {label: Speed, metric: rate, unit: MB/s, better: higher, version: \"1\"}\n")}
	if got := uses(); !slices.Equal(got, []bool{true, false, false}) {
		t.Errorf("with one that names the version: %v", got)
	}
	m["c/workloads.yaml"] = m["a/workloads.yaml"]
	m["workloads.yaml"] = &fstest.MapFile{Data: []byte("workloads:\n  speed: {label: Speed, metric: rate, unit: MB/s, better: higher}\n")}
	if got := uses(); !slices.Equal(got, []bool{true, false, true}) {
		t.Errorf("where all fit a definition that leaves the version open: %v", got)
	}
	if s := Open(m); strings.Contains(printed(s), "definition-differs") {
		t.Errorf("a version that the shelf leaves open is complained of:\n%s", printed(s))
	}
	delete(m, "workloads.yaml")
	for name, f := range m {
		if rest, ok := strings.CutPrefix(name, "b/"); ok {
			m["d/"+rest] = f
		}
	}
	if got := uses(); !slices.Equal(got, []bool{true, false, true, false}) {
		t.Errorf("of two groups of two: %v", got)
	}
	m["c/workloads.yaml"] = m["b/workloads.yaml"]
	m["workloads.yaml"] = &fstest.MapFile{Data: []byte("workloads:\n  speed: {label: Speed, metric: rate, unit: MB/s, better: higher, version: \"1\"}\n")}
	if s := across(t, m); len(s.Pairs) > 0 || len(s.Workloads[0].Rows) > 0 {
		t.Error("one report alone stands beside nothing")
	}
}

// Two tests under one name are said to be two, wherever the reports meet.
func TestOneNameForTwoTests(t *testing.T) {
	const workloads = "workloads:\n  speed: {label: Speed, metric: rate, unit: MB/s, better: higher}\n  load: {label: Load, metric: rate, unit: MB/s, better: higher, version: \"%d\"}\n"
	files := map[string]string{}
	for i, name := range []string{"a", "b"} {
		files[name+"/workloads.yaml"] = fmt.Sprintf(workloads, 3+i)
		files[name+"/results/r.csv"] = "configuration,session,speed,load\nplain,day,99,9\nplain,day,100,10\nplain,day,101,11\n"
	}
	s := across(t, made(files))
	if len(s.Pairs) != 1 || !slices.ContainsFunc(s.Pairs[0].Unmatched, func(u report.Unmatched) bool {
		return u.Label == "Version on Load" && u.Kind == "independent" && u.From == "3" && u.To == "4"
	}) {
		t.Errorf("%+v", s.Pairs)
	}
	pages := map[string]string{}
	for _, f := range publish(t, made(files), PublishOptions{}).Files {
		pages[f.Path] = string(f.Data)
	}
	for page, want := range map[string]string{
		"index.html":     "1 of 2 can be laid side by side",
		"workloads.html": "Defined by the reports themselves, and not alike in all of them",
		"across.html":    "Nothing is laid side by side, since no two reports have the same test under this name:",
	} {
		if !strings.Contains(pages[page], want) {
			t.Errorf("%s does not say %q", page, want)
		}
	}
}

// Two reports that say neither the version nor the command of a test agree only
// as far as they say anything.
func TestWhatIsNotStatedOfATest(t *testing.T) {
	m := made(nil)
	unstated := func() (out []string) {
		for _, u := range across(t, m).Workloads[0].Uses {
			out = append(out, u.Unstated)
		}
		return out
	}
	if got, want := unstated(), "as far as is stated; not stated: the version and the command"; !slices.Equal(got, []string{want, want}) {
		t.Errorf("neither stated: %q", got)
	}
	for _, in := range []string{"a", "b"} {
		m[in+"/workloads.yaml"] = &fstest.MapFile{Data: []byte("workloads:\n  speed: {label: Speed, metric: rate, unit: MB/s, better: higher, version: \"1\", command: speed --all}\n")}
	}
	if got := unstated(); !slices.Equal(got, []string{"", ""}) {
		t.Errorf("both stated: %q", got)
	}
}
