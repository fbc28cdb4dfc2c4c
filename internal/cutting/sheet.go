package cutting

import "piecebag/internal/cloth"

// cut writes a job out: where the pieces lie, the cuts in order, what remains.
func (p *problem) cut(j job, stock []Stock, o Options) Cut {
	src := &p.sources[j.source]
	l := src.lies[j.lie]
	g := &p.groups[l.group]
	from := stock[src.stock]
	c := Cut{
		Stock: src.stock, ID: from.ID, Width: l.across.inches(), Length: l.along.inches(),
		Trim: src.trim.inches(), Unsure: src.unsure,
	}
	remain := func(x, y, w, h tick) {
		if w <= 0 || h <= 0 {
			return
		}
		r := Remnant{Rect: rect(x, y, w, h), Kept: p.kept(w, h)}
		if r.Kept {
			r.Bin = from.alike() + " " + cutName(min(r.W, r.H), max(r.W, r.H), o.Sizes)
		}
		c.Remains = append(c.Remains, r)
	}
	y := tick(0)
	for _, s := range j.segments {
		long := tick(s.length) * p.grid
		sl := g.slits[s.slit]
		whole := sl.whole()
		var widths []float64
		for k := range sl.rows() {
			widths = append(widths, p.sigs[g.sig].rows[sl.row(k)].across.inches())
		}
		if !whole {
			if y+long < l.along {
				c.add(Step{Length: long.inches(), Times: 1, Row: -1, Want: -1})
			}
			c.add(Step{Slit: widths, Length: long.inches(), Times: 1, Row: -1, Want: -1})
		}
		x := tick(0)
		for k, parts := range s.rows {
			r := &p.sigs[g.sig].rows[sl.row(k)]
			at := y
			for _, i := range parts {
				it := r.parts[i]
				c.Pieces = append(c.Pieces, Placement{Rect: rect(x, at, it.across, it.along), Want: it.want, Turned: it.turned})
				step := Step{Length: it.along.inches(), Times: 1, Row: k, Want: it.want}
				if whole {
					step.Row = -1
				}
				c.add(step)
				at += tick(it.steps) * p.grid
			}
			remain(x, at, r.across, y+long-at)
			x += r.across
		}
		remain(x, y, sl.left, long)
		y += long
	}
	remain(0, y, l.across, l.along-y)
	return c
}

// add appends a step, or makes the last one once more where they are the same.
func (c *Cut) add(s Step) {
	if n := len(c.Steps) - 1; n >= 0 && s.Slit == nil {
		last := &c.Steps[n]
		if last.Slit == nil && last.Length == s.Length && last.Row == s.Row && last.Want == s.Want && s.Want >= 0 {
			last.Times++
			return
		}
	}
	c.Steps = append(c.Steps, s)
}

func rect(x, y, w, h tick) Rect { return Rect{x.inches(), y.inches(), w.inches(), h.inches()} }

// alike is the bin she would look in.
func (s Stock) alike() string {
	return cloth.Holding{Bin: s.Bin, Family: s.Family, Value: s.Value}.Alike()
}

// cutName is the largest of her sizes that cloth of two sides, the shorter
// first, holds: a strip where it is at least twice as long.
func cutName(short, long float64, sizes []float64) string {
	best := 0.0
	for _, s := range sizes {
		if s <= short+1e-6 {
			best = max(best, s)
		}
	}
	switch {
	case best == 0:
		return "scrap"
	case long+1e-6 >= 2*best:
		return cloth.FormatInches(best) + " strip"
	}
	return cloth.FormatInches(best) + " square"
}
