package find

import "math"

func exp32(x float32) float32 { return float32(math.Exp(float64(x))) }

// tensors is the colour structure tensor (Di Zenzo 1986) of a cluster: the
// gradient of the three OKLab planes added up, per pixel.
type tensors struct{ xx, xy, yy []float32 }

func (c *cluster) tensor() tensors {
	n := c.w * c.h
	t := tensors{make([]float32, n), make([]float32, n), make([]float32, n)}
	for _, p := range [3][]float32{c.l, c.a, c.b} {
		parallel(c.h, func(y0, y1 int) {
			for y := y0; y < y1; y++ {
				up, dn := max(y-1, 0)*c.w, min(y+1, c.h-1)*c.w
				for x := range c.w {
					l, r := max(x-1, 0), min(x+1, c.w-1)
					// Scharr weights
					gx := (3*(p[up+r]-p[up+l]) + 10*(p[y*c.w+r]-p[y*c.w+l]) + 3*(p[dn+r]-p[dn+l])) / 32
					gy := (3*(p[dn+l]-p[up+l]) + 10*(p[dn+x]-p[up+x]) + 3*(p[dn+r]-p[up+r])) / 32
					i := y*c.w + x
					t.xx[i] += gx * gx
					t.xy[i] += gx * gy
					t.yy[i] += gy * gy
				}
			}
		})
	}
	return t
}

// normal gives the unit direction of strongest change at i and the root of
// the larger eigenvalue.
func (t *tensors) normal(i int) (nx, ny, mag float32) {
	d := t.xx[i] - t.yy[i]
	s := sqrt32(d*d + 4*t.xy[i]*t.xy[i])
	ang := 0.5 * math.Atan2(float64(2*t.xy[i]), float64(d))
	return float32(math.Cos(ang)), float32(math.Sin(ang)), sqrt32(max(0, (t.xx[i]+t.yy[i]+s)/2))
}
