package stats

import (
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
)

func TestArithmeticIsNamedTheSame(t *testing.T) {
	first := Arithmetic()
	if len(first) != 10 || strings.Trim(first, "abcdefghijklmnopqrstuvwxyz") != "" || Arithmetic() != first {
		t.Errorf("%q, then %q", first, Arithmetic())
	}
}

// The same source, built to use fused arithmetic on the same processor.
func TestFusedArithmeticHasAnotherName(t *testing.T) {
	if runtime.GOARCH != "amd64" {
		t.Skip("only on amd64 is there a choice")
	}
	info, err := os.ReadFile("/proc/cpuinfo")
	if err != nil || !strings.Contains(string(info), " fma ") {
		t.Skip("this processor is not known to have fused arithmetic")
	}
	source, err := os.ReadFile("arithmetic.go")
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	for file, text := range map[string]string{
		"arithmetic.go": strings.Replace(string(source), "package stats", "package main", 1),
		"main.go":       "package main\n\nfunc main() { println(Arithmetic()) }\n",
	} {
		if err := os.WriteFile(filepath.Join(dir, file), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	name := func(level string) string {
		build := exec.Command("go", "build", "-o", level, "arithmetic.go", "main.go")
		build.Dir, build.Env = dir, append(os.Environ(), "GOAMD64="+level)
		if text, err := build.CombinedOutput(); err != nil {
			t.Fatalf("%v: %s", err, text)
		}
		out, err := exec.Command(filepath.Join(dir, level)).CombinedOutput()
		if err != nil {
			t.Skipf("%s does not run here: %v", level, err)
		}
		return strings.TrimSpace(string(out))
	}
	one, three := name("v1"), name("v3")
	if one == three || len(one) != len(three) {
		t.Errorf("%q and %q", one, three)
	}
	if own := Arithmetic(); own != one && own != three {
		t.Errorf("%q is neither %q nor %q", own, one, three)
	}
}
