// Package schema reads the files of a project folder and holds them against
// the JSON Schemas (2020-12) beside it.
//
// In: a file system. Out: documents whose every node knows its line and
// column, tables of readings, and findings for what is wrong, all at once and
// in file order. It imports no other package of this module.
package schema
