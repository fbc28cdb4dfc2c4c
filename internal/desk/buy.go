package desk

import (
	"context"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/plan"
	"piecebag/internal/recipe"
	"piecebag/internal/shelf"
)

// BuyRequest asks for a shopping list.
type BuyRequest struct{ plan.Habits }

// Buying is a shopping list: what planned quilts lack, and what thin bins want that
// strips cannot fill.
type Buying struct {
	plan.Shopping
	System   recipe.System
	Holdings []cloth.Holding // of the stash, to show what is like a purchase
	Missing  []shelf.Thin    // colours, then values, of which the stash has nothing at all
	Planned  bool            // a planned quilt wants something
}

// Buy makes a shopping list, the most useful first.
func (d *Desk) Buy(ctx context.Context, r BuyRequest) (Buying, error) {
	b := Buying{System: r.Shop.System}
	w, err := d.wants(ctx, b.System.Metric, "")
	if err != nil {
		return b, err
	}
	if b.Shopping, err = plan.Buy(gapsOf(w), heldOf(w), r.Habits); err != nil {
		return b, err
	}
	b.Holdings = w.Holdings
	b.Planned = slices.ContainsFunc(b.Buy, func(p plan.Purchase) bool { return len(p.Helps) > 0 })
	for _, m := range w.Stock.Missing {
		if !slices.ContainsFunc(b.Buy, func(p plan.Purchase) bool { return brings(p, m) }) {
			b.Missing = append(b.Missing, m)
		}
	}
	return b, nil
}

// brings reports whether a purchase is of a colour or a value of which the stash has
// nothing.
func brings(p plan.Purchase, m shelf.Thin) bool {
	return m.Family != "" && p.Family == m.Family || m.Value != "" && p.Value == m.Value
}

// gapsOf lists what the planned quilts lack, then what stays thin after all that refill
// would cut.
func gapsOf(w wants) []plan.Gap {
	var out []plan.Gap
	for _, q := range w.quilts {
		for _, l := range w.Stock.Lacks {
			if l.Quilt == q.quilt {
				g := plan.Gap{Sought: plan.Sought{Family: l.Family, Tone: recipe.Tone(l.Tone)}, Quilt: l.Quilt, Pieces: l.Count, Set: l.Set, Each: l.Each}
				g.WidthIn, g.LengthIn = sidesOf(l.Cut)
				out = append(out, g)
			}
		}
		for _, g := range q.Gaps {
			if !g.InAnyPrint() {
				out = append(out, g)
			}
		}
	}
	usual := usualCut(w.Stock)
	for _, s := range w.Stock.Short {
		if s.Reason == shelf.Lacking { // its quilts' gaps already
			continue
		}
		g := plan.Gap{Sought: plan.Sought{Bin: s.Own, Family: s.Family, Value: s.Value}, Pieces: w.bought(s)}
		g.WidthIn, g.LengthIn = sidesOf(s.Cut)
		if s.Form == "" {
			g.Pieces -= stripsOf(w, s.Alike, usual)
			g.WidthIn, g.LengthIn = usual, usual
		}
		if g.Pieces > 0 && g.WidthIn > 0 {
			out = append(out, g)
		}
	}
	return out
}

// sidesOf returns the sides of a piece of a cut as it is bought, inches.
func sidesOf(c shelf.Cut) (width, length float64) {
	switch c.Form {
	case cloth.Strip:
		return c.Width, stripLength
	case cloth.Square:
		return c.Width, c.Width
	}
	return c.Width, c.Length
}

// stripsOf returns how many squares of a size the strips of a colour, or of a value, give,
// apart from what thin bins take of them.
func stripsOf(w wants, a shelf.Alike, size float64) int {
	of := func(family cloth.Family, value cloth.Value) bool {
		return (a.Family == "" || a.Family == family) && (a.Value == "" || a.Value == value)
	}
	n := 0
	for _, a := range w.Stock.Alikes() {
		if of(a.Family, a.Value) {
			n += w.Stock.FromStrips(a, size)
		}
	}
	for k, i := range w.refill.Thin {
		if of(w.bins[i].Family, w.bins[i].Value) {
			n -= w.refill.Covered[k]
		}
	}
	return max(0, n)
}

// stripLength is how long a strip to be bought for a bin is, inches: half the
// width of fabric, as a quarter gives it; common practice, no source.
const stripLength = 20

// defaultCut is the square that a colour is bought in where none are held; the
// commonest of kept sizes: common practice, no source.
const defaultCut = 2.5

// usualCut returns the side of the square that the stash holds most of, inches.
func usualCut(stock shelf.Stock) float64 {
	best, most := defaultCut, 0
	counts := map[float64]int{}
	for _, b := range stock.Boxes {
		if b.Form == cloth.Square && b.Width > 0 {
			counts[b.Width] += b.Count
			if counts[b.Width] > most {
				best, most = b.Width, counts[b.Width]
			}
		}
	}
	return best
}

// heldOf lists the bins as the shelf is sorted, with what planned quilts take of each and
// whether more of something in it would fill what is short.
func heldOf(w wants) []plan.Held {
	type box struct {
		shelf.Alike
		shelf.Cut
	}
	needed := map[box]int{}
	for _, n := range shelfNeeds(w.quilts) {
		needed[box{n.Alike, n.Cut}] += n.Count
	}
	var out []plan.Held
	for _, b := range w.Stock.Bins {
		if b.Count == 0 && b.AreaIn == 0 || b.Alike == (shelf.Alike{}) {
			continue
		}
		var in []cloth.Holding
		for _, h := range w.Holdings {
			if shelf.CutOf(h) == b.Cut && b.Sorting.Of(shelf.AlikeOf(h)) == b.Alike {
				in = append(in, h)
			}
		}
		held := plan.Held{
			Name: b.Alike.String() + ", " + b.Cut.String(), Sought: plan.Sought{Bin: b.Own, Family: b.Family, Value: b.Value},
			Count: b.Count - b.Seen, WeighedIn2: b.AreaIn, Least: b.Least,
			Wanted: slices.ContainsFunc(w.Stock.Short, func(s shelf.Short) bool { return slices.ContainsFunc(in, s.FilledBy) }),
		}
		least := 0
		for _, x := range b.In {
			held.Needed += needed[box{x.Alike, x.Cut}]
			least += x.Least
		}
		held.Least = max(held.Least, least)
		out = append(out, held)
	}
	return out
}
