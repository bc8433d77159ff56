package report

import "slices"

// claim adds a remark about what the report claims, as opposed to what it rests on.
func (c *comparison) claim(link, key string, gaps ...string) {
	c.claims++
	c.remark(link, key, gaps...)
}

// claimed compares what else an answer claims beside its value: whether it is of a
// bundle, how its comparison is marked, and its sentence. told says that its figure
// is listed as moved, or told of as turned.
func (c *comparison) claimed(page, ask string, old, now *PublishedQuestion, told bool) {
	both := old.Answerable && now.Answerable
	if both && old.Clean != nil && now.Clean != nil {
		c.marked(page, ask, old, now)
	}
	if old.Clean == nil {
		return // a record of old, whose sentences were put in other words
	}
	sameBundle := old.Bundle == now.Bundle
	if old.Answer == now.Answer || c.old.Language != c.now.Language || old.Answerable != now.Answerable || told && sameBundle {
		return
	}
	if c.reworded++; c.reworded <= mostNamed {
		c.claim(page, "changes.answer", "question", ask, "was", c.quoted(old.Answer), "now", c.quoted(now.Answer))
	}
}

// marked says when the comparison behind an answer is marked in another way than it
// was, or with the same words on other grounds, and which rules are behind it.
func (c *comparison) marked(page, ask string, old, now *PublishedQuestion) {
	was, is := stateKey(old), stateKey(now)
	all := func(q *PublishedQuestion) []string { return slices.Concat(q.Against, q.SetAside) }
	var rules []string // those that one of the editions has
	for _, x := range [][2][]string{{all(old), all(now)}, {all(now), all(old)}, {old.Against, now.Against}, {now.Against, old.Against}} {
		for _, rule := range x[0] {
			if !slices.Contains(x[1], rule) && !slices.Contains(rules, rule) {
				rules = append(rules, rule)
			}
		}
	}
	slices.Sort(rules)
	if was == is && len(rules) == 0 {
		return
	}
	text := c.say.Say("changes.marked", "question", ask, "was", c.quoted(c.say.Say(was)), "now", c.quoted(c.say.Say(is)))
	if was == is {
		text = c.say.Say("changes.marked.still", "question", ask, "now", c.quoted(c.say.Say(is)))
	}
	if len(rules) > 0 {
		text += " " + c.say.Count("changes.marked.rules", len(rules), "rules", joinWords(c.say, rules))
	}
	if now.Bundle && !old.Bundle {
		text += " " + c.say.Say("page.state.bundle.why")
	}
	c.remarks = append(c.remarks, Sentence{Text: text, Link: page})
}

// stateKey is the phrase that an answerable question is marked with.
func stateKey(q *PublishedQuestion) string {
	switch {
	case q.Bundle:
		return "page.state.bundle"
	case len(q.Against) > 0, !*q.Clean && len(q.SetAside) == 0:
		return "page.state.reserved"
	case !*q.Clean:
		return "page.state.set-aside"
	}
	return "page.state.clean"
}

// interval remembers an effect that has the value that it had, with another text or
// over other pairs: then its interval is another one.
func (c *comparison) interval(what string, over overChange, old, now *PublishedFigure) {
	if c.old.Confidence != c.now.Confidence || !old.HasValue() || !now.HasValue() || !same(old.Value, now.Value) {
		return
	}
	if old.Text != now.Text || counted(over.pairs) {
		c.kept = append(c.kept, c.over(what, over))
	}
}

// claimsKept tells of the answers that were too many to tell one by one, and of the
// effects that interval remembers.
func (c *comparison) claimsKept() {
	if n := c.reworded - mostNamed; n > 0 {
		c.remarks = append(c.remarks, Sentence{Text: c.say.Count("changes.answer.more", n)})
	}
	switch n := len(c.kept); {
	case n == 0:
		return
	case n > mostNamed:
		c.remarks = append(c.remarks, Sentence{Text: c.say.Count("changes.intervals.many", n)})
	default:
		c.remarks = append(c.remarks, Sentence{Text: c.say.Count("changes.intervals", n, "names", joinWords(c.say, c.kept))})
	}
	c.claims++
}

// headlines says when the overview names another configuration or factor first.
func (c *comparison) headlines() {
	if len(c.old.Factors) == 0 {
		return // of a version that did not write them down
	}
	type which struct{ kind, of string }
	was := map[which]*PublishedHeadline{}
	for i := range c.old.Headlines {
		h := &c.old.Headlines[i]
		was[which{h.Kind, h.Of}] = h
	}
	heading := func(h *PublishedHeadline) string {
		if h.Kind != headlineComposite {
			return c.say.Say("insight." + h.Kind + ".title")
		}
		label := h.Of
		for _, list := range [][]PublishedComposite{c.old.Composites, c.now.Composites} {
			for i := range list {
				if list[i].ID == h.Of {
					label = list[i].Label
				}
			}
		}
		return c.say.Say("changes.headline.composite", "composite", label)
	}
	link := map[string]string{headlineComposite: "index.html#relative", headlineEffect: "method.html#model", headlineValue: "index.html#insights"}
	for i := range c.now.Headlines {
		h := &c.now.Headlines[i]
		old := was[which{h.Kind, h.Of}]
		delete(was, which{h.Kind, h.Of})
		switch {
		case old == nil:
			c.claim(link[h.Kind], "changes.headline.new", "heading", heading(h), "now", h.Text)
		case !slices.Equal(old.Names, h.Names):
			c.claim(link[h.Kind], "changes.headline", "heading", heading(h), "was", old.Text, "now", h.Text)
		}
	}
	for i := range c.old.Headlines {
		if h := &c.old.Headlines[i]; was[which{h.Kind, h.Of}] != nil {
			c.claim("index.html", "changes.headline.gone", "heading", heading(h), "was", h.Text)
		}
	}
}

// mostFacts is how many changed facts of one kind are told one by one.
const mostFacts = 12

// facts says which facts stand otherwise in this edition: the report's title, the
// names of factors, what was run, when, and on what.
func (c *comparison) facts() {
	told := 0
	tell := func(link, of, what, was, now string) {
		if was == now {
			return
		}
		if told++; told > mostFacts {
			return
		}
		switch {
		case was == "":
			c.remark(link, "changes.fact.new", "of", of, "what", what, "now", c.quoted(now))
		case now == "":
			c.remark(link, "changes.fact.gone", "of", of, "what", what, "was", c.quoted(was))
		default:
			c.remark(link, "changes.fact", "of", of, "what", what, "was", c.quoted(was), "now", c.quoted(now))
		}
	}
	if c.old.Title != c.now.Title {
		c.remark("", "changes.retitled", "was", c.quoted(c.old.Title), "now", c.quoted(c.now.Title))
	}
	dates := map[string]string{}
	for _, x := range c.old.Sessions {
		dates[x.ID] = x.Date
	}
	for _, x := range c.now.Sessions {
		if was, there := dates[x.ID]; there {
			tell("method.html#sessions", x.ID, c.say.Say("changes.fact.date"), was, x.Date)
		}
	}
	if len(c.old.Factors) > 0 {
		before := map[string]*PublishedWorkload{}
		for i := range c.old.Workloads {
			before[c.old.Workloads[i].ID] = &c.old.Workloads[i]
		}
		for i := range c.now.Workloads {
			now := &c.now.Workloads[i]
			if old := before[now.ID]; old != nil {
				tell(c.workloadPage[now.ID], now.Label, c.say.Say("changes.fact.metric"), old.Metric, now.Metric)
				tell(c.workloadPage[now.ID], now.Label, c.say.Say("changes.fact.version"), old.Version, now.Version)
				tell(c.workloadPage[now.ID], now.Label, c.say.Say("changes.fact.command"), old.Command, now.Command)
			}
		}
		c.values(tell)
	}
	if told > mostFacts {
		c.remarks = append(c.remarks, Sentence{Text: c.say.Count("changes.fact.more", told-mostFacts)})
	}
}

// values tells which factors have another value in configurations of both editions,
// those with the same step together, and which are called something else.
func (c *comparison) values(tell func(link, of, what, was, now string)) {
	if c.old.Language != c.now.Language {
		return // a value that is not known is so in words
	}
	labels := map[string]string{}
	for _, f := range c.old.Factors {
		labels[f.ID] = f.Label
	}
	before, cost := map[string]map[string]string{}, map[string]string{}
	for _, x := range c.old.Configurations {
		before[x.ID], cost[x.ID] = x.Values, x.Cost
	}
	for _, x := range c.now.Configurations {
		if _, there := before[x.ID]; there {
			tell(c.configurationPage[x.ID], x.Label, c.say.Say("changes.fact.cost"), cost[x.ID], x.Cost)
		}
	}
	type step struct{ was, now string }
	for _, f := range c.now.Factors {
		label, there := labels[f.ID]
		if !there {
			continue // a new one has no value before
		}
		if label != f.Label {
			c.remark("", "changes.renamed", "was", c.quoted(label), "now", c.quoted(f.Label))
		}
		of := map[step][]string{}
		var order []step
		link := map[step]string{}
		for _, x := range c.now.Configurations {
			values, there := before[x.ID]
			s := step{values[f.ID], x.Values[f.ID]}
			if !there || s.was == s.now {
				continue
			}
			if of[s] == nil {
				order = append(order, s)
				link[s] = c.configurationPage[x.ID]
			}
			of[s] = append(of[s], x.Label)
		}
		for _, s := range order {
			names := joinWords(c.say, of[s][:min(len(of[s]), mostNamed)])
			if n := len(of[s]); n > mostNamed {
				names = c.say.Count("changes.fact.configurations", n)
			}
			tell(link[s], names, f.Label, s.was, s.now)
		}
	}
}

// language says that sentences and values are not compared where they are in
// another language than they were.
func (c *comparison) language() {
	if was, now := c.old.Language, c.now.Language; was != now {
		c.remark("", "changes.language", "was", was, "now", now)
	}
}
