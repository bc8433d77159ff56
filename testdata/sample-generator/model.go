package main

import "math"

// workload is one column of readings: how much it scatters and how it is written.
type workload struct {
	id, unit string
	// higher: more is better. interval: effects are differences, not ratios.
	higher, interval bool
	// spread is the standard deviation of one reading: a share of the value,
	// or for interval scales in the unit.
	spread float64
	// digits after the point in the result files.
	digits int
	// base is the true value of one-15-thick.
	base float64
	// power is the gain in performance at 25 W and 35 W over 15 W, one channel,
	// thick pad; channels the gain of the second channel at 15, 25 and 35 W.
	power    [2]float64
	channels [3]float64
	// thin is what the thin pad costs at 15 and 35 W, as a gain below 1.
	thin [2]float64
	// kit and system are gains over two-25-thick.
	kit, system float64
	// firmware is the gain under firmware 1.05.
	firmware float64
}

// workloads is the whole model of the ratio-scale performances. Where power
// and channels multiply to more than either alone the machine was waiting for
// memory: encrypted-backup is worth little more watts with one channel, and a
// second channel is worth little at 15 W. file-serving waits for the network.
var workloads = []workload{
	{id: "file-serving", unit: "MB/s", higher: true, spread: 0.003, digits: 1, base: 112.6,
		power: [2]float64{1.002, 1.003}, channels: [3]float64{1.000, 1.001, 1.001},
		thin: [2]float64{1, 1}, kit: 1, system: 1.001, firmware: 1},
	{id: "photo-indexing", unit: "s", spread: 0.006, digits: 1, base: 236,
		power: [2]float64{1.255, 1.430}, channels: [3]float64{1.012, 1.024, 1.035},
		thin: [2]float64{0.998, 0.957}, kit: 1.010, system: 1.021, firmware: 1},
	{id: "transcode", unit: "fps", higher: true, spread: 0.005, digits: 0, base: 40.6,
		power: [2]float64{1.275, 1.462}, channels: [3]float64{1.018, 1.035, 1.052},
		thin: [2]float64{0.997, 0.945}, kit: 1.014, system: 1, firmware: 1},
	{id: "database", unit: "tx/s", higher: true, spread: 0.013, digits: 0, base: 3150,
		power: [2]float64{1.160, 1.262}, channels: [3]float64{1.030, 1.055, 1.080},
		thin: [2]float64{0.999, 0.971}, kit: 1.021, system: 1.140, firmware: 1},
	{id: "encrypted-backup", unit: "s", spread: 0.007, digits: 1, base: 412,
		power: [2]float64{1.075, 1.105}, channels: [3]float64{1.040, 1.115, 1.190},
		thin: [2]float64{0.999, 0.988}, kit: 1.060, system: 1.030, firmware: 0.925},
	{id: "temperature-rise", unit: "K", interval: true, spread: 0.4, digits: 1},
	{id: "wall-power", unit: "W", spread: 0.006, digits: 1},
}

// rise and wall are given outright, in K and W: heat and power follow the
// limit and the pad, and the modules add a little.
var rise = map[string]float64{
	"one-15-thin": 33.8, "two-15-thin": 34.5, "one-35-thin": 74.9,
	"one-15-thick": 23.4, "one-25-thick": 38.6, "one-35-thick": 53.2,
	"two-15-thick": 24.0, "two-25-thick": 39.5, "two-35-thick": 54.5,
	"quick-kit": 39.9, "new-system": 39.7,
}

var wall = map[string]float64{
	"one-15-thin": 22.8, "two-15-thin": 23.2, "one-35-thin": 43.8,
	"one-15-thick": 22.6, "one-25-thick": 34.1, "one-35-thick": 45.9,
	"two-15-thick": 23.0, "two-25-thick": 34.7, "two-35-thick": 46.7,
	"quick-kit": 35.0, "new-system": 34.4,
}

// configuration is a state of the machine as far as the model knows it.
type configuration struct {
	id          string
	channels    int // 1, 2
	power       int // 0, 1, 2: 15, 25, 35 W
	thin        bool
	kit, system bool
}

// configurations lists those that gave readings. two-35-thin hung and
// new-system-same-drive was never run.
var configurations = []configuration{
	{id: "one-15-thin", channels: 1, thin: true},
	{id: "two-15-thin", channels: 2, thin: true},
	{id: "one-35-thin", channels: 1, power: 2, thin: true},
	{id: "one-15-thick", channels: 1},
	{id: "one-25-thick", channels: 1, power: 1},
	{id: "one-35-thick", channels: 1, power: 2},
	{id: "two-15-thick", channels: 2},
	{id: "two-25-thick", channels: 2, power: 1},
	{id: "two-35-thick", channels: 2, power: 2},
	{id: "quick-kit", channels: 2, power: 1, kit: true},
	{id: "new-system", channels: 2, power: 1, system: true},
}

const hung = "two-35-thin"

// gain is the performance of c over one-15-thick, more being better.
func (w *workload) gain(c *configuration) float64 {
	g := 1.0
	if c.power > 0 {
		g *= w.power[c.power-1]
	}
	if c.channels == 2 {
		g *= w.channels[c.power]
	}
	if c.thin {
		g *= w.thin[c.power/2]
	}
	if c.kit {
		g *= w.kit
	}
	if c.system {
		g *= w.system
	}
	return g
}

// truth is the value that readings of c scatter around, in the workload's unit.
func (w *workload) truth(c *configuration) float64 {
	switch {
	case w.interval:
		return rise[c.id]
	case w.id == "wall-power":
		return wall[c.id]
	case w.higher:
		return w.base * w.gain(c)
	}
	return w.base / w.gain(c)
}

// written turns a true or noisy value into what stands in the result files:
// ticks for the transcode, rounded to the resolution.
func (w *workload) written(v float64) float64 {
	if w.id == "transcode" {
		v = 7200 * 100 / v
	}
	p := math.Pow(10, float64(w.digits))
	return math.Round(v*p) / p
}

// rawUnit is the unit of what stands in the result files.
func (w *workload) rawUnit() string {
	if w.id == "transcode" {
		return "ticks"
	}
	return w.unit
}
