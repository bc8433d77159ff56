package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"benchwright/design"
	"benchwright/edition"
	"benchwright/project"
	"benchwright/record"
	"benchwright/schema"
	"benchwright/shelf"
)

func checkCommand(t *terminal) *cobra.Command {
	var format, explain string
	var pair []string
	var sample, all, rules bool
	c := &cobra.Command{
		Use:   "check [FOLDER]",
		Short: "Find what is wrong or unfair in a folder",
		Long: `Check reads the folder, says what cannot be understood, and then looks for
what would make a comparison unfair: a second thing that changed, an order of
runs that favours one side, readings that look copied or mistyped. It also says
which questions the configurations can answer, with or without readings. Of a
folder of reports (a shelf, with shelf.yaml in it) it checks each, and whether
they mean the same by the workloads that they share.

Exit code: 0 nothing of severity error, 1 errors, 2 cannot be read.`,
		Example: `  benchwright check my-report
  benchwright check --between quiet fast my-report
  benchwright check --explain too-few-repeats
  benchwright check --format sarif my-report > findings.sarif`,
		Args: folderArg,
		RunE: func(_ *cobra.Command, args []string) error {
			if err := oneOf("format", format, "text", "json", "sarif"); err != nil {
				return err
			}
			if rules {
				listRules(t)
				return nil
			}
			if explain != "" {
				return explainRule(t, explain)
			}
			s, err := openAny(args, sample)
			if err != nil {
				return err
			}
			defer s.Close()
			if s.shelf {
				if len(pair) > 0 {
					return notOnShelf("--between", s)
				}
				return checkShelf(t, s, format, all)
			}
			e := open(t, s)
			if len(pair) > 0 {
				return checkBetween(t, e, pair)
			}
			switch format {
			case "json":
				err = writeJSON(t.out, checkDocument(e))
			case "sarif":
				err = writeJSON(t.out, sarif(e.Findings))
			default:
				printFindings(t, e, s.name, all)
			}
			if err != nil {
				return err
			}
			return outcome(e)
		},
	}
	c.Flags().StringVar(&format, "format", "text", "text, json or sarif (SARIF 2.1.0)")
	c.Flags().StringVar(&explain, "explain", "", "explain a `rule` and exit")
	c.Flags().BoolVar(&rules, "rules", false, "list the rules and exit")
	c.Flags().StringSliceVar(&pair, "between", nil, "what stands between configurations `A B`")
	c.Flags().BoolVar(&sample, "sample", false, "check the embedded sample")
	c.Flags().BoolVar(&all, "all", false, "show silenced findings as well")
	return c
}

// judged is a folder that was checked: a report or a shelf of them.
type judged interface {
	Unreadable() bool
	Worst() (schema.Severity, bool)
}

// outcome turns findings into the error that decides the exit code.
func outcome(e judged) error {
	if e.Unreadable() {
		return errUnread
	}
	if worst, ok := e.Worst(); ok && worst == schema.Error {
		return errFindings
	}
	return nil
}

func writeJSON(w io.Writer, v any) error {
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	return enc.Encode(v)
}

// checked is the JSON document of check; its schema is check.schema.json.
type checked struct {
	Schema    string                  `json:"$schema"`
	Findings  []schema.Finding        `json:"findings"`
	Silenced  []schema.Finding        `json:"silenced"`
	Questions []design.QuestionStatus `json:"questions"`
	// Reports are those of a shelf, whose questions are theirs.
	Reports []checkedReport `json:"reports,omitempty"`
}

type checkedReport struct {
	Folder    string                  `json:"folder"`
	Title     string                  `json:"title"`
	Questions []design.QuestionStatus `json:"questions"`
}

// checkedFindings is the document without any questions.
func checkedFindings(all []schema.Finding) checked {
	d := checked{Schema: "check.schema.json", Findings: []schema.Finding{}, Silenced: []schema.Finding{}, Questions: []design.QuestionStatus{}}
	for _, f := range all {
		if f.Silenced != "" {
			d.Silenced = append(d.Silenced, f)
		} else {
			d.Findings = append(d.Findings, f)
		}
	}
	return d
}

func checkDocument(e *edition.Edition) checked {
	d := checkedFindings(e.Findings)
	if e.Space != nil {
		d.Questions = append(d.Questions, e.Space.Questions()...)
	}
	return d
}

var severityStyles = map[schema.Severity]string{schema.Error: "1;31", schema.Warning: "1;33", schema.Notice: "1;36"}

// printFindings lays out a report's findings for people, then its questions,
// then one line that sums up.
func printFindings(t *terminal, e *edition.Edition, name string, all bool) {
	counts, silenced := printEach(t, e.Findings, all)
	if e.Space != nil && !e.Unusable() {
		printQuestions(t, e.Space.Questions())
	}
	fmt.Fprintln(t.out, t.wrap("", summary(name, counts, silenced)))
}

// printEach lays out findings: most severe first, in file order within a
// severity. It counts those that are not silenced.
func printEach(t *terminal, findings []schema.Finding, all bool) (counts map[schema.Severity]int, silenced int) {
	counts = map[schema.Severity]int{}
	for _, severity := range []schema.Severity{schema.Error, schema.Warning, schema.Notice} {
		for _, f := range findings {
			if f.Severity != severity {
				continue
			}
			if f.Silenced != "" {
				silenced++
				if !all {
					continue
				}
			} else {
				counts[severity]++
			}
			printFinding(t, f)
		}
	}
	return counts, silenced
}

func summary(name string, counts map[schema.Severity]int, silenced int) string {
	var parts []string
	for _, s := range []schema.Severity{schema.Error, schema.Warning, schema.Notice} {
		if n := counts[s]; n > 0 {
			parts = append(parts, plural(n, s.String()))
		}
	}
	text := "nothing to report"
	if len(parts) > 0 {
		text = strings.Join(parts, ", ")
	}
	if silenced > 0 {
		text += fmt.Sprintf(" (and %d silenced with a reason; --all shows them)", silenced)
	}
	return name + ": " + text
}

func plural(n int, word string) string {
	if n == 1 {
		return "1 " + word
	}
	return fmt.Sprintf("%d %ss", n, word)
}

// printFinding prints one finding: where, which rule, what is wrong with the
// line itself, what would be right.
func printFinding(t *terminal, f schema.Finding) {
	w := t.out
	fmt.Fprintf(w, "%s  %s  (%s)\n", t.style(severityStyles[f.Severity], f.Severity.String()), t.style("1", f.Place.String()), f.Rule)
	fmt.Fprintln(w, t.wrap("  ", f.Message))
	if f.Excerpt != "" && f.Line > 0 {
		number := fmt.Sprintf("%6d | ", f.Line)
		room := t.width - len(number)
		line, column := f.Excerpt, f.ExcerptColumn
		line, column = clip(line, column, room)
		fmt.Fprintf(w, "%s%s\n", number, line)
		if column > 0 {
			width := max(1, min(f.Width, room-column+1))
			fmt.Fprintf(w, "%s| %s%s\n", strings.Repeat(" ", 7), strings.Repeat(" ", column-1), t.style(severityStyles[f.Severity], strings.Repeat("^", width)))
		}
	}
	for _, r := range f.Related {
		fmt.Fprintln(w, t.wrap("  ", r.Place.String()+": "+r.Message))
	}
	if f.Remedy != "" {
		fmt.Fprintln(w, hang(t, "  → ", "    ", f.Remedy))
	}
	if f.Silenced != "" {
		fmt.Fprintln(w, t.wrap("  ", "silenced: "+f.Silenced))
	}
	fmt.Fprintln(w)
}

// clip cuts a line to the room there is, keeping the marked column in sight.
func clip(line string, column, room int) (string, int) {
	runes := []rune(line)
	if len(runes) <= room {
		return line, column
	}
	from := 0
	if column > room*2/3 {
		from = min(column-room/3, len(runes)-room+1)
	}
	to := min(len(runes), from+room-2)
	cut := runes[from:to]
	text := string(cut)
	if from > 0 {
		text = "…" + text
		column++
	}
	if to < len(runes) {
		text += "…"
	}
	return text, column - from
}

// printQuestions says which questions can be answered, and what is missing.
func printQuestions(t *terminal, qs []design.QuestionStatus) {
	if len(qs) == 0 {
		return
	}
	fmt.Fprintln(t.out, t.style("1", "Questions"))
	for _, q := range qs {
		sign, word := "yes", plural(len(q.Pairs), "matched pair")
		switch {
		case q.Measured && q.Bundle:
			word = "as a bundle, " + plural(len(q.Pairs), "pair")
		case q.Answerable && !q.Measured:
			sign, word = "not yet", plural(len(q.Pairs), "matched pair")+" without readings on both sides"
		case !q.Answerable:
			sign, word = "no", "no matched pair"
		}
		fmt.Fprintln(t.out, t.wrap("  ", fmt.Sprintf("%s: %s (%s)", q.ID, sign, word)))
		if q.Beyond != "" {
			fmt.Fprintln(t.out, hang(t, "    → ", "      ", q.Beyond))
		}
		if q.Answerable {
			continue
		}
		if q.Again != "" {
			fmt.Fprintln(t.out, hang(t, "    → ", "      ", q.Again))
		}
		for _, m := range q.Missing {
			fmt.Fprintln(t.out, hang(t, "    → ", "      ", m.Text))
		}
		for i, n := range q.Nearest {
			if i == 3 {
				break
			}
			fmt.Fprintln(t.out, hang(t, "    nearest: ", "             ", n.Text))
		}
	}
	fmt.Fprintln(t.out)
}

// explainRule prints the page of a rule: of the checker with all it has, of
// reading and loading with the sentence that says what is wrong.
func explainRule(t *terminal, name string) error {
	var names []string
	for _, r := range allRules() {
		if r.Name == name {
			fmt.Fprintln(t.out, t.wrap("", design.Explain(r)))
			return nil
		}
		names = append(names, r.Name)
	}
	for _, r := range formRules() {
		if r.name == name {
			fmt.Fprintln(t.out, t.style("1", name))
			fmt.Fprintln(t.out, t.wrap("", r.means))
			return nil
		}
		names = append(names, r.name)
	}
	err := fmt.Errorf("there is no rule %q", name)
	if near := schema.Nearest(name, names); near != "" {
		return hint(err, "did you mean "+near+"?")
	}
	return hint(err, "benchwright check --rules lists them")
}

// formRule is a rule about the form of files or the sense of what stands in
// them; such a finding explains itself, so it has a sentence and no page.
type formRule struct{ name, means string }

// formRules joins those of package schema and project, by name.
func formRules() []formRule {
	means := map[string]string{}
	for _, r := range project.Rules() {
		means[r.Name] = r.Means
	}
	for _, r := range record.Rules() {
		means[r.Name] = r.Means
	}
	for _, r := range shelf.Rules() {
		means[r.Name] = r.Means
	}
	for _, r := range schema.Rules() {
		means[r.Name] = r.Means
	}
	out := make([]formRule, 0, len(means))
	for name, m := range means {
		out = append(out, formRule{name, m})
	}
	slices.SortFunc(out, func(a, b formRule) int { return strings.Compare(a.name, b.name) })
	return out
}

// listRules prints every rule with its title, for --explain to go on from.
func listRules(t *terminal) {
	for _, g := range design.Groups() {
		var rows [][]string
		for _, r := range allRules() {
			if r.Group == g {
				rows = append(rows, []string{"  " + r.Name, r.Title})
			}
		}
		if len(rows) == 0 {
			continue
		}
		fmt.Fprintln(t.out, t.style("1", string(g)))
		for _, line := range columns(rows) {
			fmt.Fprintln(t.out, line)
		}
	}
	fmt.Fprintln(t.out, t.style("1", "files"))
	for _, r := range formRules() {
		fmt.Fprintln(t.out, "  "+r.name)
	}
}

func checkBetween(t *terminal, e *edition.Edition, pair []string) error {
	if e.Project == nil {
		printFindings(t, e, "the folder", false)
		return errUnread
	}
	a, b, err := twoConfigurations(e, pair)
	if err != nil {
		return err
	}
	for _, line := range e.Space.Explain(a, b) {
		fmt.Fprintln(t.out, t.wrap("", line))
	}
	return nil
}

// twoConfigurations finds the two configurations of --between.
func twoConfigurations(e *edition.Edition, pair []string) (a, b int, err error) {
	if len(pair) != 2 {
		return 0, 0, hint(errors.New("--between takes two configurations"), "for example --between "+strings.Join(someIDs(e, 2), " "))
	}
	var at [2]int
	for i, id := range pair {
		c := e.Project.Configuration(id)
		if c == nil {
			err := fmt.Errorf("there is no configuration %q", id)
			if near := schema.Nearest(id, someIDs(e, -1)); near != "" {
				return 0, 0, hint(err, "did you mean "+near+"?")
			}
			return 0, 0, hint(err, "the configurations are "+strings.Join(someIDs(e, 20), ", "))
		}
		at[i] = c.Index
	}
	return at[0], at[1], nil
}

func someIDs(e *edition.Edition, n int) []string {
	var ids []string
	for _, c := range e.Project.Configurations {
		if n >= 0 && len(ids) == n {
			break
		}
		ids = append(ids, c.ID)
	}
	return ids
}
