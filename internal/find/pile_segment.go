package find

// oversegment cuts cloth into basins and measures the borders between them.
func oversegment(g *grid, r *ground, in []bool) (*cluster, *wordBook, []int32, int, []fragment) {
	c := newCluster(g, r, in)
	c.l, c.a, c.b = blur(c.l, c.w, c.h, 1), blur(c.a, c.w, c.h, 1), blur(c.b, c.w, c.h, 1)
	book := c.nameColours()
	t := c.tensor()
	height := make([]uint8, c.w*c.h)
	hf := make([]float32, c.w*c.h)
	for i := range hf {
		hf[i] = sqrt32(sqrt32(t.xx[i] + t.yy[i]))
	}
	hf = blur(hf, c.w, c.h, 1)
	for i := range hf {
		height[i] = uint8(clamp(int(hf[i]*400), 0, 255))
	}
	lab, n := watershed(height, c.cloth, c.w, c.h)
	// Basin 0 is the ground.
	for i := range lab {
		switch {
		case lab[i] >= 0:
			lab[i]++
		case c.seen[i]:
			lab[i] = 0
		}
	}
	n++
	fr := fragments(lab, c.w, c.h, n)
	ts := tensors{blur(t.xx, c.w, c.h, 2), blur(t.xy, c.w, c.h, 2), blur(t.yy, c.w, c.h, 2)}
	e := &edgeField{c, t, ts, book}
	parallel(len(fr), func(lo, hi int) {
		for i := lo; i < hi; i++ {
			e.measure(&fr[i])
		}
	})
	return c, book, lab, n, fr
}

// clothOf is what is not ground, without specks and threads; pinholes closed.
func clothOf(r *ground) []bool {
	m := make([]uint8, len(r.mask))
	for i, v := range r.mask {
		m[i] = 255 - v
	}
	fillHoles(m, r.W, r.H, r.W*r.H/5000)
	m = open(m, r.W, r.H, 1)
	lab, blobs := labelBlobs(m, r.W, r.H)
	out := make([]bool, len(m))
	for i, l := range lab {
		out[i] = l > 0 && blobs[l-1].area >= leastArea(r.W, r.H)/2
	}
	return out
}
