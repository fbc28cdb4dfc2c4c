package plan

import (
	"cmp"
	"fmt"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/recipe"
)

// coverIn is how far a folded strip reaches beyond the seam that it covers, inches (common
// practice, no source).
const coverIn = 0.125

// AsYouGo is the back of a quilt that is quilted block by block. Lengths are inches, as
// cut.
type AsYouGo struct {
	Blocks              int
	BackWidthIn, BackIn float64 // of the back of a block, and of its batting, before it is trimmed
	TrimWidthIn, TrimIn float64 // of a quilted block, trimmed
	StripIn             float64 // width of a folded joining strip, before it is folded
	Short, Long         int     // strips between the blocks of a row, and between rows
	ShortIn, LongIn     float64
	Cloth               Yardage // of all that
}

// asYouGo returns the back of blocks quilted one by one: for each a back, and behind each seam
// of the sashing a strip, folded along its middle. Its raw edges go into the first seam
// of the sashing strip, and its fold covers the second:
//
//	cut = 2 × (seam + sashing + ⅛)
//
// which for a sashing of ½ and a seam of ¼ is the 1¾ of common practice (no source).
func asYouGo(n *Needs, s Shop) (BackingNeed, error) {
	if s.BackWOFIn > 0 {
		s.WOFIn = s.BackWOFIn
	}
	r, y := n.Recipe, s.System
	role := r.Backing.Role
	var g AsYouGo
	g.Blocks = n.Places.Count()
	var whyW, whyH recipe.Why
	g.TrimWidthIn, whyW = y.Plain(r.WidthIn)
	g.TrimIn, whyH = y.Plain(r.HeightIn)
	over := 2 * r.Backing.OverIn
	g.BackWidthIn, g.BackIn = y.Up(g.TrimWidthIn+over), y.Up(g.TrimIn+over)
	join := r.Sashing.WidthIn
	g.StripIn = y.Up(2 * (y.Seam + join + coverIn))
	whyStrip := recipe.Why{Text: fmt.Sprintf("2 × (%s seam + %s between the blocks + %s to cover the other seam) = %s", y.Format(y.Seam), y.Format(join), y.Format(coverIn), y.Format(g.StripIn))}
	g.Short, g.ShortIn = (n.Columns-1)*n.Rows, g.TrimIn
	g.Long = n.Rows - 1
	var whyLong recipe.Why
	g.LongIn, whyLong = y.Plain(n.WidthIn)

	var cuts []recipe.Lot
	lot := func(width, length float64, count int, what string, steps ...recipe.Why) {
		if count > 0 {
			cuts = append(cuts, recipe.Lot{Role: role, WidthIn: width, LengthIn: length, Count: count, For: []string{what}, Why: []recipe.Why{{
				Text: fmt.Sprintf("%d of %s × %s: %s", count, y.Format(width), y.Format(cmp.Or(length, s.usableIn())), what), Steps: steps,
			}}})
		}
	}
	lot(min(g.BackWidthIn, g.BackIn), max(g.BackWidthIn, g.BackIn), g.Blocks, "backs of blocks", whyW, whyH,
		recipe.Why{Text: fmt.Sprintf("and %s more on each side, trimmed off when the block is quilted", y.Format(r.Backing.OverIn))})
	lot(min(g.StripIn, g.ShortIn), max(g.StripIn, g.ShortIn), g.Short, "joining strips behind, within rows", whyStrip,
		recipe.Why{Text: fmt.Sprintf("%s × %d between blocks = %d", cloth.Count(n.Rows, "row"), n.Columns-1, g.Short)})
	if g.LongIn <= s.usableIn() {
		lot(min(g.StripIn, g.LongIn), max(g.StripIn, g.LongIn), g.Long, "joining strips behind, between rows", whyStrip, whyLong)
	} else if g.Long > 0 {
		strips, whyJoined := y.Joined(float64(g.Long)*g.LongIn, s.usableIn())
		lot(g.StripIn, 0, strips, "joining strips behind, between rows", whyStrip, whyLong,
			recipe.Why{Text: fmt.Sprintf("%d × %s = %s", g.Long, y.Format(g.LongIn), y.Format(float64(g.Long)*g.LongIn))}, whyJoined)
	}
	var err error
	if g.Cloth, err = yardage(role, recipe.AddCuts(cuts), s); err != nil {
		return BackingNeed{}, fault.In("the backs of the blocks", err)
	}
	way := BackingWay{Seams: "round blocks", Panels: g.Blocks, PanelIn: g.BackIn, LengthIn: g.Cloth.LengthIn, AskedIn: g.Cloth.AskedIn, BuyIn: g.Cloth.BuyIn, Buy: g.Cloth.Buy, Why: g.Cloth.Why}
	why := g.Cloth.Why
	why.Text = "backing, block by block: " + g.Cloth.Buy
	return BackingNeed{Role: role, WidthIn: g.BackWidthIn, LengthIn: g.BackIn, Ways: [2]BackingWay{way, way}, AsYouGo: &g, Why: why}, nil
}
