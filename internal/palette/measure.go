// Package palette measures the colours of a piece of cloth and tells which
// pieces are cut from one print.
package palette

import (
	"errors"
	"math/rand/v2"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/geom"
)

// Palette is what the pixels of one piece say. Colours are albedo under D65.
type Palette struct {
	Mean colour.Linear // the mean of the piece's area in linear light
	// Colours are the inks of the print, most area first; shares sum to 1.
	Colours []cloth.Ink
	// Motif is about how wide the print's motifs are, in working pixels: 0 for
	// plain cloth and where the piece is too small to tell.
	Motif float64
	// Clipped is the share of the piece that the camera recorded at its top
	// value, 0..1; there the colour is only a bound.
	Clipped   float64
	Signature Signature
}

// ErrEmpty says that an outline holds no working pixel.
var ErrEmpty = errors.New("the outline holds no pixel of the picture")

// Meter measures pieces one after another and keeps its buffers between them.
// The zero value is ready; one goroutine at a time may use it.
type Meter struct {
	// Labels is 255 where white paper may lie on the cloth, a byte a pixel of the
	// pictures that are measured; nil: nowhere.
	Labels []uint8

	patch  patch
	colour histogram
}

// Measure reads the palette of the piece inside polygon, in working pixels of
// p, which holds albedo under D65. The same arguments give the same palette. The
// only error is ErrEmpty.
func (m *Meter) Measure(p *cloth.Picture, polygon geom.Polygon, seed uint64) (Palette, error) {
	a := &m.patch
	a.draw(p, polygon)
	if a.area == 0 {
		return Palette{}, ErrEmpty
	}
	a.load(p)
	if m.Labels != nil {
		m.leaveOutLabel(p.W, seed)
	}
	out := m.measure(seed)
	out.Clipped = a.clipped(p)
	return out, nil
}

// measure reads the palette of the loaded patch, which has an area.
func (m *Meter) measure(seed uint64) Palette {
	a := &m.patch
	rim := a.rim()
	m.colour.count(a, rim)
	inks := findInks(m.colour.bins, rand.New(rand.NewPCG(seed, uint64(a.area))))
	inks = a.leaveOutSurroundings(inks, rim)

	var out Palette
	var sum [3]float64
	n := 0.0
	for _, k := range inks {
		for c := range 3 {
			sum[c] += k.lms[c]
		}
		n += k.count
	}
	out.Mean = linearOf([3]float64{sum[0] / n, sum[1] / n, sum[2] / n})
	out.Signature = a.sign(rim, inks)
	kept := 0.0
	for i, k := range inks {
		if i == 0 || k.share >= leastShare {
			kept += k.share
			out.Colours = append(out.Colours, cloth.Ink{Colour: linearOf(k.pure), Share: k.share})
		}
	}
	for i := range out.Colours {
		out.Colours[i].Share /= kept
	}
	if len(out.Colours) > 1 {
		out.Motif = out.Signature.motif()
	}
	return out
}

// leaveOutSurroundings drops inks that are found only along the outline, and
// there cover little: ground, shadow or a neighbour inside an outline drawn too
// wide. Their share goes to the rest in proportion.
func (a *patch) leaveOutSurroundings(inks []ink, rim uint8) []ink {
	reach := 0.0
	for _, d := range a.depth {
		reach = max(reach, float64(d))
	}
	limit := float64(rim) + 1 + min(surroundingsDepth, (reach-float64(rim))/10)
	kept := slices.Clone(inks)
	kept = slices.DeleteFunc(kept, func(k ink) bool {
		return k.share < surroundingsShare && k.depth < limit
	})
	if len(kept) == 0 {
		return inks
	}
	total := 0.0
	for _, k := range kept {
		total += k.share
	}
	for i := range kept {
		kept[i].share /= total
	}
	return kept
}

// An ink counts as surroundings where its pixels lie on average within this
// many pixels of the outermost ones measured, and it covers less than this share
// of the piece. A colour spread evenly over a square lies a third of the way to
// its middle.
const (
	surroundingsDepth = 0.6
	surroundingsShare = 0.15
)

// clipped returns the share of the piece's pixels that the camera clipped.
func (a *patch) clipped(p *cloth.Picture) float64 {
	if p.Clipped == nil {
		return 0
	}
	sum := 0
	for y := 1; y < a.h-1; y++ {
		for x := 1; x < a.w-1; x++ {
			if a.depth[y*a.w+x] > 0 {
				sum += int(p.Clipped[(y+a.y0)*p.W+x+a.x0])
			}
		}
	}
	return float64(sum) / 255 / float64(a.area)
}

// linearOf returns the linear sRGB of cone responses.
func linearOf(lms [3]float64) colour.Linear { return colour.FromCones.Apply(lms) }
