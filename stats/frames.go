package stats

import (
	"fmt"
	"math"
)

// FrameTimes summarises the frame times of one run.
type FrameTimes struct {
	Frames int
	// MeanRate is frames over total time, per second. It is not the mean of
	// the momentary rates, which would count short frames too often.
	MeanRate float64
	// MedianTime and PercentileTime99 are quantiles of the frame time in ms
	// (linear interpolation, type 7): half, and 99 of 100 frames, were no slower.
	MedianTime, PercentileTime99 float64
	// RateAtPercentile99 is 1000/PercentileTime99, per second: the rate at the
	// 99th percentile of the frame time.
	RateAtPercentile99 float64
	// RateOfSlowest1 is the number of the slowest 1 % of frames (rounded up)
	// over their total time, per second. It looks at the worst frames in full
	// and is never above RateAtPercentile99 by more than interpolation.
	RateOfSlowest1 float64
	LongestTime    float64 // ms
}

// SummariseFrames takes the frame times of one run in milliseconds, all
// positive, one at least. The two low rates are both called "one-per-cent low"
// (common practice, no source), which is why they have names of their own here.
func SummariseFrames(ms []float64) (FrameTimes, error) {
	if err := checkFrames(ms); err != nil {
		return FrameTimes{}, err
	}
	var f FrameTimes
	var err error
	s := sorted(ms)
	f.Frames = len(s)
	f.LongestTime = s[len(s)-1]
	f.MedianTime = quantileSorted(s, 0.5)
	f.PercentileTime99 = quantileSorted(s, 0.99)
	if f.MeanRate, err = rateOf(s); err != nil {
		return FrameTimes{}, err
	}
	if f.RateAtPercentile99, err = inRange("rate at a percentile", 1000/f.PercentileTime99); err != nil {
		return FrameTimes{}, err
	}
	f.RateOfSlowest1, err = rateOf(s[len(s)-slowest(len(s), 0.01):])
	return f, err
}

// MeanRate is frames over total time, per second.
func MeanRate(ms []float64) (float64, error) {
	if err := checkFrames(ms); err != nil {
		return 0, err
	}
	return rateOf(ms)
}

// PercentileTime is the frame time in ms that the share p of the frames does
// not exceed.
func PercentileTime(ms []float64, p float64) (float64, error) {
	if err := checkFrames(ms); err != nil {
		return 0, err
	}
	return Quantile(ms, p)
}

// RateAtPercentile is the rate, per second, at the p-quantile of the frame
// time (p = 0.99 for a one-per-cent low).
func RateAtPercentile(ms []float64, p float64) (float64, error) {
	t, err := PercentileTime(ms, p)
	if err != nil {
		return 0, err
	}
	return inRange("rate at a percentile", 1000/t)
}

// RateOfSlowest is the number of the slowest share of frames (0 < share ≤ 1,
// rounded up to whole frames) over their total time, per second.
func RateOfSlowest(ms []float64, share float64) (float64, error) {
	if err := checkFrames(ms); err != nil {
		return 0, err
	}
	if !(share > 0 && share <= 1) {
		return 0, fmt.Errorf("share %v of frames: %w", share, ErrDomain)
	}
	s := sorted(ms)
	return rateOf(s[len(s)-slowest(len(s), share):])
}

// slowest is share·n rounded up, where 0.01·300 counts as 3 although its
// double lies a little above or below.
func slowest(n int, share float64) int {
	k := share * float64(n)
	if r := math.Round(k); math.Abs(k-r) < 1e-9*r {
		k = r
	}
	return max(1, min(n, int(math.Ceil(k))))
}

func checkFrames(ms []float64) error {
	if err := checkFinite("frame times", ms, 1); err != nil {
		return err
	}
	for _, v := range ms {
		if v <= 0 {
			return fmt.Errorf("frame time that is not positive: %w", ErrDomain)
		}
	}
	return nil
}

func rateOf(ms []float64) (float64, error) {
	m, err := Mean(ms)
	if err != nil {
		return 0, fmt.Errorf("mean rate: %w", err)
	}
	return inRange("mean rate", 1000/m)
}
