package report

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/shelf"
)

// The wheel is drawn in a box of wheelSide units. Pieces are patches in
// wedges of their hue, stacked from the hub outwards and from dark to light,
// as the blades of a plate block.
const (
	wheelSide  = 400.0
	wheelHub   = 36.0
	wheelRim   = 140.0
	wheelLabel = 166.0
	wedges     = 24
	maxBlade   = 32.0 // the thickest patch
)

// ringFamilies are the hue families that stand round the wheel, at the OKLCh
// hue, in degrees, about which each is labelled; our own choice by eye.
var ringFamilies = []struct {
	family cloth.Family
	hue    float64
}{
	{cloth.Red, 24}, {cloth.Orange, 56}, {cloth.Yellow, 98}, {cloth.Green, 144},
	{cloth.Teal, 196}, {cloth.Blue, 252}, {cloth.Purple, 306}, {cloth.Pink, 354},
}

type wheel struct {
	Alt    string
	Ring   []patch // the hues themselves, round the rim
	Blades []patch
	Labels []wheelText
	Off    []offWheel
}

// patch is one closed path in a colour.
type patch struct {
	Path, Fill, Title string
}

type wheelText struct {
	X, Y         string
	Anchor       string
	Family, Held string
	None         bool
}

// offWheel is a family that has no place round the wheel.
type offWheel struct {
	Family cloth.Family
	Count  int
	Tiles  []tile
}

// tile is one piece as a little square: its colour and the grey of the same
// lightness.
type tile struct {
	Fill, Grey, Title string
}

func (l Look) tile(it shelf.Item) tile {
	p := it.Piece
	words := "no colour"
	if p.Family != "" {
		words = familyWords(p) + ", " + valueWords(p)
	}
	return tile{Fill: p.ReadsAs.Hex(), Grey: greyOf(p.Lightness).Hex(), Title: "piece " + l.label(it) + ": " + words}
}

// turnOf is the angle on the wheel, in radians clockwise from the top, of an
// OKLCh hue in degrees: red stands at the top.
func turnOf(hue float64) float64 { return (hue - ringFamilies[0].hue) * math.Pi / 180 }

func wheelPoint(radius, turn float64) (x, y float64) {
	return wheelSide/2 + radius*math.Sin(turn), wheelSide/2 - radius*math.Cos(turn)
}

// blade is the path of a ring sector from radius r to s, between two turns.
func blade(r, s, from, to float64) string {
	ax, ay := wheelPoint(s, from)
	bx, by := wheelPoint(s, to)
	cx, cy := wheelPoint(r, to)
	dx, dy := wheelPoint(r, from)
	return fmt.Sprintf("M%.1f %.1fA%.1f %.1f 0 0 1 %.1f %.1fL%.1f %.1fA%.1f %.1f 0 0 0 %.1f %.1fZ", ax, ay, s, s, bx, by, cx, cy, r, r, dx, dy)
}

// wheelOf draws the pieces of the eight ring families by the OKLCh hue of
// what they read as, and lists the others.
func wheelOf(l Look) wheel {
	const step = 2 * math.Pi / wedges
	in := make([][]shelf.Item, wedges)
	held := map[cloth.Family][]shelf.Item{}
	for _, k := range shelf.Sorted(l.Shelf.Items) {
		it := l.Shelf.Items[k]
		held[it.Piece.Family] = append(held[it.Piece.Family], it)
		if onRing(it.Piece.Family) {
			lab := it.Piece.ReadsAs.OKLab()
			w := wedgeOf(math.Atan2(lab.B, lab.A) * 180 / math.Pi)
			in[w] = append(in[w], it)
		}
	}
	var out wheel
	for _, x := range ringSectors() {
		out.Ring = append(out.Ring, patch{Path: blade(x.r, x.s, x.from, x.to), Fill: x.fill.Hex()})
	}
	deepest := 1
	for _, items := range in {
		deepest = max(deepest, len(items))
	}
	thick := min(maxBlade, (wheelRim-wheelHub)/float64(deepest))
	gap := min(1.5, thick/8)
	for w, items := range in {
		slices.SortStableFunc(items, func(a, b shelf.Item) int { return cmp.Compare(a.Piece.Lightness, b.Piece.Lightness) })
		for i, it := range items {
			r := wheelHub + float64(i)*thick
			turn := float64(w) * step
			t := l.tile(it)
			out.Blades = append(out.Blades, patch{Path: blade(r, r+thick-gap, turn-step*0.46, turn+step*0.46), Fill: t.Fill, Title: t.Title})
		}
	}
	counts := map[cloth.Family]int{}
	for f, items := range held {
		counts[f] = len(items)
	}
	labels, words := wheelLabels(counts)
	out.Labels = labels
	for _, f := range cloth.Families {
		if onRing(f) || f == cloth.Many && len(held[f]) == 0 {
			continue
		}
		o := offWheel{Family: f, Count: len(held[f])}
		for _, it := range held[f] {
			o.Tiles = append(o.Tiles, l.tile(it))
		}
		out.Off = append(out.Off, o)
	}
	out.Alt = "Hue wheel, pieces by colour: " + strings.Join(words, ", ")
	return out
}

// wheelLabels names the ring families round the wheel with what each holds, and
// gives the same in words.
func wheelLabels(held map[cloth.Family]int) (labels []wheelText, words []string) {
	for _, f := range ringFamilies {
		n := held[f.family]
		x, y := wheelPoint(wheelLabel, turnOf(f.hue))
		t := wheelText{X: fmt.Sprintf("%.1f", x), Y: fmt.Sprintf("%.1f", y), Anchor: "middle", Family: string(f.family), Held: strconv.Itoa(n), None: n == 0}
		if n == 0 {
			t.Held = "none"
		}
		switch {
		case x > wheelSide/2+wheelLabel/3:
			t.Anchor = "start"
		case x < wheelSide/2-wheelLabel/3:
			t.Anchor = "end"
		}
		labels = append(labels, t)
		words = append(words, t.Family+" "+t.Held)
	}
	return labels, words
}

// rimColour is the hue that stands at a turn of the wheel.
func rimColour(turn float64) colour.Linear {
	hue := ringFamilies[0].hue*math.Pi/180 + turn
	return colour.OKLab{L: 0.72, A: 0.11 * math.Cos(hue), B: 0.11 * math.Sin(hue)}.Linear()
}

func onRing(f cloth.Family) bool {
	for _, r := range ringFamilies {
		if r.family == f {
			return true
		}
	}
	return false
}
