package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"testing"
	"time"

	"benchwright/render/site"
	"benchwright/sample-project"
)

// commandEnv makes the test binary the command itself, to be killed.
const commandEnv = "BENCHWRIGHT_TEST_AS_COMMAND"

// TestPublishKilledAtAnyMoment publishes two states of a project in turn, each
// run killed somewhere between its start and its end. Whoever reads the site
// finds it whole, the project is untouched, and the next run succeeds.
func TestPublishKilledAtAnyMoment(t *testing.T) {
	t.Parallel()
	kills := 200
	if testing.Short() {
		kills = 5
	}
	dir := t.TempDir()
	folder, out := filepath.Join(dir, "report"), filepath.Join(dir, "site")
	if err := os.CopyFS(folder, sampleproject.Files()); err != nil {
		t.Fatal(err)
	}
	reportFile := filepath.Join(folder, "report.yaml")
	first, err := os.ReadFile(reportFile)
	if err != nil {
		t.Fatal(err)
	}
	second := bytes.Replace(first, []byte("language: en-GB"), []byte("language: de"), 1) // every page changes
	if bytes.Equal(first, second) {
		t.Fatal("the sample does not name its language as this test expects")
	}
	publish := func() *exec.Cmd {
		c := exec.Command(os.Args[0], "publish", folder, "--out", out)
		c.Env = append(os.Environ(), commandEnv+"=1")
		return c
	}
	started := time.Now()
	if text, err := publish().CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, text)
	}
	whole := time.Since(started) // how long a run takes here says only where the kills fall

	random := rand.New(rand.NewPCG(3, 4))
	seen := map[string]bool{}
	for k := range kills {
		state := [][]byte{first, second}[(k+1)%2]
		if err := os.WriteFile(reportFile, state, 0o644); err != nil {
			t.Fatal(err)
		}
		c := publish()
		if err := c.Start(); err != nil {
			t.Fatal(err)
		}
		time.Sleep(time.Duration(random.Int64N(int64(whole) * 5 / 4)))
		_ = c.Process.Kill() // it may be done already
		_ = c.Wait()
		seen[wholeSite(t, out, k)] = true
		if got, err := os.ReadFile(reportFile); err != nil || !bytes.Equal(got, state) {
			t.Fatalf("after kill %d the project is not as it was: %v", k, err)
		}
	}
	if kills >= 50 && len(seen) < 2 {
		t.Errorf("of %d kills none came late enough for a new site to be seen: the kills missed what they should hit", kills)
	}
	if text, err := publish().CombinedOutput(); err != nil {
		t.Fatalf("after the last kill: %v: %s", err, text)
	}
	fresh := filepath.Join(dir, "fresh")
	out = fresh
	if text, err := publish().CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, text)
	}
	// The history in the published data may differ; the list of files may not.
	if got, want := listed(t, filepath.Join(dir, "site")), listed(t, fresh); len(got) < len(want) {
		t.Errorf("the site has %d files, a fresh one %d", len(got), len(want))
	}
	left, err := os.ReadDir(dir)
	if err != nil || len(left) != 3 {
		t.Errorf("beside the project and the sites there is still %v (%v)", left, err)
	}
}

// TestPublishInterrupted interrupts runs with the signal of Ctrl-C: the site is
// whole, and nothing is left beside it for the next run to clear away.
func TestPublishInterrupted(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("Windows has no such signal for another process")
	}
	t.Parallel()
	dir := t.TempDir()
	out := filepath.Join(dir, "deep", "site")
	publish := func(more ...string) *exec.Cmd {
		c := exec.Command(os.Args[0], append([]string{"publish", "--sample", "--out", out}, more...)...)
		c.Env = append(os.Environ(), commandEnv+"=1")
		return c
	}
	started := time.Now()
	if text, err := publish().CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, text)
	}
	whole := time.Since(started)
	random := rand.New(rand.NewPCG(5, 6))
	late := 0
	for k := range 40 {
		// Another theme every time: every page is written anew.
		c := publish("--theme", []string{"marking-blue", "job-card"}[k%2])
		if err := c.Start(); err != nil {
			t.Fatal(err)
		}
		time.Sleep(time.Duration(random.Int64N(int64(whole) * 5 / 4)))
		_ = c.Process.Signal(os.Interrupt) // it may be done already
		_ = c.Wait()
		if c.ProcessState.ExitCode() == 130 {
			late++
		}
		wholeSite(t, out, k)
		if left, err := os.ReadDir(filepath.Dir(out)); err != nil || len(left) != 1 {
			t.Fatalf("after interrupt %d there is %v beside the site (%v)", k, left, err)
		}
	}
	if late == 0 {
		t.Error("no interrupt came while a site was written: they missed what they should hit")
	}
}

// wholeSite checks every published file against the checksums, and gives the
// checksum of the overview.
func wholeSite(t *testing.T, dir string, k int) string {
	t.Helper()
	sums := listed(t, dir)
	for name, want := range sums {
		text, err := os.ReadFile(filepath.Join(dir, filepath.FromSlash(name)))
		if err != nil {
			t.Fatalf("after kill %d: %v", k, err)
		}
		if got := sha256.Sum256(text); hex.EncodeToString(got[:]) != want {
			t.Fatalf("after kill %d: %s is of another state than the checksums", k, name)
		}
	}
	return sums["index.html"]
}

func listed(t *testing.T, dir string) map[string]string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(dir, site.Sums))
	if err != nil {
		t.Fatal(err)
	}
	sums, err := site.ReadSums(text)
	if err != nil {
		t.Fatal(err)
	}
	return sums
}
