package design

import (
	"cmp"
	"math"
	"slices"

	"benchwright/project"
	"benchwright/schema"
)

// inquiry is what every rule looks at, computed once, and the findings so far.
type inquiry struct {
	s        *Space
	p        *project.Project
	rule     Rule
	findings []schema.Finding

	// groups holds the readings of each workload on each configuration, in the
	// order of workloads and configurations.
	groups []group
	// visits holds the stretches of each session in which one configuration was
	// on the bench, in order; empty for sessions whose order is not known.
	visits [][]visit
	// unplaced are the configurations, by session, of its ok readings whose place
	// in it is not known, one for each.
	unplaced [][]int32

	// spreads holds the spread of each group, in the order of groups.
	spreads []spread
}

// spread is what a group of readings gives to a pooled spread: the sum of
// squares about its mean, in three measures, with its degrees of freedom.
type spread struct {
	df float64
	// plain in the workload's unit, relative to the mean (NaN where that is not
	// positive), raw as written.
	plain, relative, raw float64
	// unit of the last digit written; 0 when not known.
	unit float64
}

// group is the readings of one workload on one configuration that were read
// (none computed from others), in the order in which they were made.
type group struct {
	configuration, workload int
	// ok, failed and excluded index Project.Readings.
	ok, failed, excluded []int
}

// visit is a stretch of a session with one configuration on the bench.
type visit struct {
	configuration int
	from, to      int32 // Reading.Order
	readings      []int // ok ones, indices into Project.Readings
}

func newInquiry(s *Space) *inquiry {
	in := &inquiry{s: s, p: s.p}
	in.group()
	in.findVisits()
	in.findSpreads()
	return in
}

// add reports a finding under the rule at work, with the names of what it
// concerns in a fixed order.
func (in *inquiry) add(f schema.Finding) {
	f.Rule, f.Severity = in.rule.Name, in.rule.Severity
	in.holdBack(&f)
	in.askedOnly(&f)
	for _, list := range []*[]string{&f.Configurations, &f.Factors, &f.Workloads, &f.Sessions, &f.Questions} {
		slices.Sort(*list)
		*list = slices.Compact(*list)
	}
	in.findings = append(in.findings, f)
}

// askedOnly takes the questions from a finding about workloads that ask for
// none of these, nor for one that is computed from them.
func (in *inquiry) askedOnly(f *schema.Finding) {
	if len(f.Workloads) == 0 || len(f.Questions) == 0 {
		return
	}
	f.Questions = slices.DeleteFunc(slices.Clone(f.Questions), func(id string) bool {
		at := slices.IndexFunc(in.p.Questions, func(q *project.Question) bool { return q.ID == id })
		return at >= 0 && in.p.Questions[at].Workloads != nil && !slices.ContainsFunc(in.p.Questions[at].Workloads, func(w int) bool {
			return in.restsOn(w, f.Workloads, len(in.p.Workloads))
		})
	})
}

// restsOn says that a workload is one of some, or is computed from one.
func (in *inquiry) restsOn(w int, ids []string, depth int) bool {
	workload := in.p.Workloads[w]
	if slices.Contains(ids, workload.ID) || slices.Contains(ids, workload.FramesOf) {
		return true
	}
	if workload.Derived == nil || depth == 0 {
		return false
	}
	return slices.ContainsFunc(slices.Concat(workload.Derived.Times, workload.Derived.Over), func(t project.Term) bool {
		of := slices.IndexFunc(in.p.Workloads, func(x *project.Workload) bool { return t.Name != "" && x.ID == t.Name })
		return of >= 0 && in.restsOn(of, ids, depth-1)
	})
}

func (in *inquiry) group() {
	p := in.p
	at := make(map[uint64]int)
	for i := range p.Readings {
		r := &p.Readings[i]
		if r.Derived || r.Configuration < 0 || r.Workload < 0 {
			continue
		}
		key := uint64(r.Workload)<<32 | uint64(r.Configuration)
		g, ok := at[key]
		if !ok {
			g = len(in.groups)
			at[key] = g
			in.groups = append(in.groups, group{configuration: int(r.Configuration), workload: int(r.Workload)})
		}
		switch {
		case r.Outcome == project.OK && r.HasValue:
			in.groups[g].ok = append(in.groups[g].ok, i)
		case r.Outcome == project.Excluded:
			in.groups[g].excluded = append(in.groups[g].excluded, i)
		case r.Outcome != project.OK:
			in.groups[g].failed = append(in.groups[g].failed, i)
		}
	}
	slices.SortFunc(in.groups, func(a, b group) int {
		return cmp.Or(cmp.Compare(a.workload, b.workload), cmp.Compare(a.configuration, b.configuration))
	})
	for _, g := range in.groups {
		slices.SortStableFunc(g.ok, in.compareReadings)
	}
}

// compareReadings orders readings as they were made.
func (in *inquiry) compareReadings(i, j int) int {
	a, b := &in.p.Readings[i], &in.p.Readings[j]
	if a.Session != b.Session {
		return cmp.Or(cmp.Compare(in.sessionDate(a.Session), in.sessionDate(b.Session)), cmp.Compare(a.Session, b.Session))
	}
	return cmp.Or(cmp.Compare(a.Order, b.Order), cmp.Compare(a.Repeat, b.Repeat), cmp.Compare(i, j))
}

// sessionDate gives date and start of a session as text that sorts by time.
func (in *inquiry) sessionDate(session int32) string {
	if session < 0 {
		return ""
	}
	s := in.p.Sessions[session]
	return s.Date + " " + s.Start
}

func (in *inquiry) findVisits() {
	p := in.p
	in.visits = make([][]visit, len(p.Sessions))
	in.unplaced = make([][]int32, len(p.Sessions))
	by := make([][]int, len(p.Sessions))
	for i := range p.Readings {
		r := &p.Readings[i]
		if r.Session < 0 || r.Derived || r.Outcome == project.Excluded {
			continue
		}
		if r.Order > 0 {
			by[r.Session] = append(by[r.Session], i)
		} else if r.Outcome == project.OK && r.HasValue {
			in.unplaced[r.Session] = append(in.unplaced[r.Session], r.Configuration)
		}
	}
	for session, list := range by {
		slices.SortStableFunc(list, in.compareReadings)
		var visits []visit
		for _, i := range list {
			r := &p.Readings[i]
			last := len(visits) - 1
			if last < 0 || visits[last].configuration != int(r.Configuration) {
				visits = append(visits, visit{configuration: int(r.Configuration), from: r.Order})
				last++
			}
			visits[last].to = r.Order
			if r.Outcome == project.OK && r.HasValue {
				visits[last].readings = append(visits[last].readings, i)
			}
		}
		in.visits[session] = visits
	}
}

func (in *inquiry) findSpreads() {
	in.spreads = make([]spread, len(in.groups))
	for k, g := range in.groups {
		x := &in.spreads[k]
		if len(g.ok) < 2 {
			continue
		}
		n := float64(len(g.ok))
		x.df = n - 1
		mean, raw := 0.0, 0.0
		for _, i := range g.ok {
			r := &in.p.Readings[i]
			mean += r.Value / n
			raw += r.Raw / n
			if u := in.lastDigit(r); u > 0 && (x.unit == 0 || u < x.unit) {
				x.unit = u
			}
		}
		for _, i := range g.ok {
			r := &in.p.Readings[i]
			x.plain += (r.Value - mean) * (r.Value - mean)
			x.raw += (r.Raw - raw) * (r.Raw - raw)
		}
		x.relative = x.plain / (mean * mean)
		if mean <= 0 {
			x.relative = math.NaN()
		}
	}
}

// pooled gives the spread of a workload over all its groups but one, by a
// measure, with its degrees of freedom.
func (in *inquiry) pooled(w, except int, measure func(spread) float64) (sd, df float64) {
	sum := 0.0
	from, to := in.rangeOf(w)
	for k := from; k < to; k++ {
		v := measure(in.spreads[k])
		if in.groups[k].configuration == except || in.spreads[k].df == 0 || math.IsNaN(v) {
			continue
		}
		sum += v
		df += in.spreads[k].df
	}
	if df == 0 {
		return 0, 0
	}
	return math.Sqrt(sum / df), df
}

// values gives the numbers of readings.
func (in *inquiry) values(readings []int) []float64 {
	list := make([]float64, len(readings))
	for k, i := range readings {
		list[k] = in.p.Readings[i].Value
	}
	return list
}

// ofWorkload gives the groups of one workload.
func (in *inquiry) ofWorkload(w int) []group {
	from, to := in.rangeOf(w)
	return in.groups[from:to]
}

func (in *inquiry) rangeOf(w int) (from, to int) {
	from, _ = slices.BinarySearchFunc(in.groups, w, func(g group, w int) int { return cmp.Compare(g.workload, w) })
	to, _ = slices.BinarySearchFunc(in.groups, w+1, func(g group, w int) int { return cmp.Compare(g.workload, w) })
	return from, to
}

// of gives the group of a workload on a configuration; an empty one when it
// was not run.
func (in *inquiry) of(w, c int) group {
	groups := in.ofWorkload(w)
	i, ok := slices.BinarySearchFunc(groups, c, func(g group, c int) int { return cmp.Compare(g.configuration, c) })
	if !ok {
		return group{configuration: c, workload: w}
	}
	return groups[i]
}

// readWorkloads lists the workloads that are read rather than computed and
// have a reading.
func (in *inquiry) readWorkloads() []int {
	var list []int
	for w, workload := range in.p.Workloads {
		if workload.Derived == nil && len(in.ofWorkload(w)) > 0 {
			list = append(list, w)
		}
	}
	return list
}

// place is where a reading stands.
func (in *inquiry) place(reading int) schema.Place { return in.p.Place(in.p.Readings[reading]) }

// valuePlace is where a configuration's value of a factor is written, or the
// configuration when it is written nowhere.
func (in *inquiry) valuePlace(c, f int) schema.Place {
	for _, v := range in.s.ValuesOf(c, f) {
		if v.Place.File != "" {
			return v.Place
		}
	}
	return in.p.Configurations[c].Place
}

// questionsAbout lists the questions on a factor.
func (in *inquiry) questionsAbout(factors ...int) []string {
	var ids []string
	for q, question := range in.p.Questions {
		if slices.ContainsFunc(in.s.QuestionOf(q), func(f int) bool { return slices.Contains(factors, f) }) {
			ids = append(ids, question.ID)
		}
	}
	return ids
}

// questionsWith lists the questions that have one of the configurations in a
// matched pair.
func (in *inquiry) questionsWith(configurations ...int) []string {
	var ids []string
	for q, question := range in.p.Questions {
		if slices.ContainsFunc(in.s.answers[q].Pairs, func(p Pair) bool {
			return slices.Contains(configurations, p.From) || slices.Contains(configurations, p.To)
		}) {
			ids = append(ids, question.ID)
		}
	}
	return ids
}

func (in *inquiry) workloadID(w int) string      { return in.p.Workloads[w].ID }
func (in *inquiry) configurationID(c int) string { return in.p.Configurations[c].ID }

// spoilt is a would-be pair of a question that one factor alone keeps apart.
type spoilt struct {
	question int
	pair     Pair
}

// spoiltBy finds the would-be pairs that nothing but factor f keeps apart, and
// by what: a status other than same. A hundred of each question are enough.
func (in *inquiry) spoiltBy(f int) []spoilt {
	const most = 100
	var list []spoilt
	for q := range in.p.Questions {
		studied := in.s.QuestionOf(q)
		if slices.Contains(studied, f) {
			continue
		}
		a := &in.s.answers[q]
		n := 0
		for _, pair := range in.s.matchBut(a.From, a.To, studied, f, most) {
			if kind := in.s.kind(f, pair.From, pair.To, studied); kind != equal && kind.Spoils() {
				list = append(list, spoilt{q, pair})
				if n++; n == most {
					break
				}
			}
		}
	}
	return list
}

// name adds the pairs and questions of spoilt comparisons to a finding.
func (in *inquiry) nameSpoilt(f *schema.Finding, list []spoilt) {
	for _, s := range list {
		f.Configurations = append(f.Configurations, in.configurationID(s.pair.From), in.configurationID(s.pair.To))
		f.Questions = append(f.Questions, in.p.Questions[s.question].ID)
	}
}
