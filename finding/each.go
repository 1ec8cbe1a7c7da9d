package finding

import (
	"runtime"
	"sync"
)

// each computes f of every item on all processors, in order. The items share
// nothing but what f only reads, so the result does not depend on who was first.
func each[T, R any](items []T, f func(T) R) []R {
	out := make([]R, len(items))
	var wait sync.WaitGroup
	free := make(chan struct{}, runtime.GOMAXPROCS(0))
	for i, item := range items {
		free <- struct{}{}
		wait.Go(func() {
			defer func() { <-free }()
			out[i] = f(item)
		})
	}
	wait.Wait()
	return out
}
