package light

import (
	"math"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/geom"
)

// evidence is what a photo shows about its white, everything brought to the
// light of the middle of the picture.
type evidence struct {
	shape  *shading
	bright []tristimulus // the brightest plain colour of each piece
	refs   []sighting
	pick   *tristimulus // the white that the user's pick gives
	floor  float64      // ln Y that white surely reaches: what is overexposed is at least so bright
	least  tristimulus  // the sd that is left of white at the least
	notes  []string
}

// sighting is a white reference in view.
type sighting struct {
	name  string      // printed card, card or sheet
	white tristimulus // its recorded colour over its albedo
	trust float64
}

// The albedos taken for white references, linear sRGB: uncoated paper reflects
// 0.84 to 0.90 and card 0.80 to 0.88, both a little yellow without brightener
// (common practice, no source).
var (
	paper = colour.Linear{0.86, 0.86, 0.85}
	board = colour.Linear{0.84, 0.84, 0.82}
)

// whiteSpot is the albedo taken for what the user says is white: between white
// cotton and paper.
var whiteSpot = colour.Linear{0.83, 0.83, 0.83}

// mostClipped is the share of overexposed pixels that spoils a white.
const mostClipped = 0.05

func gather(p *cloth.Picture, regions []cloth.Region, refs []cloth.Reference, shape *shading, tone Tone, pick *geom.Point) *evidence {
	e := &evidence{shape: shape, floor: math.Inf(-1), least: flatSD}
	isRef := make([]bool, len(regions)) // or else no cloth
	for i, r := range regions {
		isRef[i] = r.Card
	}
	for _, r := range refs {
		if r.Region >= 0 && r.Region < len(regions) {
			isRef[r.Region] = true
		}
		name, albedo := FromSheet, paper
		if r.Kind == cloth.IDCard || r.Kind == cloth.IndexCard {
			name, albedo = FromCard, board
		}
		blank := shrunk(r.Corners[:], 0.8)
		if r.Blank != nil {
			blank = r.Blank
		}
		if r.Kind == cloth.PrintedCard {
			name = FromPrint
		}
		if w, ok := e.whiteIn(p, blank, tone, name, albedo); ok {
			e.refs = append(e.refs, sighting{name, w, r.Trust})
		}
	}
	if pick != nil {
		if w, ok := e.whiteIn(p, square(*pick, pickSide), tone, "place picked as white", whiteSpot); ok {
			e.pick = &w
		}
	}
	blocks, dazzled := readBlocks(p, regions, isRef, shape)
	e.bright = brightest(blocks, tone)
	e.dazzle(blocks, dazzled, tone)
	return e
}

// pickSide is the side, in working pixels, of the square read round a pick.
const pickSide = 11

func square(c geom.Point, side float64) geom.Polygon {
	r := side / 2
	return geom.Polygon{{X: c.X - r, Y: c.Y - r}, {X: c.X + r, Y: c.Y - r}, {X: c.X + r, Y: c.Y + r}, {X: c.X - r, Y: c.Y + r}}
}

// shrunk is g drawn in towards its centroid.
func shrunk(g geom.Polygon, k float64) geom.Polygon {
	c := g.Centroid()
	out := make(geom.Polygon, len(g))
	for i, q := range g {
		out[i] = c.Add(q.Sub(c).Mul(k))
	}
	return out
}

// whiteIn is what a perfect white would record in the middle, if what g holds
// has the given albedo. What is overexposed is refused, and only a floor.
func (e *evidence) whiteIn(p *cloth.Picture, g geom.Polygon, tone Tone, name string, albedo colour.Linear) (tristimulus, bool) {
	var sum colour.Linear
	n, clipped := 0.0, 0.0
	g.Fill(p.W, p.H, func(y, x0, x1 int) {
		for k := y*p.W + x0; k < y*p.W+x1; k++ {
			for q := range sum {
				sum[q] += float64(p.Pix[3*k+q])
			}
			if p.Clipped != nil {
				clipped += float64(p.Clipped[k]) / 255
			}
			n++
		}
	})
	if n == 0 {
		e.notes = append(e.notes, "the "+name+" lies outside the photo and was not used for white")
		return tristimulus{}, false
	}
	for q := range sum {
		sum[q] /= n
	}
	c := g.Centroid()
	w := toLog(tone.Undo(sum)).sub(e.shape.at(c.X, c.Y)).sub(toLog(albedo))
	if clipped > mostClipped*n {
		e.notes = append(e.notes, "the "+name+" is overexposed and was not used for white")
		e.floor = max(e.floor, w[0])
		return tristimulus{}, false
	}
	return w, true
}

// blockSize is the side, in working pixels, of the squares that a piece's
// colours are read from.
const blockSize = 4

type block struct {
	c     colour.Linear
	y     float64     // luminance over the light there
	rough float64     // sd of luminance over its mean
	light tristimulus // the light there relative to the middle
}

// fewestBlocks is the least cloth that shows a colour of its own.
const fewestBlocks = 8

// brightest gives each piece's brightest plain colour in the light of the
// middle: of its blocks the smoother half, of those the brighter tenth.
func brightest(blocks [][]block, tone Tone) []tristimulus {
	var out []tristimulus
	for _, bs := range blocks {
		if len(bs) < fewestBlocks {
			continue
		}
		bs = least(bs, (len(bs)+1)/2, func(b *block) float64 { return b.rough })
		bs = least(bs, max(2, len(bs)/10), func(b *block) float64 { return -b.y })
		var t tristimulus
		for _, b := range bs {
			v := toLog(tone.Undo(b.c)).sub(b.light)
			for k := range t {
				t[k] += v[k] / float64(len(bs))
			}
		}
		out = append(out, t)
	}
	return out
}

// least gives the n blocks of least key, in their order.
func least(bs []block, n int, key func(*block) float64) []block {
	keys := make([]float64, len(bs))
	for i := range bs {
		keys[i] = key(&bs[i])
	}
	limit := nth(keys, n-1)
	out := make([]block, 0, n)
	for i := range bs {
		if key(&bs[i]) <= limit && len(out) < n {
			out = append(out, bs[i])
		}
	}
	return out
}

// manyDazzled is the share of a piece's blocks that must be overexposed for it
// to be more than a glint.
const manyDazzled = 0.1

// dazzle takes in the pieces that are overexposed in all channels: no cloth is
// whiter than brightestAlbedo, so that white is at least so bright.
func (e *evidence) dazzle(blocks, dazzled [][]block, tone Tone) {
	for i, bs := range dazzled {
		var y []float64
		for _, b := range bs {
			if min(b.c[0], b.c[1], b.c[2]) > leastDazzle {
				y = append(y, toLog(tone.Undo(b.c)).sub(b.light)[0])
			}
		}
		if len(y) < fewestBlocks || float64(len(y)) < manyDazzled*float64(len(bs)+len(blocks[i])) {
			continue
		}
		e.floor = max(e.floor, median(y)-math.Log(brightestAlbedo*flatShare))
	}
}

// leastDazzle is what every channel of a white that is overexposed records: a
// yellow is overexposed in red alone, and may be dark.
const leastDazzle = 0.85

// readBlocks cuts each region into blocks that lie wholly inside it; those that
// are overexposed stand apart.
func readBlocks(p *cloth.Picture, regions []cloth.Region, skip []bool, shape *shading) (blocks, dazzled [][]block) {
	owner := make([]int32, p.W*p.H)
	for i, r := range regions {
		if skip[i] {
			continue
		}
		r.Polygon.Fill(p.W, p.H, func(y, x0, x1 int) {
			for k := y*p.W + x0; k < y*p.W+x1; k++ {
				owner[k] = int32(i + 1)
			}
		})
	}
	blocks, dazzled = make([][]block, len(regions)), make([][]block, len(regions))
	for y := 0; y+blockSize <= p.H; y += blockSize {
		for x := 0; x+blockSize <= p.W; x += blockSize {
			id := owner[y*p.W+x]
			if id == 0 {
				continue
			}
			b, clipped, ok := readBlock(p, owner, x, y)
			if !ok {
				continue
			}
			b.light = shape.at(float64(x)+blockSize/2, float64(y)+blockSize/2)
			if clipped {
				dazzled[id-1] = append(dazzled[id-1], b)
				continue
			}
			b.y /= math.Exp(b.light[0])
			blocks[id-1] = append(blocks[id-1], b)
		}
	}
	return blocks, dazzled
}

func readBlock(p *cloth.Picture, owner []int32, x, y int) (b block, clipped, ok bool) {
	id := owner[y*p.W+x]
	var c [3]float32
	var s, s2 float32
	for v := y; v < y+blockSize; v++ {
		for k := v*p.W + x; k < v*p.W+x+blockSize; k++ {
			if owner[k] != id {
				return block{}, false, false
			}
			clipped = clipped || p.Clipped != nil && p.Clipped[k] > 64
			r, g, b := p.Pix[3*k], p.Pix[3*k+1], p.Pix[3*k+2]
			c[0] += r
			c[1] += g
			c[2] += b
			l := colour.LumaR*r + colour.LumaG*g + colour.LumaB*b
			s += l
			s2 += l * l
		}
	}
	const n = blockSize * blockSize
	m := float64(s / n)
	return block{
		c:     colour.Linear{float64(c[0] / n), float64(c[1] / n), float64(c[2] / n)},
		y:     m,
		rough: math.Sqrt(max(0, float64(s2/n)-m*m)) / max(m, 1e-3),
	}, clipped, true
}
