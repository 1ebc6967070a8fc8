package plane

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// stretches has the items from 0 up to n done by all cores, each a stretch of at least so many.
func stretches(n, least int, do func(i0, i1 int)) {
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

// inTurn has the pieces from 0 up to n filled by two cores and taken, each once it is full, in
// their order by this one: what is added up of them is the same on any number of cores. It
// does not wait for another core to wake: whoever is free fills the next piece.
func inTurn(n int, fill func(i int), take func(i int)) {
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
