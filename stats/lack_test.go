package stats

import "testing"

// The load cell of NIST/SEMATECH e-Handbook of Statistical Methods, 4.6.1 (data
// there; deflection at loads of 150,000 to 3,000,000 lb, each read twice), which
// a straight line does not fit: page 4.6.1.5 for every check value. The page was
// computed with fewer digits: exact arithmetic on the same data gives an F of
// 214.74692, so that the tolerance is 5e-6.
func TestLackOfFitOfTheLoadCell(t *testing.T) {
	deflection := []float64{
		.11019, .21956, .32949, .43899, .54803, .65694, .76562, .87487, .98292, 1.09146,
		1.20001, 1.30822, 1.41599, 1.52399, 1.63194, 1.73947, 1.84646, 1.95392, 2.06128, 2.16844,
		.11052, .22018, .32939, .43886, .54798, .65739, .76596, .87474, .98300, 1.09150,
		1.20004, 1.30818, 1.41613, 1.52408, 1.63159, 1.73965, 1.84696, 1.95445, 2.06177, 2.16829,
	}
	f := make([]float64, len(deflection)) // a line in the load is a law in its inverse
	for i := range f {
		f[i] = 1 / (150000 * float64(1+i%20))
	}
	m, err := FitAmdahl(f, deflection, 0.95)
	ok(t, err)
	near(t, "B0", m.A.Value, 0.614969e-2, 1e-6)
	near(t, "B1", m.B.Value, 0.722103e-6, 1e-6)
	near(t, "residual SD", m.line.sigma, 0.0021712694, 5e-6)
	l, tested := m.LackOfFit()
	if !tested || l.DF != 18 || l.ErrorDF != 20 {
		t.Fatalf("%+v, %v", l, tested)
	}
	near(t, "F", l.F, 214.7464, 5e-6)
	if l.P > 1e-10 {
		t.Errorf("p is %v", l.P)
	}
}

func TestLackOfFitNeedsThreeLevelsAndRepeats(t *testing.T) {
	for _, c := range []struct {
		name   string
		f, t   []float64
		tested bool
		fits   bool
	}{
		{"two levels", []float64{1, 1, 2, 2}, []float64{10, 10.1, 6, 6.1}, false, false},
		{"no repeats", []float64{1, 2, 4}, []float64{10, 6, 5}, false, false},
		{"repeats alike", []float64{1, 1, 2, 2, 4, 4}, []float64{10, 10, 6, 6, 5, 5}, false, false},
		{"a law that is followed", []float64{1, 1, 2, 2, 4, 4}, []float64{10, 10.2, 6, 6.2, 4, 4.2}, true, true},
		{"a law that is not", []float64{1, 1, 2, 2, 4, 4}, []float64{10, 10.2, 9, 9.2, 4, 4.2}, true, false},
	} {
		m, err := FitAmdahl(c.f, c.t, 0.95)
		ok(t, err)
		l, tested := m.LackOfFit()
		if tested != c.tested || tested && (l.P > 0.05) != c.fits {
			t.Errorf("%s: %+v, %v", c.name, l, tested)
		}
	}
}
