package cutting

import (
	"slices"

	"piecebag/internal/cloth"
)

// Settled is how one piece of the stash is cut, whatever else is: its end is squared off,
// it is slit along its length into rows, the first at its left edge, and each row is cut
// across.
type Settled struct {
	Stock int // index into the stock
	Rows  []SettledRow
}

// SettledRow is pieces alike, one after another.
type SettledRow struct {
	Want, Count int
	Turned      bool // W of the want lies along the cloth
}

// Usable returns how much of a length can be cut from once its end is squared off, inches.
func (o Options) Usable(in float64) float64 { return max(0, in-o.filled().Trim) }

// unsettled returns the wants and the stock that some cuts leave.
func unsettled(settled []Settled, wants []Want, stock []cloth.Holding) ([]Want, []cloth.Holding) {
	wants, stock = slices.Clone(wants), slices.Clone(stock)
	for _, s := range settled {
		stock[s.Stock].Count--
		for _, r := range s.Rows {
			wants[r.Want].Count -= r.Count
		}
	}
	return wants, stock
}

// settle makes jobs of cuts that are settled, each of a source of its own.
func (p *problem) settle(settled []Settled, stock []cloth.Holding, o Options) (out []job) {
	for _, s := range settled {
		h := stock[s.Stock]
		src := source{stock: s.Stock, width: ticks(h.WidthIn), length: ticks(o.Usable(h.LengthIn)), print: p.printAt(h), known: h.Print != ""}
		src.trim = ticks(h.LengthIn) - src.length
		b := band{}
		for _, r := range s.Rows {
			it := p.wants[r.Want]
			if r.Turned {
				it.across, it.along, it.turned = it.along, it.across, true
			}
			b.along = max(b.along, tick(r.Count)*it.along)
			b.rows = append(b.rows, row{it.across, slices.Repeat([]part{it}, r.Count)})
		}
		pt := pattern{bands: []band{b}}
		out = append(out, job{source: len(p.sources), want: -1, pattern: pt, tally: p.measure(&src, pt)})
		p.sources = append(p.sources, src)
	}
	return out
}
