package project

import (
	"fmt"
	"slices"
)

// ListedColumn is a column that result files may have.
type ListedColumn struct {
	Name, Means, Example string
	// Long and Wide say in which form of result files it can stand.
	Long, Wide bool
}

// ListColumns gives every column of result files except those that are named
// by workloads and by conversions of readings.
func ListColumns() []ListedColumn {
	told := map[string][2]string{
		"configuration": {"The configuration that was on the bench, by id. Every row needs it.", "two-fans"},
		"workload":      {"The workload that was run, by id. One that is derived, or takes its figure from the frame files of another, has no rows.", "compile"},
		"value":         {"What was read, as a bare number; for a workload with `frame-times`, the name of the file under `frames/`. Empty when the run gave none: then `outcome` says why.", "312.5"},
		"session":       {"The session of `sessions.yaml` in which it was read. It may be left out when there is one session.", "first-evening"},
		"repeat":        {"Which repeat it is, counted from 1 for each configuration, workload and session.", "2"},
		"order":         {"The place of the run in its session: 1, 2, 3 … Rows that share a number are of one visit to the configuration. Without the column the rows of a file stand in the order of the runs; in a file that has it, an empty cell leaves the place open, and no drift is looked for there.", "4"},
		"unit":          {"The unit of the value when it is not the one of the workload's readings: one of the same dimension is converted.", "ms"},
		"outcome":       {"How the run ended; empty is `ok`.", "hung"},
		"reason":        {"Why it failed or does not count. `excluded` needs one.", "the door was open"},
		"note":          {"A remark on the run. It is published and counts for nothing.", "second try"},
		"time":          {"The time of day at which it was read; nothing is computed from it.", "20:15"},
		"source":        {"Where it was read from, such as a log; nothing is computed from it.", "night.log"},
	}
	var list []ListedColumn
	for _, name := range longColumns {
		t, ok := told[name]
		if !ok {
			panic(fmt.Sprintf("the column %q has no description", name))
		}
		list = append(list, ListedColumn{Name: name, Means: t[0], Example: t[1], Long: true, Wide: slices.Contains(wideColumns, name)})
	}
	return list
}

// ListedOutcome is a word for how a run ended.
type ListedOutcome struct{ Word, Means string }

// ListOutcomes gives every outcome with what it means.
func ListOutcomes() []ListedOutcome {
	told := map[Outcome]string{
		OK:          "The run ended as it should. The row has a value.",
		DidNotStart: "The bench did not start, or the test did not.",
		Hung:        "The run stood still until somebody ended it.",
		Crashed:     "The run, or the bench with it, ended before its time.",
		Unstable:    "The run came to its end, but with errors or in a state that nobody should use.",
		Excluded:    "The run gave a value that does not count, for a reason that is published with it. Needs a value and a `reason`.",
	}
	var list []ListedOutcome
	for _, o := range outcomes {
		means, ok := told[o]
		if !ok {
			panic(fmt.Sprintf("the outcome %q has no description", o))
		}
		list = append(list, ListedOutcome{o.String(), means})
	}
	return list
}

// ListedFrameStatistic is a figure that is taken from files of frame times.
type ListedFrameStatistic struct {
	Word, Unit string
	// LeastFrames that it needs; 0 for any number.
	LeastFrames int
}

// ListFrameStatistics gives every figure that can be taken from frame times.
func ListFrameStatistics() []ListedFrameStatistic {
	var list []ListedFrameStatistic
	for _, name := range frameStatistics {
		list = append(list, ListedFrameStatistic{name, frameStatisticUnit(name).Symbol, fewestFrames(name)})
	}
	return list
}
