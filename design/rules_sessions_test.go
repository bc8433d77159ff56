package design

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"benchwright/schema"
)

const twoDays = "-- sessions.yaml --\nsessions:\n" +
	"  first: {date: 2026-02-01, values: {room: 21 °C}}\n" +
	"  second: {date: 2026-02-02, values: {room: 22 °C}}\n"

// rowsOf writes result rows: "base encode first 100.0 101.0" is two readings.
func rowsOf(lines ...string) string {
	var b strings.Builder
	b.WriteString("-- results/readings.csv --\nconfiguration,workload,session,order,value\n")
	order := 0
	for _, line := range lines {
		f := strings.Fields(line)
		for _, v := range f[3:] {
			order++
			fmt.Fprintf(&b, "%s,%s,%s,%d,%s\n", f[0], f[1], f[2], order, v)
		}
	}
	return b.String()
}

// The shift of a pair, by hand: with the second session d above the first, a
// side takes in d times the share of its readings that are from there.
func TestShiftByHand(t *testing.T) {
	up := math.Log(1.1) // the second session reads a tenth more
	for name, c := range map[string]struct {
		rows []string
		want float64 // NaN: none
	}{
		"one side alone in the second": {[]string{"base encode first 100.0 100.0", "fast encode first 80.0 80.0", "base encode second 110.0"}, -up / 3},
		"the other side alone":         {[]string{"base encode first 100.0 100.0", "fast encode first 80.0 80.0", "fast encode second 88.0 88.0"}, up / 2},
		"both, unequally often":        {[]string{"base encode first 100.0 100.0", "base encode second 110.0", "fast encode first 80.0", "fast encode second 88.0 88.0"}, up / 3},
		"both, equally often":          {[]string{"base encode first 100.0 100.0", "base encode second 110.0", "fast encode first 80.0 80.0", "fast encode second 88.0"}, math.NaN()},
		"one session":                  {[]string{"base encode first 100.0 100.0", "fast encode first 80.0"}, math.NaN()},
		"no common session":            {[]string{"base encode first 100.0 100.0", "fast encode second 88.0"}, math.NaN()},
	} {
		p := load(t, twoDays+rowsOf(c.rows...))
		in := newInquiry(NewSpace(p))
		pairs := in.pairsRead(in.s.answers[0].Pairs, 0)
		if len(pairs) != 1 {
			t.Fatalf("%s: %d pairs", name, len(pairs))
		}
		s, variance, ok := in.shiftOf(pairs[0].Pair, 0, in.inLogs(0))
		if ok == math.IsNaN(c.want) || ok && (math.Abs(s.by-c.want) > 1e-12 || !(variance > 0)) {
			t.Errorf("%s: shift %v (%v), want %v", name, s.by, ok, c.want)
		}
	}
}

// What a day changed is told from what chance does.
func TestUnevenSessionsMatterWhereTheyDiffer(t *testing.T) {
	readings := func(second string) string {
		return twoDays + rowsOf("base encode first 102.1 101.6 102.4", "fast encode first 84.3 83.8 84.6", "base encode second "+second)
	}
	if found := of("uneven-sessions", check(load(t, readings("101.8 102.3")))); len(found) > 0 {
		t.Errorf("a day like the other: %s", print(found))
	}
	if found := of("uneven-sessions", check(load(t, readings("107.2")))); len(found) != 1 || !strings.Contains(found[0].Message, "1.2") {
		t.Errorf("a day five per cent off, in a quarter of the readings: %s", print(found))
	}
}

// Days that do not differ are hardly ever taken for ones that do, however
// unequally they were used, and days that do are found.
func TestUnevenSessionsHardlyEverByChance(t *testing.T) {
	fires := func(seed uint64, day float64) bool {
		random := rand.New(rand.NewPCG(seed, 7))
		read := func(c, session string, mean float64, n int) string {
			line := c + " encode " + session
			for range n {
				line += fmt.Sprintf(" %.2f", mean*math.Exp(0.004*random.NormFloat64()))
			}
			return line
		}
		rows := rowsOf(read("base", "first", 100, 3), read("fast", "first", 80, 3), read("base", "second", 100*day, 1+int(seed%3)))
		return len(of("uneven-sessions", check(load(t, twoDays+rows)))) > 0
	}
	alarms, found := 0, 0
	const benches = 400
	for seed := range uint64(benches) {
		if fires(seed, 1) {
			alarms++
		}
		if seed < 50 && fires(seed, 1.15) {
			found++
		}
	}
	// One in a thousand is what the rule allows itself: more than 3 of 400 come
	// up less than once in a thousand times (Poisson).
	if alarms > 3 || found < 45 {
		t.Errorf("%d alarms in %d benches, and %d of 50 days found", alarms, benches, found)
	}
	t.Logf("%d alarms in %d benches, and %d of 50 days found", alarms, benches, found)
}

// Two sides are read together on each workload, or not there: a stray reading of
// another workload does not bring them together.
func TestSidesMeetOnEveryWorkload(t *testing.T) {
	const workloads = "-- workloads.yaml --\nworkloads:\n" +
		"  encode: {label: Encoding, metric: time per job, unit: s, better: lower}\n" +
		"  search: {label: Search, metric: time per query, unit: ms, better: lower}\n"
	for name, c := range map[string]struct {
		rows []string
		want string
	}{
		"apart on both": {[]string{"base encode first 102.1 101.6", "base search first 12.1 12.4", "fast encode second 84.3 83.8", "fast search second 9.1 9.3"},
			`"base" was read in session "first", "fast" in session "second": the effect of processor cannot be told from that of the session`},
		"apart on one": {[]string{"base encode first 102.1 101.6", "base search first 12.1 12.4", "fast encode second 84.3 83.8", "fast search second 9.1 9.3", "base encode second 102.0"},
			`on "search", "base" was read in session "first", "fast" in session "second": the effect of processor cannot be told from that of the session there`},
		"together on both": {[]string{"base encode first 102.1 101.6", "base search first 12.1 12.4", "fast encode first 84.3 83.8", "fast search first 9.1 9.3"}, ""},
	} {
		found := of("pair-in-different-sessions", check(load(t, twoDays+workloads+rowsOf(c.rows...))))
		if c.want == "" && len(found) > 0 || c.want != "" && (len(found) != 1 || found[0].Message != c.want) {
			t.Errorf("%s: %s", name, print(found))
		}
	}
}

// All of one side before all of the other is no clean comparison where the order
// was written down, whatever is left open of it; where it is that of the rows
// nothing is known of it.
func TestOneSideBeforeTheOtherIsConfoundedWithTime(t *testing.T) {
	read := func(header string, order ...string) string {
		rows := "-- results/readings.csv --\n" + header + "\n"
		for i, c := range order {
			c, open := strings.CutSuffix(c, "?")
			value := map[string]string{"base": "102.", "fast": "84.", "wide": "98."}[c] + string(rune('1'+i%7))
			rows += c + ",encode,first," + value
			switch {
			case strings.HasSuffix(header, "order") && open:
				rows += ","
			case strings.HasSuffix(header, "order"):
				rows += fmt.Sprintf(",%d", i+1)
			}
			rows += "\n"
		}
		return rows
	}
	const ordered, bare = "configuration,workload,session,value,order", "configuration,workload,session,value"
	for _, c := range []struct {
		what, header string
		order        []string
		questions    []string
	}{
		{"two blocks", ordered, []string{"base", "base", "base", "fast", "fast", "fast"}, []string{"faster"}},
		{"three blocks", ordered, []string{"base", "base", "base", "fast", "fast", "fast", "wide", "wide", "wide"}, []string{"faster", "wider"}},
		{"the order of one reading left open", ordered, []string{"base", "base", "base", "fast", "fast", "fast?"}, []string{"faster"}},
		{"that of all but two", ordered, []string{"base?", "base?", "base", "fast", "fast?", "fast?"}, []string{"faster"}},
		{"that of one side", ordered, []string{"base?", "base?", "base?", "fast", "fast", "fast"}, nil},
		{"in turns, with one left open", ordered, []string{"base", "fast?", "fast", "base", "fast", "base"}, nil},
		{"rows of a table", bare, []string{"base", "base", "base", "fast", "fast", "fast"}, nil},
		{"the one between two blocks of the other", ordered, []string{"base", "base", "fast", "fast", "fast", "base"}, nil},
		{"in turns", ordered, []string{"base", "fast", "base", "fast", "fast", "base"}, nil},
	} {
		var got []string
		for _, f := range of("factor-with-time", check(load(t, read(c.header, c.order...), "order-open"))) {
			if f.Severity != schema.Warning {
				t.Errorf("%s: %s", c.what, f.Severity)
			}
			got = append(got, f.Questions...)
			open := strings.Count(strings.Join(c.order, ""), "?")
			if said := "; the order of " + countOf(open, "reading") + " is not known"; open > 0 != strings.HasSuffix(f.Message, said) {
				t.Errorf("%s: %s", c.what, f.Message)
			}
		}
		if !slices.Equal(got, c.questions) {
			t.Errorf("%s: found at %v, want %v", c.what, got, c.questions)
		}
	}
}
