// Command compare runs the benches: each puts benchwright beside a named
// general-purpose tool on the same input, the two in turn, and prints the ratio
// of their median times and the peak memory. It measures this machine, now; it
// is no test and fails on no figure.
//
//	go run ./bench/compare [-runs 5] [-quick]
package main

import (
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"time"
)

func main() {
	runs := flag.Int("runs", 5, "counted runs of each command, after one that is not counted")
	quick := flag.Bool("quick", false, "small inputs, to see that everything runs")
	flag.Parse()
	if err := all(*runs, *quick); err != nil {
		fmt.Fprintln(os.Stderr, "compare:", err)
		os.Exit(1)
	}
}

// bench holds the programs and the inputs.
type bench struct {
	dir   string
	runs  int
	taken int // fresh folders given out
}

func (b *bench) path(name string) string { return filepath.Join(b.dir, name) }

// fresh gives the path of a folder that is not there yet. What is to be written
// whole goes into one, and nothing is removed before the end: a file system may
// take several times as long to make files soon after others were removed.
func (b *bench) fresh() string {
	b.taken++
	return b.path(fmt.Sprintf("fresh-%d", b.taken))
}

func all(runs int, quick bool) error {
	dir, err := os.MkdirTemp("", "benchwright-bench-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	b := &bench{dir: dir, runs: runs}
	for name, pkg := range map[string]string{"benchwright": "./cmd/benchwright", "generate": "./bench/generate", "summarise": "./bench/summarise"} {
		if out, err := exec.Command("go", "build", "-o", b.path(name), pkg).CombinedOutput(); err != nil {
			return fmt.Errorf("building %s: %w\n%s", pkg, err, out)
		}
	}
	sizes := struct{ million, configurations, workloads, repeats int }{1_000_000, 1000, 20, 5}
	growth := []int{1_000, 10_000, 100_000, 1_000_000}
	if quick {
		sizes.million, sizes.configurations = 20_000, 50
		growth = growth[:2]
	}
	if err := b.groupMeans(sizes.million); err != nil {
		return err
	}
	if err := b.sample(); err != nil {
		return err
	}
	if err := b.large(sizes.configurations, sizes.workloads, sizes.repeats); err != nil {
		return err
	}
	return b.growth(growth)
}

// measured is one run of a command.
type measured struct {
	wall time.Duration
	cpu  time.Duration
	peak int64 // KiB, the largest process
}

func run(command ...string) (measured, error) {
	c := exec.Command(command[0], command[1:]...)
	started := time.Now()
	out, err := c.CombinedOutput()
	m := measured{wall: time.Since(started)}
	if c.ProcessState != nil {
		m.cpu = c.ProcessState.UserTime() + c.ProcessState.SystemTime()
		if u, ok := c.ProcessState.SysUsage().(*syscall.Rusage); ok {
			m.peak = u.Maxrss
		}
	}
	if err != nil {
		return m, fmt.Errorf("%s: %w\n%s", strings.Join(command, " "), err, out)
	}
	return m, nil
}

func median(ms []measured, of func(measured) float64) float64 {
	v := make([]float64, len(ms))
	for i, m := range ms {
		v[i] = of(m)
	}
	slices.Sort(v)
	if n := len(v); n%2 == 0 {
		return (v[n/2-1] + v[n/2]) / 2
	}
	return v[len(v)/2]
}

func wall(m measured) float64 { return m.wall.Seconds() }
func cpu(m measured) float64  { return m.cpu.Seconds() }

// against runs two commands in turn, with what must happen before each, and
// prints the ratio of the medians.
func (b *bench) against(title, ourName string, ours func() (measured, error), theirName string, theirs func() (measured, error)) error {
	var a, z []measured
	for i := 0; i <= b.runs; i++ {
		x, err := ours()
		if err != nil {
			return err
		}
		y, err := theirs()
		if err != nil {
			return err
		}
		if i > 0 {
			a, z = append(a, x), append(z, y)
		}
	}
	fmt.Printf("%s\n", title)
	for _, l := range []struct {
		name string
		ms   []measured
	}{{ourName, a}, {theirName, z}} {
		fmt.Printf("  %-28s %8.3f s wall  %8.3f s cpu  %7.1f MB peak\n", l.name, median(l.ms, wall), median(l.ms, cpu), median(l.ms, func(m measured) float64 { return float64(m.peak) / 1024 }))
	}
	fmt.Printf("  ratio %s / %s: %.2f wall, %.2f cpu (medians of %d)\n\n", ourName, theirName, median(a, wall)/median(z, wall), median(a, cpu)/median(z, cpu), b.runs)
	return nil
}

func (b *bench) generate(dir string, configurations, workloads, repeats int) error {
	_, err := run(b.path("generate"), "-configurations", fmt.Sprint(configurations), "-workloads", fmt.Sprint(workloads), "-repeats", fmt.Sprint(repeats), dir)
	return err
}

// groupMeans: reading, validating and summarising a million readings, against
// the plain group means of the same CSV in mawk.
func (b *bench) groupMeans(readings int) error {
	dir := b.path("million")
	if err := b.generate(dir, 1000, 20, max(1, readings/20_000)); err != nil {
		return err
	}
	awk, err := exec.LookPath("mawk")
	if err != nil {
		fmt.Println("group means: mawk is not here, left out")
		return nil
	}
	program := `NR>1{k=$3","$5;n[k]++;s[k]+=$6}END{for(k in n)print k,n[k],s[k]/n[k]}`
	return b.against(fmt.Sprintf("Summaries of %d readings", readings),
		"summarise", func() (measured, error) { return run(b.path("summarise"), dir) },
		"mawk", func() (measured, error) { return run(awk, "-F,", program, filepath.Join(dir, "results", "all.csv")) })
}

// sample: the publication of the sample.
func (b *bench) sample() error {
	folder, site := b.path("sample"), b.path("sample-site")
	if err := copyFolder("sample-project", folder); err != nil {
		return err
	}
	line := func(n int) string {
		return fmt.Sprintf("first-day,%d,one-15-thin,%d,file-serving,112.%d,MB/s,ok,", n, n, n%10)
	}
	return b.again("the sample", folder, site, filepath.Join(folder, "results", "first-day.csv"), line)
}

// whole publishes a folder to where nothing was.
func (b *bench) whole(folder string) (measured, error) {
	return run(b.path("benchwright"), "publish", folder, "--out", b.fresh())
}

// again: publishing on top of a site, with one reading more and with nothing
// new, against publishing the whole.
func (b *bench) again(what, folder, site, results string, line func(n int) string) error {
	publish := func() (measured, error) { return run(b.path("benchwright"), "publish", folder, "--out", site) }
	whole := func() (measured, error) { return b.whole(folder) }
	n := 900
	err := b.against("Publishing "+what+" again, with one reading more",
		"one reading added", func() (measured, error) {
			if _, err := publish(); err != nil {
				return measured{}, err
			}
			n++
			if err := appendLine(results, line(n)); err != nil {
				return measured{}, err
			}
			return publish()
		},
		"whole site", whole)
	if err != nil {
		return err
	}
	return b.against("Publishing "+what+" again, with nothing new",
		"nothing new", func() (measured, error) {
			if _, err := publish(); err != nil {
				return measured{}, err
			}
			return publish()
		},
		"whole site", whole)
}

// large: a site of a thousand configurations, against tar unpacking the same
// files; then the same again.
func (b *bench) large(configurations, workloads, repeats int) error {
	folder, site, archive := b.path("large"), b.path("large-site"), b.path("large.tar")
	if err := b.generate(folder, configurations, workloads, repeats); err != nil {
		return err
	}
	if _, err := run(b.path("benchwright"), "publish", folder, "--out", site); err != nil {
		return err
	}
	if _, err := run("tar", "cf", archive, "-C", site, "."); err != nil {
		return err
	}
	err := b.against(fmt.Sprintf("%d configurations × %d workloads × %d repeats", configurations, workloads, repeats),
		"publish", func() (measured, error) { return b.whole(folder) },
		"tar x", func() (measured, error) {
			unpacked := b.fresh()
			if err := os.Mkdir(unpacked, 0o755); err != nil {
				return measured{}, err
			}
			return run("tar", "xf", archive, "-C", unpacked)
		})
	if err != nil {
		return err
	}
	line := func(n int) string { return fmt.Sprintf("s0,%d,c0003,%d,w00,100.00,fps,ok", 900_000+n, n) }
	return b.again("it", folder, site, filepath.Join(folder, "results", "all.csv"), line)
}

// growth: time and memory over the number of readings.
func (b *bench) growth(sizes []int) error {
	fmt.Println("Growth: publishing, by number of readings (20 workloads, 5 repeats)")
	fmt.Printf("  %10s  %10s  %10s  %10s  %16s  %15s\n", "readings", "wall s", "cpu s", "peak MB", "cpu µs/reading", "peak KB/reading")
	for _, n := range sizes {
		folder := b.path(fmt.Sprintf("growth-%d", n))
		if err := b.generate(folder, max(2, n/100), 20, 5); err != nil {
			return err
		}
		m, err := b.whole(folder)
		if err != nil {
			return err
		}
		fmt.Printf("  %10d  %10.3f  %10.3f  %10.1f  %16.1f  %15.2f\n", n, m.wall.Seconds(), m.cpu.Seconds(), float64(m.peak)/1024,
			1e6*m.cpu.Seconds()/float64(n), float64(m.peak)/float64(n))
		if err := os.RemoveAll(folder); err != nil {
			return err
		}
	}
	return nil
}

func appendLine(name, line string) error {
	f, err := os.OpenFile(name, os.O_APPEND|os.O_WRONLY, 0)
	if err != nil {
		return err
	}
	_, werr := f.WriteString(line + "\n")
	if err := f.Close(); err != nil {
		return err
	}
	return werr
}

// copyFolder copies the sample without the Go files that embed it.
func copyFolder(from, to string) error {
	if err := os.CopyFS(to, os.DirFS(from)); err != nil {
		return err
	}
	gone, err := filepath.Glob(filepath.Join(to, "*.go"))
	if err != nil {
		return err
	}
	for _, g := range gone {
		if err := os.Remove(g); err != nil {
			return err
		}
	}
	return nil
}
