package schema

import (
	"bufio"
	"io"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	eastasian "golang.org/x/text/width"
)

// How much of a long line an excerpt shows: at most excerptWidth characters,
// with excerptBefore of them before the place.
const (
	excerptWidth  = 100
	excerptBefore = 40
)

// Excerpts gives the findings with Excerpt and ExcerptColumn filled in: the
// line of each place, cut around the place when it is long (an ellipsis stands
// for what was cut), with tabs as single spaces and other control characters
// and bytes that are not UTF-8 as U+FFFD, so that ExcerptColumn counts the
// excerpt's own characters. Findings about a whole file, and those that have
// an excerpt, stay as they are.
func (f *Folder) Excerpts(all []Finding) []Finding {
	out := slices.Clone(all)
	wanted := map[string][]int{} // by file: indices into out
	for i := range out {
		if out[i].File != "" && out[i].Line > 0 && out[i].Excerpt == "" {
			wanted[out[i].File] = append(wanted[out[i].File], i)
		}
	}
	for path, indices := range wanted {
		slices.SortStableFunc(indices, func(a, b int) int { return out[a].Line - out[b].Line })
		f.excerptsOf(path, out, indices)
	}
	return out
}

// excerptsOf goes through one file once.
func (f *Folder) excerptsOf(path string, out []Finding, indices []int) {
	var source io.Reader
	if text, ok := f.texts[path]; ok {
		source = strings.NewReader(string(text))
	} else {
		if _, ok := regular(f.FS, path, LargestTable, ""); !ok {
			return
		}
		file, err := f.FS.Open(path)
		if err != nil {
			return
		}
		defer file.Close()
		source = file
	}
	r := &lineReader{r: bufio.NewReaderSize(source, 64<<10)}
	if mark, err := r.r.Peek(len(byteOrderMark)); err == nil && string(mark) == string(byteOrderMark) {
		r.r.Discard(len(byteOrderMark))
	}
	line := 1
	for len(indices) > 0 {
		want := out[indices[0]].Line
		for ; line < want; line++ {
			if !r.skip() {
				return
			}
		}
		text, more := r.read()
		line++
		for len(indices) > 0 && out[indices[0]].Line == want {
			cut(&out[indices[0]], text)
			indices = indices[1:]
		}
		if !more {
			return
		}
	}
}

// lineReader reads or skips one line at a time, whatever ends it.
type lineReader struct{ r *bufio.Reader }

// skip goes past one line; false when there is none after it.
func (l *lineReader) skip() bool {
	for {
		b, err := l.r.ReadByte()
		if err != nil {
			return false
		}
		if b == '\n' || b == '\r' && l.pair() {
			return true
		}
	}
}

// pair goes past the LF that follows a CR, if it does.
func (l *lineReader) pair() bool {
	if next, err := l.r.Peek(1); err == nil && next[0] == '\n' {
		l.r.Discard(1)
	}
	return true
}

// read gives one line, or as much of it as a place can lie in.
func (l *lineReader) read() (text []byte, more bool) {
	for {
		b, err := l.r.ReadByte()
		if err != nil {
			return text, false
		}
		if b == '\n' || b == '\r' && l.pair() {
			return text, true
		}
		if len(text) > LongestLine {
			return text, l.skip()
		}
		text = append(text, b)
	}
}

// cut fills in a finding's excerpt from its line.
func cut(f *Finding, line []byte) {
	// Skip to the first character to be shown without decoding a long line whole.
	column := max(f.Column, 1)
	first := 1
	total := utf8.RuneCount(line)
	if total > excerptWidth && column > excerptBefore {
		first = min(column-excerptBefore, total-excerptWidth+1)
	}
	for i := 1; i < first && len(line) > 0; i++ {
		_, n := utf8.DecodeRune(line)
		line = line[n:]
	}
	var b strings.Builder
	if first > 1 {
		b.WriteString("…")
	}
	shown := 0
	for ; shown < excerptWidth && len(line) > 0; shown++ {
		r, n := utf8.DecodeRune(line)
		line = line[n:]
		switch {
		case r == '\t':
			r = ' '
		case unicode.IsControl(r), r == '\u2028', r == '\u2029', unicode.Is(unicode.Bidi_Control, r):
			r = utf8.RuneError
		}
		b.WriteRune(r)
	}
	if len(line) > 0 {
		b.WriteString("…")
	}
	f.Excerpt = b.String()
	if f.Column > 0 {
		f.ExcerptColumn = f.Column - first + 1
		if first > 1 {
			f.ExcerptColumn++
		}
		f.ExcerptColumn = min(f.ExcerptColumn, utf8.RuneCountInString(f.Excerpt)+1)
	}
}

// Marker gives the line to print under Excerpt: spaces up to the place, and a
// "^" under each marked character. Characters that take two places on a
// terminal (by Unicode's East Asian Width) get two, combining ones none. It is
// empty when there is nothing to mark.
func (f Finding) Marker() string {
	if f.Excerpt == "" || f.ExcerptColumn < 1 {
		return ""
	}
	var b strings.Builder
	end := f.ExcerptColumn + max(f.Width, 1)
	column := 1
	for _, r := range f.Excerpt {
		if column >= end {
			break
		}
		mark := " "
		if column >= f.ExcerptColumn {
			mark = "^"
		}
		b.WriteString(strings.Repeat(mark, terminalWidth(r)))
		column++
	}
	if column <= f.ExcerptColumn {
		b.WriteString(strings.Repeat(" ", f.ExcerptColumn-column) + "^")
	}
	return b.String()
}

func terminalWidth(r rune) int {
	if unicode.In(r, unicode.Mn, unicode.Me) || r == '\u200b' || r == '\u200d' {
		return 0
	}
	switch eastasian.LookupRune(r).Kind() {
	case eastasian.EastAsianWide, eastasian.EastAsianFullwidth:
		return 2
	}
	return 1
}
