package pattern

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// AtOnce calls do for 0 to n−1, as many at the same time as there are processors.
// It is for work on pieces that have nothing to do with each other.
func AtOnce(n int, do func(i int)) {
	workers := min(n, runtime.GOMAXPROCS(0))
	if workers < 2 {
		for i := range n {
			do(i)
		}
		return
	}
	var next atomic.Int64
	var all sync.WaitGroup
	for range workers {
		all.Go(func() {
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				do(i)
			}
		})
	}
	all.Wait()
}
