// Package memory sets how the commands use memory: they live for a moment and
// end, which the Go runtime's own settings are not made for.
//
// In: nothing. Out: nothing but time. It is for package main alone, and imports
// nothing of this module.
package memory

import (
	"math"
	"os"
	"runtime"
	"runtime/debug"
	"runtime/metrics"
	"sync"
)

// leastRoom is how much memory a command may take before garbage is collected
// more often.
const leastRoom = 350 << 20

// Tune trades memory for time, once, before anything else is done: a command
// lives for a moment, so collecting garbage often is work for nothing. Where
// much is in use that turns round, since fresh memory costs more than memory
// that is used again; and a bound keeps large reports within memory. Whoever
// sets GOGC or GOMEMLIMIT has the last word.
func Tune() {
	ownPercent, ownLimit := os.Getenv("GOGC") != "", os.Getenv("GOMEMLIMIT") != ""
	if !ownPercent {
		debug.SetGCPercent(percentFor(0))
	}
	if !ownLimit {
		debug.SetMemoryLimit(leastRoom)
	}
	afterCollection(func() {
		inUse := alive()
		if !ownPercent {
			debug.SetGCPercent(percentFor(inUse))
		}
		if !ownLimit {
			debug.SetMemoryLimit(roomFor(inUse))
		}
	})
}

const (
	// leastExpected is what a small report takes, and perByte about how many
	// bytes a report takes for each byte of its result files.
	leastExpected = 96 << 20
	perByte       = 80
)

// Expect makes ready for a folder with so many bytes of result files, before it
// is read. The first call counts.
func Expect(results int64) {
	expected.Do(func() { useLargePages(max(leastExpected, min(results, math.MaxInt64/perByte)*perByte)) })
}

var expected sync.Once

// percentFor gives how much garbage may gather, in per cent of what is in use:
// four times as much in a small report, and in a large one about half as much
// again.
func percentFor(alive uint64) int {
	if alive < 24<<20 {
		return 400
	}
	return 70
}

// roomFor gives the bound when so many bytes are in use: half as much again. A
// bound that the report itself fills would have the collector run all the time.
func roomFor(alive uint64) int64 { return int64(max(leastRoom, alive+alive/2)) }

// alive is what the last collection found in use.
func alive() uint64 {
	sample := []metrics.Sample{{Name: "/gc/heap/live:bytes"}}
	metrics.Read(sample)
	if sample[0].Value.Kind() != metrics.KindUint64 {
		return 0
	}
	return sample[0].Value.Uint64()
}

// afterCollection calls f after every collection of garbage from now on: it
// leaves a piece of garbage behind that is found by the next one.
func afterCollection(f func()) {
	runtime.AddCleanup(new([16]byte), func(struct{}) {
		afterCollection(f) // before f, so that a collection right after it is seen
		f()
	}, struct{}{})
}
