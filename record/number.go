package record

import (
	"benchwright/project"
	"benchwright/schema"
)

// number fills in repeats and places in the order of the session: the next
// ones that are free, but for an order that is to stay open. Readings of one configuration and repeat that follow
// each other are one visit and share their place, across calls too: what was
// recorded last may still be going on. A repeat that was given and is there
// already is a finding.
func number(p *project.Project, readings []Reading) []schema.Finding {
	type cell struct{ configuration, workload, session string }
	type visit struct {
		configuration string
		repeat, order int
	}
	taken := map[cell]map[int]schema.Related{}
	last := map[string]visit{} // by session
	take := func(k cell, repeat int, by schema.Related) {
		if taken[k] == nil {
			taken[k] = map[int]schema.Related{}
		}
		taken[k][repeat] = by
	}
	for _, r := range p.Readings {
		if r.Derived || r.Session < 0 {
			continue
		}
		s, c := p.Sessions[r.Session].ID, p.Configurations[r.Configuration].ID
		take(cell{c, p.Workloads[r.Workload].ID, s}, int(r.Repeat), schema.Related{Place: p.Place(r), Message: "it stands here"})
		if r.Order > 0 && int(r.Order) >= last[s].order {
			last[s] = visit{c, int(r.Repeat), int(r.Order)}
		}
	}
	var bad []schema.Finding
	for i := range readings {
		r := &readings[i]
		r.repeatGiven, r.orderGiven = r.Repeat > 0, r.Order > 0
		k := cell{r.Configuration, r.Workload, r.Session}
		if by, there := taken[k][r.Repeat]; there && r.repeatGiven {
			bad = append(bad, takenRepeat(*r, by))
			continue
		}
		next := 1
		// One more than the highest: a gap may have been left on purpose.
		for repeat := range taken[k] {
			next = max(next, repeat+1)
		}
		if !r.repeatGiven {
			r.Repeat = next
		}
		take(k, r.Repeat, schema.Related{Place: r.At, Message: "it is given here"})
		if r.OrderOpen {
			continue
		}
		v := last[r.Session]
		if r.Order == 0 {
			r.Order = max(v.order, 1)
			if v.configuration != r.Configuration || v.repeat != r.Repeat {
				r.Order = v.order + 1
			}
		}
		if r.Order >= v.order {
			last[r.Session] = visit{r.Configuration, r.Repeat, r.Order}
		}
	}
	return bad
}

// takenRepeat reports a repeat that another reading has.
func takenRepeat(r Reading, by schema.Related) schema.Finding {
	f := finding("duplicate-reading", r.At, "give it another number, or none: then it gets the next that is free",
		"repeat %d of %q on %q in session %q is here already", r.Repeat, r.Workload, r.Configuration, r.Session)
	f.Configurations, f.Workloads, f.Related = []string{r.Configuration}, []string{r.Workload}, []schema.Related{by}
	if f.File == "" {
		f.Place, f.Related = by.Place, nil
	}
	return f
}
