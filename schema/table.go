package schema

import "io/fs"

// Dialect is how a table separates columns and writes decimals. The zero value
// of each mark stands for the usual one: comma and point.
type Dialect struct {
	Separator, Decimal byte
	// Declared: the folder says so itself; otherwise it was found out from the file.
	Declared bool
}

// Cell is one cell of a table. Line and Column say where it starts; Column
// counts characters.
type Cell struct {
	Text         string
	Line, Column int
	Quoted       bool
}

// Row is one row of a table; Line is where it starts.
type Row struct {
	Line  int
	Cells []Cell
}

// Table reads a CSV file row by row.
type Table struct {
	Path    string
	Dialect Dialect
	Header  []Cell
}

// OpenTable opens a CSV file.
func OpenTable(fsys fs.FS, path string, declared *Dialect) (*Table, []Finding) { return nil, nil }

// Next gives the next row.
func (t *Table) Next() (*Row, bool) { return nil, false }

// Findings gives what was wrong.
func (t *Table) Findings() []Finding { return nil }
