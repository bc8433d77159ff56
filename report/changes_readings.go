package report

import (
	"benchwright/project"
)

// readings lists what came, went and was corrected or excluded, in the order of the
// configurations and workloads of this edition, then of the old one.
func (c *comparison) readings(out *Changes) {
	type key struct{ configuration, workload, session string }
	was := make(map[key]*PublishedReadings, len(c.old.Readings))
	for i := range c.old.Readings {
		g := &c.old.Readings[i]
		k := key{g.Configuration, g.Workload, g.Session}
		if was[k] != nil { // only in a record that somebody wrote by hand
			joined := *was[k]
			joined.Repeats = append(joined.Repeats[:len(joined.Repeats):len(joined.Repeats)], g.Repeats...)
			joined.Outcomes = append(joined.Outcomes[:len(joined.Outcomes):len(joined.Outcomes)], g.Outcomes...)
			joined.Values = append(joined.Values[:len(joined.Values):len(joined.Values)], g.Values...)
			g = &joined
		}
		was[k] = g
	}
	seen := make(map[key]bool, len(c.now.Readings))
	empty := &PublishedReadings{}
	for i := range c.now.Readings {
		g := &c.now.Readings[i]
		k := key{g.Configuration, g.Workload, g.Session}
		seen[k] = true
		old := was[k]
		if old == nil {
			old = empty
		}
		if !equalReadings(old, g) {
			c.touch(out, g, len(old.Repeats) > len(g.Repeats))
			c.group(out, old, g)
		}
	}
	for i := range c.old.Readings {
		g := &c.old.Readings[i]
		if k := (key{g.Configuration, g.Workload, g.Session}); !seen[k] {
			seen[k] = true
			c.touch(out, g, true)
			c.group(out, was[k], &PublishedReadings{Configuration: g.Configuration, Workload: g.Workload, Session: g.Session})
		}
	}
}

func equalReadings(a, b *PublishedReadings) bool {
	if len(a.Repeats) != len(b.Repeats) {
		return false
	}
	for i := range a.Repeats {
		if a.whole(i) != b.whole(i) {
			return false
		}
	}
	return true
}

// group matches the readings of one cell and session. First those that are the
// same under the same repeat, then those that are the same under another one
// (a row put in between moves the numbers of those after it, which is no
// correction), then those with the same repeat: corrected. The rest came or
// went.
func (c *comparison) group(out *Changes, old, now *PublishedReadings) {
	from := make([]int, len(now.Repeats)) // index into old, −1 for none
	taken := make([]bool, len(old.Repeats))
	for j := range from {
		from[j] = -1
	}
	// match pairs what has the same key on both sides, in order of repeats.
	match := func(oldKey, nowKey func(i int) readingKey) {
		free := map[readingKey][]int{}
		for i := range taken {
			if !taken[i] {
				free[oldKey(i)] = append(free[oldKey(i)], i)
			}
		}
		for j := range from {
			if from[j] >= 0 {
				continue
			}
			if list := free[nowKey(j)]; len(list) > 0 {
				from[j], taken[list[0]] = list[0], true
				free[nowKey(j)] = list[1:]
			}
		}
	}
	match(old.whole, now.whole)
	match(old.content, now.content)
	unchanged := make([]bool, len(from))
	for j := range from {
		unchanged[j] = from[j] >= 0
	}
	match(old.number, now.number)
	row := ChangedReading{Configuration: c.configuration(now.Configuration), Workload: c.workload(now.Workload), Session: now.Session}
	for j := range from {
		row.Repeat, row.Was, row.Reason = now.Repeats[j], "", ""
		i := from[j]
		switch {
		case unchanged[j]:
		case i >= 0:
			row.Was, row.Now = c.bothTexts(old, i, now, j)
			if row.Reason = c.reason(old, i, now, j); row.Reason == "" {
				row.Reason = c.say.Say("changes.no-reason")
				out.Unexplained++
			}
			if stated := c.otherwise(old, i, now, j); stated != "" {
				row.Reason = c.say.Say("changes.was-otherwise", "reason", row.Reason, "stated", stated)
				out.Misstated++
			}
			moved := c.valueMoved(old, i, now, j)
			switch left := project.Excluded.String(); {
			case now.Outcomes[j] == left && old.Outcomes[i] != left:
				if !moved {
					row.Now = c.say.Say("outcome." + left)
				}
				out.Excluded = append(out.Excluded, row)
				continue
			case old.Outcomes[i] == left && now.Outcomes[j] == project.OK.String() && !moved:
				row.Now = c.say.Say("changes.again")
				out.again++
			}
			out.Corrected = append(out.Corrected, row)
		default:
			row.Now = c.readingText(now, j, c.units[now.Workload], 0)
			if now.Outcomes[j] == project.Excluded.String() {
				row.Reason = c.ownReason(now, j)
			}
			out.New = append(out.New, row)
		}
	}
	row.Now, row.Reason = "", ""
	for i := range taken {
		if !taken[i] {
			row.Repeat, row.Was = old.Repeats[i], c.readingText(old, i, c.oldUnits[old.Workload], 0)
			out.Withdrawn = append(out.Withdrawn, row)
		}
	}
}

// bothTexts writes two values with as many digits as it takes to tell them
// apart.
func (c *comparison) bothTexts(old *PublishedReadings, i int, now *PublishedReadings, j int) (was, is string) {
	for more := range mostDigits {
		was, is = c.readingText(old, i, c.oldUnits[old.Workload], more), c.readingText(now, j, c.units[now.Workload], more)
		if was != is {
			break
		}
	}
	return was, is
}

// readingText writes a reading: its value with the unit, and how the run ended
// when it did not end well. It has the decimals of the instrument's step, or
// four digits where none is known, and more when asked for.
func (c *comparison) readingText(g *PublishedReadings, i int, unit string, more int) string {
	text := ""
	if v := g.Values[i]; v != nil {
		d := significant(*v, 4)
		if w, ok := c.workloadAt[g.Workload]; ok {
			if step, ok := stepDecimals(c.r.work.step[w]); ok {
				d = step
			}
		}
		text = withUnit(c.num.plain(*v, d+more), unit)
	}
	outcome := g.Outcomes[i]
	if outcome == project.OK.String() || outcome == "" {
		return text
	}
	word := outcome
	if c.say.Has("outcome." + outcome) {
		word = c.say.Say("outcome." + outcome)
	}
	if text == "" {
		return word
	}
	return text + ", " + word
}

// valueMoved says that a reading has another value than it was published with, or
// one where it had none.
func (c *comparison) valueMoved(old *PublishedReadings, i int, now *PublishedReadings, j int) bool {
	p, q := old.Values[i], now.Values[j]
	return (p == nil) != (q == nil) || p != nil && *p != *q
}

// reason finds why a reading was changed: the entry under corrections that
// names it and its new value, or the reason in its own row; empty for neither.
// A correction says nothing of a reading that kept its value, and of one that is
// left out now its row says why.
func (c *comparison) reason(old *PublishedReadings, i int, now *PublishedReadings, j int) string {
	own := c.ownReason(now, j)
	if own != "" && now.Outcomes[j] == project.Excluded.String() && old.Outcomes[i] != now.Outcomes[j] || !c.valueMoved(old, i, now, j) {
		return own
	}
	for _, x := range c.corrections(now, j) {
		if v := now.Values[j]; v != nil && (project.Tolerance{}).Allows(*v, x.Now) {
			return x.Reason
		}
	}
	return own
}

// corrections are those of a reading, the latest first.
func (c *comparison) corrections(g *PublishedReadings, i int) []*project.Correction {
	p := c.r.Project
	var out []*project.Correction
	for k := len(p.Corrections) - 1; k >= 0; k-- {
		x := &p.Corrections[k]
		if p.Configurations[x.Configuration].ID == g.Configuration && p.Workloads[x.Workload].ID == g.Workload &&
			(x.Session < 0 || p.Sessions[x.Session].ID == g.Session) && (x.Repeat == 0 || x.Repeat == g.Repeats[i]) {
			out = append(out, x)
		}
	}
	return out
}

// otherwise is the old value that the correction of a reading states, when it
// is not the one that was published; empty when it is, and where there is no
// correction or no telling. Of several corrections since then, one has it.
func (c *comparison) otherwise(old *PublishedReadings, i int, now *PublishedReadings, j int) string {
	published, value := old.Values[i], now.Values[j]
	if published == nil || value == nil || *published == *value || c.oldUnits[old.Workload] != c.units[now.Workload] {
		return ""
	}
	text := ""
	for _, x := range c.corrections(now, j) {
		if (project.Tolerance{}).Allows(*published, x.Was) {
			return ""
		}
		if text == "" && (project.Tolerance{}).Allows(*value, x.Now) {
			text = withUnit(c.num.plain(x.Was, stated(x.Was)), c.units[now.Workload])
		}
	}
	return text
}

// ownReason is the reason that stands in the reading's own row.
func (c *comparison) ownReason(g *PublishedReadings, i int) string {
	if g.Outcomes[i] == project.OK.String() {
		return ""
	}
	x, okX := c.configurationAt[g.Configuration]
	y, okY := c.workloadAt[g.Workload]
	if !okX || !okY {
		return ""
	}
	for k := range c.r.Cells[x][y].Readings {
		rd := &c.r.Cells[x][y].Readings[k]
		session := ""
		if rd.Session >= 0 {
			session = c.r.Project.Sessions[rd.Session].ID
		}
		if session == g.Session && rd.Repeat == g.Repeats[i] && rd.Outcome.String() == g.Outcomes[i] {
			return rd.Reason
		}
	}
	return ""
}

// readingKey is what readings of two editions are matched by.
type readingKey struct {
	repeat   int
	outcome  string
	hasValue bool
	value    float64
}

func (g *PublishedReadings) number(i int) readingKey { return readingKey{repeat: g.Repeats[i]} }

func (g *PublishedReadings) content(i int) readingKey {
	k := readingKey{outcome: g.Outcomes[i], hasValue: g.Values[i] != nil}
	if k.hasValue {
		k.value = *g.Values[i]
	}
	return k
}

func (g *PublishedReadings) whole(i int) readingKey {
	k := g.content(i)
	k.repeat = g.Repeats[i]
	return k
}

// CorrectionsMade lists the corrections of report.yaml in its order. A first
// edition has nothing to be compared with, so these are all that is known of what
// a reading was before.
func (r *Report) CorrectionsMade() []ChangedReading {
	p := r.Project
	var out []ChangedReading
	for i := range p.Corrections {
		x := &p.Corrections[i]
		row := ChangedReading{Configuration: r.label(x.Configuration), Workload: p.Workloads[x.Workload].Label, Repeat: x.Repeat, Reason: x.Reason}
		if x.Session >= 0 {
			row.Session = p.Sessions[x.Session].ID
		}
		d := max(significant(x.Was, 4), significant(x.Now, 4))
		if step, ok := stepDecimals(r.work.step[x.Workload]); ok {
			d = step
		}
		row.Was, row.Now = r.withUnit(x.Was, d, x.Workload), r.withUnit(x.Now, d, x.Workload)
		out = append(out, row)
	}
	return out
}

func (r *Report) withUnit(v float64, decimals, workload int) string {
	return withUnit(r.work.num.plain(v, decimals), r.Project.Workloads[workload].Unit.Symbol)
}
