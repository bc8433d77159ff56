package design

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"benchwright/project"
	"benchwright/schema"
)

const (
	// steadySpread is taken, relative to the reading, where every repeat agrees
	// with the first: few machines are so steady that a measured time or rate
	// varies less. Common practice, no source.
	steadySpread = 0.002
	// So many readings have to agree before repeats that never differ are
	// called copies.
	readingsThatTell = 6
	// Earlier readings with the same number that one reading is held against.
	mostEarlier = 8
)

// copies looks for readings that stand there twice on the same configuration:
// single runs, whole passes over the bench, and blocks of rows.
func (in *inquiry) copies() {
	habits := make([]habit, len(in.p.Workloads))
	for w := range habits {
		habits[w] = in.habit(w)
	}
	runs := in.runs()
	said := in.copiedRuns(habits, runs)
	in.copiedPasses(habits, runs, said)
	in.copiedBlocks(habits, said)
}

// copiedPasses reports that each configuration holds its runs twice, as when
// the rows of one run on each were pasted in once more. Then nothing varies,
// and every workload looks deterministic. Those measured in a physical unit
// hardly ever are: a time or a rate does not come out alike to the last of
// three digits, time after time. Counts, sizes and scores may, and say nothing.
//
// A configuration counts when each of its runs has its like in every workload:
// one workload that varies shows that the runs were really made.
func (in *inquiry) copiedPasses(habits []habit, runs [][]run, said reportedRuns) {
	origins := make([][]int, len(runs)) // of configurations that count
	for c, list := range runs {
		if len(list) > 1 && !in.allReported(c, list, said) {
			origins[c] = in.eachTwice(list)
		}
	}
	for w, h := range habits {
		if h.constant {
			habits[w].constant = in.constantBut(w, origins)
		}
	}
	twice, all, telling := 0, 0, 0
	logChance := 0.0
	var first, second *run
	var ids, workloads []string
	var sessions []int
	which := make(map[int32]bool) // configurations
	numbers := make(map[float64]bool)
	steps := make(map[int32]float64)
	for c, list := range runs {
		if len(list) < 2 || in.allReported(c, list, said) {
			continue
		}
		all++
		origin := origins[c]
		if origin == nil {
			continue
		}
		twice++
		for k, from := range origin {
			if from == k {
				continue
			}
			for _, i := range list[k].readings {
				r := &in.p.Readings[i]
				chance := in.chanceInPass(r, habits[r.Workload], steps)
				if chance == 1 {
					continue
				}
				telling++
				logChance += math.Log(chance)
				numbers[r.Raw] = true
				workloads = append(workloads, in.workloadID(int(r.Workload)))
			}
			if second == nil || slices.Min(list[k].readings) < slices.Min(second.readings) {
				first, second = &list[from], &list[k]
			}
			sessions = append(sessions, int(list[k].session), int(list[from].session))
		}
		ids = append(ids, in.configurationID(c))
		which[int32(c)] = true
	}
	if twice < 2 || 2*twice < all || telling < readingsThatTell || len(numbers) < 2 || logChance+logChoose(all, twice) > math.Log(falseAlarm) {
		return
	}
	in.add(schema.Finding{Place: in.place(slices.Min(second.readings)), Workloads: workloads, Configurations: ids, Sessions: in.sessionIDs(sessions), Questions: in.questionsAmong(which),
		Message: fmt.Sprintf("on %d of %d configurations with several runs, every run stands there twice, to the last digit: %d readings that should vary agree", twice, all, telling),
		Remedy:  takeOut,
		Related: []schema.Related{{Place: in.place(slices.Min(first.readings)), Message: "the same run"}}})
}

func (in *inquiry) allReported(c int, list []run, said reportedRuns) bool {
	return !slices.ContainsFunc(list, func(x run) bool {
		_, ok := said[runOf{int32(c), x.session, x.repeat}]
		return !ok
	})
}

// constantBut tells whether a workload never differs between the runs of a
// configuration, but for those that are known to stand there twice.
func (in *inquiry) constantBut(w int, origins [][]int) bool {
	return !slices.ContainsFunc(in.ofWorkload(w), func(g group) bool {
		return origins[g.configuration] == nil && slices.ContainsFunc(g.ok, func(i int) bool {
			return in.p.Readings[i].Raw != in.p.Readings[g.ok[0]].Raw
		})
	})
}

// eachTwice finds, of each run, the first one with the same readings of the
// same workloads; nothing when a run has no like.
func (in *inquiry) eachTwice(list []run) []int {
	const most = 64 // of runs that are held against one another
	if len(list) > most {
		return nil
	}
	origin := make([]int, len(list))
	like := make([]bool, len(list))
	for k := range list {
		origin[k] = k
		for j := range k {
			if origin[j] == j && in.sameReadings(list[j], list[k]) {
				origin[k], like[j], like[k] = j, true, true
				break
			}
		}
	}
	if slices.Contains(like, false) {
		return nil
	}
	return origin
}

func (in *inquiry) sameReadings(x, y run) bool {
	return slices.EqualFunc(x.readings, y.readings, func(i, j int) bool {
		a, b := &in.p.Readings[i], &in.p.Readings[j]
		return a.Workload == b.Workload && a.Raw == b.Raw
	})
}

// chanceInPass is the chance that a reading comes out as the one before it; 1
// for one that says nothing.
func (in *inquiry) chanceInPass(r *project.Reading, h habit, steps map[int32]float64) float64 {
	w := in.p.Workloads[r.Workload]
	switch {
	case w.FrameTimes != "", in.telling(r) < digitsThatTell:
		return 1
	case h.varies:
	case h.constant && physical(w.Unit.Dimension):
		h = habit{varies: true, spread: steadySpread, relative: true}
	default:
		return 1
	}
	step, known := steps[r.Workload]
	if !known {
		step = in.commonStep(int(r.Workload))
		steps[r.Workload] = step
	}
	return math.Min(1, in.chanceOfSame(r, h)*step)
}

// commonStep is how many last digits all readings of a workload are multiples
// of: clocks that are written in megahertz go in hundreds of them.
func (in *inquiry) commonStep(w int) float64 {
	step := 0.0
	for _, g := range in.ofWorkload(w) {
		for _, i := range g.ok {
			r := &in.p.Readings[i]
			if unit := in.lastDigit(r); unit > 0 {
				step = gcd(step, math.Round(math.Abs(r.Raw)/unit))
			}
		}
		if step == 1 {
			break
		}
	}
	return math.Max(step, 1)
}

func gcd(a, b float64) float64 {
	for b != 0 {
		a, b = b, math.Mod(a, b)
	}
	return a
}

// physical tells what is measured from what is counted or scored.
func physical(d project.Dimension) bool {
	return d.Time != 0 || d.Temperature != 0 || d.Mass != 0 || d.Current != 0 || d.Length != 0
}

// logChoose is the logarithm of the number of ways to pick k of n.
func logChoose(n, k int) float64 {
	a, _ := math.Lgamma(float64(n + 1))
	b, _ := math.Lgamma(float64(k + 1))
	c, _ := math.Lgamma(float64(n - k + 1))
	return a - b - c
}

// block is a stretch of readings, two or more of each workload, that is the
// same as an earlier stretch of its file.
type block struct {
	workloads         []int
	from, to          int // the first reading and its copy
	readings, telling int
	chance            float64
	configurations    map[int32]bool
	sessions          []int
	values            map[float64]bool
	copied            []int // in Project.Readings
}

// stretch is where a block and what it is a copy of begin and end.
type stretch struct{ from, to, lastFrom, lastTo runOf }

// match is two readings of one workload on one configuration that agree:
// positions among the readings of the workload.
type match struct{ shift, at int }

// copiedBlocks reports rows that were copied within a file. It looks at the
// readings of each workload in the order of the file, so that two columns that
// were copied without the others are found, and takes together what begins and
// ends in the same runs. Only workloads that vary are looked at.
func (in *inquiry) copiedBlocks(habits []habit, said reportedRuns) {
	found := make(map[stretch]*block)
	var order []stretch
	pairs := 0.0
	at := make([]int32, len(in.p.Readings)) // position among those of the workload
	for w, h := range habits {
		if !h.varies {
			continue
		}
		var list []int
		for _, g := range in.ofWorkload(w) {
			n := float64(len(g.ok))
			pairs += n * (n - 1) / 2
			list = append(list, g.ok...)
		}
		slices.Sort(list)
		for k, i := range list {
			at[i] = int32(k)
		}
		matches := in.matches(w, at, said)
		for k := 0; k < len(matches); {
			n := 1
			for k+n < len(matches) && in.continues(list, matches[k+n-1], matches[k+n]) {
				n++
			}
			if n > 1 {
				key, b := in.blockOf(list, matches[k:k+n], h)
				if before := found[key]; before == nil {
					found[key], order = b, append(order, key)
				} else {
					before.take(b)
				}
			}
			k += n
		}
	}
	copied := make(map[int]bool) // readings that are reported
	for _, key := range order {
		b := found[key]
		if b.telling < workloadsThatTell || len(b.values) < 2 || b.chance > falseAlarm/pairs ||
			!slices.ContainsFunc(b.copied, func(i int) bool { return !copied[i] }) {
			continue
		}
		for _, i := range b.copied {
			copied[i] = true
		}
		in.reportBlock(b)
	}
}

// matches gives the pairs of equal readings on one configuration, the shorter
// distances first, along the file.
func (in *inquiry) matches(w int, at []int32, said reportedRuns) (out []match) {
	var list []int
	add := func(i, j int) {
		i, j = min(i, j), max(i, j)
		a, b := &in.p.Readings[i], &in.p.Readings[j]
		if a.File == b.File && !said.both(ofReading(a), ofReading(b)) {
			out = append(out, match{int(at[j] - at[i]), int(at[i])})
		}
	}
	for _, g := range in.ofWorkload(w) {
		if len(g.ok) <= mostEarlier {
			for k, j := range g.ok {
				for _, i := range g.ok[:k] {
					if in.p.Readings[i].Raw == in.p.Readings[j].Raw {
						add(i, j)
					}
				}
			}
			continue
		}
		list = append(list[:0], g.ok...)
		slices.SortFunc(list, func(i, j int) int {
			return cmp.Or(cmp.Compare(in.p.Readings[i].Raw, in.p.Readings[j].Raw), cmp.Compare(i, j))
		})
		for k, j := range list {
			for m := k - 1; m >= max(0, k-mostEarlier) && in.p.Readings[list[m]].Raw == in.p.Readings[j].Raw; m-- {
				add(list[m], j)
			}
		}
	}
	slices.SortFunc(out, func(a, b match) int { return cmp.Or(cmp.Compare(a.shift, b.shift), cmp.Compare(a.at, b.at)) })
	return out
}

// continues tells whether a pair of readings follows on another in the file.
func (in *inquiry) continues(list []int, x, y match) bool {
	return y.shift == x.shift && y.at == x.at+1 && in.p.Readings[list[x.at]].File == in.p.Readings[list[y.at]].File
}

func (in *inquiry) blockOf(list []int, matches []match, h habit) (stretch, *block) {
	reading := func(k int) *project.Reading { return &in.p.Readings[list[k]] }
	first, last := matches[0], matches[len(matches)-1]
	key := stretch{ofReading(reading(first.at)), ofReading(reading(first.at + first.shift)), ofReading(reading(last.at)), ofReading(reading(last.at + last.shift))}
	b := &block{workloads: []int{int(reading(first.at).Workload)}, from: list[first.at], to: list[first.at+first.shift], chance: 1,
		configurations: make(map[int32]bool), values: make(map[float64]bool), readings: len(matches)}
	for _, m := range matches {
		r, copy := reading(m.at), reading(m.at+m.shift)
		b.configurations[r.Configuration], b.values[r.Raw] = true, true
		b.sessions = append(b.sessions, int(r.Session), int(copy.Session))
		b.copied = append(b.copied, list[m.at+m.shift])
		if min(in.telling(r), in.telling(copy)) >= digitsThatTell {
			b.telling++
			b.chance *= in.chanceOfSame(r, h)
		}
	}
	return key, b
}

// take adds the same stretch of another workload.
func (b *block) take(other *block) {
	b.workloads = append(b.workloads, other.workloads...)
	b.from, b.to = min(b.from, other.from), min(b.to, other.to)
	b.readings += other.readings
	b.telling += other.telling
	b.chance *= other.chance
	b.copied = append(b.copied, other.copied...)
	for v := range other.values {
		b.values[v] = true
	}
}

// questionsAmong gives the questions that the configurations help to answer.
func (in *inquiry) questionsAmong(configurations map[int32]bool) (ids []string) {
	for q, question := range in.p.Questions {
		if slices.ContainsFunc(in.s.answers[q].Pairs, func(p Pair) bool { return configurations[int32(p.From)] || configurations[int32(p.To)] }) {
			ids = append(ids, question.ID)
		}
	}
	return ids
}

func (in *inquiry) reportBlock(b *block) {
	var workloads, ids []string
	for _, w := range b.workloads {
		workloads = append(workloads, in.workloadID(w))
	}
	for c := range b.configurations {
		ids = append(ids, in.configurationID(int(c)))
	}
	in.add(schema.Finding{Place: in.place(b.to), Workloads: workloads, Configurations: ids, Sessions: in.sessionIDs(b.sessions), Questions: in.questionsAmong(b.configurations),
		Message: fmt.Sprintf("%d readings of %s, one row after the other, are the same as earlier ones to the last digit", b.readings, quoted(workloads)),
		Remedy:  takeOut,
		Related: []schema.Related{{Place: in.place(b.from), Message: "the same readings from here on"}}})
}
