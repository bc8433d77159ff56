// Package schema reads the files of a project folder and holds them against
// the JSON Schemas (2020-12) beside it.
//
// In: a file system. Out: documents whose every node knows its line and
// column, tables of readings, and findings for what is wrong, all at once and
// in file order. Of this module it imports cores alone.
//
// Nothing that a person can put into a folder is an error or a panic here: it
// is a [Finding] with a place, a message and a remedy. Files that cannot be
// read are findings too, so that one fault never hides another.
//
//	root, err := os.OpenRoot("my-report") // links cannot lead out of it
//	…
//	folder, findings := schema.Read(root.FS())
//	for _, path := range folder.Results {
//		table, found := schema.OpenTable(folder.FS, path, nil)
//		findings = append(findings, found...)
//		if table == nil {
//			continue
//		}
//		for row, ok := table.Next(); ok; row, ok = table.Next() {
//			… row.Cells[0].Text …
//		}
//		findings = append(findings, table.Findings()...)
//	}
//	for _, f := range folder.Excerpts(schema.Sort(findings)) {
//		fmt.Println(f.Place, f.Message)
//	}
package schema
