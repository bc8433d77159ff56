// Package project is the typed model of a project folder: configurations,
// factors, workloads, sessions, readings and questions.
//
// In: a schema.Folder, read and validated. Out: a *Project with every value
// resolved and every reading converted into its workload's unit, and findings
// for what contradicts itself. It may import schema alone of this module.
package project
