package report

import (
	"fmt"
	"math"

	"piecebag/internal/cutting"
	"piecebag/internal/geom"
)

// slicing is how a piece of cloth is cut up: by count cuts pieces of one step are
// taken off it, each cut up as first says, and what is left as rest says, or as
// the others where even says that it is like them. Nil is a piece that is not cut
// further.
type slicing struct {
	cut   cutting.Slice
	count int
	first *slicing
	rest  *slicing
	even  bool
}

// pieces returns how many pieces alike there are.
func (s *slicing) pieces() int {
	if s.even {
		return s.count + 1
	}
	return s.count
}

// near is far under the mark of any ruler, inches.
const near = 1e-6

// stepOf returns how far from the edge of its piece a slice is made, inches.
func stepOf(s cutting.Slice) float64 {
	if s.Along {
		return s.At - s.Of.X
	}
	return s.At - s.Of.Y
}

// parted returns the piece that a slice takes off and what it leaves.
func parted(s cutting.Slice) (off, left geom.Rect) {
	off, left = s.Of, s.Of
	if s.Along {
		off.W = stepOf(s)
		left.X, left.W = s.At, s.Of.W-off.W
	} else {
		off.H = stepOf(s)
		left.Y, left.H = s.At, s.Of.H-off.H
	}
	return off, left
}

func sameRect(a, b geom.Rect) bool {
	return math.Abs(a.X-b.X) < near && math.Abs(a.Y-b.Y) < near && math.Abs(a.W-b.W) < near && math.Abs(a.H-b.H) < near
}

// slicingOf reads the cuts of one piece of cloth from the front of all, which
// lists first the cuts of what is taken off and then those of what is left, and
// gives the cuts that belong to other cloth.
func slicingOf(of geom.Rect, all []cutting.Slice) (*slicing, []cutting.Slice) {
	if len(all) == 0 || !sameRect(all[0].Of, of) {
		return nil, all
	}
	s := &slicing{cut: all[0], count: 1}
	off, left := parted(all[0])
	s.first, all = slicingOf(off, all[1:])
	s.rest, all = slicingOf(left, all)
	r := s.rest
	switch {
	case r != nil && r.cut.Along == s.cut.Along && math.Abs(stepOf(r.cut)-stepOf(s.cut)) < near && alike(s.first, r.first):
		s.count += r.count
		s.rest, s.even = r.rest, r.even
	case math.Abs(off.W-left.W) < near && math.Abs(off.H-left.H) < near && alike(s.first, r):
		s.rest, s.even = nil, true
	}
	return s, all
}

// alike reports whether two pieces are cut up in the same way.
func alike(a, b *slicing) bool {
	if a == nil || b == nil {
		return a == b
	}
	return a.cut.Along == b.cut.Along && a.count == b.count && a.even == b.even && math.Abs(stepOf(a.cut)-stepOf(b.cut)) < near &&
		math.Abs(a.cut.Of.W-b.cut.Of.W) < near && math.Abs(a.cut.Of.H-b.cut.Of.H) < near &&
		alike(a.first, b.first) && alike(a.rest, b.rest)
}

// sliceLines says in lines how cloth is cut up; pieces that are cut alike are
// one line.
func sliceLines(p Plan, all []cutting.Slice) []string {
	var out []string
	for len(all) > 0 {
		var s *slicing
		s, all = slicingOf(all[0].Of, all)
		out = s.lines(p, 1, out)
	}
	return out
}

func (s *slicing) lines(p Plan, pieces int, out []string) []string {
	if s == nil {
		return out
	}
	who := "the piece " + p.box(s.cut.Of)
	if pieces > 1 {
		who = fmt.Sprintf("each of the %d pieces %s", pieces, p.box(s.cut.Of))
	}
	how := "across"
	if s.cut.Along {
		how = "lengthwise"
	}
	off, _ := parted(s.cut)
	words := fmt.Sprintf("%s: cut %s at %s", who, how, p.format(stepOf(s.cut)))
	switch {
	case s.count == 1 && s.even:
		words += ", into 2 pieces " + p.box(off)
	case s.even:
		words = fmt.Sprintf("%s: cut %s every %s, %d times, into %d pieces %s", who, how, p.format(stepOf(s.cut)), s.count, s.pieces(), p.box(off))
	case s.count > 1:
		words = fmt.Sprintf("%s: cut %s every %s, %d times, into pieces %s", who, how, p.format(stepOf(s.cut)), s.count, p.box(off))
	}
	out = append(out, words)
	out = s.first.lines(p, pieces*s.pieces(), out)
	return s.rest.lines(p, pieces, out)
}

// box writes both sides, also of a square: a piece in hand is not a size kept.
func (p Plan) box(r geom.Rect) string { return p.format(r.W) + " × " + p.format(r.H) }
