package main

import (
	"bytes"
	"fmt"

	"benchwright/project"
	"benchwright/words"
)

// The example tables of the page; a test reads them in.
const (
	exampleLong = `configuration,workload,value,unit,session,repeat,order,outcome,reason,note
one-fan,compile,312.5,,first-evening,1,1,,,
one-fan,case-temperature,31.2,,first-evening,1,1,,,
two-fans,compile,303100,ms,first-evening,1,2,,,second try
two-fans,case-temperature,,,first-evening,1,2,hung,the fan controller stood still,
one-fan,compile,398.0,,first-evening,2,3,excluded,the door was open,
`
	exampleWide = `order,configuration,session,repeat,compile [s],case-temperature [K],outcome,note
1,one-fan,first-evening,1,312.5,31.2,,
2,two-fans,first-evening,1,303.1,,hung,stood still after compiling
`
)

// resultsPage tells what a result file may hold.
func resultsPage() []byte {
	say := words.For("en-GB")
	var b bytes.Buffer
	b.WriteString(`# Results tables

Every CSV file straight in ` + "`results/`" + ` is read. Its first row names the columns, in any
order; each further row holds what was read. A row whose cells are all empty is passed
over. A column with a name that is not known is an error, so that nothing is left out
without a word.

## Columns

In the **long** form a row is one reading, with the columns ` + "`workload` and `value`" + `. In the
**wide** form a row is one run of several workloads, each with a column of its own. One
file has one form; a folder may have both.

| column | long | wide | what it holds | for example |
| --- | --- | --- | --- | --- |
`)
	yes := map[bool]string{true: "yes", false: "–"}
	for _, c := range project.ListColumns() {
		long := yes[c.Long]
		if c.Name == "configuration" || c.Name == "workload" || c.Name == "value" {
			long = "**required**"
		}
		wide := yes[c.Wide]
		if c.Name == "configuration" {
			wide = "**required**"
		}
		fmt.Fprintf(&b, "| `%s` | %s | %s | %s | `%s` |\n", c.Name, long, wide, cell(c.Means), c.Example)
	}
	fmt.Fprintf(&b, `| a workload's id | – | yes | Its reading; at least one such column is required. A unit in square brackets behind the id holds for the whole column. | `+"`compile [s]`"+` |
| a conversion's name | yes | yes | A number that the workload's `+"`reading`"+` in workloads.yaml multiplies with or divides by, under the name given there; a unit may stand behind it in square brackets. | `+"`frames`"+` |

Long:

%[1]scsv
%[2]s%[1]s

Wide:

%[1]scsv
%[3]s%[1]s

In the wide form an outcome other than `+"`ok`"+` belongs to the cells that are empty: what was
written was read before the run ended. When no cell is empty it holds for all of them, and
so does `+"`excluded`"+` always.

## Outcomes

| word | what it means |
| --- | --- |
`, "```", exampleLong, exampleWide)
	for _, o := range project.ListOutcomes() {
		fmt.Fprintf(&b, "| `%s` | %s |\n", o.Word, cell(o.Means))
	}
	b.WriteString(`
A row without a value needs one of the outcomes that have none. A failure is a result and
is published; only ` + "`ok`" + ` counts in figures.

## Numbers

- Digits with at most one decimal mark, a sign and an exponent: ` + "`312.5`, `-4`, `1.2e5`" + `. No
  thousands separators, and no unit behind the number: it has a column, or stands in the
  head of the column.
- The separator is a comma, a semicolon or a tab, and the decimal mark a point or a comma.
  Both are found out from each file, with a notice unless they are comma and point. What
  cannot be told is an error. ` + "`csv: {separator: \";\", decimal: \",\"}`" + ` in report.yaml says it for
  all result files.
- Text is UTF-8. A cell that holds the separator, a quote or a line break stands in double
  quotes; a quote in it is written twice.

## Frame files

The cell of a workload with ` + "`frame-times`" + ` names a file under ` + "`frames/`" + `, with or without the
folder before it: every run has a file of its own. It ends in ` + "`.csv`" + ` or ` + "`.txt`" + ` and holds one
number a line: the time that a frame took, in milliseconds, in the order in which the
frames were shown. A first line that is no number is a heading. Points in time, seconds,
and lines that are no numbers are errors. A file may be a table with other columns beside
the times: then ` + "`frame-column: HEADING`" + ` in workloads.yaml names theirs, whatever lines stand
before the headings, and a comma, a semicolon or a tab between them.

| ` + "`frame-times`" + ` | what it is | unit | frames it needs |
| --- | --- | --- | --- |
`)
	for _, f := range project.ListFrameStatistics() {
		least := "any number"
		if f.LeastFrames > 0 {
			least = fmt.Sprint(f.LeastFrames)
		}
		fmt.Fprintf(&b, "| `%s` | %s | %s | %s |\n", f.Word, cell(say.Say("workload.frames."+f.Word)), f.Unit, least)
	}
	b.WriteString(`
Percentiles are interpolated between the two frames next to them (type 7 of Hyndman and
Fan, "Sample Quantiles in Statistical Packages", The American Statistician 50(4), 1996).
The slowest hundredth or thousandth is rounded up to whole frames.

## Tables of another form

A table with other names of columns does not belong in ` + "`results/`" + `. ` + "`benchwright record --from`" + `
reads it in, with a mapping in record.yaml that says what its columns are (see [Keys](keys.md)):

` + "```yaml" + `
mappings:
  timer:
    columns: {Build: configuration, Test: workload, Seconds: value}
    configurations: {Build A: one-fan, Build B: two-fans}
` + "```" + `

` + "`benchwright plan --format csv`" + ` writes an empty table for a session. ` + "`record --from`" + ` reads it
when it is filled in by half, too: a row without value, outcome and note is a run that did
not take place, and is left out. In ` + "`results/`" + ` itself such a row is an error.
`)
	return b.Bytes()
}
