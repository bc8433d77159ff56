package project

import (
	"fmt"
	"time"

	"benchwright/schema"
)

func (l *loader) loadSessions() {
	doc := documentNode(l.folder.Sessions)
	for key, n := range doc.get("sessions").pairs() {
		s := &Session{ID: key.text(), Index: len(l.p.Sessions), Date: l.date(n.get("date")), Location: n.get("place").text(),
			Who: n.get("who").text(), Note: n.get("note").text(), Values: map[int]Value{}, Place: key.place()}
		if at := n.get("start"); at.isScalar() {
			// A time that no clock shows has been reported by schema.
			if _, err := time.Parse("15:04", at.text()); err == nil {
				s.Start = at.text()
			}
		}
		for factor, value := range n.get("values").pairs() {
			f, ok := l.factor(factor)
			if !ok {
				continue
			}
			if f.Role == Studied {
				l.report("studied-in-session", schema.Error, factor, fmt.Sprintf("the factor %q is studied, so a session cannot give it one value for every configuration", f.ID),
					"state it in the configurations")
				continue
			}
			if v, ok := l.value(f, value); ok {
				s.Values[f.Index] = v
			}
		}
		for at := range n.get("instruments").items() {
			if id := l.instrument(at); id != "" {
				s.Instruments = append(s.Instruments, id)
			}
		}
		l.p.sessionAt[s.ID] = s.Index
		l.p.Sessions = append(l.p.Sessions, s)
	}
}
