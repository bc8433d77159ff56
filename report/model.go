package report

import (
	"benchwright/design"
	"benchwright/project"
	"benchwright/schema"
)

// Figure is one number of the report: its value, its spread, and how it is
// written. Whoever shows a figure prints Text and Range and computes nothing.
type Figure struct {
	// State says what is there; the zero value is "nothing to show".
	State FigureState
	// Value, Low and High are unrounded. Ratios of performance are turned so that
	// more than 1 is better; those of other workloads (project.Workload.AsRead)
	// and differences of an interval scale are as they were read.
	Value, Low, High float64
	// Confidence of Low to High, such as 0.95; 0 when there is no interval.
	Confidence float64
	// N is the number of readings or matched pairs behind the figure, whichever
	// Of says.
	N  int
	Of string // words key: "readings", "pairs", "workloads"
	// Method names how the interval was made: "Fieller", "log ratio, Welch", …
	Method string
	// P is the two-sided p-value against "no difference"; NaN-free: HasP says.
	P    float64
	HasP bool
	// lessIsBetter says which way a ratio that is not turned is judged, and
	// decimals those that it has as a percentage.
	lessIsBetter bool
	decimals     int8
	// AdjustedP is P after Holm's correction over Family differences of the same page.
	AdjustedP float64
	Family    int
	// Verdict is what may be claimed.
	Verdict Verdict
	// Text is the figure as written with its unit: "+11.8 %", "14.7 fps".
	Text string
	// Range is the interval as written: "+10.9 to +12.7 %"; empty if none.
	Range string
	// Short is for table cells: "111.8" (baseline = 100) or "14.7".
	Short string
	// Remark says what the reader must know: "one reading: spread unknown".
	Remark string
}

// FigureState tells a figure from the reasons for having none.
type FigureState uint8

const (
	// Absent: nothing was measured.
	Absent FigureState = iota
	// Measured: a value with an interval.
	Measured
	// SpreadUnknown: a value without an interval.
	SpreadUnknown
	// SpreadBorrowed: one reading, with the workload's pooled spread from other configurations.
	SpreadBorrowed
	// Failed: the run did not end well; Text says how.
	Failed
	// NotComparable: an interval scale, or a baseline without a value.
	NotComparable
)

// Verdict is what a difference may be called.
type Verdict uint8

const (
	// NoVerdict: no interval, so no claim.
	NoVerdict Verdict = iota
	// Better: the whole interval is on the better side.
	Better
	// Worse: the whole interval is on the worse side.
	Worse
	// NoDifferenceSeen: the interval holds "no difference", or the difference
	// is below the instrument's resolution.
	NoDifferenceSeen
)

// Sentence is one statement of the report and where its numbers stand.
type Sentence struct {
	// Text is plain text in the report's language.
	Text string
	// Link is the site path, relative to the site's root, of the table that the
	// sentence comes from, with fragment: "questions/second-channel.html#pairs".
	Link string
}

// Report is everything that is shown, in the order in which it is shown.
type Report struct {
	Project *project.Project
	Space   *design.Space

	Language   string
	Confidence float64
	// Baseline is an index into Configurations.
	Baseline int

	Configurations []Configuration
	Workloads      []Workload
	Sessions       []Session
	Questions      []Answer
	Composites     []Composite
	// Cells has a row per configuration and a column per workload.
	Cells [][]Cell
	// Effects is the model of all factors at once, nil with the reason in
	// EffectsWhy when there are too few readings for one.
	Effects    *Effects
	EffectsWhy string
	// Insights answer what testers ask besides the questions, most telling first.
	Insights []Insight
	Method   Method
	Notes    []Note
	// Findings are those to show, most severe first; Silenced those with a reason.
	Findings, Silenced []schema.Finding
	Counts             Counts
	// Changes is what moved since the last publication; nil for a first one.
	Changes *Changes
	// Outside is what others read on other machines: shown apart, part of no
	// figure, order or count.
	Outside []Outside

	// work is what figures against another baseline are computed from.
	work *working
}

// Counts are the numbers of "who tested what, when, with how many readings".
type Counts struct {
	Configurations, Tested, Failed, NotRun            int
	Workloads, Sessions, Readings, Excluded, Failures int
	// SilentRuns are the runs of which every workload failed, LoneFailures the
	// failures of all others.
	SilentRuns, LoneFailures            int
	Errors, Warnings, Notices, Silenced int
	FirstDate, LastDate                 string
}

// Configuration is a row of every table.
type Configuration struct {
	*project.Configuration
	// Status in words: "tested", "hung in 1 of 7 workloads", "not run yet".
	Status string
	// State is the machine's word: tested, partly, failed, not-run, planned.
	State string
	// Page is the path of its page: "configurations/ID.html".
	Page string
	// Differs lists what differs from the baseline, in words and kind.
	Differs []Difference
	// Comparison is what may be made of holding it against the baseline.
	Comparison Comparison
	// Values is every factor, those that differ from the baseline first.
	Values []FactorValue
	// Readings counts its readings with outcome ok.
	Readings int
	// Cautions, when it is beyond a maker's limit.
	Cautions []string
	Findings []schema.Finding
	Cost     Figure
}

// FactorValue is one line of a configuration's page.
type FactorValue struct {
	Factor                   *project.Factor
	Text                     string // "25 W"; "not recorded"
	Origin                   string // in words: "common to all (bench.yaml, line 41)"
	Place                    schema.Place
	Differs                  bool   // from the baseline
	Baseline                 string // the baseline's value, when it differs
	Set, Displayed, Measured string // identity; empty where not given
	Explained                string
	// Kind of the difference: "", under-study, follower, independent, nuisance, unknown.
	Kind string
}

// Difference is one thing that stands between two configurations.
type Difference struct {
	Factor   int
	Kind     string // under-study, follower, independent, nuisance, unknown
	KindText string
	From, To string // levels as written
	Text     string // "power limit: 15 W → 25 W"
}

// Comparison is what may be made of two configurations held against one another.
type Comparison struct {
	// Matched: they differ in one studied factor and what follows it, and in
	// nothing else. A single change of a factor that was to stay the same is
	// none: no question asks about it.
	Matched bool
	// Moved counts what differs, without what follows it.
	Moved int
	// Unheld lists the factors that differ, as set or by what was displayed or
	// measured, although they were to stay the same.
	Unheld []int
	// Apart lists the workloads on which both were read, but never in one session.
	Apart []int
	// Clean: matched, read in a common session on every workload, and nothing that
	// was displayed or measured belies it.
	Clean bool
	// Text says so in sentences, Short in a cell of a table.
	Text, Short string
}

// Workload is a column of every table.
type Workload struct {
	*project.Workload
	Page string // "workloads/ID.html"
	// Better in words: "higher is better".
	Better string
	// Order is every configuration with a value, best first, with ties.
	Order []Ranked
	// Failures lists configurations without a value because the run failed.
	Failures []int
	// Responses are the fits along numeric studied factors.
	Responses  []Response
	TargetText string
	// TargetReached lists configuration indices whose centre reaches the target.
	TargetReached []int
	// Pooled is the spread that one-reading cells borrow, as a coefficient of
	// variation (ratio scale) or SD (interval scale).
	Pooled Figure
	// Definition lines of the workload's page.
	Definition []Pair
	Sentences  []Sentence
	Findings   []schema.Finding
}

// Pair is a label and a text.
type Pair struct{ Label, Text string }

// Ranked is one place of an order.
type Ranked struct {
	Configuration int
	// Rank from 1; configurations that cannot be told from the best of their
	// group share it.
	Rank int
	// Tied with the one above.
	Tied bool
}

// Cell is one configuration under one workload.
type Cell struct {
	Configuration, Workload int
	// Centre is the mean or median as declared, in the workload's unit.
	Centre Figure
	// Beside is the centre as it would be in the baseline's sessions, by which it is
	// ranked; empty where it is written as the centre is.
	Beside                         string
	N                              int
	Mean, Median, SD, CV, Min, Max float64
	HasSD                          bool
	SDText, CVText, RangeText      string
	// Readings are all of them, excluded and failed ones too, in order of run.
	Readings []Reading
	// Flags in words: "outlier", "one reading", "failed 1 of 3".
	Flags []Flag
	// Outcome of the cell: ok when any reading is, otherwise the failure.
	Outcome project.Outcome
	// Relative is the performance against the report's baseline.
	Relative Figure
	// Difference from the baseline, in the workload's unit, stands in its place
	// where the scale has no ratios; nil where it has.
	Difference *Figure
	// LookAlike marks a cell that cannot be told from the baseline's.
	LookAlike bool
}

// Flag is a remark on a cell with the rule that it comes from.
type Flag struct{ Rule, Text string }

// Reading is one reading as shown.
type Reading struct {
	Session, Repeat, Order int // Session is an index; −1: none
	Value                  float64
	HasValue               bool
	Text                   string // in the workload's unit
	Written                string // as written in the file
	Outcome                project.Outcome
	OutcomeText            string
	Reason, Note           string
	Place                  schema.Place
	// Corrected says what it was before, and why; empty otherwise.
	Corrected string
}

// Composite is the geometric mean of relative performance over workloads.
type Composite struct {
	ID, Label string
	Workloads []int
	Weights   []float64
	Weighted  bool
	// Rows is one figure per configuration against the report's baseline.
	Rows     []CompositeRow
	Order    []Ranked
	Sentence Sentence
}

// CompositeRow is a composite for one configuration.
type CompositeRow struct {
	Figure    Figure
	Bootstrap Figure // the same by seeded bootstrap, for the method page and the JSON
	// Used counts the workloads that both it and the baseline have; a row with
	// fewer than all has no figure and Missing says which are missing.
	Used    int
	Missing []int
}

// Answer is a question with what the readings say.
type Answer struct {
	*project.Question
	Page                          string // "questions/ID.html"
	FactorLabel, FromText, ToText string
	// Answerable: at least one matched pair with readings.
	Answerable bool
	Bundle     bool
	BundleText string // what else moves, in words, when it is a bundle
	// BundleFactors are the factors of which it is the bundle, the asked one first.
	BundleFactors []int
	Clean         bool // no finding of severity error or warning touches it, nor did one that was set aside
	// Belied: by what was displayed or measured, the sides of some pair differ in
	// a factor that was set alike.
	Belied bool
	// Headline is the sentence; More what follows it.
	Headline Sentence
	More     []Sentence
	// Overall is over all ratio-scale workloads; ByWorkload has each of them
	// and the interval scales as differences.
	Overall Figure
	// OverallWorkloads are those that Overall is taken over: all that every
	// pair in it has. OverallPairs counts those pairs.
	OverallWorkloads []int
	OverallPairs     int
	ByWorkload       []WorkloadEffect
	Pairs            []PairEffect
	Dependence       []Dependence
	// Model is the effect of the same step in the model of all factors at once.
	Model     Figure
	ModelText Sentence // agreement or disagreement, and why
	// quotePairs: the two disagree, and ModelText says which to quote.
	quotePairs bool
	// Smallest difference that could have been seen, for "no difference seen".
	Smallest Figure
	// Nearest and Missing say what stands between, when not answerable.
	Nearest []Nearest
	Missing []Missing
	// Awaiting: there are matched pairs, which have still to be run. Spoilt: the
	// first of Nearest was read all the same.
	Awaiting, Spoilt bool
	// FailedPairs are matched pairs of which one side failed.
	FailedPairs []PairEffect
	Findings    []schema.Finding
	// SetAside are the findings about it that the author silenced with a reason.
	SetAside []schema.Finding
}

// WorkloadEffect is a question's effect on one workload.
type WorkloadEffect struct {
	Workload int
	Effect   Figure
	Pairs    int
	// Difference says that Effect is a difference in the workload's unit.
	Difference bool
	// Smallest effect that would have been seen, for "no difference seen": a
	// ratio, or with Difference a difference in the workload's unit.
	Smallest Figure
}

// PairEffect is one matched pair.
type PairEffect struct {
	From, To int // configurations
	// Setting is what both have, in words, as far as pairs differ in it: "25 W, thick pad".
	Setting   string
	Overall   Figure
	Workloads []WorkloadEffect
	// SameSession: on every workload that both sides have, they have readings in
	// a common session.
	SameSession bool
	// Through lists the configurations through which they are compared where they
	// have none; empty if that is not so on every such workload.
	Through []int
	// ThroughText says so in a few words, with their ids.
	ThroughText string
	// Uneven: on some workload the sides were not read in the same sessions
	// equally often, and are compared within those that both share.
	Uneven bool
	// LeftOut says, of a pair that the question's mean does not count, over how
	// many workloads its own is taken; empty for the others.
	LeftOut   string
	Why       string // for failed pairs: which side and how
	Followers []Difference
}

// Dependence says whether the effect depends on another factor.
type Dependence struct {
	Factor   int
	Steps    []DependenceStep
	Tested   bool
	P        float64
	Family   int // Holm over so many tests
	Depends  bool
	Sentence Sentence
	// Chance is how often values this far apart would come up if it did not, as a
	// share for tables: "3.6 %"; empty when not tested.
	Chance string
	// Workload: −1 for the overall effect.
	Workload int
}

// DependenceStep is the effect at one level of another factor.
type DependenceStep struct {
	Level  string
	Number float64 // for numeric factors
	Effect Figure
}

// Nearest is a pair that is not matched, with what stands between.
type Nearest struct {
	From, To int
	Between  []Difference
	Text     string
}

// Missing is a configuration that would give a matched pair.
type Missing struct {
	Based int
	Set   []Difference
	Text  string
	// Configuration is the index of a planned one that is just this; −1 if none.
	Configuration int
}

// Effects is the log-linear model of all factors at once.
type Effects struct {
	Workloads []ModelFit // one per ratio-scale workload
	// Ranking is the studied factors' largest steps in order of size.
	Ranking  []ModelEffect
	Sentence Sentence
}

// ModelFit is the model of one workload.
type ModelFit struct {
	Workload          int
	N, Parameters, DF int
	ResidualCV        Figure // residual spread as a coefficient of variation
	Effects           []ModelEffect
	Aliased           []string // in words
	Checks            []ResidualCheck
}

// ModelEffect is one step of a factor in a model.
type ModelEffect struct {
	Factor   int
	From, To string
	Label    string
	Effect   Figure
	Workload int // −1: over all
}

// ResidualCheck is one look at a model's residuals.
type ResidualCheck struct {
	Name, Text string
	Passed     bool
}

// Response is how a workload follows a numeric factor, other factors fixed.
type Response struct {
	Factor  int
	Setting string // the fixed levels, in words
	Points  []ResponsePoint
	// Elasticity is the slope on log scales: 1 follows fully, 0 not at all.
	Elasticity Figure
	// Untouched is the share of the time, at the first level, that the factor does not touch
	// (time = a + b/f, Amdahl 1967); empty where the readings do not bear out that law, or
	// could not have refuted it. Its Remark says that they refute it.
	Untouched Figure
	A, B      Figure
	// Curve is that law, or straight lines between the points where there is none.
	Curve      []XY
	Bottleneck bool
	falls      bool // performance falls as the factor rises
	Sentence   Sentence
	// plain is the text of Sentence without its cautions, for where more than
	// this response is cautioned of.
	plain string
}

// ResponsePoint is a configuration on a response.
type ResponsePoint struct {
	Configuration int
	X             float64
	Y             Figure
}

// XY is a point of a drawn curve, in the factor's and the workload's units.
type XY struct{ X, Y float64 }

// Insight is one thing a tester wants to know, beside the questions.
type Insight struct {
	// Kind: clock-for-clock, ties, look-alikes, crossover, target, value,
	// front, per-watt, largest-effect, bottleneck.
	Kind     string
	Title    string
	Sentence Sentence
	// Table has a header and rows, all text; empty when the sentence is all.
	Header []string
	Rows   [][]string
	// Rows' configurations, to link; −1 where a row is none.
	RowConfigurations []int
	// beside lists configurations that are named without a row of their own.
	beside []int
	// Of what the money buys, lead are the ids of what gains at no extra cost and of
	// what gains most for the money, empty for none, and plain says so without what
	// else the sentence has.
	lead  [2]string
	plain string
}

// Session is a stretch of bench work as shown.
type Session struct {
	*project.Session
	// Readings counts every attempt at a reading: those that came to one, those
	// left out and those that failed.
	Readings                 int
	Good, Excluded, Failures int
	SilentRuns, LoneFailures int
	// Run is the order in which things were run, in words per step.
	Run    []RunStep
	Values []Pair
}

// RunStep is one step of a session: consecutive readings of one configuration.
type RunStep struct {
	Configuration         int
	Workloads             []int
	FirstOrder, LastOrder int
	Readings              int
}

// Method is the method page as data.
type Method struct {
	Held, Studied, Followers, Nuisances []MethodFactor
	Matrix                              Matrix
	Repeats                             string
	Exclusions                          []Exclusion
	SharedRuns                          []string // which workloads of a composite share runs
	Formulas                            []Formula
	Cautions                            []string
	Versions                            []Pair
	Sentences                           []Sentence
	Structure                           []Sentence // what the design can and cannot tell apart
	Aliases                             []Pair
}

// MethodFactor is a factor with what it was.
type MethodFactor struct {
	Factor *project.Factor
	Text   string // value, levels, or range seen
	How    string
	Odd    []string // configurations in which a held factor differs, in words
}

// Matrix is configurations × factors.
type Matrix struct {
	Factors []int
	Rows    [][]MatrixCell // per configuration
}

// MatrixCell is one value of the matrix.
type MatrixCell struct {
	Text string
	// Kind: held, studied, follows, nuisance, odd, unknown, varied.
	Kind string
	// Mark is a sign that tells the kind without colour: "=", "•", "↳", "~", "!", "?".
	Mark string
}

// Exclusion is a reading left out, with the reason.
type Exclusion struct {
	Configuration, Workload int
	Reading                 Reading
}

// Formula is one way of computing, with its source.
type Formula struct {
	Name, Text, Source string
	// Used says whether the report has a figure made this way.
	Used bool
}

// Note is a Markdown note; live figures are resolved by Mark.
type Note struct {
	ID, Title, Text, File, Page string
}
