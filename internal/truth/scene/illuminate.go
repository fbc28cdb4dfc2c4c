package scene

import (
	"iter"
	"math"

	"piecebag/internal/raster"
)

// coarse is how many photo pixels a light sample spans each way.
const coarse = 2

// block is the side of the blocks that share a wide lamp's rays, samples.
const block = 4

// lightMap is the light that falls on the scene, sampled every coarse pixels:
// row-major, 3 float32 a sample, in the units of lighting.
type lightMap struct {
	w, h int
	face []uint16  // the face seen at each sample
	rgb  []float32 // len 3·w·h
}

// relievo is the scene's surface as the camera sees it, at light samples.
type relievo struct {
	place, normal []vec
	z             []float32 // height over the ground, inches
	shade         []float32
	top           float64
}

// rows calls work for every row 0 ≤ y < n from several goroutines.
func rows(n int, work func(y int)) {
	raster.Each(n, func(numbers iter.Seq[int]) {
		for y := range numbers {
			work(y)
		}
	})
}

// illuminate lights the faces of a raster made by paint.
func illuminate(c *camera, faces []face, seen []uint16, l *lighting) *lightMap {
	m := &lightMap{w: c.w / coarse, h: c.h / coarse}
	m.face = make([]uint16, m.w*m.h)
	m.rgb = make([]float32, 3*m.w*m.h)
	s := survey(c, faces, seen, m)
	ppi := c.focal / vecLen(c.eye) / coarse // light samples an inch, about
	heights := &raster.Plane{W: m.w, H: m.h, V: s.z}
	near := heights.BoxMean(int(0.3*ppi) + 1).V
	wide := heights.BoxMean(int(1.6*ppi) + 1).V
	// Each sample of a 4 × 4 block looks at other parts of a wide lamp; smoothing
	// over the block gives soft shadows from few rays.
	var rays [block * block][][]vec
	for k := range rays {
		for i := range l.lamps {
			rays[k] = append(rays[k], l.lamps[i].rays(k))
		}
	}
	rows(m.h, func(y int) {
		for x := range m.w {
			i := y*m.w + x
			p, n := s.place[i], s.normal[i]
			z := float64(s.z[i])
			open := 1 - 0.55*clamp01((float64(near[i])-z)/0.35) - 0.4*clamp01((float64(wide[i])-z)/2.2)
			open = max(0.16, open*float64(s.shade[i])) * (0.6 + 0.4*n.z)
			sum := scaled(l.ambient, open)
			for k := range l.lamps {
				a := &l.lamps[k]
				d, e := a.towards(p)
				if k == 0 {
					e *= l.left(p)
				}
				lit := 0.0
				look := rays[y%block*block+x%block][k]
				for _, off := range look {
					q := d.add(off).unit()
					cos := q.dot(n)
					if cos > 0 && !blocked(c, s, m, p, q, ppi, x, y) {
						lit += cos
					}
				}
				e *= lit / float64(len(look)) * (0.35 + 0.65*float64(s.shade[i]))
				for j := range sum {
					sum[j] += e * a.rgb[j]
				}
			}
			for j := range 3 {
				m.rgb[3*i+j] = float32(sum[j])
			}
		}
	})
	for i := range l.lamps {
		if l.lamps[i].width >= 0.01 {
			m.smoothBlocks()
			break
		}
	}
	return m
}

// survey finds place, normal and height at every light sample.
func survey(c *camera, faces []face, raster []uint16, m *lightMap) *relievo {
	n := m.w * m.h
	s := &relievo{place: make([]vec, n), normal: make([]vec, n), z: make([]float32, n), shade: make([]float32, n)}
	rows(m.h, func(y int) {
		for x := range m.w {
			sx, sy := x*coarse*super+coarse*super/2, y*coarse*super+coarse*super/2
			i := y*m.w + x
			k := raster[sy*c.w*super+sx]
			m.face[i] = k
			f := &faces[k]
			u, v := f.at(c.sample(sx, sy))
			p, h := f.world(u, v)
			n := f.normal(u, v, h)
			if !known(p.x+p.y+p.z) || !known(n.x+n.y+n.z) { // one sample must not spoil whole rows
				p, n = f.o, f.n
			}
			s.place[i], s.normal[i], s.z[i] = p, n, float32(p.z)
			s.shade[i] = 1
			if f.shade != nil {
				s.shade[i] = float32(f.shade(u, v))
			}
		}
	})
	for _, z := range s.z {
		s.top = max(s.top, float64(z))
	}
	return s
}

// known reports whether v is a finite number.
func known(v float64) bool { return v-v == 0 }

// rays returns offsets to a lamp's direction that sample its width, the k-th of
// block² sets.
func (l *lamp) rays(k int) []vec {
	if l.width < 0.01 {
		return []vec{{}}
	}
	side := vec{-l.dir.y, l.dir.x, 0}.unit()
	up := l.dir.cross(side)
	n := 2
	if l.width > 0.1 {
		n = 4
	}
	out := make([]vec, n)
	for i := range out {
		// Vogel's spiral fills the disc evenly, whatever part of it is taken.
		j := float64(i*block*block+(k*7)%(block*block)) + 0.5
		rad := l.width * math.Sqrt(j/float64(n*block*block))
		s, c := math.Sincos(j * math.Pi * (3 - math.Sqrt(5)))
		out[i] = side.mul(rad * c).add(up.mul(rad * s))
	}
	return out
}

// smoothBlocks replaces each sample by the mean of those around it, a block
// wide, that lie on the same face.
func (m *lightMap) smoothBlocks() {
	out := make([]float32, len(m.rgb))
	rows(m.h, func(y int) {
		for x := range m.w {
			i := y*m.w + x
			var sum [3]float32
			n := float32(0)
			for v := max(0, y-block/2); v < min(m.h, y+block/2); v++ {
				for u := max(0, x-block/2); u < min(m.w, x+block/2); u++ {
					if q := v*m.w + u; m.face[q] == m.face[i] {
						sum[0] += m.rgb[3*q]
						sum[1] += m.rgb[3*q+1]
						sum[2] += m.rgb[3*q+2]
						n++
					}
				}
			}
			for k := range sum {
				out[3*i+k] = sum[k] / n
			}
		}
	})
	m.rgb = out
}

// blocked follows a ray from p over the surface the camera sees and says
// whether anything stands higher on the way.
func blocked(c *camera, s *relievo, m *lightMap, p, dir vec, ppi float64, x, y int) bool {
	const lift = 0.004 // inches, so that a face does not shade itself
	reach := (s.top - p.z) / max(0.05, dir.z)
	if reach <= lift {
		return false
	}
	n := int(min(36, max(2, reach*math.Hypot(dir.x, dir.y)*ppi/1.4)))
	// The place in the picture of p + t·dir, in samples from that of p.
	o := p.sub(c.eye)
	z0, dz := o.dot(c.forward), dir.dot(c.forward)
	x0, dx := o.dot(c.right)*c.focal/coarse, dir.dot(c.right)*c.focal/coarse
	y0, dy := o.dot(c.down)*c.focal/coarse, dir.dot(c.down)*c.focal/coarse
	left, top := float64(x)+0.5-x0/z0, float64(y)+0.5-y0/z0
	for k := 1; k <= n; k++ {
		t := float64(k) / float64(n)
		t *= reach * (0.4 + 0.6*t) // steps finer near p
		w := 1 / (z0 + t*dz)
		u, v := left+(x0+t*dx)*w, top+(y0+t*dy)*w
		if u < 0 || v < 0 || u >= float64(m.w) || v >= float64(m.h) {
			return false
		}
		if float64(s.z[int(v)*m.w+int(u)]) > p.z+t*dir.z+lift {
			return true
		}
	}
	return false
}

func vecLen(v vec) float64 { return math.Sqrt(v.dot(v)) }

// at returns the light at photo pixel (x, y) on face k: the mean of the nearest
// four samples, those on the same face where there are any.
func (m *lightMap) at(x, y int, k uint16) (r, g, b float32) {
	fx, fy := (float32(x)+0.5)/coarse-0.5, (float32(y)+0.5)/coarse-0.5
	x0, y0 := int(math.Floor(float64(fx))), int(math.Floor(float64(fy)))
	tx, ty := fx-float32(x0), fy-float32(y0)
	var sum, all float32
	var own, any [3]float32
	for j := range 2 {
		for i := range 2 {
			w := (1 - tx + float32(i)*(2*tx-1)) * (1 - ty + float32(j)*(2*ty-1))
			q := min(m.h-1, max(0, y0+j))*m.w + min(m.w-1, max(0, x0+i))
			all += w
			same := m.face[q] == k
			if same {
				sum += w
			}
			for d := range 3 {
				v := w * m.rgb[3*q+d]
				any[d] += v
				if same {
					own[d] += v
				}
			}
		}
	}
	if sum > 1e-4 {
		return own[0] / sum, own[1] / sum, own[2] / sum
	}
	return any[0] / all, any[1] / all, any[2] / all
}
