package stats

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// NIST/SEMATECH e-Handbook 1.3.5.17.1: eight uranium readings (Tietjen and
// Moore 1972), G = 2.4687 (cut), critical value 2.032 one-sided, p 1.501e-07.
func TestGrubbsUranium(t *testing.T) {
	x := column(t, "nist/grubbs_uranium.csv", "y")
	ref := reference(t, "nist/ref_nist_R.csv")
	g, err := Grubbs(x, 0.05, HighSide)
	ok(t, err)
	near(t, "G", g.G, want(t, ref, "grubbs_uranium/G"), 1e-13)
	near(t, "critical", g.Critical, want(t, ref, "grubbs_uranium/crit_one_sided_0.05"), 1e-13)
	near(t, "p", g.P, want(t, ref, "grubbs_uranium/p_one_sided_bound"), 1e-9)
	within(t, "published p", g.P, 1.501e-07, 5.1e-11)
	if !g.Outlier || g.Value != 245.57 || x[g.Index] != 245.57 {
		t.Errorf("%+v", g)
	}
	g, err = Grubbs(x, 0.05, BothSides)
	ok(t, err)
	near(t, "two-sided critical", g.Critical, want(t, ref, "grubbs_uranium/crit_two_sided_0.05"), 1e-13)
	near(t, "two-sided p", g.P, want(t, ref, "grubbs_uranium/p_two_sided_bound"), 1e-9)
	g, err = Grubbs(x, 0.05, LowSide)
	ok(t, err)
	if g.Outlier || g.Value != 199.31 {
		t.Errorf("low side: %+v", g)
	}
	z, err := Grubbs(column(t, "nist/zarr13.csv", "y"), 0.05, BothSides)
	ok(t, err)
	near(t, "G of ZARR13", z.G, want(t, ref, "zarr13/grubbs_G"), 1e-12)
}

// Critical values with 18 digits.
func TestGrubbsCriticalValues(t *testing.T) {
	for _, r := range table(t, "critical/grubbs.csv") {
		n := int(number(t, r["n"]))
		x := make([]float64, n)
		x[0] = 1
		side := BothSides
		if r["sides"] == "1" {
			side = HighSide
		}
		g, err := Grubbs(x, number(t, r["alpha"]), side)
		ok(t, err)
		near(t, "critical value", g.Critical, number(t, r["G_crit_mpmath_18"]), 2e-14)
	}
}

func TestESDCriticalValues(t *testing.T) {
	for _, r := range table(t, "critical/gesd.csv") {
		x := make([]float64, int(number(t, r["n"])))
		for i := range x {
			x[i] = float64(i * i)
		}
		i := int(number(t, r["i"]))
		_, steps, err := GeneralisedESD(x, i, number(t, r["alpha"]))
		ok(t, err)
		near(t, "critical value", steps[i-1].Lambda, number(t, r["lambda_mpmath_18"]), 2e-14)
	}
}

// NIST/SEMATECH e-Handbook 1.3.5.17.3 (Rosner's 54 readings): three outliers,
// although the first two steps alone find none.
func TestESDUnmasks(t *testing.T) {
	x := column(t, "nist/rosner54.csv", "y")
	ref := reference(t, "nist/ref_nist_R.csv")
	out, steps, err := GeneralisedESD(x, 10, 0.05)
	ok(t, err)
	if len(out) != 3 || steps[0].R > steps[0].Lambda || steps[1].R > steps[1].Lambda {
		t.Errorf("outliers %v of %+v", out, steps)
	}
	for i, s := range steps {
		k := "rosner_esd/step" + string(rune('1'+i))
		if i == 9 {
			k = "rosner_esd/step10"
		}
		near(t, k+" removed", s.Value, want(t, ref, k+"|removed"), 0)
		near(t, k+" R", s.R, want(t, ref, k+"|R"), 1e-13)
		near(t, k+" lambda", s.Lambda, want(t, ref, k+"|lambda_0.05"), 1e-13)
		if x[s.Index] != s.Value {
			t.Errorf("%s: index %d does not hold %v", k, s.Index, s.Value)
		}
	}
}

func TestOutlierTestsOnDegenerateReadings(t *testing.T) {
	if _, err := Grubbs([]float64{1, 2}, 0.05, BothSides); !errors.Is(err, ErrTooFew) {
		t.Errorf("two readings: %v", err)
	}
	if _, err := Grubbs([]float64{2, 2, 2}, 0.05, BothSides); !errors.Is(err, ErrNoSpread) {
		t.Errorf("equal readings: %v", err)
	}
	if _, _, err := GeneralisedESD([]float64{2, 2, 2, 2}, 2, 0.05); !errors.Is(err, ErrNoSpread) {
		t.Errorf("equal readings: %v", err)
	}
	if _, _, err := GeneralisedESD([]float64{1, 2, 3}, 2, 0.05); !errors.Is(err, ErrDomain) {
		t.Errorf("too many outliers: %v", err)
	}
	if _, err := Grubbs([]float64{1, 2, 3}, 0, BothSides); !errors.Is(err, ErrDomain) {
		t.Errorf("significance 0: %v", err)
	}
	out, _, err := GeneralisedESD([]float64{7, 7, 7, 7, 7, 7, 7, 7, 7, 7, 9}, 3, 0.05)
	ok(t, err)
	if !slices.Equal(out, []int{10}) {
		t.Errorf("one odd reading among equal ones: %v", out)
	}
}

func TestTwoClusters(t *testing.T) {
	apart := []float64{60.1, 60.3, 59.9, 60.2, 66.0, 65.8, 66.3, 66.1}
	c, err := TwoClusters(apart, 0.01, 0.1)
	ok(t, err)
	if !c.Found || c.LowN != 4 || c.HighN != 4 || c.P > 0.001 || !(c.Split > 60.3 && c.Split < 65.8) {
		t.Errorf("two clusters were missed: %+v", c)
	}
	one := []float64{60.1, 60.9, 61.4, 62.0, 62.2, 62.9, 63.5, 64.1}
	if c, err = TwoClusters(one, 0.05, 0.1); err != nil || c.Found {
		t.Errorf("one cluster was split: %+v %v", c, err)
	}
	steps := []float64{12, 12, 13, 13, 12, 13, 12, 13}
	if c, err = TwoClusters(steps, 0.05, 1); err != nil || c.Found {
		t.Errorf("two steps of the instrument were taken for clusters: %+v %v", c, err)
	}
	if c, err = TwoClusters(steps, 0.05, 0); err != nil || c.Found {
		t.Errorf("unknown resolution: %+v %v", c, err)
	}
	if c, err = TwoClusters(steps, 0.05, 0.001); err != nil || !c.Found {
		t.Errorf("a fine instrument: %+v %v", c, err)
	}
	outlier := []float64{60, 60.1, 60.2, 60.3, 60.4, 75}
	if c, err = TwoClusters(outlier, 0.01, 0); err != nil || c.Found {
		t.Errorf("one wild reading is not a cluster: %+v %v", c, err)
	}
}

// Simulates some of the table anew: the share of normal samples beyond each
// tabulated value is the nominal one, within four standard errors.
func TestClusterTable(t *testing.T) {
	for _, n := range []int{6, 10, 11, 18, 35} {
		r := rand.New(rand.NewPCG(99, uint64(n)))
		const reps = 60000
		var beyond [3]float64
		s := make([]float64, n)
		for i := 0; i < reps; i++ {
			for j := range s {
				s[j] = r.NormFloat64()
			}
			slices.Sort(s)
			_, ratio := bestSplit(s, 2, 0)
			for k := range beyond {
				if ratio <= clusterCritical(n, k) {
					beyond[k]++
				}
			}
		}
		for k, a := range clusterAlphas {
			// Between tabulated n, interpolation may cost a twelfth.
			within(t, "share beyond", beyond[k]/reps, a, 4*math.Sqrt(a*(1-a)/reps)+a/12)
		}
	}
}

func TestFirstOutOfLine(t *testing.T) {
	d, err := FirstOutOfLine(50, []float64{60, 60.5, 59.5, 60.2, 59.8}, 0.95)
	ok(t, err)
	// By hand: mean 60, s² = 0.58/4, t = −10/(s·√1.2), 4 degrees of freedom.
	near(t, "t", d.T, -10/math.Sqrt(0.145*1.2), 1e-12)
	if d.P > 0.001 || d.DF != 4 {
		t.Errorf("%+v", d)
	}
	if _, err := FirstOutOfLine(50, []float64{60}, 0.95); !errors.Is(err, ErrTooFew) {
		t.Errorf("%v", err)
	}
}
