package schema

import (
	"strconv"

	"gopkg.in/yaml.v3"
)

// find walks from the root to a value; key is nil at the root and in lists.
func (v *verdict) find(path []string) (key, value *yaml.Node) {
	value = v.doc.Root
	for _, token := range path {
		switch value.Kind {
		case yaml.MappingNode:
			if i, ok := v.at(value, token); ok {
				key, value = value.Content[i], value.Content[i+1]
			}
		case yaml.SequenceNode:
			if i, err := strconv.Atoi(token); err == nil && i >= 0 && i < len(value.Content) {
				key, value = nil, value.Content[i]
			}
		}
	}
	return key, value
}

// at gives the index of a key in the content of a mapping.
func (v *verdict) at(mapping *yaml.Node, key string) (int, bool) {
	index := v.keys[mapping]
	if index == nil {
		index = map[string]int{}
		for i := 0; mapping.Kind == yaml.MappingNode && i < len(mapping.Content); i += 2 {
			index[mapping.Content[i].Value] = i
		}
		v.keys[mapping] = index
	}
	i, ok := index[key]
	return i, ok
}

func (v *verdict) place(n *yaml.Node) Place {
	return Place{File: v.doc.Path, Line: n.Line, Column: n.Column}
}

// item gives an item of a list, or the list itself when there is none.
func (v *verdict) item(list *yaml.Node, i int) *yaml.Node {
	if i >= 0 && i < len(list.Content) {
		return list.Content[i]
	}
	return list
}

// keyNode gives the node of a key in a mapping, or nil.
func keyNode(mapping *yaml.Node, name string) *yaml.Node {
	if mapping.Kind != yaml.MappingNode {
		return nil
	}
	for i := 0; i+1 < len(mapping.Content); i += 2 {
		if mapping.Content[i].Value == name {
			return mapping.Content[i]
		}
	}
	return nil
}

func hasKey(mapping *yaml.Node, name string) bool { return keyNode(mapping, name) != nil }
