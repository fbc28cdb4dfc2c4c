package palette

// The bins of the colour histogram are cubes of OKLab, 1/64 a side: about
// ΔE00 1.5, less than what cotton's weave and a camera's noise blur. They hold
// sums, so whatever is built of whole bins has an exact mean.
const (
	binsPerUnit         = 64
	binsL, binsA, binsB = 72, 40, 40
	// The bins of a = 0 and b = 0: sRGB spans a −0.24..0.28, b −0.32..0.20.
	binZeroA, binZeroB = 18, 22
)

// bin is one bin of the histogram: sums over its pixels.
type bin struct {
	slot   int // where it stands in histogram.slots
	count  float64
	lms    [3]float64 // cone responses
	weight float64    // flatness
	pure   [3]float64 // cone responses times flatness
	depth  float64
}

// colour returns the bin's OKLab, flat pixels counting most.
func (b *bin) colour() [3]float32 {
	var c [3]float32
	k := 1 / b.weight
	oklab(&c, float32(b.pure[0]*k), float32(b.pure[1]*k), float32(b.pure[2]*k))
	return c
}

// histogram is the colour histogram of a piece.
type histogram struct {
	bins  []bin   // those with pixels, in order of first appearance
	slots []int32 // of every colour: 1 + its place in bins, 0 where it has none
}

// count files every pixel of a deeper than rim under its colour.
func (h *histogram) count(a *patch, rim uint8) {
	if h.slots == nil {
		h.slots = make([]int32, binsL*binsA*binsB)
	}
	for i := range h.bins {
		h.slots[h.bins[i].slot] = 0
	}
	h.bins = h.bins[:0]
	for y := 1; y < a.h-1; y++ {
		for i := y*a.w + 1; i < y*a.w+a.w-1; i++ {
			if a.depth[i] <= rim {
				continue
			}
			c, v := a.lab[3*i:3*i+3], a.lms[3*i:3*i+3]
			k := (binOf(c[0], 0, binsL)*binsA+binOf(c[1], binZeroA, binsA))*binsB + binOf(c[2], binZeroB, binsB)
			if h.slots[k] == 0 {
				h.bins = append(h.bins, bin{slot: k})
				h.slots[k] = int32(len(h.bins))
			}
			b := &h.bins[h.slots[k]-1]
			w := float64(a.flatness(i))
			l, m, s := float64(v[0]), float64(v[1]), float64(v[2])
			b.count++
			b.lms[0] += l
			b.lms[1] += m
			b.lms[2] += s
			b.weight += w
			b.pure[0] += w * l
			b.pure[1] += w * m
			b.pure[2] += w * s
			b.depth += float64(a.depth[i])
		}
	}
}

func binOf(v float32, zero, n int) int {
	return min(n-1, max(0, int(v*binsPerUnit+float32(zero))))
}

// edgeContrast is the step, in OKLab, at which a pixel half-way between two
// neighbours stops counting as a colour of its own.
const edgeContrast = 0.03

// flatness weighs pixel i as a sample of an ink: 1 where it is level with its
// neighbours or a peak among them, as the middle of a thin line is, and near 0
// where it lies between two opposite neighbours, as the blurred fringe of two
// inks does. Neighbours outside the piece say nothing.
func (a *patch) flatness(i int) float32 {
	c := (*[3]float32)(a.lab[3*i:])
	whole := a.depth[i] > 1 // all its neighbours lie inside
	s := float32(0)
	if whole || a.depth[i-1] > 0 && a.depth[i+1] > 0 {
		s = between((*[3]float32)(a.lab[3*i-3:]), c, (*[3]float32)(a.lab[3*i+3:]))
	}
	if whole || a.depth[i-a.w] > 0 && a.depth[i+a.w] > 0 {
		s = max(s, between((*[3]float32)(a.lab[3*(i-a.w):]), c, (*[3]float32)(a.lab[3*(i+a.w):])))
	}
	s /= edgeContrast * edgeContrast
	return 1 / (1 + s*s)
}

// between returns above 0 where c lies on the way from p to q: the product of the
// two steps.
func between(p, c, q *[3]float32) float32 {
	return (c[0]-p[0])*(q[0]-c[0]) + (c[1]-p[1])*(q[1]-c[1]) + (c[2]-p[2])*(q[2]-c[2])
}
