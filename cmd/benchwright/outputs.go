package main

import (
	_ "embed"

	"benchwright/report"
	"benchwright/shelf"
)

//go:embed check.schema.json
var checkSchema []byte

//go:embed plan.schema.json
var planSchema []byte

// outputSchemas are those of what the commands print, by file name.
func outputSchemas() map[string][]byte {
	return map[string][]byte{
		"check.schema.json":   checkSchema,
		"plan.schema.json":    planSchema,
		"answers.schema.json": report.AnswersSchema(),
		"reports.schema.json": shelf.RecordSchema(),
	}
}
