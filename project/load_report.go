package project

import (
	"fmt"
	"math"
	"slices"

	"benchwright/schema"
)

// loadReport reads what report.yaml says about the report as a whole.
func (l *loader) loadReport() {
	doc, p := documentNode(l.folder.Report), l.p
	for key := range doc.pairs() {
		p.Places["report."+key.text()] = doc.get(key.text()).place()
	}
	p.Title, p.Subtitle, p.Summary, p.Notice = doc.get("title").text(), doc.get("subtitle").text(), doc.get("summary").text(), doc.get("notice").text()
	p.Authors = authors(doc.get("author"))
	p.Date = l.date(doc.get("date"))
	p.Licence, p.BaseAddress, p.Currency = doc.get("licence").text(), doc.get("base-address").text(), doc.get("currency").text()
	if language := doc.get("language").text(); language != "" {
		p.Language = language
	}
	p.RawHTML = doc.get("raw-html").yes()
	if doc.get("centre").text() == "median" {
		p.Centre = Median
	}
	l.share(doc.get("confidence"), &p.Confidence, "confidence", func(v float64) bool { return v > 0 && v < 1 }, "write a number between 0 and 1, such as 0.95")
	l.share(doc.get("largest-spread"), &p.LargestSpread, "largest-spread", func(v float64) bool { return v > 0 && v <= 1 }, "write a percentage, such as 5 %")
	if at := doc.get("minimum-repeats"); at.isScalar() {
		if v, ok := l.number(at, Unit{Factor: 1}, "minimum-repeats"); ok && v >= 1 && v <= 1e6 && v == math.Trunc(v) {
			p.MinimumRepeats = int(v)
		}
	}
}

// authors reads a name or a list of names with addresses.
func authors(n node) []Author {
	var out []Author
	for at := range n.items() {
		a := Author{Name: at.text()}
		if at.isMap() {
			a = Author{at.get("name").text(), at.get("url").text()}
		}
		if a.Name != "" {
			out = append(out, a)
		}
	}
	return out
}

// share reads a number that may be written as a percentage.
func (l *loader) share(at node, into *float64, what string, allowed func(float64) bool, remedy string) {
	if !at.isScalar() {
		return
	}
	v, ok := l.number(at, Unit{Factor: 1}, what)
	switch {
	case ok && allowed(v):
		*into = v
	case ok && (at.y.Tag == "!!str" || v > 1 && what == "largest-spread"): // of other plain numbers, schema has said so
		l.report("not-allowed-value", schema.Error, at, fmt.Sprintf("%q is out of range for %s", at.text(), what), remedy)
	}
}

func (l *loader) loadQuestions() {
	places := map[string]schema.Place{}
	for at := range documentNode(l.folder.Report).get("questions").items() {
		id := at.get("id")
		if !at.isMap() {
			continue
		}
		if first, taken := places[id.text()]; taken && id.text() != "" {
			l.report("duplicate-id", schema.Error, id, fmt.Sprintf("there are two questions %q", id.text()), "give one of them another id",
				schema.Related{Place: first, Message: "first asked here"})
			continue
		}
		places[id.text()] = id.place()
		if q := l.question(id, at); q != nil {
			q.Index = len(l.p.Questions)
			l.p.questionAt[q.ID] = q.Index
			l.p.Questions = append(l.p.Questions, q)
		}
	}
}

// question reads one question; nil when it cannot be asked.
func (l *loader) question(id, n node) *Question {
	q := &Question{ID: id.text(), Ask: n.get("ask").text(), Note: n.get("note").text(), Place: id.place()}
	f, ok := l.factor(n.get("factor"))
	if !ok || q.ID == "" {
		return nil
	}
	q.Factor = f.Index
	if f.Role != Studied {
		l.report("not-studied", schema.Warning, n.get("factor"), fmt.Sprintf("the question %q is about %q, whose role is %s", q.ID, f.ID, f.Role),
			fmt.Sprintf("write role: studied at %q, or ask about a studied factor", f.ID),
			schema.Related{Place: f.Place, Message: fmt.Sprintf("%q is declared here", f.ID)}).Questions = []string{q.ID}
	}
	var fromOK, toOK bool
	q.From, fromOK = l.value(f, n.get("from"))
	q.To, toOK = l.value(f, n.get("to"))
	for _, key := range []string{"from", "to"} {
		if at := n.get(key); at.text() == "unknown" {
			l.report("unknown-level", schema.Error, at, `a question cannot ask about "unknown"`, "name a level")
			fromOK = false
		}
	}
	if !fromOK || !toOK {
		return nil
	}
	if equalLevel(q.From, q.To) {
		l.report("same-level", schema.Error, n.get("to"), fmt.Sprintf("the question %q compares a level with itself", q.ID), "name two different levels",
			schema.Related{Place: q.From.Place, Message: "from the same level"}).Questions = []string{q.ID}
		return nil
	}
	used := map[int]bool{f.Index: true}
	again := func(at node, f *Factor) bool {
		if used[f.Index] {
			l.report("repeated-factor", schema.Error, at, fmt.Sprintf("the factor %q stands in the question %q already", f.ID, q.ID), "take it out").Questions = []string{q.ID}
			return true
		}
		used[f.Index] = true
		return false
	}
	for at := range n.get("with").items() {
		if with, ok := l.factor(at); ok && !again(at, with) {
			q.With = append(q.With, with.Index)
		}
	}
	for key, value := range n.get("where").pairs() {
		where, ok := l.factor(key)
		if !ok || again(key, where) {
			continue
		}
		if v, ok := l.value(where, value); ok {
			q.Where = append(q.Where, Condition{where.Index, v})
		}
	}
	q.Workloads = l.workloadList(n.get("workloads"))
	return q
}

// workloadList reads a list of workload ids, each once.
func (l *loader) workloadList(n node) []int {
	var list []int
	seen := map[int]node{}
	for at := range n.items() {
		w, ok := l.workload(at)
		if !ok {
			continue
		}
		if first, twice := seen[w.Index]; twice {
			l.report("duplicate-id", schema.Error, at, fmt.Sprintf("the workload %q stands in the list a second time", w.ID), "take one of them out",
				schema.Related{Place: first.place(), Message: "first named here"})
			continue
		}
		seen[w.Index] = at
		list = append(list, w.Index)
	}
	return list
}

// loadComposites reads the composites, or makes the one that goes without saying,
// and settles which workloads count as performance.
func (l *loader) loadComposites() {
	defer l.turn()
	p := l.p
	places := map[string]schema.Place{}
	written := documentNode(l.folder.Report).get("composites")
	for at := range written.items() {
		id := at.get("id")
		if !at.isMap() || id.text() == "" {
			continue
		}
		if first, taken := places[id.text()]; taken {
			l.report("duplicate-id", schema.Error, id, fmt.Sprintf("there are two composites %q", id.text()), "give one of them another id",
				schema.Related{Place: first, Message: "first declared here"})
			continue
		}
		places[id.text()] = id.place()
		if c := l.composite(id, at); len(c.Workloads) > 0 {
			p.Composites = append(p.Composites, c)
		}
	}
	if written.here() {
		return
	}
	overall := &Composite{ID: "overall"}
	for _, w := range p.Workloads {
		if w.Composite {
			overall.Workloads = append(overall.Workloads, w.Index)
			overall.Weights = append(overall.Weights, 1)
		}
	}
	if len(overall.Workloads) > 0 {
		p.Composites = append(p.Composites, overall)
	}
}

// turn settles whose ratios are turned over. A composite may weigh a power against
// performance, which does not make the power one; but a composite of nothing else
// has the direction of all composites.
func (l *loader) turn() {
	counts := make([]bool, len(l.p.Workloads))
	for i, w := range l.p.Workloads {
		counts[i] = w.Composite && w.Derived == nil
	}
	for _, c := range l.p.Composites {
		if slices.ContainsFunc(c.Workloads, func(w int) bool { return counts[w] || l.p.Workloads[w].HigherBetter }) {
			continue
		}
		for _, w := range c.Workloads {
			counts[w] = true
		}
	}
	for i, w := range l.p.Workloads {
		w.Turned = counts[i] && !w.HigherBetter && w.Scale == RatioScale
	}
}

func (l *loader) composite(id, n node) *Composite {
	c := &Composite{ID: id.text(), Label: n.get("label").text(), Place: id.place()}
	if c.Label == "" {
		c.Label = c.ID
	}
	position := map[int]int{}
	for at := range n.get("workloads").items() {
		w, ok := l.workload(at)
		if !ok {
			continue
		}
		if w.Scale == IntervalScale {
			l.report("interval-in-composite", schema.Error, at, fmt.Sprintf("the workload %q is on an interval scale, where ratios mean nothing", w.ID), "take it out of the composite").Workloads = []string{w.ID}
			continue
		}
		if _, twice := position[w.Index]; twice {
			l.report("duplicate-id", schema.Error, at, fmt.Sprintf("the workload %q stands in the composite a second time", w.ID), "give it a weight instead: weights: {"+w.ID+": 2}")
			continue
		}
		position[w.Index] = len(c.Workloads)
		c.Workloads = append(c.Workloads, w.Index)
		c.Weights = append(c.Weights, 1)
	}
	for key, value := range n.get("weights").pairs() {
		w, ok := l.workload(key)
		if !ok {
			continue
		}
		i, in := position[w.Index]
		if !in {
			l.report("unknown-id", schema.Error, key, fmt.Sprintf("the workload %q has a weight, but is not in the composite %q", w.ID, c.ID), "add it to workloads, or take the weight out")
			continue
		}
		if v, ok := l.number(value, Unit{Factor: 1}, "a weight"); ok && v > 0 {
			c.Weights[i] = v
		}
	}
	return c
}

// loadChecks reads what the project says about the checker's rules. Whether
// the rules exist is for the checker to say.
func (l *loader) loadChecks() {
	p := l.p
	known := func(id string) bool {
		for _, index := range []map[string]int{p.factorAt, p.workloadAt, p.configAt, p.sessionAt, p.questionAt} {
			if _, ok := index[id]; ok {
				return true
			}
		}
		return false
	}
	for key, n := range documentNode(l.folder.Report).get("checks").pairs() {
		c := CheckChange{Rule: key.text(), Silence: n.get("silence").yes(), Reason: n.get("reason").text(), Place: key.place()}
		if at := n.get("severity"); at.isScalar() {
			c.HasSeverity = c.Severity.UnmarshalText([]byte(at.text())) == nil
		}
		for at := range n.get("at").items() {
			if !known(at.text()) && len(l.folder.Unread) > 0 {
				continue
			}
			if !known(at.text()) {
				var all []string
				all = append(append(append(append(all, p.configurationIDs()...), p.factorIDs()...), p.workloadIDs()...), p.sessionIDs()...)
				remedy := "name a configuration, a factor, a workload, a session or a question"
				if near := schema.Nearest(at.text(), all); near != "" {
					remedy = fmt.Sprintf("did you mean %q?", near)
				}
				l.report("unknown-id", schema.Error, at, fmt.Sprintf("nothing in the folder has the id %q", at.text()), remedy)
				continue
			}
			c.At = append(c.At, at.text())
		}
		if c.Reason == "" {
			if !n.get("reason").isScalar() {
				continue // reported by schema
			}
			l.report("missing-reason", schema.Error, key, fmt.Sprintf("the change to the rule %q has no reason", c.Rule), "write reason: why the finding is no objection")
			continue
		}
		p.Checks = append(p.Checks, c)
	}
}
