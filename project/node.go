package project

import (
	"iter"
	"strings"
	"unicode/utf8"

	"benchwright/schema"

	"gopkg.in/yaml.v3"
)

// node is a value of a YAML document that knows its file. The zero node stands
// for a value that is not there; every method answers for it, so that a
// missing or misshapen part reads as empty. What is misshapen has been
// reported by schema already.
type node struct {
	y    *yaml.Node
	file string
}

// documentNode gives the root of a document, which may be absent.
func documentNode(d *schema.Document) node {
	if d == nil {
		return node{}
	}
	return node{d.Root, d.Path}
}

func (n node) here() bool { return n.y != nil && !n.null() }

func (n node) null() bool {
	return n.y != nil && n.y.Kind == yaml.ScalarNode && n.y.Tag == "!!null"
}

func (n node) isMap() bool    { return n.y != nil && n.y.Kind == yaml.MappingNode }
func (n node) isList() bool   { return n.y != nil && n.y.Kind == yaml.SequenceNode }
func (n node) isScalar() bool { return n.y != nil && n.y.Kind == yaml.ScalarNode && !n.null() }

// place is where the value stands.
func (n node) place() schema.Place {
	if n.y == nil {
		return schema.Place{File: n.file}
	}
	return schema.Place{File: n.file, Line: n.y.Line, Column: n.y.Column}
}

// width is the number of characters to mark.
func (n node) width() int {
	if n.y == nil || n.y.Kind != yaml.ScalarNode || n.y.Style&(yaml.LiteralStyle|yaml.FoldedStyle) != 0 {
		return 0
	}
	w := utf8.RuneCountInString(n.y.Value)
	if n.y.Style&(yaml.SingleQuotedStyle|yaml.DoubleQuotedStyle) != 0 {
		w += 2
	}
	return w
}

// get gives the value of a key of a mapping.
func (n node) get(key string) node {
	_, value := n.find(key)
	return value
}

// find gives key and value.
func (n node) find(key string) (node, node) {
	for k, v := range n.pairs() {
		if k.y.Value == key {
			return k, v
		}
	}
	return node{nil, n.file}, node{nil, n.file}
}

// pairs goes through a mapping in the order of the file. Of equal keys only
// the first comes.
func (n node) pairs() iter.Seq2[node, node] {
	return func(yield func(node, node) bool) {
		if !n.isMap() {
			return
		}
		seen := make(map[string]bool, len(n.y.Content)/2)
		for i := 0; i+1 < len(n.y.Content); i += 2 {
			k := n.y.Content[i]
			if k.Kind != yaml.ScalarNode || seen[k.Value] {
				continue
			}
			seen[k.Value] = true
			if !yield(node{k, n.file}, node{n.y.Content[i+1], n.file}) {
				return
			}
		}
	}
}

// items goes through a list; a single scalar counts as a list of one.
func (n node) items() iter.Seq[node] {
	return func(yield func(node) bool) {
		if n.isScalar() {
			yield(n)
			return
		}
		if !n.isList() {
			return
		}
		for _, y := range n.y.Content {
			if !yield(node{y, n.file}) {
				return
			}
		}
	}
}

// text is the scalar as written, without spaces around it.
func (n node) text() string {
	if !n.isScalar() {
		return ""
	}
	return strings.TrimSpace(n.y.Value)
}

// yes is a boolean that is false when nothing was written.
func (n node) yes() bool { return n.text() == "true" }
