package report

import "slices"

// The kinds of headline.
const (
	headlineComposite = "composite"
	headlineEffect    = "largest-effect"
	headlineValue     = "value"
)

// headlines are what the overview names first: of each composite the best of those
// tested, the largest effect, and what the money buys. The next edition says when
// one of them names another.
func (r *Report) headlines() []PublishedHeadline {
	say := r.work.say
	var out []PublishedHeadline
	for i := range r.Composites {
		c := &r.Composites[i]
		if c.Sentence.Text == "" {
			continue
		}
		var best []int
		for _, o := range c.Order {
			if o.Rank == 1 {
				best = append(best, o.Configuration)
			}
		}
		// Whoever is level with the others is named in no order that means anything.
		slices.Sort(best)
		first := c.Rows[c.Order[0].Configuration].Figure
		out = append(out, PublishedHeadline{headlineComposite, c.ID, r.configurationIDs(best),
			say.Say("changes.headline.named", "names", joinWords(say, r.names(best)), "effect", first.Text)})
	}
	for n := range r.Insights {
		switch i := &r.Insights[n]; i.Kind {
		case "largest-effect":
			e := &r.Effects.Ranking[0]
			out = append(out, PublishedHeadline{headlineEffect, "", []string{r.Project.Factors[e.Factor].ID, e.From, e.To},
				say.Say("changes.headline.named", "names", e.Label, "effect", e.Effect.Text)})
		case "value":
			out = append(out, PublishedHeadline{headlineValue, "", i.lead[:], i.plain})
		}
	}
	return out
}

func (r *Report) configurationIDs(all []int) []string {
	out := make([]string, len(all))
	for i, c := range all {
		out[i] = r.Project.Configurations[c].ID
	}
	return out
}
