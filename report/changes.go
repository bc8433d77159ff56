package report

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"benchwright/project"
	"benchwright/words"
)

// Changes is what moved since the last edition.
type Changes struct {
	// Since is the date of the edition that is compared with, YYYY-MM-DD.
	Since                     string
	New, Corrected, Withdrawn []ChangedReading
	// Excluded are those that were published as any other and are left out now,
	// with the reason in their row.
	Excluded []ChangedReading
	// Unexplained counts the corrected and excluded readings for which nobody gave a reason.
	Unexplained int
	// Misstated counts the corrected readings whose correction says that
	// another value was published than was.
	Misstated int
	// SameDate counts the readings that were corrected, excluded or withdrawn after they
	// had been published under the date that this edition still has. It is for the
	// author, and on no page.
	SameDate int
	Figures  []ChangedFigure
	// Apart are figures that are over other workloads than they were: what they are
	// is not comparable with what was published.
	Apart []ChangedFigure
	// Turned are answers that turned, to be shown first and loud.
	Turned    []Sentence
	Sentences []Sentence
	// Another is the title of what was compared with where that is no earlier
	// edition but another report.
	Another string
	// Nothing says that the two editions claim the same from the same readings;
	// Sentences then holds the one sentence that says so.
	Nothing bool
	// Past lists earlier editions with what was said of them, newest first. The
	// edition compared with is the first of them.
	Past []PastEdition

	// What TakeFiles has to know: the result files in which listed readings
	// stand; that outside readings came or went; that configurations came, and
	// that some went; and that no reading, answer or followed figure changed.
	touched                    map[string]bool
	outside, came, went, still bool
	// again counts those of Corrected that had been excluded and count again.
	again int
	// means: nothing moved but what single configurations reached.
	means bool
	// inside: comparisons moved inside their old intervals, and what single
	// configurations reached beyond.
	inside bool
}

// PastEdition is what an earlier edition said about itself.
type PastEdition struct {
	Date string `json:"date"`
	// Record is the SHA-256 of that edition's data/report.json, in hexadecimal.
	Record string `json:"record"`
	// Turned and Sentences are in the language of that edition; the first
	// edition has none.
	Turned    []string `json:"turned"`
	Sentences []string `json:"sentences"`
	// Corrected, Excluded and Withdrawn are the first MostKept of the readings that
	// the edition corrected, excluded and withdrew, in this order; More counts the
	// others.
	Corrected []KeptReading `json:"corrected,omitempty"`
	Excluded  []KeptReading `json:"excluded,omitempty"`
	Withdrawn []KeptReading `json:"withdrawn,omitempty"`
	More      int           `json:"more,omitempty"`
	// Files are those that the edition was made from, as far as they are texts.
	// None for an edition of which nobody wrote them down.
	Files []PublishedFile `json:"files,omitempty"`
}

// MostKept is how many corrected, excluded and withdrawn readings of an earlier edition
// are kept from edition to edition.
const MostKept = 50

// KeptReading is a ChangedReading of an earlier edition, in its language.
type KeptReading struct {
	Configuration string `json:"configuration"`
	Workload      string `json:"workload"`
	Session       string `json:"session,omitempty"`
	Repeat        int    `json:"repeat"`
	Was           string `json:"was,omitempty"`
	Now           string `json:"now,omitempty"`
	Reason        string `json:"reason,omitempty"`
}

// KeptReadings says what an earlier edition corrected, excluded and withdrew, a line
// for each reading that is kept, and how many more there were.
func (r *Report) KeptReadings(e PastEdition) []string {
	say := r.work.say
	var out []string
	tell := func(key string, list []KeptReading) {
		for _, x := range list {
			which := x.Configuration
			for _, more := range []string{x.Workload, x.Session} {
				if more != "" {
					which += ", " + more
				}
			}
			if x.Repeat > 0 {
				which += ", " + say.Say("changes.past.repeat", "n", strconv.Itoa(x.Repeat))
			}
			as := key
			if x.Now == say.Say("changes.again") {
				as = "changes.past.again"
			}
			line := say.Say(as, "which", which, "was", cmp.Or(x.Was, say.Say("mark.nothing")), "now", cmp.Or(x.Now, say.Say("mark.nothing")))
			reason := x.Reason
			if reason == say.Say("changes.no-reason") {
				reason = cmp.Or(r.givenLater(&x), reason)
			}
			if reason != "" {
				line = say.Say("changes.past.reason", "what", line, "reason", reason)
			}
			out = append(out, line)
		}
	}
	tell("changes.past.corrected", e.Corrected)
	tell("changes.past.excluded", e.Excluded)
	tell("changes.past.withdrawn", e.Withdrawn)
	if e.More > 0 {
		out = append(out, say.Count("changes.past.more", e.More))
	}
	return out
}

// KeptChanges says the same of this edition.
func (r *Report) KeptChanges() []string {
	c := r.Changes
	keep := func(all []ChangedReading) (kept []KeptReading) {
		for _, x := range all[:min(len(all), MostKept)] {
			kept = append(kept, KeptReading(x))
		}
		return kept
	}
	e := PastEdition{Corrected: keep(c.Corrected), Excluded: keep(c.Excluded), Withdrawn: keep(c.Withdrawn)}
	e.More = len(c.Corrected) + len(c.Excluded) + len(c.Withdrawn) - len(e.Corrected) - len(e.Excluded) - len(e.Withdrawn)
	return r.KeptReadings(e)
}

// ChangedReading is a reading that came, went or was corrected: names as shown,
// values with their units. Was is empty for a new one, Now for a withdrawn one.
type ChangedReading struct {
	Configuration, Workload, Session string
	Repeat                           int
	Was, Now                         string
	// Reason is what report.yaml says under corrections, or why a reading was
	// excluded; "no reason given" for a correction without one.
	Reason string
}

// ChangedFigure is a figure that moved.
type ChangedFigure struct {
	What     string // "“What is a second memory channel worth?” on database"
	Was, Now string
	Moved    string // "+0.4 percentage points"; empty where one side is no number
	Inside   bool   // the new value lies inside the old interval
	Link     string
}

// Compare says what moved since an earlier edition: readings that came, went or
// were corrected; figures whose written value moved; and, first, answers that
// turned. It does not change r. The result is never nil; without any difference
// all its lists are empty but for one sentence that says so.
//
// What cannot be compared is not: figures of a workload whose unit, direction or
// scale changed, relative figures after a change of the baseline, and a question
// that asks something else under the same id. Each is said in a sentence.
func Compare(old Publication, r *Report) *Changes {
	long := r.longLists()
	return compare(old, r, long.cells, long.readings)
}

// compare is Compare for the cells and readings of r that are given, the others
// being the same in an edition before.
func compare(old Publication, r *Report, cells []PublishedCell, readings []PublishedReadings) *Changes {
	c := newComparison(old, r)
	c.now.Cells, c.now.Readings = cells, readings
	out := &Changes{Since: old.Date, Another: another(old, r)}
	out.came, out.went = c.came, c.went
	c.readings(out)
	c.touchSessions(out)
	c.answers(out)
	c.composites(out)
	c.comparisons(out)
	c.headlines()
	c.facts()
	c.language()
	compared := len(out.Figures)
	c.cells(out)
	out.means = compared == 0 && len(out.Apart) == 0 && c.claims == 0
	beyond := func(f ChangedFigure) bool { return !f.Inside }
	out.inside = compared > 0 && !slices.ContainsFunc(out.Figures[:compared], beyond) && slices.ContainsFunc(out.Figures[compared:], beyond)
	c.lookAlikes(out)
	out.outside = c.old.OutsideReadings != c.now.OutsideReadings
	out.still = c.still(out)
	c.otherID()
	c.renamed()
	c.sentences(out)
	return out
}

// comparison is what the steps of one Compare share.
type comparison struct {
	r        *Report
	old, now Publication
	say      *words.Book
	num      numbers
	// sameBaseline: relative figures mean the same in both editions.
	sameBaseline bool
	// alike holds the workloads of both editions whose figures can be compared.
	alike map[string]bool
	// Labels of both editions, this one's first.
	configurations, workloads map[string]string
	configurationPage         map[string]string
	// Indices in this edition.
	configurationAt, workloadAt map[string]int
	workloadPage                map[string]string
	units                       map[string]string // of now
	oldUnits                    map[string]string
	remarks                     []Sentence
	// kept are effects that have the value that they had and another interval;
	// reworded counts answers that read differently.
	// claims counts the remarks about what is claimed, other than how it is marked.
	kept             []string
	reworded, claims int
	came, went       bool            // of configurations, some
	lessIn           map[string]bool // sessions that lost readings
}

func newComparison(old Publication, r *Report) *comparison {
	b := words.For(r.Language)
	c := &comparison{r: r, old: old, now: r.Publication(), say: b, num: newNumbers(b),
		alike: map[string]bool{}, configurations: map[string]string{}, workloads: map[string]string{},
		configurationAt: map[string]int{}, workloadAt: map[string]int{},
		configurationPage: map[string]string{}, workloadPage: map[string]string{},
		units: map[string]string{}, oldUnits: map[string]string{}}
	for _, x := range old.Configurations {
		c.configurations[x.ID] = x.Label
	}
	for i, x := range c.now.Configurations {
		c.configurations[x.ID] = x.Label
		c.configurationAt[x.ID] = i
		c.configurationPage[x.ID] = r.Configurations[i].Page
	}
	was := map[string]PublishedWorkload{}
	for _, x := range old.Workloads {
		was[x.ID] = x
		c.workloads[x.ID], c.oldUnits[x.ID] = x.Label, x.Unit
	}
	for i, x := range c.now.Workloads {
		c.workloads[x.ID], c.units[x.ID] = x.Label, x.Unit
		c.workloadAt[x.ID] = i
		c.workloadPage[x.ID] = r.Workloads[i].Page
		before, there := was[x.ID]
		// What was run is told of apart: its figures are compared all the same.
		before.Label, before.Metric, before.Version, before.Command = x.Label, x.Metric, x.Version, x.Command
		if before.Ratios == "" && before.Scale == project.RatioScale.String() {
			before.Ratios = "as-read"
			if before.Better != "higher" {
				before.Ratios = ratiosTurned
			}
		}
		if c.alike[x.ID] = there && before == x; there && !c.alike[x.ID] {
			c.remark(r.Workloads[i].Page, "changes.redefined", "workload", x.Label)
		}
	}
	c.sameBaseline = old.Baseline == c.now.Baseline
	if !c.sameBaseline {
		c.remark("", "changes.baseline", "was", c.configuration(old.Baseline), "now", c.configuration(c.now.Baseline))
	}
	if old.Confidence != c.now.Confidence {
		c.remark("", "changes.confidence", "was", r.work.percentLevel(old.Confidence), "now", r.work.percentLevel(c.now.Confidence))
	}
	c.named("configuration", ids(old.Configurations, func(x PublishedConfiguration) string { return x.ID }),
		ids(c.now.Configurations, func(x PublishedConfiguration) string { return x.ID }), c.configuration)
	c.named("workload", ids(old.Workloads, func(x PublishedWorkload) string { return x.ID }),
		ids(c.now.Workloads, func(x PublishedWorkload) string { return x.ID }), c.workload)
	asks := map[string]string{}
	for _, q := range slices.Concat(old.Questions, c.now.Questions) {
		asks[q.ID] = c.quoted(q.Ask)
	}
	c.named("question", ids(old.Questions, func(x PublishedQuestion) string { return x.ID }),
		ids(c.now.Questions, func(x PublishedQuestion) string { return x.ID }), func(id string) string { return asks[id] })
	return c
}

func ids[T any](all []T, id func(T) string) []string {
	out := make([]string, len(all))
	for i, x := range all {
		out[i] = id(x)
	}
	return out
}

// mostNamed is how many new or withdrawn things a sentence names before it
// counts them.
const mostNamed = 6

// named says which configurations, workloads or questions came and went.
func (c *comparison) named(kind string, was, now []string, label func(string) string) {
	had, has := map[string]bool{}, map[string]bool{}
	for _, id := range was {
		had[id] = true
	}
	for _, id := range now {
		has[id] = true
	}
	tell := func(key string, list []string, there map[string]bool) {
		var names []string
		for _, id := range list {
			if !there[id] {
				names = append(names, label(id))
			}
		}
		if kind == "configuration" && len(names) > 0 {
			c.came, c.went = c.came || key == "new", c.went || key == "withdrawn"
		}
		switch {
		case len(names) == 0:
		case len(names) > mostNamed:
			c.remarks = append(c.remarks, Sentence{Text: c.say.Count("changes."+kind+"."+key+".many", len(names))})
		default:
			c.remarks = append(c.remarks, Sentence{Text: c.say.Count("changes."+kind+"."+key, len(names), "names", joinWords(c.say, names))})
		}
	}
	tell("new", now, had)
	tell("withdrawn", was, has)
}

func (c *comparison) remark(link, key string, gaps ...string) {
	c.remarks = append(c.remarks, Sentence{Text: c.say.Say(key, gaps...), Link: link})
}

func (c *comparison) configuration(id string) string { return labelOr(c.configurations, id) }
func (c *comparison) workload(id string) string      { return labelOr(c.workloads, id) }

func labelOr(labels map[string]string, id string) string {
	if l := labels[id]; l != "" {
		return l
	}
	return id
}

func (c *comparison) quoted(s string) string { return c.say.Say("changes.quoted", "text", s) }

// answers compares every question that both editions ask.
func (c *comparison) answers(out *Changes) {
	was := map[string]*PublishedQuestion{}
	for i := range c.old.Questions {
		was[c.old.Questions[i].ID] = &c.old.Questions[i]
	}
	for i := range c.now.Questions {
		now := &c.now.Questions[i]
		old := was[now.ID]
		if old == nil {
			continue
		}
		page := c.r.Questions[i].Page
		ask := c.quoted(now.Ask)
		if old.Factor != now.Factor || old.From != now.From || old.To != now.To {
			c.remark(page, "changes.question.redefined", "question", ask)
			continue
		}
		switch {
		case old.Answerable && !now.Answerable:
			c.turn(out, page, "changes.turned.unanswerable", "question", ask)
		case !old.Answerable && now.Answerable:
			c.turn(out, page, "changes.turned.answerable", "question", ask, "answer", now.Answer)
		}
		effects := map[string]*PublishedEffect{}
		for j := range old.Workloads {
			effects[old.Workloads[j].Workload] = &old.Workloads[j]
		}
		// A mean over what is now read another way is not held against the old one.
		if !slices.ContainsFunc(now.Workloads, func(e PublishedEffect) bool { return c.alike[e.Workload] || effects[e.Workload] == nil }) {
			continue
		}
		told := len(out.Turned) + len(out.Figures) + len(out.Apart)
		over := c.overOf(old, now)
		if old.Answerable && now.Answerable {
			c.verdict(out, page+"#effects", ask, over, &old.Overall, &now.Overall, effectForm)
		}
		c.figure(out, ask, page+"#effects", over, &old.Overall, &now.Overall, effectForm)
		told = len(out.Turned) + len(out.Figures) + len(out.Apart) - told
		c.claimed(page, ask, old, now, told > 0)
		for j := range now.Workloads {
			e := &now.Workloads[j]
			before := effects[e.Workload]
			if before == nil || !c.alike[e.Workload] || before.Difference != e.Difference {
				continue
			}
			what := c.say.Say("changes.on", "what", ask, "workload", c.workload(e.Workload))
			as := former(effectForm)
			if e.Difference {
				as = differenceForm(c.units[e.Workload])
			}
			over := overChange{pairs: [2]int{before.Pairs, e.Pairs}, now: []string{e.Workload}}
			told := len(out.Turned) + len(out.Figures)
			c.verdict(out, page+"#effects", what, over, &before.Effect, &e.Effect, as)
			c.figure(out, what, page+"#effects", over, &before.Effect, &e.Effect, as)
			if told == len(out.Turned)+len(out.Figures) {
				c.interval(what, over, &before.Effect, &e.Effect)
			}
		}
	}
	c.claimsKept()
}

// same tells numbers that differ by what rounding in another order can do from
// those that moved.
func same(a, b float64) bool {
	return math.Abs(a-b) <= 1e-12*max(math.Abs(a), math.Abs(b))
}

// figure lists a figure when it moved as written: another value with another
// text, or a figure where there was none any more. One that is over other workloads
// than it was is listed apart.
func (c *comparison) figure(out *Changes, what, link string, over overChange, old, now *PublishedFigure, as former) {
	x := ChangedFigure{What: c.over(what, over), Link: link, Was: old.Text, Now: now.Text}
	switch {
	case old.HasValue() && now.HasValue():
		if old.Text == now.Text && !over.otherWorkloads() || same(old.Value, now.Value) {
			return
		}
		x.Was, x.Now, x.Moved = c.written(old, now, as)
		x.Inside = old.Confidence > 0 && old.Low <= now.Value && now.Value <= old.High
	case old.State == now.State || old.State == Absent.String() || old.State == "":
		// Still none, or new: the new readings say so.
		return
	default:
		if old.Text == now.Text {
			return
		}
	}
	if x.Was == "" {
		x.Was = c.say.Say("mark.nothing")
	}
	if x.Now == "" {
		x.Now = c.say.Say("mark.nothing")
	}
	if over.otherWorkloads() && old.HasValue() && now.HasValue() {
		x.Moved, x.Inside = "", false
		out.Apart = append(out.Apart, x)
		return
	}
	out.Figures = append(out.Figures, x)
}

func (c *comparison) composites(out *Changes) {
	if !c.sameBaseline {
		return
	}
	was := map[[2]string]*PublishedFigure{}
	before := map[string]*PublishedComposite{}
	for i := range c.old.Composites {
		before[c.old.Composites[i].ID] = &c.old.Composites[i]
		for j := range c.old.Composites[i].Rows {
			row := &c.old.Composites[i].Rows[j]
			was[[2]string{c.old.Composites[i].ID, row.Configuration}] = &row.Figure
		}
	}
	for i := range c.now.Composites {
		x := &c.now.Composites[i]
		over := c.overOfComposite(before[x.ID], x)
		for j := range x.Rows {
			row := &x.Rows[j]
			old := was[[2]string{x.ID, row.Configuration}]
			if old == nil {
				continue
			}
			what := c.say.Say("changes.composite", "composite", x.Label, "configuration", c.configuration(row.Configuration))
			c.verdict(out, "index.html#relative", what, over, old, &row.Figure, effectForm)
			c.figure(out, what, "index.html#relative", over, old, &row.Figure, effectForm)
		}
	}
}

// comparisons are those of each configuration with the baseline on each workload.
func (c *comparison) comparisons(out *Changes) {
	if !c.sameBaseline {
		return
	}
	was := c.oldCells()
	for i := range c.now.Cells {
		x := &c.now.Cells[i]
		old := was[[2]string{x.Configuration, x.Workload}]
		if old == nil || !c.alike[x.Workload] || x.Configuration == c.now.Baseline {
			continue
		}
		a, b, as := &old.Relative, &x.Relative, former(effectForm)
		if x.Difference != nil {
			if a, b, as = old.Difference, x.Difference, differenceForm(c.units[x.Workload]); a == nil {
				continue // the edition before was of a version that did not publish it
			}
		}
		if a.Text == b.Text && a.State == b.State {
			continue // most of them, and no words are needed
		}
		what := c.say.Say("changes.compared", "configuration", c.configuration(x.Configuration), "workload", c.workload(x.Workload))
		c.figure(out, what, c.workloadPage[x.Workload]+"#table", overChange{}, a, b, as)
	}
}

func (c *comparison) cells(out *Changes) {
	was := c.oldCells()
	for i := range c.now.Cells {
		x := &c.now.Cells[i]
		old := was[[2]string{x.Configuration, x.Workload}]
		if old == nil || !c.alike[x.Workload] {
			continue
		}
		if old.Centre.Text == x.Centre.Text && old.Centre.State == x.Centre.State {
			continue // most of them, and no words are needed
		}
		what := c.say.Say("changes.on", "what", c.configuration(x.Configuration), "workload", c.workload(x.Workload))
		c.figure(out, what, c.workloadPage[x.Workload]+"#table", overChange{}, &old.Centre, &x.Centre, centreForm(c.units[x.Workload]))
	}
	// A cell that is gone while its configuration and workload are not.
	has := map[[2]string]bool{}
	for i := range c.now.Cells {
		has[[2]string{c.now.Cells[i].Configuration, c.now.Cells[i].Workload}] = true
	}
	for i := range c.old.Cells {
		x := &c.old.Cells[i]
		if has[[2]string{x.Configuration, x.Workload}] || c.configurationPage[x.Configuration] == "" || !c.alike[x.Workload] {
			continue
		}
		what := c.say.Say("changes.on", "what", c.configuration(x.Configuration), "workload", c.workload(x.Workload))
		c.figure(out, what, c.workloadPage[x.Workload]+"#table", overChange{}, &x.Centre, &PublishedFigure{State: Absent.String()}, nil)
	}
}

func (c *comparison) oldCells() map[[2]string]*PublishedCell {
	was := make(map[[2]string]*PublishedCell, len(c.old.Cells))
	for i := range c.old.Cells {
		was[[2]string{c.old.Cells[i].Configuration, c.old.Cells[i].Workload}] = &c.old.Cells[i]
	}
	return was
}

// lookAlikes says which configurations can no longer be told from the baseline,
// and which can now, a sentence for each configuration and direction.
func (c *comparison) lookAlikes(out *Changes) {
	if !c.sameBaseline {
		return
	}
	was := c.oldCells()
	gained, lost := map[string][]string{}, map[string][]string{}
	for i := range c.now.Cells {
		x := &c.now.Cells[i]
		old := was[[2]string{x.Configuration, x.Workload}]
		if old == nil || !c.alike[x.Workload] || old.LookAlike == x.LookAlike || !old.Relative.HasValue() || !x.Relative.HasValue() {
			continue
		}
		to := lost
		if x.LookAlike {
			to = gained
		}
		to[x.Configuration] = append(to[x.Configuration], c.workload(x.Workload))
	}
	baseline := c.configuration(c.now.Baseline)
	for _, x := range c.now.Configurations {
		if list := gained[x.ID]; len(list) > 0 {
			c.turn(out, c.configurationPage[x.ID], "changes.turned.alike", "configuration", x.Label, "baseline", baseline, "workloads", joinWords(c.say, list))
		}
		if list := lost[x.ID]; len(list) > 0 {
			c.turn(out, c.configurationPage[x.ID], "changes.turned.unlike", "configuration", x.Label, "baseline", baseline, "workloads", joinWords(c.say, list))
		}
	}
}

// followed counts the figures of this edition that are held against those of the
// one before: the answers and their effects on each workload, the composites, and
// what each configuration reached on each workload, and is there against the
// baseline. Figures that are derived from these, on other pages, are not counted.
func (c *comparison) followed() int {
	n := 0
	count := func(f *PublishedFigure) {
		if f.HasValue() {
			n++
		}
	}
	for i := range c.now.Questions {
		q := &c.now.Questions[i]
		count(&q.Overall)
		for j := range q.Workloads {
			count(&q.Workloads[j].Effect)
		}
	}
	for i := range c.now.Composites {
		for j := range c.now.Composites[i].Rows {
			count(&c.now.Composites[i].Rows[j].Figure)
		}
	}
	for k, row := range c.r.Cells {
		for i := range row {
			if row[i].Centre.HasValue() {
				n++
			}
			if k != c.r.Baseline && c.sameBaseline && row[i].Compared().HasValue() {
				n++
			}
		}
	}
	return n
}

// sentences sums up: what was redefined, how many readings, how many figures.
func (c *comparison) sentences(out *Changes) {
	out.Sentences = append(out.Sentences, c.remarks...)
	for _, x := range []struct {
		key, at string
		n       int
	}{
		{"changes.reading.new", "new", len(out.New)},
		{"changes.reading.corrected", "corrected", len(out.Corrected) - out.again},
		{"changes.reading.again", "corrected", out.again},
		{"changes.reading.excluded", "excluded", len(out.Excluded)},
		{"changes.reading.withdrawn", "withdrawn", len(out.Withdrawn)},
	} {
		if x.n > 0 {
			out.Sentences = append(out.Sentences, Sentence{Text: c.say.Count(x.key, x.n), Link: "changes.html#" + x.at})
		}
	}
	switch n := c.now.OutsideReadings - c.old.OutsideReadings; {
	case n > 0:
		out.Sentences = append(out.Sentences, Sentence{Text: c.say.Count("changes.outside.new", n), Link: "yours.html#outside"})
	case n < 0:
		out.Sentences = append(out.Sentences, Sentence{Text: c.say.Count("changes.outside.withdrawn", -n), Link: "yours.html"})
	}
	if n := len(out.Apart); n > 0 {
		out.Sentences = append(out.Sentences, Sentence{Text: c.say.Count("changes.apart", n), Link: "changes.html#apart"})
	}
	outside := 0
	for _, f := range out.Figures {
		if !f.Inside {
			outside++
		}
	}
	if n := len(out.Figures); n > 0 {
		key := "changes.figures.within"
		if outside > 0 {
			key = "changes.figures.beyond"
		}
		all := max(n, c.followed())
		out.Sentences = append(out.Sentences, Sentence{Text: c.say.Count(key, n, "outside", strconv.Itoa(outside), "all", strconv.Itoa(all)), Link: "changes.html#figures"})
		if out.inside {
			out.Sentences = append(out.Sentences, Sentence{Text: c.say.Say("changes.figures.inside"), Link: "changes.html#figures"})
		}
		if out.means && len(out.Turned) == 0 {
			out.Sentences = append(out.Sentences, Sentence{Text: c.say.Say("changes.figures.means"), Link: "changes.html#figures"})
		}
	}
	if out.Nothing = len(out.Sentences) == 0 && len(out.Turned) == 0; out.Nothing {
		out.Sentences = append(out.Sentences, Sentence{Text: c.say.Say("changes.none")})
	}
}
