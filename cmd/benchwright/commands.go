package main

import (
	"fmt"
	"io"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"
	"github.com/spf13/cobra/doc"
)

// commands lists them in the order in which a report grows.
func commands(t *terminal, in io.Reader) []*cobra.Command {
	return []*cobra.Command{
		startCommand(t),
		planCommand(t),
		recordCommand(t, in),
		checkCommand(t),
		answerCommand(t),
		publishCommand(t),
		previewCommand(t),
		verifyCommand(t),
		schemaCommand(t),
		manualCommand(t),
	}
}

// manualCommand writes the manual pages, which cobra makes from the commands.
func manualCommand(t *terminal) *cobra.Command {
	return &cobra.Command{
		Use:   "manual DIR",
		Short: "Write the manual pages",
		Long: `Manual writes a manual page (man, section 1) for every command into a folder.
Completion for a shell is written by benchwright completion SHELL.`,
		Example: `  benchwright manual share/man/man1
  benchwright completion bash > benchwright.bash`,
		Args: exactly(1, "manual takes one folder"),
		RunE: func(c *cobra.Command, args []string) error {
			dir := args[0]
			if err := os.MkdirAll(dir, 0o755); err != nil {
				return fmt.Errorf("making the folder %q: %w", dir, cause(err))
			}
			root := c.Root()
			root.DisableAutoGenTag = true // the date would change the bytes
			if err := doc.GenManTree(root, &doc.GenManHeader{Section: "1", Source: "Benchwright", Manual: "Benchwright"}, dir); err != nil {
				return fmt.Errorf("writing the manual pages: %w", err)
			}
			pages, err := filepath.Glob(filepath.Join(dir, "benchwright*.1"))
			if err != nil {
				return err
			}
			for _, p := range pages {
				fmt.Fprintln(t.out, p)
			}
			return nil
		},
	}
}
