package schema

import (
	"cmp"
	"fmt"
	"slices"
)

// Place is a position in a file of the project folder. Line and Column count
// from 1, columns in characters (Unicode code points) as an editor shows them;
// a zero Line means the file as a whole and an empty File the folder.
type Place struct {
	File   string `json:"file"`
	Line   int    `json:"line,omitempty"`
	Column int    `json:"column,omitempty"`
}

// String gives the place as file:line:column, as editors and terminals follow it.
func (p Place) String() string {
	switch {
	case p.File == "":
		return "."
	case p.Line == 0:
		return p.File
	case p.Column == 0:
		return fmt.Sprintf("%s:%d", p.File, p.Line)
	}
	return fmt.Sprintf("%s:%d:%d", p.File, p.Line, p.Column)
}

// Compare orders places as a reader meets them: by file, line and column.
func (p Place) Compare(q Place) int {
	return cmp.Or(cmp.Compare(p.File, q.File), cmp.Compare(p.Line, q.Line), cmp.Compare(p.Column, q.Column))
}

// Severity ranks a finding. The zero value is Error, so that a forgotten
// severity is never the harmless one.
type Severity int

const (
	// Error: what would be published is wrong or cannot be read.
	Error Severity = iota
	// Warning: a viewer could fairly object.
	Warning
	// Notice: worth knowing, and published on the method page.
	Notice
)

// String gives the word used in files and on pages: error, warning, notice.
func (s Severity) String() string { return [...]string{"error", "warning", "notice"}[s] }

// MarshalText writes the word.
func (s Severity) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// UnmarshalText reads the word.
func (s *Severity) UnmarshalText(b []byte) error {
	for _, v := range []Severity{Error, Warning, Notice} {
		if v.String() == string(b) {
			*s = v
			return nil
		}
	}
	return fmt.Errorf("severity %q is none of error, warning, notice", b)
}

// Related is a second place that a finding speaks of: the other side of a
// disagreement, the first use of an id.
type Related struct {
	Place
	Message string `json:"message"`
}

// Finding is what the tool has to say about one place of the folder: a fault
// in what was written, or a reason why a comparison is not fair. It is data;
// printing is the command's and the page's business.
type Finding struct {
	Rule     string   `json:"rule"`
	Severity Severity `json:"severity"`
	Place
	// Width is the number of characters to mark from Column on; 0 or 1 marks one.
	Width int `json:"width,omitempty"`
	// Excerpt is the line itself, cut around the place when it is long.
	Excerpt string `json:"excerpt,omitempty"`
	// ExcerptColumn is the column, from 1, of the marked character in Excerpt.
	ExcerptColumn int `json:"excerptColumn,omitempty"`

	Message string `json:"message"`
	Remedy  string `json:"remedy,omitempty"`

	Related []Related `json:"related,omitempty"`

	Configurations []string `json:"configurations,omitempty"`
	Factors        []string `json:"factors,omitempty"`
	Workloads      []string `json:"workloads,omitempty"`
	Sessions       []string `json:"sessions,omitempty"`
	Questions      []string `json:"questions,omitempty"`

	// Silenced holds the project's written reason when it chose to silence the
	// finding; such findings appear on the method page only.
	Silenced string `json:"silenced,omitempty"`
}

// Sort puts findings into file order (file, line, column, rule, message) and
// drops equals, so that the same folder always gives the same list.
func Sort(fs []Finding) []Finding {
	slices.SortStableFunc(fs, func(a, b Finding) int {
		return cmp.Or(a.Place.Compare(b.Place), cmp.Compare(a.Rule, b.Rule), cmp.Compare(a.Message, b.Message))
	})
	return slices.CompactFunc(fs, func(a, b Finding) bool {
		return a.Place == b.Place && a.Rule == b.Rule && a.Message == b.Message
	})
}

// Under gives the place of a file of a folder from the folder above on.
func (p Place) Under(folder string) Place {
	if p.File == "" {
		p.File = folder
	} else {
		p.File = folder + "/" + p.File
	}
	return p
}

// Under gives a finding about a folder as seen from the folder above.
func (f Finding) Under(folder string) Finding {
	f.Place = f.Place.Under(folder)
	f.Related = slices.Clone(f.Related)
	for i := range f.Related {
		f.Related[i].Place = f.Related[i].Place.Under(folder)
	}
	return f
}
