package project

import "benchwright/schema"

// Rule names a kind of finding that Load makes, and says in a sentence what it
// means.
type Rule struct {
	Name     string
	Severity schema.Severity
	Means    string
}

// Rules lists every kind of finding of this package by name. Some names are
// shared with schema, which finds the same fault in form alone.
func Rules() []Rule {
	return []Rule{
		{"bad-id", schema.Error, "The folder of a report has a name that cannot be part of an address."},
		{"bad-pattern", schema.Error, "A pattern is not a regular expression, has no group named value, or has one of a name other than value and unit."},
		{"brings-conflict", schema.Error, "Two parts of one configuration bring different values for the same follower."},
		{"cannot-read", schema.Error, "A file of frame times cannot be read."},
		{"copied-readings", schema.Warning, "Every reading of a result file stands in another one too, in the same order, as in a copy."},
		{"correction-after-edition", schema.Warning, "A correction is dated after the edition that makes it."},
		{"correction-not-made", schema.Error, "A correction is announced, but no reading has the corrected value."},
		{"cyclic-base", schema.Error, "Configurations are based on one another in a ring."},
		{"cyclic-derived", schema.Error, "A factor or a workload is computed from itself, directly or by way of others."},
		{"cyclic-unit", schema.Error, "Declared units are defined by one another in a ring."},
		{"derived-and-read", schema.Error, "A workload that is computed also has readings, or a conversion of readings."},
		{"derived-from-nothing", schema.Error, "A derived workload is computed from no other workload."},
		{"duplicate-id", schema.Error, "Two things of one kind have the same id, or a list names one twice."},
		{"duplicate-reading", schema.Error, "The same repeat of a workload on a configuration in a session is recorded twice, or a viewer's reading stands in two files; the first is kept."},
		{"few-frames", schema.Warning, "A percentile, or the rate of the slowest frames, is taken from fewer frames than it needs: 20, 100 or 1000."},
		{"follows-itself", schema.Error, "A factor follows itself, directly or by way of others."},
		{"frame-column-twice", schema.Error, "Two columns are named of one file of frame times."},
		{"frame-times", schema.Error, "A file of frame times holds something that is not a time that a frame took."},
		{"frames-without-statistic", schema.Error, "A workload shares frame times or names their column, but does not say what to take from them."},
		{"incomplete-run", schema.Notice, "A derived workload cannot be computed for a run in which only some of its parts were read."},
		{"interval-in-composite", schema.Error, "A composite includes a workload on an interval scale, where ratios mean nothing."},
		{"missing-column", schema.Error, "A result file lacks a column that it needs."},
		{"missing-file", schema.Error, "A picture or a file of frame times is not where the folder says."},
		{"missing-reason", schema.Error, "An exclusion, a correction or a change to a check has no reason."},
		{"missing-text", schema.Error, "The text of a picture is blank."},
		{"missing-value", schema.Error, "A cell or a value is empty where something has to stand."},
		{"no-report", schema.Error, "A shelf holds no report."},
		{"not-a-count", schema.Error, "A repeat or an order is not a whole number from 1 on."},
		{"not-a-follower", schema.Error, "A level brings a value for a factor that does not follow, or a factor with another role names what it follows."},
		{"not-a-number", schema.Error, "Something that has to be a finite number is none, in the file or after conversion."},
		{"not-allowed-value", schema.Error, "A value lies outside the range that makes sense for it."},
		{"not-frame-times", schema.Error, "A workload shares the frame times of one that has none."},
		{"not-studied", schema.Warning, "A question asks about a factor whose role is not studied."},
		{"order-assumed", schema.Notice, "Nothing says in which order the readings of a session were taken across its files."},
		{"order-open", schema.Notice, "Rows of a session leave the column order empty, so that nobody knows in which order they were read."},
		{"planned-but-read", schema.Warning, "A configuration that is marked as planned has readings."},
		{"repeated-factor", schema.Error, "A question names one factor in two roles."},
		{"report-not-listed", schema.Notice, "A report of a shelf is not in the shelf's list of reports, and is left out."},
		{"reserved-id", schema.Error, "A workload has the name of a column of result files, or the folder of a report that of one of the site's own."},
		{"same-level", schema.Error, "A question compares a level with itself."},
		{"stale-follower", schema.Warning, "A configuration changes a part, but keeps the follower's value of the configuration that it is based on."},
		{"stays-with", schema.Error, "A factor stays with something that nobody swaps, or is itself set by nobody."},
		{"studied-in-session", schema.Error, "A session gives a studied factor one value for every configuration."},
		{"unknown-column", schema.Error, "A result file has a column that means nothing."},
		{"unknown-id", schema.Error, "An id refers to nothing in the folder."},
		{"unknown-level", schema.Error, "A value is not one of the levels that its factor declares."},
		{"unknown-outcome", schema.Error, "A run ended in a way that there is no word for."},
		{"unknown-unit", schema.Error, "A unit is neither standard nor declared."},
		{"wrong-dimension", schema.Error, "A unit cannot be converted into the one that is needed, or a formula does not give what its target is measured in."},
		{"zero-by-convention", schema.Error, "A workload on a ratio scale is in a unit whose zero is a convention, such as °C, so that ratios mean nothing."},
	}
}
