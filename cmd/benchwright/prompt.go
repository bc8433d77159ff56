package main

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"benchwright/project"
	"benchwright/record"
	"benchwright/schema"
)

// prompt asks for readings on a terminal, one after another: what the questions
// still lack, in the order of the questions. Its rules:
//
//   - each reading is written at once, so that whatever ends the prompt (quit,
//     the end of input, a cut wire) keeps what was entered;
//   - a line is a value, a word for how the run ended, or a command; everything
//     after # is a remark;
//   - a value that is far from the others is asked about before it is written;
//   - nothing depends on colour or on moving the cursor.
type prompt struct {
	t       *terminal
	s       *source
	lines   *bufio.Scanner
	echo    bool // the lines read are printed: a terminal does it by itself
	when    string
	session string
	p       *project.Project
	skipped map[[2]int]bool
	done    []*record.Addition
	heading int      // configuration whose heading stands on the screen
	visit   []int    // workloads asked for since that configuration was put on the bench
	chosen  *[2]int  // configuration and workload asked for by "at"
	from    []string // result files written to
}

const promptHelp = `a value, with a unit or without     41.2, 41.2 fps, 41.2 # door open
how the run ended, without a value  did-not-start, hung, crashed, unstable;
                                    what happened: hung in the second minute
skip, or Enter alone                the next one
at CONFIGURATION WORKLOAD           record this one
undo                                take back the last one
list                                what the questions still lack
quit                                what was entered is kept`

func newPrompt(t *terminal, s *source, in io.Reader, when string) *prompt {
	return &prompt{t: t, s: s, lines: bufio.NewScanner(in), when: when, skipped: map[[2]int]bool{}, heading: -1}
}

// errQuit ends the prompt.
var errQuit = errors.New("quit")

// ask prints a question and reads a line.
func (p *prompt) ask(question string) (string, error) {
	fmt.Fprint(p.t.out, question)
	if !p.lines.Scan() {
		fmt.Fprintln(p.t.out)
		return "", errQuit
	}
	line := strings.TrimSpace(p.lines.Text())
	if p.echo {
		fmt.Fprintln(p.t.out, line)
	}
	switch strings.ToLower(line) {
	case "quit", "q", "exit":
		return "", errQuit
	}
	return line, nil
}

func (p *prompt) say(prefix, text string) { fmt.Fprintln(p.t.out, p.t.wrap(prefix, text)) }

func (p *prompt) run() error {
	e := open(p.t, p.s)
	if e.Unusable() {
		return refuse(p.t, e, p.s.name)
	}
	p.p = e.Project
	err := p.chooseSession()
	for err == nil {
		err = p.step()
	}
	if errors.Is(err, errQuit) {
		err = nil
	}
	p.sum()
	return err
}

// chooseSession asks for the session; the latest one is proposed.
func (p *prompt) chooseSession() error {
	latest := ""
	date := ""
	for _, s := range p.p.Sessions {
		if s.Date >= date {
			latest, date = s.ID, s.Date
		}
	}
	for {
		question := "Session (the id of one, or new): "
		if latest != "" {
			question = fmt.Sprintf("Session [%s]: ", latest)
		}
		line, err := p.ask(question)
		if err != nil {
			return err
		}
		switch {
		case line == "" && latest != "":
			p.session = latest
		case line == "new" || line == "" && latest == "":
			if err := p.newSession(); err != nil {
				return err
			}
		case p.p.Session(line) != nil:
			p.session = line
		default:
			var ids []string
			for _, s := range p.p.Sessions {
				ids = append(ids, s.ID)
			}
			text := "there is no session " + strconv.Quote(line) + "; new begins one"
			if near := schema.Nearest(line, ids); near != "" {
				text += "; did you mean " + near + "?"
			} else if len(ids) > 0 && len(ids) < 20 {
				text += "; there are " + strings.Join(ids, ", ")
			}
			p.say("  ", text)
			continue
		}
		if p.session != "" {
			p.say("", "A line is a value, or how the run ended (hung, crashed, …). Others: skip, at, undo, list, help, quit.")
			p.sayTurns()
			return nil
		}
	}
}

func (p *prompt) newSession() error {
	id, err := p.ask("Its id, such as third-evening: ")
	if err != nil {
		return err
	}
	date, err := p.ask(fmt.Sprintf("Its day [%s]: ", p.when[:len("2031-04-09")]))
	if err != nil {
		return err
	}
	if date == "" {
		date = p.when[:len("2031-04-09")]
	}
	a, ok, err := p.write(nil, record.Options{Session: &record.Session{ID: id, Date: date}})
	if err != nil || !ok {
		return err
	}
	p.session = id
	p.p = a.After
	return nil
}

// next is the cell to ask for: one that was chosen, or the first lacking.
func (p *prompt) next() (c, w int, l *record.Lacking, ok bool) {
	lack, _ := lacking(p.p)
	if p.chosen != nil {
		return p.chosen[0], p.chosen[1], nil, true
	}
	lack = slices.DeleteFunc(lack, func(l record.Lacking) bool { return p.skipped[[2]int{l.Configuration, l.Workload}] })
	if len(lack) == 0 {
		return 0, 0, nil, false
	}
	// What is on the bench comes first, once under each workload: changing it
	// takes longer than any run.
	here := slices.IndexFunc(lack, func(l record.Lacking) bool {
		return l.Configuration == p.heading && !slices.Contains(p.visit, l.Workload)
	})
	if here < 0 {
		here = p.turn(lack)
		p.visit = nil
	}
	l = &lack[here]
	return l.Configuration, l.Workload, l, true
}

// turn says whose turn it is: of the configurations that the first open
// question needs, another than the one on the bench, and of those the one that
// was run least often, failures counted. So no side of a comparison has all its
// repeats in one block, early or late.
func (p *prompt) turn(lack []record.Lacking) int {
	best, least := -1, 0
	for i, l := range lack {
		if l.Question != lack[0].Question || l.Configuration == p.heading {
			continue
		}
		if runs := len(p.p.ReadingsOf(l.Configuration, l.Workload)); best < 0 || runs < least {
			best, least = i, runs
		}
	}
	return max(best, 0) // nothing but what is on the bench
}

// sayTurns tells in which order the prompt asks, where there is one to choose.
func (p *prompt) sayTurns() {
	lack, _ := lacking(p.p)
	for _, l := range lack {
		if l.Question == lack[0].Question && l.Configuration != lack[0].Configuration {
			p.say("", "The configurations of a question take turns: each is run once, then the next, so that no side has all its repeats early or late. plan gives an order with returns to the baseline; at CONFIGURATION WORKLOAD follows another.")
			return
		}
	}
}

// step asks for one reading.
func (p *prompt) step() error {
	c, w, lack, ok := p.next()
	if !ok {
		if p.heading != -2 {
			p.heading = -2
			text := "The questions lack no reading."
			if len(p.skipped) > 0 {
				text = "That is all but what was skipped."
			}
			p.say("", text+" Use at CONFIGURATION WORKLOAD for another, or quit.")
		}
		line, err := p.ask("> ")
		if err != nil {
			return err
		}
		if line != "" && !p.command(line) {
			p.say("  ", "this is not a command here; help lists them")
		}
		return nil
	}
	configuration, workload := p.p.Configurations[c], p.p.Workloads[w]
	if c != p.heading {
		p.onBench(configuration)
	}
	p.say("  ", p.question(workload, c, w, lack))
	line, err := p.ask("  " + workload.ID + "> ")
	if err != nil {
		return err
	}
	text, note, _ := strings.Cut(line, "#")
	text, note = strings.TrimSpace(text), strings.TrimSpace(note)
	switch {
	case text == "" && note == "" || strings.EqualFold(text, "skip") || text == "s":
		p.chosen = nil
		p.skipped[[2]int{c, w}] = true
		return nil
	case p.command(text):
		return nil
	}
	return p.enter(record.Reading{Configuration: configuration.ID, Workload: workload.ID, Session: p.session, Note: note}, text)
}

// onBench begins a visit of a configuration.
func (p *prompt) onBench(c *project.Configuration) {
	p.heading, p.visit = c.Index, nil
	label := c.ID
	if c.Label != "" && c.Label != c.ID {
		label += ": " + c.Label
	}
	fmt.Fprintln(p.t.out)
	fmt.Fprintln(p.t.out, p.t.style("1", p.t.wrap("", label)))
}

// question says what is wanted and what is expected.
func (p *prompt) question(workload *project.Workload, c, w int, lack *record.Lacking) string {
	text := workload.Label
	if workload.Metric != "" {
		text += " (" + workload.Metric + ")"
	}
	unit := workload.Unit.Symbol
	if workload.Reading != nil {
		unit = workload.RawUnit.Symbol
	}
	switch {
	case workload.FrameTimes != "":
		text += ", the name of a file in frames"
	case unit != "":
		text += ", in " + unit
	}
	if lack != nil {
		text += fmt.Sprintf("; %d of %d recorded", lack.Have, lack.Want)
	}
	if e := record.Expect(p.p, c, w); e.Known && workload.FrameTimes == "" {
		text += "; expected " + e.Asked(p.p, w)
	}
	return text
}

// command carries out a line that is no reading.
func (p *prompt) command(line string) bool {
	words := strings.Fields(strings.ToLower(line))
	switch words[0] {
	case "help", "?":
		fmt.Fprintln(p.t.out, "  "+strings.ReplaceAll(promptHelp, "\n", "\n  "))
	case "undo", "u":
		p.undo()
	case "list", "l":
		p.list()
	case "at":
		p.at(words[1:])
	default:
		return false
	}
	return true
}

func (p *prompt) undo() {
	if len(p.done) == 0 {
		p.say("  ", "there is nothing to take back")
		return
	}
	last := p.done[len(p.done)-1]
	if err := last.Undo(p.s.root); err != nil {
		p.say("  ", "it cannot be taken back: "+err.Error())
		if errors.Is(err, record.ErrChanged) && len(last.Rows) > 0 {
			p.say("  ", fmt.Sprintf("take it out by hand: %s, in line %d or near it; or leave it and give it the outcome excluded with a reason there", last.Rows[0].File, last.Rows[0].Line))
		}
		return
	}
	p.done = p.done[:len(p.done)-1]
	for _, x := range last.Added {
		p.say("  ", "taken back: "+x.Configuration+" "+x.Workload+" "+given(p.p, x))
		if c, w := p.p.Configuration(x.Configuration), p.p.Workload(x.Workload); c != nil && w != nil {
			delete(p.skipped, [2]int{c.Index, w.Index})
			p.backTo(c)
		}
	}
	p.p = open(p.t, p.s).Project
}

// backTo goes on with a visit whose last reading was taken back.
func (p *prompt) backTo(c *project.Configuration) {
	if c.Index != p.heading {
		p.onBench(c)
	}
	p.visit = nil
	for _, a := range slices.Backward(p.done) {
		if len(a.Added) == 0 || a.Added[0].Configuration != c.ID {
			break
		}
		w := p.p.Workload(a.Added[0].Workload).Index
		if slices.Contains(p.visit, w) {
			break // of the visit before
		}
		p.visit = append(p.visit, w)
	}
}

const promptList = 15 // rows of a list

func (p *prompt) list() {
	lack, _ := lacking(p.p)
	var rows [][]string
	for i, l := range lack {
		if i == promptList {
			break
		}
		rows = append(rows, []string{"  " + p.p.Configurations[l.Configuration].ID, p.p.Workloads[l.Workload].ID, fmt.Sprintf("%d of %d", l.Have, l.Want), "for " + p.p.Questions[l.Question].ID})
	}
	for _, line := range columns(rows) {
		fmt.Fprintln(p.t.out, line)
	}
	switch more := len(lack) - promptList; {
	case len(lack) == 0:
		p.say("  ", "the questions lack no reading")
	case more > 0:
		p.say("  ", fmt.Sprintf("… and %d more", more))
	}
}

// at chooses a cell by name.
func (p *prompt) at(words []string) {
	if len(words) == 1 && p.heading >= 0 { // the workload alone
		words = []string{p.p.Configurations[p.heading].ID, words[0]}
	}
	if len(words) != 2 {
		p.say("  ", "write at CONFIGURATION WORKLOAD")
		return
	}
	var configurations, workloads []string
	for _, c := range p.p.Configurations {
		configurations = append(configurations, c.ID)
	}
	for _, w := range p.p.Workloads {
		if w.Derived == nil && w.FramesOf == "" {
			workloads = append(workloads, w.ID)
		}
	}
	for i, known := range [][]string{configurations, workloads} {
		if slices.Contains(known, words[i]) {
			continue
		}
		kind := [...]string{"configuration", "workload"}[i]
		text := "there is no " + kind + " " + strconv.Quote(words[i])
		if near := schema.Nearest(words[i], known); near != "" {
			text += "; did you mean " + near + "?"
		} else if len(known) <= 20 {
			text += "; there are " + strings.Join(known, ", ")
		}
		p.say("  ", text)
		return
	}
	p.chosen = &[2]int{p.p.Configuration(words[0]).Index, p.p.Workload(words[1]).Index}
}

// enter writes a reading down, asking back where it is odd.
func (p *prompt) enter(r record.Reading, text string) error {
	if word, rest := outcomeAnd(text); word != "" {
		r.Outcome, r.Reason = word, rest
		if rest != "" {
			// What happened was said in the same breath.
		} else if reason, err := p.ask("  what happened? (Enter for nothing) "); err != nil {
			return err
		} else if reason != "" {
			r.Reason = reason
		}
	} else {
		r.Value = text
	}
	for {
		a, bad := record.Prepare(p.s.FS, []record.Reading{r}, record.Options{Source: "prompt", When: p.when, EvenSo: true})
		if len(bad) > 0 {
			p.complain(bad)
			return nil
		}
		if len(a.Doubts) == 0 {
			return p.keep(r)
		}
		d := a.Doubts[0]
		workload := p.p.Workload(r.Workload)
		given := a.Added[0] // with its unit apart
		p.say("  ", d.Words(workload, given))
		question := "  keep, change or skip? "
		if better, ok := d.Better(workload, given); ok {
			question = fmt.Sprintf("  keep, change (to %s: just type it) or skip? ", better)
		}
		for {
			answer, err := p.ask(question)
			if err != nil {
				return err
			}
			switch strings.ToLower(answer) {
			case "keep", "k":
				return p.keep(r)
			case "skip", "s":
				p.chosen = nil
				p.skipped[[2]int{p.p.Configuration(r.Configuration).Index, workload.Index}] = true
				return nil
			case "change", "c":
				if answer, err = p.ask("  " + r.Workload + "> "); err != nil {
					return err
				}
			}
			answer, note, _ := strings.Cut(answer, "#")
			if note = strings.TrimSpace(note); note != "" {
				r.Note = note
			}
			if answer = strings.TrimSpace(answer); answer == "" {
				continue
			}
			if word, _ := outcomeAnd(answer); word != "" {
				r.Value = ""
				return p.enter(r, answer)
			}
			if !strings.ContainsAny(answer, "0123456789") {
				p.say("  ", "write keep, change or skip, or the right value")
				continue
			}
			r.Value, r.Unit = answer, ""
			break
		}
	}
}

// outcomeAnd recognises a word for how a run ended, and what may be said about
// it behind the word; the word is empty when there is none.
func outcomeAnd(text string) (word, rest string) {
	words := strings.Fields(text)
	known := project.OutcomeWords()
	known = known[1 : len(known)-1]
	for n := min(len(words), 3); n > 0; n-- { // "did not start" has three
		said := strings.ToLower(strings.TrimRight(strings.Join(words[:n], "-"), ":,;."))
		if slices.Contains(known, said) {
			return said, strings.TrimLeft(strings.Join(words[n:], " "), ":,;- ")
		}
	}
	return "", ""
}

func (p *prompt) complain(bad []schema.Finding) {
	for _, f := range bad {
		text := f.Message
		if f.Remedy != "" {
			text += "; " + f.Remedy
		}
		p.say("  ", text)
	}
}

// keep writes a reading that has been settled.
func (p *prompt) keep(r record.Reading) error {
	a, ok, err := p.write([]record.Reading{r}, record.Options{})
	if err != nil || !ok {
		return err
	}
	p.p = a.After
	p.chosen = nil
	x := a.Added[0]
	p.visit = append(p.visit, p.p.Workload(x.Workload).Index)
	p.say("  ", fmt.Sprintf("✓ %s, repeat %d, in %s", given(p.p, x), x.Repeat, a.Rows[0]))
	for _, w := range a.Warnings {
		p.complain([]schema.Finding{w})
	}
	if !slices.Contains(p.from, a.Files[0]) {
		p.from = append(p.from, a.Files[0])
	}
	return nil
}

// write prepares and writes; ok is false when findings were printed instead.
func (p *prompt) write(readings []record.Reading, o record.Options) (a *record.Addition, ok bool, err error) {
	o.Source, o.When, o.EvenSo = "prompt", p.when, true
	for tries := 0; ; tries++ {
		var bad []schema.Finding
		if a, bad = record.Prepare(p.s.FS, readings, o); len(bad) > 0 {
			p.complain(bad)
			return nil, false, nil
		}
		switch err := a.Write(p.s.root); {
		case err == nil:
			p.done = append(p.done, a)
			return a, true, nil
		case errors.Is(err, record.ErrChanged) && tries < 50:
		default:
			return nil, false, recordFault(err)
		}
	}
}

// sum says what was kept.
func (p *prompt) sum() {
	n := 0
	for _, a := range p.done {
		n += len(a.Added)
	}
	if n == 0 {
		fmt.Fprintln(p.t.out, "nothing was recorded")
		return
	}
	fmt.Fprintln(p.t.out, p.t.wrap("", fmt.Sprintf("%s recorded in %s", plural(n, "reading"), strings.Join(p.from, ", "))))
	r := &recorder{t: p.t, s: p.s}
	r.next(p.p)
}
