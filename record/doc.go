// Package record adds readings to a project folder.
//
// In: a folder and readings as a person, a test or a table gives them. Out: the
// result files as they will be, with the new rows appended in each file's own
// style (separator, decimal mark, quotes, line ends, columns) and every other
// byte as it was, and an entry in provenance.csv; or findings that say why not.
// It may import schema, project, design and stats.
//
//	a, findings := record.Prepare(folder, readings, record.Options{Source: "command line", When: now})
//	if len(findings) == 0 {
//		err = a.Write(root)
//	}
//
// The way of a reading: from.go and its neighbours text.go, table.go and grid.go
// make readings of what was given; understand.go checks names and numbers;
// again.go refuses a source that was taken in before; number.go gives repeat and
// order; choose.go finds the file, grow.go and style.go write the row; confirm.go
// loads the folder as it would be and holds it against what was meant;
// possible.go and expect.go judge the values; write.go replaces the files.
package record
