package light

import (
	"math"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/raster"
)

// shading is the shape of the light over the picture, read off everything that
// has one albedo wherever it shows: the log light at each place relative to the
// middle.
type shading struct {
	w, h     float64 // working pixels
	surface  surfaces
	eq       [2]*normal // of luminance and of chromaticity
	surfaces []*plain
}

// plain is a surface of one albedo.
type plain struct {
	cells  []cell
	weight []float64   // of each cell, 0..1: whether it belongs
	noise  tristimulus // sd of a cell, by how neighbours differ
	run    float64     // how many cells one of them stands for, each way
	glossy bool        // its colour is partly the light's: it tells nothing of the light's
	known  *law        // its colour in the light of the middle, where that is known
	offset tristimulus // its log colour in the light of the middle
	sd     tristimulus // of offset: what is unknown of the light between it and the middle
	seen   []law       // what its offset would be in even light of one, by what it may be
	vote   float64     // 0..1, less where others show the same
}

// What a plain surface is: bare ground, or a piece of cloth, or a white
// reference.
const (
	bareGround = iota
	pieceOfCloth
	reference
)

// cellSize is the side, in working pixels, of the squares that the picture is
// averaged over.
const cellSize = 16

type cell struct {
	s, t float64 // its centre, 0..1 across the picture
	c    colour.Linear
	z    tristimulus
	b    basis // of the light's surface there
}

// cellsOf averages, tone undone, what carries each label over squares that it
// fills to at least half. Labels run from 0; others are passed over.
func cellsOf(p *cloth.Picture, labels []int32, n int, tone Curve) [][]cell {
	cells := make([][]cell, n)
	for y0 := 0; y0+cellSize <= p.H; y0 += cellSize {
		for x0 := 0; x0+cellSize <= p.W; x0 += cellSize {
			mid := labels[(y0+cellSize/2)*p.W+x0+cellSize/2]
			if mid < 0 {
				continue
			}
			var r, g, b float32
			n := 0
			for y := y0; y < y0+cellSize; y++ {
				for k := y*p.W + x0; k < y*p.W+x0+cellSize; k++ {
					if labels[k] != mid || p.Clipped != nil && p.Clipped[k] > 127 {
						continue
					}
					n++
					r += p.Pix[3*k]
					g += p.Pix[3*k+1]
					b += p.Pix[3*k+2]
				}
			}
			if 2*n < cellSize*cellSize {
				continue
			}
			f := 1 / float64(n)
			c := tone.Undo(colour.Linear{float64(r) * f, float64(g) * f, float64(b) * f})
			cells[mid] = append(cells[mid], cell{
				c: c, z: toLog(c),
				s: (float64(x0) + cellSize/2) / float64(p.W),
				t: (float64(y0) + cellSize/2) / float64(p.H),
			})
		}
	}
	return cells
}

const (
	// fewestCells is the least ground that says anything of the light.
	fewestCells  = 24
	knotsLong    = 8 // intervals along the longer side of the picture
	robustRounds = 4
	leastNoise   = 0.003 // of a cell, in log light: quantisation
	// The usual second and first differences of the light on a table, in log
	// light a knot interval. Chromaticity changes only where two lights mix.
	bendLuma, slopeLuma     = 0.06, 0.07
	bendChroma, slopeChroma = 0.004, 0.012
	// A cell's departure from the light is shared by its neighbours on the ground: they
	// count as fewer than they are, by the square of this, and on a glossy ground, such
	// as varnished boards, by much more. Cloth has no sheen: where a mat shines towards
	// a lamp, what the pieces on it show of the light counts for more.
	runMatt, runGlossy = 2, 30
)

// parted parts the cells of the ground into those of one colour: a table and
// the paper on it are two. Neighbours that differ by no more than the ground's
// grain and the light's slope are of one, and a piece may lie between.
func parted(cells []cell, w, h int) [][]cell {
	const reach = 4 // cells
	grain := tristimulus{0.12, 0.05, 0.06}
	cols, rows := w/cellSize, h/cellSize
	at := make([]int, cols*rows) // index of the cell + 1
	place := func(c *cell) (x, y int) { return int(c.s * float64(w) / cellSize), int(c.t * float64(h) / cellSize) }
	for i := range cells {
		x, y := place(&cells[i])
		at[y*cols+x] = i + 1
	}
	var out [][]cell
	seen := make([]bool, len(cells))
	for i := range cells {
		if seen[i] {
			continue
		}
		seen[i] = true
		part := []int{i}
		for k := 0; k < len(part); k++ {
			c := &cells[part[k]]
			x, y := place(c)
			for v := max(0, y-reach); v <= min(rows-1, y+reach); v++ {
				for u := max(0, x-reach); u <= min(cols-1, x+reach); u++ {
					j := at[v*cols+u] - 1
					if j < 0 || seen[j] {
						continue
					}
					d := cells[j].z.sub(c.z)
					if math.Abs(d[0]) < grain[0] && math.Abs(d[1]) < grain[1] && math.Abs(d[2]) < grain[2] {
						seen[j] = true
						part = append(part, j)
					}
				}
			}
		}
		if len(part) < fewestCells {
			continue
		}
		var g []cell
		for _, k := range part {
			g = append(g, cells[k])
		}
		out = append(out, g)
	}
	slices.SortStableFunc(out, func(a, b []cell) int { return len(b) - len(a) })
	return out
}

// newShading returns even light.
func newShading(w, h int) *shading {
	nx, ny := knotsLong, knotsLong
	if w > h {
		ny = max(3, (knotsLong*h+w/2)/w)
	} else {
		nx = max(3, (knotsLong*w+h/2)/h)
	}
	s := &shading{w: float64(w), h: float64(h)}
	s.eq = [2]*normal{newNormal(nx+3, ny+3, 0), newNormal(nx+3, ny+3, 1, 2)}
	s.surface = surfaces{nx + 3, ny + 3, make([]tristimulus, (nx+3)*(ny+3))}
	return s
}

// at returns the log light at (x, y), in working pixels, relative to the middle.
func (s *shading) at(x, y float64) tristimulus {
	return s.surface.at(min(1, max(0, x/s.w)), min(1, max(0, y/s.h)))
}

// add takes in a surface of one albedo.
func (s *shading) add(what int, cells []cell) *plain {
	f := &plain{cells: cells, run: runMatt}
	switch {
	case what == pieceOfCloth:
		f.run = 1
	case what == bareGround && removeGloss(cells):
		f.run, f.glossy = runGlossy, true
	}
	for k := range f.noise {
		step := make([]float64, max(1, len(cells)-1))
		for i := 1; i < len(cells); i++ {
			step[i-1] = cells[i].z[k] - cells[i-1].z[k]
		}
		f.noise[k] = max(leastNoise, raster.SDAboutZero(step)/math.Sqrt2)
	}
	f.weight = make([]float64, len(cells))
	for i := range f.weight {
		f.weight[i] = 1
		cells[i].b = basisAt(cells[i].s, cells[i].t, s.surface.nx, s.surface.ny)
	}
	s.surfaces = append(s.surfaces, f)
	return f
}

// firmly is the weight of what is so by definition.
const firmly = 1e6

// fit is a penalised least squares fit of the light's shape, and of the
// surfaces' colours, with Tukey's biweights.
func (s *shading) fit() {
	middle := basisAt(0.5, 0.5, s.surface.nx, s.surface.ny)
	for range robustRounds {
		for k, q := range s.eq {
			q.reset()
			q.add(&middle, tristimulus{}, firmly, nil)
			for _, f := range s.surfaces {
				if k == 1 && f.glossy {
					continue
				}
				w := 1 / sq(f.run*f.noise[k])
				if k == 1 {
					w = 1 / sq(f.run*math.Hypot(f.noise[1], f.noise[2]))
				}
				g := q.newGroup()
				for i, c := range f.cells {
					if f.weight[i] > 0 {
						q.add(&f.cells[i].b, c.z, w*f.weight[i], g)
					}
				}
				if f.known != nil {
					// A datum of the offset: the group's mean is that high.
					s.pin(g, f.known, k)
				}
				q.free(g)
			}
			q.penalise([2]float64{1 / sq(bendLuma), 1 / sq(bendChroma)}[k], [2]float64{1 / sq(slopeLuma), 1 / sq(slopeChroma)}[k])
			q.solve(&s.surface)
		}
		for _, f := range s.surfaces {
			s.reweigh(f)
		}
	}
	for _, f := range s.surfaces {
		s.spread(f, &middle)
	}
}

// pin adds to a group what is known of its offset.
func (s *shading) pin(g *group, l *law, k int) {
	sd := l.sd[0]
	if k == 1 {
		sd = math.Hypot(l.sd[1], l.sd[2]) / math.Sqrt2
	}
	w := 1 / sq(sd)
	g.weight += w
	for i := range g.z {
		g.z[i] += w * l.mean[i]
	}
}

// spread sets the surface's sd: what the light's shape between it and the
// middle leaves unknown.
func (s *shading) spread(f *plain, middle *basis) {
	for _, q := range s.eq {
		v, all := make([]float64, q.nx*q.ny), 0.0
		for i, c := range f.cells {
			for j, at := range c.b.at {
				v[at] += f.weight[i] * c.b.w[j]
			}
			all += f.weight[i]
		}
		for i := range v {
			v[i] /= max(all, tiny)
		}
		for j, at := range middle.at {
			v[at] -= middle.w[j]
		}
		sd := q.sd(v)
		for _, c := range q.channels {
			f.sd[c] = sd
		}
	}
}

// reweigh sets the surface's colour, its cells' weights from their residuals in
// all three channels (Tukey's biweight).
func (s *shading) reweigh(f *plain) {
	if len(f.cells) == 0 {
		return
	}
	for i := range f.weight {
		f.weight[i] = 1
	}
	light := make([]tristimulus, len(f.cells))
	for i := range f.cells {
		light[i] = s.surface.sum(&f.cells[i].b)
	}
	for k := range f.offset {
		off := make([]float64, len(f.cells))
		for i, c := range f.cells {
			off[i] = c.z[k] - light[i][k]
		}
		f.offset[k] = raster.Median(slices.Clone(off))
		for i := range off {
			off[i] -= f.offset[k]
		}
		scale := raster.BiweightCut * max(f.noise[k], raster.SDAboutZero(slices.Clone(off)))
		for i, r := range off {
			f.weight[i] *= raster.Biweight(r, scale)
		}
	}
}

// glossGain is how much calmer a ground must look without gloss to be glossy.
const glossGain = 0.9

// leastChroma is how far ln R/G − ln B/G must be from grey before a ground's
// own colour can be told from the light's.
const leastChroma = 0.35

// removeGloss takes the gloss out of a warm-coloured ground's luminance and
// reports whether there was any. By the dichromatic model (Shafer 1985, Color
// Res. Appl. 10(4)) a colour is a share of the ground's own plus a share of the
// light's; on a coloured ground, gloss shows because it is paler. Without gloss
// the model only adds unrest, and is dropped.
func removeGloss(cells []cell) bool {
	warmth := make([]float64, len(cells))
	for i, c := range cells {
		warmth[i] = c.z[1] - c.z[2]
	}
	order := slices.Clone(warmth)
	if len(cells) == 0 || raster.Median(order) < leastChroma {
		return false
	}
	// The most coloured cells show the ground with the least gloss.
	slices.Sort(order)
	limit := order[len(order)*85/100]
	var own colour.Linear
	for i, c := range cells {
		if warmth[i] >= limit {
			for k := range own {
				own[k] += c.c[k] / max(c.c[1], logFloor)
			}
		}
	}
	y := colour.Luma(own[0], own[1], own[2])
	// Least squares of c = a·own + b·(1, 1, 1).
	oo := own[0]*own[0] + own[1]*own[1] + own[2]*own[2]
	ol := own[0] + own[1] + own[2]
	det := 3*oo - ol*ol
	matt, plain := make([]float64, len(cells)), make([]float64, len(cells))
	for i, c := range cells {
		oc := own[0]*c.c[0] + own[1]*c.c[1] + own[2]*c.c[2]
		lc := c.c[0] + c.c[1] + c.c[2]
		matt[i] = math.Log(max(y*(3*oc-ol*lc)/det, logFloor))
		plain[i] = c.z[0]
	}
	if raster.SD(matt) > glossGain*raster.SD(plain) {
		return false
	}
	for i := range cells {
		cells[i].z[0] = matt[i]
	}
	return true
}
