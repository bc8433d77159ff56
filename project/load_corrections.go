package project

import (
	"cmp"
	"fmt"
	"slices"

	"benchwright/schema"
)

// loadCorrections reads what was changed after publication, and holds it
// against the readings: the result files must have the corrected value. A
// reading may be corrected again: in order of date, then of the file, each takes
// up the value that the one before led to, and the result files have the last.
func (l *loader) loadCorrections() {
	p := l.p
	var list []announced
	for n := range documentNode(l.folder.Report).get("corrections").items() {
		if !n.isMap() {
			continue
		}
		c, okC := l.configuration(n.get("configuration"))
		w, okW := l.workload(n.get("workload"))
		if !okC || !okW {
			continue
		}
		correction := Correction{Configuration: c.Index, Workload: w.Index, Session: -1, Reason: n.get("reason").text(), Date: l.date(n.get("date")), Place: n.place()}
		if at := n.get("session"); at.here() {
			s, ok := l.session(at)
			if !ok {
				continue
			}
			correction.Session = s.Index
		}
		if at := n.get("repeat"); at.isScalar() {
			v, ok := l.number(at, Unit{Factor: 1}, "repeat")
			if !ok || v < 1 || v != float64(int32(v)) {
				l.report("not-a-count", schema.Error, at, fmt.Sprintf("%q is not a whole number from 1 on", at.text()), "write 1, 2, 3 …")
				continue
			}
			correction.Repeat = int(v)
		}
		var okWas, okNow bool
		correction.Was, okWas = l.point(n.get("was"), w.Unit, quoted(w.ID))
		correction.Now, okNow = l.point(n.get("now"), w.Unit, quoted(w.ID))
		if correction.Reason == "" && !n.get("reason").isScalar() {
			continue // reported by schema
		}
		if correction.Reason == "" {
			l.report("missing-reason", schema.Error, n, "the correction has no reason", "write reason: what was wrong and how it was found")
			continue
		}
		if !okWas || !okNow {
			continue
		}
		if p.Date != "" && correction.Date > p.Date {
			l.report("correction-after-edition", schema.Warning, n.get("date"), fmt.Sprintf("the correction is dated %s, after the edition of %s that makes it", correction.Date, p.Date),
				"give the report the date of the edition that makes the correction, or set the day of the correction right")
		}
		list = append(list, announced{correction, n})
	}
	slices.SortStableFunc(list, func(a, b announced) int { return cmp.Compare(a.Date, b.Date) })
	for i, c := range list {
		p.Corrections = append(p.Corrections, c.Correction)
		if !slices.ContainsFunc(list[i+1:], func(later announced) bool { return later.follows(c.Correction) }) {
			l.checkCorrection(c.Correction, c.node)
		}
	}
}

// announced is a correction and where it stands.
type announced struct {
	Correction
	node node
}

// follows says that a later correction takes up the value that an earlier one
// of the same reading led to: then that value stands in no result file any more.
func (c Correction) follows(earlier Correction) bool {
	return c.Configuration == earlier.Configuration && c.Workload == earlier.Workload &&
		(c.Session < 0 || earlier.Session < 0 || c.Session == earlier.Session) &&
		(c.Repeat == 0 || earlier.Repeat == 0 || c.Repeat == earlier.Repeat) &&
		(Tolerance{}).Allows(earlier.Now, c.Was)
}

// checkCorrection holds the last correction of a reading against the result
// files.
func (l *loader) checkCorrection(c Correction, n node) {
	p := l.p
	var old *Reading
	for _, i := range p.ReadingsOf(c.Configuration, c.Workload) {
		r := &p.Readings[i]
		if c.Session >= 0 && int(r.Session) != c.Session || c.Repeat > 0 && int(r.Repeat) != c.Repeat || !r.HasValue {
			continue
		}
		if (Tolerance{}).Allows(r.Value, c.Now) {
			return
		}
		if (Tolerance{}).Allows(r.Value, c.Was) {
			old = r
		}
	}
	if old != nil {
		l.report("correction-not-made", schema.Error, n.get("now"), "the result file still has the value from before the correction", "change the value in the result file",
			schema.Related{Place: p.Place(*old), Message: "the old value is here"})
		return
	}
	// A reading that could not be used may be the one.
	if len(l.folder.Unread) > 0 || slices.ContainsFunc(l.findings, func(f schema.Finding) bool {
		return f.Severity == schema.Error && slices.Contains(p.ResultFiles, f.File)
	}) {
		return
	}
	l.report("correction-not-made", schema.Error, n.get("now"), "no reading has the corrected value", "check the configuration, workload, session and repeat of the correction")
}
