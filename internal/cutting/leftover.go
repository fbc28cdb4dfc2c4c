package cutting

import (
	"fmt"
	"slices"
)

// Leftover is cloth that a project leaves: yardage, or an odd piece by the
// largest rectangle that it surely holds.
type Leftover struct {
	W, L   float64 // inches, W across the width of the cloth where that is known
	Loss   float64 // lost in squaring up, off each side, inches
	OneWay bool    // a directional print: no piece may be turned
}

// Size is one of the sizes she keeps. Weight says how much a square inch of it
// is worth to her: 1 for any bin, more for a thin one.
type Size struct {
	W, L   float64
	Weight float64
}

// Slice is one cut through the cloth in hand, from edge to edge. Along says
// that it runs along the length, At inches from the left edge of all the cloth;
// else across, At inches from its first edge.
type Slice struct {
	Of    Rect
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
	Waste         []Rect
	Worth         float64 // square inches times weight
	// ExactFit says that less than ½ inch is to spare each way or one: squaring
	// up once more would cost pieces.
	ExactFit bool
}

// perPiece is what each piece is docked, square inches, so that of two ways
// worth the same the one with fewer pieces, and so fewer cuts, is taken.
const perPiece = 1e-3

// mostPlaces is the most places along or across at which a cut may be made.
const mostPlaces = 1500

// CutUpLeftovers cuts each leftover into pieces of the sizes that are worth the
// most together. Every cut goes from edge to edge; among all such ways the best
// is found for certain, by the recursion of Gilmore & Gomory 1966, The theory
// and computation of knapsack functions, over the places that sums of sides
// reach. An error names a side or weight that cannot be, or cloth too long for
// so fine a grid of sizes.
func CutUpLeftovers(cloths []Leftover, sizes []Size) ([]CutUp, error) {
	for _, s := range sizes {
		for _, side := range []float64{s.W, s.L} {
			if err := checkLength("a piece with a side", side); err != nil {
				return nil, err
			}
		}
		if !(s.Weight > 0) || s.Weight > 1e6 {
			return nil, fmt.Errorf("%s: a weight of %v: give one above 0", sizeName(s.W, s.L), s.Weight)
		}
	}
	var out []CutUp
	for _, c := range cloths {
		for _, side := range []float64{c.W, c.L} {
			if err := checkLength("a leftover with a side", side); err != nil {
				return nil, err
			}
		}
		if c.Loss < 0 {
			return nil, fmt.Errorf("a leftover of %s: a loss of %v: give 0 or more", sizeName(c.W, c.L), c.Loss)
		}
		u, err := cutUp(c, sizes)
		if err != nil {
			return nil, err
		}
		out = append(out, u)
	}
	return out, nil
}

func cutUp(c Leftover, sizes []Size) (CutUp, error) {
	out := CutUp{Counts: make([]int, len(sizes))}
	w, l := ticks(c.W)-ticks(c.Loss), ticks(c.L)-ticks(c.Loss)
	if w <= 0 || l <= 0 {
		return out, nil
	}
	out.Width, out.Length = w.inches(), l.inches()
	g := guillotine{out: &out, sizes: sizes}
	for i, s := range sizes {
		g.parts = append(g.parts, part{want: i, across: ticks(s.W), along: ticks(s.L)})
		if !c.OneWay && s.W != s.L {
			g.parts = append(g.parts, part{want: i, across: ticks(s.L), along: ticks(s.W), turned: true})
		}
	}
	var across, along []tick
	for _, p := range g.parts {
		across, along = append(across, p.across), append(along, p.along)
	}
	g.x, g.y = places(across, w), places(along, l)
	if len(g.x) > mostPlaces || len(g.y) > mostPlaces {
		return out, fmt.Errorf("a leftover of %s: too large for sizes this finely graded: cut it in two first", sizeName(c.W, c.L))
	}
	g.solve()
	g.write(len(g.x)-1, len(g.y)-1, 0, 0, w, l)
	reach := [2]float64{}
	for _, p := range out.Pieces {
		out.Worth += sizes[p.Want].Weight * p.W * p.H
		out.Counts[p.Want]++
		reach[0], reach[1] = max(reach[0], p.X+p.W), max(reach[1], p.Y+p.H)
	}
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

// guillotine is the recursion over cloth of x[i] × y[j].
type guillotine struct {
	out   *CutUp
	sizes []Size
	parts []part
	x, y  []tick
	worth []float64 // at i*len(y)+j
	cut   []int32   // 0 waste; k the part k−1; or coded by cutAlong and cutAcross
}

const (
	cutAlong  = 1 << 20
	cutAcross = 1 << 21
)

// below gives for i and k the last place that is no further than at[i]−at[k].
func below(at []tick, i, k int) int {
	j, found := slices.BinarySearch(at, at[i]-at[k])
	if !found {
		j--
	}
	return j
}

// solve fills the table; a cloth is worth its best part, or its two halves.
func (g *guillotine) solve() {
	n := len(g.y)
	g.worth, g.cut = make([]float64, len(g.x)*n), make([]int32, len(g.x)*n)
	beyondX, beyondY := table(g.x), table(g.y)
	for i := range g.x {
		for j := range g.y {
			best, cut := 0.0, int32(0)
			for k, p := range g.parts {
				if p.across <= g.x[i] && p.along <= g.y[j] {
					if v := float64(g.sizes[p.want].Weight*in2(p.across, p.along)) - perPiece; v > best {
						best, cut = v, int32(k+1)
					}
				}
			}
			for k := 1; k < i && 2*g.x[k] <= g.x[i]; k++ {
				if v := g.worth[k*n+j] + g.worth[int(beyondX[i][k])*n+j]; v > best+perPiece/10 {
					best, cut = v, int32(cutAlong|k)
				}
			}
			for k := 1; k < j && 2*g.y[k] <= g.y[j]; k++ {
				if v := g.worth[i*n+k] + g.worth[i*n+int(beyondY[j][k])]; v > best+perPiece/10 {
					best, cut = v, int32(cutAcross|k)
				}
			}
			g.worth[i*n+j], g.cut[i*n+j] = best, cut
		}
	}
}

func table(at []tick) [][]int32 {
	out := make([][]int32, len(at))
	for i := range at {
		for k := 0; k <= i; k++ {
			out[i] = append(out[i], int32(below(at, i, k)))
		}
	}
	return out
}

// write lays the pieces of cloth w × l at (x, y), of which x[i] × y[j] is used.
func (g *guillotine) write(i, j int, x, y, w, l tick) {
	if w <= 0 || l <= 0 {
		return
	}
	of := rect(x, y, w, l)
	slice := func(along bool, at tick) {
		g.out.Slices = append(g.out.Slices, Slice{Of: of, Along: along, At: at.inches()})
	}
	cut := g.cut[i*len(g.y)+j]
	k := int(cut & (cutAlong - 1))
	switch {
	case cut == 0:
		g.out.Waste = append(g.out.Waste, of)
	case cut&cutAlong != 0:
		slice(true, x+g.x[k])
		g.write(k, j, x, y, g.x[k], l)
		g.write(below(g.x, i, k), j, x+g.x[k], y, w-g.x[k], l)
	case cut&cutAcross != 0:
		slice(false, y+g.y[k])
		g.write(i, k, x, y, w, g.y[k])
		g.write(i, below(g.y, j, k), x, y+g.y[k], w, l-g.y[k])
	default:
		p := g.parts[k-1]
		if p.across < w {
			slice(true, x+p.across)
			g.out.Waste = append(g.out.Waste, rect(x+p.across, y, w-p.across, l))
		}
		if p.along < l {
			of.W = p.across.inches()
			slice(false, y+p.along)
			g.out.Waste = append(g.out.Waste, rect(x, y+p.along, p.across, l-p.along))
		}
		g.out.Pieces = append(g.out.Pieces, Placement{Rect: rect(x, y, p.across, p.along), Want: p.want, Turned: p.turned})
	}
}
