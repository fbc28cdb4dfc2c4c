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
	inks   []samples
	bounds image.Rectangle
}

// samples are n colours and their sum.
type samples struct {
	n   int
	sum colour.Linear
}

func (s *samples) add(o samples) {
	s.n += o.n
	for k, v := range o.sum {
		s.sum[k] += v
	}
}

func (s samples) mean() colour.Linear { return scaled(s.sum, 1/float64(s.n)) }

// all returns the colours of every ink.
func (t *tally) all() (all samples) {
	for _, s := range t.inks {
		all.add(s)
	}
	return all
}

func (t *tally) add(ink int, s samples) {
	if ink >= len(t.inks) {
		t.inks = append(t.inks, make([]samples, ink+1-len(t.inks))...)
	}
	t.inks[ink].add(s)
}

func (t *tally) pixel(x, y int) {
	t.px++
	t.bounds = t.bounds.Union(image.Rect(x, y, x+1, y+1))
}

func (t *tally) join(o *tally) {
	t.px += o.px
	t.bounds = t.bounds.Union(o.bounds)
	for i, s := range o.inks {
		t.add(i, s)
	}
}

// swatches returns the colours seen, most first: inks that look alike are one,
// and those under 1 % are left out.
func (t *tally) swatches() []cloth.Ink {
	const alike = 5 // CIELAB distance
	most := func(a, b samples) int { return cmp.Compare(b.n, a.n) }
	inks := slices.DeleteFunc(slices.Clone(t.inks), func(k samples) bool { return k.n == 0 })
	slices.SortStableFunc(inks, most)
	var joined []samples
	for _, k := range inks {
		j := slices.IndexFunc(joined, func(o samples) bool { return colour.DeltaE76(o.mean().Lab(), k.mean().Lab()) < alike })
		if j < 0 {
			joined = append(joined, k)
			continue
		}
		joined[j].add(k)
	}
	slices.SortStableFunc(joined, most)
	var out []cloth.Ink
	for _, k := range joined {
		if share := float64(k.n) / float64(t.all().n); share >= 0.01 {
			out = append(out, cloth.Ink{Colour: k.mean(), Share: share})
		}
	}
	return out
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
		if all := t.all(); all.n > 0 {
			p.Mean = all.mean()
			p.Lab = p.Mean.Lab()
			p.Colours = t.swatches()
			front := len(b.fabrics[b.cutFrom[i]].inks)
			back := 0
			for k := front; k < len(t.inks); k++ {
				back += t.inks[k].n
			}
			p.Back = float64(back) / float64(all.n)
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

// whole returns how many photo pixels each piece would fill with nothing over it,
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

// shows reports whether the mask has the piece within three pixels of q.
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
