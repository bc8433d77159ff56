package design

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"sort"
	"strconv"
	"strings"
	"testing"

	"benchwright/project"
)

// words turns alias sets into "A = BC" with the mean as I, in a fixed order.
func words(s *Space, st Structure) []string {
	var list []string
	for _, set := range st.Sets {
		var parts []string
		for _, t := range set.Terms {
			name := "I"
			if t.Term != Mean {
				name = strings.ReplaceAll(s.TermText(st.Terms[t.Term]), " × ", "")
			}
			if t.Coefficient < 0 {
				name = "-" + name
			}
			parts = append(parts, name)
		}
		list = append(list, strings.Join(parts, " = "))
	}
	sort.Strings(list)
	return list
}

// published gathers the alias sets of two or more words from the check file.
func published(t *testing.T) map[string][]string {
	_, rows := readDesign(t, "fraction_alias_sets.csv")
	sets := make(map[string]map[string][]string)
	for _, row := range rows {
		if sets[row[0]] == nil {
			sets[row[0]] = make(map[string][]string)
		}
		word := row[2]
		if row[3] == "-" {
			word = "-" + word
		}
		sets[row[0]][row[1]] = append(sets[row[0]][row[1]], word)
	}
	list := make(map[string][]string)
	for design, bySet := range sets {
		list[design] = []string{}
		for _, set := range bySet {
			if len(set) > 1 {
				list[design] = append(list[design], strings.Join(set, " = "))
			}
		}
		sort.Strings(list[design])
	}
	return list
}

func fractions(t *testing.T) map[string]*bench {
	header, rows := readDesign(t, "fraction_runs.csv")
	by := make(map[string][][]string)
	for _, row := range rows {
		by[row[0]] = append(by[row[0]], row[2:])
	}
	benches := make(map[string]*bench)
	for design, rows := range by {
		factors := 0
		for factors < len(rows[0]) && rows[0][factors] != "" {
			factors++
		}
		benches[design] = factorial(header[2:2+factors], rows)
	}
	return benches
}

// Every alias set of every order, with signs, as published.
func TestAliasSetsOfFractionalFactorials(t *testing.T) {
	want := published(t)
	benches := fractions(t)
	for design, sets := range want {
		s := NewSpace(benches[design].p)
		st := s.Structure(StructureOptions{Order: 9})
		if got := words(s, st); !slices.Equal(got, sets) {
			t.Errorf("%s:\n got %q\nwant %q", design, got, sets)
		}
	}
	if len(want) < 6 {
		t.Errorf("only %d designs", len(want))
	}
}

// The rank of the model of main effects and two-factor interactions, and the
// aliased terms, as R 4.2.2 alias(lm(y ~ (A+B+…)^2)) prints them.
func TestAliasesAgreeWithR(t *testing.T) {
	cases := map[string]struct {
		columns, rank int
		aliases       []string
	}{
		"2^(3-1)_C=AB":  {7, 4, []string{"AB=+C", "AC=+B", "BC=+A"}},
		"2^(3-1)_C=-AB": {7, 4, []string{"AB=-C", "AC=-B", "BC=-A"}},
		"2^(4-1)_D=ABC": {11, 8, []string{"BC=+AD", "BD=+AC", "CD=+AB"}},
		// R pivots its columns by name and keeps BC and BE; here the terms come in
		// the order AB, AC, …, so the kept ones of the sets BC = DE and BE = CD agree.
		"2^(5-2)_D=AB_E=AC": {16, 8, []string{"AB=+D", "AC=+E", "AD=+B", "AE=+C", "BD=+A", "CD=+BE", "CE=+A", "DE=+BC"}},
		"2^(5-1)_E=ABCD":    {16, 16, nil},
		"2^3_full":          {7, 7, nil},
	}
	benches := fractions(t)
	for design, want := range cases {
		s := NewSpace(benches[design].p)
		st := s.Structure(StructureOptions{Order: 2})
		if st.Columns != want.columns || st.Rank != want.rank {
			t.Errorf("%s: %d columns of rank %d, want %d and %d", design, st.Columns, st.Rank, want.columns, want.rank)
		}
		var got []string
		for _, a := range st.Aliases {
			text := strings.ReplaceAll(s.TermText(st.Terms[a.Term]), " × ", "") + "="
			for _, w := range a.With {
				if math.Abs(math.Abs(w.Coefficient)-1) > 1e-12 {
					t.Errorf("%s: %s has coefficient %v", design, a.Words, w.Coefficient)
				}
				sign := "+"
				if w.Coefficient < 0 {
					sign = "-"
				}
				text += sign + strings.ReplaceAll(s.TermText(st.Terms[w.Term]), " × ", "")
			}
			got = append(got, text)
		}
		sort.Strings(got)
		if !slices.Equal(got, want.aliases) {
			t.Errorf("%s: aliases %q, want %q", design, got, want.aliases)
		}
	}
}

func TestFullFactorialHasNothingToReport(t *testing.T) {
	s := NewSpace(fractions(t)["2^3_full"].p)
	st := s.Structure(StructureOptions{})
	if len(st.Sets)+len(st.Aliases)+len(st.Partial)+len(st.MoveTogether)+len(st.EmptyCells)+len(st.NeverVaried) > 0 {
		t.Errorf("a full factorial reports %+v", st)
	}
	for _, term := range st.Terms {
		if !term.Clear {
			t.Errorf("%s is not clear", s.TermText(term))
		}
	}
	for term, v := range st.Inflation[:3] {
		if math.Abs(v-1) > 1e-12 {
			t.Errorf("inflation of term %d is %v", term, v)
		}
	}
}

// Every main effect of Plackett and Burman's 12 runs correlates ±1/3 with each
// interaction of two others, and with nothing else.
func TestPartialConfoundingOfPlackettBurman(t *testing.T) {
	header, rows := readDesign(t, "pb12_runs.csv")
	s := NewSpace(factorial(header, rows).p)
	st := s.Structure(StructureOptions{Order: 2})
	if len(st.Sets) > 0 {
		t.Errorf("%d alias sets, want none", len(st.Sets))
	}
	if want := 11 * 10 * 9 / 2; len(st.Partial) != want {
		t.Errorf("%d partial, want %d", len(st.Partial), want)
	}
	for _, p := range st.Partial {
		if math.Abs(math.Abs(p.Correlation)-1.0/3) > 1e-12 {
			t.Fatalf("%s and %s correlate %v", s.TermText(st.Terms[p.A]), s.TermText(st.Terms[p.B]), p.Correlation)
		}
	}
	for term, v := range st.Inflation[:11] {
		if math.Abs(v-1) > 1e-9 {
			t.Errorf("main effect %d is inflated by %v", term, v)
		}
	}
}

func npk(t *testing.T) *bench {
	_, rows := readDesign(t, "npk.csv")
	b := newBench()
	for _, f := range []string{"N", "P", "K"} {
		b.factor(f, project.Studied)
	}
	b.workload("yield")
	for i := range 8 {
		n, p, k := i&1, i>>1&1, i>>2
		b.configuration(fmt.Sprintf("n%dp%dk%d", n, p, k), fmt.Sprintf("N=%d", n), fmt.Sprintf("P=%d", p), fmt.Sprintf("K=%d", k))
	}
	for block := range 6 {
		b.session(fmt.Sprintf("block-%d", block+1))
	}
	yield := func(text string) float64 {
		v, err := strconv.ParseFloat(text, 64)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	for _, row := range rows {
		b.read(fmt.Sprintf("n%sp%sk%s", row[1], row[2], row[3]), 0, int(row[0][0]-'1'), yield(row[4]))
	}
	return b
}

// 13 columns of rank 12, the three-factor interaction confounded with blocks
// and no main effect touched: R 4.2.2 alias(lm(yield ~ block + N*P*K, npk)).
func TestClassicalFieldTrialIsConfoundedWithBlocks(t *testing.T) {
	s := NewSpace(npk(t).p)
	st := s.Structure(StructureOptions{})
	if st.Columns != 13 || st.Rank != 12 {
		t.Errorf("%d columns of rank %d, want 13 and 12", st.Columns, st.Rank)
	}
	if len(st.Aliases) != 1 || st.Aliases[0].Words != "N × P × K cannot be told from session" {
		t.Errorf("aliases are %+v", st.Aliases)
	}
	// In R with Helmert's contrasts the blocks have these coefficients, in this
	// order, for N1:P1:K1 coded ±1; only the session may appear.
	for _, w := range st.Aliases[0].With {
		if !slices.Equal(st.Terms[w.Term].Factors, []int{Session}) {
			t.Errorf("%s takes part", s.TermText(st.Terms[w.Term]))
		}
	}
	for _, term := range st.Terms {
		confounded := len(term.Factors) == 3 || term.Factors[0] == Session
		if term.Clear == confounded {
			t.Errorf("%s: clear is %v", s.TermText(term), term.Clear)
		}
	}
}

func TestLatinSquareAndBlocksHaveNothingToReport(t *testing.T) {
	// A 4 × 4 Latin square: e-Handbook 5.3.3.2.1, each row and each column has
	// each treatment once.
	b := newBench()
	for _, f := range []string{"row", "column", "treatment"} {
		b.factor(f, project.Studied)
	}
	for i := range 16 {
		r, c := i/4, i%4
		b.configuration(fmt.Sprintf("plot-%d", i), fmt.Sprintf("row=r%d", r), fmt.Sprintf("column=c%d", c), fmt.Sprintf("treatment=t%d", (r+c)%4))
	}
	st := NewSpace(b.p).Structure(StructureOptions{Order: 1})
	if st.Rank != 10 || len(st.Aliases)+len(st.Sets)+len(st.Partial)+len(st.MoveTogether) > 0 {
		t.Errorf("the Latin square reports %+v", st)
	}
	// A randomised complete block: every treatment once in every session
	// (e-Handbook 5.3.3.2).
	b = newBench()
	b.factor("treatment", project.Studied)
	b.workload("time")
	for c := range 5 {
		b.configuration(fmt.Sprintf("c%d", c), fmt.Sprintf("treatment=t%d", c))
	}
	for session := range 3 {
		b.session(fmt.Sprintf("s%d", session))
		for c := range 5 {
			b.read(fmt.Sprintf("c%d", c), 0, session, 1)
		}
	}
	st = NewSpace(b.p).Structure(StructureOptions{})
	if st.Runs != 15 || st.Rank != 7 || len(st.Aliases)+len(st.Sets)+len(st.Partial)+len(st.MoveTogether) > 0 {
		t.Errorf("the complete block reports %+v", st)
	}
}

func TestFactorsThatMoveTogether(t *testing.T) {
	// Three processors, each with its own system: 6 columns of rank 4 (R 4.2.2,
	// lm(y ~ cpu + os + ram), os2 and os3 aliased).
	b := newBench()
	for _, f := range []string{"cpu", "os", "ram"} {
		b.factor(f, project.Studied)
	}
	for i := range 6 {
		b.configuration(fmt.Sprintf("c%d", i), fmt.Sprintf("cpu=c%d", i/2), fmt.Sprintf("os=o%d", i/2), fmt.Sprintf("ram=r%d", i%2))
	}
	s := NewSpace(b.p)
	st := s.Structure(StructureOptions{Order: 1})
	if st.Columns != 6 || st.Rank != 4 {
		t.Errorf("%d columns of rank %d", st.Columns, st.Rank)
	}
	if got := fmt.Sprint(st.MoveTogether); got != "[[0 1]]" {
		t.Errorf("move together: %s", got)
	}
	if len(st.Sets) != 1 || st.Sets[0].Words != "cpu = os" {
		t.Errorf("sets: %+v", st.Sets)
	}
	if !math.IsInf(st.Inflation[0], 1) || !math.IsInf(st.Inflation[1], 1) || math.Abs(st.Inflation[2]-1) > 1e-12 {
		t.Errorf("inflation %v", st.Inflation)
	}
	// A declared follower is no factor of its own.
	b.p.Factors[1].Role, b.p.Factors[1].Of = project.Follows, []int{0}
	st = NewSpace(b.p).Structure(StructureOptions{Order: 1})
	if len(st.Sets)+len(st.Aliases)+len(st.MoveTogether) > 0 {
		t.Errorf("with a declared follower: %+v", st)
	}
}

func TestOneFactorWithinAnother(t *testing.T) {
	// a2 = b2 + b3: 4 columns of rank 3 (R 4.2.2, lm(y ~ a + b), b3 aliased).
	b := newBench()
	b.factor("a", project.Studied)
	b.factor("b", project.Studied)
	for i, row := range []string{"a=x b=1st", "a=x b=1st", "a=y b=2nd", "a=y b=3rd"} {
		b.configuration(fmt.Sprintf("c%d", i), strings.Fields(row)...)
	}
	s := NewSpace(b.p)
	st := s.Structure(StructureOptions{Order: 1})
	if st.Columns != 4 || st.Rank != 3 || len(st.Aliases) != 1 || st.Aliases[0].Words != "part of b cannot be told from a" {
		t.Errorf("%+v", st)
	}
}

func TestOneFactorAtATime(t *testing.T) {
	// Rank 4 with or without interactions, correlation −1/3 (R 4.2.2).
	s := NewSpace(factorial([]string{"A", "B", "C"}, [][]string{{"-1", "-1", "-1"}, {"1", "-1", "-1"}, {"-1", "1", "-1"}, {"-1", "-1", "1"}}).p)
	if st := s.Structure(StructureOptions{Order: 1}); st.Rank != 4 || len(st.Aliases) > 0 || len(st.Partial) != 3 ||
		math.Abs(st.Partial[0].Correlation+1.0/3) > 1e-12 {
		t.Errorf("%+v", st)
	}
	st := s.Structure(StructureOptions{Order: 2})
	if st.Rank != 4 || st.Columns != 7 || len(st.Sets) > 0 || len(st.Aliases) != 3 {
		t.Errorf("%+v", st)
	}
	// Hand computed: the inverse of the correlation matrix with −1/3 off the
	// diagonal has 3/2 on it.
	for _, v := range st.Inflation[:3] {
		if math.Abs(v-1.5) > 1e-12 {
			t.Errorf("inflation %v", v)
		}
	}
}

func TestNumericFactorsAreCodedByTheirSpacing(t *testing.T) {
	values := []project.Value{value("100"), value("133"), value("166")}
	table := polynomials(values)
	for k, x := range table {
		sum := 0.0
		for _, v := range x {
			sum += v
		}
		if math.Abs(sum) > 1e-12 {
			t.Errorf("contrast %d sums to %v", k, sum)
		}
	}
	if math.Abs(dot(table[0], table[1])) > 1e-12 || table[0][0] != -1 || math.Abs(table[0][1]) > 1e-12 || math.Abs(table[0][2]-1) > 1e-12 {
		t.Errorf("contrasts %v", table)
	}
}

// Files and rows in another order, and other names for the levels, leave the
// structure as it is.
func TestStructureIgnoresOrderAndNames(t *testing.T) {
	for design, b := range fractions(t) {
		s := NewSpace(b.p)
		want := words(s, s.Structure(StructureOptions{}))
		random := rand.New(rand.NewPCG(1, 2))
		for range 5 {
			random.Shuffle(len(b.p.Configurations), func(i, j int) {
				b.p.Configurations[i], b.p.Configurations[j] = b.p.Configurations[j], b.p.Configurations[i]
			})
			for _, c := range b.p.Configurations {
				for f := range c.Values {
					name := "low"
					if strings.TrimPrefix(c.Values[f].Text, "low") != c.Values[f].Text || c.Values[f].Text == "-1" {
						name = "low"
					} else {
						name = "top"
					}
					c.Values[f].Value = value(name)
				}
			}
			s := NewSpace(b.p)
			if got := words(s, s.Structure(StructureOptions{})); !slices.Equal(got, want) {
				t.Fatalf("%s: %q, was %q", design, got, want)
			}
		}
	}
}
