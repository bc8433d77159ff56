package record

import "benchwright/project"

// number fills in repeats and places in the order of the session: the next
// ones that are free. Readings of one configuration and repeat that follow
// each other are one visit and share their place, across calls too: what was
// recorded last may still be going on.
func number(p *project.Project, readings []Reading) {
	type cell struct{ configuration, workload, session string }
	type visit struct {
		configuration string
		repeat, order int
	}
	taken := map[cell]map[int]bool{}
	last := map[string]visit{} // by session
	take := func(k cell, repeat int) {
		if taken[k] == nil {
			taken[k] = map[int]bool{}
		}
		taken[k][repeat] = true
	}
	for _, r := range p.Readings {
		if r.Derived || r.Session < 0 {
			continue
		}
		s, c := p.Sessions[r.Session].ID, p.Configurations[r.Configuration].ID
		take(cell{c, p.Workloads[r.Workload].ID, s}, int(r.Repeat))
		if int(r.Order) >= last[s].order {
			last[s] = visit{c, int(r.Repeat), int(r.Order)}
		}
	}
	for i := range readings {
		r := &readings[i]
		k := cell{r.Configuration, r.Workload, r.Session}
		if r.Repeat == 0 {
			// One more than the highest: a gap may have been left on purpose.
			for repeat := range taken[k] {
				r.Repeat = max(r.Repeat, repeat)
			}
			r.Repeat++
		}
		take(k, r.Repeat)
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
}
