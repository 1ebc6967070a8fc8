// Package cores has work done by all cores at once. Each way of sharing it out hands every
// piece to one goroutine alone and leaves nothing to the order in which they finish, so that
// what is computed is the same, to the last bit, on any number of cores.
// Start with [Stretches].
package cores

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// Stretches has the items from 0 up to n done by all cores, each a stretch [i0, i1) of at
// least so many items; do must write only what belongs to its own items.
func Stretches(n, least int, do func(i0, i1 int)) {
	parts := min(runtime.GOMAXPROCS(0), n/least)
	if parts <= 1 {
		do(0, n)
		return
	}
	var wg sync.WaitGroup
	for part := 1; part < parts; part++ {
		wg.Go(func() { do(part*n/parts, (part+1)*n/parts) })
	}
	do(0, n/parts)
	wg.Wait()
}

// Each calls do for every i from 0 up to n, the lower ones first, by at most so many workers
// at once; worker is below that number, so that each can have memory of its own. Which worker
// takes which i is left to chance: do must write only what belongs to its i.
func Each(n, workers int, do func(worker, i int)) {
	workers = min(workers, n)
	if workers < 2 {
		for i := range n {
			do(0, i)
		}
		return
	}
	var next atomic.Int64
	var wg sync.WaitGroup
	for worker := range workers {
		wg.Go(func() {
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				do(worker, i)
			}
		})
	}
	wg.Wait()
}

// InTurn has the pieces from 0 up to n filled by two cores and taken, each once it is full, in
// their order by this one: what is added up of them is the same on any number of cores. It
// does not wait for another core to wake: whoever is free fills the next piece.
func InTurn(n int, fill func(i int), take func(i int)) {
	if n < 4 || runtime.GOMAXPROCS(0) == 1 {
		for i := range n {
			fill(i)
			take(i)
		}
		return
	}
	var next atomic.Int32
	full := make([]atomic.Bool, n)
	one := func() bool {
		i := int(next.Add(1)) - 1
		if i >= n {
			return false
		}
		fill(i)
		full[i].Store(true)
		return true
	}
	go func() {
		for one() {
		}
	}()
	for i := range n {
		for !full[i].Load() {
			if !one() {
				runtime.Gosched()
			}
		}
		take(i)
	}
}
