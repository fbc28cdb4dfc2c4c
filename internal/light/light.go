// Package light finds what white is in a photo: a smooth field of it, since
// light on a table is uneven and often of two kinds, and takes a picture to
// what it would be in even D65 light.
package light

import (
	"math"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/geom"
)

// Options are what is known about the light beforehand. The zero value is
// nothing.
type Options struct {
	// White is a place, in working pixels, that the user says is white; or nil.
	White *geom.Point
	// Tone is the camera's tone curve; nil means PhoneTone.
	Tone *Tone
	// Kind is the kind of photo, or empty. In a stack the ground lies in other
	// light than the folded edges, and tells nothing.
	Kind cloth.Kind
}

// Where a reading's white came from, in order of trust.
const (
	FromPrint    = "printed card"
	FromCard     = "card"
	FromSheet    = "sheet"
	FromPick     = "pick"
	FromGround   = "ground"
	FromEstimate = "estimate"
)

// Estimate reads the light of p. Regions are the finder's pieces, ground is
// 255 where a pixel is surely ground (len W*H, or nil), refs are the white
// cards and sheets in view, whose regions are not taken for cloth. The notes
// say what was refused and why.
func Estimate(p *cloth.Picture, regions []cloth.Region, ground []uint8, refs []cloth.Reference, opts Options) (*Field, cloth.LightReading, []string) {
	tone := PhoneTone
	if opts.Tone != nil {
		tone = *opts.Tone
	}
	shape := &shading{}
	share := flatShare
	if opts.Kind == cloth.Stack {
		share = foldShare
	} else if len(ground) == p.W*p.H {
		shape = fitShading(p, ground, tone)
	}
	e := gather(p, regions, refs, shape, tone, opts.White)
	if opts.Kind == cloth.Stack {
		e.least = foldSD
	}
	white, from, trust, lightnessSD := e.weigh()
	field := newField(p.W, p.H, tone, func(x, y float64) colour.Linear {
		w := white.add(shape.at(x, y))
		w[0] += math.Log(share)
		return w.linear()
	})
	return field, cloth.LightReading{White: tone.Apply(white.linear()), From: from, Trust: trust, LightnessSD: lightnessSD}, e.notes
}

const (
	// flatShare is the share of the light on a flat card that a cut piece of
	// cloth beside it sends back for its albedo: it is wrinkled, its edges
	// lift, and its threads shade one another. Measured on renders: median
	// 0.92, photo by photo 0.86 to 0.96.
	flatShare = 0.925
	// foldShare is the same for folded cloth on edge, whose sides lie in
	// shade; in renders 0.5 to 0.8.
	foldShare = 0.75
)
