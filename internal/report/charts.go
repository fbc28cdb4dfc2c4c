package report

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/family"
	"piecebag/internal/geom"
	"piecebag/internal/plan"
	"piecebag/internal/shelf"
)

// The wheel is drawn in a box of wheelSide units. Pieces are patches in
// wedges of their hue, stacked from the hub outwards and from dark to light,
// as the blades of a plate block.
const (
	wheelSide  = 400.0
	wheelHub   = 36.0
	wheelRim   = 140.0
	wheelLabel = 175.0
	wedges     = 24
	wedgeTurn  = 2 * math.Pi / wedges
)

// ringFamilies are the hue families that stand round the wheel, at the OKLCh
// hue, in degrees, about which each is labelled; our own choice by eye.
var ringFamilies = []struct {
	family cloth.Family
	hue    float64
}{
	{cloth.Red, 24}, {cloth.Orange, 56}, {cloth.Yellow, 98}, {cloth.Green, 144},
	{cloth.Teal, 196}, {cloth.Blue, 252}, {cloth.Purple, 306}, {cloth.Pink, 354},
}

// ringHue returns the hue of a family that stands on the ring.
func ringHue(f cloth.Family) (hue float64, ok bool) {
	for _, r := range ringFamilies {
		if r.family == f {
			return r.hue, true
		}
	}
	return 0, false
}

// turnOf returns the angle on the wheel, in radians clockwise from the top, of an
// OKLCh hue in degrees: red stands at the top.
func turnOf(hue float64) float64 { return (hue - ringFamilies[0].hue) * math.Pi / 180 }

// wedgeOf returns the wedge of an OKLCh hue in degrees.
func wedgeOf(hue float64) int {
	w := int(math.Round(turnOf(hue)/wedgeTurn))%wedges + wedges
	return w % wedges
}

// nearestRing returns the family that is labelled nearest to a turn of the wheel.
func nearestRing(turn float64) cloth.Family {
	best, far := cloth.Red, math.Inf(1)
	for _, r := range ringFamilies {
		if d := math.Abs(math.Remainder(turn-turnOf(r.hue), 2*math.Pi)); d < far {
			best, far = r.family, d
		}
	}
	return best
}

func wheelPoint(radius, turn float64) geom.Point {
	return geom.Point{X: wheelSide/2 + radius*math.Sin(turn), Y: wheelSide/2 - radius*math.Cos(turn)}
}

// sector returns a patch of the wheel between two radii and two turns, its arcs in straight
// lines of at most two degrees.
func sector(inner, outer, from, to float64) geom.Polygon {
	n := math.Ceil((to - from) / (math.Pi / 90))
	var out geom.Polygon
	for i := 0.0; i <= n; i++ {
		out = append(out, wheelPoint(outer, from+(to-from)*i/n))
	}
	for i := 0.0; i <= n; i++ {
		out = append(out, wheelPoint(inner, to-(to-from)*i/n))
	}
	return out
}

// wheelPatches returns the pieces of the eight ring families, each in the wedge of its
// hue, stacked from dark at the hub to light; the fullest wedge reaches the rim, and
// thickness is in proportion to pieces.
func wheelPatches(t tones) []shape {
	most := 1
	for _, w := range t.wedges {
		most = max(most, sumOf(w))
	}
	var out []shape
	for w, values := range t.wedges {
		r, turn := wheelHub, float64(w)*wedgeTurn
		family := nearestRing(turn)
		for v := len(values) - 1; v >= 0; v-- {
			x := values[v]
			if x.count == 0 {
				continue
			}
			next := r + (wheelRim-wheelHub)*float64(x.count)/float64(most)
			named, _ := standIn(family, cloth.Values[v])
			out = append(out, shape{
				Points: sector(r, next, turn-0.46*wedgeTurn, turn+0.46*wedgeTurn), Fill: x.fill(named), Seamless: true,
				Title: fmt.Sprintf("%s, near %s: %s", cloth.Values[v], family, cloth.Count(x.count, "piece")),
			})
			r = next
		}
	}
	return out
}

// wheelDrawing returns the wheel of some pieces, the hues themselves round its rim.
func wheelDrawing(b shelf.Balance, t tones) drawing {
	d := drawing{W: wheelSide, H: wheelSide}
	const step = wedgeTurn / 3
	for turn := 0.0; turn < 2*math.Pi-step/2; turn += step {
		hue := ringFamilies[0].hue*math.Pi/180 + turn
		rim := colour.OKLab{L: 0.72, A: 0.11 * math.Cos(hue), B: 0.11 * math.Sin(hue)}.Linear()
		d.Shapes = append(d.Shapes, shape{Points: sector(wheelRim+4, wheelRim+9, turn-step/2, turn+step/2), Fill: rim, Seamless: true})
	}
	d.Shapes = append(d.Shapes, wheelPatches(t)...)
	var words []string
	for _, f := range ringFamilies {
		at, n := wheelPoint(wheelLabel, turnOf(f.hue)), "none"
		for _, p := range b.Families {
			if p.Family == f.family {
				n = strconv.Itoa(p.Count)
			}
		}
		words = append(words, string(f.family)+" "+n)
		for i, label := range []string{string(f.family), n} {
			d.Shapes = append(d.Shapes, shape{Points: rect(at.X-24, at.Y-16+16*float64(i), 48, 16), Hollow: true, Seamless: true, Label: label, Size: 15})
		}
	}
	d.Title = "Hue wheel, pieces by colour: " + strings.Join(words, ", ")
	return d
}

// bar is a row of a chart: its name, what it stands for, the tones laid end to end in
// it, and the grey below it, if any. A few pieces may be of no colour to draw.
type bar struct {
	name string
	shelf.Portion
	tones []shelf.Alike
	grey  *colour.Linear
}

// valueBars returns a bar a value, in the families in shelf order.
func valueBars(b shelf.Balance) []bar {
	var out []bar
	edges := append(append([]float64{100}, cloth.ValueCuts[:]...), 0) // of L*
	for v, p := range b.Values {
		grey := greyOf((edges[v] + edges[v+1]) / 2)
		out = append(out, bar{string(p.Value), p, mapped(cloth.Families, func(f cloth.Family) shelf.Alike { return shelf.Alike{Family: f, Value: p.Value} }), &grey})
	}
	return out
}

// offBars returns a bar for each family that has no place round the wheel, in the values,
// lightest first.
func offBars(b shelf.Balance) []bar {
	var out []bar
	for _, family := range cloth.Families {
		x := bar{name: string(family)}
		for _, p := range b.Families {
			if p.Family == family {
				x.Portion = p
			}
		}
		if _, ring := ringHue(family); ring || family == cloth.Many && x.Count == 0 {
			continue
		}
		for _, v := range cloth.Values {
			x.tones = append(x.tones, shelf.Alike{Family: family, Value: v})
		}
		out = append(out, x)
	}
	return out
}

// barsDrawing draws a bar chart as wide as the wheel, a name above each bar, and below
// it the grey of its value where it has one; most pieces make a full bar.
func barsDrawing(title string, bars []bar, t tones) drawing {
	const high = wheelSide / 5
	d := drawing{W: wheelSide, H: high * float64(len(bars)), Title: title + ", pieces"}
	most := 1
	for _, b := range bars {
		most = max(most, b.Count)
	}
	for i, b := range bars {
		y, x := float64(i)*high, 0.0
		held := "none"
		if b.Count > 0 {
			held = cloth.Count(b.Count, "piece") + ", " + percent(b.Share)
		}
		d.Title += fmt.Sprintf(", %s %s", b.name, held)
		d.Shapes = append(d.Shapes, shape{Points: rect(0, y+4, wheelSide, 18), Hollow: true, Seamless: true, Label: b.name + ": " + held, Size: 17})
		for _, a := range b.tones {
			if fill, ok := t.colour(a); ok {
				n := t.alike[a].count
				w := wheelSide * float64(n) / float64(most)
				d.Shapes = append(d.Shapes, shape{Points: rect(x, y+26, w, 28), Fill: fill, Seamless: true, Title: fmt.Sprintf("%s %s: %d", a.Value, a.Family, n)})
				x += w
			}
		}
		if b.grey != nil && x > 0 {
			d.Shapes = append(d.Shapes, shape{Points: rect(0, y+54, x, 14), Fill: *b.grey, Seamless: true})
		}
		d.Shapes = append(d.Shapes, shape{Points: rect(0, y+26, wheelSide, 42), Hollow: true})
	}
	return d
}

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

// fill returns the mean of the measured colours, taken in OKLab so that it looks
// like the middle of them; otherwise stands in where none was measured.
func (t tone) fill(otherwise colour.Linear) colour.Linear {
	if t.measured == 0 {
		return otherwise
	}
	k := 1 / float64(t.measured)
	return colour.OKLab{L: k * t.sum.L, A: k * t.sum.A, B: k * t.sum.B}.Linear()
}

// tones are the colours of a stash.
type tones struct {
	wedges [wedges][]tone // round the wheel, clockwise from red, and in each by value, lightest first
	alike  map[shelf.Alike]*tone
	byHand int // pieces whose colour was named and not measured
	half   int // pieces of which only the family or only the value is known: not drawn
}

// tonesOf gathers the colours of all pieces, by family and value, and in bins of your own;
// weighed cloth is not counted in pieces and left out. A piece whose colour was not
// measured stands at the hue by which its family is labelled.
func tonesOf(all []cloth.Holding) tones {
	t := tones{alike: map[shelf.Alike]*tone{}}
	for i := range t.wedges {
		t.wedges[i] = make([]tone, len(cloth.Values))
	}
	for _, h := range all {
		if h.Form == cloth.Weighed || h.Family == "" && h.Value == "" {
			continue
		}
		if h.Family == "" || h.Value == "" {
			t.half += h.Count
			continue
		}
		var in []*tone
		for _, a := range slices.Compact([]shelf.Alike{{Family: h.Family, Value: h.Value}, shelf.AlikeOf(h)}) {
			if t.alike[a] == nil {
				t.alike[a] = &tone{}
			}
			in = append(in, t.alike[a])
		}
		var lab colour.OKLab
		hue, ring := ringHue(h.Family)
		if h.Measured {
			lab = h.ReadsAs.OKLab()
			hue = math.Atan2(lab.B, lab.A) * 180 / math.Pi
		} else {
			t.byHand += h.Count
		}
		if ring {
			in = append(in, &t.wedges[wedgeOf(hue)][slices.Index(cloth.Values, h.Value)])
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

// standIn returns the colour of cloth of which only the words are known: the middle of its
// colour and value, or of its value alone. Where there is none of that colour so light
// or dark, it is the nearest there is.
func standIn(f cloth.Family, v cloth.Value) (colour.Linear, bool) {
	if m, ok := plan.SwatchOf(plan.Sought{Family: f, Value: v}); ok {
		return m.Linear(), true
	}
	m, ok := plan.SwatchOf(plan.Sought{Value: v})
	return family.Drawn(nil, m.Linear(), f), ok
}

// colour returns the middle colour of what is alike, in a colour of its family: the mean of two
// reds may be called by another name. ok is false where it is not known.
func (t tones) colour(a shelf.Alike) (c colour.Linear, ok bool) {
	x := t.alike[a]
	switch {
	case x == nil:
		return c, false
	case x.measured == 0:
		return standIn(a.Family, a.Value)
	}
	if c = x.fill(c); a.Family != "" && family.Of(c) != a.Family {
		c = family.Drawn(nil, c, a.Family)
	}
	return c, true
}

func sumOf(parts []tone) int {
	n := 0
	for _, p := range parts {
		n += p.count
	}
	return n
}
