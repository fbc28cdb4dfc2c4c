package recipe

import (
	"fmt"
	"slices"

	"piecebag/internal/cloth"
)

// batch is all units of one kind in a quilt, to be cut.
type batch struct {
	Unit
	pile      *pile
	cutting   Method
	n, onSide int     // units, and how many of them lie on their side
	w, h      float64 // finished, upright, inches
	why       Why     // of n
}

// newBatch is the units alike of a block that stands so many times; cell is the
// finished side of a cell.
func newBatch(p *pile, a alike, cell float64, stand Stand, c Method) batch {
	n := a.count * stand.Count
	return batch{
		Unit: a.unit, pile: p, cutting: c, n: n,
		onSide: a.onSide*(stand.Count-stand.OnSide) + (a.count-a.onSide)*stand.OnSide,
		w:      cell * float64(a.unit.Wide), h: cell * float64(a.unit.High),
		why: Why{Text: fmt.Sprintf("%s × %d a block = %d", cloth.Count(stand.Count, "block"), a.count, n)},
	}
}

// cell is the finished side of a cell, inches.
func (b batch) cell() float64 { return b.w / float64(b.Wide) }

// cut adds the pieces to the pile.
func (b batch) cut() {
	switch b.Make {
	case HalfSquare:
		b.halfSquares()
	case Hourglass:
		square, why := b.cutting.System.Quarter(b.w)
		b.shared(2, square, why, "hourglasses, two at a time")
	case QuarterSquare:
		b.quarterSquares()
	case FlyingGeese:
		b.geese()
	case FlipCorners:
		b.plain("patches with flipped corners")
		b.corners()
	case StripSet:
		b.strips()
	case LogCabin, CourthouseSteps:
		b.logCabin()
	default:
		b.plain("patches")
	}
}

// put adds k pieces for the batch; width is across the unit before it is turned.
func (b batch) put(role Role, width, length float64, k int, split Split, what string, steps ...Why) {
	across := 0
	if k == b.n && !alikeIn(width, length) { // one a unit, so it lies as its unit does
		across = b.onSide
		if width > length {
			across = b.n - b.onSide
		}
	}
	b.pile.add(Lot{
		Role: role, WidthIn: width, LengthIn: length, Count: k, Across: across, Split: split, For: []string{what},
		Why: []Why{{
			Text:  fmt.Sprintf("%s for %s", b.cutting.System.pieces(k, width, length), what),
			Steps: append([]Why{b.why}, steps...),
		}},
	})
}

// sets is how many sets of pieces make the units, at so many a set.
func (b batch) sets(each int) (int, Why) {
	k := ceilDiv(b.n, each)
	return k, Why{Text: fmt.Sprintf("%d at a time: %s", each, dividedUp(b.n, each)+" "+cloth.Plural(k, "set"))}
}

// shared adds a square of each role for every so many units.
func (b batch) shared(each int, square float64, why Why, what string) {
	k, whySets := b.sets(each)
	for _, role := range b.Roles {
		b.put(role, square, square, k, Whole, what, whySets, why)
	}
}

// plain adds the patch of the first role, as large as the unit.
func (b batch) plain(what string) {
	w, whyW := b.cutting.System.Plain(b.w)
	h, whyH := b.cutting.System.Plain(b.h)
	steps := []Why{whyW}
	if b.Wide != b.High {
		steps = append(steps, whyH)
	}
	b.put(b.Roles[0], w, h, b.n, Whole, what, steps...)
}

func (b batch) halfSquares() {
	if b.AtATime == 8 {
		square, why := b.cutting.System.eightHalves(b.w)
		b.shared(8, square, why, "half-square triangles, eight at a time")
		return
	}
	square, why := b.cutting.System.Half(b.w)
	b.shared(2, square, why, "half-square triangles, two at a time")
}

func (b batch) quarterSquares() {
	square, why := b.cutting.System.Quarter(b.w)
	for i, role := range b.Roles {
		if slices.Index(b.Roles, role) != i {
			continue
		}
		each := times(b.Roles, role)
		k := ceilDiv(b.n*each, 4)
		b.put(role, square, square, k, Twice, "quarter-square triangles",
			Why{Text: fmt.Sprintf("%d × %s, 4 a square: %s", b.n, cloth.Count(each, "triangle"), dividedUp(b.n*each, 4))}, why)
	}
}

// geese are made four at a time from a large square and four small, or one at a
// time with flipped corners.
func (b batch) geese() {
	s := b.cutting.System
	if b.AtATime == 4 {
		const what = "flying geese, four at a time"
		k, whySets := b.sets(4)
		large, whyLarge := s.Quarter(b.w)
		small, whySmall := s.Half(b.h)
		b.put(b.Roles[0], large, large, k, Whole, what, whySets, whyLarge)
		b.put(b.Roles[1], small, small, 4*k, Whole, what, whySets,
			Why{Text: fmt.Sprintf("%d × 4 small squares = %d", k, 4*k)}, whySmall)
		return
	}
	const what = "flying geese, one at a time"
	b.plain(what)
	corner, why := s.Plain(b.h)
	b.put(b.Roles[1], corner, corner, 2*b.n, Whole, what, Why{Text: fmt.Sprintf("%d × 2 corners = %d", b.n, 2*b.n)}, why)
}

// FlippedCorners is what squares of flipped corners are for, in Lot.For.
const FlippedCorners = "flipped corners"

func (b batch) corners() {
	for i, c := range b.Corners {
		if c.Side == 0 || slices.Index(b.Corners[:], c) != i {
			continue
		}
		each := times(b.Corners[:], c)
		square, why := b.cutting.System.Plain(b.cell() * float64(c.Side))
		b.put(c.Role, square, square, b.n*each, Whole, FlippedCorners,
			Why{Text: fmt.Sprintf("%d × %s = %d", b.n, cloth.Count(each, "corner"), b.n*each)}, why)
	}
}

// strips are full strips sewn together and cut into segments, or patches one by
// one.
func (b batch) strips() {
	s := b.cutting.System
	high, whyHigh := s.Plain(b.h / float64(len(b.Roles)))
	segment, whySegment := s.Plain(b.w)
	per := int(b.cutting.WOFIn/segment + slack)
	if per == 0 || b.cutting.OneByOne {
		for _, role := range b.Roles {
			b.put(role, segment, high, b.n, Whole, "strips of a strip set, one by one", whyHigh, whySegment)
		}
		return
	}
	k := ceilDiv(b.n, per)
	for _, role := range b.Roles {
		b.pile.add(Lot{
			Role: role, WidthIn: high, Count: k, For: []string{"strip sets"},
			Why: []Why{{
				Text: fmt.Sprintf("%s %s wide for strip sets", cloth.Count(k, "strip"), s.Format(high)),
				Steps: []Why{
					b.why, whyHigh, whySegment,
					{Text: "segments a set: " + s.DividedDown(b.cutting.WOFIn, segment)},
					{Text: "sets: " + dividedUp(b.n, per)},
				},
			}},
		})
	}
}

// logCabin adds the centre and the logs, in sewing order.
func (b batch) logCabin() {
	for i, shape := range b.upright() {
		lo, hi := shape.polygon.Bounds()
		w, whyW := b.cutting.System.Plain(b.cell() * (hi.X - lo.X))
		h, whyH := b.cutting.System.Plain(b.cell() * (hi.Y - lo.Y))
		if i == 0 {
			b.put(shape.role, w, h, b.n, Whole, "centres", whyW)
			continue
		}
		b.put(shape.role, w, h, b.n, Whole, "logs", whyW, whyH)
	}
}

// times counts how often x is in list.
func times[T comparable](list []T, x T) int {
	n := 0
	for _, y := range list {
		if y == x {
			n++
		}
	}
	return n
}
