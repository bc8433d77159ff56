package stats

import (
	"math"
	"math/rand/v2"
	"reflect"
	"testing"
)

// A design that is factorised once and used for several sets of readings gives
// each of them what a fit of its own gives, to the last bit, and so does the
// design without the columns that depend on others.
func TestOneFactorisationServesSeveralFits(t *testing.T) {
	for seed := range uint64(20) {
		random := rand.New(rand.NewPCG(seed, 3))
		const rows = 36
		whole, own := NewDesign(rows), NewDesign(rows)
		sessions, kits := make([]string, rows), make([]string, rows)
		clock, twice := make([]float64, rows), make([]float64, rows)
		for i := range rows {
			sessions[i], kits[i] = string(rune('a'+i%3)), string(rune('a'+random.IntN(4)))
			clock[i] = float64(1 + i/3%4) // rows repeat
			twice[i] = 2 * clock[i]
		}
		for _, d := range []*Design{whole, own} {
			if err := d.AddFactor("session", sessions, nil); err != nil {
				t.Fatal(err)
			}
			if err := d.AddNumeric("clock", clock); err != nil {
				t.Fatal(err)
			}
			if d == whole {
				if err := d.AddNumeric("twice the clock", twice); err != nil {
					t.Fatal(err)
				}
			}
			if err := d.AddFactor("kit", kits, nil); err != nil {
				t.Fatal(err)
			}
		}
		f, err := Factorise(whole)
		if err != nil {
			t.Fatal(err)
		}
		kept, places := f.Kept()
		if len(places) != len(whole.Columns())-1 {
			t.Fatalf("seed %d: kept columns %v", seed, places)
		}
		for k, j := range places {
			if kept.design.columns[k].Name != whole.columns[j].Name {
				t.Errorf("seed %d: column %d of the kept ones is called %q, and %q at its place", seed, k, kept.design.columns[k].Name, whole.columns[j].Name)
			}
		}
		for range 3 {
			y := make([]float64, rows)
			for i := range y {
				y[i] = math.Round(100*(clock[i]+random.NormFloat64())) / 100
			}
			for _, c := range []struct {
				name   string
				shared *Factored
				d      *Design
			}{{"whole", f, whole}, {"kept", kept, own}} {
				want, err := Fit(y, c.d, 0.95)
				if err != nil {
					t.Fatal(err)
				}
				got, err := c.shared.Fit(y, 0.95)
				if err != nil {
					t.Fatal(err)
				}
				if !reflect.DeepEqual(got.Coefficients, want.Coefficients) || !reflect.DeepEqual(got.Residuals, want.Residuals) || !reflect.DeepEqual(got.Aliases, want.Aliases) {
					t.Errorf("seed %d, %s: %+v, want %+v", seed, c.name, got.Coefficients, want.Coefficients)
				}
			}
		}
	}
}
