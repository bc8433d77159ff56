package project

import (
	"strings"
	"unsafe"
)

// texts keeps the few texts of a file that are worth keeping, together in
// memory, and equal ones once.
type texts struct {
	chunk []byte
	known map[string]string
}

// keep copies a text out of the row, which is about to be reused.
func (t *texts) keep(s string) string {
	if s == "" {
		return ""
	}
	if k, ok := t.known[s]; ok {
		return k
	}
	var k string
	if len(s) > 64 {
		k = strings.Clone(s)
	} else {
		if cap(t.chunk)-len(t.chunk) < len(s) {
			t.chunk = make([]byte, 0, 1<<16)
		}
		at := len(t.chunk)
		t.chunk = append(t.chunk, s...)
		k = stringOf(t.chunk[at:])
	}
	if len(t.known) < 1<<14 {
		t.known[k] = k
	}
	return k
}

// stringOf gives bytes that never change again as a string.
func stringOf(b []byte) string { return unsafe.String(unsafe.SliceData(b), len(b)) }
