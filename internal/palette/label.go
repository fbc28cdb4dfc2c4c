package palette

import "math/rand/v2"

// A label or a template on a piece is the ink that is the lightest, hardly coloured, and
// found where the eye sees paper and hardly elsewhere, as the rest of the piece is not. What
// is most of a piece may be the white ground of its print, and stays. In a photo of 31
// labelled squares .96 to 1 of the labels found was seen as paper, and .23 to .88 of the
// rest; 32 renders and 40 composites of prints, without labels, have none.
const (
	mostLabel   = 0.5  // share of the piece
	labelChroma = 0.06 // OKLab: paper, in light that is not well known
	onPaper     = 0.9  // the least share of a label that is seen as paper, the most of the rest
)

// leaveOutLabel takes a paper label out of the loaded patch, as if the outline ran round
// it. w is the width of the picture.
func (m *Meter) leaveOutLabel(w int, seed uint64) {
	a := &m.patch
	rim := a.rim()
	seen := make([]bool, len(a.depth)) // as paper
	paper, all := 0, 0
	for i, d := range a.depth {
		if d > rim {
			all++
			if m.Labels[(i/a.w+a.y0)*w+i%a.w+a.x0] > 0 {
				seen[i] = true
				paper++
			}
		}
	}
	if float64(paper) < leastShare*float64(all) {
		return
	}
	m.colour.count(a, rim)
	inks := findInks(m.colour.bins, rand.New(rand.NewPCG(seed, uint64(a.area))))
	label := 0
	for k := range inks {
		if inks[k].lab[0] > inks[label].lab[0] {
			label = k
		}
	}
	if c := inks[label].lab; inks[label].share >= mostLabel || c[1]*c[1]+c[2]*c[2] > labelChroma*labelChroma {
		return
	}
	var of []int // pixels of the label
	on, rest := 0, 0
	for i, d := range a.depth {
		switch {
		case d <= rim:
		case nearestInk(inks, (*[3]float32)(a.lab[3*i:])) != label:
			if seen[i] {
				rest++
			}
		default:
			if of = append(of, i); seen[i] {
				on++
			}
		}
	}
	if float64(on) < onPaper*float64(len(of)) || float64(rest) > onPaper*float64(all-len(of)) {
		return
	}
	for _, i := range of {
		a.depth[i] = 0
	}
	a.area = 0
	a.measureDepth()
}

func nearestInk(inks []ink, c *[3]float32) int {
	best, at := float32(0), -1
	for k := range inks {
		if d := squaredDistance(inks[k].lab, *c); at < 0 || d < best {
			best, at = d, k
		}
	}
	return at
}
