package cores_test

import (
	"errors"
	"fmt"
	"strings"
	"sync/atomic"
	"testing"

	"benchwright/cores"
)

func TestEveryNumberComesOnce(t *testing.T) {
	ways := map[string]func(int, func(int)){
		"Each": cores.Each, "EachWaiting": cores.EachWaiting,
		"InBlocks of 1":   func(n int, f func(int)) { cores.InBlocks(n, 1, f) },
		"InBlocks of 7":   func(n int, f func(int)) { cores.InBlocks(n, 7, f) },
		"InBlocks of 0":   func(n int, f func(int)) { cores.InBlocks(n, 0, f) },
		"InBlocks of 1e6": func(n int, f func(int)) { cores.InBlocks(n, 1e6, f) },
	}
	for name, way := range ways {
		for _, n := range []int{0, 1, 2, 3, 13, 1000} {
			seen := make([]atomic.Int32, n)
			way(n, func(i int) { seen[i].Add(1) })
			for i := range seen {
				if got := seen[i].Load(); got != 1 {
					t.Errorf("%s over %d: %d came %d times", name, n, i, got)
				}
			}
		}
	}
}

// caught gives what f panicked with.
func caught(f func()) (p any) {
	defer func() { p = recover() }()
	f()
	return nil
}

func brokenPiece(i int) {
	if i == 5 {
		panic(errors.New("piece 5 broke"))
	}
}

func TestPanicComesBackToWhoeverWaits(t *testing.T) {
	for name, f := range map[string]func(){
		"Each":        func() { cores.Each(100, brokenPiece) },
		"EachWaiting": func() { cores.EachWaiting(100, brokenPiece) },
		"InBlocks":    func() { cores.InBlocks(100, 1, brokenPiece) },
		"within another": func() {
			cores.Each(3, func(int) { cores.Each(10, brokenPiece) })
		},
		"Group": func() {
			var g cores.Group
			g.Go(func() {})
			g.Go(func() { brokenPiece(5) })
			g.Wait()
		},
	} {
		fault, ok := caught(f).(*cores.Fault)
		if !ok {
			t.Errorf("%s: no fault came back", name)
			continue
		}
		if fmt.Sprint(fault) != "piece 5 broke" {
			t.Errorf("%s: the fault is %q", name, fault)
		}
		if !strings.Contains(string(fault.Stack), "brokenPiece") {
			t.Errorf("%s: the stack does not say where:\n%s", name, fault.Stack)
		}
	}
}
