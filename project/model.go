package project

import (
	"benchwright/schema"
)

// Role says what a factor is to the comparison.
type Role uint8

const (
	// Held must be equal in every comparison. It is the zero value: a factor
	// with no role is one that must not move.
	Held Role = iota
	// Studied is varied on purpose.
	Studied
	// Follows changes because another factor does.
	Follows
	// Nuisance is recorded and may drift within a tolerance.
	Nuisance
)

// String gives the key used in bench.yaml.
func (r Role) String() string { return [...]string{"held", "studied", "follows", "nuisance"}[r] }

// ValueState tells a value that is there from one that is missing.
type ValueState uint8

const (
	// Unset: the folder says nothing.
	Unset ValueState = iota
	// Unknown: the folder says that nobody wrote it down.
	Unknown
	// Known: Text (and Number where Numeric) hold.
	Known
)

// Value is what a factor has in a configuration. Number is in the factor's
// declared unit. Two known values are the same level when their Text is the
// same (categories) or their Numbers are (numeric factors).
type Value struct {
	State   ValueState
	Numeric bool
	Number  float64
	// Text is the level as people read it, without unit: "2", "thick pad".
	Text  string
	Place schema.Place
}

// Tolerance is how far two values of a factor may lie apart and still count as
// the same. The zero value demands equality.
type Tolerance struct {
	Absolute float64 // in the factor's unit
	Relative float64 // share of the larger magnitude: 0.02 is 2 %
}

// Limit is a maker's limit. Has… say which side is given.
type Limit struct {
	HasLeast, HasMost bool
	Least, Most       float64
	Source            string
	Place             schema.Place
}

// Level is a value that a factor is allowed to take.
type Level struct {
	Value   Value
	Label   string // as shown; Value.Text with the unit when none was given
	Cost    float64
	HasCost bool
	// Brings gives followers' values that come with this level, by factor index.
	Brings map[int]Value
	Note   string
}

// Factor is anything about a configuration that has a value.
type Factor struct {
	ID    string
	Index int // in Project.Factors
	Label string
	Role  Role
	// Of lists the factors that this one follows (indices), for role Follows.
	Of      []int
	Numeric bool
	Unit    Unit
	// Levels in the order of bench.yaml; empty when any value is allowed.
	Levels      []Level
	Tolerance   Tolerance
	SwapMinutes float64
	// StaysWith is the factor whose parts keep this one's value when they are
	// swapped out, as a drive keeps its firmware; nil if the machine keeps it.
	StaysWith *Factor
	Limit     Limit
	How, Note string
	// Derived is the formula that gives the value from others; nil if none.
	Derived *Formula
	Place   schema.Place
}

// Term is one name or number of a formula.
type Term struct {
	Name   string // factor id, workload id, column or "reading"; empty for a constant
	Kind   TermKind
	Index  int // of the factor or workload
	Number float64
	Unit   Unit   // of a constant that carries one
	Text   string // as written
	Place  schema.Place
}

// TermKind says what a term of a formula stands for.
type TermKind uint8

const (
	ConstantTerm TermKind = iota
	ReadingTerm           // the raw reading
	ColumnTerm            // another column of the same row
	FactorTerm            // a factor's value in the configuration and session
	WorkloadTerm          // a reading of another workload in the same run
)

// Formula is a product over a product: the only arithmetic a folder can declare.
type Formula struct {
	Times, Over []Term
	Tolerance   Tolerance
	Place       schema.Place
}

// OriginKind says where a resolved value came from.
type OriginKind uint8

const (
	FromNowhere   OriginKind = iota
	FromSession              // stated for the session in which the readings were taken
	FromOwn                  // the configuration itself
	FromBase                 // a configuration that it is based on
	FromPart                 // brought by the level of another factor
	FromCommon               // common to all
	FromMeasured             // only measured
	FromDisplayed            // only displayed
	FromDerived              // computed
)

// Resolved is a factor's value in a configuration and where it came from.
type Resolved struct {
	Value
	Origin OriginKind
	// From is the id of the configuration, session or factor that gave it.
	From string
}

// Identity is what the machine showed or an instrument found for one factor.
type Identity struct {
	Factor     int
	Value      Value
	Where, How string
	Instrument string
}

// Picture is a photograph or drawing with its alternative text.
type Picture struct {
	File  string // path in the folder
	Text  string
	Place schema.Place
}

// Configuration is one state of the bench.
type Configuration struct {
	ID      string
	Index   int // in Project.Configurations
	Label   string
	BasedOn string // id, or empty
	// Set holds what the file itself states, by factor index.
	Set map[int]Value
	// Values is the resolved value of every factor, by factor index, before
	// any session's values.
	Values    []Resolved
	Displayed []Identity
	Measured  []Identity
	// Explained says why displayed and measured or set values differ, by factor index.
	Explained map[int]string
	Cost      float64
	HasCost   bool
	Pictures  []Picture
	Note      string
	Planned   bool
	Place     schema.Place
}

// Scale is Stevens' scale of a metric (Stevens 1946): whether ratios mean something.
type Scale uint8

const (
	RatioScale Scale = iota
	IntervalScale
)

// String gives the key used in workloads.yaml.
func (s Scale) String() string { return [...]string{"ratio", "interval"}[s] }

// Centre is the summary of repeats that a workload declares.
type Centre uint8

const (
	Mean Centre = iota
	Median
)

// String gives the key used in the folder.
func (c Centre) String() string { return [...]string{"mean", "median"}[c] }

// Workload is a test with a metric.
type Workload struct {
	ID     string
	Index  int // in Project.Workloads
	Label  string
	Metric string
	Unit   Unit
	// HigherBetter is the direction.
	HigherBetter bool
	// Turned says that its ratios are turned over, so that more of them is better:
	// less of the reading is, and it counts as performance. What does not, such as a
	// power with composite: false, is given as it was read: "uses 40 % more" is not said as "is 29 % worse".
	Turned     bool
	Scale      Scale
	Resolution float64 // in Unit; 0: not stated
	// Deterministic: declared to give the same number in every run on one
	// configuration.
	Deterministic     bool
	Target            float64 // in Unit
	HasTarget         bool
	Least, Most       float64 // possible range; outside is impossible
	HasLeast, HasMost bool
	// Composite says whether it counts in the default composite.
	Composite                                 bool
	Version, Command, How, Source, Instrument string
	Centre                                    Centre
	Minutes                                   float64 // bench time of one repeat; 0: not stated
	// Reading converts the raw reading; nil when readings are in Unit already.
	Reading *Formula
	RawUnit Unit
	// Derived computes the workload from others; nil when it is read.
	Derived *Formula
	// FrameTimes is the statistic taken from a file of frame times; empty otherwise.
	FrameTimes string
	// FrameColumn is the heading below which those files have their times; empty
	// for files that have nothing else in them.
	FrameColumn string
	// FramesOf names the workload whose frame-time files this one shares.
	FramesOf string
	Patterns []Pattern
	Place    schema.Place
}

// AsRead says that ratios of the workload are given as they were read although
// less of it is better, so that more of them is worse.
func (w *Workload) AsRead() bool { return w.Scale == RatioScale && !w.HigherBetter && !w.Turned }

// Pattern finds a reading in the text that a test printed, by its group
// PatternValue; PatternUnit may find the unit of it.
type Pattern struct {
	Name, Match string
	Place       schema.Place
}

// The groups that a pattern may name.
const (
	PatternValue = "value"
	PatternUnit  = "unit"
)

// Outcome is how a run ended.
type Outcome uint8

const (
	OK Outcome = iota
	DidNotStart
	Hung
	Crashed
	Unstable
	Excluded
)

// String gives the word used in result files: ok, did-not-start, …
func (o Outcome) String() string {
	return outcomeWords[o]
}

var outcomeWords = [...]string{"ok", "did-not-start", "hung", "crashed", "unstable", "excluded"}

// Outcomes lists every outcome in its order.
var outcomes = [...]Outcome{OK, DidNotStart, Hung, Crashed, Unstable, Excluded}

// Reading is one measured value of one workload on one configuration, one
// repeat. Indices point into the slices of Project.
type Reading struct {
	Configuration int32
	Workload      int32
	Session       int32 // −1: none stated
	Repeat        int32 // from 1
	Order         int32 // place in the session, from 1; 0: not known
	Outcome       Outcome
	HasValue      bool
	// Derived: computed from readings of other workloads taken in the same run.
	Derived bool
	// Value is in the workload's unit, after conversion. Raw is what was
	// written, in RawUnit (or the cell's own unit).
	Value, Raw float64
	File       int32 // in Project.ResultFiles
	Line       int32
	Column     int32
	// The texts of a reading are asked for with Project.Written, Reason and
	// Note: a project may have millions of readings, and without pointers they
	// are half as large and nothing for the garbage collector to look through.
	written writtenAs
	remark  uint32 // in the project's remarks, from 1; 0 for none
}

// Session is a stretch of bench work.
type Session struct {
	ID                         string
	Index                      int
	Date                       string // YYYY-MM-DD
	Start, Location, Who, Note string
	// Values are factors as they were in this session, by factor index.
	Values      map[int]Value
	Instruments []string
	Place       schema.Place
	// Ordered: a column says in which order its readings were made, so that it is
	// not that of the rows, which may be sorted by something else. The order of
	// some may be open: Reading.Order is 0.
	Ordered bool
}

// Instrument is what something was measured with.
type Instrument struct {
	ID, Label, Accuracy, Calibrated, Note string
	Measures                              Unit
	Resolution                            float64 // in Measures; 0: not stated
	Place                                 schema.Place
}

// Question is what the report answers: what is a factor worth, from one level
// to another?
type Question struct {
	ID       string
	Index    int
	Ask      string
	Factor   int
	From, To Value
	// With lists factors allowed to differ as well: the answer is a bundle.
	With []int
	// Where restricts the pairs, by factor index.
	Where []Condition
	// Workloads are indices; all when nil was written.
	Workloads []int
	Note      string
	Place     schema.Place
}

// Condition is one clause of a question's `where`.
type Condition struct {
	Factor int
	Value  Value
}

// Composite is a geometric mean of relative performance over workloads.
type Composite struct {
	ID string
	// Label is empty for the one that goes without saying: the report names it.
	Label     string
	Workloads []int
	Weights   []float64 // same length; all 1 when none were written
	Place     schema.Place
}

// Author is a name with an optional address.
type Author struct{ Name, URL string }

// CheckChange is what a project says about one rule of the checker.
type CheckChange struct {
	Rule        string
	HasSeverity bool
	Severity    schema.Severity
	Silence     bool
	At          []string // ids; empty: everywhere
	Reason      string
	Place       schema.Place
}

// Correction is a published reading that was changed, with the reason.
type Correction struct {
	Configuration, Workload, Session int // Session −1: any
	Repeat                           int // 0: any
	Was, Now                         float64
	Reason, Date                     string
	Place                            schema.Place
}

// Note is a Markdown file.
type Note struct {
	File  string // path in the folder
	ID    string // file name without .md
	Title string
	Text  string
}

// Project is a whole folder, typed and resolved.
type Project struct {
	Title, Subtitle, Summary, Notice string
	Authors                          []Author
	Date                             string // YYYY-MM-DD
	Licence                          string
	Language                         string
	BaseAddress                      string
	Currency                         string
	RawHTML                          bool
	Confidence                       float64 // 0.95
	Centre                           Centre
	MinimumRepeats                   int
	LargestSpread                    float64 // coefficient of variation, 0.05

	BenchLabel, BenchDescription, BenchPlace string
	BenchPictures                            []Picture
	Cautions                                 []string

	Factors        []*Factor
	Common         map[int]Value
	Instruments    []*Instrument
	Workloads      []*Workload
	Configurations []*Configuration
	Sessions       []*Session
	Questions      []*Question
	Composites     []*Composite
	Checks         []CheckChange
	Corrections    []Correction
	Notes          []Note
	// Media lists every file under media/, sorted.
	Media []string
	// Theme lists every file under theme/, sorted.
	Theme []string

	// Baseline is an index into Configurations.
	Baseline int

	// Readings in the order of the files and rows, derived ones last.
	Readings    []Reading
	ResultFiles []string

	// Places of keys that a finding may want to point at: "report.title",
	// "report.baseline", "bench.common.FACTOR".
	Places map[string]schema.Place

	// What the look-ups need; filled by Load.
	folder                                                              *schema.Folder
	texts                                                               texts
	units                                                               *Units
	frames                                                              map[string]frameFile // by path
	factorAt, workloadAt, configAt, sessionAt, questionAt, instrumentAt map[string]int
	// cellStart and cellReadings hold the readings of each configuration and
	// workload one after the other: cell c has cellReadings[cellStart[c]:cellStart[c+1]].
	cellStart    []int
	cellReadings []int
	// brought lists, by factor, the levels that bring a value for it.
	brought map[int][]bringer
	// inSession holds the values of a configuration in a session whose own
	// values change something.
	inSession map[[2]int][]Resolved
}

// bringer is a level of a factor that brings a value for another.
type bringer struct {
	factor, level int
	value         Value
}
