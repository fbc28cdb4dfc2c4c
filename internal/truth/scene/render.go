package scene

import (
	"piecebag/internal/colour"
)

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
// Quick takes two samples of a pixel that shows one face, in place of four.
func colourIn(c *camera, faces []face, raster []uint16, pieces int, quick bool) (*canvas, []tally) {
	w, h := c.w, c.h
	cv := &canvas{albedo: make([]float32, 3*w*h), mask: make([]uint16, w*h), paper: make([]bool, w*h), top: make([]uint16, w*h)}
	parts := make([][]tally, (h+band-1)/band)
	rows(len(parts), func(k int) {
		t := make([]tally, pieces+1)
		for y := k * band; y < min(h, (k+1)*band); y++ {
			for x := range w {
				colourPixel(c, faces, raster, cv, t, x, y, quick)
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

func colourPixel(c *camera, faces []face, raster []uint16, cv *canvas, t []tally, x, y int, quick bool) {
	const n = super * super
	var id [n]uint16
	same := true
	for s := range n {
		id[s] = raster[(super*y+s/super)*super*c.w+super*x+s%super]
		same = same && id[s] == id[0]
	}
	i := y*c.w + x
	// The face of most samples, the first of equals.
	best, votes := id[0], 0
	for s := range n {
		v := 0
		for q := range n {
			if faces[id[q]].piece == faces[id[s]].piece {
				v++
			}
		}
		if v > votes {
			best, votes = id[s], v
		}
	}
	piece := faces[best].piece
	cv.top[i], cv.mask[i], cv.paper[i] = best, uint16(piece), faces[best].paper
	var sum colour.Linear
	if f := &faces[best]; same && f.coarse {
		u, v := f.at(c.sample(super*x+super/2, super*y+super/2))
		col, ink := f.colour(u, v)
		sum = col
		if piece > 0 && !f.paper {
			t[piece].add(ink, samples{1, col})
		}
	} else {
		stride := 1
		if same && quick {
			stride = n - 1 // two that lie across
		}
		taken := float64((n + stride - 1) / stride)
		for s := 0; s < n; s += stride {
			f := &faces[id[s]]
			u, v := f.at(c.sample(super*x+s%super, super*y+s/super))
			col, ink := f.colour(u, v)
			for k := range sum {
				sum[k] += col[k] / taken
			}
			if piece > 0 && f.piece == piece && !f.paper {
				t[piece].add(ink, samples{1, col})
			}
		}
	}
	if piece > 0 {
		t[piece].pixel(x, y)
	}
	for k := range 3 {
		cv.albedo[3*i+k] = float32(sum[k])
	}
}
