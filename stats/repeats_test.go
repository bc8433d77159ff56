package stats

import (
	"errors"
	"math"
	"testing"
)

// R 4.2.2: ceiling(power.t.test(delta = log(1.02), sd = SD, power = 0.8, strict = TRUE)$n)
// for the logarithms, and power.t.test(delta = 2, sd = SD, power = 0.8)$n for plain
// readings.
func TestRepeatsNeededAreThoseOfR(t *testing.T) {
	for _, c := range []struct {
		delta, sd float64
		want      int
	}{
		{math.Log(1.02), 0.005, 3},  // 2.430414
		{math.Log(1.02), 0.010, 6},  // 5.165239
		{math.Log(1.02), 0.012, 7},  // 6.871501
		{math.Log(1.02), 0.015, 11}, // 10.0641
		{math.Log(1.02), 0.020, 18}, // 17.02813
		{math.Log(1.02), 0.030, 38}, // 37.01276
		{2, 1, 6},                   // 5.090008
		{2, 1.2, 7},                 // 6.76095
		{2, 1.5, 10},                // 9.889068
		{2, 2, 17},                  // 16.71477
		{2, 3, 37},                  // 36.3058
		{math.Log(1.02), 0.002, 2},  // power 0.992 with two
		{math.Log(1.02), 0.050, 51}, // 101.0456, more than are looked at
	} {
		got, err := RepeatsNeeded(c.delta, c.sd, 0.95, 0.8, 50)
		if err != nil || got != c.want {
			t.Errorf("difference %v, spread %v: %d (%v), want %d", c.delta, c.sd, got, err, c.want)
		}
	}
	if _, err := RepeatsNeeded(0.02, 0, 0.95, 0.8, 50); !errors.Is(err, ErrNoSpread) {
		t.Errorf("no spread: %v", err)
	}
	for _, delta := range []float64{0, -1, math.NaN()} {
		if _, err := RepeatsNeeded(delta, 1, 0.95, 0.8, 50); err == nil {
			t.Errorf("difference %v passes", delta)
		}
	}
}
