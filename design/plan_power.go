package design

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"benchwright/project"
	"benchwright/stats"
)

// How often a true difference is to be seen, and how many repeats a plan asks
// for at most on that account: beyond, a steadier bench does more than patience.
// Four times in five is usual (J. Cohen, "Statistical Power Analysis", 2nd ed.
// 1988); the other is common practice, no source.
const (
	seenWithin = 0.8
	mostNeeded = 20
	// Below so many degrees of freedom the upper end of the 95 % interval of a
	// standard deviation, √(ν / χ²(0.025; ν)) times the estimate, is twice it or
	// more (NIST/SEMATECH e-Handbook 7.2.3.1).
	fewDegrees = 8
)

// MostLookedAt is the largest number of repeats that is told.
const MostLookedAt = 10 * mostNeeded

// Needed is how many repeats a workload needs on each side of a pair.
type Needed struct {
	Workload string `json:"workload"`
	// Spread of repeats, as a share: the standard deviation of the logarithms
	// within configurations and sessions, pooled, with its degrees of freedom; 0
	// where it is not known.
	Spread           float64 `json:"spread"`
	DegreesOfFreedom float64 `json:"degreesOfFreedom"`
	// Needed on each side; 0 where the spread is not known or the scale has no
	// ratios, and one above the most that are looked at where that is not enough.
	Needed int `json:"needed"`
	// Wanted by the plan, and There, the fewest that a side of a pair has that was
	// read at all.
	Wanted int `json:"wanted"`
	There  int `json:"there"`
	// Text says what the numbers do not: why nothing is known, or what was cut off.
	Text string `json:"text,omitempty"`

	workload int
}

// needed finds for each workload how many repeats on each side see a difference
// of so many per cent four times in five at the report's confidence, from the
// spread so far. There counts the readings that a cell has.
func (s *Space) needed(percent float64, repeats int, asked bool, there func(c, w int) int) []Needed {
	in := newInquiry(s)
	list := []Needed{}
	for _, w := range s.readFor(-1) {
		x := Needed{workload: w, Workload: s.p.Workloads[w].ID, Wanted: repeats, There: s.fewest(w, there)}
		switch spread, ok := in.logSpread(w); {
		case s.p.Workloads[w].Scale == project.IntervalScale:
			x.Text = "per cent mean nothing on its scale"
		case !ok:
			x.Text = fmt.Sprintf("the spread is not known yet: read %d of each first", max(3, min(repeats, mostNeeded)))
		default:
			x.Spread, x.DegreesOfFreedom = spread.SD, spread.DF
			n, err := stats.RepeatsNeeded(math.Log1p(percent/100), spread.SD, s.p.Confidence, seenWithin, MostLookedAt)
			if err != nil {
				x.Text = "cannot be said"
				break
			}
			x.Needed = n
			if !asked {
				x.Wanted = min(max(n, repeats), max(mostNeeded, repeats))
			}
			if n > x.Wanted && !asked {
				x.Text = fmt.Sprintf("%d are planned: beyond that, a smaller spread does more than further repeats", x.Wanted)
			}
			if spread.DF < fewDegrees {
				x.Text = strings.TrimPrefix(x.Text+"; its spread is known from few repeats only, and may be twice as large", "; ")
			}
		}
		list = append(list, x)
	}
	return list
}

// logSpread pools the spread of the logarithms of a workload's repeats within
// configurations and, where they have any, sessions; ok is false where it is not
// known, as of repeats that are all equal or fewer than three.
func (in *inquiry) logSpread(w int) (stats.PooledSpread, bool) {
	if !in.inLogs(w) {
		return stats.PooledSpread{}, false
	}
	var groups [][]float64
	for _, g := range in.ofWorkload(w) {
		by := in.valuesBySession(w, g.configuration, false)
		if by == nil {
			groups = append(groups, in.values(g.ok))
		}
		for session := range in.p.Sessions {
			groups = append(groups, by[session])
		}
	}
	spread, err := stats.PooledLogSD(groups)
	return spread, err == nil && spread.DF >= 2 && spread.SD > 0
}

// fewest is the smallest number of readings that a side of the questions' pairs
// that was read has under a workload; without a question, that a configuration has.
func (s *Space) fewest(w int, there func(c, w int) int) int {
	least, any := 0, false
	take := func(c int) {
		if n := there(c, w); n > 0 && (!any || n < least) {
			least, any = n, true
		}
	}
	for q := range s.p.Questions {
		if !slices.Contains(s.readFor(q), w) {
			continue
		}
		for _, p := range s.answers[q].Pairs {
			take(p.From)
			take(p.To)
		}
	}
	for c := range s.p.Configurations {
		if len(s.p.Questions) == 0 {
			take(c)
		}
	}
	return least
}

// seenText says what the numbers of repeats are for.
func (s *Space) seenText(percent float64) string {
	return fmt.Sprintf("a true difference of %s%s%% on one workload of one pair is seen four times in five, at %s confidence, where each side has the repeats that are needed, in one session (two-sided t test, noncentral t); spread over several, each further session takes a degree of freedom, and a correction for several comparisons asks for more",
		number(percent), nbsp, strconv.FormatFloat(100*s.p.Confidence, 'f', -1, 64)+nbsp+"%")
}
