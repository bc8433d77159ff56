package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"

	"github.com/spf13/cobra"

	"benchwright/edition"
	"benchwright/shelf"
)

func verifyCommand(t *terminal) *cobra.Command {
	var against string
	var all bool
	c := &cobra.Command{
		Use:   "verify SITE",
		Short: "Recompute a published site's figures",
		Long: `Verify takes a published site (a folder, a zip or a tar.gz), checks its
checksums, computes every figure again from the readings that it publishes, and
says which differ, with file, line, column and both values: a few of each file,
the others as a number, and with --all those of every file (at most 20 of each).
A site of several reports is checked report by report, and its own pages are
made again too.

It does not trust the checksums: whoever changed a figure may have changed
those too. Exit code: 0 all agree, 1 something differs, 2 cannot be read, 3 the
data agree, and pages could not be compared since another version made them or
another kind of processor computed them.`,
		Example: `  benchwright verify site
  benchwright verify report.zip
  benchwright verify site --against my-report`,
		Args: exactly(1, "verify takes one site"),
		RunE: func(_ *cobra.Command, args []string) error {
			published, done, err := openSite(args[0])
			if err != nil {
				return err
			}
			defer done()
			t.step("recomputing …")
			if shelf.IsSite(published) {
				return verifyShelf(t, published, args[0], against, all)
			}
			var v *edition.Verification
			if against != "" {
				s, err := openFolder([]string{against}, false)
				if err != nil {
					return err
				}
				defer s.Close()
				v, err = edition.VerifyAgainst(published, s.FS, version())
				if err != nil {
					return fmt.Errorf("verifying %s: %w", args[0], err)
				}
			} else if v, err = edition.Verify(published, version()); err != nil {
				return hint(fmt.Errorf("verifying %s: %w", args[0], err), "name the folder that benchwright publish wrote, or an archive of it")
			}
			t.step("")
			printVerification(t, v, args[0], against, all)
			return verification(v)
		},
	}
	c.Flags().StringVar(&against, "against", "", "hold it against a project `folder` instead of its own data")
	c.Flags().BoolVar(&all, "all", false, "list the differences of every file, at most 20 of each")
	return c
}

// openSite opens a folder or an archive.
func openSite(name string) (fs.FS, func(), error) {
	info, err := os.Stat(name)
	if err != nil {
		return nil, nil, fmt.Errorf("opening %q: %w", name, cause(err))
	}
	if info.IsDir() {
		root, err := os.OpenRoot(name)
		if err != nil {
			return nil, nil, fmt.Errorf("opening %q: %w", name, cause(err))
		}
		return root.FS(), func() { root.Close() }, nil
	}
	f, err := os.Open(name)
	if err != nil {
		return nil, nil, fmt.Errorf("opening %q: %w", name, cause(err))
	}
	site, err := edition.OpenArchive(f, info.Size())
	if err != nil {
		return nil, nil, errors.Join(hint(fmt.Errorf("opening %q: %w", name, err), "verify reads folders, zip and tar.gz"), f.Close())
	}
	return site, func() { f.Close() }, nil
}

// verdict says what came out, of a site held against a project folder or, when
// none is named, against its own data.
func verdict(ok bool, against string) string {
	switch {
	case against != "" && ok:
		return "is what " + against + " gives"
	case against != "":
		return "is not what " + against + " gives"
	case ok:
		return "agrees with its own readings"
	}
	return "does not agree with its own readings"
}
