package scene

import (
	"piecebag/internal/geom"
	"piecebag/internal/raster"
)

// heights are inches on a square grid of the world, of which the first cell begins at
// x0, y0; nothing is high outside it.
type heights struct {
	x0, y0 float64
	raster.Plane
}

const drapeCell = 0.2 // inches

// drape is the height of all that lies on the ground so far.
type drape struct{ heights }

// newDrape covers the square -reach..reach.
func newDrape(reach float64) *drape {
	n := int(2*reach/drapeCell) + 1
	return &drape{heights{-reach, -reach, *raster.New(n, n)}}
}

// wave raises what lies there in long waves up to high inches.
func (d *drape) wave(high float64, seed uint32) {
	for i := range d.V {
		x, y := float64(i%d.W)*drapeCell, float64(i/d.W)*drapeCell
		d.V[i] += float32(high * (0.5 + 0.5*fractal(0.12*x, 0.12*y, 3, 0.55, seed)))
	}
}

// lay puts a cloth of the given outline (world inches) and thickness down and
// returns its underside. It follows what lies below and bridges hollows
// narrower than about stiff inches.
func (d *drape) lay(outline geom.Polygon, thick, stiff float64) *heights {
	lo, hi := outline.Bounds()
	pad := int(stiff/drapeCell) + 2
	i0 := int((lo.X-d.x0)/drapeCell) - pad
	j0 := int((lo.Y-d.y0)/drapeCell) - pad
	w := int((hi.X-lo.X)/drapeCell) + 2*pad + 2
	h := int((hi.Y-lo.Y)/drapeCell) + 2*pad + 2
	s := &heights{d.x0 + float64(i0)*drapeCell, d.y0 + float64(j0)*drapeCell, *raster.New(w, h)}
	covered := func(visit func(above, below *float32)) { // the cells that the cloth covers
		outline.Map(func(p geom.Point) geom.Point {
			return p.Sub(geom.Point{X: s.x0, Y: s.y0}).Mul(1 / drapeCell)
		}).Fill(w, h, func(y, x0, x1 int) {
			for x := x0; x < x1; x++ {
				if d.Holds(i0+x, j0+y) {
					visit(&s.V[y*w+x], &d.V[(j0+y)*d.W+i0+x])
				}
			}
		})
	}
	covered(func(above, below *float32) { *above = *below })
	under := s.V
	for range 2 { // rise to what is near, then stay over what is below
		s.Plane = *s.BoxMean(max(1, int(stiff/drapeCell/2)))
		for k, z := range under {
			s.V[k] = max(s.V[k], z)
		}
	}
	s.Plane = *s.BoxMean(1)
	covered(func(above, below *float32) { *below = max(*below, *above) + float32(thick) })
	return s
}

// at returns the height at world (x, y), linear between cells.
func (s *heights) at(x, y float64) float64 {
	return s.At((x-s.x0)/drapeCell, (y-s.y0)/drapeCell)
}

// height returns the top of what lies at world (x, y), inches.
func (d *drape) height(x, y float64) float64 {
	i, j := int((x-d.x0)/drapeCell), int((y-d.y0)/drapeCell)
	if !d.Holds(i, j) {
		return 0
	}
	return float64(d.V[j*d.W+i])
}
