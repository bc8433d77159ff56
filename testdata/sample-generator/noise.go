package main

import (
	"math"
	"math/rand/v2"
	"slices"
)

// kept is how many readings of each cell count: two on the first day, one on
// the second, two on the third.
const kept = 5

// dayShift moves all performances of a day a little, as days do: shares.
var dayShift = map[string]float64{"first-day": 0, "second-day": 0.001, "second-day-after-update": 0.001, "third-day": -0.001}

// cellNoise draws the scatter of one cell in standard deviations: normal,
// independent, and drawn again while it looks remarkable. The sample shows its
// faults on purpose; a chance outlier, a chance trend from first to last or a
// chance pair of clusters would be one more that nobody planted. Redrawing cuts
// some three draws in ten, mostly at the tails, so the spread comes out a few per
// cent below the nominal one.
func cellNoise(r *rand.Rand) [kept]float64 {
	for {
		var e [kept]float64
		for i := range e {
			e[i] = r.NormFloat64()
		}
		if unremarkable(e) {
			return e
		}
	}
}

// unremarkable: no value far from the others, no wide gap in the middle, first
// and last of a day close, no steady climb, and neither much too quiet nor
// much too loud.
func unremarkable(e [kept]float64) bool {
	m, s := meanSD(e[:])
	if s < 0.55 || s > 1.45 || math.Abs(m) > 0.8 || farthest(e[:]) > 1.6 {
		return false
	}
	sorted := slices.Sorted(slices.Values(e[:]))
	for i := 1; i < kept; i++ {
		if sorted[i]-sorted[i-1] > 0.55*(sorted[kept-1]-sorted[0]) {
			return false
		}
	}
	if math.Abs(e[0]-e[1]) > 1.9 || math.Abs(e[3]-e[4]) > 1.9 {
		return false
	}
	return !slices.IsSorted(e[:]) && !slices.IsSortedFunc(e[:], func(a, b float64) int {
		if a > b {
			return -1
		}
		return 1
	})
}

// farthest is the largest distance from the mean in standard deviations: the
// statistic of Grubbs' test, whose 5 % limit for five values is 1.715 (NIST/SEMATECH
// e-Handbook, 1.3.5.17.1, by its formula).
func farthest(x []float64) float64 {
	m, s := meanSD(x)
	var far float64
	for _, v := range x {
		far = max(far, math.Abs(v-m)/s)
	}
	return far
}

func meanSD(x []float64) (mean, sd float64) {
	for _, v := range x {
		mean += v
	}
	mean /= float64(len(x))
	for _, v := range x {
		sd += (v - mean) * (v - mean)
	}
	return mean, math.Sqrt(sd / float64(len(x)-1))
}

// reading gives what is written for a value scattered by e standard deviations
// on the given day.
func (w *workload) reading(c *configuration, session string, e float64) float64 {
	v := w.truth(c)
	if w.interval {
		return w.written(v + e*w.spread)
	}
	day := 1 + dayShift[session]
	if w.id == "wall-power" {
		day = 1
	}
	if session == "second-day-after-update" && w.firmware != 0 {
		day *= w.firmware
	}
	if !w.higher {
		day = 1 / day
	}
	return w.written(v * day * math.Exp(e*w.spread))
}
