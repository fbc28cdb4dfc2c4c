package report

import (
	"fmt"
	"math"
	"strconv"

	"piecebag/internal/cloth"
	"piecebag/internal/colour"
	"piecebag/internal/shelf"
)

// sector is one patch of the wheel of a stash: all pieces of one wedge and one
// value. Radii in units of the wheel's box, turns in radians clockwise from the
// top.
type sector struct {
	r, s, from, to float64
	fill           colour.Linear
	title          string
}

// stashSectors draws the pieces of the eight ring families in the wedge of their
// hue, stacked from dark at the hub to light; the fullest wedge reaches the rim,
// and thickness is in proportion to pieces.
func stashSectors(t tones) []sector {
	const step = 2 * math.Pi / wedges
	most := 1
	for _, w := range t.wedges {
		most = max(most, sumOf(w))
	}
	var out []sector
	for w, values := range t.wedges {
		r := wheelHub
		turn := float64(w) * step
		for v := len(values) - 1; v >= 0; v-- {
			x := values[v]
			if x.count == 0 {
				continue
			}
			thick := (wheelRim - wheelHub) * float64(x.count) / float64(most)
			family := nearestRing(turn)
			named, _ := standIn(family, cloth.Values[v])
			out = append(out, sector{
				r, r + thick, turn - step*0.46, turn + step*0.46,
				x.fill(named), fmt.Sprintf("%s, near %s: %s", cloth.Values[v], family, cloth.Count(x.count, "piece")),
			})
			r += thick
		}
	}
	return out
}

// ringSectors are the hues themselves, round the rim.
func ringSectors() []sector {
	const step = 2 * math.Pi / wedges
	out := make([]sector, 3*wedges)
	for i := range out {
		turn := float64(i) * step / 3
		out[i] = sector{wheelRim + 4, wheelRim + 9, turn - step/6, turn + step/6, rimColour(turn), ""}
	}
	return out
}

// nearestRing is the family that is labelled nearest to a turn of the wheel.
func nearestRing(turn float64) cloth.Family {
	best, far := cloth.Red, math.Inf(1)
	for _, r := range ringFamilies {
		d := math.Abs(math.Remainder(turn-turnOf(r.hue), 2*math.Pi))
		if d < far {
			best, far = r.family, d
		}
	}
	return best
}

func heldByFamily(b shelf.Balance) map[cloth.Family]int {
	held := map[cloth.Family]int{}
	for _, f := range b.Families {
		held[f.Family] = f.Count
	}
	return held
}

// barPart is one stretch of a bar, 0..100 along it.
type barPart struct {
	x, w  float64
	fill  colour.Linear
	title string
}

// bar is a row of a chart: its name, how much it stands for, and its stretches.
type bar struct {
	name, held string
	parts      []barPart
	length     float64        // of the whole, 0..100
	grey       *colour.Linear // of its value; nil: it has none
}

// barOf lays counts end to end; most pieces make a full bar. The bar stands for
// held pieces out of all, a few of which may be of no colour to draw.
func barOf(name string, counts []int, fills []colour.Linear, titles []string, most, held, all int) bar {
	b := bar{name: name, held: "none"}
	n := 0
	for i, c := range counts {
		if c > 0 {
			b.parts = append(b.parts, barPart{100 * float64(n) / float64(most), 100 * float64(c) / float64(most), fills[i], titles[i] + ": " + strconv.Itoa(c)})
			n += c
		}
	}
	b.length = 100 * float64(n) / float64(most)
	if held > 0 {
		b.held = cloth.Count(held, "piece") + ", " + percent(float64(held)/float64(all))
	}
	return b
}

// valueBars is the value chart of some pieces: a bar a value, in stretches of the
// families in shelf order.
func valueBars(b shelf.Balance, t tones) []bar {
	most, all := 1, 0
	held := make([]int, len(cloth.Values))
	for i, p := range b.Values {
		held[i] = p.Count
		most = max(most, p.Count)
		all += p.Count
	}
	out := make([]bar, len(cloth.Values))
	for v, value := range cloth.Values {
		counts, fills, titles := make([]int, len(cloth.Families)), make([]colour.Linear, len(cloth.Families)), make([]string, len(cloth.Families))
		for f, family := range cloth.Families {
			counts[f], fills[f], titles[f] = t.families[f][v].count, t.fill(f, v), string(value)+" "+string(family)
		}
		out[v] = barOf(string(value), counts, fills, titles, most, held[v], all)
		grey := greyOf(middleOf(v))
		out[v].grey = &grey
	}
	return out
}

// offBars is the chart of the families that have no place round the wheel, in
// stretches of the values, lightest first.
func offBars(b shelf.Balance, t tones) []bar {
	most, all := 1, 0
	for _, p := range b.Families {
		all += p.Count
		if !onRing(p.Family) {
			most = max(most, p.Count)
		}
	}
	var out []bar
	held := heldByFamily(b)
	for f, family := range cloth.Families {
		if onRing(family) || family == cloth.Many && held[family] == 0 {
			continue
		}
		counts, fills, titles := make([]int, len(cloth.Values)), make([]colour.Linear, len(cloth.Values)), make([]string, len(cloth.Values))
		for v, value := range cloth.Values {
			counts[v], fills[v], titles[v] = t.families[f][v].count, t.fill(f, v), string(value)+" "+string(family)
		}
		out = append(out, barOf(string(family), counts, fills, titles, most, held[family], max(1, all)))
	}
	return out
}

// middleOf is the L* in the middle of value i, 0 the lightest.
func middleOf(i int) float64 {
	edges := append(append([]float64{100}, cloth.ValueCuts[:]...), 0)
	return (edges[i] + edges[i+1]) / 2
}
