package main

import (
	"fmt"
	"io/fs"
	"path"
	"path/filepath"
	"strings"

	"benchwright/design"
	"benchwright/memory"
	"benchwright/render/site"
	"benchwright/schema"
	"benchwright/shelf"
)

// openShelf reads and checks a folder of reports, showing progress.
func openShelf(t *terminal, s *source) *shelf.Shelf {
	t.step("reading " + s.name + " …")
	defer t.step("")
	memory.Expect(resultBytes(s.FS))
	return shelf.Open(s.FS)
}

// notOnShelf says that something is done with one report at a time, and names
// those that there are. what is a flag, or "this".
func notOnShelf(what string, s *source) error {
	err := fmt.Errorf("%q holds several reports, and %s is done with one at a time", s.name, what)
	folder, _ := schema.ReadShelf(s.FS)
	var names []string
	for i, name := range folder.Reports {
		if i == 8 {
			names = append(names, "…")
			break
		}
		names = append(names, path.Join(filepath.ToSlash(s.name), name))
	}
	if len(names) == 0 {
		return hint(err, "benchwright check "+s.name+" says what is wrong with it")
	}
	return hint(err, "name one of them: "+strings.Join(names, ", "))
}

// checkShelf prints what is wrong or unfair in any of the reports.
func checkShelf(t *terminal, from *source, format string, all bool) error {
	s := openShelf(t, from)
	var err error
	switch format {
	case "json":
		err = writeJSON(t.out, shelfDocument(s))
	case "sarif":
		err = writeJSON(t.out, sarif(s.Findings))
	default:
		printShelf(t, s, from.name, all)
	}
	if err != nil {
		return err
	}
	return outcome(s)
}

func shelfDocument(s *shelf.Shelf) checked {
	d := checkedFindings(s.Findings)
	d.Reports = []checkedReport{}
	for _, r := range s.Reports {
		one := checkedReport{Folder: r.Folder, Questions: []design.QuestionStatus{}}
		if r.Project != nil {
			one.Title = r.Project.Title
			one.Questions = append(one.Questions, r.Space.Questions()...)
		}
		d.Reports = append(d.Reports, one)
	}
	return d
}

// printShelf lays out the findings of all reports together, then a line for
// each report and one for the shelf.
func printShelf(t *terminal, s *shelf.Shelf, name string, all bool) {
	counts, silenced := printEach(t, s.Findings, all)
	for _, r := range s.Reports {
		of := map[schema.Severity]int{}
		for _, f := range r.Findings {
			if f.Silenced == "" {
				of[f.Severity]++
			}
		}
		fmt.Fprintln(t.out, t.wrap("  ", summary(r.Folder, of, 0)))
	}
	fmt.Fprintln(t.out, t.wrap("", summary(name, counts, silenced)))
}

// publishShelf writes the site of several reports, or says what it would change.
func publishShelf(t *terminal, from *source, out string, dryRun bool, o shelf.PublishOptions) error {
	s := openShelf(t, from)
	if s.Unusable() {
		printShelf(t, s, from.name, false)
		if err := outcome(s); err != nil {
			return err
		}
		return errUnread
	}
	if dryRun {
		t.step("computing …")
		o.Take = func(site.File) error { return nil }
		p, err := s.Publish(o)
		if err != nil {
			return fmt.Errorf("laying out the site: %w", err)
		}
		t.step("")
		for i, r := range p.Reports {
			if i > 0 {
				fmt.Fprintln(t.out)
			}
			fmt.Fprintln(t.out, t.style("1", t.wrap("", s.Reports[i].Folder+": "+r.Report.Project.Title)))
			printChanges(t, r)
		}
		return outcome(s)
	}
	var p *shelf.Publication
	result, err := writeSite(t, out, func(add func(site.File) error) (err error) {
		o.Take = add
		p, err = s.Publish(o)
		return err
	})
	if err != nil {
		return err
	}
	printPublished(t, s.Findings, out, result)
	for i, r := range p.Reports {
		printAdvice(t, r, s.Reports[i].Folder)
	}
	return outcome(s)
}

// verifyShelf checks a published site of several reports.
func verifyShelf(t *terminal, published fs.FS, name, against string, all bool) error {
	var v *shelf.Verification
	var err error
	if against != "" {
		from, err := openAny([]string{against}, false)
		if err != nil {
			return err
		}
		defer from.Close()
		if !from.shelf {
			return hint(fmt.Errorf("%s is the site of several reports, and %s holds one", name, against), "name the folder that has the shelf.yaml")
		}
		if v, err = shelf.VerifyAgainst(published, from.FS, version()); err != nil {
			return fmt.Errorf("verifying %s: %w", name, err)
		}
	} else if v, err = shelf.Verify(published, version()); err != nil {
		return hint(fmt.Errorf("verifying %s: %w", name, err), "name the folder that benchwright publish wrote, or an archive of it")
	}
	t.step("")
	for _, r := range v.Reports {
		of := against
		if of != "" {
			of = filepath.Join(against, r.Folder)
		}
		fmt.Fprintln(t.out, t.wrap("", fmt.Sprintf("%s: %s (%s): %s", r.Folder, r.Title, r.Date, verdict(r.OK(), of))))
	}
	printVerification(t, &v.Verification, name, against, all)
	return verification(&v.Verification)
}
