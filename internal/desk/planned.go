package desk

import (
	"context"
	"encoding/json"
	"time"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/plan"
	"piecebag/internal/recipe"
	"piecebag/internal/shelf"
	"piecebag/internal/stash"
)

// planned is a plan that was saved.
type planned struct {
	quilt string
	at    time.Time
	plan.Saved
}

// plannedQuilts reads the saved plans, in the order the stash gives them.
func plannedQuilts(ctx context.Context, st *stash.Stash) ([]planned, error) {
	all, err := st.Plans(ctx)
	if err != nil {
		return nil, err
	}
	var out []planned
	for _, p := range all {
		q := planned{quilt: p.Name, at: time.UnixMilli(p.At).UTC()}
		if err := json.Unmarshal(p.Plan, &q.Saved); err != nil {
			return nil, fault.New(p.Name, "the plan cannot be read", "take it away and plan it anew", ErrPlanUnread, err)
		}
		out = append(out, q)
	}
	return out, nil
}

func savedPlans(quilts []planned) []plan.Saved {
	out := make([]plan.Saved, len(quilts))
	for i, q := range quilts {
		out[i] = q.Saved
	}
	return out
}

// shelfNeeds are what the planned quilts take of the bins. Strips count as
// strips: how long they must be, their plan knows.
func shelfNeeds(quilts []planned) []shelf.Need {
	var out []shelf.Need
	for _, q := range quilts {
		for _, t := range q.Takes {
			h := cloth.Holding{Form: t.Form, Family: t.Family, Value: t.Value, Bin: t.Bin, WidthIn: t.WidthIn, LengthIn: t.LengthIn}
			out = append(out, shelf.Need{Quilt: q.quilt, Alike: shelf.AlikeOf(h), Cut: shelf.CutOf(h), Count: t.Count, Hue: t.Family, Shade: t.Value})
		}
	}
	return out
}

// shelfLacks are the pieces that the planned quilts found no box for.
func shelfLacks(quilts []planned) []shelf.Lack {
	var out []shelf.Lack
	for _, q := range quilts {
		for _, g := range q.Gaps {
			if !g.InAnyPrint() {
				continue
			}
			role := recipe.Role{Value: g.Tone}
			lack := shelf.Lack{Quilt: q.quilt, Family: g.Family, Tone: string(g.Tone), Cut: shelf.CutOf(cutHolding(g.WidthIn, g.LengthIn)), Count: g.Pieces}
			for _, v := range cloth.Values {
				if role.Suits("", v) {
					lack.Values = append(lack.Values, v)
				}
			}
			out = append(out, lack)
		}
	}
	return out
}

// cutHolding is a piece cut to a width and a length, inches.
func cutHolding(width, length float64) cloth.Holding {
	h := cloth.Holding{Form: cloth.Rectangle, WidthIn: min(width, length), LengthIn: max(width, length)}
	if width == length {
		h.Form = cloth.Square
	}
	return h
}
