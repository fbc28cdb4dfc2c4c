package photo

import (
	"context"

	"golang.org/x/sync/semaphore"
)

// Budget bounds the memory of photos that are decoded at the same time: Open
// waits until its photo fits.
type Budget struct {
	limit int64
	sem   *semaphore.Weighted
}

// NewBudget returns a budget of so many bytes. A photo that needs more than the whole
// of it is decoded alone.
func NewBudget(bytes int64) *Budget {
	return &Budget{limit: bytes, sem: semaphore.NewWeighted(bytes)}
}

// take waits for n bytes and gives the function that returns them; a nil budget
// has no bound.
func (b *Budget) take(n int64) (give func()) {
	if b == nil {
		return func() {}
	}
	n = max(0, min(n, b.limit))
	// Without a deadline the wait cannot fail.
	_ = b.sem.Acquire(context.Background(), n)
	return func() { b.sem.Release(n) }
}
