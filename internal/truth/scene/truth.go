package scene

import (
	"cmp"
	"image"
	"math"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/geom"
)

// tally is what was seen of one piece.
type tally struct {
	px     int
	sum    [3]float64
	n      int // samples in sum
	inks   []inkTally
	bounds image.Rectangle
}

type inkTally struct {
	n   int
	sum [3]float64
}

func (t *tally) add(c colour.Linear, ink int) {
	t.n++
	if ink >= len(t.inks) {
		t.inks = append(t.inks, make([]inkTally, ink+1-len(t.inks))...)
	}
	k := &t.inks[ink]
	k.n++
	for i, v := range c {
		t.sum[i] += v
		k.sum[i] += v
	}
}

func (t *tally) pixel(x, y int) {
	t.px++
	t.bounds = t.bounds.Union(image.Rect(x, y, x+1, y+1))
}

func (t *tally) join(o *tally) {
	t.px += o.px
	t.n += o.n
	t.bounds = t.bounds.Union(o.bounds)
	for i := range t.sum {
		t.sum[i] += o.sum[i]
	}
	if len(o.inks) > len(t.inks) {
		t.inks = append(t.inks, make([]inkTally, len(o.inks)-len(t.inks))...)
	}
	for i := range o.inks {
		t.inks[i].n += o.inks[i].n
		for k := range 3 {
			t.inks[i].sum[k] += o.inks[i].sum[k]
		}
	}
}

// swatches are the colours seen, most first: inks that look alike are one,
// and those under 1 % are left out.
func (t *tally) swatches() []cloth.Swatch {
	const alike = 5 // CIELAB distance
	order := make([]int, 0, len(t.inks))
	for i := range t.inks {
		if t.inks[i].n > 0 {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(t.inks[b].n, t.inks[a].n) })
	var joined []inkTally
next:
	for _, i := range order {
		k := t.inks[i]
		for j := range joined {
			if labDistance(joined[j].mean().Lab(), k.mean().Lab()) < alike {
				joined[j].n += k.n
				for d := range 3 {
					joined[j].sum[d] += k.sum[d]
				}
				continue next
			}
		}
		joined = append(joined, k)
	}
	slices.SortStableFunc(joined, func(a, b inkTally) int { return cmp.Compare(b.n, a.n) })
	var out []cloth.Swatch
	for _, k := range joined {
		if share := float64(k.n) / float64(t.n); share >= 0.01 {
			out = append(out, cloth.Swatch{Colour: k.mean(), Share: share})
		}
	}
	return out
}

func (k *inkTally) mean() colour.Linear {
	n := float64(k.n)
	return colour.Linear{k.sum[0] / n, k.sum[1] / n, k.sum[2] / n}
}

// judge fills in what can only be known once the scene is painted.
func (b *builder) judge(tallies []tally, mask []uint16) {
	seen := b.whole()
	for i := range b.pieces {
		p, t := &b.pieces[i], &tallies[i+1]
		p.VisiblePx, p.Bounds = t.px, t.bounds
		p.Visible = 1
		if all := seen[i+1]; all > 0 {
			p.Visible = min(1, float64(t.px)/all)
		}
		p.Occluded = p.Corners != nil && p.Visible < 0.995
		p.Ignore = t.px < 400 || p.Visible < 0.05
		if t.n > 0 {
			n := float64(t.n)
			p.Mean = colour.Linear{t.sum[0] / n, t.sum[1] / n, t.sum[2] / n}
			p.Colours = t.swatches()
			front := len(b.fabrics[b.cutFrom[i]].inks)
			back := 0
			for k := front; k < len(t.inks); k++ {
				back += t.inks[k].n
			}
			p.Back = float64(back) / n
		}
		if p.Corners == nil {
			continue
		}
		visible := 0
		p.CornersVisible = make([]bool, 4)
		for k, q := range p.Corners {
			p.CornersVisible[k] = b.shows(mask, q, uint16(p.ID))
			visible += bool01(p.CornersVisible[k])
			if q.X < 0 || q.Y < 0 || q.X > float64(b.w) || q.Y > float64(b.h) {
				p.Truncated = true
			}
		}
		p.Measurable = !p.Irregular && !p.Folded && !p.Truncated && !p.Ignore &&
			(visible == 4 || (b.kind != cloth.Pile && p.Visible > 0.88))
	}
}

// whole is how many photo pixels each piece would fill with nothing over it,
// by ID. A folded piece has several faces: their union counts.
func (b *builder) whole() []float64 {
	out := make([]float64, len(b.pieces)+1)
	of := make([][]*face, len(b.pieces)+1)
	for i := range b.faces {
		id := b.faces[i].piece
		of[id] = append(of[id], &b.faces[i])
	}
	w, h := super*b.w, super*b.h
	stamp := make([]uint16, w*h)
	for id := 1; id < len(of); id++ {
		n := 0
		for _, f := range of[id] {
			f.onPicture(b.cam).Scale(super).Fill(w, h, func(y, x0, x1 int) {
				row := stamp[y*w+x0 : y*w+x1]
				for k := range row {
					if row[k] != uint16(id) {
						row[k] = uint16(id)
						n++
					}
				}
			})
		}
		out[id] = float64(n) / (super * super)
	}
	return out
}

// shows says whether the mask has the piece within three pixels of q.
func (b *builder) shows(mask []uint16, q geom.Point, id uint16) bool {
	x0, y0 := int(math.Floor(q.X)), int(math.Floor(q.Y))
	for y := max(0, y0-3); y <= min(b.h-1, y0+3); y++ {
		for x := max(0, x0-3); x <= min(b.w-1, x0+3); x++ {
			if mask[y*b.w+x] == id {
				return true
			}
		}
	}
	return false
}
