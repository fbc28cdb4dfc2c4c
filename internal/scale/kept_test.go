package scale

import (
	"math"
	"testing"

	"piecebag/internal/cloth"
	"piecebag/internal/geom"
	"piecebag/internal/testtable"
)

// What is said of some small shots is kept: scale, references, sizes and notes.
func TestKeptOfSmallShots(t *testing.T) {
	type size struct {
		Width, Length, Trust float64
		Cut                  string
		Notes                []string
	}
	round := func(v float64) float64 { return math.Round(v*1e4) / 1e4 }
	mixed := squares([]float64{2.5, 3.5, 5, 2.5, 6.5, 3.5, 1.5, 2.5, 2, 5, 6.5, 3.5, 2.5, 4, 2.5, 3.5}, 7, 4)
	mixed[13].h, mixed[8].h = 2.5, 9
	for i := range mixed {
		mixed[i].grey *= 0.7
	}
	low := squares([]float64{2.5, 2.5, 3.5}, 6.5, 4)
	for i := range low {
		low[i].x, low[i].y, low[i].grey = -9+5*float64(i), -6, 0.3
	}
	with := func(things []lying, more ...lying) []lying { return append(things[:len(things):len(things)], more...) }
	paper := func(long, short float64) lying { return lying{x: 1, y: 3, w: long, h: short, turn: 0.2, grey: 0.84} }
	strips := []lying{
		{x: -4, y: -3, w: 2.5, h: 14, turn: 0.3, grey: 0.5}, {x: 3, y: 0, w: 2, h: 13, turn: -0.9, grey: 0.3},
		{x: 8, y: -4, w: 5, h: 5, grey: 0.6}, {x: -10, y: 4, w: 3.5, h: 3.5, turn: 0.2, grey: 0.4}, {x: 9, y: 4, w: 2.5, h: 2.5, turn: 1, grey: 0.45},
	}
	grey := func(v float64) func(_, _ float64) float64 { return func(_, _ float64) float64 { return v } }
	for _, c := range []struct {
		name   string
		table  func(x, y float64) float64
		tilt   [2]float64
		px     float64
		things []lying
		seen   int // so many of the things are regions
		o      Options
	}{
		{"cut squares", plainTable, [2]float64{0.2, -0.1}, 20, mixed, 16, Options{Kind: cloth.Spread}},
		{"card on a table", plainTable, [2]float64{0.1, 0.2}, 22, with(low, paper(85.60/25.4, 53.98/25.4)), 4, Options{Kind: cloth.Board}},
		{"card that no region covers", plainTable, [2]float64{0.1, 0.2}, 22, with(low, paper(85.60/25.4, 53.98/25.4)), 3, Options{Kind: cloth.Board}},
		{"sheet on pale ground", grey(0.74), [2]float64{-0.1, 0.1}, 22, with(low, paper(11, 8.5)), 4, Options{Kind: cloth.Spread}},
		{"sheet of no known size", plainTable, [2]float64{0.1, 0.2}, 22, with(low, paper(6, 4)), 4, Options{Kind: cloth.Board}},
		{"mat in centimetres", ruled(1/2.54, 5), [2]float64{0.1, -0.1}, 24, low, 3, Options{Kind: cloth.Board}},
		{"mat in halves of an inch", ruled(0.5, 2), [2]float64{0.1, -0.1}, 24, strips[2:], 3, Options{Kind: cloth.Pile}},
		{"strips of a pile", plainTable, [2]float64{0, 0.1}, 24, strips, 5, Options{Kind: cloth.Pile, PxPerInch: 24}},
		{"own cuts", plainTable, [2]float64{0.2, -0.1}, 20, mixed, 16, Options{Kind: cloth.Spread, Cuts: []float64{1.5, 2.5, 3.5}, PxPerInch: 20.2}},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := shoot(640, 480, c.tilt[0], c.tilt[1], c.px, c.table, c.things, 0.008, 3)
			regions := s.regions(0.4, 2)[:c.seen]
			if len(c.things) == len(strips) { // of the first two the ends are hidden
				for i := range 2 {
					g := regions[i].Polygon
					regions[i].Corners, regions[i].Polygon = nil, geom.Polygon{g[0], g[1], g[2], g[2].Add(g[3]).Mul(0.5).Add(geom.Point{X: 3, Y: 9}), g[3]}
				}
			}
			r := Measure(s.pic, regions, s.bare(), c.o)
			var refs, sizes []any
			for _, k := range r.References {
				refs = append(refs, []any{k.Kind, k.Region, round(k.Trust)})
			}
			for _, z := range r.Sizes {
				sizes = append(sizes, size{z.Width, z.Length, round(z.Trust), z.Cut, z.Notes})
			}
			testtable.Kept(t, c.name, map[string]any{
				"from": r.Reading.From, "scale": round(r.Reading.PxPerInch), "or": round(r.Reading.Or), "trust": round(r.Reading.Trust),
				"references": refs, "sizes": sizes, "notes": r.Notes, "faint": r.Faint != nil,
			}, 2e-3)
		})
	}
}
