package desk

import (
	"context"

	"piecebag/internal/shelf"
	"piecebag/internal/stash"
)

// SetRequest changes what the stash counts with.
type SetRequest struct {
	TrimIn *float64       // squared off the end of a strip, inches; nil: as it is
	GSM    float64        // what cloth weighs, grams a square metre; 0: as it is
	Bins   *shelf.Sorting // by what the shelf is sorted; nil: as it is
}

// Set changes what the stash counts with.
func (d *Desk) Set(ctx context.Context, r SetRequest) (stash.Change, error) {
	st, err := d.changing()
	if err != nil {
		return stash.Change{}, err
	}
	want, err := st.Settings(ctx)
	if err != nil {
		return stash.Change{}, err
	}
	if r.TrimIn != nil {
		want.TrimIn = *r.TrimIn
	}
	if r.GSM > 0 {
		want.GSM = r.GSM
	}
	if r.Bins != nil {
		want.Bins = *r.Bins
	}
	return st.SetSettings(ctx, want)
}

// Settings is what the stash counts with.
func (d *Desk) Settings(ctx context.Context) (stash.Settings, error) {
	return ask(d.readingOne, func(st *stash.Stash) (stash.Settings, error) { return st.Settings(ctx) })
}

// What cloth that is sewn weighs, grams a square metre: from gauze to canvas
// (common practice, no source).
const leastGSM, mostGSM = 30, 800

// YardWeight is what cloth weighs of which a yard so many inches wide weighs so many
// grams, in grams a square metre; not ok where nobody sews with such cloth.
func YardWeight(grams, widthIn float64) (gsm float64, ok bool) {
	gsm = stash.GSMOfYard(grams, widthIn)
	return gsm, gsm >= leastGSM && gsm <= mostGSM
}
