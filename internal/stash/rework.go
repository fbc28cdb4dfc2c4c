package stash

import (
	"context"
	"encoding/json"

	"piecebag/internal/cloth"
)

// Rework is cloth that becomes other cloth for a plan that is kept.
type Rework struct {
	Takes []Removal
	Adds  []cloth.Holding // their photos and numbers are left out
	// Plan gives the plan's name and what is kept of it, and what else is taken, when the
	// numbers of Adds are known, in their order.
	Plan func(ids []int64) (name string, data []byte, takes []Removal, err error)
}

// Rework takes cloth out, adds what it became and keeps the plan it was done for, in
// one change: all of it, or none. what says it in words.
func (s *Stash) Rework(ctx context.Context, verb, what string, w Rework) (Change, error) {
	return s.change(ctx, verb, func(t *tx) (string, error) {
		if err := t.use(w.Takes); err != nil {
			return "", err
		}
		rows, err := t.add(w.Adds)
		if err != nil {
			return "", err
		}
		name, data, more, err := w.Plan(eachAs(rows, func(h row) int64 { return h.ID }))
		if err != nil {
			return "", err
		}
		if err := t.use(more); err != nil {
			return "", err
		}
		name = CleanName(name)
		if name == "" || !json.Valid(data) {
			return "", refuse("plan "+name, "it has no name, or is not JSON", "save it under a name")
		}
		return what, t.savePlan(name, t.at, data)
	})
}
