package plan

import (
	"math"

	"piecebag/internal/cloth"
	"piecebag/internal/contrast"
	"piecebag/internal/cutting"
	"piecebag/internal/recipe"
)

// ByTone returns how many pieces of prints, as cut, a quilt takes of each tone.
func (n *Needs) ByTone() contrast.Wanted {
	var w contrast.Wanted
	for _, c := range n.prints() {
		switch c.Role.Value {
		case recipe.LightTone:
			w.Light += c.Count
		case recipe.MediumTone:
			w.Medium += c.Count
		case recipe.DarkTone:
			w.Dark += c.Count
		default:
			w.Any += c.Count
		}
	}
	return w
}

// prints returns the pieces that scraps give: neither background nor strips as long
// as cloth is wide.
func (n *Needs) prints() []recipe.Lot {
	var out []recipe.Lot
	for _, c := range n.Cuts {
		if !c.Role.Background && c.LengthIn > 0 {
			out = append(out, c)
		}
	}
	return out
}

// Gives returns how many pieces of prints a piece of cloth gives this quilt, sides in
// inches: so many of the largest that fits it, laid one way. 0: it is too small.
// Cloth of which a side is not known gives one.
func (n *Needs) Gives(width, length float64) int {
	if width == 0 || length == 0 {
		return 1
	}
	best, area := 0, 0.0
	for _, c := range n.prints() {
		laid := func(w, l float64) int {
			return int(math.Floor(width/w+onMark)) * int(math.Floor(length/l+onMark))
		}
		if k := max(laid(c.WidthIn, c.LengthIn), laid(c.LengthIn, c.WidthIn)); k > 0 && c.WidthIn*c.LengthIn > area {
			best, area = k, c.WidthIn*c.LengthIn
		}
	}
	return best
}

// GivesBackground reports whether a quilt's background can be cut from some cloth.
func GivesBackground(n *Needs, stock []cloth.Holding) (bool, error) {
	var wants []cutting.Want
	wanted, held := 0.0, 0.0 // square inches
	for _, c := range n.Cuts {
		if c.Role.Background && c.LengthIn > 0 {
			wants = append(wants, cutting.Want{W: c.WidthIn, L: c.LengthIn, Count: c.Count})
			wanted += c.WidthIn * c.LengthIn * float64(c.Count)
		}
	}
	for _, s := range stock {
		held += s.WidthIn * s.LengthIn * float64(s.Count)
	}
	if held < wanted {
		return false, nil
	}
	cover, err := cutting.FromStash(wants, stock, cutting.Options{})
	for _, short := range cover.Short {
		if short > 0 {
			return false, err
		}
	}
	return true, err
}

// onMark is the share of a piece by which cloth may seem too small, through the rounding of
// the arithmetic, and still hold it.
const onMark = 1e-6
