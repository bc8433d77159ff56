package design

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"benchwright/stats"
)

// RepeatsFrom is where the number of repeats of a plan comes from.
type RepeatsFrom uint8

const (
	// ByDefault: report.yaml says nothing.
	ByDefault RepeatsFrom = iota
	// ByReport: minimum-repeats of report.yaml.
	ByReport
	// AsAsked: whoever wants the plan named it.
	AsAsked
	// ByDifference: a difference that is to be seen needs as many.
	ByDifference
)

// String gives the word for programs.
func (r RepeatsFrom) String() string {
	return [...]string{"default", "report", "asked", "difference"}[r]
}

// MarshalText writes the word.
func (r RepeatsFrom) MarshalText() ([]byte, error) { return []byte(r.String()), nil }

// repeats is the number of readings wanted of each cell, and who says so.
func (s *Space) repeats(asked int) (int, RepeatsFrom) {
	if asked > 0 {
		return asked, AsAsked
	}
	if _, declared := s.p.Places["report.minimum-repeats"]; declared {
		return max(s.p.MinimumRepeats, 1), ByReport
	}
	return max(s.p.MinimumRepeats, 1), ByDefault
}

// repeatsText says once, where readings are lacking, why so many are wanted and
// what fewer would cost.
func (s *Space) repeatsText(p *Plan) string {
	if !slices.ContainsFunc(p.Wants, func(w Want) bool { return len(w.Cells) > 0 }) {
		return ""
	}
	if p.RepeatsFrom == ByDifference {
		return fmt.Sprintf("as many readings of each workload are wanted on each side of a pair as a difference of %s%s%% needs, and %d at least; --rounds says otherwise",
			number(p.Difference), nbsp, max(s.p.MinimumRepeats, 1))
	}
	text := countOf(p.Repeats, "reading") + " of each workload " + verb(p.Repeats, "is", "are") + " wanted on each side of a pair"
	if len(s.p.Questions) == 0 {
		text = countOf(p.Repeats, "reading") + " of each workload " + verb(p.Repeats, "is", "are") + " wanted on each configuration"
	}
	switch own := max(s.p.MinimumRepeats, 1); {
	case p.RepeatsFrom == ByReport:
		text += ", as minimum-repeats in report.yaml says"
	case p.RepeatsFrom == ByDefault:
		text += ", the default, as report.yaml has no minimum-repeats"
	case own == p.Repeats:
		text += ", as --rounds says and the report by itself"
	default:
		text += fmt.Sprintf(", as --rounds says; the report by itself wants %d", own)
	}
	return text + "; " + s.fewerText(p.Repeats)
}

// fewerText says what a reading less on each side would cost: the interval of
// the difference of two means of equal spread, by Student's distribution
// (NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.3).
func (s *Space) fewerText(n int) string {
	if n == 1 {
		return "a single one leaves its own spread unknown"
	}
	const alone = "a single one would leave its own spread unknown"
	wider, ok := widening(n, s.p.Confidence)
	if n == 2 || !ok {
		return alone
	}
	size := share(wider-1) + " wider"
	if wider >= 1.5 {
		size = strconv.FormatFloat(wider, 'f', 1, 64) + " times as wide"
	}
	return fmt.Sprintf("with %d the interval of a difference would be about %s on one workload, and %s", n-1, size, alone)
}

// widening is how many times as wide the interval of the difference of two
// means becomes with n−1 readings on each side in place of n, for n of 3 and
// more.
func widening(n int, confidence float64) (float64, bool) {
	width := func(n int) float64 {
		t, err := stats.StudentQuantile(0.5+confidence/2, float64(2*(n-1)))
		if err != nil {
			return math.NaN()
		}
		return t * math.Sqrt(2/float64(n))
	}
	if n < 3 || !(confidence > 0) {
		return 0, false
	}
	x := width(n-1) / width(n)
	return x, !math.IsNaN(x)
}
