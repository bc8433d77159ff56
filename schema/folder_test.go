package schema_test

import (
	"slices"
	"testing"
	"testing/fstest"

	"benchwright/schema"
)

// A site that was published into the folder is none of its files, and no
// mistake; a folder that only looks a little like one still is.
func TestPublishedSiteInTheFolder(t *testing.T) {
	files := fstest.MapFS{
		"report.yaml":                    {Data: []byte("title: x\n")},
		"site/SHA256SUMS":                {Data: []byte("")},
		"site/data/datapackage.json":     {Data: []byte("{}")},
		"draft/SHA256SUMS":               {Data: []byte("")},
		"public/data/datapackage.json/x": {Data: []byte("{}")},
		"public/SHA256SUMS":              {Data: []byte("")},
	}
	_, findings := schema.Read(files)
	var unknown []string
	for _, f := range findings {
		if f.Rule == "unknown-file" {
			unknown = append(unknown, f.Place.File)
		}
	}
	if want := []string{"draft", "public"}; !slices.Equal(unknown, want) {
		t.Errorf("not known: %q, want %q", unknown, want)
	}
}
