// Package raster is what the seeing stages share: planes of numbers, masks and
// their connected parts, sampling and resizing, fits of lines and quadrilaterals,
// robust statistics, and work split over processors. Nothing here depends on how
// many processors there are.
package raster

import (
	"iter"
	"runtime"
	"sync"
	"sync/atomic"
)

// Rows splits 0..n into even runs, one a processor, and returns when f has had all
// of them. For work that is even from row to row.
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

// Each lets several workers draw the numbers 0..n-1, each number once, and returns
// when all have ended. For uneven work, and for workers that keep a buffer. A
// worker's panic is passed on to the caller.
func Each(n int, work func(numbers iter.Seq[int])) {
	var drawn atomic.Int64
	numbers := func(yield func(int) bool) {
		for i := int(drawn.Add(1)) - 1; i < n && yield(i); i = int(drawn.Add(1)) - 1 {
		}
	}
	var wg sync.WaitGroup
	var failed atomic.Pointer[any]
	for range min(n, runtime.GOMAXPROCS(0)) {
		wg.Go(func() {
			defer func() {
				if r := recover(); r != nil {
					failed.Store(&r)
				}
			}()
			work(numbers)
		})
	}
	wg.Wait()
	if r := failed.Load(); r != nil {
		panic(*r)
	}
}
