package design

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"benchwright/project"
	"benchwright/schema"
	"benchwright/stats"
)

const (
	// A reading of fewer digits meets its like too often to say anything.
	digitsThatTell = 3
	// So many workloads with such readings have to agree.
	workloadsThatTell = 4
	// usualSpread is taken, relative to the reading, for a workload that was read
	// once on each configuration, so that its own spread is not known. Common
	// practice, no source.
	usualSpread = 0.005
)

// takeOut is what to do about readings that look copied.
const takeOut = "look at the raw files, and take out what stands there twice; if a test always gives the same number, write deterministic: true at its workload, or silence the rule with that reason"

// run is what was read on one configuration in one repeat of a session.
type run struct {
	session, repeat int32
	readings        []int // ok ones, indices into Project.Readings, by workload
}

// habit is how a workload behaves when a configuration is read again.
type habit struct {
	varies   bool
	spread   float64 // standard deviation between repeats: relative, or as written
	relative bool
	// constant: repeats mostly agree, although the configurations differ.
	constant bool
}

// copiedRuns reports runs of one configuration that agree to the last digit in
// whatever was read in both. Workloads that mostly repeat their number are no
// evidence: a cap, or a count that cannot vary. Nor is agreement that chance
// would bring about: it is the product over the workloads, as if they varied
// independently of one another. It gives the runs that it reported.
func (in *inquiry) copiedRuns(habits []habit, runs [][]run) reportedRuns {
	said := make(reportedRuns)
	tell := 0
	for _, h := range habits {
		if h.varies {
			tell++
		}
	}
	if tell < workloadsThatTell/2 {
		return said
	}
	pairs := 0.0
	for _, list := range runs {
		n := float64(len(list))
		pairs += n * (n - 1) / 2
	}
	if pairs == 0 {
		return said
	}
	for c, list := range runs {
		in.copiedRunsOf(c, list, habits, falseAlarm/pairs, said)
	}
	return said
}

// runOf names one run of a configuration.
type runOf struct{ configuration, session, repeat int32 }

func ofReading(r *project.Reading) runOf { return runOf{r.Configuration, r.Session, r.Repeat} }

// reportedRuns holds what was reported, so that it is not said again: of each
// run and its copies the first one.
type reportedRuns map[runOf]runOf

func (said reportedRuns) both(x, y runOf) bool {
	a, ok := said[x]
	b, too := said[y]
	return ok && too && a == b
}

// copiedRunsOf compares the runs of one configuration. A run is held only
// against those that share a telling number with it, so that many repeats do
// not cost their square.
func (in *inquiry) copiedRunsOf(c int, list []run, habits []habit, alpha float64, said reportedRuns) {
	if len(list) < 2 {
		return
	}
	type number struct {
		workload int32
		raw      float64
	}
	const most = 64 // of the runs with one number
	with := make(map[number][]int)
	copies := make([][]int, len(list)) // of each run, the later ones like it
	shared := make([][]int, len(list))
	for k, x := range list {
		first := -1
		for _, i := range x.readings {
			r := &in.p.Readings[i]
			if !habits[r.Workload].varies {
				continue
			}
			key := number{r.Workload, r.Raw}
			for _, earlier := range with[key] {
				if first >= 0 && earlier >= first {
					break
				}
				if workloads, ok := in.sameRun(list[earlier], x, habits, alpha); ok {
					first, shared[k] = earlier, workloads
				}
			}
			if len(with[key]) < most {
				with[key] = append(with[key], k)
			}
		}
		if first >= 0 {
			copies[first] = append(copies[first], k)
		}
	}
	for first, later := range copies {
		origin := runOf{int32(c), list[first].session, list[first].repeat}
		for _, k := range later {
			said[origin], said[runOf{int32(c), list[k].session, list[k].repeat}] = origin, origin
		}
		// Copies that have as many workloads in common with the first go together.
		for len(later) > 0 {
			n := len(shared[later[0]])
			var names, workloads []string
			sessions := []int{int(list[first].session)}
			place := in.place(slices.Min(list[later[0]].readings))
			later = slices.DeleteFunc(slices.Clone(later), func(k int) bool {
				if len(shared[k]) != n {
					return false
				}
				names = append(names, in.runName(list[k]))
				sessions = append(sessions, int(list[k].session))
				for _, w := range shared[k] {
					workloads = append(workloads, in.workloadID(w))
				}
				return true
			})
			in.add(schema.Finding{Place: place, Workloads: workloads, Configurations: []string{in.configurationID(c)},
				Sessions: in.sessionIDs(sessions), Questions: in.questionsWith(c),
				Message: fmt.Sprintf("on %q, %s %s the same readings as %s, to the last digit, in all %d workloads that they share", in.configurationID(c), listOf(names),
					map[bool]string{true: "has", false: "have"}[len(names) == 1], in.runName(list[first]), n),
				Remedy:  takeOut,
				Related: []schema.Related{{Place: in.place(slices.Min(list[first].readings)), Message: in.runName(list[first])}}})
		}
	}
}

// sameRun tells whether two runs of a configuration agree in every workload
// that they share, too many and too precisely for chance, and which these are.
func (in *inquiry) sameRun(x, y run, habits []habit, alpha float64) (shared []int, same bool) {
	telling, varying, chance := 0, 0, 1.0
	for i, k := 0, 0; i < len(x.readings) && k < len(y.readings); {
		a, b := &in.p.Readings[x.readings[i]], &in.p.Readings[y.readings[k]]
		switch {
		case a.Workload < b.Workload:
			i++
			continue
		case a.Workload > b.Workload:
			k++
			continue
		case a.Raw != b.Raw:
			return nil, false
		}
		i, k = i+1, k+1
		shared = append(shared, int(a.Workload))
		if min(in.telling(a), in.telling(b)) < digitsThatTell {
			continue
		}
		telling++
		if h := habits[a.Workload]; h.varies {
			varying++
			chance *= in.chanceOfSame(a, h)
		}
	}
	return shared, telling >= workloadsThatTell && 2*varying >= telling && chance <= alpha
}

// telling counts the significant digits of a reading. What is computed from a
// file of frame times has as many as anyone wants.
func (in *inquiry) telling(r *project.Reading) int {
	if in.p.Workloads[r.Workload].FrameTimes != "" {
		return digitsThatTell
	}
	n, _ := digits(in.p.Written(r))
	return n
}

// chanceOfSame is the chance that two normal readings share a step, when their
// spread is not small against it.
func (in *inquiry) chanceOfSame(r *project.Reading, h habit) float64 {
	step := in.lastDigit(r)
	if declared := in.resolution(int(r.Workload)); r.Value != 0 {
		step = math.Max(step, declared*math.Abs(r.Raw/r.Value))
	}
	sd := h.spread
	if h.relative {
		sd *= math.Abs(r.Raw)
	}
	if sd == 0 {
		return 1
	}
	return math.Min(1, step/(2*math.Sqrt(math.Pi)*sd))
}

// habit looks at the repeats of a workload all over the bench. It varies when
// more pairs of repeats differ than agree. The spread is the median over the
// configurations, so that a run that went wrong does not make all the others
// look too much alike. Where hardly anything was read twice, numbers that differ
// from configuration to configuration have to do. A workload that is declared
// to be deterministic says nothing, as long as its readings bear that out.
func (in *inquiry) habit(w int) habit {
	workload := in.p.Workloads[w]
	if workload.Derived != nil || workload.FramesOf != "" {
		return habit{} // they follow from what is looked at already
	}
	var spreads, numbers []float64
	alike, different, once, several := 0, 0, 0, 0
	numbersOf := make(map[float64]bool)
	relative := workload.Scale == project.RatioScale
	from, to := in.rangeOf(w)
	for k := from; k < to; k++ {
		g := in.groups[k]
		n := len(g.ok)
		switch n {
		case 0:
			continue
		case 1:
			once++
		default:
			several++
		}
		numbersOf[in.p.Readings[g.ok[0]].Raw] = true
		numbers = numbers[:0]
		for _, i := range g.ok {
			numbers = append(numbers, in.p.Readings[i].Raw)
		}
		slices.Sort(numbers)
		same := 0
		for i, j := 0, 0; i < n; i = j {
			for j = i; j < n && numbers[j] == numbers[i]; j++ {
			}
			same += (j - i) * (j - i - 1) / 2
		}
		alike, different = alike+same, different+n*(n-1)/2-same
		if s := in.spreads[k]; s.raw > 0 {
			squares := s.raw
			if relative {
				squares = s.relative
			}
			if sd := math.Sqrt(squares / s.df); sd > 0 {
				spreads = append(spreads, sd)
			}
		}
	}
	if workload.Deterministic && different == 0 {
		return habit{}
	}
	if different > alike {
		sd, err := stats.Median(spreads)
		return habit{varies: err == nil, spread: sd, relative: relative}
	}
	if 2*len(numbersOf) <= once+several {
		return habit{}
	}
	if different == 0 && once > several {
		return habit{varies: true, spread: usualSpread, relative: true}
	}
	return habit{constant: true}
}

// runs gives the runs of each configuration in the order in which they were
// made, with their readings by workload.
func (in *inquiry) runs() [][]run {
	runs := make([][]run, len(in.p.Configurations))
	at := make([]map[[2]int32]int, len(runs))
	for _, g := range in.groups { // by workload
		if w := in.p.Workloads[g.workload]; w.Derived != nil || w.FramesOf != "" {
			continue
		}
		for _, i := range g.ok {
			r := &in.p.Readings[i]
			key := [2]int32{r.Session, r.Repeat}
			k, ok := at[g.configuration][key]
			if !ok {
				if at[g.configuration] == nil {
					at[g.configuration] = make(map[[2]int32]int)
				}
				k = len(runs[g.configuration])
				at[g.configuration][key] = k
				runs[g.configuration] = append(runs[g.configuration], run{session: r.Session, repeat: r.Repeat})
			}
			x := &runs[g.configuration][k]
			x.readings = append(x.readings, i)
		}
	}
	for _, list := range runs {
		slices.SortFunc(list, func(x, y run) int {
			return cmp.Or(cmp.Compare(in.sessionDate(x.session), in.sessionDate(y.session)), cmp.Compare(in.sessionName(x.session), in.sessionName(y.session)), cmp.Compare(x.repeat, y.repeat))
		})
	}
	return runs
}

// sessionName is the id of a session; empty for none.
func (in *inquiry) sessionName(session int32) string {
	if session < 0 {
		return ""
	}
	return in.p.Sessions[session].ID
}

// runName says which run it is: the second repeat of a session.
func (in *inquiry) runName(x run) string {
	if x.session < 0 {
		return fmt.Sprintf("repeat %d", x.repeat)
	}
	return fmt.Sprintf("repeat %d of %q", x.repeat, in.sessionName(x.session))
}
