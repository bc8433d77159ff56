package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"benchwright/edition"
	"benchwright/memory"
	"benchwright/sample-project"
	"benchwright/schema"
)

// rootCommand puts the commands together.
func rootCommand(t *terminal, in io.Reader) *cobra.Command {
	root := &cobra.Command{
		Use:   "benchwright",
		Short: "Check and publish hardware test results",
		Long: `Benchwright takes a folder of hardware test results, checks that every
comparison in it changes one thing at a time, and writes a site with tables,
charts and the method, so that others can repeat the work.`,
		Example: `  benchwright publish --sample            see what it makes
  benchwright start my-report             begin a folder of your own
  benchwright check my-report             what is wrong or unfair
  benchwright publish my-report           write the site`,
		SilenceErrors: true,
		SilenceUsage:  true,
		Args:          knownCommand,
		Version:       version(),
		RunE:          func(c *cobra.Command, _ []string) error { return c.Help() },
	}
	root.SetVersionTemplate("{{.Name}} {{.Version}}\n")
	root.SetFlagErrorFunc(flagFault)
	root.CompletionOptions.HiddenDefaultCmd = true
	// Help is read at 80 columns, whatever the width of the terminal that a
	// script has.
	root.SetUsageTemplate(strings.NewReplacer("LocalFlags.FlagUsages", "LocalFlags.FlagUsagesWrapped 80", "InheritedFlags.FlagUsages", "InheritedFlags.FlagUsagesWrapped 80").Replace(root.UsageTemplate()))
	for _, c := range commands(t, in) {
		root.AddCommand(c)
	}
	return root
}

// knownCommand tells somebody who mistyped a command what was meant, as far as
// that can be guessed.
func knownCommand(root *cobra.Command, args []string) error {
	if len(args) == 0 {
		return nil
	}
	err := fmt.Errorf("there is no command %q", args[0])
	root.SuggestionsMinimumDistance = 2
	if near := root.SuggestionsFor(args[0]); len(near) > 0 {
		return hint(err, "did you mean "+strings.Join(near, " or ")+"?")
	}
	return hint(err, "benchwright --help lists the commands")
}

// source is a project folder on disk or embedded.
type source struct {
	fs.FS
	// name as the person wrote it, for messages.
	name string
	// shelf says that it is a folder of reports.
	shelf bool
	root  *os.Root
}

func (s *source) Close() {
	if s.root != nil {
		s.root.Close()
	}
}

// openFolder opens the folder of one report; that of several is refused.
func openFolder(args []string, sample bool) (*source, error) {
	s, err := openAny(args, sample)
	if err == nil && s.shelf {
		err = notOnShelf("this", s)
		s.Close()
		return nil, err
	}
	return s, err
}

// openAny opens the folder named by the arguments, of a report or of several:
// the first one, the working folder when there is none, or the embedded sample.
// The file system refuses links that lead out of the folder.
func openAny(args []string, sample bool) (*source, error) {
	if sample {
		if len(args) > 0 {
			return nil, hint(errors.New("--sample takes no folder"), "leave out "+args[0]+" or --sample")
		}
		return &source{FS: sampleproject.Files(), name: "the sample project"}, nil
	}
	name := "."
	if len(args) > 0 {
		name = args[0]
	}
	info, err := os.Stat(name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, hint(fmt.Errorf("there is no folder %q", name), "benchwright start "+name+" makes one")
	case err != nil:
		return nil, fmt.Errorf("opening the folder %q: %w", name, cause(err))
	case !info.IsDir():
		return nil, hint(fmt.Errorf("%q is a file, not a folder", name), "name the folder that holds report.yaml: "+filepath.Dir(name))
	}
	root, err := os.OpenRoot(name)
	if err != nil {
		return nil, fmt.Errorf("opening the folder %q: %w", name, cause(err))
	}
	return &source{FS: root.FS(), name: name, root: root, shelf: schema.IsShelf(root.FS())}, nil
}

// cause takes the operation and the path off a file error, which messages name
// in their own words.
func cause(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err
	}
	return err
}

// open reads and checks a folder, showing progress.
func open(t *terminal, s *source) *edition.Edition {
	t.step("reading " + s.name + " …")
	defer t.step("")
	memory.Expect(resultBytes(s.FS))
	return edition.Open(s.FS)
}

// openToReport is open for commands that go on to the report.
func openToReport(t *terminal, s *source) *edition.Edition {
	t.step("reading " + s.name + " …")
	defer t.step("")
	memory.Expect(resultBytes(s.FS))
	return edition.OpenToReport(s.FS)
}

// resultBytes is how much there is to read, of a report or a shelf of them; what
// cannot be looked at counts nothing here, and is reported when it is read.
func resultBytes(fsys fs.FS) (n int64) {
	folders, _ := fs.Glob(fsys, "*/results")
	for _, dir := range append(folders, "results") {
		_ = fs.WalkDir(fsys, dir, func(_ string, e fs.DirEntry, err error) error {
			if err != nil || e.IsDir() {
				return nil
			}
			if info, err := e.Info(); err == nil {
				n += info.Size()
			}
			return nil
		})
	}
	return n
}

// folderArg is the usual rule for a command on one folder.
func folderArg(c *cobra.Command, args []string) error {
	if len(args) > 1 {
		return hint(fmt.Errorf("one folder at a time, not %d: %s", len(args), strings.Join(args, " ")), "see "+c.CommandPath()+" --help")
	}
	return nil
}

// oneOf checks the value of a flag that has a few words to choose from.
func oneOf(flag, value string, words ...string) error {
	for _, w := range words {
		if w == value {
			return nil
		}
	}
	return fmt.Errorf("--%s %q is none of %s", flag, value, strings.Join(words, ", "))
}

// between joins the two words after --between into one value, so that it reads
// as people say it: check --between A B.
func between(args []string) []string {
	out := make([]string, 0, len(args))
	for i := 0; i < len(args); i++ {
		out = append(out, args[i])
		if args[i] != "--between" || i+2 >= len(args) {
			continue
		}
		a, b := args[i+1], args[i+2]
		if strings.ContainsAny(a, ",=") || strings.HasPrefix(a, "-") || strings.HasPrefix(b, "-") {
			continue
		}
		out = append(out, a+","+b)
		i += 2
	}
	return out
}
