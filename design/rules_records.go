package design

import (
	"fmt"
	"slices"
	"time"

	"benchwright/project"
	"benchwright/schema"
)

func sessionWithoutConditions() Rule {
	return Rule{
		Name: "session-without-conditions", Group: Records, Severity: schema.Notice,
		Title:  "A session lacks what others recorded of the surroundings",
		What:   "A nuisance factor is stated for some sessions with readings and not for others, and no configuration states it.",
		Why:    "Readings of the two kinds of session cannot be shown to have had the same surroundings, so they make no matched pair.",
		Remedy: "Write it down from the log; write `unknown` if nobody knows any more.",
		Source: "common practice, no source",
		look: func(in *inquiry) {
			used := in.usedSessions()
			for f, factor := range in.p.Factors {
				if factor.Role != project.Nuisance {
					continue
				}
				with := 0
				var without []int
				for session, s := range in.p.Sessions {
					switch {
					case !used[session]:
					case s.Values[f].State != project.Unset:
						with++
					case in.stateless(session, f):
						without = append(without, session)
					}
				}
				if with == 0 || len(without) == 0 {
					continue
				}
				ids := in.sessionIDs(without)
				in.add(schema.Finding{Place: in.p.Sessions[without[0]].Place, Sessions: ids, Factors: []string{factor.ID},
					Message: fmt.Sprintf("%s is not recorded for session %s, though it is for %s", factor.ID, quoted(ids), countOf(with, "other")),
					Remedy:  "write it down from the log, or write unknown"})
			}
		},
	}
}

// stateless reports whether a factor has no value in some configuration that
// was read in a session.
func (in *inquiry) stateless(session, f int) bool {
	return slices.ContainsFunc(in.visitedIn(session), func(c int) bool {
		return in.p.ValueIn(c, session, f).State == project.Unset
	})
}

// visitedIn lists the configurations read in a session.
func (in *inquiry) visitedIn(session int) []int {
	var list []int
	for c, sessions := range in.s.sessions {
		if slices.Contains(sessions, session) {
			list = append(list, c)
		}
	}
	return list
}

// usedSessions marks the sessions that have readings.
func (in *inquiry) usedSessions() []bool {
	used := make([]bool, len(in.p.Sessions))
	for i := range in.p.Readings {
		if s := in.p.Readings[i].Session; s >= 0 {
			used[s] = true
		}
	}
	return used
}

func sessionWithoutReadings() Rule {
	return Rule{
		Name: "session-without-readings", Group: Records, Severity: schema.Notice,
		Title:  "A session has no readings",
		What:   "sessions.yaml lists a session that no row of the results belongs to, while others have readings.",
		Why:    "Readings were lost, or rows carry another session's name. A session that gave nothing is worth a note.",
		Remedy: "Check the column `session` of the results, or say in the session's note what became of it.",
		Source: "common practice, no source",
		look: func(in *inquiry) {
			used := in.usedSessions()
			if !slices.Contains(used, true) {
				return
			}
			for session, s := range in.p.Sessions {
				if used[session] || s.Note != "" {
					continue
				}
				in.add(schema.Finding{Place: s.Place, Sessions: []string{s.ID},
					Message: fmt.Sprintf("session %q has no readings", s.ID),
					Remedy:  "check the column session of the results, or say in its note what became of it"})
			}
		},
	}
}

func readingsWithoutSession() Rule {
	return Rule{
		Name: "readings-without-session", Group: Records, Severity: schema.Notice,
		Title:  "Some readings belong to no session",
		What:   "Some rows name a session and others do not.",
		Why:    "The conditions and the order of the rows without a session are unknown, so drift and surroundings cannot be checked for them.",
		Remedy: "Fill in the column `session`.",
		Source: "common practice, no source",
		look: func(in *inquiry) {
			with, first, n := false, -1, 0
			var configurations []string
			for i := range in.p.Readings {
				r := &in.p.Readings[i]
				switch {
				case r.Derived:
				case r.Session >= 0:
					with = true
				default:
					if n++; first < 0 {
						first = i
					}
					configurations = append(configurations, in.configurationID(int(r.Configuration)))
				}
			}
			if !with || n == 0 {
				return
			}
			in.add(schema.Finding{Place: in.place(first), Configurations: configurations,
				Message: fmt.Sprintf("%s %s no session, though others do", countOf(n, "reading"), map[bool]string{true: "names", false: "name"}[n == 1]),
				Remedy:  "fill in the column session"})
		},
	}
}

func orderTwice() Rule {
	return Rule{
		Name: "order-twice", Group: Records, Severity: schema.Warning,
		Title:  "Two configurations stand at the same place in the order",
		What:   "In one session, readings of two different configurations have the same number in the column `order`.",
		Why:    "Only one configuration can be on the bench at a time. The order is wrong somewhere, and with it every check for drift.",
		Remedy: "Number the runs of the session 1, 2, 3 … as they were made.",
		Source: "common practice, no source",
		look: func(in *inquiry) {
			for session, visits := range in.visits {
				at := make(map[int32]visit)
				for _, v := range visits {
					other, ok := at[v.from]
					if !ok {
						if other, ok = at[v.to]; !ok {
							at[v.from], at[v.to] = v, v
							continue
						}
					}
					if other.configuration == v.configuration {
						continue
					}
					s := in.p.Sessions[session]
					x, y := in.configurationID(other.configuration), in.configurationID(v.configuration)
					in.add(schema.Finding{Place: in.visitPlace(v), Sessions: []string{s.ID}, Configurations: []string{x, y},
						Message: fmt.Sprintf("%q and %q both stand at place %d of session %q", x, y, v.from, s.ID),
						Remedy:  "number the runs of the session as they were made"})
					break
				}
			}
		},
	}
}

func configurationWithoutReadings() Rule {
	return Rule{
		Name: "configuration-without-readings", Group: Records, Severity: schema.Notice,
		Title:  "A configuration has no readings",
		What:   "A configuration that is not marked `planned: true` has no row in the results, while others have, and question-awaiting-readings does not say so.",
		Why:    "It was forgotten, or its rows were lost, or it was dropped because it failed: and a failure is a result.",
		Remedy: "Mark it `planned: true` if it is still to be run; add its failed runs with their outcome if it did not work.",
		Source: "common practice, no source",
		look: func(in *inquiry) {
			if !in.s.anyRead {
				return
			}
			for c, configuration := range in.p.Configurations {
				if in.s.read[c] || configuration.Planned || slices.ContainsFunc(in.findings, func(f schema.Finding) bool {
					return f.Rule == "question-awaiting-readings" && slices.Contains(f.Configurations, configuration.ID)
				}) {
					continue
				}
				in.add(schema.Finding{Place: configuration.Place, Configurations: []string{configuration.ID}, Questions: in.questionsWith(c),
					Message: fmt.Sprintf("%q has no readings", configuration.ID),
					Remedy:  "mark it planned: true, or add its runs, failed ones too"})
			}
		},
	}
}

func workloadWithoutReadings() Rule {
	return Rule{
		Name: "workload-without-readings", Group: Records, Severity: schema.Notice,
		Title:  "A workload has no readings",
		What:   "workloads.yaml lists a workload that no row of the results belongs to, while others have readings.",
		Why:    "It would appear on the page as an empty column.",
		Remedy: "Read it, or take it out.",
		Source: "common practice, no source",
		look: func(in *inquiry) {
			if !in.s.anyRead {
				return
			}
			for w, workload := range in.p.Workloads {
				if workload.Derived != nil || workload.FramesOf != "" || len(in.ofWorkload(w)) > 0 {
					continue
				}
				in.add(schema.Finding{Place: workload.Place, Workloads: []string{workload.ID},
					Message: fmt.Sprintf("%q has no readings", workload.ID), Remedy: "read it, or take it out"})
			}
		},
	}
}

func sessionAfterReport() Rule {
	return Rule{
		Name: "session-after-report", Group: Records, Severity: schema.Warning,
		Title:  "A session is later than the report",
		What:   "A session with readings has a date after the date of the edition in report.yaml.",
		Why:    "One of the two dates is wrong; a reader who notices will doubt the others.",
		Remedy: "Bring the report's date up to date, or correct the session's.",
		Source: "common practice, no source",
		look: func(in *inquiry) {
			used := in.usedSessions()
			for session, s := range in.p.Sessions {
				if !used[session] || s.Date == "" || in.p.Date == "" || s.Date <= in.p.Date {
					continue
				}
				f := schema.Finding{Place: s.Place, Sessions: []string{s.ID},
					Message: fmt.Sprintf("session %q is of %s, after the report's own date %s", s.ID, s.Date, in.p.Date),
					Remedy:  "correct one of the two dates"}
				if place, ok := in.p.Places["report.date"]; ok {
					f.Related = []schema.Related{{Place: place, Message: "the report's date"}}
				}
				in.add(f)
			}
		},
	}
}

func instrumentOutOfCalibration() Rule {
	return Rule{
		Name: "instrument-out-of-calibration", Group: Records, Severity: schema.Notice,
		Title:  "An instrument's calibration was more than a year old",
		What:   "A session with readings used an instrument whose calibration date lies more than a year before it, or after it.",
		Why:    "Its error is then not known. Comparisons within a session suffer little; absolute figures, and comparisons with other benches, do.",
		Remedy: "Have it calibrated, or check it against another instrument and say so in its note, then silence this with that reason.",
		Source: "one year is common practice, no source; the maker's interval takes precedence",
		look: func(in *inquiry) {
			used := in.usedSessions()
			for _, instrument := range in.p.Instruments {
				calibrated, err := time.Parse(time.DateOnly, instrument.Calibrated)
				if err != nil {
					continue
				}
				for session, s := range in.p.Sessions {
					date, err := time.Parse(time.DateOnly, s.Date)
					if err != nil || !used[session] || !slices.Contains(s.Instruments, instrument.ID) {
						continue
					}
					when := ""
					switch {
					case date.Before(calibrated):
						when = "after session"
					case date.After(calibrated.AddDate(1, 0, 0)):
						when = "more than a year before session"
					default:
						continue
					}
					in.add(schema.Finding{Place: instrument.Place, Sessions: []string{s.ID},
						Message: fmt.Sprintf("%q was calibrated on %s, %s %q of %s", instrument.ID, instrument.Calibrated, when, s.ID, s.Date),
						Remedy:  "have it calibrated, or check it against another and say so in its note"})
					break
				}
			}
		},
	}
}
