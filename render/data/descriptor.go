package data

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"path"
	"slices"
	"strings"
	"unicode"

	"benchwright/cores"
	"benchwright/render/site"
)

// resource is one entry of the descriptor.
type resource struct {
	name  string
	path  string // relative to the descriptor
	bytes int
	hash  string
	table *table
	// write gives the file; it is called once, beside those of others.
	write func() []byte
}

// resource announces a file and its entry in the descriptor; t is nil but for
// tables.
func (m *maker) resource(name string, t *table, write func() []byte) {
	m.resources = append(m.resources, resource{name: resourceName(name), path: name, table: t, write: write})
}

// make writes what was announced, on every core: each file is made of the
// report alone. The error is one of the taker's.
func (m *maker) make() error {
	made, errs := make([][]byte, len(m.resources)), make([]error, len(m.resources))
	cores.Each(len(made), func(i int) {
		r := &m.resources[i]
		text := r.write()
		sum := sha256.Sum256(text)
		r.bytes, r.hash = len(text), "sha256:"+hex.EncodeToString(sum[:])
		made[i], errs[i] = m.hand(r.path, text)
	})
	for i, r := range m.resources {
		if errs[i] != nil {
			return errs[i]
		}
		m.list(r.path, r.bytes, made[i])
	}
	return nil
}

// hand gives a finished file to the taker, if there is one, and gives back what
// is to be kept of its bytes.
func (m *maker) hand(name string, text []byte) ([]byte, error) {
	if m.o.Take == nil {
		return text, nil
	}
	return nil, m.o.Take(site.File{Path: Folder + name, Data: text})
}

// resourceName gives a name of the letters that the standard recommends.
func resourceName(p string) string {
	name := strings.ToLower(p)
	if !strings.Contains(p, "/") && strings.HasSuffix(name, ".csv") {
		name = strings.TrimSuffix(name, ".csv")
	}
	return strings.Map(func(r rune) rune {
		switch {
		case 'a' <= r && r <= 'z', '0' <= r && r <= '9', r == '-', r == '_', r == '.':
			return r
		case r == '/':
			return '.'
		}
		return '-'
	}, name)
}

// The descriptor follows the Data Package standard, version 2.0, with its Data
// Resource, Table Dialect and Table Schema (datapackage.org/profiles/2.0).
type descriptor struct {
	Schema       string               `json:"$schema"`
	Name         string               `json:"name"`
	Title        string               `json:"title"`
	Description  string               `json:"description,omitempty"`
	Homepage     string               `json:"homepage,omitempty"`
	Version      string               `json:"version,omitempty"`
	Created      string               `json:"created,omitempty"`
	Keywords     []string             `json:"keywords,omitempty"`
	Licenses     []licence            `json:"licenses,omitempty"`
	Contributors []contributor        `json:"contributors,omitempty"`
	Sources      []source             `json:"sources,omitempty"`
	Resources    []descriptorResource `json:"resources"`
}

type licence struct {
	Name string `json:"name"`
	Path string `json:"path"`
}

type contributor struct {
	Title string   `json:"title"`
	Path  string   `json:"path,omitempty"`
	Roles []string `json:"roles"`
}

type source struct {
	Title string `json:"title"`
	Path  string `json:"path,omitempty"`
}

type descriptorResource struct {
	Name        string       `json:"name"`
	Path        string       `json:"path"`
	Type        string       `json:"type,omitempty"`
	Title       string       `json:"title"`
	Description string       `json:"description,omitempty"`
	Format      string       `json:"format,omitempty"`
	MediaType   string       `json:"mediatype,omitempty"`
	Encoding    string       `json:"encoding,omitempty"`
	Bytes       int          `json:"bytes"`
	Hash        string       `json:"hash"`
	Dialect     *dialect     `json:"dialect,omitempty"`
	Schema      *tableSchema `json:"schema,omitempty"`
	JSONSchema  string       `json:"jsonSchema,omitempty"`
}

type dialect struct {
	Header         bool   `json:"header"`
	Delimiter      string `json:"delimiter"`
	LineTerminator string `json:"lineTerminator"`
	QuoteChar      string `json:"quoteChar"`
	DoubleQuote    bool   `json:"doubleQuote"`
}

type tableSchema struct {
	Fields        []field      `json:"fields"`
	MissingValues []string     `json:"missingValues"`
	PrimaryKey    []string     `json:"primaryKey,omitempty"`
	ForeignKeys   []foreignKey `json:"foreignKeys,omitempty"`
}

type field struct {
	Name        string `json:"name"`
	Type        string `json:"type"`
	Title       string `json:"title,omitempty"`
	Description string `json:"description"`
	// Unit is not of the standard, which allows further properties.
	Unit        string       `json:"unit,omitempty"`
	Constraints *constraints `json:"constraints,omitempty"`
}

type constraints struct {
	Required bool     `json:"required,omitempty"`
	Enum     []string `json:"enum,omitempty"`
}

type foreignKey struct {
	Fields    []string         `json:"fields"`
	Reference foreignReference `json:"reference"`
}

type foreignReference struct {
	Resource string   `json:"resource,omitempty"`
	Fields   []string `json:"fields"`
}

// descriptor writes datapackage.json.
func (m *maker) descriptor() []byte {
	p := m.r.Project
	d := descriptor{
		Schema: "https://datapackage.org/profiles/2.0/datapackage.json",
		Name:   packageName(p.Title), Title: p.Title, Description: m.description(), Homepage: m.base,
		Version: p.Date,
	}
	if p.Date != "" {
		// The standard wants a date with a time; an edition has a day only.
		d.Created = p.Date + "T00:00:00Z"
	}
	for _, id := range licenceIDs(p.Licence) {
		d.Licenses = append(d.Licenses, licence{id, licencePage(id)})
	}
	for _, a := range p.Authors {
		d.Contributors = append(d.Contributors, contributor{a.Name, a.URL, []string{"creator"}})
	}
	for _, w := range p.Workloads {
		if w.Source != "" {
			s := source{Title: w.Label + ": " + w.Source}
			if strings.HasPrefix(w.Source, "https://") || strings.HasPrefix(w.Source, "http://") {
				s = source{w.Label, w.Source}
			}
			d.Sources = append(d.Sources, s)
		}
	}
	seen := map[string]bool{}
	for _, r := range m.resources {
		for seen[r.name] { // two files whose names differ in letters outside a to z
			r.name += "-2"
		}
		seen[r.name] = true
		d.Resources = append(d.Resources, m.describe(r))
	}
	return indented(d)
}

func (m *maker) describe(r resource) descriptorResource {
	out := descriptorResource{Name: r.name, Path: r.path, Title: what(m.book, Folder+r.path), Bytes: r.bytes, Hash: r.hash}
	out.Format = strings.TrimPrefix(strings.ToLower(path.Ext(r.path)), ".")
	out.MediaType = mediaType(out.Format)
	switch out.Format {
	case "csv", "json", "yaml", "md", "txt":
		out.Encoding = "utf-8"
	}
	if out.Format == "json" && !strings.HasSuffix(r.path, ".schema.json") {
		name := strings.TrimSuffix(r.path, ".json")
		if name == "previous" {
			name = "report"
		}
		out.JSONSchema = name + ".schema.json"
	}
	if r.table == nil {
		return out
	}
	out.Type = "table"
	out.Description = m.book.Say("data.about." + r.table.name)
	out.Dialect = &dialect{Header: true, Delimiter: ",", LineTerminator: "\r\n", QuoteChar: `"`, DoubleQuote: true}
	out.Schema = &tableSchema{MissingValues: []string{""}, PrimaryKey: r.table.key}
	for _, c := range r.table.columns {
		f := field{Name: c.name, Type: c.kind, Title: c.title, Unit: c.unit, Description: m.book.Say(cmp.Or(c.key, "data.column."+c.name))}
		if c.title != "" {
			f.Description = m.book.Say(c.key, "factor", c.title)
		}
		if c.required || len(c.among) > 0 {
			f.Constraints = &constraints{Required: c.required, Enum: c.among}
		}
		out.Schema.Fields = append(out.Schema.Fields, f)
	}
	for _, x := range r.table.references {
		key := foreignKey{Fields: []string{x.column}}
		to := map[string]string{"configurations": "configuration", "workloads": "workload", "sessions": "session"}[x.table]
		key.Reference.Fields = []string{to}
		if x.table != r.table.name { // a reference to the table itself names none
			key.Reference.Resource = x.table
		}
		out.Schema.ForeignKeys = append(out.Schema.ForeignKeys, key)
	}
	return out
}

// mediaType gives the media type of a file by its ending, empty when unknown.
func mediaType(ending string) string {
	switch ending {
	case "csv":
		return "text/csv"
	case "json":
		return "application/json"
	case "yaml":
		return "application/yaml"
	case "md":
		return "text/markdown"
	case "txt":
		return "text/plain"
	case "svg":
		return "image/svg+xml"
	case "png", "webp", "avif", "jpeg":
		return "image/" + ending
	case "jpg":
		return "image/jpeg"
	case "css", "html":
		return "text/" + ending
	case "js":
		return "text/javascript"
	}
	return ""
}

// packageName makes a name of lower-case letters, digits and hyphens from a
// title.
func packageName(title string) string {
	var b strings.Builder
	for _, r := range strings.ToLower(title) {
		switch {
		case 'a' <= r && r <= 'z', '0' <= r && r <= '9':
			b.WriteRune(r)
		case unicode.IsSpace(r) || r == '-' || r == '_' || r == '/':
			if s := b.String(); s != "" && !strings.HasSuffix(s, "-") {
				b.WriteByte('-')
			}
		}
	}
	return cmp.Or(strings.Trim(b.String(), "-"), "report")
}

// licenceIDs gives the licences of an SPDX expression (SPDX Specification 2.3,
// annex D) without what joins them and without exceptions: the formats that this
// package writes know lists of identifiers and no expressions.
func licenceIDs(expression string) []string {
	var ids []string
	words := strings.Fields(expression)
	for i := 0; i < len(words); i++ {
		switch words[i] {
		case "AND", "OR":
		case "WITH":
			i++ // the name of an exception
		default:
			if !slices.Contains(ids, words[i]) {
				ids = append(ids, words[i])
			}
		}
	}
	return ids
}

// licencePage is where the SPDX list has the text of a licence.
func licencePage(id string) string { return "https://spdx.org/licenses/" + id + ".html" }
