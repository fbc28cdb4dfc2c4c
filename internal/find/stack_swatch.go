package find

import "math"

// Colours of cloth are compared as histograms over chroma, freed from
// lightness, and log lightness: the shading of a fold only shifts such a
// histogram along one axis.
const (
	chromaCells = 41    // each way
	chromaStep  = 0.025 // of a and b over lightness
	chromaSoft  = 0.10  // added to that lightness, so that black stays calm
	chromaRare  = 5000  // a cell with less than one pixel in so many joins the nearest
	lightCells  = 24
	lightStep   = 0.09 // of natural logarithm
)

// What a difference in shading costs in unlike, a lightness cell, and how many
// cells it may be.
const (
	shadeCost  = 0.02
	shadeReach = 11
)

// swatches gives every pixel of a rack its histogram bin.
type swatches struct {
	bin  []uint16 // chroma cell · lightCells + lightness cell
	n    int      // bins
	near [][]spill
}

// spill is the share of a count in one chroma cell that softening moves to
// another.
type spill struct {
	cell  int
	share float32
}

func swatchesOf(r *rack) *swatches {
	var light [1024]uint16
	for i := range light {
		l := max((float64(i)+0.5)/float64(len(light)), 1e-3)
		light[i] = uint16(clamp(lightCells-1+int(math.Log(l)/lightStep), 0, lightCells-1))
	}
	raw := make([]uint16, r.W*r.H)
	parallel(r.H, func(y0, y1 int) {
		for i := y0 * r.W; i < y1*r.W; i++ {
			k := 1 / (max(r.L[i], 0) + chromaSoft) / chromaStep
			p := clamp(int(r.A[i]*k+chromaCells/2.0), 0, chromaCells-1)
			q := clamp(int(r.B[i]*k+chromaCells/2.0), 0, chromaCells-1)
			raw[i] = uint16(p*chromaCells + q)
		}
	})
	var count [chromaCells * chromaCells]int
	for _, c := range raw {
		count[c]++
	}
	var kept []int
	for c, k := range count {
		if k*chromaRare > len(raw) {
			kept = append(kept, c)
		}
	}
	apart := func(c, o int) int { // squared, in cells
		p, q := c/chromaCells-o/chromaCells, c%chromaCells-o%chromaCells
		return p*p + q*q
	}
	var dense [chromaCells * chromaCells]uint16
	for c := range dense {
		best := math.MaxInt
		for j, o := range kept {
			if d := apart(c, o); d < best {
				best, dense[c] = d, uint16(j)
			}
		}
	}
	s := &swatches{bin: raw, n: len(kept) * lightCells, near: make([][]spill, len(kept))}
	for i, c := range raw {
		l := light[clamp(int(r.L[i]*float32(len(light))), 0, len(light)-1)]
		s.bin[i] = dense[c]*lightCells + l
	}
	for i, c := range kept {
		var sum float32
		for j, o := range kept {
			if d := apart(c, o); d <= 5 {
				w := float32(math.Exp(-float64(d) / 2))
				s.near[i] = append(s.near[i], spill{j, w})
				sum += w
			}
		}
		for k := range s.near[i] {
			s.near[i][k].share /= sum
		}
	}
	return s
}

// soften spreads counts over neighbouring bins and scales them to sum 1.
func (s *swatches) soften(count []float32) []float32 {
	out := make([]float32, s.n)
	var sum float32
	var row [lightCells]float32
	for c := range s.near {
		clear(row[:])
		var any float32
		for l, v := range count[c*lightCells : (c+1)*lightCells] {
			row[l] += v / 2
			row[max(l-1, 0)] += v / 4
			row[min(l+1, lightCells-1)] += v / 4
			any += v
		}
		if any == 0 {
			continue
		}
		sum += any
		for _, nb := range s.near[c] {
			o := out[nb.cell*lightCells : (nb.cell+1)*lightCells]
			for l, v := range row {
				o[l] += v * nb.share
			}
		}
	}
	if sum > 0 {
		for i := range out {
			out[i] /= sum
		}
	}
	return out
}

// hues is a softened histogram made ready for comparing: the square roots of
// its bins.
type hues []float32

func huesOf(h []float32) hues {
	out := make(hues, len(h))
	for i, v := range h {
		out[i] = sqrt32(v)
	}
	return out
}

// unlike is how badly two pieces of cloth look like the same in different
// shade, 0..1 and a little over: one less the Bhattacharyya coefficient of
// their colours at the best shift in lightness, plus the cost of that shift.
func (a hues) unlike(b hues) float32 {
	const faint = 1e-3
	var bc [2*lightCells - 1]float32
	for c := 0; c < len(a); c += lightCells {
		p, q := a[c:c+lightCells], b[c:c+lightCells]
		for i, u := range p {
			if u < faint {
				continue
			}
			for j, v := range q {
				bc[j-i+lightCells-1] += u * v
			}
		}
	}
	best := float32(math.MaxFloat32)
	for s := -shadeReach; s <= shadeReach; s++ {
		best = min(best, 1-bc[s+lightCells-1]+shadeCost*float32(max(s, -s)))
	}
	return best
}
