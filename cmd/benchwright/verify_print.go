package main

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"benchwright/edition"
	"benchwright/render/data"
	"benchwright/schema"
)

// How much is shown of what differs, without --all: one changed digit of an
// input changes nearly every page.
const (
	shownFiles   = 8
	shownPerFile = 2
)

// printVerification says first which files are not those that were published,
// each once, since that is mostly the cause; then what was computed again and
// differs, by a few examples. What is left out is counted.
func printVerification(t *terminal, v *edition.Verification, name, against string, all bool) {
	w := t.out
	list := func(word string, paths []string) {
		for _, p := range paths {
			fmt.Fprintf(w, "%s  %s\n", word, p)
		}
	}
	list("missing", v.Missing)
	list("changed", v.Changed)
	list("extra  ", v.Extra)
	if n := len(v.Changed); n > 0 {
		fmt.Fprintln(w, t.wrap("", plural(n, "file")+map[bool]string{true: " is", false: " are"}[n == 1]+" not as published: the checksum does not fit"))
	}
	for _, f := range v.Findings {
		fmt.Fprintln(w, t.wrap("", fmt.Sprintf("cannot be recomputed: %s: %s", f.Place, f.Message)))
	}
	printDifferences(t, v, all)
	if v.Title != "" {
		fmt.Fprintln(w, t.wrap("", fmt.Sprintf("%s (%s)", v.Title, v.Date)))
	}
	if v.Partly() {
		defer func() { fmt.Fprintln(w, t.wrap("", partly(v))) }()
	}
	if v.OK() {
		if v.Partly() {
			fmt.Fprintf(w, "%s: %s checked, %s recomputed, the data agree\n", name, plural(v.Files, "file"), plural(v.Recomputed, "file"))
			return
		}
		fmt.Fprintf(w, "%s: %s checked, %s recomputed, all agree\n", name, plural(v.Files, "file"), plural(v.Recomputed, "file"))
		return
	}
	fmt.Fprintln(w, t.wrap("", name+": "+verdict(false, against)))
}

// partly says what could not be told of a site that another version made, or that
// was computed where last digits differ.
func partly(v *edition.Verification) string {
	if !v.OtherVersion {
		text := "It was computed on another kind of processor, whose last digits differ: numbers were compared to nine digits"
		if v.OK() {
			return text + ", and not how its pages and drawings show them. A machine of that kind can compare all."
		}
		return text + "."
	}
	text := "It says that benchwright " + v.MadeBy + " published it, and this is " + version() + ": "
	if v.OK() {
		return text + "the numbers in its data were compared, and not how its pages and drawings show them. That version can compare all."
	}
	return text + "the two may compute something in another way. Verify it with that version before you say that it is wrong."
}

// verification gives how the command ends.
func verification(v *edition.Verification) error {
	switch {
	case !v.OK():
		return errFindings
	case v.Partly():
		return errPartly
	}
	return nil
}

// differing holds the differences of one file, and how many there are beyond
// those listed.
type differing struct {
	file    string
	listed  []edition.Difference
	further int
}

func printDifferences(t *terminal, v *edition.Verification, all bool) {
	var files []differing
	counted, places := 0, 0
	for _, d := range v.Differences {
		counted += d.Further
		if d.Line == 0 && slices.Contains(v.Missing, d.File) {
			continue // said already
		}
		if n := len(files); n == 0 || files[n-1].file != d.File {
			files = append(files, differing{file: d.File})
		}
		f := &files[len(files)-1]
		f.listed = append(f.listed, d)
		f.further += d.Further
		places += 1 + d.Further
	}
	if len(files) == 0 {
		return
	}
	// What was changed by itself comes before what follows from it.
	slices.SortStableFunc(files, func(a, b differing) int {
		return rank(v, a.file) - rank(v, b.file)
	})
	w := t.out
	text := fmt.Sprintf("%s of those recomputed %s in %s", plural(len(files), "file"), map[bool]string{true: "differs", false: "differ"}[len(files) == 1], plural(places, "place"))
	if slices.ContainsFunc(v.Changed, func(p string) bool { return strings.HasPrefix(p, data.Inputs) }) {
		text += "; what is published in " + data.Inputs + " was changed, and what is computed from it with it"
	}
	fmt.Fprintln(w, t.wrap("", text+":"))
	hidden := 0
	for i, f := range files {
		if !all && i == shownFiles {
			left := 0
			for _, f := range files[i:] {
				left += len(f.listed) + f.further
			}
			fmt.Fprintln(w, hang(t, "  ", "  ", fmt.Sprintf("… and %s in %s more", plural(left, "difference"), plural(len(files)-i, "file"))))
			hidden += left
			break
		}
		show := f.listed
		if !all {
			show = show[:min(len(show), shownPerFile)]
		}
		for _, d := range show {
			printDifference(t, d)
		}
		if n := len(f.listed) - len(show) + f.further; n > 0 {
			fmt.Fprintln(w, hang(t, "  ", "  ", fmt.Sprintf("… and %d more in %s", n, f.file)))
			hidden += len(f.listed) - len(show)
		}
	}
	// Of a file that a shelf put together, the rest is counted in one number.
	if n := v.Further - counted; n > 0 {
		fmt.Fprintf(w, "and %s more\n", plural(n, "difference"))
	}
	if hidden > 0 {
		t.say("benchwright: next: benchwright verify --all lists the differences of every file")
	}
}

// rank puts files whose checksum does not fit first, then the data.
func rank(v *edition.Verification, file string) int {
	switch {
	case slices.Contains(v.Changed, file):
		return 0
	case strings.HasPrefix(file, data.Folder):
		return 1
	}
	return 2
}

// printDifference gives a difference in a line, or where that is too long in
// three, with the part of both texts in which they differ.
func printDifference(t *terminal, d edition.Difference) {
	w := t.out
	if line := "  " + d.String(); utf8.RuneCountInString(line) <= t.width {
		fmt.Fprintln(w, line)
		return
	}
	place := schema.Place{File: d.File, Line: d.Line, Column: d.Column}.String()
	head := "  " + place + ":"
	for _, text := range []string{d.Field, d.Note} {
		switch {
		case text == "":
		case utf8.RuneCountInString(head+" "+text) < t.width:
			head += " " + text + ":"
		default:
			fmt.Fprintln(w, head)
			head = t.wrap("    ", tail(text, t.width-5)) + ":"
		}
	}
	fmt.Fprintln(w, head)
	if d.Published == "" && d.Recomputed == "" && d.Note != "" {
		return
	}
	const label = "    recomputed "
	published, recomputed := quotedAround(d.Published, d.Recomputed, t.width-len(label))
	fmt.Fprintf(w, "    published  %s\n    recomputed %s\n", published, recomputed)
}

// tail keeps the end of a text without spaces, such as a path in a document: it
// says more than the beginning.
func tail(text string, most int) string {
	r := []rune(text)
	if len(r) <= most || strings.ContainsRune(text, ' ') {
		return text
	}
	return "…" + string(r[len(r)-most+1:])
}

// quotedAround quotes two texts and cuts them around their first difference so
// that neither is wider than most.
func quotedAround(a, b string, most int) (string, string) {
	for room := most; ; room-- {
		x, y := edition.Around(a, b, room)
		x, y = strconv.Quote(x), strconv.Quote(y)
		if room <= 10 || max(utf8.RuneCountInString(x), utf8.RuneCountInString(y)) <= most {
			return x, y
		}
	}
}
