package recipe

import (
	"cmp"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
)

// Round is a border as it comes out round what it encloses, or the plain strips of a
// spacer that make a pieced border come out even. Lengths are inches, finished.
type Round struct {
	Border
	Number              int     // of the border in Recipe.Borders
	WidthIn, HeightIn   float64 // of what it encloses
	SideIn, TopIn       float64 // how wide it is at the sides, at top and bottom; 0: it has none there
	Spaces              bool    // it is the spacer of the border
	outWidth, outHeight float64
	top, side           []float64 // of a pieced border: the widths of its pieces along the top, along a side
}

// Strips reports whether it is plain strips, which are cut to their lengths.
func (x Round) Strips() bool { return x.Spaces || !x.Pieced() }

// UnitIn is how wide the widest piece of a pieced border is along a side, as the recipe has
// it, inches; 0 of plain strips.
func (x Round) UnitIn(r *Recipe) float64 {
	switch {
	case x.Strips():
		return 0
	case len(x.Blocks) > 0:
		return slices.Max(r.widths(x.Border))
	}
	return slices.Max(x.Keys)
}

// Along returns how many pieces a pieced border has along its top and along a side, its corners
// not counted; 0 of plain strips.
func (x Round) Along() (top, side int) { return len(x.top), len(x.side) }

// widths returns how wide the blocks of a border are.
func (r *Recipe) widths(b Border) (out []float64) {
	for _, i := range b.Blocks {
		out = append(out, r.Blocks[i].WidthIn)
	}
	return out
}

// Rounds returns the borders of a setting as they come out, innermost first.
func (r *Recipe) Rounds(columns, rows int) []Round {
	return r.RoundsAbout(r.TopSize(columns, rows))
}

// RoundsAbout returns the borders as they come out about a top of a finished size, inches.
func (r *Recipe) RoundsAbout(width, height float64) []Round {
	var out []Round
	add := func(x Round) {
		x.WidthIn, x.HeightIn = width, height
		width, height = width+2*x.SideIn, height+2*x.TopIn
		x.outWidth, x.outHeight = width, height
		out = append(out, x)
	}
	for i, b := range r.Borders {
		x := Round{Border: b, Number: i, SideIn: b.WidthIn, TopIn: b.WidthIn}
		if !b.Pieced() {
			add(x)
			continue
		}
		long := width + b.over()
		if len(b.Keys) > 1 {
			x.top, x.side = b.fall(long, i, 0), b.fall(height, i, 1)
			add(x)
			continue
		}
		widths := r.widths(b)
		if len(b.Keys) == 1 {
			widths = []float64{b.key(long, height)}
		}
		var sideIn, topIn float64
		x.top, sideIn = inTurn(widths, long)
		x.side, topIn = inTurn(widths, height)
		if sideIn+topIn > 0 {
			add(Round{Border: Border{Role: b.Spacer}, Number: i, SideIn: sideIn, TopIn: topIn, Spaces: true})
		}
		add(x)
	}
	return out
}

// over returns by how much a pieced border is longer, along the top, than what it encloses.
func (b Border) over() float64 {
	if b.Cornered || b.CornerBlock > 0 {
		return 0
	}
	return 2 * b.WidthIn
}

// key returns how wide the keys of a border are: the width next to the wanted one that
// divides both lengths, or that one itself.
func (b Border) key(long, height float64) float64 {
	for _, u := range nearKeys(b.Keys[0]) {
		if divides(u, long) && divides(u, height) {
			return u
		}
	}
	return b.Keys[0]
}

// nearKeys returns the widths of a key that may be taken for a wanted one: on eighths of an
// inch, or on millimetres, at most a quarter wider or narrower, the nearest first.
func nearKeys(wanted float64) []float64 {
	out := []float64{wanted}
	for _, mark := range []float64{1. / 8, 1 / 25.4} {
		for k := math.Ceil(0.75 * wanted / mark); k*mark <= 1.25*wanted; k++ {
			out = append(out, k*mark)
		}
	}
	slices.SortStableFunc(out, func(a, b float64) int {
		if x, y := math.Abs(a-wanted), math.Abs(b-wanted); !alikeIn(x, y) {
			return cmp.Compare(x, y)
		}
		return 0
	})
	return out
}

func divides(unit, length float64) bool {
	n := math.Round(length / unit)
	return n >= 1 && alikeIn(n*unit, length)
}

// inTurn returns the widths, in turn, of so many pieces as reach a length, and how wide the
// spacers at both ends of it must be for them: 0, or no narrower than can be sewn.
func inTurn(widths []float64, length float64) (pieces []float64, spacer float64) {
	for sum := 0.0; ; {
		w := widths[len(pieces)%len(widths)]
		pieces = append(pieces, w)
		sum += w
		if alikeIn(sum, length) {
			return pieces, 0
		}
		if spacer = (sum - length) / 2; spacer >= leastSpacer-touch {
			return pieces, spacer
		}
	}
}

// fall divides a side of a border into keys of several widths as they fall, the last as
// wide as what is left.
func (b Border) fall(length float64, number, side int) []float64 {
	var out []float64
	chance := rand.New(rand.NewPCG(uint64(number), uint64(side)))
	widest := slices.Max(b.Keys)
	for left := length; left > touch; {
		k := b.Keys[chance.IntN(len(b.Keys))]
		switch {
		case left <= widest+touch:
			k = left
		case left < k+widest && left-k < slices.Min(b.Keys): // no sliver
			k = left / 2
		}
		out = append(out, k)
		left -= k
	}
	return out
}

// Why returns the arithmetic by which a border comes out even; without text where there is
// nothing to work out.
func (x Round) Why(s System) Why {
	if x.Spaces || len(x.top) == 0 {
		return Why{}
	}
	what := "border " + fmt.Sprint(x.Number+1)
	if len(x.Keys) > 1 {
		return Why{Text: fmt.Sprintf("%s: keys as they fall, %d along the top and %d along a side, the last cut to what is left", what, len(x.top), len(x.side))}
	}
	unit, alike := x.unit()
	if !alike {
		line := func(side string, pieces []float64) Why {
			terms := make([]string, len(pieces))
			sum := 0.0
			for i, w := range pieces {
				terms[i], sum = s.Format(w), sum+w
			}
			return Why{Text: fmt.Sprintf("%s: %s = %s", side, strings.Join(terms, " + "), s.Format(sum))}
		}
		return Why{Text: fmt.Sprintf("%s comes out even: %s in turn along the top, %d along a side", what, cloth.Count(len(x.top), "piece"), len(x.side)),
			Steps: []Why{line("top", x.top), line("side", x.side)}}
	}
	line := func(side string, length float64, n int) Why {
		return Why{Text: fmt.Sprintf("%s: %s ÷ %s = %d", side, s.Format(length), s.Format(unit), n)}
	}
	w := Why{Text: fmt.Sprintf("%s comes out even: %s of %s along the top, %d along a side", what, cloth.Count(len(x.top), "piece"), s.Format(unit), len(x.side)),
		Steps: []Why{line("top", x.WidthIn+x.over(), len(x.top)), line("side", x.HeightIn, len(x.side))}}
	if len(x.Keys) == 1 && !alikeIn(unit, x.Keys[0]) {
		w.Steps = append(w.Steps, Why{Text: fmt.Sprintf("%s is the width next to %s that divides both", s.Format(unit), s.Format(x.Keys[0]))})
	}
	return w
}

// unit returns how wide the pieces of a pieced border are, where they are all alike.
func (x Round) unit() (wide float64, alike bool) {
	other := func(w float64) bool { return !alikeIn(w, x.top[0]) }
	return x.top[0], !slices.ContainsFunc(x.top, other) && !slices.ContainsFunc(x.side, other)
}

// WhySpacer returns the arithmetic of how wide the strips of a spacer are, at the sides and
// at top and bottom; pieced is the border that it fits.
func (x Round) WhySpacer(s System, pieced Round) []Why {
	unit, alike := pieced.unit()
	line := func(where string, length, spacer float64, pieces []float64) Why {
		n := len(pieces)
		switch {
		case spacer == 0 && alike:
			return Why{Text: fmt.Sprintf("%s: none, %s ÷ %s = %d", where, s.Format(length), s.Format(unit), n)}
		case spacer == 0:
			return Why{Text: fmt.Sprintf("%s: none, %s come to %s", where, cloth.Count(n, "piece"), s.Format(length))}
		}
		sum, by := length+2*spacer, "× "+s.Format(unit)
		if !alike {
			by = "pieces"
		}
		return Why{Text: fmt.Sprintf("%s: %d %s = %s, less %s, half of it at each end: %s", where, n, by, s.Format(sum), s.Format(length), s.Format(spacer))}
	}
	return []Why{line("at the sides", x.WidthIn+pieced.over(), x.SideIn, pieced.top), line("at top and bottom", x.HeightIn, x.TopIn, pieced.side)}
}

// origin returns the top left corner of a round in a top with all these rounds.
func (x Round) origin(all []Round) geom.Point {
	out := all[len(all)-1]
	return geom.Point{X: (out.outWidth - x.outWidth) / 2, Y: (out.outHeight - x.outHeight) / 2}
}

// blocks visits the blocks of a pieced border, the top first and on clockwise, each with
// its own top outwards.
func (x Round) blocks(visit func(stand)) {
	if x.Spaces {
		return
	}
	w, h := x.outWidth, x.outHeight
	put := func(of, turn int, px, py float64) {
		visit(stand{of: of, turn: turn, row: -1, column: -1, x: px, y: py})
	}
	if len(x.Blocks) > 0 {
		// along visits the pieces of a side from left to right or from top to bottom, which
		// is against their turn at the bottom and on the left.
		along := func(widths []float64, against bool, put func(of int, at float64)) {
			at := 0.0
			for k := range widths {
				i := k
				if against {
					i = len(widths) - 1 - k
				}
				put(x.Blocks[i%len(x.Blocks)], at)
				at += widths[i]
			}
		}
		along(x.top, false, func(of int, at float64) { put(of, 0, x.SideIn+at, 0) })
		along(x.side, false, func(of int, at float64) { put(of, 1, w-x.SideIn, x.TopIn+at) })
		along(x.top, true, func(of int, at float64) { put(of, 2, x.SideIn+at, h-x.TopIn) })
		along(x.side, true, func(of int, at float64) { put(of, 3, 0, x.TopIn+at) })
	}
	if x.CornerBlock > 0 {
		put(x.CornerBlock, 0, 0, 0)
		put(x.CornerBlock, 1, w-x.SideIn, 0)
		put(x.CornerBlock, 2, w-x.SideIn, h-x.TopIn)
		put(x.CornerBlock, 3, 0, h-x.TopIn)
	}
}

// loose returns the pieces of a round that are in no block.
func (x Round) loose() []loose {
	w, h, a, b := x.outWidth, x.outHeight, x.SideIn, x.TopIn
	var out []loose
	switch {
	case x.Strips():
		out = append(out, loose{kind: InBorder, role: x.Role, cut: asStrips, at: x.strips()})
	case len(x.Keys) > 0:
		out = x.keys()
	}
	if x.Cornered {
		out = append(out, loose{kind: Cornerstone, role: x.Corner, what: "squares at the corners of borders", w: a, h: b,
			at: []geom.Polygon{box(0, 0, a, b), box(w-a, 0, w, b), box(w-a, h-b, w, h), box(0, h-b, a, h)}})
	}
	return out
}

// strips returns the strips of a plain border or spacer: top, bottom, left, right.
func (x Round) strips() []geom.Polygon {
	w, h, a, b := x.outWidth, x.outHeight, x.SideIn, x.TopIn
	if x.Mitred {
		return []geom.Polygon{
			{{}, {X: w}, {X: w - a, Y: b}, {X: a, Y: b}},
			{{X: w}, {X: w, Y: h}, {X: w - a, Y: h - b}, {X: w - a, Y: b}},
			{{X: w, Y: h}, {Y: h}, {X: a, Y: h - b}, {X: w - a, Y: h - b}},
			{{Y: h}, {}, {X: a, Y: b}, {X: a, Y: h - b}},
		}
	}
	in := 0.0
	if x.Cornered {
		in = a
	}
	var out []geom.Polygon
	if b > 0 {
		out = append(out, box(in, 0, w-in, b), box(in, h-b, w-in, h))
	}
	if a > 0 {
		out = append(out, box(0, b, a, h-b), box(w-a, b, w, h-b))
	}
	return out
}

// keys returns the strips of a border of piano keys, those of one width and role together.
func (x Round) keys() []loose {
	var out []loose
	n := 0
	put := func(w, h float64, at geom.Polygon) {
		role := x.Roles[n%len(x.Roles)]
		n++
		k := slices.IndexFunc(out, func(g loose) bool { return g.role == role && alikeIn(g.w, w) && alikeIn(g.h, h) })
		if k < 0 {
			k = len(out)
			out = append(out, loose{kind: InKeys, role: role, what: "border keys", w: w, h: h})
		}
		out[k].at = append(out[k].at, at)
	}
	w, h, a, b := x.outWidth, x.outHeight, x.SideIn, x.TopIn
	in := a
	if x.over() > 0 {
		in = 0
	}
	for _, y := range []float64{0, h - b} {
		at := in
		for _, k := range x.top {
			put(k, b, box(at, y, at+k, y+b))
			at += k
		}
	}
	for _, left := range []float64{0, w - a} {
		at := b
		for _, k := range x.side {
			put(a, k, box(left, at, left+a, at+k))
			at += k
		}
	}
	return out
}
