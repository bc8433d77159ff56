package schema

import (
	"embed"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

//go:embed *.schema.json
var schemaFiles embed.FS

// Files gives the JSON Schema (2020-12) files of the inputs: report, bench,
// workloads, sessions, record, configuration (a file with one) and
// configurations (a file with several) of a project folder, and shelf of a
// folder of reports, each NAME.schema.json.
func Files() fs.FS { return schemaFiles }

// WriteTo writes the schema files into dir, which it makes when it is not
// there, and gives their paths in order. A file that is already there and
// equal is left alone. With them in a folder .schema beside report.yaml, an
// editor that knows the comment
//
//	# yaml-language-server: $schema=.schema/report.schema.json
//
// completes and checks keys while they are typed.
func WriteTo(dir string) ([]string, error) {
	names, err := fs.Glob(schemaFiles, "*.schema.json")
	if err != nil {
		return nil, fmt.Errorf("listing the schema files: %w", err)
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return nil, fmt.Errorf("making the folder for the schema files: %w", err)
	}
	var paths []string
	for _, name := range names {
		want, err := fs.ReadFile(schemaFiles, name)
		if err != nil {
			return nil, fmt.Errorf("reading the embedded %s: %w", name, err)
		}
		path := filepath.Join(dir, name)
		if have, err := os.ReadFile(path); err != nil || string(have) != string(want) {
			if err := os.WriteFile(path, want, 0o644); err != nil {
				return nil, fmt.Errorf("writing a schema file: %w", err)
			}
		}
		paths = append(paths, path)
	}
	return paths, nil
}
