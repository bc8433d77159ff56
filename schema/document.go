package schema

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"gopkg.in/yaml.v3"
)

// Document is one YAML file of the folder.
type Document struct {
	Path string
	// Root is a mapping. Below it there are only mappings, sequences and
	// scalars: an alias is replaced by what it stands for, with the place of
	// the alias itself (what lies within keeps the place where it is written).
	// Keys are scalars and differ within one mapping. Tag is one of !!map,
	// !!seq, !!str, !!int, !!float, !!bool and !!null, by the rules of YAML 1.2
	// narrowed to what people expect: only true and false are boolean, and
	// dates and words such as yes, no, on and off are text. Line and Column
	// count from 1, Column in characters.
	Root *yaml.Node
	// Valid says that the schema had no fault to find: every key is known,
	// every value has a type that its key allows, nothing required is missing.
	Valid bool
}

// Tags of the nodes of a Document.
const (
	tagMap   = "!!map"
	tagSeq   = "!!seq"
	tagText  = "!!str"
	tagInt   = "!!int"
	tagFloat = "!!float"
	tagBool  = "!!bool"
	tagNull  = "!!null"
)

// parse turns the text of a YAML file into a document; nil when it has none.
func parse(path string, text []byte) (*Document, []Finding) {
	if f, ok := controls(path, text); !ok {
		return nil, []Finding{f}
	}
	root, second, err := decodeYAML(text)
	if err != nil {
		return nil, []Finding{syntaxFinding(path, text, err)}
	}
	if root == nil || len(root.Content) == 0 || emptyScalar(root.Content[0]) {
		return nil, []Finding{{Rule: "empty-file", Place: Place{File: path}, Message: "holds nothing but comments and empty lines",
			Remedy: "write the file, or remove it"}}
	}
	r := &resolver{path: path, sizes: map[*yaml.Node]int{}, heights: map[*yaml.Node]int{}}
	if second != nil {
		r.add(second, 3, "many-documents", `a second YAML document starts here`, `remove the line "---": one file holds one document`)
	}
	top := root.Content[0]
	total := r.size(top)
	if !r.hopeless {
		r.tooDeep(top)
	}
	if total > MostNodes && !r.hopeless {
		r.add(top, 1, "too-large", fmt.Sprintf("the file has more than %d values once every alias is written out", MostNodes),
			"write the values out without anchors and aliases")
		r.hopeless = true
	}
	if r.hopeless {
		return nil, r.findings
	}
	top = r.resolve(top)
	if top.Kind != yaml.MappingNode {
		r.add(top, width(top), "wrong-type", fmt.Sprintf("the file holds %s where keys with values belong", kindWords(top)),
			`write lines such as "title: My report"`)
		return nil, r.findings
	}
	return &Document{Path: path, Root: top}, r.findings
}

// decodeYAML gives the first document of a file, and the start of a second if
// there is one. The library's own panics become errors.
func decodeYAML(text []byte) (first, second *yaml.Node, err error) {
	defer func() {
		if r := recover(); r != nil {
			first, second, err = nil, nil, fmt.Errorf("yaml: %v", r)
		}
	}()
	d := yaml.NewDecoder(bytes.NewReader(text))
	var a, b yaml.Node
	if err := d.Decode(&a); errors.Is(err, io.EOF) {
		return nil, nil, nil
	} else if err != nil {
		return nil, nil, err
	}
	err = d.Decode(&b)
	switch {
	case errors.Is(err, io.EOF):
		return &a, nil, nil
	case err != nil:
		return nil, nil, err
	case len(b.Content) == 1 && emptyScalar(b.Content[0]):
		return &a, nil, nil // a closing "---" or "..." does no harm
	}
	return &a, &b, nil
}

func emptyScalar(n *yaml.Node) bool {
	return n.Kind == yaml.ScalarNode && n.Value == "" && n.Style&(yaml.SingleQuotedStyle|yaml.DoubleQuotedStyle) == 0
}

// resolver makes a tree safe to walk: it bounds depth and size, replaces
// aliases, settles tags, and finds keys that occur twice.
type resolver struct {
	path     string
	findings []Finding
	sizes    map[*yaml.Node]int
	heights  map[*yaml.Node]int // levels, the value itself included
	hopeless bool               // the tree cannot be walked
}

// Marks in sizes.
const sizing = -1

func (r *resolver) place(n *yaml.Node) Place {
	return Place{File: r.path, Line: n.Line, Column: n.Column}
}

func (r *resolver) add(n *yaml.Node, width int, rule, message, remedy string) {
	r.findings = append(r.findings, Finding{Rule: rule, Place: r.place(n), Width: width, Message: message, Remedy: remedy})
}

// size counts the values under n with aliases written out, at most a little
// above MostNodes, and notes how many levels there are. Each node is counted
// once, however often it is named, so that a file whose aliases multiply costs
// no more than its length.
func (r *resolver) size(n *yaml.Node) int {
	if s, ok := r.sizes[n]; ok {
		if s == sizing {
			r.add(n, 1, "too-deep", "an alias stands inside the very value that it repeats", "write the value out")
			r.hopeless = true
			return 1
		}
		return s
	}
	r.sizes[n] = sizing
	total, height := 1, 0
	if n.Kind == yaml.AliasNode {
		total = r.size(n.Alias)
		height = r.heights[n.Alias] - 1
	}
	for _, c := range n.Content {
		total = min(total+r.size(c), MostNodes+1)
		height = max(height, r.heights[c])
	}
	r.sizes[n], r.heights[n] = total, height+1
	return total
}

// tooDeep looks for a branch with more levels than allowed, and reports the
// first value beyond them.
func (r *resolver) tooDeep(n *yaml.Node) {
	if r.heights[n] <= DeepestYAML {
		return
	}
	for depth := 1; depth <= DeepestYAML; depth++ {
		next := n.Content
		if n.Kind == yaml.AliasNode {
			next = n.Alias.Content
		}
		for _, c := range next {
			if r.heights[c] > DeepestYAML-depth {
				n = c
				break
			}
		}
	}
	r.add(n, 1, "too-deep", fmt.Sprintf("values lie within one another more than %d levels deep", DeepestYAML),
		"check the indentation and the brackets: no file of a report needs that many levels")
	r.hopeless = true
}

// resolve gives n without aliases, with tags settled.
func (r *resolver) resolve(n *yaml.Node) *yaml.Node {
	if n.Kind == yaml.AliasNode {
		target := *r.resolve(n.Alias)
		target.Line, target.Column, target.Anchor = n.Line, n.Column, ""
		target.HeadComment, target.LineComment, target.FootComment = n.HeadComment, n.LineComment, n.FootComment
		return &target
	}
	if r.sizes[n] == resolved {
		return n
	}
	r.sizes[n] = resolved
	if n.Style&yaml.TaggedStyle != 0 {
		r.checkTag(n)
	}
	switch n.Kind {
	case yaml.ScalarNode:
		n.Tag = scalarTag(n)
	case yaml.SequenceNode:
		n.Tag = tagSeq
		for i, c := range n.Content {
			n.Content[i] = r.resolve(c)
		}
	case yaml.MappingNode:
		n.Tag = tagMap
		r.resolveMapping(n)
	}
	return n
}

// resolved marks in sizes a node that has been through resolve.
const resolved = -2

// resolveMapping settles keys: scalars, each once. What cannot be kept is
// taken out of the mapping, with a finding.
func (r *resolver) resolveMapping(n *yaml.Node) {
	first := map[string]*yaml.Node{}
	kept := n.Content[:0]
	for i := 0; i+1 < len(n.Content); i += 2 {
		key, value := n.Content[i], n.Content[i+1]
		switch {
		case key.Kind == yaml.ScalarNode && key.Value == "<<" && key.Style&(yaml.SingleQuotedStyle|yaml.DoubleQuotedStyle) == 0:
			r.add(key, 2, "merge-key", `the merge key "<<" is not part of YAML 1.2`,
				"write the keys out; configurations can share values through based-on, and bench.yaml through common")
			continue
		case key.Kind != yaml.ScalarNode && key.Kind != yaml.AliasNode:
			r.add(key, 1, "wrong-type", "a key is "+kindWords(key)+" where a word belongs",
				`write a word and a colon; quote a value that starts with "{", "[" or "?"`)
			continue
		}
		if len(kept) > 0 && n.Style&yaml.FlowStyle != 0 && r.decimalComma(kept[len(kept)-1], key, value) {
			continue
		}
		key = r.resolve(key)
		value = r.resolve(value)
		if key.Kind != yaml.ScalarNode {
			r.add(key, 1, "wrong-type", "a key is an alias of "+kindWords(key), "write the key out")
			continue
		}
		if before := first[key.Value]; before != nil {
			r.findings = append(r.findings, Finding{Rule: "duplicate-key", Place: r.place(key), Width: width(key),
				Message: fmt.Sprintf("the key %q stands here a second time", key.Value),
				Remedy:  "keep one of the two",
				Related: []Related{{Place: r.place(before), Message: "first written here"}}})
			continue
		}
		first[key.Value] = key
		kept = append(kept, key, value)
	}
	n.Content = kept
}

// afterComma is what follows the decimal comma of a number: digits, and a unit.
var afterComma = regexp.MustCompile(`^([0-9]+)(\s*[^0-9\s].*)?$`)

// decimalComma reports a number with a decimal comma between braces, where a
// comma ends the value and what follows is taken for a key: {room: 22,0 °C}.
// The value becomes what was meant, so that nothing else is said about it.
func (r *resolver) decimalComma(before, key, value *yaml.Node) bool {
	if before.Kind != yaml.ScalarNode || before.Tag != tagInt || key.Kind != yaml.ScalarNode || key.Style != 0 || !emptyScalar(value) || value.Style&yaml.TaggedStyle != 0 ||
		key.Line != before.Line || key.Column != before.Column+len(before.Value)+1 {
		return false
	}
	m := afterComma.FindStringSubmatch(key.Value)
	if m == nil {
		return false
	}
	written, point := before.Value+","+key.Value, before.Value+"."+key.Value
	remedy := "write " + point + ": a number in YAML has a decimal point"
	if len(m[1]) == 3 { // perhaps thousands
		remedy = "write " + before.Value + key.Value + " or " + point + ", whichever is meant: a number in YAML has a decimal point and no separator of thousands"
	}
	r.add(before, utf8.RuneCountInString(written), "bad-pattern", strconv.Quote(short(written))+" is not a number with or without a unit: between braces a comma ends the value", remedy)
	before.Value = point
	before.Tag = scalarTag(before)
	return true
}

// checkTag refuses tags other than those of plain values.
func (r *resolver) checkTag(n *yaml.Node) {
	known := []string{tagMap, tagSeq, tagText, tagInt, tagFloat, tagBool, tagNull}
	if slices.Contains(known, n.Tag) {
		return
	}
	r.add(n, width(n), "unknown-tag", fmt.Sprintf("the tag %q means nothing in a report", n.Tag), "remove the tag and write the value plainly")
}

// scalarTag settles what a scalar is from how it is written.
func scalarTag(n *yaml.Node) string {
	if n.Style&(yaml.SingleQuotedStyle|yaml.DoubleQuotedStyle|yaml.LiteralStyle|yaml.FoldedStyle) != 0 {
		return tagText
	}
	if n.Style&yaml.TaggedStyle != 0 && n.Tag == tagText {
		return tagText
	}
	switch n.Value {
	case "", "~", "null":
		return tagNull
	case "true", "false":
		return tagBool
	}
	if _, whole, ok := plainNumber(n.Value); ok {
		if whole {
			return tagInt
		}
		return tagFloat
	}
	return tagText
}

// plainNumber reads a number as YAML 1.2 writes it: decimal, with a point, no
// separators, no infinities. whole says that it is written without point and
// exponent.
func plainNumber(t string) (v float64, whole, ok bool) {
	if len(t) == 0 || t[0] > '9' || t[len(t)-1] > '9' {
		return 0, false, false
	}
	plain, ok := decimal(t, '.')
	if !ok || strings.HasPrefix(t, "\u2212") {
		return 0, false, false
	}
	v, err := strconv.ParseFloat(plain, 64)
	return v, !strings.ContainsAny(t, ".eE"), err == nil
}

// kindWords names what a node is, for a sentence.
func kindWords(n *yaml.Node) string {
	switch n.Kind {
	case yaml.MappingNode:
		return "a mapping (keys with values)"
	case yaml.SequenceNode:
		return "a list"
	}
	switch n.Tag {
	case tagInt, tagFloat:
		return "a number"
	case tagBool:
		return "true or false"
	case tagNull:
		return "nothing"
	}
	return "text"
}

// width is how many characters of the line to mark for n.
func width(n *yaml.Node) int {
	if n.Kind != yaml.ScalarNode {
		return 1
	}
	w := utf8.RuneCountInString(n.Value)
	switch {
	case n.Style&(yaml.LiteralStyle|yaml.FoldedStyle) != 0, strings.ContainsRune(n.Value, '\n'):
		return 1
	case n.Style&(yaml.SingleQuotedStyle|yaml.DoubleQuotedStyle) != 0:
		w += 2
	}
	return max(w, 1)
}

// controls finds a character that has no business in a YAML file before the
// library does, which could not say where. U+0085, U+2028 and U+2029 are among
// them: they end a line for YAML 1.1 and for no editor.
func controls(path string, text []byte) (Finding, bool) {
	for i := 0; i < len(text); {
		c, n := utf8.DecodeRune(text[i:])
		f := Finding{Rule: "control-character", Remedy: "delete it (it is invisible in most editors; retype the line if need be)"}
		switch {
		case c == 0x85 || c == 0x2028 || c == 0x2029:
			f.Message = fmt.Sprintf("there is an invisible line separator, U+%04X, inside the line", c)
		case c < ' ' && c != '\t' && c != '\n' && c != '\r' || c >= 0x7f && c < 0xa0 || c == 0xfffe || c == 0xffff:
			f.Message = fmt.Sprintf("the control character U+%04X cannot stand in a YAML file", c)
		}
		if f.Message != "" {
			f.Place = placeAt(path, text, i)
			return f, false
		}
		i += n
	}
	return Finding{}, true
}
