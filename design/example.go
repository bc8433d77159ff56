package design

import (
	"embed"
	"io/fs"
	"strings"
	"testing/fstest"

	"github.com/rogpeppe/go-internal/txtar"
)

// The examples stand in one archive for each rule: the files under bad/ make
// it fire, those under good/ are a near miss.
//
//go:embed rules/*.txtar
var archives embed.FS

// examples gives the two examples of a rule in txtar form, without the bad/
// and good/ in front of the names.
func examples(name string) (bad, good string) {
	data, err := archives.ReadFile("rules/" + name + ".txtar")
	if err != nil {
		return "", ""
	}
	archive := txtar.Parse(data)
	pick := func(prefix string) string {
		var chosen txtar.Archive
		for _, f := range archive.Files {
			if name, ok := strings.CutPrefix(f.Name, prefix); ok {
				chosen.Files = append(chosen.Files, txtar.File{Name: name, Data: f.Data})
			}
		}
		return string(txtar.Format(&chosen))
	}
	return pick("bad/"), pick("good/")
}

// ExampleFolder gives the whole folder of an example: its own files over those
// that it does not show, which are the same for all rules and give no finding.
func ExampleFolder(example string) fs.FS {
	folder := make(fstest.MapFS)
	base, err := archives.ReadFile("rules/base.txtar")
	if err != nil {
		panic("design: the base of the examples is not embedded: " + err.Error())
	}
	for _, data := range [][]byte{base, []byte(example)} {
		for _, f := range txtar.Parse(data).Files {
			folder[f.Name] = &fstest.MapFile{Data: f.Data, Mode: 0o644}
		}
	}
	return folder
}
