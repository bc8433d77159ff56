// Package record adds readings to a project folder.
//
// In: a folder and readings as a person, a test or a table gives them. Out: the
// result files as they will be, with the new rows appended in each file's own
// style (separator, decimal mark, line ends, columns) and every other byte as
// it was, and an entry in provenance.csv; or findings that say why not. It may
// import schema, project and stats.
//
//	a, findings := record.Prepare(folder, readings, record.Options{})
//	if len(findings) == 0 {
//		err = a.Write(root)
//	}
package record
