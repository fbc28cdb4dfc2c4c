package find

// cluster is the part of a picture that holds cloth: a crop in flat planes,
// row major, with the ground cut out.
type cluster struct {
	w, h    int
	x0, y0  int       // the crop's origin in the picture, pixels
	l, a, b []float32 // OKLab, lightly smoothed
	cloth   []bool
	seen    []bool    // cloth and the ground hard by it
	word    []uint8   // which of the picture's few colours; see palette
	tint    []float32 // chroma's distance from the bare ground's, sigmas, at most 20
	shade   []float32 // lightness over the bare ground's
}

// groundBand is how far from cloth the ground is looked at, pixels.
const groundBand = 8

// widened is the cloth and everything within r pixels of it.
func (c *cluster) widened(r int) []bool {
	m := make([]uint8, len(c.cloth))
	for i, in := range c.cloth {
		if in {
			m[i] = 255
		}
	}
	m = dilate(m, c.w, c.h, r)
	out := make([]bool, len(m))
	for i, v := range m {
		out[i] = v != 0
	}
	return out
}

// newCluster crops g to the pixels where cloth is set, with a margin.
func newCluster(g *grid, r *ground, cloth []bool) *cluster {
	x0, y0, x1, y1 := g.W, g.H, 0, 0
	for y := range g.H {
		for x := range g.W {
			if cloth[y*g.W+x] {
				x0, y0, x1, y1 = min(x0, x), min(y0, y), max(x1, x+1), max(y1, y+1)
			}
		}
	}
	if x0 >= x1 {
		return nil
	}
	const margin = groundBand + 2
	x0, y0, x1, y1 = max(0, x0-margin), max(0, y0-margin), min(g.W, x1+margin), min(g.H, y1+margin)
	c := &cluster{w: x1 - x0, h: y1 - y0, x0: x0, y0: y0}
	n := c.w * c.h
	c.cloth = make([]bool, n)
	for y := range c.h {
		copy(c.cloth[y*c.w:(y+1)*c.w], cloth[(y+y0)*g.W+x0:])
	}
	c.seen = c.widened(groundBand)
	crop := func(src []float32) []float32 {
		out := make([]float32, n)
		for y := range c.h {
			copy(out[y*c.w:(y+1)*c.w], src[(y+y0)*g.W+x0:])
		}
		return out
	}
	c.l, c.a, c.b = crop(g.L), crop(g.A), crop(g.B)
	c.tint, c.shade = make([]float32, n), make([]float32, n)
	for y := range c.h {
		for x := range c.w {
			i, j := y*c.w+x, (y+y0)*g.W+x+x0
			l, gl := max(c.l[i], 0.08), max(r.L[j], 0.08)
			da := (c.a[i]/l - r.A[j]/gl) / float32(r.sigma[1])
			db := (c.b[i]/l - r.B[j]/gl) / float32(r.sigma[2])
			c.tint[i] = min(20, sqrt32(da*da+db*db))
			c.shade[i] = l / gl
		}
	}
	return c
}
