package desk

import (
	"context"
	"fmt"
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
	fit, err := d.fitting(ctx, st, &a, q, patch)
	var out []cloth.Holding
	for _, f := range fit {
		out = append(out, f.Holding)
	}
	return out, err
}

// fitting is a piece that could lie in a patch, and what would lie with it in the other
// parts of its set.
type fitting struct {
	cloth.Holding
	parts []int64 // of each part of the place
}

// fitting lists what could lie in a patch. For a patch that must match others these are
// prints of which as many pieces are free as its set has parts.
func (d *Desk) fitting(ctx context.Context, st *stash.Stash, a *Arrangement, q planned, patch string) ([]fitting, error) {
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
	parts, lead := a.Parts[i], a.partNamed(patch)
	own := q.Laid.At(a.nameOf(*lead)).Holding
	ownPrint := ""
	if h, err := a.holding(own); err == nil && len(parts) > 1 {
		ownPrint = h.Print
	}
	var out []fitting
	for _, h := range free.stock {
		if h.ID == own || h.Print != "" && (h.Print == q.Top.Background || h.Print == ownPrint) || len(parts) > 1 && h.Print == "" {
			continue
		}
		f := fitting{Holding: h}
		taken := map[int64]int{}
		fits := func(part Part, x cloth.Holding) bool {
			return x.Count > used[x.ID]+taken[x.ID] && (x.ID == h.ID || x.Print == h.Print) && cutting.AsItIs(part.key.want(), x)
		}
		if !fits(*lead, h) {
			continue
		}
		taken[h.ID]++
		for k := range parts {
			if &parts[k] == lead {
				f.parts = append(f.parts, h.ID)
				continue
			}
			at := slices.IndexFunc(free.stock, func(x cloth.Holding) bool { return fits(parts[k], x) })
			if at < 0 {
				break
			}
			taken[free.stock[at].ID]++
			f.parts = append(f.parts, free.stock[at].ID)
		}
		if len(f.parts) == len(parts) {
			out = append(out, f)
		}
	}
	return out, nil
}

// lay puts another piece of the stash into a patch. A piece that was to be cut for it is
// cut all the same, and is spare.
func (d *Desk) lay(ctx context.Context, st *stash.Stash, a *Arrangement, q *planned, to KeptPatch) error {
	fit, err := d.fitting(ctx, st, a, *q, to.Patch)
	if err != nil {
		return err
	}
	parts := a.Parts[a.placeNamed(to.Patch)]
	for _, part := range parts {
		one := q.Laid.At(a.nameOf(part))
		switch {
		case one.Stage == plan.CutStage || one.Stage == plan.SewnStage:
			return fault.Usage(one.Patch, "it is "+string(one.Stage)+" already", "choose a patch that is not")
		case one.Locked:
			return fault.Usage(one.Patch, "its piece is locked there", "unlock it first")
		case one.Holding == to.Holding:
			return fault.Usage(one.Patch, numbered(to.Holding)+" lies there already", "choose another piece")
		}
	}
	if _, err := a.holding(to.Holding); err != nil {
		return fault.Usage(to.Patch, numbered(to.Holding)+" is not in the stash", "choose a piece that is")
	}
	at := slices.IndexFunc(fit, func(f fitting) bool { return f.ID == to.Holding })
	if at < 0 {
		why := " does not suit it, or is not free: its size, family or value is another, or a quilt has it"
		if n := len(parts); n > 1 {
			why = fmt.Sprintf("%s; or of its print there are no %d pieces free, as many as match here", why, n)
		}
		return fault.Usage(to.Patch, numbered(to.Holding)+why, "choose a piece that does")
	}
	for k, part := range parts {
		one := q.Laid.At(a.nameOf(part))
		if one.Holding == 0 { // one less is to be bought
			for g := range q.Gaps {
				gap := &q.Gaps[g]
				kind := ""
				if gap.Set > 0 {
					kind = kindOf(partsOf(a.Needs.Sets[gap.Set-1]))
				}
				if gap.Sought == plan.SoughtFor(part.key.role, q.quilt) && gap.WidthIn == part.key.width && gap.LengthIn == part.key.length && kind == kindOf(parts) {
					if gap.Pieces--; gap.Pieces == 0 {
						q.Gaps = slices.Delete(q.Gaps, g, g+1)
					}
					break
				}
			}
		}
		*one = plan.LaidPiece{Patch: one.Patch, Holding: fit[at].parts[k]}
	}
	q.Pulled = q.Laid.Holds()
	q.Takes = plan.TakesOf(q.Pulled, a.Holdings)
	return nil
}
