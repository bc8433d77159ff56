// Package cores does independent pieces of work on every core of the machine.
//
// In: functions that write only what is their own. Out: the same as if they had
// run one after the other, on any number of cores. A panic in one of them comes
// back to whoever waits, with the place where it happened, so that the top of a
// command can tell of it and what was begun is cleared away. It imports nothing
// of this module.
//
//	cores.Each(len(cells), func(i int) { cells[i] = summarise(i) })
package cores

import (
	"fmt"
	"runtime"
	"runtime/debug"
	"sync"
	"sync/atomic"
)

// Fault is a panic of a piece of work.
type Fault struct {
	// Value is what it panicked with.
	Value any
	// Stack is where.
	Stack []byte
}

func (f *Fault) Error() string { return fmt.Sprint(f.Value) }

// Group is pieces of work under way; the zero value has none. It must not be
// copied.
type Group struct {
	wait  sync.WaitGroup
	fault atomic.Pointer[Fault]
}

// Go begins a piece of work.
func (g *Group) Go(work func()) {
	g.wait.Go(func() {
		defer func() {
			switch p := recover().(type) {
			case nil:
			case *Fault: // of work within this work
				g.fault.CompareAndSwap(nil, p)
			default:
				g.fault.CompareAndSwap(nil, &Fault{p, debug.Stack()})
			}
		}()
		work()
	})
}

// Wait returns when all has ended. It panics with a *Fault when a piece of work
// did: of several, with that of the first.
func (g *Group) Wait() {
	g.wait.Wait()
	if f := g.fault.Load(); f != nil {
		panic(f)
	}
}

// Each calls work for 0 … n−1, a core taking the next number whenever it is
// done with one, and returns when all have ended. It panics as Wait does; then
// some may not have been called.
func Each(n int, work func(i int)) { each(runtime.GOMAXPROCS(0), n, work) }

// EachWaiting is Each for work that waits for something else in between, as for
// a disk: twice as many are under way as there are cores.
func EachWaiting(n int, work func(i int)) { each(2*runtime.GOMAXPROCS(0), n, work) }

func each(workers, n int, work func(i int)) {
	var g Group
	var next atomic.Int64
	for range min(workers, n) {
		g.Go(func() {
			for i := int(next.Add(1)) - 1; i < n && g.fault.Load() == nil; i = int(next.Add(1)) - 1 {
				work(i)
			}
		})
	}
	g.Wait()
}

// InBlocks is Each where a single call is too little to be handed out: each core
// takes a block of neighbouring numbers, of at least so many.
func InBlocks(n, least int, work func(i int)) {
	workers := min(runtime.GOMAXPROCS(0), n/max(least, 1))
	if workers < 2 {
		for i := range n {
			work(i)
		}
		return
	}
	var g Group
	for k := range workers {
		g.Go(func() {
			for i := k * n / workers; i < (k+1)*n/workers; i++ {
				work(i)
			}
		})
	}
	g.Wait()
}
