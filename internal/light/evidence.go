package light

import (
	"cmp"
	"math"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/geom"
	"piecebag/internal/raster"
)

// evidence is what a photo shows about its white, everything brought to the
// light of the middle of the picture.
type evidence struct {
	shape   *shading
	bright  []shown
	grounds []*plain
	refs    []*sighting
	share   law // of the light that cloth sends back for its albedo
	floors  []floor
	floor   float64 // ln Y that white cloth surely reaches: what is overexposed is at least so bright
	top     float64 // ln Y of the brightest things in view
	notes   []string
}

// shown is the brightest plain colour of a piece.
type shown struct {
	c    tristimulus
	mean float64 // ln of the piece's mean luminance over that of c
}

// sighting is a white reference in view.
type sighting struct {
	name   string // printed card, card, sheet or pick
	at     *plain
	albedo law
	trust  float64
}

// The albedos of white references. Paper for print on a white backing has L*95
// a*1.5 b*−6 (ISO 12647-2:2013, PS1: brightened), which is Y 0.88 and here 0.02,
// 0.1; without brightener, or without ultraviolet in the light, it is a little
// yellow, and a single sheet on a dark table reflects less: 0.70 to 0.77 (five
// photos of a white of known albedo on paper). Made photos have 0.84 to 0.87.
// Card: common practice, no source.
var (
	paper = law{tristimulus{math.Log(0.87), 0, 0.03}, tristimulus{0.07, 0.02, 0.045}}
	board = law{tristimulus{math.Log(0.84), 0.005, -0.02}, tristimulus{0.05, 0.015, 0.035}}
	// either is paper or card of unknown size.
	either = law{tristimulus{math.Log(0.85), 0.002, 0}, tristimulus{0.08, 0.02, 0.05}}
)

// whiteSpot is the albedo taken for what the user says is white: white cotton
// or paper.
var whiteSpot = law{tristimulus{math.Log(0.86), 0, -0.01}, tristimulus{0.05, 0.01, 0.02}}

// mostClipped is the share of overexposed pixels that spoils a white.
const mostClipped = 0.05

// gather reads the evidence. White is 255 where white paper shows (len W*H, or
// nil).
func gather(p *cloth.Picture, regions []cloth.Region, ground, white []uint8, refs []cloth.Reference, tone Curve, o Options) *evidence {
	e := &evidence{shape: newShading(p.W, p.H), share: flatShare}
	if o.Kind == cloth.Stack {
		e.share, ground = foldShare, nil
	}
	const groundLabel, paperLabel = 0, 1
	first := 2
	labels := make([]int32, p.W*p.H)
	for i := range labels {
		labels[i] = -1
		if ground != nil && ground[i] == 255 {
			labels[i] = groundLabel
		}
		if white != nil && inside(white, p.W, p.H, i) {
			labels[i] = paperLabel
		}
	}
	paint := func(g geom.Polygon, label int) {
		g.Fill(p.W, p.H, func(y, x0, x1 int) {
			for k := y*p.W + x0; k < y*p.W+x1; k++ {
				labels[k] = int32(label)
			}
		})
	}
	for i, r := range regions {
		if !r.Card && !slices.ContainsFunc(refs, func(c cloth.Reference) bool { return c.Region == i }) {
			paint(r.Polygon, first+i)
		}
	}
	for _, r := range refs {
		paint(r.Corners[:], -1)
	}
	cells := cellsOf(p, labels, first+len(regions), tone)
	for _, g := range parted(cells[groundLabel], p.W, p.H) {
		e.grounds = append(e.grounds, e.shape.add(bareGround, g))
	}
	for i := range regions {
		if c := cells[first+i]; len(c) > 1 && o.Kind != cloth.Stack { // a fold is shaded by itself
			e.shape.add(pieceOfCloth, c)
		}
	}
	for _, r := range refs {
		e.sight(p, r, tone)
	}
	if c := o.White; c != nil {
		const r = 5.5 // half the side, in working pixels, of the square that is read
		round := geom.Polygon{{X: c.X - r, Y: c.Y - r}, {X: c.X + r, Y: c.Y - r}, {X: c.X + r, Y: c.Y + r}, {X: c.X - r, Y: c.Y + r}}
		e.see(p, round, tone, sighting{name: FromPick, albedo: whiteSpot, trust: sureOfPick})
	}
	if c := cells[paperLabel]; len(c) >= fewestPaper {
		e.refs = append(e.refs, &sighting{FromSheet, e.shape.add(reference, c), either, sureOfPaper})
	}
	e.shape.fit()
	blocks, dazzled := readBlocks(p, labels, first, len(regions), e.shape)
	e.bright = brightest(blocks, tone, o.Kind)
	e.floor = e.dazzle(blocks, dazzled, tone)
	e.top = math.Inf(-1)
	if o.Kind != cloth.Stack { // where other light may fall on what is about
		e.top = e.brightestThing(p, tone)
	}
	return e
}

// inside reports whether pixel i lies well within a mask: the eye's edges are
// soft.
func inside(mask []uint8, w, h, i int) bool {
	const margin = 4
	x, y := i%w, i/w
	if mask[i] != 255 || x < margin || y < margin || x >= w-margin || y >= h-margin {
		return false
	}
	return mask[i-margin*w-margin] == 255 && mask[i-margin*w+margin] == 255 && mask[i+margin*w-margin] == 255 && mask[i+margin*w+margin] == 255
}

// sight takes in a card or sheet.
func (e *evidence) sight(p *cloth.Picture, r cloth.Reference, tone Curve) {
	s := sighting{name: FromSheet, albedo: paper, trust: r.Trust}
	switch r.Kind {
	case cloth.PrintedCard:
		s.name = FromPrint
	case cloth.IDCard, cloth.IndexCard:
		s.name, s.albedo = FromCard, board
	}
	blank := geom.Polygon(r.Corners[:]).About(0.8)
	if r.Blank != nil {
		blank = r.Blank
	}
	e.see(p, blank, tone, s)
}

// see takes in what g holds as a white of one colour. What is overexposed is
// refused, and only a floor.
func (e *evidence) see(p *cloth.Picture, g geom.Polygon, tone Curve, s sighting) {
	name := called(s.name)
	mean, clipped, n := p.MeanIn(g)
	if n == 0 {
		e.notes = append(e.notes, "the "+name+" lies outside the photo and was not used for white")
		return
	}
	c := g.Centroid()
	at := cell{s: c.X / float64(p.W), t: c.Y / float64(p.H), c: tone.Undo(mean)}
	at.z = toLog(at.c)
	if clipped > mostClipped {
		e.notes = append(e.notes, "the "+name+" is overexposed and was not used for white")
		e.floors = append(e.floors, floor{at, s.albedo.mean[0]})
		return
	}
	s.at = e.shape.add(reference, []cell{at})
	e.refs = append(e.refs, &s)
}

// called returns a reference's name in a note.
func called(name string) string {
	if name == FromPick {
		return "place picked as white"
	}
	return name
}

// fewestPaper is the least white paper, in cells, that is a reference.
const fewestPaper = 3

// blockSize is the side, in working pixels, of the squares that a piece's
// colours are read from.
const blockSize = 4

// oneColour is the luminance, over that of its brightest part, down to which waves
// and shade take a plain colour.
const oneColour = 0.82

type block struct {
	c     colour.Linear
	y     float64     // luminance over the light there
	rough float64     // sd of luminance over its mean
	light tristimulus // the light there relative to the middle
}

// fewestBlocks is the least cloth that shows a colour of its own.
const fewestBlocks = 8

// brightest returns each piece's brightest plain colour in the light of the
// middle. Of its blocks the smoother half are asked, and of those all that are of
// one colour with the brighter tenth: the tenth itself is what the cloth's waves turn
// to the light, and so brighter than the colour is. Of a fold it is the tenth: its
// ridge.
func brightest(blocks [][]block, tone Curve, kind cloth.Kind) []shown {
	var out []shown
	for _, bs := range blocks {
		if len(bs) < fewestBlocks {
			continue
		}
		mean := meanY(bs)
		slices.SortStableFunc(bs, func(a, b block) int { return cmp.Compare(a.rough, b.rough) })
		bs = bs[:(len(bs)+1)/2]
		slices.SortStableFunc(bs, func(a, b block) int { return cmp.Compare(b.y, a.y) })
		top := bs[:max(2, len(bs)/10)]
		y := meanY(top)
		for kind != cloth.Stack && len(top) < len(bs) && bs[len(top)].y >= oneColour*y {
			top = bs[:len(top)+1]
		}
		var t tristimulus
		for _, b := range top {
			v := toLog(tone.Undo(b.c)).sub(b.light)
			for k := range t {
				t[k] += v[k] / float64(len(top))
			}
		}
		out = append(out, shown{c: t, mean: math.Log(mean / y)})
	}
	return out
}

func meanY(bs []block) (mean float64) {
	for _, b := range bs {
		mean += b.y / float64(len(bs))
	}
	return mean
}

// votes shares one vote among colours that are alike.
func votes(c []tristimulus, alike *law) []float64 {
	out := make([]float64, len(c))
	for i := range c {
		n := 0.0
		for j := range c {
			n += math.Exp(-alike.distance(c[i].sub(c[j])) / 2)
		}
		out[i] = 1 / n
	}
	return out
}

// floor is an overexposed thing: it is at least as bright as it was recorded.
type floor struct {
	at     cell
	albedo float64 // ln Y
}

// manyDazzled is the share of a piece's blocks that must be overexposed for it
// to be more than a glint.
const manyDazzled = 0.1

// dazzle returns how bright white is at least by what is overexposed in all
// channels: no cloth is whiter than brightestAlbedo.
func (e *evidence) dazzle(blocks, dazzled [][]block, tone Curve) float64 {
	least := math.Inf(-1)
	for _, f := range e.floors {
		least = max(least, f.at.z[0]-e.shape.surface.at(f.at.s, f.at.t)[0]-f.albedo+e.share.mean[0])
	}
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
		least = max(least, raster.Median(y)-math.Log(brightestAlbedo))
	}
	return least
}

// leastDazzle is what every channel of a white that is overexposed records: a
// yellow is overexposed in red alone, and may be dark.
const leastDazzle = 0.85

// fewBright is how many of the picture's brightest cells may be glints.
const fewBright = 6

// brightestThing returns how bright, ln Y in the light of the middle, the brightest
// things of the whole picture are.
func (e *evidence) brightestThing(p *cloth.Picture, tone Curve) float64 {
	all := make([]int32, p.W*p.H)
	var y []float64
	for _, c := range cellsOf(p, all, 1, tone)[0] {
		y = append(y, c.z[0]-e.shape.surface.at(c.s, c.t)[0])
	}
	if len(y) <= fewBright {
		return math.Inf(-1)
	}
	return raster.Nth(y, len(y)-1-fewBright)
}

// readBlocks cuts each region into blocks that lie wholly inside it; those that
// are overexposed stand apart. Labels are the regions' numbers from first on.
func readBlocks(p *cloth.Picture, labels []int32, first, n int, shape *shading) (blocks, dazzled [][]block) {
	blocks, dazzled = make([][]block, n), make([][]block, n)
	for y := 0; y+blockSize <= p.H; y += blockSize {
		for x := 0; x+blockSize <= p.W; x += blockSize {
			id := int(labels[y*p.W+x]) - first
			if id < 0 {
				continue
			}
			b, clipped, ok := readBlock(p, labels, x, y)
			if !ok {
				continue
			}
			b.light = shape.at(float64(x)+blockSize/2, float64(y)+blockSize/2)
			if clipped {
				dazzled[id] = append(dazzled[id], b)
				continue
			}
			b.y /= math.Exp(b.light[0])
			blocks[id] = append(blocks[id], b)
		}
	}
	return blocks, dazzled
}

func readBlock(p *cloth.Picture, labels []int32, x, y int) (b block, clipped, ok bool) {
	id := labels[y*p.W+x]
	var c [3]float32
	var s, s2 float32
	for v := y; v < y+blockSize; v++ {
		for k := v*p.W + x; k < v*p.W+x+blockSize; k++ {
			if labels[k] != id {
				return block{}, false, false
			}
			clipped = clipped || p.Clipped != nil && p.Clipped[k] > 64
			r, g, b := p.Pix[3*k], p.Pix[3*k+1], p.Pix[3*k+2]
			c[0] += r
			c[1] += g
			c[2] += b
			l := colour.Luma(r, g, b)
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
