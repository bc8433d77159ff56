package report

import (
	"bytes"
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"

	"benchwright/project"
	"benchwright/stats"
)

// PublicationVersion is the form of record that this code writes and reads.
const PublicationVersion = 1

// Publication is what an edition of a report claimed and what it rested on, so
// that the next edition can say what moved. It is the content of the file
// data/report.json. It holds ids and unrounded numbers beside the texts that
// stood on the pages; nothing in it depends on the order of rows in the result
// files.
type Publication struct {
	Schema  string `json:"$schema"`
	Version int    `json:"version"`
	// MadeBy is the version of the tool, for those who want to recompute.
	MadeBy string `json:"madeBy,omitempty"`
	// Arithmetic names how the figures were rounded (stats.Arithmetic).
	Arithmetic string `json:"arithmetic,omitempty"`
	// Theme is the name of the theme that the pages were made with.
	Theme string `json:"theme,omitempty"`

	Title string `json:"title"`
	// Date of the edition, YYYY-MM-DD.
	Date       string  `json:"date"`
	Language   string  `json:"language"`
	Confidence float64 `json:"confidence"`
	// Baseline is a configuration's id.
	Baseline string `json:"baseline"`
	// BaseAddress is where the site is published; empty when nobody said.
	BaseAddress string `json:"baseAddress,omitempty"`
	// Shelf: the site stands in a folder of a shelf's site.
	Shelf bool `json:"shelf,omitempty"`
	// OutsideReadings counts what viewers read on other machines; nothing else in
	// the record tells of them.
	OutsideReadings int `json:"outsideReadings,omitempty"`

	// Factors are all of bench.yaml. A record without them is of a version that
	// wrote down less than this one: no values of factors, nothing of a workload
	// but what its figures depend on, and no headlines.
	Factors        []PublishedFactor        `json:"factors,omitempty"`
	Configurations []PublishedConfiguration `json:"configurations"`
	Workloads      []PublishedWorkload      `json:"workloads"`
	Sessions       []PublishedSession       `json:"sessions"`
	Questions      []PublishedQuestion      `json:"questions"`
	Composites     []PublishedComposite     `json:"composites"`
	Headlines      []PublishedHeadline      `json:"headlines,omitempty"`
	Cells          []PublishedCell          `json:"cells"`
	Readings       []PublishedReadings      `json:"readings"`
}

// PublishedFactor is a factor's id and name.
type PublishedFactor struct {
	ID    string `json:"id"`
	Label string `json:"label"`
}

// PublishedConfiguration is a configuration's id and name.
type PublishedConfiguration struct {
	ID    string `json:"id"`
	Label string `json:"label"`
	// Values are those of its factors as the pages write them, by the factor's id;
	// without those that are not stated.
	Values map[string]string `json:"values,omitempty"`
	// Cost is what it costs, as written; empty where nothing is stated.
	Cost string `json:"cost,omitempty"`
}

// PublishedWorkload is a workload, as far as its figures depend on it, and what
// was run.
type PublishedWorkload struct {
	ID     string `json:"id"`
	Label  string `json:"label"`
	Unit   string `json:"unit"`
	Better string `json:"better"` // higher or lower
	Scale  string `json:"scale"`  // ratio or interval
	// Ratios are turned or as-read; empty on an interval scale, and in records of
	// old, which turned every one of which less is better.
	Ratios string `json:"ratios,omitempty"`
	// What else is stated of it.
	Metric  string `json:"metric,omitempty"`
	Version string `json:"version,omitempty"`
	Command string `json:"command,omitempty"`
}

// PublishedSession is a session's id and date.
type PublishedSession struct {
	ID   string `json:"id"`
	Date string `json:"date"`
}

// PublishedQuestion is a question with its answer.
type PublishedQuestion struct {
	ID         string          `json:"id"`
	Ask        string          `json:"ask"`
	Factor     string          `json:"factor"`
	From       string          `json:"from"`
	To         string          `json:"to"`
	Answerable bool            `json:"answerable"`
	Answer     string          `json:"answer"`
	Overall    PublishedFigure `json:"overall"`
	// OverWorkloads and OverPairs count what Overall is taken over; 0 where it is
	// no number, and in a record that does not say.
	OverWorkloads int               `json:"overWorkloads,omitempty"`
	OverPairs     int               `json:"overPairs,omitempty"`
	Workloads     []PublishedEffect `json:"workloads"`
	// Over are the ids of the workloads that OverWorkloads counts.
	Over []string `json:"over,omitempty"`
	// Bundle: more moves than the factor. Clean: nothing speaks against the
	// comparison. Against and SetAside are the rules that do, and those that would
	// if the author had not set them aside. Clean is nil in a record that says
	// nothing of these.
	Bundle   bool     `json:"bundle,omitempty"`
	Clean    *bool    `json:"clean,omitempty"`
	Against  []string `json:"against,omitempty"`
	SetAside []string `json:"setAside,omitempty"`
}

// PublishedEffect is a question's effect on one workload.
type PublishedEffect struct {
	Workload   string          `json:"workload"`
	Difference bool            `json:"difference"`
	Effect     PublishedFigure `json:"effect"`
	// Pairs counts those that Effect is taken over; 0 in a record that does not
	// say.
	Pairs int `json:"pairs,omitempty"`
}

// PublishedComposite is a composite against the baseline, one row per
// configuration that has a figure or once had one.
type PublishedComposite struct {
	ID    string                  `json:"id"`
	Label string                  `json:"label"`
	Rows  []PublishedCompositeRow `json:"rows"`
	// Over are the ids of the workloads that it is taken over, none in a record that
	// does not say; Weights their shares of the whole, none where all weigh the same.
	Over    []string  `json:"over,omitempty"`
	Weights []float64 `json:"weights,omitempty"`
}

// PublishedHeadline is what the overview names first of something: the best of a
// composite, the largest effect, the most for the money.
type PublishedHeadline struct {
	// Kind is composite, largest-effect or value.
	Kind string `json:"kind"`
	// Of is the id of the composite; empty for the others.
	Of string `json:"of,omitempty"`
	// Names are the ids of the configurations that it names; of the largest effect
	// the id of the factor and the two levels of its step; of what the money buys the
	// id of what gains at no extra cost and of what gains most for the money, empty
	// where there is none.
	Names []string `json:"names"`
	// Text is what it says of them.
	Text string `json:"text"`
}

// PublishedCompositeRow is one configuration of a composite.
type PublishedCompositeRow struct {
	Configuration string          `json:"configuration"`
	Figure        PublishedFigure `json:"figure"`
}

// PublishedCell is one configuration under one workload. Cells in which nothing
// was measured are left out.
type PublishedCell struct {
	Configuration string          `json:"configuration"`
	Workload      string          `json:"workload"`
	N             int             `json:"n"`
	Centre        PublishedFigure `json:"centre"`
	Relative      PublishedFigure `json:"relative"`
	// Difference is given in place of Relative where the scale has no ratios.
	Difference *PublishedFigure `json:"difference,omitempty"`
	LookAlike  bool             `json:"lookAlike"`
}

// PublishedFigure is a Figure as published. Value holds in the states measured,
// spread-unknown and spread-borrowed, Low and High where Confidence is not 0.
type PublishedFigure struct {
	State      string  `json:"state"`
	Value      float64 `json:"value"`
	Low        float64 `json:"low"`
	High       float64 `json:"high"`
	Confidence float64 `json:"confidence"`
	Verdict    string  `json:"verdict"`
	Text       string  `json:"text"`
}

// PublishedReadings are the readings of one configuration under one workload in
// one session, in order of their repeats: lists of equal length. A value is nil
// where a run gave none. Readings computed from others are not among them.
type PublishedReadings struct {
	Configuration string     `json:"configuration"`
	Workload      string     `json:"workload"`
	Session       string     `json:"session"` // empty: none stated
	Repeats       []int      `json:"repeats"`
	Outcomes      []string   `json:"outcomes"`
	Values        []*float64 `json:"values"`
}

// String gives the word used in published data: measured, spread-unknown, …
func (s FigureState) String() string {
	return [...]string{"absent", "measured", "spread-unknown", "spread-borrowed", "failed", "not-comparable"}[s]
}

// String gives the word used in published data: better, worse,
// no-difference-seen; empty where nothing may be claimed.
func (v Verdict) String() string {
	return [...]string{"", "better", "worse", "no-difference-seen"}[v]
}

// HasValue says whether the figure is a number at all.
func (f Figure) HasValue() bool {
	return f.State == Measured || f.State == SpreadUnknown || f.State == SpreadBorrowed
}

// HasValue says whether the figure is a number at all.
func (f PublishedFigure) HasValue() bool {
	switch f.State {
	case Measured.String(), SpreadUnknown.String(), SpreadBorrowed.String():
		return true
	}
	return false
}

func published(f Figure) PublishedFigure {
	out := PublishedFigure{State: f.State.String(), Verdict: f.Verdict.String(), Text: f.Text}
	if f.HasValue() {
		out.Value = f.Value
		if f.Confidence > 0 {
			out.Low, out.High, out.Confidence = f.Low, f.High, f.Confidence
		}
	}
	return out
}

// Publication gives the record of the report for the next edition. What is in an
// Imprint is left to whoever publishes.
func (r *Report) Publication() Publication {
	out := r.publication()
	long := r.longLists()
	out.Cells, out.Readings = long.cells, long.readings
	return out
}

// publication is Publication without its long lists.
func (r *Report) publication() Publication {
	p := r.Project
	out := Publication{
		Schema: "report.schema.json", Version: PublicationVersion, Arithmetic: stats.Arithmetic(),
		Title: p.Title, Date: p.Date, Language: r.Language, Confidence: r.Confidence,
	}
	out.OutsideReadings = r.OutsideReadings()
	if r.Baseline < len(p.Configurations) {
		out.Baseline = p.Configurations[r.Baseline].ID
	}
	for _, f := range p.Factors {
		out.Factors = append(out.Factors, PublishedFactor{f.ID, f.Label})
	}
	for _, c := range p.Configurations {
		row := PublishedConfiguration{ID: c.ID, Label: c.Label}
		if cost, ok := r.cost(c.Index); ok {
			row.Cost = r.money(cost)
		}
		for f, v := range c.Values {
			if v.State == project.Unset {
				continue
			}
			if row.Values == nil {
				row.Values = make(map[string]string, len(c.Values))
			}
			row.Values[p.Factors[f].ID] = r.level(p.Factors[f], v.Value)
		}
		out.Configurations = append(out.Configurations, row)
	}
	for _, w := range p.Workloads {
		out.Workloads = append(out.Workloads, PublishedWorkload{ID: w.ID, Label: w.Label, Unit: w.Unit.Symbol, Better: direction(w), Scale: w.Scale.String(), Ratios: ratiosOf(w),
			Metric: w.Metric, Version: w.Version, Command: w.Command})
	}
	for _, s := range p.Sessions {
		out.Sessions = append(out.Sessions, PublishedSession{s.ID, s.Date})
	}
	for i := range r.Questions {
		q := &r.Questions[i]
		row := PublishedQuestion{ID: q.ID, Ask: q.Ask, Factor: p.Factors[q.Factor].ID, From: q.From.Text, To: q.To.Text,
			Answerable: q.Answerable, Answer: q.Headline.Text, Overall: published(q.Overall)}
		if q.Overall.HasValue() {
			row.OverWorkloads, row.OverPairs = len(q.OverallWorkloads), q.OverallPairs
			row.Over = r.workloadIDs(q.OverallWorkloads)
		}
		clean := q.Clean
		row.Bundle, row.Clean, row.Against, row.SetAside = q.Bundle, &clean, q.Against(), q.AgainstSetAside()
		for _, e := range q.ByWorkload {
			row.Workloads = append(row.Workloads, PublishedEffect{p.Workloads[e.Workload].ID, e.Difference, published(e.Effect), e.Pairs})
		}
		out.Questions = append(out.Questions, row)
	}
	for _, c := range r.Composites {
		row := PublishedComposite{ID: c.ID, Label: c.Label, Over: r.workloadIDs(c.Workloads)}
		if c.Weighted {
			row.Weights = c.Weights
		}
		for i := range c.Rows {
			if f := c.Rows[i].Figure; f.State != Absent {
				row.Rows = append(row.Rows, PublishedCompositeRow{p.Configurations[i].ID, published(f)})
			}
		}
		out.Composites = append(out.Composites, row)
	}
	out.Headlines = r.headlines()
	return out
}

func (r *Report) workloadIDs(all []int) []string {
	out := make([]string, len(all))
	for i, w := range all {
		out[i] = r.Project.Workloads[w].ID
	}
	return out
}

// publishedCells are all in which something was measured.
func (r *Report) publishedCells() []PublishedCell {
	p := r.Project
	out := make([]PublishedCell, 0, len(p.Configurations)*len(p.Workloads))
	for c := range r.Cells {
		for w := range r.Cells[c] {
			if x := &r.Cells[c][w]; x.Centre.State != Absent {
				cell := PublishedCell{p.Configurations[c].ID, p.Workloads[w].ID, x.N, published(x.Centre), published(x.Relative), nil, x.LookAlike}
				if x.Difference != nil {
					f := published(*x.Difference)
					cell.Difference = &f
				}
				out = append(out, cell)
			}
		}
	}
	return out
}

func direction(w *project.Workload) string {
	if w.HigherBetter {
		return "higher"
	}
	return "lower"
}

func ratiosOf(w *project.Workload) string {
	switch {
	case w.Scale == project.IntervalScale:
		return ""
	case w.Turned:
		return ratiosTurned
	}
	return "as-read"
}

const ratiosTurned = "turned"

// publishedReadings groups what was read by cell and session.
func (r *Report) publishedReadings() []PublishedReadings {
	p := r.Project
	n := 0
	for c := range r.Cells {
		for w := range r.Cells[c] {
			n += len(r.Cells[c][w].Readings)
		}
	}
	// One block of memory for each kind of list, cut into slices.
	repeats, outcomes, values, numbers := make([]int, 0, n), make([]string, 0, n), make([]*float64, 0, n), make([]float64, 0, n)
	out := make([]PublishedReadings, 0, min(n, len(p.Configurations)*len(p.Workloads)*max(1, len(p.Sessions))))
	var sorted []*Reading
	for c := range r.Cells {
		for w := range r.Cells[c] {
			if p.Workloads[w].Derived != nil || p.Workloads[w].FramesOf != "" {
				continue
			}
			sorted = sorted[:0]
			for i := range r.Cells[c][w].Readings {
				sorted = append(sorted, &r.Cells[c][w].Readings[i])
			}
			slices.SortStableFunc(sorted, func(a, b *Reading) int {
				return cmp.Or(cmp.Compare(a.Session, b.Session), cmp.Compare(a.Repeat, b.Repeat))
			})
			for i, from := 0, 0; i < len(sorted); i++ {
				rd := sorted[i]
				repeats, outcomes = append(repeats, rd.Repeat), append(outcomes, rd.Outcome.String())
				if rd.HasValue {
					numbers = append(numbers, rd.Value)
					values = append(values, &numbers[len(numbers)-1])
				} else {
					values = append(values, nil)
				}
				if i+1 < len(sorted) && sorted[i+1].Session == rd.Session {
					continue
				}
				session := ""
				if rd.Session >= 0 {
					session = p.Sessions[rd.Session].ID
				}
				k := i + 1 - from
				at := len(repeats) - k
				out = append(out, PublishedReadings{p.Configurations[c].ID, p.Workloads[w].ID, session,
					repeats[at:len(repeats):len(repeats)], outcomes[at:len(outcomes):len(outcomes)], values[at:len(values):len(values)]})
				from = i + 1
			}
		}
	}
	return out
}

// ReadPublication reads a record that an earlier edition left. Whatever is in
// data, it gives a record whose lists fit one another or an error.
func ReadPublication(data []byte) (Publication, error) {
	var p Publication
	d := json.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	err := d.Decode(&p)
	if err == nil {
		if _, more := d.Token(); more != io.EOF {
			err = errors.New("it goes on after its end")
		}
	}
	// A record of another version may well have other keys: say that first.
	var head struct {
		Version int `json:"version"`
	}
	if err == nil {
		head.Version = p.Version
	} else if json.Unmarshal(data, &head) != nil {
		return Publication{}, fmt.Errorf("the record of the publication is not what benchwright writes: %w", err)
	}
	if head.Version != PublicationVersion {
		return Publication{}, fmt.Errorf("the record of the publication has version %d, and this benchwright reads version %d", head.Version, PublicationVersion)
	}
	if err != nil {
		return Publication{}, fmt.Errorf("the record of the publication is not what benchwright writes: %w", err)
	}
	for i, g := range p.Readings {
		if len(g.Outcomes) != len(g.Repeats) || len(g.Values) != len(g.Repeats) {
			return Publication{}, fmt.Errorf("the record of the publication has lists of unequal length in entry %d of its readings (%q, %q)", i+1, g.Configuration, g.Workload)
		}
	}
	return p, nil
}
