// Package scale finds how long things in a photo are: from the printed
// reference card, from a card or sheet of known size, from the lines of a
// cutting mat, or from the pieces themselves, whose widths come from a short
// list of cuts. Lengths are along the cloth, in the plane that it lies in.
package scale

import (
	"math"

	"piecebag/internal/card"
	"piecebag/internal/cloth"
	"piecebag/internal/geom"
)

// Options are what is known beforehand. The zero value is nothing.
type Options struct {
	// Kind is the kind of photo, or empty. The edges of a stack's folds are
	// not the cloth's, so its pieces get no sizes; in a pile or board a piece
	// that is not seen whole gets none.
	Kind cloth.Kind
	Cuts []float64 // the widths pieces are cut to, inches; nil: DefaultCuts
	// PxPerInch is the scale in the middle of the picture, in working pixels an
	// inch; 0: find it.
	PxPerInch float64
	// Given says that the regions were drawn by hand: none of them is a card
	// or sheet.
	Given bool
	// Card is the printed reference card where it is in view, or nil.
	Card *card.Found
	// Focal is the lens's 35 mm equivalent focal length, mm; 0: a phone's.
	Focal float64
}

// Where a reading's scale came from, in order of trust.
const (
	FromGiven  = "given"
	FromPrint  = "printed card"
	FromCard   = "card"
	FromSheet  = "sheet"
	FromMat    = "mat"
	FromWidths = "widths"
)

// Result is the scale of a photo.
type Result struct {
	Reading    cloth.ScaleReading // PxPerInch in working pixels; zero where unknown
	References []cloth.Reference  // cards and sheets in view
	Sizes      []Size             // one a region
	Notes      []string

	table *plane
	unit  float64 // plane units an inch
}

// Inches takes a place in the picture, in working pixels, to inches on the
// table; false where the scale is unknown. Only distances mean anything.
func (r *Result) Inches(p geom.Point) (geom.Point, bool) {
	if r.table == nil {
		return geom.Point{}, false
	}
	return r.table.at(p).Mul(1 / r.unit), true
}

// Measure reads the scale of p and the sizes of its regions. Ground is 255
// where a pixel is surely ground (len W*H, or nil).
func Measure(p *cloth.Picture, regions []cloth.Region, ground []uint8, o Options) Result {
	cuts := o.Cuts
	if len(cuts) == 0 {
		cuts = DefaultCuts
	}
	res := Result{Sizes: make([]Size, len(regions))}
	quads := quadsOf(regions)
	f := focal(p, o.Focal)
	l := fitPlane(p.W, p.H, f, quads, nil, o.Card)
	fitter := newScaleFitter(cuts, math.Hypot(float64(p.W), float64(p.H))/f)

	var seen []sighting
	if !o.Given {
		seen = sightings(p, quads, l, fitter)
	}
	if o.Card != nil {
		res.References = append(res.References, o.Card.Reference())
	}
	isRef := make([]bool, len(regions)) // or else no cloth
	for i, r := range regions {
		isRef[i] = r.Card
	}
	for _, s := range seen {
		res.References = append(res.References, s.reference())
		isRef[s.region] = true
	}
	notRef := func(q *quad) bool { return !isRef[q.region] }
	pitch, onMat := 0.0, false
	if len(seen) == 0 && o.Card == nil && o.Kind != cloth.Stack {
		if grid := findGrid(p, ground); grid != nil {
			m := fitPlane(p.W, p.H, f, quads, grid, nil)
			if pitch, onMat = gridPitch(grid, m); onMat {
				l = m
			}
		}
	}
	shapes := rectified(quads, l, notRef)

	var s float64 // plane units an inch
	reading := cloth.ScaleReading{Trust: 1, From: FromGiven}
	switch {
	case o.PxPerInch > 0:
		s = o.PxPerInch / l.middle()
	case o.Card != nil:
		s, _ = cardScale(o.Card, l)
		reading.From, reading.Trust = FromPrint, o.Card.Trust
	case len(seen) > 0:
		s = fitter.fit(shapes).near(seen[0].scale, seen[0].scaleSD())
		reading.From, reading.Trust = seen[0].as.from, res.References[0].Trust
	case onMat:
		if !telling(shapes) {
			shapes = nil
		}
		s, reading.Trust = matScale(pitch, fitter.fit(shapes))
		s, reading.From = math.Exp(s), FromMat
	case o.Kind != cloth.Stack && telling(shapes):
		s, reading.Trust = fitter.fit(shapes).mode()
		reading.From = FromWidths
	default:
		res.sayUnread(p, regions, quads, l, o)
		return res
	}
	if reading.Trust < leastTrust {
		res.Notes = append(res.Notes, "the widths of the pieces fit more than one scale, so no sizes are given")
		res.sayUnread(p, regions, quads, l, o)
		return res
	}
	reading.PxPerInch = s * l.middle()
	res.Reading = reading
	res.table, res.unit = l, s
	if o.Kind != cloth.Stack {
		res.Sizes = res.sizes(regions, isRef, cuts, reading.Trust, o.Kind == cloth.Spread || o.Kind == "")
	}
	return res
}

// sayUnread says why a card or sheet in view gave no scale, and what to do.
func (r *Result) sayUnread(p *cloth.Picture, regions []cloth.Region, quads []quad, l *plane, o Options) {
	if o.Given || o.Kind == cloth.Stack {
		return
	}
	if u, ok := unreadIn(p, regions, quads, l); ok {
		r.Sizes[u.region].Notes = append(r.Sizes[u.region].Notes, "perhaps a card or sheet, not cloth")
		r.Notes = append(r.Notes, "a white thing in view may be a card or sheet, but gave no scale: "+u.why+
			"; lay a bank card face down, or a plain Letter or A4 sheet, flat and whole in the photo with nothing over it, or give --scale")
	}
}

// leastTrust is the probability below which a scale is not told.
const leastTrust = 0.8
