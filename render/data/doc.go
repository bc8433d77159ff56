// Package data makes the part of a site that is meant for machines and for
// those who doubt it: every reading and figure as CSV, the answers, findings
// and the record of the edition as JSON, an open data package descriptor, how
// to cite, and the project folder's own files, from which all of it can be
// computed again.
//
// In: a report value, the folder it was made from, and what an earlier edition
// left in its site. Out: a list of files under data/, the same bytes every
// time. It computes no figure. It may import report, schema, words and the
// packages beside it that know nothing of pages (site, spreadsheet).
//
//	past, err := data.ReadPast(os.DirFS("site"))       // what the last edition left
//	history := data.Settle(past, r)                    // fills r.Changes
//	files, err := data.Files(r, folder, data.Options{History: history})
package data
