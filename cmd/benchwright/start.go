package main

import (
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"

	"github.com/spf13/cobra"

	"benchwright/schema"
	"benchwright/starter"
)

func startCommand(t *terminal) *cobra.Command {
	var theme bool
	c := &cobra.Command{
		Use:   "start DIR",
		Short: "Make a project folder with comments in it",
		Long: `Start makes a small folder that passes check and can be published as it is,
with a comment on every key. Replace its values with your own. Files that are
there already are never overwritten.`,
		Example: `  benchwright start my-report
  benchwright check my-report
  benchwright start my-report --theme`,
		Args: exactly(1, "start takes one folder"),
		RunE: func(_ *cobra.Command, args []string) error {
			dir := args[0]
			if theme {
				return startTheme(t, dir)
			}
			names, err := starter.Write(dir, starter.Files())
			if err != nil {
				if errors.Is(err, starter.ErrNotEmpty) {
					return hint(err, "name a folder that is empty or not there yet")
				}
				return fmt.Errorf("making the folder %q: %w", dir, cause(err))
			}
			if err := writeSchemas(filepath.Join(dir, ".schema")); err != nil {
				return err
			}
			for _, n := range names {
				fmt.Fprintln(t.out, filepath.Join(dir, filepath.FromSlash(n)))
			}
			t.say("benchwright: next: change the values, then benchwright check %s", dir)
			return nil
		},
	}
	c.Flags().BoolVar(&theme, "theme", false, "add a theme folder to a report")
	return c
}

// startTheme adds the folder theme/ to a report that is there already.
func startTheme(t *terminal, dir string) error {
	if _, err := os.Stat(filepath.Join(dir, "report.yaml")); err != nil {
		return hint(fmt.Errorf("there is no report in %q", dir), "make one first: benchwright start "+dir)
	}
	names, err := starter.Write(dir, starter.Theme())
	if errors.Is(err, starter.ErrNotEmpty) {
		return hint(err, "the report has a theme already")
	}
	if err != nil {
		return fmt.Errorf("making the theme in %q: %w", dir, cause(err))
	}
	for _, n := range names {
		fmt.Fprintln(t.out, filepath.Join(dir, filepath.FromSlash(n)))
	}
	t.say("benchwright: next: change theme/theme.css, and watch it with benchwright preview %s", dir)
	return nil
}

func schemaCommand(t *terminal) *cobra.Command {
	return &cobra.Command{
		Use:   "schema DIR",
		Short: "Write the schemas out for an editor",
		Long: `Schema writes the JSON Schemas (2020-12) of every file of a project folder.
An editor that follows a comment such as

  # yaml-language-server: $schema=.schema/report.schema.json

then completes keys, explains them and marks mistakes while you type. Those of
what check, plan and answer print as JSON go into a folder output beside them.`,
		Example: "  benchwright schema my-report/.schema",
		Args:    exactly(1, "schema takes one folder"),
		RunE: func(_ *cobra.Command, args []string) error {
			if err := writeSchemas(args[0]); err != nil {
				return err
			}
			names, err := fs.Glob(schema.Files(), "*.schema.json")
			if err != nil {
				return err
			}
			for _, n := range names {
				fmt.Fprintln(t.out, filepath.Join(args[0], n))
			}
			dir := filepath.Join(args[0], "output")
			if err := os.MkdirAll(dir, 0o755); err != nil {
				return fmt.Errorf("making the folder %q: %w", dir, cause(err))
			}
			outputs := outputSchemas()
			for _, n := range slices.Sorted(maps.Keys(outputs)) {
				if err := os.WriteFile(filepath.Join(dir, n), outputs[n], 0o644); err != nil {
					return fmt.Errorf("writing the schema %q: %w", n, cause(err))
				}
				fmt.Fprintln(t.out, filepath.Join(dir, n))
			}
			return nil
		},
	}
}

// writeSchemas writes every schema into dir; they are the tool's own files, so
// older ones are replaced.
func writeSchemas(dir string) error {
	_, err := schema.WriteTo(dir)
	return err
}

// exactly is the rule for a command that takes a fixed number of arguments.
func exactly(n int, text string) cobra.PositionalArgs {
	return func(c *cobra.Command, args []string) error {
		if len(args) != n {
			return hint(errors.New(text), "see "+c.CommandPath()+" --help")
		}
		return nil
	}
}
