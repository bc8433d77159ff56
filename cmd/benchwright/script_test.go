package main

import (
	"flag"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"

	"benchwright/sample-project"
)

var update = flag.Bool("update", false, "write the expected output in the scripts anew")

func TestMain(m *testing.M) {
	if os.Getenv(commandEnv) != "" {
		main()
	}
	testscript.Main(m, map[string]func(){"benchwright": main})
}

// TestScripts runs testdata/script: each file is a session at the command
// line with what it prints. They double as examples.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/script",
		UpdateScripts:       *update,
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Setup: func(e *testscript.Env) error {
			e.Setenv("NO_COLOR", "1")
			return nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"exits":    exits,
			"sample":   sample,
			"shelf":    threeBoards,
			"same":     same,
			"replace":  replace,
			"contains": containsText,
			"older":    older,
		},
	})
}

// exits N PROGRAM ARG … runs a program and fails unless it ends with code N;
// its output is there for the commands that follow.
func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits CODE PROGRAM ARG…")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	err = ts.Exec(args[1], args[2:]...)
	got := 0
	if err != nil {
		x, ok := err.(*exec.ExitError)
		if !ok {
			ts.Fatalf("running %s: %v", args[1], err)
		}
		got = x.ExitCode()
	}
	if got != want {
		ts.Fatalf("%s ended with code %d, want %d", strings.Join(args[1:], " "), got, want)
	}
}

// sample DIR copies the sample project into a folder.
func sample(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: sample DIR")
	}
	ts.Check(os.CopyFS(ts.MkAbs(args[0]), sampleproject.Files()))
}

// shelf DIR copies the shelf of three invented boards into a folder.
func threeBoards(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: shelf DIR")
	}
	ts.Check(os.CopyFS(ts.MkAbs(args[0]), os.DirFS("../../testdata/shelf")))
}

// older DIR sets the times of every file in a folder to a day long past.
func older(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: older DIR")
	}
	past := time.Date(1999, 12, 31, 23, 59, 59, 0, time.UTC)
	ts.Check(filepath.WalkDir(ts.MkAbs(args[0]), func(p string, _ fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		return os.Chtimes(p, past, past)
	}))
}

// same A B fails unless the two folders hold the same files with the same
// bytes; with !, unless they differ.
func same(ts *testscript.TestScript, neg bool, args []string) {
	if len(args) != 2 {
		ts.Fatalf("usage: same DIR DIR")
	}
	difference, err := firstDifference(ts.MkAbs(args[0]), ts.MkAbs(args[1]))
	ts.Check(err)
	if neg == (difference == "") {
		ts.Fatalf("%s and %s: %s", args[0], args[1], difference)
	}
}

func firstDifference(a, b string) (string, error) {
	read := func(dir string) (map[string]string, error) {
		files := map[string]string{}
		err := filepath.WalkDir(dir, func(p string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() {
				return err
			}
			data, err := os.ReadFile(p)
			rel, _ := filepath.Rel(dir, p)
			files[rel] = string(data)
			return err
		})
		return files, err
	}
	fa, err := read(a)
	if err != nil {
		return "", err
	}
	fb, err := read(b)
	if err != nil {
		return "", err
	}
	for name, x := range fa {
		y, ok := fb[name]
		switch {
		case !ok:
			return name + " is missing from the second", nil
		case x != y:
			return name + " differs", nil
		}
	}
	for name := range fb {
		if _, ok := fa[name]; !ok {
			return name + " is missing from the first", nil
		}
	}
	if len(fa) == 0 {
		return "", fmt.Errorf("there is nothing to compare in %s", a)
	}
	return "", nil
}

// replace FILE OLD NEW replaces text that stands in the file exactly once.
func replace(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 3 {
		ts.Fatalf("usage: replace FILE OLD NEW")
	}
	name := ts.MkAbs(args[0])
	data, err := os.ReadFile(name)
	ts.Check(err)
	if n := strings.Count(string(data), args[1]); n != 1 {
		ts.Fatalf("%q stands in %s %d times, not once", args[1], args[0], n)
	}
	ts.Check(os.WriteFile(name, []byte(strings.Replace(string(data), args[1], args[2], 1)), 0o644))
}

// contains FILE TEXT fails unless the file holds the text; with !, unless it
// does not.
func containsText(ts *testscript.TestScript, neg bool, args []string) {
	if len(args) != 2 {
		ts.Fatalf("usage: contains FILE TEXT")
	}
	if strings.Contains(ts.ReadFile(args[0]), args[1]) == neg {
		ts.Fatalf("contains %s %q is not so (negated: %v)", args[0], args[1], neg)
	}
}
