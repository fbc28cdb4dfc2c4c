package scale

import (
	"image"
	"math"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
	"piecebag/internal/raster"
)

const (
	// leastPatch is the least patch of paper on the ground, in working pixels, that may
	// be of a card.
	leastPatch = 160
	// blockSide is the side, working pixels, of the blocks of ground whose lightness
	// things are held against, and lighter how far, in luma, a card lies over it.
	blockSide, lighter = 64, 0.04
	// fillsBox is the share of the smallest rectangle round it that a card fills.
	fillsBox = 0.8
	// faintReach is how far beyond a patch of paper the card may reach of which it is
	// seen, in sides of the patch: the finder may see a third of it.
	faintReach = 1.5
	// tintReach is how far, as a share of its shorter side, the edges of a white thing may
	// lie off where the finder has them, and traceReach the same in working pixels where
	// they stand out from the ground.
	tintReach, traceReach = 0.12, 5
	// faintBlur is half the side, working pixels, of the squares whose mean colours are
	// told apart: the grain of a photo is finer.
	faintBlur = 2
)

// tints are the cube roots of the linear RGB of pixels.
type tints [][3]float64

// tint is that of pixel i.
func tint(p *cloth.Picture, i int) (v [3]float64) {
	for c := range v {
		v[c] = float64(root(p.Pix[3*i+c]))
	}
	return v
}

func dot(a, b [3]float64) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }

// from returns the direction, of length 1, from the mean of other colours to that of t, and the
// place on it half way between them.
func (t tints) from(other tints) (way [3]float64, border float64) {
	var mean [2][3]float64
	for k, set := range [2]tints{t, other} {
		for _, v := range set {
			for c := range way {
				mean[k][c] += v[c] / float64(len(set))
			}
		}
	}
	for c := range way {
		way[c] = mean[0][c] - mean[1][c]
	}
	length := max(1e-9, math.Sqrt(dot(way, way)))
	for c := range way {
		way[c] /= length
	}
	return way, (dot(way, mean[0]) + dot(way, mean[1])) / 2
}

// byTint returns the picture around a quadrilateral, projected on the line from the mean
// colour outside of it to that inside, reach working pixels from its sides: white on
// white is told by its tint.
func byTint(p *cloth.Picture, c [4]geom.Point, reach float64) *luma {
	g := geom.Polygon(c[:])
	mid := g.Centroid()
	grown := func(by float64) geom.Polygon {
		return g.Map(func(q geom.Point) geom.Point { d := q.Sub(mid); return q.Add(d.Mul(by / max(1, d.Len()))) })
	}
	each := func(g geom.Polygon, visit func(i int)) {
		g.Fill(p.W, p.H, func(y, x0, x1 int) {
			for x := x0; x < x1; x++ {
				visit(y*p.W + x)
			}
		})
	}
	var in, out tints
	edge := grown(reach)
	each(grown(-reach), func(i int) { in = append(in, tint(p, i)) })
	each(grown(2*reach), func(i int) {
		if !edge.Contains(geom.Point{X: float64(i%p.W) + 0.5, Y: float64(i/p.W) + 0.5}) {
			out = append(out, tint(p, i))
		}
	})
	way, _ := in.from(out)
	l := &luma{raster.New(p.W, p.H), true}
	each(grown(3*reach), func(i int) { l.V[i] = float32(dot(way, tint(p, i))) })
	return l
}

// faintBox returns the rectangle that fills what looks like part k of the picture, and not
// like the ground about it: a white card on ground nearly as white, of which the finder
// sees a part.
func faintBox(p *cloth.Picture, parts *raster.Parting, k int32, ground []uint8) (box [4]geom.Point, ok bool) {
	seed := parts.Parts[k].Box
	view := seed.Inset(-int(faintReach * float64(max(seed.Dx(), seed.Dy())))).Intersect(image.Rect(0, 0, p.W, p.H))
	w, h := view.Dx(), view.Dy()
	at := func(i int) int { return (view.Min.Y+i/w)*p.W + view.Min.X + i%w }
	colours := make(tints, w*h)
	for c := range 3 {
		plane := raster.New(w, h)
		for i := range plane.V {
			plane.V[i] = root(p.Pix[3*at(i)+c])
		}
		for i, v := range plane.BoxMean(faintBlur).V {
			colours[i][c] = float64(v)
		}
	}
	var in, out tints
	for i, v := range colours {
		if j := at(i); parts.Of[j] == k {
			in = append(in, v)
		} else if ground[j] == 255 {
			out = append(out, v)
		}
	}
	if len(out) < len(in) {
		return box, false
	}
	way, border := in.from(out)
	like := make([]bool, w*h)
	for i, v := range colours {
		like[i] = dot(way, v) > border
	}
	seen := raster.Components(like, w, h, raster.Sides)
	held, best := make([]int, len(seen.Parts)), int32(-1) // pixels of part k in each
	for i, j := range seen.Of {
		if j >= 0 && parts.Of[at(i)] == k {
			if held[j]++; best < 0 || held[j] > held[best] {
				best = j
			}
		}
	}
	if best < 0 {
		return box, false
	}
	box = geom.MinAreaRect(seen.Hull(int(best)))
	ok = float64(seen.Parts[best].Area) >= fillsBox*geom.Polygon(box[:]).Area()
	for i := range box {
		box[i] = box[i].Add(geom.Point{X: float64(view.Min.X), Y: float64(view.Min.Y)})
	}
	return box, ok
}

// sightFaint returns the sightings that no region covers: among the patches of paper that the
// finder saw on the ground, which are small ones and white ones on white, and among what
// is lighter than the ground near it. Faint is the middle of a rectangle of paper that gives none.
func sightFaint(p *lit, paper, ground []uint8, o *owners, l *plane) (out []*sighting, faint *geom.Point) {
	if p.W < smallest || p.H < smallest || len(ground) != p.W*p.H {
		return nil, nil
	}
	v := p.luma().V
	level := groundLevel(p.luma(), ground)
	for _, seen := range [2]func(i int) bool{
		func(i int) bool { return len(paper) > 0 && paper[i] == 255 },
		func(i int) bool { return float64(v[i]) > level(i%p.W, i/p.W)+lighter },
	} {
		bare := make([]bool, len(v))
		for i := range bare {
			bare[i] = o.of[i] == 0 && seen(i)
		}
		patches := raster.Components(bare, p.W, p.H, raster.Sides)
		for k, t := range patches.Parts {
			if t.Area < leastPatch {
				continue
			}
			c, ok := faintBox(p.Picture, &patches, int32(k), ground)
			middle := geom.Polygon(c[:]).Centroid()
			if !ok || !whitish(p.Picture, c, p.white()) || slices.ContainsFunc(out, func(s *sighting) bool { return geom.Polygon(s.edges.c[:]).Contains(middle) }) {
				continue
			}
			isPaper := len(paper) > 0 && paper[t.First] == 255
			if e, ok := p.traceWhite(c); ok {
				if s, ok := sight(p, candidate{region: -1, card: isPaper, edges: e}, l); ok {
					out = append(out, s)
					continue
				}
			}
			if isPaper && faint == nil {
				faint = &middle
			}
		}
	}
	return out, faint
}

// groundLevel returns the luma of the ground near a pixel: the median of its block, or
// of all ground where the block has too little.
func groundLevel(v *luma, ground []uint8) func(x, y int) float64 {
	bw, bh := (v.W+blockSide-1)/blockSide, (v.H+blockSide-1)/blockSide
	of := make([][]float32, bw*bh)
	var all []float32
	for y := 0; y < v.H; y += 3 {
		for x := 0; x < v.W; x += 3 {
			if k := y*v.W + x; ground[k] == 255 {
				b := y/blockSide*bw + x/blockSide
				of[b] = append(of[b], v.V[k])
				all = append(all, v.V[k])
			}
		}
	}
	mid := func(f []float32) float64 {
		slices.Sort(f)
		return float64(f[len(f)/2])
	}
	whole := 1.0
	if len(all) > 0 {
		whole = mid(all)
	}
	level := make([]float64, bw*bh)
	for b := range level {
		level[b] = whole
		if len(of[b]) > blockSide {
			level[b] = mid(of[b])
		}
	}
	return func(x, y int) float64 { return level[y/blockSide*bw+x/blockSide] }
}

// traceWhite draws a white thing to its edges, by its tint where its lightness does not
// show them; false where they are not clear.
func (p *lit) traceWhite(c [4]geom.Point) (edges, bool) {
	if e, ok := p.luma().trace(c, traceReach); ok && e.clear() {
		return e, true
	}
	reach := tintReach * min(c[0].Dist(c[1]), c[1].Dist(c[2]))
	e, ok := byTint(p.Picture, c, reach).trace(c, reach)
	return e, ok && e.clear()
}
