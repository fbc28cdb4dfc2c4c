package report

import (
	"math"
	"slices"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
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

// wedgeOf is the wedge of an OKLCh hue in degrees.
func wedgeOf(hue float64) int {
	w := int(math.Round(turnOf(hue)/(2*math.Pi/wedges)))%wedges + wedges
	return w % wedges
}

func ringHue(f cloth.Family) (hue float64, ok bool) {
	for _, r := range ringFamilies {
		if r.family == f {
			return r.hue, true
		}
	}
	return 0, false
}

// namedColour stands for a family and value of which no piece was measured; our
// own choice by eye.
func namedColour(f cloth.Family, value int) colour.Linear {
	grey := greyOf(middleOf(value)).OKLab()
	hue, ring := ringHue(f)
	chroma := 0.0
	switch {
	case ring:
		chroma = 0.1
	case f == cloth.Brown:
		hue, chroma = 60, 0.05
	}
	return colour.OKLCh{L: grey.L, C: chroma, H: math.Mod(hue, 360)}.OKLab().Linear()
}

// fill is the colour of a family and value in a drawing.
func (t tones) fill(f, v int) colour.Linear {
	return t.families[f][v].fill(namedColour(cloth.Families[f], v))
}

// colour is the middle colour of what is alike; ok is false where it is not
// known.
func (t tones) colour(a shelf.Alike) (c colour.Linear, ok bool) {
	x := t.alike[a]
	switch v := slices.Index(cloth.Values, a.Value); {
	case x == nil, x.measured == 0 && (a.Own != "" || v < 0):
		return c, false
	case x.measured == 0:
		return namedColour(a.Family, v), true
	}
	return x.fill(c), true
}

// swatch is colour for the page; empty where it is not known.
func (t tones) swatch(a shelf.Alike) string {
	c, ok := t.colour(a)
	if !ok {
		return ""
	}
	return c.Hex()
}

func sumOf(parts []tone) int {
	n := 0
	for _, p := range parts {
		n += p.count
	}
	return n
}
