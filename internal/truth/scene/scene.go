// Package scene makes photos of cut cloth with exact truth, for tests and for
// measuring how true the tool is. A scene is drawn by its kind, level and seed
// alone: the same three give the same bytes on every run.
//
// A scene is a list of flat faces in a world measured in inches, painted one
// over another through a pinhole camera. Colour is computed in linear light:
// each face's own albedo, times the light that reaches it, through a
// phone-like camera and a JPEG.
package scene

import (
	"fmt"
	"image"
	"math/rand/v2"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/geom"
	"piecebag/internal/truth"
)

// Scene is a photo and what is true of it. Pieces have the IDs 1..n in order. Coordinates
// are the photo's pixels.
type Scene struct {
	truth.Case
	Seed uint64 `json:"seed"`

	Image *image.RGBA `json:"-"` // as decoded from JPEG, sRGB
	JPEG  []byte      `json:"-"`
	Paper []bool      `json:"-"` // row-major: white paper or a white card is seen, on the piece where there is one

	References []Reference `json:"reference"`
	Ground     string      `json:"ground"`    // e.g. "wood", "greymat", "flannel"
	Container  string      `json:"container"` // "basket", "shelf", or ""
	Light      string      `json:"light"`     // overcast, sunny, tungsten, led, mixed
	// White is what a perfect white lying in the middle would record, linear,
	// before the camera clips.
	White    colour.Linear `json:"white"`
	Rows     int           `json:"rows"` // of a board
	Cols     int           `json:"cols"`
	Settings Settings      `json:"settings"`

	whiteAt func(p geom.Point) colour.SRGB
}

// WhiteAt returns the value that a matt sheet of reflectance 1 has in the photo where
// it lies at p, in the plane of the cloth, with nothing beside it that is
// higher: 0..1, over 1 where overexposed.
func (s *Scene) WhiteAt(p geom.Point) colour.SRGB { return s.whiteAt(p) }

// Reference is an object of known size.
type Reference struct {
	Kind     string // card (ID-1), letter, a4, index, printed card
	WidthIn  float64
	HeightIn float64
	Corners  [4]geom.Point
	Albedo   colour.Linear
}

// Settings are what the camera did.
type Settings struct {
	TiltDeg, RollDeg float64
	Barrel           float64 // r_d = r_u (1 - k r_u²), r 1 at half the diagonal
	Vignette         float64 // light lost in the corners, 0..1
	EV               float64
	Adapted          float64 // how far the white balance followed the light, 0..1
	Noise            float64
	Blur             float64 // pixels
	Sharpen          float64
	Contrast         float64
	Saturation       float64
	Quality          int        // of the JPEG
	Shake            [2]float64 `json:",omitzero"`  // pixels right and down
	Depth            float64    `json:",omitempty"` // blur where it is most out of focus, pixels
}

// LongSide is the usual longer side of a scene, pixels.
const LongSide = 2048

// Options of a scene beyond its kind, level and seed.
type Options struct {
	// Long is the longer side in pixels: a multiple of 32, at least 256. Noise and
	// blur stay as many pixels wide, so small photos are harder.
	Long      int
	Reference ReferenceChoice
	// Swatches are real prints, of which the share Real (0..1) of the fabrics is
	// cut, each swatch once. At 1 all cloth is real: of as many prints as there
	// are swatches. The share Dyed of them has other colours than its swatch.
	Swatches   []*Swatch
	Real, Dyed float64
	// Shelf, where it is not 0, is the seed of a shelf of drawn fabrics. Scenes of
	// one shelf cut their fabrics from it, so that they show the same prints.
	Shelf uint64
	// Inks, where it is not 0, is how many colours all fabrics of the shelf are of, so
	// that they differ in pattern alone.
	Inks int
	// Varied draws what is seen more widely, for training: camera angles to 50°,
	// more grounds and things, folded cloth, sewn units, labels.
	Varied bool
}

// ReferenceChoice reports whether a card or sheet of known size and colour lies in
// view.
type ReferenceChoice int

const (
	ByChance ReferenceChoice = iota
	// Always lays one, the printed card one time in three: beside the cloth, or
	// on it where there is no room.
	Always
	// Withheld draws the scene of Always, with nothing where the reference lies.
	Withheld
	// Printed lays the printed card where there is room for it.
	Printed
)

// Make draws a scene of a level, 1..3: the same options and seed give the same
// bytes on every run.
func Make(kind cloth.Kind, level int, seed uint64, o Options) *Scene {
	if o.Long < 256 || o.Long%32 != 0 {
		panic(fmt.Sprintf("scene: longer side %d: want a multiple of 32, at least 256", o.Long))
	}
	if level < 1 || level > 3 {
		panic(fmt.Sprintf("scene: level %d: want 1, 2 or 3", level))
	}
	var layout func(*builder)
	switch kind {
	case cloth.Spread:
		layout = (*builder).spread
	case cloth.Board:
		layout = (*builder).board
	case cloth.Pile:
		layout = (*builder).pile
	case cloth.Stack:
		layout = (*builder).stack
	default:
		panic(fmt.Sprintf("scene: no kind %q", kind))
	}
	b := &builder{
		r:    rand.New(rand.NewPCG(seed, uint64(level)<<8|uint64(kind[0])<<16|uint64(kind[1]))),
		kind: kind, level: level, w: o.Long, h: o.Long * 3 / 4, options: o,
	}
	if b.r.Float64() < 0.35 {
		b.w, b.h = b.h, b.w
	}
	if o.Varied {
		layout = b.another(layout)
	}
	layout(b)
	s := b.photograph()
	s.Name = fmt.Sprintf("%s%d-%04d", kind, level, seed)
	s.Kind, s.Level, s.Seed = kind, level, seed
	return s
}
