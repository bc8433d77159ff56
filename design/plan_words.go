package design

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// duration writes minutes as people say them, rounded up to the minute:
// "45 min", "2 h 5 min".
func duration(minutes float64) string {
	whole := int(math.Ceil(minutes - slack))
	hours, rest := whole/60, whole%60
	switch {
	case hours == 0:
		return fmt.Sprintf("%d%smin", rest, nbsp)
	case rest == 0:
		return fmt.Sprintf("%d%sh", hours, nbsp)
	}
	return fmt.Sprintf("%d%sh%s%d%smin", hours, nbsp, nbsp, rest, nbsp)
}

// available writes the time that there is. Unlike a duration it is not rounded
// up: a session of the minute above does not fit into it.
func available(minutes float64) string {
	if minutes != math.Trunc(minutes) {
		return number(minutes) + nbsp + "min"
	}
	return duration(minutes)
}

// wantText says what one question lacks. Configurations that lack the same are
// named together.
func (s *Space) wantText(x *Want, a Answerability, wanted []int) []string {
	text := []string{}
	if x.Question != "" && !x.Answerable {
		sentence := "no matched pair yet"
		if remedy := s.remedy(a); remedy != "" {
			sentence += ": " + remedy
			if len(a.Unrecorded) == 0 && len(a.Missing) > 0 {
				sentence += "; write it into configurations and plan again"
			} else if a.Again != nil && len(x.Companions) > 0 {
				sentence += "; the session below does"
			}
		}
		return append(text, sentence)
	}
	if !x.within && len(x.leftOut) > 0 && x.Question != "" && !a.Measured {
		return append(text, s.notProposed(x.beyond))
	}
	workloads := s.readFor(-1)
	if q := s.p.Question(x.Question); q != nil {
		workloads = s.readFor(q.Index)
	}
	text = append(text, s.cellText(x.Cells, len(workloads))...)
	if n := len(x.Companions); n > 0 {
		text = append(text, fmt.Sprintf("%s %s no more, but %s read again, so that both sides of a pair stand in one session",
			quoted(x.Companions), verb(n, "needs", "need"), verb(n, "is", "are")))
	}
	var failed []string
	for _, cell := range x.Failed {
		if !slices.Contains(failed, cell.Configuration) {
			failed = append(failed, cell.Configuration)
		}
	}
	if n := len(failed); n > 0 {
		text = append(text, fmt.Sprintf("%s %s left out: no run ended well there; try again only if you choose to", quoted(failed), verb(n, "is", "are")))
	}
	if n := len(x.leftOut); n > 0 {
		text = append(text, fmt.Sprintf("no more of %s, which %s beyond a maker's limit", quoted(s.configurationIDs(x.leftOut)), verb(n, "lies", "lie")))
	}
	if len(text) == 0 {
		text = append(text, "nothing: each side of every pair has "+readingsText(workloads, wanted))
	}
	return text
}

// readingsText says how many readings of some workloads are wanted: "3 readings
// of each workload".
func readingsText(workloads, wanted []int) string {
	for _, w := range workloads {
		if wanted[w] != wanted[workloads[0]] {
			return "the readings that are wanted of each workload"
		}
	}
	n := 0
	if len(workloads) > 0 {
		n = wanted[workloads[0]]
	}
	return countOf(n, "reading") + " of each workload"
}

func verb(n int, one, more string) string {
	if n == 1 {
		return one
	}
	return more
}

// cellText says which cells lack how much; of is the number of workloads that
// are asked about.
func (s *Space) cellText(cells []WantedCell, of int) []string {
	type group struct {
		key   string
		names []string
		cells []WantedCell
	}
	var groups []group
	for len(cells) > 0 {
		n, key := 0, ""
		for ; n < len(cells) && cells[n].configuration == cells[0].configuration; n++ {
			key += fmt.Sprint(cells[n].workload, "=", cells[n].Have, " ")
		}
		at := slices.IndexFunc(groups, func(g group) bool { return g.key == key })
		if at < 0 {
			at = len(groups)
			groups = append(groups, group{key: key, cells: cells[:n]})
		}
		groups[at].names = append(groups[at].names, cells[0].Configuration)
		cells = cells[n:]
	}
	var text []string
	for _, g := range groups {
		var parts []string
		byNeed := make(map[int][]string)
		for _, cell := range g.cells {
			need := cell.Want - cell.Have
			byNeed[need] = append(byNeed[need], cell.Workload)
		}
		for _, need := range sortedDown(byNeed) {
			names := byNeed[need]
			what := "of " + listOf(fewOf(names))
			if len(names) == of && of > 1 {
				what = "of each workload"
			} else if len(names) > 1 {
				what = "each of " + listOf(fewOf(names))
			}
			parts = append(parts, fmt.Sprintf("%s %s", more(need), what))
		}
		text = append(text, fmt.Sprintf("%s %s %s", quoted(g.names), verb(len(g.names), "needs", "need"), strings.Join(parts, "; ")))
	}
	return text
}

func more(n int) string {
	if n == 1 {
		return "one more reading"
	}
	return fmt.Sprintf("%d more readings", n)
}

func sortedDown(m map[int][]string) []int {
	var keys []int
	for k := range m {
		keys = append(keys, k)
	}
	slices.SortFunc(keys, func(a, b int) int { return b - a })
	return keys
}

// fewOf shortens a long list of names.
func fewOf(names []string) []string {
	const most = 7
	if len(names) <= most {
		return names
	}
	return append(slices.Clone(names[:most-1]), fmt.Sprintf("%d more", len(names)-most+1))
}

// remark writes the summary, the cautions and the remarks of a plan.
func (pl *planner) remark(p *Plan) {
	if len(p.Visits) > 0 {
		p.Summary = append(p.Summary, pl.timeText(p))
		if len(p.Visits) > 1 {
			p.Summary = append(p.Summary, fairnessText(p)...)
		}
		pl.caution(p)
	}
	pl.leftText(p)
	if len(p.Visits) == 0 {
		return
	}
	pl.unstated(p)
	if n := len(pl.alongside); n > 0 {
		var names []string
		for _, w := range pl.alongside {
			names = append(names, pl.s.p.Workloads[w].ID)
		}
		p.Remarks = append(p.Remarks, fmt.Sprintf("%s %s read again alongside the other parts of a computed workload, which takes its readings from one run", quoted(names), verb(n, "is", "are")))
	}
	var planned []string
	for _, c := range pl.configurations {
		if configuration := pl.s.p.Configurations[c]; configuration.Planned && slices.ContainsFunc(p.Visits, func(v Visit) bool { return v.configuration == c }) {
			planned = append(planned, configuration.ID)
		}
	}
	if len(planned) > 0 {
		p.Remarks = append(p.Remarks, fmt.Sprintf("take planned: true out of %s once there are readings", quoted(planned)))
	}
	switch {
	case pl.o.Session == "":
	case pl.session < 0:
		p.Remarks = append(p.Remarks, fmt.Sprintf("the session %q is not in sessions.yaml yet: write down its date and what the room is like before its readings are read in", pl.o.Session))
	case p.Visits[0].Order > 1:
		p.Remarks = append(p.Remarks, fmt.Sprintf("the session %q is continued: its last visit is number %d", pl.o.Session, p.Visits[0].Order-1))
	}
}

func (pl *planner) timeText(p *Plan) string {
	text := fmt.Sprintf("%s in %s", countOf(len(p.Visits), "visit"), countOf(p.Rounds, "round"))
	take := verb(len(p.Visits), "takes", "take")
	switch {
	case p.SwapMinutes > 0 && p.WorkloadMinutes > 0:
		return fmt.Sprintf("%s %s about %s: %s for swaps and %s for workloads", text, take, duration(p.Minutes()), duration(p.SwapMinutes), duration(p.WorkloadMinutes))
	case p.SwapMinutes > 0:
		return fmt.Sprintf("%s %s %s for swaps, and the time of the workloads, which is not stated", text, take, duration(p.SwapMinutes))
	case p.WorkloadMinutes > 0 && len(p.Visits) == 1:
		return fmt.Sprintf("%s takes %s", text, duration(p.WorkloadMinutes))
	case p.WorkloadMinutes > 0:
		return fmt.Sprintf("%s take %s for workloads, and the time of the swaps, which is not stated", text, duration(p.WorkloadMinutes))
	}
	return text + "; how long they take is not stated"
}

// What counts as going with time: correlations below the one are called none,
// above the other a caution. Common practice, no source.
const (
	slightDrift = 0.1
	strongDrift = 0.3
)

// fairnessText says how far time and factors are kept apart, and what the
// other order would change.
func fairnessText(p *Plan) []string {
	var text []string
	switch f := p.Fairness; {
	case f.Drift == 0:
		text = append(text, "no studied factor goes with the position in the session")
	case f.Drift < slightDrift:
		text = append(text, fmt.Sprintf("no studied factor goes with the position in the session: the largest correlation is %s%s", correlation(f.Drift), nameOf(f.DriftFactor)))
	case f.Drift < strongDrift:
		text = append(text, fmt.Sprintf("studied factors go little with the position in the session: the largest correlation is %s%s", correlation(f.Drift), nameOf(f.DriftFactor)))
	default:
		text = append(text, fmt.Sprintf("%s goes with the position in the session, with a correlation of %s: a drift would look like its effect, and more rounds would part them", f.DriftFactor, correlation(f.Drift)))
	}
	if p.Order == Shortest {
		return append(text, shortestText(p))
	}
	if saved := p.SwapMinutes - p.Other.SwapMinutes; saved >= 1 {
		text = append(text, fmt.Sprintf("the shortest order would need %s less for swaps; --order shortest shows it, and what it costs in fairness", duration(saved)))
	}
	return text
}

func nameOf(factor string) string {
	if factor == "" {
		return ""
	}
	return " (" + factor + ")"
}

func correlation(r float64) string { return fmt.Sprintf("%.2f", r) }

// shortestText says what the shortest order saves and what it costs.
func shortestText(p *Plan) string {
	changes := 0
	for _, v := range p.Visits {
		changes += len(v.Changes)
	}
	least := "the least there is"
	if !p.Exact {
		least = "the least that was found"
	}
	text := fmt.Sprintf("the swaps are %s with a return to the baseline after each round: %s", least, countOf(changes, "change"))
	if saved := p.Other.SwapMinutes - p.SwapMinutes; saved >= 1 {
		text += fmt.Sprintf(", %s less than in the balanced order", duration(saved))
	} else if saved := p.Other.Swaps - changes; saved > 0 {
		text += fmt.Sprintf(", %d fewer than in the balanced order", saved)
	} else {
		return text + ", no more than in the balanced order, which is the fairer one"
	}
	text += "; what it costs: the order is not left to chance, so neighbours share their levels, and a drift in the middle of a round looks like the effect of what changes seldom"
	if f, g := p.Fairness, p.Other.Fairness; f.WithinFactor != "" {
		text += fmt.Sprintf(" (within a round %s goes with the position with a correlation of %s; the worst in the balanced order is %s)", f.WithinFactor, correlation(f.Within), correlation(g.Within))
	}
	if p.Rounds > 1 {
		text += "; every second round runs backwards, which takes out an even drift and no other"
	}
	return text
}

// caution writes what stands before any change of parts, and the bench's own
// cautions.
func (pl *planner) caution(p *Plan) {
	if !slices.ContainsFunc(p.Visits, func(v Visit) bool { return len(v.Changes) > 0 }) {
		return
	}
	p.Cautions = append(p.Cautions, "before a part is touched: switch off, unplug, wait until what is hot or charged no longer is, and wear an earthed wrist strap; "+
		"the maker's data come before this plan, and work on mains voltage is for licensed people")
	for _, own := range pl.s.p.Cautions {
		if own = strings.Join(strings.FieldsFunc(own, func(r rune) bool { return r == ' ' || r == '\n' }), " "); own != "" {
			p.Cautions = append(p.Cautions, own)
		}
	}
}

// Idle says why a plan has no visits, when time is not the reason. More rounds
// are offered only where they would bring any.
func (p *Plan) Idle() string {
	if len(p.Visits) > 0 || len(p.Left) > 0 || p.halted {
		return ""
	}
	within, first := false, false
	for _, w := range p.Wants {
		within = within || w.within
		first = first || len(w.Configurations) > 0
	}
	switch {
	case within:
		return fmt.Sprintf("no run is due; --rounds %d would ask for one more repeat of each reading", p.Repeats+1)
	case first:
		return "no run is due: no question has a matched pair to run yet, and the configurations named above come first; write them into configurations and plan again"
	}
	return "no run is due: there is no matched pair to run; what is missing stands above, and more rounds would not bring it"
}

// limitText says once which configurations a plan leaves out for the sake of a
// maker's limit.
func (s *Space) limitText(p *Plan, d demand) {
	for c := range s.p.Configurations { // in order
		list := d.leftOut[c]
		if len(list) == 0 {
			continue
		}
		text := fmt.Sprintf("%q is left out: it lies beyond the maker's limit (%s)", s.p.Configurations[c].ID, s.excessText(list))
		if c == s.p.Baseline && d.noBaseline {
			text += "; every round returns to the baseline, so there is no order of runs until a configuration within the limits is the baseline"
		}
		p.Remarks = append(p.Remarks, text)
	}
}

// leftText says what does not fit.
func (pl *planner) leftText(p *Plan) {
	if len(p.Left) == 0 {
		return
	}
	var whole []string
	byRepeats := make(map[int][]string)
	for _, l := range p.Left {
		if l.Whole {
			whole = append(whole, l.Configuration)
		} else {
			byRepeats[l.Repeats] = append(byRepeats[l.Repeats], l.Configuration)
		}
	}
	within := available(pl.o.Minutes)
	if len(whole) > 0 && len(p.Visits) > 0 {
		p.Remarks = append(p.Remarks, fmt.Sprintf("not visited within %s: %s", within, quoted(whole)))
	}
	for _, n := range sortedDown(byRepeats) {
		names := byRepeats[n]
		p.Remarks = append(p.Remarks, fmt.Sprintf("after %s %s will still need %s", within, quoted(names), more(n)))
	}
	if rest := pl.o.Minutes - p.Minutes(); len(p.Visits) > 0 && rest >= 1 {
		p.Remarks = append(p.Remarks, fmt.Sprintf("%s of %s are left over: no further repeat of a pair fits into them", available(math.Floor(rest+slack)), within))
	}
	if len(p.Visits) > 0 {
		p.Remarks = append(p.Remarks, "plan again when the readings are in: another session is another block, and what both sides of a pair share in it cancels")
	}
}

// unstated says which minutes were counted as none.
func (pl *planner) unstated(p *Plan) {
	if p.SwapMinutes > 0 {
		var names []string
		for _, v := range p.Visits {
			for _, c := range v.Changes {
				if c.Minutes == 0 && !slices.Contains(names, c.Factor) {
					names = append(names, c.Factor)
				}
			}
		}
		if len(names) > 0 {
			p.Remarks = append(p.Remarks, fmt.Sprintf("no time was counted for changing %s, without swap-minutes in bench.yaml", listOf(fewOf(names))))
		}
	}
	if p.WorkloadMinutes > 0 {
		var names []string
		for _, v := range p.Visits {
			for _, w := range v.workloads {
				if workload := pl.s.p.Workloads[w]; workload.Minutes == 0 && !slices.Contains(names, workload.ID) {
					names = append(names, workload.ID)
				}
			}
		}
		if len(names) > 0 {
			p.Remarks = append(p.Remarks, fmt.Sprintf("no time was counted for %s, without minutes in workloads.yaml", listOf(fewOf(names))))
		}
	}
}
