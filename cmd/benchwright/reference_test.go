package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestReferenceIsUpToDate holds docs/reference against the code.
func TestReferenceIsUpToDate(t *testing.T) {
	term := newTerminal(&bytes.Buffer{}, &bytes.Buffer{})
	pages, err := referencePages(rootCommand(term, strings.NewReader("")))
	if err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join("..", "..", "docs", "reference")
	if *update {
		if err := os.MkdirAll(dir, 0o755); err != nil {
			t.Fatal(err)
		}
	}
	for name, want := range pages {
		file := filepath.Join(dir, name)
		if *update {
			if err := os.WriteFile(file, want, 0o644); err != nil {
				t.Fatal(err)
			}
			continue
		}
		got, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got, want) {
			t.Errorf("docs/reference/%s is not what the code says; run with -update", name)
		}
	}
}

// TestHelpFitsAScreen: 80 columns for every command, 24 lines for the root.
func TestHelpFitsAScreen(t *testing.T) {
	var out bytes.Buffer
	term := newTerminal(&out, &out)
	root := rootCommand(term, strings.NewReader(""))
	var names []string
	for _, c := range root.Commands() {
		names = append(names, c.Name())
	}
	for _, name := range append(names, "") {
		out.Reset()
		args := []string{name, "--help"}
		if name == "" {
			args = args[1:]
		}
		if code := run(args, strings.NewReader(""), &out, &out); code != exitFine {
			t.Errorf("%v ended with %d", args, code)
		}
		lines := strings.Split(strings.TrimRight(out.String(), "\n"), "\n")
		for _, line := range lines {
			if n := len([]rune(line)); n > 80 {
				t.Errorf("%v: a line of %d characters: %s", args, n, line)
			}
		}
		if name != "completion" && len(lines) > 40 {
			t.Errorf("%v: %d lines", args, len(lines))
		}
	}
}
