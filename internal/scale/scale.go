// Package scale finds how long things in a photo are: from the printed
// reference card, from a card or sheet of known size, from the lines of a
// cutting mat, or from the pieces themselves, whose widths come from a short
// list of cuts. Lengths are along the cloth, in the plane that it lies in.
package scale

import (
	"cmp"
	"fmt"
	"math"
	"slices"

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
	// Given is how many of the regions, the first, were given by hand: none of them is a
	// card or sheet, and none of the others is a piece. 0: all may be either.
	Given int
	// Card is the printed reference card where it is in view, or nil.
	Card *card.Found
	// Paper is 255 where white paper shows, of whatever shape (len W*H, or nil).
	Paper []uint8
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
	// Faint is a place in a white thing that may be a card or sheet, but whose edges do
	// not stand out from the ground, where the scale is not told: working pixels, or nil.
	Faint *geom.Point

	table *plane
	ruler ruler
}

// Measure reads the scale of p and the sizes of its regions. Ground is 255
// where a pixel is surely ground (len W*H, or nil).
func Measure(p *cloth.Picture, regions []cloth.Region, ground []uint8, o Options) Result {
	res := Result{Sizes: make([]Size, len(regions))}
	light := newLit(p)
	quads := quadsOf(regions)
	owned := ownersOf(p.W, p.H, regions, ground)
	ownSides(quads, owned, o.Kind)
	f := focal(p, o.Focal)
	l := fitPlane(p.W, p.H, f, quads, nil, o.Card)
	fitter := newScaleFitter(o.Cuts, math.Hypot(float64(p.W), float64(p.H))/f)

	noPiece := func(i int) bool { return regions[i].Card || o.Given > 0 && i >= o.Given }
	isRef := make([]bool, len(regions)) // or else no cloth
	for i := range regions {
		isRef[i] = noPiece(i)
	}
	seen := sightings(light, regions, slices.DeleteFunc(slices.Clone(quads), func(q quad) bool { return q.region < o.Given }), l)
	if !byFinder(seen) && o.Card == nil && o.Kind != cloth.Stack {
		var more []*sighting
		more, res.Faint = sightFaint(light, o.Paper, ground, owned, l)
		seen = append(seen, more...)
	}
	var onMat *told
	if !byFinder(seen) && o.Card == nil && o.Kind != cloth.Stack {
		if g := findGrid(light, quads, ground, f); g != nil {
			l, onMat = g.plane, g.tells()
		}
	}
	notRef := func(q *quad) bool { return !isRef[q.region] && q.upright(l) }
	widths := func() []shape { return rectified(quads, l, notRef) } // what tells the scale by its width

	// The scale, by all that speaks for it. What may well be a card counts as no
	// piece.
	for _, s := range seen {
		if s.region >= 0 && s.odds > 0 {
			isRef[s.region] = true
		}
	}
	var known []*told
	for _, s := range seen {
		known = append(known, &s.told)
	}
	if o.Card != nil {
		unit, _ := cardScale(o.Card, l)
		known = append(known, tellsOf(unit))
		res.References = append(res.References, o.Card.Reference())
	}
	if onMat != nil {
		known = append(known, onMat)
	}
	post := fitter.fit(widths())
	odds := post.heed(known...)
	if o.PxPerInch > 0 {
		if s, trust := post.mode(); trust >= leastTrust && len(known) > 0 && math.Abs(math.Log(o.PxPerInch/(s*l.middle()))) > agree {
			res.Notes = append(res.Notes, fmt.Sprintf("the scale given is %.1f pixels an inch, but what lies in the photo tells %.1f; sizes are by what is given", o.PxPerInch*p.Shrink, s*l.middle()*p.Shrink))
		} else {
			known = append(known, tellsGiven(o.PxPerInch/l.middle()))
			post = fitter.fit(widths())
			odds = post.heed(known...)
		}
	}
	reading := cloth.ScaleReading{From: FromWidths}
	most := 0.5
	for i, v := range odds {
		for k, p := range v {
			if p > most {
				most, reading.From = p, known[i].parts[k].from
			}
		}
	}
	for i, s := range seen {
		s.settle(odds[i])
		if s.region >= 0 {
			isRef[s.region] = s.trust > leastCard || noPiece(s.region)
		}
	}
	slices.SortStableFunc(seen, func(a, b *sighting) int { return cmp.Compare(b.trust, a.trust) })
	for _, s := range seen {
		if s.trust > leastCard {
			res.References = append(res.References, s.reference())
		}
	}
	s, trust := post.mode()
	second, chance := post.second()
	full := l.middle() * p.Shrink // pixels a plane unit
	if o.PxPerInch > 0 {
		s, trust, chance, reading.From = o.PxPerInch/l.middle(), 1, 0, FromGiven
	}
	if trust < leastTrust {
		if n := len(widths()); o.Kind != cloth.Stack && n >= leastPieces {
			res.Notes = append(res.Notes, fmt.Sprintf("the widths of the pieces fit several scales, %.1f pixels an inch and %.1f among them, "+
				"so no sizes are given; lay a card or a sheet of paper beside them, or say how long something in the photo is", s*full, second*full))
		}
		res.sayUnread(light, regions, quads, l, o)
		return res
	}
	reading.PxPerInch, reading.Trust = s*l.middle(), trust
	if chance >= leastChance {
		reading.Or = second * l.middle()
	}
	res.Reading, res.Faint = reading, nil
	shapes := rectified(quads, l, notRef)
	res.table, res.ruler = l, fitter.ruler(widths(), s)
	if o.Kind != cloth.Stack {
		res.Sizes = res.sizes(regions, shapes, isRef, owned, reading.Trust, o.Kind != cloth.Pile)
	}
	if o.Kind == cloth.Spread {
		res.units(regions, isRef, owned)
	}
	return res
}

// byFinder reports whether the finder took any of the sightings for a card.
func byFinder(seen []*sighting) bool {
	return slices.ContainsFunc(seen, func(s *sighting) bool { return s.card })
}

// tellsGiven returns what a scale given by hand, in plane units an inch, says.
func tellsGiven(unit float64) *told {
	return &told{parts: []tellsScale{{from: FromGiven, s: math.Log(unit), sd: planeSD, odds: 1e6}}}
}

// sayUnread says why a card or sheet in view gave no scale, and what to do.
func (r *Result) sayUnread(p *lit, regions []cloth.Region, quads []quad, l *plane, o Options) {
	if o.Given > 0 || o.Kind == cloth.Stack {
		return
	}
	if u, ok := unreadIn(p, regions, quads, l); ok {
		r.Faint = nil // one such thing is enough
		r.Sizes[u.region].Notes = append(r.Sizes[u.region].Notes, "perhaps a card or sheet, not cloth")
		r.Notes = append(r.Notes, "a white thing in view may be a card or sheet, but gave no scale: "+u.why+
			"; lay a bank card face down, or a plain Letter or A4 sheet, flat and whole in the photo with nothing over it, or say how long something in the photo is")
	}
}

const (
	// leastTrust is the probability below which a scale is not told, and leastChance
	// that from which another is named beside it.
	leastTrust, leastChance = 0.8, 0.05
	// agree is how far, as a share, two scales of one photo may be apart: a ruler held
	// to the screen is read to some percents.
	agree = 0.1
	// leastPieces is how many there are before their silence is worth a note.
	leastPieces = 4
)
