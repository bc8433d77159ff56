package main

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"strings"

	"github.com/spf13/cobra"

	"benchwright/edition"
	"benchwright/report"
	"benchwright/schema"
)

func answerCommand(t *terminal) *cobra.Command {
	var format, baseline string
	var pair, questions []string
	var sample bool
	c := &cobra.Command{
		Use:   "answer [FOLDER]",
		Short: "Answer the questions in the terminal",
		Long: `Answer computes the same figures as the site and prints them: each question
with its sentence, the effect on every workload and its matched pairs.

Ratios of performance are turned so that more is better: where less is better,
a minus means that the value rose. What does not count as performance, such as
a power, and differences in a unit are as they were read. An interval that holds
"no difference" is called no difference seen.

The JSON is one object with the questions, every cell and every composite; with
--question its list of questions holds those alone.`,
		Example: `  benchwright answer my-report
  benchwright answer --question second-fan my-report
  benchwright answer --between one-fan two-fans my-report
  benchwright answer --format json my-report > answers.json
  benchwright answer --format json --question second-fan my-report`,
		Args: folderArg,
		RunE: func(_ *cobra.Command, args []string) error {
			if err := oneOf("format", format, "text", "json"); err != nil {
				return err
			}
			if format == "json" && len(pair) > 0 {
				return hint(errors.New("--between is for the text"), "the JSON holds every question with its pairs, and every cell")
			}
			s, err := openFolder(args, sample)
			if err != nil {
				return err
			}
			defer s.Close()
			e := open(t, s)
			if e.Unusable() {
				return refuse(t, e, s.name)
			}
			if baseline != "" && e.Project.Configuration(baseline) == nil {
				_, _, err := twoConfigurations(e, []string{baseline, baseline})
				return err
			}
			r := e.Report(report.Options{Baseline: baseline})
			if format == "json" {
				if r.Questions, err = chosen(r, questions); err != nil {
					return err
				}
				_, err := t.out.Write(append(r.AnswersJSON(), '\n'))
				return err
			}
			if len(pair) > 0 {
				a, b, err := twoConfigurations(e, pair)
				if err != nil {
					return err
				}
				printBetween(t, e, r, a, b)
				return nil
			}
			return printAnswers(t, r, questions)
		},
	}
	c.Flags().StringVar(&format, "format", "text", "text or json")
	c.Flags().StringVar(&baseline, "baseline", "", "count from another `configuration`")
	c.Flags().StringSliceVar(&questions, "question", nil, "answer this `question` only (may be repeated)")
	c.Flags().StringSliceVar(&pair, "between", nil, "what a step between `A B` was worth")
	c.Flags().BoolVar(&sample, "sample", false, "answer those of the embedded sample")
	return c
}

// refuse prints why a folder cannot be used, and gives the error that decides
// the exit code.
func refuse(t *terminal, e *edition.Edition, name string) error {
	printFindings(t, e, name, false)
	if err := outcome(e); err != nil {
		return err
	}
	return errUnread
}

// chosen gives the questions of these ids, all when there are none, in the
// order of the report.
func chosen(r *report.Report, only []string) ([]report.Answer, error) {
	if len(only) == 0 {
		return r.Questions, nil
	}
	var ids []string
	for i := range r.Questions {
		ids = append(ids, r.Questions[i].ID)
	}
	if len(ids) == 0 {
		return nil, hint(errors.New("the folder asks no question"), "add one under questions: in report.yaml")
	}
	for _, id := range only {
		if near := schema.Nearest(id, ids); !contains(ids, id) {
			err := fmt.Errorf("there is no question %q", id)
			if near != "" {
				return nil, hint(err, "did you mean "+near+"?")
			}
			return nil, hint(err, "the questions are "+strings.Join(ids, ", "))
		}
	}
	var list []report.Answer
	for i := range r.Questions {
		if contains(only, r.Questions[i].ID) {
			list = append(list, r.Questions[i])
		}
	}
	return list, nil
}

func printAnswers(t *terminal, r *report.Report, only []string) error {
	list, err := chosen(r, only)
	if err != nil {
		return err
	}
	if len(list) == 0 {
		return hint(errors.New("the folder asks no question"), "add one under questions: in report.yaml")
	}
	for i := range list {
		if i > 0 {
			fmt.Fprintln(t.out)
		}
		printAnswer(t, r, &list[i])
	}
	return nil
}

func contains(list []string, s string) bool {
	for _, x := range list {
		if x == s {
			return true
		}
	}
	return false
}

func printAnswer(t *terminal, r *report.Report, q *report.Answer) {
	fmt.Fprintln(t.out, t.style("1", t.wrap("", q.Ask)))
	fmt.Fprintln(t.out, t.wrap("  ", q.Headline.Text))
	for _, s := range q.More {
		fmt.Fprintln(t.out, t.wrap("  ", s.Text))
	}
	if len(q.ByWorkload) > 0 {
		fmt.Fprintln(t.out)
		var reach float64
		for _, e := range q.ByWorkload {
			reach = max(reach, span(e))
		}
		rows := [][]string{}
		for _, e := range q.ByWorkload {
			rows = append(rows, []string{"  " + r.Workloads[e.Workload].Label, e.Effect.Text, bracket(e.Effect), bar(e, reach)})
		}
		for _, line := range columns(rows, 1) {
			fmt.Fprintln(t.out, line)
		}
		printTurned(t, r, "  ", q.ByWorkload)
	}
	if len(q.Pairs) > 0 {
		fmt.Fprintln(t.out)
		var rows [][]string
		for _, p := range q.Pairs {
			note := strings.TrimSpace(bracket(p.Overall) + "  " + cmp.Or(p.LeftOut, p.ThroughText))
			if p.Overall.Text == "" { // no mean over workloads: each by itself
				var effects []string
				for _, e := range p.Workloads {
					if e.Effect.Text != "" {
						effects = append(effects, e.Effect.Text)
					}
				}
				note = strings.TrimSpace(strings.Join(effects, ", ") + "  " + note)
			}
			rows = append(rows, []string{"  " + r.Configurations[p.From].ID + " → " + r.Configurations[p.To].ID, p.Overall.Text, note})
		}
		for _, line := range columns(rows, 1) {
			fmt.Fprintln(t.out, line)
		}
	}
}

func bracket(f report.Figure) string {
	if f.Range == "" {
		return f.Remark
	}
	return "(" + f.Range + ")"
}

// span is how far an effect and its interval reach from "no difference", on
// log scale; differences in a unit have no bar.
func span(e report.WorkloadEffect) float64 {
	f := e.Effect
	if e.Difference || f.Value <= 0 {
		return 0
	}
	reach := math.Abs(math.Log(f.Value))
	if f.Confidence > 0 && f.Low > 0 && f.High > 0 {
		reach = max(reach, math.Abs(math.Log(f.Low)), math.Abs(math.Log(f.High)))
	}
	return reach
}

const barHalf = 10 // characters on either side of "no difference"

// bar draws an effect with its interval in text, "no difference" in the middle.
func bar(e report.WorkloadEffect, reach float64) string {
	f := e.Effect
	if e.Difference || reach == 0 || f.Value <= 0 {
		return ""
	}
	at := func(v float64) int {
		return max(0, min(2*barHalf, barHalf+int(math.Round(math.Log(v)/reach*barHalf))))
	}
	line := []rune(strings.Repeat(" ", 2*barHalf+1))
	line[barHalf] = '|'
	if f.Confidence > 0 && f.Low > 0 && f.High > 0 {
		for i := at(f.Low); i <= at(f.High); i++ {
			if line[i] == ' ' {
				line[i] = '-'
			}
		}
	}
	line[at(f.Value)] = 'o'
	return string(line)
}

// printBetween says what differs between two configurations and what it was
// worth, workload by workload.
func printBetween(t *terminal, e *edition.Edition, r *report.Report, a, b int) {
	for _, line := range e.Space.Explain(a, b) {
		fmt.Fprintln(t.out, t.wrap("", line))
	}
	fmt.Fprintln(t.out)
	pair := r.Pair(a, b)
	if pair.Overall.Text != "" {
		text := "Overall: " + pair.Overall.Text + " " + bracket(pair.Overall)
		if r.Weighted() {
			text += "; each workload counts once here, whatever the weights of a composite"
		}
		fmt.Fprintln(t.out, t.wrap("", text))
	}
	effects := pair.Workloads
	var reach float64
	for _, x := range effects {
		reach = max(reach, span(x))
	}
	var rows [][]string
	for _, x := range effects {
		rows = append(rows, []string{r.Workloads[x.Workload].Label, x.Effect.Text, bracket(x.Effect), bar(x, reach)})
	}
	for _, line := range columns(rows, 1) {
		fmt.Fprintln(t.out, line)
	}
	printTurned(t, r, "", effects)
}

// printTurned says under a table of effects how its signs are to be read.
func printTurned(t *terminal, r *report.Report, indent string, effects []report.WorkloadEffect) {
	if note := r.Turned(effects); note != "" {
		fmt.Fprintln(t.out, t.wrap(indent, note))
	}
}
