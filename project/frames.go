package project

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"benchwright/schema"
)

// frameStatistics are the figures that can be taken from a file of frame
// times, in the words of workloads.yaml.
var frameStatistics = [...]string{"mean-rate", "p95-time", "p99-time", "p99.9-time", "rate-at-p99", "rate-of-slowest-1-percent", "rate-of-slowest-0.1-percent"}

// fewestFrames is how many frames a figure needs, so that it rests on more than
// the slowest of them: one in so many is slower. 0: any number will do.
func fewestFrames(name string) int {
	switch name {
	case "p95-time":
		return 20
	case "p99-time", "rate-at-p99", "rate-of-slowest-1-percent":
		return 100
	case "p99.9-time", "rate-of-slowest-0.1-percent":
		return 1000
	}
	return 0
}

// FrameStatistic computes one figure from the times of frames in milliseconds,
// in the order in which they were shown:
//
//   - mean-rate: frames over the total time, in frames per second. (The mean
//     of the rates of single frames would count short frames too often.)
//   - p95-time, p99-time, p99.9-time: the 95th, 99th and 99.9th percentile of
//     the times, in milliseconds, by linear interpolation between order statistics (type 7 of Hyndman and Fan, "Sample
//     Quantiles in Statistical Packages", The American Statistician 50(4), 1996).
//   - rate-at-p99: 1000 over p99-time, in frames per second.
//   - rate-of-slowest-1-percent: the slowest hundredth of the frames (rounded
//     up to whole frames) over the total time that they took, in frames per
//     second; rate-of-slowest-0.1-percent is the same of the slowest thousandth.
//
// It reports false for an unknown name, for no frames and for a result that is
// not a finite number. Every time must be larger than zero.
func FrameStatistic(name string, times []float64) (float64, bool) {
	n := len(times)
	if n == 0 || math.IsInf(sum(times), 0) {
		return 0, false
	}
	var v float64
	switch name {
	case "mean-rate":
		v = 1000 * float64(n) / sum(times)
	case "p95-time":
		v = percentile(0.95, slices.Sorted(slices.Values(times)))
	case "p99-time":
		v = percentile(0.99, slices.Sorted(slices.Values(times)))
	case "p99.9-time":
		v = percentile(0.999, slices.Sorted(slices.Values(times)))
	case "rate-at-p99":
		v = 1000 / percentile(0.99, slices.Sorted(slices.Values(times)))
	case "rate-of-slowest-1-percent":
		v = rateOfSlowest(100, slices.Sorted(slices.Values(times)))
	case "rate-of-slowest-0.1-percent":
		v = rateOfSlowest(1000, slices.Sorted(slices.Values(times)))
	default:
		return 0, false
	}
	return v, !math.IsNaN(v) && !math.IsInf(v, 0)
}

// frameStatisticUnit is the unit that FrameStatistic gives.
func frameStatisticUnit(name string) Unit {
	symbol := "fps"
	if strings.HasSuffix(name, "-time") {
		symbol = "ms"
	}
	u, _ := ParseUnit(symbol)
	return u
}

// sum adds plainly: a million times of some 10 ms lose less than a nanosecond.
func sum(times []float64) float64 {
	total := 0.0
	for _, t := range times {
		total += t
	}
	return total
}

// rateOfSlowest is the mean rate over the slowest one in so many of sorted
// times, rounded up to whole frames.
func rateOfSlowest(oneIn int, sorted []float64) float64 {
	slowest := (len(sorted) + oneIn - 1) / oneIn
	return 1000 * float64(slowest) / sum(sorted[len(sorted)-slowest:])
}

// percentile gives the quantile (type 7) of sorted numbers at a share of them.
func percentile(share float64, sorted []float64) float64 {
	at := share * float64(len(sorted)-1)
	low := int(at)
	if low+1 >= len(sorted) {
		return sorted[len(sorted)-1]
	}
	return sorted[low] + (at-float64(low))*(sorted[low+1]-sorted[low])
}

// FrameTimes reads a file of frame times in milliseconds: one number a line,
// the first line may be a heading; or, where a column is named, the numbers below
// its heading in a table. What is wrong comes back as findings, the times without
// the lines that could not be read.
func (p *Project) FrameTimes(path, column string) ([]float64, []schema.Finding) {
	if p.folder == nil || !slices.Contains(p.folder.Frames, path) {
		return nil, []schema.Finding{{Rule: "missing-file", Place: schema.Place{File: path}, Message: "there is no file of frame times of this name", Remedy: "put the file under frames/"}}
	}
	file, err := p.folder.FS.Open(path)
	if err != nil {
		return nil, []schema.Finding{{Rule: "cannot-read", Place: schema.Place{File: path}, Message: "cannot be opened", Remedy: "check that the file is there and may be read"}}
	}
	defer file.Close()
	text, err := io.ReadAll(io.LimitReader(file, schema.LargestTable))
	if err != nil {
		return nil, []schema.Finding{{Rule: "cannot-read", Place: schema.Place{File: path}, Message: "cannot be read to its end", Remedy: "check that the file is whole"}}
	}
	text = bytes.TrimPrefix(text, []byte("\xef\xbb\xbf"))
	dialect := schema.Dialect{Decimal: '.'}
	if declared := p.dialect(); declared != nil {
		dialect = *declared
	}
	lines := frameLines{path: path, dialect: dialect}
	if column != "" {
		if found, ok := lines.readColumn(text, column); !ok {
			return nil, []schema.Finding{found}
		}
		return lines.times, lines.report()
	}
	for line := 1; len(text) > 0; line++ {
		row, rest, _ := bytes.Cut(text, []byte("\n"))
		text = rest
		lines.read(line, row)
	}
	return lines.times, lines.report()
}

// FrameSum identifies the times of a file that a reading names, whatever its
// heading and line ends: two files with the same sum hold the same recording.
// It reports false for a file that could not be read, and for one whose times
// are all the same, as a cap gives them run after run.
func (p *Project) FrameSum(path string) (sum string, ok bool) {
	f, ok := p.frames[path]
	if !ok || !f.good || f.sum == [sha256.Size]byte{} {
		return "", false
	}
	return string(f.sum[:]), true
}

// FrameLength gives how many frames a file that a reading names holds, and how
// many seconds they take. It reports false for a file that could not be read.
func (p *Project) FrameLength(path string) (frames int, seconds float64, ok bool) {
	f, ok := p.frames[path]
	if !ok || !f.good {
		return 0, 0, false
	}
	return f.frames, f.milliseconds / 1000, true
}

// sumOfTimes is the SHA-256 of the times as IEEE 754 numbers.
func sumOfTimes(times []float64) (sum [sha256.Size]byte) {
	if !slices.ContainsFunc(times, func(t float64) bool { return t != times[0] }) {
		return sum
	}
	h := sha256.New()
	var b []byte
	for chunk := range slices.Chunk(times, 512) {
		b = b[:0]
		for _, t := range chunk {
			bits := math.Float64bits(t)
			for shift := 0; shift < 64; shift += 8 {
				b = append(b, byte(bits>>shift))
			}
		}
		h.Write(b)
	}
	h.Sum(sum[:0])
	return sum
}

// frameUnit checks that a statistic of frame times can be given in the
// workload's unit.
func (l *loader) frameUnit(w *Workload, n node) {
	unit := frameStatisticUnit(w.FrameTimes)
	if !slices.Contains(frameStatistics[:], w.FrameTimes) {
		w.FrameTimes = ""
		return
	}
	w.RawUnit = unit
	if _, ok := unit.Convert(1, w.Unit); !ok {
		l.report("wrong-dimension", schema.Error, n.get("frame-times"), fmt.Sprintf("%s is in %s, which cannot be converted into %s, the unit of the workload %q", w.FrameTimes, unit.Symbol, w.Unit.name(), w.ID),
			"write unit: "+unit.Symbol)
	}
	if key, reading := n.find("reading"); reading.here() {
		l.report("derived-and-read", schema.Error, key, fmt.Sprintf("the workload %q is taken from frame times, so it has no reading to convert", w.ID), "take out reading or frame-times")
		w.Reading = nil
	}
	if at := n.get("frame-column"); at.here() && w.FramesOf != "" {
		l.report("frame-column-twice", schema.Error, at, fmt.Sprintf("the workload %q takes the files that %q has read, and that one names the column", w.ID, w.FramesOf), "take out frame-column here")
		w.FrameColumn = ""
	}
	if key, derived := n.find("derived"); derived.here() {
		l.report("derived-and-read", schema.Error, key, fmt.Sprintf("the workload %q is taken from frame times, so it is not derived", w.ID), "take out derived or frame-times")
		w.Derived = nil
	}
}
