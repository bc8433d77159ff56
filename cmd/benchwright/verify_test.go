package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"benchwright/edition"
	sampleproject "benchwright/sample-project"
)

// A site of another version is neither called wrong for how it is written nor
// called whole where nobody looked.
func TestVerifySaysWhatItCannotCompare(t *testing.T) {
	p, err := edition.Open(sampleproject.Files()).Publish(edition.PublishOptions{Version: "v0.1.0"})
	if err != nil {
		t.Fatal(err)
	}
	folder := t.TempDir()
	for _, f := range p.Files {
		name := filepath.Join(folder, filepath.FromSlash(f.Path))
		if err := os.MkdirAll(filepath.Dir(name), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(name, f.Data, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	verify := func() (code int, said string) {
		var out, problems bytes.Buffer
		code = run([]string{"verify", folder}, strings.NewReader(""), &out, &problems)
		return code, strings.Join(strings.Fields(out.String()+problems.String()), " ")
	}
	if code, said := verify(); code != exitPartly || !strings.Contains(said, "the data agree") || !strings.Contains(said, "It says that benchwright v0.1.0 published it") {
		t.Errorf("%d: %s", code, said)
	}
	readings := filepath.Join(folder, "data", "readings.csv")
	text, err := os.ReadFile(readings)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(readings, bytes.Replace(text, []byte(",235.1,"), []byte(",225.1,"), 1), 0o666); err != nil {
		t.Fatal(err)
	}
	if code, said := verify(); code != exitFindings || !strings.Contains(said, `"225.1"`) || !strings.Contains(said, "before you say that it is wrong") {
		t.Errorf("%d: %s", code, said)
	}
}
