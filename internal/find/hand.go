package find

import (
	"cmp"
	"container/heap"
	"fmt"
	"image"
	"math"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/fault"
	"piecebag/internal/geom"
	"piecebag/internal/raster"
)

// byHand makes regions of what is given by hand, in the order given. An outline is a
// piece as it is drawn, and sure, unless it is just what the eye finds. A point, or a
// box as two opposite corners, shows where the eye should find a piece, which is trusted
// as any other that the eye finds. It is an error if more than half of what is drawn
// belongs to another entry too. The cards and what else the eye finds follow, where they
// share no cloth with what was given. l is what the eye saw, nil where it saw no cloth;
// heap is the probability of a stack or a pile.
func (r *Result) byHand(l *labelled, given []geom.Polygon, cards []cloth.Region, heap float64, w, h int) error {
	label, err := l.claim(given)
	if err != nil {
		return err
	}
	at := r.take(l, w, h)
	r.judge(1, heap, true) // the hand says that cloth is shown
	regions, signs := r.Regions, r.Signs
	r.Regions, r.Signs = make([]cloth.Region, len(given)), make([][]float64, len(given))
	for i, g := range given {
		k, ok := at[label[i]]
		if len(g) > 2 {
			k = slices.IndexFunc(regions, func(r cloth.Region) bool { return same(r.Polygon, g) })
			ok = k >= 0
		}
		switch {
		case ok:
			r.Regions[i], r.Signs[i] = regions[k], signs[k]
		case len(g) > 2:
			r.Regions[i] = drawnRegion(g)
		default:
			return noCloth(i)
		}
	}
	for i, g := range r.Regions {
		for by, t := range r.Regions[:i] {
			drawn := r.Signs[i] == nil || r.Signs[by] == nil
			if drawn && overlaps(g.Polygon, t.Polygon, 0.5) || same(g.Polygon, t.Polygon) {
				return takenTwice(i, by)
			}
		}
	}
	r.Given = len(given)
	for _, g := range slices.Concat(cards, regions) {
		if (g.Card || g.Trust >= leastTrust) && !slices.ContainsFunc(r.Regions, func(t cloth.Region) bool { return overlaps(g.Polygon, t.Polygon, 0.1) }) {
			r.Regions, r.Signs = append(r.Regions, g), append(r.Signs, nil)
		}
	}
	return nil
}

// overlaps reports whether more than a share of one of two outlines lies in the other.
func overlaps(a, b geom.Polygon, share float64) bool {
	shared, together, first := geom.Overlap(a, b)
	return shared > share*min(first, together-first+shared)
}

// same reports whether two outlines have the same points, within the tenth of a pixel
// to which they are written.
func same(a, b geom.Polygon) bool {
	return slices.EqualFunc(a, b, func(p, q geom.Point) bool { return p.Dist(q) < 0.1 })
}

func noCloth(i int) error {
	return fault.New("", "no cloth shows there", "give its outline", Entry(i+1), ErrNoCloth)
}

// takenTwice returns the fault that entry i of what is given shows the same cloth as
// entry by.
func takenTwice(i, by int) error {
	return fault.New("", fmt.Sprintf("it takes cloth that entry %d takes", by+1), "give each piece once, by a point where boxes overlap, or by its outline", Entry(i+1), ErrTaken)
}

// drawnRegion returns a piece as it is drawn by hand.
func drawnRegion(g geom.Polygon) cloth.Region {
	if g.SignedArea() < 0 {
		g = slices.Clone(g)
		slices.Reverse(g)
	}
	r := cloth.Region{Polygon: g, Trust: 1}
	if c, fit := raster.FitQuad(g); fit > quadEnough {
		r.Corners = c[:]
	}
	return r
}

// claim gives each point and box the label of its piece, 0 to outlines, and parts
// the pieces anew where the hand says so.
func (l *labelled) claim(given []geom.Polygon) ([]int32, error) {
	label := make([]int32, len(given))
	if !slices.ContainsFunc(given, func(g geom.Polygon) bool { return len(g) < 3 }) {
		return label, nil
	}
	if l == nil {
		return nil, noCloth(slices.IndexFunc(given, func(g geom.Polygon) bool { return len(g) < 3 }))
	}
	seen, own := slices.Clone(l.lab), int32(len(l.pieces))+1 // the label of the first entry's own piece
	for i, g := range given {
		if len(g) == 2 {
			label[i] = own + int32(i)
			if by := l.box(g, label[i], seen, own); by != 0 {
				return nil, takenTwice(i, int(by-own))
			}
		}
	}
	within := map[int32][]int{} // the points in each piece that the eye sees, by their place in given
	for i, g := range given {
		if len(g) != 1 {
			continue
		}
		if c, ok := l.cell(int(math.Floor(g[0].X)), int(math.Floor(g[0].Y))); ok && l.lab[c] != 0 {
			label[i] = l.lab[c]
		}
		if label[i] >= own {
			return nil, takenTwice(i, int(label[i]-own))
		}
		within[label[i]] = append(within[label[i]], i)
	}
	for i, g := range given {
		if at := within[label[i]]; len(g) == 1 && label[i] != 0 && len(at) > 1 && at[0] == i {
			l.divide(label[i], at, given, label, own)
		}
	}
	l.gather(own + int32(len(given)) - 1)
	return label, l.seams(given, own)
}

// box gives a label to the piece within a box of two opposite corners: the cells
// there of all that lie half in it, or else of the one that fills the most of it, as
// the eye saw them. Where a box before it took one of them, it gives that one's label,
// from own on.
func (l *labelled) box(g geom.Polygon, label int32, seen []int32, own int32) (taken int32) {
	lo, hi := g.Bounds()
	cell := func(p geom.Point) image.Point {
		return image.Pt(int(math.Floor((p.X-l.x0)/l.sx)), int(math.Floor((p.Y-l.y0)/l.sy)))
	}
	box := image.Rectangle{cell(lo), cell(hi).Add(image.Pt(1, 1))}.Intersect(image.Rect(0, 0, l.w, l.h))
	in, all := make([]int, own), make([]int, own)
	most := int32(0)
	for i, k := range seen {
		all[k]++
		if k != 0 && image.Pt(i%l.w, i/l.w).In(box) {
			if in[k]++; in[k] > in[most] {
				most = k
			}
		}
	}
	half := func(k int32) bool { return 2*in[k] >= all[k] }
	for y := box.Min.Y; y < box.Max.Y; y++ {
		for i := y*l.w + box.Min.X; i < y*l.w+box.Max.X; i++ {
			if k := seen[i]; k == 0 || !half(k) && (half(most) || k != most) {
				continue
			}
			if l.lab[i] >= own {
				return l.lab[i]
			}
			l.lab[i] = label
		}
	}
	return 0
}

// seamCost is how many cells of way a seam that the eye is sure of costs; one of
// which it is half sure costs a quarter, and what it hardly doubts next to nothing.
const seamCost = 1000

// visit is a cell on the way from a point.
type visit struct {
	cost  float64
	cell  int
	label int32
}

func (v visit) Before(w visit) bool {
	return cmp.Or(cmp.Compare(v.cost, w.cost), cmp.Compare(v.cell, w.cell), cmp.Compare(v.label, w.label)) < 0
}

// divide parts a piece among the points in it: each cell goes to the point with the
// cheapest way to it, where seams are dear (Dijkstra 1959). The points are those of
// given listed in at; they get labels of their own.
func (l *labelled) divide(old int32, at []int, given []geom.Polygon, label []int32, own int32) {
	var q queue[visit]
	for _, i := range at {
		label[i] = own + int32(i)
		c, _ := l.cell(int(given[i][0].X), int(given[i][0].Y))
		heap.Push(&q, visit{0, c, label[i]})
	}
	east, south := l.beside(1, 0), l.beside(0, 1)
	for len(q) > 0 {
		o := heap.Pop(&q).(visit)
		if l.lab[o.cell] != old {
			continue
		}
		l.lab[o.cell] = o.label
		raster.Around(o.cell, l.w, l.h, func(to int) {
			if l.lab[to] == old {
				pulls := east
				if to-o.cell == l.w || o.cell-to == l.w {
					pulls = south
				}
				seam := (half - float64(pulls[min(o.cell, to)])) / unit
				heap.Push(&q, visit{o.cost + 1 + seamCost*sq(seam), to, o.label})
			}
		})
	}
}

// leastSeam is the least mean probability of a seam along the border between points:
// less, and there is none. Of points in one piece of sixteen renders nine in ten have
// less; of points in two that the eye takes for one none has, the least being 0.53.
const leastSeam = 0.2

// seams refuses points of one piece between which the eye sees no seam.
func (l *labelled) seams(given []geom.Polygon, own int32) error {
	point := func(label int32) bool { return label >= own && len(given[label-own]) == 1 }
	between := map[[2]int32]bond{}
	for i := range l.edges {
		e := &l.edges[i]
		if a, b := l.lab[e.u], l.lab[e.v]; a != b && e.weight == nearWeight && point(a) && point(b) {
			k := [2]int32{min(a, b), max(a, b)}
			between[k] = between[k].plus(e.bond(l.w))
		}
	}
	for k := range int32(len(l.pieces)) + 1 {
		for by := own; by < k; by++ {
			if b, ok := between[[2]int32{by, k}]; ok && b.mean() > 0.5-leastSeam {
				return fault.New("", fmt.Sprintf("no seam shows between it and entry %d", by-own+1), "give one of them, or both outlines", Entry(int(k-own)+1), ErrNoSeam)
			}
		}
	}
	return nil
}
