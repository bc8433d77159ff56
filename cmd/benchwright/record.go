package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"golang.org/x/term"

	"benchwright/design"
	"benchwright/project"
	"benchwright/record"
	"benchwright/schema"
)

// recordFlags are what the command line says of the readings.
type recordFlags struct {
	one            record.Reading
	values, also   []string
	file           string
	from, fromView string
	sheet, mapping string
	session        record.Session
	sessionValues  []string
	dryRun, evenSo bool
	lacking        bool
	inOrder        bool
}

func recordCommand(t *terminal, in io.Reader) *cobra.Command {
	var f recordFlags
	c := &cobra.Command{
		Use:   "record [FOLDER]",
		Short: "Add readings to a folder",
		Long: `Record appends readings to the result files of a folder: from the command line,
from a table (CSV or xlsx) or the text output of a test, or by asking for what
the questions still lack when it is started on a terminal without any.

A reading far from the others is refused, or asked about on a terminal. Nothing
is written when anything is wrong. The reference lists further flags.`,
		Example: `  benchwright record my-report
  benchwright record my-report -c two-fans -w compile -v 301.2 -v 300.8
  benchwright record my-report -c two-fans -w compile --outcome hung
  benchwright record my-report --from night.csv --mapping timer
  my-test | benchwright record my-report --from - -c two-fans
  benchwright record my-report --new-session third-evening --date 2031-04-09`,
		Args: folderArg,
		RunE: func(_ *cobra.Command, args []string) error {
			return runRecord(t, in, args, f)
		},
	}
	g := c.Flags()
	g.SortFlags = false
	g.StringVarP(&f.one.Configuration, "configuration", "c", "", "the `configuration`, by id")
	g.StringVarP(&f.one.Workload, "workload", "w", "", "the `workload`, by id")
	g.StringArrayVarP(&f.values, "value", "v", nil, "a `reading`, with its unit or without; several are repeats")
	g.StringVarP(&f.one.Session, "session", "s", "", "the `session`; may be left out when there is one")
	g.StringVar(&f.one.Unit, "unit", "", "the `unit` of the values, when it is not the workload's")
	g.IntVar(&f.one.Repeat, "repeat", 0, "the `number` of the repeat (default the next one)")
	g.IntVar(&f.one.Order, "order", 0, "the `place` in the session (default the next one)")
	g.StringVar(&f.one.Outcome, "outcome", "", "the `outcome` of the run: hung, crashed, excluded …")
	g.StringVar(&f.one.Reason, "reason", "", "the `reason` why it failed or does not count")
	g.StringVar(&f.one.Note, "note", "", "a `remark`")
	g.StringArrayVar(&f.also, "also", nil, "`column=value` of a further column that the workload's reading names")
	g.StringVar(&f.file, "file", "", "append to this result `file`")
	g.StringVar(&f.from, "from", "", "read a `file`: csv, xlsx, or what a test printed")
	g.StringVar(&f.sheet, "sheet", "", "the `sheet` of an .xlsx file (default the one shown)")
	g.StringVar(&f.mapping, "mapping", "", "the `mapping` in record.yaml to read by")
	g.BoolVar(&f.inOrder, "in-order", false, "its rows stand in the order of the runs")
	g.StringVar(&f.fromView, "from-viewer", "", "bring in a viewer's filled-in `file`")
	g.StringVar(&f.session.ID, "new-session", "", "add a `session` to sessions.yaml first, with --date")
	g.StringVar(&f.session.Date, "date", "", "its day, `YYYY-MM-DD`")
	g.StringVar(&f.session.Start, "start", "", "its time of day, `HH:MM`")
	g.StringVar(&f.session.Place, "place", "", "the `place` where it is held")
	g.StringVar(&f.session.Who, "who", "", "the `name` of who is at the bench")
	g.StringArrayVar(&f.sessionValues, "session-value", nil, "a factor as it is in the session, `factor=value`")
	g.StringSliceVar(&f.session.Instruments, "instrument", nil, "an `instrument` that is used (may be repeated)")
	g.StringVar(&f.session.Note, "session-note", "", "a `remark` on the session")
	g.BoolVar(&f.lacking, "lacking", false, "list what the questions still lack")
	g.BoolVar(&f.dryRun, "dry-run", false, "show the rows, and write nothing")
	g.BoolVar(&f.evenSo, "even-so", false, "write odd values, or a source again")
	// The reference lists these; the help keeps to what a screen holds.
	for _, seldom := range []string{"unit", "repeat", "order", "also", "start", "place", "who", "session-value", "instrument", "session-note", "sheet", "note", "file", "in-order"} {
		if err := g.MarkHidden(seldom); err != nil {
			panic(err) // the name is misspelt here
		}
	}
	return c
}

func runRecord(t *terminal, in io.Reader, args []string, f recordFlags) error {
	if err := f.check(); err != nil {
		return err
	}
	s, err := openFolder(args, false)
	if err != nil {
		return err
	}
	defer s.Close()
	when, err := now()
	if err != nil {
		return err
	}
	r := &recorder{t: t, s: s, dryRun: f.dryRun, options: record.Options{File: f.file, Source: "command line", When: when, EvenSo: f.evenSo}}
	if f.session.ID != "" {
		r.options.Session = &f.session
	}
	switch {
	case f.lacking:
		return r.listLacking()
	case f.fromView != "":
		return r.fromViewer(f.fromView)
	case f.from != "":
		readings, err := r.read(in, f)
		if err != nil {
			return err
		}
		return r.add(readings)
	case f.given():
		return r.add(f.readings())
	case r.options.Session != nil:
		return r.add(nil)
	case interactive(in, t.out):
		return newPrompt(t, s, in, when).run()
	}
	return hint(errors.New("there is no reading to record"),
		"give one: --configuration ID --workload ID --value 41.2", "or a file: --from FILE", "or start it on a terminal to be asked for them")
}

// check refuses flags that do not go together, before anything is read.
func (f *recordFlags) check() error {
	ways := 0
	for _, on := range []bool{f.given(), f.from != "" || f.sheet != "" || f.mapping != "" || f.inOrder, f.fromView != "", f.lacking} {
		if on {
			ways++
		}
	}
	switch {
	case ways > 1:
		return hint(errors.New("readings come from one source at a time"), "use one of --value, --from and --from-viewer")
	case f.from == "" && (f.sheet != "" || f.mapping != "" || f.inOrder):
		return hint(errors.New("--sheet, --mapping and --in-order say how a file is read"), "name it with --from")
	case f.session.ID == "" && (f.session.Date != "" || f.session.Start != "" || f.session.Place != "" || f.session.Who != "" || f.session.Note != "" || len(f.sessionValues)+len(f.session.Instruments) > 0):
		return hint(errors.New("--date and its like describe a new session"), "name it with --new-session ID")
	case len(f.values) > 1 && f.one.Repeat > 0:
		return hint(errors.New("--repeat numbers one value"), "leave it out: several values are numbered one after another")
	}
	for _, text := range f.sessionValues {
		name, value, ok := strings.Cut(text, "=")
		if !ok {
			return hint(fmt.Errorf("--session-value %q has no =", text), "write it like room-temperature=21.5 °C")
		}
		f.session.Values = append(f.session.Values, [2]string{strings.TrimSpace(name), strings.TrimSpace(value)})
	}
	for _, text := range f.also {
		name, value, ok := strings.Cut(text, "=")
		if !ok {
			return hint(fmt.Errorf("--also %q has no =", text), "write it like frames=7200")
		}
		if f.one.Also == nil {
			f.one.Also = map[string]string{}
		}
		f.one.Also[strings.TrimSpace(name)] = strings.TrimSpace(value)
	}
	if f.session.ID != "" && f.one.Session == "" {
		f.one.Session = f.session.ID
	}
	return nil
}

// given says whether the command line holds a reading.
func (f *recordFlags) given() bool {
	return f.from == "" && (len(f.values) > 0 || f.one.Outcome != "" || f.one.Workload != "" || f.one.Configuration != "")
}

func (f *recordFlags) readings() []record.Reading {
	values := f.values
	if len(values) == 0 {
		values = []string{""}
	}
	var out []record.Reading
	for _, v := range values {
		r := f.one
		r.Value = v
		r.At = schema.Place{File: "--value " + v}
		if v == "" {
			r.At = schema.Place{File: "command line"}
		}
		out = append(out, r)
	}
	return out
}

// now is the time of recording. SOURCE_DATE_EPOCH (reproducible-builds.org)
// fixes it.
func now() (string, error) {
	at := time.Now()
	if epoch := os.Getenv("SOURCE_DATE_EPOCH"); epoch != "" {
		seconds, err := strconv.ParseInt(epoch, 10, 64)
		if err != nil {
			return "", hint(fmt.Errorf("SOURCE_DATE_EPOCH %q is not a number of seconds", epoch), "unset it, or write seconds since 1970")
		}
		at = time.Unix(seconds, 0)
	}
	return at.UTC().Format(time.RFC3339), nil
}

// interactive says whether a person sits at both ends.
func interactive(in io.Reader, out io.Writer) bool {
	i, okIn := in.(*os.File)
	o, okOut := out.(*os.File)
	return okIn && okOut && term.IsTerminal(int(i.Fd())) && term.IsTerminal(int(o.Fd()))
}

// recorder carries readings into a folder and says what it did.
type recorder struct {
	t       *terminal
	s       *source
	dryRun  bool
	options record.Options
}

// read makes readings of a file or standard input.
func (r *recorder) read(in io.Reader, f recordFlags) ([]record.Reading, error) {
	if r.ownResult(f.from) {
		return nil, hint(fmt.Errorf("%q is a result file of this folder: its readings are recorded already", f.from),
			"to correct a reading, change it in that file; to add some, give them in a file that lies elsewhere")
	}
	name, text, err := readSource(in, f.from)
	if err != nil {
		return nil, err
	}
	r.options.Source, r.options.SourceSum = name, record.Sum(text)
	folder, found := schema.Read(r.s.FS)
	p, more := project.Load(folder)
	found = slices.DeleteFunc(append(found, more...), func(x schema.Finding) bool {
		return x.Severity != schema.Error || r.options.Session != nil && x.File == "sessions.yaml" && x.Rule == "missing-file"
	})
	if len(found) > 0 || p == nil {
		return nil, r.refuse(folder.Excerpts(schema.Sort(found)))
	}
	mappings, bad := record.Mappings(p, folder)
	if r.options.Session != nil { // which a mapping may name already
		bad = slices.DeleteFunc(bad, func(x schema.Finding) bool { return strings.Contains(x.Message, strconv.Quote(f.session.ID)) })
	}
	if len(bad) > 0 {
		return nil, r.refuse(folder.Excerpts(bad))
	}
	m, ok := mappings[f.mapping]
	if f.mapping != "" && !ok {
		var names []string
		for n := range mappings {
			names = append(names, n)
		}
		slices.Sort(names)
		err := fmt.Errorf("there is no mapping %q in record.yaml", f.mapping)
		if near := schema.Nearest(f.mapping, names); near != "" {
			return nil, hint(err, "did you mean "+near+"?")
		}
		if len(names) == 0 {
			return nil, hint(err, "write it there: mappings: {"+f.mapping+": {columns: {Build: configuration, Test: workload, Result: value}}}")
		}
		return nil, hint(err, "the mappings are "+strings.Join(names, ", "))
	}
	m.InOrder = m.InOrder || f.inOrder
	var readings []record.Reading
	kind := "table (CSV)"
	switch ending := strings.ToLower(filepath.Ext(name)); {
	case ending == ".xlsx" || bytes.HasPrefix(text, []byte("PK\x03\x04")):
		kind = "spreadsheet"
		readings, bad = record.FromGrid(p, bytes.NewReader(text), name, f.sheet, f.one.Session, m)
	case ending == ".csv" || f.mapping != "" || record.LooksLikeTable(p, text):
		readings, bad = record.FromTable(p, text, name, m)
	default:
		kind = textOfTest
		readings, bad = record.FromText(p, text, name, f.one.Configuration, f.one.Workload, f.one.Session)
	}
	readings, unmade := record.LeaveOutUnmade(readings)
	for i := range readings {
		x := &readings[i]
		for _, fill := range []struct {
			to   *string
			from string
		}{{&x.Configuration, f.one.Configuration}, {&x.Session, f.one.Session}, {&x.Unit, f.one.Unit}, {&x.Note, f.one.Note}} {
			if *fill.to == "" {
				*fill.to = fill.from
			}
		}
		if x.Also == nil {
			x.Also = f.one.Also
		}
	}
	if len(bad) > 0 {
		return nil, r.refuse(bad)
	}
	r.options.Text = kind == textOfTest
	given := 0
	for _, x := range readings {
		if x.Value != "" || x.Outcome != "" || len(x.Also) > 0 {
			given++
		}
	}
	held := plural(given, "reading")
	if given < len(readings) {
		held += " in " + plural(len(readings), "row")
	}
	r.t.say("benchwright: %s read as a %s: %s", name, kind, held)
	if unmade > 0 {
		r.t.say("benchwright: %s left out: without value, outcome or note, a row is a run that did not take place", plural(unmade, "row"))
	}
	if slices.ContainsFunc(readings, func(x record.Reading) bool { return x.OrderOpen }) {
		r.t.say("benchwright: nothing says in which order they were read, so that stays open; if its rows stand in it: --in-order")
	}
	return readings, nil
}

// textOfTest is what is neither a table nor a spreadsheet.
const textOfTest = "text of a test"

// ownResult says whether a source lies among the results of the folder itself,
// by whatever path or link it is named.
func (r *recorder) ownResult(from string) bool {
	if from == "-" || r.s.root == nil {
		return false
	}
	results, err := r.s.root.Stat("results")
	if err != nil {
		return false
	}
	file, err := filepath.EvalSymlinks(from)
	if err != nil {
		return false // which reading it will say
	}
	folder, err := os.Stat(filepath.Dir(file))
	return err == nil && os.SameFile(results, folder)
}

// readSource reads a file that was named, or standard input. The name is
// without its folder, so that provenance says nothing about the machine.
func readSource(in io.Reader, from string) (name string, text []byte, err error) {
	if from == "-" {
		text, err = io.ReadAll(io.LimitReader(in, record.LargestText+1))
		if err != nil {
			return "", nil, fmt.Errorf("reading standard input: %w", err)
		}
		name = "standard input"
	} else {
		info, err := os.Stat(from)
		switch {
		case errors.Is(err, fs.ErrNotExist):
			return "", nil, hint(fmt.Errorf("there is no file %q", from), "check the path after --from")
		case err != nil:
			return "", nil, fmt.Errorf("reading %q: %w", from, cause(err))
		case info.IsDir():
			return "", nil, hint(fmt.Errorf("%q is a folder", from), "name a file in it")
		case info.Size() > record.LargestText:
			return "", nil, hint(fmt.Errorf("%q is larger than %d MB", from, record.LargestText>>20), "split it")
		}
		if text, err = os.ReadFile(from); err != nil {
			return "", nil, fmt.Errorf("reading %q: %w", from, cause(err))
		}
		name = filepath.Base(from)
	}
	if len(text) > record.LargestText {
		return "", nil, hint(fmt.Errorf("%s holds more than %d MB", name, record.LargestText>>20), "split it")
	}
	return name, text, nil
}

// add prepares and writes readings, and says where they went.
func (r *recorder) add(readings []record.Reading) error {
	a, err := r.write(func() (*record.Addition, []schema.Finding) { return record.Prepare(r.s.FS, readings, r.options) })
	if err != nil || a == nil {
		return err
	}
	r.printAdded(a)
	return r.next(a.After)
}

func (r *recorder) fromViewer(from string) error {
	name, text, err := readSource(strings.NewReader(""), from)
	if err != nil {
		return err
	}
	r.options.Source, r.options.SourceSum = name, record.Sum(text)
	a, err := r.write(func() (*record.Addition, []schema.Finding) {
		return record.PrepareViewer(r.s.FS, text, name, r.options)
	})
	if err != nil || a == nil {
		return err
	}
	for _, d := range a.Doubts {
		x := a.Added[d.Index]
		fmt.Fprintln(r.t.out, r.t.wrap("", "kept even so: "+d.WordsOfViewer(a.After.Workload(x.Workload), x)))
	}
	fmt.Fprintf(r.t.out, "%s from a viewer kept in %s\n", plural(len(a.Added), "reading"), a.Files[0])
	fmt.Fprintln(r.t.out, r.t.wrap("", "they are shown apart and count in no comparison"))
	return nil
}

// write prepares an addition and writes it. When another program changed a file
// in between, it is prepared again. The addition is nil after a dry run.
func (r *recorder) write(prepare func() (*record.Addition, []schema.Finding)) (*record.Addition, error) {
	for tries := 0; ; tries++ {
		r.t.step("reading " + r.s.name + " …")
		a, bad := prepare()
		r.t.step("")
		if len(bad) > 0 {
			return nil, r.refuse(bad)
		}
		if r.dryRun {
			r.printRows(a)
			return nil, nil
		}
		switch err := a.Write(r.s.root); {
		case err == nil:
			return a, nil
		case errors.Is(err, record.ErrChanged) && tries < mostTries:
		default:
			return nil, recordFault(err)
		}
	}
}

// mostTries bounds how often an addition is prepared again because another
// program recorded in between.
const mostTries = 50

// recordFault says why nothing was written, and what to try.
func recordFault(err error) error {
	switch {
	case errors.Is(err, fs.ErrPermission):
		return hint(err, "nothing was written: the folder or the file may not be written to by you")
	case errors.Is(err, record.ErrChanged):
		return hint(err, "nothing was written: wait until the other program is done, and record again")
	case errors.Is(err, record.ErrLink):
		return hint(err, "nothing was written: put the file itself into the folder, or name another with --file")
	case strings.Contains(err.Error(), "no space left") || strings.Contains(err.Error(), "file too large") || strings.Contains(err.Error(), "quota"):
		return hint(err, "nothing was written: make room on the disk and record again")
	}
	return err
}

// refuse prints why nothing was written.
func (r *recorder) refuse(bad []schema.Finding) error {
	counts := map[schema.Severity]int{}
	result := errFindings
	for _, f := range bad {
		counts[f.Severity]++
		printFinding(r.t, f)
		if slices.Contains([]string{"not-a-report", "empty-folder"}, f.Rule) {
			result = errUnread
		}
	}
	fmt.Fprintln(r.t.out, r.t.wrap("", summary(r.s.name, counts, 0)+"; nothing was written"))
	return result
}

// printRows shows what a dry run would append.
func (r *recorder) printRows(a *record.Addition) {
	for _, c := range a.Changes {
		if c.Path == "provenance.csv" {
			continue
		}
		verb := "would be appended to"
		if c.Old == nil {
			verb = "would be the new file"
		}
		fmt.Fprintf(r.t.out, "%s %s:\n", verb, c.Path)
		added := bytes.TrimLeft(c.New[len(c.Old):], "\r\n")
		for _, line := range strings.Split(strings.TrimRight(string(added), "\r\n"), "\n") {
			fmt.Fprintln(r.t.out, "  "+strings.TrimRight(line, "\r"))
		}
	}
	fmt.Fprintln(r.t.out, "nothing was written")
}

const mostShown = 12 // rows of one addition that are listed

func (r *recorder) printAdded(a *record.Addition) {
	if s := r.options.Session; s != nil {
		fmt.Fprintf(r.t.out, "sessions.yaml: %s\n", s)
	}
	var rows [][]string
	for i, x := range a.Added {
		if i == mostShown {
			break
		}
		rows = append(rows, []string{a.Rows[i].String(), x.Session, x.Configuration, x.Workload, "repeat " + strconv.Itoa(x.Repeat), given(a.After, x)})
	}
	for _, line := range columns(rows) {
		fmt.Fprintln(r.t.out, line)
	}
	if more := len(a.Added) - mostShown; more > 0 {
		fmt.Fprintf(r.t.out, "… and %d more\n", more)
	}
	for _, x := range a.Added {
		if said := x.ReadAs(); said != "" {
			fmt.Fprintln(r.t.out, r.t.wrap("", said))
		}
	}
	for _, d := range a.Doubts {
		x := a.Added[d.Index]
		fmt.Fprintln(r.t.out, r.t.wrap("", "written even so: "+d.Words(a.After.Workload(x.Workload), x)))
	}
	for _, w := range a.Warnings {
		printFinding(r.t, w)
	}
	if len(a.Added) > 0 {
		fmt.Fprintf(r.t.out, "%s recorded in %s\n", plural(len(a.Added), "reading"), strings.Join(a.Files, ", "))
	}
}

// given is what was read, with its unit, or how the run ended.
func given(p *project.Project, x record.Reading) string {
	text := x.Value
	if text != "" {
		unit := x.Unit
		if w := p.Workload(x.Workload); unit == "" && w != nil && w.FrameTimes == "" {
			unit = w.Unit.Symbol
			if w.Reading != nil {
				unit = w.RawUnit.Symbol
			}
		}
		text = strings.TrimSpace(text + " " + unit)
	}
	if x.Outcome != project.OK.String() {
		text = strings.TrimSpace(text + " " + x.Outcome)
	}
	return text
}

// next says what the questions still lack.
func (r *recorder) next(p *project.Project) error {
	lack, open := lacking(p)
	folder := r.s.name
	switch {
	case len(lack) > 0:
		l := lack[0]
		r.t.say("benchwright: the questions still lack %s; the first is %s under %s (%d of %d)",
			plural(missing(lack), "reading"), p.Configurations[l.Configuration].ID, p.Workloads[l.Workload].ID, l.Have, l.Want)
		r.t.say("benchwright: next: benchwright record %s", folder)
	case open > 0:
		r.t.say("benchwright: %s no matched pair yet; next: benchwright check %s", have(open), folder)
	default:
		r.t.say("benchwright: the questions lack no reading; next: benchwright check %s", folder)
	}
	return nil
}

func have(questions int) string {
	if questions == 1 {
		return "1 question has"
	}
	return fmt.Sprintf("%d questions have", questions)
}

// lacking gives the cells that the questions lack, and how many questions have
// no matched pair.
func lacking(p *project.Project) ([]record.Lacking, int) {
	space := design.NewSpace(p)
	open := 0
	for q := range p.Questions {
		if len(space.Answer(q).Pairs) == 0 {
			open++
		}
	}
	return record.Lack(p, space), open
}

// missing counts readings.
func missing(lack []record.Lacking) (n int) {
	for _, l := range lack {
		n += l.Want - l.Have
	}
	return n
}

func (r *recorder) listLacking() error {
	e := open(r.t, r.s)
	if e.Unusable() {
		return refuse(r.t, e, r.s.name)
	}
	lack, _ := lacking(e.Project)
	var rows [][]string
	for _, l := range lack {
		rows = append(rows, []string{e.Project.Configurations[l.Configuration].ID, e.Project.Workloads[l.Workload].ID, fmt.Sprintf("%d of %d", l.Have, l.Want), e.Project.Questions[l.Question].ID})
	}
	for _, line := range columns(rows) {
		fmt.Fprintln(r.t.out, line)
	}
	if len(rows) == 0 {
		fmt.Fprintln(r.t.out, "the questions lack no reading")
	}
	return r.next(e.Project)
}
