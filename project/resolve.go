package project

import (
	"fmt"
	"slices"
	"strings"

	"benchwright/schema"
)

// resolution works out the values of one configuration, in one session or in
// none. The first of these that says something wins: the session, the
// configuration itself, what it is based on (nearest first), a level of another
// factor that brings the value, the values common to all, what was measured,
// what was displayed, what is derived.
type resolution struct {
	p       *Project
	c       *Configuration
	chain   []*Configuration // what it is based on, nearest first
	session *Session         // nil: none
	brought map[int][]bringer
	values  []Resolved
	state   []uint8
	// clash is told of levels that bring different values for one factor.
	clash func(factor int, a, b bringer)
}

const (
	unresolved = iota
	resolving
	settled
)

// resolve gives the value of every factor.
func (r *resolution) resolve() []Resolved {
	r.values = make([]Resolved, len(r.p.Factors))
	r.state = make([]uint8, len(r.p.Factors))
	for i := range r.values {
		r.value(i)
	}
	return r.values
}

func (r *resolution) value(i int) Resolved {
	switch r.state[i] {
	case settled:
		return r.values[i]
	case resolving:
		// Levels that bring one another's values: this way round says nothing.
		return Resolved{}
	}
	r.state[i] = resolving
	r.values[i] = r.find(i)
	r.state[i] = settled
	return r.values[i]
}

func (r *resolution) find(i int) Resolved {
	if r.session != nil {
		if v, ok := r.session.Values[i]; ok {
			return Resolved{v, FromSession, r.session.ID}
		}
	}
	if v, ok := r.c.Set[i]; ok {
		return Resolved{v, FromOwn, r.c.ID}
	}
	for _, base := range r.chain {
		if v, ok := base.Set[i]; ok {
			return Resolved{v, FromBase, base.ID}
		}
	}
	if v, ok := r.bring(i); ok {
		return v
	}
	if v, ok := r.p.Common[i]; ok {
		return Resolved{v, FromCommon, "bench"}
	}
	if v, ok := identityOf(r.c.Measured, i); ok {
		return Resolved{v, FromMeasured, r.c.ID}
	}
	if v, ok := identityOf(r.c.Displayed, i); ok {
		return Resolved{v, FromDisplayed, r.c.ID}
	}
	if v, ok := r.derived(i); ok {
		return Resolved{v, FromDerived, r.p.Factors[i].ID}
	}
	return Resolved{}
}

func identityOf(list []Identity, factor int) (Value, bool) {
	for _, id := range list {
		if id.Factor == factor {
			return id.Value, true
		}
	}
	return Value{}, false
}

// bring looks for a level that brings a value along.
func (r *resolution) bring(i int) (Resolved, bool) {
	var first bringer
	found := false
	for _, b := range r.brought[i] {
		leader := r.p.Factors[b.factor]
		if !equalLevel(r.value(b.factor).Value, leader.Levels[b.level].Value) {
			continue
		}
		switch {
		case !found:
			first, found = b, true
		case b.factor != first.factor && !equalLevel(b.value, first.value) && r.clash != nil:
			r.clash(i, first, b)
		}
	}
	if !found {
		return Resolved{}, false
	}
	return Resolved{first.value, FromPart, r.p.Factors[first.factor].ID}, true
}

// derived computes a factor from others, when all of them are known.
func (r *resolution) derived(i int) (Value, bool) {
	f := r.p.Factors[i]
	if f.Derived == nil {
		return Value{}, false
	}
	v, ok := f.Derived.evaluate(f.Unit, func(t *Term) (float64, Unit, bool) {
		of := r.value(t.Index)
		return of.Number, t.Unit, of.State == Known && of.Numeric
	})
	if !ok {
		return Value{}, false
	}
	return Value{State: Known, Numeric: true, Number: v, Text: numberText(v), Place: f.Derived.Place}, true
}

// resolveAll resolves every configuration.
func (l *loader) resolveAll() {
	for i, c := range l.p.Configurations {
		r := l.resolution(i)
		r.clash = func(factor int, a, b bringer) {
			f := l.p.Factors[factor]
			one, other := l.p.Factors[a.factor], l.p.Factors[b.factor]
			found := l.reportAt("brings-conflict", schema.Error, c.Place, 0,
				fmt.Sprintf("in the configuration %q, %q brings %s %s and %q brings %s", c.ID, one.ID, f.ID, plain(f, a.value), other.ID, plain(f, b.value)),
				fmt.Sprintf("state the value in the configuration: set: {%s: …}", f.ID),
				schema.Related{Place: a.value.Place, Message: fmt.Sprintf("brought by %q", one.ID)},
				schema.Related{Place: b.value.Place, Message: fmt.Sprintf("brought by %q", other.ID)})
			found.Configurations, found.Factors = []string{c.ID}, []string{f.ID, one.ID, other.ID}
		}
		c.Values = r.resolve()
	}
	for _, c := range l.p.Configurations {
		l.staleFollowers(c)
	}
}

// staleFollowers warns of a value that came from the base although the
// configuration has changed the part that would bring another.
func (l *loader) staleFollowers(c *Configuration) {
	for i, v := range c.Values {
		if v.Origin != FromBase {
			continue
		}
		f, base := l.p.Factors[i], l.p.Configuration(v.From)
		for _, b := range l.p.brought[i] {
			leader := l.p.Factors[b.factor]
			level := leader.Levels[b.level].Value
			if !equalLevel(c.Values[b.factor].Value, level) || equalLevel(base.Values[b.factor].Value, level) || equalLevel(b.value, v.Value) {
				continue
			}
			found := l.reportAt("stale-follower", schema.Warning, c.Place, 0,
				fmt.Sprintf("%q keeps %s %s from %q, although its %s brings %s", c.ID, f.ID, plain(f, v.Value), base.ID, leader.ID, plain(f, b.value)),
				fmt.Sprintf("state the value in the configuration: set: {%s: …}", f.ID),
				schema.Related{Place: v.Place, Message: fmt.Sprintf("stated for %q", base.ID)},
				schema.Related{Place: b.value.Place, Message: fmt.Sprintf("brought by %q", leader.ID)})
			found.Configurations, found.Factors = []string{c.ID, base.ID}, []string{f.ID, leader.ID}
		}
	}
}

// plain is a value for a sentence.
func plain(f *Factor, v Value) string { return strings.ReplaceAll(FormatLevel(f, v), "\u00a0", " ") }

func (l *loader) resolution(configuration int) *resolution {
	return l.p.resolution(configuration, -1)
}

// resolution prepares the values of a configuration in a session (−1: none).
func (p *Project) resolution(configuration, session int) *resolution {
	r := &resolution{p: p, c: p.Configurations[configuration], brought: p.brought}
	if session >= 0 {
		r.session = p.Sessions[session]
	}
	seen := []*Configuration{r.c}
	for c := p.Configuration(r.c.BasedOn); c != nil && !slices.Contains(seen, c); c = p.Configuration(c.BasedOn) {
		r.chain = append(r.chain, c)
		seen = append(seen, c)
	}
	return r
}

// ValueIn is a factor's value in a configuration while it was tested in a
// session: what the session states wins, with all that follows from it. A
// session of −1 gives the configuration's own value.
func (p *Project) ValueIn(configuration, session, factor int) Resolved {
	if session >= 0 && len(p.Sessions[session].Values) > 0 {
		if values, ok := p.inSession[[2]int{configuration, session}]; ok {
			return values[factor]
		}
		return p.resolution(configuration, session).resolve()[factor]
	}
	return p.Configurations[configuration].Values[factor]
}

// DerivedValue computes a derived factor from the other values of a
// configuration in a session (−1: none), whether or not a value is also stated:
// what a checker compares with the stated one. It reports false when the factor
// is not derived or a part of the formula is not known.
func (p *Project) DerivedValue(configuration, session, factor int) (Value, bool) {
	r := p.resolution(configuration, session)
	r.values = make([]Resolved, len(p.Factors))
	r.state = make([]uint8, len(p.Factors))
	return r.derived(factor)
}

// valueIn is ValueIn while loading: it works the values out once for a
// configuration and session.
func (l *loader) valueIn(configuration, session, factor int) Resolved {
	l.resolveIn(configuration, session)
	return l.p.ValueIn(configuration, session, factor)
}

func (l *loader) resolveIn(configuration, session int) {
	p := l.p
	if session < 0 || len(p.Sessions[session].Values) == 0 {
		return
	}
	key := [2]int{configuration, session}
	if _, ok := p.inSession[key]; !ok {
		p.inSession[key] = p.resolution(configuration, session).resolve()
	}
}

// resolveSessions works out, once, the values of each configuration in each
// session that has readings of it and values of its own.
func (l *loader) resolveSessions() {
	lastConfiguration, lastSession := int32(-1), int32(-1)
	for i := range l.p.Readings {
		r := &l.p.Readings[i]
		if r.Configuration != lastConfiguration || r.Session != lastSession {
			l.resolveIn(int(r.Configuration), int(r.Session))
		}
		lastConfiguration, lastSession = r.Configuration, r.Session
	}
}
