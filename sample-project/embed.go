// Package sampleproject holds a whole project folder, embedded in the command,
// so that one word shows the tool at work: an invented home server on an
// invented bench.
//
// In: nothing. Out: the folder as a file system, for example for schema.Read.
// It imports no other package of this module.
package sampleproject

import (
	"embed"
	"io/fs"
)

//go:embed report.yaml bench.yaml workloads.yaml sessions.yaml
//go:embed configurations/*.yaml results/*.csv notes/*.md media/*.svg viewers/*.csv
var files embed.FS

// Files gives the folder, rooted at report.yaml.
func Files() fs.FS { return files }
