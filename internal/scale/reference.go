package scale

import (
	"math"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/geom"
	"piecebag/internal/raster"
)

const mmPerInch = cloth.MMPerInch

// known is a thing of known size.
type known struct {
	kind        cloth.ReferenceKind
	name        string
	long, short float64 // inches
	round       bool    // corners of ID-1's radius
	share       float64 // of the cards and sheets that lie in photos (no source)
	from        string
}

// knowns are the references looked for, each from its standard: ISO/IEC
// 7810:2019 table 1 (ID-1), ANSI/ASME Y14.1 (size A), ISO 216:2007 (A4). The
// index card is common practice, no source.
var knowns = []known{
	{kind: cloth.IDCard, name: "bank card", long: 85.60 / mmPerInch, short: 53.98 / mmPerInch, round: true, share: 0.3, from: FromCard},
	{kind: cloth.Letter, name: "Letter sheet", long: 11, short: 8.5, share: 0.3, from: FromSheet},
	{kind: cloth.A4, name: "A4 sheet", long: 297 / mmPerInch, short: 210 / mmPerInch, share: 0.3, from: FromSheet},
	{kind: cloth.IndexCard, name: "3 × 5 index card", long: 5, short: 3, share: 0.1, from: FromCard},
}

func (k *known) aspect() float64 { return math.Log(k.long / k.short) }

// candidate is a quadrilateral that may be a reference.
type candidate struct {
	region int  // or -1
	card   bool // the finder took it for one
	edges  edges
	look   appearance
	shape  shape   // rectified
	turned bool    // the first side is a short one
	odds   float64 // log odds that it is a card or sheet of some size, from how it looks
}

// sighting is a candidate that may be one of the knowns, and what that tells of
// the scale: a part for each known.
type sighting struct {
	candidate
	told
	as    *known  // the likeliest
	trust float64 // that it is any
}

const (
	// sightingOdds are the log odds, before looking, that a region is a
	// reference, and cardOdds where the finder took it for one.
	sightingOdds, cardOdds = -3, 1
	// aspectSD is the error of ln(long/short) beside the corners' own.
	aspectSD = 0.012
	// aspectRange is how widely ln(long/short) of other pieces is spread.
	aspectRange = 1.2
	// oddPaper is how much of the paper in photos is of no known size.
	oddPaper = 0.2
	// roundBite is the part of a round corner's square that is outside it.
	roundBite = 1 - math.Pi/4
	biteSD    = 0.08
)

// ramp returns a log odds that falls from top to bottom as v rises through the span
// from a to b.
func ramp(v, a, b, top, bottom float64) float64 {
	t := min(1, max(0, (v-a)/(b-a)))
	return top + t*(bottom-top)
}

// paperOdds returns the log odds that the candidate is paper or card rather than
// cloth, from how it looks: threads and fray leave no edge as straight as a
// guillotine's, and no surface as smooth. Brightest is the luminance that white
// has in the photo. Limits from renders; no published source.
func (c *candidate) paperOdds(brightest float64) float64 {
	odds := sightingOdds + ramp(c.look.mottle, 0.003, 0.012, 2, -6) +
		ramp(c.look.grain, 0.004, 0.016, 0.5, -4) +
		ramp(c.look.y/brightest, 0.75, 0.5, 0.5, -6)
	if c.card {
		odds += cardOdds - sightingOdds
	}
	// On a ground nearly as white as itself an edge is found to within its noise only.
	odds += ramp(c.edges.rough-c.edges.noise(), 0.22, 0.5, 2.5, -5) + ramp(c.edges.share, 0.95, 0.8, 1, -4)
	// Of what is overexposed the colour is not known.
	warmth, tint := (c.look.r-c.look.b)/2, (c.look.r+c.look.b)/2
	return odds + (1-c.look.clipped)*(ramp(math.Abs(warmth), 0.2, 0.4, 0, -6)+ramp(math.Abs(tint), 0.06, 0.15, 0, -6))
}

// as returns what the candidate tells of the scale if it is k.
func (c *candidate) as(k *known) tellsScale {
	side := c.sideError()
	sd := math.Hypot(aspectSD, side)
	d := (math.Log(c.shape.long/c.shape.short) - k.aspect()) / sd
	odds := c.odds + math.Log(k.share) + max(-12, math.Log(aspectRange/(sd*math.Sqrt(2*math.Pi)))-d*d/2)
	if c.edges.contrast > 0.03 && cornerSquare*c.shape.longPx > 2 {
		want := 0.0
		if k.round {
			want = roundBite
		}
		odds += max(-4, 1-sq((c.look.bite-want)/biteSD)/2)
	}
	return tellsScale{
		from: k.from, s: math.Log(math.Sqrt(c.shape.long * c.shape.short / (k.long * k.short))),
		sd: math.Hypot(planeSD, side/2), odds: math.Exp(odds),
	}
}

// sideError returns the relative error of a side that the picture's sharpness
// leaves.
func (c *candidate) sideError() float64 {
	px := max(0.3, c.edges.rough)
	return math.Hypot(px/c.shape.longPx, px/c.shape.shortPx)
}

// planeSD is the relative error of a length that the table's tilt, as found,
// and the lens leave.
const planeSD = 0.008

// reference returns the sighting as the rest of the pipeline knows it: the corners
// in clockwise order, a long side first.
func (s *sighting) reference() cloth.Reference {
	c := s.edges.c
	if s.turned {
		c = [4]geom.Point{c[1], c[2], c[3], c[0]}
	}
	return cloth.Reference{Kind: s.as.kind, Corners: c, Region: s.region, Trust: s.trust}
}

// leastCard is the probability from which a sighting is a reference: a doubtful one
// is none, and stays a piece.
const leastCard = 0.8

// sightings returns the pieces that may be cards or sheets.
func sightings(p *lit, regions []cloth.Region, quads []quad, l *plane) []*sighting {
	if p.W < smallest || p.H < smallest {
		return nil
	}
	var out []*sighting
	for _, q := range quads {
		if !whitish(p.Picture, q.c, p.white()) || cutOff(p.Picture, regions[q.region]) {
			continue
		}
		e, ok := p.luma().trace(q.c, traceReach)
		if regions[q.region].Card {
			e, ok = p.traceWhite(q.c)
		}
		if !ok {
			continue
		}
		if s, ok := sight(p, candidate{region: q.region, card: regions[q.region].Card, edges: e}, l); ok {
			out = append(out, s)
		}
	}
	return out
}

// sight weighs a candidate as each of the knowns; false where it is surely no paper.
func sight(p *lit, c candidate, l *plane) (*sighting, bool) {
	c.look = look(p.Picture, p.luma(), c.edges.c)
	c.odds = c.paperOdds(p.white())
	if c.odds < leastPaper {
		return nil, false
	}
	c.shape, c.turned = rectify(c.edges.c, l)
	s := &sighting{candidate: c, told: told{other: math.Exp(c.odds) * oddPaper}}
	for i := range knowns {
		s.parts = append(s.parts, c.as(&knowns[i]))
	}
	return s, true
}

// settle says what a sighting is, by the odds of each known once all is heeded.
func (s *sighting) settle(odds []float64) {
	best := 0
	for i, v := range odds {
		s.trust += v
		if v > odds[best] {
			best = i
		}
	}
	s.as = &knowns[best]
}

// leastPaper are the log odds of paper below which nothing else is asked.
const leastPaper = -2

// whitish says, from a few pixels, whether a quadrilateral may be white.
func whitish(p *cloth.Picture, c [4]geom.Point, white float64) bool {
	const n = 5
	ok := 0
	for j := range n {
		for i := range n {
			s, t := (float64(i)+1)/(n+1), (float64(j)+1)/(n+1)
			q := c[0].Mul((1 - s) * (1 - t)).Add(c[1].Mul(s * (1 - t))).Add(c[2].Mul(s * t)).Add(c[3].Mul((1 - s) * t))
			x, y := int(q.X), int(q.Y)
			if x < 0 || y < 0 || x >= p.W || y >= p.H {
				continue
			}
			k := 3 * (y*p.W + x)
			r, g, b := p.Pix[k], p.Pix[k+1], p.Pix[k+2]
			if float64(colour.Luma(r, g, b)) > leastWhite*white && max(r, g, b) < mostCast*min(r, g, b) {
				ok++
			}
		}
	}
	return ok > n*n*4/5
}

// smallest is the least side, in working pixels, of a picture that can hold a
// card to be measured.
const smallest = 32

const (
	leastWhite = 0.45 // of the luminance of white in the photo
	mostCast   = 2.5  // of the strongest channel over the weakest, under a lamp
)

const brightStep = 61 // pixels from one looked at to the next

// brightest returns the luminance that the lightest fiftieth of the picture reaches.
func brightest(p *cloth.Picture) float64 {
	v := make([]float64, 0, p.W*p.H/brightStep+1)
	for i := 0; i < p.W*p.H; i += brightStep {
		v = append(v, float64(colour.Luma(p.Pix[3*i], p.Pix[3*i+1], p.Pix[3*i+2])))
	}
	return max(1e-3, raster.Nth(v, len(v)*49/50))
}
