package eye

import (
	"runtime"
	"sync"
)

// Rows splits 0..n into even runs, one a processor. Each index is handled once
// and on its own, so the result never depends on the split.
func Rows(n int, f func(lo, hi int)) {
	k := min(runtime.GOMAXPROCS(0), n)
	if k < 2 {
		f(0, n)
		return
	}
	var wg sync.WaitGroup
	for i := range k {
		wg.Go(func() { f(i*n/k, (i+1)*n/k) })
	}
	wg.Wait()
}
