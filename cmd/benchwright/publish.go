package main

import (
	"bytes"
	"errors"
	"fmt"
	"net/url"
	"os"
	"os/signal"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"syscall"
	"unicode/utf8"

	"github.com/spf13/cobra"

	"benchwright/edition"
	"benchwright/render"
	"benchwright/render/site"
	"benchwright/schema"
	"benchwright/shelf"
	"benchwright/themes"
)

func publishCommand(t *terminal) *cobra.Command {
	var out, theme, baseAddress, singleFile, stills string
	var sample, dryRun bool
	c := &cobra.Command{
		Use:   "publish [FOLDER]",
		Short: "Write the site",
		Long: `Publish checks the folder, computes every figure and writes the site: a folder
of files that any host serves and that opens from disk. Only what changed is
written; files in the folder that benchwright did not make are left alone, and
the new site takes the place of the old one in one step.

A folder with errors in its files is not published. One with findings about its
comparisons is, each beside the figures that it touches; exit code 1 says that
one of them is an error.

A folder of reports (a shelf, with shelf.yaml in it) becomes one site: every
report in a folder of its own, an index, and what they have in common.`,
		Example: `  benchwright publish --sample
  benchwright publish my-report --out public
  benchwright publish my-report --dry-run
  benchwright publish my-reports --out public     several, with a shelf.yaml
  benchwright publish my-report --single-file report.html
  benchwright publish my-report --stills frames`,
		Args: folderArg,
		RunE: func(_ *cobra.Command, args []string) error {
			s, err := openAny(args, sample)
			if err != nil {
				return err
			}
			defer s.Close()
			if theme != "" {
				if err := oneOf("theme", theme, themes.Names()...); err != nil {
					return err
				}
			}
			if s.shelf {
				switch {
				case singleFile != "":
					return notOnShelf("--single-file", s)
				case stills != "":
					return notOnShelf("--stills", s)
				}
			}
			if err := safeTargets(s, out, singleFile, stills); err != nil {
				return err
			}
			if s.shelf {
				return publishShelf(t, s, out, dryRun, shelf.PublishOptions{Theme: theme, BaseAddress: baseAddress, Previous: out, Version: version()})
			}
			e := openToReport(t, s)
			if e.Unusable() {
				return refuse(t, e, s.name)
			}
			o := edition.PublishOptions{Theme: theme, BaseAddress: baseAddress, Previous: out, Version: version()}
			if dryRun {
				t.step("computing …")
				o.Take = func(site.File) error { return nil }
				p, err := e.Publish(o)
				if errors.As(err, new(*edition.AnotherError)) {
					return writeFault(out, err)
				}
				if err != nil {
					return fmt.Errorf("laying out the site: %w", err)
				}
				printChanges(t, p)
				return outcome(e)
			}
			var files []site.File // for the single file only; else none is kept
			var keep sync.Mutex
			var p *edition.Publication
			result, err := writeSite(t, out, func(add func(site.File) error) (err error) {
				if o.Take = add; singleFile != "" {
					o.Take = func(f site.File) error {
						keep.Lock()
						files = append(files, site.File{Path: f.Path, Data: bytes.Clone(f.Data)})
						keep.Unlock()
						return add(f)
					}
				}
				p, err = e.Publish(o)
				return err
			})
			if err != nil {
				return err
			}
			if singleFile != "" {
				slices.SortFunc(files, func(a, b site.File) int { return strings.Compare(a.Path, b.Path) })
				data, err := render.SingleFile(files)
				if err != nil {
					return fmt.Errorf("putting the report into one file: %w", err)
				}
				if err := writeWhole(singleFile, data); err != nil {
					return err
				}
				fmt.Fprintf(t.out, "one file: %s\n", singleFile)
			}
			if stills != "" {
				t.step("drawing stills …")
				pictures, err := render.Stills(p.Report, p.Theme)
				if err != nil {
					return fmt.Errorf("drawing the stills: %w", err)
				}
				if _, err := site.Write(stills, site.WithSums(pictures)); err != nil {
					return writeFault(stills, err)
				}
				t.step("")
				fmt.Fprintf(t.out, "stills: %s in %s\n", plural(len(pictures), "picture"), stills)
			}
			printPublished(t, e.Findings, out, result)
			printAdvice(t, p, "")
			return outcome(e)
		},
	}
	f := c.Flags()
	f.StringVarP(&out, "out", "o", "site", "the `folder` of the site")
	f.StringVar(&theme, "theme", "", "the `name` of the look, one of "+strings.Join(themes.Names(), ", "))
	f.StringVar(&baseAddress, "base-address", "", "the `URL` where the site will stand")
	f.StringVar(&singleFile, "single-file", "", "also write it as one `file`, to send by mail")
	f.StringVar(&stills, "stills", "", "also draw video frames into a `folder`")
	f.BoolVar(&dryRun, "dry-run", false, "say what would change, and write nothing")
	f.BoolVar(&sample, "sample", false, "publish the embedded sample")
	return c
}

// writeSite writes a site while it is laid out, and leaves nothing behind of one
// that was not finished, also when somebody interrupts.
func writeSite(t *terminal, out string, lay func(add func(site.File) error) error) (site.Result, error) {
	// Listening begins first, so that no moment is missed.
	signals := make(chan os.Signal, 1)
	signal.Notify(signals, os.Interrupt, syscall.SIGTERM)
	defer signal.Stop(signals)
	w, err := site.Begin(out)
	if err != nil {
		return site.Result{}, writeFault(out, err)
	}
	defer w.Close()
	finished := make(chan struct{})
	defer close(finished)
	go endOn(signals, finished, w.Close)
	t.step("computing and writing …")
	if err := lay(w.Add); err != nil {
		if fault := w.Fault(); fault != nil && errors.Is(err, fault) {
			return site.Result{}, writeFault(out, err)
		}
		if errors.As(err, new(*edition.AnotherError)) {
			return site.Result{}, writeFault(out, err)
		}
		return site.Result{}, fmt.Errorf("laying out the site: %w", err)
	}
	result, err := w.Commit()
	if err != nil {
		return result, writeFault(out, err)
	}
	t.step("")
	return result, nil
}

// endOn waits for a signal, cleans up and ends the command with the exit code
// that shells give to it; or it waits until the work is finished.
func endOn(signals <-chan os.Signal, finished <-chan struct{}, clean func()) {
	select {
	case s := <-signals:
		clean()
		code := 128 + int(syscall.SIGTERM)
		if s == os.Interrupt {
			code = 128 + int(syscall.SIGINT)
		}
		os.Exit(code)
	case <-finished:
	}
}

// writeFault says why a folder could not be written, and what to try.
func writeFault(dir string, err error) error {
	err = fmt.Errorf("writing %s: %w", dir, err)
	switch {
	case errors.As(err, new(*edition.AnotherError)):
		return hint(err, "nothing was written; name another folder with --out, or remove that one first")
	case errors.Is(err, site.ErrForeign):
		return hint(err, "nothing was written; name another folder with --out, or move that file away")
	case errors.Is(err, site.ErrBusy):
		return hint(err, "nothing was written; wait for the other one to end")
	case errors.Is(err, os.ErrPermission):
		return hint(err, "nothing was written; name a folder that you may write to with --out")
	}
	return hint(err, "nothing was written; the old site, if there was one, is still in place")
}

// printPublished says what was written and how to look at it.
func printPublished(t *terminal, findings []schema.Finding, out string, result site.Result) {
	index := filepath.Join(out, "index.html")
	files := result.Written + result.Unchanged
	switch {
	case result.Written == 0 && result.Removed == 0:
		fmt.Fprintf(t.out, "%s is up to date (%s)\n", out, plural(files, "file"))
	case result.Unchanged == 0:
		fmt.Fprintf(t.out, "published %s to %s\n", plural(files, "file"), out)
	default:
		fmt.Fprintf(t.out, "published %s to %s: %d written, %d unchanged, %d removed\n", plural(files, "file"), out, result.Written, result.Unchanged, result.Removed)
	}
	address := index
	if abs, err := filepath.Abs(index); err == nil {
		address = fileAddress(filepath.ToSlash(abs))
	}
	fmt.Fprintf(t.out, "open it in a browser: %s\n", address)
	counts := map[schema.Severity]int{}
	silenced := 0
	for _, f := range findings {
		if f.Silenced != "" {
			silenced++
		} else {
			counts[f.Severity]++
		}
	}
	if len(counts) > 0 {
		fmt.Fprintf(t.out, "the checker has %s; benchwright check shows them\n", summary("", counts, 0)[2:])
	}
	printSlips(t, findings)
}

// fileAddress is the address of a file whose absolute path is written with
// slashes (RFC 8089, section 2; appendix E.2 for a path with a drive letter, and
// E.3.1 for one on another machine). A terminal takes it for a link as a whole,
// so that a space in it is not its end.
func fileAddress(slashed string) string {
	u := url.URL{Scheme: "file", Path: slashed}
	switch host, rest, there := strings.Cut(strings.TrimPrefix(slashed, "//"), "/"); {
	case strings.HasPrefix(slashed, "//") && there:
		u.Host, u.Path = host, "/"+rest
	case !strings.HasPrefix(slashed, "/"):
		u.Path = "/" + slashed
	}
	return u.String()
}

// printSlips names the readings that are published although they look like a
// slip of the pen: one of them moves every figure that it is part of.
func printSlips(t *terminal, findings []schema.Finding) {
	const most = 5
	n := 0
	for _, f := range findings {
		if f.Silenced != "" || !slices.Contains([]string{"power-of-ten", "suspect-unit", "impossible-reading"}, f.Rule) {
			continue
		}
		if n++; n <= most {
			fmt.Fprintln(t.out, hang(t, "→ ", "  ", fmt.Sprintf("published as it stands, and looks like a slip: %s: %s", f.Place, f.Message)))
		}
	}
	if n > most {
		fmt.Fprintf(t.out, "  … and %d more\n", n-most)
	}
}

// printAdvice says what the author should look at before others read of the
// changes: a date that goes back or stands still, a correction without a reason.
// of names the report where there are several, and is empty otherwise.
func printAdvice(t *terminal, p *edition.Publication, of string) {
	c := p.Report.Changes
	if c == nil {
		return
	}
	if of != "" {
		of += ": "
	}
	advise := func(format string, values ...any) {
		fmt.Fprintln(t.out, hang(t, "→ ", "  ", of+fmt.Sprintf(format, values...)))
	}
	date := p.Report.Project.Date
	if date < c.Since {
		advise("warning: the date of this edition, %s, lies before that of the one that it follows, %s: look at date in report.yaml", date, c.Since)
	}
	if n := c.SameDate; n > 0 {
		verb := "were"
		if n == 1 {
			verb = "was"
		}
		advise("warning: %s %s corrected, excluded or withdrawn after being published under the same date, %s: give the edition a new date in report.yaml if anybody may have read it", plural(n, "reading"), verb, date)
	}
	if c.Misstated > 0 {
		advise("the correction of %s says that another value was published than was: set was right under corrections in report.yaml", plural(c.Misstated, "reading"))
	}
	if c.Unexplained > 0 {
		verb := "have"
		if c.Unexplained == 1 {
			verb = "has"
		}
		advise("%s %s no reason: say it under corrections in report.yaml, for the viewers", plural(c.Unexplained, "corrected reading"), verb)
	}
}

// printChanges says what publishing would change, loudest first.
func printChanges(t *terminal, p *edition.Publication) {
	c := p.Report.Changes
	if c == nil && p.Published {
		fmt.Fprintln(t.out, t.wrap("", "the first edition is published; no reading, no followed figure and no text of the folder has changed since"))
		return
	}
	if c == nil {
		fmt.Fprintln(t.out, "nothing is published yet: everything would be new")
		return
	}
	for _, s := range c.Turned {
		fmt.Fprintln(t.out, t.style("1", hang(t, "! ", "  ", s.Text)))
	}
	for _, s := range c.Sentences {
		fmt.Fprintln(t.out, t.wrap("", s.Text))
	}
	for _, line := range p.Report.KeptChanges() {
		fmt.Fprintln(t.out, hang(t, "  ", "    ", line))
	}
	printAdvice(t, p, "")
	var rows [][]string
	for _, f := range c.Figures {
		inside := "outside its old interval"
		if f.Inside {
			inside = "inside its old interval"
		}
		rows = append(rows, []string{"  " + f.What, f.Was, "→", f.Now, f.Moved, inside})
	}
	for _, f := range c.Apart {
		rows = append(rows, []string{"  " + f.What, f.Was, "→", f.Now, "", "not comparable"})
	}
	lines := columns(rows, 1, 3)
	if slices.ContainsFunc(lines, func(l string) bool { return utf8.RuneCountInString(l) > t.width }) {
		lines = lines[:0]
		for _, r := range rows { // too wide to stand side by side
			moved := strings.Join(r[1:4], " ")
			for _, more := range r[4:] {
				if more != "" {
					moved += ", " + more
				}
			}
			lines = append(lines, hang(t, "  ", "  ", strings.TrimSpace(r[0])), hang(t, "      ", "      ", moved))
		}
	}
	for _, line := range lines {
		fmt.Fprintln(t.out, line)
	}
}

// writeWhole writes a file beside its place and moves it there, so that a
// crash leaves the old one or the new one.
func writeWhole(name string, data []byte) error {
	f, err := os.CreateTemp(filepath.Dir(name), "."+filepath.Base(name)+".*")
	if err != nil {
		return fmt.Errorf("writing %s: %w", name, cause(err))
	}
	defer os.Remove(f.Name())
	_, werr := f.Write(data)
	if err := errors.Join(werr, f.Chmod(0o644), f.Close()); err != nil {
		return fmt.Errorf("writing %s: %w", name, cause(err))
	}
	if err := os.Rename(f.Name(), name); err != nil {
		return fmt.Errorf("writing %s: %w", name, cause(err))
	}
	return nil
}
