package design

import (
	"fmt"
	"slices"

	"benchwright/project"
	"benchwright/schema"
)

// identityTolerance is how far set, displayed, measured and computed numbers
// may lie apart when a factor declares no tolerance of its own: nominal values
// are rounded (a 66 MHz bus runs at 66.7), and instruments have their error.
// Common practice, no source.
var identityTolerance = project.Tolerance{Relative: 0.02}

// conform compares two values of a factor that come from different ways of
// finding out.
func (s *Space) conform(f int, a, b project.Value, extra project.Tolerance) bool {
	factor := s.p.Factors[f]
	if a.State != project.Known || b.State != project.Known {
		return true
	}
	if !a.Numeric || !b.Numeric {
		return a.Text == b.Text && a.Numeric == b.Numeric
	}
	tolerance := factor.Tolerance
	if tolerance == (project.Tolerance{}) {
		tolerance = identityTolerance
	}
	return tolerance.Allows(a.Number, b.Number) || extra.Allows(a.Number, b.Number)
}

func identity(list []project.Identity, f int) *project.Identity {
	if i := slices.IndexFunc(list, func(d project.Identity) bool { return d.Factor == f && d.Value.State == project.Known }); i >= 0 {
		return &list[i]
	}
	return nil
}

// resolutionOf is the step of the instrument that a value was measured with, in
// the factor's unit; none where nobody said.
func (s *Space) resolutionOf(measured *project.Identity, f int) (step project.Tolerance) {
	if instrument := s.p.Instrument(measured.Instrument); instrument != nil {
		if r, ok := instrument.Measures.ConvertDifference(instrument.Resolution, s.p.Factors[f].Unit); ok {
			step.Absolute = r
		}
	}
	return step
}

// stated gives the value that was set: not one that was only displayed,
// measured or computed.
func (s *Space) stated(c, f int) (project.Resolved, bool) {
	v := s.p.Configurations[c].Values[f]
	switch v.Origin {
	case project.FromMeasured, project.FromDisplayed, project.FromDerived, project.FromNowhere:
		return v, false
	}
	return v, v.State == project.Known
}

func (in *inquiry) explained(c, f int) bool {
	return in.p.Configurations[c].Explained[f] != ""
}

// eachIdentity calls do for every factor of every configuration whose identity
// is not explained away.
func (in *inquiry) eachIdentity(do func(c, f int, displayed, measured *project.Identity)) {
	for c, configuration := range in.p.Configurations {
		for f := range in.s.factors {
			if in.explained(c, f) {
				continue
			}
			do(c, f, identity(configuration.Displayed, f), identity(configuration.Measured, f))
		}
	}
}

func derivedDisagrees() Rule {
	return Rule{
		Name: "derived-disagrees", Group: Identity, Severity: schema.Warning,
		Title: "A computed value disagrees with what was set, displayed or measured",
		What: "A factor has a declared formula (bus clock × multiplier = core clock), and the value that was set, displayed or measured is not what it gives, " +
			"within the formula's tolerance, else the factor's, else 2 %.",
		Why: "66 MHz × 6 is 400 MHz as far as nominal values go; 375 MHz is not. One of the numbers is wrong, and with it perhaps the identity " +
			"of the machine that was tested.",
		Remedy: "Find out which one is wrong: measure, read the jumpers again, look at another screen. Correct it, or write the reason under `explained`.",
		Source: "common practice, no source",
		look: func(in *inquiry) {
			for f, factor := range in.p.Factors {
				if factor.Derived == nil {
					continue
				}
				for c, configuration := range in.p.Configurations {
					if in.explained(c, f) {
						continue
					}
					computed, ok := in.p.DerivedValue(c, -1, f)
					if !ok || computed.State != project.Known {
						continue
					}
					finding := schema.Finding{Factors: []string{factor.ID}, Configurations: []string{configuration.ID}}
					var disagree []string
					compare := func(how string, v project.Value) {
						if v.State != project.Known || in.agreesWith(f, computed, v) {
							return
						}
						if finding.Place.File == "" {
							finding.Place = v.Place
						}
						disagree = append(disagree, in.s.valueText(f, v)+" was "+how)
					}
					if v, ok := in.s.stated(c, f); ok {
						compare("set", v.Value)
					}
					if d := identity(configuration.Measured, f); d != nil {
						compare("measured", d.Value)
					}
					if d := identity(configuration.Displayed, f); d != nil {
						compare("displayed", d.Value)
					}
					if len(disagree) == 0 {
						continue
					}
					finding.Message = fmt.Sprintf("%s of %q comes to %s, but %s", factor.ID, configuration.ID, in.s.valueText(f, rounded(computed)), listOf(disagree))
					finding.Remedy = fmt.Sprintf("find out which is wrong and correct it, or write the reason under explained: %s", factor.ID)
					for _, term := range slices.Concat(factor.Derived.Times, factor.Derived.Over) {
						if term.Kind == project.FactorTerm {
							in.relate(&finding, c, term.Index)
						}
					}
					in.add(finding)
				}
			}
		},
	}
}

// agreesWith compares a computed value with another by the formula's tolerance.
func (in *inquiry) agreesWith(f int, computed, v project.Value) bool {
	tolerance := in.p.Factors[f].Derived.Tolerance
	if tolerance == (project.Tolerance{}) {
		return in.s.conform(f, computed, v, project.Tolerance{})
	}
	return !v.Numeric || tolerance.Allows(computed.Number, v.Number)
}

// rounded keeps a computed number to what can be read.
func rounded(v project.Value) project.Value {
	if v.Numeric {
		v.Text = number(v.Number)
	}
	return v
}

func displayedNeverResolved() Rule {
	return Rule{
		Name: "displayed-never-resolved", Group: Identity, Severity: schema.Warning,
		Title:  "The machine displayed something else than was set, and nobody measured",
		What:   "What the machine displayed for a factor differs from what was set, there is no measurement to decide, and no explanation.",
		Why:    "Either the setting was not taken, and another machine was tested than the report says; or the display is wrong, and viewers who see it will doubt the rest.",
		Remedy: "Measure it, or find a second way to read it, and write that under `measured`; or write the reason under `explained`.",
		Source: "common practice, no source",
		look: func(in *inquiry) {
			in.eachIdentity(func(c, f int, displayed, measured *project.Identity) {
				set, ok := in.s.stated(c, f)
				if displayed == nil || measured != nil || !ok || in.s.conform(f, set.Value, displayed.Value, project.Tolerance{}) {
					return
				}
				if factor := in.p.Factors[f]; factor.Derived != nil {
					if computed, ok := in.p.DerivedValue(c, -1, f); ok && !in.agreesWith(f, computed, displayed.Value) {
						return // derived-disagrees reports it
					}
				}
				id, name := in.p.Factors[f].ID, in.configurationID(c)
				finding := schema.Finding{Place: displayed.Value.Place, Factors: []string{id}, Configurations: []string{name},
					Message: fmt.Sprintf("%s of %q was set to %s, but %s was displayed, and nothing was measured", id, name,
						in.s.valueText(f, set.Value), in.s.valueText(f, displayed.Value)),
					Remedy: fmt.Sprintf("measure it, or write the reason under explained: %s", id)}
				if set.Place.File != "" {
					finding.Related = []schema.Related{{Place: set.Place, Message: "set here"}}
				}
				in.add(finding)
			})
		},
	}
}

func measuredDisagrees() Rule {
	return Rule{
		Name: "measured-disagrees", Group: Identity, Severity: schema.Warning,
		Title: "A measurement disagrees with what was set or displayed",
		What: "The measured value of a factor differs from the one that was set or displayed by more than the factor's tolerance " +
			"(2 % when none is declared) and the instrument's resolution, and no explanation is given.",
		Why:    "The readings belong to the machine as it was. If the measurement is right, the report names another machine.",
		Remedy: "Correct the value that was set, or write under `explained` why the two differ and which one counts.",
		Source: "common practice, no source",
		look: func(in *inquiry) {
			in.eachIdentity(func(c, f int, displayed, measured *project.Identity) {
				if measured == nil {
					return
				}
				step := in.s.resolutionOf(measured, f)
				factor, name := in.p.Factors[f], in.configurationID(c)
				finding := schema.Finding{Place: measured.Value.Place, Factors: []string{factor.ID}, Configurations: []string{name}}
				var disagree []string
				if set, ok := in.s.stated(c, f); ok && !in.s.conform(f, set.Value, measured.Value, step) {
					disagree = append(disagree, in.s.valueText(f, set.Value)+" was set")
					if set.Place.File != "" {
						finding.Related = append(finding.Related, schema.Related{Place: set.Place, Message: "set here"})
					}
				}
				if displayed != nil && !in.s.conform(f, displayed.Value, measured.Value, step) {
					disagree = append(disagree, in.s.valueText(f, displayed.Value)+" was displayed")
					finding.Related = append(finding.Related, schema.Related{Place: displayed.Value.Place, Message: "displayed"})
				}
				if len(disagree) == 0 {
					return
				}
				if factor.Derived != nil {
					if computed, ok := in.p.DerivedValue(c, -1, f); ok && !in.agreesWith(f, computed, measured.Value) {
						return // derived-disagrees reports it
					}
				}
				finding.Message = fmt.Sprintf("%s of %q was measured as %s, but %s", factor.ID, name, in.s.valueText(f, measured.Value), listOf(disagree))
				finding.Remedy = fmt.Sprintf("correct what was set, or write the reason under explained: %s", factor.ID)
				in.add(finding)
			})
		},
	}
}

func measuredOnSome() Rule {
	return Rule{
		Name: "measured-on-some", Group: Identity, Severity: schema.Notice,
		Title:  "A factor was measured on most configurations, not on all",
		What:   "A factor has a measured value on more than half of the configurations that were read, three at least, and none on the others.",
		Why:    "It was worth measuring; where it was not, the set value is taken on trust.",
		Remedy: "Measure it on the others too, or say in the factor's note why it was not necessary.",
		Source: "common practice, no source",
		look: func(in *inquiry) {
			if !in.s.anyRead {
				return
			}
			counted := in.s.counted()
			for f, factor := range in.p.Factors {
				var without []int
				for _, c := range counted {
					if identity(in.p.Configurations[c].Measured, f) == nil {
						without = append(without, c)
					}
				}
				with := len(counted) - len(without)
				if with < 3 || with <= len(without) || len(without) == 0 {
					continue
				}
				in.add(schema.Finding{Place: in.p.Configurations[without[0]].Place, Factors: []string{factor.ID}, Configurations: in.s.configurationIDs(without),
					Message: fmt.Sprintf("%s was measured on %d configurations, but not on %s", factor.ID, with, quoted(in.s.configurationIDs(without))),
					Remedy:  "measure it there too, or say in the factor's note why not"})
			}
		},
	}
}

func beyondMakersLimit() Rule {
	return Rule{
		Name: "beyond-makers-limit", Group: Safety, Severity: schema.Warning,
		Title: "A configuration lies beyond a maker's limit",
		What: "A factor's value, as set, as stated for a session, or as measured, lies outside the limit that bench.yaml gives for it. Configurations that are only planned count too. " +
			"No plan visits them, and no remedy asks for a run beyond a limit.",
		Why: "Beyond its limits a part may fail at once or later, and a burn, a fire or the loss of data may come of it. " +
			"Others will copy what a report shows.",
		Remedy: "Keep within the maker's data, which take precedence over anything written here. If the readings stay in the report, " +
			"the caution stands on the configuration's page; leave work on mains voltage to licensed people.",
		Source: "the limit's own source, as declared in bench.yaml",
		look: func(in *inquiry) {
			for f := range in.p.Factors {
				in.beyond(f)
			}
		},
	}
}

// beyond reports the values of a factor outside its limit, configurations that
// share a value and its place together.
func (in *inquiry) beyond(f int) {
	factor := in.p.Factors[f]
	limit := factor.Limit
	if !limited(factor) {
		return
	}
	type excess struct {
		place          schema.Place
		value, how     string
		side           string
		bound          float64
		configurations []string
		indices        []int
	}
	var list []excess
	for c, configuration := range in.p.Configurations {
		values := in.s.ValuesOf(c, f)
		how := make([]string, len(values))
		for i, v := range values {
			how[i] = in.during(v)
		}
		if d := identity(configuration.Measured, f); d != nil && in.p.Configurations[c].Values[f].Origin != project.FromMeasured {
			values, how = append(slices.Clone(values), project.Resolved{Value: d.Value}), append(how, ", as measured")
		}
		for i, v := range values {
			found, ok := excessOf(factor, f, v.Value)
			if !ok {
				continue
			}
			e := excess{place: v.Place, value: in.s.valueText(f, v.Value), how: how[i], side: "below", bound: found.Limit}
			if found.Above {
				e.side = "above"
			}
			if e.place.File == "" {
				e.place = configuration.Place
			}
			at := slices.IndexFunc(list, func(o excess) bool { return o.place == e.place && o.value == e.value && o.how == e.how })
			if at < 0 {
				at = len(list)
				list = append(list, e)
			}
			list[at].configurations = append(list[at].configurations, configuration.ID)
			list[at].indices = append(list[at].indices, c)
		}
	}
	source := ""
	if limit.Source != "" {
		source = " (" + limit.Source + ")"
	}
	for _, e := range list {
		finding := schema.Finding{Place: e.place, Factors: []string{factor.ID}, Configurations: e.configurations,
			Questions: in.questionsWith(e.indices...), // whose answers must not be called clean without a word
			Message: fmt.Sprintf("%s is %s in %s%s, %s the maker's limit of %s%s", factor.ID, e.value, quoted(e.configurations), e.how, e.side,
				withUnit(e.bound, factor.Unit), source),
			Remedy: "keep within the maker's data; parts beyond them may fail, and with mains, heat or batteries people may come to harm"}
		if limit.Place.File != "" {
			finding.Related = []schema.Related{{Place: limit.Place, Message: "the limit"}}
		}
		in.add(finding)
	}
}
