package find

import "piecebag/internal/geom"

// outlines traces every label 0..n-1 of a w × h picture: for each, its rings
// along the cracks between pixels, clockwise on screen,
// outer ones and holes, in order of their first pixel. Pixels of one label that
// only touch at a corner lie in separate rings.
func outlines(label []int32, w, h, n int) [][]geom.Polygon {
	out := make([][]geom.Polygon, n)
	at := func(x, y int) int32 {
		if x < 0 || y < 0 || x >= w || y >= h {
			return -1
		}
		return label[y*w+x]
	}
	// top[i] is set once the crack above pixel i, walked with the label below,
	// is part of a ring.
	top := make([]bool, w*h)
	for y := range h {
		for x := range w {
			l := label[y*w+x]
			if l < 0 || top[y*w+x] || at(x, y-1) == l {
				continue
			}
			var r geom.Polygon
			// walk along cracks with the label on the right hand
			cx, cy, dx, dy := x, y, 1, 0
			for {
				if dx == 1 {
					if top[cy*w+cx] {
						break
					}
					top[cy*w+cx] = true
				}
				nx, ny := cx+dx, cy+dy
				// pixels ahead, left and right of the new corner
				var lx, ly, rx, ry int
				switch {
				case dx == 1:
					lx, ly, rx, ry = nx, ny-1, nx, ny
				case dy == 1:
					lx, ly, rx, ry = nx, ny, nx-1, ny
				case dx == -1:
					lx, ly, rx, ry = nx-1, ny, nx-1, ny-1
				default:
					lx, ly, rx, ry = nx-1, ny-1, nx, ny-1
				}
				cx, cy = nx, ny
				right := at(rx, ry) == l
				left := at(lx, ly) == l
				odx, ody := dx, dy
				switch {
				case !right:
					dx, dy = -dy, dx
				case left:
					dx, dy = dy, -dx
				}
				if dx != odx || dy != ody {
					r = append(r, geom.Point{X: float64(cx), Y: float64(cy)})
				}
			}
			out[l] = append(out[l], r)
		}
	}
	return out
}
