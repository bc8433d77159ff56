// Package project is the typed model of a project folder: configurations,
// factors, workloads, sessions, readings and questions.
//
// In: a schema.Folder, read and validated. Out: a *Project with every value
// resolved and every reading converted into its workload's unit, and findings
// for what contradicts itself. It may import schema alone of this module.
//
//	folder, findings := schema.Read(root.FS())
//	p, more := project.Load(folder)
//	findings = schema.Sort(append(findings, more...))
//
// The way of a reading: load_tables.go reads the head of its file,
// load_readings.go the row, frames.go a file of frame times; load_derived.go
// computes what is never read. The way of a factor's value: load_value.go
// reads it, resolve.go decides which of several holds. Units and formulas stand
// in unit.go, units.go, quantity.go and formula.go.
package project
