package schema

import (
	"bytes"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"
)

// A slip says what a complaint of the YAML library means to a person, and what
// to do about it.
type slip struct {
	complaint string // part of the library's message
	rule      string
	message   string
	remedy    string
	from      beginning
}

// beginning says where the marked fault begins, seen from the character that
// completes it.
type beginning int

const (
	there     beginning = iota
	atBracket           // the bracket that is still open there
	atWord              // the first character of the word that it belongs to
	atEscape            // the backslash before it
)

const (
	bracketRemedy = `close the bracket, put a comma between its values, and quote a value that holds one of , : ? [ ] { }`
	indentRemedy  = "keys of one mapping begin in the same column; use two spaces for each level"
)

// knownSlips lists the complaints in the order in which they are looked for.
func knownSlips() []slip {
	return []slip{
		{"found a tab character that violates indentation", "tab", "a tab stands where the indentation should be", "replace the tab by spaces, two for each level", there},
		{"found a tab character where an indentation space is expected", "tab", "a tab stands where the indentation should be", "replace the tab by spaces, two for each level", there},
		{"mapping values are not allowed in this context", "not-yaml", `a second ":" on the line, or a key that is indented too far`, `quote a value that holds ": ", and begin the keys of one mapping in the same column`, there},
		{"could not find expected ':'", "not-yaml", `a key without ":"`, `write a key, a colon, a space and a value; indent the further lines of a long text, or quote it`, there},
		{"found character that cannot start any token", "not-yaml", "a value cannot begin with this character", `put the value in quotes: "…"`, there},
		{"did not find expected ',' or ']'", "not-yaml", `the list that this "[" opens does not go on as it should`, bracketRemedy, atBracket},
		{"did not find expected ',' or '}'", "not-yaml", `the mapping that this "{" opens does not go on as it should`, bracketRemedy, atBracket},
		{"did not find expected node content", "not-yaml", "a value is missing or misplaced inside brackets", bracketRemedy, atBracket},
		{"found unexpected end of stream", "not-yaml", "the quote that opens here is never closed", "close the quote at the end of the value", there},
		{"found unexpected document indicator", "not-yaml", `a quoted text holds a line that begins with "---" or "..."`, "close the quote before it, or indent the line", there},
		{"found unknown escape character", "not-yaml", `a "\" in double quotes begins an escape that does not exist`, `use single quotes, or write the "\" twice`, atEscape},
		{"did not find expected hexdecimal number", "not-yaml", `an escape with "\x" or "\u" needs hexadecimal digits`, `use single quotes, or write the "\" twice`, atEscape},
		{"found invalid Unicode character escape code", "not-yaml", "an escape names a character that does not exist", `use single quotes, or write the "\" twice`, atEscape},
		{"block sequence entries are not allowed in this context", "not-yaml", `a list item "- " stands where none can begin`, `begin each "- " on a line of its own, below its key`, there},
		{"did not find expected '-' indicator", "not-yaml", `a line among list items neither begins with "- " nor belongs to the item above`, `begin each item with "- ", and indent what belongs to it by two more spaces`, atWord},
		{"did not find expected key", "not-yaml", "the line does not fit the indentation of the lines above, or text follows a value that was complete", indentRemedy + `; quote a value that begins with a quote but goes on after it`, there},
		{"found a block entry with no", "not-yaml", "a list item is out of place", indentRemedy, there},
		{"did not find expected alphabetic or numeric character", "not-yaml", `a value begins with "&" or "*", which name anchors and aliases`, `put the value in quotes: "…"`, atWord},
		{"unknown anchor", "not-yaml", `a value begins with "*" but names no anchor`, `put the value in quotes: "…"`, atWord},
		{"did not find URI escaped octet", "not-yaml", `a value begins with "!", which names a tag`, `put the value in quotes: "…"`, atWord},
		{"did not find expected whitespace or line break", "not-yaml", `a value begins with "!", which names a tag`, `put the value in quotes: "…"`, atWord},
		{"found undefined tag handle", "not-yaml", `a value begins with "!", which names a tag`, `put the value in quotes: "…"`, atWord},
		{"expected tag URI", "not-yaml", `a value begins with "!", which names a tag`, `put the value in quotes: "…"`, atWord},
		{"did not find the expected '>'", "not-yaml", `a value begins with "!", which names a tag`, `put the value in quotes: "…"`, atWord},
		{"did not find expected comment or line break", "not-yaml", `a text that begins with "|" or ">" has something after it on the same line`, `begin the text on the next line, indented; or quote it`, there},
		{"found an indentation indicator equal to 0", "not-yaml", `a text block cannot be indented by 0`, `remove the digit after "|" or ">"`, there},
		{"did not find expected <document start>", "not-yaml", "something follows the end of the document", "remove it: one file holds one mapping", there},
		{"exceeded max depth", "too-deep", "values lie within one another thousands of levels deep", "check the brackets: no file of a report needs that many levels", there},
		{"mapping keys are not allowed in this context", "not-yaml", `a "?" stands where no key can begin`, `put the value in quotes: "…"`, there},
		{"found unknown directive name", "not-yaml", `a line begins with "%"`, `put the value in quotes, or remove the line`, there},
		{"could not find expected directive name", "not-yaml", `a line begins with "%"`, `put the value in quotes, or remove the line`, there},
	}
}

var reportedLine = regexp.MustCompile(`^(?:yaml: )?line (\d+): `)

// syntaxFinding says where and why a text is no YAML. The library gives at most
// a line, often that of the construct around the fault; the place is found by
// asking which beginning of the text is the shortest to draw the same complaint.
func syntaxFinding(path string, text []byte, err error) Finding {
	complaint := strings.TrimPrefix(reportedLine.ReplaceAllString(err.Error(), ""), "yaml: ")
	offset := 0
	if len(text) <= mostSearched {
		offset = faultOffset(text, complaint)
	} else if m := reportedLine.FindStringSubmatch(err.Error()); m != nil {
		n, _ := strconv.Atoi(m[1])
		offset = lineStart(text, n)
	}
	f := Finding{Rule: "not-yaml", Width: 1,
		Message: "this is not YAML: " + complaint, Remedy: "compare the line and the one above with the examples in the documentation"}
	for _, s := range knownSlips() {
		if strings.Contains(complaint, s.complaint) {
			f.Rule, f.Message, f.Remedy = s.rule, s.message, s.remedy
			offset = s.from.before(text, offset)
			break
		}
	}
	f.Place = placeAt(path, text, offset)
	if at, ok := tabBefore(text, f.Line); ok {
		f.Rule, f.Place = "tab", placeAt(path, text, at)
		f.Message, f.Remedy = "a tab stands where the indentation should be", "replace the tab by spaces, two for each level"
	}
	return f
}

// mostSearched is the longest text that is parsed again and again to find where
// a fault is; in a longer one, the line that the library names has to do.
const mostSearched = 256 << 10

// lineStart gives the offset at which a line begins, the last one's at most.
func lineStart(text []byte, line int) int {
	start := 0
	for n := 1; n < line; n++ {
		_, next := lineEnd(text, start)
		if next >= len(text) {
			break
		}
		start = next
	}
	return start
}

// before goes back from the character that completes a fault to where a person
// would look for it.
func (b beginning) before(text []byte, offset int) int {
	switch b {
	case atEscape:
		if i := bytes.LastIndexByte(text[:offset], '\\'); i >= 0 && offset-i <= 8 {
			return i
		}
	case atWord:
		start := offset
		for start > 0 && !bytes.ContainsRune([]byte(" \t\r\n[{,"), rune(text[start-1])) {
			start--
		}
		return start
	case atBracket:
		if i := openBracket(text[:min(offset+1, len(text))]); i >= 0 {
			return i
		}
	}
	return offset
}

// openBracket gives the offset of the innermost bracket that is still open at
// the end of text, or -1. Brackets inside quotes and comments do not count, nor
// do those inside a plain text.
func openBracket(text []byte) int {
	var open []int
	quote := byte(0)
	fresh := true // a value could begin here
	for i, c := range text {
		switch {
		case quote != 0:
			if c == quote && !(quote == '"' && text[i-1] == '\\') {
				quote = 0
			}
			continue
		case (c == '[' || c == '{') && (fresh || len(open) > 0):
			open = append(open, i)
		case (c == ']' || c == '}') && len(open) > 0:
			open = open[:len(open)-1]
		case (c == '"' || c == '\'') && fresh:
			quote = c
		case c == '#' && (i == 0 || text[i-1] <= ' '):
			quote = '\n' // up to the end of the line
		}
		fresh = c == ':' || c == '-' || c == ',' || c == '[' || c == '{' || c == '\n' || fresh && c == ' '
	}
	if len(open) == 0 {
		return -1
	}
	return open[len(open)-1]
}

// faultOffset gives the offset of the character that completes the fault.
func faultOffset(text []byte, complaint string) int {
	fails := func(n int) bool {
		_, _, err := decodeYAML(text[:n])
		return err != nil && strings.Contains(err.Error(), complaint)
	}
	// Line by line from the end, in growing steps, then halving: a fault that
	// only the end of the text completes (an open quote) is found where it
	// opened, as every longer beginning draws the same complaint.
	ends := []int{0}
	for start := 0; start < len(text); {
		_, next := lineEnd(text, start)
		ends = append(ends, next)
		start = next
	}
	line := smallest(len(ends)-1, func(i int) bool { return fails(ends[i]) })
	if line == 0 {
		return 0
	}
	from, to := ends[line-1], ends[line]
	// Within the line by characters, unless it is so long that this would take too much time.
	if to-from > 2000 {
		return from
	}
	var starts []int
	for i := from; i < to; {
		_, n := utf8.DecodeRune(text[i:to])
		i += n
		starts = append(starts, i)
	}
	at := smallest(len(starts)-1, func(i int) bool { return fails(starts[i]) })
	if at == 0 {
		return from
	}
	return starts[at-1]
}

// smallest gives the smallest i from 0 to n such that hold is true from there
// up to n, where it is true; it assumes that hold changes rarely.
func smallest(n int, hold func(int) bool) int {
	low, high := -1, n
	for step := 1; high > 0; step *= 2 {
		i := max(high-step, 0)
		if !hold(i) {
			low = i
			break
		}
		high = i
	}
	for high-low > 1 {
		middle := low + (high-low)/2
		if hold(middle) {
			high = middle
		} else {
			low = middle
		}
	}
	return high
}

// tabBefore looks for a tab in the indentation of a line or of the one above,
// which is what people's editors put there and what the library rarely names.
func tabBefore(text []byte, line int) (int, bool) {
	start := 0
	for n := 1; start < len(text) && n <= line; n++ {
		end, next := lineEnd(text, start)
		if n >= line-1 {
			indent := text[start:end]
			indent = indent[:len(indent)-len(bytes.TrimLeft(indent, " \t"))]
			if i := bytes.IndexByte(indent, '\t'); i >= 0 && len(indent) < end-start {
				return start + i, true
			}
		}
		start = next
	}
	return 0, false
}
