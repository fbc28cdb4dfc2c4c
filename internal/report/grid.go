package report

import (
	"piecebag/internal/cloth"
	"piecebag/internal/shelf"
)

// grid is the table of hue family × value, all cuts together.
type grid struct {
	rows   []gridRow
	values []int // pieces of each value
	all    int
}

type gridRow struct {
	family cloth.Family
	cells  []gridCell // one a value
	count  int
	thin   bool
}

type gridCell struct {
	count int
	thin  bool
	items []int
}

// gridOf has a row for every family, held or not; Many only where it is held.
func gridOf(s shelf.Shelf) grid {
	g := grid{values: make([]int, len(cloth.Values))}
	for _, f := range cloth.Families {
		r := gridRow{family: f, cells: make([]gridCell, len(cloth.Values))}
		for i, v := range cloth.Values {
			c := &r.cells[i]
			for _, b := range s.Bins {
				if b.Family == f && b.Value == v {
					c.items = append(c.items, b.Items...)
				}
			}
			c.count = len(c.items)
			_, c.thin = thinCell(s.Thin, f, v)
			r.count += c.count
			g.values[i] += c.count
		}
		_, r.thin = thinCell(s.Thin, f, "")
		g.all += r.count
		if r.count > 0 || f != cloth.Many {
			g.rows = append(g.rows, r)
		}
	}
	return g
}
