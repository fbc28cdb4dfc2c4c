// Package arrange lays pieces of cloth out in the patches of a quilt: no two that
// touch of one hue family or one print, darks, lights and brights spread evenly over
// the whole, or as a wash. Where that cannot be, it says how few touches there must be
// at least, and why. It does no I/O.
package arrange

import (
	"context"
	"fmt"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/geom"
)

// Piece is cut cloth, alike and countable: of one holding of the stash, in one size.
type Piece struct {
	Holding int64
	Count   int
	Family  cloth.Family
	Value   cloth.Value
	Print   string // empty: not known; pieces of one holding are then one print
	// Lightness is CIE L*, 0..100; Chroma and Hue (degrees) are those of CIELAB's
	// polar form.
	Lightness, Chroma, Hue float64
}

// Place is where one cut piece goes: a patch, or the patches of several units that
// are made of it at a time.
type Place struct {
	Patches []int // of Problem.Polygons
	Class   int   // of Problem.Suits
	Block   int   // the block of its first patch; -1 for none
	// Kept is the piece that must lie here, an index of Problem.Pieces; -1 for any.
	Kept int
	// Ground is the CIE L* of the background beside it; 0: it touches none.
	Ground float64
}

// Look is what a layout is to look like, beyond that nothing touches.
type Look string

// The looks.
const (
	Even       Look = "even"        // darks, lights and brights all over, and nothing lost against the background
	WashAcross Look = "wash-across" // light to dark from left to right
	WashDown   Look = "wash-down"   // light to dark from top to bottom
	WashOut    Look = "wash-out"    // light in the middle, dark at the edges
	HueRound   Look = "hue-round"   // by hue, once round the quilt
	Random     Look = "random"      // at random, apart from touches and repeats
)

// Looks lists the looks in the order they are offered.
var Looks = []Look{Even, WashAcross, WashDown, WashOut, HueRound, Random}

// Problem is a quilt to be laid out.
type Problem struct {
	WidthIn, HeightIn float64
	Polygons          []geom.Polygon // of the patches, finished inches
	Places            []Place
	Links             []Link  // of patches that touch, each pair once
	Suits             [][]int // of each class: which of Pieces can lie there
	Pieces            []Piece
	Apart             [][2]int64 // holdings that never touch, by their numbers
	Look              Look
	Seed              uint64
	// Effort multiplies the length of the search; 0 is 1.
	Effort float64
	// Progress, unless nil, is called with how far the search is, 0..1.
	Progress func(done float64)
}

// Link says that two patches touch.
type Link struct {
	A, B   int
	Corner bool // at a corner alone
}

// Cause says what makes two touching patches too much alike.
type Cause string

// The reasons.
const (
	SameFamily Cause = "family"
	SamePrint  Cause = "print"
	KeptApart  Cause = "apart" // two that were never to touch
)

// Touch is two touching patches that are too much alike.
type Touch struct {
	A, B   int // patches
	Why    Cause
	Corner bool
}

// Least is how few touches any layout has at least.
type Least struct {
	Touches int
	Because string
}

// Layout is an answer.
type Layout struct {
	At      []int // of each place: the piece there; -1: none was left for it
	Touches []Touch
	Least   Least
	// Interrupted says that the search was stopped early, with the best layout so far.
	Interrupted bool
	Measures
}

// Proved reports whether no layout has fewer touches.
func (l Layout) Proved() bool { return len(l.Touches) == l.Least.Touches }

// lastMoment is the share of the search for the look that is still made after the search
// was stopped early: some tenths of a second at most.
const lastMoment = 0.3

// Lay lays a quilt out. The same problem gives the same layout. When ctx ends it
// answers with the best until then. Errors, of kind fault.ErrUsage, name what is kept
// in a place that it does not suit.
func Lay(ctx context.Context, p Problem) (Layout, error) {
	if p.Effort == 0 {
		p.Effort = 1
	}
	b, err := newBoard(&p)
	if err != nil {
		return Layout{}, err
	}
	s := newSearch(b)
	stopped := s.part(ctx) || ctx.Err() != nil
	if stopped { // a moment more, so that the layout shown is not a poor one
		s.Effort *= lastMoment
		ctx = context.WithoutCancel(ctx)
	}
	stopped = s.settle(ctx) || stopped
	at := make([]int, len(s.at))
	for i, x := range s.at {
		at[i] = int(x)
	}
	out := p.judged(b, at)
	out.Interrupted = stopped
	return out, nil
}

// Judge measures a given layout as Lay does those it finds. at holds, for each place, the
// piece there, or -1.
func (p *Problem) Judge(at []int) (Layout, error) {
	b, err := newBoard(p)
	if err != nil {
		return Layout{}, err
	}
	return p.judged(b, at), nil
}

func (p *Problem) judged(b *board, at []int) Layout {
	s := newSearch(b)
	for i, x := range at {
		s.at[i] = int32(x)
	}
	out := Layout{At: at, Touches: b.touchesOf(at), Least: b.least(s.at), Measures: s.measures()}
	if !out.Proved() {
		if l, ok := b.weigh(s.at, len(out.Touches)); ok {
			out.Least = l
		}
	}
	return out
}

// Most returns how many places can be filled at all.
func (p *Problem) Most() int {
	b, err := newBoard(p)
	if err != nil {
		return 0
	}
	return b.mostWithout(nil)
}

// touchesOf lists the touches of a layout in the order of Links. Patches that one piece of
// cloth fills, such as those of units made together, do not count as touching.
func (b *board) touchesOf(at []int) (out []Touch) {
	place := b.placeOf()
	for _, l := range b.Links {
		i, j := place[l.A], place[l.B]
		if i < 0 || j < 0 || i == j || at[i] < 0 || at[j] < 0 {
			continue
		}
		if why := b.alike(int32(at[i]), int32(at[j])); why != "" {
			out = append(out, Touch{l.A, l.B, why, l.Corner})
		}
	}
	return out
}

// alike returns why two pieces must not touch, empty where they may.
func (b *board) alike(x, y int32) Cause {
	switch {
	case b.print[x] == b.print[y]:
		return SamePrint
	case b.family[x] >= 0 && b.family[x] == b.family[y]:
		return SameFamily
	case b.clash(x, y):
		return KeptApart
	}
	return ""
}

// print names a piece's print, by its holding where no name is known.
func (x *Piece) print() string {
	if x.Print != "" {
		return x.Print
	}
	return fmt.Sprintf("\x00%d", x.Holding)
}

// placeOf returns, for each patch, its place; -1 where no print lies.
func (p *Problem) placeOf() []int {
	out := make([]int, len(p.Polygons))
	for i := range out {
		out[i] = -1
	}
	for i, at := range p.Places {
		for _, patch := range at.Patches {
			out[patch] = i
		}
	}
	return out
}

// board is a problem made ready to be searched: places and pieces by number, what
// they may not touch as small numbers to compare.
type board struct {
	*Problem
	links  [][]link // of each place
	family []int32  // of each piece, the number of the family that it must not touch; negative: none
	print  []int32
	apart  map[[2]int32]bool // pieces, both ways round
	suits  [][]bool          // class × piece
	start  []int32           // of each place the piece that must lie there; -1
}

// link is a neighbouring place.
type link struct {
	to    int32
	times int32 // in how many patches the two touch
}

func newBoard(p *Problem) (*board, error) {
	b := &board{Problem: p, links: make([][]link, len(p.Places)), apart: map[[2]int32]bool{}}
	place := p.placeOf()
	times := map[[2]int32]int32{}
	var pairs [][2]int32
	for _, l := range p.Links {
		i, j := int32(place[l.A]), int32(place[l.B])
		if i < 0 || j < 0 || i == j {
			continue
		}
		pair := [2]int32{min(i, j), max(i, j)}
		if times[pair]++; times[pair] == 1 {
			pairs = append(pairs, pair)
		}
	}
	for _, pair := range pairs {
		b.links[pair[0]] = append(b.links[pair[0]], link{pair[1], times[pair]})
		b.links[pair[1]] = append(b.links[pair[1]], link{pair[0], times[pair]})
	}
	families, prints := map[cloth.Family]int32{}, map[string]int32{}
	for i := range p.Pieces {
		x := &p.Pieces[i]
		f := int32(-1)
		if x.Family != "" && x.Family != cloth.Many {
			f = numberOf(families, x.Family)
		}
		b.family = append(b.family, f)
		b.print = append(b.print, numberOf(prints, x.print()))
	}
	for i, x := range p.Pieces {
		for _, pair := range p.Apart {
			for j, y := range p.Pieces {
				if x.Holding == pair[0] && y.Holding == pair[1] {
					b.apart[[2]int32{int32(i), int32(j)}], b.apart[[2]int32{int32(j), int32(i)}] = true, true
				}
			}
		}
	}
	b.suits = make([][]bool, len(p.Suits))
	for c, list := range p.Suits {
		b.suits[c] = make([]bool, len(p.Pieces))
		for _, piece := range list {
			b.suits[c][piece] = true
		}
	}
	left := make([]int, len(p.Pieces))
	for i, x := range p.Pieces {
		left[i] = x.Count
	}
	b.start = make([]int32, len(p.Places))
	for i, at := range p.Places {
		b.start[i] = int32(at.Kept)
		if at.Kept < 0 {
			continue
		}
		if left[at.Kept]--; left[at.Kept] < 0 {
			return nil, fault.Usage("", fmt.Sprintf("more of piece %d is kept in places than there is", p.Pieces[at.Kept].Holding), "keep fewer")
		}
		if !b.suits[at.Class][at.Kept] {
			return nil, fault.Usage("", fmt.Sprintf("piece %d does not suit the place it is kept in", p.Pieces[at.Kept].Holding), "keep one of the size and value that the patch takes")
		}
	}
	return b, nil
}

func numberOf[K comparable](known map[K]int32, key K) int32 {
	n, ok := known[key]
	if !ok {
		n = int32(len(known))
		known[key] = n
	}
	return n
}

// clash reports whether two pieces must not touch.
func (b *board) clash(x, y int32) bool {
	return b.print[x] == b.print[y] || b.family[x] >= 0 && b.family[x] == b.family[y] ||
		len(b.apart) > 0 && b.apart[[2]int32{x, y}]
}

// middle returns the middle of a place's first patch.
func (p *Problem) middle(place int) geom.Point {
	return p.Polygons[p.Places[place].Patches[0]].Centroid()
}
