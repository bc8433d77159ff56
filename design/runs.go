package design

import (
	"cmp"
	"math"
	"slices"

	"benchwright/project"
)

// runs is the table that the structure is judged by: one row for each
// different state that was read (a configuration within a session), and for
// each factor the class of its value. Classes count from 0 in the order of the
// levels: as declared, by size, or by name.
type runs struct {
	configuration, session []int
	// class holds the class of each row, by factor.
	class [][]int
	// size is the number of classes, by factor.
	size []int
	// value holds one value of each class, by factor.
	value [][]project.Value
	// sessionClass is the class of the session of each row, sessions the number of classes.
	sessionClass []int
	sessions     int
}

// runs builds the table. Values of a numeric factor that lie within its
// tolerance of one another, or are joined by others that do, are one class.
func (s *Space) runs() *runs {
	t := &runs{class: make([][]int, s.factors), size: make([]int, s.factors), value: make([][]project.Value, s.factors)}
	for _, c := range s.counted() {
		if len(s.sessions[c]) == 0 {
			t.configuration, t.session = append(t.configuration, c), append(t.session, -1)
			continue
		}
		for _, session := range s.sessions[c] {
			t.configuration, t.session = append(t.configuration, c), append(t.session, session)
		}
	}
	known := make(map[int]int)
	for _, session := range slices.Compact(slices.Sorted(slices.Values(t.session))) {
		known[session] = len(known)
	}
	t.sessions = len(known)
	t.sessionClass = make([]int, len(t.session))
	for i, session := range t.session {
		t.sessionClass[i] = known[session]
	}
	for f := range s.factors {
		s.classify(t, f)
	}
	return t
}

func (s *Space) classify(t *runs, f int) {
	factor := s.p.Factors[f]
	values := make([]project.Value, len(t.configuration))
	order := make([]int, len(values))
	ranks := make([]int, len(values))
	for i, c := range t.configuration {
		if s.sessional[f] {
			values[i] = s.p.ValueIn(c, t.session[i], f).Value
		} else {
			values[i] = s.p.Configurations[c].Values[f].Value
		}
		order[i] = i
		ranks[i] = slices.IndexFunc(factor.Levels, func(l project.Level) bool { return sameValue(l.Value, values[i]) })
	}
	compare := func(i, j int) int {
		a, b := values[i], values[j]
		if a.State != b.State {
			return cmp.Compare(a.State, b.State)
		}
		if a.Numeric && b.Numeric {
			return cmp.Compare(a.Number, b.Number)
		}
		return cmp.Or(cmp.Compare(ranks[i], ranks[j]), cmp.Compare(a.Text, b.Text))
	}
	slices.SortStableFunc(order, compare)
	t.class[f] = make([]int, len(values))
	class := -1
	for k, i := range order {
		v := values[i]
		if k == 0 || !s.chained(factor, values[order[k-1]], v) {
			class++
			t.value[f] = append(t.value[f], v)
		}
		t.class[f][i] = class
	}
	t.size[f] = class + 1
}

// chained reports whether two neighbours in order belong to one class.
func (s *Space) chained(factor *project.Factor, a, b project.Value) bool {
	if a.State == project.Known && b.State == project.Known && a.Numeric && b.Numeric {
		return s.comparing(factor.Index).Allows(a.Number, b.Number)
	}
	return sameValue(a, b)
}

// determines reports whether the classes of the given factors, together,
// settle the class of f in every row.
func (t *runs) determines(factors []int, f int) bool {
	seen := make(map[string]int)
	key := make([]byte, 0, 4*len(factors))
	for i := range t.configuration {
		key = key[:0]
		for _, g := range factors {
			c := t.class[g][i]
			key = append(key, byte(c), byte(c>>8), byte(c>>16), byte(c>>24))
		}
		if c, ok := seen[string(key)]; !ok {
			seen[string(key)] = t.class[f][i]
		} else if c != t.class[f][i] {
			return false
		}
	}
	return true
}

// contrasts codes the classes of a factor into columns that sum to zero over
// the classes and are orthogonal over them: −1 and +1 for two classes;
// polynomials for numbers, all of them up to four classes and the straight
// line and the bend beyond; Helmert's contrasts for categories.
func (t *runs) contrasts(f int, numeric bool) [][]float64 {
	size := t.size[f]
	if size < 2 {
		return nil
	}
	var table [][]float64
	if numeric && size > 2 {
		table = polynomials(t.value[f])
	} else {
		table = helmert(size)
	}
	return overRows(table, t.class[f])
}

// overRows turns contrasts over classes into columns over rows.
func overRows(table [][]float64, class []int) [][]float64 {
	columns := make([][]float64, len(table))
	for k, contrast := range table {
		columns[k] = make([]float64, len(class))
		for i, c := range class {
			columns[k][i] = contrast[c]
		}
	}
	return columns
}

func helmert(size int) [][]float64 {
	table := make([][]float64, size-1)
	for k := range table {
		table[k] = make([]float64, size)
		for c := range k + 1 {
			table[k][c] = -1
		}
		table[k][k+1] = float64(k + 1)
	}
	return table
}

// polynomials gives orthogonal polynomial contrasts over the given levels,
// each scaled to a largest magnitude of one; nil-valued levels (unset,
// unknown) make it fall back on Helmert's.
func polynomials(levels []project.Value) [][]float64 {
	size := len(levels)
	degree := size - 1
	if size > 4 {
		degree = 2
	}
	low, high := math.Inf(1), math.Inf(-1)
	for _, v := range levels {
		if v.State != project.Known || !v.Numeric {
			return helmert(size)
		}
		low, high = min(low, v.Number), max(high, v.Number)
	}
	var b basis
	one := make([]float64, size)
	for i := range one {
		one[i] = 1
	}
	b.add(one)
	for d := 1; d <= degree; d++ {
		x := make([]float64, size)
		for i, v := range levels {
			x[i] = math.Pow(2*(v.Number-low)/(high-low)-1, float64(d))
		}
		b.add(x)
	}
	table := make([][]float64, 0, degree)
	for _, q := range b.q[1:] {
		largest := 0.0
		for _, v := range q {
			largest = max(largest, math.Abs(v))
		}
		x := make([]float64, size)
		for i := range q {
			x[i] = q[i] / largest
		}
		table = append(table, x)
	}
	return table
}
