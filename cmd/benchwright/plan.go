package main

import (
	"encoding/csv"
	"errors"
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/spf13/cobra"

	"benchwright/design"
	"benchwright/edition"
)

// mostRounds bounds --rounds: more would be a slip of the finger.
const mostRounds = 100

// leastDifference and mostDifference bound --difference, in per cent: what lies
// outside is a slip of the finger, or a share where per cent were meant.
const leastDifference, mostDifference = 0.05, 1000

func planCommand(t *terminal) *cobra.Command {
	var format, order, session string
	var rounds int
	var seed uint64
	var minutes, difference float64
	var sample bool
	c := &cobra.Command{
		Use:   "plan [FOLDER]",
		Short: "Say what to run next, and in which order",
		Long: `Plan says which readings the questions still lack and which configurations
they need first, and puts the runs of one session in order: from the baseline
through every configuration that a question needs and back, round by round, so
that no repeats stand in one block and no studied factor goes with time. The
same seed gives the same order. --order shortest swaps as little as possible,
and says what that costs. A configuration beyond a maker's limit is left out,
and so is one that no question needs; both are named.

--difference 2 says how many repeats of each workload show a true difference of
2 % four times in five, from the spread that its repeats have had so far, and
plans as many. Scales without ratios are left out of that.

--format csv is a result file with empty values: fill it in and put it under
results/, or read it in with benchwright record --from.`,
		Example: `  benchwright plan my-report
  benchwright plan my-report --minutes 180
  benchwright plan my-report --rounds 5 --order shortest
  benchwright plan my-report --difference 2
  benchwright plan my-report --session third-evening --format csv > evening.csv`,
		Args: folderArg,
		RunE: func(c *cobra.Command, args []string) error {
			o := design.PlanOptions{Repeats: rounds, Session: session, Seed: seed, Minutes: minutes, Difference: difference}
			if order == design.Shortest.String() {
				o.Order = design.Shortest
			}
			if err := checkPlan(c, o, format, order); err != nil {
				return err
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
			p := e.Space.Plan(o)
			switch format {
			case "json":
				return writeJSON(t.out, planned{"plan.schema.json", p})
			case "csv":
				return writeTable(t, e, &p)
			}
			printPlan(t, &p)
			return nil
		},
	}
	g := c.Flags()
	g.SortFlags = false
	g.IntVar(&rounds, "rounds", 0, "the `number` of repeats wanted of each reading, earlier sessions included\n(default minimum-repeats of report.yaml)")
	g.Float64Var(&difference, "difference", 0, "plan the repeats that show a difference of so many per cent")
	g.StringVarP(&session, "session", "s", "", "the `session` to plan; one that exists is continued")
	g.Float64Var(&minutes, "minutes", 0, "the bench time that there is, in `minutes` (default no limit)")
	g.StringVar(&order, "order", "balanced", "the `order`: balanced or shortest")
	g.Uint64Var(&seed, "seed", 1, "the seed of the random order")
	g.StringVar(&format, "format", "text", "the `format`: text, json or csv")
	g.BoolVar(&sample, "sample", false, "plan for the embedded sample")
	return c
}

// sessionID is the form of an id in sessions.yaml.
var sessionID = regexp.MustCompile(`^[a-z0-9][a-z0-9-]*$`)

func checkPlan(c *cobra.Command, o design.PlanOptions, format, order string) error {
	if err := oneOf("format", format, "text", "json", "csv"); err != nil {
		return err
	}
	if err := oneOf("order", order, design.Balanced.String(), design.Shortest.String()); err != nil {
		return err
	}
	switch {
	case c.Flags().Changed("rounds") && (o.Repeats < 1 || o.Repeats > mostRounds):
		return fmt.Errorf("--rounds %d is not between 1 and %d", o.Repeats, mostRounds)
	case c.Flags().Changed("minutes") && !(o.Minutes > 0):
		return fmt.Errorf("--minutes %v is not above 0", o.Minutes)
	case c.Flags().Changed("difference") && !(o.Difference >= leastDifference && o.Difference <= mostDifference):
		return fmt.Errorf("--difference %v is not between %v and %v per cent", o.Difference, leastDifference, mostDifference)
	case o.Session != "" && !sessionID.MatchString(o.Session):
		return hint(fmt.Errorf("%q cannot be the id of a session", o.Session), "use small letters, digits and hyphens, for example third-evening")
	case format == "csv" && o.Session == "":
		return hint(errors.New("a result file needs the session of its readings"), "name it, one that exists or a new one: --session third-evening")
	}
	return nil
}

// planned is the JSON document of plan; its schema is plan.schema.json.
type planned struct {
	Schema string `json:"$schema"`
	design.Plan
}

// writeTable writes the empty result file, in the way in which report.yaml
// says that result files are written.
func writeTable(t *terminal, e *edition.Edition, p *design.Plan) error {
	header, rows := e.Space.Table(p)
	w := csv.NewWriter(t.out)
	if d := e.Project.Dialect(); d != nil {
		w.Comma = rune(d.Separator)
	}
	if err := w.WriteAll(append([][]string{header}, rows...)); err != nil {
		return fmt.Errorf("writing the table: %w", err)
	}
	if idle := p.Idle(); idle != "" {
		t.say("%s", t.wrap("", idle))
	}
	for _, text := range p.Remarks {
		t.say("%s", t.wrap("", text))
	}
	if p.Session != "" && e.Project.Session(p.Session) == nil {
		t.say("%s", t.wrap("", "benchwright record --new-session "+p.Session+" --date YYYY-MM-DD adds it"))
	}
	return nil
}

// printPlan lays the plan out for the bench: what is missing, how long it
// takes, then a line for each visit.
func printPlan(t *terminal, p *design.Plan) {
	fmt.Fprintln(t.out, t.style("1", "Missing"))
	for _, w := range p.Wants {
		prefix := ""
		if w.Question != "" {
			prefix = w.Question + ": "
		}
		for i, text := range w.Text {
			if i > 0 {
				prefix = ""
			}
			fmt.Fprintln(t.out, hang(t, "  ", "    ", prefix+text))
		}
	}
	printNeeded(t, p)
	if len(p.Visits) > 0 {
		title := "Order: " + p.Order.String() + ", seed " + strconv.FormatUint(p.Seed, 10)
		if p.Session != "" {
			title += ", session " + p.Session
		}
		fmt.Fprintln(t.out)
		fmt.Fprintln(t.out, t.style("1", title))
		printItems(t, "  ", p.Summary)
		printItems(t, "  ! ", p.Cautions)
		printVisits(t, p)
	}
	remarks := p.Remarks
	if idle := p.Idle(); idle != "" {
		remarks = append(remarks, idle)
	}
	if len(remarks) > 0 {
		fmt.Fprintln(t.out)
		printItems(t, "  → ", remarks)
	}
}

// printNeeded prints how many repeats show the difference that was named.
func printNeeded(t *terminal, p *design.Plan) {
	if len(p.Needed) == 0 {
		return
	}
	fmt.Fprintln(t.out)
	fmt.Fprintln(t.out, t.style("1", "Repeats that show "+strconv.FormatFloat(p.Difference, 'f', -1, 64)+" %"))
	name := utf8.RuneCountInString("workload")
	for _, x := range p.Needed {
		name = max(name, min(utf8.RuneCountInString(x.Workload), widestName))
	}
	row := func(workload, spread, needed, there, planned string) {
		fmt.Fprintf(t.out, "  %s  %8s  %6s  %5s  %7s\n", fill(workload, name), spread, needed, there, planned)
	}
	row("workload", "spread", "needed", "there", "planned")
	indent := "    "
	for _, x := range p.Needed {
		spread, needed := "–", "–"
		if x.Needed > 0 {
			spread, needed = fmt.Sprintf("%.2f %%", 100*x.Spread), strconv.Itoa(x.Needed)
			if x.Needed > design.MostLookedAt {
				needed = "> " + strconv.Itoa(design.MostLookedAt)
			}
		}
		row(x.Workload, spread, needed, strconv.Itoa(x.There), strconv.Itoa(x.Wanted))
		if x.Text != "" {
			fmt.Fprintln(t.out, hang(t, indent, indent, x.Text))
		}
	}
	fmt.Fprintln(t.out, hang(t, "  ", "  ", p.NeededText))
}

// printItems prints sentences, each with a mark that the rest hangs from.
func printItems(t *terminal, mark string, items []string) {
	rest := strings.Repeat(" ", max(utf8.RuneCountInString(mark), 4))
	for _, text := range items {
		fmt.Fprintln(t.out, hang(t, mark, rest, text))
	}
}

// hang wraps text with one prefix on its first line and another, no shorter, on
// the rest.
func hang(t *terminal, first, rest, text string) string {
	wrapped := t.wrap(rest, text)
	return first + strings.TrimPrefix(wrapped, rest)
}

// Widths of the table of visits.
const (
	visitWidth   = 5
	minutesWidth = 7
	widestName   = 26
)

// printVisits prints a line for each visit: its number, the configuration,
// what to change, and the minutes; a change that needs more lines gets them.
func printVisits(t *terminal, p *design.Plan) {
	name := utf8.RuneCountInString("configuration")
	for _, v := range p.Visits {
		name = max(name, min(utf8.RuneCountInString(v.Configuration), widestName))
	}
	room := max(t.width-visitWidth-name-minutesWidth-6, 20)
	row := func(number, configuration, change, minutes string) {
		lines := strings.Split((&terminal{width: room}).wrap("", change), "\n")
		if utf8.RuneCountInString(configuration) > name { // a line of its own
			fmt.Fprintf(t.out, "%*s  %s\n", visitWidth, number, configuration)
			number, configuration = "", ""
		}
		for i, line := range lines {
			if i > 0 {
				number, configuration, minutes = "", "", ""
			}
			text := fmt.Sprintf("%*s  %s  %s  %*s", visitWidth, number, fill(configuration, name), fill(line, room), minutesWidth, minutes)
			fmt.Fprintln(t.out, strings.TrimRight(text, " "))
		}
	}
	fmt.Fprintln(t.out)
	row("visit", "configuration", "change", "minutes")
	indent := strings.Repeat(" ", visitWidth+2)
	round := 0
	for _, v := range p.Visits {
		if v.Round != round {
			round = v.Round
			fmt.Fprintln(t.out, "round "+strconv.Itoa(round))
		}
		minutes := ""
		if p.Minutes() > 0 {
			minutes = strconv.FormatFloat(v.Minutes, 'f', -1, 64)
		}
		row(strconv.Itoa(v.Order), v.Configuration, changeText(v, room), minutes)
		if v.Fewer {
			fmt.Fprintln(t.out, hang(t, indent+"read ", indent+"     ", strings.Join(v.Workloads, ", ")))
		}
		for _, text := range v.Cautions {
			fmt.Fprintln(t.out, hang(t, indent+"! ", indent+"  ", text))
		}
	}
}

func fill(text string, width int) string {
	return text + strings.Repeat(" ", max(0, width-utf8.RuneCountInString(text)))
}

// changeText lists the changes before a visit. One that fits on a line is not
// broken.
func changeText(v design.Visit, room int) string {
	var parts []string
	for _, c := range v.Changes {
		part := c.Factor + ": " + c.From + " → " + c.To
		if c.From == "" {
			part = c.Factor + ": see that it is " + c.To
		}
		if utf8.RuneCountInString(part) < room {
			part = strings.ReplaceAll(part, " ", "\u00a0")
		}
		parts = append(parts, part)
	}
	switch {
	case len(parts) > 0:
		return strings.Join(parts, "; ")
	case v.Round == 0:
		return "the baseline"
	}
	return "nothing"
}
