package plane

import (
	"runtime"
	"sync"
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
