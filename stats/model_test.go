package stats

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

func texts(t testing.TB, name, key string) []string {
	var v []string
	for _, r := range table(t, name) {
		v = append(v, r[key])
	}
	return v
}

// rName turns a column's name into R's: "wool=B × tension=M" → "woolB:tensionM".
func rName(name string) string {
	if name == ConstantTerm {
		return "(Intercept)"
	}
	return strings.NewReplacer("=", "", " × ", ":").Replace(name)
}

func twoWay(t testing.TB, file, response, f1, f2 string, order1, order2 []string, log, interaction bool) *Model {
	y := column(t, file, response)
	if log {
		l, err := logs(y)
		ok(t, err)
		y = l
	}
	d := NewDesign(len(y))
	ok(t, d.AddFactor(f1, texts(t, file, f1), order1))
	ok(t, d.AddFactor(f2, texts(t, file, f2), order2))
	if interaction {
		ok(t, d.AddInteraction(f1, f2))
	}
	m, err := Fit(y, d, 0.95)
	ok(t, err)
	return m
}

// R's warpbreaks (Tippett 1950) and ToothGrowth (Crampton 1947): two-way
// analysis with interaction, raw and log, R 4.2.2 (scipy agrees to 2e-14).
func TestTwoWayAnalysis(t *testing.T) {
	ref := reference(t, "datasets/ref_datasets.csv")
	for _, c := range []struct {
		anova, coding, file, response, f1, f2 string
		o1, o2                                []string
		log, interaction                      bool
	}{
		{"warpbreaks_anova", "warpbreaks_anova_treatment_coding", "datasets/warpbreaks.csv", "breaks", "wool", "tension", []string{"A", "B"}, []string{"L", "M", "H"}, false, true},
		{"warpbreaks_log_anova", "warpbreaks_log_treatment_coding", "datasets/warpbreaks.csv", "breaks", "wool", "tension", []string{"A", "B"}, []string{"L", "M", "H"}, true, true},
		{"warpbreaks_log_additive_anova", "warpbreaks_log_additive_treatment_coding", "datasets/warpbreaks.csv", "breaks", "wool", "tension", []string{"A", "B"}, []string{"L", "M", "H"}, true, false},
		{"toothgrowth_anova", "toothgrowth_treatment_coding", "datasets/toothgrowth.csv", "len", "supp", "dose", []string{"OJ", "VC"}, []string{"0.5", "1", "2"}, false, true},
		{"toothgrowth_log_anova", "toothgrowth_log_treatment_coding", "datasets/toothgrowth.csv", "len", "supp", "dose", []string{"OJ", "VC"}, []string{"0.5", "1", "2"}, true, true},
	} {
		m := twoWay(t, c.file, c.response, c.f1, c.f2, c.o1, c.o2, c.log, c.interaction)
		toR := func(s string) string { return strings.ReplaceAll(rName(s), "dose", "dosef") }
		rows, err := m.Variance()
		ok(t, err)
		for _, r := range rows {
			name := c.anova + "/" + toR(r.Term)
			if r.Term == ResidualTerm {
				name = c.anova + "/Residuals"
			}
			near(t, name+" df", float64(r.DF), want(t, ref, name+"|Df"), 0)
			near(t, name+" SS", r.SS, want(t, ref, name+"|SS"), 1e-12)
			near(t, name+" MS", r.MS, want(t, ref, name+"|MS"), 1e-12)
			if r.Term != ResidualTerm {
				near(t, name+" F", r.F, want(t, ref, name+"|F"), 1e-12)
				near(t, name+" p", r.P, want(t, ref, name+"|p"), 1e-11)
			}
		}
		for _, k := range m.Coefficients {
			name := c.coding + "/"
			near(t, c.coding+" "+k.Name, k.Value, want(t, ref, name+"coef|"+toR(k.Name)), 2e-14*100)
			near(t, c.coding+" se "+k.Name, k.SE, want(t, ref, name+"se|"+toR(k.Name)), 1e-12)
		}
		near(t, "sigma", m.Sigma, want(t, ref, c.coding+"/sigma"), 1e-13)
		near(t, "df", float64(m.DF), want(t, ref, c.coding+"/df_residual"), 0)
	}
	m := twoWay(t, "datasets/warpbreaks.csv", "breaks", "wool", "tension", nil, []string{"L", "M", "H"}, true, false)
	i, err := m.Coefficients[1].Interval.Exp()
	ok(t, err)
	near(t, "ratio low", i.Low, want(t, ref, "warpbreaks_log_additive_treatment_coding/exp(ci95)|woolB|low"), 1e-13)
	near(t, "ratio high", i.High, want(t, ref, "warpbreaks_log_additive_treatment_coding/exp(ci95)|woolB|high"), 1e-13)

	// The interaction as a test of nested models.
	full := twoWay(t, "datasets/warpbreaks.csv", "breaks", "wool", "tension", nil, []string{"L", "M", "H"}, false, true)
	small := twoWay(t, "datasets/warpbreaks.csv", "breaks", "wool", "tension", nil, []string{"L", "M", "H"}, false, false)
	f, err := NestedF(small, full)
	ok(t, err)
	near(t, "nested F", f.F, want(t, ref, "warpbreaks_anova/wool:tension|F"), 1e-11)
	near(t, "nested p", f.P, want(t, ref, "warpbreaks_anova/wool:tension|p"), 1e-11)
	// A cell mean is a contrast: the row of the design itself.
	e, err := full.Contrast(full.design.Row(53))
	ok(t, err)
	near(t, "cell B, H", e.Value, want(t, ref, "warpbreaks_cells/cell_mean|B|H"), 1e-13)
	near(t, "its se", e.SE, full.Sigma/3, 1e-12)
}

func npk(t testing.TB, codes map[string]string, helmert bool) (*Design, []float64) {
	file := "datasets/npk.csv"
	y := column(t, file, "yield")
	d := NewDesign(len(y))
	if helmert {
		blocks := texts(t, file, "block")
		for j := 1; j < 6; j++ {
			c := Column{fmt.Sprint("block", j), "block", make([]float64, len(y))}
			for i, b := range blocks {
				switch k := int(number(t, b)) - 1; {
				case k < j:
					c.Values[i] = -1
				case k == j:
					c.Values[i] = float64(j)
				}
			}
			ok(t, d.AddColumn(c))
		}
		for _, f := range []string{"N", "P", "K"} {
			v := column(t, file, f)
			for i := range v {
				v[i] = 2*v[i] - 1
			}
			ok(t, d.AddColumn(Column{f + "1", f, v}))
		}
	} else {
		ok(t, d.AddFactor("block", texts(t, file, "block"), nil))
		for _, f := range []string{"N", "P", "K"} {
			ok(t, d.AddFactor(f, texts(t, file, f), nil))
		}
	}
	for _, p := range [][]string{{"N", "P"}, {"N", "K"}, {"P", "K"}, {"N", "P", "K"}} {
		ok(t, d.AddInteraction(p...))
	}
	return d, y
}

// R's npk (Venables and Ripley 2002): the three-factor interaction is
// confounded with blocks; alias() in two codings, analysis of variance.
func TestNPKConfoundedInteraction(t *testing.T) {
	ref := reference(t, "datasets/ref_datasets.csv")
	d, y := npk(t, nil, false)
	m, err := Fit(y, d, 0.95)
	ok(t, err)
	near(t, "rank", float64(m.Rank), want(t, ref, "npk_blocked_anova/rank"), 0)
	if len(m.Aliases) != 1 || rName(m.Aliases[0].Column) != "N1:P1:K1" {
		t.Fatalf("aliases %+v", m.Aliases)
	}
	for _, p := range m.Aliases[0].Of {
		near(t, "alias on "+p.Column, p.Coefficient, want(t, ref, "npk_alias_treatment_coding/N1:P1:K1 on "+rName(p.Column)), 0)
		near(t, "its fraction", float64(p.Num)/float64(p.Den), p.Coefficient, 0)
	}
	if len(m.Aliases[0].Of) != 9 {
		t.Errorf("%d parts, R has 9: %+v", len(m.Aliases[0].Of), m.Aliases[0].Of)
	}
	rows, err := m.Variance()
	ok(t, err)
	for _, r := range rows {
		name := "npk_blocked_anova/" + rName(r.Term)
		if r.Term == ResidualTerm {
			name = "npk_blocked_anova/Residuals"
		}
		if r.Term == "N × P × K" {
			if r.DF != 0 {
				t.Errorf("the confounded interaction has %d degrees of freedom", r.DF)
			}
			continue
		}
		near(t, name+" df", float64(r.DF), want(t, ref, name+"|Df"), 0)
		near(t, name+" SS", r.SS, want(t, ref, name+"|SS"), 2e-13*100)
		if r.Term != ResidualTerm {
			near(t, name+" p", r.P, want(t, ref, name+"|p"), 1e-11)
		}
	}
	// The aliased effect by itself is not estimable, the effect of N is.
	c := make([]float64, len(d.Columns()))
	c[len(c)-1] = 1
	if _, err := m.Contrast(c); !errors.Is(err, ErrNotEstimable) {
		t.Errorf("contrast on the aliased column: %v", err)
	}

	// Helmert coding: 1, 1/3, 1/6, −3/10, −1/5 on block2… (R's alias()).
	d, y = npk(t, nil, true)
	a, rank, err := Aliases(d)
	ok(t, err)
	if rank != 12 || len(a) != 1 {
		t.Fatalf("rank %d, aliases %+v", rank, a)
	}
	got := fmt.Sprint(a[0].Of)
	if want := "[{block1 1 1 1} {block2 0.3333333333333333 1 3} {block3 0.16666666666666666 1 6} {block4 -0.3 -3 10} {block5 -0.2 -1 5}]"; got != want {
		t.Errorf("alias in Helmert coding\n got %s\nwant %s", got, want)
	}
	_ = y

	// Without blocks nothing is aliased and the effect of N is 5.6167.
	u := d.Without("block")
	if a, _, err := Aliases(u); err != nil || len(a) != 0 {
		t.Errorf("unblocked: %v %v", a, err)
	}
	m, err = Fit(y, u, 0.95)
	ok(t, err)
	near(t, "effect of N", 2*m.Coefficients[1].Value, want(t, ref, "npk_effects/mean(N=1)-mean(N=0)"), 1e-13)
	near(t, "VIF in an orthogonal design", m.Coefficients[1].VIF, 1, 1e-14)
}

// Box, Hunter and Hunter: in the half fraction of 2³ with C = AB each factor
// is the interaction of the other two.
func TestHalfFractionAliases(t *testing.T) {
	d := NewDesign(4)
	ok(t, d.AddNumeric("A", []float64{-1, 1, -1, 1}))
	ok(t, d.AddNumeric("B", []float64{-1, -1, 1, 1}))
	ok(t, d.AddNumeric("C", []float64{1, -1, -1, 1}))
	for _, p := range [][]string{{"A", "B"}, {"A", "C"}, {"B", "C"}} {
		ok(t, d.AddInteraction(p...))
	}
	a, rank, err := Aliases(d)
	ok(t, err)
	if got := fmt.Sprint(rank, a); got != "4 [{A × B [{C 1 1 1}]} {A × C [{B 1 1 1}]} {B × C [{A 1 1 1}]}]" {
		t.Error(got)
	}
}

func TestRankDecisions(t *testing.T) {
	n := 12
	base := make([]float64, n) // a clock with an offset
	copyOf := make([]float64, n)
	stamps := make([]float64, n)
	constant := make([]float64, n)
	for i := range base {
		base[i] = 200 + 33.3*float64(i%4)
		copyOf[i] = base[i]*66.6/1000 - 3 // derived, in another unit
		stamps[i] = 1.7e9 + 0.5*float64(i*i)
		constant[i] = 0.1 + 0.2
		if i%2 == 0 {
			constant[i] = 0.3 // differs from the others in rounding only
		}
	}
	d := NewDesign(n)
	ok(t, d.AddNumeric("clock", base))
	ok(t, d.AddNumeric("derived", copyOf))
	ok(t, d.AddNumeric("time", stamps))
	ok(t, d.AddNumeric("never varied", constant))
	a, rank, err := Aliases(d)
	ok(t, err)
	if rank != 3 || len(a) != 2 || a[0].Column != "derived" || a[1].Column != "never varied" {
		t.Fatalf("rank %d, aliases %+v", rank, a)
	}
	near(t, "coefficient of the derived column", a[0].Of[1].Coefficient, 0.0666, 1e-9)
	near(t, "its constant", a[0].Of[0].Coefficient, -3, 1e-9)
	if a[1].Of[0].Column != ConstantTerm || len(a[1].Of) != 1 {
		t.Errorf("%+v", a[1])
	}
}

// Plackett and Burman's 12 runs, Biometrika 33, 1946: main effects correlate by
// ±1/3 with interactions that do not contain them.
func TestPartialConfounding(t *testing.T) {
	generator := []float64{1, 1, -1, 1, 1, 1, -1, -1, -1, 1, -1}
	d := NewDesign(12)
	names := []string{}
	for j := 0; j < 4; j++ {
		v := make([]float64, 12)
		for i := 0; i < 11; i++ {
			v[i] = generator[(i+11-j)%11]
		}
		v[11] = -1
		names = append(names, fmt.Sprint("f", j))
		ok(t, d.AddNumeric(names[j], v))
	}
	ok(t, d.AddInteraction("f1", "f2"))
	r := d.Correlation()
	within(t, "f0 with f1", r[0][1], 0, 1e-15)
	within(t, "f0 with f1 × f2", math.Abs(r[0][4]), 1.0/3, 1e-15)
	within(t, "f1 with f1 × f2", r[1][4], 0, 1e-15)
	m, err := Fit([]float64{1, 4, 2, 8, 5, 7, 1, 3, 9, 2, 6, 5}, d, 0.95)
	ok(t, err)
	// f0 and f3 each correlate 1/3 with the interaction: its R² is 2/9.
	near(t, "VIF of the interaction", m.Coefficients[5].VIF, 1/(1-2.0/9), 1e-12)
	v, err := VarianceInflation(d)
	ok(t, err)
	for j, k := range m.Coefficients {
		near(t, "VIF without readings", v[j], k.VIF, 1e-12)
	}
}

func TestModelDoesNotDependOnRowOrder(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	n := 60
	y := make([]float64, n)
	f1, f2 := make([]string, n), make([]string, n)
	z := make([]float64, n)
	for i := range y {
		f1[i], f2[i] = fmt.Sprint(r.IntN(4)), fmt.Sprint(r.IntN(3))
		z[i] = math.Round(r.Float64() * 20)
		y[i] = 10 + r.NormFloat64() + z[i]/3
	}
	fit := func(order []int) *Model {
		a, b := make([]string, n), make([]string, n)
		u, v := make([]float64, n), make([]float64, n)
		for i, o := range order {
			a[i], b[i], u[i], v[i] = f1[o], f2[o], z[o], y[o]
		}
		d := NewDesign(n)
		ok(t, d.AddFactor("a", a, nil))
		ok(t, d.AddFactor("b", b, nil))
		ok(t, d.AddNumeric("z", u))
		ok(t, d.AddInteraction("a", "z"))
		m, err := Fit(v, d, 0.95)
		ok(t, err)
		return m
	}
	first := fit(r.Perm(n))
	for i := 0; i < 10; i++ {
		m := fit(r.Perm(n))
		if fmt.Sprint(m.Coefficients, m.RSS, m.R2) != fmt.Sprint(first.Coefficients, first.RSS, first.R2) {
			t.Fatal("coefficients depend on the order of rows")
		}
	}
}

func TestModelsWithNothingLeftToJudgeBy(t *testing.T) {
	d := NewDesign(2)
	ok(t, d.AddNumeric("x", []float64{1, 2}))
	m, err := Fit([]float64{3, 5}, d, 0.95)
	ok(t, err)
	if m.HasSpread || m.DF != 0 || m.Coefficients[1].Interval.Known() {
		t.Errorf("%+v", m)
	}
	near(t, "slope", m.Coefficients[1].Value, 2, 1e-15)
	d = NewDesign(4)
	ok(t, d.AddNumeric("x", []float64{1, 2, 3, 4}))
	m, err = Fit([]float64{0.1, 0.2, 0.3, 0.4}, d, 0.95)
	ok(t, err)
	if m.HasSpread {
		t.Errorf("rounding was taken for spread: sigma %v", m.Sigma)
	}
	m, err = Fit([]float64{7, 7, 7, 7}, d, 0.95)
	ok(t, err)
	if m.HasSpread || m.Coefficients[1].Value != 0 || m.Coefficients[0].Value != 7 {
		t.Errorf("equal readings: %+v", m.Coefficients)
	}
}

// Hundreds of columns by thousands of rows.
func BenchmarkFit200x4000(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 2))
	n := 4000
	d := NewDesign(n)
	for k := 0; k < 10; k++ {
		v := make([]string, n)
		for i := range v {
			v[i] = fmt.Sprintf("%02d", r.IntN(20))
		}
		ok(b, d.AddFactor(fmt.Sprint("f", k), v, nil))
	}
	y := readings(n)
	for b.Loop() {
		if _, err := Fit(y, d, 0.95); err != nil {
			b.Fatal(err)
		}
	}
}

// A large plan: 2000 configurations, 40 factors of 3 levels and 100
// interactions of two.
func BenchmarkAliases2000x480(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 3))
	n := 2000
	d := NewDesign(n)
	for k := 0; k < 40; k++ {
		v := make([]string, n)
		for i := range v {
			v[i] = fmt.Sprint(r.IntN(3))
		}
		ok(b, d.AddFactor(fmt.Sprint("f", k), v, nil))
	}
	for k := 0; k < 100; k++ {
		ok(b, d.AddInteraction(fmt.Sprint("f", k%40), fmt.Sprint("f", (k*7+1)%39)))
	}
	b.ReportMetric(float64(len(d.Columns())), "columns")
	for b.Loop() {
		if _, _, err := Aliases(d); err != nil {
			b.Fatal(err)
		}
	}
}

// NIST StRD, linear regression, Wampler1 (from memory; the data follow from the
// model): y = 1 + x + … + x⁵ at x = 0 … 20, all certified coefficients 1.
func TestWampler(t *testing.T) {
	n := 21
	d := NewDesign(n)
	y := make([]float64, n)
	for k := 0; k <= 5; k++ {
		v := make([]float64, n)
		for i := range v {
			v[i] = math.Pow(float64(i), float64(k))
			y[i] += v[i]
		}
		if k > 0 {
			ok(t, d.AddNumeric(fmt.Sprint("x", k), v))
		}
	}
	m, err := Fit(y, d, 0.95)
	ok(t, err)
	for _, k := range m.Coefficients {
		near(t, k.Name, k.Value, 1, 2e-9)
	}
	if m.HasSpread {
		t.Errorf("rounding was taken for spread: %v", m.Sigma)
	}
}
