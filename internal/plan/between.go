package plan

import (
	"fmt"
	"math"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/cutting"
	"piecebag/internal/recipe"
)

// Between is a plain second quilt sewn in pairs of squares between the other seams, one
// pair at the end of each chain in place of a scrap of cloth: what the rest of the stash
// gives of it.
type Between struct {
	SideIn              float64 // of a square, as cut, inches
	Light, Medium, Dark int     // squares that the rest of the stash gives; Medium goes with either
	// Pairs are of two squares that differ: a light and a dark one, or a medium one and
	// another.
	Pairs int
	// Blocks are four-patches of two pairs each, set Columns × Rows as near to square as
	// they go.
	Blocks, Columns, Rows int
	WidthIn, LengthIn     float64 // that those finish at
	Why                   recipe.Why
}

// BetweenLeast and BetweenMost bound the side of a square, as cut, inches.
const (
	BetweenLeast = 1.0
	BetweenMost  = 12.0
)

// PairsBetween reckons the squares of a size that what a quilt leaves of a stash gives:
// each piece cut by itself, and none from what is left of pieces that are cut for the
// quilt. Pieces of no known size or value give none, and the background's print is kept
// for it.
func (p Pull) PairsBetween(side float64, stock []cloth.Holding, background string, o cutting.Options) Between {
	b := Between{SideIn: side}
	left, _ := Leave(stock, p.Pulled())
	left = slices.DeleteFunc(left, func(h cloth.Holding) bool { return background != "" && h.Print == background })
	for _, l := range cutting.LotsOf(left, o) {
		n := l.Yield(side, side) * len(l.Of)
		switch l.Value {
		case cloth.Light, cloth.MediumLight:
			b.Light += n
		case cloth.Medium:
			b.Medium += n
		case cloth.MediumDark, cloth.Dark:
			b.Dark += n
		}
	}
	b.pair(p.Needs.Shop.System)
	return b
}

// pair counts the pairs, and the four-patches of them. No two squares of one tone are a
// pair: there are as many as half of all, or as squares beside those of the commonest tone.
func (b *Between) pair(y recipe.System) {
	all, most := b.Light+b.Medium+b.Dark, max(b.Light, b.Medium, b.Dark)
	b.Pairs = min(all/2, all-most)
	b.Blocks = b.Pairs / 2
	if b.Blocks > 0 {
		b.Columns = int(math.Sqrt(float64(b.Blocks)))
		b.Rows = b.Blocks / b.Columns
	}
	block := max(0, 2*(b.SideIn-2*y.Seam))
	b.WidthIn, b.LengthIn = float64(b.Columns)*block, float64(b.Rows)*block
	b.Why = recipe.Why{
		Text: fmt.Sprintf("pairs between other seams: %d", b.Pairs),
		Steps: []recipe.Why{
			{Text: fmt.Sprintf("squares of %s in what this quilt leaves: %d light, %d medium, %d dark", y.Format(b.SideIn), b.Light, b.Medium, b.Dark)},
			{Text: fmt.Sprintf("half of all: %d ÷ 2 = %d; beside those of the commonest tone: %d − %d = %d", all, all/2, all, most, all-most)},
			{Text: fmt.Sprintf("four-patches of two pairs, %s finished: %d ÷ 2 = %d", y.Format(block), b.Pairs, b.Blocks)},
		},
	}
}
