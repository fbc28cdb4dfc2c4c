package report

import (
	"math"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/family"
	"piecebag/internal/plan"
	"piecebag/internal/shelf"
)

// tone is so many pieces and their middle colour.
type tone struct {
	count    int
	measured int
	sum      colour.OKLab // over the measured pieces
}

func (t *tone) add(n int, c colour.OKLab) {
	k := float64(n)
	t.measured += n
	t.sum.L, t.sum.A, t.sum.B = t.sum.L+k*c.L, t.sum.A+k*c.A, t.sum.B+k*c.B
}

// fill is the mean of the measured colours, taken in OKLab so that it looks
// like the middle of them; otherwise stands in where none was measured.
func (t tone) fill(otherwise colour.Linear) colour.Linear {
	if t.measured == 0 {
		return otherwise
	}
	k := 1 / float64(t.measured)
	return colour.OKLab{L: k * t.sum.L, A: k * t.sum.A, B: k * t.sum.B}.Linear()
}

// tones are the colours of a stash. The last index is the value, lightest
// first.
type tones struct {
	wedges   [wedges][]tone // round the wheel, clockwise from red
	families [][]tone       // as cloth.Families
	alike    map[shelf.Alike]*tone
	byHand   int // pieces whose colour was named and not measured
	half     int // pieces of which only the family or only the value is known: not drawn
}

// tonesOf gathers the colours of all pieces; weighed cloth is not counted in
// pieces and left out. A piece whose colour was not measured stands at the hue
// by which its family is labelled.
func tonesOf(all []cloth.Holding) tones {
	t := tones{families: make([][]tone, len(cloth.Families)), alike: map[shelf.Alike]*tone{}}
	for i := range t.families {
		t.families[i] = make([]tone, len(cloth.Values))
	}
	for i := range t.wedges {
		t.wedges[i] = make([]tone, len(cloth.Values))
	}
	for i := range all {
		h := &all[i]
		f, v := slices.Index(cloth.Families, h.Family), slices.Index(cloth.Values, h.Value)
		if h.Form == cloth.Weighed {
			continue
		}
		if f < 0 || v < 0 {
			if f >= 0 || v >= 0 {
				t.half += h.Count
			}
			continue
		}
		a := shelf.AlikeOf(*h)
		if t.alike[a] == nil {
			t.alike[a] = &tone{}
		}
		in := []*tone{&t.families[f][v], t.alike[a]}
		var lab colour.OKLab
		hue, ring := ringHue(h.Family)
		if h.Measured {
			lab = h.ReadsAs.OKLab()
			hue = math.Atan2(lab.B, lab.A) * 180 / math.Pi
		} else {
			t.byHand += h.Count
		}
		if ring {
			in = append(in, &t.wedges[wedgeOf(hue)][v])
		}
		for _, x := range in {
			x.count += h.Count
			if h.Measured {
				x.add(h.Count, lab)
			}
		}
	}
	return t
}

// standIn is the colour of cloth of which only the words are known: the middle of its
// colour and value, or of its value alone. Where there is none of that colour so light
// or dark, it is the nearest there is.
func standIn(f cloth.Family, v cloth.Value) (colour.Linear, bool) {
	if m, ok := plan.SwatchOf(plan.Sought{Family: f, Value: v}); ok {
		return m.Linear(), true
	}
	m, ok := plan.SwatchOf(plan.Sought{Value: v})
	return family.Drawn(nil, m.Linear(), f), ok
}

// fillAs is fill in a colour of a family: the mean of two reds may be called by
// another name.
func (t tone) fillAs(f cloth.Family, v cloth.Value) (c colour.Linear, ok bool) {
	if t.measured == 0 {
		return standIn(f, v)
	}
	if c = t.fill(c); f != "" && family.Of(c) != f {
		c = family.Drawn(nil, c, f)
	}
	return c, true
}

// fill is the colour of a family and value in a drawing.
func (t tones) fill(f, v int) colour.Linear {
	c, _ := t.families[f][v].fillAs(cloth.Families[f], cloth.Values[v])
	return c
}

// colour is the middle colour of what is alike; ok is false where it is not
// known.
func (t tones) colour(a shelf.Alike) (c colour.Linear, ok bool) {
	if x := t.alike[a]; x != nil {
		return x.fillAs(a.Family, a.Value)
	}
	return c, false
}

func sumOf(parts []tone) int {
	n := 0
	for _, p := range parts {
		n += p.count
	}
	return n
}
