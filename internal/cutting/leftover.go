package cutting

import (
	"cmp"
	"errors"
	"fmt"
	"slices"

	"piecebag/internal/fault"
	"piecebag/internal/geom"
)

// Leftover is cloth that a project leaves: yardage, or an odd piece by the
// largest rectangle that it surely holds.
type Leftover struct {
	W, L   float64 // inches, W across the width of the cloth where that is known
	Loss   float64 // lost in squaring up, off each side, inches
	OneWay bool    // a directional print: no piece may be turned
}

// ErrManySizes is the kind of the fault of a leftover too large for the sizes to cut.
var ErrManySizes = errors.New("too many sizes for a leftover of this size")

// Size is one of the sizes you keep; an L of 0 is a strip as long as the cloth, 12
// inches at least. Weight says how much a square inch of it as finished is worth to
// you: 1 for any bin, more for a thin one. Lack is how many of a weight above 1 are
// wanted, from all the leftovers together; those over are worth 1. With a Lack of 0
// all are worth Weight.
type Size struct {
	W, L   float64
	Weight float64
	Lack   int
}

// Slice is one cut through the cloth in hand, from edge to edge. Along says
// that it runs along the length, At inches from the left edge of all the cloth;
// else across, At inches from its first edge.
type Slice struct {
	Of    geom.Rect
	Along bool
	At    float64
}

// CutUp is how one leftover is cut up. Places are measured from the squared-up
// corner.
type CutUp struct {
	Width, Length float64     // with the loss taken off
	Pieces        []Placement // Want is the index of the size
	Counts        []int       // by size
	Slices        []Slice     // in the order they are made
	Waste         []geom.Rect
	Worth         float64 // square inches as finished times weight, as far as Lack goes
	// ExactFit says that less than ½ inch is to spare each way or one: squaring
	// up once more would cost pieces.
	ExactFit bool
}

// mostPlaces is the most places along or across at which a cut may be made.
const mostPlaces = 1500

// CutUpLeftovers cuts each leftover into pieces of the sizes that are worth the
// most together, as finished with seams of so many inches: of cloth that is cut
// small, more goes into the seams. Every cut goes from edge to edge; among all such ways the best
// is found for certain, by the recursion of Gilmore & Gomory 1966, The theory
// and computation of knapsack functions, over the places that sums of sides
// reach. Of ways worth the same it takes the one with the fewest cuts as they are
// made at a table, where equal pieces side by side are cut at once, and of these
// rips along the cloth before cuts across it.
//
// Where that makes more of a size than its Lack, the worth is no longer a sum
// over parts of the cloth: the best is then sought among ways that part the cloth
// a few times and cut some of the parts at full weights, others at a weight of 1
// for what there is enough of. Leftovers are cut in the order they are given. An
// error names a side, weight or lack that cannot be, or cloth too long for so
// fine a grid of sizes.
func CutUpLeftovers(cloths []Leftover, sizes []Size, seam float64) ([]CutUp, error) {
	for _, s := range sizes {
		for _, side := range []float64{s.W, cmp.Or(s.L, s.W)} {
			if err := checkLength("a piece with a side", side); err != nil {
				return nil, err
			}
		}
		if !(s.Weight > 0) || s.Weight > 1e6 {
			return nil, fault.Usage("", fmt.Sprintf("%s: a weight of %v", sizeName(s.W, s.L), s.Weight), "give one above 0")
		}
		if s.Lack < 0 {
			return nil, fault.Usage("", fmt.Sprintf("%s: a lack of %d", sizeName(s.W, s.L), s.Lack), "give 0 or more")
		}
	}
	var out []CutUp
	sizes = slices.Clone(sizes)
	for _, c := range cloths {
		for _, side := range []float64{c.W, c.L} {
			if err := checkLength("a leftover with a side", side); err != nil {
				return nil, err
			}
		}
		if c.Loss < 0 {
			return nil, fault.Usage("", fmt.Sprintf("a leftover of %s: a loss of %v", sizeName(c.W, c.L), c.Loss), "give 0 or more")
		}
		u, err := cutUp(c, sizes, seam)
		if err != nil {
			return nil, err
		}
		out = append(out, u)
		for k, n := range u.Counts {
			switch z := &sizes[k]; {
			case z.capped() && n < z.Lack:
				z.Lack -= n
			case z.capped():
				z.Weight, z.Lack = 1, 0
			}
		}
	}
	return out, nil
}

func cutUp(c Leftover, sizes []Size, seam float64) (CutUp, error) {
	out := CutUp{Counts: make([]int, len(sizes))}
	w, l := ticks(c.W)-ticks(c.Loss), ticks(c.L)-ticks(c.Loss)
	if w <= 0 || l <= 0 {
		return out, nil
	}
	out.Width, out.Length = w.inches(), l.inches()
	g := guillotine{out: &out, sizes: sizes, seam: ticks(seam)}
	var across, along []tick
	for i, s := range sizes {
		p := part{want: i, across: ticks(s.W), along: ticks(s.L)}
		g.parts = append(g.parts, p)
		if !c.OneWay && s.W != s.L {
			g.parts = append(g.parts, part{want: i, across: p.along, along: p.across, turned: true})
		}
	}
	for _, p := range g.parts {
		across, along = append(across, p.across), append(along, p.along)
	}
	g.x, g.y = places(across, w), places(along, l)
	if len(g.x) > mostPlaces || len(g.y) > mostPlaces {
		return out, fault.Usage("", fmt.Sprintf("a leftover of %s: too large for so many different sizes", sizeName(c.W, c.L)), "name fewer sizes, or cut it in two first", ErrManySizes)
	}
	g.nextX, g.nextY = table(g.x), table(g.y)
	g.write(g.best(), 0, 0, w, l)
	reach := [2]float64{}
	all := g.none()
	for _, p := range out.Pieces {
		out.Counts[p.Want]++
		g.count(all, p.Want, ticks(max(p.W, p.H)))
		reach[0], reach[1] = max(reach[0], p.X+p.W), max(reach[1], p.Y+p.H)
	}
	out.Worth = g.worth(all)
	spare := min(out.Width-reach[0], out.Length-reach[1])
	out.ExactFit = len(out.Pieces) > 0 && ticks(spare) < halfInch
	return out, nil
}

// places lists the lengths up to most that sides add up to, ascending, 0 first
// and most last.
func places(sides []tick, most tick) []tick {
	slices.Sort(sides)
	sides = slices.Compact(sides)
	reached := map[tick]bool{0: true}
	out := []tick{0}
	for i := 0; i < len(out) && len(out) <= mostPlaces; i++ {
		for _, s := range sides {
			if v := out[i] + s; v <= most && !reached[v] {
				reached[v] = true
				out = append(out, v)
			}
		}
	}
	if !reached[most] {
		out = append(out, most)
	}
	slices.Sort(out)
	return out
}

// capped says that only so many of a size are worth its weight.
func (s Size) capped() bool { return s.Lack > 0 && s.Weight > 1 }
