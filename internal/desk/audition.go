package desk

import (
	"context"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/cutting"
	"piecebag/internal/fault"
	"piecebag/internal/plan"
	"piecebag/internal/stash"
)

// Fitting lists the pieces of the stash that could lie in a patch of a kept quilt in place
// of its own: they have its size, family and value, and are free. The error says that no
// print lies in such a patch.
func (d *Desk) Fitting(ctx context.Context, name, patch string) ([]cloth.Holding, error) {
	st, q, err := kept(ctx, d.readingOne, name)
	if err != nil {
		return nil, err
	}
	a, err := laidAgain(ctx, st, q)
	if err != nil {
		return nil, err
	}
	return d.fitting(ctx, st, &a, q, patch)
}

func (d *Desk) fitting(ctx context.Context, st *stash.Stash, a *Arrangement, q planned, patch string) ([]cloth.Holding, error) {
	i := a.placeNamed(patch)
	if i < 0 {
		return nil, noSuchPatch(patch)
	}
	free, err := d.free(ctx, st, &Plan{System: a.System}, PlanRequest{Save: q.quilt})
	if err != nil {
		return nil, err
	}
	used := map[int64]int{}
	for _, p := range q.Laid.Holds() {
		used[p.ID] += p.Count
	}
	own, want := q.Laid.At(a.firstName(i)).Holding, a.keys[a.Problem.Places[i].Class].want()
	var out []cloth.Holding
	for _, h := range free.stock {
		if h.ID != own && h.Count > used[h.ID] && (q.Top.Background == "" || h.Print != q.Top.Background) && cutting.AsItIs(want, h) {
			out = append(out, h)
		}
	}
	return out, nil
}

// lay lets another piece of the stash lie in a patch. What was to be cut for it is cut
// all the same, and is spare.
func (d *Desk) lay(ctx context.Context, st *stash.Stash, a *Arrangement, q *planned, to KeptPatch) error {
	fit, err := d.fitting(ctx, st, a, *q, to.Patch)
	if err != nil {
		return err
	}
	if !slices.ContainsFunc(fit, func(h cloth.Holding) bool { return h.ID == to.Holding }) {
		return fault.Usage(to.Patch, numbered(to.Holding)+" does not suit it, or is not free: its size, family or value is another, or a quilt has it", "choose a piece that does")
	}
	place := a.placeNamed(to.Patch)
	one := q.Laid.At(a.firstName(place))
	if one.Stage == plan.CutStage || one.Stage == plan.SewnStage {
		return fault.Usage(to.Patch, "it is "+string(one.Stage)+" already", "choose a patch that is not")
	}
	if one.Holding == 0 { // one less is to be bought
		k := a.keys[a.Problem.Places[place].Class]
		for g := range q.Gaps {
			gap := &q.Gaps[g]
			if gap.Sought == plan.SoughtFor(k.role, q.quilt) && gap.WidthIn == k.want().W && gap.LengthIn == k.want().L {
				if gap.Pieces--; gap.Pieces == 0 {
					q.Gaps = slices.Delete(q.Gaps, g, g+1)
				}
				break
			}
		}
	}
	*one = plan.LaidPiece{Patch: one.Patch, Holding: to.Holding, Locked: one.Locked}
	q.Pulled = q.Laid.Holds()
	q.Takes = plan.TakesOf(q.Pulled, a.Holdings)
	return nil
}
