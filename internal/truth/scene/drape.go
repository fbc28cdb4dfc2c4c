package scene

import (
	"math"

	"piecebag/internal/geom"
)

// drape is the height of all that lies on the ground so far, inches, on a
// square grid of the world.
type drape struct {
	x0, y0 float64
	w, h   int
	z      []float64
}

const drapeCell = 0.2 // inches

// newDrape covers the square -reach..reach.
func newDrape(reach float64) *drape {
	n := int(2*reach/drapeCell) + 1
	return &drape{x0: -reach, y0: -reach, w: n, h: n, z: make([]float64, n*n)}
}

// wave raises what lies there in long waves up to high inches.
func (d *drape) wave(high float64, seed uint32) {
	for j := range d.h {
		for i := range d.w {
			x, y := float64(i)*drapeCell, float64(j)*drapeCell
			d.z[j*d.w+i] += high * (0.5 + 0.5*fractal(0.12*x, 0.12*y, 3, 0.55, seed))
		}
	}
}

// sheet is the height of the underside of one cloth laid on a drape.
type sheet struct {
	x0, y0 float64
	w, h   int
	z      []float64
}

// lay puts a cloth of the given outline (world inches) and thickness down and
// returns its underside. It follows what lies below and bridges hollows
// narrower than about stiff inches.
func (d *drape) lay(outline geom.Polygon, thick, stiff float64) *sheet {
	lo, hi := outline.Bounds()
	pad := int(stiff/drapeCell) + 2
	i0 := int((lo.X-d.x0)/drapeCell) - pad
	j0 := int((lo.Y-d.y0)/drapeCell) - pad
	w := int((hi.X-lo.X)/drapeCell) + 2*pad + 2
	h := int((hi.Y-lo.Y)/drapeCell) + 2*pad + 2
	s := &sheet{x0: d.x0 + float64(i0)*drapeCell, y0: d.y0 + float64(j0)*drapeCell, w: w, h: h, z: make([]float64, w*h)}
	inside := make([]bool, w*h)
	shift := geom.Point{X: -s.x0, Y: -s.y0}
	local := make(geom.Polygon, len(outline))
	for k, p := range outline {
		local[k] = p.Add(shift).Mul(1 / drapeCell)
	}
	local.Fill(w, h, func(y, x0, x1 int) {
		for x := x0; x < x1; x++ {
			inside[y*w+x] = true
		}
	})
	raw := make([]float64, w*h)
	for j := range h {
		for i := range w {
			if x, y := i0+i, j0+j; inside[j*w+i] && x >= 0 && y >= 0 && x < d.w && y < d.h {
				raw[j*w+i] = d.z[y*d.w+x]
			}
		}
	}
	copy(s.z, raw)
	for range 2 { // rise to what is near, then stay over what is below
		spread(s.z, w, h, max(1, int(stiff/drapeCell/2)))
		for k, z := range raw {
			s.z[k] = math.Max(s.z[k], z)
		}
	}
	spread(s.z, w, h, 1)
	for j := range h {
		for i := range w {
			if x, y := i0+i, j0+j; inside[j*w+i] && x >= 0 && y >= 0 && x < d.w && y < d.h {
				d.z[y*d.w+x] = math.Max(d.z[y*d.w+x], s.z[j*w+i]) + thick
			}
		}
	}
	return s
}

// spread replaces z by its mean over (2r+1)² cells, zero outside.
func spread(z []float64, w, h, r int) {
	line := make([]float64, max(w, h))
	pass := func(n, count, stride, step int) {
		for l := range count {
			base := l * step
			sum := 0.0
			for i := range min(r, n) {
				sum += z[base+i*stride]
			}
			for i := range n {
				if i+r < n {
					sum += z[base+(i+r)*stride]
				}
				if i-r-1 >= 0 {
					sum -= z[base+(i-r-1)*stride]
				}
				line[i] = sum / float64(2*r+1)
			}
			for i := range n {
				z[base+i*stride] = line[i]
			}
		}
	}
	pass(w, h, 1, w)
	pass(h, w, w, 1)
}

// at is the height at world (x, y), linear between cells.
func (s *sheet) at(x, y float64) float64 {
	fx := min(float64(s.w)-1.001, max(0, (x-s.x0)/drapeCell-0.5))
	fy := min(float64(s.h)-1.001, max(0, (y-s.y0)/drapeCell-0.5))
	i, j := int(fx), int(fy)
	tx, ty := fx-float64(i), fy-float64(j)
	k := j*s.w + i
	return mix(mix(s.z[k], s.z[k+1], tx), mix(s.z[k+s.w], s.z[k+s.w+1], tx), ty)
}

// height is the top of what lies at world (x, y), inches.
func (d *drape) height(x, y float64) float64 {
	i, j := int((x-d.x0)/drapeCell), int((y-d.y0)/drapeCell)
	if i < 0 || j < 0 || i >= d.w || j >= d.h {
		return 0
	}
	return d.z[j*d.w+i]
}
