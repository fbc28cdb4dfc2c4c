package scale

import (
	"cmp"
	"math"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/geom"
)

const mmPerInch = cloth.MMPerInch

// known is a thing of known size.
type known struct {
	kind        cloth.ReferenceKind
	name        string
	long, short float64 // inches
	round       bool    // corners of ID-1's radius
	from        string
}

// knowns are the references looked for, each from its standard: ISO/IEC
// 7810:2019 table 1 (ID-1), ANSI/ASME Y14.1 (size A), ISO 216:2007 (A4). The
// index card is common practice, no source.
var knowns = []known{
	{kind: cloth.IDCard, name: "bank card", long: 85.60 / mmPerInch, short: 53.98 / mmPerInch, round: true, from: FromCard},
	{kind: cloth.Letter, name: "Letter sheet", long: 11, short: 8.5, from: FromSheet},
	{kind: cloth.A4, name: "A4 sheet", long: 297 / mmPerInch, short: 210 / mmPerInch, from: FromSheet},
	{kind: cloth.IndexCard, name: "3 × 5 index card", long: 5, short: 3, from: FromCard},
}

func (k *known) aspect() float64 { return math.Log(k.long / k.short) }

// candidate is a quadrilateral that may be a reference.
type candidate struct {
	region int // or -1
	edges  edges
	look   appearance
	shape  shape // rectified
	turned bool  // the first side is a short one
}

// sighting is a candidate taken for one of the knowns.
type sighting struct {
	candidate
	as    *known
	scale float64 // ln(plane units an inch)
	odds  float64 // log odds that it is that
}

const (
	// sightingOdds are the log odds, before looking, that a region is a
	// reference.
	sightingOdds = -3
	// aspectSD is the error of ln(long/short) beside the corners' own.
	aspectSD = 0.012
	// aspectRange is how widely ln(long/short) of other pieces is spread.
	aspectRange = 1.2
	// roundBite is the part of a round corner's square that is outside it.
	roundBite = 1 - math.Pi/4
	biteSD    = 0.08
)

// ramp is a log odds that falls from top to bottom as v rises through the span
// from a to b.
func ramp(v, a, b, top, bottom float64) float64 {
	t := min(1, max(0, (v-a)/(b-a)))
	return top + t*(bottom-top)
}

// paperOdds are the log odds that the candidate is paper or card rather than
// cloth, from how it looks: threads and fray leave no edge as straight as a
// guillotine's, and no surface as smooth. Brightest is the luminance that white
// has in the photo. Limits from renders; no published source.
func (c *candidate) paperOdds(brightest float64) float64 {
	warmth, tint := (c.look.r-c.look.b)/2, (c.look.r+c.look.b)/2
	// On a ground as white as itself an edge is found to within its noise only.
	noise := min(0.5, 0.005/max(c.edges.contrast, 1e-3))
	return ramp(c.edges.rough-noise, 0.22, 0.5, 2.5, -5) +
		ramp(c.edges.share, 0.95, 0.8, 1, -4) +
		ramp(c.look.mottle, 0.003, 0.012, 2, -6) +
		ramp(c.look.grain, 0.004, 0.016, 0.5, -4) +
		ramp(c.look.y/brightest, 0.75, 0.5, 0.5, -6) +
		ramp(math.Abs(warmth), 0.2, 0.4, 0, -6) +
		ramp(math.Abs(tint), 0.06, 0.15, 0, -6)
}

// as weighs the candidate as a known, on top of its paper odds. Density is how
// much likelier the scale it implies is than any other, by the other pieces'
// widths.
func (c *candidate) as(k *known, paper float64, density func(s float64) float64) sighting {
	s := sighting{candidate: *c, as: k}
	s.scale = math.Log(math.Sqrt(c.shape.long * c.shape.short / (k.long * k.short)))
	sd := math.Hypot(aspectSD, c.sideError())
	d := (math.Log(c.shape.long/c.shape.short) - k.aspect()) / sd
	s.odds = sightingOdds + paper + max(-12, math.Log(aspectRange/(sd*math.Sqrt(2*math.Pi)))-d*d/2)
	if c.edges.contrast > 0.03 && cornerSquare*c.shape.longPx > 2 {
		want := 0.0
		if k.round {
			want = roundBite
		}
		s.odds += max(-4, 1-sq((c.look.bite-want)/biteSD)/2)
	}
	s.odds += min(3, max(-5, math.Log(density(s.scale)+1e-9)))
	return s
}

// sideError is the relative error of a side that the picture's sharpness
// leaves.
func (c *candidate) sideError() float64 {
	px := max(0.3, c.edges.rough)
	return math.Hypot(px/c.shape.longPx, px/c.shape.shortPx)
}

// scaleSD is the relative error of the scale.
func (s *sighting) scaleSD() float64 { return math.Hypot(planeSD, s.sideError()/2) }

// planeSD is the relative error of a length that the table's tilt, as found,
// and the lens leave.
const planeSD = 0.008

// reference is the sighting as the rest of the pipeline knows it: the corners
// in clockwise order, a long side first.
func (s *sighting) reference() cloth.Reference {
	c := s.edges.c
	if s.turned {
		c = [4]geom.Point{c[1], c[2], c[3], c[0]}
	}
	return cloth.Reference{Kind: s.as.kind, Corners: c, Region: s.region, Trust: 1 / (1 + math.Exp(-s.odds))}
}

// leastOdds are the log odds from which a sighting is a reference: a doubtful
// one is none, and stays a piece.
const leastOdds = 1.5

// sightings are the cards and sheets among the pieces, the surest first.
func sightings(p *cloth.Picture, quads []quad, l *plane, fitter *scaleFitter) []sighting {
	if p.W < smallest || p.H < smallest {
		return nil
	}
	white := brightest(p)
	var v *luma // the dearest step: only where a piece is white at all
	var out []sighting
	for _, q := range quads {
		if !whitish(p, q.c, white) {
			continue
		}
		if v == nil {
			v = lumaOf(p)
		}
		e, ok := v.trace(q.c, traceReach)
		if !ok {
			continue
		}
		c := candidate{region: q.region, edges: e, look: look(p, v, e.c)}
		c.shape, c.turned = rectify(e.c, l)
		if s, ok := c.judge(white, quads, l, fitter); ok {
			out = append(out, s)
		}
	}
	slices.SortStableFunc(out, func(a, b sighting) int { return cmp.Compare(b.odds, a.odds) })
	return out
}

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
			if luminance(r, g, b) > leastWhite*white && max(r, g, b) < mostCast*min(r, g, b) {
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

// traceReach is how far, in working pixels, a finder's side may lie off the
// edge.
const traceReach = 5

// judge weighs the candidate as each known and gives the likeliest.
func (c *candidate) judge(white float64, quads []quad, l *plane, fitter *scaleFitter) (sighting, bool) {
	paper := c.paperOdds(white)
	if paper < -6 {
		return sighting{}, false
	}
	others := rectified(quads, l, func(q *quad) bool { return q.region != c.region })
	density := func(float64) float64 { return 1 }
	if telling(others) {
		density = fitter.fit(others).density
	}
	best := sighting{odds: math.Inf(-1)}
	for i := range knowns {
		if s := c.as(&knowns[i], paper, density); s.odds > best.odds {
			best = s
		}
	}
	return best, best.odds > leastOdds
}

const brightStep = 61 // pixels from one looked at to the next

// brightest is the luminance that the lightest fiftieth of the picture reaches.
func brightest(p *cloth.Picture) float64 {
	v := make([]float64, 0, p.W*p.H/brightStep+1)
	for i := 0; i < p.W*p.H; i += brightStep {
		v = append(v, luminance(p.Pix[3*i], p.Pix[3*i+1], p.Pix[3*i+2]))
	}
	slices.Sort(v)
	return max(1e-3, v[len(v)*49/50])
}

// luminance is CIE Y of a linear sRGB colour, by the Rec. 709 weights.
func luminance(r, g, b float32) float64 {
	return colour.LumaR*float64(r) + colour.LumaG*float64(g) + colour.LumaB*float64(b)
}
