package report

import (
	"slices"
	"strconv"
	"strings"
)

// overChange is what a mean is taken over in both editions.
type overChange struct {
	// Counts before and now; 0 where the edition before did not say.
	workloads, pairs [2]int
	// with and without are labels of workloads that came to it and went from it;
	// weights says that the same ones weigh otherwise.
	with, without []string
	weights       bool
	// now are the ids of its workloads in this edition.
	now []string
}

// otherWorkloads says that it is another mean than before: not comparable, since no
// reading need have moved for it to do so.
func (o *overChange) otherWorkloads() bool {
	return counted(o.workloads) || len(o.with)+len(o.without) > 0 || o.weights
}

// counted says that two known counts differ.
func counted(n [2]int) bool { return n[0] != n[1] && n[0] > 0 && n[1] > 0 }

// overOf is what an answer is taken over.
func (c *comparison) overOf(old, now *PublishedQuestion) overChange {
	o := overChange{workloads: [2]int{old.OverWorkloads, now.OverWorkloads}, pairs: [2]int{old.OverPairs, now.OverPairs}, now: now.Over}
	if len(old.Over) > 0 && len(now.Over) > 0 {
		c.sets(&o, old.Over, now.Over)
	}
	return o
}

// overOfComposite is what a composite is taken over. Of one that the edition before
// wrote down without its workloads so much is known: those that the report did not
// have are new to it.
func (c *comparison) overOfComposite(old, now *PublishedComposite) overChange {
	o := overChange{now: now.Over}
	switch {
	case old == nil || len(now.Over) == 0:
	case len(old.Over) == 0:
		for _, id := range now.Over {
			if _, there := c.oldUnits[id]; !there {
				o.with = append(o.with, c.workload(id))
			}
		}
	default:
		o.workloads = [2]int{len(old.Over), len(now.Over)}
		c.sets(&o, old.Over, now.Over)
		o.weights = !o.otherWorkloads() && !slices.EqualFunc(shares(old, now.Over), shares(now, now.Over), same)
	}
	return o
}

// shares are the shares of a composite's workloads, in the order of ids.
func shares(x *PublishedComposite, ids []string) []float64 {
	out := make([]float64, len(ids))
	total := 0.0
	for i, id := range ids {
		out[i] = 1
		if at := slices.Index(x.Over, id); at >= 0 && at < len(x.Weights) {
			out[i] = x.Weights[at]
		}
		total += out[i]
	}
	for i := range out {
		out[i] /= total
	}
	return out
}

func (c *comparison) sets(o *overChange, old, now []string) {
	for _, id := range now {
		if !slices.Contains(old, id) {
			o.with = append(o.with, c.workload(id))
		}
	}
	for _, id := range old {
		if !slices.Contains(now, id) {
			o.without = append(o.without, c.workload(id))
		}
	}
}

// over says of a mean when it is taken over something else than before: then it may
// have moved without any reading having done so.
func (c *comparison) over(what string, o overChange) string {
	var list []string
	for _, x := range []struct {
		key string
		n   [2]int
	}{{"changes.over.workloads", o.workloads}, {"changes.over.pairs", o.pairs}} {
		if counted(x.n) {
			list = append(list, c.say.Count(x.key, x.n[1], "was", strconv.Itoa(x.n[0])))
		}
	}
	switch n := len(o.with) + len(o.without); {
	case n > mostNamed && !counted(o.workloads):
		list = append(list, c.say.Say("changes.over.others"))
	case n > mostNamed:
	default:
		if len(o.without) > 0 {
			list = append(list, c.say.Say("changes.over.without", "names", joinWords(c.say, o.without)))
		}
		if len(o.with) > 0 {
			list = append(list, c.say.Say("changes.over.with", "names", joinWords(c.say, o.with)))
		}
	}
	if o.weights {
		list = append(list, c.say.Say("changes.over.weights"))
	}
	if len(list) == 0 {
		return what
	}
	return c.say.Say("changes.over", "what", what, "over", strings.Join(list, "; "))
}

func (c *comparison) turn(out *Changes, link, key string, gaps ...string) {
	out.Turned = append(out.Turned, Sentence{Text: c.say.Say(key, gaps...), Link: link})
}

// verdict says when what may be claimed of a figure has turned.
func (c *comparison) verdict(out *Changes, link, what string, over overChange, old, now *PublishedFigure, as former) {
	if old.Verdict == now.Verdict || !old.HasValue() || !now.HasValue() {
		return
	}
	better, worse, none := Better.String(), Worse.String(), NoDifferenceSeen.String()
	key, claims := "", true
	switch {
	case old.Verdict == better && now.Verdict == worse, old.Verdict == worse && now.Verdict == better:
		key = "changes.turned.sign"
	case old.Verdict == none && (now.Verdict == better || now.Verdict == worse):
		key = "changes.turned.seen"
	case now.Verdict == none && (old.Verdict == better || old.Verdict == worse):
		key = "changes.turned.unseen"
	case old.Verdict == "":
		key, claims = "changes.turned.claimed", false
	case now.Verdict == "":
		key, claims = "changes.turned.unclaimed", false
	default:
		return // a word that this tool never wrote
	}
	what = c.over(what, over)
	was, is := old.Text, now.Text
	if was != is {
		was, is, _ = c.written(old, now, as)
	}
	text := ""
	switch {
	case over.otherWorkloads():
		text = c.say.Say("changes.turned.over", "what", what, "was", was, "now", is)
	case claims && c.keptValue(old, now, as):
		text = c.say.Say(key+".kept", "what", what, "kept", c.keptText(old, now, as))
	default:
		text = c.say.Say(key, "what", what, "was", was, "now", is)
	}
	if behind := c.behind(out, over); claims && behind != "" {
		text += " " + behind
	}
	out.Turned = append(out.Turned, Sentence{Text: text, Link: link})
}

// keptDigits is how many digits more than it was published with a figure must move
// in at least, to have moved for a reader.
const keptDigits = 3

// keptValue says that a figure has the value that it had.
func (c *comparison) keptValue(old, now *PublishedFigure, as former) bool {
	if same(old.Value, now.Value) {
		return true
	}
	f := as(c, old, now)
	a, ok1 := c.publishedWith(f, old)
	b, ok2 := c.publishedWith(f, now)
	d := max(a, b) + keptDigits
	return ok1 && ok2 && f.write(old.Value, d) == f.write(now.Value, d)
}

// keptText says what turned the claim of a figure whose value did not move: its
// interval, or else the number of comparisons that it is counted among.
func (c *comparison) keptText(old, now *PublishedFigure, as former) string {
	f := as(c, old, now)
	text := now.Text
	if a, b := c.decimalsOf(old.Text), c.decimalsOf(text); a > b {
		text = old.Text
	}
	if f.write != nil && old.Confidence > 0 && now.Confidence > 0 {
		d := max(c.decimalsOf(old.Text), c.decimalsOf(now.Text))
		for end := d + keptDigits; d <= end; d++ {
			if was, is := c.span(f, old, d), c.span(f, now, d); was != is {
				return c.say.Say("changes.kept.interval", "now", text, "was", was, "is", is)
			}
		}
	}
	return c.say.Say("changes.kept.family", "now", text)
}

// span writes the interval of a figure, with the unit once.
func (c *comparison) span(f form, x *PublishedFigure, d int) string {
	low, high := f.write(x.Low, d), f.write(x.High, d)
	if at := strings.LastIndex(low, nbsp); at >= 0 && strings.HasSuffix(high, low[at:]) {
		low = low[:at]
	}
	return c.say.Say("figure.range", "low", low, "high", high)
}

// behind lists what has changed for a claim: the level of the intervals, and the
// readings on its workloads. Its pairs and workloads are said with its name.
func (c *comparison) behind(out *Changes, over overChange) string {
	var list []string
	if c.old.Confidence != c.now.Confidence {
		list = append(list, c.say.Say("changes.behind.confidence", "was", c.r.work.percentLevel(c.old.Confidence), "now", c.r.work.percentLevel(c.now.Confidence)))
	}
	labels := map[string]bool{}
	for _, id := range over.now {
		labels[c.workload(id)] = true
	}
	for _, x := range []struct {
		key  string
		list []ChangedReading
	}{{"new", out.New}, {"corrected", out.Corrected}, {"excluded", out.Excluded}, {"withdrawn", out.Withdrawn}} {
		n := 0
		for i := range x.list {
			if labels[x.list[i].Workload] {
				n++
			}
		}
		if n > 0 {
			list = append(list, c.say.Count("changes.behind."+x.key, n))
		}
	}
	if len(list) == 0 {
		return ""
	}
	return c.say.Say("changes.behind", "list", joinWords(c.say, list))
}
