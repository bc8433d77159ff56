package design

import (
	"hash/fnv"
	"slices"
)

// RunOrder is how the runs of a session are put in order.
type RunOrder uint8

const (
	// Balanced is a random order, chosen so that no studied factor goes with
	// the position in the session.
	Balanced RunOrder = iota
	// Shortest is the order with the least time for swaps.
	Shortest
)

// String gives the word for people and programs.
func (o RunOrder) String() string { return [...]string{"balanced", "shortest"}[o] }

// MarshalText writes the word.
func (o RunOrder) MarshalText() ([]byte, error) { return []byte(o.String()), nil }

// PlanOptions says what session is wanted.
type PlanOptions struct {
	// Repeats wanted of each cell, readings of earlier sessions included; 0
	// takes the project's minimum-repeats.
	Repeats int
	// Session is the id of the session to plan; one that exists is continued.
	Session string
	// Difference, in per cent, that the repeats are to show four times in five; 0:
	// none. Repeats, if named, stand over it.
	Difference float64
	Seed       uint64
	// Minutes of bench time that there are; 0: no limit.
	Minutes float64
	Order   RunOrder
}

// Plan is what is missing and the order of runs of one session. Its slices
// are never nil, and equal inputs give equal plans.
type Plan struct {
	Order   RunOrder `json:"order"`
	Seed    uint64   `json:"seed"`
	Session string   `json:"session,omitempty"`
	// Repeats are those wanted of each cell, at most.
	Repeats     int         `json:"repeats"`
	RepeatsFrom RepeatsFrom `json:"repeatsFrom"`
	Wants       []Want      `json:"missing"`
	// Difference is the one that was named, in per cent; Needed says by workload
	// how many repeats it takes, NeededText what the numbers hold for.
	Difference float64  `json:"difference,omitempty"`
	Needed     []Needed `json:"needed,omitempty"`
	NeededText string   `json:"neededText,omitempty"`
	// Unneeded are the configurations that no question has in a pair.
	Unneeded []string `json:"unneeded"`
	// Rounds in the session. Each visits the configurations that it has to read
	// and ends with the baseline, which is where the next one begins.
	Rounds int     `json:"rounds"`
	Visits []Visit `json:"visits"`
	// Minutes of all swaps and of all workloads, as far as they are stated.
	// What is on the bench before the first visit is not known and not counted.
	SwapMinutes     float64  `json:"swapMinutes"`
	WorkloadMinutes float64  `json:"workloadMinutes"`
	Fairness        Fairness `json:"fairness"`
	// Other is what the other order would come to.
	Other Alternative `json:"otherOrder"`
	// Exact says, for the shortest order, that no shorter one exists.
	Exact bool `json:"exact"`
	// Left lists what the time does not suffice for.
	Left []Left `json:"left"`
	// Summary says in sentences what the session takes and how fair it is;
	// Cautions stand before the runs, Remarks after them.
	Summary  []string `json:"summary"`
	Cautions []string `json:"cautions"`
	Remarks  []string `json:"remarks"`

	// halted: there would be runs, but the baseline lies beyond a limit.
	halted bool
}

// Minutes of the whole session.
func (p *Plan) Minutes() float64 { return p.SwapMinutes + p.WorkloadMinutes }

// Visit is a stretch with one configuration on the bench, in which each of its
// workloads is read once.
type Visit struct {
	// Order in the session, from 1, or on from the last one of a session that
	// is continued.
	Order int `json:"order"`
	// Round from 1; 0 for the visit to the baseline that opens the session.
	Round         int      `json:"round"`
	Configuration string   `json:"configuration"`
	Baseline      bool     `json:"baseline"`
	Changes       []Swap   `json:"changes"`
	Workloads     []string `json:"workloads"`
	// Fewer: not every workload of the session is read.
	Fewer   bool    `json:"fewer"`
	Minutes float64 `json:"minutes"`
	// Cautions of the visit alone; empty since what lies beyond a maker's limit
	// is not visited.
	Cautions []string `json:"cautions"`

	configuration int
	workloads     []int
}

// Swap is one factor that is changed by hand between two visits. From is empty on a
// part that comes into the session: nobody knows how it was left.
type Swap struct {
	Factor  string  `json:"factor"`
	From    string  `json:"from"`
	To      string  `json:"to"`
	Minutes float64 `json:"minutes"`
}

// Fairness says how far the studied factors go with time: the largest
// correlation, in magnitude, of a contrast of a studied factor with the
// position of the visit, and the factor that it belongs to. All are 0 when
// nothing varies.
type Fairness struct {
	// Drift is over the session, with the position; Bend with its square.
	Drift       float64 `json:"drift"`
	DriftFactor string  `json:"driftFactor,omitempty"`
	Bend        float64 `json:"bend"`
	BendFactor  string  `json:"bendFactor,omitempty"`
	// Within is the worst over the rounds, each by itself.
	Within       float64 `json:"within"`
	WithinFactor string  `json:"withinFactor,omitempty"`
}

// Alternative sums up an order that was not chosen.
type Alternative struct {
	Order       RunOrder `json:"order"`
	SwapMinutes float64  `json:"swapMinutes"`
	Swaps       int      `json:"swaps"`
	Fairness    Fairness `json:"fairness"`
}

// Left is a configuration for which the session has no time, or not enough.
type Left struct {
	Configuration string `json:"configuration"`
	// Repeats are those that the session does not read, over its workloads the
	// largest number.
	Repeats int `json:"repeats"`
	// Whole: the session does not visit it at all.
	Whole bool `json:"whole"`
}

// Plan says what the questions lack and in which order to run it in one
// session. It works on a folder with or without readings.
//
// The session begins with the baseline and returns to it after each round.
// Each round visits every configuration that still needs a repeat then, and
// repeats are spread over the rounds, so that none is read in one block. Every
// second round runs backwards, which takes an even drift out of all
// differences (counterbalancing; NIST/SEMATECH e-Handbook of Statistical
// Methods, 5.3.3.2, on blocks and randomisation).
func (s *Space) Plan(o PlanOptions) Plan {
	repeats, from := s.repeats(o.Repeats)
	session := -1
	if x := s.p.Session(o.Session); x != nil {
		session = x.Index
	}
	d := s.demand(o, repeats, session)
	if o.Difference > 0 && from != AsAsked {
		from = ByDifference
		for _, x := range d.needed {
			repeats = max(repeats, x.Wanted)
		}
	}
	p := Plan{Order: o.Order, Seed: o.Seed, Session: o.Session, Repeats: repeats, RepeatsFrom: from, Wants: d.wants, Unneeded: []string{},
		Visits: []Visit{}, Left: []Left{}, Summary: []string{}, Cautions: []string{}, Remarks: []string{},
		Other: Alternative{Order: 1 - o.Order}}
	if len(d.configurations) > 0 {
		pl := s.newPlanner(d, o)
		chosen, fits := pl.fit()
		if fits {
			pl.write(&p, chosen)
		}
		pl.leave(&p, fits)
		pl.remark(&p)
	}
	p.halted = d.noBaseline
	if o.Difference > 0 {
		p.Difference, p.Needed = o.Difference, d.needed
		p.NeededText = s.seenText(o.Difference)
	}
	if text := s.repeatsText(&p); text != "" {
		p.Remarks = slices.Insert(p.Remarks, 0, text)
	}
	if d.uncounted != "" {
		p.Remarks = append(p.Remarks, d.uncounted)
	}
	s.limitText(&p, d)
	unneeded := s.unneeded()
	p.Unneeded = append(p.Unneeded, s.configurationIDs(unneeded)...)
	if text := s.unneededText(unneeded); text != "" {
		p.Remarks = append(p.Remarks, text)
	}
	return p
}

// planner holds what does not change between the schedules that are tried.
// Configurations are counted within the plan, the baseline first.
type planner struct {
	s *Space
	o PlanOptions
	// session is the index of the session to plan, −1 when it is a new one.
	session        int
	configurations []int // into Project.Configurations
	need           [][]int
	units          []unit
	failed         func(configuration, workload int) bool
	joined         map[int][][]int
	alongside      []int
	// class of each configuration by factor, in the session; byHand lists the
	// factors that a person sets.
	table  *runs
	byHand []int
	// cost of a swap: minutes, and a little for each factor so that equal
	// minutes prefer fewer changes. minutes is without that.
	cost, minutes [][]float64
	contrasts     []contrast
	tours         map[string]tour
}

func (s *Space) newPlanner(d demand, o PlanOptions) *planner {
	pl := &planner{s: s, o: o, session: -1, configurations: d.configurations, need: d.need, units: d.units, failed: d.failed, joined: d.joined, alongside: d.alongside, tours: map[string]tour{}}
	if x := s.p.Session(o.Session); x != nil {
		pl.session = x.Index
	}
	pl.classify()
	pl.findCosts()
	pl.findContrasts()
	return pl
}

// write fills in the plan.
func (pl *planner) write(p *Plan, c *schedule) {
	list, ends := c.sequence()
	if len(list) == len(c.rounds)+1 { // the baseline alone
		list, ends = make([]int, len(c.baseline)), []int{0, len(c.baseline) - 1}
	}
	var all []int
	for _, workloads := range c.baseline {
		all = append(all, workloads...)
	}
	for _, round := range c.reads {
		all = append(all, slices.Concat(round...)...)
	}
	slices.Sort(all)
	all = slices.Compact(all)

	p.Rounds = len(c.rounds)
	p.SwapMinutes, p.WorkloadMinutes = pl.time(c)
	p.Fairness = pl.fairness(list, ends)
	p.Exact = c.exact
	first := pl.visitsSoFar()
	round, place := 0, 0
	steps := pl.walk(list)
	for v, i := range list {
		visit := Visit{Order: first + v + 1, Baseline: i == 0, configuration: pl.configurations[i], Changes: []Swap{}, Cautions: []string{}}
		visit.Configuration = pl.s.p.Configurations[visit.configuration].ID
		if v > 0 {
			visit.Round = round + 1
			visit.Changes = pl.swaps(steps[v])
			visit.Minutes = pl.minutesOf(steps[v])
		}
		switch {
		case i != 0:
			visit.workloads = c.reads[round][place]
			place++
		case v == 0:
			visit.workloads = c.baseline[0]
		default:
			round, place = round+1, 0
			visit.workloads = c.baseline[round]
		}
		visit.Workloads = []string{}
		for _, w := range visit.workloads {
			visit.Workloads = append(visit.Workloads, pl.s.p.Workloads[w].ID)
		}
		visit.Minutes += pl.workMinutes(visit.workloads)
		visit.Fewer = len(visit.workloads) < len(all)
		p.Visits = append(p.Visits, visit)
	}
	other := pl.schedule(c.need, p.Other.Order)
	p.Other.SwapMinutes, _ = pl.time(other)
	list, ends = other.sequence()
	p.Other.Fairness = pl.fairness(list, ends)
	for _, changes := range pl.walk(list) {
		p.Other.Swaps += len(changes)
	}
}

// visitsSoFar is the last place taken in a session that is continued.
func (pl *planner) visitsSoFar() (last int) {
	for i := range pl.s.p.Readings {
		if r := &pl.s.p.Readings[i]; pl.session >= 0 && int(r.Session) == pl.session {
			last = max(last, int(r.Order))
		}
	}
	return last
}

// random gives the source of chance for a session: another session of the same
// seed has another order.
func (pl *planner) random() (uint64, uint64) {
	h := fnv.New64a()
	h.Write([]byte(pl.o.Session))
	return pl.o.Seed, h.Sum64()
}
