package report

import (
	"cmp"
	"slices"

	"benchwright/project"
	"benchwright/words"
)

// fillSessions lays out every session in the order of its date, with what was
// run in it step by step, and fills the counts of the report.
func fillSessions(r *Report) {
	p := r.Project
	of := make([][]*project.Reading, len(p.Sessions))
	silent := silentRuns(p)
	r.Counts.SilentRuns = len(silent)
	for i := range p.Readings {
		rd := &p.Readings[i]
		if rd.Derived {
			continue
		}
		switch rd.Outcome {
		case project.OK:
			r.Counts.Readings++
		case project.Excluded:
			r.Counts.Excluded++
		default:
			r.Counts.Failures++
			if !silent[runOf(rd)] {
				r.Counts.LoneFailures++
			}
		}
		if rd.Session >= 0 {
			of[rd.Session] = append(of[rd.Session], rd)
		}
	}
	r.Sessions = make([]Session, len(p.Sessions))
	for i, s := range p.Sessions {
		slices.SortStableFunc(of[i], func(a, b *project.Reading) int { return cmp.Compare(a.Order, b.Order) })
		row := Session{Session: s, Readings: len(of[i]), Run: runSteps(of[i])}
		for _, rd := range of[i] {
			switch rd.Outcome {
			case project.OK:
				row.Good++
			case project.Excluded:
				row.Excluded++
			default:
				row.Failures++
				if !silent[runOf(rd)] {
					row.LoneFailures++
				}
			}
		}
		for k := range silent {
			if int(k.session) == i {
				row.SilentRuns++
			}
		}
		for f, factor := range p.Factors {
			if v, ok := s.Values[f]; ok {
				row.Values = append(row.Values, Pair{factor.Label, r.level(factor, v)})
			}
		}
		if d := s.Date; d != "" && len(of[i]) > 0 {
			if r.Counts.FirstDate == "" || d < r.Counts.FirstDate {
				r.Counts.FirstDate = d
			}
			r.Counts.LastDate = max(r.Counts.LastDate, d)
		}
		r.Sessions[i] = row
	}
	r.Counts.Configurations = len(p.Configurations)
	r.Counts.Workloads = len(p.Workloads)
	r.Counts.Sessions = len(p.Sessions)
	for i := range r.Configurations {
		switch r.Configurations[i].State {
		case "tested":
			r.Counts.Tested++
		case "partly":
			r.Counts.Tested++
			r.Counts.Failed++
		case "failed":
			r.Counts.Failed++
		default:
			r.Counts.NotRun++
		}
	}
}

// runSteps joins consecutive readings of one configuration into a step.
func runSteps(readings []*project.Reading) []RunStep {
	var steps []RunStep
	for _, rd := range readings {
		c, w := int(rd.Configuration), int(rd.Workload)
		last := len(steps) - 1
		if last < 0 || steps[last].Configuration != c {
			steps = append(steps, RunStep{Configuration: c, FirstOrder: int(rd.Order)})
			last++
		}
		s := &steps[last]
		s.LastOrder = int(rd.Order)
		s.Readings++
		if !slices.Contains(s.Workloads, w) {
			s.Workloads = append(s.Workloads, w)
		}
	}
	return steps
}

// run is one round of workloads of a configuration in a session.
type run struct{ configuration, session, repeat int32 }

func runOf(rd *project.Reading) run { return run{rd.Configuration, rd.Session, rd.Repeat} }

// silentRuns are the runs of which every workload failed. A machine that hangs in
// the warm-up leaves a line for each workload, and yet it hung once.
func silentRuns(p *project.Project) map[run]bool {
	silent := map[run]bool{}
	for i := range p.Readings {
		rd := &p.Readings[i]
		if rd.Derived {
			continue
		}
		k := runOf(rd)
		failed := rd.Outcome != project.OK && rd.Outcome != project.Excluded
		if before, seen := silent[k]; !seen {
			silent[k] = failed
		} else if before && !failed {
			silent[k] = false
		}
	}
	for k, every := range silent {
		if !every {
			delete(silent, k)
		}
	}
	return silent
}

// SessionName names a session for people: by its date, and by its start where
// another was held on the same day. Its id tells apart what that does not.
func (r *Report) SessionName(i int) string {
	s := r.Project.Sessions[i]
	b := words.For(r.Language)
	if s.Date == "" {
		return s.ID
	}
	date := DateText(b, s.Date)
	same := func(key func(*project.Session) string) bool {
		return slices.ContainsFunc(r.Project.Sessions, func(o *project.Session) bool { return o != s && key(o) == key(s) })
	}
	switch {
	case !same(func(o *project.Session) string { return o.Date }):
		return date
	case s.Start != "" && !same(func(o *project.Session) string { return o.Date + " " + o.Start }):
		return b.Say("session.from", "date", date, "start", s.Start)
	}
	return b.Say("session.id", "date", date, "id", s.ID)
}
