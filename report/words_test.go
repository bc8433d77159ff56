package report

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"benchwright/words"
)

// Every phrase that the code names is in the book; names put together from
// parts are met by the tests that build reports, which refuse "⟪".
func TestEveryPhraseNamedIsInTheBook(t *testing.T) {
	book := words.For("en-GB")
	named := regexp.MustCompile(`"((?:figure|answer|cell|insight|effect|response|composite|workload|unit|difference|outcome)\.[a-z][a-z0-9.-]*[a-z0-9])"`)
	files, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	seen := 0
	for _, file := range files {
		if strings.HasSuffix(file, "_test.go") {
			continue
		}
		source, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range named.FindAllStringSubmatch(string(source), -1) {
			key := m[1]
			seen++
			if !book.Has(key) && !book.Has(key+".other") {
				t.Errorf("%s names %q, which is not in the book", file, key)
			}
			if book.Has(key+".other") != book.Has(key+".one") {
				t.Errorf("%q counts in one form only", key)
			}
		}
	}
	if seen < 150 {
		t.Errorf("only %d phrases found in the source", seen)
	}
}
