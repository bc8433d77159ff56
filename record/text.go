package record

import (
	"bytes"
	"cmp"
	"encoding/binary"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"unicode/utf16"

	"benchwright/project"
	"benchwright/schema"
)

// LargestText bounds the output of a test, in bytes.
const LargestText = 64 << 20

// FromText finds readings in the text that a test printed, by the patterns of
// workloads.yaml. workload may be empty: then every workload with patterns is
// looked for. Each match is a repeat, in the order of the text; where several
// patterns find the same number, it counts once; what is only a part of a number
// is a finding. A group named unit gives the unit that the test printed; where
// it found nothing, the number is in the unit of the workload's readings. name
// is the text's file, for messages.
func FromText(p *project.Project, text []byte, name, configuration, workload, session string) ([]Reading, []schema.Finding) {
	if len(text) > LargestText {
		return nil, []schema.Finding{finding("too-large", schema.Place{File: name}, "cut it to the part with the results", "the text is larger than %d MB", LargestText>>20)}
	}
	text = plainText(text)
	type match struct {
		from, to int
		workload string
		unit     string
		pattern  project.Pattern
	}
	var matches []match
	var bad []schema.Finding
	looked := 0
	for _, w := range p.Workloads {
		if workload != "" && w.ID != workload || !isRead(w) {
			continue
		}
		for _, pattern := range w.Patterns {
			looked++
			expression, f := compile(w.ID, pattern)
			if f != nil {
				bad = append(bad, *f)
				continue
			}
			group, unit := expression.SubexpIndex(project.PatternValue), expression.SubexpIndex(project.PatternUnit)
			for _, m := range expression.FindAllSubmatchIndex(text, mostReadings) {
				if from, to := m[2*group], m[2*group+1]; from >= 0 {
					one := match{from: from, to: to, workload: w.ID, pattern: pattern}
					if unit >= 0 && m[2*unit] >= 0 {
						one.unit = string(bytes.TrimSpace(text[m[2*unit]:m[2*unit+1]]))
					}
					matches = append(matches, one)
				}
			}
		}
	}
	if len(bad) == 0 && len(matches) == 0 {
		f := finding("no-match", schema.Place{File: name}, "", "no reading was found in the text")
		switch {
		case looked == 0 && workload != "":
			f.Remedy = fmt.Sprintf("give workload %q patterns in workloads.yaml", workload)
		case looked == 0:
			f.Remedy = "give the workloads patterns in workloads.yaml"
		default:
			f.Remedy = "hold the patterns in workloads.yaml against a line of the text"
		}
		return nil, append(bad, f)
	}
	slices.SortStableFunc(matches, func(a, b match) int {
		// Of two that found the same number, the one that knows its unit counts.
		return cmp.Or(cmp.Compare(a.from, b.from), strings.Compare(a.workload, b.workload), cmp.Compare(min(len(b.unit), 1), min(len(a.unit), 1)))
	})
	var out []Reading
	line, counted := 1, 0
	for i, m := range matches {
		if i > 0 && matches[i-1].from == m.from && matches[i-1].workload == m.workload {
			continue
		}
		line += bytes.Count(text[counted:m.from], []byte("\n"))
		counted = m.from
		start := bytes.LastIndexByte(text[:m.from], '\n') + 1
		at := schema.Place{File: name, Line: line, Column: 1 + len([]rune(string(text[start:m.from])))}
		if f := cutNumber(m.workload, m.pattern, text, m.from, m.to, at); f != nil {
			bad = append(bad, *f)
			continue
		}
		out = append(out, Reading{Configuration: configuration, Workload: m.workload, Session: session, Value: string(text[m.from:m.to]), Unit: m.unit, At: at})
	}
	return out, bad
}

// compile makes a pattern ready; ^ and $ stand for the ends of a line.
func compile(workload string, pattern project.Pattern) (*regexp.Regexp, *schema.Finding) {
	expression, err := regexp.Compile("(?m)" + pattern.Match)
	if err != nil {
		f := finding("bad-pattern", pattern.Place, "the syntax is that of RE2, with a group named value", "the pattern of %q cannot be read: %v", workload, err)
		return nil, &f
	}
	if expression.SubexpIndex(project.PatternValue) < 0 {
		f := finding("bad-pattern", pattern.Place, "put (?P<value>…) around the number", "the pattern of %q has no group named value", workload)
		return nil, &f
	}
	return expression, nil
}

// plainText gives a text in UTF-8 with "\n" between lines. A byte-order mark
// tells UTF-16, in which some consoles write.
func plainText(text []byte) []byte {
	var order binary.ByteOrder
	switch {
	case bytes.HasPrefix(text, []byte{0xff, 0xfe}):
		order = binary.LittleEndian
	case bytes.HasPrefix(text, []byte{0xfe, 0xff}):
		order = binary.BigEndian
	}
	if order != nil {
		units := make([]uint16, 0, len(text)/2)
		for i := 2; i+1 < len(text); i += 2 {
			units = append(units, order.Uint16(text[i:]))
		}
		text = []byte(string(utf16.Decode(units)))
	}
	text = bytes.TrimPrefix(text, []byte("\xef\xbb\xbf"))
	return bytes.ReplaceAll(text, []byte("\r\n"), []byte("\n"))
}

// LooksLikeTable says whether a text is a CSV table of readings rather than the
// output of a test: its first line names configuration, workload and value, or
// configuration and a workload.
func LooksLikeTable(p *project.Project, text []byte) bool {
	first, _, _ := bytes.Cut(plainText(text[:min(len(text), 64<<10)]), []byte("\n"))
	words := strings.FieldsFunc(string(first), func(r rune) bool { return strings.ContainsRune(",;\t", r) })
	has := map[string]bool{}
	workload := false
	for _, word := range words {
		id, _ := columnUnit(strings.Trim(strings.TrimSpace(word), `"`))
		has[id] = true
		workload = workload || p.Workload(id) != nil
	}
	return has["configuration"] && (has["workload"] && has["value"] || workload)
}
