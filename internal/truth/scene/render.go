package scene

// canvas is the scene before the camera: row-major at photo pixels.
type canvas struct {
	albedo []float32 // 3 a pixel, linear
	mask   []uint16
	paper  []bool
	top    []uint16 // the face that most samples of a pixel show
}

// band is how many rows one tally covers; fixed, so that sums come out the
// same on any machine.
const band = 32

// colourIn evaluates the albedo of every pixel and tallies the pieces by ID.
func colourIn(c *camera, faces []face, raster []uint16, pieces int) (*canvas, []tally) {
	w, h := c.w, c.h
	cv := &canvas{albedo: make([]float32, 3*w*h), mask: make([]uint16, w*h), paper: make([]bool, w*h), top: make([]uint16, w*h)}
	parts := make([][]tally, (h+band-1)/band)
	rows(len(parts), func(k int) {
		t := make([]tally, pieces+1)
		for y := k * band; y < min(h, (k+1)*band); y++ {
			for x := range w {
				colourPixel(c, faces, raster, cv, t, x, y)
			}
		}
		parts[k] = t
	})
	all := make([]tally, pieces+1)
	for _, part := range parts {
		for i := range part {
			all[i].join(&part[i])
		}
	}
	return cv, all
}

func colourPixel(c *camera, faces []face, raster []uint16, cv *canvas, t []tally, x, y int) {
	const n = super * super
	var id [n]uint16
	var votes [n]int
	for s := range n {
		id[s] = raster[(super*y+s/super)*super*c.w+super*x+s%super]
	}
	best := 0 // the face of most samples, the first of equals
	for s := range n {
		for q := range n {
			votes[s] += bool01(faces[id[q]].piece == faces[id[s]].piece)
		}
		if votes[s] > votes[best] {
			best = s
		}
	}
	top := id[best]
	piece := faces[top].piece
	i := y*c.w + x
	cv.top[i], cv.mask[i], cv.paper[i] = top, uint16(piece), faces[top].paper
	// Two samples that lie across are enough where a pixel shows one face.
	stride := n - 1
	for s := range n {
		if id[s] != id[0] {
			stride = 1
		}
	}
	var seen samples
	for s := 0; s < n; s += stride {
		f := &faces[id[s]]
		u, v := f.at(c.sample(super*x+s%super, super*y+s/super))
		col, ink := f.colour(u, v)
		seen.add(samples{1, col})
		if piece > 0 && f.piece == piece && !f.paper {
			t[piece].add(ink, samples{1, col})
		}
	}
	if piece > 0 {
		t[piece].pixel(x, y)
	}
	for k, v := range seen.mean() {
		cv.albedo[3*i+k] = float32(v)
	}
}
