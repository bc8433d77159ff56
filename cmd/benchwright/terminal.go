package main

import (
	"fmt"
	"io"
	"os"
	"strings"
	"unicode/utf8"

	"golang.org/x/term"
)

// terminal owns everything that the command prints. Its rules:
//
//   - what was asked for (findings, answers, listings) goes to standard output;
//     everything else to standard error;
//   - an error is one line, "benchwright: error: …", without capital or full
//     stop; what to try next is a line of its own, "benchwright: hint: …";
//   - text wraps at the width of the terminal, at most 100 and 80 when unknown;
//   - colour only on a terminal, never with NO_COLOR, and never the only sign;
//   - progress only on a terminal, on standard error, and gone at the end.
type terminal struct {
	out, err  io.Writer
	width     int
	colour    bool
	progress  bool
	lastWidth int
}

func newTerminal(out, errw io.Writer) *terminal {
	t := &terminal{out: out, err: errw, width: 80}
	if f, ok := out.(*os.File); ok && term.IsTerminal(int(f.Fd())) {
		if w, _, err := term.GetSize(int(f.Fd())); err == nil && w > 20 {
			t.width = min(w, 100)
		}
		_, noColour := os.LookupEnv("NO_COLOR")
		t.colour = !noColour && os.Getenv("TERM") != "dumb"
	}
	if f, ok := errw.(*os.File); ok {
		t.progress = term.IsTerminal(int(f.Fd())) && os.Getenv("TERM") != "dumb"
	}
	return t
}

// fault prints an error and its hints.
func (t *terminal) fault(err error) {
	t.step("")
	fmt.Fprintf(t.err, "benchwright: error: %v\n", err)
	var h *hinted
	for e := err; e != nil; {
		if x, ok := e.(*hinted); ok {
			h = x
			break
		}
		u, ok := e.(interface{ Unwrap() error })
		if !ok {
			break
		}
		e = u.Unwrap()
	}
	if h != nil {
		for _, line := range h.hints {
			fmt.Fprintf(t.err, "benchwright: hint: %s\n", line)
		}
	}
}

// say prints a line of news on standard error.
func (t *terminal) say(format string, args ...any) {
	t.step("")
	fmt.Fprintf(t.err, format+"\n", args...)
}

// step shows what is being done on a terminal; the empty text clears it.
func (t *terminal) step(text string) {
	if !t.progress || text == "" && t.lastWidth == 0 {
		return
	}
	fmt.Fprintf(t.err, "\r%s\r%s", strings.Repeat(" ", t.lastWidth), text)
	t.lastWidth = utf8.RuneCountInString(text)
}

// style wraps text in a terminal's style code: "1" bold, "31" red, …
func (t *terminal) style(code, text string) string {
	if !t.colour {
		return text
	}
	return "\x1b[" + code + "m" + text + "\x1b[0m"
}

// wrap breaks text at spaces so that no line is longer than the width, and
// indents every line by the prefix.
func (t *terminal) wrap(prefix, text string) string {
	var b strings.Builder
	room := max(t.width-utf8.RuneCountInString(prefix), 20)
	for i, paragraph := range strings.Split(text, "\n") {
		if i > 0 {
			b.WriteByte('\n')
		}
		used := 0
		for j, word := range strings.FieldsFunc(paragraph, func(r rune) bool { return r == ' ' }) {
			n := utf8.RuneCountInString(word)
			switch {
			case j == 0:
				b.WriteString(prefix)
			case used+1+n > room:
				b.WriteString("\n" + prefix)
				used = 0
			default:
				b.WriteByte(' ')
				used++
			}
			b.WriteString(word)
			used += n
		}
	}
	return b.String()
}

// hinted is an error with lines that say what to try.
type hinted struct {
	error
	hints []string
}

func (h *hinted) Unwrap() error { return h.error }

func hint(err error, lines ...string) error { return &hinted{err, lines} }

// columns lays out rows in columns with two spaces between; the columns named
// in right are set to the right.
func columns(rows [][]string, right ...int) []string {
	var widths []int
	for _, row := range rows {
		for i, c := range row {
			if i == len(widths) {
				widths = append(widths, 0)
			}
			widths[i] = max(widths[i], utf8.RuneCountInString(c))
		}
	}
	isRight := map[int]bool{}
	for _, r := range right {
		isRight[r] = true
	}
	out := make([]string, len(rows))
	for n, row := range rows {
		var b strings.Builder
		for i, c := range row {
			pad := strings.Repeat(" ", widths[i]-utf8.RuneCountInString(c))
			if i > 0 {
				b.WriteString("  ")
			}
			switch {
			case isRight[i]:
				b.WriteString(pad + c)
			case i == len(row)-1:
				b.WriteString(c)
			default:
				b.WriteString(c + pad)
			}
		}
		out[n] = strings.TrimRight(b.String(), " ")
	}
	return out
}
