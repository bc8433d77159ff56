package record

import (
	"strings"
	"testing"
)

// TestFaultsOfANewSession: they are said of the flag, since the line of
// sessions.yaml is not written yet.
func TestFaultsOfANewSession(t *testing.T) {
	for _, c := range []struct {
		s    Session
		want string
	}{
		{Session{Values: [][2]string{{"rooom", "21 °C"}}}, `unknown-id --session-value rooom=21 °C: there is no factor "rooom"`},
		{Session{Start: "19:30", Who: "me: you", Note: "a: b", Values: [][2]string{{"room", "21 °C"}, {"fans", "2"}}}, "studied-in-session --session-value fans=2: "},
		{Session{Instruments: []string{"clock"}}, `unknown-id --instrument clock: there is no instrument "clock"`},
	} {
		c.s.ID, c.s.Date = "third", "2031-04-11"
		for _, file := range []string{"", "sessions:\r\n  evening: {date: 2031-04-09}\r\n\r\n  later: {date: 2031-04-10}"} {
			changes := map[string]string{}
			if file != "" {
				changes["sessions.yaml"] = file
			}
			_, root := base(t, changes)
			a, bad := Prepare(root.FS(), nil, Options{Session: &c.s})
			if a != nil || len(bad) != 1 || !strings.Contains(messages(bad), c.want) || bad[0].Excerpt != "" {
				t.Errorf("got %v and\n%swant %q", a, messages(bad), c.want)
			}
		}
	}
}
