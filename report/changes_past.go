package report

import "benchwright/project"

// TakePast adds the earlier editions, newest first, and counts the corrections
// that state another old value than one of them published: whoever rewrites a
// correction later is found by what that edition kept of it.
func (c *Changes) TakePast(r *Report, past []PastEdition) {
	c.Past = append(c.Past, past...)
	for _, e := range past {
		for i := range e.Corrected {
			if r.misstates(&e.Corrected[i]) {
				c.Misstated++
			}
		}
	}
}

// misstates says that a correction leads to the value that a reading was given in
// an earlier edition, and none has the value that stood there before. Both are
// compared as they were written then, which was in as many digits as it takes.
func (r *Report) misstates(kept *KeptReading) bool {
	p := r.Project
	led := false
	for i := range p.Corrections {
		x := &p.Corrections[i]
		if !correctionOf(p, x, kept) {
			continue
		}
		for more := range mostDigits {
			if r.readingValue(x.Workload, x.Was, more) == kept.Was {
				return false
			}
			led = led || r.readingValue(x.Workload, x.Now, more) == kept.Now
		}
	}
	return led
}

// correctionOf says whether a correction speaks of a reading that was kept.
func correctionOf(p *project.Project, x *project.Correction, kept *KeptReading) bool {
	return p.Configurations[x.Configuration].Label == kept.Configuration && p.Workloads[x.Workload].Label == kept.Workload &&
		(x.Session < 0 || p.Sessions[x.Session].ID == kept.Session) && (x.Repeat == 0 || x.Repeat == kept.Repeat)
}

// givenLater is the reason of a correction that led to the value that a reading was
// given in an earlier edition, which gave none; empty where there still is none.
func (r *Report) givenLater(kept *KeptReading) string {
	p := r.Project
	for i := len(p.Corrections) - 1; i >= 0; i-- {
		x := &p.Corrections[i]
		if !correctionOf(p, x, kept) {
			continue
		}
		for more := range mostDigits {
			if r.readingValue(x.Workload, x.Now, more) == kept.Now {
				return r.work.say.Say("changes.reason-later", "reason", x.Reason)
			}
		}
	}
	return ""
}

// mostDigits is how many digits more than usual two readings are written with at
// most, to tell them apart.
const mostDigits = 14

// readingValue writes a value of a workload with its unit: with the decimals of
// the instrument's step, or four digits where none is known, and more when asked
// for.
func (r *Report) readingValue(workload int, v float64, more int) string {
	d := significant(v, 4)
	if step, ok := stepDecimals(r.work.step[workload]); ok {
		d = step
	}
	return withUnit(r.work.num.plain(v, d+more), r.Project.Workloads[workload].Unit.Symbol)
}
