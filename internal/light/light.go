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
	// Tone is the camera's tone curve; nil means the picture's UsualTone.
	Tone *Curve
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

// Estimate reads the light of p. Regions are the finder's pieces; ground is 255
// where a pixel is surely ground and paper where it is white paper (len W*H, or
// nil); refs are the white cards and sheets in view, whose regions are not taken
// for cloth. The notes say what was refused and why.
func Estimate(p *cloth.Picture, regions []cloth.Region, ground, paper []uint8, refs []cloth.Reference, opts Options) (*Field, cloth.LightReading, []string) {
	tone := UsualTone(p)
	toneSD := float64(usualToneSD)
	if opts.Tone != nil {
		tone, toneSD = *opts.Tone, readToneSD
	}
	e := gather(p, regions, ground, paper, refs, tone, opts).ready()
	white, mass, sd := e.answer(tone)
	e.refuse(white)
	e.bend(white)
	from := e.from(white)
	strength, assured := sd[0], assuranceOf(from, opts.Kind)
	if from == FromEstimate {
		strength = math.Hypot(strength, guessSD)
	}
	fold := tristimulus{}
	if opts.Kind == cloth.Stack {
		fold[0] = e.fold()
		strength = math.Hypot(strength, foldSD)
	}
	field := newField(p.W, p.H, tone, func(x, y float64) colour.Linear { return white.add(fold).add(e.shape.at(x, y)).linear() })
	return field, cloth.LightReading{
		White: tone.Apply(white.linear()), From: from, Trust: assured.trust(mass),
		LightnessSD: math.Hypot(lightnessPerLn*strength, toneSD),
		WarmthSD:    sd[1] * assured.widened(mass), TintSD: sd[2] * assured.widened(mass),
	}, e.notes
}

// bend lets the references decide the light where they lie: the field was
// fitted as if nothing were known of their colours.
func (e *evidence) bend(white tristimulus) {
	if len(e.refs) == 0 {
		return
	}
	for _, r := range e.refs {
		at := r.albedo.wider(e.share.sd)
		for k := range at.mean {
			at.mean[k] += white[k] - e.share.mean[k]
		}
		r.at.known = &at
	}
	e.shape.fit()
}

const (
	// foldSD is the error of fold, in ln Y.
	foldSD = 0.12
	// guessSD is the error of a white that nothing white in view bears out, in ln Y,
	// over what the laws have: they were read off made photos, and real ones are
	// further off. No source.
	guessSD = 0.1
	// lightnessPerLn is dL*/d ln Y at L* 59: (L* + 16)/3, by the definition of
	// L* (CIE 15:2018).
	lightnessPerLn = 25
	// usualToneSD is the error of L* that a camera's unknown tone curve leaves
	// in the middle of the scale; readToneSD that which it leaves where the
	// printed card's greys were read.
	usualToneSD, readToneSD = 3, 1.5
)
