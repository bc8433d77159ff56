package project

import (
	"benchwright/schema"
)

// Configuration finds a configuration by id; nil when there is none.
func (p *Project) Configuration(id string) *Configuration {
	return at(p.Configurations, p.configAt, id)
}

// Factor finds a factor by id; nil when there is none.
func (p *Project) Factor(id string) *Factor { return at(p.Factors, p.factorAt, id) }

// Workload finds a workload by id; nil when there is none.
func (p *Project) Workload(id string) *Workload { return at(p.Workloads, p.workloadAt, id) }

// Session finds a session by id; nil when there is none.
func (p *Project) Session(id string) *Session { return at(p.Sessions, p.sessionAt, id) }

// Question finds a question by id; nil when there is none.
func (p *Project) Question(id string) *Question { return at(p.Questions, p.questionAt, id) }

// Instrument finds an instrument by id; nil when there is none.
func (p *Project) Instrument(id string) *Instrument { return at(p.Instruments, p.instrumentAt, id) }

// Unit finds a unit that is standard or declared in bench.yaml.
func (p *Project) Unit(symbol string) (Unit, bool) { return p.units.Parse(symbol) }

// ParseQuantity reads a number with a standard or declared unit; see the
// function of that name.
func (p *Project) ParseQuantity(text string) (float64, Unit, error) {
	return p.units.ParseQuantity(text)
}

func at[T any](list []*T, index map[string]int, id string) *T {
	if i, ok := index[id]; ok {
		return list[i]
	}
	return nil
}

// Place is where a reading stands in its result file.
func (p *Project) Place(r Reading) schema.Place {
	if r.File < 0 || int(r.File) >= len(p.ResultFiles) {
		return schema.Place{}
	}
	return schema.Place{File: p.ResultFiles[r.File], Line: int(r.Line), Column: int(r.Column)}
}

// ReadingsOf gives the indices into Readings of every reading of a workload on
// a configuration, derived and failed ones too, in the order of Readings. The
// slice belongs to the project: do not change it.
func (p *Project) ReadingsOf(configuration, workload int) []int {
	cell := configuration*len(p.Workloads) + workload
	if configuration < 0 || workload < 0 || workload >= len(p.Workloads) || cell+1 >= len(p.cellStart) {
		return nil
	}
	from, to := p.cellStart[cell], p.cellStart[cell+1]
	return p.cellReadings[from:to:to]
}

func (p *Project) factorIDs() []string {
	return ids(p.Factors, func(f *Factor) string { return f.ID })
}

func (p *Project) workloadIDs() []string {
	return ids(p.Workloads, func(w *Workload) string { return w.ID })
}

func (p *Project) configurationIDs() []string {
	return ids(p.Configurations, func(c *Configuration) string { return c.ID })
}

func (p *Project) sessionIDs() []string {
	return ids(p.Sessions, func(s *Session) string { return s.ID })
}

func (p *Project) instrumentIDs() []string {
	return ids(p.Instruments, func(i *Instrument) string { return i.ID })
}

func ids[T any](list []*T, id func(*T) string) []string {
	var all []string
	for _, x := range list {
		all = append(all, id(x))
	}
	return all
}
