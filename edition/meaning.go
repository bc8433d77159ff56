package edition

import (
	"bytes"
	"cmp"
	"encoding/csv"
	"encoding/json"
	"maps"
	"math"
	"path"
	"slices"
	"strconv"
	"strings"

	"benchwright/render/data"
)

// ofMeaning says whether a file that another version made says something that can
// be held against what this version makes: tables and records do. Descriptions
// and schemas tell of the version itself.
func ofMeaning(name string) bool {
	if !strings.HasPrefix(name, data.Folder) || strings.HasSuffix(name, ".schema.json") || name == data.DescriptorFile {
		return false
	}
	return path.Ext(name) == ".csv" || path.Ext(name) == ".json"
}

// meaning compares what two tables or records say, where both say something.
func (c *collector) meaning(published, recomputed []byte) {
	if path.Ext(c.name) == ".csv" {
		c.columns(published, recomputed)
		return
	}
	var a, b any
	if err := json.Unmarshal(published, &a); err != nil {
		c.add(Difference{Note: "is no JSON any more: " + err.Error()})
		return
	}
	if json.Unmarshal(recomputed, &b) == nil {
		c.values("", a, b)
	}
}

// columns compares the columns that two tables share, by their names.
func (c *collector) columns(published, recomputed []byte) {
	read := func(text []byte) ([][]string, error) {
		r := csv.NewReader(bytes.NewReader(text))
		r.FieldsPerRecord = -1 // what is too short is told by its cells
		return r.ReadAll()
	}
	a, err := read(published)
	if err != nil {
		c.add(Difference{Note: "is no table any more: " + err.Error()})
		return
	}
	b, err := read(recomputed)
	if err != nil {
		return // what this version writes is a table
	}
	if len(a) != len(b) {
		c.add(Difference{Note: "has " + strconv.Itoa(max(0, len(a)-1)) + " rows", Recomputed: strconv.Itoa(max(0, len(b)-1))})
		return
	}
	if len(a) == 0 {
		return
	}
	cell := func(row []string, i int) string {
		if i < len(row) {
			return row[i]
		}
		return ""
	}
	for i, name := range a[0] {
		k := slices.Index(b[0], name)
		if k < 0 {
			continue
		}
		for row := 1; row < len(a); row++ {
			if x, y := cell(a[row], i), cell(b[row], k); !sameMeaning(x, y) {
				c.add(Difference{Field: name, Note: "row " + strconv.Itoa(row), Published: x, Recomputed: y})
			}
		}
	}
}

// values compares two JSON values in the keys that both have; at is the path to
// them (RFC 6901).
func (c *collector) values(at string, a, b any) {
	switch a := a.(type) {
	case map[string]any:
		b, ok := b.(map[string]any)
		if !ok {
			break
		}
		for _, key := range slices.Sorted(maps.Keys(a)) {
			if other, ok := b[key]; ok && !madeBy(at, key) {
				c.values(at+"/"+strings.NewReplacer("~", "~0", "/", "~1").Replace(key), a[key], other)
			}
		}
		return
	case []any:
		b, ok := b.([]any)
		if !ok {
			break
		}
		if len(a) != len(b) {
			c.add(Difference{Field: cmp.Or(at, "/"), Note: "has " + strconv.Itoa(len(a)) + " entries", Recomputed: strconv.Itoa(len(b))})
			return
		}
		for i := range a {
			c.values(at+"/"+strconv.Itoa(i), a[i], b[i])
		}
		return
	}
	if x, y := written(a), written(b); !sameMeaning(x, y) {
		c.add(Difference{Field: cmp.Or(at, "/"), Published: x, Recomputed: y})
	}
}

// madeBy says that a key tells of the version, or of bytes that it wrote.
func madeBy(at, key string) bool {
	return at == "" && (key == "madeBy" || key == "arithmetic") || key == "record" || key == "sha256"
}

func written(v any) string {
	switch v := v.(type) {
	case string:
		return v
	case float64:
		return strconv.FormatFloat(v, 'g', -1, 64)
	case bool:
		return strconv.FormatBool(v)
	case nil:
		return ""
	}
	text, _ := json.Marshal(v)
	return string(text)
}

// sameMeaning says that two written values are the same number, to the digits
// that a method may keep from one version to the next, or the same identifier.
// Wording is no meaning: what is neither passes.
func sameMeaning(a, b string) bool {
	if a == b {
		return true
	}
	x, errA := strconv.ParseFloat(a, 64)
	y, errB := strconv.ParseFloat(b, 64)
	if errA == nil && errB == nil {
		return math.Abs(x-y) <= 1e-9*max(math.Abs(x), math.Abs(y))
	}
	return wording(a) && errB != nil || wording(b) && errA != nil
}

// wording says that a text is more than a number or an identifier.
func wording(s string) bool {
	return strings.ContainsFunc(s, func(r rune) bool {
		return (r < '0' || r > '9') && (r < 'a' || r > 'z') && (r < 'A' || r > 'Z') && !strings.ContainsRune("-._:+", r)
	})
}
