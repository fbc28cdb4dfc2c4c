package find

const (
	grainRows   = 4    // rows of the rack averaged into one row of the grain
	grainSpan   = 16   // grain rows a line is averaged over, a power of two
	grainSlopes = 4    // slopes tried on each side of upright
	grainStep   = 0.05 // between them, columns a rack row
	grainReach  = 5    // columns compared on each side of a line
)

// grain holds, for each place of the rack, how strongly the strongest upright
// line of grainSpan rows passes through it.
type grain struct {
	W, H  int       // columns of the rack; rows of grainRows each
	e     []float32 // OKLab units: change of colour from side to side, and how much darker than both
	slope []int8    // of that line, in units of grainStep
}

// grainOf measures the lines. Averaging along a line leaves folds and borders
// and takes away prints and weave.
func grainOf(r *rack) *grain {
	w, h := r.W, r.H/grainRows
	m := &grain{W: w, H: h, e: make([]float32, w*h), slope: make([]int8, w*h)}
	if h < grainSpan || w <= 2*grainReach {
		return m
	}
	v := make([]float32, 4*w*h)
	parallel(h, func(y0, y1 int) {
		row := make([]float32, w)
		cum := make([]float32, w+1)
		for y := y0; y < y1; y++ {
			for c := range 3 {
				clear(row)
				for j := y * grainRows; j < (y+1)*grainRows; j++ {
					for x, s := range r.plane(c)[j*w : (j+1)*w] {
						row[x] += s
					}
				}
				scale := float32(1.0 / grainRows / grainReach)
				if c > 0 {
					scale *= 2 // chroma counts double
				}
				for x, s := range row {
					cum[x+1] = cum[x] + s
				}
				o := v[(c*h+y)*w:][:w]
				for x := grainReach; x < w-grainReach; x++ {
					o[x] = (cum[x+1+grainReach] - cum[x+1] - cum[x] + cum[x-grainReach]) * scale
				}
				if c > 0 {
					continue
				}
				o = v[(3*h+y)*w:][:w]
				for x := grainReach; x < w-grainReach; x++ {
					left, right := cum[x]-cum[x-grainReach], cum[x+1+grainReach]-cum[x+1]
					o[x] = (min(left, right)/grainReach - (cum[x+2]-cum[x-1])/3) / grainRows
				}
			}
		}
	})
	parallel(w, func(x0, x1 int) {
		// Columns beyond the run are needed by slanted lines.
		const side = grainSpan * grainRows * grainSlopes / 10
		lo, hi := max(0, x0-side), min(w, x1+side)
		n := hi - lo
		var buf [4][]float32
		for c := range buf {
			buf[c] = make([]float32, n*h)
		}
		for k := -grainSlopes; k <= grainSlopes; k++ {
			for c := range buf {
				for y := range h {
					copy(buf[c][y*n:(y+1)*n], v[(c*h+y)*w+lo:(c*h+y)*w+hi])
				}
				for span := 1; span < grainSpan; span *= 2 {
					off := roundInt(float64(k*span) * grainStep * grainRows)
					sumBelow(buf[c], n, h, span, off)
				}
			}
			for y := range h - grainSpan + 1 {
				// Row y now sums rows y .. y+grainSpan-1: it stands for its middle.
				at := y + grainSpan/2
				shift := roundInt(float64(k) * grainStep * grainRows * grainSpan / 2)
				for x := max(x0, lo+shift); x < min(x1, hi+shift); x++ {
					i := y*n + x - lo - shift
					a, b, c := buf[0][i], buf[1][i], buf[2][i]
					e := (sqrt32(a*a+b*b+c*c) + max(0, buf[3][i])) / grainSpan
					if q := at*w + x; e > m.e[q] {
						m.e[q], m.slope[q] = e, int8(k)
					}
				}
			}
		}
	})
	return m
}

// sumBelow adds to each row of v the row span below it, shifted by off columns.
func sumBelow(v []float32, w, h, span, off int) {
	for y := range h - span {
		a, b := v[y*w:(y+1)*w], v[(y+span)*w:(y+span+1)*w]
		for x := max(0, -off); x < min(w, w-off); x++ {
			a[x] += b[x+off]
		}
	}
}

func roundInt(v float64) int {
	if v < 0 {
		return -int(0.5 - v)
	}
	return int(v + 0.5)
}
