package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"benchwright/starter"
)

// session runs the prompt over a fresh folder with the given lines typed.
func session(t *testing.T, change func(dir string), lines ...string) (screen, dir string) {
	t.Helper()
	dir = filepath.Join(t.TempDir(), "bench")
	if _, err := starter.Write(dir, starter.Files()); err != nil {
		t.Fatal(err)
	}
	if change != nil {
		change(dir)
	}
	s, err := openFolder([]string{dir}, false)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	s.name = "bench"
	var out bytes.Buffer
	term := newTerminal(&out, &out)
	p := newPrompt(term, s, strings.NewReader(strings.Join(lines, "\n")), "2031-01-01T20:00:00Z")
	p.echo = true
	if err := p.run(); err != nil {
		t.Fatal(err)
	}
	for _, line := range strings.Split(out.String(), "\n") {
		if n := len([]rune(line)); n > 80 && !strings.HasPrefix(line, "benchwright: ") {
			t.Errorf("%d columns: %s", n, line)
		}
	}
	if strings.Contains(out.String(), "\x1b") {
		t.Error("an escape code was printed to something that is no terminal")
	}
	return out.String(), dir
}

func fileText(t *testing.T, parts ...string) string {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(parts...))
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// fewer takes readings out, so that the question lacks some.
func fewer(t *testing.T) func(dir string) {
	return func(dir string) {
		file := filepath.Join(dir, "results", "first-evening.csv")
		text := fileText(t, file)
		i := strings.Index(text, "5,two-fans")
		if err := os.WriteFile(file, []byte(text[:i]), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// changing changes the results once the prompt has asked for a line.
type changing struct {
	lines  *strings.Reader
	after  int
	change func()
}

func (c *changing) Read(b []byte) (int, error) {
	if c.after--; c.after == 0 {
		c.change()
	}
	return c.lines.Read(b[:1])
}

// TestUndoOfAChangedFileNamesTheNextStep: what cannot be taken back can be taken out.
func TestUndoOfAChangedFileNamesTheNextStep(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "bench")
	if _, err := starter.Write(dir, starter.Files()); err != nil {
		t.Fatal(err)
	}
	fewer(t)(dir)
	s, err := openFolder([]string{dir}, false)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	var out bytes.Buffer
	file := filepath.Join(dir, "results", "first-evening.csv")
	const first = "\n312.9\n"
	in := &changing{strings.NewReader(first + "undo\nquit\n"), len(first) + 2, func() {
		if err := os.WriteFile(file, []byte(fileText(t, file)+"\n"), 0o644); err != nil {
			t.Error(err)
		}
	}}
	p := newPrompt(newTerminal(&out, &out), s, in, "2031-01-01T20:00:00Z")
	p.echo = true
	if err := p.run(); err != nil {
		t.Fatal(err)
	}
	comesInTurn(t, out.String(), "it cannot be taken back: results/first-evening.csv changed in the meantime", "take it out by hand: results/first-evening.csv, in line ")
}

func comesInTurn(t *testing.T, screen string, parts ...string) {
	t.Helper()
	at := 0
	for _, p := range parts {
		// The prompt breaks lines where it has to.
		i := strings.Index(strings.Join(strings.Fields(screen[at:]), " "), strings.Join(strings.Fields(p), " "))
		if i < 0 {
			t.Fatalf("%q does not come, after what went before, in\n%s", p, screen)
		}
	}
}

func TestPromptWalksThroughWhatIsLacking(t *testing.T) {
	screen, dir := session(t, fewer(t), "", "312.9", "31.3", "302.8", "24.2 # door open")
	comesInTurn(t, screen,
		"Session [first-evening]:",
		"one-fan: One fan", "Compile job (time per job), in s; 2 of 3 recorded; expected 281 to 343 s", "compile> ", "✓ 312.9 s, repeat 3, in results/first-evening.csv:6",
		"case-temperature> ", "✓ 31.3 K, repeat 3",
		"two-fans: Two fans", "✓ 302.8 s", "✓ 24.2 K",
		"The questions lack no reading.", "4 readings recorded in results/first-evening.csv", "next: benchwright check bench")
	want := "5,one-fan,first-evening,3,312.9,,ok,\n5,one-fan,first-evening,3,,31.3,ok,\n6,two-fans,first-evening,3,302.8,,ok,\n6,two-fans,first-evening,3,,24.2,ok,door open\n"
	if got := fileText(t, dir, "results", "first-evening.csv"); !strings.HasSuffix(got, want) {
		t.Errorf("the file ends in\n%s\nwant\n%s", got, want)
	}
	if n := strings.Count(fileText(t, dir, "provenance.csv"), "\n2031-01-01T20:00:00Z,prompt,,1,"); n != 4 {
		t.Errorf("%d entries in provenance.csv, want 4", n)
	}
}

// The sides of a question take turns, so that neither has its repeats in a block.
func TestPromptTakesTurns(t *testing.T) {
	none := func(dir string) {
		text := fileText(t, dir, "results", "first-evening.csv")
		head, _, _ := strings.Cut(text, "\n")
		if err := os.WriteFile(filepath.Join(dir, "results", "first-evening.csv"), []byte(head+"\n"), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	screen, dir := session(t, none, "", "312.9", "31.3", "302.8", "24.2", "312.1", "31.1", "302.2", "undo", "302.3", "24.1", "311.5")
	comesInTurn(t, screen, "The configurations of a question take turns", "one-fan: One fan", "two-fans: Two fans", "one-fan: One fan", "two-fans: Two fans", "one-fan: One fan")
	var order []string
	for line := range strings.Lines(fileText(t, dir, "results", "first-evening.csv")) {
		cells := strings.Split(line, ",")
		order = append(order, cells[0]+" "+cells[1]+" "+cells[3])
	}
	want := "1 one-fan 1,1 one-fan 1,2 two-fans 1,2 two-fans 1,3 one-fan 2,3 one-fan 2,4 two-fans 2,4 two-fans 2,5 one-fan 3"
	if got := strings.Join(order[1:], ","); got != want {
		t.Errorf("recorded in the order\n%s\nwant\n%s\n%s", got, want, screen)
	}
}

// What happened may be said behind the word, and an answer that is none is
// asked for again.
func TestPromptUnderstandsPeople(t *testing.T) {
	screen, dir := session(t, fewer(t), "", "hung drive left the bus", "did not start: no beep", "at one-fan compile", "31.29", "no", "y", "keep", "q")
	comesInTurn(t, screen, "✓ hung, repeat 3", "✓ did-not-start, repeat 3", "keep, change", "write keep, change or skip, or the right value", "keep, change", "write keep, change or skip, or the right value", "✓ 31.29 s")
	if strings.Contains(screen, "what happened?") || strings.Contains(screen, "is not a number") {
		t.Error(screen)
	}
	got := fileText(t, dir, "results", "first-evening.csv")
	for _, want := range []string{",hung,drive left the bus", ",did-not-start,no beep", ",31.29,"} {
		if !strings.Contains(got, want) {
			if more, err := os.ReadFile(filepath.Join(dir, "results", "first-evening-2.csv")); err != nil || !strings.Contains(string(more), want) {
				t.Errorf("no %q in\n%s%s", want, got, more)
			}
		}
	}
}

func TestPromptAsksAboutASlip(t *testing.T) {
	for _, c := range []struct {
		name  string
		lines []string
		want  string // the value that is written, empty for none
	}{
		{"typed anew", []string{"31.29", "312.9"}, "312.9"},
		{"change", []string{"31.29", "c", "312.9"}, "312.9"},
		{"keep", []string{"31.29", "keep"}, "31.29"},
		{"skip", []string{"31.29", "skip"}, ""},
		{"an odd answer is held against the range again", []string{"31.29", "3129", "312.9"}, "312.9"},
		{"the end of input keeps nothing of it", []string{"31.29"}, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			screen, dir := session(t, fewer(t), append([]string{""}, c.lines...)...)
			comesInTurn(t, screen, "expected 281 to 343 s for compile on one-fan; 31.29 looks like a decimal point out of place", "keep, change (to 312.9: just type it) or skip?")
			_, added, _ := strings.Cut(fileText(t, dir, "results", "first-evening.csv"), "4,two-fans,first-evening,2,303.0,23.8,ok,\n")
			want := ""
			if c.want != "" {
				want = "5,one-fan,first-evening,3," + c.want + ",,ok,\n"
			}
			if added != want {
				t.Errorf("written %q, want %q\n%s", added, want, screen)
			}
		})
	}
}

func TestPromptTakesBack(t *testing.T) {
	screen, dir := session(t, fewer(t), "", "undo", "312.9", "31.3", "undo", "undo", "quit")
	comesInTurn(t, screen, "there is nothing to take back", "taken back: one-fan case-temperature 31.3 K", "taken back: one-fan compile 312.9 s", "nothing was recorded")
	if got := fileText(t, dir, "results", "first-evening.csv"); !strings.HasSuffix(got, "4,two-fans,first-evening,2,303.0,23.8,ok,\n") {
		t.Errorf("the file is %s", got)
	}
	if _, err := os.Stat(filepath.Join(dir, "provenance.csv")); err == nil {
		t.Error("provenance.csv tells of what was taken back")
	}
}

func TestPromptOutcomesAndCommands(t *testing.T) {
	screen, dir := session(t, fewer(t), "later", "first-evening", "hung", "stopped at 60 %", "fast", "30 K x", "help", "list", "at two-fan compile", "at two-fans compile", "did not start", "", "q")
	comesInTurn(t, screen, `there is no session "later"; new begins one`,
		"what happened? (Enter for nothing)", "✓ hung, repeat 3, in results/first-evening-2.csv:2",
		`"fast" is not a number`, "take back the last one", "case-temperature", "for second-fan",
		`there is no configuration "two-fan"; did you mean two-fans?`, "✓ did-not-start, repeat 3", "2 readings recorded in results/first-evening-2.csv")
	if got := fileText(t, dir, "results", "first-evening-2.csv"); !strings.Contains(got, "compile,,,hung,stopped at 60 %,\n") || !strings.Contains(got, "compile,,,did-not-start,,\n") {
		t.Errorf("the file is %s", got)
	}
}

func TestPromptBeginsASession(t *testing.T) {
	screen, dir := session(t, fewer(t), "new", "second-evening", "2026-01-13", "312.9", "q")
	comesInTurn(t, screen, "Its id", "✓ 312.9 s, repeat 1, in results/second-evening.csv:2")
	if got := fileText(t, dir, "sessions.yaml"); !strings.HasSuffix(got, "\n  second-evening:\n    date: 2026-01-13\n") {
		t.Errorf("sessions.yaml ends in %q", got)
	}
}

func TestPromptRefusesAFolderWithErrors(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "bench")
	if _, err := starter.Write(dir, starter.Files()); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "workloads.yaml"), []byte("workloads: 3\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	s, err := openFolder([]string{dir}, false)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	var out bytes.Buffer
	if err := newPrompt(newTerminal(&out, &out), s, strings.NewReader(""), "2031-01-01T20:00:00Z").run(); err == nil || !strings.Contains(out.String(), "workloads.yaml:1:") {
		t.Errorf("%v\n%s", err, out.String())
	}
}
