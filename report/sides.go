package report

import (
	"math"
	"slices"

	"benchwright/project"
)

// sessionCount is how many of a sample's readings are of a session.
type sessionCount struct {
	session int32
	n       int
}

// countSessions adds a sample's readings by session to a list; nothing when
// some have no session and so belong to no block.
func countSessions(s *sample, into []sessionCount) []sessionCount {
	from := len(into)
	for _, o := range s.seen {
		if o.session < 0 {
			return into[:from]
		}
		if n := len(into); n > from && into[n-1].session == o.session {
			into[n-1].n++
			continue
		}
		into = append(into, sessionCount{o.session, 1})
	}
	return into
}

// proportional says whether two samples were read in the same sessions in the
// same proportions.
func proportional(a, b *sample) bool {
	if len(a.blocks) != len(b.blocks) {
		return false
	}
	for i, c := range a.blocks {
		if d := b.blocks[i]; c.session != d.session || c.n*b.n != d.n*a.n {
			return false
		}
	}
	return true
}

// sameBlocks says whether two samples were read in the same sessions, however
// often.
func sameBlocks(a, b *sample) bool {
	return len(a.blocks) > 0 && slices.EqualFunc(a.blocks, b.blocks, func(c, d sessionCount) bool { return c.session == d.session })
}

// sameSession says whether two samples share a session.
func sameSession(a, b *sample) bool {
	for _, o := range a.seen {
		if o.session >= 0 && slices.ContainsFunc(b.seen, func(p observation) bool { return p.session == o.session }) {
			return true
		}
	}
	return false
}

// sides gives two cells of a workload as they are compared: of the sessions in
// which both were read alone, with the same share of each session on either
// side, so that what the sessions differ by cancels. A session in which one side
// alone was read says nothing of the difference, and to read a side again later
// changes no comparison with what was not read again.
//
// The share of a session is n₁n₂/(n₁+n₂) over the sum of these: the least-squares
// estimate of the difference in the additive model cell + session (a block design
// with unequal numbers; NIST/SEMATECH e-Handbook 5.3.3.2, H. Scheffé, "The
// Analysis of Variance", 1959, 4.4, from memory). Where the numbers are in the
// same proportion it is that of the readings, and the centres are the plain ones.
//
// Cells that share no session, or of which some reading has none, come as they
// are.
func (k *working) sides(w, to, from int) (x, y *sample) {
	if k.beside != nil {
		switch k.p.Baseline {
		case from:
			s := &k.beside[to][w]
			return s.own, s.baseline
		case to:
			s := &k.beside[from][w]
			return s.baseline, s.own
		}
	}
	return k.commonSides(w, to, from)
}

// twoSides is a cell and the baseline's as sides gives them.
type twoSides struct{ own, baseline *sample }

func (k *working) fillBeside() {
	base := k.p.Baseline
	if base < 0 || base >= len(k.samples) {
		return
	}
	beside := make([][]twoSides, len(k.samples))
	inRows(len(beside), func(c int) {
		row := make([]twoSides, len(k.p.Workloads))
		for w := range row {
			row[w].own, row[w].baseline = k.commonSides(w, c, base)
		}
		beside[c] = row
	})
	k.beside = beside
}

// commonSides makes what sides gives.
func (k *working) commonSides(w, to, from int) (x, y *sample) {
	x, y = &k.samples[to][w], &k.samples[from][w]
	if to == from || proportional(x, y) {
		return x, y
	}
	var room [8]float64
	shares := room[:0]
	total := 0.0
	for i, j := 0, 0; i < len(x.blocks) && j < len(y.blocks); {
		a, b := x.blocks[i], y.blocks[j]
		switch {
		case a.session < b.session:
			i++
		case a.session > b.session:
			j++
		default:
			share := float64(a.n) * float64(b.n) / float64(a.n+b.n)
			shares = append(shares, share)
			total += share
			i++
			j++
		}
	}
	if len(shares) == 0 {
		return x, y
	}
	a := k.within(w, x, func(session int32) bool { return readIn(y, session) })
	b := k.within(w, y, func(session int32) bool { return readIn(x, session) })
	if !proportional(a, b) {
		for i := range shares {
			shares[i] /= total
		}
		k.standardise(w, a, shares)
		k.standardise(w, b, shares)
	}
	if !a.usable || !b.usable {
		return x, y
	}
	return a, b
}

func readIn(s *sample, session int32) bool {
	return slices.ContainsFunc(s.blocks, func(c sessionCount) bool { return c.session == session })
}

// within is a sample as it would be had only some of its sessions been held.
func (k *working) within(w int, s *sample, in func(session int32) bool) *sample {
	out := &sample{}
	at := 0
	for _, c := range s.blocks {
		if in(c.session) {
			out.seen = append(out.seen, s.seen[at:at+c.n]...)
			out.blocks = append(out.blocks, c)
		}
		at += c.n
	}
	out.n = len(out.seen)
	if out.n == s.n {
		*out = *s
		return out
	}
	out.values = make([]float64, out.n)
	for i, o := range out.seen {
		out.values[i] = o.value
	}
	slices.Sort(out.values)
	if k.p.Workloads[w].Scale == project.RatioScale && out.n > 0 && out.values[0] > 0 {
		out.logs = make([]float64, out.n)
		for i, o := range out.seen {
			out.logs[i] = math.Log(o.value)
			out.meanLog += out.logs[i] / float64(out.n)
		}
	}
	k.describe(out, w, k.step[w])
	k.borrow(out, w)
	return out
}

// standardise moves a sample's centre to the mean of its sessions' centres with
// the given shares, one for each session, and gives it the error that goes with it.
func (k *working) standardise(w int, s *sample, shares []float64) {
	if !s.usable {
		return
	}
	centre, stretch, at := 0.0, 0.0, 0
	var room [16]float64
	for i, c := range s.blocks {
		values := room[:0]
		for _, o := range s.seen[at : at+c.n] { // ascending
			values = append(values, o.value)
		}
		at += c.n
		of := 0.0
		if k.p.Workloads[w].Centre == project.Median {
			of = values[(c.n-1)/2]/2 + values[c.n/2]/2
		} else {
			for _, v := range values {
				of += v / float64(c.n)
			}
		}
		centre += shares[i] * of
		stretch += shares[i] * shares[i] / float64(c.n)
	}
	s.shares = slices.Clone(shares)
	s.se *= math.Sqrt(float64(s.n) * stretch)
	if k.p.Workloads[w].Scale == project.RatioScale {
		s.se *= s.centre / centre
		s.usable = centre > 0
		s.logCentre = math.Log(centre)
	}
	s.centre = centre
	s.usable = s.usable && isFinite(centre, s.se)
}

// asRead says that the pairs of a contrast are compared by their cells as they
// were read: alike, because all were read in the same sessions in the same
// proportions, or because each pair was read within a session of its own, or
// not within any.
func (k *working) asRead(w int, pairs []pairing) (plain, alike bool) {
	alike = true
	single := true
	first := &k.samples[pairs[0].to][w]
	for _, p := range pairs {
		x, y := k.sides(w, p.to, p.from)
		if _, composed := k.composed(w, p.to, p.from); composed || x != &k.samples[p.to][w] {
			return false, false
		}
		alike = alike && proportional(first, x) && proportional(first, y)
		single = single && (len(x.blocks) < 2 && len(y.blocks) < 2 || !sameBlocks(x, y))
	}
	return alike || single, alike
}

// contrastBySessions is the mean over pairs each of which is compared within its
// own common sessions. What every cell adds is found by session, so that one
// that stands in several pairs has its error counted once.
func (k *working) contrastBySessions(w int, pairs []pairing, into []part) (value float64, parts []part, blocked bool) {
	type cell struct {
		configuration int
		weight        float64
		coefficients  []float64 // a session after another of the sample's blocks
	}
	var cells []cell
	add := func(configuration int, s *sample, weight float64) {
		i := slices.IndexFunc(cells, func(c cell) bool { return c.configuration == configuration })
		whole := &k.samples[configuration][w]
		if i < 0 {
			i = len(cells)
			cells = append(cells, cell{configuration, 0, make([]float64, len(whole.blocks))})
		}
		cells[i].weight += weight
		for b, c := range s.blocks {
			at := slices.IndexFunc(whole.blocks, func(d sessionCount) bool { return d.session == c.session })
			cells[i].coefficients[at] += weight * s.share(b)
		}
	}
	compare := func(to, from int, weight float64) {
		x, y := k.sides(w, to, from)
		value += weight * (k.compared(w, x) - k.compared(w, y))
		add(to, x, weight)
		add(from, y, -weight)
	}
	for _, p := range pairs {
		if base := k.link(w, p.to, p.from); base >= 0 {
			compare(p.to, base, p.weight)
			compare(p.from, base, -p.weight)
			continue
		}
		before := value
		compare(p.to, p.from, p.weight)
		if sum, ok := k.composed(w, p.to, p.from); ok {
			value = before + p.weight*sum.Value
		}
	}
	slices.SortFunc(cells, func(a, b cell) int { return a.configuration - b.configuration })
	left := make([]float64, len(k.p.Sessions))
	blocked = true
	for _, c := range cells {
		whole := &k.samples[c.configuration][w]
		if len(whole.blocks) == 0 {
			blocked = false
			if math.Abs(c.weight) > 1e-12 {
				into = append(into, part{whole, c.weight})
			}
			continue
		}
		var shares []float64
		counts := func(session int32) bool {
			at := slices.IndexFunc(whole.blocks, func(d sessionCount) bool { return d.session == session })
			return math.Abs(c.coefficients[at]) > 1e-12
		}
		stretch := 0.0
		for i, b := range whole.blocks {
			left[b.session] += c.coefficients[i]
			if counts(b.session) {
				shares = append(shares, c.coefficients[i])
				stretch += c.coefficients[i] * c.coefficients[i] / float64(b.n)
			}
		}
		if len(shares) == 0 {
			continue
		}
		s := k.within(w, whole, counts)
		s.shares = shares
		s.se *= math.Sqrt(float64(s.n) * stretch)
		into = append(into, part{s, 1}) // the coefficients are the shares
	}
	for _, x := range left {
		blocked = blocked && math.Abs(x) < 1e-9
	}
	return value, into, blocked
}

// share is what a session counts for in a sample's centre.
func (s *sample) share(block int) float64 {
	if s.shares != nil {
		return s.shares[block]
	}
	return float64(s.blocks[block].n) / float64(s.n)
}

// withinSessions is the standard error of a contrast in which two or more
// sessions cancel: the spread that is left in the additive model cell + session
// (a randomised block: NIST/SEMATECH e-Handbook 5.3.3.2), with a common variance.
// With one reading per session on either side it is the paired t interval.
func (k *working) withinSessions(w int, parts []part) (se, df float64, ok bool) {
	workload := k.p.Workloads[w]
	if workload.Centre == project.Median || len(parts) == 0 || len(parts[0].blocks) == 0 {
		return 0, 0, false
	}
	alike := true
	for _, p := range parts[1:] {
		alike = alike && proportional(parts[0].sample, p.sample)
	}
	var ss float64
	if alike {
		sessions := len(parts[0].blocks)
		if sessions < 2 {
			return 0, 0, false
		}
		total := 0
		for _, p := range parts {
			total += p.n
		}
		if df = float64(total - len(parts) - sessions + 1); df < 2 {
			return 0, 0, false
		}
		ss, ok = k.blockResiduals(w, parts, sessions)
	} else {
		ss, df, ok = k.additiveResiduals(w, parts)
	}
	sd := math.Sqrt(ss / df)
	// Readings that differ by whole sessions alone leave nothing but rounding.
	if !ok || df < 2 || !(sd > 1e-12) {
		return 0, 0, false
	}
	variance := 0.0
	for _, p := range parts {
		step := k.step[w]
		if workload.Scale == project.RatioScale {
			step /= p.centre
		}
		if p.spread != ownSpread && p.spread != borrowedSpread || sd < step/2 {
			return 0, 0, false
		}
		variance += p.variance()
	}
	return sd * math.Sqrt(variance), df, true
}

// blockError is withinSessions for the two sides of a pair.
func (k *working) blockError(w int, x, y *sample) (se, df float64, ok bool) {
	if !sameBlocks(x, y) {
		return 0, 0, false
	}
	return k.withinSessions(w, []part{{x, 1}, {y, -1}})
}

// blockResiduals is the residual sum of squares of cell + session, fitted by
// the means, which is least squares where the counts are proportional; of
// logarithms on a ratio scale. Two passes, in an order that the rows of the
// files do not decide.
func (k *working) blockResiduals(w int, parts []part, sessions int) (float64, bool) {
	logs := k.p.Workloads[w].Scale == project.RatioScale
	var room [16]float64
	block := room[:]
	if 2*sessions > len(room) {
		block = make([]float64, 2*sessions)
	}
	block, count := block[:sessions], block[sessions:2*sessions]
	grand, n := 0.0, 0.0
	for _, s := range parts {
		if logs && s.logs == nil {
			return 0, false
		}
		at := 0
		for b, c := range s.blocks {
			for range c.n {
				block[b] += s.value(at, logs)
				at++
			}
			count[b] += float64(c.n)
		}
		n += float64(s.n)
	}
	for b := range block {
		grand += block[b]
		block[b] /= count[b]
	}
	grand /= n
	ss := 0.0
	for _, s := range parts {
		mean := s.Mean
		if logs {
			mean = s.meanLog
		}
		at := 0
		for b, c := range s.blocks {
			for range c.n {
				e := s.value(at, logs) - mean - block[b] + grand
				ss += e * e
				at++
			}
		}
	}
	return ss, isFinite(ss)
}

// value is an observation as it is compared.
func (s *sample) value(i int, logs bool) float64 {
	if logs {
		return s.logs[i]
	}
	return s.seen[i].value
}

// additiveResiduals is the residual sum of squares of cell + session, and its
// degrees of freedom, by least squares for any numbers of readings: the cells are
// eliminated and the normal equations of the sessions solved (Scheffé, as for
// sides). Sessions that no cell links take no part of each other's level.
func (k *working) additiveResiduals(w int, parts []part) (ss, df float64, ok bool) {
	logs := k.p.Workloads[w].Scale == project.RatioScale
	var sessions []int32
	total, grand := 0, 0.0
	for _, p := range parts {
		if logs && p.logs == nil {
			return 0, 0, false
		}
		for _, c := range p.blocks {
			if !slices.Contains(sessions, c.session) {
				sessions = append(sessions, c.session)
			}
		}
		total += p.n
	}
	slices.Sort(sessions)
	for _, p := range parts {
		for i := range p.n {
			grand += p.value(i, logs) / float64(total)
		}
	}
	n := len(sessions)
	a, level := make([][]float64, n), make([]float64, n)
	for i := range a {
		a[i] = make([]float64, n)
	}
	at := func(c sessionCount) int { i, _ := slices.BinarySearch(sessions, c.session); return i }
	means := make([]float64, len(parts))
	for j, p := range parts {
		for i := range p.n {
			means[j] += (p.value(i, logs) - grand) / float64(p.n)
		}
		i := 0
		for _, c := range p.blocks {
			row := at(c)
			a[row][row] += float64(c.n)
			for _, d := range p.blocks {
				a[row][at(d)] -= float64(c.n) * float64(d.n) / float64(p.n)
			}
			for range c.n {
				level[row] += p.value(i, logs) - grand - means[j]
				i++
			}
		}
	}
	rank := solveSessions(a, level)
	df = float64(total - len(parts) - rank)
	for j, p := range parts {
		shift := 0.0
		for _, c := range p.blocks {
			shift += level[at(c)] * float64(c.n) / float64(p.n)
		}
		i := 0
		for _, c := range p.blocks {
			for range c.n {
				e := p.value(i, logs) - grand - means[j] - level[at(c)] + shift
				ss += e * e
				i++
			}
		}
	}
	return ss, df, isFinite(ss)
}

// solveSessions solves a·x = b in place for a symmetric matrix that may be
// singular, by elimination along its diagonal, and gives its rank; what is not
// determined becomes nought. The matrix is one of counts, so that a pivot is far
// from nought or nothing but rounding.
func solveSessions(a [][]float64, b []float64) (rank int) {
	n := len(b)
	done := make([]bool, n)
	for range n {
		p := -1
		for i := range n {
			if !done[i] && (p < 0 || a[i][i] > a[p][p]) {
				p = i
			}
		}
		done[p] = true
		if a[p][p] < 1e-9 {
			for i := range n {
				a[p][i], a[i][p] = 0, 0
			}
			b[p] = 0
			continue
		}
		rank++
		for i := range n {
			if i == p || a[i][p] == 0 {
				continue
			}
			f := a[i][p] / a[p][p]
			for j := range n {
				a[i][j] -= f * a[p][j]
			}
			b[i] -= f * b[p]
		}
	}
	for i := range n {
		if a[i][i] != 0 {
			b[i] /= a[i][i]
		}
	}
	return rank
}
