package light

import (
	"math"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
)

// shading is the shape of the light over the picture, read off its ground: the
// log light at each place relative to the middle.
type shading struct {
	w, h    float64 // working pixels
	surface surfaces
	known   bool         // false: the light is taken as even
	centre  tristimulus  // the surfaces in the middle
	ground  *tristimulus // the ground's recorded colour in the light of the middle, or nil
}

// at is the log light at (x, y), in working pixels, relative to the middle.
func (s *shading) at(x, y float64) tristimulus {
	if !s.known {
		return tristimulus{}
	}
	return s.surface.at(min(1, max(0, x/s.w)), min(1, max(0, y/s.h))).sub(s.centre)
}

// cellSize is the side, in working pixels, of the squares that the ground is
// averaged over.
const cellSize = 16

type cell struct {
	s, t float64 // its centre, 0..1 across the picture
	c    colour.Linear
	z    tristimulus
}

// groundCells averages the ground, tone undone, over the squares that are at
// least half ground.
func groundCells(p *cloth.Picture, ground []uint8, tone Tone) []cell {
	var cells []cell
	for y0 := 0; y0+cellSize <= p.H; y0 += cellSize {
		for x0 := 0; x0+cellSize <= p.W; x0 += cellSize {
			var r, g, b float32
			n := 0
			for y := y0; y < y0+cellSize; y++ {
				for k := y*p.W + x0; k < y*p.W+x0+cellSize; k++ {
					if ground[k] != 255 || p.Clipped != nil && p.Clipped[k] > 127 {
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
			cells = append(cells, cell{
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
	fewestCells  = 40
	knotsLong    = 6 // intervals along the longer side of the picture
	robustRounds = 4
	leastNoise   = 0.003 // of a cell, in log light: quantisation
	// bendLuma, bendChroma and slope are the usual second and first differences
	// of the light on a table, in log light a knot interval. Chromaticity
	// changes only where two lights mix.
	bendLuma, bendChroma, slope = 0.03, 0.005, 0.04
	// A cell's departure from the light is shared by its neighbours: they count
	// as fewer than they are, by the square of this. On a glossy ground, such
	// as varnished boards, by much more.
	runMatt, runGlossy = 2, 12
)

// fitShading fits the light's shape to the ground by penalised least squares
// with Tukey's biweights.
func fitShading(p *cloth.Picture, ground []uint8, tone Tone) *shading {
	s := &shading{w: float64(p.W), h: float64(p.H)}
	cells := groundCells(p, ground, tone)
	if len(cells) < fewestCells {
		return s
	}
	run := float64(runMatt)
	glossy := removeGloss(cells)
	if glossy {
		run = runGlossy
	}
	nx, ny := knotsLong, knotsLong
	if p.W > p.H {
		ny = max(3, (knotsLong*p.H+p.W/2)/p.W)
	} else {
		nx = max(3, (knotsLong*p.W+p.H/2)/p.H)
	}
	eq := newNormal(nx+3, ny+3)
	s.surface = surfaces{eq.nx, eq.ny, make([]tristimulus, eq.nx*eq.ny)}
	weight := make([]float64, len(cells))
	for i := range weight {
		weight[i] = 1
	}
	noise := tristimulus{0.01, 0.01, 0.01}
	for range robustRounds {
		eq.reset()
		for i, c := range cells {
			if weight[i] > 0 {
				eq.add(c.s, c.t, c.z, weight[i])
			}
		}
		luma, chroma := run*noise[0], run*math.Hypot(noise[1], noise[2])
		eq.solve(&s.surface, sq(luma/bendLuma), sq(luma/slope), 0)
		eq.solve(&s.surface, sq(chroma/bendChroma), sq(chroma/slope), 1, 2)
		noise = s.reweigh(cells, weight)
	}
	s.known = true
	if glossy {
		// What is left of the gloss would pass for coloured light.
		for i := range s.surface.c {
			s.surface.c[i][1], s.surface.c[i][2] = 0, 0
		}
	}
	s.centre = s.surface.at(0.5, 0.5)
	s.ground = s.level(cells)
	return s
}

// reweigh sets the cells' weights from their residuals in all three channels
// (Tukey's biweight, c = 4.685: Holland & Welsch 1977) and gives the residuals'
// robust sd.
func (s *shading) reweigh(cells []cell, weight []float64) tristimulus {
	off := s.residuals(cells)
	for i := range weight {
		weight[i] = 1
	}
	var noise tristimulus
	for k := range noise {
		noise[k] = max(leastNoise, medianAbs(slices.Clone(off[k])))
		for i, r := range off[k] {
			weight[i] *= sq(max(0, 1-sq(r/(4.685*noise[k]))))
		}
	}
	return noise
}

// residuals are the cells' departures from the surfaces, channel by channel.
func (s *shading) residuals(cells []cell) [3][]float64 {
	var off [3][]float64
	for k := range off {
		off[k] = make([]float64, len(cells))
	}
	for i, c := range cells {
		d := c.z.sub(s.surface.at(c.s, c.t))
		for k := range off {
			off[k][i] = d[k]
		}
	}
	return off
}

// level is the ground's median colour in the light of the middle.
func (s *shading) level(cells []cell) *tristimulus {
	var t tristimulus
	for k, v := range s.residuals(cells) {
		t[k] = median(v) + s.centre[k]
	}
	return &t
}

// glossGain is how much calmer a ground must look without gloss to be glossy.
const glossGain = 0.82

// leastChroma is how far ln R/G − ln B/G must be from grey before a ground's
// own colour can be told from the light's.
const leastChroma = 0.35

// removeGloss takes the gloss out of a warm-coloured ground's luminance and
// says whether there was any. By the dichromatic model (Shafer 1985, Color
// Res. Appl. 10(4)) a colour is a share of the ground's own plus a share of the
// light's; on a coloured ground, gloss shows because it is paler. Without gloss
// the model only adds unrest, and is dropped.
func removeGloss(cells []cell) bool {
	warmth := make([]float64, len(cells))
	for i, c := range cells {
		warmth[i] = c.z[1] - c.z[2]
	}
	order := slices.Clone(warmth)
	if median(order) < leastChroma {
		return false
	}
	// The most coloured cells show the ground with the least gloss.
	limit := order[len(order)*85/100]
	var own colour.Linear
	for i, c := range cells {
		if warmth[i] >= limit {
			for k := range own {
				own[k] += c.c[k] / max(c.c[1], logFloor)
			}
		}
	}
	y := colour.LumaR*own[0] + colour.LumaG*own[1] + colour.LumaB*own[2]
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
	if spread(matt) > glossGain*spread(plain) {
		return false
	}
	for i := range cells {
		cells[i].z[0] = matt[i]
	}
	return true
}
