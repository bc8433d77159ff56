package project

import (
	"fmt"
	"path"
	"strings"

	"benchwright/schema"
)

// loadConfigurations reads ids first, because a configuration may be based on
// one in a later file.
func (l *loader) loadConfigurations() {
	for _, d := range l.folder.Configurations {
		root := documentNode(d)
		if many := root.get("configurations"); many.isMap() {
			for key, n := range many.pairs() {
				l.newConfiguration(key, key.text(), n)
			}
			continue
		}
		id, at := strings.TrimSuffix(path.Base(d.Path), path.Ext(d.Path)), root
		if own := root.get("id"); own.isScalar() {
			id, at = own.text(), own
		}
		l.newConfiguration(at, id, root)
	}
	l.orderConfigurations()
	for i, c := range l.p.Configurations {
		l.configurationBody(c, l.configs[i])
	}
	l.baseCycles()
	l.loadBaseline()
}

// orderConfigurations puts those first that report.yaml names, in its order.
// Whatever refers to a configuration by its place comes later.
func (l *loader) orderConfigurations() {
	p := l.p
	var order []int
	named := make([]bool, len(p.Configurations))
	for at := range documentNode(l.folder.Report).get("configuration-order").items() {
		// One that is named twice is reported by schema.
		if c, ok := l.configuration(at); ok && !named[c.Index] {
			named[c.Index] = true
			order = append(order, c.Index)
		}
	}
	if len(order) == 0 {
		return
	}
	for i := range named {
		if !named[i] {
			order = append(order, i)
		}
	}
	all, nodes := p.Configurations, l.configs
	p.Configurations, l.configs = nil, nil
	for index, i := range order {
		c := all[i]
		c.Index = index
		p.configAt[c.ID] = index
		p.Configurations, l.configs = append(p.Configurations, c), append(l.configs, nodes[i])
	}
}

func (l *loader) newConfiguration(at node, id string, n node) {
	if first := l.p.Configuration(id); first != nil {
		l.report("duplicate-id", schema.Error, at, fmt.Sprintf("there are two configurations %q", id), "give one of them another id",
			schema.Related{Place: first.Place, Message: "first declared here"})
		return
	}
	c := &Configuration{ID: id, Index: len(l.p.Configurations), Label: n.get("label").text(), Place: at.place(),
		Set: map[int]Value{}, Explained: map[int]string{}}
	if c.Label == "" {
		c.Label = id
	}
	l.p.Configurations = append(l.p.Configurations, c)
	l.p.configAt[id] = c.Index
	l.configs = append(l.configs, n)
}

func (l *loader) configurationBody(c *Configuration, n node) {
	if at := n.get("based-on"); at.here() {
		if base, ok := l.configuration(at); ok {
			c.BasedOn = base.ID
		}
	}
	for key, value := range n.get("set").pairs() {
		if f, ok := l.factor(key); ok {
			if v, ok := l.value(f, value); ok {
				c.Set[f.Index] = v
			}
		}
	}
	c.Displayed = l.identities(n.get("displayed"))
	c.Measured = l.identities(n.get("measured"))
	for key, value := range n.get("explained").pairs() {
		if f, ok := l.factor(key); ok && value.text() != "" {
			c.Explained[f.Index] = value.text()
		}
	}
	c.Cost, c.HasCost = l.number(n.get("cost"), Unit{Factor: 1}, "a cost")
	c.Pictures = l.pictures(n.get("photographs"))
	c.Note = n.get("note").text()
	c.Planned = n.get("planned").yes()
}

// identities reads what was displayed or measured, in the order of the file.
// The values need not be levels: a screen that displays an impossible value is
// worth recording.
func (l *loader) identities(n node) []Identity {
	var list []Identity
	for key, value := range n.pairs() {
		f, ok := l.factor(key)
		if !ok {
			continue
		}
		id := Identity{Factor: f.Index}
		scalar := value
		if value.isMap() {
			scalar = value.get("value")
			id.Where, id.How = value.get("where").text(), value.get("how").text()
			if at := value.get("instrument"); at.here() {
				id.Instrument = l.instrument(at)
			}
		}
		if id.Value, ok = l.plainValue(f, scalar); ok {
			list = append(list, id)
		}
	}
	return list
}

// baseCycles reports configurations that are based on themselves, and cuts the
// ring so that each stands alone.
func (l *loader) baseCycles() {
	all := l.p.Configurations
	for {
		ring := cycle(len(all), func(i int) []int {
			if base := l.p.Configuration(all[i].BasedOn); base != nil {
				return []int{base.Index}
			}
			return nil
		})
		if ring == nil {
			return
		}
		var names []string
		var related []schema.Related
		for k, i := range ring {
			names = append(names, all[i].ID)
			if k > 0 {
				related = append(related, schema.Related{Place: l.configs[i].get("based-on").place(), Message: fmt.Sprintf("%q is based on %q", all[i].ID, all[i].BasedOn)})
			}
		}
		l.report("cyclic-base", schema.Error, l.configs[ring[0]].get("based-on"), "the configurations are based on one another: "+round(names),
			"let one of them state its values itself", related...).Configurations = names
		for _, i := range ring {
			all[i].BasedOn = ""
		}
	}
}

func (l *loader) loadBaseline() {
	at := documentNode(l.folder.Report).get("baseline")
	if !at.here() {
		return
	}
	if c, ok := l.configuration(at); ok {
		l.p.Baseline = c.Index
	}
}
